//! Drawings of small passages as text: a change of engraving is seen in a diff. `cargo insta review`,
//! or `INSTA_UPDATE=always cargo test --test drawing`, takes what is drawn now.

use elbowroom::{
    advice::ladder,
    analysis::{BowState, Study},
    arm::together,
    bowing::{Density, Need, Topic},
    lesson::{
        Lesson,
        change::{hair_pin, keep_bowing, pencil, split_slur},
    },
    picture::{
        Engraving, Ink, Item, OtherPath, Paper, Picture, System, Tag, Theme, TimeAxis, TogetherView, bow_bar,
        hair_map, level_fan, level_lanes, passage, sheet, staff, svg, tempo_ladder,
        together as together_picture, tone_band,
    },
    score::{
        Clef, Direction, Dynamic, Mark, Note, NoteValue, Pitch, Quarters, SignKind, Sudden, TimeSignature,
    },
    setup::Family,
    tone::shared_weight,
};

use crate::passage::*;

/// Compares a picture with the one kept under this name.
fn check(name: &str, picture: &Picture) {
    let settings = {
        let mut settings = insta::Settings::clone_current();
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings
    };
    settings.bind(|| insta::assert_snapshot!(name, svg::write(picture, &Theme::PRINT)));
}

/// A whole lesson in one line.
fn one_line(lesson: &Lesson) -> (Engraving, System) {
    let engraving = Engraving::new(&lesson.score);
    let system = System::whole(&lesson.score, &TimeAxis::new(&lesson.score, &engraving), 20.0);
    (engraving, system)
}

fn staff_of(lesson: Lesson) -> Picture {
    let (engraving, system) = one_line(&lesson);
    staff(&Study::new(lesson), &engraving, &system, Density::None, 1.0).picture
}

fn map_of(study: &Study, other: Option<OtherPath<'_>>) -> Picture {
    let (_, system) = one_line(study.lesson());
    hair_map(study, &system, other, 30.0, 1.0).picture
}

#[test]
fn slurs_and_ties() {
    let mut passage = Passage::default();
    passage.notes("D4 F#4 A4", QUARTER).slur(3).note("D5", QUARTER);
    passage.note("C5", HALF).note("C5", QUARTER).tied().notes("B4", QUARTER).slur(2);
    passage.note("E4 B4", HALF).note("E4 B4", HALF).tied().phrase(9);
    check("slurs_and_ties", &staff_of(passage.lesson(Family::Violin, 4, 2)));
}

#[test]
fn beams_and_tuplets() {
    let mut passage = Passage::default();
    passage.notes("C5 D5 E5 F5", SIXTEENTH).notes("G5 E4", EIGHTH);
    passage.notes("G4 A4 B4", TRIPLET_EIGHTH).note("G4", NoteValue { log2_whole: -2, ..TRIPLET_EIGHTH });
    passage.note("", TRIPLET_EIGHTH).note("A5", NoteValue { dots: 1, ..EIGHTH }).note("F4", SIXTEENTH);
    passage.note("C6", EIGHTH).note("", EIGHTH).note("", HALF);
    check("beams_and_tuplets", &staff_of(passage.lesson(Family::Violin, 4, 0)));
}

#[test]
fn chords_accidentals_and_changes() {
    let mut passage = Passage::default();
    passage.note("G3 D4 B4", QUARTER).note("E4 F4", QUARTER).note("Ab4 Bb4", HALF);
    passage.note("F#4", QUARTER).note("F4", QUARTER).note("Db5", QUARTER).note("B3", QUARTER);
    passage.sign(SignKind::Clef(Clef::TREBLE)).note("A5", HALF).note("C#6", HALF);
    let mut lesson = passage.lesson(Family::Viola, 4, -2);
    lesson.score.bars[2].key = 3;
    lesson.score.bars[1].repeat_start = true;
    lesson.score.bars[2].repeat_end = true;
    check("chords_accidentals_and_changes", &staff_of(lesson));
}

#[test]
fn grace_notes_and_marks() {
    let mut passage = Passage::default();
    passage.grace("G4", true).note("A4", QUARTER).marks(&[Mark::Staccato]);
    passage.grace("D5 C5", false).note("B4", QUARTER).marks(&[Mark::Tenuto, Mark::Trill]);
    passage.note("E5", QUARTER).marks(&[Mark::Accent]).last(|event| event.bow = Some(Direction::Up));
    passage.note("D4", QUARTER).marks(&[Mark::StrongAccent, Mark::Fermata]);
    passage.note("G3", HALF).last(|event| {
        event.tremolo = Some(3);
        event.notes[0].fingers = vec!["0".to_owned()];
    });
    passage.note("A4", QUARTER).marks(&[Mark::Harmonic]).last(|event| event.retake = true);
    passage.note("F5", QUARTER).marks(&[Mark::Staccatissimo, Mark::BreathMark]);
    check("grace_notes_and_marks", &staff_of(passage.lesson(Family::Violin, 4, 0)));
}

