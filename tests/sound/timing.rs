//! Time: a click is heard when the clock that moves the bow says so, for as long as it plays.

use elbowroom::{
    analysis::Study,
    lesson::{Lesson, Writer, change::new_passage},
    practice::{Clock, CountIn, Pace, way_through},
    score::{Bar, NoteValue, Quarters, SignKind, TimeSignature},
    setup::Family,
    sound::{Beats, Wishes},
};

use crate::heard::{RATE, clicks, played};

/// Frames a second where half an hour is listened to: one is an eighth of a millisecond.
const COARSE: u32 = 8_000;

/// Whole notes in 4/4, with tempos (quarter notes a minute) from some bars on.
fn bars(count: usize, tempos: &[(i64, f64)]) -> Lesson {
    let empty = new_passage(Family::Cello, TimeSignature::new(4, 4), 0, tempos[0].1);
    let writer = (0..count).fold(Writer::new(empty), |writer, _| writer.note("A2", NoteValue::WHOLE));
    let writer = tempos.iter().skip(1).fold(writer, |writer, (bar, qpm)| {
        writer.sign(Quarters::from(4 * bar), SignKind::Tempo { qpm: *qpm, text: String::new() })
    });
    writer.finish().expect("it can be written").0
}

/// When clicks begin, s.
fn onsets(samples: &[f32], rate: u32) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    let mut quiet = usize::MAX / 2;
    for (frame, sample) in samples.iter().enumerate() {
        if sample.abs() > 0.02 {
            if quiet > rate as usize / 25 {
                found.push(frame as f64 / f64::from(rate));
            }
            quiet = 0;
        } else {
            quiet += 1;
        }
    }
    found
}

/// The largest difference between two rows of moments, s.
fn apart(found: &[f64], wanted: &[f64]) -> f64 {
    assert_eq!(found.len(), wanted.len(), "{:?}", &found[..found.len().min(40)]);
    found.iter().zip(wanted).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max)
}

/// Half an hour of a piece with five odd tempos: each click within a frame of when the beat comes by the sum of the
/// beats before it (a quarter at `q` a minute lasts 60 / q seconds: arithmetic), and at that moment the clock of the
/// picture stands on the beat.
#[test]
fn click_and_picture_stay_together_for_half_an_hour() {
    let tempos = [(0, 97.3), (200, 131.7), (400, 61.9), (500, 143.1), (800, 118.4)];
    let count = 860;
    let study = Study::new(bars(count, &tempos));
    let mut clock = Clock::new(study.analysis().total_s());
    clock.play(0.0);
    let seconds = study.analysis().total_s() + 1.0;
    assert!(seconds > 1_800.0, "{seconds}");
    let samples = played(&study, &clicks(), clock.clone(), COARSE, seconds);
    let (found, mut wanted, mut at) = (onsets(&samples, COARSE), Vec::new(), 0.0);
    for beat in 0..4 * count {
        wanted.push(at);
        let tempo = tempos.iter().rev().find(|(bar, _)| *bar <= beat as i64 / 4).unwrap();
        at += 60.0 / tempo.1;
    }
    let frame = 1.0 / f64::from(COARSE);
    let most = apart(&found, &wanted);
    assert!(most <= 1.001 * frame, "{} ms", 1e3 * most);
    let picture = |(heard, beat): (&f64, usize)| {
        let position = clock.tick(*heard).position;
        (position - study.analysis().seconds_at(Quarters::from(beat as i64))).abs()
    };
    let off = found.iter().zip(0..).map(picture).fold(0.0, f64::max);
    assert!(off <= 1.001 * frame, "{} ms", 1e3 * off);
}

