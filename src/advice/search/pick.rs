//! The answers of a search: bowings that differ in what they are good at.

use crate::{lesson::Edit, score::Direction};

use super::{
    super::difference::changed_marks,
    answer::Suggestion,
    field::Field,
    merit::Merit,
    tried::{BETTER, Pool, Tried},
    words,
};

/// Bowings of an excerpt that are weighed in the whole part: so many of those that are worth telling, and of those
/// that weigh least. Assumed.
const CARRIED: usize = 16;

/// The answers in full, but for their reasons.
pub(super) fn answers(pool: &Pool, most: usize) -> Vec<Suggestion> {
    picked(pool, most).into_iter().filter_map(|tried| suggestion(pool.field, tried)).collect()
}

/// The best of all, or the bowing as it is where nothing is better; then what is worth telling ([`Merit`]), each bowed
/// in other directions on the chosen notes than those before it and gaining something that none of them gains; and
/// last the bowing as it is, to compare, where there is more than one answer.
fn picked<'a>(pool: &'a Pool, most: usize) -> Vec<&'a Tried> {
    let (now, best) = (&pool.tried[0], best(pool));
    let ways = |tried: &Tried| -> Vec<Direction> {
        let chosen = tried.bowing.iter().enumerate().filter(|(k, _)| pool.field.is_chosen(*k));
        chosen.map(|(_, choice)| choice.direction).collect()
    };
    let compares = most > 1 && best.bowing != now.bowing;
    let mut picked = vec![best];
    let mut told: Vec<Merit> = Merit::of(pool.field, best, now, best).into_iter().collect();
    for merit in worth_telling(pool) {
        let room = picked.len() + usize::from(compares) < most;
        let is_other = picked.iter().chain([&now]).all(|other| ways(other) != ways(merit.tried));
        if room && is_other && !told.iter().any(|before| merit.adds_nothing_to(before)) {
            picked.push(merit.tried);
            told.push(merit);
        }
    }
    picked.extend(compares.then_some(now));
    picked
}

/// What weighs least; the bowing as it is where nothing weighs less.
fn best<'a>(pool: &'a Pool) -> &'a Tried {
    let now = &pool.tried[0];
    let least = ranked(pool).into_iter().next().unwrap_or(now);
    if least.weight < now.weight - BETTER { least } else { now }
}

/// What was tried, the least weight first.
fn ranked<'a>(pool: &'a Pool) -> Vec<&'a Tried> {
    let mut ranked: Vec<&Tried> = pool.tried.iter().collect();
    ranked.sort_by(|a, b| {
        (a.weight.total_cmp(&b.weight))
            .then(a.changed.marks.cmp(&b.changed.marks))
            .then_with(|| a.bowing.cmp(&b.bowing))
    });
    ranked
}

/// What is worth telling, the first to be told first.
fn worth_telling<'a>(pool: &'a Pool) -> Vec<Merit<'a>> {
    let (now, best) = (&pool.tried[0], best(pool));
    let worth = ranked(pool).into_iter().filter(|tried| tried.bowing != now.bowing);
    let mut worth: Vec<Merit> = worth.filter_map(|tried| Merit::of(pool.field, tried, now, best)).collect();
    worth.sort_by(|a, b| a.rank.total_cmp(&b.rank));
    worth
}

/// What was tried in an excerpt that is worth weighing in the whole part: what weighs least, and what may be told.
pub(super) fn carried<'a>(pool: &'a Pool) -> Vec<&'a Tried> {
    let worth = worth_telling(pool).into_iter().map(|merit| merit.tried).take(CARRIED);
    let ways = pool.tried.iter().filter(|tried| tried.way.is_some());
    ranked(pool).into_iter().take(CARRIED).chain(worth).chain(ways).collect()
}

/// The answer in full, but for its reasons.
fn suggestion(field: &Field, tried: &Tried) -> Option<Suggestion> {
    let now = field.study();
    let study =
        if tried.bowing == field.present() { now.clone() } else { now.with(field.write(&tried.bowing)?) };
    let changes = changed_marks(&now.lesson().score, &study.lesson().score);
    let headline = words::headline(tried.kept_way().filter(|_| !changes.is_empty()), &changes);
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
