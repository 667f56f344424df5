//! Bars: metre, key, upbeat, repeats, bars put in and taken out.

use std::{
    collections::{BTreeMap, BTreeSet},
    ops::Range,
};

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{Bar, Event, EventId, Jumps, NoteValue, Quarters, Score, Shared, SignKind, TimeSignature},
};

use super::{bowing::cut_slurs, item, layout, mending::mend_ties, refuse, voice_line};

/// Most bars that are put in at once. Assumed.
pub const MOST_NEW_BARS: usize = 1000;

/// Gives the music another metre from a bar on, up to the next change of metre. No note moves in time:
/// the barlines do, and notes over them are tied; what does not fill a bar before the next metre stays
/// a short bar. An upbeat stays as long as it is.
///
/// # Errors
/// When there is no such bar, the metre cannot be counted, or a note of another voice would go over a
/// barline.
pub fn set_metre(lesson: &Lesson, bar: usize, time: &TimeSignature) -> Result<Edit, EditError> {
    let first = bar_at(&lesson.score, bar)?;
    let upbeat = first.pickup.then_some(first.length);
    rebar(lesson, bar, time, upbeat, "Metre")
}

/// Makes the first bar an upbeat of this length, or takes the upbeat away. No note moves in time; the
/// barlines do, up to the first change of metre.
///
/// # Errors
/// When the upbeat is as long as a bar, or a note of another voice would go over a barline.
pub fn set_upbeat(lesson: &Lesson, length: Option<Quarters>) -> Result<Edit, EditError> {
    let time = bar_at(&lesson.score, 0)?.time.clone();
    rebar(lesson, 0, &time, length, "Upbeat")
}

/// Gives the music another key from a bar on, up to the next change of key, as its number of sharps
/// (flats negative). Notes keep their pitches.
///
/// # Errors
/// When there is no such bar or key.
pub fn set_key(lesson: &Lesson, bar: usize, key: i8) -> Result<Edit, EditError> {
    let old = bar_at(&lesson.score, bar)?.key;
    if !(-7..=7).contains(&key) {
        return refuse("A key has at most seven sharps or flats");
    }
    let mut new = lesson.clone();
    new.score.bars[bar..].iter_mut().take_while(|bar| bar.key == old).for_each(|bar| bar.key = key);
    Ok(Edit::between("Key", lesson, &new))
}

/// Puts empty bars in before a bar, or (at the number of bars) after the last one, with the metre and key
/// that are in force there. Where notes follow they are bars of rest; slurs and ties over the place end.
///
/// # Errors
/// When there is no such place, or more than [`MOST_NEW_BARS`] are wanted.
pub fn insert_bars(lesson: &Lesson, before: usize, count: usize) -> Result<Edit, EditError> {
    let old = &lesson.score.bars;
    if before > old.len() || !(1..=MOST_NEW_BARS).contains(&count) {
        return refuse(format!(
            "From 1 to {MOST_NEW_BARS} bars can be put in before a bar or after the last"
        ));
    }
    // Nothing is put in before an upbeat, which stays at the start.
    let before = if before == 0 && old.first().is_some_and(|bar| bar.pickup) { 1 } else { before };
    let model = old.get(before).or(old.last()).cloned();
    let model = model.unwrap_or_else(|| layout::first_bar(TimeSignature::default(), 0));
    let at = old.get(before).map_or(lesson.score.end(), |bar| bar.start);
    let length = model.time.bar_length().unwrap_or(model.length);
    let first: Option<u32> = match old.get(before) {
        Some(bar) => bar.number.parse().ok(),
        None => old.last().map_or(Some(1), |bar| bar.number.parse().ok().map(|number: u32| number + 1)),
    };
    let new_bar = |k: usize| {
        let number = first.map_or_else(String::new, |number| number.saturating_add(k as u32).to_string());
        let start = at + length * Quarters::from(k as i64);
        Bar::new(start, length, number, model.time.clone(), model.key)
    };
    let mut new = lesson.clone();
    let score = &mut new.score;
    move_on(score, at, length * Quarters::from(count as i64));
    shift_numbers(&mut score.bars[before..], count as i64);
    let closes = before > 0 && before == old.len() && score.bars[before - 1].double_barline;
    score.bars.splice(before..before, (0..count).map(new_bar));
    if closes {
        // A final barline stays at the end.
        score.bars[before - 1].double_barline = false;
        score.bars[before + count - 1].double_barline = true;
    }
    if score.events.iter().any(|event| event.voice == 0 && event.onset > at) {
        let free = score.free_event_id().0;
        let value = NoteValue::of_length(length).unwrap_or(NoteValue::WHOLE);
        let rest = |k: usize| {
            let onset = at + length * Quarters::from(k as i64);
            let rest = Event::new(EventId(free + k as u32), onset, value, Vec::new());
            Shared::from(Event { duration: length, whole_bar: true, ..rest })
        };
        score.events.extend((0..count).map(rest));
        score.sort();
        mend_ties(score);
        cut_at(score, at)?;
    }
    Ok(Edit::between(if count == 1 { "Insert a bar" } else { "Insert bars" }, lesson, &new))
}

