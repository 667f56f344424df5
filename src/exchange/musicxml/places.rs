//! Places on the bow over the staff: as words, or as small signs with a legend.
//!
//! Both are plain text, since a score file has no element for a place on the bow and programs keep text as it is. The
//! signs are letters and fractions that any text font has.

use strum::{EnumCount, VariantArray};

use crate::{
    analysis::Study,
    bowing::{Density, Zone},
    score::{EventId, PLACE_SIGNS, PLACES_LEGEND, Sign, SignKind, variants},
};

/// A stroke takes the whole bow from this share of the hair on. Assumed.
const WHOLE: f64 = 0.75;

/// What is written over the staff besides what the lesson holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Besides {
    /// Pencil marks, and fixed places on the bow, as words.
    pub pencil: Density,
    /// Where the bow is.
    pub places: Places,
}

impl Default for Besides {
    fn default() -> Self {
        Self { pencil: Density::None, places: Places::None }
    }
}

/// How places on the bow are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, EnumCount, VariantArray)]
pub enum Places {
    /// Not at all; those that stand there stay.
    #[default]
    None,
    /// The part of the bow, where it changes.
    Words,
    /// The start of each bow, from frog to point, where it is another than before.
    Signs,
}

impl Places {
    /// All of them.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// Its name on the screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "nothing",
            Self::Words => "as words, where the part of the bow changes",
            Self::Signs => "as small signs, with a legend",
        }
    }
}

/// A part of the bow that strokes stay in, as it is written; `None` for the whole bow.
const PARTS: [(Option<Zone>, &str); 6] = [
    (None, "whole bow"),
    (Some(Zone::Frog), "frog"),
    (Some(Zone::Tip), "tip"),
    (Some(Zone::Middle), "middle of the bow"),
    (Some(Zone::LowerHalf), "lower half"),
    (Some(Zone::UpperHalf), "upper half"),
];

/// The text is one of those that are written for places, so that it goes before places are written anew.
pub(super) fn is_written_so(text: &str, places: Places) -> bool {
    let is_sign = PLACE_SIGNS.contains(&text) || text == PLACES_LEGEND;
    match places {
        Places::None => false,
        Places::Signs => is_sign,
        Places::Words => is_sign || PARTS.iter().any(|(_, part)| *part == text),
    }
}

/// The text stands small over the staff.
pub(super) fn is_small(text: &str) -> bool {
    is_written_so(text, Places::Signs)
}

/// What is written over which notes.
pub(super) fn texts(study: &Study, places: Places) -> Vec<(EventId, &'static str)> {
    match places {
        Places::None => Vec::new(),
        Places::Words => in_words(study),
        Places::Signs => in_signs(study),
    }
}

/// The first note of each stroke, and from where to where it goes, as shares of the hair.
fn strokes(study: &Study) -> Vec<(EventId, (f64, f64))> {
    let analysis = study.analysis();
    let hair = study.lesson().setup.bow.hair_mm.max(1.0);
    let of = |stroke: &crate::bowing::Stroke| {
        let from = analysis.plan.places_mm(stroke.notes.start).0 / hair;
        let to = analysis.plan.places_mm(stroke.notes.end - 1).1 / hair;
        (analysis.note(stroke.notes.start).id(), (from, to))
    };
    analysis.bowing.strokes.iter().map(of).collect()
}

/// Parts of the bow with as few changes as can be: each the one that the longest run of strokes stays in. A stroke that
/// stays in none has no word, and ends the one before.
fn in_words(study: &Study) -> Vec<(EventId, &'static str)> {
    let strokes = strokes(study);
    let stays = |part: Option<Zone>, (from, to): (f64, f64)| match part {
        Some(zone) => zone.around().contains(&from) && zone.around().contains(&to),
        None => (to - from).abs() >= WHOLE,
    };
    let (mut texts, mut at) = (Vec::new(), 0);
    while let Some((event, _)) = strokes.get(at) {
        let run = |part: &(Option<Zone>, &'static str)| {
            strokes[at..].iter().take_while(|(_, way)| stays(part.0, *way)).count()
        };
        // Of runs as long as one another the narrower part, which stands first.
        let longest = PARTS.iter().map(|part| (run(part), part.1)).rev().max_by_key(|(count, _)| *count);
        let (count, text) = longest.unwrap_or_default();
        if count > 0 {
            texts.push((*event, text));
        }
        at += count.max(1);
    }
    texts
}

/// A sign at the start of a stroke to the nearest quarter of the hair; the first has the legend.
fn in_signs(study: &Study) -> Vec<(EventId, &'static str)> {
    let sign = |share: f64| PLACE_SIGNS[((share.clamp(0.0, 1.0) * 4.0).round() as usize).min(4)];
    let mut texts = Vec::new();
    for (event, (from, _)) in strokes(study) {
        if texts.last().is_none_or(|(_, before)| *before != sign(from)) {
            texts.push((event, sign(from)));
        }
    }
    // Behind the first sign, so that it stands over the signs and not under them.
    if let Some((event, _)) = texts.first() {
        texts.insert(1, (*event, PLACES_LEGEND));
    }
    texts
}

/// Signs that are no text for places written earlier.
pub(super) fn stays(sign: &Sign, places: Places) -> bool {
    !matches!(&sign.kind, SignKind::Words(text) if is_written_so(text, places))
}
