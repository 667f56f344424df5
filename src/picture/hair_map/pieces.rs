//! The bowed notes on the map, and the stretches the bow plays without leaving the string.

use kurbo::Point;

use super::Map;
use crate::{analysis::Analysis, bowing::Reached};

/// One bowed note on the map: its place among the bowed notes, its ends on the axis, and the
/// shares of it at which the window begins and ends.
#[derive(Clone, Copy)]
pub(super) struct Piece {
    pub k: usize,
    pub x: (f64, f64),
    pub share: (f64, f64),
}

impl Piece {
    /// What lies between two values at the ends of the note, at the ends of what is shown of it.
    pub(super) fn ends(&self, start: f64, end: f64) -> (f64, f64) {
        let at = |share: f64| start + (end - start) * share;
        (at(self.share.0), at(self.share.1))
    }
}

impl Map<'_> {
    /// Places on the map for two places on the hair, at the ends of what is shown of a note.
    pub(super) fn ends_on_map(&self, piece: &Piece, hair_mm: (f64, f64)) -> [Point; 2] {
        [Point::new(piece.x.0, self.y(hair_mm.0)), Point::new(piece.x.1, self.y(hair_mm.1))]
    }

    /// The bowed notes of a version that sound in the window.
    pub(super) fn pieces(&self, analysis: &Analysis) -> Vec<Piece> {
        let (from, to) = (self.system.from.to_f64(), self.system.to.to_f64());
        let x = |at: f64| self.system.axis.x_f64(at).clamp(self.left, self.system.right_mm);
        // Onsets are in order; the note before the window may reach into it.
        let start_s = analysis.seconds_at(self.system.from);
        let first = analysis.bowing.notes.partition_point(|note| note.onset_s < start_s).saturating_sub(1);
        let end_s = analysis.seconds_at(self.system.to);
        let notes = analysis.bowing.notes.iter().enumerate().skip(first);
        let pieces = notes.take_while(|(_, note)| note.onset_s < end_s).filter_map(|(k, note)| {
            let a = analysis.quarters_at(note.onset_s);
            let b = analysis.quarters_at(note.onset_s + note.sounding_s);
            if b <= from + 1e-9 || a >= to - 1e-9 {
                return None;
            }
            let share = |at: f64| if b > a { ((at - a) / (b - a)).clamp(0.0, 1.0) } else { 0.0 };
            let left = if a < from { self.left } else { x(a) };
            Some(Piece { k, x: (left, x(b)), share: (share(from), share(to)) })
        });
        pieces.collect()
    }

    /// Runs of pieces of a version that the bow plays without leaving the string.
    pub(super) fn runs<'p>(analysis: &Analysis, pieces: &'p [Piece]) -> Vec<&'p [Piece]> {
        // Spots are in the order of the music, here and below.
        let spots = &analysis.plan.solution.impossible;
        let impossible = |k: usize| spots.binary_search_by_key(&k, |spot| spot.resumes).is_ok();
        let mut runs = Vec::new();
        let mut start = 0;
        for i in 1..=pieces.len() {
            let breaks = pieces.get(i).is_none_or(|piece| {
                matches!(analysis.bowed(piece.k).reached, Reached::Air(_) | Reached::First)
                    || impossible(piece.k)
            });
            if breaks && i > start {
                runs.push(&pieces[start..i]);
                start = i;
            }
        }
        runs
    }
}
