//! The line as it is bowed: its notes, the strokes they make, and which belongs to which.

use crate::{
    score::{EventId, Line, Quarters, Score, SignKind},
    setup::Setup,
};

use super::{Bowed, Reached, Stroke, bow, strokes};

/// How a line is bowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Bowing {
    /// How each bowed note is bowed; plucked notes are not among them.
    pub notes: Vec<Bowed>,
    /// The strokes, as ranges of the bowed notes.
    pub strokes: Vec<Stroke>,
    /// Practice tempo as a share of the marked tempo.
    pub tempo_share: f64,
    stroke_of: Vec<usize>,
    bowed_of: Vec<Option<usize>>,
}

/// A crescendo or diminuendo inside one stroke.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swell {
    /// The stroke, as an index.
    pub stroke: usize,
    /// Where it starts.
    pub at: Quarters,
    /// Where it ends.
    pub end: Quarters,
    /// A crescendo.
    pub opens: bool,
}

impl Bowing {
    /// Reads how a line is bowed.
    pub fn new(score: &Score, line: &Line, setup: &Setup) -> Self {
        let notes = bow(score, line, setup);
        let strokes = strokes(&notes);
        let mut stroke_of = vec![0; notes.len()];
        for (index, stroke) in strokes.iter().enumerate() {
            stroke_of[stroke.notes.clone()].fill(index);
        }
        let mut bowed_of = vec![None; line.notes.len()];
        for (k, bowed) in notes.iter().enumerate() {
            bowed_of[bowed.note] = Some(k);
        }
        Self { notes, strokes, tempo_share: setup.tempo_share, stroke_of, bowed_of }
    }

    /// The stroke of bowed note `k`.
    pub fn stroke_of(&self, k: usize) -> usize {
        self.stroke_of[k]
    }

    /// The bowed note that a note of the line is; none for plucked notes, and for what is no note.
    pub fn bowed_of(&self, note: usize) -> Option<usize> {
        self.bowed_of.get(note).copied().flatten()
    }

    /// The bowed note that holds a written event.
    pub fn bowed_of_event(&self, line: &Line, event: EventId) -> Option<usize> {
        self.bowed_of(line.note_of(event)?)
    }

    /// Bowed note `k` goes on in the bow of the one before it after a stop or pulse: hooked, portato.
    pub fn is_stopped(&self, line: &Line, k: usize) -> bool {
        let Some(before) = k.checked_sub(1) else { return false };
        let (before, note) = (&line.notes[self.notes[before].note], &line.notes[self.notes[k].note]);
        let slurred = note.slur.is_some() && note.slur == before.slur;
        let led = before.grace.is_some_and(|grace| !grace.after);
        self.notes[k].reached == Reached::SameStroke && !slurred && !led && note.grace.is_none()
    }

    /// The hairpins that lie inside one stroke, in the order of the music.
    pub fn swells(&self, score: &Score, line: &Line) -> Vec<Swell> {
        let note = |k: usize| &line.notes[self.notes[k].note];
        let inside = score.signs.iter().filter_map(|sign| {
            let SignKind::Hairpin { opens, end, .. } = sign.kind else { return None };
            let after = self.strokes.partition_point(|stroke| note(stroke.notes.start).onset <= sign.at);
            let stroke = after.checked_sub(1)?;
            let until = note(self.strokes[stroke].notes.end - 1).end();
            (end <= until && sign.at < until).then_some(Swell { stroke, at: sign.at, end, opens })
        });
        inside.collect()
    }
}
