//! The window, driven as a person would: by the names of its controls, by keys and by the mouse.

use egui::{Key, Modifiers, accesskit::Role};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    advice::Standing,
    analysis::{Study, analyse},
    bowing::{Kind, Verdict},
    desk::Desk,
    exchange::lesson_file,
    lesson::{Writer, change::new_passage, demo::demo},
    score::{Dynamic, NoteValue, Quarters, SignKind, TimeSignature, sentence_case},
    setup::{Family, Positions},
};

use crate::{
    harness::{click, desk, press, press_with, settle, wait_until},
    music::{HALF, violin, written},
};

fn run_outs(harness: &Harness<'_, Desk>) -> usize {
    harness
        .state()
        .analysis()
        .findings
        .told
        .iter()
        .filter(|finding| finding.verdict == Verdict::RunsOut)
        .count()
}

/// Opens the first finding and waits until all that may help was tried.
fn open_and_wait(harness: &mut Harness<'_, Desk>) {
    press(harness, Key::J);
    wait_until(harness, |harness| harness.query_by_label("choose one").is_some());
}

#[test]
fn the_first_start_shows_the_demo() {
    let harness = desk(None);
    assert_eq!(harness.state().lesson(), &demo());
    harness.get_by_label("Harbour Song");
    harness.get_by_label("Findings");
    harness.get_by_label("D4, bar 1, beat 1");
    assert_eq!(run_outs(&harness), 1, "the demo has one run-out");
}

#[test]
fn nothing_is_done_while_nobody_does_anything() {
    let mut harness = desk(None);
    click(&mut harness, "G4, bar 1, beat 3");
    harness.run_steps(20);
    press_with(&mut harness, Modifiers::COMMAND, Key::I);
    harness.run_steps(20);
    assert_eq!(harness.state().undo_depth(), 0);
    assert_eq!(harness.state().lesson(), &demo());
}

#[test]
fn a_run_out_goes_and_comes_as_slurs_are_cut_and_joined() {
    let mut harness = desk(None);
    let too_long = |harness: &Harness<'_, Desk>| {
        let told = &harness.state().analysis().findings.told;
        told.iter().filter(|finding| finding.kind == Kind::RunsOutStroke).count()
    };
    assert_eq!(too_long(&harness), 1);
    // A finding leads to its spot, where the hair ends.
    let told = harness.state().analysis().findings.told.len();
    let there = (0..told).any(|_| {
        press(&mut harness, Key::J);
        harness.get_all_by_label("B4, bar 8, beat 1").count() > 1
    });
    assert!(there, "on the staff and in the inspector");
    // The long note begins the slur that is too long: its slur is cut.
    press(&mut harness, Key::S);
    // Softer, it takes less hair.
    click(&mut harness, "Dynamic");
    click(&mut harness, "p");
    assert_eq!(too_long(&harness), 0, "in a bow of its own, and soft");
    assert_eq!(harness.state().undo_depth(), 2);
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(too_long(&harness), 1);
    assert_eq!(harness.state().lesson(), &demo());
    press_with(&mut harness, Modifiers::COMMAND, Key::Y);
    press_with(&mut harness, Modifiers::COMMAND, Key::Y);
    assert_eq!(too_long(&harness), 0);
}

