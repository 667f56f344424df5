//! `plan`: the plan and the problem it solves.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::{
    analysis::{Analysis, analyse},
    bowing::{End, Join},
    lesson::Lesson,
    score::Attack,
};

use super::{
    Failure, Source,
    input::{json_text, load, print_report},
};

pub(super) fn run(source: &Source, as_json: bool, out: &mut String) -> Result<(), Failure> {
    let input = load(source)?;
    let analysis = analyse(&input.lesson);
    print_report(&input.report, &analysis.findings.notices);
    if as_json {
        out.push_str(&json_text(&as_value(&input.lesson, &analysis)));
    } else {
        table(&input.lesson, &analysis, out);
    }
    Ok(())
}

fn table(lesson: &Lesson, analysis: &Analysis, out: &mut String) {
    let sections = lesson.score.bar_sections();
    let bar = |note: &Attack| lesson.score.bar_name(note.bar, &sections).to_string();
    let width = analysis.line.notes.iter().map(|note| bar(note).chars().count()).fold(5, usize::max);
    let _ = writeln!(
        out,
        "{:>width$} {:>8}  {:<4} {:<16} {:>8} {:>8} {:>8} {:>6}  {:<13} notes",
        "bar", "beat", "bow", "stroke", "from cm", "to cm", "seconds", "ratio", "corridor cm"
    );
    for (k, bowed) in analysis.bowing.notes.iter().enumerate() {
        let note = &analysis.line.notes[bowed.note];
        let beat = match lesson.score.beat_at(note.onset) {
            Some((bar, beat)) if bar == note.bar => crate::score::mixed_number(beat),
            // A grace note that closes its bar.
            Some(_) => "end".to_owned(),
            None => String::new(),
        };
        let names: Vec<String> = note.notes.iter().map(|note| note.pitch.name()).collect();
        let (lo, hi) = analysis.plan.solution.corridor_start[k];
        let _ = writeln!(
            out,
            "{:>width$} {:>8}  {:<4} {:<16} {:>8.1} {:>8.1} {:>8.2} {:>6.2}  {:<13} {}",
            bar(note),
            beat,
            bowed.direction.word(),
            bowed.stroke_type.word(),
            analysis.plan.solution.start_mm[k] / 10.0,
            analysis.plan.solution.end_mm[k] / 10.0,
            bowed.sounding_s,
            analysis.speed_ratio(k),
            format!("{:.0} to {:.0}", lo / 10.0, hi / 10.0),
            names.join("+")
        );
    }
    let _ = writeln!(out, "cost {:.6}", analysis.plan.solution.cost);
}

/// The problem and the answer. `start` of each note is where it begins on the hair; a note with
/// `travels` false ends where it starts; `join` says how it is reached.
fn as_value(lesson: &Lesson, analysis: &Analysis) -> Value {
    let (problem, solution) = (&analysis.plan.problem, &analysis.plan.solution);
    let sections = lesson.score.bar_sections();
    let notes: Vec<Value> = analysis
        .bowing
        .notes
        .iter()
        .enumerate()
        .map(|(k, bowed)| {
            let piece = &problem.pieces[k];
            let note = &analysis.line.notes[bowed.note];
            let (join, reach) = match piece.join {
                Join::Start => ("start", None),
                Join::Same => ("same stroke", None),
                Join::Turn { smooth: true } => ("bow change", None),
                Join::Turn { smooth: false } => ("bow change with accent", None),
                Join::Lift { reach_mm } => ("lift", Some(reach_mm)),
            };
            json!({
                "bar": lesson.score.bar_name(note.bar, &sections).to_string(),
                "onset": note.onset.to_string(),
                "midi": note.midi(),
                "wanted_mm": piece.wanted_mm,
                "min_mm": piece.min_mm,
                "max_mm": piece.max_mm,
                "direction": piece.direction.word(),
                "seconds": piece.seconds,
                "travels": piece.travels,
                "place_mm": piece.place_mm,
                "place_weight": piece.place_weight,
                "speed_weight": piece.speed_weight,
                "join": join,
                "reach_mm": reach,
                "stroke": analysis.stroke_of(k),
                "stroke_type": bowed.stroke_type.word(),
                "start_mm": solution.start_mm[k],
                "end_mm": solution.end_mm[k],
                "corridor_start_mm": [solution.corridor_start[k].0, solution.corridor_start[k].1],
                "corridor_end_mm": [solution.corridor_finish[k].0, solution.corridor_finish[k].1],
                "marked_start_mm": analysis.plan.marked.start_mm[k],
                "marked_end_mm": analysis.plan.marked.end_mm[k],
            })
        })
        .collect();
    let pins: Vec<Value> = problem
        .pins
        .iter()
        .map(|pin| {
            let at = match pin.at {
                End::Start => "start",
                End::Finish => "end",
            };
            json!({"note": pin.piece, "at": at, "from_mm": pin.lo_mm, "to_mm": pin.hi_mm})
        })
        .collect();
    json!({
        "title": lesson.score.title,
        "part": lesson.score.part,
        "hair_mm": problem.hair_mm,
        "usable_mm": [problem.usable.0, problem.usable.1],
        "weights": {
            "even_in_stroke": problem.weights.even_in_stroke,
            "even_across_turn": problem.weights.even_across_turn,
            "lift": problem.weights.lift,
        },
        "pins": pins,
        "notes": notes,
        "impossible": solution.impossible.iter().map(|spot| json!({
            "note": spot.piece,
            "resumes": spot.resumes,
            "short_mm": spot.short_mm,
            "short_seconds": spot.short_seconds,
        })).collect::<Vec<_>>(),
        "cost": solution.cost,
    })
}
