//! `suggest`: other bowings for a part or some of its bars.

use std::{collections::BTreeSet, fmt::Write as _, path::Path};

use serde_json::{Value, json};

use crate::{
    advice::{Ask, Freedom, Standing, Suggestion, suggest},
    analysis::Study,
    exchange::lesson_file,
    lesson::Lesson,
    score::EventId,
};

use super::{
    Failure, MayChange, SuggestArgs,
    input::{json_text, load, print_report, rounded},
};

pub(super) fn run(args: &SuggestArgs, out: &mut String) -> Result<(), Failure> {
    let input = load(&args.source)?;
    let study = Study::new(input.lesson);
    let lesson = study.lesson();
    print_report(&input.report, &study.analysis().findings.notices);
    let freedom = match args.may_change {
        MayChange::Directions => Freedom::Directions,
        MayChange::Splits => Freedom::Splits,
        MayChange::All => Freedom::Free,
    };
    let events = args.bars.as_deref().map(|bars| events_of(lesson, bars)).transpose()?;
    let ask = Ask { events, freedom, answers: usize::from(args.answers) };
    let answers = suggest(&study, &ask, &mut |_| true).map_err(|error| Failure::from_error(&error))?;
    if let (Some(path), Some(best)) = (&args.save_best, answers.first()) {
        save(path, best.study.lesson())?;
    }
    let now = Standing::of(&study).weight(0);
    if args.json {
        out.push_str(&json_text(&json!({
            "title": lesson.score.title,
            "part": lesson.score.part,
            "weight_now": rounded(now),
            "answers": answers.iter().map(as_value).collect::<Vec<_>>(),
        })));
    } else {
        for (index, answer) in answers.iter().enumerate() {
            let _ = writeln!(out, "{}. {}", index + 1, answer.headline);
            // The headline has all of two.
            for change in answer.changes.iter().filter(|_| answer.changes.len() > 2) {
                let _ = writeln!(out, "   - {}: {}", change.place, change.words);
            }
            for reason in &answer.reasons {
                let _ = writeln!(out, "   {reason}");
            }
        }
        let best = answers.first().map_or(now, Suggestion::weight);
        let _ = writeln!(out, "weight {best:.2}, now {now:.2}; the lower, the better");
    }
    Ok(())
}

fn save(path: &Path, lesson: &Lesson) -> Result<(), Failure> {
    lesson_file::save(path, lesson).map_err(|error| Failure::from_error(&error))
}

/// The events of bars "5" or "5-8", by their printed numbers; "II:5-8" in the second of several sections.
fn events_of(lesson: &Lesson, bars: &str) -> Result<BTreeSet<EventId>, Failure> {
    let list = &lesson.score.bars;
    let sections = lesson.score.bar_sections();
    let name = |bar: usize| lesson.score.bar_name(bar, &sections);
    let (section, numbers) = bars.split_once(':').map_or((None, bars), |(s, numbers)| (Some(s), numbers));
    let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
    let named = |bar: usize, number: &str| match section {
        Some(section) => name(bar).is(&format!("{section}:{number}")),
        None => name(bar).is(number),
    };
    // Without a section the first bar of that number counts, and the last one is of the same section.
    let place = (0..list.len()).find(|bar| named(*bar, first));
    let end = place.and_then(|place| {
        (place..list.len()).rev().find(|bar| sections[*bar] == sections[place] && named(*bar, last))
    });
    let Some((first, last)) = place.zip(end) else {
        return Err(Failure(format!(
            "--bars {bars}: give one bar or two, first to last, as 5 or 5-8, in a movement as II:5-8; this part has bars {} to {}",
            name(0).typed(),
            name(list.len().saturating_sub(1)).typed(),
        )));
    };
    let (from, until) = (list[first].start, list[last].end());
    let inside = lesson.score.events.iter().filter(|event| event.onset >= from && event.onset < until);
    Ok(inside.map(|event| event.id).collect())
}

fn as_value(answer: &Suggestion) -> Value {
    let Suggestion { headline, changes, reasons, study, after, here, marks_changed, .. } = answer;
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let changes: Vec<Value> = (changes.iter())
        .map(|change| json!({ "at": change.at.to_string(), "place": change.place, "words": change.words }))
        .collect();
    let strokes: Vec<Value> = analysis
        .bowing
        .strokes
        .iter()
        .map(|stroke| {
            let note = analysis.note(stroke.notes.start);
            json!({
                "at": note.onset.to_string(),
                "place": lesson.score.place(note.onset).to_string(),
                "direction": stroke.direction.word(),
                "notes": stroke.notes.len(),
                "lifted": stroke.lift_before,
            })
        })
        .collect();
    json!({
        "headline": headline,
        "changes": changes,
        "reasons": reasons,
        "weight": rounded(answer.weight()),
        "marks_changed": marks_changed,
        "impossible": after.impossible,
        "runs_out": after.runs_out,
        "tight": after.tight,
        "worth_a_look": after.notices,
        "bars_on_down_bows": [after.strong_beats.0, after.strong_beats.1],
        "hairpins_with_the_bow": [after.hairpins.0, after.hairpins.1],
        "cost": rounded(after.cost),
        "asked": {
            "impossible": here.impossible,
            "runs_out": here.runs_out,
            "tight": here.tight,
            "worth_a_look": here.notices,
            "bars_on_down_bows": [here.strong_beats.0, here.strong_beats.1],
            "hairpins_with_the_bow": [here.hairpins.0, here.hairpins.1],
        },
        "strokes": strokes,
    })
}
