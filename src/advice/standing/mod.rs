//! How a lesson stands: one measure by which bowings are compared.

use crate::{
    analysis::Analysis,
    bowing::{Reached, Verdict},
    lesson::Lesson,
    score::{Direction, Event, EventId, Score, Slur, SlurId},
};
use std::collections::{BTreeMap, BTreeSet};

/// How a lesson stands, for ranking bowings of the same notes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// Spots that cannot be played as marked.
    pub impossible: usize,
    /// Spots where the bow runs out as marked.
    pub runs_out: usize,
    /// Spots where the plan bends a lot.
    pub tight: usize,
    /// Rules of thumb that speak against it.
    pub notices: usize,
    /// Hair missing in all, mm.
    pub missing_mm: f64,
    /// Sum over the findings of how plainly each is heard, weighed by its verdict.
    pub heard: f64,
    /// Cost of the plan.
    pub cost: f64,
    /// Bars that begin with the start of a stroke or a hooked note: (on a down-bow, all of them).
    pub strong_beats: (usize, usize),
    /// Hairpins inside one stroke: (crescendo up or diminuendo down, all of them).
    pub hairpins: (usize, usize),
}

/// What one finding of each verdict weighs against the cost of a plan. Assumed: what cannot be
/// played outweighs everything, a run-out outweighs any bending of speeds.
const IMPOSSIBLE: f64 = 100.0;
const RUNS_OUT: f64 = 10.0;
const TIGHT: f64 = 1.0;
const NOTICE: f64 = 0.5;
/// Part of its weight that a finding has however little is heard of it. Assumed.
const UNHEARD: f64 = 0.3;
/// A strong beat on an up-bow, and a hairpin against the bow. Assumed.
pub(super) const STRONG_BEAT: f64 = 0.3;
pub(super) const HAIRPIN: f64 = 0.3;

/// What a finding weighs that is heard so plainly, 0 to 1.
pub(super) fn told_weight(verdict: Verdict, heard: f64) -> f64 {
    let most = match verdict {
        Verdict::Impossible => IMPOSSIBLE,
        Verdict::RunsOut => RUNS_OUT,
        Verdict::Tight => TIGHT,
        Verdict::Notice => NOTICE,
    };
    most * (UNHEARD + (1.0 - UNHEARD) * heard.min(1.0))
}

impl Standing {
    /// How a lesson stands with its own analysis.
    pub fn of(lesson: &Lesson, analysis: &Analysis) -> Self {
        Self::within(lesson, analysis, &|_| true)
    }

