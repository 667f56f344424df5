//! Every edit leads back, and typed entry keeps the bars in order, for random passages and random
//! intentions. No outside source: these are properties that any editing of a score must have.

use std::sync::Arc;

use elbowroom::{
    analysis::Study,
    lesson::{
        Edit, EditError, Lesson,
        change::{self, Moving},
        demo::demo,
    },
    score::{
        Clef, Direction, Dynamic, EventId, Grace, Mark, NoteValue, Pitch, Quarters, SameBow, SignKind,
        StrokeType, TimeSignature, attacks,
    },
    setup::Family,
};
use proptest::prelude::*;

use crate::music::{QUARTER, WHOLE, taken, violin, written};

/// What a person may want; indices choose among the events that are there.
#[derive(Clone, Debug)]
enum Wish {
    Insert(Option<usize>, NoteValue, Vec<i32>),
    Delete(Vec<usize>),
    Length(usize, NoteValue),
    AddNote(usize, i32),
    Tie(usize),
    Divide(usize, i64),
    Slur(usize, usize, bool),
    SplitSlur(usize),
    Bow(usize, Option<Direction>),
    Retake(usize, bool),
    Hook(usize, Option<SameBow>),
    Turn(usize, Direction),
    Stroke(usize, Option<StrokeType>),
    Dynamic(i64, Option<Dynamic>),
    String(usize, usize, Option<u8>),
    Finger(usize, usize, Option<&'static str>),
    Speed(usize, Option<f64>),
    Tempo(f64),
    Place(usize, Option<(f64, f64)>),
    Keep(usize, bool),
    Silence(usize, bool),
    Pencil(usize, Option<bool>),
    Metre(usize, u16, u16),
    Upbeat(Option<i64>),
    Key(usize, i8),
    Repeat(usize, bool, bool),
    InsertBars(usize, usize),
    DeleteBars(usize, usize),
    Clef(i64, Option<Clef>),
    Beat(i64, Option<f64>),
    Words(i64, &'static str),
    Rehearsal(i64, &'static str),
    Hairpin(i64, i64, Option<bool>),
    Title(&'static str),
    WriteOver(Option<usize>, NoteValue, Vec<i32>),
    Alter(usize, usize, i8),
    Mark(usize, Mark, bool),
    Paste(usize, usize, Option<usize>, bool),
    MoveNotes(usize, usize, Moving),
}

impl Wish {
    fn edit(&self, lesson: &Lesson) -> Result<Edit, EditError> {
        let events = &lesson.score.events;
        let id = |k: usize| if events.is_empty() { EventId(0) } else { events[k % events.len()].id };
        match self {
            Self::Insert(after, value, midi) => {
                let pitches: Vec<Pitch> = midi.iter().map(|&midi| Pitch::from_midi(midi, false)).collect();
                change::insert(lesson, after.filter(|_| !events.is_empty()).map(id), *value, &pitches)
            }
            Self::Delete(list) => {
                let ids: Vec<EventId> = list.iter().map(|&k| id(k)).collect();
                change::delete(lesson, &ids)
            }
            Self::Length(k, value) => change::set_length(lesson, id(*k), *value),
            Self::AddNote(k, midi) => change::add_note(lesson, id(*k), Pitch::from_midi(*midi, true)),
            Self::Tie(k) => change::join_ties(lesson, id(*k)),
            Self::Divide(k, eighths) => {
                let onset = lesson.score.event(id(*k)).map_or(Quarters::ZERO, |event| event.onset);
                change::divide_note(lesson, id(*k), onset + Quarters::new(*eighths, 2))
            }
            Self::Slur(a, b, on) => change::set_slur(lesson, &[id(*a), id(*b)], *on),
            Self::SplitSlur(k) => change::split_slur(lesson, id(*k)),
            Self::Bow(k, direction) => change::set_bow(lesson, &[id(*k)], *direction),
            Self::Retake(k, on) => change::set_retake(lesson, id(*k), *on),
            Self::Hook(k, how) => change::hook(lesson, id(*k), *how),
            Self::Turn(k, direction) => change::turn_from(lesson, id(*k), *direction),
            Self::Stroke(k, stroke) => change::set_stroke(lesson, &[id(*k)], *stroke),
            Self::Dynamic(at, level) => change::set_dynamic(lesson, Quarters::new(*at, 2), *level),
            Self::String(k, note, string) => change::set_string(lesson, id(*k), *note, *string),
            Self::Finger(k, note, finger) => change::set_finger(lesson, id(*k), *note, *finger),
            Self::Speed(k, factor) => change::set_speed_factor(lesson, &[id(*k)], *factor),
            Self::Tempo(share) => change::set_tempo_share(lesson, *share),
            Self::Place(k, shares) => change::hair_pin(lesson, id(*k), *shares),
            Self::Keep(k, keep) => change::keep_bowing(lesson, &[id(*k)], *keep),
            Self::Pencil(k, words) => change::pencil(
                lesson,
                "save-or-spend",
                id(*k),
                words.map(|on| if on { "at ease" } else { "" }),
            ),
            Self::Metre(bar, beats, unit) => {
                change::set_metre(lesson, *bar, &TimeSignature::new(*beats, *unit))
            }
            Self::Upbeat(eighths) => {
                change::set_upbeat(lesson, eighths.map(|eighths| Quarters::new(eighths, 2)))
            }
            Self::Key(bar, key) => change::set_key(lesson, *bar, *key),
            Self::Repeat(bar, start, end) => change::set_repeat(lesson, *bar, *start, *end),
            Self::InsertBars(before, count) => change::insert_bars(lesson, *before, *count),
            Self::DeleteBars(from, count) => change::delete_bars(lesson, *from..from + count),
            Self::Clef(at, clef) => change::set_clef(lesson, Quarters::new(*at, 2), *clef),
            Self::Beat(at, qpm) => change::set_tempo(lesson, Quarters::new(*at, 2), qpm.map(|qpm| (qpm, ""))),
            Self::Words(at, words) => change::set_words(lesson, Quarters::new(*at, 2), words),
            Self::Rehearsal(at, mark) => change::set_rehearsal(lesson, Quarters::new(*at, 2), mark),
            Self::Hairpin(from, to, opens) => {
                change::set_hairpin(lesson, Quarters::new(*from, 2), Quarters::new(*to, 2), *opens)
            }
            Self::WriteOver(after, value, midi) => {
                let pitches: Vec<Pitch> = midi.iter().map(|&midi| Pitch::from_midi(midi, false)).collect();
                change::write_over(lesson, after.filter(|_| !events.is_empty()).map(id), *value, &pitches)
            }
            Self::Alter(k, head, by) => change::alter(lesson, id(*k), *head, *by),
            Self::Mark(k, mark, on) => change::set_mark(lesson, &[id(*k)], *mark, *on),
            Self::Paste(a, b, after, over) => {
                let phrase = change::copy(lesson, &[id(*a), id(*b)].into())?;
                change::paste(lesson, after.filter(|_| !events.is_empty()).map(id), &phrase, *over)
            }
            Self::MoveNotes(a, b, by) => change::move_notes(lesson, &[id(*a), id(*b)], *by),
            Self::Title(title) => Ok(change::set_title(title)),
            Self::Silence(k, on) => change::silence(lesson, "rush", &[id(*k)], on.then_some("so be it")),
        }
    }
}

fn value() -> impl Strategy<Value = NoteValue> {
    let tuplet = prop_oneof![4 => Just(None), 1 => Just(Some((3, 2))), 1 => Just(Some((5, 4)))];
    (-5_i8..=1, 0_u8..=3, tuplet).prop_map(|(log2_whole, dots, tuplet)| NoteValue {
        log2_whole,
        dots,
        tuplet,
    })
}

/// Values whose every split by a barline can be printed exactly.
fn common() -> impl Strategy<Value = NoteValue> {
    value().prop_map(|value| NoteValue {
        log2_whole: value.log2_whole.max(-4),
        dots: value.dots.min(1),
        ..value
    })
}

fn wish() -> impl Strategy<Value = Wish> {
    let k = || 0_usize..60;
    let direction = || prop_oneof![Just(Direction::Down), Just(Direction::Up)];
    let same = prop_oneof![Just(SameBow::Hooked), Just(SameBow::Portato)];
    prop_oneof![
        4 => (prop::option::of(k()), value(), prop::collection::vec(48_i32..80, 0..3))
            .prop_map(|(after, value, midi)| Wish::Insert(after, value, midi)),
        2 => prop::collection::vec(k(), 1..4).prop_map(Wish::Delete),
        2 => (k(), value()).prop_map(|(k, value)| Wish::Length(k, value)),
        1 => (k(), 48_i32..80).prop_map(|(k, midi)| Wish::AddNote(k, midi)),
        1 => k().prop_map(Wish::Tie),
        1 => (k(), -1_i64..12).prop_map(|(k, eighths)| Wish::Divide(k, eighths)),
        2 => (k(), k(), any::<bool>()).prop_map(|(a, b, on)| Wish::Slur(a, b, on)),
        1 => k().prop_map(Wish::SplitSlur),
        1 => (k(), prop::option::of(direction())).prop_map(|(k, d)| Wish::Bow(k, d)),
        1 => (k(), any::<bool>()).prop_map(|(k, on)| Wish::Retake(k, on)),
        1 => (k(), prop::option::of(same)).prop_map(|(k, how)| Wish::Hook(k, how)),
        1 => (k(), direction()).prop_map(|(k, d)| Wish::Turn(k, d)),
        1 => (k(), prop::option::of(prop::sample::select(&StrokeType::ALL[..])))
            .prop_map(|(k, stroke)| Wish::Stroke(k, stroke)),
        1 => (0_i64..100, prop::option::of(prop::sample::select(&Dynamic::ALL[..])))
            .prop_map(|(at, level)| Wish::Dynamic(at, level)),
        1 => (k(), 0_usize..3, prop::option::of(0_u8..6)).prop_map(|(k, n, s)| Wish::String(k, n, s)),
        1 => (k(), 0_usize..3, prop::option::of(prop::sample::select(&["0", "T", "1", "4", "9"][..])))
            .prop_map(|(k, n, f)| Wish::Finger(k, n, f)),
        1 => (k(), prop::option::of(-1.0..20.0)).prop_map(|(k, factor)| Wish::Speed(k, factor)),
        1 => (0.0..20.0).prop_map(Wish::Tempo),
        1 => (k(), prop::option::of((-0.2..1.2, 0.0..1.0))).prop_map(|(k, shares)| Wish::Place(k, shares)),
        1 => (k(), any::<bool>()).prop_map(|(k, keep)| Wish::Keep(k, keep)),
        1 => (k(), any::<bool>()).prop_map(|(k, on)| Wish::Silence(k, on)),
        1 => (k(), any::<Option<bool>>()).prop_map(|(k, on)| Wish::Pencil(k, on)),
        3 => (prop::option::of(k()), value(), prop::collection::vec(48_i32..80, 0..3))
            .prop_map(|(after, value, midi)| Wish::WriteOver(after, value, midi)),
        1 => (k(), 0_usize..2, prop::sample::select(&[-1_i8, 1][..]))
            .prop_map(|(k, head, by)| Wish::Alter(k, head, by)),
        1 => (k(), prop::sample::select(&[Mark::Accent, Mark::Fermata][..]), any::<bool>())
            .prop_map(|(k, mark, on)| Wish::Mark(k, mark, on)),
        2 => (k(), k(), prop::option::of(k()), any::<bool>())
            .prop_map(|(a, b, after, over)| Wish::Paste(a, b, after, over)),
        2 => (k(), k(), moving()).prop_map(|(a, b, by)| Wish::MoveNotes(a, b, by)),
        4 => of_bars(),
        3 => of_signs(),
    ]
}

fn moving() -> impl Strategy<Value = Moving> {
    prop_oneof![
        (-8_i32..9).prop_map(Moving::Steps),
        (-13_i32..14).prop_map(Moving::HalfSteps),
        (-8_i32..9, -2_i32..3).prop_map(|(letters, off)| Moving::Interval(letters, letters * 12 / 7 + off)),
        any::<bool>().prop_map(Moving::String),
    ]
}

/// Wishes about bars.
fn of_bars() -> impl Strategy<Value = Wish> {
    let bar = || 0_usize..14;
    prop_oneof![
        2 => (bar(), 0_u16..9, prop::sample::select(&[2_u16, 4, 8][..]))
            .prop_map(|(bar, beats, unit)| Wish::Metre(bar, beats, unit)),
        1 => prop::option::of(-1_i64..9).prop_map(Wish::Upbeat),
        1 => (bar(), -8_i8..9).prop_map(|(bar, key)| Wish::Key(bar, key)),
        1 => (bar(), any::<bool>(), any::<bool>()).prop_map(|(bar, a, b)| Wish::Repeat(bar, a, b)),
        2 => (bar(), 0_usize..4).prop_map(|(bar, count)| Wish::InsertBars(bar, count)),
        2 => (bar(), 0_usize..4).prop_map(|(bar, count)| Wish::DeleteBars(bar, count)),
    ]
}

/// Wishes about what is placed by time.
fn of_signs() -> impl Strategy<Value = Wish> {
    let at = || -1_i64..100;
    let clefs = [Clef::TREBLE, Clef::ALTO, Clef::TENOR, Clef::BASS];
    let words = || prop::sample::select(&["", "dolce", "pizz.", "arco", "A"][..]);
    prop_oneof![
        (at(), prop::option::of(prop::sample::select(clefs.to_vec())))
            .prop_map(|(at, clef)| Wish::Clef(at, clef)),
        (at(), prop::option::of(-1.0..300.0)).prop_map(|(at, qpm)| Wish::Beat(at, qpm)),
        (at(), words()).prop_map(|(at, words)| Wish::Words(at, words)),
        (at(), words()).prop_map(|(at, mark)| Wish::Rehearsal(at, mark)),
        (at(), at(), any::<Option<bool>>()).prop_map(|(from, to, opens)| Wish::Hairpin(from, to, opens)),
        words().prop_map(Wish::Title),
    ]
}

/// The demo with a second voice and grace notes, or an empty passage in some meter.
fn start() -> impl Strategy<Value = Lesson> {
    let empty = (prop::sample::select(&Family::ALL[..]), 1_u16..13, prop::sample::select(&[2_u16, 4, 8][..]))
        .prop_map(|(family, beats, unit)| {
            change::new_passage(family, TimeSignature::new(beats, unit), -2, 90.0)
        });
    prop_oneof![
        1 => Just(demo()),
        1 => Just(()).prop_map(|()| busy()),
        1 => empty,
    ]
}

fn busy() -> Lesson {
    let mut lesson = demo();
    let score = &mut lesson.score;
    let seed = score.events[4].clone();
    let free = score.free_event_id().0;
    for (k, after) in [(0, false), (1, false), (2, true)] {
        let mut grace = seed.clone();
        grace.id = EventId(free + k);
        grace.duration = Quarters::ZERO;
        grace.grace = Some(Grace { order: k as u8, slash: false, after });
        score.events.push(grace);
    }
    let mut other = seed.clone();
    (other.id, other.voice) = (EventId(free + 9), 1);
    other.marks.insert(Mark::Fermata);
    score.events.push(other);
    score.sort();
    lesson
}

/// The order of things in a score, whatever was done to it.
fn check(lesson: &Lesson) {
    let score = &lesson.score;
    let mut sorted = score.clone();
    sorted.sort();
    assert_eq!(&sorted, score, "sorted");
    let mut ids: Vec<EventId> = score.events.iter().map(|event| event.id).collect();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), score.events.len(), "ids are unique");
    for pair in score.bars.windows(2) {
        assert_eq!(pair[0].end(), pair[1].start, "bars are contiguous");
    }
    let mut end = Quarters::ZERO;
    for event in score.events.iter().filter(|event| event.voice == 0) {
        assert_eq!(event.onset, end, "notes of the first voice follow each other without gaps");
        let bar = &score.bars[score.bar_at(event.onset).expect("there are bars")];
        assert!(event.onset >= bar.start, "inside a bar");
        // A grace note after the last note of the last bar stands at its end.
        assert!(event.end() <= bar.end() || event.grace.is_some(), "no note goes over a barline");
        assert!(event.grace.is_some() || event.duration.is_positive());
        end = event.end();
    }
    for event in &score.events {
        assert!(
            event.notes.windows(2).all(|pair| pair[0].pitch.midi() < pair[1].pitch.midi()),
            "lowest first"
        );
    }
    for slur in &score.slurs {
        let place = |id| score.events.iter().position(|event| event.id == id).expect("slurs are on notes");
        assert!(place(slur.from) < place(slur.to));
        assert!(!score.events[place(slur.from)].is_rest() && !score.events[place(slur.to)].is_rest());
    }
    let is_note = |id| score.event(id).is_some_and(|event| !event.is_rest());
    assert!(lesson.pins.iter().all(|pin| is_note(pin.event)), "places on the bow are on notes");
    assert!(lesson.kept.iter().all(|&id| is_note(id)), "bowings are settled on notes");
    assert!(lesson.pencilled.iter().all(|entry| is_note(entry.event)), "marks stand over notes");
    assert!(lesson.silenced.iter().all(|entry| is_note(entry.event)), "findings are silenced on notes");
    assert_eq!(lesson.clone().checked().as_ref(), Ok(lesson), "what every lesson promises");
}

/// Total length of the first voice.
fn length(lesson: &Lesson) -> Quarters {
    lesson.score.events.iter().filter(|event| event.voice == 0).map(|event| event.duration).sum()
}

/// A long passage with silences in it, in which a change of one place leaves the others alone.
fn with_silences() -> Lesson {
    let mut writer = violin();
    for turn in 0..5_usize {
        for k in 0..4 * (turn + 2) {
            let name = ["A4", "B4", "D5", "G4", "E5"][(k * (turn + 2)) % 5];
            writer = writer.note(name, QUARTER);
        }
        writer = writer.rest(WHOLE);
    }
    written(writer).0
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is taken over from the study before an edit is what a whole analysis finds, to the last bit.
    #[test]
    fn a_study_after_an_edit_is_the_whole_study(
        first in prop_oneof![1 => start(), 2 => Just(()).prop_map(|()| with_silences())],
        wishes in prop::collection::vec(wish(), 1..6),
    ) {
        let mut study = Study::new(first);
        for wish in &wishes {
            let Ok(edit) = wish.edit(study.lesson()) else { continue };
            let (next, _) = edit.apply(study.lesson()).expect("what is offered can be done");
            let whole = Study::new(next.clone());
            let after = study.with(next);
            // As text, in which what is no number is like itself.
            prop_assert_eq!(format!("{:?}", after.analysis()), format!("{:?}", whole.analysis()), "{:?}", wish);
            prop_assert_eq!(after.pencil(), whole.pencil(), "{:?}", wish);
            study = after;
        }
    }
}

/// A change of one place takes over the stretches on the other side of a silence, and with them what
/// does not look beyond.
#[test]
fn stages_that_come_out_the_same_are_taken_over() {
    let study = Study::new(with_silences());
    let notes: Vec<EventId> = study.analysis().line.notes.iter().map(|note| note.id()).collect();
    let faster = taken(study.lesson(), change::set_speed_factor(study.lesson(), &notes[2..3], Some(1.2)));
    let (before, after) = (study.analysis(), study.with(faster));
    let after = after.analysis();
    assert!(Arc::ptr_eq(&before.bowing, &after.bowing) && Arc::ptr_eq(&before.left_hand, &after.left_hand));
    let stretches = &after.plan.solution.stretches;
    assert_eq!(stretches.len(), 5);
    assert_ne!(before.plan.solution.stretches[0], stretches[0]);
    assert_eq!(before.plan.solution.stretches[1..], stretches[1..]);
    let named = taken(study.lesson(), Ok(Edit::Title("Another".to_owned())));
    let after = study.with(named);
    assert!(
        Arc::ptr_eq(&before.line, &after.analysis().line)
            && Arc::ptr_eq(&before.tones, &after.analysis().tones)
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_edit_leads_back(first in start(), wishes in prop::collection::vec(wish(), 1..25)) {
        let mut lesson = first.clone();
        let mut undo = Vec::new();
        for wish in &wishes {
            let Ok(edit) = wish.edit(&lesson) else { continue };
            let (next, inverse) = edit.apply(&lesson).expect("what is offered can be done");
            check(&next);
            let (back, again) = inverse.apply(&next).expect("undo");
            prop_assert_eq!(&back, &lesson, "{:?}", wish);
            let (forth, _) = again.apply(&back).expect("redo");
            prop_assert_eq!(&forth, &next, "{:?}", wish);
            undo.push(inverse);
            lesson = next;
        }
        for inverse in undo.iter().rev() {
            lesson = inverse.apply(&lesson).expect("undo").0;
        }
        prop_assert_eq!(lesson, first);
    }

    #[test]
    fn typed_lengths_add_up(notes in prop::collection::vec((common(), 48_i32..80), 1..30), beats in 1_u16..8) {
        let mut lesson = change::new_passage(Family::Viola, TimeSignature::new(beats, 4), 0, 80.0);
        let mut after = None;
        let mut sum = Quarters::ZERO;
        for (value, midi) in notes {
            let id = lesson.score.free_event_id();
            let edit = change::insert(&lesson, after, value, &[Pitch::from_midi(midi, false)]).expect("a note");
            lesson = edit.apply(&lesson).expect("typed").0;
            check(&lesson);
            for event in &lesson.score.events {
                prop_assert_eq!(event.value.length(), event.duration, "the value printed is the length");
            }
            sum += value.length();
            prop_assert_eq!(length(&lesson), sum);
            after = Some(id);
        }
        let heads = attacks(&lesson.score);
        prop_assert_eq!(heads.iter().map(|attack| attack.duration).sum::<Quarters>(), sum);
    }

    #[test]
    fn dividing_a_note_changes_no_sound(k in 0_usize..60, eighths in 1_i64..12) {
        let lesson = busy();
        let id = lesson.score.events[k % lesson.score.events.len()].id;
        let at = lesson.score.event(id).expect("there").onset + Quarters::new(eighths, 2);
        let Ok(edit) = change::divide_note(&lesson, id, at) else { return Ok(()) };
        let (divided, _) = edit.apply(&lesson).expect("it can be divided");
        check(&divided);
        prop_assert!(divided.score.events.iter().any(|event| event.voice == 0 && event.onset == at));
        let (before, after) = (attacks(&lesson.score), attacks(&divided.score));
        prop_assert_eq!(before.len(), after.len());
        for (a, b) in before.iter().zip(&after) {
            prop_assert_eq!((a.onset, a.end(), a.id(), a.slur), (b.onset, b.end(), b.id(), b.slur));
        }
        prop_assert_eq!(lesson.score.slurs.len(), divided.score.slurs.len());
        prop_assert_eq!(lesson.score.signs, divided.score.signs);
    }

    #[test]
    fn inserting_and_deleting_again_changes_no_sound(
        place in 0_usize..40,
        value in value(),
        midi in 48_i32..80,
    ) {
        let lesson = demo();
        let id = lesson.score.free_event_id();
        let after = lesson.score.events[place % lesson.score.events.len()].id;
        let pitches = [Pitch::from_midi(midi, false)];
        let longer = change::insert(&lesson, Some(after), value, &pitches).and_then(|e| e.apply(&lesson)).expect("in").0;
        let back = change::delete(&longer, &[id]).and_then(|e| e.apply(&longer)).expect("out").0;
        let sound = |lesson: &Lesson| -> Vec<_> {
            attacks(&lesson.score).iter().map(|a| (a.onset, a.duration, a.midi(), a.slur_start, a.bow)).collect()
        };
        prop_assert_eq!(sound(&back), sound(&lesson));
    }
}

/// Four quarter notes in 4/4, then what the test wants.
fn four() -> (Lesson, Vec<EventId>) {
    written(["G4", "A4", "B4", "C5"].iter().fold(violin(), |writer, name| writer.note(name, QUARTER)))
}

#[test]
fn a_note_pushed_over_the_barline_is_split_and_tied() {
    let (lesson, ids) = four();
    let lesson = taken(&lesson, change::set_length(&lesson, ids[3], NoteValue::plain(-1)));
    let written: Vec<_> = lesson.score.events.iter().skip(3).map(|e| (e.onset, e.duration)).collect();
    assert_eq!(written, [(Quarters::from(3), Quarters::ONE), (Quarters::from(4), Quarters::ONE)]);
    assert!(lesson.score.events[3].notes[0].tie_start && lesson.score.events[4].notes[0].tie_stop);
    assert_eq!(attacks(&lesson.score).len(), 4, "it sounds as one note");
    let lesson = taken(&lesson, change::delete(&lesson, &ids[..1]));
    let last = lesson.score.events.last().expect("three notes are left");
    assert_eq!((last.onset, last.value), (Quarters::from(2), NoteValue::plain(-1)), "one half note again");
}

/// A deleted note takes what was fixed on it along, though the next new note may get its id.
#[test]
fn a_new_note_inherits_nothing_from_a_deleted_one() {
    let (lesson, ids) = four();
    let fixed = taken(&lesson, change::keep_bowing(&lesson, &ids, true));
    let fixed = taken(&fixed, change::hair_pin(&fixed, ids[3], Some((0.5, 0.5))));
    let fixed = taken(&fixed, change::silence(&fixed, "rush", &ids[3..], Some("on purpose")));
    let fixed = taken(&fixed, change::pencil(&fixed, "chord", ids[3], Some("")));
    let (shorter, undo) = change::delete(&fixed, &ids[3..]).and_then(|e| e.apply(&fixed)).expect("deleted");
    let pitch = [Pitch::from_midi(72, false)];
    let new = taken(&shorter, change::insert(&shorter, Some(ids[2]), NoteValue::QUARTER, &pitch));
    assert!(new.score.event(ids[3]).is_some(), "the id is used again");
    assert_eq!(new.kept.iter().collect::<Vec<_>>(), ids[..3].iter().collect::<Vec<_>>());
    assert_eq!((new.pins.len(), new.silenced.len(), new.pencilled.len()), (0, 0, 0));
    assert_eq!(undo.apply(&shorter).expect("undone").0, fixed, "and undo brings it back");
}

#[test]
fn slurs_are_set_split_and_removed() {
    let (lesson, ids) = four();
    let lesson = taken(&lesson, change::set_slur(&lesson, &[ids[0], ids[3]], true));
    assert_eq!((lesson.score.slurs[0].from, lesson.score.slurs[0].to), (ids[0], ids[3]));
    let split = taken(&lesson, change::split_slur(&lesson, ids[2]));
    let ends: Vec<_> = split.score.slurs.iter().map(|slur| (slur.from, slur.to)).collect();
    assert_eq!(ends, [(ids[0], ids[1]), (ids[2], ids[3])]);
    let starts: Vec<bool> = attacks(&split.score).iter().map(|attack| attack.slur_start).collect();
    assert_eq!(starts, [true, false, true, false]);
    let cut = taken(&lesson, change::set_slur(&lesson, &[ids[0]], false));
    assert_eq!((cut.score.slurs[0].from, cut.score.slurs[0].to), (ids[1], ids[3]));
    let shorter = taken(&lesson, change::delete(&lesson, &[ids[3]]));
    assert_eq!((shorter.score.slurs[0].from, shorter.score.slurs[0].to), (ids[0], ids[2]));
    let inside = taken(&lesson, change::set_slur(&lesson, &ids[..2], true));
    let ends: Vec<_> = inside.score.slurs.iter().map(|slur| (slur.from, slur.to)).collect();
    assert_eq!(ends.len(), 2);
    assert!(ends.contains(&(ids[0], ids[1])) && ends.contains(&(ids[2], ids[3])));
    assert!(change::split_slur(&lesson, ids[0]).is_err(), "it starts a bow already");
    assert!(change::set_slur(&lesson, &ids[..1], true).is_err(), "one note is no slur");
}

#[test]
fn turning_the_bowing_round_ends_at_the_next_lift() {
    let (mut lesson, ids) = four();
    for (id, direction) in [(ids[1], Direction::Up), (ids[2], Direction::Down), (ids[3], Direction::Up)] {
        lesson = taken(&lesson, change::set_bow(&lesson, &[id], Some(direction)));
    }
    lesson = taken(&lesson, change::set_retake(&lesson, ids[3], true));
    lesson = taken(&lesson, change::turn_from(&lesson, ids[1], Direction::Up));
    let marks: Vec<_> = lesson.score.events.iter().map(|event| event.bow).collect();
    assert_eq!(marks, [None, Some(Direction::Down), Some(Direction::Up), Some(Direction::Up)]);
}

#[test]
fn dynamics_move_with_their_notes() {
    let (lesson, ids) = four();
    let lesson = taken(&lesson, change::set_dynamic(&lesson, Quarters::from(2), Some(Dynamic::P)));
    let pitch = [Pitch::from_midi(74, false)];
    let lesson = taken(&lesson, change::insert(&lesson, Some(ids[0]), NoteValue::plain(-1), &pitch));
    let at = |lesson: &Lesson| lesson.score.signs.iter().map(|sign| sign.at).max();
    assert_eq!(at(&lesson), Some(Quarters::from(4)));
    assert_eq!(lesson.score.event(ids[2]).map(|event| event.onset), at(&lesson));
    let lesson = taken(&lesson, change::delete(&lesson, &ids[..1]));
    assert_eq!(at(&lesson), Some(Quarters::from(3)));
}

#[test]
fn a_tie_joins_two_equal_notes_and_no_others() {
    let (lesson, ids) = four();
    assert!(change::join_ties(&lesson, ids[0]).is_err());
    let id = lesson.score.free_event_id();
    let pitch = [Pitch::from_midi(72, false)];
    let lesson = taken(&lesson, change::insert(&lesson, Some(ids[3]), NoteValue::QUARTER, &pitch));
    let tied = taken(&lesson, change::join_ties(&lesson, ids[3]));
    assert_eq!(attacks(&tied.score)[3].events, [ids[3], id]);
}

#[test]
fn a_note_moves_by_letters_of_the_key_by_half_steps_and_by_octaves() {
    let (mut lesson, ids) = four();
    for bar in &mut lesson.score.bars {
        // A major: F, C and G are sharp (common practice, no source).
        bar.key = 3;
    }
    let name = |lesson: &Lesson, id| lesson.score.event(id).map(|event| event.notes[0].pitch.name());
    for (steps, half, expected) in
        [(-1, false, "F♯4"), (1, true, "G♯4"), (-1, true, "F♯4"), (7, false, "G♯5"), (-7, false, "G♯3")]
    {
        let by = if half { Moving::HalfSteps(steps) } else { Moving::Steps(steps) };
        let moved = taken(&lesson, change::move_notes(&lesson, &ids[..1], by));
        assert_eq!(name(&moved, ids[0]).as_deref(), Some(expected), "{steps} {half}");
        assert_eq!(name(&moved, ids[1]), name(&lesson, ids[1]), "the others stay");
    }
    let far = change::move_notes(&lesson, &ids[..1], Moving::Steps(99)).expect_err("too high");
    assert!(far.to_string().contains("No instrument"), "{far}");
}

#[test]
fn what_cannot_be_done_is_told_in_a_sentence() {
    let (lesson, ids) = four();
    let missing = EventId(999);
    // Both letters become the E of the key.
    let (near, near_ids) = written(violin().note("Eb4 E4", WHOLE));
    let refusals = [
        change::move_notes(&near, &near_ids, Moving::Steps(0)),
        change::set_bow(&lesson, &[missing], None),
        change::set_length(&lesson, missing, NoteValue::QUARTER),
        change::insert(&lesson, None, NoteValue::plain(99), &[]),
        change::add_note(&lesson, ids[0], Pitch::from_midi(67, false)),
        change::hair_pin(&lesson, ids[0], Some((0.5, f64::NAN))),
        change::set_speed_factor(&lesson, &ids, Some(f64::NAN)),
        change::set_tempo_share(&lesson, 0.0),
        change::set_string(&lesson, ids[0], 0, Some(5)),
        change::set_finger(&lesson, ids[0], 0, Some("7")),
        change::hook(&lesson, ids[0], Some(SameBow::Hooked)),
        change::set_dynamic(&lesson, Quarters::from(-1), None),
        change::delete(&lesson, &[]),
    ];
    for refusal in refusals {
        let EditError(sentence) = refusal.expect_err("refused");
        assert!(sentence.contains(' ') && !sentence.ends_with('.'), "{sentence}");
    }
}

/// What is written over falls silent for as long as it goes on; nothing behind it moves.
#[test]
fn writing_over_moves_nothing() {
    let (lesson, ids) = written(violin().note("G4", WHOLE).note("A4", QUARTER));
    let over = taken(&lesson, change::write_over(&lesson, None, QUARTER, &[Pitch::from_midi(62, false)]));
    let spans: Vec<_> = over.score.events.iter().map(|e| (e.onset, e.duration, e.is_rest())).collect();
    let three = Quarters::from(3);
    assert_eq!(
        spans,
        [
            (Quarters::ZERO, Quarters::ONE, false),
            (Quarters::ONE, three, true),
            (Quarters::from(4), Quarters::ONE, false)
        ]
    );
    assert_eq!(over.score.event(ids[1]), lesson.score.event(ids[1]));
}

/// Common practice, no source: plucked from "pizz." up to "arco".
#[test]
fn words_for_plucking_hold_up_to_the_bow() {
    let (mut lesson, ids) = four();
    lesson = taken(&lesson, change::set_words(&lesson, Quarters::ONE, "pizz."));
    lesson = taken(&lesson, change::set_words(&lesson, Quarters::from(3), "arco"));
    let plucked =
        |lesson: &Lesson| -> Vec<bool> { lesson.score.events.iter().map(|e| e.pizzicato).collect() };
    assert_eq!(plucked(&lesson), [false, true, true, false]);
    let pitch = [Pitch::from_midi(72, false)];
    let longer = taken(&lesson, change::insert(&lesson, Some(ids[2]), QUARTER, &pitch));
    assert_eq!(plucked(&longer), [false, true, true, true, false]);
    lesson = taken(&lesson, change::set_words(&lesson, Quarters::ONE, ""));
    assert_eq!(plucked(&lesson), [false; 4]);
}

/// What is copied comes with its slurs and dynamics, and is split anew at the barlines.
#[test]
fn a_phrase_is_put_in_elsewhere() {
    let (lesson, ids) = four();
    let lesson = taken(&lesson, change::set_slur(&lesson, &[ids[1], ids[2]], true));
    let lesson = taken(&lesson, change::set_dynamic(&lesson, Quarters::from(2), Some(Dynamic::P)));
    let lesson = taken(&lesson, change::set_length(&lesson, ids[2], NoteValue::HALF));
    let phrase = change::copy(&lesson, &[ids[1], ids[2]].into()).expect("copied");
    assert_eq!(phrase.words(), "A4 B4");
    let pasted = taken(&lesson, change::paste(&lesson, Some(ids[3]), &phrase, false));
    let heads = attacks(&pasted.score);
    let told: Vec<_> = heads.iter().map(|a| (a.onset, a.duration, a.slur_start)).collect();
    let [zero, one, two, four, five, six] = [0, 1, 2, 4, 5, 6].map(Quarters::from);
    let expected = [
        (zero, one, false),
        (one, one, true),
        (two, two, false),
        (four, one, false),
        (five, one, true),
        (six, two, false),
    ];
    assert_eq!(told, expected);
    let dynamics: Vec<Quarters> = pasted
        .score
        .signs
        .iter()
        .filter(|sign| matches!(sign.kind, SignKind::Dynamic(_)))
        .map(|sign| sign.at)
        .collect();
    assert_eq!(dynamics, [two, six]);
    let over = taken(&lesson, change::paste(&lesson, None, &phrase, true));
    let onsets: Vec<Quarters> = attacks(&over.score).iter().map(|a| a.onset).collect();
    assert_eq!(onsets, [zero, one, four], "what is behind it stays where it was");
}

/// By intervals spelled in letters: common practice, no source. To the next string of a violin, tuned in fifths,
/// with the same finger.
#[test]
fn notes_are_transposed_by_intervals_and_to_the_next_string() {
    let (lesson, ids) = four();
    let names = |lesson: &Lesson| -> Vec<String> {
        lesson.score.events.iter().map(|event| event.notes[0].pitch.name()).collect()
    };
    let moved = |by| names(&taken(&lesson, change::move_notes(&lesson, &ids, by)));
    assert_eq!(moved(Moving::Interval(2, 3)), ["B♭4", "C5", "D5", "E♭5"]);
    assert_eq!(moved(Moving::Interval(-7, -12)), ["G3", "A3", "B3", "C4"]);
    assert_eq!(moved(Moving::Steps(2)), ["B4", "C5", "D5", "E5"]);
    let first = change::set_string(&lesson, ids[1], 0, Some(3));
    let set = taken(&lesson, first);
    let set = taken(&set, change::set_finger(&set, ids[1], 0, Some("1")));
    let up = taken(&set, change::move_notes(&set, &ids[1..2], Moving::String(true)));
    let note = &up.score.events[1].notes[0];
    assert_eq!(
        (note.pitch.name().as_str(), note.string, note.fingers.join("").as_str()),
        ("E5", Some(2), "1")
    );
    let beyond = taken(&set, change::set_string(&set, ids[1], 0, Some(1)));
    assert!(change::move_notes(&beyond, &ids[1..2], Moving::String(true)).is_err());
}

/// Bars cut out keep their numbers, and what is in force where they begin.
#[test]
fn bars_are_cut_out_as_a_lesson_of_their_own() {
    let lesson = demo();
    let part = change::excerpt(&lesson, 5..8).expect("cut out");
    check(&part);
    let numbers: Vec<&str> = part.score.bars.iter().map(|bar| bar.number.as_str()).collect();
    assert_eq!(numbers, ["6", "7", "8"]);
    assert_eq!(part.score.title, "Harbour Song, bars 6 to 8");
    assert_eq!(part.score.tempo_map().qpm_at(Quarters::ZERO), 84.0);
    assert_eq!(part.score.clef_at(Quarters::ZERO), lesson.score.clef_at(Quarters::ZERO));
    let at_start = part.score.signs.iter().find(|s| s.at.is_zero() && matches!(s.kind, SignKind::Dynamic(_)));
    assert!(at_start.is_some_and(|sign| sign.kind == SignKind::Dynamic(Dynamic::Mf)));
    let from = lesson.score.bars[5].start;
    let names = |lesson: &Lesson, from: Quarters, to: Quarters| -> Vec<String> {
        let inside = lesson.score.events.iter().filter(|event| event.onset >= from && event.onset < to);
        inside.flat_map(|event| &event.notes).map(|note| note.pitch.name()).collect()
    };
    let to = from + part.score.end();
    assert_eq!(names(&part, Quarters::ZERO, part.score.end()), names(&lesson, from, to));
    assert!(change::excerpt(&lesson, 3..99).is_err());
}

/// Bars put in are bars of rest where notes follow; taken out again nothing has changed but a slur over the
/// place.
#[test]
fn bars_are_put_in_and_taken_out_again() {
    let lesson = demo();
    let longer = taken(&lesson, change::insert_bars(&lesson, 4, 2));
    check(&longer);
    assert_eq!((longer.score.bars.len(), longer.score.bars[6].number.as_str()), (14, "7"));
    let eight = Quarters::from(8);
    assert_eq!(longer.score.end(), lesson.score.end() + eight);
    let back = taken(&longer, change::delete_bars(&longer, 4..6));
    assert_eq!(back.score, lesson.score);
    assert!(change::delete_bars(&lesson, 0..12).is_err(), "one bar has to be left");
}

/// A note over a new barline is tied, and one again where the barline goes. An upbeat counts as bar 0.
#[test]
fn another_metre_moves_barlines_and_no_notes() {
    let lesson = demo();
    let sound = |lesson: &Lesson| -> Vec<_> {
        attacks(&lesson.score).iter().map(|a| (a.onset, a.duration, a.midi())).collect()
    };
    let three = taken(&lesson, change::set_metre(&lesson, 0, &TimeSignature::new(3, 4)));
    check(&three);
    assert_eq!(sound(&three), sound(&lesson));
    assert_eq!((three.score.bars.len(), three.score.bars[15].number.as_str()), (16, "16"));
    let back = taken(&three, change::set_metre(&three, 0, &TimeSignature::new(4, 4)));
    assert_eq!(back.score, lesson.score);
    let upbeat = taken(&lesson, change::set_upbeat(&lesson, Some(Quarters::ONE)));
    check(&upbeat);
    let first: Vec<_> =
        upbeat.score.bars.iter().take(2).map(|bar| (bar.number.as_str(), bar.start)).collect();
    assert_eq!(first, [("0", Quarters::ZERO), ("1", Quarters::ONE)]);
    assert_eq!(sound(&upbeat), sound(&lesson));
}
