//! Opening, saving and leaving a lesson in the window: nothing is lost without a question.

use std::path::{Path, PathBuf};

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{analysis::analyse, desk::Desk, exchange::lesson_file, lesson::demo::demo, score::EventId};

use crate::harness::{LONG, click, desk, long_lesson, press, press_with, save, settle, wait_until};

fn data(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)
}

fn title<'a>(harness: &'a Harness<'_, Desk>) -> &'a str {
    &harness.state().lesson().score.title
}

/// Makes a change: a retake on the first note.
fn change(harness: &mut Harness<'_, Desk>) {
    press(harness, Key::Home);
    press(harness, Key::ArrowRight);
    press(harness, Key::R);
    assert!(is_changed(harness));
}

fn is_changed(harness: &Harness<'_, Desk>) -> bool {
    harness.state().lesson().score.event(EventId(0)).is_some_and(|event| event.retake)
}

/// Saves a lesson of another title.
fn saved(path: &Path, title: &str) {
    let mut lesson = demo();
    lesson.score.title = title.to_owned();
    lesson_file::save(path, &lesson).expect("the folder can be written");
}

/// The lesson in a file.
fn on_disk(path: &Path) -> elbowroom::lesson::Lesson {
    let text = std::fs::read_to_string(path).expect("the file is there");
    lesson_file::read(&text).expect("a whole lesson")
}

/// Drops a file on the window.
fn drop_file(harness: &mut Harness<'_, Desk>, path: PathBuf) {
    #[derive(Debug)]
    struct Dropped(PathBuf);
    impl egui::DroppedFile for Dropped {
        fn path(&self) -> &Path {
            &self.0
        }

        fn bytes(&self) -> Result<Vec<u8>, String> {
            std::fs::read(&self.0).map_err(|error| error.to_string())
        }
    }
    harness.input_mut().dropped_files.push(std::sync::Arc::new(Dropped(path)));
    harness.step();
}

/// Asks the window to close, as its close button does.
fn close(harness: &mut Harness<'_, Desk>) {
    let root = harness.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
    root.events.push(egui::ViewportEvent::Close);
    settle(harness);
}

#[test]
fn unsaved_changes_are_asked_about() {
    let mut harness = desk(None);
    change(&mut harness);
    press_with(&mut harness, Modifiers::COMMAND, Key::N);
    harness.get_by_label("Unsaved changes");
    click(&mut harness, "Cancel");
    assert_eq!(title(&harness), "Harbour Song");
    press_with(&mut harness, Modifiers::COMMAND, Key::N);
    click(&mut harness, "Discard changes");
    assert_ne!(title(&harness), "Harbour Song");
}

#[test]
fn a_lesson_file_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("saved.elbowroom");
    saved(&path, "Another Song");
    let mut harness = desk(Some(path));
    wait_until(&mut harness, |harness| title(harness) == "Another Song");
    assert_eq!(harness.state().undo_depth(), 0);
}

#[test]
fn a_musicxml_file_is_opened() {
    let mut harness = desk(Some(data("duo.musicxml")));
    wait_until(&mut harness, |harness| harness.query_by_label("Which part?").is_some());
    click(&mut harness, "Read this part");
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    assert!(!harness.state().analysis().line.notes.is_empty());
}

/// What a file says that is at odds with itself stands beside the music, with its bar.
#[test]
fn remarks_on_a_file_stand_beside_the_music() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("odd.musicxml");
    let note = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note>";
    let odd = format!(
        "<score-partwise><part-list><score-part id='P1'><part-name>Violin</part-name></score-part></part-list>\
         <part id='P1'><measure number='7'><attributes><divisions>1</divisions></attributes>{note}\
         <backup><duration>9</duration></backup></measure></part></score-partwise>"
    );
    std::fs::write(&path, odd).unwrap();
    let mut harness = desk(Some(path));
    wait_until(&mut harness, |harness| harness.state().lesson() != &demo());
    let tab = harness.get_by_label("Reading").rect();
    assert!(tab.right() < 1280.0, "{tab:?} in a window of 1280 points");
    harness.get_by_label("Bar 7");
    harness.get_by_label_contains("A backup goes beyond the start of its bar");
    click(&mut harness, "Findings");
    assert!(harness.query_by_label("Bar 7").is_none());
}

