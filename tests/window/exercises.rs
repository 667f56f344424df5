//! Exercises from the passage in the window.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use elbowroom::lesson::handout::Block;

use crate::harness::{click, desk, press, press_with, wait_until};

#[test]
fn an_exercise_comes_on_the_desk_with_a_way_back_or_on_the_handout() {
    let mut harness = desk(None);
    press(&mut harness, Key::ArrowRight);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    harness.get_by_label("Exercises from the passage");
    click(&mut harness, "Note by note from the front");
    wait_until(&mut harness, |harness| harness.query_by_label("Back to Harbour Song").is_some());
    assert!(harness.state().lesson().score.title.ends_with("note by note from the front"));
    click(&mut harness, "Back to Harbour Song");
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    let first = harness.get_all_by_label("On the handout").next().expect("a button");
    first.click();
    harness.run_steps(4);
    let is_exercise =
        |block: &Block| matches!(block, Block::Exercise { practised, .. } if practised == "open-strings");
    let entries = &harness.state().lesson().handout.entries;
    assert!(entries.iter().any(|entry| is_exercise(&entry.block)), "{entries:?}");
}

/// The demo has scales, crossings and double stops: each part of the warm-up is a lesson with a way back, and all
/// of it a page.
#[test]
fn a_warm_up_is_played_part_by_part_or_printed() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::U);
    wait_until(&mut harness, |harness| harness.query_by_label("Scale, one note a bow").is_some());
    click(&mut harness, "20");
    wait_until(&mut harness, |harness| harness.query_by_label("From level to level").is_some());
    click(&mut harness, "Scale, one note a bow");
    wait_until(&mut harness, |harness| harness.query_by_label("Back to Harbour Song").is_some());
    assert!(harness.state().lesson().score.title.ends_with("one note a bow"));
    click(&mut harness, "Back to Harbour Song");
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::U);
    click(&mut harness, "All of it on the handout");
    wait_until(&mut harness, |harness| !harness.state().lesson().handout.entries.is_empty());
    let entries = &harness.state().lesson().handout.entries;
    let minutes =
        entries.iter().filter(|entry| matches!(&entry.block, Block::Heading(w) if w.contains("minute")));
    assert!(minutes.count() > 4, "{entries:?}");
}
