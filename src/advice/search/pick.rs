//! The answers of a search: bowings that differ in what they are good at.

use std::cmp::Ordering;

use crate::{lesson::Edit, score::Direction};

use super::{
    super::{
        difference::changed_marks,
        standing::{LEANING, Standing},
    },
    answer::Suggestion,
    choice::{Choice, Link},
    field::Field,
    tried::{BETTER, Pool, Tried},
    ways::Way,
    words,
};

/// Another bowing is worth telling as long as it weighs less than so much more than the best: about what
/// four strong beats on up-bows do. Assumed: a player wants something to compare, with its costs.
const WORTH_TELLING: f64 = 4.0 * LEANING;

/// What is heard less plainly, speaks less against the directions, costs less by this is a gain. Assumed.
const LESS_HEARD: f64 = 0.05;
const LESS_AGAINST: f64 = 0.3;
const CHEAPER: f64 = 0.3;

/// The answers in full, but for their reasons.
pub(super) fn answers(pool: &Pool, most: usize) -> Vec<Suggestion> {
    picked(pool, most).into_iter().filter_map(|tried| suggestion(pool.field, tried)).collect()
}

/// The best of all, or the bowing as it is where nothing is better; then the ways that a player thinks of and what
/// else gains something, each bowed otherwise on the chosen notes than those before it; and last the bowing as it
/// is, to compare, where there is more than one answer. What gains nothing is left out, so that there may be fewer.
pub(super) fn picked<'a>(pool: &'a Pool, most: usize) -> Vec<&'a Tried> {
    let now = &pool.tried[0];
    let mut ranked: Vec<&Tried> = pool.tried.iter().collect();
    ranked.sort_by(|a, b| {
        (a.weight.total_cmp(&b.weight))
            .then(a.changed.marks.cmp(&b.changed.marks))
            .then_with(|| a.bowing.cmp(&b.bowing))
    });
    let best = if ranked[0].weight < now.weight - BETTER { ranked[0] } else { now };
    let is_now = |tried: &Tried| tried.bowing == now.bowing;
    let within = |tried: &Tried| -> Vec<Choice> {
        let chosen = tried.bowing.iter().enumerate().filter(|(k, _)| pool.field.is_chosen(*k));
        chosen.map(|(_, choice)| *choice).collect()
    };
    let compares = most > 1 && !is_now(best);
    let mut picked = vec![best];
    let mut kinds = vec![Kind::of(pool.field, best, best)];
    let rank = |tried: &Tried| tried.weight - tried.way.map_or(0.0, Way::ahead);
    ranked.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
    for tried in ranked {
        let kind = Kind::of(pool.field, tried, best);
        let room = picked.len() + usize::from(compares) < most;
        let is_way = tried.way.is_some();
        let worth = tried.weight < best.weight + WORTH_TELLING && (is_way || gains(now, tried));
        let is_other = picked.iter().chain([&now]).all(|other| within(other) != within(tried));
        if room && worth && is_other && (is_way || !kinds.contains(&kind)) {
            picked.push(tried);
            kinds.push(kind);
        }
    }
    picked.extend(compares.then_some(now));
    picked
}

/// Something is better than now.
fn gains(now: &Tried, then: &Tried) -> bool {
    let (was, is) = (&now.after, &then.after);
    let hairpins = |standing: &Standing| standing.hairpins.1 - standing.hairpins.0;
    is.heard < was.heard - LESS_HEARD
        || is.against < was.against - LESS_AGAINST
        || is.cost < was.cost - CHEAPER
        || is.strong_beats.0 > was.strong_beats.0
        || hairpins(is) < hairpins(was)
        || is.stops < was.stops
        || is.retakes < was.retakes
}

/// How a bowing differs from the best: where the first chosen bow starts, and whether it has more or less
/// of the rest.
#[derive(PartialEq)]
struct Kind {
    start: Option<Direction>,
    hooks: Ordering,
    retakes: Ordering,
    divided: Ordering,
    slurred: Ordering,
}

impl Kind {
    fn of(field: &Field, tried: &Tried, best: &Tried) -> Self {
        let links = |tried: &Tried, link: Link| tried.bowing.iter().filter(|c| c.link == link).count();
        let than_best = |link: Link| links(tried, link).cmp(&links(best, link));
        Self {
            start: field.first_chosen().map(|k| tried.bowing[k].direction),
            hooks: tried.after.stops.cmp(&best.after.stops),
            retakes: than_best(Link::Retake),
            divided: tried.changed.divided.cmp(&best.changed.divided),
            slurred: tried.changed.slurred.cmp(&best.changed.slurred),
        }
    }
}

/// The answer in full, but for its reasons.
fn suggestion(field: &Field, tried: &Tried) -> Option<Suggestion> {
    let now = field.study();
    let study =
        if tried.bowing == field.present() { now.clone() } else { now.with(field.write(&tried.bowing)?) };
    let changes = changed_marks(&now.lesson().score, &study.lesson().score);
    let headline = words::headline(tried.way.filter(|_| !changes.is_empty()), &changes);
    let edit = Edit::between(&headline, now.lesson(), study.lesson());
    Some(Suggestion {
        headline,
        changes,
        reasons: Vec::new(),
        edit,
        study,
        here: tried.after.clone(),
        after: tried.after.clone(),
        changed: tried.changed,
    })
}
