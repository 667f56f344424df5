//! The ladder up to a double stop, as an exercise: the open pair, each note alone, both fingers down
//! while only one string is bowed, both together, and from one string into both.
//!
//! The order of the rungs is common practice, no source; so is tuning against an open string.

use std::collections::BTreeSet;

use crate::{
    analysis::Study,
    arm::{Finger, Together, together},
    lesson::Lesson,
    score::{Note, NoteValue, Score},
    setup::Setup,
};

use super::sheet::Sheet;

/// At most this many double stops make one exercise. Assumed.
pub const MOST: usize = 12;
/// Double stops looked at are held for this long, s; it has no bearing on hand or strings.
const LOOK_S: f64 = 1.0;

const HALF: NoteValue = NoteValue::plain(-1);
const QUARTER: NoteValue = NoteValue::QUARTER;
const EIGHTH: NoteValue = NoteValue::plain(-3);

/// The different double stops of a passage that lie in the hand, in their order, at most [`MOST`].
/// Notes of chords are taken two by two, as the bow takes them.
pub fn double_stops(study: &Study) -> Vec<[Note; 2]> {
    let mut seen = BTreeSet::new();
    let mut found = Vec::new();
    for attack in &study.analysis().line.notes {
        for pair in attack.notes.windows(2) {
            let key = pair.iter().map(|note| (100.0 * note.pitch.midi()).round() as i64).collect::<Vec<_>>();
            let pair = [pair[0].clone(), pair[1].clone()];
            if together(&study.lesson().setup, &pair, LOOK_S).problem.is_none() && seen.insert(key) {
                found.push(pair);
            }
        }
    }
    found.truncate(MOST);
    found
}

/// The exercise for some double stops, at most [`MOST`], for the same instrument and player. What
/// cannot be played together is left out; none where nothing is left.
pub fn double_stop_ladder(lesson: &Lesson, pairs: &[[Note; 2]]) -> Option<Lesson> {
    let mut sheet = Sheet::default();
    let mut names = Vec::new();
    for pair in pairs.iter().take(MOST) {
        let found = together(&lesson.setup, pair, LOOK_S);
        if found.problem.is_none() && found.fingers.len() == 2 {
            names.push(found.names.join(" and "));
            Rungs(&mut sheet).ladder(&lesson.setup, pair, &found);
        }
    }
    if sheet.is_empty() {
        return None;
    }
    let title = match &names[..] {
        [one] => format!("Double stop {one}, step by step"),
        several => format!("{} double stops, step by step", several.len()),
    };
    let score = Score { title, ..sheet.score(lesson, 0) };
    let setup = Setup { tempo_share: 1.0, ..lesson.setup.clone() };
    Some(Lesson { setup, ..Lesson::new(score, lesson.setup.instrument.family) })
}

/// The rungs of one double stop.
struct Rungs<'a>(&'a mut Sheet);

