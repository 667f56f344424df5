//! Strong notes brought on a down-bow.

use super::{
    super::{
        choice::{Choice, Choices, Link},
        field::Field,
        paths::Note,
    },
    follow::follow,
};
use crate::score::Direction;

/// A note whose up-bow costs so much more than its down-bow wants a down-bow. Assumed: accents and bars.
const STRONG: f64 = 0.6;

/// A bowing with its strong notes brought down, as far as this repair can do it.
pub(super) fn brought_down(field: &Field, notes: &[Note], begun: &[Choice], repair: Link) -> Choices {
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
                let new = follow(field, &bowing, &[(at, Choice { link: repair, direction })])?;
                (new[k].direction == Direction::Down).then_some(new)
            });
            bowing = brought.unwrap_or(bowing);
        }
        since = if strong { k } else { since };
    }
    bowing
}