#[test]
fn dynamics_and_words() {
    let mut passage = Passage::default();
    passage.sign(SignKind::Tempo { qpm: 96.0, text: "Gently ♩ = 96".to_owned() });
    passage.sign(SignKind::Dynamic(Dynamic::P)).hairpin(true, 4, false);
    passage.notes("A4 B4 C5 D5", QUARTER);
    passage.sign(SignKind::Dynamic(Dynamic::Ff)).sign(SignKind::Rehearsal("B".to_owned()));
    passage.note("E5", HALF).sign(SignKind::Words("sul tasto".to_owned()));
    passage.sign(SignKind::Words("dim.".to_owned())).note("A4", QUARTER).note("G4", QUARTER);
    passage.marks(&[Mark::Sforzando]);
    passage.hairpin(false, 4, true).note("F4", NoteValue::plain(0));
    let mut lesson = passage.lesson(Family::Violin, 4, 0);
    lesson.score.bars[2].ending = Some("1".to_owned());
    check("dynamics_and_words", &staff_of(lesson));
}

#[test]
fn lines_over_and_between_notes() {
    let mut passage = Passage::default();
    let line = SignKind::OctaveLine { octaves: 1, end: Quarters::from(4) };
    passage.sign(line).notes("B5 C6 D6 G6", QUARTER);
    passage
        .note("D5", HALF)
        .marks(&[Mark::Trill, Mark::TrillLine])
        .note("E5", HALF)
        .marks(&[Mark::TrillLine]);
    passage.note("G3", HALF).marks(&[Mark::Slide]).note("D5", HALF).marks(&[Mark::Glissando]);
    passage.note("A4", HALF).marks(&[Mark::Sforzando]).last(|event| event.sudden = Some(Sudden::Ffz));
    check("lines_over_and_between_notes", &staff_of(passage.lesson(Family::Violin, 4, 0)));
}

/// Common practice, no source: strokes from stem to stem between half notes, clear of the stems between quarters,
/// between the heads of whole notes, under the beam of eighths.
#[test]
fn tremolos_between_two_notes() {
    let mut passage = Passage::default();
    for (pitches, log2_whole) in [("E4 G4", -1), ("E4 C5", 0), ("D5 F5", -2), ("A4 F4", -3)] {
        let value = NoteValue { tuplet: Some((2, 1)), ..NoteValue::plain(log2_whole) };
        for (index, pitch) in pitches.split(' ').enumerate() {
            passage.note(pitch, value).last(|event| event.tremolo_to_next = (index == 0).then_some(2));
        }
    }
    check("tremolos_between_two_notes", &staff_of(passage.lesson(Family::Violin, 4, 0)));
}

/// Common practice, no source: behind the last barline of a system stand the key and metre of the next.
#[test]
fn a_new_key_and_metre_are_told_at_the_end_of_a_system() {
    let mut passage = Passage::default();
    passage.notes("D4 E4 F4 G4", QUARTER).notes("A4 B4 C#5 D5", QUARTER);
    let mut lesson = passage.lesson(Family::Violin, 4, -1);
    (lesson.score.bars[1].key, lesson.score.bars[1].time) = (2, TimeSignature::cut());
    let engraving = Engraving::new(&lesson.score);
    let axis = TimeAxis::new(&lesson.score, &engraving);
    let ends = (Quarters::ZERO, Quarters::from(4));
    let system = System::fitted(&axis, ends, 0.0, (20.0, 90.0));
    let drawn = staff(&Study::new(lesson), &engraving, &system, Density::None, 1.0).picture;
    check("notice_of_key_and_metre", &drawn);
}

/// What asks for marks: a subito, accents on up-bows, double stops, a long note; close together, so that
/// they need a second row.
fn pencilled() -> Lesson {
    let mut passage = Passage::default();
    passage.sign(SignKind::Tempo { qpm: 120.0, text: "Lively".to_owned() });
    passage.sign(SignKind::Dynamic(Dynamic::F)).notes("G4 A4 B4", EIGHTH).note("C5", EIGHTH);
    passage.marks(&[Mark::Sforzando]).note("D4 B4", QUARTER).marks(&[Mark::Accent]).note("E5", QUARTER);
    passage.marks(&[Mark::Accent]).sign(SignKind::Dynamic(Dynamic::Pp)).note("G3 D4 B4", QUARTER);
    passage.marks(&[Mark::Sforzando]).note("A4", DOTTED_HALF);
    passage.hairpin(true, 4, false).notes("G4 A4 B4 C5", QUARTER).slur(4);
    passage.sign(SignKind::Dynamic(Dynamic::Ff)).note("E4 C5", HALF).note("", HALF);
    passage.lesson(Family::Violin, 4, 0)
}

