//! Analysis of whole passages: time per note for 300, 3,000 and 30,000 notes. The baseline is the
//! shortest passage in the same run: linear growth keeps the ratio of the times per note near 1.
//! Then the same for a tempo at which no bow is long enough, against the playable passage of the
//! same length. Last, one edit in the middle of a passage, and of the longest real part if the real
//! parts are there, against a whole analysis of the same music.

#[path = "../common/data.rs"]
mod data;
#[path = "passage.rs"]
mod passage;
mod timing;

use elbowroom::{
    analysis::{Study, analyse},
    lesson::{Lesson, change},
};
use passage::passage;
use timing::median_seconds;

/// So slow that nearly every note outlasts the slowest bow, as a share of the marked tempo.
const TOO_SLOW: f64 = 0.02;

/// Median time of an analysis for each note, us.
fn us_a_note(lesson: &Lesson, runs: usize) -> f64 {
    let seconds = median_seconds(runs, || {
        std::hint::black_box(analyse(std::hint::black_box(lesson)));
    });
    seconds / lesson.score.events.len() as f64 * 1e6
}

/// One change in the middle of a lesson at a time, and what of the study is made anew with it.
fn edits(name: &str, lesson: Lesson, runs: usize) {
    let study = Study::new(lesson);
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let middle = analysis.bowing.notes.len() / 2;
    let [id, next] = [middle, middle + 1].map(|k| analysis.note(k).id());
    let turned = analysis.bowed(middle).direction.turned();
    let edits = [
        ("bow mark", change::set_bow(lesson, &[id], Some(turned))),
        ("slur", change::set_slur(lesson, &[id, next], true)),
        ("retake", change::set_retake(lesson, id, true)),
        ("bow speed", change::set_speed_factor(lesson, &[id], Some(1.3))),
        ("note a half step up", change::move_notes(lesson, &[id], change::Moving::HalfSteps(1))),
    ];
    let whole = median_seconds(runs, || {
        std::hint::black_box(analyse(std::hint::black_box(lesson)));
    });
    println!("{name}, {} notes: whole analysis {:.3} ms", analysis.line.notes.len(), whole * 1e3);
    for (what, edit) in edits {
        let after = edit.and_then(|edit| edit.apply(lesson)).map(|(after, _)| std::sync::Arc::new(after));
        let Ok(after) = after else { continue };
        let edited = median_seconds(runs, || {
            std::hint::black_box(study.with(std::hint::black_box(after.clone())));
        });
        println!("{what:>22} {:>9.3} ms  {:.2} of the whole", edited * 1e3, edited / whole);
    }
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
    edits("passage", passage(300), 51);
    let real = data::real_parts().map(|(name, imported)| (name, data::lesson(imported)));
    if let Some((name, longest)) = real.max_by_key(|(_, lesson)| lesson.score.events.len()) {
        edits(&name, longest, 51);
    }
}
