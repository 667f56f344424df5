//! The window without a screen, worked as a person would: by the names of its controls and by keys.

use std::path::{Path, PathBuf};

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    desk::{Desk, Memory},
    lesson::{Lesson, demo::demo},
    score::{Bar, EventId, Quarters},
};

/// Notes of a part no analysis of which is done within a frame.
pub const LONG: usize = 2900;
/// Notes of a part in which a change is not made within a frame either.
pub const VERY_LONG: usize = 3100;

/// A window with the demo, or with a file that is being read. It remembers nothing.
pub fn desk(file: Option<PathBuf>) -> Harness<'static, Desk> {
    remembering(Memory::default(), file)
}

/// A window that keeps unsaved work and versions in this folder.
pub fn keeping(data: &Path, file: Option<PathBuf>) -> Harness<'static, Desk> {
    remembering(Memory::in_folders(None, Some(data.to_owned())), file)
}

fn remembering(memory: Memory, file: Option<PathBuf>) -> Harness<'static, Desk> {
    let mut harness = Harness::builder()
        .with_size([1280.0, 800.0])
        .with_step_dt(1.0 / 60.0)
        .build_eframe(|cc| Desk::new(&cc.egui_ctx, memory, file));
    harness.run_steps(3);
    harness
}

/// Some frames, and as many more as it takes until what was changed is shown.
pub fn settle(harness: &mut Harness<'_, Desk>) {
    let shown = harness.state().study().id();
    harness.run_steps(3);
    if harness.state().is_making() {
        wait_until(harness, |harness| !harness.state().is_making());
    } else if harness.state().study().id() != shown {
        // On a busy machine it may be the last of those frames that shows the change: a panel that holds more then
        // is as high as it needs only in the next, and what stands in it moves.
        harness.run_steps(3);
    }
}

pub fn press(harness: &mut Harness<'_, Desk>, key: Key) {
    harness.key_press(key);
    settle(harness);
}

pub fn press_with(harness: &mut Harness<'_, Desk>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    settle(harness);
}

pub fn click(harness: &mut Harness<'_, Desk>, label: &str) {
    harness.get_by_label(label).click();
    settle(harness);
}

/// Waits for what a thread is at work on; a minute, for a busy machine.
pub fn wait_until(harness: &mut Harness<'_, Desk>, done: impl Fn(&Harness<'_, Desk>) -> bool) {
    for _ in 0..6000 {
        if done(harness) {
            harness.run_steps(3);
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.step();
    }
    panic!("it did not come about in time");
}

/// Asks for the lesson to be saved and waits for what comes of it.
pub fn save(harness: &mut Harness<'_, Desk>) {
    press_with(harness, Modifiers::COMMAND, Key::S);
    wait_until(harness, |harness| !harness.state().is_saving());
}

/// The demo passage again and again, with at least so many notes.
pub fn long_lesson(notes: usize) -> Lesson {
    let mut lesson = demo();
    let seed = lesson.score.clone();
    let mut turn = 0;
    while lesson.score.events.len() < notes {
        turn += 1;
        let shift = seed.end() * Quarters::from(i64::from(turn));
        lesson
            .score
            .bars
            .extend(seed.bars.iter().cloned().map(|bar| Bar { start: bar.start + shift, ..bar }));
        lesson.score.events.extend(seed.events.iter().cloned().map(|mut event| {
            event.id = EventId(event.id.0 + turn * seed.free_event_id().0);
            event.onset += shift;
            event
        }));
    }
    lesson.score.sort();
    lesson
}
