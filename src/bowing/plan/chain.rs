//! A stretch reduced to its unknowns: the distinct places of the bow, in units of the hair.
//!
//! Places tied to each other (the two ends of a piece that does not move or has no choice of
//! length, a lift without reach) are one unknown with an offset. Neighbouring unknowns are linked
//! by a piece or a lift. In these terms the objective of [`cost`](super::super::problem::cost) is
//!
//! `sum_i q x_i^2 + l x_i + p ((x_i + x_{i+1})/2 - z)^2`
//! `+ sum_i w (r_i + 1/r_i - 2) + e r_i^2 + f r_i + n (r_{i-1} - r_i)^2 + constant`
//!
//! with `r_i = c (x_{i+1} - x_i) + k`, within boxes on the places and on their differences.

use super::super::corridor::{Stretch, TOUCH_MM};
use super::super::problem::{Join, Problem};

/// One unknown place.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Unknown {
    /// Corridor; no width if the place is fixed.
    pub lo: f64,
    pub hi: f64,
    pub quadratic: f64,
    pub linear: f64,
}

impl Unknown {
    /// The corridor leaves no choice.
    pub fn is_fixed(&self) -> bool {
        self.lo == self.hi
    }
}

/// What links an unknown with the next.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Link {
    /// Least and greatest difference.
    pub lo: f64,
    pub hi: f64,
    /// Ratio `r = slope * difference + shift`.
    pub slope: f64,
    pub shift: f64,
    /// Weight of `r + 1/r - 2`.
    pub speed: f64,
    pub quadratic: f64,
    pub linear: f64,
    /// Weight of `(r' - r)^2` with the link before.
    pub even: f64,
    /// Weight and goal of the middle of the two places.
    pub middle: f64,
    pub goal: f64,
}

/// Where an end of a piece is found: unknown and offset.
#[derive(Clone, Copy, Debug, Default)]
struct Tie {
    place: usize,
    offset: f64,
}

/// How fast the piece before was, as far as evenness asks.
#[derive(Clone, Copy, Debug)]
enum Before {
    Link(usize),
    Fixed(f64),
}

/// The reduced stretch.
#[derive(Debug, Default)]
pub(super) struct Chain {
    pub places: Vec<Unknown>,
    /// One fewer than the places.
    pub links: Vec<Link>,
    pub constant: f64,
    ties: Vec<(Tie, Tie)>,
    hair_mm: f64,
}

impl Chain {
    /// Reduces a stretch, reusing what is allocated.
    pub fn build(&mut self, problem: &Problem, stretch: &Stretch) {
        let hair = problem.hair_mm;
        let tied = TOUCH_MM / hair;
        self.places.clear();
        self.links.clear();
        self.ties.clear();
        self.constant = 0.0;
        self.hair_mm = hair;
        let pieces = stretch.last - stretch.first;
        self.ties.reserve(pieces);
        self.places.reserve(pieces + 1);
        self.links.reserve(pieces);
        let mut here = Tie::default();
        let mut before = Before::Fixed(1.0);
        let spans = stretch.corridor.start.iter().zip(&stretch.corridor.finish);
        for (k, (start, finish)) in (stretch.first..stretch.last).zip(spans) {
            let piece = &problem.pieces[k];
            if k == stretch.first {
                here = self.open();
            } else if let Join::Lift { reach_mm } = piece.join {
                let reach = reach_mm / hair;
                if reach > tied {
                    let from = here;
                    here = self.open();
                    self.links.push(Link {
                        lo: from.offset - reach,
                        hi: from.offset + reach,
                        slope: 1.0,
                        shift: -from.offset,
                        quadratic: problem.weights.lift,
                        ..Link::default()
                    });
                }
            }
            self.narrow(here, (start.0 / hair, start.1 / hair));
            let from = here;
            let (lo, hi) = (piece.travel_mm().0 / hair, piece.travel_mm().1 / hair);
            let wanted = piece.direction.sign() * piece.wanted_mm / hair;
            let goal = piece.place_mm / hair;
            let even = if k > stretch.first { problem.evenness(k) } else { 0.0 };
            if hi - lo > tied {
                here = self.open();
                let (slope, shift) = (1.0 / wanted, -from.offset / wanted);
                self.links.push(Link {
                    lo: lo + from.offset,
                    hi: hi + from.offset,
                    slope,
                    shift,
                    speed: piece.speed_weight,
                    middle: piece.place_weight,
                    goal: goal - 0.5 * from.offset,
                    ..Link::default()
                });
                let link = self.links.len() - 1;
                match before {
                    // Where evenness has weight, the two are neighbours.
                    Before::Link(_) => self.links[link].even = even,
                    Before::Fixed(ratio) => self.even_with(link, even, ratio),
                }
                before = Before::Link(link);
            } else {
                let travel = 0.5 * (lo + hi);
                here.offset += travel;
                self.prefer(from, piece.place_weight, goal - 0.5 * travel);
                let ratio = if piece.moves() { travel / wanted } else { 1.0 };
                self.constant += piece.speed_weight * (ratio + 1.0 / ratio - 2.0);
                match before {
                    Before::Link(earlier) => self.even_with(earlier, even, ratio),
                    Before::Fixed(earlier) => self.constant += even * (earlier - ratio).powi(2),
                }
                before = Before::Fixed(ratio);
            }
            self.narrow(here, (finish.0 / hair, finish.1 / hair));
            self.ties.push((from, here));
        }
        self.settle(tied);
    }

    /// The places of the pieces of the stretch, mm, as start and end.
    pub fn ends_mm<'a>(&'a self, x: &'a [f64]) -> impl Iterator<Item = (f64, f64)> + 'a {
        let at = |tie: Tie| (x[tie.place] + tie.offset) * self.hair_mm;
        self.ties.iter().map(move |&(start, end)| (at(start), at(end)))
    }

    /// A new unknown.
    fn open(&mut self) -> Tie {
        self.places.push(Unknown { lo: f64::NEG_INFINITY, hi: f64::INFINITY, ..Unknown::default() });
        Tie { place: self.places.len() - 1, offset: 0.0 }
    }

    fn narrow(&mut self, tie: Tie, span: (f64, f64)) {
        let place = &mut self.places[tie.place];
        place.lo = place.lo.max(span.0 - tie.offset);
        place.hi = place.hi.min(span.1 - tie.offset);
    }

    /// Adds `weight (x + offset - goal)^2`.
    fn prefer(&mut self, tie: Tie, weight: f64, goal: f64) {
        let goal = goal - tie.offset;
        let place = &mut self.places[tie.place];
        place.quadratic += weight;
        place.linear -= 2.0 * weight * goal;
        self.constant += weight * goal * goal;
    }

    /// Adds `weight (r - ratio)^2`.
    fn even_with(&mut self, link: usize, weight: f64, ratio: f64) {
        let link = &mut self.links[link];
        link.quadratic += weight;
        link.linear -= 2.0 * weight * ratio;
        self.constant += weight * ratio * ratio;
    }

    /// Fixes the places without choice, and opens the limits between two fixed ones: they hold by
    /// the corridor, and a limit met exactly would leave no room to search in.
    fn settle(&mut self, tied: f64) {
        for place in &mut self.places {
            if place.hi - place.lo < tied {
                let middle = 0.5 * (place.lo + place.hi);
                (place.lo, place.hi) = (middle, middle);
            }
        }
        for (link, ends) in self.links.iter_mut().zip(self.places.windows(2)) {
            if ends[0].is_fixed() && ends[1].is_fixed() {
                (link.lo, link.hi) = (f64::NEG_INFINITY, f64::INFINITY);
            }
        }
    }
}
