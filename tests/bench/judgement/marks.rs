//! Pencil marks that teachers have read one by one: which of those they found worth saying are still said, and
//! which of the others. What is said now and was not there to be read is counted beside it.

use std::{collections::BTreeMap, path::Path};

use elbowroom::bowing::{Need, PencilMark};

use crate::{
    pages::{Page, Pages},
    share,
    tables::rows,
};

/// A mark as it was read.
struct Read {
    at: String,
    kind: String,
    text: String,
    verdict: String,
    reason: String,
}

/// The marks of one passage, and its first and last bar.
type Passage = (usize, usize, Vec<Read>);

/// Columns after the movement: first and last bar of the passage, bar, place in quarters, kind, weight, text,
/// verdict, reason.
pub fn judge(readings: &Path, data: &Path, list: bool) -> Result<(), String> {
    let pages = Pages::read(readings, data)?;
    let mut passages: BTreeMap<&str, Passage> = BTreeMap::new();
    for row in rows(&readings.join("marks.tsv"))? {
        let page = pages.of(&row)?;
        let bars = (page.bar(row.text(0))?, page.bar(row.text(1))?);
        let passage = passages.entry(&page.name).or_insert((bars.0, bars.1, Vec::new()));
        passage.2.push(Read {
            at: row.text(3).to_owned(),
            kind: row.text(4).to_owned(),
            text: row.text(6).to_owned(),
            verdict: row.text(7).to_owned(),
            reason: row.text(8).to_owned(),
        });
    }
    // For each verdict the marks that are said to be worth it, said if time allows, and all.
    let mut counts: BTreeMap<String, [usize; 3]> = BTreeMap::new();
    let mut fresh = [0; 2];
    for page in pages.iter() {
        let Some((first, last, read)) = passages.get(page.name.as_str()) else { continue };
        let said = said(page, *first, *last);
        for read in read {
            let now = said.iter().copied().find(|mark| is_of(read, mark));
            let count = counts.entry(read.verdict.clone()).or_default();
            count[2] += 1;
            match now.map(|mark| mark.weight > Need::IfTime) {
                Some(true) => count[0] += 1,
                Some(false) => count[1] += 1,
                None => {}
            }
            if list {
                let now = now.map_or("gone".to_owned(), |mark| {
                    format!("{} {} ({} {})", mark.weight as usize, mark.text, mark.here(), mark.why)
                });
                println!(
                    "{} {} {} {} {:?} -> {now}: {}",
                    read.verdict, page.name, read.at, read.kind, read.text, read.reason
                );
            }
        }
        for mark in said.iter().filter(|mark| !read.iter().any(|read| is_of(read, mark))) {
            fresh[usize::from(mark.weight > Need::IfTime)] += 1;
            if list {
                println!(
                    "new {} {} {} {} {}",
                    mark.weight as usize,
                    page.name,
                    mark.place,
                    mark.topic.id(),
                    mark.text
                );
            }
        }
    }
    println!(
        "\nPencil marks that teachers have read: said still as worth telling, said still if time allows"
    );
    for (verdict, [worth, time, all]) in &counts {
        println!("{verdict:<10} {} {}", share(*worth, *all), share(*time, *all));
    }
    println!("said now and never read: {} as worth telling, {} if time allows", fresh[1], fresh[0]);
    Ok(())
}

fn said(page: &Page, first: usize, last: usize) -> Vec<&PencilMark> {
    let score = &page.study.lesson().score;
    let inside = |mark: &&PencilMark| score.bar_at(mark.at).is_some_and(|bar| (first..=last).contains(&bar));
    page.study.pencil().marks.iter().filter(inside).collect()
}

/// The mark is what was read there, in whatever words.
fn is_of(read: &Read, mark: &PencilMark) -> bool {
    let kind = |topic: elbowroom::bowing::Topic| topic.id() == read.kind;
    read.at == mark.at.to_string() && (kind(mark.topic) || mark.also.is_some_and(kind))
}
