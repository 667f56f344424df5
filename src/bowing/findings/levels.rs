//! Crossings that ask much of the arm where they come.

use super::{
    chords::SETS_S,
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{
    arm::Alternation,
    bowing::{Reached, evidence::Evidence, pencil::there},
    score::StrokeType,
};

/// A hand that goes at most so many times as fast as calmly is not told. Assumed.
const FELT: f64 = 1.25;

/// After so many equal single bows a crossing is one of many. Assumed.
const ROW: usize = 2;

impl Evidence<'_> {
    /// The strokes before this one are single notes of its length.
    fn in_a_row(&self, stroke: usize) -> bool {
        let rhythm = self.rhythm(stroke);
        let row =
            (stroke.saturating_sub(ROW)..stroke).filter(|&before| self.rhythm(before) == rhythm).count();
        rhythm.len() == 1 && row == ROW
    }
}

/// A string passed over, or a crossing far out on the bow, faster than a hand goes calmly.
pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let rules = evidence.rules();
    for crossing in &evidence.arm_path.crossings {
        let piece = crossing.into;
        // Grace notes have no time of their own that could be judged.
        let grace = |piece: usize| evidence.note(piece).grace.is_some();
        if evidence.plan.unplanned[piece] || grace(piece) || piece > 0 && grace(piece - 1) {
            continue;
        }
        // What goes to and fro, or trembles, has its own motion of the hand.
        let trembles = |piece: usize| evidence.bowed(piece).stroke_type == StrokeType::Tremolo;
        let between = |figure: &Alternation| (figure.notes.0 + 1..=figure.notes.1).contains(&piece);
        if trembles(piece)
            || piece > 0 && trembles(piece - 1)
            || evidence.arm_path.alternations.iter().any(between)
        {
            continue;
        }
        // What is soft lies far out, and within a slur to the next string the hand goes on quietly.
        let turns = evidence.bowed(piece).reached != Reached::SameStroke;
        if evidence.is_soft(piece) || crossing.skipped == 0 && !turns {
            continue;
        }
        // In a row of equal single bows the arm is in its motion.
        if evidence.in_a_row(evidence.bowing.stroke_of(piece)) {
            continue;
        }
        // In a rest the bow is set on the other string.
        if evidence.silent_s(piece) >= SETS_S {
            continue;
        }
        let far = crossing.hair_mm > rules.far_out * evidence.plan.problem.hair_mm;
        let speed = crossing.hand_mm_per_s();
        if speed <= FELT * rules.hand_mm_per_s || !(far || crossing.skipped > 0) {
            continue;
        }
        let headline = match crossing.skipped {
            0 => "a fast crossing far out on the bow",
            _ => "a string is passed over at once",
        };
        let said = Said {
            kind: Kind::CrossingFarOut,
            verdict: Verdict::Notice,
            about: About::Levels,
            heard: 0.2 + 0.2 * (speed / rules.hand_mm_per_s.max(1.0)).ln(),
            headline: headline.to_owned(),
            what: format!(
                "Into {} the hand has a long way from string to string and hardly a moment for it, {}.",
                evidence.place(piece),
                there(crossing.hair_mm / evidence.plan.problem.hair_mm.max(1.0))
            ),
            why: "The farther out, the longer the way of the hand from string to string; nearer the frog the same crossing is small.".to_owned(),
        };
        raws.push(evidence.raw(piece, said).caused_by((crossing.from, crossing.to)));
    }
}
