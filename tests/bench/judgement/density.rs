//! How many pencil marks stand on a page, in all parts, most of which nobody annotated.

use std::{collections::BTreeSet, path::PathBuf};

use elbowroom::{analysis::Study, bowing::Need, lesson::Lesson};

use crate::pages::every_part;

/// So many bars fill a page, if they do not hold more than so many notes. Assumed, from printed parts.
const PAGE_BARS: f64 = 40.0;
const PAGE_NOTES: f64 = 250.0;

pub fn judge(folders: &[PathBuf]) -> Result<(), String> {
    println!("\nPencil marks that must be told or are worth telling, in whole parts");
    println!("{:<44} {:>8} {:>8} {:>8} {:>8}", "", "marks", "40 bars", "100 notes", "a page");
    let mut pages = Vec::new();
    every_part(folders, |file, lesson| pages.extend(part(file, lesson)))?;
    pages.sort_by(f64::total_cmp);
    if let (Some(least), Some(most)) = (pages.first(), pages.last()) {
        let middle = pages[pages.len() / 2];
        println!(
            "on a page, of {} parts: {least:.1} to {most:.1}, half of them up to {middle:.1}",
            pages.len()
        );
    }
    Ok(())
}

/// Marks on a page of a part.
fn part(file: &str, lesson: Lesson) -> Option<f64> {
    let study = Study::new(lesson);
    let analysis = study.analysis();
    let notes = analysis.bowing.notes.len() as f64;
    let bars: BTreeSet<usize> = (0..analysis.bowing.notes.len()).map(|k| analysis.note(k).bar).collect();
    let bars = bars.len() as f64;
    let marks = study.pencil().marks.iter().filter(|mark| mark.weight > Need::IfTime).count() as f64;
    let pages = (bars / PAGE_BARS).max(notes / PAGE_NOTES);
    if pages <= 0.0 {
        return None;
    }
    let name = format!("{file} {}", study.lesson().score.part);
    let (of_bars, of_notes) = (marks * PAGE_BARS / bars, marks * 100.0 / notes);
    println!("{name:<44} {marks:>8} {of_bars:>8.1} {of_notes:>8.1} {:>8.1}", marks / pages);
    Some(marks / pages)
}
