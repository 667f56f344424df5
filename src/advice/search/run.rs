//! The search itself: what a player thinks of and what seems worth it is tried, the best improved and made alike, the rest gone through.

use super::{
    super::standing::{LEANING, MARK, like_before},
    ask::SearchError,
    choice::Choices,
    improve::improve,
    paths::{Paths, Taste},
    rest::go_through,
    tried::{PATHS_PART, Pool},
    ways::{Way, everywhere, ways},
};

/// Bowings of each taste that are tried. Assumed.
const A_TASTE: usize = 24;
/// Bowings of which what they change is changed wherever the figure stands. Assumed.
const ALIKE: usize = 24;
/// Bowings from which the search for a better one starts. Assumed.
const STARTS: usize = 3;

/// The tastes of the path search: one that is weighed as the answer will be, and some that lean to
/// one side, so that answers of several kinds are found.
const TASTES: [Taste; 5] = {
    let plain = Taste { mark: MARK, lean: LEANING, accent: 0.0, bend: 1.0 };
    [
        plain,
        Taste { mark: 0.6, ..plain },
        Taste { lean: 3.0 * LEANING, ..plain },
        Taste { accent: 4.0, ..plain },
        Taste { bend: 4.0, lean: 0.3 * LEANING, ..plain },
    ]
};

/// The taste that brings accents on down-bows, and of how many of its bowings that is said. Assumed.
const ACCENTS: usize = 3;
const FOR_ACCENTS: usize = 3;

/// Tries what seems worth it.
pub(super) fn search(pool: &mut Pool) -> Result<(), SearchError> {
    let paths = Paths::new(pool.field);
    let candidates = candidates(pool, &paths)?;
    pool.try_ways(ways(pool.field, paths.notes()))?;
    let accents = candidates[ACCENTS].iter().take(FOR_ACCENTS).map(|bowing| (Way::ACCENTS, bowing.clone()));
    pool.try_ways(accents.collect())?;
    // Turn by turn, so that each taste is heard where few can be tried.
    for rank in 0..A_TASTE {
        for bowing in candidates.iter().filter_map(|of_taste| of_taste.get(rank)) {
            if pool.looked_at() <= pool.most / 2 {
                pool.try_out(bowing.clone())?;
            }
        }
    }
    for start in order_of(pool).into_iter().take(STARTS) {
        improve(pool, start)?;
    }
    let like = like_before(pool.field.study());
    let alike = |tried: usize| everywhere(pool.field, &like, &pool.tried[tried].bowing);
    let alike: Vec<Choices> = order_of(pool).into_iter().take(ALIKE).filter_map(alike).collect();
    pool.try_all(alike)?;
    go_through(pool)
}

/// What was tried, the best first.
fn order_of(pool: &Pool) -> Vec<usize> {
    let mut order: Vec<usize> = (0..pool.tried.len()).collect();
    order.sort_by(|a, b| pool.tried[*a].weight.total_cmp(&pool.tried[*b].weight));
    order
}

/// What each taste finds best.
fn candidates(pool: &mut Pool, paths: &Paths<'_>) -> Result<Vec<Vec<Choices>>, SearchError> {
    let mut candidates = Vec::new();
    for (index, taste) in TASTES.iter().enumerate() {
        let mut go_on =
            |share: f64| (pool.keep_going)(PATHS_PART * (index as f64 + share) / TASTES.len() as f64);
        candidates.push(paths.find(taste, A_TASTE, &mut go_on).ok_or(SearchError::Cancelled)?);
    }
    Ok(candidates)
}
