//! The passage in words, and the view for the music stand.

use egui::{Key, Modifiers, accesskit::Role};
use egui_kittest::{
    Harness,
    kittest::{NodeT as _, Queryable as _},
};
use elbowroom::{desk::Desk, lesson::demo::demo};

use crate::harness::{click, desk, press, press_with, settle, wait_until};

/// The first sentence of the demo.
const START: &str = "Start bar 1 with a down-bow in the lower half, on the open D string.";
/// The first sentence of bar 5.
const FIFTH: &str = "Lift and set the bow in the lower half: start bar 5 with a down-bow again, finger 3 down on the D string.";

/// The window with the list of sentences, when they are written.
fn worded() -> Harness<'static, Desk> {
    let mut harness = desk(None);
    press(&mut harness, Key::Y);
    wait_until(&mut harness, |harness| harness.query_by_role_and_label(Role::Button, START).is_some());
    harness
}

fn is_said(harness: &Harness<'_, Desk>, words: &str) -> bool {
    harness.query_by_role_and_label(Role::Button, words).is_some()
}

fn press_sentence(harness: &mut Harness<'_, Desk>, words: &str) {
    harness.get_by_role_and_label(Role::Button, words).click();
    settle(harness);
}

/// The label that stands for the whole screen at the stand.
fn at_the_stand(harness: &Harness<'_, Desk>) -> String {
    let mut all = harness.query_all_by_role(Role::Image);
    let label =
        all.find_map(|node| node.accesskit_node().label().filter(|label| label.starts_with("At the stand")));
    label.expect("the view fills the window")
}

#[test]
fn the_words_go_along_with_the_music() {
    let mut harness = worded();
    assert!(is_said(&harness, START) && !is_said(&harness, FIFTH), "the first phrase is open");
    // It follows the playhead.
    for _ in 0..4 {
        press(&mut harness, Key::PageDown);
    }
    assert!(is_said(&harness, FIFTH) && !is_said(&harness, START));
    // A click on a sentence leads to where it begins.
    press(&mut harness, Key::ArrowRight);
    press_sentence(&mut harness, FIFTH);
    let at = harness.state().analysis().quarters_at(harness.state().position_s());
    assert!((at - 16.0).abs() < 1e-6, "bar 5, not {at}");
    // Keys go from sentence to sentence.
    press_with(&mut harness, Modifiers::SHIFT, Key::Y);
    assert!(is_said(&harness, START));
    assert_eq!(harness.state().lesson(), &demo(), "what is read changes no lesson");
}

#[test]
fn a_teacher_says_it_in_own_words_and_leaves_out() {
    let mut harness = worded();
    press_sentence(&mut harness, START);
    click(&mut harness, "Own words…");
    harness
        .get_by_role_and_label(Role::MultilineTextInput, "Your words in its place")
        .type_text(" Breathe first.");
    settle(&mut harness);
    click(&mut harness, "Use these words");
    let own = format!("{START} Breathe first.");
    assert_eq!(harness.state().lesson().spoken[0].words, own);
    wait_until(&mut harness, |harness| is_said(harness, &own));
    // Turned round the plan says something else, which is told.
    press(&mut harness, Key::B);
    wait_until(&mut harness, |harness| harness.query_by_label("The plan has changed since").is_some());
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    click(&mut harness, "As it was");
    wait_until(&mut harness, |harness| is_said(harness, START));
    assert_eq!(harness.state().lesson(), &demo());
    click(&mut harness, "Leave out");
    wait_until(&mut harness, |harness| !is_said(harness, START));
    click(&mut harness, "Show 1 left out");
    harness.get_by_label("Say it again").scroll_to_me();
    settle(&mut harness);
    click(&mut harness, "Say it again");
    wait_until(&mut harness, |harness| is_said(harness, START));
    assert_eq!(harness.state().lesson(), &demo());
}

#[test]
fn at_the_stand_one_steps_by_notes_and_by_more() {
    let mut harness = desk(None);
    press(&mut harness, Key::F9);
    let first = at_the_stand(&harness);
    assert!(first.starts_with("At the stand: D, down-bow, D string, open, into the upper half"), "{first}");
    assert!(first.contains("Then: G, up-bow"), "{first}");
    wait_until(&mut harness, |harness| at_the_stand(harness).contains(START));
    press(&mut harness, Key::ArrowRight);
    press(&mut harness, Key::ArrowRight);
    assert!(at_the_stand(&harness).starts_with("At the stand: G, up-bow"), "{}", at_the_stand(&harness));
    // By bars, by bows, by levels.
    press(&mut harness, Key::Num4);
    press(&mut harness, Key::ArrowRight);
    assert!(at_the_stand(&harness).starts_with("At the stand: B, down-bow"), "{}", at_the_stand(&harness));
    press(&mut harness, Key::Num5);
    press(&mut harness, Key::ArrowLeft);
    assert!(at_the_stand(&harness).contains("same bow"), "{}", at_the_stand(&harness));
    // Nothing that is not seen is changed from there.
    press(&mut harness, Key::S);
    press(&mut harness, Key::Delete);
    assert_eq!(harness.state().lesson(), &demo());
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("Findings").is_some());
}

#[test]
fn one_steps_by_bars_bows_and_levels() {
    let mut harness = desk(None);
    let at =
        |harness: &Harness<'_, Desk>| harness.state().analysis().quarters_at(harness.state().position_s());
    press(&mut harness, Key::PageDown);
    assert!((at(&harness) - 4.0).abs() < 1e-6);
    press_with(&mut harness, Modifiers::COMMAND, Key::ArrowDown);
    assert!((at(&harness) - 6.0).abs() < 1e-6, "the slur of bar 2");
    press(&mut harness, Key::PageUp);
    assert!((at(&harness) - 4.0).abs() < 1e-6);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::ArrowLeft);
    assert!((at(&harness) - 3.0).abs() < 1e-6, "the open A of bar 1");
}