/// Takes bars out, with all that stands in them; what follows moves up. The clef and the tempo that were
/// in force at their end stay in force.
///
/// # Errors
/// When there are no such bars, or no bar would be left.
pub fn delete_bars(lesson: &Lesson, bars: Range<usize>) -> Result<Edit, EditError> {
    let all = &lesson.score.bars;
    if bars.is_empty() || bars.end > all.len() {
        return refuse("Select notes in the bars that are to go first");
    }
    if bars.len() == all.len() {
        return refuse("A lesson has at least one bar; these are all there are");
    }
    let (from, to) = (all[bars.start].start, all[bars.end - 1].end());
    let mut new = lesson.clone();
    let score = &mut new.score;
    score.events.retain(|event| {
        // Grace notes at the end of a note stand in the bar that ends there.
        let ends_bar = event.grace.is_some_and(|grace| grace.after);
        let inside = if ends_bar {
            event.onset > from && event.onset <= to
        } else {
            event.onset >= from && event.onset < to
        };
        !inside
    });
    take_signs_out(score, from, to);
    move_on(score, to, from - to);
    let count = bars.len();
    shift_numbers(&mut score.bars[bars.end..], -(count as i64));
    let closes = bars.end == all.len() && score.bars[bars.end - 1].double_barline;
    score.bars.drain(bars);
    if closes && let Some(last) = score.bars.last_mut() {
        last.double_barline = true;
    }
    mend_slurs_over_gaps(score, &lesson.score);
    score.sort();
    mend_ties(score);
    new.forget_lost_notes();
    Ok(Edit::between(if count == 1 { "Delete a bar" } else { "Delete bars" }, lesson, &new))
}

pub(super) fn bar_at(score: &Score, bar: usize) -> Result<&Bar, EditError> {
    score.bars.get(bar).map_or_else(|| refuse("There is no such bar"), Ok)
}

/// The jumps of a bar in which these bars begin and those end.
fn jumps_of<'b>(begun: impl Iterator<Item = &'b Bar>, ended: impl Iterator<Item = &'b Bar>) -> Jumps {
    let mut jumps = Jumps::default();
    for Bar { jumps: Jumps { segno, coda, .. }, .. } in begun {
        jumps.add(&Jumps { segno: *segno, coda: *coda, ..Jumps::default() });
    }
    for bar in ended {
        jumps.add(&Jumps { segno: false, coda: false, ..bar.jumps.clone() });
    }
    jumps
}

