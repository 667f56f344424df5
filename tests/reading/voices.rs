//! What one bow plays of several voices: one note after the other, in the score and in time.
//! No outside source: a bow that plays a note cannot begin another at the same time.

use std::collections::BTreeSet;

use elbowroom::{
    analysis::{Analysis, analyse},
    lesson::{Lesson, change::new_passage},
    score::{
        Attack, Event, EventId, Grace, Note, NoteValue, Pitch, Quarters, Shared, TimeSignature, attacks,
        bow_line,
    },
    setup::Family,
};
use proptest::prelude::*;

use crate::data;

/// A note in a voice: onset and length in eighths, MIDI number.
fn note(voice: u8, onset: i64, length: i64, midi: i32) -> Event {
    let notes = vec![Note::new(Pitch::from_midi(midi, false))];
    let event = Event::new(EventId(0), Quarters::new(onset, 2), NoteValue::QUARTER, notes);
    Event { voice, duration: Quarters::new(length, 2), ..event }
}

/// A grace note that stands at an onset in eighths.
fn grace(voice: u8, onset: i64, order: u8, after: bool) -> Event {
    Event { grace: Some(Grace { order, slash: false, after }), ..note(voice, onset, 0, 76) }
}

fn tied(mut event: Event, start: bool, stop: bool) -> Event {
    for note in &mut event.notes {
        (note.tie_start, note.tie_stop) = (start, stop);
    }
    event
}

/// A violin passage of four bars in 4/4 at quarter = 60, so that a quarter lasts a second.
fn lesson(events: Vec<Event>) -> Lesson {
    let mut lesson = new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0);
    lesson.score.events = events.into_iter().map(Shared::from).collect();
    for (id, event) in (0..).zip(&mut lesson.score.events) {
        event.id = EventId(id);
    }
    lesson.score.sort();
    lesson
}

/// What is bowed: onset and end in eighths, MIDI numbers. And how many attacks are left out.
fn bowed(lesson: &Lesson) -> (Vec<(f64, f64, Vec<f64>)>, usize) {
    let (line, left_out) = bow_line(&attacks(&lesson.score));
    let eighths = |at: Quarters| 2.0 * at.to_f64();
    (line.iter().map(|a| (eighths(a.onset), eighths(a.end()), a.midi())).collect(), left_out.len())
}

/// The first two of all notes that the bow would have to play at once.
fn at_once(line: &[Attack], analysis: &Analysis) -> Option<String> {
    let pair = |bar: usize, from: &dyn std::fmt::Display| format!("bar index {bar}: two notes at {from}");
    let written = line.windows(2).find(|pair| pair[1].onset < pair[0].end());
    let sounding = analysis
        .bowing
        .notes
        .windows(2)
        .find(|two| two[1].onset_s < two[0].onset_s + two[0].sounding_s - 1e-9);
    written
        .map(|two| pair(two[1].bar, &two[1].onset))
        .or_else(|| sounding.map(|two| pair(line[two[1].note].bar, &format!("{} s", two[1].onset_s))))
}

#[test]
fn a_note_held_into_a_bar_keeps_the_bow() {
    let held = lesson(vec![
        tied(note(0, 0, 8, 74), true, false),
        tied(note(0, 8, 8, 74), false, true),
        note(1, 8, 4, 69),
        note(1, 12, 4, 67),
    ]);
    assert_eq!(bowed(&held), (vec![(0.0, 16.0, vec![74.0])], 2));
    let analysis = analyse(&held);
    assert_eq!(analysis.bowing.strokes.len(), 1);
    assert!(analysis.findings.notices.iter().any(|notice| notice.starts_with("2 notes of other voices")));
}

#[test]
fn after_a_held_note_the_voices_go_on_as_in_any_bar() {
    let mut events =
        vec![tied(note(0, 0, 8, 74), true, false), tied(note(0, 8, 4, 74), false, true), note(0, 12, 4, 76)];
    let alone = |lower: &[Event]| lesson(events.iter().chain(lower).cloned().collect());
    // The same rhythm from there on is a double stop, another one is left out.
    let double = alone(&[note(1, 8, 4, 62), note(1, 12, 4, 67)]);
    assert_eq!(bowed(&double), (vec![(0.0, 12.0, vec![74.0]), (12.0, 16.0, vec![67.0, 76.0])], 1));
    let other = alone(&[note(1, 8, 4, 62), note(1, 12, 2, 67), note(1, 14, 2, 65)]);
    assert_eq!(bowed(&other), (vec![(0.0, 12.0, vec![74.0]), (12.0, 16.0, vec![76.0])], 3));
    // Where the voice that held it is silent afterwards, the next one is played.
    events.pop();
    let next = lesson(events.into_iter().chain([note(1, 8, 4, 62), note(1, 12, 4, 67)]).collect());
    assert_eq!(bowed(&next), (vec![(0.0, 12.0, vec![74.0]), (12.0, 16.0, vec![67.0])], 1));
}

