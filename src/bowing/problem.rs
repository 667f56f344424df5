//! The bowing problem in numbers: what each note wants of the hair, and what binds it.
//!
//! Nothing here knows of scores. Lengths are millimetres of hair counted from the frog end, times
//! are seconds; a down-bow makes the place grow, an up-bow makes it shrink.

use serde::{Deserialize, Serialize};

use crate::score::Direction;

/// Hair below this length is no hair at all, mm. Assumed: far below anything a hand can do, and
/// large enough that ratios of lengths stay within the range of numbers.
const NO_HAIR_MM: f64 = 1e-6;

/// The least part of its wanted hair a travelling note uses, whatever its own limit says. The cost
/// of a note without any hair is infinite; this keeps it a number. Assumed.
const LEAST_RATIO: f64 = 1e-6;

/// The hair ends only if it is passed by more than this, mm: the rounding of long sums. Assumed.
pub(super) const PASSED_MM: f64 = 1e-6;

/// The largest number accepted anywhere in a problem. Assumed; beyond any bow, tempo or weight.
const LARGEST: f64 = 1e9;

/// One note to be bowed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// Sounding time, s.
    pub seconds: f64,
    /// Hair at the wanted speed, mm.
    pub wanted_mm: f64,
    /// Hair at the slowest speed, mm.
    pub min_mm: f64,
    /// Hair at the fastest speed, mm.
    pub max_mm: f64,
    /// Direction of the bow.
    pub direction: Direction,
    /// False for a tremolo or a silent stop: it ends where it starts. A piece that wants no hair,
    /// lasts no time or may use no hair is treated the same way (see [`Piece::moves`]).
    pub travels: bool,
    /// True for a tremolo and for one of many fast separate notes: a player brings the bow along in them to
    /// wherever it is wanted next, without a thought.
    pub carries: bool,
    /// Preferred middle of the piece on the hair, mm.
    pub place_mm: f64,
    /// Weight of the preferred place, 0 for none.
    pub place_weight: f64,
    /// Weight of the wanted speed.
    pub speed_weight: f64,
    /// How the piece is reached from the one before it.
    pub join: Join,
}

/// How a piece is reached from the piece before it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Join {
    /// First piece, or first of an independent stretch: the bow may be put anywhere allowed.
    Start,
    /// Within one stroke.
    Same,
    /// A bow change on the string.
    Turn {
        /// False where an accent is written: the two speeds need not be alike.
        smooth: bool,
    },
    /// The bow is set elsewhere, or was brought there in a tremolo.
    Lift {
        /// At most this far from where it was, mm.
        reach_mm: f64,
    },
}

impl Join {
    /// The bow stays on the string: the piece starts where the one before it ends.
    pub fn stays(self) -> bool {
        matches!(self, Self::Same | Self::Turn { .. })
    }
}

/// One of the two ends of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum End {
    /// Where the piece starts.
    Start,
    /// Where the piece ends.
    Finish,
}

/// A place set by the player: this end of this piece lies in this interval.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pin {
    /// Index of the piece.
    pub piece: usize,
    /// Which end of it.
    pub at: End,
    /// Nearest to the frog, mm.
    pub lo_mm: f64,
    /// Nearest to the tip, mm.
    pub hi_mm: f64,
}

/// What the parts of the cost weigh, beside the weights of the single pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Weights {
    /// Evenness between neighbours in one stroke.
    pub even_in_stroke: f64,
    /// Evenness across a smooth bow change.
    pub even_across_turn: f64,
    /// Moving the bow in a lift.
    pub lift: f64,
}

impl Default for Weights {
    /// Assumed starting points.
    fn default() -> Self {
        Self { even_in_stroke: 1.0, even_across_turn: 0.2, lift: 0.1 }
    }
}

/// A passage to be planned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// Length of the hair, mm; the scale of the place and lift costs.
    pub hair_mm: f64,
    /// The part of the hair this player uses, mm.
    pub usable: (f64, f64),
    /// Where the bow may be put first, mm; anywhere usable if not given.
    pub start: Option<(f64, f64)>,
    /// The notes in order.
    pub pieces: Vec<Piece>,
    /// The places set by the player.
    pub pins: Vec<Pin>,
    /// Weights of the shared costs.
    pub weights: Weights,
}

