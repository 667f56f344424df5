//! A lesson written in the window by keys alone, as a teacher would. What a passage is to look like is common
//! practice, no source.

use egui::{Key, Modifiers, accesskit::Role};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    desk::Desk,
    lesson::Lesson,
    score::{
        Bar, Clef, Direction, Dynamic, Event, Mark, NoteValue, Quarters, Return, Shared, SignKind,
        TimeSignature,
    },
    setup::Family,
};

use crate::harness::{desk, press, press_with};

/// Types a text into the field that has the focus, in the place of what stands there.
fn fill(harness: &mut Harness<'_, Desk>, text: &str) {
    harness.event(egui::Event::Text(text.to_owned()));
    harness.run_steps(2);
}

/// Fills in the fields from the first on; an empty text leaves a field as it is.
fn fill_all(harness: &mut Harness<'_, Desk>, fields: &[&str]) {
    for (index, text) in fields.iter().enumerate() {
        if index > 0 {
            press(harness, Key::Tab);
        }
        if !text.is_empty() {
            fill(harness, text);
        }
    }
    press(harness, Key::Enter);
}

fn lesson(harness: &Harness<'_, Desk>) -> Lesson {
    harness.state().lesson().clone()
}

/// Eight bars of 3/4 in B flat with an upbeat, for violin.
fn begun() -> Harness<'static, Desk> {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND, Key::N);
    let fields = ["Lantern Waltz", "violin", "8", "3/4", "B flat", "", "quarter", "Gently 108"];
    fill_all(&mut harness, &fields);
    harness
}

#[test]
fn a_new_lesson_is_asked_about_by_keys_alone() {
    let harness = begun();
    let lesson = lesson(&harness);
    let score = &lesson.score;
    assert_eq!((score.title.as_str(), score.part.as_str()), ("Lantern Waltz", "Violin"));
    assert_eq!(lesson.setup.instrument.family, Family::Violin);
    assert_eq!(score.clef_at(Quarters::ZERO), Clef::TREBLE);
    let lengths: Vec<Quarters> = score.bars.iter().map(|bar| bar.length).collect();
    assert_eq!(lengths, [1, 3, 3, 3, 3, 3, 3, 3, 3].map(Quarters::from));
    assert!(score.bars[0].pickup && score.bars.iter().all(|bar| bar.key == -2));
    assert!(score.bars.iter().all(|bar| bar.time == TimeSignature::new(3, 4)));
    assert_eq!(score.bars[8].number, "8");
    let tempo = score.signs.iter().find_map(|sign| match &sign.kind {
        SignKind::Tempo { qpm, text } => Some((*qpm, text.as_str())),
        _ => None,
    });
    assert_eq!(tempo, Some((108.0, "Gently (♩ = 108)")));
    assert_eq!(harness.state().undo_depth(), 1, "it is one step");
}

#[test]
fn what_cannot_be_read_is_told_and_nothing_is_changed() {
    let mut harness = desk(None);
    let before = lesson(&harness);
    press_with(&mut harness, Modifiers::COMMAND, Key::B);
    fill_all(&mut harness, &["", "", "3/5"]);
    harness.get_by_label_contains("Metre: such as 3/4");
    assert_eq!(lesson(&harness), before);
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("Piece and bars").is_none());
    assert_eq!(lesson(&harness), before);
}

#[test]
fn metre_and_title_are_changed_later_and_undone() {
    let mut harness = desk(None);
    let before = lesson(&harness);
    press_with(&mut harness, Modifiers::COMMAND, Key::B);
    fill_all(&mut harness, &["Quay Song", "", "2/4", "A minor"]);
    let after = lesson(&harness);
    assert_eq!(after.score.title, "Quay Song");
    assert!(after.score.bars.iter().all(|bar| bar.length == Quarters::TWO && bar.key == 0));
    assert_eq!(after.score.end(), before.score.end());
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(lesson(&harness), before);
}