#[test]
fn a_slur_over_selected_notes_can_run_out() {
    let mut harness = desk(None);
    let before = run_outs(&harness);
    for _ in 0..12 {
        press_with(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    }
    click(&mut harness, "Slur");
    let worse = |verdict| {
        harness.state().analysis().findings.told.iter().filter(|finding| finding.verdict == verdict).count()
    };
    assert!(worse(Verdict::RunsOut) + worse(Verdict::Impossible) > before);
}

#[test]
fn arrows_step_by_note_and_by_beat() {
    let mut harness = desk(None);
    let at = |harness: &Harness<'_, Desk>| harness.state().position_s();
    let beat = 60.0 / 84.0;
    press(&mut harness, Key::ArrowRight);
    assert_eq!(at(&harness), 0.0, "the first step chooses the first note");
    press(&mut harness, Key::ArrowRight);
    assert!((at(&harness) - 2.0 * beat).abs() < 1e-9);
    press_with(&mut harness, Modifiers::COMMAND, Key::ArrowRight);
    assert!((at(&harness) - 3.0 * beat).abs() < 1e-9);
    press(&mut harness, Key::ArrowLeft);
    assert!((at(&harness) - 2.0 * beat).abs() < 1e-9);
    press_with(&mut harness, Modifiers::COMMAND, Key::ArrowLeft);
    assert!((at(&harness) - beat).abs() < 1e-9);
}

/// What is seen of the music goes with the playhead, to the start and to the end.
#[test]
fn home_and_end_move_the_music() {
    let mut harness = desk(None);
    let shows = |harness: &Harness<'_, Desk>, note: &str| harness.query_by_label(note).is_some();
    let (first, last) = ("G4, bar 1, beat 3", "rest, bar 9, beat 3");
    assert!(shows(&harness, first) && !shows(&harness, last));
    press(&mut harness, Key::End);
    assert!(!shows(&harness, first) && shows(&harness, last), "at the end");
    press(&mut harness, Key::Home);
    assert!(shows(&harness, first) && !shows(&harness, last), "at the start again");
}

#[test]
fn playing_follows_the_clock() {
    let mut harness = desk(None);
    harness.key_press(Key::Space);
    harness.step();
    let start = harness.state().position_s();
    harness.run_steps(60);
    press(&mut harness, Key::Space);
    let moved = harness.state().position_s() - start;
    assert!((0.9..1.2).contains(&moved), "sixty frames of 1/60 s moved it by {moved} s");
    harness.run_steps(10);
    assert_eq!(harness.state().position_s() - start, moved, "paused, it stands still");
}

/// Two bars of a second and a half that are repeated.
#[test]
fn playing_takes_the_repeats_or_not() {
    let empty = new_passage(Family::Violin, TimeSignature::new(3, 4), 0, 120.0);
    let writer = Writer::new(empty).note("A4", HALF.dotted()).note("A4", HALF.dotted());
    let (mut lesson, _) = written(writer);
    lesson.score.bars.truncate(2);
    lesson.score.bars[1].repeat_end = true;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("repeated.elbowroom");
    lesson_file::save(&path, &lesson).unwrap();
    let mut harness = desk(Some(path));
    wait_until(&mut harness, |harness| harness.state().lesson() == &lesson);
    let total = harness.state().analysis().total_s();
    assert!((total - 3.0).abs() < 1e-6, "{total}");
    harness.get_by_label("Repeats");
    harness.key_press(Key::Space);
    harness.run_steps(200);
    assert!(harness.state().position_s() < 1.0, "the second time has begun");
    harness.get_by_label("2nd time");
    // Without repeats it ends at the end.
    press_with(&mut harness, Modifiers::SHIFT, Key::L);
    harness.run_steps(200);
    assert!((harness.state().position_s() - total).abs() < 1e-6);
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_display_the_commands_are_named() {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_elbowroom"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .output()
        .unwrap();
    let words = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{words}");
    assert!(words.contains("no window can be opened") && words.contains("elbowroom check"), "{words}");
    assert!(!words.contains(".rs"), "{words}");
}

#[test]
fn a_level_is_looked_at_and_left_again() {
    let mut harness = desk(None);
    press(&mut harness, Key::Num6);
    harness.get_by_label_contains("Bow level G+C");
    press(&mut harness, Key::Num6);
    // The level of the first note again, on whatever string it is best played.
    let analysis = harness.state().analysis();
    let level = analysis.arm_path.fan.level(analysis.bow_at(0.0).plane).name.clone();
    harness.get_by_label_contains(&format!("Bow level {level},"));
    // In play the arm follows the music.
    press(&mut harness, Key::Num6);
    harness.get_by_label_contains("Bow level G+C");
    press(&mut harness, Key::Space);
    assert!(harness.query_by_label_contains("Bow level G+C").is_none());
}

#[test]
fn the_arm_is_shown_large_with_two_levels_against_each_other() {
    let mut harness = desk(None);
    harness.get_by_label_contains("Bow arm half from the front");
    press(&mut harness, Key::M);
    press(&mut harness, Key::Num7);
    harness.key_press_modifiers(Modifiers::SHIFT, Key::Num3);
    harness.run_steps(8);
    harness.get_by_label_contains("From C to D: the bow turns");
    press(&mut harness, Key::X);
    harness.get_by_label_contains("Bow arm from the bow side");
    click(&mut harness, "Back to the music");
    harness.get_by_label_contains("Staff, hair map and levels");
}

/// The view for a class: its keys, and that nothing of it stays or changes the lesson.
#[test]
fn a_class_is_shown_levels_over_the_whole_window() {
    let mut harness = desk(None);
    let before = harness.state().lesson().clone();
    press(&mut harness, Key::F11);
    assert!(harness.query_by_label_contains("Staff, hair map and levels").is_none());
    press(&mut harness, Key::Num4);
    harness.get_by_label_contains("4 D+G, the same weight on two strings");
    harness.key_press_modifiers(Modifiers::SHIFT, Key::Num7);
    harness.run_steps(2);
    harness.get_by_label_contains("to C: elbow");
    press(&mut harness, Key::V);
    harness.get_by_label_contains("Class from the bow side");
    // Between the two levels, and stopped at once.
    press(&mut harness, Key::Space);
    wait_until(&mut harness, |harness| harness.query_by_label_contains("4 D+G").is_none());
    press(&mut harness, Key::Space);
    harness.run_steps(2);
    // What is not seen is not changed.
    press(&mut harness, Key::B);
    assert_eq!(*harness.state().lesson(), before);
    press(&mut harness, Key::Escape);
    harness.get_by_label_contains("Staff, hair map and levels");
    harness.get_by_label_contains("Bow level D,");
}

#[test]
fn a_place_on_the_bow_is_fixed_and_freed() {
    let mut harness = desk(None);
    let pins = |harness: &Harness<'_, Desk>| harness.state().lesson().pins.len();
    click(&mut harness, "G4, bar 1, beat 3");
    click(&mut harness, "Place fixed");
    assert_eq!(pins(&harness), 2);
    click(&mut harness, "Place fixed");
    assert_eq!(pins(&harness), 1);
    assert_eq!(harness.state().undo_depth(), 2);
}

/// Beside a kept version there is more in the column at the right, which stays as wide as it is.
#[test]
fn what_is_compared_stays_in_its_column() {
    let mut harness = desk(None);
    press(&mut harness, Key::K);
    click(&mut harness, "G4, bar 1, beat 3");
    press(&mut harness, Key::B);
    wait_until(&mut harness, |harness| !harness.state().differences().is_empty());
    let right = |label: &str| harness.get_by_label_contains(label).rect().right();
    for label in ["Drop the kept version", "In order", "Compared", "runs out"] {
        assert!(right(label) <= 1280.0, "{label} ends at {}", right(label));
    }
}

#[test]
fn a_remedy_is_looked_at_taken_and_undone() {
    let mut harness = desk(None);
    open_and_wait(&mut harness);
    let cures = harness.state().remedies()[0].cures();
    assert!(cures, "a remedy that cures comes first");
    press(&mut harness, Key::ArrowDown);
    assert_eq!(harness.state().lesson(), &demo(), "to look at it changes nothing");
    let promised = harness.state().remedies()[0].study.lesson().clone();
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().lesson(), &promised, "what was shown is what was taken");
    assert_eq!((harness.state().undo_depth(), run_outs(&harness)), (1, 0));
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(harness.state().lesson(), &demo());
}

/// Where a remedy stands does not change while the pointer is over the list or one is chosen by keys.
#[test]
fn what_helps_keeps_its_place_under_the_pointer() {
    let mut harness = desk(None);
    press(&mut harness, Key::J);
    wait_until(&mut harness, |harness| !harness.state().remedies().is_empty());
    let first = harness.state().remedies()[0].trial.words.clone();
    harness.get_by_label_contains(&format!("{first}, ")).hover();
    let words = |harness: &Harness<'_, Desk>| -> Vec<String> {
        harness.state().remedies().iter().map(|remedy| remedy.trial.words.clone()).collect()
    };
    harness.run_steps(2);
    let mut before = words(&harness);
    // On a busy machine all may have been tried, and put in order, before the pointer is there.
    let in_time = harness.query_by_label("choose one").is_none();
    while harness.query_by_label("choose one").is_none() {
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.step();
        let now = words(&harness);
        assert!(now.starts_with(&before), "new ones only at the end: {before:?}, {now:?}");
        before = now;
    }
    harness.run_steps(5);
    assert_eq!(words(&harness), before, "not put in order under the pointer");
    // The last one is chosen by the keys; then the pointer goes, and the list is put in order.
    press(&mut harness, Key::ArrowUp);
    let chosen = before.last().cloned().expect("there are some");
    harness.hover_at(egui::pos2(400.0, 300.0));
    harness.run_steps(5);
    let ordered = words(&harness);
    assert!(harness.state().remedies()[0].cures(), "the best first: {ordered:?}");
    assert!(!in_time || ordered != before, "they were found in another order");
    let place = ordered.iter().position(|words| *words == chosen);
    let promised = place.map(|place| harness.state().remedies()[place].study.lesson().clone());
    press(&mut harness, Key::Enter);
    match promised {
        Some(promised) => assert_eq!(harness.state().lesson(), &promised, "the one that was chosen"),
        None => assert_eq!(harness.state().lesson(), &demo(), "one that is dropped is not taken"),
    }
}

