//! Pencil marks in the window: over the staff, in the list, rubbed out and written otherwise.

use egui::{Key, Modifiers, accesskit::Role};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    bowing::{Density, Need, PencilMark},
    desk::Desk,
    lesson::demo::demo,
};

use crate::harness::{click, desk, press, press_with, settle};

fn marks<'a>(harness: &'a Harness<'_, Desk>) -> &'a [PencilMark] {
    &harness.state().study().pencil().marks
}

/// The mark of the list that the playhead has reached last, in the density the window starts with.
fn now(harness: &Harness<'_, Desk>) -> PencilMark {
    let analysis = harness.state().analysis();
    let at = analysis.quarters_at(harness.state().position_s()) + 1e-6;
    let reached = |mark: &&PencilMark| mark.at.to_f64() <= at && mark.weight >= Need::Worth;
    marks(harness).iter().rfind(reached).expect("a mark before the playhead").clone()
}

fn is_over_the_staff(harness: &Harness<'_, Desk>, mark: &PencilMark) -> bool {
    harness.query_by_label(&format!("{} over the staff", mark.title())).is_some()
}

#[test]
fn keys_go_from_mark_to_mark_and_the_list_goes_along() {
    let mut harness = desk(None);
    press(&mut harness, Key::E);
    let first = now(&harness);
    assert!((harness.state().analysis().seconds_at(first.at) - harness.state().position_s()).abs() < 1e-9);
    assert!(is_over_the_staff(&harness, &first));
    harness.get_by_label(&first.sentence);
    harness.get_by_label(&first.why);
    // What comes next stands under it with its sentence, and has the place when it is reached.
    let next = marks(&harness).iter().find(|mark| mark.at > first.at && mark.weight >= Need::Worth);
    let next = next.expect("a second mark").clone();
    harness.get_by_label(&next.sentence);
    assert!(harness.query_by_label(&next.why).is_none(), "its reason only when it is there");
    let mut steps = 0;
    while now(&harness).at < next.at {
        harness.get_by_label(&first.why);
        press(&mut harness, Key::ArrowRight);
        steps += 1;
        assert!(steps < 40, "it is reached");
    }
    harness.get_by_label(&next.why);
    press_with(&mut harness, Modifiers::SHIFT, Key::E);
    assert_eq!(now(&harness), first);
    // Findings have their list back.
    press(&mut harness, Key::J);
    assert!(harness.query_by_label(&first.why).is_none());
    harness.get_by_label("Worst first");
}

#[test]
fn a_click_on_a_mark_leads_to_its_note() {
    let mut harness = desk(None);
    press(&mut harness, Key::E);
    let mark = now(&harness);
    press_with(&mut harness, Modifiers::SHIFT, Key::ArrowLeft);
    press(&mut harness, Key::Escape);
    assert_ne!(harness.state().analysis().seconds_at(mark.at), harness.state().position_s());
    click(&mut harness, &format!("{} over the staff", mark.title()));
    assert_eq!(harness.state().analysis().seconds_at(mark.at), harness.state().position_s());
    // And one on a line of the list.
    let others: Vec<PencilMark> =
        marks(&harness).iter().filter(|other| other.at > mark.at).cloned().collect();
    let seen = |other: &&PencilMark| harness.query_all_by_label(&other.title()).count() == 1;
    let other = others.iter().find(seen).expect("a further mark in the list");
    let title = other.title();
    click(&mut harness, &title);
    assert_eq!(harness.state().analysis().seconds_at(other.at), harness.state().position_s());
}

#[test]
fn marks_are_as_many_as_are_wanted() {
    let mut harness = desk(None);
    press(&mut harness, Key::E);
    let mark = now(&harness);
    let mut density = Density::default();
    assert_eq!(density, Density::Worth, "what is worth telling at first");
    for _ in 0..4 {
        assert_eq!(is_over_the_staff(&harness, &mark), density.shows(mark.weight), "{density:?}");
        let in_the_list = harness.query_by_label(&mark.sentence).is_some();
        assert_eq!(in_the_list, density.shows(mark.weight), "{density:?}");
        press(&mut harness, Key::O);
        density = density.next();
    }
    assert_eq!(density, Density::default(), "round");
    // In the list it is chosen by name.
    click(&mut harness, "Written");
    click(&mut harness, "nothing");
    assert!(!is_over_the_staff(&harness, &mark));
    assert_eq!(harness.state().lesson(), &demo(), "what is shown changes no lesson");
}

#[test]
fn a_mark_is_rubbed_out_and_written_again() {
    let mut harness = desk(None);
    press(&mut harness, Key::E);
    let (mark, before) = (now(&harness), marks(&harness).len());
    click(&mut harness, "Rub out");
    assert_eq!((marks(&harness).len(), harness.state().undo_depth()), (before - 1, 1));
    assert!(!is_over_the_staff(&harness, &mark));
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert!(is_over_the_staff(&harness, &mark));
    press_with(&mut harness, Modifiers::COMMAND, Key::Y);
    click(&mut harness, "Show 1 rubbed out");
    // It stands at the end of the list.
    harness.get_by_label("Write again").scroll_to_me();
    settle(&mut harness);
    click(&mut harness, "Write again");
    assert!(is_over_the_staff(&harness, &mark));
    assert_eq!(harness.state().lesson(), &demo());
}

#[test]
fn a_teacher_writes_other_words() {
    let mut harness = desk(None);
    press(&mut harness, Key::E);
    let mark = now(&harness);
    click(&mut harness, "Other words…");
    harness.get_by_role_and_label(Role::TextInput, "Your words in its place").type_text(", at ease");
    settle(&mut harness);
    click(&mut harness, "Use these words");
    let words = format!("{}, at ease", mark.text);
    assert_eq!(harness.state().lesson().pencilled[0].words, words);
    let changed = now(&harness);
    assert_eq!((changed.text.as_str(), changed.weight), (words.as_str(), Need::Must));
    assert!(is_over_the_staff(&harness, &changed));
    click(&mut harness, "As it was");
    assert_eq!(now(&harness), mark);
    assert_eq!(harness.state().lesson(), &demo());
}