#[test]
fn a_broken_file_leaves_the_desk_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("broken.musicxml");
    std::fs::write(&path, "<score-partwise><part>").unwrap();
    let mut harness = desk(Some(path));
    wait_until(&mut harness, |harness| harness.query_by_label_contains("Not opened").is_some());
    assert_eq!(harness.state().lesson(), &demo());
}

#[test]
fn a_dropped_file_is_asked_about_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("saved.elbowroom");
    saved(&path, "Another Song");
    let mut harness = desk(None);
    change(&mut harness);
    drop_file(&mut harness, path);
    settle(&mut harness);
    click(&mut harness, "Discard changes");
    wait_until(&mut harness, |harness| title(harness) == "Another Song");
    assert!(harness.query_by_label("Unsaved changes").is_none());
}

/// A file that takes some seconds to read: a score of one note under very many empty elements.
fn slow_file(folder: &Path) -> PathBuf {
    let path = folder.join("slow.musicxml");
    let (head, tail) = (
        "<score-partwise><work><work-title>Another Song</work-title></work>",
        "<part-list><score-part id='P1'><part-name>Viola</part-name></score-part></part-list><part id='P1'><measure number='1'><attributes><divisions>1</divisions></attributes><note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note></measure></part></score-partwise>",
    );
    let text = [head, &"<credit/>".repeat(2_000_000), tail].concat();
    std::fs::write(&path, text).expect("the folder can be written");
    path
}

#[test]
fn changes_made_while_a_file_is_read_are_asked_about() {
    for discard in [false, true] {
        let folder = tempfile::tempdir().unwrap();
        let slow = slow_file(folder.path());
        let mut harness = desk(None);
        change(&mut harness);
        drop_file(&mut harness, slow);
        settle(&mut harness);
        click(&mut harness, "Discard changes");
        // One more change than those that were given up.
        press(&mut harness, Key::B);
        let edited = harness.state().lesson().clone();
        wait_until(&mut harness, |harness| harness.query_by_label("Unsaved changes").is_some());
        assert_eq!(harness.state().lesson(), &edited);
        if discard {
            click(&mut harness, "Discard changes");
            assert_eq!(title(&harness), "Another Song");
        } else {
            click(&mut harness, "Cancel");
            assert_eq!(harness.state().lesson(), &edited);
            assert_eq!(harness.state().undo_depth(), 2);
        }
        settle(&mut harness);
        assert!(harness.query_by_label("Unsaved changes").is_none());
    }
}

#[test]
fn reading_a_file_can_be_stopped_and_another_takes_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("saved.elbowroom");
    saved(&path, "Another Song");
    let mut harness = desk(Some(slow_file(folder.path())));
    click(&mut harness, "Stop reading");
    assert!(harness.query_by_label_contains("Reading slow").is_none());
    drop_file(&mut harness, folder.path().join("slow.musicxml"));
    settle(&mut harness);
    harness.get_by_label_contains("Reading slow");
    drop_file(&mut harness, path);
    wait_until(&mut harness, |harness| title(harness) == "Another Song");
    assert!(harness.query_by_label_contains("Reading").is_none());
}

#[test]
fn reading_a_file_does_not_stand_in_the_way_of_saving() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("saved.elbowroom");
    saved(&path, "Another Song");
    let mut harness = desk(Some(path.clone()));
    wait_until(&mut harness, |harness| title(harness) == "Another Song");
    drop_file(&mut harness, slow_file(folder.path()));
    settle(&mut harness);
    harness.get_by_label_contains("Reading slow");
    change(&mut harness);
    save(&mut harness);
    harness.get_by_label_contains("Saved as");
    assert_eq!(&on_disk(&path), harness.state().lesson());
}

