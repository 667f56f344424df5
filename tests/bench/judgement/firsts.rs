//! What a teacher would take first for findings of parts that nobody tuned to, written down from the
//! notation and the finding alone, before any remedy was seen. Common practice, no source.
//!
//! Columns: file, part, movement, bar of the finding, its kind then, what the row is for (finding causes, or
//! measuring only), the changes that a teacher would take first, best first, and in words what is meant.
//! "none" is for a finding that needs no remedy, or need not be told.

use std::{collections::BTreeMap, path::Path};

use elbowroom::{advice::remedies, analysis::Study, bowing::Finding};

use crate::{
    pages, share,
    tables::{Row, rows},
};

/// A finding may stand this many bars off: it moves a little with the plan.
const BARS_OFF: usize = 1;

/// Right, and judged.
type Count = (usize, usize);

pub fn judge(table: &Path, data: &Path, list: bool) -> Result<(), String> {
    println!("\nThe first remedy is one that a teacher would take first");
    let mut of_part: BTreeMap<(String, String), Vec<Row>> = BTreeMap::new();
    for row in rows(table)? {
        of_part.entry((row.file.clone(), row.part.clone())).or_default().push(row);
    }
    let mut counts: BTreeMap<String, Count> = BTreeMap::new();
    // Rightly, as nobody would tell it, and in all.
    let mut gone = (0, 0);
    for ((file, part), rows) in of_part {
        let folders = [data.join("judged"), data.join("quartets")];
        let path = folders.map(|folder| folder.join(&file)).into_iter().find(|path| path.exists());
        let path = path.ok_or(format!("{file} is in none of the folders"))?;
        let study = Study::new(pages::lesson(&path, &part)?);
        let is_idle = |row: &Row| row.text(3) == "none";
        let worth: Vec<&Finding> =
            rows.iter().filter(|row| !is_idle(row)).filter_map(|row| finding(&study, row)).collect();
        for row in &rows {
            // Told in one with what is worth telling, it is not told again.
            let told = finding(&study, row)
                .filter(|found| !(is_idle(row) && worth.iter().any(|worth| std::ptr::eq(*worth, *found))));
            let Some(finding) = told else {
                gone.0 += usize::from(row.text(3).split('|').any(|right| right == "none"));
                gone.1 += 1;
                if list {
                    println!(
                        "gone {file} {part} {} {}: {} {}",
                        row.movement,
                        row.text(0),
                        row.text(1),
                        row.text(3)
                    );
                }
                continue;
            };
            let right = row.text(3).split('|').collect::<Vec<_>>();
            let found = remedies(&study, finding);
            let change = |at: usize| found.get(at).map_or("none", |remedy| remedy.trial.change.id());
            let met = right.contains(&change(0));
            let count = counts.entry(row.text(2).to_owned()).or_default();
            *count = (count.0 + usize::from(met), count.1 + 1);
            // What is there for measuring only is not looked at.
            if list && row.text(2) == "causes" {
                let sign = if met { "right" } else { "WRONG" };
                println!(
                    "{sign} {file} {part}: {}; wanted {} ({})",
                    finding.title(),
                    row.text(3),
                    row.text(4)
                );
                for remedy in &found {
                    println!("  - {}: {} ({:+.2})", remedy.trial.words, remedy.effect, remedy.worse);
                }
            }
        }
    }
    for (name, (right, all)) in counts {
        println!("{:<28} {}", format!("for {name}"), share(right, all));
    }
    println!("{:<28} {}, {} of them need not be", "no longer told", gone.1, gone.0);
    Ok(())
}

/// The finding of a row: the worst near its bar that is of its kind, or says the same.
fn finding<'a>(study: &'a Study, row: &Row) -> Option<&'a Finding> {
    let score = &study.lesson().score;
    let sections = score.bar_sections();
    let bar = (0..score.bars.len())
        .find(|&bar| sections[bar] + 1 == row.movement && score.bars[bar].number == row.text(0))?;
    // The nearest of all its places.
    let off = |finding: &Finding| {
        let places =
            finding.spots().filter_map(|spot| Some((score.bar_at(spot.at)?, score.bar_at(spot.out)?)));
        let off = |(from, to): (usize, usize)| from.saturating_sub(bar).max(bar.saturating_sub(to));
        places.map(off).min().unwrap_or(usize::MAX)
    };
    let near = |finding: &&Finding| off(finding) <= BARS_OFF;
    // What has no hair left, or creeps, may be told as another kind of that now; anything else is another finding.
    let no_hair = |id: &str| id.starts_with("no-way") || id.starts_with("runs-out") || id == "near-slowest";
    let creeps = |id: &str| ["creep", "slur-parity"].contains(&id);
    let alike = |finding: &&Finding| {
        let (now, then) = (finding.kind.id(), row.text(1));
        now == then || row.text(3) != "none" && (no_hair(now) && no_hair(then) || creeps(now) && creeps(then))
    };
    let told = study.analysis().findings.told.iter().filter(near).filter(alike);
    told.min_by_key(|finding| {
        let of_kind = finding.kind.id() == row.text(1);
        (!of_kind, finding.verdict, off(finding))
    })
}
