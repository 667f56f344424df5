//! The passage in words: every sentence is true of the plan. Places, directions, bars, strings, shares of the bow
//! and what the elbow does are read back out of the text and held against the plan and the model of the arm.
//!
//! Where the parts of the bow end is common practice, no source; the figures are written here once more.

use std::collections::{BTreeMap, VecDeque};

use elbowroom::{
    analysis::{Analysis, Study},
    bowing::Verdict,
    lesson::{
        Lesson,
        change::{set_tempo_share, speak},
        demo::demo,
    },
    practice::{Claim, Passage, Says, Sentence, Tempos},
    score::{
        Direction::{self, Up},
        Quarters,
    },
};

use crate::{
    data,
    music::{EIGHTH, HALF, QUARTER, SIXTEENTH, taken, violin, written},
    pencil::of_chance,
    random::Random,
};

/// A part of the bow: its words, where a note is that is there, and where one is that stays there.
type Part = (&'static str, (f64, f64), (f64, f64));

/// The parts of the bow by their words: where a note that is there lies, and where one may be that stays there, as
/// shares of the hair from the frog.
const PARTS: [Part; 5] = [
    ("lower half", (0.2, 0.42), (0.0, 0.55)),
    ("upper half", (0.58, 0.8), (0.45, 1.0)),
    ("frog", (-0.01, 0.2), (0.0, 0.25)),
    ("middle", (0.42, 0.58), (0.3, 0.7)),
    ("tip", (0.8, 1.01), (0.75, 1.0)),
];

/// Words for shares of the bow with the shares they may stand for.
const SHARES: [(&str, (f64, f64)); 9] = [
    ("hardly a tenth of the bow", (0.0, 0.15)),
    ("a fifth of the bow", (0.15, 0.25)),
    ("a quarter of the bow", (0.2, 0.3)),
    ("two thirds of the bow", (0.57, 0.72)),
    ("a third of the bow", (0.28, 0.42)),
    ("half the bow", (0.4, 0.6)),
    ("most of the bow", (0.7, 0.9)),
    ("nearly the whole bow", (0.85, 1.06)),
    ("more than the whole bow", (1.04, 9.0)),
];

/// The places that a text names, in their order: as indices into [`PARTS`].
fn places(text: &str) -> VecDeque<usize> {
    let found = PARTS
        .iter()
        .enumerate()
        .flat_map(|(part, (word, ..))| text.match_indices(word).map(move |(at, _)| (at, part)));
    let mut found: Vec<(usize, usize)> = found.collect();
    found.sort_unstable();
    found.into_iter().map(|(_, part)| part).collect()
}

/// The numbers of the bars that a text names.
fn bars(text: &str) -> Vec<String> {
    let mut words = text.split(' ').map(|word| word.trim_end_matches(['.', ':', ',', ';'])).peekable();
    let mut found = Vec::new();
    while let Some(word) = words.next() {
        if !matches!(word, "bar" | "Bar" | "bars" | "Bars") {
            continue;
        }
        while let Some(number) =
            words.next_if(|word| word.chars().any(|c| c.is_ascii_digit()) || matches!(*word, "and" | "to"))
        {
            if number.chars().any(|c| c.is_ascii_digit()) {
                found.push(number.to_owned());
            }
        }
    }
    found
}

struct Check<'a> {
    study: &'a Study,
    tempos: &'a Tempos,
    name: &'a str,
    seen: BTreeMap<String, usize>,
}

