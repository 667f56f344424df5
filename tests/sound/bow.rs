//! What the bow does is heard: turns, slurs, stops, bounces, accents, dynamics. What is asked of each is what a
//! listener tells strokes apart by (common practice, no source), in decibels between loose bounds.

use elbowroom::{
    analysis::Study,
    bowing::Bowed,
    lesson::{Lesson, Writer, change},
    score::{Dynamic, EventId, Mark, NoteValue, Quarters, SameBow, SignKind, StrokeType},
    sound::{Begins, Ends, Events, Manner},
    tone::string::level_change_db,
};

use crate::{
    heard::{db, heard, softest_db, tones},
    music::{HALF, QUARTER, WHOLE, taken, violin, written},
};

/// Four notes on one string.
fn four(value: NoteValue) -> Writer {
    ["A4", "B4", "C5", "D5"].iter().fold(violin(), |writer, name| writer.note(name, value))
}

fn middle(note: &Bowed) -> f64 {
    note.onset_s + note.sounding_s / 2.0
}

/// How much softer it is around the start of the second note than in the middles of both, dB.
fn dent_db(lesson: Lesson) -> f64 {
    let (study, samples) = heard(lesson);
    let (first, second) = (study.analysis().bowed(0), study.analysis().bowed(1));
    let steady = |at: f64| db(&samples, at - 0.05, at + 0.05);
    let around = softest_db(&samples, second.onset_s - 0.12, second.onset_s + 0.08, 0.012);
    steady(middle(first)).min(steady(middle(second))) - around
}

/// The second note in the bow of the first, with a stop or a pulse.
fn same_bow(how: SameBow) -> Lesson {
    let (lesson, ids) = written(four(QUARTER));
    taken(&lesson, change::hook(&lesson, ids[1], Some(how)))
}

#[test]
fn a_turn_is_a_soft_dent_a_slur_none_a_hook_a_stop_portato_a_pulse() {
    let turned = dent_db(written(four(QUARTER)).0);
    let slurred = dent_db(written(four(QUARTER).slur(4)).0);
    let (hooked, pulsed) = (dent_db(same_bow(SameBow::Hooked)), dent_db(same_bow(SameBow::Portato)));
    assert!((4.0..16.0).contains(&turned), "a turn: {turned} dB");
    assert!(slurred < 2.0, "a slur: {slurred} dB");
    assert!(hooked > 18.0, "a hook: {hooked} dB");
    assert!((3.0..hooked).contains(&pulsed), "portato: {pulsed} dB");
}

/// The events as they are told of the same strokes.
#[test]
fn tones_begin_and_end_as_the_bow_does() {
    let told = |lesson: Lesson| -> Vec<(Begins, Ends)> {
        let study = Study::new(lesson);
        let events = Events::new(&study, &tones().tuning(&study));
        events.tones.iter().map(|tone| (tone.begins, tone.ends)).collect()
    };
    assert_eq!(
        told(written(four(QUARTER).slur(2)).0),
        [
            (Begins::Set, Ends::Turns),
            (Begins::Turns, Ends::Turns),
            (Begins::Turns, Ends::Slurred),
            (Begins::Slurred, Ends::Rings),
        ]
    );
    assert_eq!(
        told(same_bow(SameBow::Hooked))[..2],
        [(Begins::Set, Ends::Stops), (Begins::Stopped, Ends::Turns)]
    );
    let retaken = written(violin().note("A4", QUARTER).note("A4", QUARTER).retake());
    assert_eq!(told(retaken.0), [(Begins::Set, Ends::Rings), (Begins::Set, Ends::Rings)]);
}

/// The share of the time between two notes in which it is heard, to 20 dB below the loudest.
fn filled(stroke: StrokeType) -> f64 {
    let (lesson, ids) = written(four(QUARTER));
    let (study, samples) = heard(taken(&lesson, change::set_stroke(&lesson, &ids, Some(stroke))));
    let (from, to) = (study.analysis().bowed(1).onset_s, study.analysis().bowed(2).onset_s);
    let steps = 100;
    let step_s = (to - from) / f64::from(steps);
    let levels: Vec<f64> = (0..steps)
        .map(|step| db(&samples, from + f64::from(step) * step_s, from + f64::from(step + 1) * step_s))
        .collect();
    let loudest = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    levels.iter().filter(|level| **level > loudest - 20.0).count() as f64 / f64::from(steps)
}