/// What is wrong with a number of a problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Not a number, or infinite.
    NotFinite,
    /// Below its least allowed value: 0, or 1 mm for the hair.
    TooSmall,
    /// Above one thousand million.
    TooLarge,
    /// An interval whose upper end lies below its lower end.
    Empty,
    /// The index of a piece that does not exist.
    OutOfRange,
}

/// A problem that cannot be read as one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field} {}", match fault {
    Fault::NotFinite => "is not a finite number",
    Fault::TooSmall => "is too small",
    Fault::TooLarge => "is too large",
    Fault::Empty => "is an empty interval",
    Fault::OutOfRange => "names a piece that does not exist",
})]
pub struct PlanError {
    /// The field at fault, as `pieces[3].wanted_mm`.
    pub field: String,
    /// What is wrong with it.
    pub fault: Fault,
}

impl Piece {
    /// The piece moves along the hair: it is meant to, and it has time, wish and leave to.
    pub fn moves(&self) -> bool {
        self.travels && self.seconds > 0.0 && self.wanted_mm > NO_HAIR_MM && self.max_mm > NO_HAIR_MM
    }

    /// Hair the piece uses at the wanted speed, mm; none at all if it does not move.
    pub fn wanted_travel_mm(&self) -> f64 {
        if self.moves() { self.wanted_mm } else { 0.0 }
    }

    /// Least and most hair the piece may use, mm; none at all if it does not move.
    pub fn lengths_mm(&self) -> (f64, f64) {
        if self.moves() {
            (self.min_mm.max(LEAST_RATIO * self.wanted_mm).min(self.max_mm), self.max_mm)
        } else {
            (0.0, 0.0)
        }
    }

    /// Where the piece may end, as an interval of signed travel from its start, mm.
    pub fn travel_mm(&self) -> (f64, f64) {
        let (least, most) = self.lengths_mm();
        match self.direction {
            Direction::Down => (least, most),
            Direction::Up => (-most, -least),
        }
    }
}

impl Problem {
    /// For each piece whether a place is set for it.
    pub fn pinned(&self) -> Vec<bool> {
        let mut pinned = vec![false; self.pieces.len()];
        for pin in &self.pins {
            if let Some(pinned) = pinned.get_mut(pin.piece) {
                *pinned = true;
            }
        }
        pinned
    }

    /// The usable hair is as long as this, mm; a stroke that wants more is too long for the bow by itself.
    pub fn is_long_enough(&self, wanted_mm: f64) -> bool {
        wanted_mm <= self.usable.1 - self.usable.0 + PASSED_MM
    }

    /// Weight of evenness between piece `k - 1` and piece `k`; 0 where there is no such term.
    pub fn evenness(&self, k: usize) -> f64 {
        let weight = match self.pieces[k].join {
            Join::Same => self.weights.even_in_stroke,
            Join::Turn { smooth: true } => self.weights.even_across_turn,
            Join::Start | Join::Turn { smooth: false } | Join::Lift { .. } => return 0.0,
        };
        if k > 0 && self.pieces[k - 1].moves() && self.pieces[k].moves() { weight } else { 0.0 }
    }

    /// Checks that every number can be used.
    ///
    /// # Errors
    /// Names the first field that is not finite, out of range, or an empty interval.
    pub fn check(&self) -> Result<(), PlanError> {
        amount("hair_mm", self.hair_mm, 1.0)?;
        interval("usable", self.usable)?;
        if let Some(start) = self.start {
            interval("start", start)?;
        }
        amount("weights.even_in_stroke", self.weights.even_in_stroke, 0.0)?;
        amount("weights.even_across_turn", self.weights.even_across_turn, 0.0)?;
        amount("weights.lift", self.weights.lift, 0.0)?;
        for (k, piece) in self.pieces.iter().enumerate() {
            piece.check().map_err(|e| e.inside("pieces", k))?;
        }
        for (k, pin) in self.pins.iter().enumerate() {
            let fits = interval("lo_mm..hi_mm", (pin.lo_mm, pin.hi_mm));
            let fits = fits.and(ensure("piece", pin.piece < self.pieces.len(), Fault::OutOfRange));
            fits.map_err(|e| e.inside("pins", k))?;
        }
        Ok(())
    }
}

