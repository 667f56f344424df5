//! How far a change reaches beyond the spot it is for.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    analysis::{Analysis, Study},
    bowing::{Finding, Reached},
    lesson::Lesson,
    score::{Event, EventId, Quarters},
};

use super::{case::is_loud, lost::is_short};

/// How far a change reaches.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reach {
    /// Bars between the spot and the nearest note that is changed.
    pub bars_off: usize,
    /// Notes with another mark, place or speed.
    pub notes: usize,
    /// Where a bow before the first of them goes the other way than it did, the first: the music is turned to make
    /// the change come right.
    pub turned_from: Option<Quarters>,
    /// Bows that are very short, much shorter than one beside them, or loud and short by their marks, are drawn faster.
    pub abrupt: bool,
    /// A quick note gives up its end to a lift that was not there.
    pub hurried: bool,
    /// The bow of the spot lasts this many times as long as before.
    pub longer: f64,
    /// The longest bow in the place of that of the spot, as a part of it.
    pub longest_part: f64,
    /// The bow is set on the string for the bow of the spot.
    pub at_lift: bool,
    /// The spot begins no bow of its own, as it did.
    pub joined: bool,
    /// The spot is played in the direction it had.
    pub same_way: bool,
}

impl Reach {
    pub fn between(before: &Study, after: &Study, finding: &Finding) -> Self {
        let (was, is) = (before.analysis(), after.analysis());
        let changed = changed(before.lesson(), after.lesson());
        let bar = |at: Quarters| before.lesson().score.bar_at(at).unwrap_or(0);
        let spot = bar(finding.at)..=bar(finding.out);
        let off = |bar: usize| spot.start().saturating_sub(bar).max(bar.saturating_sub(*spot.end()));
        let first = changed.first().copied();
        let same_way = match (was.bowed_of_event(finding.event), is.bowed_of_event(finding.event)) {
            (Some(old), Some(new)) => was.bowed(old).direction == is.bowed(new).direction,
            _ => true,
        };
        let begins = |analysis: &Analysis| {
            let k = analysis.bowed_of_event(finding.event);
            k.is_some_and(|k| analysis.bowed(k).reached != Reached::SameStroke)
        };
        let seconds = bow_s(was, finding.event).max(f64::MIN_POSITIVE);
        Self {
            bars_off: changed.iter().map(|at| off(bar(*at))).min().unwrap_or(0),
            notes: changed.len(),
            turned_from: first.and_then(|first| turned(was, is, first)),
            abrupt: abrupt(before, after),
            hurried: is_hurried(was, is),
            longer: bow_s(is, finding.event) / seconds,
            longest_part: longest_part(was, is, finding.event),
            at_lift: was.stroke_of_event(finding.event).is_some_and(|stroke| was.stroke(stroke).lift_before),
            joined: begins(was) && !begins(is),
            same_way,
        }
    }
}

/// When the notes and signs begin that are otherwise, or have another place.
fn changed(before: &Lesson, after: &Lesson) -> BTreeSet<Quarters> {
    let (was, is) = (&before.score, &after.score);
    let mut changed = BTreeSet::new();
    let onset = |event: EventId| was.event(event).or(is.event(event)).map(|event| event.onset);
    let known: BTreeMap<EventId, &Event> = was.events.iter().map(|event| (event.id, &**event)).collect();
    for event in &is.events {
        if known.get(&event.id).is_none_or(|old| **old != **event) {
            changed.insert(event.onset);
        }
    }
    let pins = differing(&before.pins, &after.pins).filter_map(|pin| onset(pin.event));
    // A slur that ends sooner or goes on is changed where it ends.
    let slurs = differing(&was.slurs, &is.slurs).filter_map(|slur| onset(slur.to));
    let signs = differing(&was.signs, &is.signs).map(|sign| sign.at);
    changed.extend(pins);
    changed.extend(slurs);
    changed.extend(signs);
    changed
}

/// A shorter bow that is drawn faster sticks out, s. Assumed.
const ABRUPT_S: f64 = 0.15;

/// A bow that lasts less than this part of one beside it does not bring that back without sticking out. Assumed: the
/// short note of a double dot, not that of a dot.
const MUCH_SHORTER: f64 = 0.15;

/// How long the longer of the bows beside a bow lasts, s; those beyond a lift are none.
fn beside_s(analysis: &Analysis, stroke: usize) -> f64 {
    let strokes = &analysis.bowing.strokes;
    let before = stroke.checked_sub(1).filter(|_| !strokes[stroke].lift_before);
    let after = Some(stroke + 1).filter(|&next| strokes.get(next).is_some_and(|next| !next.lift_before));
    before.into_iter().chain(after).map(|stroke| seconds(analysis, stroke)).fold(0.0, f64::max)
}

