//! The answers of a search as a player reads them: the bowing as it is among them, others of several kinds, like
//! figures bowed alike. Common practice, no source, where nothing else is said.

use std::collections::BTreeSet;

use elbowroom::{
    advice::{
        Ask, Changed, Freedom, Suggestion,
        search::{Field, Link},
        suggest,
    },
    analysis::Study,
    bowing::Reached,
    lesson::{
        Lesson, Writer,
        change::{new_passage, set_ending, set_slur, split_slur},
    },
    score::{Direction, Dynamic, EventId, Mark, NoteValue, Quarters, SignKind, TimeSignature},
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

/// Loud bars of eight eighths in steps, four under each slur.
fn slurred(bars: usize, qpm: f64) -> (Lesson, Vec<EventId>) {
    let names = ["A4", "B4", "C5", "D5", "C5", "B4", "A4", "G4"];
    let (mut lesson, ids) = written(
        (0..8 * bars).fold(violin(4, qpm).sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::F)), |w, k| {
            w.note(names[k % 8], EIGHTH)
        }),
    );
    for four in ids.chunks(4) {
        let edit = set_slur(&lesson, four, true);
        take(&mut lesson, edit);
    }
    (lesson, ids)
}

fn answers(study: &Study, freedom: Freedom, events: Option<BTreeSet<EventId>>) -> Vec<Suggestion> {
    suggest(study, &Ask { events, freedom, answers: 5 }, &mut |_| true).expect("a bowing")
}

/// Quarters in steps, an sf on those of which the bit is set, two slurred where the first of them is named.
fn struck(count: usize, sf: u32, slurs: &[usize]) -> Study {
    let names = ["A4", "B4", "C5", "D5", "C5", "B4", "A4", "G4"];
    let mut writer = violin(4, 88.0);
    for k in 0..count {
        writer = writer.note(names[k % 8], NoteValue::QUARTER);
        writer = if sf >> k & 1 == 1 { writer.mark(Mark::Sforzando) } else { writer };
        writer = if k > 0 && slurs.contains(&(k - 1)) { writer.slur(2) } else { writer };
    }
    Study::new(written(writer).0)
}

