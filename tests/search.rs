//! The search for a bowing, against every bowing there is.
//!
//! The measure is the definition of the search: no bowing that the freedom allows weighs less than
//! the best answer. All of them are written, applied and analysed like a person's own.

#[path = "common/random.rs"]
mod random;

use std::collections::BTreeSet;

use elbowroom::{
    advice::{
        Ask, Freedom, SearchError, Standing, marks_changed,
        search::{Bowing, Field, Step, Way, suggest, weight},
    },
    analysis::{Analysis, analyse},
    exchange::musicxml,
    lesson::{
        Edit, EditError, Lesson,
        change::{hair_pin, insert, keep_bowing, new_passage, set_bow, set_dynamic, set_retake, set_slur},
        demo::demo,
    },
    score::{
        Direction, Dynamic, EventId, NoteValue, Pitch, Quarters, Sign, SignKind, Step as Letter,
        TimeSignature,
    },
    setup::Family,
};
use random::Random;

fn take(lesson: &mut Lesson, edit: Result<Edit, EditError>) {
    if let Ok(edit) = edit {
        *lesson = edit.apply(lesson).expect("an edit that was built can be made").0;
    }
}

/// A passage of chance with slurs, marks, dynamics, a rest now and then.
fn passage(random: &mut Random, count: usize, slurs: f64) -> (Lesson, Vec<EventId>) {
    let beats = if random.chance(0.5) { 3 } else { 4 };
    let qpm = random.between(50.0, 110.0).round();
    let mut lesson = new_passage(Family::Violin, TimeSignature::new(beats, 4), 0, qpm);
    let mut ids: Vec<EventId> = Vec::new();
    let mut last = None;
    while ids.len() < count {
        let value = match random.between(0.0, 10.0) as usize {
            0..=2 => NoteValue::plain(-3),
            3..=5 => NoteValue::QUARTER,
            6..=7 => NoteValue { log2_whole: -1, dots: 1, tuplet: None },
            8 => NoteValue { log2_whole: -2, dots: 1, tuplet: None },
            _ => NoteValue::plain(-1),
        };
        let rest = !ids.is_empty() && random.chance(0.06);
        let pitch = [Pitch::new(Letter::A, 0.0, 4)];
        let id = lesson.score.free_event_id();
        let edit = insert(&lesson, last, value, if rest { &[] } else { &pitch });
        take(&mut lesson, edit);
        last = Some(id);
        if !rest {
            ids.push(id);
        }
    }
    let mut k = 0;
    while k < count {
        if random.chance(slurs) {
            let until = (k + 2 + random.between(0.0, 3.0) as usize).min(count);
            let edit = set_slur(&lesson, &ids[k..until], true);
            take(&mut lesson, edit);
            k = until;
        } else {
            k += 1;
        }
    }
    for k in 0..count {
        if random.chance(0.08) {
            let way = if random.chance(0.5) { Direction::Down } else { Direction::Up };
            let edit = set_bow(&lesson, &ids[k..=k], Some(way));
            take(&mut lesson, edit);
        }
        if random.chance(0.04) {
            let edit = set_retake(&lesson, ids[k], true);
            take(&mut lesson, edit);
        }
    }
    for at in [0, 4, 8] {
        if random.chance(0.6) {
            let level = Dynamic::ALL[1 + random.between(0.0, 6.0) as usize];
            let edit = set_dynamic(&lesson, Quarters::from(at), Some(level));
            take(&mut lesson, edit);
        }
    }
    if random.chance(0.3) {
        let id = lesson.score.free_sign_id();
        let kind = SignKind::Hairpin { opens: random.chance(0.5), end: Quarters::from(4), niente: false };
        lesson.score.signs.push(Sign { id, at: Quarters::from(2), kind });
        lesson.score.sort();
    }
    if random.chance(0.2) {
        let at = random.between(0.0, 1.0);
        let edit = hair_pin(&lesson, ids[count / 2], Some((at, at)));
        take(&mut lesson, edit);
    }
    (lesson, ids)
}

