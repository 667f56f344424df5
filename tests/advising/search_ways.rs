//! The answers of a search as a player reads them: ways that are thought of, nothing that gains nothing, like
//! figures bowed alike. Common practice, no source, where nothing else is said.

use std::collections::BTreeSet;

use elbowroom::{
    advice::{
        Ask, Changed, Freedom, Suggestion,
        search::{Field, Link},
        suggest,
    },
    analysis::Study,
    lesson::{
        Lesson, Writer,
        change::{new_passage, set_ending, set_slur, split_slur},
    },
    score::{Direction, EventId, NoteValue, TimeSignature},
    setup::Family,
};

use crate::{lessons::take, music::written};

const EIGHTH: NoteValue = NoteValue::EIGHTH;

fn violin(beats: u16, qpm: f64) -> Writer {
    Writer::new(new_passage(Family::Violin, TimeSignature::new(beats, 4), 0, qpm))
}

/// Four bars of a dotted quarter, an eighth and a quarter.
fn dotted() -> (Lesson, Vec<EventId>) {
    let bar = |writer: Writer, _| {
        writer.note("A4", NoteValue::QUARTER.dotted()).note("B4", EIGHTH).note("C5", NoteValue::QUARTER)
    };
    written((0..4).fold(violin(3, 88.0), bar))
}

/// Bars of eight eighths in steps, four under each slur.
fn slurred(bars: usize) -> (Lesson, Vec<EventId>) {
    let names = ["A4", "B4", "C5", "D5", "C5", "B4", "A4", "G4"];
    let (mut lesson, ids) = written((0..8 * bars).fold(violin(4, 72.0), |w, k| w.note(names[k % 8], EIGHTH)));
    for four in ids.chunks(4) {
        let edit = set_slur(&lesson, four, true);
        take(&mut lesson, edit);
    }
    (lesson, ids)
}

fn answers(study: &Study, freedom: Freedom, events: Option<BTreeSet<EventId>>) -> Vec<Suggestion> {
    suggest(study, &Ask { events, freedom, answers: 5 }, &mut |_| true).expect("a bowing")
}

/// Each stroke goes the other way than the one before it, and takes one note.
fn goes_by_turns(study: &Study) -> bool {
    let strokes = &study.analysis().bowing.strokes;
    strokes.iter().all(|stroke| stroke.notes.len() == 1)
        && strokes.windows(2).all(|two| two[0].direction != two[1].direction)
}

/// The short note of a dotted figure is hooked of its own accord; who does not hook plays by turns, and is
/// offered that though the slurs are to stay.
#[test]
fn what_is_hooked_unasked_is_offered_by_turns() {
    let study = Study::new(dotted().0);
    assert!((0..12).any(|k| study.analysis().is_stopped(k)), "nothing is hooked of its own accord");
    let answers = answers(&study, Freedom::Splits, None);
    let by_turns = answers.iter().find(|answer| goes_by_turns(&answer.study));
    let by_turns = by_turns
        .unwrap_or_else(|| panic!("{:?}", answers.iter().map(|answer| &answer.headline).collect::<Vec<_>>()));
    assert!(by_turns.headline.to_lowercase().contains("all by turns"), "{}", by_turns.headline);
    // No slur is undone by that.
    assert_eq!(by_turns.changed.divided, 0);
}

/// An answer is better than now in something it names, or a way with a name; the others are left out, and no
/// two bow the chosen notes alike.
#[test]
fn what_gains_nothing_is_no_answer() {
    for (lesson, freedom) in
        [(slurred(2).0, Freedom::Free), (dotted().0, Freedom::Free), (dotted().0, Freedom::Splits)]
    {
        let study = Study::new(lesson);
        let found = answers(&study, freedom, None);
        assert!(found.len() > 1);
        for answer in found.iter().filter(|answer| !answer.changes.is_empty()) {
            let named = !answer.headline.starts_with("Bar ");
            assert!(
                named || answer.reasons[0] != "Gains: none; another way to play it.",
                "{}",
                answer.headline
            );
        }
        let strokes = |answer: &Suggestion| {
            let strokes = &answer.study.analysis().bowing.strokes;
            strokes.iter().map(|stroke| (stroke.notes.clone(), stroke.direction)).collect::<Vec<_>>()
        };
        let different: BTreeSet<String> =
            found.iter().map(|answer| format!("{:?}", strokes(answer))).collect();
        assert_eq!(different.len(), found.len());
    }
}

/// One of two equal slurs divided is bowed otherwise than its like; both divided are alike.
#[test]
fn a_figure_bowed_otherwise_than_its_like_weighs_more() {
    let (lesson, ids) = slurred(2);
    let study = Study::new(lesson.clone());
    let changed = |notes: &[EventId]| {
        let mut lesson = lesson.clone();
        for note in notes {
            let edit = split_slur(&lesson, *note);
            take(&mut lesson, edit);
        }
        Changed::between(&study, &Study::new(lesson))
    };
    let (one, both) = (changed(&ids[2..3]), changed(&[ids[2], ids[10]]));
    assert_eq!((one.divided, one.unlike), (1, 1));
    assert_eq!((both.divided, both.unlike), (2, 0));
}

/// Where slurs may be divided one answer divides all that are alike.
#[test]
fn like_slurs_are_divided_alike() {
    let study = Study::new(slurred(2).0);
    let found = answers(&study, Freedom::Free, None);
    let divided: Vec<&Suggestion> = found.iter().filter(|answer| answer.changed.divided > 0).collect();
    assert!(divided.iter().any(|answer| answer.changed.divided >= 4 && answer.changed.unlike == 0));
}

/// No slur reaches out of the bars asked about, nor from one ending into the other: more than one bar leads
/// there.
#[test]
fn no_slur_leaves_the_chosen_bars_or_joins_endings() {
    let (mut lesson, ids) =
        written((0..32).fold(violin(4, 88.0), |w, k| w.note(["A4", "B4"][k % 2], EIGHTH)));
    let asked: BTreeSet<EventId> = ids[8..].iter().copied().collect();
    let links = |lesson: &Lesson, k: usize| {
        let study = Study::new(lesson.clone());
        Field::new(&study, Some(&asked), Freedom::Free).links(k).to_vec()
    };
    assert!(!links(&lesson, 8).contains(&Link::Slur) && links(&lesson, 9).contains(&Link::Slur));
    assert!(links(&lesson, 24).contains(&Link::Slur));
    for (bar, number) in [(2, "1"), (3, "2")] {
        let edit = set_ending(&lesson, bar, number);
        take(&mut lesson, edit);
    }
    for ending in [16, 24] {
        let links = links(&lesson, ending);
        assert!(!links.contains(&Link::Slur) && !links.contains(&Link::Hook), "{links:?}");
    }
}

/// Begun the other way round, all the chosen notes turn.
#[test]
fn the_other_way_round_is_an_answer() {
    let (lesson, _) =
        written((0..4).fold(violin(4, 60.0), |w, k| w.note(["A4", "C5"][k % 2], NoteValue::WHOLE)));
    let study = Study::new(lesson);
    let found = answers(&study, Freedom::Directions, None);
    let first = |study: &Study| study.analysis().bowed(0).direction;
    let turned = found.iter().find(|answer| first(&answer.study) != first(&study)).expect("turned round");
    assert_eq!((first(&study), goes_by_turns(&turned.study)), (Direction::Down, true));
    assert!(turned.headline.starts_with("Turned round (bar 1"), "{}", turned.headline);
}
