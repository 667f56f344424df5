//! Typed and clicked faster than the program follows: all of it is done, in its order. That a program keeps what
//! is typed ahead is common practice, no source.

use std::path::Path;

use egui::{Event, Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    desk::Desk,
    exchange::lesson_file,
    lesson::Lesson,
    score::{self, Direction, Dynamic, Letter, Mark, SignKind},
};

use crate::harness::{VERY_LONG, desk, long_lesson, press, press_with, wait_until};

type Window = Harness<'static, Desk>;

/// A window with a lesson, its first note chosen.
fn with(lesson: &Lesson) -> Window {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("part.elbowroom");
    opened(&path, lesson)
}

fn opened(path: &Path, lesson: &Lesson) -> Window {
    lesson_file::save(path, lesson).expect("it can be written");
    let mut window = desk(Some(path.to_owned()));
    wait_until(&mut window, |window| window.state().lesson() == lesson);
    press(&mut window, Key::ArrowRight);
    window
}

/// Presses keys in one frame: those of the harness get a frame each.
fn at_once(window: &mut Window, keys: &[(Modifiers, Key)]) {
    for &(modifiers, key) in keys {
        for pressed in [true, false] {
            let event = Event::Key { key, pressed, modifiers, repeat: false, physical_key: None };
            window.input_mut().events.push(event);
        }
    }
    window.step();
}

fn plain<const N: usize>(keys: [Key; N]) -> [(Modifiers, Key); N] {
    keys.map(|key| (Modifiers::NONE, key))
}

fn is_done(window: &Harness<'_, Desk>) -> bool {
    !window.state().is_making()
}

/// Notes that are not tied over from one before.
fn heads(lesson: &Lesson) -> impl Iterator<Item = &score::Event> {
    lesson.score.events.iter().map(|event| &**event).filter(|event| !event.notes[0].tie_stop)
}

fn pitches(lesson: &Lesson, count: usize) -> Vec<String> {
    heads(lesson).take(count).map(|event| event.notes[0].pitch.name()).collect()
}

/// Keys of several frames and several keys of one, in a part in which nothing is done within a frame.
#[test]
fn what_is_typed_quickly_into_a_long_part_is_written_in_its_order() {
    let lesson = long_lesson(VERY_LONG);
    let mut window = with(&lesson);
    press(&mut window, Key::W);
    let keys = [Key::Num8, Key::D, Key::F, Key::M, Key::U, Key::S, Key::Num4, Key::A, Key::S, Key::G];
    at_once(&mut window, &plain(keys));
    assert!(window.state().is_behind(), "nothing of it is there in the same frame");
    assert_eq!(window.state().lesson(), &lesson);
    // Two more while the first are being made.
    at_once(&mut window, &plain([Key::M]));
    at_once(&mut window, &plain([Key::T, Key::B]));
    wait_until(&mut window, is_done);
    let after = window.state().lesson();
    assert_eq!(after.score.events.len(), lesson.score.events.len() + 5);
    let letters: Vec<String> =
        pitches(after, 6).iter().skip(1).map(|name| name.chars().take(1).collect()).collect();
    assert_eq!(letters, ["D", "F", "A", "G", "B"]);
    let events = &after.score.events;
    let lengths: Vec<_> = events[1..6].iter().map(|event| event.value.log2_whole).collect();
    assert_eq!(lengths, [-3, -3, -2, -2, -2]);
    assert_eq!(events[2].bow, Some(Direction::Up), "the mark is on the note it was typed after");
    assert!(events[4].marks.contains(&Mark::Tenuto));
    let slur = after.score.slurs.iter().find(|slur| slur.from == events[2].id);
    assert_eq!(slur.map(|slur| slur.to), Some(events[3].id));
    // As many times back, as quickly.
    let steps = window.state().undo_depth();
    for _ in 0..steps {
        at_once(&mut window, &[(Modifiers::COMMAND, Key::Z)]);
    }
    wait_until(&mut window, is_done);
    assert_eq!((window.state().lesson(), window.state().undo_depth()), (&lesson, 0));
}