impl Check<'_> {
    fn analysis(&self) -> &Analysis {
        self.study.analysis()
    }

    fn hair(&self) -> f64 {
        self.analysis().plan.problem.hair_mm
    }

    /// Where a bowed note starts and ends, as shares of the hair.
    fn ends(&self, note: usize) -> [f64; 2] {
        let (start, end) = self.analysis().plan.places_mm(note);
        [start, end].map(|mm| mm / self.hair())
    }

    fn is_there(&self, part: usize, share: f64, sentence: &Sentence) {
        let (word, (from, to), _) = PARTS[part];
        assert!((from..to).contains(&share), "{}: {share:.3} is not the {word}: {sentence:#?}", self.name);
    }

    fn sentence(&mut self, sentence: &Sentence) {
        *self.seen.entry(sentence.says.id()).or_default() += 1;
        let (name, analysis, text) = (self.name, self.study.analysis(), &sentence.text);
        assert!(text.ends_with('.') && !text.contains("  ") && !text.contains(" ,"), "{name}: {text}");
        let mut places = places(text);
        let mut turns: VecDeque<bool> = text
            .split(' ')
            .filter(|_| sentence.says == Says::Elbow)
            .filter_map(|word| match word {
                "lifts" => Some(true),
                "drops" => Some(false),
                _ => None,
            })
            .collect();
        for claim in &sentence.claims {
            match claim {
                Claim::At { note, end, .. } => {
                    let part = places.pop_front().expect("a place is named");
                    self.is_there(part, self.ends(*note)[usize::from(*end)], sentence);
                }
                Claim::Within { notes, .. } => {
                    let part = places.pop_front().expect("a place is named");
                    let (word, _, (from, to)) = PARTS[part];
                    for share in notes.clone().flat_map(|note| self.ends(note)) {
                        let inside = (from - 1e-9..=to + 1e-9).contains(&share);
                        assert!(inside, "{name}: {share:.3} does not stay in the {word}: {sentence:#?}");
                    }
                }
                Claim::Between { notes, .. } => {
                    let parts =
                        [places.pop_front(), places.pop_front()].map(|part| part.expect("two places"));
                    let strokes = analysis.stroke_of(notes.start)..analysis.stroke_of(notes.end - 1) + 1;
                    for (nth, stroke) in strokes.enumerate() {
                        let notes = &analysis.stroke(stroke).notes;
                        let ends = [self.ends(notes.start)[0], self.ends(notes.end - 1)[1]];
                        self.is_there(parts[nth % 2], ends[0], sentence);
                        self.is_there(parts[(nth + 1) % 2], ends[1], sentence);
                    }
                }
                Claim::Spread { notes, zones } => {
                    let from = places.pop_front().expect("a place is named");
                    let to =
                        if zones[0] == zones[1] { from } else { places.pop_front().expect("two places") };
                    let inside = PARTS[from].1.0..PARTS[to].1.1;
                    for share in notes.clone().flat_map(|note| self.ends(note)) {
                        assert!(inside.contains(&share), "{name}: {share:.3}: {sentence:#?}");
                    }
                }
                Claim::Lifts { notes, times, .. } => {
                    let strokes = analysis.stroke_of(notes.start)..analysis.stroke_of(notes.end - 1) + 1;
                    let lifted: Vec<usize> =
                        strokes.clone().filter(|stroke| analysis.stroke(*stroke).lift_before).collect();
                    let counted = [*times, strokes.len()]
                        .map(elbowroom::score::count_words)
                        .iter()
                        .all(|word| text.contains(&**word));
                    let each = text.contains("each set anew");
                    assert!(
                        lifted.len() == *times && lifted.first() == Some(&strokes.start),
                        "{name}: {sentence:#?}"
                    );
                    assert!(counted && (!each || *times == strokes.len()), "{name}: {sentence:#?}");
                    for (words, direction) in [("down-bow", Direction::Down), ("up-bow", Direction::Up)] {
                        let all = lifted.iter().all(|stroke| analysis.stroke(*stroke).direction == direction);
                        assert_eq!(text.contains(words), all, "{name}: {sentence:#?}");
                    }
                }
                Claim::Takes { note, share, tempo } => self.takes(sentence, *note, *share, *tempo),
                Claim::Alike { strokes, as_from } => {
                    for (one, other) in strokes.clone().zip(*as_from..) {
                        let (one, other) = (analysis.stroke(one), analysis.stroke(other));
                        assert_eq!(one.direction, other.direction, "{name}: {sentence:#?}");
                        assert_eq!(one.notes.len(), other.notes.len(), "{name}: {sentence:#?}");
                        for (one, other) in one.notes.clone().zip(other.notes.clone()) {
                            let length = |note| analysis.note(note).duration;
                            assert_eq!(length(one), length(other), "{name}: {sentence:#?}");
                        }
                        for (a, b) in [
                            (self.ends(one.notes.start)[0], self.ends(other.notes.start)[0]),
                            (self.ends(one.notes.end - 1)[1], self.ends(other.notes.end - 1)[1]),
                        ] {
                            assert!((a - b).abs() <= 0.1, "{name}: {a:.3} and {b:.3}: {sentence:#?}");
                        }
                    }
                }
                Claim::Elbow { into, .. } => {
                    let rises = turns.pop_front().expect("a turn is named");
                    let height = |note: usize, hair: f64| {
                        let placement = &analysis.left_hand.placements[analysis.bowed(note).note];
                        let plane = if note == *into { placement.planes[0] } else { placement.plane };
                        let level = analysis.arm_path.fan.level(plane).angle_deg;
                        analysis.arm_path.arm.pose(level, hair).elbow_above_floor_mm
                    };
                    let hair = analysis.plan.solution.start_mm[*into];
                    let rise = height(*into, hair) - height(*into - 1, hair);
                    assert!(rise.abs() > 5.0 && (rise > 0.0) == rises, "{name}: {rise:.0} mm: {sentence:#?}");
                }
                Claim::RunsOut { note, .. } => {
                    let slow = self.tempos.slow().expect("it is spoken of").analysis();
                    let there = slow.stroke_of_event(analysis.note(*note).id()).expect("the same notes");
                    let notes = &slow.stroke(there).notes;
                    let fails = slow.plan.unplanned[notes.clone()].contains(&true);
                    assert!(fails || slow.plan.run_out(notes).is_some(), "{name}: {sentence:#?}");
                }
            }
        }
        assert!(places.is_empty() && turns.is_empty(), "{name}: more is said than is claimed: {sentence:#?}");
        self.bars(sentence);
        if let Says::Start { .. } = sentence.says {
            self.start(sentence);
        }
        if let Says::Trouble(_) = sentence.says {
            let stroke = analysis.stroke_of_event(sentence.event).expect("a stroke");
            let notes = &analysis.stroke(stroke).notes;
            let verdict = (analysis.findings.told.iter())
                .filter(|finding| {
                    finding.events().any(|event| analysis.stroke_of_event(event) == Some(stroke))
                })
                .map(|finding| finding.verdict)
                .min();
            let runs_out = analysis.plan.run_out(notes).is_some();
            let expected = if text.starts_with("If you") { Verdict::RunsOut } else { Verdict::Impossible };
            assert!(
                verdict == Some(expected) && (runs_out || expected == Verdict::Impossible),
                "{name}: {sentence:#?}"
            );
        }
    }

    fn takes(&self, sentence: &Sentence, note: usize, share: f64, tempo: Option<f64>) {
        let study = if tempo.is_some() { self.tempos.full().expect("it is spoken of") } else { self.study };
        let (own, other) = (self.analysis(), study.analysis());
        let stroke = other.stroke_of_event(own.note(note).id()).expect("the same notes");
        let notes = other.stroke(stroke).notes.clone();
        let used: f64 = notes.clone().map(|note| other.plan.used_mm(note)).sum();
        let really = used / other.plan.problem.hair_mm;
        assert!((really - share).abs() < 1e-9, "{}: {really} for {share}: {sentence:#?}", self.name);
        let said = SHARES
            .iter()
            .any(|(words, (from, to))| sentence.text.contains(words) && (*from..*to).contains(&really));
        assert!(said, "{}: {really:.3}: {sentence:#?}", self.name);
    }

    /// The bars named are those of the notes spoken of.
    fn bars(&self, sentence: &Sentence) {
        if matches!(sentence.says, Says::Mark(_) | Says::Alike | Says::Own) {
            return;
        }
        let score = &self.study.lesson().score;
        let inside: Vec<&str> = (score.bars.iter())
            .filter(|bar| bar.end() > sentence.from && bar.start <= sentence.to)
            .map(|bar| bar.number.as_str())
            .collect();
        for number in bars(&sentence.text) {
            assert!(inside.contains(&number.as_str()), "{}: bar {number}: {sentence:#?}", self.name);
        }
    }

    /// Direction and string of a start are those of its note.
    fn start(&self, sentence: &Sentence) {
        let analysis = self.analysis();
        let note = analysis.bowed_of_event(sentence.event).expect("a bowed note");
        let stroke = analysis.stroke(analysis.stroke_of(note));
        let down = sentence.text.contains("a down-bow");
        assert_ne!(down, sentence.text.contains("an up-bow"), "{}: {sentence:#?}", self.name);
        assert_eq!(down, stroke.direction == Direction::Down, "{}: {sentence:#?}", self.name);
        let main = stroke.notes.clone().find(|&note| analysis.note(note).grace.is_none()).unwrap_or(note);
        let placement = &analysis.left_hand.placements[analysis.bowed(main).note];
        if let Some((before, _)) = sentence.text.rsplit_once(" string.") {
            let string = before.rsplit(' ').next().unwrap_or_default();
            let setup = &self.study.lesson().setup;
            let lowest = placement.planes[0].strings().next().expect("a string");
            let expected = &setup.instrument.strings[usize::from(lowest) - 1].name;
            assert_eq!(string, expected, "{}: {sentence:#?}", self.name);
        }
    }
}

