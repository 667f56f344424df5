//! What was not saved, what was saved before, and what others have saved: none of it is lost.

use std::path::{Path, PathBuf};

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    desk::Desk,
    exchange::{lesson_file, versions},
    lesson::{Lesson, demo::demo},
};
use tempfile::TempDir;

use crate::harness::{click, keeping, press, press_with, save, settle, wait_until};

/// A folder with a data folder and a lesson in it.
fn folder() -> (TempDir, PathBuf, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (data, file) = (folder.path().join("data"), folder.path().join("song.elbowroom"));
    lesson_file::save(&file, &titled("Another Song")).expect("the folder can be written");
    (folder, data, file)
}

fn titled(title: &str) -> Lesson {
    let mut lesson = demo();
    lesson.score.title = title.to_owned();
    lesson
}

fn on_disk(path: &Path) -> Lesson {
    let text = std::fs::read_to_string(path).expect("the file is there");
    lesson_file::read(&text).expect("a whole lesson")
}

/// A window on that lesson.
fn opened(data: &Path, file: &Path) -> Harness<'static, Desk> {
    let mut harness = keeping(data, Some(file.to_owned()));
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    harness
}

/// Makes a change: another retake on the first note.
fn change(harness: &mut Harness<'_, Desk>) {
    press(harness, Key::Home);
    press(harness, Key::ArrowRight);
    press(harness, Key::R);
}

fn choose(harness: &mut Harness<'_, Desk>, item: &str) {
    click(harness, "Lesson");
    // A menu names the key beside the command.
    harness.get_by_label_contains(item).click();
    settle(harness);
}

fn close(harness: &mut Harness<'_, Desk>) {
    let root = harness.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
    root.events.push(egui::ViewportEvent::Close);
    settle(harness);
}

/// A window that is gone without having been left in order writes what is due and no more.
#[test]
fn unsaved_work_is_offered_at_the_next_start_and_can_be_taken_up() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    change(&mut harness);
    let changed = harness.state().lesson().clone();
    drop(harness);
    let mut harness = keeping(&data, None);
    wait_until(&mut harness, |harness| harness.query_by_label("Unsaved work").is_some());
    harness.get_by_label("Another Song");
    harness.get_by_label_contains("song.elbowroom");
    click(&mut harness, "Open");
    wait_until(&mut harness, |harness| harness.state().lesson() == &changed);
    // It is still unsaved, and saved where it came from.
    assert_ne!(on_disk(&file), changed);
    save(&mut harness);
    assert_eq!(on_disk(&file), changed);
    drop(harness);
    let mut harness = keeping(&data, None);
    std::thread::sleep(std::time::Duration::from_millis(300));
    settle(&mut harness);
    assert!(harness.query_by_label("Unsaved work").is_none(), "what is saved is not offered");
}

#[test]
fn what_was_taken_up_is_kept_until_it_is_saved_or_given_up() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    change(&mut harness);
    drop(harness);
    for _ in 0..2 {
        let mut harness = keeping(&data, None);
        wait_until(&mut harness, |harness| harness.query_by_label("Unsaved work").is_some());
        click(&mut harness, "Open");
        wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    }
    let mut harness = keeping(&data, None);
    wait_until(&mut harness, |harness| harness.query_by_label("Unsaved work").is_some());
    click(&mut harness, "Open");
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    close(&mut harness);
    click(&mut harness, "Discard changes");
    drop(harness);
    let mut harness = keeping(&data, None);
    std::thread::sleep(std::time::Duration::from_millis(300));
    settle(&mut harness);
    assert!(harness.query_by_label("Unsaved work").is_none(), "what was given up is not offered");
    assert_eq!(on_disk(&file), titled("Another Song"));
}

#[test]
fn work_put_aside_is_asked_for_and_thrown_away_only_when_said_twice() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    change(&mut harness);
    drop(harness);
    let mut harness = keeping(&data, None);
    wait_until(&mut harness, |harness| harness.query_by_label("Unsaved work").is_some());
    click(&mut harness, "Keep aside");
    assert!(harness.query_by_label("Unsaved work").is_none());
    choose(&mut harness, "Unsaved work…");
    wait_until(&mut harness, |harness| harness.query_by_label("Another Song").is_some());
    click(&mut harness, "Throw away…");
    click(&mut harness, "Throw it away for good");
    choose(&mut harness, "Unsaved work…");
    wait_until(&mut harness, |harness| harness.query_by_label("There is none.").is_some());
}