/// Bows are drawn faster that are very short, much shorter than one beside them, or loud and short by their marks.
fn abrupt(before: &Study, after: &Study) -> bool {
    let factors: BTreeMap<EventId, f64> = (before.lesson().score.events.iter())
        .filter_map(|event| Some((event.id, event.speed_factor?)))
        .collect();
    let analysis = after.analysis();
    let sticks_out = |bowed: usize| {
        let stroke = analysis.stroke_of(bowed);
        let marked_short = |k: usize| is_loud(analysis, k) && analysis.note(k).marks.iter().any(is_short);
        let short = seconds(analysis, stroke) < ABRUPT_S.max(MUCH_SHORTER * beside_s(analysis, stroke));
        short || analysis.stroke(stroke).notes.clone().any(marked_short)
    };
    after.lesson().score.events.iter().any(|event| {
        let was = factors.get(&event.id).copied().unwrap_or(1.0);
        let faster = event.speed_factor.is_some_and(|factor| factor > was);
        faster && analysis.bowed_of_event(event.id).is_some_and(sticks_out)
    })
}

/// A note so long has time for a lift at its end, s. Assumed.
const LIFTS_S: f64 = 0.35;

/// A lift takes its time from a quick note, and did not before.
fn is_hurried(was: &Analysis, is: &Analysis) -> bool {
    let lifts = |analysis: &Analysis, k: usize| {
        analysis.bowed(k).stolen_s > 0.0 && matches!(analysis.bowed(k).reached, Reached::Air(_))
    };
    (1..is.bowing.notes.len()).any(|k| {
        let before = || was.bowed_of_event(is.note(k).id()).is_some_and(|k| lifts(was, k));
        let seconds = |k: usize| is.seconds_at(is.note(k).end()) - is.bowed(k).onset_s;
        lifts(is, k) && seconds(k - 1) < LIFTS_S && !before()
    })
}

/// What is in one of the lists only.
fn differing<'a, T: PartialEq>(a: &'a [T], b: &'a [T]) -> impl Iterator<Item = &'a T> {
    let only = |these: &'a [T], those: &'a [T]| these.iter().filter(move |one| !those.contains(one));
    only(a, b).chain(only(b, a))
}

/// Where the first bow before `until` begins that goes the other way.
fn turned(was: &Analysis, is: &Analysis, until: Quarters) -> Option<Quarters> {
    let begins = |stroke: &crate::bowing::Stroke| was.note(stroke.notes.start).onset < until;
    let strokes = was.bowing.strokes.iter().take_while(|stroke| begins(stroke));
    let mut otherwise = strokes.filter(|stroke| {
        let now = is.bowed_of_event(was.note(stroke.notes.start).id());
        now.is_some_and(|now| is.bowed(now).direction != stroke.direction)
    });
    otherwise.next().map(|stroke| was.note(stroke.notes.start).onset)
}

/// How long the bow lasts that holds a note, s.
fn bow_s(analysis: &Analysis, event: EventId) -> f64 {
    let stroke = analysis.stroke_of_event(event);
    stroke.map_or(0.0, |stroke| seconds(analysis, stroke))
}

/// How long a bow lasts, s.
pub(super) fn seconds(analysis: &Analysis, stroke: usize) -> f64 {
    analysis.stroke(stroke).notes.clone().map(|k| analysis.piece(k).seconds).sum()
}

/// The longest of the bows that begin in what was one bow, as a part of it.
fn longest_part(was: &Analysis, is: &Analysis, event: EventId) -> f64 {
    let Some(stroke) = was.stroke_of_event(event) else { return 1.0 };
    let notes = &was.stroke(stroke).notes;
    let (from, until) = (was.note(notes.start).onset, was.note(notes.end - 1).end());
    let begins = |stroke: usize| is.note(is.stroke(stroke).notes.start).onset;
    let within = (0..is.bowing.strokes.len()).filter(|&stroke| (from..until).contains(&begins(stroke)));
    let longest = within.map(|stroke| seconds(is, stroke)).fold(0.0, f64::max);
    longest / seconds(was, stroke).max(f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Writer, change},
        score::{NoteValue, TimeSignature},
        setup::Family,
    };

    /// The quarter of a dotted half comes back faster, the eighth of a double dotted one sticks out: a second and half
    /// of one.
    #[test]
    fn what_is_much_shorter_than_the_bow_beside_it_is_abrupt() {
        let faster = |values: [NoteValue; 2]| {
            let writer = Writer::new(change::new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
            let figure =
                values.iter().cycle().take(6).fold(writer, |writer, value| writer.note("A4", *value));
            let (lesson, ids) = figure.finish().expect("it can be written");
            let edit = change::set_speed_factor(&lesson, &ids[1..2], Some(1.5));
            let (after, _) = edit.and_then(|edit| edit.apply(&lesson)).expect("it is changed");
            abrupt(&Study::new(lesson), &Study::new(after))
        };
        let half = NoteValue::HALF.dotted();
        assert!(!faster([half, NoteValue::QUARTER]));
        assert!(faster([NoteValue { dots: 2, ..half }, NoteValue::EIGHTH]));
    }
}
