//! What a lesson file may not say: parts that contradict each other, numbers out of all bounds.

use std::collections::BTreeSet;

use crate::{
    lesson::{Lesson, Pin},
    score::{Bar, Event, EventId, FINEST_BEAT, LARGEST_ID, LONGEST, Quarters, Sign, SignKind, Slur},
};

/// What contradicts what in a lesson, or is out of all bounds, if anything is.
pub(super) fn contradiction(lesson: &Lesson) -> Option<String> {
    let score = &lesson.score;
    let setup = lesson.setup.problems().into_iter().next();
    let pins = lesson.pins.iter().map(|pin| pin.id.0);
    setup
        .or_else(|| of_bars(&score.bars))
        .or_else(|| of_ids("notes", score.events.iter().map(|event| event.id.0)))
        .or_else(|| of_ids("slurs", score.slurs.iter().map(|slur| slur.id.0)))
        .or_else(|| of_ids("signs", score.signs.iter().map(|sign| sign.id.0)))
        .or_else(|| of_ids("places on the bow", pins))
        .or_else(|| score.events.iter().find_map(of_event))
        .or_else(|| score.signs.iter().find_map(of_sign))
        .or_else(|| of_links(lesson))
}

/// True from the start of the music to the latest place it may have.
fn in_time(at: Quarters) -> bool {
    (Quarters::ZERO..=Quarters::from(LONGEST)).contains(&at)
}

fn of_bars(bars: &[Bar]) -> Option<String> {
    for (index, bar) in bars.iter().enumerate() {
        let number = &bar.number;
        if !bar.length.is_positive() {
            return Some(format!("bar {number:?} has the length {}; a bar takes time", bar.length));
        }
        if !in_time(bar.start) || !in_time(bar.end()) {
            return Some(format!(
                "bar {number:?} goes from {} to {}; music begins at 0 and has at most {LONGEST} quarter notes",
                bar.start,
                bar.end()
            ));
        }
        if !(1..=FINEST_BEAT).contains(&bar.time.beat_type) {
            return Some(format!(
                "the time signature of bar {number:?} counts in {}; it must lie between 1 and {FINEST_BEAT}",
                bar.time.beat_type
            ));
        }
        if index > 0 && bars[index - 1].end() != bar.start {
            return Some(format!("bar {number:?} does not start where the bar before it ends"));
        }
    }
    None
}

fn of_ids(what: &str, ids: impl Iterator<Item = u32>) -> Option<String> {
    let mut seen = BTreeSet::new();
    for id in ids {
        if !seen.insert(id) {
            return Some(format!("two {what} have the number {id}"));
        }
        if id > LARGEST_ID {
            return Some(format!("among the {what} is the number {id}; the largest allowed is {LARGEST_ID}"));
        }
    }
    None
}

fn of_event(event: &Event) -> Option<String> {
    let id = event.id.0;
    if event.duration < Quarters::ZERO || event.onset < Quarters::ZERO {
        return Some(format!("note {id} has a negative time"));
    }
    if !in_time(event.end()) {
        return Some(format!("note {id} ends at {}; music has at most {LONGEST} quarter notes", event.end()));
    }
    let range = event.notes.iter().any(|note| !note.pitch.alter.is_finite())
        || event.speed_factor.is_some_and(|factor| !(factor > 0.0 && factor < 100.0));
    range.then(|| format!("note {id} holds a number out of range"))
}

fn of_sign(sign: &Sign) -> Option<String> {
    let end = match sign.kind {
        SignKind::Hairpin { end, .. } => end,
        _ => sign.at,
    };
    let outside = !in_time(sign.at) || !in_time(end);
    outside.then(|| format!("sign {} stands outside the music", sign.id.0))
}

/// Slurs and places on the bow belong to notes.
fn of_links(lesson: &Lesson) -> Option<String> {
    let ids: BTreeSet<EventId> = lesson.score.events.iter().map(|event| event.id).collect();
    let loose = |slur: &&Slur| !ids.contains(&slur.from) || !ids.contains(&slur.to);
    if let Some(slur) = lesson.score.slurs.iter().find(loose) {
        return Some(format!("slur {} starts or ends on a note that is not there", slur.id.0));
    }
    let inside = |share: f64| (0.0..=1.0).contains(&share);
    let astray = |pin: &&Pin| !ids.contains(&pin.event) || !inside(pin.from_share) || !inside(pin.to_share);
    let pin = lesson.pins.iter().find(astray)?;
    Some(format!("the place on the bow {} is not on a note or not on the hair", pin.id.0))
}
