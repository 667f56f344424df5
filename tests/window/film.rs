//! The window for a moving picture: what is chosen there, and the moment beside it.

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::desk::Desk;

use crate::harness::{click, desk, press, press_with, settle, wait_until};

fn opened() -> Harness<'static, Desk> {
    let mut harness = desk(None);
    press(&mut harness, Key::ArrowRight);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::M);
    harness.get_by_label("Moving picture");
    harness
}

/// The words beside the moment, once they say this.
fn says(harness: &mut Harness<'_, Desk>, words: &str) {
    wait_until(harness, |harness| harness.query_by_label_contains(words).is_some());
}

/// A bar of four quarters at 84 a minute lasts 2.9 s, after one second.
#[test]
fn a_moment_of_the_chosen_bar_is_shown_and_how_long_it_lasts() {
    let mut harness = opened();
    says(&mut harness, "3.9 s, 78 frames");
    says(&mut harness, "The film after");
    // From level to level: two ways of 1.5 s, half as long on each.
    click(&mut harness, "The arm on its levels");
    says(&mut harness, "4.5 s, 90 frames");
    for what in ["Bridge and bow", "Player"] {
        click(&mut harness, what);
    }
    says(&mut harness, "Nothing is to be seen");
    click(&mut harness, "Player");
    says(&mut harness, "4.5 s, 90 frames");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("Moving picture").is_none());
}

#[test]
fn what_cannot_be_filmed_is_told_where_it_is_typed() {
    let mut harness = opened();
    says(&mut harness, "78 frames");
    harness.get_by_label("Bars").click();
    settle(&mut harness);
    harness.get_by_label("Bars").type_text("99");
    settle(&mut harness);
    says(&mut harness, "Give one bar or two");
    assert!(harness.query_by_label_contains("78 frames").is_none());
}
