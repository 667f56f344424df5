//! What is offered first for each finding of whole parts, most of which nobody annotated: to be read as a
//! teacher, bar by bar beside the music.

use std::{collections::BTreeMap, path::PathBuf};

use elbowroom::{
    advice::remedies,
    analysis::Study,
    bowing::{Finding, Verdict},
    lesson::Lesson,
};

use crate::pages::every_part;

/// So many remedies of a finding are listed.
const LISTED: usize = 3;
/// So many findings of a part are read, the worst first.
const OF_A_PART: usize = 6;

pub fn judge(folders: &[PathBuf], only: Option<&str>, list: bool) -> Result<(), String> {
    println!("\nThe remedies offered first, by kind, for the worst {OF_A_PART} findings of each part");
    let mut firsts = BTreeMap::new();
    let mut count = 0;
    every_part(folders, |file, lesson| {
        let name = format!("{file} {}", lesson.score.part);
        if only.is_none_or(|only| name.contains(only)) {
            count += part(&name, lesson, list, &mut firsts);
        }
    })?;
    for (change, times) in firsts {
        println!("{change:<24} {times:>4}");
    }
    println!("findings                 {count:>4}");
    Ok(())
}

/// Counts the first remedies of a part; gives how many findings it looked at.
fn part(name: &str, lesson: Lesson, list: bool, firsts: &mut BTreeMap<String, usize>) -> usize {
    let study = Study::new(lesson);
    let told = &study.analysis().findings.told;
    let worst: Vec<&Finding> =
        elbowroom::bowing::ranked(told).into_iter().take(OF_A_PART).map(|index| &told[index]).collect();
    for finding in &worst {
        let found = remedies(&study, finding);
        let first = found.first().map_or("nothing".to_owned(), |first| {
            first.trial.id() + if first.cures() { "" } else { ", does not cure" }
        });
        *firsts.entry(first).or_insert(0) += 1;
        if list {
            let how = if finding.verdict == Verdict::Notice { "" } else { finding.verdict.words() };
            println!("{name}: {} [{how}]\n    {} {}", finding.title(), finding.what, finding.why);
            for remedy in found.iter().take(LISTED) {
                println!("  - {}: {} ({:+.2})", remedy.trial.words, remedy.effect, remedy.worse);
            }
        }
    }
    worst.len()
}
