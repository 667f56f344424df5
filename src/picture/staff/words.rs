//! Words with signs of the music font among them. Common practice, no source.

use kurbo::Point;

use super::page::Page;
use crate::picture::{Anchor, Face, Ink, SPACE_MM, glyph, smufl, smufl::Sign};

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
        let mut x = at.x;
        for run in runs(text) {
            match run {
                Run::Text(text) => {
                    let width = glyph::text_width_mm(&text, size, face);
                    self.picture.text((x, at.y), text, size, (face, Anchor::Start, Ink::Text));
                    x += width;
                }
                Run::Sign(sign) => {
                    // Beside words a note is as high as they are.
                    let scale = 0.26 * size / SPACE_MM;
                    let (left, right) =
                        (sign.bounds().x0 * SPACE_MM * scale, sign.advance() * SPACE_MM * scale);
                    let lift = if ACCIDENTALS.contains(&sign) { 0.36 * size } else { 0.06 * size };
                    self.sign(sign, (x - left, at.y - lift), scale, Ink::Text, None);
                    x += right - left + 0.08 * size;
                }
            }
        }
    }
}

const ACCIDENTALS: [Sign; 3] = [smufl::FLAT, smufl::NATURAL, smufl::SHARP];

enum Run {
    Text(String),
    Sign(Sign),
}

/// Note values that a tempo names in words where Unicode has no common sign for them.
const NAMED: [(&str, char); 3] = [("whole", '\u{1D15D}'), ("half", '\u{1D15E}'), ("16th", '\u{1D161}')];

/// A tempo with signs in place of the note values it names before "=".
fn with_signs(text: &str) -> String {
    let mut text = text.to_owned();
    for (name, sign) in NAMED {
        for dots in ["", ".", ".."] {
            text = text.replace(&format!("{name}{dots} ="), &format!("{sign}{dots} ="));
        }
    }
    text
}

/// Splits a text into plain runs and signs of the music font. The text fonts have no note signs.
fn runs(text: &str) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for letter in with_signs(text).chars() {
        match letter {
            '♩' | '\u{1D15F}' => runs.push(Run::Sign(smufl::BEAT_QUARTER)),
            '♪' | '\u{1D160}' => runs.push(Run::Sign(smufl::BEAT_8)),
            '\u{1D161}' => runs.push(Run::Sign(smufl::BEAT_16)),
            '\u{1D157}' | '\u{1D15E}' => runs.push(Run::Sign(smufl::BEAT_HALF)),
            '\u{1D158}' => runs.push(Run::Sign(smufl::BEAT_QUARTER)),
            '\u{1D15D}' => runs.push(Run::Sign(smufl::BEAT_WHOLE)),
            '♭' => runs.push(Run::Sign(smufl::FLAT)),
            '♮' => runs.push(Run::Sign(smufl::NATURAL)),
            '♯' => runs.push(Run::Sign(smufl::SHARP)),
            // Combining stems and flags after a head: the head has become the whole note sign already.
            '\u{1D165}' => {}
            '\u{1D16E}' | '\u{1D16F}' => {
                if let Some(Run::Sign(sign)) = runs.last_mut() {
                    *sign = if letter == '\u{1D16E}' { smufl::BEAT_8 } else { smufl::BEAT_16 };
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
