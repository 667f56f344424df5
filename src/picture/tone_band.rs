//! Speed, weight and sounding point of one note as a small band: a few steps, never a scale of
//! numbers. The usual step of the dynamic is an outline, the planned one is filled.

use kurbo::Rect;

use super::{Anchor, Face, Ink, Pen, Picture};
use crate::{
    setup::Setup,
    tone::{LANES, ToneNote, WEIGHTS},
};

const SMALL_MM: f64 = 2.5;
/// Room for the name of a row and for the words at both of its ends, mm.
const NAME_MM: f64 = 23.0;
/// Height of a row, mm.
const ROW_MM: f64 = 4.4;
/// Steps of the speed. Assumed.
const SPEEDS: usize = 5;

/// Draws the band `width_mm` wide.
pub fn tone_band(setup: &Setup, tone: &ToneNote, width_mm: f64) -> Picture {
    let mut picture = Picture::new(width_mm, 3.0 * ROW_MM);
    // From a calm stroke at the softest to a short one at the loudest.
    let (slow, fast) = (setup.speed_mm_per_s(0.0), setup.short_stroke_mm_per_s(7.0));
    let speed = |mm_per_s: f64| {
        let share = (mm_per_s / slow).ln() / (fast / slow).ln();
        if share.is_finite() {
            ((share * SPEEDS as f64).max(0.0) as usize).min(SPEEDS - 1)
        } else {
            SPEEDS / 2
        }
    };
    let rows = [
        (
            "bridge",
            "fingerboard",
            LANES,
            ToneNote::lane(tone.usual.point),
            ToneNote::lane(tone.planned.point),
        ),
        (
            "light",
            "heavy",
            WEIGHTS,
            tone.weight_step(tone.usual.weight_n),
            tone.weight_step(tone.planned.weight_n),
        ),
        ("slow", "fast", SPEEDS, speed(tone.usual.speed_mm_per_s), speed(tone.planned.speed_mm_per_s)),
    ];
    let (left, right) = (NAME_MM * 0.5, width_mm - NAME_MM * 0.75);
    for (row, (low, high, steps, usual, planned)) in rows.into_iter().enumerate() {
        let top = row as f64 * ROW_MM + 0.5;
        let bottom = top + ROW_MM - 1.4;
        let base = bottom - 0.6;
        picture.text((left - 1.5, base), low, SMALL_MM, (Face::Sans, Anchor::End, Ink::Text));
        picture.text((right + 1.5, base), high, SMALL_MM, (Face::Sans, Anchor::Start, Ink::Text));
        let step_mm = (right - left).max(1.0) / steps as f64;
        for step in 0..steps {
            let from = left + step as f64 * step_mm;
            let cell = |inset: f64| Rect::new(from + 0.3, top, from + step_mm - 0.3, bottom).inset(-inset);
            let edge = if step == usual { Pen::solid(Ink::Text, 0.35) } else { Pen::solid(Ink::Rule, 0.2) };
            picture.stroke(cell(0.0), edge);
            if step == planned {
                picture.fill(cell(0.55), Ink::Plan);
            }
        }
    }
    picture
}
