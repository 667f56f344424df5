//! Analysis of whole passages: time per note for 300, 3,000 and 30,000 notes. The baseline is the
//! shortest passage in the same run: linear growth keeps the ratio of the times per note near 1.
//! Then the same for a tempo at which no bow is long enough, against the playable passage of the
//! same length.

#[path = "passage.rs"]
mod passage;

use elbowroom::{analysis::analyse, lesson::Lesson};
use passage::{median_seconds, passage};

/// So slow that nearly every note outlasts the slowest bow, as a share of the marked tempo.
const TOO_SLOW: f64 = 0.02;

/// Median time of an analysis for each note, us.
fn us_a_note(lesson: &Lesson, runs: usize) -> f64 {
    let seconds = median_seconds(runs, || {
        std::hint::black_box(analyse(std::hint::black_box(lesson)));
    });
    seconds / lesson.score.events.len() as f64 * 1e6
}

fn main() {
    let mut shortest = None;
    println!("{:>8} {:>12} {:>12}  ratio", "notes", "median ms", "us a note");
    for (notes, runs) in [(300, 51), (3_000, 21), (30_000, 7)] {
        let mut lesson = passage(notes);
        let count = lesson.score.events.len();
        let row = |each: f64, base: f64, to: &str| {
            let ms = each * count as f64 / 1e3;
            println!("{count:>8} {ms:>12.3} {each:>12.3}  {:.2} to {to}", each / base);
        };
        let playable = us_a_note(&lesson, runs);
        row(playable, *shortest.get_or_insert(playable), "the shortest");
        lesson.setup.tempo_share = TOO_SLOW;
        let impossible = analyse(&lesson).plan.solution.impossible.len();
        assert!(2 * impossible > count, "{impossible} of {count} notes cannot be played");
        row(us_a_note(&lesson, runs), playable, "the playable one, at a tempo that cannot be played");
    }
}