/// Calls `each` with every bowing of a field; stops and tells so behind the first `most`.
fn every_bowing(field: &Field, most: usize, each: &mut dyn FnMut(&Bowing)) -> bool {
    fn go(field: &Field, bowing: &mut Bowing, left: &mut usize, each: &mut dyn FnMut(&Bowing)) -> bool {
        let k = bowing.len();
        if k == field.present().len() {
            *left = left.saturating_sub(1);
            each(bowing);
            return *left > 0;
        }
        let before = bowing.last().map(|step| step.direction);
        for &way in field.ways(k) {
            for direction in field.directions(k, way, before) {
                bowing.push(Step { way, direction });
                let on = go(field, bowing, left, each);
                bowing.pop();
                if !on {
                    return false;
                }
            }
        }
        true
    }
    go(field, &mut Vec::new(), &mut most.clone(), each)
}

/// The least weight of all bowings, and how many there are; none if there are more than `most`.
fn brute_force(lesson: &Lesson, analysis: &Analysis, ask: &Ask, most: usize) -> Option<(f64, usize)> {
    let field = Field::new(lesson, analysis, ask.events.as_ref(), ask.freedom);
    let mut count = 0;
    if !every_bowing(&field, most, &mut |_| count += 1) {
        return None;
    }
    let mut best = weight(analysis, &Standing::of(lesson, analysis), 0);
    every_bowing(&field, usize::MAX, &mut |bowing| {
        let Some((edit, written)) = field.write(lesson, analysis, bowing, "try") else { return };
        let (applied, _) = edit.apply(lesson).expect("a written bowing can be applied");
        assert_eq!(applied, written);
        let after = analyse(&written);
        let changed = marks_changed(&lesson.score, &written.score);
        best = best.min(weight(&after, &Standing::of(&written, &after), changed));
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
        let analysis = analyse(&lesson);
        let events = kind.chosen.clone().map(|range| ids[range].iter().copied().collect());
        let asked = Ask { events, ..ask(kind.freedom) };
        let Some((best, count)) = brute_force(&lesson, &analysis, &asked, kind.most) else { continue };
        let answers = match suggest(&lesson, &analysis, &asked, &mut |share| {
            tried += usize::from(share >= 0.4);
            true
        }) {
            Ok(answers) => answers,
            Err(SearchError::NothingToChoose) => continue,
            Err(error) => panic!("seed {seed}: {error}"),
        };
        compared += 1;
        bowings += count;
        let found = answers[0].weight();
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

/// The weights of the definition, written down once more; every bowing that is weighed in full
/// checks them.
const MARK: f64 = 0.05;
const RETAKE: f64 = 0.35;
const HOOK: f64 = 0.15;
const STRONG_BEAT: f64 = 0.3;

/// What a bowing weighs at the least, from its retakes, stops, marks and strong beats alone: nothing
/// else of [`weight`] is below zero. Holds for every bowing that starts like this one.
fn at_least(lesson: &Lesson, analysis: &Analysis, field: &Field, bowing: &[Step]) -> f64 {
    let (mut sum, mut slurred) = (0.0, false);
    for (k, (step, now)) in bowing.iter().zip(field.present()).enumerate() {
        let note = &analysis.line[analysis.bowed[k].note];
        let joined = k > 0 && analysis.line[analysis.bowed[k - 1].note].end() == note.onset;
        let other = step.way != now.way;
        sum += match step.way {
            Way::Retake if joined => RETAKE + if other { MARK } else { 0.0 },
            Way::Hook => HOOK + if other { MARK } else { 0.0 },
            // At least one slur is new or moved in each stroke with a new slur.
            Way::Slur if !slurred => MARK,
            _ => 0.0,
        };
        slurred = !step.way.starts() && (slurred || step.way == Way::Slur);
        let bar = &lesson.score.bars[note.bar];
        let strong = bar.start == note.onset && !bar.pickup && step.way.starts();
        sum += if strong && step.direction == Direction::Up { STRONG_BEAT } else { 0.0 };
    }
    sum
}

/// How many bowings a field holds: from note to note by their directions alone.
fn count(field: &Field) -> f64 {
    let mut ends = [(None, 1.0)].to_vec();
    for k in 0..field.present().len() {
        let mut next = [(Some(Direction::Down), 0.0), (Some(Direction::Up), 0.0)];
        for &(before, ways) in &ends {
            for direction in field.ways(k).iter().flat_map(|&way| field.directions(k, way, before)) {
                next[usize::from(direction == Direction::Up)].1 += ways;
            }
        }
        ends = next.to_vec();
    }
    ends.iter().map(|(_, ways)| ways).sum()
}

/// Weighs a bowing in full, and checks that its least weight is no more. None where the marks there
/// do not let it be written.
fn weighed(lesson: &Lesson, analysis: &Analysis, field: &Field, bowing: &Bowing) -> Option<f64> {
    let (_, written) = field.write(lesson, analysis, bowing, "try")?;
    let after = analyse(&written);
    let changed = marks_changed(&lesson.score, &written.score);
    let weight = weight(&after, &Standing::of(&written, &after), changed);
    let least = at_least(lesson, analysis, field, bowing);
    assert!(least <= weight + 1e-9, "{least} {weight} {bowing:?}");
    Some(weight)
}

/// The least weight of all bowings that may weigh less than `best`, and how many had to be weighed:
/// what already weighs as much by its first notes is not gone into. None beyond `most`.
fn bounded(
    lesson: &Lesson,
    analysis: &Analysis,
    field: &Field,
    best: f64,
    most: usize,
) -> Option<(f64, usize)> {
    struct Walk<'a> {
        of: (&'a Lesson, &'a Analysis, &'a Field),
        best: f64,
        weighed: usize,
        most: usize,
    }
    fn go(walk: &mut Walk, bowing: &mut Bowing) {
        let (lesson, analysis, field) = walk.of;
        let k = bowing.len();
        if walk.weighed > walk.most || at_least(lesson, analysis, field, bowing) >= walk.best - 1e-9 {
            return;
        }
        if k == field.present().len() {
            walk.weighed += 1;
            let weight = weighed(lesson, analysis, field, bowing);
            walk.best = weight.map_or(walk.best, |weight| weight.min(walk.best));
            return;
        }
        let before = bowing.last().map(|step| step.direction);
        for &way in field.ways(k) {
            for direction in field.directions(k, way, before) {
                bowing.push(Step { way, direction });
                go(walk, bowing);
                bowing.pop();
            }
        }
    }
    let mut walk = Walk { of: (lesson, analysis, field), best, weighed: 0, most };
    go(&mut walk, &mut Vec::new());
    (walk.weighed <= most).then_some((walk.best, walk.weighed))
}

/// Compares the search with all bowings of passages of chance, by the bound.
fn compare_bounded(freedom: Freedom, seeds: std::ops::Range<u64>, notes: usize, slurs: f64, most: usize) {
    let (mut compared, mut all, mut tried) = (0, 0.0, 0);
    let seeds_in_all = (seeds.end - seeds.start) as usize;
    for seed in seeds {
        let (lesson, _) = passage(&mut Random::new(1000 + seed), notes, slurs);
        let analysis = analyse(&lesson);
        let Ok(answers) = suggest(&lesson, &analysis, &ask(freedom), &mut |_| true) else { continue };
        let field = Field::new(&lesson, &analysis, None, freedom);
        let found = answers[0].weight();
        let Some((best, weighed)) = bounded(&lesson, &analysis, &field, found, most) else { continue };
        println!("seed {seed}: {} bowings, {weighed} weighed, {found:.3}", count(&field));
        assert!(best >= found - 1e-9, "seed {seed}: found {found}, there is {best}");
        (compared, all, tried) = (compared + 1, all + count(&field), tried + weighed);
    }
    println!("{freedom:?}: {compared} passages of {notes} notes, {all} bowings, {tried} weighed in full");
    assert!(compared * 2 >= seeds_in_all, "only {compared} of {seeds_in_all} compared");
}

/// All bowings of twelve notes with splits, hooks and retakes: those that are not weighed in full
/// weigh more by their retakes, stops and strong beats alone.
#[test]
fn all_splits_of_twelve_notes_weigh_no_less() {
    compare_bounded(Freedom::Splits, 501..507, 12, 0.5, 500);
}

#[test]
fn all_free_bowings_of_eight_notes_weigh_no_less() {
    compare_bounded(Freedom::Free, 600..606, 8, 0.5, 1_000);
}

/// All free bowings of twelve notes are too many; of thousands by chance none weighs less.
#[test]
fn no_free_bowing_of_twelve_notes_by_chance_weighs_less() {
    let mut weighed_in_all = 0;
    for seed in 700..704 {
        let mut random = Random::new(1000 + seed);
        let (lesson, _) = passage(&mut random, 12, 0.5);
        let analysis = analyse(&lesson);
        let asked = ask(Freedom::Free);
        let answers = suggest(&lesson, &analysis, &asked, &mut |_| true).expect("a bowing");
        let found = answers[0].weight();
        let field = Field::new(&lesson, &analysis, None, Freedom::Free);
        for _ in 0..700 {
            // Mostly as it is now, so that some are good.
            let kept = random.between(0.2, 0.95);
            let mut bowing = Bowing::new();
            for k in 0..field.present().len() {
                let before = bowing.last().map(|step| step.direction);
                let now = field.present()[k].way;
                let ways = field.ways(k);
                let other = ways[(random.between(0.0, ways.len() as f64) as usize).min(ways.len() - 1)];
                let way = if random.chance(kept) { now } else { other };
                let open: Vec<Direction> = field.directions(k, way, before).collect();
                let Some(&direction) = open.get(usize::from(open.len() > 1 && random.chance(0.5))) else {
                    break;
                };
                bowing.push(Step { way, direction });
            }
            if bowing.len() < field.present().len() {
                continue;
            }
            if let Some(weight) = weighed(&lesson, &analysis, &field, &bowing) {
                weighed_in_all += 1;
                assert!(weight >= found - 1e-9, "seed {seed}: found {found}, by chance {weight}: {bowing:?}");
            }
        }
    }
    assert!(weighed_in_all > 2_000, "{weighed_in_all}");
}

fn bowed(lesson: &Lesson, analysis: &Analysis) -> Vec<(EventId, Direction, bool)> {
    let note = |k: usize| analysis.line[analysis.bowed[k].note].id();
    assert!(lesson.score.events.len() >= analysis.line.len());
    (0..analysis.bowed.len())
        .map(|k| {
            let starts = analysis.strokes.iter().any(|stroke| stroke.notes.start == k);
            (note(k), analysis.bowed[k].direction, starts)
        })
        .collect()
}

/// Outside the chosen notes, and on settled ones, directions and strokes stay; no mark but a bow
/// mark that keeps a direction is written there.
#[test]
fn what_is_settled_or_not_chosen_stays() {
    let mut random = Random::new(77);
    let mut changed = 0;
    for _ in 0..6 {
        let (mut lesson, ids) = passage(&mut random, 18, 0.4);
        let edit = keep_bowing(&lesson, &ids[8..10], true);
        take(&mut lesson, edit);
        let analysis = analyse(&lesson);
        let free: BTreeSet<EventId> = ids[5..13].iter().copied().collect();
        let asked = Ask { events: Some(free.clone()), freedom: Freedom::Free, answers: 3 };
        let Ok(answers) = suggest(&lesson, &analysis, &asked, &mut |_| true) else { continue };
        let before = bowed(&lesson, &analysis);
        for answer in &answers {
            changed += answer.marks_changed;
            let (applied, back) = answer.edit.apply(&lesson).expect("it can be taken");
            assert_eq!(applied, answer.lesson);
            assert_eq!(back.apply(&applied).expect("and undone").0, lesson);
            let after = bowed(&answer.lesson, &answer.analysis);
            for ((id, direction, starts), new) in before.iter().zip(&after) {
                if !free.contains(id) || lesson.kept.contains(id) {
                    assert_eq!((*id, *direction, *starts), *new);
                    let (old, new) = (lesson.score.event(*id), answer.lesson.score.event(*id));
                    let (old, new) = (old.expect("there"), new.expect("still there"));
                    assert_eq!((old.retake, old.same_bow), (new.retake, new.same_bow));
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
    let analysis = analyse(&lesson);
    let from = Quarters::from(24);
    let events = lesson.score.events.iter().filter(|event| event.onset >= from).map(|event| event.id);
    let asked = Ask { events: Some(events.collect()), freedom: Freedom::Splits, answers: 5 };
    let once = suggest(&lesson, &analysis, &asked, &mut |_| true).expect("the demo has a bowing");
    let again = suggest(&lesson, &analysis, &asked, &mut |_| true).expect("the demo has a bowing");
    let edits = |answers: &[elbowroom::advice::Suggestion]| -> Vec<(String, Edit)> {
        answers.iter().map(|answer| (answer.headline.clone(), answer.edit.clone())).collect()
    };
    assert_eq!(edits(&once), edits(&again));
    // The demo runs out under a slur; the best answer cures that.
    assert_eq!(once[0].after.runs_out, 0);
    assert!(once[0].weight() < weight(&analysis, &Standing::of(&lesson, &analysis), 0));
    for (index, answer) in once.iter().enumerate() {
        assert!(!answer.reasons.is_empty());
        assert!(once[..index].iter().all(|other| other.lesson != answer.lesson));
    }
    // Asked again of the best, there is less to gain.
    let better = suggest(&once[0].lesson, &once[0].analysis, &asked, &mut |_| true).expect("still a bowing");
    assert!(better[0].after.burden() <= once[0].after.burden() + 1e-9 || better[0].edit.is_empty());
}

#[test]
fn a_search_stops_when_told_and_says_why_there_is_none() {
    let mut lesson = demo();
    let analysis = analyse(&lesson);
    for stop in [0, 1, 150, 260] {
        let mut calls = 0;
        let mut last = 0.0;
        let result = suggest(&lesson, &analysis, &ask(Freedom::Directions), &mut |share| {
            assert!((0.0..=1.0).contains(&share) && share >= last, "{share} after {last}");
            last = share;
            calls += 1;
            calls <= stop
        });
        assert_eq!(result.err(), Some(SearchError::Cancelled));
        assert_eq!(calls, stop + 1, "nothing is asked after the answer no");
    }
    let none = Ask { events: Some(BTreeSet::new()), ..ask(Freedom::Free) };
    let result = suggest(&lesson, &analysis, &none, &mut |_| true);
    assert_eq!(result.err(), Some(SearchError::NothingToBow));
    let many = Ask { answers: 6, ..ask(Freedom::Free) };
    assert_eq!(suggest(&lesson, &analysis, &many, &mut |_| true).err(), Some(SearchError::Answers));
    let all: Vec<EventId> = lesson.score.events.iter().map(|event| event.id).collect();
    let edit = keep_bowing(&lesson, &all, true);
    take(&mut lesson, edit);
    let result = suggest(&lesson, &analyse(&lesson), &ask(Freedom::Free), &mut |_| true);
    assert_eq!(result.err(), Some(SearchError::NothingToChoose));
}

/// Three hundred notes of a real part, CC0, in `shared/data` beside the checkout.
#[test]
fn a_real_part_is_searched_through() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data/quartets");
    let Some(path) = std::fs::read_dir(&folder)
        .ok()
        .and_then(|files| files.filter_map(|file| Some(file.ok()?.path())).min())
    else {
        println!("SKIPPED: no real parts in {}", folder.display());
        return;
    };
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
    let analysis = analyse(&lesson);
    let before = weight(&analysis, &Standing::of(&lesson, &analysis), 0);
    let start = std::time::Instant::now();
    let answers = suggest(&lesson, &analysis, &ask(Freedom::Splits), &mut |_| true).expect("a bowing");
    println!(
        "{} bowed notes in {:.0} ms: weight {before:.2} to {:.2}, {}",
        analysis.bowed.len(),
        1e3 * start.elapsed().as_secs_f64(),
        answers[0].weight(),
        answers[0].headline
    );
    assert!(answers[0].weight() <= before);
}
