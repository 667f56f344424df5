//! The places one steps through in the music.

use strum::EnumIter;

use crate::{
    analysis::Analysis,
    score::{EventId, Quarters, Score},
};

/// What a step goes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, EnumIter)]
pub enum StepUnit {
    /// The next note or rest.
    #[default]
    Note,
    /// The next beat.
    Beat,
    /// The next bow.
    Bow,
    /// The next bar.
    Bar,
    /// The next change of level.
    Level,
}

impl StepUnit {
    /// "note", "change of level".
    pub fn words(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Beat => "beat",
            Self::Bow => "bow",
            Self::Bar => "bar",
            Self::Level => "change of level",
        }
    }

    /// The moments one steps to, s at the practice tempo, in order.
    pub fn times(self, score: &Score, analysis: &Analysis) -> Vec<f64> {
        let at_note = |note: usize| analysis.seconds_at(analysis.note(note).onset);
        let mut times: Vec<f64> = match self {
            Self::Note => {
                let steps = note_steps(score, analysis);
                steps.iter().map(|step| analysis.seconds_at(step.0)).collect()
            }
            Self::Beat => beat_times(score, analysis),
            Self::Bow => analysis.bowing.strokes.iter().map(|stroke| at_note(stroke.notes.start)).collect(),
            Self::Bar => score.bars.iter().map(|bar| analysis.seconds_at(bar.start)).collect(),
            Self::Level => {
                analysis.arm_path.crossings.iter().map(|crossing| at_note(crossing.into)).collect()
            }
        };
        times.sort_by(f64::total_cmp);
        times
    }
}

/// The step at or before a moment, and the one after it.
pub fn present_and_next(
    score: &Score,
    analysis: &Analysis,
    quarters: f64,
) -> (Option<EventId>, Option<EventId>) {
    let notes = &analysis.line.notes;
    let after = notes.partition_point(|note| has_begun(note.onset, quarters));
    let from = notes[..after].last().map_or(Quarters::ZERO, |note| note.onset);
    let to = notes.get(after + 1).map_or(score.end(), |note| note.onset) + Quarters::ONE;
    let steps = steps_between(score, analysis, from, to);
    let begun = steps.partition_point(|(at, _)| has_begun(*at, quarters)).max(1);
    let at = |index: usize| steps.get(index).map(|(_, id)| *id);
    (at(begun - 1), at(begun))
}

/// The places one steps through note by note: attacks of the bowed line and rests, by onset.
pub fn note_steps(score: &Score, analysis: &Analysis) -> Vec<(Quarters, EventId)> {
    steps_between(score, analysis, Quarters::ZERO, score.end() + Quarters::ONE)
}

/// Those from one moment on and before another.
fn steps_between(
    score: &Score,
    analysis: &Analysis,
    from: Quarters,
    to: Quarters,
) -> Vec<(Quarters, EventId)> {
    let place = |at: Quarters| score.events.partition_point(|event| event.onset < at);
    let rests = score.events[place(from)..place(to)].iter().filter(|e| e.is_rest() && e.voice == 0);
    let mut steps: Vec<(Quarters, EventId)> = rests.map(|event| (event.onset, event.id)).collect();
    let notes = &analysis.line.notes[analysis.line.between(from, to)];
    steps.extend(notes.iter().map(|note| (note.onset, note.id())));
    steps.sort_unstable();
    steps.dedup_by_key(|step| step.0);
    steps
}

/// The step at or before a moment; before the first one that one. It looks from the note before the moment to
/// the one behind it, so that it can be asked every frame.
pub fn step_about(score: &Score, analysis: &Analysis, quarters: f64) -> Option<EventId> {
    let notes = &analysis.line.notes;
    let after = notes.partition_point(|note| has_begun(note.onset, quarters));
    let from = notes[..after].last().map_or(Quarters::ZERO, |note| note.onset);
    let to = notes.get(after).map_or(score.end(), |note| note.onset) + Quarters::ONE;
    step_at(&steps_between(score, analysis, from, to), quarters)
}

fn has_begun(at: Quarters, quarters: f64) -> bool {
    at.to_f64() <= quarters + 1e-6
}

/// Times of all beats, s at the practice tempo.
fn beat_times(score: &Score, analysis: &Analysis) -> Vec<f64> {
    let mut times = Vec::new();
    for bar in &score.bars {
        let beat = bar.time.beat();
        let mut at = bar.start;
        while beat.is_positive() && at < bar.end() {
            times.push(analysis.seconds_at(at));
            at += beat;
        }
    }
    times.push(analysis.total_s());
    times
}

/// The step at or before a moment; before the first one that one.
pub fn step_at(steps: &[(Quarters, EventId)], quarters: f64) -> Option<EventId> {
    let after = steps.partition_point(|(at, _)| has_begun(*at, quarters));
    steps.get(after.saturating_sub(1)).map(|(_, id)| *id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{analysis::analyse, lesson::demo::demo};

    #[test]
    fn steps_are_in_order_and_hold_the_rests() {
        let lesson = demo();
        let steps = note_steps(&lesson.score, &analyse(&lesson));
        assert!(steps.windows(2).all(|pair| pair[0].0 < pair[1].0));
        assert_eq!(steps.len(), lesson.score.events.len());
    }

    #[test]
    fn the_next_step_follows_the_present_one() {
        let lesson = demo();
        let analysis = analyse(&lesson);
        let steps = note_steps(&lesson.score, &analysis);
        for (nth, (at, id)) in steps.iter().enumerate() {
            let (present, next) = present_and_next(&lesson.score, &analysis, at.to_f64());
            assert_eq!(present, Some(*id), "{at}");
            assert_eq!(next, steps.get(nth + 1).map(|step| step.1), "{at}");
        }
    }

    /// The demo: 12 bars in common time; the second bow is the slur of the G.
    #[test]
    fn one_steps_by_beats_bows_bars_and_levels() {
        let lesson = demo();
        let analysis = analyse(&lesson);
        let count = |unit: StepUnit| unit.times(&lesson.score, &analysis).len();
        assert_eq!((count(StepUnit::Bar), count(StepUnit::Beat)), (12, 49));
        assert_eq!(count(StepUnit::Bow), analysis.bowing.strokes.len());
        assert_eq!(count(StepUnit::Level), analysis.arm_path.crossings.len());
        let second = StepUnit::Bow.times(&lesson.score, &analysis)[1];
        assert!((second - analysis.seconds_at(Quarters::TWO)).abs() < 1e-9);
    }

    #[test]
    fn what_is_found_about_a_moment_is_what_is_found_among_all() {
        let lesson = demo();
        let analysis = analyse(&lesson);
        let steps = note_steps(&lesson.score, &analysis);
        let end = lesson.score.end().to_f64();
        for k in -2..=400 {
            let at = end * f64::from(k) / 390.0;
            assert_eq!(step_about(&lesson.score, &analysis, at), step_at(&steps, at), "{at}");
        }
    }
}
