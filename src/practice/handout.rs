//! Handouts to begin with: a sensible page for a passage, a finding, levels of the arm, a double stop, or as a
//! warm-up, each made in one step and changed from there.

use std::ops::Range;

use crate::{
    advice::{Remedy, compare, trials},
    analysis::Study,
    bowing::{Finding, Kind, Verdict},
    lesson::{
        Lesson,
        change::{excerpt, set_tempo_share},
        handout::{ArmView, Before, Block, Entry, Found, Handout, Head, Shown},
    },
    score::{Attack, EventId, Quarters, sentence_case},
};

use super::{Warming, movement, warm_up_parts};

/// Tempos of a table, as shares of the marked one, slow to full. Assumed.
const SHARES: [f64; 5] = [0.5, 0.65, 0.8, 0.9, 1.0];
/// The bars of a finding: those of its stroke, and the one before; of a bow that creeps the two before.
pub fn bars_of(study: &Study, finding: &Finding) -> Range<usize> {
    let (score, analysis) = (&study.lesson().score, study.analysis());
    let (from, to) = match analysis.stroke_of_event(finding.event) {
        Some(stroke) => {
            let notes = &analysis.stroke(stroke).notes;
            (analysis.note(notes.start).onset, analysis.note(notes.end - 1).end())
        }
        None => (finding.at, finding.at),
    };
    let first = score.bar_at(from).unwrap_or(0);
    let last = score.bars.partition_point(|bar| bar.start < to).max(first + 1);
    let before = if finding.kind == Kind::RunsOutDrift { 2 } else { 1 };
    first.saturating_sub(before)..last.min(score.bars.len())
}

/// The first notes of the strokes that begin in some bars.
pub fn strokes_in(study: &Study, bars: &Range<usize>) -> Vec<EventId> {
    let analysis = study.analysis();
    let heads = analysis.bowing.strokes.iter().map(|stroke| analysis.note(stroke.notes.start));
    heads.filter(|note| bars.contains(&note.bar)).map(Attack::id).collect()
}

/// The levels of the arm that some bars are played on, by their places from the highest string, in the order in
/// which they come.
pub fn levels_in(study: &Study, bars: &Range<usize>) -> Vec<u8> {
    let analysis = study.analysis();
    let mut levels = Vec::new();
    for (note, placement) in analysis.line.notes.iter().zip(&analysis.left_hand.placements) {
        let level = u8::try_from(placement.plane.index()).unwrap_or(u8::MAX);
        if bars.contains(&note.bar) && !note.pizzicato && !levels.contains(&level) {
            levels.push(level);
        }
    }
    levels
}

/// A page for some bars: the music with pencil marks and the way of the bow, the passage
/// in words, a table to fill in.
pub fn of_passage(study: &Study, bars: Range<usize>) -> Handout {
    let score = &study.lesson().score;
    let typed = score.typed_bars(bars.clone());
    let shown = Shown { pencil: true, hair: true, ..Shown::default() };
    let mut blocks = vec![head(study.lesson()), Block::Heading(bar_words(study, &bars))];
    blocks.push(Block::Passage { bars: typed.clone(), shown });
    let is_bowed = study
        .analysis()
        .bowing
        .notes
        .iter()
        .any(|bowed| bars.contains(&study.analysis().line.notes[bowed.note].bar));
    if is_bowed {
        blocks.push(Block::Heading("How it goes".to_owned()));
        blocks.push(Block::InWords { bars: typed });
    }
    blocks.extend(practice(study, &bars));
    handout(blocks)
}

/// A page for a finding: what it is, the bars as they are marked, the first that helps of what was tried, a table
/// to fill in.
pub fn of_finding(study: &Study, finding: &Finding, tried: &[Remedy]) -> Handout {
    let score = &study.lesson().score;
    let bars = bars_of(study, finding);
    let typed = score.typed_bars(bars.clone());
    let found = Found { kind: finding.kind.id().to_owned(), note: finding.event };
    let shown = Shown { hair: true, ..Shown::default() };
    let mut blocks = vec![
        head(study.lesson()),
        Block::Finding(found.clone()),
        Block::Heading("As it is marked".to_owned()),
        Block::Passage { bars: typed, shown },
    ];
    // What is tried again on the page must be found there by its words.
    let again = trials(study, finding);
    let helps = tried.iter().find(|remedy| {
        remedy.helps()
            && again.iter().any(|trial| trial.words == remedy.trial.words && trial.edit == remedy.trial.edit)
    });
    let after = match helps {
        Some(remedy) => {
            blocks.push(Block::Heading("What helps".to_owned()));
            blocks.push(Block::Remedy { found, change: remedy.trial.words.clone() });
            remedy.study.clone()
        }
        None => study.clone(),
    };
    blocks.extend(practice(&after, &bars));
    handout(blocks)
}

