//! Printed bow marks taken away, default directions compared. Marks stand where players might do
//! otherwise, so this is a figure to watch, not to tune to.

use std::{collections::BTreeMap, path::PathBuf};

use elbowroom::{analysis::Study, lesson::Lesson, score::EventId};

use crate::{pages::every_part, share};

pub fn judge(folders: &[PathBuf], list: bool) -> Result<(), String> {
    println!("\nPrinted bow marks taken away, default directions compared");
    let mut of_file: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    every_part(folders, |file, lesson| {
        let (marks, same) = compare(lesson);
        let count = of_file.entry(file.to_owned()).or_default();
        *count = (count.0 + marks, count.1 + same);
    })?;
    for (name, (marks, same)) in of_file.iter().filter(|(_, count)| list && count.0 > 0) {
        println!("{name:<28} {}", share(*same, *marks));
    }
    let (all, agree) = of_file.values().fold((0, 0), |sum, count| (sum.0 + count.0, sum.1 + count.1));
    println!("{:<28} {}", "agree", share(agree, all));
    Ok(())
}

/// How many strokes begin with a printed mark, and how many of them go the same way without marks.
fn compare(mut lesson: Lesson) -> (usize, usize) {
    let marks: BTreeMap<EventId, _> =
        lesson.score.events.iter_mut().filter_map(|event| Some((event.id, event.bow.take()?))).collect();
    if marks.is_empty() {
        return (0, 0);
    }
    let study = Study::new(lesson);
    let analysis = study.analysis();
    let (mut all, mut same) = (0, 0);
    for stroke in &analysis.bowing.strokes {
        let note = analysis.note(stroke.notes.start);
        if let Some(&mark) = note.events.iter().find_map(|id| marks.get(id)) {
            all += 1;
            same += usize::from(mark == stroke.direction);
        }
    }
    (all, same)
}
