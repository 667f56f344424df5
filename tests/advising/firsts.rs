//! What a teacher tries first, in passages made for one rule each. Common practice, no source; the lengths and parts
//! are assumed.

use elbowroom::{
    advice::{Change, Remedy, remedies, trials, try_out},
    analysis::Study,
    bowing::{Finding, Kind},
    lesson::{
        Lesson,
        change::{hair_pin, join_ties, set_bow, set_dynamic, set_mark, set_stroke},
    },
    score::{Direction, Dynamic, EventId, Mark, NoteValue, Quarters, SignKind, StrokeType},
};

use crate::data;
use crate::music::{
    DOTTED_HALF, EIGHTH, HALF, QUARTER, ROUND_SPEEDS, WHOLE, chords, in_proportion, take, violin,
};

/// A passage of a violin at 60 quarters a minute, with hair in proportion to time, and its notes.
struct Passage {
    lesson: Lesson,
    ids: Vec<EventId>,
}

impl Passage {
    fn of_chords(values: &[(NoteValue, &[i32])], dynamic: Dynamic) -> Self {
        let (mut lesson, ids) = chords(violin(), values);
        in_proportion(&mut lesson, ROUND_SPEEDS);
        let edit = set_dynamic(&lesson, Quarters::ZERO, Some(dynamic));
        take(&mut lesson, edit);
        let edit = set_bow(&lesson, &ids[..1], Some(Direction::Down));
        take(&mut lesson, edit);
        Self { lesson, ids }
    }

    fn new(values: &[NoteValue], dynamic: Dynamic) -> Self {
        let values: Vec<(NoteValue, &[i32])> = values.iter().map(|value| (*value, &[69][..])).collect();
        Self::of_chords(&values, dynamic)
    }

    fn marked(mut self, notes: impl IntoIterator<Item = usize>, mark: Mark) -> Self {
        for note in notes {
            let edit = set_mark(&self.lesson, &[self.ids[note]], mark, true);
            take(&mut self.lesson, edit);
        }
        self
    }

    fn tempo(mut self, new: f64) -> Self {
        for sign in &mut self.lesson.score.signs {
            if let SignKind::Tempo { qpm, .. } = &mut sign.kind {
                *qpm = new;
            }
        }
        self
    }

    fn pinned(mut self, note: usize, share: f64) -> Self {
        let edit = hair_pin(&self.lesson, self.ids[note], Some((share, share)));
        take(&mut self.lesson, edit);
        self
    }

    fn study(&self) -> Study {
        Study::new(self.lesson.clone())
    }

    /// What is offered for the first finding of a kind.
    fn offered(&self, kind: Kind) -> Vec<Remedy> {
        let study = self.study();
        remedies(&study, &told(&study, kind))
    }
}

fn told(study: &Study, kind: Kind) -> Finding {
    let told = &study.analysis().findings.told;
    told.iter().find(|finding| finding.kind == kind).unwrap_or_else(|| panic!("{told:#?}")).clone()
}

/// In a figure of long and short the short note comes back quick and light; where it is loud with a dot it sticks out,
/// and what is done with the others comes before.
#[test]
fn a_quick_way_back_is_for_what_is_not_struck_short() {
    let first = |times: usize, qpm: f64, dynamic: Dynamic, dots: bool| {
        let mut passage = Passage::new(&[DOTTED_HALF, QUARTER].repeat(times), dynamic).tempo(qpm);
        if dots {
            passage = passage.marked((0..times).map(|k| 2 * k + 1), Mark::Staccato);
        }
        // The dots change nothing else.
        let edit = set_stroke(&passage.lesson, &passage.ids, Some(StrokeType::Detache));
        take(&mut passage.lesson, edit);
        passage.offered(Kind::RunsOutDrift)[0].trial.change
    };
    assert_eq!(first(4, 100.0, Dynamic::F, false), Change::Return);
    assert_eq!(first(4, 100.0, Dynamic::F, true), Change::Place);
    assert_eq!(first(5, 72.0, Dynamic::Mf, true), Change::Return);
}

/// The short note of a dotted figure comes back quick and light; that of a double dot is too short for it, and is hooked to
/// the long one.
#[test]
fn a_note_too_short_to_come_back_is_hooked() {
    let dotted = |long: NoteValue, short: NoteValue| {
        let passage = Passage::new(&[long, short].repeat(8), Dynamic::F).tempo(72.0);
        let found = passage.offered(Kind::RunsOutDrift);
        found.into_iter().map(|remedy| remedy.trial.change).collect::<Vec<_>>()
    };
    let place = |found: &[Change], change| found.iter().position(|other| *other == change);
    let single = dotted(DOTTED_HALF, QUARTER);
    assert_eq!(single[0], Change::Return);
    let double = dotted(NoteValue { dots: 2, ..HALF }, EIGHTH);
    assert!(place(&double, Change::Hook) < place(&double, Change::Return).or(Some(usize::MAX)), "{double:?}");
}