/// An open finding has the room of the arm, in a low window that of the level too; a level that is asked
/// for is shown all the same.
#[test]
fn level_and_arm_make_room_for_an_open_finding() {
    let mut harness = desk(None);
    let level = |harness: &Harness<'_, Desk>| harness.query_by_label_contains("Bow level").is_some();
    let arm = |harness: &Harness<'_, Desk>| harness.query_by_label_contains("Bow arm").is_some();
    assert!(level(&harness) && arm(&harness));
    press(&mut harness, Key::J);
    assert!(level(&harness) && !arm(&harness));
    harness.set_size(egui::vec2(1280.0, 600.0));
    harness.run_steps(3);
    assert!(!level(&harness));
    press(&mut harness, Key::Num6);
    assert!(level(&harness));
    press(&mut harness, Key::Num6);
    assert!(!level(&harness));
    press(&mut harness, Key::Escape);
    assert!(level(&harness), "it comes back");
}

#[test]
fn pointing_at_a_remedy_changes_nothing_and_a_click_takes_it() {
    let mut harness = desk(None);
    open_and_wait(&mut harness);
    let words = harness.state().remedies()[0].trial.words.clone();
    harness.get_by_label_contains(&format!("{words}, cures it")).hover();
    harness.run_steps(5);
    assert_eq!((harness.state().undo_depth(), run_outs(&harness)), (0, 1));
    assert_eq!(harness.state().lesson(), &demo());
    harness.get_by_label_contains(&format!("{words}, cures it")).click();
    settle(&mut harness);
    assert_eq!((harness.state().undo_depth(), run_outs(&harness)), (1, 0));
}

