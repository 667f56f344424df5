//! Words at the staff. Common practice, no source.

use kurbo::Point;

use super::page::Page;
use crate::picture::{Face, Ink, SPACE_MM, signed};

/// Size of words.
pub(super) const WORDS_MM: f64 = 2.0 * SPACE_MM;

/// Words that tell the loudness or the character stand under the staff, technique above.
pub(super) fn below_the_staff(words: &str) -> bool {
    let words = words.to_lowercase();
    [
        "cresc",
        "dim",
        "decresc",
        "dolce",
        "espr",
        "sempre",
        "più",
        "piu",
        "poco",
        "morendo",
        "smorz",
        "calando",
        "perdendo",
        "sotto",
        "mezza",
        "cantabile",
        "leggiero",
    ]
    .iter()
    .any(|start| words.trim_start().starts_with(start))
        || leads_a_mark(words.trim())
}

/// Words that are read before the dynamic mark beside them. Common practice, no source.
pub(super) fn leads_a_mark(words: &str) -> bool {
    ["più", "piu", "poco", "un poco", "meno", "molto", "sempre", "ma", "quasi"].contains(&words)
}

impl Page<'_> {
    /// Text in which note signs and accidentals come from the music font.
    pub(super) fn words(&mut self, at: Point, text: &str, size: f64, face: Face) {
        signed::text(&mut self.picture, at, text, size, (face, Ink::Text));
    }
}
