//! Places that are like each other: what is bowed anew at one of them is bowed so at all.

use std::collections::BTreeMap;

use crate::{
    analysis::Study,
    score::{Attack, Quarters},
};

/// Where a note stands: from the barline, the bow it lies in and its place in that, the note before it, and
/// whether it has an accent or a dot.
type Place = (Quarters, Vec<Quarters>, usize, Option<Quarters>, [bool; 2]);

/// For each bowed note the like one before it, at most so many bars away. Assumed.
const BARS: usize = 4;

/// For each bowed note the nearest one before it that stands in a like place: as far from the barline, in a bow
/// of the same rhythm, behind as long a note, and with the same accents and dots.
pub(in crate::advice) fn like_before(study: &Study) -> Vec<Option<usize>> {
    let (score, analysis) = (&study.lesson().score, study.analysis());
    let mut latest: BTreeMap<Place, usize> = BTreeMap::new();
    let mut like = Vec::with_capacity(analysis.bowing.notes.len());
    for stroke in &analysis.bowing.strokes {
        let lengths: Vec<Quarters> = stroke.notes.clone().map(|k| analysis.note(k).duration).collect();
        for (place, k) in stroke.notes.clone().enumerate() {
            let note = analysis.note(k);
            let start = score.bars.get(note.bar).map_or(Quarters::ZERO, |bar| bar.start);
            let before = k.checked_sub(1).map(|before| analysis.note(before).duration);
            let accent = |note: &Attack| note.marks.iter().any(|mark| mark.is_accent());
            let marks = [accent(note), note.is_dotted()];
            let key = (note.onset - start, lengths.clone(), place, before, marks);
            let near = |other: &usize| analysis.note(*other).bar + BARS >= note.bar;
            like.push(latest.insert(key, k).filter(near));
        }
    }
    like
}
