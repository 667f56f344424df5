//! Which way each stroke goes: a least-cost way through all strokes of the line.
//!
//! On the string strokes alternate; after a rest, a breath or a tremolo either direction is open. Bow
//! marks on the notes are held. What speaks for and against a direction is weighed ([`Lean`]), and the
//! cheapest way through all strokes is found by dynamic programming, so that a start is chosen for what
//! follows up to the next rest and beyond.
//!
//! Where alternating would turn a passage upside down, or would miss a printed mark, a player starts the
//! other way round where the metre lets that be, or takes two notes in one direction, hooked or with a
//! retake: whatever costs least. Behind a mark strokes alternate up to the next mark or rest: whoever
//! marks a bow means what follows from it.

mod figures;
mod lean;

use crate::{
    score::{Attack, Direction, Dynamics, Line, Quarters, Score},
    setup::Leanings,
};

use figures::{alike, marked_again};
pub(crate) use lean::Lean;
use lean::SOFT;
pub(super) use lean::{HASTY_S, Weigher};

/// How a bow is reached from the bow before it, as far as directions go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Link {
    /// On the string: the other way.
    Turned,
    /// Set again at a retake: the same way.
    Retaken,
    /// In the bow of the note before it after a stop: the same way.
    Hooked,
    /// After a tremolo of an even number of strokes: the same way.
    Again,
    /// Free, after a silence of so many quarters.
    Free(Quarters),
    /// Free, where a tremolo left the bow: either way is as good.
    Either,
    /// Nothing comes before it.
    Opening,
}

impl Link {
    /// Both directions are open.
    fn is_free(self) -> bool {
        matches!(self, Self::Free(_) | Self::Either | Self::Opening)
    }
}

/// Notes in one direction: indices of its first and last note into the line, and how it is reached.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bow {
    pub first: usize,
    pub last: usize,
    pub link: Link,
}

/// A retake that turns the bow costs so many times as much as one that does not. Assumed: nothing that follows
/// makes up for it.
const CONTRADICTED: f64 = 4.0;

/// What a retake costs more on a marked note behind the first of a movement: such a mark mostly tells the way
/// of the first. Assumed.
const MARKED_SECOND: f64 = 1.0;

const WAYS: [Direction; 2] = [Direction::Down, Direction::Up];

/// The direction of each bow, and what speaks against it.
///
/// What a figure costs that is bowed otherwise than before hangs on the way taken so far, so that the
/// cheapest way to a bow need not be the beginning of the cheapest way through all: where figures come
/// back it is a good way, not proven to be the best.
pub(super) fn directions(
    score: &Score,
    whole: &Line,
    bows: &[Bow],
    leanings: &Leanings,
) -> Vec<(Direction, f64)> {
    let (line, dynamics) = (&whole.notes[..], &whole.dynamics);
    let mut weighed = weighed(score, whole, bows, leanings);
    for (weighed, bow) in weighed.iter_mut().zip(bows) {
        if let Some(way) = grows_the_other_way(line, *bow, dynamics) {
            weighed.own[way as usize] += leanings.against_hairpin;
        }
    }
    // The least cost of all bows so far if the last goes down, and up; and which way the bow before each
    // goes then.
    let mut least = [0.0_f64; 2];
    let mut came: Vec<[usize; 2]> = Vec::with_capacity(bows.len());
    for (bow, weighed) in bows.iter().zip(&weighed) {
        // A hooked note goes with the note before it, whatever its mark says.
        let mark = line[bow.first].bow.filter(|_| bow.link != Link::Hooked);
        let (mut next, mut from) = ([f64::INFINITY; 2], [0; 2]);
        for (before, so_far) in least.into_iter().enumerate() {
            let model = weighed.alike.map(|model| way_of(&came, before, model));
            for way in (0..2).filter(|&way| mark.is_none_or(|mark| mark == WAYS[way])) {
                let cost = so_far + weighed.cost(way, before, model);
                if cost < next[way] {
                    (next[way], from[way]) = (cost, before);
                }
            }
        }
        least = next;
        came.push(from);
    }
    let mut way = usize::from(least[1] < least[0]);
    let mut ways = Vec::with_capacity(bows.len());
    for from in came.iter().rev() {
        ways.push(way);
        way = from[way];
    }
    ways.reverse();
    let against = |k: usize| {
        weighed[k].cost(ways[k], ways[k.saturating_sub(1)], weighed[k].alike.map(|model| ways[model]))
    };
    (0..bows.len()).map(|k| (WAYS[ways[k]], against(k))).collect()
}

/// A hairpin has a say in the direction of a bow that lasts so many quarters, and changes by so many dynamic
/// steps in it. Assumed.
const FELT_QUARTERS: i64 = 2;
const FELT_STEPS: f64 = 0.5;

