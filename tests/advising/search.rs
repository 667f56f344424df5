//! The search for a bowing, against every bowing there is.
//!
//! The measure is the definition of the search: no bowing that the freedom allows weighs less than
//! the lightest that is found. All of them are written, applied and analysed like a person's own. Passages with
//! more bowings than that allows are in `search_bounds.rs`.

use std::collections::BTreeSet;

use elbowroom::{
    advice::{
        Ask, Changed, Freedom, SearchError, Standing, lightest,
        search::{Choices, Field},
        suggest,
    },
    analysis::Study,
    exchange::musicxml,
    lesson::{Edit, Lesson, change::keep_bowing, demo::demo},
    score::{Direction, EventId, Quarters},
    setup::Family,
};

use crate::{
    data,
    lessons::{passage, take},
    random::Random,
};

/// Calls `each` with every bowing of a field; stops and tells so behind the first `most`.
fn every_bowing(field: &Field, most: usize, each: &mut dyn FnMut(&Choices)) -> bool {
    fn go(field: &Field, bowing: &mut Choices, left: &mut usize, each: &mut dyn FnMut(&Choices)) -> bool {
        let k = bowing.len();
        if k == field.present().len() {
            *left = left.saturating_sub(1);
            each(bowing);
            return *left > 0;
        }
        let before = bowing.last().map(|step| step.direction);
        for choice in field.choices(k, before) {
            bowing.push(choice);
            let on = go(field, bowing, left, each);
            bowing.pop();
            if !on {
                return false;
            }
        }
        true
    }
    go(field, &mut Vec::new(), &mut most.clone(), each)
}

/// The least weight of all bowings, and how many there are; none if there are more than `most`.
fn brute_force(study: &Study, ask: &Ask, most: usize) -> Option<(f64, usize)> {
    let field = Field::new(study, ask.events.as_ref(), ask.freedom);
    let mut count = 0;
    if !every_bowing(&field, most, &mut |_| count += 1) {
        return None;
    }
    let before = study.lesson();
    let mut best = Standing::of(study).weight(Changed::default());
    every_bowing(&field, usize::MAX, &mut |bowing| {
        let Some(written) = field.write(bowing) else { return };
        let edit = Edit::between("try", before, &written);
        let (applied, _) = edit.apply(before).expect("a written bowing can be applied");
        assert_eq!(applied, written);
        let after = Study::new(written);
        best = best.min(Standing::of(&after).weight(Changed::between(study, &after)));
    });
    Some((best, count))
}

fn ask(freedom: Freedom) -> Ask {
    Ask { events: None, freedom, answers: 3 }
}

/// Passages of chance to be compared.
struct Kind {
    freedom: Freedom,
    seeds: std::ops::Range<u64>,
    notes: &'static [usize],
    /// How often a slur starts.
    slurs: f64,
    /// The notes that may be bowed anew, if not all.
    chosen: Option<std::ops::Range<usize>>,
    /// Passages with more bowings are passed over.
    most: usize,
}

fn compare(kind: &Kind) {
    let (mut compared, mut bowings, mut tried, mut missed) = (0, 0, 0, Vec::new());
    for seed in kind.seeds.clone() {
        let mut random = Random::new(1000 + seed);
        let (lesson, ids) = passage(&mut random, kind.notes[seed as usize % kind.notes.len()], kind.slurs);
        let study = Study::new(lesson);
        let events = kind.chosen.clone().map(|range| ids[range].iter().copied().collect());
        let asked = Ask { events, ..ask(kind.freedom) };
        let Some((best, count)) = brute_force(&study, &asked, kind.most) else { continue };
        let lightest = match lightest(&study, &asked, &mut |share| {
            tried += usize::from(share >= 0.4);
            true
        }) {
            Ok(lightest) => lightest,
            Err(SearchError::NothingToChoose) => continue,
            Err(error) => panic!("seed {seed}: {error}"),
        };
        compared += 1;
        bowings += count;
        let found = lightest.weight();
        if (found - best).abs() > 1e-9 {
            missed.push((seed, count, best, found));
        }
    }
    println!("{:?}: {compared} passages, {bowings} bowings in all, the search tried {tried}", kind.freedom);
    assert!(missed.is_empty(), "of {compared} missed (seed, bowings, best, found): {missed:?}");
    let seeds = (kind.seeds.end - kind.seeds.start) as usize;
    assert!(compared * 2 >= seeds, "only {compared} compared");
}

