//! Pitch: what is heard is what is written, in the tuning that is wished.

use elbowroom::{
    analysis::Study,
    practice::Clock,
    score::Pitch,
    sound::{Temper, Wishes},
};

use crate::{
    heard::{RATE, cents, heard, hz_near, partial_db, played, tones},
    music::{HALF, QUARTER, WHOLE, violin, written},
};

/// The formula of the MIDI tuning standard, 440 * 2^((n - 69) / 12), over the range of a violin: from the open G
/// to E7, within a cent.
#[test]
fn tones_have_the_pitch_that_is_written() {
    let names = ["G3", "A3", "D4", "F#4", "A4", "C#5", "E5", "A5", "D6", "E6", "A6"];
    let writer = names.iter().fold(violin(), |writer, name| writer.note(name, HALF));
    let (_, samples) = heard(written(writer).0);
    for (k, name) in names.iter().enumerate() {
        let midi = Pitch::from_name(name).unwrap().midi();
        let wanted = 440.0 * ((midi - 69.0) / 12.0).exp2();
        let found = hz_near(&samples, 2.0 * k as f64 + 1.0, wanted);
        assert!(cents(wanted, found).abs() < 1.0, "{name}: {found} for {wanted}");
    }
}

/// Whoever tunes to 442 hears 442; a just sixth over an open string is 5:3 (textbook).
#[test]
fn the_tuning_note_and_the_temperament_are_heard() {
    let (lesson, _) = written(violin().note("A4", HALF).note("E4", HALF).note("C4", WHOLE));
    let study = Study::new(lesson);
    let played = |wishes: Wishes| {
        let mut clock = Clock::new(study.analysis().total_s());
        clock.play(0.0);
        played(&study, &wishes, clock, RATE, 4.0)
    };
    let high = played(Wishes { a4_hz: 442, ..tones() });
    assert!(cents(442.0, hz_near(&high, 1.0, 442.0)).abs() < 1.0);
    let just = played(Wishes { temper: Temper::Just, ..tones() });
    let (a, e) = (hz_near(&just, 1.0, 440.0), hz_near(&just, 3.0, 330.0));
    // In C major the fourth from E to A is 4:3.
    assert!((cents(e, a) - 1200.0 * (4.0_f64 / 3.0).log2()).abs() < 1.0, "{a} {e}");
}

/// Both notes of a double stop are heard.
#[test]
fn notes_of_a_double_stop_sound_together() {
    let pitches = ["E4", "C5"].map(|name| Pitch::from_name(name).unwrap());
    let (_, samples) = heard(written(violin().pitches(&pitches, WHOLE)).0);
    for pitch in pitches {
        let hz = pitch.hz();
        assert!(cents(hz, hz_near(&samples, 2.0, hz)).abs() < 1.0, "{}", pitch.name());
        assert!(partial_db(&samples, 2.0, hz) > -45.0);
    }
}

/// A sawtooth: each partial by itself, weaker and weaker, and nothing of note between them (Helmholtz motion).
#[test]
fn tones_are_rich_in_harmonics_and_have_nothing_between_them() {
    for name in ["A3", "E5", "A6"] {
        let (_, samples) = heard(written(violin().note(name, WHOLE)).0);
        let hz = Pitch::from_name(name).unwrap().hz();
        let first = partial_db(&samples, 2.0, hz);
        let second = partial_db(&samples, 2.0, 2.0 * hz);
        assert!(second > first - 25.0, "{name}: {first} {second}");
        for between in [1.37, 2.61, 3.29] {
            let noise = partial_db(&samples, 2.0, between * hz);
            assert!(noise < first - 40.0, "{name}: {noise} between the partials, the first {first}");
        }
    }
}

/// The drone stays while nothing plays, on the note that is wished.
#[test]
fn the_drone_sounds_by_itself() {
    let (lesson, _) = written(violin().note("C5", QUARTER));
    let study = Study::new(lesson);
    let wishes = Wishes { is_droning: true, drone_midi: Some(50), drone: 100, ..tones() };
    let clock = Clock::new(study.analysis().total_s());
    let samples = played(&study, &wishes, clock.clone(), RATE, 2.0);
    // D3 of the equal temperament, 146.832 Hz (handbooks, from memory).
    assert!(cents(146.832, hz_near(&samples, 1.0, 146.832)).abs() < 1.0);
    // Without a note the first of the key, in the low octave of the violin: C4, 261.626 Hz.
    let wishes = Wishes { drone_midi: None, ..wishes };
    let samples = played(&study, &wishes, clock, RATE, 2.0);
    assert!(cents(261.626, hz_near(&samples, 1.0, 261.626)).abs() < 1.0);
}
