//! A bowing written down: the marks that make it.

use crate::{
    bowing::Bowing,
    lesson::{
        Lesson,
        change::{Joined, Rebowed, rebowed},
    },
    score::{Attack, Line},
};

use super::{
    choice::{Choice, Choices, Link},
    field::{Field, choices_of},
};

/// Each round prints at least one bow mark; a passage with more than this many of its own accord is
/// not written. Assumed.
const MOST_ROUNDS: usize = 200;

impl Field {
    /// The lesson with the marks that make this bowing. None if the marks there are do not let it be
    /// written.
    pub fn write(&self, bowing: &[Choice]) -> Option<Lesson> {
        self.written(bowing).map(|written| written.lesson)
    }

    /// The same, with how it is bowed then.
    pub(super) fn written(&self, bowing: &[Choice]) -> Option<Written> {
        let (lesson, analysis) = (self.study().lesson(), self.study().analysis());
        let mut notes: Vec<Option<Rebowed>> =
            (0..bowing.len()).map(|k| self.marks(k, analysis.note(k), bowing[k])).collect();
        // A bow mark is printed where the direction does not follow by itself; each may change what
        // follows by itself elsewhere.
        for _ in 0..MOST_ROUNDS {
            let list: Vec<Rebowed> = notes.iter().flatten().cloned().collect();
            let written = Written::of(rebowed(lesson, &list).ok()?);
            if written.choices.len() != bowing.len() {
                return None;
            }
            if written.is(bowing) {
                return Some(written);
            }
            written.print_marks(bowing, &mut notes);
            if notes.iter().flatten().eq(list.iter()) {
                return None;
            }
        }
        None
    }

    /// What must be written on one note, if anything, before directions are looked at.
    fn marks(&self, k: usize, note: &Attack, wanted: Choice) -> Option<Rebowed> {
        let now = self.present()[k];
        if now == wanted {
            return None;
        }
        let printed = note.bow.map(|_| wanted.direction);
        let (joined, mark) = match wanted.link {
            Link::Slur => (Joined::Slur, None),
            Link::Hook => (Joined::Hook, None),
            // Two up-bow marks that hooked it would say nothing turned round.
            Link::Joined
                if note.bow.is_some()
                    && (note.slur.is_none() || note.slur_start)
                    && note.same_bow.is_none() =>
            {
                (Joined::Hook, None)
            }
            Link::Joined => (Joined::AsItIs, note.bow.filter(|mark| *mark == wanted.direction)),
            Link::Change if now.link == Link::Change => (Joined::AsItIs, printed),
            Link::Change => (Joined::OwnBow, printed),
            Link::Retake if now.link == Link::Retake && note.retake => (Joined::AsItIs, printed),
            Link::Retake => (Joined::Retake, printed),
            Link::Set | Link::Breath => (Joined::AsItIs, printed),
        };
        Some(Rebowed { events: note.events.clone(), joined, mark })
    }
}

/// A lesson as it was written, and how it is bowed.
pub(super) struct Written {
    pub lesson: Lesson,
    pub line: Line,
    pub bowing: Bowing,
    choices: Choices,
}

impl Written {
    fn of(lesson: Lesson) -> Self {
        let line = Line::new(&lesson.score);
        let bowing = Bowing::new(&lesson.score, &line, &lesson.setup);
        let choices = choices_of(&line, &bowing, lesson.setup.school.set_time_s);
        Self { lesson, line, bowing, choices }
    }

    /// It is bowed as wanted.
    fn is(&self, wanted: &[Choice]) -> bool {
        wanted.iter().zip(&self.choices).all(|(wanted, got)| obeys(*wanted, *got))
    }

    /// Prints a bow mark on the first note that goes the wrong way, and on the first behind each rest:
    /// up to the next rest all may follow from it.
    fn print_marks(&self, bowing: &[Choice], notes: &mut [Option<Rebowed>]) {
        let mut waits = false;
        for (k, (wanted, got)) in bowing.iter().zip(&self.choices).enumerate() {
            waits &= wanted.link != Link::Set;
            if waits || obeys(*wanted, *got) {
                continue;
            }
            let note = &self.line.notes[self.bowing.notes[k].note];
            if wanted.link.starts() && wanted.direction != got.direction && note.bow.is_none() {
                let joined = notes[k].as_ref().map_or(Joined::AsItIs, |note| note.joined);
                notes[k] =
                    Some(Rebowed { events: note.events.clone(), joined, mark: Some(wanted.direction) });
                waits = true;
            } else if !wanted.link.starts() && got.link.starts() && (note.slur.is_none() || note.slur_start) {
                // It was hooked of its own accord, and is no longer where marks are printed near it.
                notes[k] = Some(Rebowed { events: note.events.clone(), joined: Joined::Hook, mark: None });
                waits = true;
            }
        }
    }
}

/// What was written is what was wanted: a retake and a breath lift the bow alike, and notes in one bow
/// are so however they are joined.
fn obeys(wanted: Choice, got: Choice) -> bool {
    let lifted = |link: Link| matches!(link, Link::Retake | Link::Breath);
    let alike = wanted.link == got.link
        || !wanted.link.starts() && !got.link.starts()
        || lifted(wanted.link) && lifted(got.link);
    alike && wanted.direction == got.direction
}
