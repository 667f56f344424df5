//! Practice tracks and their files, read back by an independent reader of WAV files (`hound`).

use std::io::Cursor;

use elbowroom::{
    analysis::Study,
    lesson::demo::demo,
    practice::Pace,
    score::Quarters,
    sound::{RATE, Rounds, Track, Wishes, is_wave},
};

use crate::music::{HALF, QUARTER, violin, written};

fn bytes(track: Track) -> Vec<u8> {
    let mut wave = track.wave().expect("short enough");
    let mut bytes = Vec::new();
    while let Some(piece) = wave.next_piece() {
        assert!(piece.len() < 1 << 16, "in small pieces");
        bytes.extend_from_slice(piece);
    }
    bytes
}

#[test]
fn a_track_is_a_wav_file_that_others_read() {
    let study = Study::new(demo());
    let track = Track::whole(&study, &Wishes::default(), 1);
    let frames = track.frames();
    let bytes = bytes(track);
    assert!(is_wave(&bytes) && !is_wave(b"RIFF") && !is_wave(b"%PDF-1.7 and so on"));
    let reader = hound::WavReader::new(Cursor::new(bytes)).expect("a WAV file");
    let spec = reader.spec();
    assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (1, RATE, 16));
    assert_eq!(u64::from(reader.duration()), frames);
    let samples: Vec<i16> = reader.into_samples().collect::<Result<_, _>>().expect("whole");
    let loudest = |from: usize, to: usize| samples[from..to].iter().map(|s| s.unsigned_abs()).max().unwrap();
    let end = samples.len();
    assert!(loudest(0, end) > 3_000 && loudest(0, end) < 32_767, "heard, and not cut off");
    assert!(loudest(end - 100, end) < 10, "it has rung out");
}

/// Two quarters at 60, three times at each of 40, 50 and 60, a bar counted before each: the sum of the beats.
#[test]
fn tempo_steps_follow_one_another() {
    let (lesson, _) = written(violin().note("A4", QUARTER).note("B4", QUARTER).note("A4", HALF));
    let study = Study::new(lesson);
    let pace = Pace { first: 40.0 / 60.0, step: 10.0 / 60.0, each: 3 };
    assert_eq!(pace.tempos(), 3);
    let rounds = Rounds { times: 9, pace, count_in: 1 };
    let track = Track::rounds(&study, Quarters::ZERO..Quarters::TWO, &Wishes::default(), rounds);
    let beats = 3.0 * (4.0 + 2.0);
    let music = beats * (60.0 / 40.0 + 60.0 / 50.0 + 1.0);
    assert!((track.seconds() - music - 2.0).abs() < 1e-3, "{} for {music}", track.seconds());
    let once = Rounds { times: 1, pace: Pace::EVEN, count_in: 0 };
    let track = Track::rounds(&study, Quarters::ZERO..Quarters::TWO, &Wishes::default(), once);
    assert!((track.seconds() - 4.0).abs() < 1e-3);
}

#[test]
fn the_same_lesson_gives_the_same_track() {
    let study = Study::new(demo());
    let once = || {
        let rounds = Rounds { times: 2, pace: Pace::EVEN, count_in: 1 };
        bytes(Track::rounds(&study, Quarters::ZERO..Quarters::from(3), &Wishes::default(), rounds))
    };
    assert!(once() == once());
}
