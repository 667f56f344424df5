//! The answers of a search: the bowings that a player takes most readily.

use crate::{lesson::Edit, score::Direction};

use super::{
    super::difference::changed_marks,
    answer::Suggestion,
    choice::Choice,
    field::Field,
    figures::Joint,
    liking::{AS_IT_IS, Reader, TOLD},
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

/// What weighs least, in full but for its reasons.
pub(super) fn lightest(pool: &Pool) -> Vec<Suggestion> {
    suggestion(pool.field, least(pool)).into_iter().collect()
}

/// What a player takes, the readiest first, each joined otherwise than those before it and not only turned round; among
/// them the bowing as it is, where there is room for two. What weighs least is the first where it cures something.
fn picked<'a>(pool: &'a Pool, most: usize) -> Vec<&'a Tried> {
    let now = &pool.tried[0];
    let field = pool.field;
    let chosen = |tried: &Tried| -> Vec<Choice> { field.chosen_notes().map(|k| tried.bowing[k]).collect() };
    let joints = |tried: &Tried| -> Vec<Joint> {
        chosen(tried).into_iter().skip(1).map(|choice| Joint::of(choice.link)).collect()
    };
    let ways = |tried: &Tried| -> Vec<Direction> {
        chosen(tried).into_iter().map(|choice| choice.direction).collect()
    };
    let is_now = |tried: &Tried| joints(tried) == joints(now) && ways(tried) == ways(now);
    let others = most - usize::from(most > 1);
    let mut picked: Vec<(f64, &Tried)> = Vec::new();
    for (liking, tried) in worth_telling(pool) {
        let is_other = picked.iter().all(|(_, before)| joints(before) != joints(tried));
        if picked.len() < others && is_other && !is_now(tried) {
            picked.push((liking, tried));
        }
    }
    let place = picked.iter().take_while(|(liking, _)| *liking > AS_IT_IS).count();
    picked.insert(place, (AS_IT_IS, now));
    picked.into_iter().map(|(_, tried)| tried).take(most).collect()
}

/// What weighs least; the bowing as it is where nothing weighs less.
fn least<'a>(pool: &'a Pool) -> &'a Tried {
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

/// What is worth telling with how it is liked, the first to be told first.
fn worth_telling<'a>(pool: &'a Pool) -> Vec<(f64, &'a Tried)> {
    let (now, least) = (&pool.tried[0], least(pool));
    let reader = Reader::new(pool.field);
    let others = ranked(pool).into_iter().filter(|tried| tried.bowing != now.bowing);
    let liked = others.map(|tried| {
        let cures = tried.bowing == least.bowing && tried.cures(now);
        (if cures { f64::INFINITY } else { reader.liking(tried, now) }, tried)
    });
    let mut worth: Vec<(f64, &Tried)> = liked.filter(|(liking, _)| *liking > TOLD).collect();
    worth.sort_by(|a, b| b.0.total_cmp(&a.0));
    worth
}

/// What was tried in an excerpt that is worth weighing in the whole part: what weighs least, and what may be told.
pub(super) fn carried<'a>(pool: &'a Pool) -> Vec<&'a Tried> {
    let worth = worth_telling(pool).into_iter().map(|(_, tried)| tried).take(CARRIED);
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
