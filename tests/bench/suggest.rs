//! Bowings suggested for four bars, in a short part and in a long one: what a search costs should not grow
//! with the part. The baseline is one analysis of the short part in the same run.

#[path = "passage.rs"]
mod passage;
mod timing;

use std::{collections::BTreeSet, hint::black_box, time::Instant};

use elbowroom::{
    advice::{Ask, Freedom, suggest},
    analysis::{Study, analyse},
};
use passage::passage;
use timing::median_seconds;

/// Bars that are bowed anew.
const BARS: usize = 4;

fn main() {
    let mut baseline = None;
    for notes in [300, 3000] {
        let mut lesson = passage(notes);
        lesson.score.sort();
        let study = Study::new(lesson);
        let score = &study.lesson().score;
        let once = median_seconds(5, || {
            black_box(analyse(black_box(study.lesson())));
        });
        let baseline = *baseline.get_or_insert(once);
        println!("{notes} notes: one analysis {:.3} ms", once * 1e3);
        let first = score.bars.len() / 2;
        let chosen = score.events.iter().filter(|event| {
            score.bar_at(event.onset).is_some_and(|bar| (first..first + BARS).contains(&bar))
        });
        let events: BTreeSet<_> = chosen.map(|event| event.id).collect();
        for freedom in [Freedom::Splits, Freedom::Free] {
            let ask = Ask { events: Some(events.clone()), freedom, answers: 3 };
            let start = Instant::now();
            let answers = suggest(&study, &ask, &mut |_| true).map_or(0, |answers| answers.len());
            let seconds = start.elapsed().as_secs_f64();
            println!(
                "  {freedom:?}: {answers} answers in {:>8.1} ms {:>8.0} analyses of the short part",
                seconds * 1e3,
                seconds / baseline
            );
        }
    }
}
