//! Other ways that a player thinks of, whether they weigh less or not: the same passage begun the other way
//! round, all of it by turns, what comes back begun alike, each way that brings the strong notes on a down-bow,
//! slurs divided or made alike.
//!
//! A search for the least weight alone passes these over where the bowing as it is weighs less; as second
//! and third answers they are what a player compares it with.

mod begun;
mod everywhere;
mod follow;
mod slurs;
mod strong;

use super::{
    choice::{Choices, Link},
    field::Field,
    paths::Note,
};
use crate::score::{Bar, Quarters};

use begun::{alike, by_turns, fresh, turned};
pub(super) use everywhere::everywhere;
use slurs::{divided, drawn, grouped, paired, separate};
use strong::brought_down;

/// What is done to bring a strong note on a down-bow, each where it costs least: two notes hooked, a
/// retake, a slur cut, two notes slurred.
const REPAIRS: [Link; 4] = [Link::Hook, Link::Retake, Link::Change, Link::Slur];

/// Slurs that are divided alike: the longest alone, or all that last half as long. Assumed.
const LIKE_THE_LONGEST: [f64; 2] = [0.95, 0.5];

/// A way to bow a passage, by what a player does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Way {
    /// Begun the other way round than now.
    turned: bool,
    then: Option<Then>,
}

/// What is done besides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Then {
    ByTurns,
    Alike,
    Fresh,
    Strong(Link),
    Accents,
    Drawn,
    ByBeat,
    ByHalf,
    ByBar,
    Divided,
    Separate,
    Paired,
}

impl Way {
    /// Accents brought on down-bows.
    pub const ACCENTS: Self = Self { turned: false, then: Some(Then::Accents) };

    /// It is there to bring accents down.
    pub fn is_for_accents(self) -> bool {
        self.then == Some(Then::Accents)
    }

    /// It is there to bring strong notes down.
    pub fn is_for_strong_notes(self) -> bool {
        matches!(self.then, Some(Then::Strong(_)))
    }

    /// In a few words, for before what it changes.
    pub fn words(self) -> String {
        let then = self.then.map(|then| match then {
            Then::ByTurns => "all by turns",
            Then::Alike => "figures that come back begun alike",
            Then::Fresh => "a down-bow after every rest",
            Then::Strong(Link::Hook) => "hooked to bring strong notes down",
            Then::Strong(Link::Retake) => "retakes to bring strong notes down",
            Then::Strong(Link::Change) => "slurs divided to bring strong notes down",
            Then::Strong(_) => "slurred to bring strong notes down",
            Then::Accents => "accents on down-bows",
            Then::Drawn => "short notes taken into the long ones before",
            Then::ByBeat => "slurred by the beat",
            Then::ByHalf => "slurred by the half-bar",
            Then::ByBar => "slurred by the bar",
            Then::Divided => "divided where bows are long",
            Then::Separate => "no slurs",
            Then::Paired => "slurred two and two",
        });
        let turned = self.turned.then_some("turned round");
        turned.into_iter().chain(then).collect::<Vec<_>>().join(", ")
    }
}

/// The bowing as it is and turned round, each plain, by turns, begun alike, with every strong note brought down
/// in one manner, and with its slurs drawn anew alike, by beats, bars and half-bars or behind held notes too; and with a down-bow after every rest.
pub(super) fn ways(field: &Field, notes: &[Note]) -> Vec<(Way, Choices)> {
    let turned = turned(field);
    let begun = [Some(field.present().to_vec()), turned.first().cloned()];
    let mut ways: Vec<(Way, Choices)> = Vec::new();
    ways.extend(turned.into_iter().map(|bowing| (Way { turned: true, then: None }, bowing)));
    for (is_turned, begun) in [false, true].into_iter().zip(begun) {
        let mut add = |then: Then, bowing: Option<Choices>| {
            let way = Way { turned: is_turned, then: Some(then) };
            ways.extend(bowing.filter(|bowing| Some(bowing) != begun.as_ref()).map(|bowing| (way, bowing)));
        };
        for bowing in by_turns(field, notes, is_turned) {
            add(Then::ByTurns, Some(bowing));
        }
        let Some(begun) = &begun else { continue };
        for repair in REPAIRS {
            add(Then::Strong(repair), Some(brought_down(field, notes, begun, repair)));
        }
        add(Then::Drawn, drawn(field, begun));
        add(Then::ByBeat, grouped(field, notes, begun, |bar| bar.time.beat()));
        add(Then::ByBar, grouped(field, notes, begun, |bar| bar.length));
        add(Then::ByHalf, grouped(field, notes, begun, half));
        add(Then::Alike, alike(field, begun));
        for share in LIKE_THE_LONGEST {
            add(Then::Divided, divided(field, notes, begun, share));
        }
        add(Then::Separate, separate(field, begun));
        add(Then::Paired, paired(field, notes, begun));
    }
    ways.extend(fresh(field).map(|bowing| (Way { turned: false, then: Some(Then::Fresh) }, bowing)));
    ways
}

/// Half a bar; all of one that has no middle.
fn half(bar: &Bar) -> Quarters {
    let beats = bar.length / bar.time.beat();
    let has_middle = beats.denom() == 1 && beats.numer() % 2 == 0;
    if has_middle { bar.length / Quarters::from(2) } else { bar.length }
}
