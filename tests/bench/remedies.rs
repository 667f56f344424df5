//! All remedies of all findings of a passage of 300 notes. The baseline is one analysis of the same
//! passage in the same run; a trial costs an edit and an analysis that takes the strings over.

#[path = "passage.rs"]
mod passage;
mod timing;

use std::{hint::black_box, time::Instant};

use elbowroom::{
    advice::{remedies, trials},
    analysis::{Study, analyse, analyse_after},
};
use passage::passage;
use timing::median_seconds;

fn main() {
    let mut lesson = passage(300);
    lesson.score.sort();
    let study = Study::new(lesson);
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let whole = median_seconds(51, || {
        black_box(analyse(black_box(lesson)));
    });
    let again = median_seconds(51, || {
        black_box(analyse_after(black_box(lesson), lesson, analysis));
    });
    let tried: usize = analysis.findings.told.iter().map(|finding| trials(&study, finding).len()).sum();
    let start = Instant::now();
    let offered: usize =
        analysis.findings.told.iter().map(|finding| black_box(remedies(&study, finding)).len()).sum();
    let seconds = start.elapsed().as_secs_f64();
    let count = analysis.findings.told.len().max(1) as f64;
    println!("{} notes, {} findings", analysis.line.notes.len(), analysis.findings.told.len());
    println!("one analysis                {:>10.3} ms", whole * 1e3);
    println!("the same, strings taken over{:>10.3} ms {:>8.2} of it", again * 1e3, again / whole);
    println!(
        "all remedies ({tried} trials, {offered} offered) {:>10.1} ms {:>8.0} analyses",
        seconds * 1e3,
        seconds / whole
    );
    println!(
        "for one finding             {:>10.1} ms {:>8.1} analyses",
        seconds * 1e3 / count,
        seconds / whole / count
    );
}