/// The field for loudness takes what is typed into it, whatever is still being made.
#[test]
fn a_field_is_open_at_once() {
    let lesson = long_lesson(VERY_LONG);
    let mut window = with(&lesson);
    press(&mut window, Key::W);
    at_once(&mut window, &plain([Key::D]));
    at_once(&mut window, &plain([Key::L]));
    window.step();
    window.input_mut().events.push(Event::Text("ff".to_owned()));
    window.step();
    at_once(&mut window, &plain([Key::Enter]));
    wait_until(&mut window, is_done);
    let score = &window.state().lesson().score;
    let new = &score.events[1];
    assert_eq!(new.notes[0].pitch.name().chars().next(), Some('D'));
    let levels = score.signs_at(new.onset);
    assert!(levels.iter().any(|sign| sign.kind == SignKind::Dynamic(Dynamic::Ff)));
}

/// What is saved or closed right behind a key holds what the key has done.
#[test]
fn what_was_typed_last_is_saved_too() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("part.elbowroom");
    let lesson = long_lesson(VERY_LONG);
    let mut window = opened(&path, &lesson);
    press(&mut window, Key::W);
    at_once(&mut window, &[(Modifiers::NONE, Key::E), (Modifiers::COMMAND, Key::S)]);
    wait_until(&mut window, |window| window.query_by_label_contains("Saved as").is_some());
    let text = std::fs::read_to_string(&path).expect("the file is there");
    let saved = lesson_file::read(&text).expect("a whole lesson");
    let letter = |lesson: &Lesson, k| heads(lesson).nth(k).map(|event| event.notes[0].pitch.letter);
    assert_eq!(letter(&saved, 1), Some(Letter::E));
    assert_eq!(&saved, window.state().lesson());
    // Asked to close while a key is being carried out, it asks about what that has changed.
    at_once(&mut window, &plain([Key::E]));
    let root = window.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
    root.events.push(egui::ViewportEvent::Close);
    window.step();
    wait_until(&mut window, |window| window.query_by_label("Unsaved changes").is_some());
    assert_eq!([1, 2].map(|k| letter(window.state().lesson(), k)), [Some(Letter::E); 2]);
}

/// Steps go from note to note as they are, though what is shown is still as it was.
#[test]
fn an_arrow_right_behind_a_note_goes_to_the_note_after_it() {
    let lesson = long_lesson(VERY_LONG);
    let mut window = with(&lesson);
    press(&mut window, Key::W);
    at_once(&mut window, &plain([Key::D, Key::ArrowRight, Key::Backspace]));
    wait_until(&mut window, is_done);
    // The second note of before has gone, not the third.
    let (old, new) = (pitches(&lesson, 3), pitches(window.state().lesson(), 3));
    assert_eq!((&new[0], &new[2]), (&old[0], &old[2]));
    assert!(new[1].starts_with('D'));
}

/// A slur belongs to the notes that were chosen when it was asked for.
#[test]
fn what_is_chosen_next_waits_for_what_was_asked_before() {
    let lesson = long_lesson(VERY_LONG);
    let mut window = with(&lesson);
    at_once(&mut window, &[(Modifiers::NONE, Key::B), (Modifiers::NONE, Key::R)]);
    at_once(&mut window, &plain([Key::ArrowRight]));
    wait_until(&mut window, is_done);
    let events = &window.state().lesson().score.events;
    assert!(events[0].retake && !events[1].retake);
    assert_eq!(window.state().undo_depth(), 2);
}

/// Copied, put in, moved and cut in one go.
#[test]
fn notes_are_copied_and_put_in_without_waiting() {
    let lesson = long_lesson(VERY_LONG);
    let mut window = with(&lesson);
    press_with(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    window.input_mut().events.extend([Event::Copy, Event::Paste(String::new())]);
    at_once(&mut window, &[(Modifiers::ALT, Key::ArrowUp)]);
    wait_until(&mut window, is_done);
    let after = window.state().lesson().clone();
    assert_eq!(pitches(&after, 2), pitches(&lesson, 2));
    let steps: Vec<i32> = heads(&after).take(4).map(|event| event.notes[0].pitch.staff_step()).collect();
    assert_eq!([steps[2] - steps[0], steps[3] - steps[1]], [1, 1], "what was put in is moved");
    window.input_mut().events.push(Event::Cut);
    window.step();
    wait_until(&mut window, is_done);
    assert_eq!(pitches(window.state().lesson(), 4), pitches(&lesson, 4));
}