#[test]
fn directions_and_retakes_are_the_best_of_all() {
    let freedom = Freedom::Directions;
    compare(&Kind { freedom, seeds: 0..10, notes: &[5, 8, 10, 12], slurs: 0.3, chosen: None, most: 1_500 });
}

#[test]
fn splits_and_hooks_are_the_best_of_all() {
    let freedom = Freedom::Splits;
    compare(&Kind { freedom, seeds: 100..116, notes: &[4, 5, 6, 7], slurs: 0.5, chosen: None, most: 900 });
}

#[test]
fn free_bowings_are_the_best_of_all() {
    let freedom = Freedom::Free;
    compare(&Kind { freedom, seeds: 200..208, notes: &[4, 5], slurs: 0.5, chosen: None, most: 1_200 });
}

/// Some notes in the midst of twelve: the rest must go on as it is.
#[test]
fn the_midst_of_a_passage_is_bowed_the_best_of_all() {
    let (notes, chosen) = (&[12], Some(4..9));
    for (freedom, seeds, most) in [(Freedom::Splits, 300..308, 900), (Freedom::Free, 400..408, 1_200)] {
        compare(&Kind { freedom, seeds, notes, slurs: 0.6, chosen: chosen.clone(), most });
    }
}

fn bowed(study: &Study) -> Vec<(EventId, Direction, bool)> {
    let analysis = study.analysis();
    let note = |k: usize| analysis.note(k).id();
    assert!(study.lesson().score.events.len() >= analysis.line.notes.len());
    (0..analysis.bowing.notes.len())
        .map(|k| {
            let starts = analysis.bowing.strokes.iter().any(|stroke| stroke.notes.start == k);
            (note(k), analysis.bowed(k).direction, starts)
        })
        .collect()
}

/// Settled notes keep direction and stroke. Outside the chosen notes strokes stay, and so do directions but
/// for those on the string with the chosen ones: these turn together. No mark but a bow mark is written
/// there. The note behind the chosen ones may be reached by a hook or a retake.
#[test]
fn what_is_settled_or_not_chosen_stays() {
    let mut random = Random::new(77);
    let mut changed = 0;
    for _ in 0..6 {
        let (mut lesson, ids) = passage(&mut random, 18, 0.4);
        let edit = keep_bowing(&lesson, &ids[8..10], true);
        take(&mut lesson, edit);
        let study = Study::new(lesson.clone());
        let free: BTreeSet<EventId> = ids[5..13].iter().copied().collect();
        let asked = Ask { events: Some(free.clone()), freedom: Freedom::Free, answers: 3 };
        let Ok(answers) = suggest(&study, &asked, &mut |_| true) else { continue };
        let before = bowed(&study);
        for answer in &answers {
            changed += answer.changed.marks;
            let (applied, back) = answer.edit.apply(&lesson).expect("it can be taken");
            assert_eq!(applied, *answer.study.lesson());
            assert_eq!(back.apply(&applied).expect("and undone").0, lesson);
            let after = bowed(&answer.study);
            let turned = |k: &usize| before[*k].1 != after[*k].1;
            let chosen = |k: &usize| free.contains(&before[*k].0);
            let first = (0..before.len()).find(chosen).expect("chosen");
            let behind = (0..before.len()).rfind(chosen).expect("chosen") + 1;
            let from = (0..first).find(turned).unwrap_or(first);
            let to = (behind..before.len()).rfind(turned).map_or(behind, |last| last + 1);
            assert!((from..first).all(|k| turned(&k)) && (behind..to).all(|k| turned(&k)), "{from} to {to}");
            for ((id, direction, starts), new) in before.iter().zip(&after) {
                if !free.contains(id) || lesson.kept.contains(id) {
                    assert_eq!(*id, new.0);
                    assert!(*direction == new.1 || !lesson.kept.contains(id));
                    let direction = &new.1;
                    // How the bow goes on behind the chosen notes is theirs to say.
                    if *id == ids[13] {
                        continue;
                    }
                    assert_eq!(*starts, new.2);
                    let (old, new) = (lesson.score.event(*id), answer.study.lesson().score.event(*id));
                    let (old, new) = (old.expect("there"), new.expect("still there"));
                    // What was hooked of its own accord may have to be written now.
                    assert!(old.retake == new.retake && (old.same_bow == new.same_bow || !*starts));
                    assert!(new.bow == old.bow || new.bow == Some(*direction));
                }
            }
        }
    }
    assert!(changed > 0, "nothing was ever changed");
}

