//! The bowing of many notes at once.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    lesson::{EditError, Lesson},
    score::{Direction, EventId, SameBow, Score, Slur, Tied, tied},
};

use super::bowing::{cut_slurs, slur_over};
use super::refuse;

/// How a note is joined to the note before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joined {
    /// As it is now.
    AsItIs,
    /// Not at all: it starts a bow, by a change on the string.
    OwnBow,
    /// It starts a bow, after the bow was lifted.
    Retake,
    /// In the same bow, after a stop.
    Hook,
    /// In the same bow, under a slur.
    Slur,
}

/// The new marks of one note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rebowed {
    /// The written events of the note, the one with the marks first.
    pub events: Vec<EventId>,
    /// How it is joined to the note before it.
    pub joined: Joined,
    /// The bow mark printed on it.
    pub mark: Option<Direction>,
}

/// The lesson with new bowing marks on many notes.
///
/// `notes` come in the order of the music. A note to be slurred must follow directly on a note of
/// the same voice. A slur that grows takes the place of the slurs inside it; a slur that is cut keeps
/// its identity on the first of its parts.
///
/// # Errors
/// When a note is not in the score, or one to be slurred has no note before it in its voice.
pub fn rebowed(lesson: &Lesson, notes: &[Rebowed]) -> Result<Lesson, EditError> {
    let mut new = lesson.clone();
    let mut joined_of: BTreeMap<EventId, Joined> = BTreeMap::new();
    let mut marks: BTreeMap<EventId, (&Rebowed, bool)> = BTreeMap::new();
    for note in notes {
        for (place, id) in note.events.iter().enumerate() {
            joined_of.insert(*id, note.joined);
            marks.insert(*id, (note, place == 0));
        }
    }
    if write_marks(&mut new.score, &marks) < marks.len() {
        return refuse("One of these notes is not in the score any more");
    }
    let all = tied(&lesson.score.events, &lesson.score.slurs);
    let voices: BTreeSet<u8> = all.iter().map(|note| note.head.voice).collect();
    for voice in voices {
        let line: Vec<_> = all.iter().filter(|note| note.head.voice == voice).cloned().collect();
        let asked: Vec<Joined> =
            line.iter().map(|note| joined_of.get(&note.id()).copied().unwrap_or(Joined::AsItIs)).collect();
        if asked.iter().any(|joined| *joined != Joined::AsItIs) {
            write_slurs(&mut new.score, &lesson.score, &line, &asked)?;
        }
    }
    Ok(new)
}

/// Writes marks, retakes and hooks; tells how many of the events were found.
fn write_marks(score: &mut Score, marks: &BTreeMap<EventId, (&Rebowed, bool)>) -> usize {
    let mut found = 0;
    for event in &mut score.events {
        let Some((note, leads)) = marks.get(&event.id) else { continue };
        found += 1;
        if *leads {
            event.bow = note.mark;
            match note.joined {
                Joined::AsItIs => {}
                Joined::OwnBow | Joined::Slur => (event.retake, event.same_bow) = (false, None),
                Joined::Retake => (event.retake, event.same_bow) = (true, None),
                Joined::Hook => (event.retake, event.same_bow) = (false, Some(SameBow::Hooked)),
            }
        } else if event.bow.is_some() {
            // A second voice of the same note must not contradict it.
            event.bow = note.mark;
        }
    }
    found
}

/// Writes the slurs of one voice, from what is asked of each of its notes.
fn write_slurs(score: &mut Score, old: &Score, line: &[Tied], asked: &[Joined]) -> Result<(), EditError> {
    // Whether each note will lie under one slur with the note before it.
    let slurred: Vec<bool> = (0..line.len())
        .map(|k| match asked[k] {
            Joined::AsItIs => {
                k > 0 && line[k].slur.is_some() && line[k].slur == line[k - 1].slur && !line[k].slur_start
            }
            Joined::Slur => k > 0 && line[k].head.grace.is_none(),
            Joined::OwnBow | Joined::Retake | Joined::Hook => false,
        })
        .collect();
    if (0..line.len()).any(|k| asked[k] == Joined::Slur && !slurred[k]) {
        return refuse("No note comes directly before this one; there is nothing to slur it to");
    }
    // The runs that hold a new joint are written anew, all other slurs are only cut.
    let mut part = vec![Some(0_usize); line.len()];
    let mut cuts = 0;
    let mut grown = Vec::new();
    let mut first = 0;
    while first < line.len() {
        let last = (first + 1..line.len()).find(|&k| !slurred[k]).unwrap_or(line.len());
        let grows = asked[first..last].contains(&Joined::Slur);
        cuts += usize::from(!matches!(asked[first], Joined::AsItIs | Joined::Slur));
        part[first..last].fill((!grows).then_some(cuts));
        if grows {
            grown.push(first..last);
        }
        first = last;
    }
    score.slurs = cut_slurs(score, line, |k| part[k]);
    for run in grown {
        let kept = old.slurs.iter().find(|slur| {
            line[run.start].holds(slur.from)
                && !slur.phrase
                && score.slurs.iter().all(|other| other.id != slur.id)
        });
        let id = kept.map_or(score.free_slur_id(), |slur| slur.id);
        score.slurs.push(Slur { id, ..slur_over(&line[run]) });
    }
    score.slurs.sort_by_key(|slur| slur.id);
    Ok(())
}
