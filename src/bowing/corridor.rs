//! Where the bow may be: every place from which the rest of a passage can still be played.
//!
//! Exact interval propagation. Forward, `F' = (F + d [m, M])` within the usable hair and the pins,
//! and `F + [-reach, reach]` over a lift; backward the same from the end; the corridor is what both
//! allow. Where the forward interval is empty nothing can be played as marked: the spot is told,
//! and the walk starts afresh behind it, so that every such spot is found.

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

use super::problem::{End, Join, Problem};
use crate::score::Direction;

/// Intervals that miss each other by no more than this still touch, mm: the rounding of long sums.
pub(super) const TOUCH_MM: f64 = 1e-9;

/// An interval of the hair, mm.
type Span = (f64, f64);

/// Where each piece of a stretch may start and end, mm.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Corridor {
    /// Where each piece may start.
    pub start: Vec<(f64, f64)>,
    /// Where each piece may end.
    pub finish: Vec<(f64, f64)>,
}

/// A run of pieces that can be played, planned on its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stretch {
    /// First piece.
    pub first: usize,
    /// One past the last piece.
    pub last: usize,
    /// Its corridor, counted from `first`.
    pub corridor: Corridor,
}

/// What makes a spot impossible.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Cause {
    /// The usable hair ends.
    Hair,
    /// The pin of this index cannot be met.
    Pin(usize),
    /// A lift is too short to reach where the bow must be set.
    Reach,
}

/// A spot that cannot be played as marked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Impossible {
    /// The piece at which it fails.
    pub piece: usize,
    /// The piece from which playing goes on: the next stroke or lift. The pieces
    /// `piece..resumes` have no plan; there are none where only a lift is too short.
    pub resumes: usize,
    /// The best place to start the piece, mm.
    pub from_mm: f64,
    /// Sounding seconds of the piece after which the hair (or the pin) ends even at the slowest
    /// speed from the best place; the whole piece if a pin lies too far ahead; 0 if it fails
    /// before it sounds.
    pub seconds_in: f64,
    /// What is missing, mm.
    pub short_mm: f64,
    /// What is missing, s: at the slowest speed, or at the fastest for a pin too far ahead. 0 where
    /// no time within the piece would help.
    pub short_seconds: f64,
    /// Why.
    pub cause: Cause,
}

/// The stretches that can be played, in order, and the spots that cannot.
///
/// Expects a problem that passes [`Problem::check`].
pub fn corridor(problem: &Problem) -> (Vec<Stretch>, Vec<Impossible>) {
    let pins = PinIndex::new(problem);
    let mut stretches = Vec::new();
    let mut spots = Vec::new();
    let mut first = 0;
    while first < problem.pieces.len() {
        first = walk(problem, &pins, first, &mut stretches, &mut spots);
    }
    (stretches, spots)
}

/// Walks forward from `first` until the stretch ends; returns where the next one starts, which lies
/// behind `first` always: a lift that is too short ends a stretch that has a piece.
fn walk(
    problem: &Problem,
    pins: &PinIndex,
    first: usize,
    stretches: &mut Vec<Stretch>,
    spots: &mut Vec<Impossible>,
) -> usize {
    let mut allowed = Corridor::default();
    let mut here = match entry(problem, pins, first) {
        Ok(span) => span,
        Err(miss) => {
            let spot = miss.before(problem, first);
            let resumes = spot.resumes;
            spots.push(spot);
            return resumes;
        }
    };
    let mut k = first;
    let spot = loop {
        let Some(piece) = problem.pieces.get(k) else { break None };
        if k > first {
            match piece.join {
                Join::Start => break None,
                Join::Same | Join::Turn { .. } => {}
                Join::Lift { reach_mm } => {
                    let set = match entry(problem, pins, k) {
                        Ok(span) => span,
                        Err(miss) => break Some(miss.before(problem, k)),
                    };
                    let reach = (here.0 - reach_mm, here.1 + reach_mm);
                    match meet(reach, set) {
                        Ok(span) => here = span,
                        Err(short_mm) => {
                            let from_mm = if reach.0 > set.1 { set.1 } else { set.0 };
                            break Some(Impossible {
                                resumes: k,
                                from_mm,
                                ..Miss { short_mm, cause: Cause::Reach, at: from_mm }.before(problem, k)
                            });
                        }
                    }
                }
            }
        }
        let travel = piece.travel_mm();
        let moved = (here.0 + travel.0, here.1 + travel.1);
        let next_stays = problem.pieces.get(k + 1).is_some_and(|next| next.join.stays());
        let keys = 2 * k + 1..=2 * k + 1 + usize::from(next_stays);
        let ended = within(moved, problem.usable).and_then(|span| pins.narrow(problem, span, keys));
        match ended {
            Ok(span) => {
                allowed.start.push(here);
                allowed.finish.push(span);
                here = span;
            }
            Err(miss) => break Some(miss.during(problem, k, here)),
        }
        k += 1;
    };
    if k > first {
        if let (Some(spot), Some(finish)) = (&spot, allowed.finish.last_mut()) {
            lead_to(problem, spot, finish);
        }
        close(problem, first, &mut allowed);
        stretches.push(Stretch { first, last: k, corridor: allowed });
    }
    let resumes = spot.as_ref().map_or(k, |spot| spot.resumes);
    spots.extend(spot);
    resumes
}

/// Where the bow may be set for piece `k`.
fn entry(problem: &Problem, pins: &PinIndex, k: usize) -> Result<Span, Miss> {
    let span = match problem.start {
        Some(start) if k == 0 => within(start, problem.usable)?,
        _ => problem.usable,
    };
    pins.narrow(problem, span, 2 * k..=2 * k)
}

