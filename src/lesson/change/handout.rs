//! What the pupil takes home.

use crate::lesson::{
    Edit, Lesson,
    handout::{Block, Handout},
};

/// The handout is to be this, said in these words.
pub fn set_handout(what: &str, handout: Handout) -> Edit {
    Edit::Step { what: what.to_owned(), edits: vec![Edit::Handout(handout.into())] }
}

/// A handout made in one step: put behind what is on the lesson's handout already, under the head that is there.
pub fn add_to_handout(lesson: &Lesson, made: Handout) -> Edit {
    let what = "A page for the pupil";
    if lesson.handout.entries.is_empty() {
        let entries = made.entries;
        return set_handout(what, Handout { entries, ..lesson.handout.clone().own() });
    }
    let mut handout = lesson.handout.clone().own();
    let is_head = |block: &Block| matches!(block, Block::Head(_));
    let has_head = handout.entries.iter().any(|entry| is_head(&entry.block));
    handout.entries.extend(made.entries.into_iter().filter(|entry| !(has_head && is_head(&entry.block))));
    set_handout(what, handout)
}