fn pencilled_staff(lesson: Lesson, density: Density) -> Picture {
    let (engraving, system) = one_line(&lesson);
    staff(&Study::new(lesson), &engraving, &system, density, 1.0).picture
}

/// Words of our own, so that the drawing does not change with what the program would write.
#[test]
fn pencil_marks() {
    let mut lesson = pencilled();
    for mark in &Study::new(lesson.clone()).pencil().marks {
        let words = match mark.topic {
            Topic::SuddenDynamic => "at once, far from the frog",
            Topic::Chord => "break it",
            _ => "",
        };
        let edit = pencil(&lesson, mark.topic.id(), mark.event, Some(words)).expect("a note");
        lesson = edit.apply(&lesson).expect("a change").0;
    }
    check("pencil_marks", &pencilled_staff(lesson, Density::All));
}

/// Each mark that is wanted is there once, and no other.
#[test]
fn as_many_pencil_marks_as_are_wanted() {
    let study = Study::new(pencilled());
    let marks = &study.pencil().marks;
    let mut counts = Vec::new();
    for density in [Density::None, Density::Must, Density::Worth, Density::All] {
        let tags = pencilled_staff(pencilled(), density).items.into_iter().filter_map(|item| item.tag());
        let drawn: Vec<usize> =
            tags.filter_map(|tag| if let Tag::Mark(mark) = tag { Some(mark) } else { None }).collect();
        let wanted = |need| match density {
            Density::None => false,
            Density::Must => need == Need::Must,
            Density::Worth => need != Need::IfTime,
            Density::All => true,
        };
        let mut sorted = drawn.clone();
        sorted.sort_unstable();
        let all: Vec<usize> = (0..marks.len()).filter(|&mark| wanted(marks[mark].weight)).collect();
        assert_eq!(sorted, all, "{density:?}");
        counts.push(drawn.len());
    }
    assert!(
        counts[0] < counts[1] && counts[1] < counts[2],
        "{counts:?}: the passage asks for marks of both kinds"
    );
}

#[test]
fn two_voices() {
    let mut passage = Passage::default();
    passage.note("C5", QUARTER).note("D5", QUARTER).note("E5", HALF);
    passage.second_voice().note("E4", HALF).note("", QUARTER).note("D5", QUARTER);
    check("two_voices", &staff_of(passage.lesson(Family::Violin, 4, 0)));
}

/// A long note and a short one over and over: as marked the bow creeps to the tip and ends.
fn long_and_short() -> Passage {
    let mut passage = Passage::default();
    passage.sign(SignKind::Tempo { qpm: 60.0, text: String::new() });
    passage.sign(SignKind::Dynamic(Dynamic::F));
    for _ in 0..3 {
        passage.note("A4", DOTTED_HALF).note("B4", QUARTER);
    }
    passage
}

/// A lesson that tells of every run-out, whether a player would feel it or not.
fn attentive(passage: Passage) -> Lesson {
    let mut lesson = passage.lesson(Family::Violin, 4, 0);
    let rules = &mut lesson.setup.school.rules;
    (rules.least_run_out_mm, rules.least_run_out_s, rules.felt_ratio) = (15.0, 0.0, 1.0);
    lesson
}

#[test]
fn hair_map_that_runs_out() {
    let study = Study::new(attentive(long_and_short()));
    assert!(!study.analysis().findings.told.is_empty());
    check("hair_map_that_runs_out", &map_of(&study, None));
}

#[test]
fn hair_map_with_another_version() {
    let mut passage = Passage::default();
    passage.notes("D4 E4 F#4 G4", QUARTER).slur(4).notes("A4 B4", HALF).note("", QUARTER);
    passage.note("C5", DOTTED_QUARTER).note("B4", EIGHTH).note("A4", QUARTER);
    let lesson = passage.lesson(Family::Violin, 4, 1);
    let ids: Vec<_> = lesson.score.events.iter().map(|event| event.id).collect();
    let changed = |lesson: &Lesson, edit: elbowroom::lesson::Edit| edit.apply(lesson).expect("a change").0;
    let other = changed(&lesson, split_slur(&lesson, ids[2]).expect("a slur"));
    let lesson = changed(&lesson, keep_bowing(&lesson, &ids[4..6], true).expect("notes"));
    let lesson = changed(&lesson, hair_pin(&lesson, ids[7], Some((0.4, 0.6))).expect("a note"));
    let other = Study::new(other);
    let other = OtherPath { study: &other, words: "before" };
    check("hair_map_with_another_version", &map_of(&Study::new(lesson), Some(other)));
}