/// What leads to several like places is done at all of them, also where the bow back lies some strokes before; what lies on
/// the way to two of them is drawn faster once.
#[test]
fn a_light_bow_back_is_for_all_its_places() {
    let figure =
        [&[EIGHTH; 4][..], &[DOTTED_HALF, QUARTER, DOTTED_HALF, QUARTER, DOTTED_HALF, EIGHTH, EIGHTH]]
            .concat();
    let passage = Passage::new(&figure.repeat(3), Dynamic::F);
    let study = passage.study();
    let finding = told(&study, Kind::RunsOutDrift);
    assert!(!finding.more.is_empty(), "{finding:#?}");
    let first = &remedies(&study, &finding)[0];
    assert_eq!((first.trial.change, first.trial.everywhere), (Change::Return, true), "{}", first.trial.words);
    assert!(first.trial.words.ends_with("; the same at five more places") && finding.more.len() == 5);
    assert!(first.cures() && first.stays_at == 0);
    let changed = first.study.lesson().score.events.iter().filter_map(|event| event.speed_factor);
    let factors: Vec<f64> = changed.collect();
    assert!(
        factors.len() > finding.more.len() && factors.iter().all(|factor| *factor == factors[0]),
        "{factors:?}"
    );
}

/// Between a bow and the next over one short rest alone the way is turned by turning the bow; a row of them that all go one
/// way is played back and forth.
#[test]
fn one_short_rest_is_no_row() {
    let offered = |bars: usize| {
        let (note, rest): (&[i32], &[i32]) = (&[69], &[]);
        let mut values = [(HALF, note), (HALF, rest)].repeat(bars);
        values.extend([(WHOLE, note), (WHOLE, note)]);
        let passage = Passage::of_chords(&values, Dynamic::F).tempo(240.0).pinned(2 * bars, 0.9);
        let study = passage.study();
        let told = &study.analysis().findings.told;
        let words = |finding: &Finding| trials(&study, finding).into_iter().map(|trial| trial.words);
        let all: Vec<String> = told.iter().flat_map(words).collect();
        assert!(!all.is_empty(), "{told:#?}");
        all.iter().filter(|words| words.starts_with("No lifts over the short rests")).count()
    };
    assert_eq!(offered(1), 0);
    assert!(offered(4) > 0);
}

/// Before a figure of long and short go equal eighths: they stay equal.
#[test]
fn equal_bows_stay_equal() {
    let values = [&[EIGHTH; 6][..], &[DOTTED_HALF, QUARTER, DOTTED_HALF, QUARTER, DOTTED_HALF]].concat();
    let passage = Passage::new(&values, Dynamic::F);
    let study = passage.study();
    let run_out = told(&study, Kind::RunsOutDrift);
    let mut shared = 0;
    for trial in trials(&study, &run_out) {
        let (next, _) = trial.edit.apply(&passage.lesson).expect("it can be made");
        let factor = |note: usize| next.score.event(passage.ids[note]).and_then(|event| event.speed_factor);
        shared += usize::from((6..values.len()).any(|note| factor(note).is_some()));
        // The last of them stands beside a longer one.
        assert!((0..5).all(|note| factor(note).is_none()), "{}", trial.words);
    }
    assert!(shared > 0);
}

/// A note with sf begins a bow of its own; without it may be hooked to the one before.
#[test]
fn nothing_struck_is_hooked_to_the_bow_before() {
    let hooked = |sharp: bool| {
        let passage = Passage::new(&[HALF, QUARTER].repeat(4), Dynamic::Mp).pinned(2, 0.75);
        let passage = if sharp { passage.marked([2], Mark::Sforzando) } else { passage };
        let study = passage.study();
        let told = &study.analysis().findings.told;
        let here = told.iter().find(|finding| finding.note == 2).unwrap_or_else(|| panic!("{told:#?}"));
        let hook = "Hook the note on beat 4 of bar 1 to the one before it";
        trials(&study, here).iter().any(|trial| trial.words == hook)
    };
    assert_eq!([hooked(false), hooked(true)], [true, false]);
}