#[test]
fn short_strokes_are_short() {
    let (long, hammered, bounced) =
        (filled(StrokeType::Detache), filled(StrokeType::Martele), filled(StrokeType::Spiccato));
    assert!(long > 0.97, "détaché fills {long}");
    assert!((0.35..0.75).contains(&hammered), "martelé fills {hammered}");
    assert!((0.35..0.9).contains(&bounced), "spiccato fills {bounced}");
}

/// The loudest and the middle of the second of two notes, dB.
fn start_and_middle(lesson: Lesson) -> (f64, f64) {
    let (study, samples) = heard(lesson);
    let note = study.analysis().bowed(1);
    let start = (2..12).map(|k| note.onset_s + 0.01 * f64::from(k)).map(|at| db(&samples, at, at + 0.02));
    let late = note.onset_s + 0.75 * note.sounding_s;
    (start.fold(f64::NEG_INFINITY, f64::max), db(&samples, late, late + 0.1))
}

#[test]
fn an_accent_and_a_martele_begin_stronger() {
    let two = |mark: Option<Mark>| {
        let writer = violin().note("A4", HALF).note("A4", HALF);
        let (lesson, ids) = written(writer);
        mark.map_or(lesson.clone(), |mark| taken(&lesson, change::set_mark(&lesson, &ids[1..], mark, true)))
    };
    let (plain, _) = start_and_middle(two(None));
    let (accented, later) = start_and_middle(two(Some(Mark::Accent)));
    let (sharp, _) = start_and_middle(two(Some(Mark::StrongAccent)));
    assert!(accented - plain > 2.0, "{accented} over {plain}");
    assert!(sharp - accented > 1.0, "{sharp} over {accented}");
    assert!(accented - later > 2.0, "an accent lets go: {accented}, then {later}");
    let (lesson, ids) = written(violin().note("A4", HALF).note("A4", HALF));
    let bitten = taken(&lesson, change::set_stroke(&lesson, &ids, Some(StrokeType::Martele)));
    let (study, samples) = heard(bitten);
    let note = study.analysis().bowed(1);
    let bite = db(&samples, note.onset_s + 0.01, note.onset_s + 0.04);
    let after = db(&samples, note.onset_s + 0.3, note.onset_s + 0.4);
    assert!(bite - after > 3.0, "a bite: {bite}, then {after}");
}

/// What the dynamics have: loudness goes with the speed of the bow over its distance from the bridge (`tone`, with
/// its sources), evenly along a hairpin.
#[test]
fn a_crescendo_grows_as_the_bow_has_it() {
    let dynamic = |writer: Writer, at: i64, level| writer.sign(Quarters::from(at), SignKind::Dynamic(level));
    let hairpin = SignKind::Hairpin { opens: true, end: Quarters::from(8), niente: false };
    let writer = ["A4"; 3].iter().fold(violin(), |writer, name| writer.note(name, WHOLE));
    let writer = dynamic(dynamic(writer, 0, Dynamic::P), 8, Dynamic::F).sign(Quarters::from(4), hairpin);
    let (study, samples) = heard(written(writer).0);
    let setup = &study.lesson().setup;
    let bow = |level: f64| (setup.short_stroke_mm_per_s(level), setup.sounding_point(level));
    let at = |second: f64| db(&samples, second - 0.1, second + 0.1);
    // A louder tone is brighter too, so it grows by a little more than its height.
    let wanted = level_change_db(bow(2.0), bow(5.0));
    let grown = at(10.0) - at(2.0);
    assert!((wanted - 1.0..wanted + 4.0).contains(&grown), "from p to f {grown} dB, planned {wanted}");
    let on_the_way: Vec<f64> = [4.5, 5.2, 5.9, 6.6, 7.3].map(at).into();
    for pair in on_the_way.windows(2) {
        let step = pair[1] - pair[0];
        assert!((grown * 0.08..grown * 0.35).contains(&step), "steps of {on_the_way:?} for {grown} in all");
    }
}