impl Rungs<'_> {
    fn ladder(&mut self, setup: &Setup, pair: &[Note; 2], found: &Together) {
        let mut pair = pair.clone();
        pair.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        let strings = &setup.instrument.strings;
        let open = |string: u8| strings.get(usize::from(string).saturating_sub(1));
        // Bound to the strings and fingers of the double stop, so that a note alone stays where it is.
        let bound = |index: usize| {
            let (string, finger) = found.fingers[index];
            let fingers = vec![finger.mark().to_owned()];
            Note { string: Some(string), fingers, ..Note::new(pair[index].pitch) }
        };
        let open_note = |index: usize| {
            let string = found.fingers[index].0;
            let note = Note::new(open(string).map_or(pair[index].pitch, |string| string.pitch));
            Note { string: Some(string), fingers: vec![Finger::Open.mark().to_owned()], ..note }
        };
        let (low, high) = (bound(0), bound(1));
        let both = vec![low.clone(), high.clone()];
        let stopped = |index: usize| found.fingers[index].1 != Finger::Open;
        let name = |index: usize| open(found.fingers[index].0).map_or("?", |string| &string.name);

        let open_pair = vec![open_note(0), open_note(1)];
        self.halves(&format!("open {} and {}", name(0), name(1)), &open_pair);
        self.halves("lower note", std::slice::from_ref(&low));
        if stopped(0) {
            // Usually the lower note is tuned, against the open string beside it.
            self.halves(&format!("tune with {}", name(1)), &[low.clone(), open_note(1)]);
        }
        self.halves("upper note", std::slice::from_ref(&high));
        if stopped(0) || stopped(1) {
            let down = if stopped(0) && stopped(1) { "both fingers down" } else { "finger down" };
            self.halves(&format!("{down}, bow {}", name(0)), std::slice::from_ref(&low));
            self.halves(&format!("{down}, bow {}", name(1)), std::slice::from_ref(&high));
        }
        self.halves("both", &both);
        self.0.row("one into both");
        for first in [&low, &high] {
            let from = self.0.note(QUARTER, vec![first.clone()]);
            let to = self.0.note(QUARTER, both.clone());
            self.0.slurs(&[from, to], 2);
        }
        self.0.row("over and back");
        for (first, last) in [(&low, &high), (&high, &low)] {
            let from = self.0.note(EIGHTH, vec![first.clone()]);
            self.0.note(EIGHTH, both.clone());
            let to = self.0.note(QUARTER, vec![last.clone()]);
            self.0.slurs(&[from, to], 2);
        }
        self.0.end();
    }

    /// A bar of two half notes, down and up.
    fn halves(&mut self, words: &str, notes: &[Note]) {
        self.0.row(words);
        self.0.note(HALF, notes.to_vec());
        self.0.note(HALF, notes.to_vec());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::analyse,
        arm::Plane,
        bowing::Verdict,
        lesson::{change::new_passage, demo::demo},
        score::{Event, Pitch, Quarters, Shared, TimeSignature},
        setup::Family,
    };

    /// The rungs of one double stop, as lists of the notes of each bar.
    fn rungs(exercise: &Lesson) -> Vec<Vec<Vec<String>>> {
        let names =
            |event: &Shared<Event>| event.notes.iter().map(|note| note.pitch.name()).collect::<Vec<_>>();
        let bars = exercise.score.bars.iter();
        bars.map(|bar| {
            let inside = |event: &&Shared<Event>| event.onset >= bar.start && event.onset < bar.end();
            exercise.score.events.iter().filter(inside).map(names).collect()
        })
        .collect()
    }

    fn pair(low: &str, high: &str) -> [Note; 2] {
        [low, high].map(|name| Note::new(Pitch::from_name(name).expect("a name")))
    }

    /// The order of the rungs: common practice, no source.
    #[test]
    fn the_ladder_leads_from_the_open_pair_to_both_notes() {
        let lesson = new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0);
        let exercise = double_stop_ladder(&lesson, &[pair("E4", "C5")]).expect("a sixth in first position");
        let rungs = rungs(&exercise);
        let (low, high) = (vec!["E4".to_owned()], vec!["C5".to_owned()]);
        let both = vec!["E4".to_owned(), "C5".to_owned()];
        let open = vec!["D4".to_owned(), "A4".to_owned()];
        let tuned = vec!["E4".to_owned(), "A4".to_owned()];
        assert_eq!(
            rungs,
            [
                vec![open.clone(), open],
                vec![low.clone(), low.clone()],
                vec![tuned.clone(), tuned],
                vec![high.clone(), high.clone()],
                vec![low.clone(), low.clone()],
                vec![high.clone(), high.clone()],
                vec![both.clone(), both.clone()],
                vec![low.clone(), both.clone(), high.clone(), both.clone()],
                vec![low.clone(), both.clone(), high.clone(), high, both, low],
            ]
        );
        for bar in &exercise.score.bars {
            let inside = |event: &&Shared<Event>| event.onset >= bar.start && event.onset < bar.end();
            let sum: Quarters = exercise.score.events.iter().filter(inside).map(|event| event.duration).sum();
            assert_eq!(sum, bar.length);
        }
        assert_eq!(double_stop_ladder(&lesson, &[]), None);
        assert_eq!(double_stop_ladder(&lesson, &[pair("G3", "E7")]), None, "no hand takes it");
    }

    /// Every rung of every double stop that lies in the hand can be played: on its two strings, with its
    /// fingers, and with bow enough.
    #[test]
    fn every_rung_can_be_played() {
        let mut count = 0;
        for family in Family::ALL {
            let lesson = new_passage(family, TimeSignature::new(4, 4), 0, 60.0);
            let lowest = lesson.setup.instrument.strings.last().map_or(0, |s| s.pitch.midi() as i32);
            for (low, wide) in (0..24).step_by(5).flat_map(|low| [3, 4, 5, 7, 8, 9, 12].map(|w| (low, w))) {
                let midi = [lowest + low, lowest + low + wide];
                let pair = midi.map(|midi| Note::new(Pitch::from_midi(midi, false)));
                let found = together(&lesson.setup, &pair, LOOK_S);
                let Some(exercise) = double_stop_ladder(&lesson, &[pair]) else {
                    assert!(found.problem.is_some());
                    continue;
                };
                count += 1;
                let analysis = analyse(&exercise);
                let bad = |finding: &&crate::bowing::Finding| finding.verdict <= Verdict::RunsOut;
                assert_eq!(analysis.findings.told.iter().find(bad), None, "{}", exercise.score.title);
                let plane = found.pairs[0].plane;
                for (attack, placement) in analysis.line.notes.iter().zip(&analysis.left_hand.placements) {
                    assert_eq!(placement.problem, None, "{} {attack:?}", exercise.score.title);
                    let on_pair = placement.strings.iter().all(|s| plane.strings().any(|p| p == *s));
                    assert!(on_pair, "{} {placement:?}", exercise.score.title);
                    assert_eq!(attack.notes.len() == 2, placement.plane == plane);
                }
            }
        }
        assert!(count > 40, "{count}");
    }

    #[test]
    fn the_double_stops_of_a_passage_are_taken_once_each() {
        let lesson = demo();
        let found = double_stops(&Study::new(lesson.clone()));
        let names: Vec<String> =
            found.iter().map(|pair| pair.each_ref().map(|note| note.pitch.name()).join(" ")).collect();
        assert_eq!(names, ["D4 B4", "D4 A4", "B3 G4", "A3 F♯4", "B3 D4", "A3 D4", "G3 D4"]);
        let exercise = double_stop_ladder(&lesson, &found).expect("all lie in the hand");
        assert_eq!(exercise.score.title, "7 double stops, step by step");
        assert!(matches!(analyse(&exercise).left_hand.placements[0].plane, Plane::Pair(_)));
    }
}
