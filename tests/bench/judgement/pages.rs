//! The annotated passages as the program reads them.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use elbowroom::{
    analysis::Study,
    exchange::musicxml,
    lesson::Lesson,
    score::{Direction, Quarters},
    setup::Family,
};

use crate::tables::{Row, rows};

/// A note as written may stand this far from its annotated beat, quarters: annotated thirds of a beat
/// are rounded.
const NEAR: f64 = 0.07;

/// One annotated passage.
pub struct Page {
    pub name: String,
    pub study: Study,
    /// Indices of the bars of the movement.
    movement: Vec<usize>,
    /// First and last annotated bar, as indices into the score.
    pub bars: (usize, usize),
}

/// A stroke as the program bows it.
pub struct Stroke {
    pub onset: Quarters,
    pub direction: Direction,
    /// For every note but grace notes and notes of a chord: where it starts.
    pub attacks: Vec<Quarters>,
    /// Hair on the string since the stroke before, without a rest.
    pub no_rest_before: bool,
}

/// All passages, by file, part and movement.
pub struct Pages(BTreeMap<(String, String, usize), Page>);

impl Pages {
    /// Reads the passages that the tables of `judged` speak of; a file lies there or in one of the folders
    /// of `data`.
    pub fn read(judged: &Path, data: &Path) -> Result<Self, String> {
        let mut bars: BTreeMap<(String, String, usize), Vec<String>> = BTreeMap::new();
        for (table, columns) in [("spots.tsv", 1), ("directions.tsv", 1), ("bowings.tsv", 2)] {
            for row in rows(&judged.join(table))? {
                let named = bars.entry((row.file.clone(), row.part.clone(), row.movement)).or_default();
                named.extend(row.rest.into_iter().take(columns));
            }
        }
        let mut pages = BTreeMap::new();
        for ((file, part, movement), named) in bars {
            let folders = [judged.to_owned(), data.join("judged"), data.join("quartets")];
            let path = folders.map(|folder| folder.join(&file)).into_iter().find(|path| path.exists());
            let path = path.ok_or(format!("{file} is in none of the folders"))?;
            let name = format!("{} {part} {movement}", file.trim_end_matches(".mxl"));
            let page = Page::read(&path, &part, movement, name, &named)?;
            pages.insert((file, part, movement), page);
        }
        Ok(Self(pages))
    }

    /// The passage of a row.
    pub fn of(&self, row: &Row) -> Result<&Page, String> {
        let key = (row.file.clone(), row.part.clone(), row.movement);
        self.0.get(&key).ok_or(format!("no page for {row:?}"))
    }

    pub fn iter(&self) -> impl Iterator<Item = &Page> {
        self.0.values()
    }
}

/// Reads one part of a file.
pub fn lesson(path: &Path, part: &str) -> Result<Lesson, String> {
    let told = |error: &dyn std::fmt::Display| format!("{}: {error}", path.display());
    let bytes = std::fs::read(path).map_err(|error| told(&error))?;
    let document = musicxml::open(&bytes).map_err(|error| told(&error))?;
    let part = document.find_part(part).map_err(|error| told(&error))?;
    let imported = document.read(part).map_err(|error| told(&error))?;
    Ok(Lesson::new(imported.score, imported.instrument.unwrap_or(Family::Violin)))
}

/// Reads every part of every file in these folders: the name of the file, and the part.
pub fn every_part(folders: &[PathBuf], mut read: impl FnMut(&str, Lesson)) -> Result<(), String> {
    for folder in folders {
        let Ok(entries) = std::fs::read_dir(folder) else {
            println!("NOT MEASURED: {} is not there.", folder.display());
            continue;
        };
        let mut files: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
        files.retain(|path| path.extension().is_some_and(|ending| ending == "mxl"));
        files.sort();
        for path in files {
            let told = |error: &dyn std::fmt::Display| format!("{}: {error}", path.display());
            let bytes = std::fs::read(&path).map_err(|error| told(&error))?;
            let document = musicxml::open(&bytes).map_err(|error| told(&error))?;
            let name = path.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            for part in document.parts() {
                let imported = document.read(part.index).map_err(|error| told(&error))?;
                read(&name, Lesson::new(imported.score, imported.instrument.unwrap_or(Family::Violin)));
            }
        }
    }
    Ok(())
}

impl Page {
    fn read(
        path: &Path,
        part: &str,
        movement: usize,
        name: String,
        named: &[String],
    ) -> Result<Self, String> {
        let study = Study::new(lesson(path, part)?);
        let sections = study.lesson().score.bar_sections();
        let movement: Vec<usize> = (0..sections.len()).filter(|&bar| sections[bar] + 1 == movement).collect();
        let mut page = Self { name, study, movement, bars: (usize::MAX, 0) };
        for number in named {
            let bar = page.bar(number)?;
            page.bars = (page.bars.0.min(bar), page.bars.1.max(bar));
        }
        Ok(page)
    }

    /// Index of a bar by its printed number.
    pub fn bar(&self, number: &str) -> Result<usize, String> {
        let bars = &self.study.lesson().score.bars;
        let found = self.movement.iter().copied().find(|&bar| bars[bar].number == number);
        found.ok_or(format!("{}: there is no bar {number}", self.name))
    }

    /// Where a beat of a bar is, in quarters from the start; beats count in the lower number of the time
    /// signature, an upbeat from its first note.
    pub fn quarters(&self, bar: usize, beat: f64) -> f64 {
        let score = &self.study.lesson().score;
        let bar = &score.bars[bar];
        let start = if bar.pickup {
            let notes = score.events.iter().filter(|event| !event.is_rest() && event.onset >= bar.start);
            notes.map(|event| event.onset).min().unwrap_or(bar.start)
        } else {
            bar.start
        };
        start.to_f64() + (beat - 1.0) * 4.0 / f64::from(bar.time.beat_type)
    }

    /// The strokes that start in these bars.
    pub fn strokes(&self, first: usize, last: usize) -> Vec<Stroke> {
        let analysis = self.study.analysis();
        let score = &self.study.lesson().score;
        strokes(analysis)
            .filter(|stroke| {
                let bar = score.bar_at(stroke.onset).unwrap_or(0);
                (first..=last).contains(&bar)
            })
            .collect()
    }

    /// The stroke that starts at a place.
    pub fn stroke_at(&self, bar: usize, beat: f64) -> Option<Stroke> {
        let at = self.quarters(bar, beat);
        let near = |stroke: &Stroke| (stroke.onset.to_f64() - at).abs();
        let found = self.strokes(bar, bar).into_iter().min_by(|a, b| near(a).total_cmp(&near(b)));
        found.filter(|stroke| near(stroke) <= NEAR)
    }

    /// "bar 7, beat 2".
    pub fn place(&self, bar: usize, beat: f64) -> String {
        format!("{}, bar {}, beat {beat}", self.name, self.study.lesson().score.bars[bar].number)
    }
}

/// All strokes of an analysis, in the order of the music.
pub fn strokes(analysis: &elbowroom::analysis::Analysis) -> impl Iterator<Item = Stroke> {
    let mut end_before = None;
    analysis.bowing.strokes.iter().map(move |stroke| {
        let note = |k: usize| analysis.note(k);
        let first = note(stroke.notes.start);
        let no_rest_before = end_before == Some(first.onset);
        end_before = Some(note(stroke.notes.end - 1).end());
        Stroke {
            onset: first.onset,
            direction: stroke.direction,
            attacks: stroke.notes.clone().map(note).filter(|n| n.grace.is_none()).map(|n| n.onset).collect(),
            no_rest_before,
        }
    })
}
