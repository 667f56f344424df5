//! What the window shows of a lesson: the selection, the playhead, the part of the music in view.
//! Never saved in a lesson and never undone.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use strum::EnumIter;

use crate::{
    analysis::{Analysis, Study, StudyId},
    lesson::Lesson,
    practice::{Clock, way_through},
    score::{Attack, EventId, Quarters, Score},
};

/// State of the window besides the lesson.
#[derive(Debug)]
pub struct View {
    /// Chosen notes and rests.
    pub selection: BTreeSet<EventId>,
    /// Where a range of notes began, for extending it.
    pub anchor: Option<EventId>,
    /// The playhead.
    pub clock: Clock,
    /// Playing takes the repeats and jumps.
    pub repeats: bool,
    /// Rests the loop was due for and that were told of.
    pub rests_told: u32,
    /// First bar in view.
    pub first_bar: usize,
    /// Stretch of the time axis; 1 is ordinary spacing.
    pub zoom: f64,
    /// A level shown in the level view in place of the present one, by its index.
    pub level: Option<usize>,
    /// Since when it is looked at while the music goes on, s.
    pub level_since: Option<f64>,
    /// What is shown large in the middle.
    pub stage: Stage,
    /// The offer chosen by the keys: the study it leads to.
    pub offer: Option<StudyId>,
    /// What the list at the right tells.
    pub told: Told,
    /// What is shown in the place of the bow.
    pub drawer: Option<Drawer>,
    /// Notes can be typed.
    pub writing: bool,
    /// The list of keys is open.
    pub keys_open: bool,
    /// The set-up window is open.
    pub setup_open: bool,
    /// A line for the user: what was done, or why something could not be done.
    pub message: Option<String>,
    /// The playhead was moved: bring it into view.
    pub follow: bool,
    /// Where the playhead goes when the change that was made is shown.
    pub heads_for: Option<Quarters>,
}

/// What can be shown in the place of the selection's controls and the bow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumIter, Serialize, Deserialize)]
pub enum Drawer {
    /// Suggested bowings.
    Suggest,
    /// The tempo ladder.
    Ladder,
    /// Speed, sounding point, weight and arm as curves.
    Curves,
}

/// What the list at the right tells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, EnumIter, Serialize, Deserialize)]
pub enum Told {
    /// What does not work, or is worth a look.
    #[default]
    Findings,
    /// What a teacher would write over the notes.
    Pencil,
    /// The passage in words.
    Words,
    /// What was read of the file, guessed and left out.
    Reading,
}

/// What fills the middle of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Stage {
    /// Staff, hair map and levels.
    #[default]
    Music,
    /// The arm on its level.
    Arm,
    /// One picture of the arm for a class, over the whole screen.
    Class,
    /// What is played now and next, for the music stand, over the whole screen.
    Stand,
    /// Notes that sound together.
    Together,
    /// What the pupil takes home.
    Handout,
}

/// Least and greatest stretch of the time axis.
pub const ZOOM: std::ops::RangeInclusive<f64> = 0.5..=4.0;

impl View {
    /// At the start of a lesson.
    pub fn new(study: &Study) -> Self {
        let mut view = Self {
            selection: BTreeSet::new(),
            anchor: None,
            clock: Clock::new(study.analysis().total_s()),
            repeats: true,
            rests_told: 0,
            first_bar: 0,
            zoom: 1.0,
            level: None,
            level_since: None,
            stage: Stage::Music,
            offer: None,
            told: Told::Findings,
            drawer: None,
            writing: false,
            keys_open: false,
            setup_open: false,
            message: None,
            follow: false,
            heads_for: None,
        };
        view.find_way(study, 0.0);
        view
    }

    /// The way through the music that is wished, of the music as it is now.
    pub fn find_way(&mut self, study: &Study, now_s: f64) {
        self.clock.set_way(if self.repeats { way_through(study) } else { Vec::new() }, now_s);
    }