/// Types keys one after another: letters, figures and signs as they stand on them.
fn type_keys(harness: &mut Harness<'_, Desk>, keys: &str) {
    for key in keys.split_whitespace() {
        let key = match key {
            "." => Key::Period,
            "+" => Key::Plus,
            "-" => Key::Minus,
            name => Key::from_name(name).unwrap_or_else(|| panic!("there is no key {name}")),
        };
        press(harness, key);
    }
}

/// Notes and rests of the first voice as names and lengths, bar by bar.
fn bars(lesson: &Lesson) -> Vec<String> {
    let score = &lesson.score;
    let words = |event: &Shared<Event>| {
        let names: Vec<String> = event.notes.iter().map(|note| note.pitch.name()).collect();
        let tie = if event.notes.iter().any(|note| note.tie_start) { "~" } else { "" };
        format!(
            "{} {}{tie}",
            if names.is_empty() { "rest".to_owned() } else { names.join("+") },
            event.duration
        )
    };
    let inside = |bar: &Bar| {
        let events = score.events.iter().filter(|event| event.onset >= bar.start && event.onset < bar.end());
        events.map(words).collect::<Vec<_>>().join(", ")
    };
    score.bars.iter().map(inside).collect()
}

/// Eight bars of 3/4 in B flat with an upbeat, a triplet, a slur, a double stop, a hairpin and a title, typed
/// by keys alone.
#[test]
fn a_teacher_types_eight_bars() {
    let mut harness = begun();
    type_keys(&mut harness, "F");
    type_keys(&mut harness, "2 B S 4 C S");
    type_keys(&mut harness, "8 T D E F 4 E D M U");
    type_keys(&mut harness, "2 . C");
    type_keys(&mut harness, "4 F H G A L");
    fill(&mut harness, "f");
    type_keys(&mut harness, "Enter");
    type_keys(&mut harness, "2 B U D 4 A");
    type_keys(&mut harness, "G F + A Backspace R");
    type_keys(&mut harness, "2 E 4 K D C X");
    fill(&mut harness, "dolce");
    type_keys(&mut harness, "Enter 2 . B");
    let lesson = lesson(&harness);
    let expected = [
        "F4 1",
        "B♭4 2, C5 1",
        "D5 1/3, E♭5 1/3, F5 1/3, E♭5 1, D5 1",
        "C5 3",
        "F5 1, G5 1, A5 1",
        "D5+B♭5 2, A5 1",
        "G5 1, F♯5 1, rest 1",
        "E♭5 2~, E♭5 1",
        "D5 1, C5 1, B♭4 1~",
        "B♭4 2",
    ];
    assert_eq!(bars(&lesson), expected);
    let score = &lesson.score;
    let note = |name: &str| {
        let event =
            score.events.iter().find(|event| event.notes.iter().any(|note| note.pitch.name() == name));
        event.unwrap_or_else(|| panic!("there is a {name}"))
    };
    assert_eq!(score.slurs.len(), 1);
    assert_eq!((score.slurs[0].from, score.slurs[0].to), (note("B♭4").id, note("C5").id));
    assert_eq!(note("D5").value, NoteValue { tuplet: Some((3, 2)), ..NoteValue::EIGHTH });
    let up = score.events.iter().filter(|event| event.bow == Some(Direction::Up)).count();
    assert_eq!(up, 1);
    let kinds: Vec<&SignKind> = score.signs.iter().map(|sign| &sign.kind).collect();
    let a5 = note("A5").onset;
    assert!(kinds.contains(&&SignKind::Hairpin { opens: true, end: a5, niente: false }));
    assert!(score.signs.iter().any(|sign| sign.at == a5 && sign.kind == SignKind::Dynamic(Dynamic::F)));
    assert!(kinds.contains(&&SignKind::Words("dolce".to_owned())));
    while harness.state().undo_depth() > 0 {
        press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    }
    assert!(harness.state().lesson().score.events.is_empty(), "every step leads back");
}

