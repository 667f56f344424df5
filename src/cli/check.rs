//! `check`: what a player should know before playing.

use std::fmt::Write as _;

use serde_json::json;

use crate::{analysis::analyse, bowing::Verdict};

use super::{
    FOUND, Failure, Source,
    input::{json_text, load, print_report, rounded},
};

pub(super) fn run(source: &Source, as_json: bool, out: &mut String) -> Result<u8, Failure> {
    let input = load(source)?;
    let analysis = analyse(&input.lesson);
    print_report(&input.report, &analysis.notices);
    let score = &input.lesson.score;
    let count = |verdict| analysis.findings.iter().filter(|finding| finding.verdict == verdict).count();
    let (impossible, out_of_bow, tight) =
        (count(Verdict::Impossible), count(Verdict::RunsOut), count(Verdict::Tight));
    if as_json {
        let list: Vec<_> = analysis
            .findings
            .iter()
            .map(|finding| {
                json!({
                    "id": finding.id,
                    "verdict": finding.verdict.words(),
                    "place": finding.place,
                    "at": finding.at.to_string(),
                    "note": finding.note,
                    "short_mm": rounded(finding.short_mm),
                    "short_seconds": rounded(finding.short_s),
                    "title": finding.title,
                    "what": finding.what,
                    "why": finding.why,
                })
            })
            .collect();
        out.push_str(&json_text(&json!({
            "title": score.title,
            "part": score.part,
            "impossible": impossible,
            "runs_out": out_of_bow,
            "tight": tight,
            "findings": list,
        })));
    } else {
        for finding in &analysis.findings {
            let _ = writeln!(
                out,
                "{} ({})\n  {}\n  {}",
                finding.title,
                finding.verdict.words(),
                finding.what,
                finding.why
            );
        }
        let _ = writeln!(
            out,
            "{} notes in {} strokes: {impossible} cannot be played, {out_of_bow} run out as marked, {tight} tight",
            analysis.line.len(),
            analysis.strokes.len()
        );
    }
    Ok(if impossible + out_of_bow > 0 { FOUND } else { 0 })
}
