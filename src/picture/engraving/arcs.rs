//! Ties and slurs: from where to where, and on which side.

use std::collections::HashMap;

use super::chord::Chord;
use crate::score::{EventId, Mark, Score, Slur};

/// A tie or a slur between two events.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::picture) struct Arc {
    /// Index of the first event.
    pub from: usize,
    /// Index of the last event.
    pub to: usize,
    /// Ties: half spaces above the bottom line at both ends.
    pub step: i32,
    /// Curves upward.
    pub above: bool,
    /// A phrase mark rather than a bow slur.
    pub phrase: bool,
}

/// A line from a note to the next of its voice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::picture) struct Slide {
    /// Index of the event it starts at.
    pub from: usize,
    /// Index of the event it leads to.
    pub to: usize,
}

/// The lines of glissandi, by their first events.
pub(super) fn slides(score: &Score) -> Vec<Slide> {
    let mut before: HashMap<u8, usize> = HashMap::new();
    let mut slides = Vec::new();
    for (to, event) in score.events.iter().enumerate().filter(|(_, event)| event.grace.is_none()) {
        let Some(from) = before.insert(event.voice, to).filter(|_| !event.is_rest()) else { continue };
        if [Mark::Glissando, Mark::Slide].iter().any(|mark| score.events[from].marks.contains(mark)) {
            slides.push(Slide { from, to });
        }
    }
    slides
}

/// Ties by their first event.
pub(super) fn ties(score: &Score, chords: &[Chord]) -> Vec<Arc> {
    // Open ties by voice and pitch: (event, step).
    let mut open: HashMap<(u8, i64), (usize, i32)> = HashMap::new();
    let mut ties = Vec::new();
    for (index, event) in score.events.iter().enumerate() {
        for head in &chords[index].heads {
            let note = &event.notes[head.note];
            let key = (event.voice, (note.pitch.midi() * 4.0).round() as i64);
            if note.tie_stop
                && let Some((from, step)) =
                    open_tie(&mut open, key, |from| score.events[from].end() == event.onset)
            {
                let chord = &chords[from];
                let above = if chord.shared_bar {
                    chord.up
                } else if chord.heads.len() > 1 {
                    2 * step > chord.low() + chord.high()
                } else {
                    !chord.up
                };
                ties.push(Arc { from, to: index, step, above, phrase: false });
            }
            if note.tie_start {
                open.insert(key, (index, head.step));
            }
        }
    }
    ties.sort_by_key(|tie| tie.from);
    ties
}

/// The open tie to a note: of its own voice, or of another that ends where it starts.
fn open_tie(
    open: &mut HashMap<(u8, i64), (usize, i32)>,
    key: (u8, i64),
    ends_here: impl Fn(usize) -> bool,
) -> Option<(usize, i32)> {
    open.remove(&key).or_else(|| {
        let other = open.iter().find(|((_, pitch), (from, _))| *pitch == key.1 && ends_here(*from));
        let other = *other?.0;
        open.remove(&other)
    })
}

/// Slurs, inner ones first; those that stand for a tie to another voice are put among the ties.
pub(super) fn slurs(score: &Score, chords: &[Chord], ties: &mut Vec<Arc>) -> Vec<Arc> {
    let index: HashMap<EventId, usize> =
        score.events.iter().enumerate().map(|(index, event)| (event.id, index)).collect();
    let arc = |slur: &Slur| {
        let (from, to) = (*index.get(&slur.from)?, *index.get(&slur.to)?);
        if from >= to {
            return None;
        }
        let voice = score.events[from].voice;
        let mut under = (from..=to).filter(|&i| score.events[i].voice == voice && !score.events[i].is_rest());
        let shared = chords[from].shared_bar;
        let above = if shared { chords[from].up } else { !under.all(|i| chords[i].up) };
        Some(Arc { from, to, step: 0, above, phrase: slur.phrase })
    };
    let mut slurs: Vec<Arc> = score.slurs.iter().filter_map(arc).collect();
    slurs.retain(|slur| {
        let tie = tie_to_another_voice(score, chords, slur);
        let already = |tie: &Arc| ties.iter().any(|old| (old.from, old.to) == (tie.from, tie.to));
        ties.extend(tie.filter(|tie| !already(tie)));
        tie.is_none()
    });
    ties.sort_by_key(|tie| tie.from);
    slurs.sort_by_key(|slur| (slur.to - slur.from, slur.from));
    slurs
}

/// A slur over one pitch from a note to the next one in another voice is a tie written otherwise.
fn tie_to_another_voice(score: &Score, chords: &[Chord], slur: &Arc) -> Option<Arc> {
    let (from, to) = (&score.events[slur.from], &score.events[slur.to]);
    let follows = from.voice != to.voice && from.end() == to.onset;
    let held = |note: &&crate::score::Note| to.notes.iter().any(|other| other.pitch == note.pitch);
    let place = from.notes.iter().filter(|_| follows).find(held)?;
    let head = chords[slur.from].heads.iter().find(|head| from.notes[head.note].pitch == place.pitch)?;
    Some(Arc { step: head.step, ..*slur })
}