/// While a change is worked out the window goes on, what is asked for upon it is done in its turn, and
/// saving waits for nothing.
#[test]
fn changes_of_a_long_part_are_made_in_their_turn_and_saved_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("long.elbowroom");
    let lesson = long_lesson(LONG);
    lesson_file::save(&path, &lesson).unwrap();
    let mut harness = desk(Some(path.clone()));
    wait_until(&mut harness, |harness| harness.state().lesson() == &lesson);
    press(&mut harness, Key::ArrowRight);
    let before = harness.state().analysis().bowing.notes.len();
    // In one go: turn the bow, lift it, and save.
    harness.key_press(Key::B);
    harness.step();
    assert!(harness.state().is_behind() && harness.state().undo_depth() == 1);
    let turned = harness.state().lesson().clone();
    harness.key_press(Key::R);
    harness.step();
    assert_eq!(harness.state().lesson(), &turned, "a retake goes out from what is known of the turned bow");
    assert_eq!(harness.state().analysis().bowing.notes.len(), before, "what was shown is still there");
    wait_until(&mut harness, |harness| !harness.state().is_behind());
    assert_eq!(harness.state().undo_depth(), 2);
    assert!(harness.state().lesson().score.events[0].retake);
    harness.key_press(Key::B);
    harness.step();
    let last = harness.state().lesson().clone();
    assert!(harness.state().is_behind() && last != turned);
    press_with(&mut harness, Modifiers::COMMAND, Key::S);
    wait_until(&mut harness, |harness| harness.query_by_label_contains("Saved as").is_some());
    assert_eq!(on_disk(&path), last);
    // What comes of it all is what comes of the lesson at once.
    let whole = analyse(harness.state().lesson());
    assert_eq!(harness.state().analysis().plan, whole.plan);
    for _ in 0..3 {
        press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    }
    assert_eq!(harness.state().lesson(), &lesson);
}

/// A desk with a long lesson of which the first bow was turned just now: what follows of that is not known yet.
fn behind() -> (elbowroom::lesson::Lesson, Harness<'static, Desk>) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("long.elbowroom");
    let lesson = long_lesson(LONG);
    lesson_file::save(&path, &lesson).expect("it can be written");
    let mut harness = desk(Some(path));
    wait_until(&mut harness, |harness| harness.state().lesson() == &lesson);
    press(&mut harness, Key::ArrowRight);
    harness.key_press(Key::B);
    harness.step();
    (lesson, harness)
}

/// What a panel offers was made of the lesson as it was shown: it is not made over a newer change of the same
/// note.
#[test]
fn a_change_from_a_panel_is_not_made_over_a_newer_one() {
    let (lesson, mut harness) = behind();
    let turned = harness.state().lesson().clone();
    assert!(harness.state().is_behind() && turned != lesson);
    harness.get_by_label("Up").click();
    wait_until(&mut harness, |harness| !harness.state().is_behind());
    harness.get_by_label_contains("Not done: it was changed a moment before");
    assert_eq!((harness.state().lesson(), harness.state().undo_depth()), (&turned, 1));
}

/// A change of another note is made in its turn.
#[test]
fn a_change_of_another_note_from_a_panel_waits_for_its_turn() {
    let (lesson, mut harness) = behind();
    harness.key_press(Key::ArrowRight);
    harness.step();
    harness.key_press(Key::ArrowRight);
    harness.step();
    assert!(harness.state().is_behind());
    harness.get_by_label("Up").click();
    wait_until(&mut harness, |harness| !harness.state().is_behind());
    assert_eq!(harness.state().undo_depth(), 2);
    let (before, after) = (&lesson.score.events, &harness.state().lesson().score.events);
    assert_eq!(before.iter().zip(after.iter()).filter(|(old, new)| old.bow != new.bow).count(), 2);
}