#[test]
fn notes_are_written_over_or_pushed_on_as_the_line_says() {
    let mut harness = begun();
    type_keys(&mut harness, "F B C D Home");
    // Behind the upbeat, over what is there: half of the note that is met falls silent.
    harness.get_by_label_contains("later notes move on");
    type_keys(&mut harness, "ArrowRight ArrowLeft I");
    harness.get_by_label_contains("over what is there");
    type_keys(&mut harness, "8 E");
    assert_eq!(bars(harness.state().lesson())[..2], ["F4 1", "E♭4 1/2, rest 1/2, C5 1, D5 1"]);
    type_keys(&mut harness, "I 2 G");
    let lesson = lesson(&harness);
    assert_eq!(bars(&lesson)[1..3], ["E♭4 1/2, G4 2, rest 1/2", "C5 1, D5 1"]);
}

#[test]
fn what_a_key_waits_for_is_told_and_can_be_left() {
    let mut harness = begun();
    type_keys(&mut harness, "F M");
    harness.get_by_label_contains("D  down-bow");
    type_keys(&mut harness, "Escape");
    assert!(harness.query_by_label_contains("D  down-bow").is_none());
    type_keys(&mut harness, "O A");
    assert_eq!(bars(harness.state().lesson())[0], "F4+A4 1");
    type_keys(&mut harness, "L");
    fill(&mut harness, "loud");
    type_keys(&mut harness, "Enter");
    harness.get_by_label_contains("typed as it is printed");
    type_keys(&mut harness, "Escape");
    assert!(harness.query_by_label("Write").is_some());
    assert!(harness.query_by_label_contains("later notes move on").is_none(), "writing has ended");
}

/// The sign and its octave: common practice, no source.
#[test]
fn an_octave_line_is_typed_like_a_hairpin() {
    let mut harness = begun();
    type_keys(&mut harness, "F B V C D V E");
    let line = |harness: &Harness<'_, Desk>| {
        let signs = lesson(harness).score.signs.clone();
        signs.iter().find_map(|sign| match sign.kind {
            SignKind::OctaveLine { octaves, end } => Some((sign.at, end, octaves)),
            _ => None,
        })
    };
    assert_eq!(line(&harness), Some((Quarters::ONE, Quarters::from(4), 1)));
    // Over chosen notes the same key turns it round, and takes it away.
    press_with(&mut harness, Modifiers::COMMAND, Key::A);
    type_keys(&mut harness, "V");
    assert_eq!(line(&harness), Some((Quarters::ZERO, Quarters::from(5), 1)));
    type_keys(&mut harness, "V");
    assert_eq!(line(&harness).map(|line| line.2), Some(-1));
    type_keys(&mut harness, "V");
    assert_eq!(line(&harness), None);
}

/// Running triplets, and five in the time of four: common practice, no source.
#[test]
fn groups_go_on_until_they_are_ended() {
    let mut harness = begun();
    type_keys(&mut harness, "R 8 T T D D D D D D T D D");
    assert_eq!(
        bars(harness.state().lesson())[1],
        "D5 1/3, D5 1/3, D5 1/3, D5 1/3, D5 1/3, D5 1/3, D5 1/2, D5 1/2"
    );
    type_keys(&mut harness, "6 N 5 C C C C C 4 C");
    let lesson = lesson(&harness);
    let fifth = "C5 1/5";
    assert_eq!(bars(&lesson)[2], format!("{}, C5 1", [fifth; 5].join(", ")));
}

/// Clicks at a point of the window.
fn click_at(harness: &mut Harness<'_, Desk>, pos: egui::Pos2) {
    harness.event(egui::Event::PointerMoved(pos));
    for pressed in [true, false] {
        let button = egui::PointerButton::Primary;
        harness.event(egui::Event::PointerButton { pos, button, pressed, modifiers: Modifiers::NONE });
        harness.run_steps(1);
    }
    harness.run_steps(2);
}

#[test]
fn a_place_on_the_fingerboard_gives_pitch_and_string() {
    let mut harness = begun();
    let board = harness.get_by_label("Fingerboard").rect();
    // The lowest string is drawn lowest; its end at the left is the open string.
    click_at(&mut harness, egui::pos2(board.left() + 40.0, board.bottom() - 16.0));
    let lesson = lesson(&harness);
    let note = &lesson.score.events[0].notes[0];
    assert_eq!((note.pitch.name().as_str(), note.string), ("G3", Some(4)));
}