#[test]
fn remedies_for_a_lesson_that_has_changed_are_dropped() {
    let mut harness = desk(None);
    press(&mut harness, Key::J);
    // The work has begun; now the lesson changes under it, twice.
    wait_until(&mut harness, |harness| !harness.state().remedies().is_empty());
    let standing = |harness: &Harness<'_, Desk>| Standing::of(&Study::new(harness.state().lesson().clone()));
    for _ in 0..2 {
        let before = standing(&harness);
        press(&mut harness, Key::B);
        assert_ne!(standing(&harness), before);
        assert!(harness.state().remedies().is_empty(), "those for the lesson before are gone at once");
        open_and_wait(&mut harness);
        let now = standing(&harness);
        assert!(harness.state().remedies().iter().all(|remedy| remedy.before == now));
    }
}

#[test]
fn a_finding_is_silenced_with_a_reason_and_told_again() {
    let mut harness = desk(None);
    press(&mut harness, Key::J);
    let told = harness.state().analysis().findings.told.len();
    click(&mut harness, "Silence…");
    harness.get_by_role_and_label(Role::TextInput, "Why it need not be told").type_text("the hall is small");
    settle(&mut harness);
    click(&mut harness, "Silence");
    let silenced = harness.state().lesson().silenced.clone();
    assert_eq!((silenced.len(), silenced[0].reason.as_str()), (1, "the hall is small"));
    assert_eq!((harness.state().undo_depth(), harness.state().analysis().findings.told.len()), (1, told - 1));
    click(&mut harness, "Show 1 silenced");
    click(&mut harness, "Tell again");
    assert!(harness.state().lesson().silenced.is_empty());
    assert_eq!(harness.state().analysis().findings.told.len(), told);
}

