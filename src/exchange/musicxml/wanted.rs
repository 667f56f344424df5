//! A lesson as a score file can say it.

use std::collections::BTreeSet;

use crate::{
    analysis::Study,
    bowing::{Density, place_word},
    exchange::musicxml::places::{Besides, Places, stays, texts},
    score::{Direction, Event, EventId, Mark, SameBow, Score, Sign, SignKind, Slur, SlurId},
};

/// The score of a lesson in the signs of a part: a bow that is lifted, hooked or pulsed is written as
/// players write it, which is how it is read.
///
/// A retake is the same bow mark again (over an up-bow with a breath before it, since two up-bows
/// without one are hooked). A hooked up-bow is the same bow mark again; a hooked down-bow is slurred to
/// the note before, with a dot, a pulsed bow with lines (common practice, no source).
///
/// What is written besides is not written twice: places take the place of those that were written earlier, a word that
/// stands at a note already stays alone.
pub(super) fn as_written(study: &Study, besides: Besides) -> Score {
    let Besides { pencil, places } = besides;
    let mut score = study.lesson().score.clone();
    let own: Vec<EventId> =
        score.events.iter().filter(|e| e.retake || e.same_bow.is_some()).map(|e| e.id).collect();
    for id in own {
        write_join(study, &mut score, id);
    }
    let mut words: Vec<(EventId, String)> = Vec::new();
    if pencil != Density::None {
        let marks = study.pencil().marks.iter().filter(|mark| pencil.shows(mark.weight));
        words.extend(marks.map(|mark| (mark.event, mark.text.clone())));
    }
    // Where all places are written the fixed ones are among them.
    if pencil != Density::None && places == Places::None {
        let middle = |pin: &crate::lesson::Pin| f64::midpoint(pin.from_share, pin.to_share);
        words.extend(study.lesson().pins.iter().map(|pin| (pin.event, place_word(middle(pin)).to_owned())));
    }
    score.signs.retain(|sign| stays(sign, places));
    words.extend(texts(study, places).into_iter().map(|(event, text)| (event, text.to_owned())));
    for (event, words) in words {
        let Some(at) = score.event(event).map(|event| event.onset) else { continue };
        let same = |sign: &Sign| sign.at == at && sign.kind == SignKind::Words(words.clone());
        if score.signs.iter().any(same) {
            continue;
        }
        let id = score.free_sign_id();
        score.signs.push(Sign { id, at, kind: SignKind::Words(words) });
    }
    score.sort();
    score
}

/// Writes how one note goes on from the one before.
fn write_join(study: &Study, score: &mut Score, id: EventId) {
    let analysis = study.analysis();
    let Some(k) = analysis.bowed_of_event(id) else { return };
    let direction = analysis.bowed(k).direction;
    let Some(event) = event_mut(score, id) else { return };
    let (retake, same_bow) = (std::mem::take(&mut event.retake), event.same_bow.take());
    let Some(before) = k.checked_sub(1) else { return };
    // The bow before, and the part of it that is printed as a bow of its own where two are taken in one.
    let bow = analysis.stroke(analysis.stroke_of(before)).notes.start..before + 1;
    let begins = |k: &usize| analysis.note(*k).slur.is_none() || analysis.note(*k).slur_start;
    let printed = bow.clone().rev().find(begins).unwrap_or(bow.start);
    let (first_before, printed_before) = (analysis.note(bow.start).id(), analysis.note(printed).id());
    let last_before = analysis.note(before).events.last().copied();
    match same_bow {
        _ if retake => {
            for marked in [first_before, printed_before, id] {
                mark(score, marked, |event| event.bow = Some(direction));
            }
            if let (Direction::Up, Some(last)) = (direction, last_before) {
                mark(score, last, |event| {
                    event.marks.insert(Mark::BreathMark);
                });
            }
        }
        Some(SameBow::Hooked) if direction == Direction::Up && analysis.note(k).slur.is_none() => {
            mark(score, analysis.note(before).id(), |event| event.bow = Some(direction));
            mark(score, id, |event| event.bow = Some(direction));
        }
        Some(how) => {
            let line = if how == SameBow::Hooked { Mark::Staccato } else { Mark::Tenuto };
            mark(score, id, |event| {
                event.marks.insert(line);
            });
            if how == SameBow::Portato {
                mark(score, analysis.note(before).id(), |event| {
                    event.marks.insert(line);
                });
            }
            // The direction is that of the whole bow.
            for marked in [first_before, printed_before] {
                mark(score, marked, |event| event.bow = Some(direction));
            }
            join(score, analysis.note(before).id(), id);
        }
        None => {}
    }
}

/// Draws one slur over two notes and over what is slurred to either.
fn join(score: &mut Score, from: EventId, to: EventId) {
    let place = |id: EventId| score.events.iter().position(|event| event.id == id);
    let (Some(mut first), Some(mut last)) = (place(from), place(to)) else { return };
    let mut joined: BTreeSet<SlurId> = BTreeSet::new();
    for slur in score.slurs.iter().filter(|slur| !slur.phrase) {
        let (Some(start), Some(end)) = (place(slur.from), place(slur.to)) else { continue };
        let holds = |index: usize| (start..=end).contains(&index);
        let same = score.events[start].voice == score.events[first].voice;
        if same && (holds(place(from).unwrap_or(first)) || holds(place(to).unwrap_or(last))) {
            (first, last) = (first.min(start), last.max(end));
            joined.insert(slur.id);
        }
    }
    let (from, to) = (score.events[first].id, score.events[last].id);
    score.slurs.retain(|slur| !joined.contains(&slur.id));
    let id = score.free_slur_id();
    score.slurs.push(Slur { id, from, to, phrase: false });
}

fn mark(score: &mut Score, id: EventId, change: impl FnOnce(&mut Event)) {
    if let Some(event) = event_mut(score, id) {
        change(event);
    }
}

fn event_mut(score: &mut Score, id: EventId) -> Option<&mut Event> {
    score.events.iter_mut().find(|event| event.id == id).map(|event| &mut **event)
}
