//! How notes, bows and parts of the bow are named.

use std::ops::Range;

use super::story::Story;
use crate::{
    bowing::{Zone, a_bow},
    score::{BarName, Direction, NoteValue, Quarters, StrokeType, count_words},
};

/// A single note of at least so many quarters is called long. Assumed.
const LONG: i64 = 2;

/// "near the frog", "in the lower half".
pub(in crate::practice) fn at(zone: Zone) -> &'static str {
    match zone {
        Zone::Frog => "near the frog",
        Zone::LowerHalf => "in the lower half",
        Zone::Middle => "about the middle",
        Zone::UpperHalf => "in the upper half",
        Zone::Tip => "near the tip",
    }
}

/// Nearer to an end of the hair than this share the bow is at it. Assumed.
const AT_THE_END: f64 = 0.08;

/// "toward the frog", "into the lower half", of a share of the hair.
pub(in crate::practice) fn to(share: f64) -> &'static str {
    match Zone::of(share) {
        Zone::Frog if share < AT_THE_END => "to the frog",
        Zone::Frog => "toward the frog",
        Zone::LowerHalf => "into the lower half",
        Zone::Middle => "to the middle",
        Zone::UpperHalf => "into the upper half",
        Zone::Tip if share > 1.0 - AT_THE_END => "to the tip",
        Zone::Tip => "toward the tip",
    }
}

/// "a down-bow", "a down-bow again".
pub(super) fn bow_words(direction: Direction, again: bool) -> String {
    format!("{}{}", a_bow(direction), if again { " again" } else { "" })
}

impl Story<'_> {
    /// A stroke in words: "the D", "the long D", "the slur from the G".
    pub fn stroke_words(&self, stroke: usize) -> String {
        let main = self.evidence.main_note(stroke);
        let called = self.evidence.called(main);
        let count = self.evidence.main_notes(stroke);
        if count > 1 {
            let notes = self.evidence.strokes()[stroke].notes.clone();
            let stopped = notes.clone().filter(|&note| self.analysis.is_stopped(note)).count();
            return match (count, stopped) {
                (2, 1..) => format!("the hooked pair from {called}"),
                (_, 1..) => format!("the bow of {} notes from {called}", count_words(count)),
                (2, _) => format!("the slur from {called}"),
                _ => format!("the slur of {} notes from {called}", count_words(count)),
            };
        }
        let note = self.analysis.note(main);
        if note.duration >= Quarters::from(LONG) && note.notes.len() == 1 {
            return called.replacen("the ", "the long ", 1);
        }
        called
    }

    /// Bars in words: "bar 7", "bars 7 and 8", "bars 7 to 10"; without their movement, since what is told of is near.
    pub fn bars_words(&self, bars: &Range<usize>) -> String {
        let name = |bar: usize| self.lesson.score.bar_name(bar, &[]);
        let (first, last) = (name(bars.start), name(bars.end.saturating_sub(1)));
        if bars.len() == 2 { BarName::words_of(&[&first, &last]) } else { first.words_to(&last) }
    }

    /// Several strokes in words: "the four quarters", "the next five bows".
    pub fn run_words(&self, strokes: &Range<usize>) -> String {
        let value = |stroke: usize| {
            let main = self.evidence.main_note(stroke);
            let single = self.evidence.main_notes(stroke) == 1;
            single.then(|| (self.analysis.note(main).duration, self.analysis.bowed(main).stroke_type))
        };
        let first = value(strokes.start);
        let count = count_words(strokes.len());
        match first {
            Some((length, kind))
                if strokes.clone().all(|stroke| value(stroke).map(|v| v.0) == Some(length)) =>
            {
                let chords = strokes
                    .clone()
                    .all(|stroke| self.analysis.note(self.evidence.main_note(stroke)).notes.len() == 2);
                let tremolo = kind == StrokeType::Tremolo;
                match (tremolo, chords) {
                    (true, _) => format!("the {count} notes in tremolo"),
                    (_, true) => format!("the {count} double stops"),
                    _ => format!("the {count} {}", values_words(length)),
                }
            }
            _ => format!("the next {count} bows"),
        }
    }
}

/// "quarters", "dotted eighths", "triplets", "notes".
fn values_words(length: Quarters) -> String {
    let plural = |value: NoteValue| match value.words().as_str() {
        "half" => "half notes".to_owned(),
        "dotted half" => "dotted half notes".to_owned(),
        "whole" | "dotted whole" | "double whole" => format!("{} notes", value.words()),
        words => format!("{words}s"),
    };
    if let Some(value) = NoteValue::of_length(length) {
        plural(value)
    } else if length.denom() % 3 == 0 {
        "triplet notes".to_owned()
    } else {
        "notes".to_owned()
    }
}