    /// The last chosen note or rest in score order.
    pub fn last_chosen(&self, score: &Score) -> Option<EventId> {
        match self.selection.len() {
            0 | 1 => self.selection.first().copied(),
            _ => score.events.iter().map(|event| event.id).rfind(|id| self.selection.contains(id)),
        }
    }

    /// The end of the selection that moves when it is extended: the one that is not its anchor.
    pub fn moving_end(&self, score: &Score) -> Option<EventId> {
        let last = self.last_chosen(score)?;
        let first = || score.events.iter().map(|event| event.id).find(|id| self.selection.contains(id));
        if self.anchor == Some(last) { first() } else { Some(last) }
    }

    /// The selection as a list in score order, as far as the study knows it.
    pub fn chosen_in(&self, study: &Study) -> Vec<EventId> {
        let places = study.analysis().line.event_indices(&self.selection);
        places.into_iter().map(|place| study.lesson().score.events[place].id).collect()
    }

    /// The notes of the bowed line that are chosen.
    pub fn chosen_notes<'a>(&self, analysis: &'a Analysis) -> Vec<&'a Attack> {
        let notes = analysis.line.notes_of(&self.selection);
        notes.into_iter().map(|note| &analysis.line.notes[note]).collect()
    }

    /// Chooses one note.
    pub fn choose(&mut self, id: EventId) {
        self.selection = BTreeSet::from([id]);
        self.anchor = Some(id);
    }

    /// Chooses all from the anchor to `id`, in the voice of the anchor.
    pub fn extend_to(&mut self, id: EventId, score: &Score) {
        let anchor = self.anchor.unwrap_or(id);
        let place = |id: EventId| score.events.iter().position(|event| event.id == id);
        let (Some(a), Some(b)) = (place(anchor), place(id)) else { return self.choose(id) };
        let voice = score.events[a].voice;
        let range = &score.events[a.min(b)..=a.max(b)];
        self.selection = range.iter().filter(|event| event.voice == voice).map(|event| event.id).collect();
        self.selection.insert(id);
        self.anchor = Some(anchor);
    }

    /// Chooses all of the first voice whose onset lies in a span.
    pub fn choose_span(&mut self, from: f64, to: f64, score: &Score) {
        let inside = |at: Quarters| (from..to).contains(&at.to_f64());
        let events = score.events.iter().filter(|event| event.voice == 0 && inside(event.onset));
        self.selection = events.map(|event| event.id).collect();
        self.anchor = score.events.iter().map(|event| event.id).find(|id| self.selection.contains(id));
    }

    /// Forgets notes and rests that are no longer in the score.
    pub fn forget(&mut self, gone: &[EventId]) {
        for id in gone {
            self.selection.remove(id);
        }
        self.anchor = self.anchor.filter(|id| !gone.contains(id));
    }

    /// Stops looking past the end of the lesson.
    pub fn keep_to(&mut self, lesson: &Lesson) {
        self.first_bar = self.first_bar.min(lesson.score.bars.len().saturating_sub(1));
    }
}

/// Chosen notes and rests as a list in score order.
pub fn in_order(selection: &BTreeSet<EventId>, score: &Score) -> Vec<EventId> {
    score.events.iter().map(|event| event.id).filter(|id| selection.contains(id)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    #[test]
    fn a_range_is_chosen_from_either_end() {
        let lesson = demo();
        let mut view = View::new(&Study::new(lesson.clone()));
        let ids: Vec<EventId> = lesson.score.events.iter().map(|event| event.id).collect();
        view.choose(ids[4]);
        view.extend_to(ids[6], &lesson.score);
        assert_eq!(in_order(&view.selection, &lesson.score), ids[4..=6]);
        assert_eq!(view.last_chosen(&lesson.score), Some(ids[6]));
        view.extend_to(ids[2], &lesson.score);
        assert_eq!(in_order(&view.selection, &lesson.score), ids[2..=4]);
    }
}
