//! Analysis of whole passages: time per note for 300, 3,000 and 30,000 notes. The baseline is the
//! shortest passage in the same run: linear growth keeps the ratio of the times per note near 1.

use std::time::Instant;

use elbowroom::{
    analysis::analyse,
    lesson::{Lesson, demo::demo},
    score::{EventId, Quarters, SlurId},
};

/// The demo passage again and again until it has this many notes.
fn passage(notes: usize) -> Lesson {
    let seed = demo();
    let length = seed.score.end();
    let mut lesson = seed.clone();
    let ids = seed.score.free_event_id().0;
    let slurs = seed.score.free_slur_id().0;
    let mut turn = 0_u32;
    while lesson.score.events.len() < notes {
        turn += 1;
        let shift = length * Quarters::from(i64::from(turn));
        lesson.score.bars.extend(seed.score.bars.iter().cloned().map(|mut bar| {
            bar.start += shift;
            bar
        }));
        lesson.score.events.extend(seed.score.events.iter().cloned().map(|mut event| {
            event.id = EventId(event.id.0 + turn * ids);
            event.onset += shift;
            event
        }));
        lesson.score.slurs.extend(seed.score.slurs.iter().map(|slur| {
            let mut slur = *slur;
            slur.id = SlurId(slur.id.0 + turn * slurs);
            slur.from = EventId(slur.from.0 + turn * ids);
            slur.to = EventId(slur.to.0 + turn * ids);
            slur
        }));
    }
    lesson
}

fn median_seconds(runs: usize, mut work: impl FnMut()) -> f64 {
    work();
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

fn main() {
    let mut base = None;
    println!("{:>8} {:>12} {:>12} {:>18}", "notes", "median ms", "us a note", "ratio to 300 notes");
    for (notes, runs) in [(300, 51), (3_000, 21), (30_000, 7)] {
        let lesson = passage(notes);
        let seconds = median_seconds(runs, || {
            std::hint::black_box(analyse(std::hint::black_box(&lesson)));
        });
        let each = seconds / lesson.score.events.len() as f64 * 1e6;
        let base = *base.get_or_insert(each);
        println!(
            "{:>8} {:>12.3} {:>12.3} {:>18.2}",
            lesson.score.events.len(),
            seconds * 1e3,
            each,
            each / base
        );
    }
}