#[test]
fn a_click_on_the_staff_writes_a_note_there() {
    let mut harness = begun();
    type_keys(&mut harness, "F B");
    let b = harness.get_by_role_and_label(Role::ListBoxOption, "B♭4, bar 1, beat 1").rect();
    // Head and stem with the room around them are some five spaces high, ten letters. The second click lies
    // before the note that the first has written.
    for y in [b.top(), b.bottom()] {
        click_at(&mut harness, egui::pos2(b.right() + 40.0, y));
    }
    let lesson = lesson(&harness);
    let typed: Vec<_> = lesson.score.events.iter().map(|event| event.notes[0].pitch).collect();
    assert_eq!(typed.len(), 4);
    assert!((8..=12).contains(&(typed[3].staff_step() - typed[2].staff_step())), "{typed:?}");
    assert!(typed.iter().all(|pitch| pitch.alter == pitch.letter.alter_in_key(-2)), "{typed:?}");
}

#[test]
fn bars_are_chosen_copied_and_gone_to() {
    let mut harness = desk(None);
    let before = lesson(&harness);
    harness.get_by_label("Choose bar 2").click();
    harness.run_steps(3);
    harness.get_by_label_contains("3 notes from bar 2");
    harness.event(egui::Event::Copy);
    harness.run_steps(2);
    press_with(&mut harness, Modifiers::COMMAND, Key::G);
    fill(&mut harness, "4");
    press(&mut harness, Key::Enter);
    harness.get_by_label("bar 4, beat 1");
    harness.event(egui::Event::Paste("B4 A4 G4".to_owned()));
    harness.run_steps(3);
    let after = lesson(&harness);
    assert_eq!(bars(&after)[4], bars(&before)[1]);
    assert_eq!(bars(&after)[5], bars(&before)[4]);
    press_with(&mut harness, Modifiers::ALT, Key::ArrowUp);
    assert_eq!(bars(&lesson(&harness))[4], "C5 2, B4 1, A4 1");
    press_with(&mut harness, Modifiers::COMMAND, Key::T);
    fill(&mut harness, "down an octave");
    press(&mut harness, Key::Enter);
    assert_eq!(bars(&lesson(&harness))[4], "C4 2, B3 1, A3 1");
    press_with(&mut harness, Modifiers::COMMAND, Key::Delete);
    assert_eq!(bars(&lesson(&harness)), bars(&before));
    press_with(&mut harness, Modifiers::COMMAND, Key::G);
    fill(&mut harness, "99");
    press(&mut harness, Key::Enter);
    harness.get_by_label_contains("a number or a rehearsal mark");
    press(&mut harness, Key::Escape);
}

#[test]
fn bars_are_cut_out_and_a_way_leads_back() {
    let mut harness = desk(None);
    harness.get_by_label("Choose bar 3").click();
    harness.run_steps(3);
    press_with(&mut harness, Modifiers::COMMAND, Key::E);
    let part = lesson(&harness);
    assert_eq!((part.score.bars.len(), part.score.bars[0].number.as_str()), (1, "3"));
    harness.get_by_label("Back to Harbour Song").click();
    harness.run_steps(3);
    assert_eq!(lesson(&harness).score.bars.len(), 12);
}

#[test]
fn a_scale_is_begun_with() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::N);
    fill_all(&mut harness, &["Bb3", "major", "1", "eighth", "8"]);
    let part = lesson(&harness);
    assert_eq!((part.score.title.as_str(), part.score.bars[0].key), ("B flat major, 1 octave", -2));
    assert_eq!(part.score.slurs.len(), 1);
    harness.get_by_label("Back to Harbour Song");
}

