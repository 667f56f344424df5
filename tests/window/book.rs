//! The lesson book, and where a lesson is found again.

use std::path::{Path, PathBuf};

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    desk::Desk,
    exchange::{book::Book, lesson_file},
    lesson::{Lesson, demo::demo},
    setup::{Family, Setup},
};
use tempfile::TempDir;

use crate::harness::{click, keeping, press, press_with, save, settle, wait_until};

/// A folder with a data folder and a lesson for the violin in it.
fn folder() -> (TempDir, PathBuf, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (data, file) = (folder.path().join("data"), folder.path().join("song.elbowroom"));
    let mut lesson = demo();
    lesson.score.title = "Another Song".to_owned();
    lesson_file::save(&file, &lesson).expect("the folder can be written");
    (folder, data, file)
}

fn opened(data: &Path, file: &Path) -> Harness<'static, Desk> {
    let mut harness = keeping(data, Some(file.to_owned()));
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    harness
}

fn open_book(harness: &mut Harness<'_, Desk>) {
    press_with(harness, Modifiers::COMMAND, Key::L);
    wait_until(harness, |harness| harness.query_by_label("Pupils").is_some());
}

fn add(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label("New").focus();
    harness.run_steps(2);
    harness.get_by_label("New").type_text(name);
    harness.run_steps(2);
    click(harness, "Add");
}

/// Chooses a pupil in the list, whose name may also stand over the lessons.
fn choose(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_all_by_label(name).next().expect("a name in the list").click();
    settle(harness);
}

fn book(data: &Path) -> Book {
    Book::read(&data.join("pupils")).expect("the book can be read")
}

#[test]
fn what_was_reached_is_written_down_and_the_lesson_opened_from_the_book() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    open_book(&mut harness);
    add(&mut harness, "Mila");
    add(&mut harness, "Jon");
    choose(&mut harness, "Mila");
    harness.get_by_label("Note").focus();
    harness.run_steps(2);
    harness.get_by_label("Note").type_text("bars 5-8 in one bow");
    harness.run_steps(2);
    click(&mut harness, "Write it down");
    let mila = book(&data).named("Mila").expect("she is there").pupil.clone();
    let day = &mila.lessons[0].days[0];
    // The demo is marked 84, at which it is played.
    assert_eq!((day.tempo, day.marked, day.note.as_str()), (Some(84), Some(84), "bars 5-8 in one bow"));
    assert_eq!((mila.lessons[0].title.as_str(), &mila.lessons[0].file), ("Another Song", &file));
    drop(harness);
    let mut harness = keeping(&data, None);
    open_book(&mut harness);
    choose(&mut harness, "Mila");
    harness.get_by_label("bars 5-8 in one bow");
    click(&mut harness, "Open");
    wait_until(&mut harness, |harness| harness.state().lesson().score.title == "Another Song");
    // Taken out only when said twice, and no lesson with it.
    click(&mut harness, "Take out…");
    assert_eq!(book(&data).pupils.len(), 2);
    click(&mut harness, "Take out for good");
    assert_eq!(book(&data).pupils.len(), 1);
    assert!(file.exists());
}

#[test]
fn a_lesson_without_a_file_is_saved_before_it_is_listed() {
    let (_folder, data, _) = folder();
    let mut harness = keeping(&data, None);
    open_book(&mut harness);
    add(&mut harness, "Mila");
    harness.get_by_label_contains("Save it as a lesson");
    assert!(harness.query_by_label("Write it down").is_none());
}

