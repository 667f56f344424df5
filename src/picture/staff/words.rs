//! Words with signs of the music font among them. Common practice, no source.

use kurbo::Point;

use super::page::Page;
use crate::picture::{Anchor, Face, Ink, Item, SPACE_MM, glyph};

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
}

impl Page<'_> {
    /// Text in which note signs and accidentals come from the music font.
    pub(super) fn words(&mut self, at: Point, text: &str, size: f64, face: Face) {
        let mut x = at.x;
        for run in runs(text) {
            match run {
                Run::Text(text) => {
                    let width = glyph::text_width_mm(&text, size, face);
                    self.picture.text((x, at.y), text, size, (face, Anchor::Start, Ink::Text));
                    x += width;
                }
                Run::Sign(sign) => {
                    let em = 0.92 * size;
                    let lift = if ('\u{266D}'..='\u{266F}').contains(&sign) { 0.12 } else { 0.02 };
                    let left = glyph::bounds(sign).map_or(0.0, |bounds| bounds.x0);
                    let at = Point::new(x - left * em, at.y - lift * em);
                    let item = Item::Glyph { at, glyph: sign, size_mm: em, ink: Ink::Text, tag: None };
                    self.picture.items.push(item);
                    x += (glyph::advance(sign) - left) * em;
                }
            }
        }
    }
}

enum Run {
    Text(String),
    Sign(char),
}

/// Splits a text into plain runs and signs of the music font. The text fonts have no note signs.
fn runs(text: &str) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for letter in text.chars() {
        match letter {
            '♩' => runs.push(Run::Sign('\u{1D15F}')),
            '♪' => runs.push(Run::Sign('\u{1D160}')),
            '\u{1D157}'..='\u{1D164}' | '♭' | '♮' | '♯' => runs.push(Run::Sign(letter)),
            // Combining stems and flags after a head: the head becomes the whole note sign.
            '\u{1D165}' => {
                if let Some(Run::Sign(sign)) = runs.last_mut() {
                    *sign = match *sign {
                        '\u{1D157}' => '\u{1D15E}',
                        '\u{1D158}' => '\u{1D15F}',
                        other => other,
                    };
                }
            }
            '\u{1D16E}' | '\u{1D16F}' => {
                if let Some(Run::Sign(sign)) = runs.last_mut() {
                    *sign = if letter == '\u{1D16E}' { '\u{1D160}' } else { '\u{1D161}' };
                }
            }
            _ => match runs.last_mut() {
                Some(Run::Text(text)) => text.push(letter),
                _ => runs.push(Run::Text(letter.to_string())),
            },
        }
    }
    runs
}