/// Of the sf, which begin a down-bow.
fn struck_down(study: &Study) -> Vec<usize> {
    let analysis = study.analysis();
    let down = |k: &usize| {
        let bowed = analysis.bowed(*k);
        let begins = bowed.reached != Reached::SameStroke || analysis.is_stopped(*k);
        analysis.note(*k).marks.contains(&Mark::Sforzando) && begins && bowed.direction == Direction::Down
    };
    (0..analysis.bowing.notes.len()).filter(down).collect()
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

/// How each note goes on from the one before it: in its bow, stopped, lifted or in a bow of its own.
fn joints(study: &Study) -> Vec<(bool, bool, bool)> {
    let analysis = study.analysis();
    let joint = |k: usize| {
        let bowed = analysis.bowed(k);
        (bowed.reached == Reached::SameStroke, analysis.is_stopped(k), bowed.stolen_s > 0.0)
    };
    (0..analysis.bowing.notes.len()).map(joint).collect()
}

/// The bowing as it is is one of the answers, and no two of the others are the same turned round.
#[test]
fn the_bowing_as_it_is_and_others_of_several_kinds() {
    for (lesson, freedom) in
        [(slurred(2, 20.0).0, Freedom::Free), (dotted().0, Freedom::Free), (dotted().0, Freedom::Splits)]
    {
        let study = Study::new(lesson);
        let found = answers(&study, freedom, None);
        assert!(found.len() > 1);
        assert_eq!(found.iter().filter(|answer| answer.changes.is_empty()).count(), 1);
        let others = found.iter().filter(|answer| !answer.changes.is_empty());
        let different: BTreeSet<_> = others.map(|answer| joints(&answer.study)).collect();
        assert_eq!(different.len() + 1, found.len());
    }
}

/// Where every bar begins down and nothing runs out, the bowing as it is stands first. (Where the bow runs out and need
/// not, what cures it does: `search.rs`.)
#[test]
fn as_it_is_comes_first_where_nothing_is_clearly_better() {
    let quarters =
        Study::new(written((0..16).fold(violin(4, 88.0), |w, _| w.note("A4", NoteValue::QUARTER))).0);
    for freedom in [Freedom::Directions, Freedom::Splits, Freedom::Free] {
        assert!(answers(&quarters, freedom, None)[0].changes.is_empty());
    }
}

/// One of two equal slurs divided is bowed otherwise than its like; both divided are alike.
#[test]
fn a_figure_bowed_otherwise_than_its_like_weighs_more() {
    let (lesson, ids) = slurred(2, 72.0);
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

/// Where slurs are too long for a bow one answer divides all that are alike.
#[test]
fn like_slurs_are_divided_alike() {
    let study = Study::new(slurred(2, 20.0).0);
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

/// Where each bar begins with a rest the bow may be set either way, and another way is an answer; where the first of
/// every bar would begin on an up-bow for it, it is none.
#[test]
fn another_way_round_is_an_answer_where_it_is_as_good() {
    let halves = |rest: bool| {
        let bar = |w: Writer, _| {
            let begun = if rest { w.rest(NoteValue::HALF) } else { w.note("A4", NoteValue::HALF) };
            begun.note("C5", NoteValue::HALF)
        };
        Study::new(written((0..4).fold(violin(4, 60.0), bar)).0)
    };
    let turned = |study: &Study| {
        let found = answers(study, Freedom::Directions, None);
        found.iter().any(|answer| !answer.changes.is_empty() && joints(&answer.study) == joints(study))
    };
    assert!(turned(&halves(true)) && !turned(&halves(false)));
}

/// A bowing with fewer sf on down-bows comes after the one as it is; what brings some down says so, each kind for
/// itself, and nothing else is named after strong notes.
#[test]
fn an_sf_is_not_given_for_less() {
    let (mut brought, mut answered) = (0, 0);
    for (sf, slurs) in [
        (0b0000_0000_0010, &[][..]),
        (0b0000_0000_1010, &[]),
        (0b0000_0110_0000, &[]),
        (0b0000_0010_0100, &[2]),
        (0b0000_0100_0010, &[3]),
        (0b0000_0100_1000, &[0, 4]),
        (0b0000_1000_1000, &[1]),
        (0b0010_0110_0100, &[0]),
        (0b0001_1100_0000, &[2]),
        (0b0100_1001_0010, &[5, 8]),
    ] {
        let study = struck(12, sf, slurs);
        let now = struck_down(&study);
        let found = answers(&study, Freedom::Splits, None);
        let as_it_is = found.iter().position(|answer| answer.changes.is_empty()).expect("as it is");
        for (place, answer) in found.iter().enumerate().filter(|(place, _)| *place != as_it_is) {
            let then = struck_down(&answer.study);
            assert!(then.len() >= now.len() || place > as_it_is, "{sf:b}: {} first", answer.headline);
            let new = then.iter().filter(|k| !now.contains(k)).count();
            let gains = &answer.reasons[0];
            assert_eq!(gains.contains("the sf of bar"), new > 0, "{sf:b}: {} {gains}", answer.headline);
            brought += usize::from(new > 0);
            answered += 1;
            let name = answer.headline.to_lowercase();
            if name.contains("strong notes") || name.contains("accents on down-bows") {
                assert!(gains.contains("on a down-bow") || gains.contains("on down-bows"), "{name}: {gains}");
            }
        }
    }
    assert!(brought > 1 && answered > brought, "{brought} of {answered}");
}

/// A note with an accent is struck with a bow of its own: nothing is hooked into it.
#[test]
fn nothing_is_hooked_into_an_accent() {
    let study = struck(8, 0b0010_0000, &[]);
    let field = Field::new(&study, None, Freedom::Free);
    let hooked = |k: usize| field.links(k).contains(&Link::Hook);
    assert!((1..8).all(|k| hooked(k) == (k != 5)));
}