/// The direction that goes against the growing or fading of a long bow.
fn grows_the_other_way(line: &[Attack], bow: Bow, dynamics: &Dynamics) -> Option<Direction> {
    let (from, until) = (line[bow.first].onset, line[bow.last].end());
    if until - from < Quarters::from(FELT_QUARTERS) {
        return None;
    }
    let change = dynamics.level(until.to_f64() - 1e-6) - dynamics.level(from.to_f64());
    (change.abs() >= FELT_STEPS).then_some(if change > 0.0 { Direction::Down } else { Direction::Up })
}

/// On the cheapest way to the last bow in this direction, the direction of an earlier bow.
fn way_of(came: &[[usize; 2]], last: usize, bow: usize) -> usize {
    came[bow + 1..].iter().rev().fold(last, |way, from| from[way])
}

/// What speaks against a bow. Ways are 0 for down and 1 for up.
#[derive(Clone, Copy, Debug)]
struct Weighed {
    own: [f64; 2],
    /// Reached by turning the bow.
    turned: f64,
    /// Reached in the direction of the bow before it, down and up.
    again: [f64; 2],
    /// An earlier bow with which the same figure began.
    alike: Option<usize>,
    /// Begun otherwise than that.
    unlike: f64,
}

impl Weighed {
    /// What it costs in this direction, after a bow in that one; `model` is the direction of the bow with
    /// which the same figure began.
    fn cost(&self, way: usize, before: usize, model: Option<usize>) -> f64 {
        let reached = if way == before { self.again[way] } else { self.turned };
        let unlike = if model.is_some_and(|model| model != way) { self.unlike } else { 0.0 };
        self.own[way] + reached + unlike
    }
}

/// For each bow whether it follows from a mark: one stands before it on the string, none on it.
fn follows_a_mark(line: &[Attack], bows: &[Bow]) -> Vec<bool> {
    let mut since = false;
    let follows = bows.iter().map(|bow| {
        let marked = line[bow.first].bow.is_some();
        let follows = since && !marked && !bow.link.is_free();
        since = marked || since && !bow.link.is_free();
        follows
    });
    follows.collect()
}

fn weighed(score: &Score, whole: &Line, bows: &[Bow], leanings: &Leanings) -> Vec<Weighed> {
    let line = &whole.notes[..];
    let alike = alike(score, line, bows);
    let follows = follows_a_mark(line, bows);
    let marked_again = marked_again(score, line, bows);
    let weigher = Weigher::new(score, whole, leanings);
    let weigh = |(k, bow): (usize, &Bow)| {
        let before = k.checked_sub(1).map(|before| &line[bows[before].last]);
        let lean = weigher.lean(&line[bow.first..=bow.last], before, bow.link);
        let (turned, again) = match bow.link {
            Link::Opening | Link::Either => (0.0, [0.0; 2]),
            Link::Free(_) => (0.0, [lean.again_after_rest; 2]),
            Link::Turned => {
                let mut again = if follows[k] { [f64::INFINITY; 2] } else { [lean.retake, lean.hook[1]] };
                if bows[k - 1].link == Link::Opening && line[bow.first].bow.is_some() {
                    again[0] += MARKED_SECOND;
                }
                if let Some(way) = marked_again[k] {
                    again[way as usize] = leanings.again_as_marked;
                }
                (0.0, again)
            }
            // It turns only between two marks that contradict it.
            Link::Retaken => (CONTRADICTED * lean.retake, [lean.retake; 2]),
            Link::Again => (lean.retake, [0.0; 2]),
            Link::Hooked => (f64::INFINITY, lean.hook),
        };
        let ends = Lean::end(score, &line[bow.last], line.get(bow.last + 1), leanings);
        let own = [lean.own[0] + ends, lean.own[1]];
        let soft = whole.dynamics.level(line[bow.first].onset.to_f64()) <= SOFT;
        let unlike = if soft { leanings.unlike_softly } else { leanings.unlike_before };
        Weighed { own, turned, again, alike: alike[k], unlike }
    };
    bows.iter().enumerate().map(weigh).collect()
}

/// How the bow goes on after a tremolo. A measured one has so many strokes that it says itself which
/// way the next goes; an unmeasured one ends where the hand stopped.
///
/// One or two slashes are measured, as eighths and sixteenths; from three on it is unmeasured (common
/// practice, no source).
pub(super) fn after_tremolo(note: &Attack) -> Link {
    let slashes = note.tremolo.unwrap_or(0);
    if !(1..=2).contains(&slashes) {
        return Link::Either;
    }
    // Each flag of the note counts as a slash.
    let flags = (0..6).find(|flags| note.duration >= Quarters::new(1, 1 << flags)).unwrap_or(6);
    let strokes = note.duration * Quarters::from(1 << (flags + u32::from(slashes)));
    match (strokes.denom(), strokes.numer() % 2) {
        (1, 0) => Link::Again,
        (1, _) => Link::Turned,
        _ => Link::Either,
    }
}
