//! The fingerboard from the front with the nut at the left: strings, fingers, and where the hand is.
//! Half steps stand where they are on the instrument, so that the stretch of the hand is true.

use kurbo::{Circle, Point, Rect};

use crate::{
    arm::{Finger, Together},
    picture::{Anchor, Face, Ink, Pen, Picture},
    setup::Setup,
};

const WORDS_MM: f64 = 3.4;
const SMALL_MM: f64 = 2.8;
/// From string to string, mm.
const STRING_MM: f64 = 6.4;
/// Room left of the nut for open strings and their names, mm.
const NUT_MM: f64 = 15.0;
/// Room over and under the strings, mm.
const OVER_MM: f64 = 4.5;
const UNDER_MM: f64 = 9.5;
/// Half steps shown at least, and beyond the highest finger. Assumed: an octave, and what a hand takes.
const LEAST_HALF_STEPS: f64 = 12.0;
const BEYOND: f64 = 3.0;
/// Radius of a finger, mm.
const FINGER_MM: f64 = 2.5;

/// Distance of a half step from the nut as a share of the string: equal temperament.
fn from_nut(half_steps: f64) -> f64 {
    1.0 - (-half_steps / 12.0).exp2()
}

pub(super) fn fingerboard(setup: &Setup, together: &Together, width_mm: f64) -> Picture {
    let strings = &setup.instrument.strings;
    let count = strings.len();
    let height = OVER_MM + STRING_MM * count.saturating_sub(1) as f64 + UNDER_MM;
    let mut picture = Picture::new(width_mm, height);
    let highest = together.heights.iter().copied().fold(0.0, f64::max);
    let shown = (highest + BEYOND).max(LEAST_HALF_STEPS);
    let long = width_mm - NUT_MM - 3.0;
    let x = |half_steps: f64| NUT_MM + long * from_nut(half_steps) / from_nut(shown);
    let y = |string: u8| OVER_MM + STRING_MM * f64::from(string.saturating_sub(1));
    let (top, bottom) = (y(1) - 3.0, y(count as u8) + 3.0);
    picture.fill(Rect::new(NUT_MM, top, width_mm - 1.0, bottom), Ink::Panel);
    for half_step in 1..=(shown as u32) {
        let at = x(f64::from(half_step));
        picture.line((at, top), (at, bottom), Pen::solid(Ink::Rule, 0.2));
    }
    picture.line((NUT_MM, top), (NUT_MM, bottom), Pen::solid(Ink::Ebony, 1.4));
    let sounds = |string: u8| together.fingers.iter().any(|(other, _)| *other == string);
    for (index, string) in strings.iter().enumerate() {
        let number = index as u8 + 1;
        let pen = if sounds(number) { Pen::solid(Ink::Text, 0.6) } else { Pen::solid(Ink::Faint, 0.3) };
        picture.line((NUT_MM - 1.5, y(number)), (width_mm - 1.0, y(number)), pen);
        let face = if sounds(number) { Face::SansBold } else { Face::Sans };
        let style = (face, Anchor::Middle, Ink::Text);
        picture.text((3.0, y(number) + 0.36 * WORDS_MM), string.name.clone(), WORDS_MM, style);
    }
    for ((&(string, finger), &height), name) in
        together.fingers.iter().zip(&together.heights).zip(&together.names)
    {
        let open = finger == Finger::Open;
        let centre = Point::new(if open { NUT_MM - 5.5 } else { x(height) }, y(string));
        let (fill, ink) = if open { (Ink::Paper, Ink::Text) } else { (Ink::Plan, Ink::Paper) };
        let edge = Some(Pen::solid(if open { Ink::Text } else { Ink::Plan }, 0.4));
        picture.path(Circle::new(centre, FINGER_MM), Some(fill), edge, None);
        // Of notes that cannot be played together the strings are a guess, and no finger is meant.
        if together.problem.is_none() {
            let style = (Face::SansBold, Anchor::Middle, ink);
            picture.text(centre + (0.0, 0.36 * SMALL_MM), finger.mark(), SMALL_MM, style);
        }
        if !open {
            // On the side of the nut a neighbouring finger on the same string cannot lie.
            let at = centre + (FINGER_MM + 0.8, -1.2);
            picture.text(at, name.clone(), SMALL_MM, (Face::SansBold, Anchor::Start, Ink::Text));
        }
    }
    if together.problem.is_none() {
        hand(&mut picture, setup, together, &x, bottom);
    }
    if setup.left_handed { picture.flipped() } else { picture }
}