#[test]
fn a_file_that_has_changed_on_the_disk_is_not_replaced_unasked() {
    for answer in ["Replace it", "Compare", "Cancel"] {
        let (_folder, data, file) = folder();
        let mut harness = opened(&data, &file);
        change(&mut harness);
        let mine = harness.state().lesson().clone();
        let theirs = titled("Their Song");
        lesson_file::save(&file, &theirs).unwrap();
        save(&mut harness);
        harness.get_by_label("The file has changed on the disk");
        assert_eq!(on_disk(&file), theirs);
        click(&mut harness, answer);
        match answer {
            "Replace it" => wait_until(&mut harness, |_| on_disk(&file) == mine),
            "Compare" => {
                wait_until(&mut harness, |harness| harness.query_by_label("Version on the disk").is_some());
                assert_eq!(on_disk(&file), theirs);
                assert!(!harness.state().differences().is_empty());
                // It has been seen now.
                click(&mut harness, "Go back to this version");
                assert_eq!(harness.state().lesson(), &theirs);
                press_with(&mut harness, Modifiers::COMMAND, Key::Z);
                save(&mut harness);
                assert_eq!(on_disk(&file), mine);
            }
            _ => assert_eq!(on_disk(&file), theirs),
        }
    }
}

/// The unedited second window does not put the old contents back.
#[test]
fn two_windows_on_one_lesson_know_of_each_other() {
    let (_folder, data, file) = folder();
    let mut one = opened(&data, &file);
    let mut two = opened(&data, &file);
    wait_until(&mut two, |two| two.query_by_label_contains("open in another window too").is_some());
    change(&mut one);
    save(&mut one);
    let saved = on_disk(&file);
    assert_eq!(&saved, one.state().lesson());
    wait_until(&mut two, |two| two.query_by_label_contains("has changed on the disk").is_some());
    save(&mut two);
    two.get_by_label("The file has changed on the disk");
    assert_eq!(on_disk(&file), saved);
}

#[test]
fn a_version_saved_before_is_compared_and_gone_back_to() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    let first = harness.state().lesson().clone();
    change(&mut harness);
    save(&mut harness);
    let second = harness.state().lesson().clone();
    assert_ne!(first, second);
    let kept = || versions::list(&data, &file).len();
    wait_until(&mut harness, |_| kept() == 2);
    choose(&mut harness, "Saved versions…");
    wait_until(&mut harness, |harness| harness.query_by_label("Saved versions").is_some());
    let versions = harness.query_all_by_label("Compare").count();
    assert_eq!(versions, 2, "what was there before the program saved it, and what it saved");
    let oldest = harness.query_all_by_label("Compare").last().unwrap();
    oldest.click();
    settle(&mut harness);
    wait_until(&mut harness, |harness| harness.query_by_label("Go back to this version").is_some());
    click(&mut harness, "Go back to this version");
    assert_eq!(harness.state().lesson(), &first);
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(harness.state().lesson(), &second);
}

#[test]
fn a_damaged_lesson_is_had_back_from_its_versions() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    change(&mut harness);
    save(&mut harness);
    let whole = harness.state().lesson().clone();
    drop(harness);
    // As some file systems leave a file when the power goes.
    std::fs::write(&file, [0; 4096]).unwrap();
    let mut harness = keeping(&data, Some(file.clone()));
    wait_until(&mut harness, |harness| harness.query_by_label("Saved versions").is_some());
    harness.get_by_label_contains("the lesson file is damaged");
    let versions: Vec<_> = harness.query_all_by_label("Open").collect();
    assert_eq!(versions.len(), 2);
    versions[0].click();
    drop(versions);
    wait_until(&mut harness, |harness| harness.state().lesson() == &whole);
    assert!(lesson_file::read_bytes(&std::fs::read(&file).unwrap()).is_err(), "nothing is written unasked");
    save(&mut harness);
    assert_eq!(on_disk(&file), whole);
}