#[test]
fn the_same_question_has_the_same_answers_and_they_differ() {
    let lesson = demo();
    let study = Study::new(lesson.clone());
    let from = Quarters::from(24);
    let events = lesson.score.events.iter().filter(|event| event.onset >= from).map(|event| event.id);
    let asked = Ask { events: Some(events.collect()), freedom: Freedom::Splits, answers: 5 };
    let once = suggest(&study, &asked, &mut |_| true).expect("the demo has a bowing");
    let again = suggest(&study, &asked, &mut |_| true).expect("the demo has a bowing");
    let edits = |answers: &[elbowroom::advice::Suggestion]| -> Vec<(String, Edit)> {
        answers.iter().map(|answer| (answer.headline.clone(), answer.edit.clone())).collect()
    };
    assert_eq!(edits(&once), edits(&again));
    // The demo runs out under a slur; the best answer cures that.
    assert_eq!(once[0].after.runs_out, 0);
    assert!(once[0].weight() < Standing::of(&study).weight(Changed::default()));
    for (index, answer) in once.iter().enumerate() {
        assert!(!answer.reasons.is_empty());
        assert!(once[..index].iter().all(|other| other.study.lesson() != answer.study.lesson()));
    }
    // Asked again of the best, there is less to gain.
    let better = suggest(&once[0].study, &asked, &mut |_| true).expect("still a bowing");
    assert!(better[0].after.burden() <= once[0].after.burden() + 1e-9 || better[0].edit.is_empty());
}

#[test]
fn a_search_stops_when_told_and_says_why_there_is_none() {
    let mut lesson = demo();
    let study = Study::new(lesson.clone());
    for stop in [0, 1, 150, 260] {
        let mut calls = 0;
        let mut last = 0.0;
        let result = suggest(&study, &ask(Freedom::Directions), &mut |share| {
            assert!((0.0..=1.0).contains(&share) && share >= last, "{share} after {last}");
            last = share;
            calls += 1;
            calls <= stop
        });
        assert_eq!(result.err(), Some(SearchError::Cancelled));
        assert_eq!(calls, stop + 1, "nothing is asked after the answer no");
    }
    let none = Ask { events: Some(BTreeSet::new()), ..ask(Freedom::Free) };
    let result = suggest(&study, &none, &mut |_| true);
    assert_eq!(result.err(), Some(SearchError::NothingToBow));
    let many = Ask { answers: 6, ..ask(Freedom::Free) };
    assert_eq!(suggest(&study, &many, &mut |_| true).err(), Some(SearchError::Answers));
    let all: Vec<EventId> = lesson.score.events.iter().map(|event| event.id).collect();
    let edit = keep_bowing(&lesson, &all, true);
    take(&mut lesson, edit);
    let result = suggest(&Study::new(lesson), &ask(Freedom::Free), &mut |_| true);
    assert_eq!(result.err(), Some(SearchError::NothingToChoose));
}

/// Three hundred notes of a real part, CC0, in `shared/data` beside the checkout.
#[test]
fn a_real_part_is_searched_through() {
    let Some(path) = data::files("quartets").into_iter().next() else { return };
    let document = musicxml::open(&std::fs::read(&path).expect("readable")).expect("a real file opens");
    let part = document.find_part("viola").expect("a quartet has a viola");
    let mut score = document.read(part).expect("a real part reads").score;
    let last = score.events.iter().filter(|event| !event.is_rest()).nth(300).map(|event| event.onset);
    let end = last.expect("a real part has more than 300 notes");
    score.events.retain(|event| event.onset < end);
    score.bars.retain(|bar| bar.start < end);
    let there: BTreeSet<EventId> = score.events.iter().map(|event| event.id).collect();
    score.slurs.retain(|slur| there.contains(&slur.from) && there.contains(&slur.to));
    let lesson = Lesson::new(score, Family::Viola);
    let study = Study::new(lesson.clone());
    let before = Standing::of(&study).weight(Changed::default());
    let start = std::time::Instant::now();
    let lightest = lightest(&study, &ask(Freedom::Splits), &mut |_| true).expect("a bowing");
    println!(
        "{} bowed notes in {:.0} ms: weight {before:.2} to {:.2}, {}",
        study.analysis().bowing.notes.len(),
        1e3 * start.elapsed().as_secs_f64(),
        lightest.weight(),
        lightest.headline
    );
    assert!(lightest.weight() <= before);
}