/// Checks every sentence of a lesson; tells how many there are of each kind.
fn check(lesson: Lesson, name: &str) -> BTreeMap<String, usize> {
    let bars = 0..lesson.score.bars.len();
    let study = Study::new(lesson);
    let tempos = Tempos::new(&study);
    let passage = Passage::new(&study, Some(&tempos), bars);
    let mut check = Check { study: &study, tempos: &tempos, name, seen: BTreeMap::new() };
    let mut until = Quarters::from(-1);
    for phrase in &passage.phrases {
        assert!(phrase.from >= until && phrase.to >= phrase.from, "{name}: {}", phrase.title);
        until = phrase.from;
        for sentence in &phrase.sentences {
            assert!(sentence.from >= phrase.from && sentence.to <= phrase.to, "{name}: {sentence:#?}");
            check.sentence(sentence);
        }
    }
    // Every bow belongs to a phrase.
    let analysis = study.analysis();
    for note in &analysis.bowing.notes {
        let onset = analysis.line.notes[note.note].onset;
        let held = passage.phrases.iter().any(|phrase| phrase.from <= onset && onset <= phrase.to);
        assert!(held, "{name}: {onset} is in no phrase");
    }
    check.seen
}

#[test]
fn every_sentence_is_true_of_real_parts() {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut parts = 0;
    for (name, imported) in data::real_parts() {
        for (kind, count) in check(data::lesson(imported), &name) {
            *seen.entry(kind).or_default() += count;
        }
        parts += 1;
    }
    if parts > 0 {
        for kind in ["start", "way", "alike", "elbow", "finger", "slow", "runs-out-stroke", "mark-chord"] {
            assert!(seen.get(kind).is_some_and(|count| *count > 0), "nothing is said of {kind}: {seen:?}");
        }
    }
}

