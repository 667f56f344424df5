//! Notes that want a down-bow of their own, and which of them two bowings play another way.
//!
//! Accents, chords and the first notes of bars go down (common practice, no source, with many exceptions).

use std::collections::BTreeMap;

use crate::{
    analysis::Study,
    score::{Attack, Direction, EventId, Score},
};

/// What makes a note strong, the strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::advice) enum Strength {
    /// A dynamic that acts on it alone, in its letters: sf, fz, fp.
    Sudden(&'static str),
    /// A printed accent.
    Accent,
    /// Three or four notes together.
    Chord,
    /// The first beat of a bar.
    Barline,
}

impl Strength {
    fn of(score: &Score, note: &Attack) -> Option<Self> {
        let letters = note.events.iter().find_map(|id| score.event(*id)?.sudden_letters());
        letters
            .map(Self::Sudden)
            .or_else(|| note.marks.iter().any(|mark| mark.is_accent()).then_some(Self::Accent))
            .or_else(|| (note.notes.len() >= 3).then_some(Self::Chord))
            .or_else(|| score.starts_bar(note).then_some(Self::Barline))
    }
}

/// A strong note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::advice) struct StrongNote {
    pub id: EventId,
    /// Index of its bar.
    pub bar: usize,
    pub strength: Strength,
    /// The bow that begins with it, or in which it is struck after a stop; none where it is slurred to a note before.
    pub bow: Option<Direction>,
}

/// The strong notes of a part.
pub(in crate::advice) type StrongNotes = BTreeMap<EventId, StrongNote>;

/// All strong notes.
pub(in crate::advice) fn strong_notes(study: &Study) -> StrongNotes {
    let (score, analysis) = (&study.lesson().score, study.analysis());
    let mut notes = BTreeMap::new();
    for stroke in &analysis.bowing.strokes {
        // Grace notes lead to the note that has the accent or the beat.
        let mut begins = true;
        for k in stroke.notes.clone() {
            let note = analysis.note(k);
            let bow = (begins || analysis.is_stopped(k)).then_some(stroke.direction);
            begins &= note.grace.is_some();
            if let Some(strength) = Strength::of(score, note) {
                notes.insert(note.id(), StrongNote { id: note.id(), bar: note.bar, strength, bow });
            }
        }
    }
    notes
}

/// Strong notes that one bowing plays another way than the one before, in the order of the music.
#[derive(Clone, Debug, Default)]
pub(in crate::advice) struct Turned {
    /// On a down-bow that were on an up-bow, or, if they have an accent, inside a slur.
    pub down: Vec<StrongNote>,
    /// On an up-bow that were not.
    pub up: Vec<StrongNote>,
    /// Inside a slur that began a down-bow.
    pub over: Vec<StrongNote>,
}

impl Turned {
    pub fn between(before: &StrongNotes, after: &StrongNotes) -> Self {
        let mut turned = Self::default();
        for (id, was) in before {
            let Some(is) = after.get(id) else { continue };
            // One that is cut out of a slur at a barline alone gains nothing.
            let new = was.bow.is_some() || was.strength != Strength::Barline;
            match (was.bow, is.bow) {
                (Some(Direction::Up) | None, Some(Direction::Down)) if new => turned.down.push(*is),
                (Some(Direction::Down) | None, Some(Direction::Up)) => turned.up.push(*is),
                (Some(Direction::Down), None) => turned.over.push(*is),
                _ => {}
            }
        }
        for list in [&mut turned.down, &mut turned.up, &mut turned.over] {
            list.sort_by_key(|note| note.bar);
        }
        turned
    }
}
