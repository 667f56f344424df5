//! Playing: the count before it, the rounds of a loop, what is said and shown of them. No sound device is opened.

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{desk::Desk, sound::speaker::Outlet};

use crate::harness::{click, desk, press, press_with, wait_until};

/// Draws so many seconds.
fn wait(harness: &mut Harness<'_, Desk>, seconds: f64) {
    harness.run_steps((seconds * 60.0).round() as usize);
}

/// Four beats at 84 quarters a minute are counted, 2.857 s, while the bow waits; then it goes.
#[test]
fn it_is_counted_in_and_the_bow_waits() {
    let mut harness = desk(None);
    press(&mut harness, Key::I);
    harness.get_by_label("Count in: one bar");
    harness.key_press(Key::Space);
    wait(&mut harness, 2.5);
    assert_eq!(harness.state().position_s(), 0.0);
    // Over the music, and where the bow is set in the line at the foot and under the number.
    assert_eq!(harness.query_all_by_label("Bow in the lower half, down-bow, on D").count(), 2);
    harness.get_by_label("4");
    wait(&mut harness, 0.6);
    assert!((0.1..0.5).contains(&harness.state().position_s()), "{}", harness.state().position_s());
    assert_eq!(harness.query_all_by_label("Bow in the lower half, down-bow, on D").count(), 1);
    press(&mut harness, Key::Space);
    press(&mut harness, Key::I);
    harness.get_by_label("Count in: two bars");
    press(&mut harness, Key::I);
    harness.get_by_label("Count in: nothing");
}

/// A bar at 84 lasts 2.857 s; at 60 % of that 4.762 s, and the second tempo is 65 %.
#[test]
fn the_rounds_of_a_loop_grow_faster_after_a_rest() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::SHIFT, Key::A);
    click(&mut harness, "a bar of rest before each round");
    click(&mut harness, "a little faster each round");
    press(&mut harness, Key::Escape);
    click(&mut harness, "D4, bar 1, beat 1");
    for _ in 0..2 {
        press_with(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    }
    press(&mut harness, Key::L);
    harness.key_press(Key::Space);
    wait(&mut harness, 1.0);
    assert_eq!(harness.query_all_by_label("Round 1, ♩ = 50").count(), 1);
    // Two rounds at the first tempo, a bar of rest before the second.
    wait(&mut harness, 3.0 * 4.762);
    // In the bar, and while the rest is counted over the music.
    assert_eq!(harness.query_all_by_label("Round 3, ♩ = 55").count(), 2);
}

#[test]
fn what_sounds_is_set_in_a_window_and_by_keys() {
    let mut harness = desk(None);
    harness.get_by_label("Sound");
    press(&mut harness, Key::A);
    harness.get_by_label("Sound off");
    press_with(&mut harness, Modifiers::SHIFT, Key::A);
    for label in ["Click", "Tones", "Drone", "What clicks", "Temperament", "Note of the drone"] {
        assert!(harness.query_all_by_label(label).count() > 0, "{label}");
    }
    harness.get_by_label("The whole part with its repeats");
    click(&mut harness, "two bars");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("two bars").is_none(), "the window is closed");
    press(&mut harness, Key::I);
    harness.get_by_label("Count in: nothing");
    press_with(&mut harness, Modifiers::SHIFT, Key::D);
    harness.get_by_label("The drone sounds when the sound is on (A)");
    press(&mut harness, Key::U);
    harness.get_by_label("The rounds of a loop grow faster, from ♩ = 50 to 84");
}

/// With a device, here one that plays nowhere, the bow goes by what is heard; what is changed meanwhile, and going
/// somewhere else, do not stop it.
#[test]
fn with_a_device_the_bow_goes_by_what_is_heard() {
    let mut harness = desk(None);
    harness.state_mut().hear(Outlet::Nowhere);
    press_with(&mut harness, Modifiers::SHIFT, Key::D);
    press(&mut harness, Key::Space);
    wait_until(&mut harness, |harness| harness.state().position_s() > 0.2);
    press(&mut harness, Key::B);
    press_with(&mut harness, Modifiers::SHIFT, Key::D);
    press(&mut harness, Key::End);
    wait_until(&mut harness, |harness| harness.query_by_label("Play").is_some());
    press(&mut harness, Key::Space);
    wait_until(&mut harness, |harness| (0.1..5.0).contains(&harness.state().position_s()));
    press(&mut harness, Key::A);
    harness.get_by_label("Sound off");
    let silent_at = harness.state().position_s();
    wait_until(&mut harness, |harness| harness.state().position_s() > silent_at + 0.1);
    press(&mut harness, Key::Space);
    harness.get_by_label("Play");
}

/// A level key that was hit while it plays shows its level for a moment and no longer.
#[test]
fn a_stray_level_key_does_not_hold_the_level_while_it_plays() {
    let mut harness = desk(None);
    harness.key_press(Key::Space);
    wait(&mut harness, 0.5);
    harness.key_press(Key::Num7);
    wait(&mut harness, 0.5);
    harness.get_by_label_contains("level 7; its key again goes back");
    wait(&mut harness, 2.0);
    assert!(harness.query_by_label_contains("its key again goes back").is_none());
    // Where nothing plays it stays.
    press(&mut harness, Key::Space);
    press(&mut harness, Key::Num7);
    wait(&mut harness, 3.0);
    harness.get_by_label_contains("level 7; its key again goes back");
}
