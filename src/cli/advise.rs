//! `advise` and `ladder`: what to change, and what works at which tempo.

use std::fmt::Write as _;

use serde_json::json;

use crate::{
    advice::{LadderPlace, ladder, ladder_shares, remedies},
    analysis::Study,
    bowing::{Finding, Verdict},
};

use super::{
    Failure, Source,
    input::{json_text, load, print_report, rounded},
};

/// Remedies shown for one finding as text.
const SHOWN: usize = 4;

/// The finding is in a bar given as "8", or as "II:8" where there are several sections.
fn is_in(finding: &Finding, bar: &str) -> bool {
    finding.place.bar.as_ref().is_some_and(|name| name.is(bar))
}

/// Lists the findings, of these bars or of all, with what may cure them.
pub(super) fn advise(
    source: &Source,
    bars: &[String],
    as_json: bool,
    out: &mut String,
) -> Result<(), Failure> {
    let input = load(source)?;
    let study = Study::new(input.lesson);
    let analysis = study.analysis();
    print_report(&input.report, &analysis.findings.notices);
    let wanted = |finding: &&Finding| bars.is_empty() || bars.iter().any(|bar| is_in(finding, bar));
    let mut list = Vec::new();
    for finding in analysis.findings.told.iter().filter(wanted) {
        let found = remedies(&study, finding);
        if as_json {
            let remedies: Vec<_> = found
                .iter()
                .map(|remedy| {
                    json!({
                        "id": remedy.trial.id(),
                        "words": remedy.trial.words,
                        "effect": remedy.effect,
                        "cures": remedy.cures(),
                        "marks_changed": remedy.marks_changed,
                        "new_findings": remedy.new_findings,
                        "burden_before": rounded(remedy.before.burden()),
                        "burden_after": rounded(remedy.after.burden()),
                    })
                })
                .collect();
            list.push(json!({
                "id": finding.kind.id(),
                "verdict": finding.verdict.words(),
                "place": finding.place.to_string(),
                "title": finding.title(),
                "remedies": remedies,
            }));
            continue;
        }
        let _ = writeln!(out, "{} ({})\n  {}", finding.title(), finding.verdict.words(), finding.what);
        if found.is_empty() {
            let _ = writeln!(out, "  nothing tried makes it better");
        }
        for remedy in found.iter().take(SHOWN) {
            let _ = writeln!(out, "  - {}: {}", remedy.trial.words, remedy.effect);
        }
    }
    if as_json {
        out.push_str(&json_text(&json!({ "findings": list })));
    } else if out.is_empty() {
        out.push_str("nothing found there\n");
    }
    Ok(())
}

/// Prints what is found from half the marked tempo to a little above it.
pub(super) fn climb(source: &Source, as_json: bool, out: &mut String) -> Result<(), Failure> {
    let input = load(source)?;
    print_report(&input.report, &[]);
    let study = Study::new(input.lesson);
    // Nothing stops it, so there is a ladder.
    let Some(ladder) = ladder(&study, &ladder_shares(), &mut |_| true) else { return Ok(()) };
    let qpm = study.lesson().score.tempo_map().qpm_at(crate::score::Quarters::ZERO);
    if as_json {
        let rungs: Vec<_> = ladder
            .rungs
            .iter()
            .map(|rung| {
                let spots: Vec<_> = rung
                    .spots
                    .iter()
                    .map(|spot| json!({ "place": spot.place, "verdict": spot.verdict.words() }))
                    .collect();
                json!({ "share": rounded(rung.share), "spots": spots })
            })
            .collect();
        let spots: Vec<_> = ladder
            .spots
            .iter()
            .map(|spot| {
                let bands: Vec<_> = (spot.bands.iter())
                    .map(|band| {
                        json!({
                            "from": rounded(band.from),
                            "to": rounded(band.to),
                            "verdict": band.verdict.map(Verdict::words),
                        })
                    })
                    .collect();
                json!({
                    "place": spot.place,
                    "at": spot.at.to_string(),
                    "bands": bands,
                    "words": spot.words,
                })
            })
            .collect();
        let slow: Vec<_> = ladder
            .slow
            .iter()
            .map(|slow| {
                let spots: Vec<_> = (slow.spots.iter())
                    .map(|spot| json!({ "at": spot.at.to_string(), "below": rounded(spot.below) }))
                    .collect();
                json!({ "place": LadderPlace::all(&slow.places), "words": slow.words, "spots": spots })
            })
            .collect();
        out.push_str(&json_text(&json!({ "rungs": rungs, "spots": spots, "slow": slow })));
        return Ok(());
    }
    for rung in &ladder.rungs {
        let count = |verdict| rung.spots.iter().filter(|spot| spot.verdict == verdict).count();
        let _ = writeln!(
            out,
            "{:>4.0} % (quarter = {:.0}): {} cannot be played, {} run out, {} tight",
            rung.share * 100.0,
            qpm * rung.share,
            count(Verdict::Impossible),
            count(Verdict::RunsOut),
            count(Verdict::Tight)
        );
    }
    let groups = ladder.groups.iter().map(|group| (&group.places, &group.words));
    let slow = ladder.slow.iter().map(|slow| (&slow.places, &slow.words));
    for (places, words) in groups.chain(slow) {
        let _ = writeln!(out, "{}: {words}", LadderPlace::all(places));
    }
    Ok(())
}
