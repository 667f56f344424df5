//! The answers of a search: bowings that differ in what they are good at.

use crate::lesson::Edit;

use super::{
    super::difference::changed_marks,
    answer::Suggestion,
    choice::Link,
    field::Field,
    tried::{BETTER, Pool, Tried},
    words,
};

/// So much better in one thing is plainly better. Assumed.
const PLAINLY: f64 = 0.05;

/// The best of all, then the best of several kinds, as far as each is better than the bowing as it is;
/// that one if nothing is better.
pub(super) fn answers(pool: &Pool, most: usize) -> Vec<Suggestion> {
    picked(pool, most).into_iter().filter_map(|tried| suggestion(pool.field, tried)).collect()
}

fn picked<'a>(pool: &'a Pool, most: usize) -> Vec<&'a Tried> {
    let now = &pool.tried[0];
    let mut ranked: Vec<&Tried> = pool.tried.iter().collect();
    ranked.sort_by(|a, b| {
        (a.weight.total_cmp(&b.weight))
            .then(a.marks_changed.cmp(&b.marks_changed))
            .then_with(|| a.bowing.cmp(&b.bowing))
    });
    let best = ranked[0];
    let mut picked = vec![if best.weight < now.weight - BETTER { best } else { now }];
    let lifted = |link: Link| matches!(link, Link::Retake | Link::Hook);
    let kinds: [&dyn Fn(&Tried) -> f64; 4] =
        [&|t| t.marks_changed as f64, &|t| -(t.after.strong_beats.0 as f64), &|t| t.after.cost, &|t| {
            t.bowing.iter().filter(|choice| lifted(choice.link)).count() as f64
        }];
    for measure in kinds {
        if picked.len() >= most {
            break;
        }
        let better = ranked.iter().filter(|t| t.weight < now.weight - BETTER);
        let found = better.min_by(|a, b| measure(a).total_cmp(&measure(b)));
        // It must be plainly better in this than what is there already.
        let differs = |found: &Tried, other: &Tried| {
            other.bowing != found.bowing && measure(found) < measure(other) - PLAINLY
        };
        if let Some(found) = found
            && picked.iter().all(|other| differs(found, other))
        {
            picked.push(found);
        }
    }
    picked
}

/// The answer in full, but for its reasons.
fn suggestion(field: &Field, tried: &Tried) -> Option<Suggestion> {
    let now = field.study();
    let study =
        if tried.bowing == field.present() { now.clone() } else { now.with(field.write(&tried.bowing)?) };
    let changes = changed_marks(&now.lesson().score, &study.lesson().score);
    let headline = words::headline(&changes);
    let edit = Edit::between(&headline, now.lesson(), study.lesson());
    Some(Suggestion {
        headline,
        changes,
        reasons: Vec::new(),
        edit,
        study,
        here: tried.after.clone(),
        after: tried.after.clone(),
        marks_changed: tried.marks_changed,
    })
}
