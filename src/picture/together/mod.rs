//! Notes that sound together: where they lie under the hand, the plane of the bow, and how the
//! weight of the arm is shared by the strings.

mod fingerboard;
mod weight;

use super::{Picture, level_fan};
use crate::{
    analysis::{BowState, Study},
    arm::Together,
    tone::StringShare,
};

/// What is to be drawn.
pub struct TogetherView<'a> {
    /// The notes.
    pub together: &'a Together,
    /// The weight on the strings of the bow plane that is shown.
    pub shares: &'a [StringShare],
    /// The bow on that plane.
    pub state: &'a BowState,
    /// Width of the drawing, mm.
    pub width_mm: f64,
}

/// Room between the drawings, mm.
const GAP_MM: f64 = 5.0;
/// Part of the width for the bridge; the rest is for the weight.
const BRIDGE_PART: f64 = 0.42;

/// Draws the fingerboard over the whole width, under it the bridge with the bow, and beside that the
/// weight on each string. Of notes that cannot be played together only the fingerboard is drawn, with
/// a guess at the strings.
pub fn together(study: &Study, view: &TogetherView) -> Picture {
    let setup = &study.lesson().setup;
    let width = view.width_mm;
    let board = fingerboard::fingerboard(setup, view.together, width);
    if view.together.problem.is_some() {
        return board;
    }
    let fan = level_fan(study, view.state, BRIDGE_PART * width);
    let rest = width - fan.width_mm - GAP_MM;
    let weight = weight::weight(setup, view.shares, rest);
    let top = board.height_mm + GAP_MM;
    let mut picture = Picture::new(width, top + fan.height_mm.max(weight.height_mm));
    picture.place(board, (0.0, 0.0));
    // A left-handed player's bow hand is at the other side.
    let fan_width = fan.width_mm;
    let places = if setup.left_handed { (rest + GAP_MM, 0.0) } else { (0.0, fan_width + GAP_MM) };
    picture.place(fan, (places.0, top));
    picture.place(weight, (places.1, top));
    picture
}
