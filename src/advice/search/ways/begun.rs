//! Where the bow is free: begun the other way, by turns, afresh, alike.

use std::collections::BTreeMap;

use super::{
    super::{
        choice::{Choice, Choices, Link},
        field::Field,
        paths::Note,
    },
    follow::follow,
};
use crate::score::{Direction, Quarters};

/// What turns the chosen notes round, the likeliest first: a turn at the place nearest before them where the bow is
/// free, the first of them retaken or hooked, a turn at the first free place among them.
fn turns(field: &Field) -> Vec<(usize, Choice)> {
    let (now, Some(first)) = (field.present(), field.first_chosen()) else { return Vec::new() };
    let may_turn = |k: &usize| now[*k].link.is_open() && field.allows(*k, turn(now[*k]));
    let turned = |k: usize| (k, Choice { direction: turn(now[k]), ..now[k] });
    let before = (0..=first).rev().find(may_turn).map(turned);
    let starts = now[first].link.starts();
    let again =
        [Link::Retake, Link::Hook].into_iter().filter(|link| starts && field.links(first).contains(link));
    let again = again.map(|link| (first, Choice { link, ..now[first] }));
    let later = (first + 1..now.len()).find(may_turn).map(turned);
    before.into_iter().chain(again).chain(later).collect()
}

/// The chosen notes the other way round, by all that turns them.
pub(super) fn turned(field: &Field) -> Vec<Choices> {
    turns(field).into_iter().filter_map(|turn| follow(field, field.present(), &[turn])).collect()
}

fn turn(choice: Choice) -> Direction {
    choice.direction.turned()
}

/// As it comes, begun as now or turned round by all that turns it: stroke by stroke the other way, over rests too,
/// but for what a mark asks for.
pub(super) fn by_turns(field: &Field, notes: &[Note], is_turned: bool) -> Vec<Choices> {
    let (now, Some(first)) = (field.present(), field.first_chosen()) else { return Vec::new() };
    let mut way = if is_turned { turn(now[first]) } else { now[first].direction };
    let mut changes: Vec<(usize, Choice)> = Vec::new();
    for k in (first + 1..now.len()).filter(|&k| field.is_chosen(k)) {
        let Choice { link, .. } = now[k];
        let unasked = field.is_hooked_unasked(k) || link == Link::Retake && !notes[k].marked;
        let link = if unasked && field.links(k).contains(&Link::Change) { Link::Change } else { link };
        way = if link.starts() && link != Link::Retake { way.turned() } else { way };
        changes.push((k, Choice { link, direction: way }));
    }
    if !is_turned {
        return follow(field, now, &changes).into_iter().collect();
    }
    let begun = |turn| follow(field, now, &[&[turn][..], &changes].concat());
    turns(field).into_iter().filter_map(begun).collect()
}

/// A fresh down-bow after every rest.
pub(super) fn fresh(field: &Field) -> Option<Choices> {
    let now = field.present();
    let open = (0..now.len()).filter(|&k| field.is_chosen(k) && now[k].link.is_open());
    let down = |k| (k, Choice { direction: Direction::Down, ..now[k] });
    follow(field, now, &open.map(down).collect::<Vec<_>>())
}

/// What comes back between rests begun as it was the first time.
pub(super) fn alike(field: &Field, begun: &[Choice]) -> Option<Choices> {
    let (score, line) = (&field.study().lesson().score, field.study().analysis());
    let open: Vec<usize> = (0..begun.len()).filter(|&k| begun[k].link.is_open()).collect();
    let ends = open.iter().copied().skip(1).chain([begun.len()]);
    let mut first: BTreeMap<_, Direction> = BTreeMap::new();
    let mut changes = Vec::new();
    for (&start, end) in open.iter().zip(ends).filter(|(start, _)| field.is_chosen(**start)) {
        let head = line.note(start);
        let in_bar = score.bars.get(head.bar).map(|bar| (head.onset - bar.start) / bar.time.beat());
        let in_beat =
            in_bar.map(|beats| Quarters::new(beats.numer().rem_euclid(beats.denom()), beats.denom()));
        let rhythm: Vec<_> = (start..end).map(|k| (line.note(k).duration, begun[k].link.starts())).collect();
        let direction = *first.entry((in_beat, rhythm)).or_insert(begun[start].direction);
        changes.push((start, Choice { direction, ..begun[start] }));
    }
    follow(field, begun, &changes)
}