/// A loop of two bars with a change of tempo in its middle, a bar of rest, and seven tempos of two rounds each, for
/// half an hour. What is wanted is added up beat by beat.
#[test]
fn rounds_of_a_loop_stay_in_time_for_half_an_hour() {
    let study = Study::new(bars(6, &[(0, 77.7), (3, 103.9)]));
    let analysis = study.analysis();
    let span = (analysis.seconds_at(Quarters::from(8)), analysis.seconds_at(Quarters::from(16)));
    let count = |bars| CountIn::new(&study.lesson().score, analysis, Quarters::from(8), bars);
    let pace = Pace { first: 0.61, step: 0.065, each: 2 };
    let mut clock = Clock::new(analysis.total_s());
    clock.set_span(Some(span), 0.0);
    clock.set_rounds(count(1), pace, 0.0);
    clock.seek(span.0, 0.0);
    clock.play_after(count(2), 0.0);
    let samples = played(&study, &clicks(), clock.clone(), COARSE, 1_800.0);
    let found = onsets(&samples, COARSE);
    let (mut wanted, mut at, mut round) = (Vec::new(), 0.0, 0_u32);
    'time: loop {
        let speed = (0.61 + 0.065 * f64::from(round / 2)).min(1.0);
        // Two bars are counted before the first round, one before each other.
        let counted = if round == 0 { 8 } else { 4 };
        for beat in 0..counted + 8 {
            if at >= 1_800.0 - 1e-3 {
                break 'time;
            }
            wanted.push(at);
            at += 60.0 / (speed * if beat < counted + 4 { 77.7 } else { 103.9 });
        }
        round += 1;
    }
    let most = apart(&found, &wanted);
    assert!(most <= 1.001 / f64::from(COARSE), "{} ms after {round} rounds", 1e3 * most);
    assert!(clock.rounds(1_799.0) + 1 >= round && round > 60, "{round}");
}

/// A repeat: bars 1 2 1 2 3 4, at the rate of a loudspeaker.
#[test]
fn repeats_click_as_they_are_played() {
    let mut lesson = bars(4, &[(0, 113.0)]);
    lesson.score.bars[1].repeat_end = true;
    let study = Study::new(lesson);
    let mut clock = Clock::new(study.analysis().total_s());
    clock.set_way(way_through(&study), 0.0);
    clock.play(0.0);
    let found = onsets(&played(&study, &clicks(), clock, RATE, 14.0), RATE);
    let wanted: Vec<f64> = (0..24).map(|beat| f64::from(beat) * 60.0 / 113.0).collect();
    assert!(apart(&found, &wanted) <= 1.001 / f64::from(RATE));
}

/// How strongly it clicks, from the loudest of each: 6/8 has two beats of three parts (common practice, no source).
#[test]
fn accents_and_parts_of_the_beat_are_told_apart() {
    let mut lesson = bars(2, &[(0, 60.0)]);
    let metre = TimeSignature::new(6, 8);
    let bar =
        |k: i64| Bar::new(Quarters::from(3 * k), Quarters::from(3), (k + 1).to_string(), metre.clone(), 0);
    lesson.score.bars = vec![bar(0), bar(1)].into();
    let study = Study::new(lesson);
    let peaks = |beats: Beats| -> Vec<(f64, f32)> {
        let mut clock = Clock::new(study.analysis().total_s());
        clock.play(0.0);
        let samples = played(&study, &Wishes { beats, ..clicks() }, clock, RATE, 5.9);
        let loudest = |at: &f64| {
            let from = (at * f64::from(RATE)) as usize;
            samples[from..from + 2_000].iter().fold(0.0_f32, |most, sample| most.max(sample.abs()))
        };
        onsets(&samples, RATE).iter().map(|at| (*at, loudest(at))).collect()
    };
    let all = peaks(Beats::Parts);
    assert_eq!(all.len(), 12);
    let (bar, part, beat) = (all[0].1, all[1].1, all[3].1);
    assert!(bar > 1.3 * beat && beat > 1.3 * part, "{bar} {beat} {part}");
    assert!((all[3].0 - 1.5).abs() < 1e-4, "the second beat is a dotted quarter on");
    assert_eq!(peaks(Beats::Beats).len(), 4);
    assert_eq!(peaks(Beats::Bars).len(), 2);
}