/// A page for what has changed since an earlier version, in all bars from the first change to the last, or the first
/// ones where only the set-up has; none where nothing has.
pub fn of_versions(study: &Study, before: Before) -> Option<Handout> {
    let score = &study.lesson().score;
    let earlier = study.with(before.lesson(study.lesson()).ok()?);
    let all = compare(&earlier, study);
    let at = all.iter().filter(|difference| !difference.everywhere).map(|difference| difference.at);
    let whole = score.bars.last().map_or(Quarters::ZERO, |bar| bar.start);
    let (first, last) = match (at.clone().min(), at.max()) {
        (Some(first), Some(last)) => (first, last),
        _ => all.first().map(|_| (Quarters::ZERO, whole))?,
    };
    let first = score.bar_at(first).unwrap_or(0);
    let last = score.bar_at(last).unwrap_or(first).max(first);
    let bars = first..(last + 1).min(first + MOST_COMPARED);
    Some(handout(vec![
        head(study.lesson()),
        Block::Heading(format!("{}, before and after", bar_words(study, &bars))),
        Block::Versions { bars: score.typed_bars(bars), before },
    ]))
}

/// Most bars that are compared on a page made in one step. Assumed; the teacher chooses others.
const MOST_COMPARED: usize = 12;

/// A page for levels of the arm, by their places from the highest string: the bridge, and the player.
pub fn of_levels(study: &Study, levels: &[u8], view: ArmView) -> Handout {
    handout(vec![
        head(study.lesson()),
        Block::Heading("The arm makes the level".to_owned()),
        Block::Player { levels: levels.to_vec(), view },
        Block::Heading("On the strings".to_owned()),
        Block::Levels(levels.to_vec()),
    ])
}

/// A page for notes that sound together: how they lie, the way up to them, a table to fill in.
pub fn of_double_stop(study: &Study, note: EventId) -> Handout {
    let mut blocks = vec![head(study.lesson()), Block::Together(note)];
    let analysis = study.analysis();
    if let Some(attack) = analysis.line.note_of(note).map(|note| &analysis.line.notes[note]) {
        blocks.push(Block::Heading("Step by step".to_owned()));
        blocks.push(Block::StepByStep(note));
        blocks.extend(practice(study, &(attack.bar..attack.bar + 1)));
    }
    handout(blocks)
}

/// A warm-up for the movement of a bar in so many minutes: each part with its time and what it is for.
pub fn warm_up(study: &Study, bar: usize, minutes: u8) -> Handout {
    let score = &study.lesson().score;
    let typed = score.typed_bars(movement(study, bar));
    let title = score.title.trim();
    let title = if title.is_empty() { "Warm-up".to_owned() } else { format!("Warm-up for {title}") };
    let mut blocks = vec![Block::Head(Head { title, ..Head::default() })];
    for part in warm_up_parts(study, bar, minutes) {
        match part.what {
            Warming::Exercise(kind) => {
                blocks.push(Block::Heading(part.time_words()));
                blocks.push(Block::Exercise { bars: typed.clone(), practised: kind.id().to_owned() });
            }
            Warming::DoubleStop(note) => {
                // One heading, which stays with its music.
                let what = "each note alone, then both with the same weight";
                blocks.push(Block::Heading(format!("{}: {}, {what}", part.time_words(), part.names(study))));
                blocks.push(Block::StepByStep(note));
            }
        }
    }
    handout(blocks)
}

fn handout(blocks: Vec<Block>) -> Handout {
    Handout { entries: blocks.into_iter().map(Entry::from).collect(), ..Handout::default() }
}

fn head(lesson: &Lesson) -> Block {
    Block::Head(Head { title: lesson.score.title.trim().to_owned(), ..Head::default() })
}

fn bar_words(study: &Study, bars: &Range<usize>) -> String {
    let score = &study.lesson().score;
    let sections = score.bar_sections();
    let name = |bar: usize| score.bar_name(bar, &sections);
    sentence_case(&name(bars.start).words_to(&name(bars.end.saturating_sub(1).max(bars.start))))
}

/// Heading and table, with the tempos at which the passage played by itself works; none for no bars.
fn practice(study: &Study, bars: &Range<usize>) -> Vec<Block> {
    let typed = study.lesson().score.typed_bars(bars.clone());
    let Ok(part) = excerpt(study.lesson(), bars.clone()).map(Study::new) else { return Vec::new() };
    let works = |share: &f64| {
        let Ok(slower) = set_tempo_share(part.lesson(), *share).and_then(|edit| edit.apply(part.lesson()))
        else {
            return false;
        };
        part.with(slower.0).analysis().findings.told.iter().all(|finding| finding.verdict >= Verdict::Tight)
    };
    let mut shares: Vec<f64> = SHARES.into_iter().filter(works).collect();
    let mut blocks = vec![Block::Heading("Practise it".to_owned())];
    if shares.first() != SHARES.first() && !shares.is_empty() {
        blocks.push(Block::Words(
            "Slower than the first tempo of the table the bow is too short for these slurs.".to_owned(),
        ));
    }
    if shares.is_empty() {
        shares.push(1.0);
    }
    blocks.push(Block::Practice { bars: typed, shares });
    blocks
}