#[test]
fn a_plucked_note_dies_away_and_a_broken_chord_sounds_from_below() {
    let writer = violin().note("D4", WHOLE).note("A4", WHOLE);
    let (lesson, ids) = written(writer);
    let mut plucked = lesson;
    plucked
        .score
        .events
        .iter_mut()
        .filter(|event| event.id == ids[0])
        .for_each(|event| event.pizzicato = true);
    let (_, samples) = heard(plucked);
    let (start, later, last) = (db(&samples, 0.0, 0.1), db(&samples, 0.8, 0.9), db(&samples, 2.4, 2.5));
    assert!(start - later > 6.0 && later - last > 6.0, "{start} {later} {last}");
    let pitches: Vec<elbowroom::score::Pitch> =
        ["G3", "D4", "B4", "G5"].iter().filter_map(|name| elbowroom::score::Pitch::from_name(name)).collect();
    let study = Study::new(written(violin().pitches(&pitches, WHOLE)).0);
    let events = Events::new(&study, &tones().tuning(&study));
    let mut lowest_first: Vec<(u8, f64)> = events.tones.iter().map(|tone| (tone.string, tone.at_s)).collect();
    lowest_first.sort_by_key(|(string, _)| std::cmp::Reverse(*string));
    assert_eq!(lowest_first.len(), 4);
    assert!(lowest_first.windows(2).all(|pair| pair[0].1 <= pair[1].1), "{lowest_first:?}");
    assert!(lowest_first[3].1 > lowest_first[0].1);
}

/// A note that is hurt by nothing: every stroke type, on every instrument, gives numbers within bounds.
#[test]
fn every_stroke_gives_samples_within_bounds() {
    for stroke in StrokeType::ALL {
        let (lesson, ids) = written(four(QUARTER));
        let lesson = taken(&lesson, change::set_stroke(&lesson, &ids, Some(stroke)));
        let loud: Vec<EventId> = ids;
        let lesson = taken(&lesson, change::set_mark(&lesson, &loud, Mark::StrongAccent, true));
        let (study, samples) = heard(lesson);
        assert!(samples.iter().all(|sample| sample.abs() < 1.0), "{stroke:?}");
        assert!(db(&samples, 0.0, 4.0) > -50.0, "{stroke:?} is heard");
        let events = Events::new(&study, &tones().tuning(&study));
        let trembles = events.tones.iter().all(|tone| matches!(tone.manner, Manner::Trembles(_)));
        assert_eq!(trembles, stroke == StrokeType::Tremolo);
    }
}

/// A trill goes between its note and the next step of the key, in one bow, from its note and back to it; a grace note
/// is heard before its note (common practice, no source). Both notes of the trill are in what is heard.
#[test]
fn trills_and_grace_notes_are_heard() {
    let (mut lesson, ids) = written(violin().note("B4", HALF).mark(Mark::Trill).note("A4", HALF));
    let mut grace = (*lesson.score.events[1]).clone();
    grace.id = lesson.score.free_event_id();
    grace.duration = Quarters::ZERO;
    grace.grace = Some(elbowroom::score::Grace { order: 0, slash: true, after: false });
    grace.notes[0].pitch = elbowroom::score::Pitch::from_name("D5").expect("a pitch");
    lesson.score.events.push(grace.into());
    lesson.score.sort();
    let (study, samples) = heard(lesson);
    let events = Events::new(&study, &tones().tuning(&study));
    let first = study.analysis().bowed(0);
    let trill: Vec<_> =
        events.tones.iter().filter(|tone| tone.at_s < first.onset_s + first.sounding_s).collect();
    assert!(trill.len() % 2 == 1 && (15..30).contains(&trill.len()), "{}", trill.len());
    let names: Vec<f64> = trill.iter().map(|tone| (12.0 * (tone.hz / 440.0).log2()).round()).collect();
    assert!(
        names.iter().enumerate().all(|(k, name)| *name == if k % 2 == 0 { 2.0 } else { 3.0 }),
        "{names:?}"
    );
    assert!(trill[1..].iter().all(|tone| tone.begins == Begins::Slurred));
    assert!(trill.windows(2).all(|pair| (pair[0].until_s - pair[1].at_s).abs() < 1e-9));
    let (b4, c5) = (440.0 * 2.0_f64.powf(2.0 / 12.0), 440.0 * 2.0_f64.powf(3.0 / 12.0));
    for hz in [b4, c5] {
        let strength = crate::heard::partial_db(&samples, 0.8, hz);
        let beside = crate::heard::partial_db(&samples, 0.8, 700.0);
        assert!(strength > beside + 20.0, "{hz}: {strength} dB, beside it {beside} dB");
    }
    let heard: Vec<f64> = events.tones.iter().map(|tone| (12.0 * (tone.hz / 440.0).log2()).round()).collect();
    assert_eq!(heard[heard.len() - 2..], [5.0, 0.0], "the grace note before its note, {ids:?}");
}
