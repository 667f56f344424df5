//! The places one steps through in the music.

use crate::{
    analysis::Analysis,
    score::{EventId, Quarters, Score},
};

/// The places one steps through note by note: attacks of the bowed line and rests, by onset.
pub fn note_steps(score: &Score, analysis: &Analysis) -> Vec<(Quarters, EventId)> {
    let rests = score.events.iter().filter(|event| event.is_rest() && event.voice == 0);
    let mut steps: Vec<(Quarters, EventId)> = rests.map(|event| (event.onset, event.id)).collect();
    steps.extend(analysis.line.notes.iter().map(|note| (note.onset, note.id())));
    steps.sort_unstable();
    steps.dedup_by_key(|step| step.0);
    steps
}

/// Times of all beats, s at the practice tempo.
pub fn beat_times(score: &Score, analysis: &Analysis) -> Vec<f64> {
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

/// The note or rest at or before a moment.
pub fn step_at(steps: &[(Quarters, EventId)], quarters: f64) -> Option<EventId> {
    let after = steps.partition_point(|(at, _)| at.to_f64() <= quarters + 1e-6);
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
}
