//! Suggestions in words.

use crate::{advice::Standing, analysis::Analysis, bowing::is_stopped, lesson::Lesson, score::sentence_case};

use super::{Field, Step, Suggestion, Way};

/// Changes named in a headline; the rest are counted. Assumed.
const NAMED: usize = 2;

/// Notes that go on in the bow of the note before them after a stop.
pub(super) fn stops(analysis: &Analysis) -> usize {
    (0..analysis.bowed.len()).filter(|&k| is_stopped(&analysis.line, &analysis.bowed, k)).count()
}

/// What a bowing changes.
pub(super) fn headline(lesson: &Lesson, analysis: &Analysis, field: &Field, bowing: &[Step]) -> String {
    let mut changes: Vec<String> = Vec::new();
    let mut joining = false;
    for (k, (now, new)) in field.present().iter().zip(bowing).enumerate() {
        let note = &analysis.line[analysis.bowed[k].note];
        let place = lesson.score.place(note.onset);
        let word = new.direction.word();
        let was_joining = std::mem::replace(&mut joining, new.way == Way::Slur);
        let change = match (now.way, new.way) {
            (_, Way::Slur) if was_joining => continue,
            (_, Way::Slur) => format!("slur on to {place}"),
            (_, Way::Hook) => format!("hook the note at {place}"),
            (Way::Joined, Way::Change) => format!("new bow at {place}"),
            (Way::Joined, Way::Retake) => format!("split and retake at {place}"),
            (Way::Retake, Way::Change) => format!("no retake at {place}"),
            (now, Way::Retake) if now != Way::Retake => format!("retake at {place}"),
            (_, Way::Set | Way::Breath) if now.direction != new.direction => {
                format!("start with the {word}-bow at {place}")
            }
            _ => continue,
        };
        changes.push(change);
    }
    if changes.is_empty() {
        return "As it is".to_owned();
    }
    let rest = changes.len().saturating_sub(NAMED);
    changes.truncate(NAMED);
    let mut text = changes.join(", ");
    match rest {
        0 => {}
        1 => text.push_str(", and one change more"),
        _ => text.push_str(&format!(", and {rest} changes more")),
    }
    sentence_case(&text)
}

/// Adds the reasons to the answers.
pub(super) fn explain(lesson: &Lesson, analysis: &Analysis, mut answers: Vec<Suggestion>) -> Vec<Suggestion> {
    let now = Standing::of(lesson, analysis);
    let all: Vec<(Standing, usize, f64)> =
        answers.iter().map(|answer| (answer.after.clone(), answer.marks_changed, answer.weight())).collect();
    for (index, answer) in answers.iter_mut().enumerate() {
        let others = || all.iter().enumerate().filter(move |(other, _)| *other != index).map(|(_, all)| all);
        let reasons = &mut answer.reasons;
        if answer.edit.is_empty() {
            reasons.push("Nothing that was tried is better than the bowing as it is.".to_owned());
            if now.impossible + now.runs_out > 0 {
                let words = "The bowing can stay; where the bow runs out, less bow or another dynamic helps: see the findings.";
                reasons.push(words.to_owned());
            }
            continue;
        }
        against_now(&now, answer);
        let reasons = &mut answer.reasons;
        let count = answer.marks_changed;
        reasons.push(if count == 1 {
            "One mark changes.".to_owned()
        } else {
            format!("{count} marks change.")
        });
        if all.len() < 2 {
            continue;
        }
        if index == 0 {
            reasons.push("Best of the answers, all in all.".to_owned());
        }
        if others().all(|(_, marks, _)| *marks > count) {
            reasons.push("It changes the fewest marks of these answers.".to_owned());
        }
        if others().all(|(other, ..)| other.strong_beats.0 < answer.after.strong_beats.0) {
            reasons.push("It has the most strong beats on down-bows of these answers.".to_owned());
        }
        if others().all(|(other, ..)| other.cost > answer.after.cost + 0.05) {
            reasons.push("Its bow speeds are the evenest of these answers.".to_owned());
        }
    }
    answers
}

/// What is better and what is worse than now.
fn against_now(now: &Standing, answer: &mut Suggestion) {
    let after = &answer.after;
    let reasons = &mut answer.reasons;
    for (was, is, what) in [
        (now.impossible, after.impossible, "cannot be played"),
        (now.runs_out, after.runs_out, "run out of bow"),
        (now.tight, after.tight, "are tight"),
        (now.notices, after.notices, "deserve a look"),
    ] {
        if is != was {
            reasons.push(format!("Spots that {what}: {is} instead of {was}."));
        }
    }
    for (was, is, what) in [
        (now.strong_beats, after.strong_beats, "Bars that begin on a down-bow"),
        (now.hairpins, after.hairpins, "Hairpins that go with the bow"),
    ] {
        if is != was {
            reasons.push(format!("{what}: {} of {} instead of {} of {}.", is.0, is.1, was.0, was.1));
        }
    }
    if after.cost < now.cost - 0.05 {
        reasons.push("The bow can keep nearer to the speeds and places wanted.".to_owned());
    } else if after.cost > now.cost + 0.05 {
        reasons.push("The bow must leave the wanted speeds and places a little more.".to_owned());
    }
}
