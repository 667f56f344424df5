//! The window without a screen: time to the first frame, from an edit until it is shown, and the longest
//! frame meanwhile, for a passage of about 300 notes, for one as long as the longest real parts, and for
//! the longest that are read. The baseline is the bare analysis of the same passage in the same run; for
//! frames, a frame with no change. Painting by the graphics card is not in it.

use std::{
    hint::black_box,
    path::Path,
    time::{Duration, Instant},
};

use egui::Key;
use egui_kittest::Harness;
use elbowroom::{
    analysis::analyse,
    desk::{Desk, Memory},
    exchange::lesson_file,
    lesson::{Lesson, demo::demo},
    score::{EventId, Quarters},
};

/// The demo passage again and again.
fn passage(turns: u32) -> Lesson {
    let mut lesson = demo();
    let seed = lesson.score.clone();
    for turn in 1..turns {
        let shift = seed.end() * Quarters::from(i64::from(turn));
        lesson.score.bars.extend(seed.bars.iter().cloned().map(|mut bar| {
            bar.start += shift;
            bar
        }));
        lesson.score.events.extend(seed.events.iter().cloned().map(|mut event| {
            event.id = EventId(event.id.0 + turn * seed.free_event_id().0);
            event.onset += shift;
            event
        }));
    }
    lesson.score.sort();
    lesson
}

fn median_ms(runs: usize, mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

fn open(path: &Path) -> Harness<'static, Desk> {
    let path = path.to_owned();
    Harness::builder()
        .with_size([1280.0, 800.0])
        // Edits as quick as in a drag: what is tried in the background waits for calm.
        .with_step_dt(1.0 / 60.0)
        .build_eframe(move |context| Desk::new(&context.egui_ctx, Memory::default(), Some(path)))
}

/// Turns of the demo: about 300 notes, 4,400, 28,000 and 100,000.
const TURNS: [u32; 4] = [10, 152, 960, 3440];

fn main() {
    for turns in TURNS {
        measure(&passage(turns));
    }
}

fn measure(lesson: &Lesson) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("passage.elbowroom");
    lesson_file::save(&path, lesson).expect("saved");
    let runs = if lesson.score.events.len() > 10_000 { 3 } else { 21 };
    let bare = median_ms(runs, || {
        black_box(analyse(lesson));
    });
    let first = median_ms(3, || {
        black_box(open(&path));
    });
    let mut harness = open(&path);
    // The file is read off the interface thread.
    while harness.state().analysis().line.notes.len() < lesson.score.events.len() / 2 {
        std::thread::sleep(std::time::Duration::from_millis(5));
        harness.step();
    }
    harness.key_press(Key::ArrowRight);
    harness.step();
    let mut longest = Vec::new();
    let edit = median_ms(runs, || {
        harness.key_press(Key::B);
        let mut longest_ms = median_ms(1, || harness.step());
        while harness.state().is_behind() {
            std::thread::sleep(Duration::from_millis(1));
            longest_ms = longest_ms.max(median_ms(1, || harness.step()));
        }
        longest.push(median_ms(1, || harness.step()).max(longest_ms));
    });
    longest.sort_by(f64::total_cmp);
    let longest = longest[runs / 2];
    let idle = median_ms(21, || harness.step());
    println!("{} notes, medians", lesson.score.events.len());
    println!("bare analysis          {bare:8.2} ms");
    println!("start to first frame   {first:8.2} ms  {:6.2} analyses", first / bare);
    println!("edit until it is shown {edit:8.2} ms  {:6.2} analyses", edit / bare);
    println!("frame with no change   {idle:8.2} ms  {:6.2} analyses", idle / bare);
    println!("longest frame meanwhile{longest:8.2} ms  {:6.2} frames with no change", longest / idle);
}
