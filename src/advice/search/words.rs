//! Suggestions in words.

use std::collections::BTreeSet;

use crate::{
    advice::{Difference, Standing},
    analysis::Analysis,
    lesson::Lesson,
    score::{EventId, sentence_case},
};

use super::Suggestion;

/// Notes that go on in the bow of the note before them after a stop.
pub(super) fn stops(analysis: &Analysis) -> usize {
    (0..analysis.bowing.notes.len()).filter(|&k| analysis.is_stopped(k)).count()
}

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
    lesson: &Lesson,
    analysis: &Analysis,
    asked: Option<&BTreeSet<EventId>>,
    mut answers: Vec<Suggestion>,
) -> Vec<Suggestion> {
    let inside = |event: EventId| asked.is_none_or(|asked| asked.contains(&event));
    let whole = Standing::of(lesson, analysis);
    let now = Standing::within(lesson, analysis, &inside);
    for answer in &mut answers {
        answer.here = Standing::within(&answer.lesson, &answer.analysis, &inside);
    }
    let all: Vec<(Standing, usize)> =
        answers.iter().map(|answer| (answer.here.clone(), answer.changes.len())).collect();
    for (index, answer) in answers.iter_mut().enumerate() {
        let others = || all.iter().enumerate().filter(move |(other, _)| *other != index).map(|(_, all)| all);
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
        let reasons = &mut answer.reasons;
        if all.len() < 2 {
            continue;
        }
        if index == 0 {
            reasons.push("Best of the answers, all in all.".to_owned());
        }
        if others().all(|(_, changes)| *changes > answer.changes.len()) {
            reasons.push("It has the fewest changes of these answers.".to_owned());
        }
        if others().all(|(other, _)| other.strong_beats.0 < answer.here.strong_beats.0) {
            reasons.push("It has the most strong beats on down-bows of these answers.".to_owned());
        }
        if others().all(|(other, _)| other.cost > answer.here.cost + 0.05) {
            reasons.push("Its bow speeds are the evenest of these answers.".to_owned());
        }
    }
    answers
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
    if after.cost < now.cost - 0.05 {
        reasons.push("The bow can keep nearer to the speeds and places wanted.".to_owned());
    } else if after.cost > now.cost + 0.05 {
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