/// Under the board: where the hand is and how far apart its fingers stand.
fn hand(picture: &mut Picture, setup: &Setup, together: &Together, x: &dyn Fn(f64) -> f64, bottom: f64) {
    let words_y = bottom + 5.6;
    let Some(position) = together.position else { return };
    let stopped: Vec<f64> = together.heights.iter().copied().filter(|height| *height > 0.0).collect();
    let (low, high) = stopped
        .iter()
        .fold((f64::INFINITY, 0.0_f64), |(low, high), &height| (low.min(height), high.max(height)));
    if !low.is_finite() {
        return;
    }
    let (from, to) = (x(low), x(high).max(x(low) + 0.1));
    let rail = bottom + 1.6;
    picture.line((from, rail), (to, rail), Pen::solid(Ink::Plan, 0.5));
    for at in [from, to] {
        picture.line((at, rail - 0.9), (at, rail + 0.9), Pen::solid(Ink::Plan, 0.5));
    }
    let apart_mm = setup.instrument.string_length_mm * (from_nut(high) - from_nut(low));
    let words = if apart_mm > 0.5 {
        format!("{}; the fingers stand {:.1} cm apart along the string", position.words(), apart_mm / 10.0)
    } else {
        position.words()
    };
    let room = crate::picture::glyph::text_width_mm(&words, SMALL_MM, Face::Sans);
    let left = (0.5 * (from + to) - 0.5 * room).clamp(1.0, (picture.width_mm - room - 1.0).max(1.0));
    picture.text((left, words_y), words, SMALL_MM, (Face::Sans, Anchor::Start, Ink::Text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        arm::together,
        picture::Item,
        score::{Note, Pitch},
        setup::Family,
    };

    /// Centres of the fingers drawn for notes on a violin.
    fn fingers(midi: &[i32], left_handed: bool) -> Vec<f64> {
        let mut setup = Setup::for_family(Family::Violin);
        setup.left_handed = left_handed;
        let notes: Vec<Note> = midi.iter().map(|&midi| Note::new(Pitch::from_midi(midi, false))).collect();
        let found = together(&setup, &notes, 1.0);
        assert_eq!(found.problem, None);
        let drawn = fingerboard(&setup, &found, 150.0);
        let dots = drawn.items.iter().filter_map(|item| match item {
            Item::Path { fill: Some(Ink::Plan), stroke: Some(_), .. } => item.bounds(),
            _ => None,
        });
        dots.map(|bounds| bounds.center().x).collect()
    }

    /// Equal temperament (ISO 16 gives A; the rule of the twelfth root of two is textbook): seven half
    /// steps lie at 33.26 % and twelve at half of the string.
    #[test]
    fn fingers_lie_where_the_notes_are_on_the_string() {
        let high = fingers(&[74, 81], false);
        let (d5_on_d, a5_on_a) = (high[0], high[1]);
        assert!((d5_on_d - a5_on_a).abs() < 1e-9, "an octave above two open strings is one place");
        let octave = fingers(&[62, 74], false);
        assert_eq!(octave.len(), 1, "the D string is open");
        // Third finger a fourth up against fourth finger a fifth up, as shares of the string.
        let shares = |midi| (fingers(midi, false)[0] - NUT_MM) / (150.0 - NUT_MM - 3.0) * 0.5;
        assert!((shares(&[62, 76]) - 0.3326).abs() < 1e-3, "E5 on A is seven half steps up");
        assert!((shares(&[62, 74]) - 0.2508).abs() < 1e-3, "D5 on A is five half steps up");
    }

    #[test]
    fn a_left_handed_board_is_flipped() {
        let (right, left) = (fingers(&[62, 74], false)[0], fingers(&[62, 74], true)[0]);
        assert!((right + left - 150.0).abs() < 1e-9);
    }
}