#[test]
fn every_sentence_is_true_of_passages_of_chance() {
    let mut random = Random::new(16);
    for seed in 0..40 {
        let mut lesson = of_chance(&mut random);
        if random.chance(0.4) {
            lesson = taken(&lesson, set_tempo_share(&lesson, random.between(0.4, 1.2)));
        }
        check(lesson, &format!("chance {seed}"));
    }
}

/// What a teacher would say of the demo, common practice, no source: the start, the way there and back, what comes
/// again, the long bow that has to be begun near the frog, and that it runs out.
#[test]
fn the_demo_is_told_as_a_teacher_would() {
    let seen = check(demo(), "demo");
    assert!(seen.values().sum::<usize>() <= 24, "{seen:?}");
    let study = Study::new(demo());
    let passage = Passage::new(&study, None, 0..12);
    let all: Vec<&str> = passage.sentences().map(Sentence::words).collect();
    for said in [
        "Start bar 1 with a down-bow in the lower half, on the open D string.",
        "The long D takes you into the upper half, and the slur from the G brings you back into the lower half.",
        "Bars 2 and 3 are bowed like bar 1.",
        "In bars 5 and 6 the next five bows go from the lower half to the upper half and back, a bow each way, with more and more bow as it grows.",
        "Be near the frog for the slur from the B in bar 8: it takes nearly the whole bow, slowly, to the tip.",
        "If you do not look ahead, the bow runs out on the slur from the B in bar 8.",
    ] {
        assert!(all.contains(&said), "{said}\n{all:#?}");
    }
    // A few bars are told as they are in the whole.
    let few = Passage::new(&study, None, 4..8);
    assert!(few.phrases.iter().all(|phrase| phrase.bars.start >= 4 && phrase.bars.end <= 8));
    assert!(Passage::new(&study, None, 40..44).phrases.is_empty());
}

/// Bows one way, each after a lift, are told in one sentence; what repeats is told once (common practice, no source).
#[test]
fn lifts_one_after_another_are_told_once() {
    let lifted = (0..6).fold(violin().note("A4", HALF), |writer, _| {
        writer.note("A4", QUARTER).bow(Direction::Down).retake()
    });
    let (lesson, _) = written(lifted);
    check(lesson.clone(), "lifts");
    let passage = Passage::new(&Study::new(lesson), None, 0..2);
    let told = |sentence: &&Sentence| sentence.words().contains("down-bows, each set anew after a lift");
    let lifts = passage.sentences().filter(told).count();
    let anew = passage.sentences().filter(|sentence| sentence.words().contains("et the bow anew")).count();
    assert_eq!((lifts, anew), (1, 0), "{passage:#?}");
}