/// One list of pupils: what is kept in the book is chosen where the player is set up.
#[test]
fn a_lesson_is_planned_for_a_pupil_of_the_book() {
    let (_folder, data, file) = folder();
    let setup = Setup::for_family(Family::Violin);
    let half = elbowroom::setup::Catalogue::builtin();
    let half = half.by_size(Family::Violin).into_iter().find(|known| known.size == "1/2").expect("a size");
    let figures = elbowroom::exchange::book::Figures::of(&setup.in_size(half));
    Book::add(&data.join("pupils"), "Mila", Some(figures)).unwrap();
    let mut harness = opened(&data, &file);
    press_with(&mut harness, Modifiers::COMMAND, Key::I);
    wait_until(&mut harness, |harness| harness.query_by_label("Mila").is_some());
    click(&mut harness, "Mila");
    let setup = &harness.state().lesson().setup;
    assert_eq!((setup.instrument.size.as_str(), setup.player.name.as_str()), ("1/2", "Mila"));
    let planned = harness.state().lesson().clone();
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_ne!(harness.state().lesson(), &planned, "one step to undo");
    // Figures changed on the desk are kept with the pupil when that is asked for.
    press_with(&mut harness, Modifiers::COMMAND, Key::Y);
    click(&mut harness, "Left-handed: everything flipped");
    click(&mut harness, "Keep these figures for…");
    harness.get_all_by_label("Mila").last().expect("in the menu").click();
    settle(&mut harness);
    assert!(book(&data).pupils[0].pupil.figures.as_ref().is_some_and(|figures| figures.left_handed));
}

#[test]
fn a_damaged_pupil_is_told_and_left() {
    let (_folder, data, file) = folder();
    std::fs::create_dir_all(data.join("pupils")).unwrap();
    let damaged = data.join("pupils/Mila.pupil");
    std::fs::write(&damaged, "LessonBook(format_version: 9, pupil: ()").unwrap();
    let mut harness = opened(&data, &file);
    open_book(&mut harness);
    harness.get_by_label_contains("Mila.pupil:");
    add(&mut harness, "Jon");
    assert_eq!(book(&data).pupils.len(), 1);
    assert!(std::fs::read_to_string(damaged).unwrap().contains("format_version: 9"));
}

fn shown_demo(harness: &mut Harness<'_, Desk>) {
    click(harness, "Lesson");
    harness.get_by_label_contains("Show the demo").click();
    settle(harness);
    wait_until(harness, |harness| harness.state().lesson() == &demo());
}

#[test]
fn a_lesson_opens_where_it_was_left() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    for _ in 0..3 {
        press(&mut harness, Key::PageDown);
    }
    press(&mut harness, Key::T);
    click(&mut harness, "Pencil marks");
    let at = harness.state().position_s();
    shown_demo(&mut harness);
    assert_eq!(harness.state().position_s(), 0.0);
    click(&mut harness, "Lesson");
    click(&mut harness, "song.elbowroom");
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    assert_eq!(harness.state().position_s(), at);
    harness.get_by_label("As you left it, at bar 4");
    assert!(harness.state().tempo_ladder().is_some() || harness.query_by_label_contains("Tempo").is_some());
}

/// What was open is open again, in another window too, and the practice tempo is in the lesson.
#[test]
fn the_open_finding_and_the_practice_tempo_are_found_again() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    press(&mut harness, Key::J);
    let open = |harness: &Harness<'_, Desk>| {
        harness.query_by_label("What helps").is_some() || harness.query_by_label("Silence…").is_some()
    };
    assert!(open(&harness), "a finding is open");
    let slow = |lesson: &Lesson| elbowroom::lesson::change::set_tempo_share(lesson, 0.5).unwrap();
    let half = slow(harness.state().lesson()).apply(harness.state().lesson()).unwrap().0;
    save(&mut harness);
    lesson_file::save(&file, &half).unwrap();
    shown_demo(&mut harness);
    wait_until(&mut harness, |harness| !open(harness));
    click(&mut harness, "Lesson");
    click(&mut harness, "song.elbowroom");
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    assert_eq!(harness.state().lesson().setup.tempo_share, 0.5);
    wait_until(&mut harness, open);
}

/// An exercise leads back to where it was called for.
#[test]
fn the_way_back_leads_to_the_bar_it_began_from() {
    let (_folder, data, file) = folder();
    let mut harness = opened(&data, &file);
    for _ in 0..4 {
        press(&mut harness, Key::PageDown);
    }
    let at = harness.state().position_s();
    press(&mut harness, Key::ArrowRight);
    press(&mut harness, Key::ArrowLeft);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    click(&mut harness, "Note by note from the front");
    wait_until(&mut harness, |harness| harness.query_by_label("Back to Another Song").is_some());
    click(&mut harness, "Back to Another Song");
    assert_eq!(harness.state().position_s(), at);
}
