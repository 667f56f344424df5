//! Suggestions in words.

use std::collections::BTreeSet;

use crate::{
    analysis::Study,
    score::{EventId, sentence_case},
};

use super::{
    super::{difference::Difference, standing::Standing},
    answer::Suggestion,
};

/// Costs of two plans closer than this are alike. Assumed.
const SAME_COST: f64 = 0.05;

/// The changes in a few words; how many more there are is counted as they are listed.
pub(super) fn headline(changes: &[Difference]) -> String {
    let one = |change: &Difference| format!("{}: {}", change.place, change.words);
    match changes {
        [] => "As it is".to_owned(),
        [first] => sentence_case(&one(first)),
        [first, second] => sentence_case(&format!("{}; {}", one(first), one(second))),
        [first, rest @ ..] => sentence_case(&format!("{}; and {} more changes", one(first), rest.len())),
    }
}

/// Adds the figures of the notes that were asked about, and the reasons.
pub(super) fn explain(
    study: &Study,
    asked: Option<&BTreeSet<EventId>>,
    mut answers: Vec<Suggestion>,
) -> Vec<Suggestion> {
    let inside = |event: EventId| asked.is_none_or(|asked| asked.contains(&event));
    let whole = Standing::of(study);
    let now = Standing::within(study, &inside);
    for answer in &mut answers {
        answer.here = Standing::within(&answer.study, &inside);
    }
    let all: Vec<(Standing, usize)> =
        answers.iter().map(|answer| (answer.here.clone(), answer.changes.len())).collect();
    for (index, answer) in answers.iter_mut().enumerate() {
        if answer.changes.is_empty() {
            let reasons = &mut answer.reasons;
            reasons.push("Nothing that was tried is better than the bowing as it is.".to_owned());
            if now.impossible + now.runs_out > 0 {
                let words = "The bowing can stay; where the bow runs out, less bow or another dynamic helps: see the findings.";
                reasons.push(words.to_owned());
            }
            continue;
        }
        let here = if asked.is_some() { " here" } else { "" };
        answer.reasons = against_now(&now, &answer.here, here);
        if asked.is_some() {
            answer.reasons.extend(elsewhere((&whole, &now), (&answer.after, &answer.here)));
        }
        answer.reasons.extend(among(index, &all));
    }
    answers
}

/// What one answer is best at among all of them, by how each stands and how many changes it has.
fn among(index: usize, all: &[(Standing, usize)]) -> Vec<String> {
    let (here, changes) = &all[index];
    let than_others = |better: &dyn Fn(&(Standing, usize)) -> bool| {
        all.iter().enumerate().all(|(other, answer)| other == index || better(answer))
    };
    if all.len() < 2 {
        return Vec::new();
    }
    let best = [
        (index == 0, "Best of the answers, all in all."),
        (than_others(&|(_, other)| other > changes), "It has the fewest changes of these answers."),
        (
            than_others(&|(other, _)| other.strong_beats.0 < here.strong_beats.0),
            "It has the most strong beats on down-bows of these answers.",
        ),
        (
            than_others(&|(other, _)| other.cost > here.cost + SAME_COST),
            "Its bow speeds are the evenest of these answers.",
        ),
    ];
    best.into_iter().filter(|(so, _)| *so).map(|(_, words)| words.to_owned()).collect()
}

/// How many spots have each verdict.
fn counts(standing: &Standing) -> [(usize, &'static str); 4] {
    [
        (standing.impossible, "cannot be played"),
        (standing.runs_out, "run out of bow"),
        (standing.tight, "are tight"),
        (standing.notices, "deserve a look"),
    ]
}

/// What is better and what is worse than now.
fn against_now(now: &Standing, after: &Standing, here: &str) -> Vec<String> {
    let mut reasons = Vec::new();
    for ((was, what), (is, _)) in counts(now).into_iter().zip(counts(after)) {
        if is != was {
            reasons.push(format!("Spots that {what}{here}: {is} instead of {was}."));
        }
    }
    let (was, is) = (now.strong_beats, after.strong_beats);
    if is != was {
        let what = format!("Bars that begin on a down-bow{here}");
        reasons.push(format!("{what}: {} of {} instead of {} of {}.", is.0, is.1, was.0, was.1));
    }
    // A hairpin over several strokes goes with none of them and against none.
    let (was, is) = (now.hairpins.1 - now.hairpins.0, after.hairpins.1 - after.hairpins.0);
    if is != was {
        reasons.push(format!("Hairpins against the bow{here}: {is} instead of {was}."));
    }
    if after.cost < now.cost - SAME_COST {
        reasons.push("The bow can keep nearer to the speeds and places wanted.".to_owned());
    } else if after.cost > now.cost + SAME_COST {
        reasons.push("The bow must leave the wanted speeds and places a little more.".to_owned());
    }
    reasons
}

/// What becomes better or worse where nothing was asked: in the whole part, without what is here.
fn elsewhere(now: (&Standing, &Standing), after: (&Standing, &Standing)) -> Vec<String> {
    let outside = |(whole, here): (&Standing, &Standing)| {
        counts(whole).into_iter().zip(counts(here)).map(|((all, what), (inside, _))| (all - inside, what))
    };
    let pairs = outside(now).zip(outside(after)).filter(|(was, is)| was != is);
    pairs
        .map(|((was, what), (is, _))| format!("Elsewhere, spots that {what}: {is} instead of {was}."))
        .collect()
}