/// Groups of short bows that each begin with a lift are told in one sentence too, with how many they are (common
/// practice, no source).
#[test]
fn groups_that_each_begin_after_a_lift_are_told_once() {
    let grouped = (0..4).fold(violin().note("A4", HALF), |writer, _| {
        writer.rest(EIGHTH).note("A4", SIXTEENTH).bow(Direction::Down).retake().note("A4", SIXTEENTH)
    });
    let (lesson, _) = written(grouped);
    check(lesson.clone(), "groups");
    let passage = Passage::new(&Study::new(lesson), None, 0..2);
    let anew: Vec<&str> =
        passage.sentences().map(Sentence::words).filter(|words| words.contains("et the bow anew")).collect();
    assert!(
        matches!(anew.as_slice(), [one] if one.contains("four times, each time with a down-bow")),
        "{passage:#?}"
    );
}

#[test]
fn the_sentence_of_the_moment_is_the_last_that_began() {
    let study = Study::new(demo());
    let passage = Passage::new(&study, None, 0..12);
    assert_eq!(passage.at(-1.0), None);
    for at in (0..480).map(|step| f64::from(step) / 10.0) {
        let Some((phrase, sentence)) = passage.at(at) else { continue };
        let said = &passage.phrases[phrase].sentences[sentence];
        assert!(said.from.to_f64() <= at + 1e-6 && at < said.to.to_f64(), "{at}: {said:#?}");
    }
    let (phrase, sentence) = passage.at(0.0).expect("the start");
    assert!(matches!(passage.phrases[phrase].sentences[sentence].says, Says::Start { .. }));
}

#[test]
fn own_words_stand_in_their_place_and_tell_when_the_plan_has_changed() {
    let lesson = demo();
    let passage = |lesson: &Lesson| Passage::new(&Study::new(lesson.clone()), None, 0..12);
    let start = passage(&lesson).phrases[0].sentences[0].clone();
    let (id, event) = (start.says.id(), start.event);
    let own = taken(&lesson, speak(&lesson, &id, event, &start.text, Some(" Breathe, then begin. ")));
    let said = passage(&own).phrases[0].sentences[0].clone();
    assert_eq!(
        (said.words(), said.own.as_ref().map(|own| own.outdated)),
        ("Breathe, then begin.", Some(false))
    );
    // Turned round, the program would say something else there.
    let turned = taken(&own, elbowroom::lesson::change::set_bow(&own, &[event], Some(Direction::Up)));
    let said = passage(&turned).phrases[0].sentences[0].clone();
    assert_eq!(
        (said.words(), said.own.as_ref().map(|own| own.outdated)),
        ("Breathe, then begin.", Some(true))
    );
    // Left out it stays out, and comes back.
    let silent = taken(&own, speak(&own, &id, event, &start.text, Some("")));
    assert!(!passage(&silent).phrases[0].sentences[0].is_said());
    assert!(!passage(&silent).phrases[0].words().contains("down-bow in the lower half"));
    let back = taken(&silent, speak(&silent, &id, event, &start.text, None));
    assert_eq!(passage(&back), passage(&lesson));
    // Words for which there is no sentence any more are kept in their phrase.
    let lost =
        taken(&lesson, speak(&lesson, "elbow-that-was", event, "The elbow lifts.", Some("Elbow, please.")));
    let kept: Vec<String> = passage(&lost).sentences().map(|said| said.words().to_owned()).collect();
    assert!(kept.contains(&"Elbow, please.".to_owned()), "{kept:?}");
}

/// A long bow is told of before it, with its share; a rest is where the bow is set. Common practice, no source.
#[test]
fn a_long_bow_and_a_rest_are_told() {
    let writer = violin().note("A4", QUARTER).note("B4", QUARTER).note("C5", QUARTER).note("D5", QUARTER);
    let writer = writer.rest(HALF).note("E5", HALF).bow(Up);
    let (lesson, _) = written(writer);
    let study = Study::new(lesson);
    let all =
        Passage::new(&study, None, 0..2).phrases.iter().map(|phrase| phrase.words()).collect::<String>();
    assert!(all.contains("n the rest set the bow") || all.contains("et the bow anew"), "{all}");
}
