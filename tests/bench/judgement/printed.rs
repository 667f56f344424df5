//! Printed bow marks taken away, default directions compared. Marks stand where players might do
//! otherwise, so this is a figure to watch, not to tune to.

use std::{collections::BTreeMap, path::PathBuf};

use elbowroom::{analysis::Study, exchange::musicxml, lesson::Lesson, score::EventId, setup::Family};

use crate::share;

pub fn judge(folders: &[PathBuf], list: bool) -> Result<(), String> {
    println!("\nPrinted bow marks taken away, default directions compared");
    let (mut all, mut agree) = (0, 0);
    for folder in folders {
        let Ok(entries) = std::fs::read_dir(folder) else {
            println!("NOT MEASURED: {} is not there.", folder.display());
            continue;
        };
        let mut files: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
        files.retain(|path| path.extension().is_some_and(|ending| ending == "mxl"));
        files.sort();
        for path in files {
            let bytes = std::fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
            let document = musicxml::open(&bytes).map_err(|error| format!("{}: {error}", path.display()))?;
            let (mut marks, mut same) = (0, 0);
            for part in document.parts() {
                let imported = document.read(part.index).map_err(|error| error.to_string())?;
                let lesson = Lesson::new(imported.score, imported.instrument.unwrap_or(Family::Violin));
                let (taken, kept) = compare(lesson);
                (marks, same) = (marks + taken, same + kept);
            }
            let name = path.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            if list && marks > 0 {
                println!("{name:<28} {}", share(same, marks));
            }
            (all, agree) = (all + marks, agree + same);
        }
    }
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