/// Divides the music anew from a bar up to the next change of metre.
fn rebar(
    lesson: &Lesson,
    bar: usize,
    time: &TimeSignature,
    upbeat: Option<Quarters>,
    what: &str,
) -> Result<Edit, EditError> {
    let old = &lesson.score.bars;
    let Some(length) = time.bar_length() else {
        return refuse("A metre has beats: write it as 3/4 or 6/8");
    };
    if upbeat.is_some_and(|upbeat| !upbeat.is_positive() || upbeat >= length) {
        return refuse("An upbeat is shorter than a bar");
    }
    let until = bar + old[bar..].iter().take_while(|other| other.time == old[bar].time).count();
    let region = &old[bar..until];
    let (start, end) = (region[0].start, region[region.len() - 1].end());
    let is_last = until == old.len();
    let mut bars = old[..bar].to_vec();
    let first = region.iter().find_map(|bar| bar.number.parse::<u32>().ok().filter(|_| !bar.pickup));
    let mut number = first.unwrap_or(1);
    let mut at = start;
    while at < end {
        let is_upbeat = at == start && upbeat.is_some();
        let whole = upbeat.filter(|_| is_upbeat).unwrap_or(length);
        let stop = if is_last { at + whole } else { (at + whole).min(end) };
        let inside = |place: Quarters| place >= at && place < stop;
        // What stood at barlines stays with the bar that holds them.
        let begun = region.iter().filter(|bar| inside(bar.start));
        let ended = region.iter().filter(|bar| bar.end() > at && bar.end() <= stop);
        let held = &region[region.partition_point(|bar| bar.start <= at).saturating_sub(1)];
        bars.push(Bar {
            start: at,
            length: stop - at,
            number: if is_upbeat { "0".to_owned() } else { number.to_string() },
            pickup: is_upbeat,
            time: time.clone(),
            key: held.key,
            repeat_start: begun.clone().any(|bar| bar.repeat_start),
            repeat_end: ended.clone().any(|bar| bar.repeat_end),
            ending: held.ending.clone(),
            double_barline: ended.clone().any(|bar| bar.double_barline),
            jumps: jumps_of(begun, ended),
        });
        number = number.saturating_add(u32::from(!is_upbeat));
        at = stop;
    }
    if is_last && region[region.len() - 1].double_barline {
        bars.iter_mut().skip(bar).rev().take(1).for_each(|last| last.double_barline = true);
    }
    let counted = |bars: &[Bar]| bars.iter().filter(|bar| !bar.pickup).count() as i64;
    let more = counted(&bars[bar..]) - counted(region);
    let mut behind = old[until..].to_vec();
    shift_numbers(&mut behind, more);
    bars.extend(behind);

    let mut base = lesson.clone();
    base.score.bars = bars.into();
    if let Some(event) =
        lesson.score.events.iter().find(|event| event.voice != 0 && crosses(&base.score, event))
    {
        let place = lesson.score.place(event.onset);
        return refuse(format!(
            "A note of the second voice ({place}) would go over a barline; write it shorter"
        ));
    }
    // What was tied over a barline that is gone becomes one note again; all else keeps its notation.
    let is_barline = |score: &Score, at| score.bars.binary_search_by_key(&at, |bar| bar.start).is_ok();
    let is_loose = |at| is_barline(&lesson.score, at) && !is_barline(&base.score, at);
    let mut items = item::items(&lesson.score);
    for item in &mut items {
        item.rewrite |= item.events.iter().any(|event| crosses(&base.score, event) || event.whole_bar);
        item.rewrite |= item.events.iter().skip(1).any(|event| is_loose(event.onset));
    }
    Ok(Edit::between(what, lesson, &layout::lay_out(&base, items, &[])))
}

/// A note goes over the end of its bar.
fn crosses(score: &Score, event: &Event) -> bool {
    let bar = score.bar_at(event.onset).map(|index| &score.bars[index]);
    event.grace.is_none() && bar.is_some_and(|bar| event.end() > bar.end())
}