#[test]
fn a_kept_version_is_compared_and_dropped() {
    let mut harness = desk(None);
    press(&mut harness, Key::K);
    assert!(harness.state().differences().is_empty());
    harness.get_by_label_contains("No differences yet");
    click(&mut harness, "G4, bar 1, beat 3");
    press(&mut harness, Key::S);
    let words: Vec<String> = harness.state().differences().iter().map(|d| d.words.clone()).collect();
    assert!(words.iter().any(|words| words.contains("slur")), "{words:?}");
    let undo = harness.state().undo_depth();
    harness.get_by_label_contains("Compared").click();
    settle(&mut harness);
    let first = harness.state().differences()[0].clone();
    harness.get_by_label(&format!("{}, {}", first.place, first.words)).click();
    settle(&mut harness);
    let at = harness.state().analysis().seconds_at(first.at);
    assert!((harness.state().position_s() - at).abs() < 1e-9);
    press_with(&mut harness, Modifiers::SHIFT, Key::K);
    assert!(harness.state().differences().is_empty());
    assert_eq!(harness.state().undo_depth(), undo, "comparing changes nothing");
}

/// The first note that has other marks in a second lesson.
fn change_of(before: &elbowroom::lesson::Lesson, after: &elbowroom::lesson::Lesson) -> String {
    let changed = elbowroom::advice::notes_with_changed_marks(&before.score, &after.score);
    let event = after.score.events.iter().find(|event| changed.contains(&event.id)).expect("one is changed");
    format!("{}, {}", event.notes[0].pitch.name(), after.score.place(event.onset))
}