/// An exercise is a lesson of its own; the one it was made from waits with its changes.
#[test]
fn changes_of_the_lesson_before_an_exercise_are_asked_about() {
    let exercise = "7 double stops, step by step";
    let mut harness = desk(None);
    change(&mut harness);
    press(&mut harness, Key::D);
    click(&mut harness, "Practise all");
    // Nothing is given up, so nothing is asked.
    assert_eq!(title(&harness), exercise);
    click(&mut harness, "Back to Harbour Song");
    assert!(is_changed(&harness));
    // The way back leads to the double stops.
    click(&mut harness, "Practise all");
    press_with(&mut harness, Modifiers::COMMAND, Key::N);
    harness.get_by_label_contains("“Harbour Song” has changes that are not saved");
    click(&mut harness, "Cancel");
    assert!(is_changed(&harness) && harness.state().undo_depth() == 1);
    click(&mut harness, "Practise all");
    close(&mut harness);
    harness.get_by_label_contains("“Harbour Song” has changes that are not saved");
}

#[test]
fn changes_of_an_exercise_are_asked_about_before_those_of_its_lesson() {
    let mut harness = desk(None);
    change(&mut harness);
    press(&mut harness, Key::D);
    click(&mut harness, "Practise all");
    press(&mut harness, Key::Escape);
    press(&mut harness, Key::ArrowRight);
    press(&mut harness, Key::R);
    press_with(&mut harness, Modifiers::COMMAND, Key::N);
    harness.get_by_label_contains("step by step” has changes that are not saved");
    click(&mut harness, "Discard changes");
    harness.get_by_label_contains("“Harbour Song” has changes that are not saved");
    click(&mut harness, "Discard changes");
    assert!(title(&harness) != "Harbour Song" && !title(&harness).contains("step by step"));
    assert!(harness.query_by_label_contains("Back to").is_none());
}

/// An exercise made from an exercise does not lose the way back to the first lesson.
#[test]
fn every_exercise_leads_back_to_what_it_was_made_from() {
    let mut harness = desk(None);
    change(&mut harness);
    press(&mut harness, Key::D);
    click(&mut harness, "Practise all");
    press(&mut harness, Key::D);
    click(&mut harness, "Practise it step by step");
    harness.get_by_label_contains("Back to 7 double stops").click();
    settle(&mut harness);
    click(&mut harness, "Back to Harbour Song");
    assert!(is_changed(&harness));
}

#[test]
fn the_lesson_before_an_exercise_is_saved_before_it_is_left() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("song.elbowroom");
    saved(&path, "Another Song");
    let mut harness = desk(Some(path.clone()));
    wait_until(&mut harness, |harness| title(harness) == "Another Song");
    change(&mut harness);
    let changed = harness.state().lesson().clone();
    press(&mut harness, Key::D);
    click(&mut harness, "Practise all");
    press_with(&mut harness, Modifiers::COMMAND, Key::N);
    click(&mut harness, "Save");
    wait_until(&mut harness, |harness| {
        harness.state().lesson().score.events.iter().all(|event| event.is_rest())
    });
    assert_eq!(on_disk(&path), changed);
}

/// Saving is not waited for, and nothing is asked about what is being saved.
#[test]
fn what_is_asked_for_while_the_lesson_is_being_saved_goes_on_afterwards() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("song.elbowroom");
    saved(&path, "Another Song");
    let mut harness = desk(Some(path.clone()));
    wait_until(&mut harness, |harness| title(harness) == "Another Song");
    change(&mut harness);
    // At once, with nothing waited for: what was asked for last goes on when the lesson is saved.
    harness.key_press_modifiers(Modifiers::COMMAND, Key::S);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::N);
    wait_until(&mut harness, |harness| {
        harness.state().lesson().score.events.iter().all(|event| event.is_rest())
    });
    assert!(harness.query_by_label("Unsaved changes").is_none());
    assert!(on_disk(&path).score.event(EventId(0)).is_some_and(|event| event.retake));
}

/// What goes over the staff of a score is asked before where it is written.
#[test]
fn writing_a_score_asks_what_goes_over_its_staff() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::W);
    harness.get_by_label("Write the score");
    harness.get_by_role_and_label(egui::Role::ComboBox, "Places on the bow").click();
    settle(&mut harness);
    click(&mut harness, "as small signs, with a legend");
    harness.get_by_label("Choose the file\u{2026}");
    click(&mut harness, "Cancel");
    assert!(harness.query_by_label("Write the score").is_none());
}
