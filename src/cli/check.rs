//! `check`: what a player should know before playing.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::{
    analysis::analyse,
    arm::Spells,
    bowing::{Finding, Spot, Verdict, ranked, spots},
};

use super::{
    FOUND, Failure, Order, Source,
    input::{json_text, load, print_report, rounded},
};

pub(super) fn run(source: &Source, as_json: bool, order: Order, out: &mut String) -> Result<u8, Failure> {
    let input = load(source)?;
    let analysis = analyse(&input.lesson);
    print_report(&input.report, &analysis.findings.notices);
    let score = &input.lesson.score;
    let findings = &analysis.findings.told;
    let count = |verdict| spots(findings, verdict);
    let (impossible, out_of_bow, tight, notices) =
        (count(Verdict::Impossible), count(Verdict::RunsOut), count(Verdict::Tight), count(Verdict::Notice));
    let order = match order {
        Order::Music => (0..findings.len()).collect(),
        Order::Worst => ranked(findings),
    };
    if as_json {
        let care = analysis.care(&score.bar_sections());
        let spells = |spells: Spells| {
            let (from, to) = spells.longest;
            let longest: Vec<f64> = [from, to].into_iter().map(rounded).collect();
            json!({"seconds": rounded(spells.total_s), "longest": longest})
        };
        let list: Vec<_> = order.iter().map(|&index| finding_json(&findings[index])).collect();
        let silenced: Vec<_> = analysis
            .findings
            .silenced
            .iter()
            .map(|(finding, reason)| json!({"id": finding.kind.id(), "place": finding.place.to_string(), "reason": reason}))
            .collect();
        out.push_str(&json_text(&json!({
            "title": score.title,
            "part": score.part,
            "notes": analysis.line.notes.len(),
            "impossible": impossible,
            "runs_out": out_of_bow,
            "tight": tight,
            "worth_a_look": notices,
            "findings": list,
            "silenced": silenced,
            "arm": {
                "playing_seconds": rounded(care.playing_s),
                "upper_arm_above_60_degrees": spells(care.raised),
                "bow_far_out": spells(care.far),
            },
        })));
    } else {
        for &index in &order {
            let finding = &findings[index];
            let _ = writeln!(
                out,
                "{} ({})\n  {}\n  {}",
                finding.title(),
                finding.verdict.words(),
                finding.what,
                finding.why
            );
            if !finding.more.is_empty() {
                let _ = writeln!(out, "  {}", more_words(&finding.more));
            }
        }
        let _ = write!(
            out,
            "{} notes in {} strokes: {impossible} cannot be played, {out_of_bow} run out as marked, {tight} tight, {notices} worth a look",
            analysis.line.notes.len(),
            analysis.bowing.strokes.len()
        );
        let hidden = analysis.findings.silenced.len();
        let _ = if hidden > 0 { writeln!(out, "; {hidden} silenced") } else { writeln!(out) };
        if let Some((line, more)) = analysis.care_words(score) {
            let _ = writeln!(out, "{line}.\n  {more}");
        }
    }
    Ok(if impossible + out_of_bow > 0 { FOUND } else { 0 })
}

/// At most this many further places are named in a line of text.
const NAMED: usize = 6;

fn more_words(spots: &[Spot]) -> String {
    let named: Vec<String> = spots.iter().take(NAMED).map(|spot| spot.place.to_string()).collect();
    let rest = spots.len().saturating_sub(NAMED);
    let tail = if rest > 0 { format!("; and {rest} more") } else { String::new() };
    format!("The same at {}{tail}.", named.join("; "))
}

fn finding_json(finding: &Finding) -> Value {
    let more: Vec<_> = finding
        .more
        .iter()
        .map(|spot| json!({"place": spot.place.to_string(), "at": spot.at.to_string(), "note": spot.note}))
        .collect();
    json!({
        "id": finding.kind.id(),
        "verdict": finding.verdict.words(),
        "place": finding.place.to_string(),
        "at": finding.at.to_string(),
        "note": finding.note,
        "more": more,
        "heard": rounded(finding.heard),
        "short_mm": rounded(finding.short_mm),
        "short_seconds": rounded(finding.short_s),
        "title": finding.title(),
        "what": finding.what,
        "why": finding.why,
    })
}