#[test]
fn a_suggested_bowing_is_looked_at_taken_and_undone() {
    let mut harness = desk(None);
    press(&mut harness, Key::G);
    click(&mut harness, "Also hooks");
    click(&mut harness, "Suggest");
    wait_until(&mut harness, |harness| !harness.state().suggestions().is_empty());
    let best = harness.state().suggestions()[0].study.lesson().clone();
    assert_ne!(best, demo(), "the demo can be bowed better");
    press(&mut harness, Key::ArrowDown);
    assert_eq!(harness.state().lesson(), &demo(), "to look at it changes nothing");
    // Every change is listed when asked for.
    let changes = harness.state().suggestions()[0].changes.clone();
    let first = sentence_case(&format!("{}: {}", changes[0].place, changes[0].words));
    let told = |harness: &Harness<'_, Desk>| harness.query_all_by_label(&first).count();
    let before = told(&harness);
    let count = if changes.len() == 1 { "1 change".to_owned() } else { format!("{} changes", changes.len()) };
    harness.get_all_by_label(&count).next().expect("a button").click();
    settle(&mut harness);
    for change in &changes {
        let words = sentence_case(&format!("{}: {}", change.place, change.words));
        assert!(harness.query_all_by_label(&words).count() > 0, "{words}");
    }
    assert!(told(&harness) > before, "{first} leads there");
    click(&mut harness, "Take bowing 1");
    assert_eq!(harness.state().lesson(), &best);
    let first = change_of(&demo(), &best);
    assert!(harness.query_all_by_label(&first).count() > 0, "{first} was changed and is in view");
    assert_eq!(harness.state().undo_depth(), 1);
    assert!(harness.state().suggestions().is_empty(), "they belong to the bowing before");
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(harness.state().lesson(), &demo());
}

/// Three slurs of three halves that run out for the same cause are one finding; the heading counts three
/// spots, as the suggestions do.
#[test]
fn the_heading_counts_spots_as_a_suggestion_does() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("slurs.elbowroom");
    let slur = |writer: Writer| (0..3).fold(writer, |writer, _| writer.note("A4", HALF)).slur(3);
    let slurs = (0..4).fold(violin(), |writer, _| slur(writer));
    let (lesson, _) = written(slurs.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::Ff)));
    lesson_file::save(&file, &lesson).expect("saved");
    let analysis = analyse(&lesson);
    let out = analysis.findings.told.iter().filter(|finding| finding.verdict == Verdict::RunsOut).count();
    let spots = Standing::of(&Study::new(lesson.clone())).runs_out;
    assert!(spots > out, "{spots} spots in {out} findings");
    let mut harness = desk(Some(file));
    wait_until(&mut harness, |harness| harness.state().lesson() == &lesson);
    harness.get_by_label(&format!("{spots} run out"));
}

#[test]
fn a_search_for_a_bowing_can_be_stopped() {
    let mut harness = desk(None);
    press(&mut harness, Key::G);
    click(&mut harness, "Suggest");
    assert!(harness.state().is_searching());
    click(&mut harness, "Cancel");
    assert!(!harness.state().is_searching());
    harness.get_by_label_contains("the search was stopped");
    std::thread::sleep(std::time::Duration::from_millis(200));
    settle(&mut harness);
    assert!(harness.state().suggestions().is_empty(), "nothing comes after it was stopped");
}

#[test]
fn settled_notes_are_left_alone_by_a_suggestion() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND, Key::A);
    press(&mut harness, Key::F);
    assert_eq!(harness.state().lesson().kept.len(), harness.state().analysis().line.notes.len());
    press(&mut harness, Key::G);
    click(&mut harness, "Suggest");
    wait_until(&mut harness, |harness| harness.query_by_label_contains("the bowing is settled").is_some());
    press(&mut harness, Key::F);
    assert!(harness.state().lesson().kept.is_empty());
    assert_eq!(harness.state().undo_depth(), 2);
}

#[test]
fn the_tempo_ladder_changes_the_practice_tempo_and_leads_to_bars() {
    let mut harness = desk(None);
    press(&mut harness, Key::T);
    wait_until(&mut harness, |harness| harness.state().tempo_ladder().is_some());
    harness.run_steps(2);
    let rungs = harness.state().tempo_ladder().map(|ladder| ladder.rungs.len());
    let canvas = harness.get_by_label("What works at which tempo").rect();
    let line = harness.get_by_label_contains("Practice tempo on the ladder").rect().center();
    harness.drag_at(line);
    harness.run_steps(2);
    harness.hover_at(egui::pos2(line.x, canvas.bottom() - 0.1 * canvas.height()));
    harness.run_steps(2);
    harness.drop_at(egui::pos2(line.x, canvas.bottom() - 0.1 * canvas.height()));
    settle(&mut harness);
    let share = harness.state().lesson().setup.tempo_share;
    assert!((0.45..0.62).contains(&share), "dragged down to {share}");
    assert_eq!(harness.state().undo_depth(), 1, "one drag is one step");
    assert_eq!(harness.state().tempo_ladder().map(|ladder| ladder.rungs.len()), rungs, "it stays as it was");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("What works at which tempo").is_none());
}

