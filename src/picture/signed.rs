//! Text with signs of the music font among its letters: the text fonts have none of notes and accidentals.

use kurbo::Point;

use super::{Anchor, Face, Ink, Item, Picture, glyph, smufl, smufl::Sign};

/// Staff spaces in an em.
const EM: f64 = 4.0;

/// Draws a line of text from its left end on.
pub(super) fn text(picture: &mut Picture, at: Point, text: &str, size_mm: f64, (face, ink): (Face, Ink)) {
    let mut x = at.x;
    for run in runs(text) {
        match run {
            Run::Text(text) => {
                let width = glyph::text_width_mm(&text, size_mm, face);
                picture.text((x, at.y), text, size_mm, (face, Anchor::Start, ink));
                x += width;
            }
            Run::Sign(sign) => {
                let left = sign.bounds().x0 * SPACE * size_mm;
                let lift = if ACCIDENTALS.contains(&sign) { 0.36 * size_mm } else { 0.06 * size_mm };
                picture.items.push(Item::Glyph {
                    at: Point::new(x - left, at.y - lift),
                    glyph: sign.code,
                    size_mm: EM * SPACE * size_mm,
                    ink,
                    tag: None,
                });
                x += sign_width(sign, size_mm);
            }
        }
    }
}

/// Width of a line of text, mm.
pub(super) fn width_mm(text: &str, size_mm: f64, face: Face) -> f64 {
    let wide = |run| match run {
        Run::Text(text) => glyph::text_width_mm(&text, size_mm, face),
        Run::Sign(sign) => sign_width(sign, size_mm),
    };
    runs(text).into_iter().map(wide).sum()
}

/// Beside words a note is as high as they are: a staff space in their size.
const SPACE: f64 = 0.26;

fn sign_width(sign: Sign, size_mm: f64) -> f64 {
    (sign.advance() - sign.bounds().x0) * SPACE * size_mm + 0.08 * size_mm
}

/// The letter that a sign among words stands for, for those who have them read.
pub(super) fn letter(code: char) -> Option<&'static str> {
    let known = [
        (smufl::BEAT_WHOLE, "\u{1D15D}"),
        (smufl::BEAT_HALF, "\u{1D15E}"),
        (smufl::BEAT_QUARTER, "♩"),
        (smufl::BEAT_8, "♪"),
        (smufl::BEAT_16, "\u{1D161}"),
        (smufl::FLAT, "♭"),
        (smufl::NATURAL, "♮"),
        (smufl::SHARP, "♯"),
    ];
    known.into_iter().find(|(sign, _)| sign.code == code).map(|(_, letter)| letter)
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
