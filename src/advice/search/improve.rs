//! A bowing made better note by note.

use super::{
    ask::SearchError,
    choice::Choice,
    tried::{BETTER, Pool},
};

/// Two notes changed at a time lie at most so far apart. Assumed.
const PAIR: usize = 12;

/// A choice at one note.
type At = (usize, Choice);

/// Changes one note at a time, then two, as long as it gets better.
pub(super) fn improve(pool: &mut Pool, mut best: usize) -> Result<(), SearchError> {
    loop {
        let changes = changes(pool, best);
        let single = changes.iter().map(|change| vec![*change]);
        match better(pool, best, single.chain(pairs(&changes)))? {
            Some(better) => best = better,
            None => return Ok(()),
        }
    }
}

/// The first of these sets of changes that makes a bowing better; none where too many were tried.
fn better(
    pool: &mut Pool,
    best: usize,
    sets: impl Iterator<Item = Vec<At>>,
) -> Result<Option<usize>, SearchError> {
    for set in sets {
        if pool.looked_at() >= pool.most {
            return Ok(None);
        }
        let Some(next) = pool.field.changed(&pool.tried[best].bowing, &set) else { continue };
        if let Some(index) = pool.try_out(next)?
            && pool.tried[index].weight < pool.tried[best].weight - BETTER
        {
            return Ok(Some(index));
        }
    }
    Ok(None)
}

/// Two changes at notes near each other.
fn pairs(changes: &[At]) -> impl Iterator<Item = Vec<At>> {
    changes.iter().enumerate().flat_map(|(place, first)| {
        let near = |second: &&At| second.0 != first.0 && second.0.abs_diff(first.0) <= PAIR;
        changes[place + 1..].iter().filter(near).map(|second| vec![*first, *second])
    })
}

/// All changes of one note of a bowing; where something is found in it, first.
fn changes(pool: &Pool, of: usize) -> Vec<At> {
    let tried = &pool.tried[of];
    let far = |k: usize| tried.troubled.iter().map(|at| at.abs_diff(k)).min().unwrap_or(0) / 4;
    let mut order: Vec<usize> = (0..tried.bowing.len()).collect();
    order.sort_by_key(|&k| (far(k), k));
    let at = |k: usize| {
        let before = k.checked_sub(1).map(|before| tried.bowing[before].direction);
        let others = pool.field.choices(k, before).filter(move |choice| *choice != tried.bowing[k]);
        others.map(move |choice| (k, choice))
    };
    order.into_iter().flat_map(at).collect()
}