/// A loud accent is set in the lower half, however much bow it wants the other way; without the accent it may be set
/// farther out.
#[test]
fn nothing_heavy_is_set_far_out() {
    let set = |accent: bool| {
        let up: &[i32] = &[69];
        let mut passage =
            Passage::of_chords(&[(QUARTER, up), (HALF, &[]), (HALF, up), (HALF, up)], Dynamic::F);
        let edit = set_bow(&passage.lesson, &passage.ids[2..3], Some(Direction::Up));
        take(&mut passage.lesson, edit);
        let passage = if accent { passage.marked([2], Mark::Accent) } else { passage };
        let passage = passage.pinned(2, 0.35);
        let study = passage.study();
        let trials = trials(&study, &told(&study, Kind::RunsOutStart));
        trials.iter().any(|trial| trial.words.starts_with("Lift in the rest and set the bow"))
    };
    assert_eq!([set(false), set(true)], [true, false]);
}

/// Six seconds at forte, tied over a barline, that start too near the tip: the bow is changed under the tie. Soft, it
/// comes back in the quarter before.
#[test]
fn a_very_long_loud_bow_is_divided_first() {
    let first = |dynamic| {
        let values = [WHOLE, HALF, QUARTER].repeat(3);
        let mut passage = Passage::new(&values, dynamic);
        in_proportion(&mut passage.lesson, [60.0, 70.0, 80.0, 85.0, 90.0, 95.0, 98.0, 100.0]);
        for long in [6, 3, 0] {
            let edit = join_ties(&passage.lesson, passage.ids[long]);
            take(&mut passage.lesson, edit);
        }
        let study = passage.study();
        let found = remedies(&study, &told(&study, Kind::RunsOutStart));
        found.first().map(|remedy| remedy.trial.change)
    };
    let (loud, soft) = (first(Dynamic::F), first(Dynamic::P));
    assert_eq!(loud, Some(Change::Inside));
    assert_ne!(soft, Some(Change::Inside));
}

/// A note longer than the whole bow, after a long note and a short one: it is divided, however quick the short note
/// comes back, for that leaves it too long.
#[test]
fn what_is_longer_than_the_bow_is_divided_before_it_is_eased() {
    let values = [&[DOTTED_HALF, QUARTER, QUARTER, WHOLE][..], &[QUARTER, HALF, QUARTER].repeat(3)].concat();
    let passage = Passage { lesson: undirected(&values, Dynamic::Mf), ids: Vec::new() }.tempo(50.0);
    let found = passage.offered(Kind::RunsOutStroke);
    let first = &found[0];
    assert_eq!((first.trial.change, first.cures()), (Change::Inside, true), "{}", first.trial.words);
    assert!(found.iter().any(|remedy| remedy.trial.change == Change::Return && !remedy.cures()));
}

/// Two tied notes longer than the bow: the bow is changed under both ties at once.
#[test]
fn a_change_of_bow_under_a_tie_is_made_at_like_places() {
    let values = [WHOLE, QUARTER, HALF, QUARTER, WHOLE, WHOLE, HALF, HALF, WHOLE, WHOLE, HALF, HALF];
    let mut passage = Passage { lesson: undirected(&values, Dynamic::Mf), ids: Vec::new() }.tempo(90.0);
    let ids: Vec<EventId> = passage.lesson.score.events.iter().map(|event| event.id).collect();
    for long in [8, 4] {
        let edit = join_ties(&passage.lesson, ids[long]);
        take(&mut passage.lesson, edit);
    }
    let found = passage.offered(Kind::RunsOutStroke);
    assert_eq!(found[0].trial.words, "Change bow at the tie into bar 4; the same at one more place");
    assert!(found[0].cures() && found[0].stays_at == 0);
}

/// Loud eighths whose bars begin up, with no rest: slow, the bowing is turned round at the bar; quick, there is no time
/// to lift, and two eighths before it are hooked. The first note of the bar has a bow of its own in any case.
#[test]
fn a_lift_needs_time() {
    let offered = |qpm: f64| {
        let passage = Passage::new(&[EIGHTH; 64], Dynamic::F).tempo(qpm);
        let mut passage = passage.marked((0..8).flat_map(|bar| [8 * bar + 6, 8 * bar + 7]), Mark::Staccato);
        let edit = set_bow(&passage.lesson, &passage.ids[..1], Some(Direction::Up));
        take(&mut passage.lesson, edit);
        passage.offered(Kind::StrongBeatsUp)
    };
    let (slow, quick) = (offered(60.0), offered(160.0));
    assert!(matches!(slow[0].trial.change, Change::Turn | Change::Retake), "{}", slow[0].trial.words);
    assert_eq!(quick[0].trial.words, "Hook the note on the last eighth of bar 1 to the one before it");
    let into_the_bar = |remedy: &Remedy| remedy.trial.words.contains("the first note of bar 2 ");
    assert!(!slow.iter().chain(&quick).any(into_the_bar));
}