#[test]
fn a_held_lower_voice_gives_way_to_the_first() {
    let drone = lesson(vec![
        tied(note(1, 0, 8, 55), true, false),
        tied(note(1, 8, 8, 55), false, true),
        note(0, 10, 2, 74),
        note(0, 12, 4, 76),
    ]);
    let line = vec![(0.0, 10.0, vec![55.0]), (10.0, 12.0, vec![74.0]), (12.0, 16.0, vec![76.0])];
    assert_eq!(bowed(&drone), (line, 0));
}

#[test]
fn a_closing_grace_note_belongs_to_the_bar_it_closes() {
    let trill = lesson(vec![
        note(0, 0, 8, 74),
        grace(0, 8, 0, true),
        grace(0, 8, 1, true),
        note(1, 8, 4, 69),
        note(1, 12, 4, 67),
    ]);
    let (line, left_out) = bow_line(&attacks(&trill.score));
    assert_eq!(
        line.iter().map(|attack| (attack.bar, attack.voice)).collect::<Vec<_>>(),
        [(0, 0), (0, 0), (0, 0), (1, 1), (1, 1)]
    );
    assert!(left_out.is_empty(), "the next bar is free for the second voice");
}

/// Each grace note takes the time the set-up gives it from the note it leans on, and the notes of a
/// group follow each other (common practice, no source; the length is the set-up's).
#[test]
fn grace_notes_follow_each_other() {
    let mut group = lesson(vec![
        note(0, 0, 8, 74),
        grace(0, 8, 0, true),
        grace(0, 8, 1, true),
        grace(0, 8, 0, false),
        grace(0, 8, 1, false),
        note(0, 8, 4, 72),
    ]);
    group.setup.school.grace_s = 0.08;
    let analysis = analyse(&group);
    let times: Vec<(f64, f64)> =
        analysis.bowing.notes.iter().map(|note| (note.onset_s, note.onset_s + note.sounding_s)).collect();
    let expected = [(0.0, 3.84), (3.84, 3.92), (3.92, 4.0), (4.0, 4.08), (4.08, 4.16), (4.16, 6.0)];
    assert_eq!(times.len(), expected.len());
    for (found, expected) in times.iter().zip(expected) {
        assert!((found.0 - expected.0).abs() < 1e-9 && (found.1 - expected.1).abs() < 1e-9, "{times:?}");
    }
}

/// Any note of any voice anywhere: ties, grace notes, rests, cues, notes that overlap in one voice.
fn anything() -> impl Strategy<Value = Event> {
    let place = (0_u8..3, 0_i64..32, 1_i64..12, 60_i32..63);
    let kind = prop_oneof![8 => Just(0), 1 => Just(1), 1 => Just(2), 1 => Just(3), 1 => Just(4)];
    (place, kind, any::<(bool, bool)>()).prop_map(|((voice, onset, length, midi), kind, (start, stop))| {
        let event = tied(note(voice, onset, length, midi), start, stop);
        match kind {
            0 => event,
            1 => grace(voice, onset, length as u8, false),
            2 => grace(voice, onset, length as u8, true),
            3 => Event { cue: true, ..event },
            _ => Event { notes: Vec::new(), ..event },
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_bow_plays_one_note_after_the_other(events in prop::collection::vec(anything(), 1..40)) {
        let lesson = lesson(events);
        let all = attacks(&lesson.score);
        let (line, left_out) = bow_line(&all);
        prop_assert_eq!(at_once(&line, &analyse(&lesson)), None);
        // Every note is bowed or told to be left out, and none is both.
        let ids = |attack: &Attack| attack.events.clone();
        let mut told: Vec<EventId> = line.iter().flat_map(ids).collect();
        told.extend(left_out.iter().flat_map(|&i| ids(&all[i])));
        told.sort();
        let played: BTreeSet<EventId> = all.iter().filter(|a| !a.cue).flat_map(ids).collect();
        prop_assert_eq!(told, played.into_iter().collect::<Vec<_>>());
    }
}

#[test]
fn in_real_parts_a_bow_plays_one_note_after_the_other() {
    for (name, imported) in data::real_parts() {
        let lesson = data::lesson(imported);
        let (line, _) = bow_line(&attacks(&lesson.score));
        let found = at_once(&line, &analyse(&lesson));
        assert_eq!(found, None, "{name}");
    }
}