#[test]
fn findings_are_stepped_through_both_ways_as_they_are_listed() {
    // A long slur gives the demo another finding.
    let mut harness = desk(None);
    for _ in 0..12 {
        press_with(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    }
    click(&mut harness, "Slur");
    let findings: Vec<_> = harness.state().analysis().findings.told.clone();
    assert!(findings.len() >= 2, "{}", findings.len());
    click(&mut harness, "In order");
    press(&mut harness, Key::Home);
    let mut seen = Vec::new();
    for _ in 0..findings.len() {
        press(&mut harness, Key::J);
        seen.push(harness.state().position_s());
    }
    let listed = findings.iter().filter(|finding| finding.verdict < Verdict::Notice).count();
    let first = &seen[..listed];
    assert!(first.windows(2).all(|pair| pair[0] <= pair[1]), "in the order of the music: {first:?}");
    press_with(&mut harness, Modifiers::SHIFT, Key::J);
    assert_eq!(harness.state().position_s(), seen[seen.len() - 2], "and one back");
}

/// Double stops: from the music, with notes of one's own, and what works where they cannot be played.
#[test]
fn notes_that_sound_together_are_looked_at() {
    let mut harness = desk(None);
    press(&mut harness, Key::D);
    harness.get_by_label("Major sixth: D4 on the open D string, B4 with finger 1 on A.");
    harness.get_by_label_contains("press no harder: each gets about half of what it gets alone");
    harness.get_by_label_contains("1 of 7, bar 7");
    click(&mut harness, "Second note: Half a step down");
    harness.get_by_label_contains("Minor sixth: D4");
    harness.get_by_label_contains("your own notes");
    // Both on one string cannot be; the way out is offered.
    click(&mut harness, "Lowest note, string");
    harness.get_all_by_label("on A").last().expect("it is in the list").click();
    settle(&mut harness);
    harness.get_by_label_contains("D4 is below the A string");
    click(&mut harness, "Choose other strings");
    harness.get_by_label_contains("Minor sixth: D4");
    let count = harness.state().analysis().line.notes.len();
    click(&mut harness, "Write it at the end of the music");
    assert_eq!(harness.state().analysis().line.notes.len(), count + 1);
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(harness.state().analysis().line.notes.len(), count);
    // Three notes are broken into two planes, each of which can be looked at.
    click(&mut harness, "Add a note");
    harness.get_by_label_contains("Chord of three");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label_contains("Chord of three").is_none());
    // The way up to all of them is a lesson of its own.
    press(&mut harness, Key::D);
    click(&mut harness, "Practise all");
    assert_eq!(harness.state().lesson().score.title, "7 double stops, step by step");
    click(&mut harness, "Back to Harbour Song");
    assert_eq!(harness.state().lesson().score.title, "Harbour Song");
    assert!(harness.query_by_label_contains("Back to Harbour").is_none());
}