/// A note of five bars is cut in three parts as equal as can be, at a dynamic before others, though one stands near
/// either end.
#[test]
fn a_long_note_is_cut_in_equal_parts() {
    let cut = |dynamics: &[i64]| {
        let mut passage = Passage::new(&[WHOLE, WHOLE, WHOLE, WHOLE, WHOLE, HALF, HALF], Dynamic::P);
        for &bar in dynamics {
            let edit = set_dynamic(&passage.lesson, Quarters::from(4 * (bar - 1)), Some(Dynamic::Mf));
            take(&mut passage.lesson, edit);
        }
        for bar in (0..4).rev() {
            let edit = join_ties(&passage.lesson, passage.ids[bar]);
            take(&mut passage.lesson, edit);
        }
        let study = passage.study();
        let told = &study.analysis().findings.told;
        let words: Vec<String> =
            told.iter().flat_map(|finding| trials(&study, finding)).map(|trial| trial.words).collect();
        words.into_iter().find(|words| words.starts_with("Change bow at the ties into"))
    };
    let ties = |a: usize, b: usize| Some(format!("Change bow at the ties into bar {a} and bar {b}"));
    assert_eq!(cut(&[]), ties(3, 4));
    assert_eq!(cut(&[2]), ties(2, 4));
    assert_ne!(cut(&[2, 5]), ties(2, 5));
}

/// A place is kept for an sf no farther out than the middle; for what is not struck as the plan has it.
#[test]
fn a_struck_note_is_brought_to_the_middle_at_most() {
    let brought = |sharp: bool| {
        let mut passage = Passage::new(&[DOTTED_HALF, QUARTER].repeat(4), Dynamic::F).tempo(90.0);
        let edit = set_bow(&passage.lesson, &passage.ids[..1], Some(Direction::Up));
        take(&mut passage.lesson, edit);
        let passage = if sharp { passage.marked([4, 6], Mark::Sforzando) } else { passage };
        let study = passage.study();
        let finding = told(&study, Kind::RunsOutDrift);
        let words = trials(&study, &finding).into_iter().map(|trial| trial.words);
        words.filter(|words| words.contains(", to be ")).collect::<Vec<_>>()
    };
    let (plain, sharp) = (brought(false), brought(true));
    assert!(sharp.iter().any(|words| words.contains("about the middle")), "{sharp:?}");
    let far = |words: &String| words.contains("the upper half") || words.contains("the tip");
    assert!(!sharp.iter().any(far) && plain.iter().any(far), "{plain:?} {sharp:?}");
}

/// These values on one pitch with no bow mark.
fn undirected(values: &[NoteValue], dynamic: Dynamic) -> Lesson {
    let values: Vec<(NoteValue, &[i32])> = values.iter().map(|value| (*value, &[69][..])).collect();
    let (mut lesson, _) = chords(violin(), &values);
    in_proportion(&mut lesson, ROUND_SPEEDS);
    let edit = set_dynamic(&lesson, Quarters::ZERO, Some(dynamic));
    take(&mut lesson, edit);
    lesson
}

/// Nine seconds under a tie, as in another bow four bars before, which turns with it and gets a hair less for that: to
/// divide the one does not make the other worse.
#[test]
fn what_was_as_tight_is_not_made_tight() {
    let part = data::real_parts().find(|(name, _)| name.contains("sq8661306") && name.contains("Violin 2"));
    let Some((_, imported)) = part else { return };
    let study = Study::new(data::lesson(imported));
    let told = &study.analysis().findings.told;
    let title = "Bars 9, 120 and 122 (III): 9 seconds in one bow, near the slowest";
    let long = told.iter().find(|finding| finding.title() == title).unwrap_or_else(|| panic!("{told:#?}"));
    let trial = trials(&study, long).into_iter().find(|trial| trial.words.ends_with("tie into bar 10 (III)"));
    let remedy = try_out(&study, long, trial.expect("it is tried")).expect("it can be made");
    assert!(remedy.cures() && remedy.new_findings.is_empty(), "{}", remedy.effect);
}
