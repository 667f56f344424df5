//! A warm-up for a piece in so many minutes: what there is to it, how long each part has, and what it is for.

use std::ops::{Range, RangeInclusive};

use super::{
    ladder::double_stops,
    passage::{Practised, passage_exercise},
    piece_scale::movement,
};
use crate::{
    analysis::Study,
    score::{Attack, EventId, Note, sentence_case},
};

/// Minutes that a warm-up can have. Assumed.
pub const MINUTES: RangeInclusive<u8> = 1..=60;
/// Minutes of one that nobody chose. Assumed.
pub const USUAL_MINUTES: u8 = 10;

/// What is played in a part of a warm-up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Warming {
    /// An exercise from all bars of the movement.
    Exercise(Practised),
    /// The way up to the double stop of this note.
    DoubleStop(EventId),
}

/// A part of a warm-up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WarmUpPart {
    /// What is played.
    pub what: Warming,
    /// How long, minutes.
    pub minutes: u8,
}

/// What a warm-up consists of where there is time, in its order, with the share of the time that each has. Long bows
/// first, and what is new last: common practice, no source; the shares are assumed.
const COURSE: [(Practised, f64); 6] = [
    (Practised::ScaleSingle, 3.0),
    (Practised::ScaleSlurred, 2.0),
    (Practised::ArpeggioSingle, 1.0),
    (Practised::ArpeggioSlurred, 1.2),
    (Practised::Rocking, 1.8),
    (Practised::ScaleStroked, 1.6),
];
/// The same of a double stop.
const DOUBLE_STOP: f64 = 1.4;

/// The parts of a warm-up for the movement of a bar in so many minutes, kept to [`MINUTES`]: what the movement has,
/// as far as there is a minute for each. Together they have all the minutes.
pub fn warm_up_parts(study: &Study, bar: usize, minutes: u8) -> Vec<WarmUpPart> {
    let minutes = minutes.clamp(*MINUTES.start(), *MINUTES.end());
    let all = movement(study, bar);
    let there_is = |kind: &Practised| passage_exercise(study, all.clone(), *kind).is_ok();
    let course = COURSE.into_iter().filter(|(kind, _)| there_is(kind));
    let mut parts: Vec<(Warming, f64)> =
        course.map(|(kind, share)| (Warming::Exercise(kind), share)).collect();
    parts.extend(first_of_each(study, &all).into_iter().map(|note| (Warming::DoubleStop(note), DOUBLE_STOP)));
    while parts.len() > usize::from(minutes) {
        // Of as much weight the later one goes.
        let least = (0..parts.len()).rev().min_by(|a, b| parts[*a].1.total_cmp(&parts[*b].1));
        least.map(|least| parts.remove(least));
    }
    let shares: Vec<f64> = parts.iter().map(|(_, share)| *share).collect();
    let minutes = shared_out(minutes, &shares);
    parts.into_iter().zip(minutes).map(|((what, _), minutes)| WarmUpPart { what, minutes }).collect()
}

/// Whole minutes by shares, one at least for each; all of them together are what there is.
fn shared_out(minutes: u8, shares: &[f64]) -> Vec<u8> {
    let mut given = vec![1_u8; shares.len()];
    for _ in shares.len()..usize::from(minutes) {
        // The next minute goes where most is missing.
        let missing = |k: usize| shares[k] / f64::from(given[k]);
        if let Some(k) = (0..shares.len()).max_by(|a, b| missing(*a).total_cmp(&missing(*b))) {
            given[k] += 1;
        }
    }
    given
}

/// Most double stops. Assumed.
const MOST_STOPS: usize = 3;

/// The first places of different double stops that lie in the hand.
fn first_of_each(study: &Study, bars: &Range<usize>) -> Vec<EventId> {
    let lies = double_stops(study);
    let here = study.analysis().line.notes.iter().filter(|attack| bars.contains(&attack.bar));
    let first = |pair: &[Note; 2]| {
        let same = |attack: &&Attack| {
            attack.notes.len() == 2
                && attack.notes.iter().zip(pair).all(|(one, other)| one.pitch == other.pitch)
        };
        here.clone().find(same).map(Attack::id)
    };
    lies.iter().filter_map(first).take(MOST_STOPS).collect()
}

impl WarmUpPart {
    /// Its name.
    pub fn words(&self, study: &Study) -> String {
        match self.what {
            Warming::Exercise(kind) => sentence_case(kind.words()),
            Warming::DoubleStop(_) => format!("{} together, step by step", self.names(study)),
        }
    }

    /// The notes of a double stop: "D4 and B4".
    pub fn names(&self, study: &Study) -> String {
        let Warming::DoubleStop(note) = self.what else { return String::new() };
        let line = &study.analysis().line;
        let notes = line.note_of(note).map_or(&[][..], |note| &line.notes[note].notes);
        let names: Vec<String> = notes.iter().map(|note| note.pitch.name()).collect();
        names.join(" and ")
    }

    /// What it is for, in a line.
    pub fn purpose(&self) -> &'static str {
        match self.what {
            Warming::Exercise(Practised::Rocking) => {
                "For its crossings: the elbow goes first; the faster, the less the arm moves."
            }
            Warming::Exercise(kind) => kind.purpose(),
            Warming::DoubleStop(_) => {
                "For its double stops: each note alone, then both with the same weight."
            }
        }
    }

    /// "3 minutes".
    pub fn time_words(&self) -> String {
        format!("{} minute{}", self.minutes, if self.minutes == 1 { "" } else { "s" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    #[test]
    fn a_warm_up_has_the_minutes_that_were_chosen() {
        let study = Study::new(demo());
        for minutes in [1, 3, 5, 10, 25, 60] {
            let parts = warm_up_parts(&study, 0, minutes);
            assert_eq!(parts.iter().map(|part| part.minutes).sum::<u8>(), minutes, "{parts:?}");
            assert!(parts.iter().all(|part| part.minutes > 0));
            assert_eq!(parts[0].what, Warming::Exercise(Practised::ScaleSingle), "long bows first");
        }
        assert_eq!(warm_up_parts(&study, 0, 0).len(), 1);
        let all = warm_up_parts(&study, 0, 30);
        let has = |kind| all.iter().any(|part| part.what == Warming::Exercise(kind));
        assert!(has(Practised::Rocking) && has(Practised::ScaleSlurred) && has(Practised::ArpeggioSingle));
    }

    /// Bars of several movements are not named together, so it is for one: here two, the second an octave higher.
    #[test]
    fn of_several_movements_one_is_taken() {
        let mut lesson = demo();
        let (bars, events) = (lesson.score.bars.clone(), lesson.score.events.clone());
        let (end, free) = (lesson.score.end(), lesson.score.free_event_id().0);
        lesson
            .score
            .bars
            .extend(bars.iter().cloned().map(|bar| crate::score::Bar { start: bar.start + end, ..bar }));
        lesson.score.events.extend(events.iter().cloned().map(|mut event| {
            (event.id.0, event.onset) = (event.id.0 + free, event.onset + end);
            event
        }));
        lesson.score.sort();
        let study = Study::new(lesson);
        let (first, second) = (movement(&study, 3), movement(&study, bars.len() + 3));
        assert_eq!((first, second), (0..bars.len(), bars.len()..2 * bars.len()));
        let score = &study.lesson().score;
        for bar in [0, bars.len()] {
            let typed = score.typed_bars(movement(&study, bar));
            assert_eq!(score.bars_named(&typed), Ok(movement(&study, bar)), "{typed}");
            assert!(warm_up_parts(&study, bar, 10).len() > 4);
        }
    }
}