/// Three questions set up a pupil: a size brings its bow and a height, which is asked for; the music stays in
/// view, and all other figures are behind a click.
#[test]
fn three_questions_set_up_a_pupil() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND, Key::I);
    let choose = |harness: &mut Harness<'_, Desk>, question: &str, answer: &str| {
        harness.get_by_role_and_label(Role::ComboBox, question).click();
        settle(harness);
        click(harness, answer);
    };
    choose(&mut harness, "Size", "13 in");
    let setup = harness.state().lesson().setup.clone();
    assert_eq!((setup.instrument.size.as_str(), setup.bow.name.as_str()), ("13 in", "3/4"));
    assert_eq!(setup.body.stature_mm, 1440.0);
    harness.get_by_label("usual for this size: how tall?");
    choose(&mut harness, "Stage", "beginner");
    let setup = harness.state().lesson().setup.clone();
    assert_eq!(setup.player.positions, Positions::First);
    harness.get_by_label_contains("the margin kept from the tip ends it");
    assert_eq!(harness.state().undo_depth(), 2, "each answer is one step");
    let window = harness.get_by_role_and_label(Role::Window, "Instrument and player").rect();
    let screen = harness.ctx.content_rect();
    assert!(window.left() > 0.5 * screen.right(), "the music stays in view: {window} of {screen}");
    assert!(harness.query_by_label("Arm and hold").is_none(), "behind a click");
    click(&mut harness, "All figures");
    harness.get_by_label("Arm and hold");
}

/// Every crossing in view tells its size, its speed, its joint and the finger to have ready. In first
/// position A4 and B4 are played on the A string, the notes under them on the D string.
#[test]
fn crossings_are_told_where_they_are() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("first.elbowroom");
    let mut lesson = demo();
    lesson.setup.player.positions = Positions::First;
    lesson_file::save(&file, &lesson).expect("saved");
    let mut harness = desk(Some(file));
    wait_until(&mut harness, |harness| harness.state().lesson() == &lesson);
    let told = harness.get_all_by_label_contains("the bow turns").count();
    assert!(told >= 2, "{told}");
    let crossing = harness.state().analysis().arm_path.crossings.first().expect("D to A in bar 1");
    let words = crossing.words(&harness.state().analysis().arm_path.fan);
    assert!(words.starts_with("From D to A: the bow turns 17°, the hand moves "), "{words}");
    harness.get_by_label_contains("ready on D");
}

/// The prompt to vary and rest is made in the background: it comes for a part that keeps the arm high,
/// and goes when the part does so no more.
#[test]
fn a_part_that_keeps_the_arm_high_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("high.elbowroom");
    let empty = new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0);
    let low_string = (0..40).fold(Writer::new(empty), |song, _| song.note("G3", NoteValue::WHOLE));
    let lesson = low_string.finish().expect("a violin has it").0;
    lesson_file::save(&file, &lesson).expect("saved");
    let words = Study::new(lesson.clone()).analysis().care_words(&lesson.score);
    let (line, _) = words.expect("160 s on the lowest string");
    let mut harness = desk(Some(file));
    wait_until(&mut harness, |harness| harness.query_by_label(&line).is_some());
    press_with(&mut harness, Modifiers::COMMAND, Key::A);
    press(&mut harness, Key::Delete);
    assert!(harness.state().analysis().line.notes.is_empty());
    wait_until(&mut harness, |harness| harness.query_by_label(&line).is_none());
}

/// However long the title is, nothing in the bar lies over anything else.
#[test]
fn a_long_title_leaves_room_for_the_bar() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("long.elbowroom");
    let mut lesson = demo();
    lesson.score.title = "Harbour Song with a very long title for a whole book of pieces".to_owned();
    lesson.score.part = "Viola".to_owned();
    lesson_file::save(&path, &lesson).expect("saved");
    let mut harness = desk(Some(path));
    wait_until(&mut harness, |harness| harness.state().lesson().score.title == lesson.score.title);
    for (wide, high) in [(1100.0, 680.0), (1280.0, 800.0), (1440.0, 900.0), (1600.0, 900.0), (1920.0, 1080.0)]
    {
        harness.set_size(egui::vec2(wide, high));
        harness.run_steps(6);
        let (undo, play) = (harness.get_by_label("Undo").rect(), harness.get_by_label("Loop").rect());
        assert!(play.right() <= undo.left(), "{wide} by {high}: {play:?} and {undo:?}");
        let slider = harness.query_by_label("Practice tempo slider").is_some();
        assert!(slider || wide < 1280.0, "{wide} by {high}: no slider for the tempo");
    }
}