/// Moves all that stands at a moment or later.
fn move_on(score: &mut Score, at: Quarters, by: Quarters) {
    let moved = |place: Quarters| if place >= at { place + by } else { place };
    for bar in &mut score.bars {
        bar.start = moved(bar.start);
    }
    for event in &mut score.events {
        let stays = event.onset == at && event.grace.is_some_and(|grace| grace.after);
        event.onset = if stays { at } else { moved(event.onset) };
    }
    for sign in &mut score.signs {
        // What is in force from the very start stays there.
        let stays = sign.at.is_zero() && matches!(sign.kind, SignKind::Clef(_) | SignKind::Tempo { .. });
        if let Some(end) = sign.kind.end_mut()
            && *end > at
        {
            *end += by;
        }
        sign.at = if stays { sign.at } else { moved(sign.at) };
    }
}

/// Takes out the signs of a stretch, but for the last clef and tempo, which go to its end; what reaches in
/// from outside is cut.
fn take_signs_out(score: &mut Score, from: Quarters, to: Quarters) {
    let inside = |at: Quarters| at >= from && at < to;
    let is_kind = |kind: &SignKind, clef: bool| match kind {
        SignKind::Clef(_) => clef,
        SignKind::Tempo { .. } => !clef,
        _ => false,
    };
    for clef in [true, false] {
        let there = score.signs.iter().any(|sign| sign.at == to && is_kind(&sign.kind, clef));
        let last = score.signs.iter().filter(|sign| inside(sign.at) && is_kind(&sign.kind, clef));
        let last = last.max_by_key(|sign| sign.at).map(|sign| sign.id).filter(|_| !there);
        for sign in score.signs.iter_mut().filter(|sign| Some(sign.id) == last) {
            sign.at = to;
        }
    }
    for sign in &mut score.signs {
        if let Some(end) = sign.kind.end_mut() {
            if inside(*end) && sign.at < from {
                *end = from;
            } else if inside(sign.at) && *end > to {
                sign.at = to;
            }
        }
    }
    score.signs.retain(|sign| !inside(sign.at));
}

/// Counts the numbers of bars on, as far as they go on without beginning anew.
fn shift_numbers(bars: &mut [Bar], by: i64) {
    let mut before = None;
    for bar in bars {
        let Ok(number) = bar.number.parse::<u32>() else { continue };
        if bar.pickup || before.is_some_and(|before| number < before) {
            return;
        }
        before = Some(number);
        bar.number = (i64::from(number) + by).max(0).to_string();
    }
}

/// Ends slurs of the first voice at a moment.
fn cut_at(score: &mut Score, at: Quarters) -> Result<(), EditError> {
    let next = score.events.iter().find(|e| e.voice == 0 && e.onset >= at && !e.is_rest());
    if let Some(next) = next.map(|event| event.id) {
        let (line, place) = voice_line(score, next)?;
        score.slurs = cut_slurs(score, &line, |k| Some(u8::from(k >= place)));
    }
    Ok(())
}

/// Fits slurs to the notes that are left of a score.
fn mend_slurs_over_gaps(score: &mut Score, old: &Score) {
    let left: BTreeSet<EventId> =
        score.events.iter().filter(|event| !event.is_rest()).map(|event| event.id).collect();
    let places: BTreeMap<EventId, usize> =
        old.events.iter().enumerate().map(|(place, event)| (event.id, place)).collect();
    score.slurs.retain_mut(|slur| {
        let place = |id| places.get(&id).copied();
        let (Some(from), Some(to)) = (place(slur.from), place(slur.to)) else { return false };
        if from > to {
            return false;
        }
        let voice = old.events[from].voice;
        let under = old.events[from..=to].iter().filter(|e| e.voice == voice && left.contains(&e.id));
        let under: Vec<EventId> = under.map(|event| event.id).collect();
        let (Some(first), Some(last)) = (under.first(), under.last()) else { return false };
        (slur.from, slur.to) = (*first, *last);
        first != last
    });
}
