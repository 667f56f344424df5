//! How the rules say what they see.

use std::{hash::Hash, ops::Range};

use strum::EnumCount;

use super::{
    finding::{Finding, Verdict},
    kinds::Kind,
};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::Quarters,
};

/// What a finding is about. Of two that are about the same thing at one place only the worse is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumCount)]
pub(super) enum About {
    /// How much bow.
    Amount,
    /// Which part of the bow.
    Place,
    /// Which way.
    Direction,
    /// Time to lift and set the bow.
    Lift,
    /// How it sounds.
    Tone,
    /// How the arm goes from string to string.
    Levels,
    /// What the other hand reaches.
    Hand,
}

/// A finding before those of one cause are joined.
pub(super) struct Raw {
    pub finding: Finding,
    pub about: About,
    /// The stroke it happens in.
    pub stroke: usize,
    /// The strokes it explains.
    pub strokes: Range<usize>,
    /// Findings of one kind with the same cause are told together.
    pub cause: u64,
}

/// What a rule says of a piece.
pub(super) struct Said {
    pub kind: Kind,
    pub verdict: Verdict,
    pub about: About,
    pub heard: f64,
    /// Headline without its bar.
    pub headline: String,
    pub what: String,
    pub why: String,
}

impl Raw {
    pub fn short(mut self, mm: f64, s: f64) -> Self {
        (self.finding.short_mm, self.finding.short_s) = (mm, s);
        self
    }

    /// Sets where the hair ends.
    pub fn out(mut self, at: Quarters) -> Self {
        self.finding.out = at;
        self
    }

    /// Sets which strokes it explains.
    pub fn over(mut self, strokes: Range<usize>) -> Self {
        self.strokes = strokes;
        self
    }

    /// Sets what the findings told together have in common.
    pub fn caused_by(mut self, cause: impl Hash) -> Self {
        self.cause = hashed(cause);
        self
    }
}

impl Evidence<'_> {
    /// What a rule says of a piece, at its start.
    pub(super) fn raw(&self, piece: usize, said: Said) -> Raw {
        self.raw_at(piece, self.note(piece).onset, said)
    }

    /// What a rule says of a piece, at a moment of it.
    pub(super) fn raw_at(&self, piece: usize, at: Quarters, said: Said) -> Raw {
        let stroke = self.bowing.stroke_of(piece);
        let Said { kind, verdict, about, heard, headline, what, why } = said;
        Raw {
            finding: Finding {
                kind,
                verdict,
                note: self.bowed(piece).note,
                event: self.note(piece).id(),
                at,
                out: at,
                place: self.place_at(at),
                headline,
                more: Vec::new(),
                heard: if heard.is_finite() { heard.clamp(0.0, 1.0) } else { 0.0 },
                short_mm: 0.0,
                short_s: 0.0,
                what,
                why,
            },
            about,
            stroke,
            strokes: stroke..stroke + 1,
            cause: self.figure(stroke),
        }
    }
}

/// How plainly a bend of the speed is heard: fully from four times on. Assumed.
pub(crate) fn heard_bend(ratio: f64) -> f64 {
    ratio.ln().abs() / 4_f64.ln()
}
