//! Analysis of whole passages: time per note for 300, 3,000 and 30,000 notes. The baseline is the
//! shortest passage in the same run: linear growth keeps the ratio of the times per note near 1.

#[path = "passage.rs"]
mod passage;

use elbowroom::analysis::analyse;
use passage::{median_seconds, passage};

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
