//! Curves: of the music in view, and of the set-up by dynamic.

use egui::{Key, Modifiers, pos2};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{desk::Desk, lesson::demo::demo};

use crate::harness::{click, desk, press, press_with, settle};

/// A click on a bare place of the screen.
fn click_at(harness: &mut Harness<'_, Desk>, at: egui::Pos2) {
    harness.drag_at(at);
    harness.run_steps(2);
    harness.drop_at(at);
    settle(harness);
}

#[test]
fn a_curve_lies_under_its_music_and_leads_to_a_moment() {
    let mut harness = desk(None);
    press(&mut harness, Key::C);
    let curve = harness.get_by_label("Bow speed as a curve").rect();
    for note in ["G4, bar 1, beat 3", "D5, bar 2, beat 1"] {
        let Some(head) = harness.query_by_label(note).map(|node| node.rect()) else { continue };
        click_at(&mut harness, pos2(head.center().x, curve.center().y));
        let analysis = harness.state().analysis();
        let beat = if note.contains("bar 1") { 2.0 } else { 4.0 };
        let off = harness.state().position_s() - analysis.seconds_at_f64(beat);
        assert!(off.abs() < 0.15, "{note}: {off} s beside its note");
    }
    assert!(harness.state().position_s() > 0.0, "at least one note was found");
    assert_eq!(harness.state().undo_depth(), 0);
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("Bow speed as a curve").is_none());
}

#[test]
fn the_curve_tells_the_plan_at_the_playhead() {
    let mut harness = desk(None);
    press(&mut harness, Key::C);
    let analysis = harness.state().analysis();
    let (used_mm, seconds) = (analysis.plan.used_mm(0), analysis.bowed(0).sounding_s);
    let told = format!("planned {:.0} cm/s", used_mm / 10.0 / seconds);
    harness.get_by_label(&told);
    for (button, label) in [
        ("Sounding point", "Sounding point as a curve"),
        ("Weight", "Weight as a curve"),
        ("Elbow height", "Elbow height as a curve"),
        ("Upper arm", "Upper arm as a curve"),
    ] {
        click(&mut harness, button);
        harness.get_by_label(label);
    }
    let pose = harness.state().analysis().arm_at(&harness.state().analysis().bow_at(0.0));
    harness.get_by_label(&format!("as planned {:.0}°", pose.upper_arm_deg));
}

#[test]
fn a_point_of_the_speeds_by_dynamic_is_dragged_as_one_step() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND, Key::I);
    for part in ["All figures", "School"] {
        click(&mut harness, part);
    }
    let plot = harness.get_by_label("Speed of a short stroke by dynamic, as a curve").rect();
    // Eight dynamics with a little room at both sides; heights in factors, with air for a factor of 1.5.
    let speeds = demo().setup.school.short_stroke_mm_per_s;
    let (least, most) = (speeds[0] / 1.5, speeds[7] * 1.5);
    let forte = 5;
    let x = plot.left() + plot.width() * (forte as f32 + 0.4) / 7.8;
    let share = (speeds[forte] / least).ln() / (most / least).ln();
    let y = plot.bottom() - plot.height() * share as f32;
    harness.drag_at(pos2(x, y));
    for up in [4.0, 8.0, 12.0, 16.0] {
        harness.run_steps(1);
        harness.hover_at(pos2(x, y - up));
    }
    harness.run_steps(2);
    harness.drop_at(pos2(x, y - 16.0));
    settle(&mut harness);
    let now = harness.state().lesson().setup.school.short_stroke_mm_per_s;
    let expected = speeds[forte] * (most / least).powf(16.0 / f64::from(plot.height()));
    assert!((now[forte] / expected - 1.0).abs() < 0.03, "{} mm/s for {expected}", now[forte]);
    for (mark, speed) in speeds.iter().enumerate().filter(|(mark, _)| *mark != forte) {
        assert_eq!(now[mark], *speed, "only the point that was dragged");
    }
    assert_eq!(harness.state().undo_depth(), 1, "one drag is one step");
    // Beside the points nothing is taken hold of.
    harness.drag_at(pos2(x, plot.bottom() - 3.0));
    harness.run_steps(2);
    harness.hover_at(pos2(x, plot.top() + 3.0));
    harness.run_steps(2);
    harness.drop_at(pos2(x, plot.top() + 3.0));
    settle(&mut harness);
    assert_eq!(harness.state().undo_depth(), 1);
}