/// Narrows the end of a stretch so that it leads to the best place for the spot behind it.
fn lead_to(problem: &Problem, spot: &Impossible, finish: &mut Span) {
    let reach = match problem.pieces[spot.piece].join {
        Join::Same | Join::Turn { .. } => 0.0,
        Join::Lift { reach_mm } if spot.resumes > spot.piece => reach_mm,
        Join::Lift { .. } | Join::Start => return,
    };
    if let Ok(span) = meet(*finish, (spot.from_mm - reach, spot.from_mm + reach)) {
        *finish = span;
    }
}

/// The backward pass: keeps of each forward interval what the rest can be played from.
fn close(problem: &Problem, first: usize, corridor: &mut Corridor) {
    for i in (0..corridor.start.len()).rev() {
        let piece = &problem.pieces[first + i];
        let travel = piece.travel_mm();
        let finish = corridor.finish[i];
        let start = keep(corridor.start[i], (finish.0 - travel.1, finish.1 - travel.0));
        corridor.start[i] = start;
        if i > 0 {
            let reach = if let Join::Lift { reach_mm } = piece.join { reach_mm } else { 0.0 };
            corridor.finish[i - 1] = keep(corridor.finish[i - 1], (start.0 - reach, start.1 + reach));
        }
    }
}

/// The common part, or by how much the two miss each other, mm.
fn meet(a: Span, b: Span) -> Result<Span, f64> {
    let span = (a.0.max(b.0), a.1.min(b.1));
    let short = span.0 - span.1;
    if short <= 0.0 {
        Ok(span)
    } else if short <= TOUCH_MM {
        let middle = 0.5 * (span.0 + span.1);
        Ok((middle, middle))
    } else {
        Err(short)
    }
}

/// The common part of two intervals that must have one: backward, only rounding can part them.
fn keep(a: Span, b: Span) -> Span {
    let span = (a.0.max(b.0), a.1.min(b.1));
    if span.0 <= span.1 {
        span
    } else {
        let middle = (0.5 * (span.0 + span.1)).clamp(a.0, a.1);
        (middle, middle)
    }
}

fn within(span: Span, usable: Span) -> Result<Span, Miss> {
    let nearest = if span.0 > usable.1 { usable.1 } else { usable.0 };
    meet(span, usable).map_err(|short_mm| Miss { short_mm, cause: Cause::Hair, at: nearest })
}

/// Two intervals that do not meet.
struct Miss {
    short_mm: f64,
    cause: Cause,
    /// The limit that was missed, mm.
    at: f64,
}

impl Miss {
    /// The spot where piece `k` cannot even be started.
    fn before(self, problem: &Problem, k: usize) -> Impossible {
        Impossible {
            piece: k,
            resumes: next_stroke(problem, k),
            from_mm: self.at.clamp(problem.usable.0, problem.usable.1),
            seconds_in: 0.0,
            short_mm: self.short_mm,
            short_seconds: 0.0,
            cause: self.cause,
        }
    }

    /// The spot where piece `k`, started somewhere in `here`, cannot end where it must.
    fn during(self, problem: &Problem, k: usize, here: Span) -> Impossible {
        let piece = &problem.pieces[k];
        let (least, most) = piece.lengths_mm();
        let (rear, front) = match piece.direction {
            Direction::Down => here,
            Direction::Up => (here.1, here.0),
        };
        let ahead = |from: f64| piece.direction.sign() * (self.at - from);
        let (from_mm, seconds_in, short_seconds) = if least > 0.0 && ahead(rear) < least {
            let seconds_in = (ahead(rear) / least).clamp(0.0, 1.0) * piece.seconds;
            (rear, seconds_in, piece.seconds - seconds_in)
        } else if most > 0.0 && ahead(front) > most {
            (front, piece.seconds, self.short_mm / most * piece.seconds)
        } else {
            // A piece that does not move, or pins that contradict each other: time cures neither.
            (rear, 0.0, 0.0)
        };
        Impossible { from_mm, seconds_in, short_seconds, ..self.before(problem, k) }
    }
}

/// The first piece behind `k` that starts a stroke, or the end.
fn next_stroke(problem: &Problem, k: usize) -> usize {
    let behind = problem.pieces.iter().skip(k + 1);
    k + 1 + behind.take_while(|piece| piece.join == Join::Same).count()
}

/// The pins by the end they hold: end `2 k` is the start of piece `k`, `2 k + 1` its finish, so that
/// a finish and the start it runs into are neighbours.
struct PinIndex(Vec<(usize, usize)>);

impl PinIndex {
    fn new(problem: &Problem) -> Self {
        let key = |at, piece| 2 * piece + usize::from(at == End::Finish);
        let mut ends: Vec<_> =
            problem.pins.iter().enumerate().map(|(i, pin)| (key(pin.at, pin.piece), i)).collect();
        ends.sort_unstable();
        Self(ends)
    }

    /// What the pins at these ends leave of the interval.
    fn narrow(&self, problem: &Problem, mut span: Span, keys: RangeInclusive<usize>) -> Result<Span, Miss> {
        let from = self.0.partition_point(|(key, _)| key < keys.start());
        for &(_, index) in self.0[from..].iter().take_while(|(key, _)| keys.contains(key)) {
            let pin = &problem.pins[index];
            let nearest = if span.0 > pin.hi_mm { pin.hi_mm } else { pin.lo_mm };
            span = meet(span, (pin.lo_mm, pin.hi_mm)).map_err(|short_mm| Miss {
                short_mm,
                cause: Cause::Pin(index),
                at: nearest,
            })?;
        }
        Ok(span)
    }
}