impl Piece {
    fn check(&self) -> Result<(), PlanError> {
        amount("seconds", self.seconds, 0.0)?;
        amount("wanted_mm", self.wanted_mm, 0.0)?;
        amount("min_mm", self.min_mm, 0.0)?;
        interval("min_mm..max_mm", (self.min_mm, self.max_mm))?;
        amount("place_mm", self.place_mm, -LARGEST)?;
        amount("place_weight", self.place_weight, 0.0)?;
        amount("speed_weight", self.speed_weight, 0.0)?;
        match self.join {
            Join::Lift { reach_mm } => amount("join.reach_mm", reach_mm, 0.0),
            Join::Start | Join::Same | Join::Turn { .. } => Ok(()),
        }
    }
}

impl PlanError {
    fn inside(self, list: &str, index: usize) -> Self {
        Self { field: format!("{list}[{index}].{}", self.field), ..self }
    }
}

fn ensure(field: &str, holds: bool, fault: Fault) -> Result<(), PlanError> {
    if holds { Ok(()) } else { Err(PlanError { field: field.to_owned(), fault }) }
}

fn amount(field: &str, value: f64, least: f64) -> Result<(), PlanError> {
    ensure(field, value.is_finite(), Fault::NotFinite)?;
    ensure(field, value >= least, Fault::TooSmall)?;
    ensure(field, value <= LARGEST, Fault::TooLarge)
}

fn interval(field: &str, (lo, hi): (f64, f64)) -> Result<(), PlanError> {
    amount(field, lo, -LARGEST)?;
    amount(field, hi, -LARGEST)?;
    ensure(field, lo <= hi, Fault::Empty)
}

/// The cost of playing the whole problem through these places, mm:
///
/// `sum w (r + 1/r - 2)` over the pieces that move, with `r` = hair used / hair wanted;
/// `+ sum w_p ((start + end)/2 - place)^2 / H^2` over all pieces;
/// `+ sum w_e (r - r')^2` over neighbours that both move, in one stroke or across a smooth change;
/// `+ sum w_l ((start' - end)/H)^2` over the lifts.
///
/// Infinite where a piece that should move does not. Slices shorter than the problem cost only the
/// pieces they cover.
pub fn cost(problem: &Problem, start_mm: &[f64], end_mm: &[f64]) -> f64 {
    let end = problem.pieces.len().min(start_mm.len()).min(end_mm.len());
    cost_between(problem, 0, end, start_mm, end_mm)
}

/// As [`cost`], of the pieces `first..last` alone, as if nothing came before them.
pub(super) fn cost_between(
    problem: &Problem,
    first: usize,
    last: usize,
    start_mm: &[f64],
    end_mm: &[f64],
) -> f64 {
    let hair = problem.hair_mm;
    let mut sum = 0.0;
    let mut ratio_before = 0.0;
    for k in first..last {
        let piece = &problem.pieces[k];
        let off_place = (0.5 * (start_mm[k] + end_mm[k]) - piece.place_mm) / hair;
        sum += piece.place_weight * off_place * off_place;
        let used = piece.direction.sign() * (end_mm[k] - start_mm[k]);
        let ratio = if piece.moves() { used.max(0.0) / piece.wanted_mm } else { 1.0 };
        if piece.speed_weight > 0.0 {
            sum += piece.speed_weight * (ratio + 1.0 / ratio - 2.0);
        }
        if k > first {
            sum += problem.evenness(k) * (ratio_before - ratio).powi(2);
            if let Join::Lift { .. } = piece.join {
                sum += problem.weights.lift * ((start_mm[k] - end_mm[k - 1]) / hair).powi(2);
            }
        }
        ratio_before = ratio;
    }
    sum
}