    /// The same of some of the written notes; the plan is that of the whole lesson.
    pub fn within(lesson: &Lesson, analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> Self {
        let mut standing = Self {
            cost: analysis.plan.solution.cost,
            strong_beats: strong_beats(lesson, analysis, inside),
            hairpins: hairpins(lesson, analysis, inside),
            ..Self::default()
        };
        for finding in &analysis.findings.told {
            let spots = finding.events().filter(|event| inside(*event)).count();
            if spots == 0 {
                continue;
            }
            let count = match finding.verdict {
                Verdict::Impossible => &mut standing.impossible,
                Verdict::RunsOut => &mut standing.runs_out,
                Verdict::Tight => &mut standing.tight,
                Verdict::Notice => &mut standing.notices,
            };
            *count += spots;
            standing.heard += spots as f64 * told_weight(finding.verdict, finding.heard);
            if matches!(finding.verdict, Verdict::Impossible | Verdict::RunsOut) {
                standing.missing_mm += finding.short_mm;
            }
        }
        standing
    }

    /// One number: the lower, the better. Only compares bowings of the same notes.
    pub fn burden(&self) -> f64 {
        let against = |(with, all): (usize, usize)| (all - with) as f64;
        self.heard + self.cost + STRONG_BEAT * against(self.strong_beats) + HAIRPIN * against(self.hairpins)
    }
}

/// Bars whose first note starts a stroke or is hooked: (on a down-bow, all). What is slurred over the
/// barline has no beat of its own. The down-bow on strong beats is common practice, no source, with many
/// exceptions.
fn strong_beats(lesson: &Lesson, analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> (usize, usize) {
    let mut count = (0, 0);
    for (k, note) in analysis.bowing.notes.iter().enumerate() {
        let struck = note.reached != Reached::SameStroke || analysis.is_stopped(k);
        let note_here = analysis.note(k);
        if struck && inside(note_here.id()) && lesson.score.starts_bar(note_here) {
            count.1 += 1;
            count.0 += usize::from(note.direction == Direction::Down);
        }
    }
    count
}

/// Hairpins that lie inside one stroke: (with the bow, all). Crescendo on an up-bow and diminuendo
/// on a down-bow is common practice, no source.
fn hairpins(lesson: &Lesson, analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> (usize, usize) {
    let first = |stroke: usize| analysis.note(analysis.stroke(stroke).notes.start).id();
    let mut all = analysis.bowing.swells(&lesson.score, &analysis.line);
    all.retain(|swell| inside(first(swell.stroke)));
    let up = |stroke: usize| analysis.stroke(stroke).direction == Direction::Up;
    let with = all.iter().filter(|swell| up(swell.stroke) == swell.opens);
    (with.count(), all.len())
}

/// How many marks of the bowing differ between two versions of the same notes: bow marks, retakes,
/// hooks, stroke types, new slurs, and for each old slur the places at which it is undone. A slur cut
/// in two has one, a slur that is gone one less than it had notes.
pub fn marks_changed(before: &Score, after: &Score) -> usize {
    let marks = changed_events(before, after).map(|(a, b)| {
        usize::from(a.bow != b.bow)
            + usize::from(a.retake != b.retake)
            + usize::from(a.same_bow != b.same_bow)
            + usize::from(a.stroke != b.stroke)
    });
    slurs_changed(before, after) + marks.sum::<usize>()
}

/// New slurs, and places at which old ones are undone.
fn slurs_changed(before: &Score, after: &Score) -> usize {
    let changed = changed_slurs(before, after);
    let joined: Vec<BTreeSet<EventId>> =
        changed.iter().filter_map(|(old, _)| Some(joins(before, (*old)?))).collect();
    let joins_now: Vec<BTreeSet<EventId>> =
        changed.iter().filter_map(|(_, new)| Some(joins(after, (*new)?))).collect();
    let old: BTreeSet<EventId> = joined.into_iter().flatten().collect();
    let new = joins_now.iter().filter(|joins| !joins.is_subset(&old)).count();
    let now: BTreeSet<EventId> = joins_now.into_iter().flatten().collect();
    new + old.difference(&now).count()
}

/// The written notes that a slur joins to the one before them.
fn joins(score: &Score, slur: Slur) -> BTreeSet<EventId> {
    let place = |id: EventId| score.events.iter().position(|event| event.id == id);
    let (Some(from), Some(to)) = (place(slur.from), place(slur.to)) else { return BTreeSet::new() };
    let voice = score.events[from].voice;
    let notes = score.events.get(from + 1..=to).unwrap_or_default();
    notes.iter().filter(|event| event.voice == voice && !event.is_rest()).map(|event| event.id).collect()
}

/// The written notes at which marks of the bowing differ, for pointing at them: those with other
/// marks, and both ends of every slur that is new, gone or moved.
pub fn notes_with_changed_marks(before: &Score, after: &Score) -> BTreeSet<EventId> {
    let marks = changed_events(before, after)
        .filter(|(a, b)| (a.bow, a.retake, a.same_bow, a.stroke) != (b.bow, b.retake, b.same_bow, b.stroke))
        .map(|(event, _)| event.id);
    let slurs = changed_slurs(before, after);
    let ends = slurs.iter().flat_map(|(a, b)| [a, b]).flatten().flat_map(|slur| [slur.from, slur.to]);
    marks.chain(ends).collect()
}

/// The slurs of the bowing.
pub(super) fn slurs(score: &Score) -> BTreeMap<SlurId, Slur> {
    score.slurs.iter().filter(|slur| !slur.phrase).map(|slur| (slur.id, *slur)).collect()
}

/// The slurs that differ, as they were and as they are.
fn changed_slurs(before: &Score, after: &Score) -> Vec<(Option<Slur>, Option<Slur>)> {
    let (old, new) = (slurs(before), slurs(after));
    let ids: BTreeSet<SlurId> = old.keys().chain(new.keys()).copied().collect();
    let pairs = ids.iter().map(|id| (old.get(id).copied(), new.get(id).copied()));
    pairs.filter(|(a, b)| a != b).collect()
}

/// Notes that are in both versions and differ.
fn changed_events<'a>(before: &'a Score, after: &'a Score) -> impl Iterator<Item = (&'a Event, &'a Event)> {
    let events: BTreeMap<EventId, &Event> = before.events.iter().map(|event| (event.id, event)).collect();
    let pairs = after.events.iter().filter_map(move |event| Some((*events.get(&event.id)?, event)));
    pairs.filter(|(a, b)| a != b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::analyse,
        lesson::{Writer, change, demo::demo},
        score::{NoteValue, Quarters, SameBow, Sign, SignKind, TimeSignature},
        setup::Family,
    };

    /// Quarter notes for the violin, at 60 a minute.
    fn quarters(count: usize) -> (Lesson, Vec<EventId>) {
        let violin = Writer::new(change::new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
        let written = (0..count).fold(violin, |writer, _| writer.note("A4", NoteValue::QUARTER));
        written.finish().expect("it can be written")
    }

    #[test]
    fn the_same_bowing_has_no_changed_marks_and_a_split_has_some() {
        let lesson = demo();
        assert_eq!(marks_changed(&lesson.score, &lesson.score), 0);
        let slur = lesson.score.slurs.last().expect("the demo has slurs");
        let (next, _) = change::split_slur(&lesson, slur.to).unwrap().apply(&lesson).unwrap();
        assert!(marks_changed(&lesson.score, &next.score) >= 1);
        assert!(notes_with_changed_marks(&lesson.score, &lesson.score).is_empty());
        assert!(notes_with_changed_marks(&lesson.score, &next.score).contains(&slur.to));
    }

    /// A slur over six notes cut in the middle, cut into single notes but the first two, and lost.
    #[test]
    fn an_undone_slur_counts_by_its_places() {
        let (lesson, ids) = quarters(6);
        let slurred = |lesson: &Lesson, notes: &[EventId], on: bool| {
            let edit = change::set_slur(lesson, notes, on).expect("a slur");
            edit.apply(lesson).expect("set").0
        };
        let six = slurred(&lesson, &ids, true);
        let halves = change::split_slur(&six, ids[3]).and_then(|edit| edit.apply(&six)).expect("cut").0;
        let two = slurred(&lesson, &ids[..2], true);
        let counts = [&halves, &two, &lesson].map(|after| marks_changed(&six.score, &after.score));
        assert_eq!(counts, [1, 4, 5]);
        assert_eq!(marks_changed(&lesson.score, &six.score), 1);
        assert_eq!(marks_changed(&lesson.score, &halves.score), 2);
    }

    #[test]
    fn running_out_weighs_more_than_bending() {
        let lesson = demo();
        let standing = Standing::of(&lesson, &analyse(&lesson));
        assert_eq!(standing.runs_out, 1);
        let eased = Standing { runs_out: 0, heard: 0.0, missing_mm: 0.0, ..standing.clone() };
        assert!(eased.burden() + 2.0 < standing.burden());
    }

    /// Eight quarters in two bars, with a hairpin on one note of each: the other way round, every strong
    /// beat and every hairpin is the other way round.
    #[test]
    fn strong_beats_and_hairpins_follow_the_bow() {
        let (mut lesson, _) = quarters(8);
        for (k, opens) in [(0, true), (5, true), (6, false)] {
            let id = lesson.score.free_sign_id();
            let kind = SignKind::Hairpin { opens, end: Quarters::from(k + 1), niente: false };
            lesson.score.signs.push(Sign { id, at: Quarters::from(k), kind });
        }
        let as_it_is = Standing::of(&lesson, &analyse(&lesson));
        assert_eq!((as_it_is.strong_beats, as_it_is.hairpins), ((2, 2), (2, 3)));
        let first = lesson.score.events[0].id;
        let (turned, _) = change::turn_from(&lesson, first, Direction::Down)
            .and_then(|edit| edit.apply(&lesson))
            .expect("turned");
        let turned = Standing::of(&turned, &analyse(&turned));
        assert_eq!((turned.strong_beats, turned.hairpins), ((0, 2), (1, 3)));
        // Hooked to the up-bow before it, the second strong beat is on an up-bow; slurred, it is none.
        let fifth = lesson.score.events[4].id;
        let standing = |edit: crate::lesson::Edit| {
            let (next, _) = edit.apply(&lesson).expect("bowed");
            Standing::of(&next, &analyse(&next)).strong_beats
        };
        let hooked = change::hook(&lesson, fifth, Some(SameBow::Hooked)).expect("hooked");
        assert_eq!(standing(hooked), (1, 2));
        let slurred = change::set_slur(&lesson, &[lesson.score.events[3].id, fifth], true).expect("slurred");
        assert_eq!(standing(slurred), (1, 1));
    }
}
