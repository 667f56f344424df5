//! Other ways that a player thinks of, whether they weigh less or not: the same passage begun the other way
//! round, and each way that brings the strong notes on a down-bow.
//!
//! A search for the least weight alone passes these over where the bowing as it is weighs less; as second
//! and third answers they are what a player compares it with.

use crate::score::Direction;

use super::{
    choice::{Choice, Choices, Link},
    field::Field,
    paths::Note,
};

/// A note whose up-bow costs so much more than its down-bow wants a down-bow. Assumed: accents and bars.
const STRONG: f64 = 0.6;

/// What is done to bring a strong note on a down-bow, each where it costs least: two notes hooked, a
/// retake, a slur cut, two notes slurred.
const REPAIRS: [Link; 4] = [Link::Hook, Link::Retake, Link::Change, Link::Slur];

/// The bowing as it is and turned round, plain and with every strong note brought down in one manner.
pub(super) fn ways(field: &Field, notes: &[Note]) -> Vec<Choices> {
    let now = field.present().to_vec();
    let mut ways: Vec<Choices> = turned(field).into_iter().collect();
    for begun in std::iter::once(now).chain(ways.clone()) {
        for repair in REPAIRS {
            let mended = mended(field, notes, &begun, repair);
            ways.extend((mended != begun).then_some(mended));
        }
    }
    ways
}

/// The chosen notes the other way round, from the place nearest before them where the bow is free.
fn turned(field: &Field) -> Option<Choices> {
    let first = field.first_chosen()?;
    let may_turn =
        |k: &usize| field.present()[*k].link.is_open() && field.allows(*k, turn(field.present()[*k]));
    let from = (0..=first).rev().find(may_turn).or_else(|| (first..field.present().len()).find(may_turn))?;
    let now = field.present()[from];
    follow(field, field.present(), (from, Choice { direction: turn(now), ..now }))
}

fn turn(choice: Choice) -> Direction {
    choice.direction.turned()
}

/// A bowing with one change; where what follows cannot go on otherwise, hooked or retaken where the chosen
/// notes end.
fn follow(field: &Field, bowing: &[Choice], change: (usize, Choice)) -> Option<Choices> {
    let seam = field.behind_chosen().filter(|seam| *seam > change.0);
    let again = [Link::Hook, Link::Retake].into_iter().filter_map(|link| {
        let seam = seam.filter(|&seam| field.links(seam).contains(&link))?;
        field.changed(bowing, &[change, (seam, Choice { link, ..bowing[seam] })])
    });
    field.changed(bowing, &[change]).into_iter().chain(again).next()
}

/// A bowing with its strong notes brought down, as far as this repair can do it.
fn mended(field: &Field, notes: &[Note], begun: &[Choice], repair: Link) -> Choices {
    let mut bowing = begun.to_vec();
    let mut since = 0;
    for k in 1..bowing.len() {
        let [down, up] = notes[k].lean.own;
        let strong = bowing[k].link.starts() && up - down >= STRONG;
        if strong && bowing[k].direction == Direction::Up {
            let open = |at: &usize| bowing[*at].link != repair && field.links(*at).contains(&repair);
            let cost = |at: usize| match repair {
                Link::Hook => notes[at].lean.hook[bowing[at - 1].direction as usize],
                Link::Change => notes[at].cut,
                Link::Slur => notes[at].join,
                _ => 0.0,
            };
            let places = if repair == Link::Retake { k..k + 1 } else { since + 1..k };
            let mut places: Vec<usize> = places.filter(open).collect();
            places.sort_by(|a, b| cost(*a).total_cmp(&cost(*b)).then(b.cmp(a)));
            let brought = places.into_iter().find_map(|at| {
                let before = bowing[at - 1].direction;
                let direction = if repair == Link::Change { before.turned() } else { before };
                let new = follow(field, &bowing, (at, Choice { link: repair, direction }))?;
                (new[k].direction == Direction::Down).then_some(new)
            });
            bowing = brought.unwrap_or(bowing);
        }
        since = if strong { k } else { since };
    }
    bowing
}