/// Over the strings and back, with a double stop.
fn crossings() -> Lesson {
    let mut passage = Passage::default();
    passage.notes("G3 D4 A4 E5", QUARTER).notes("A4 E5 A4 E5", EIGHTH).note("D4 B4", HALF);
    passage.lesson(Family::Violin, 4, 0)
}

#[test]
fn levels() {
    let (_, system) = one_line(&crossings());
    check("levels", &level_lanes(&Study::new(crossings()), &system));
}

/// A note alone among rests has its level too, as long as it lasts, which is no crossing.
#[test]
fn the_level_of_a_note_among_rests_is_drawn() {
    let mut passage = Passage::default();
    passage.note("D4", HALF).note("", HALF).note("D4", HALF).note("", HALF);
    let lesson = passage.lesson(Family::Violin, 4, 0);
    let (_, system) = one_line(&lesson);
    let picture = level_lanes(&Study::new(lesson), &system);
    let lines: Vec<f64> = picture
        .items
        .iter()
        .filter(|item| matches!(item, Item::Path { stroke: Some(pen), .. } if pen.ink == Ink::Level))
        .filter_map(|item| Some(item.bounds()?.width()))
        .collect();
    assert!(lines.len() == 2 && lines.iter().all(|&wide| wide > 5.0), "{lines:?}");
}

#[test]
fn bow_with_a_stroke() {
    let study = Study::new(long_and_short().lesson(Family::Cello, 4, 0));
    check("bow_with_a_stroke", &bow_bar(&study, &study.analysis().bow_at(1.0), 180.0));
}

#[test]
fn fans_of_levels() {
    let study = Study::new(crossings());
    check("fan_of_levels", &level_fan(&study, &study.analysis().bow_at(6.0), 70.0));
    let mut lesson = Lesson::new(crossings().score, Family::DoubleBass);
    lesson.setup.left_handed = true;
    let study = Study::new(lesson);
    check("fan_of_levels_left_handed", &level_fan(&study, &study.analysis().bow_at(1.0), 60.0));
}

#[test]
fn double_stop() {
    let study = Study::new(crossings());
    let setup = &study.lesson().setup;
    let notes = ["D4", "B4"].map(|name| Note::new(Pitch::from_name(name).expect(name)));
    let found = together(setup, &notes, 1.0);
    let held: Vec<(u8, f64)> =
        found.fingers.iter().zip(&found.heights).map(|((string, _), height)| (*string, *height)).collect();
    let shares = shared_weight(setup, &held, 3.0);
    let pair = &found.pairs[0];
    let state = BowState { plane: pair.plane, level_deg: pair.angle_deg, ..study.analysis().bow_at(0.0) };
    let view = TogetherView { together: &found, shares: &shares, state: &state, width_mm: 150.0 };
    check("double_stop", &together_picture(&study, &view));
}

#[test]
fn ladder_of_tempos() {
    let mut passage = long_and_short();
    passage.notes("C5 D5 E5 F5", QUARTER).slur(4);
    let lesson = attentive(passage);
    let found =
        ladder(&Study::new(lesson.clone()), &[0.4, 0.6, 0.8, 1.0], &mut |_| true).expect("nothing stops it");
    assert!(found.rungs.iter().any(|rung| !rung.spots.is_empty()));
    check("ladder_of_tempos", &tempo_ladder(&lesson, &found, 120.0, 30.0).picture);
}

#[test]
fn tone() {
    let study = Study::new(long_and_short().lesson(Family::Violin, 4, 0));
    check("tone", &tone_band(&study.lesson().setup, &study.analysis().tones.notes[1], 90.0));
}

#[test]
fn passage_in_small() {
    check("passage_in_small", &passage(&Study::new(crossings()), None, 1, 70.0, 20.0));
}

#[test]
fn page() {
    let mut passage = Passage::default();
    passage.note("G3", HALF).note("D4", HALF);
    let study = Study::new(passage.lesson(Family::Viola, 4, 0));
    let mut pages = sheet(&study, None, Paper::A4_LANDSCAPE, Density::default());
    check("page", &pages.next().expect("a page"));
}