/// However many keys come in a frame: what is typed behind a key that asks for words is those words.
#[test]
fn words_are_words_before_their_field_is_there() {
    let mut harness = begun();
    type_keys(&mut harness, "F B");
    let key = |key: Key, pressed: bool| egui::Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    let letters = [(Key::X, "x"), (Key::D, "d"), (Key::O, "o"), (Key::L, "l"), (Key::C, "c"), (Key::E, "e")];
    for (letter, text) in letters {
        let events = [key(letter, true), egui::Event::Text(text.to_owned()), key(letter, false)];
        harness.input_mut().events.extend(events);
    }
    harness.input_mut().events.extend([key(Key::Enter, true), key(Key::Enter, false), key(Key::A, true)]);
    harness.run_steps(4);
    let lesson = lesson(&harness);
    assert!(lesson.score.signs.iter().any(|sign| sign.kind == SignKind::Words("dolce".to_owned())));
    let notes = lesson.score.events.iter().filter(|event| !event.is_rest()).count();
    assert_eq!(notes, 3, "the letters of the word wrote none, the key behind it did");
}

/// The words are those of printed parts: common practice, no source.
#[test]
fn an_ending_a_jump_and_a_segno_are_typed() {
    let mut harness = desk(None);
    press_with(&mut harness, Modifiers::COMMAND, Key::B);
    for (label, text) in [("Ending", "1, 2"), ("Jump", "D.S. al Fine")] {
        harness.get_by_role_and_label(Role::TextInput, label).focus();
        harness.run_steps(2);
        fill(&mut harness, text);
    }
    harness.get_by_label("segno here").click();
    harness.run_steps(2);
    harness.get_by_label("Done").click();
    harness.run_steps(2);
    let lesson = lesson(&harness);
    let bar = &lesson.score.bars[0];
    assert_eq!(bar.ending.as_deref(), Some("1, 2"));
    assert!(bar.jumps.segno && bar.jumps.back == Some(Return::ToSegno));
    let words = SignKind::Words("D.S. al Fine".to_owned());
    assert!(lesson.score.signs.iter().any(|sign| sign.at == bar.end() && sign.kind == words));
}

#[test]
fn a_trill_and_letters_of_a_sudden_dynamic_are_typed() {
    let mut harness = begun();
    for key in [Key::A, Key::M, Key::I, Key::L] {
        press(&mut harness, key);
    }
    fill(&mut harness, "ffz");
    press(&mut harness, Key::Enter);
    let lesson = lesson(&harness);
    let note = lesson.score.events.iter().find(|event| !event.is_rest()).expect("the note");
    assert!(note.marks.contains(&Mark::Trill), "{:?}", note.marks);
    assert_eq!(note.sudden_letters(), Some("ffz"));
}

/// Slashes on a stem, and two notes in turns, each printed as long as both (MusicXML 4.0, `tremolo`).
#[test]
fn tremolos_are_typed() {
    let mut harness = begun();
    type_keys(&mut harness, "4 A B M 3");
    let sounding = |harness: &Harness<'_, Desk>| -> Vec<Shared<Event>> {
        lesson(harness).score.events.iter().filter(|event| !event.is_rest()).cloned().collect()
    };
    assert_eq!(sounding(&harness).iter().map(|event| event.tremolo).collect::<Vec<_>>(), [None, Some(3)]);
    type_keys(&mut harness, "M 3");
    assert_eq!(sounding(&harness)[1].tremolo, None);
    type_keys(&mut harness, "M B");
    let notes = sounding(&harness);
    assert_eq!((notes[0].tremolo_to_next, notes[1].tremolo_to_next), (Some(3), None));
    assert!(notes.iter().all(|event| event.value == NoteValue::HALF && event.duration == Quarters::ONE));
    type_keys(&mut harness, "M B");
    let notes = sounding(&harness);
    assert!(notes.iter().all(|event| event.tremolo_to_next.is_none() && event.value == NoteValue::QUARTER));
    type_keys(&mut harness, "2 C M B");
    harness.get_by_label_contains("A tremolo between two notes needs two of the same length");
}

#[test]
fn keys_are_found_by_what_they_do() {
    let mut harness = desk(None);
    press(&mut harness, Key::F1);
    harness.get_by_label("trill");
    harness.get_by_label("Show a level");
    harness.run_steps(2);
    harness.event(egui::Event::Text("tril".to_owned()));
    harness.run_steps(2);
    harness.get_by_label("trill");
    assert!(harness.query_by_label("Show a level").is_none());
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("trill").is_none(), "the list is closed");
}
