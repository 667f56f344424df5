//! The places one steps through in the music.

use crate::{
    analysis::Analysis,
    score::{EventId, Quarters, Score},
};

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
