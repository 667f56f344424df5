//! From a part as written to a [`Score`]: bars, events, ties.

use std::collections::{BTreeMap, HashMap};

use super::{
    Document, Imported,
    raw::{HarmonicRole, Head, RawEvent, RawPart},
    signs, slurs,
    timeline::{Timeline, rounding},
};
use crate::{
    exchange::diagnostic::{Place, Reporter},
    score::{Bar, Event, EventId, Grace, Note, Quarters, Score},
};

/// A part being settled: events in score order beside what was written for each.
pub(super) struct Draft<'p> {
    pub part: &'p RawPart,
    pub staff: u8,
    pub timeline: Timeline,
    pub events: Vec<Event>,
    pub raw: Vec<&'p RawEvent>,
    pub report: Reporter,
}

impl Draft<'_> {
    /// Place of an event, for remarks.
    pub(super) fn place(&self, index: usize) -> Place<'_> {
        let raw = self.raw[index];
        Place { bar: self.part.bars.get(raw.bar).map_or("", |bar| bar.number.as_str()), line: raw.line }
    }

    /// Warns at an event.
    pub(super) fn warn(&mut self, index: usize, message: &'static str, hint: &str) {
        let Place { bar, line } = self.place(index);
        let bar = bar.to_owned();
        self.report.warn(Place { bar: &bar, line }, message, hint);
    }

    /// Notes at an event.
    pub(super) fn note(&mut self, index: usize, message: &'static str, hint: &str) {
        let Place { bar, line } = self.place(index);
        let bar = bar.to_owned();
        self.report.note(Place { bar: &bar, line }, message, hint);
    }
}

/// Settles one part of a document.
pub(super) fn resolve(part: &RawPart, document: &Document) -> Imported {
    let mut report = part.report.clone();
    let (timeline, longer) = document.timeline.of_part(part);
    for &index in &longer {
        let bar = &part.bars[index];
        report.warn(
            Place { bar: &bar.number, line: bar.line },
            "a bar holds more than its time signature or the other parts allow; it is made longer",
            "check the note values in this bar",
        );
    }
    let bars = bars(part, &timeline);
    let staff = chosen_staff(part, &mut report);
    let (events, raw) = events(part, staff, &timeline);
    let mut draft = Draft { part, staff, timeline, events, raw, report };
    merge_harmonics(&mut draft);
    let joined = join_ties(&mut draft);
    let slurs = slurs::pair(&mut draft, &joined);
    let signs = signs::place(&mut draft, &document.tempos);
    let tempo_given = !document.tempos.is_empty();
    if !tempo_given {
        draft.report.note(
            Place::default(),
            "the file gives no tempo; 120 quarter notes a minute are assumed",
            "set the tempo",
        );
    }
    let mut score = Score {
        title: document.title.clone(),
        part: part.name.split_whitespace().collect::<Vec<_>>().join(" "),
        bars,
        events: draft.events,
        slurs,
        signs,
    };
    score.sort();
    let mut diagnostics = document.report.clone().into_list();
    diagnostics.extend(draft.report.into_list());
    Imported { score, diagnostics, instrument: part.family, tempo_given }
}

fn bars(part: &RawPart, timeline: &Timeline) -> Vec<Bar> {
    let mut bars: Vec<Bar> = Vec::with_capacity(part.bars.len());
    for (index, raw) in part.bars.iter().enumerate() {
        let length = timeline.length(index);
        let short = raw.time.bar_length().is_some_and(|full| length < full);
        // A movement starts at the first bar, at a bar 0, and where the numbers begin again after
        // a double bar.
        let starts = index == 0
            || raw.number == "0"
            || (raw.number == "1" && bars.last().is_some_and(|before| before.double_barline));
        bars.push(Bar {
            start: timeline.start(index),
            length,
            number: if raw.number.is_empty() { (index + 1).to_string() } else { raw.number.clone() },
            pickup: short && starts && index + 1 < part.bars.len(),
            time: raw.time.clone(),
            key: raw.key,
            repeat_start: raw.repeat_start,
            repeat_end: raw.repeat_end,
            ending: raw.ending.clone(),
            double_barline: raw.double_barline,
        });
    }
    bars
}

/// The staff that is read: the first that has notes.
fn chosen_staff(part: &RawPart, report: &mut Reporter) -> u8 {
    let first = part.events.iter().filter(|event| !event.heads.is_empty()).map(|event| event.staff).min();
    let staff = first.unwrap_or(1);
    if let Some(other) = part.events.iter().find(|event| event.staff != staff && !event.heads.is_empty()) {
        let bar = part.bars.get(other.bar).map_or("", |bar| bar.number.as_str());
        report.warn(
            Place { bar, line: other.line },
            format!("the part has several staves; only staff {staff} is read"),
            "export the other staff as a part of its own",
        );
    }
    staff
}

/// The events of one staff in score order, with what was written for each.
fn events<'p>(part: &'p RawPart, staff: u8, timeline: &Timeline) -> (Vec<Event>, Vec<&'p RawEvent>) {
    let kept: Vec<&RawEvent> = part.events.iter().filter(|event| event.staff == staff).collect();
    let voices = voice_numbers(part, &kept);
    let lengths = rounded_ends(&kept, timeline);
    let mut orders: HashMap<(usize, usize, Quarters, bool), u8> = HashMap::new();
    let events = kept.iter().enumerate().map(|(index, raw)| {
        let mut notes: Vec<Note> = raw.heads.iter().map(|head| settled_head(head, part.has_tie)).collect();
        notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        let grace = raw.grace.map(|slash| {
            let order = orders.entry((raw.bar, raw.voice, raw.at, raw.grace_after)).or_default();
            let grace = Grace { order: *order, slash, after: raw.grace_after };
            *order = order.saturating_add(1);
            grace
        });
        let mut event = Event::new(EventId(index as u32), timeline.onset(raw), raw.value, notes);
        event.duration = lengths[index];
        event.voice = voices[raw.voice];
        event.grace = grace;
        event.bow = raw.bow;
        event.marks.clone_from(&raw.marks);
        event.tremolo = raw.tremolo;
        event.cue = raw.cue;
        event.whole_bar = raw.whole_bar;
        event.pizzicato = raw.pizzicato;
        event.line = raw.line;
        event
    });
    let mut sorted = Score { events: events.collect(), ..Score::default() };
    sorted.sort();
    let raw = sorted.events.iter().map(|event| kept[event.id.0 as usize]).collect();
    for (index, event) in sorted.events.iter_mut().enumerate() {
        event.id = EventId(index as u32);
    }
    (sorted.events, raw)
}

fn settled_head(head: &Head, has_tie: bool) -> Note {
    let mut note = head.note.clone();
    if !has_tie {
        (note.tie_start, note.tie_stop) = (head.tied_start, head.tied_stop);
    }
    note
}

/// Voices from 0 in the order of their numbers; voices that are no numbers come last.
fn voice_numbers(part: &RawPart, kept: &[&RawEvent]) -> Vec<u8> {
    let mut used: Vec<usize> = kept.iter().map(|event| event.voice).collect();
    used.sort_unstable();
    used.dedup();
    used.sort_by_key(|&voice| (part.voices[voice].parse::<u32>().unwrap_or(u32::MAX), voice));
    let mut numbers = vec![0; part.voices.len()];
    for (number, voice) in used.into_iter().enumerate() {
        numbers[voice] = u8::try_from(number).unwrap_or(u8::MAX);
    }
    numbers
}

/// Durations, where the last one of a voice in a bar ends exactly with the bar if it misses its end
/// by rounding only.
fn rounded_ends(kept: &[&RawEvent], timeline: &Timeline) -> Vec<Quarters> {
    let mut lengths: Vec<Quarters> = kept.iter().map(|event| event.duration).collect();
    let mut last: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (index, event) in kept.iter().enumerate().filter(|(_, event)| event.grace.is_none()) {
        let latest = last.entry((event.bar, event.voice)).or_insert(index);
        if event.at >= kept[*latest].at {
            *latest = index;
        }
    }
    for ((bar, _), index) in last {
        let event = kept[index];
        let room = timeline.length(bar) - event.at;
        if (room - event.duration).abs() <= rounding() && room.is_positive()
            || event.whole_bar && event.at.is_zero() && event.heads.is_empty()
        {
            lengths[index] = room;
        }
    }
    lengths
}

/// The heads of an artificial harmonic are one note on one string: of those that say what they
/// show, the stopped one stays.
fn merge_harmonics(draft: &mut Draft<'_>) {
    for index in 0..draft.events.len() {
        let heads = &draft.raw[index].heads;
        if heads.len() < 2 || !heads.iter().any(|head| head.role == Some(HarmonicRole::Base)) {
            continue;
        }
        let over = |head: &&Head| matches!(head.role, Some(HarmonicRole::Touching | HarmonicRole::Sounding));
        let left_out: Vec<f64> = heads.iter().filter(over).map(|head| head.note.pitch.midi()).collect();
        if left_out.is_empty() {
            continue;
        }
        draft.events[index].notes.retain(|note| !left_out.contains(&note.pitch.midi()));
        draft.note(index, "an artificial harmonic is read as its stopped note alone", "");
    }
}

/// Checks every tie against the note it leads to: only ties that join two heads of the same
/// sounding pitch stay. Returns the pairs of events tied at different pitches, which the reader of
/// slurs takes as slurred.
fn join_ties(draft: &mut Draft<'_>) -> Vec<(usize, usize)> {
    let mut by_onset: BTreeMap<Quarters, Vec<usize>> = BTreeMap::new();
    for (index, event) in draft.events.iter().enumerate().filter(|(_, event)| !event.is_rest()) {
        by_onset.entry(event.onset).or_default().push(index);
    }
    let mut reached: Vec<Vec<bool>> =
        draft.events.iter().map(|event| vec![false; event.notes.len()]).collect();
    let mut slurred = Vec::new();
    for index in 0..draft.events.len() {
        if !draft.events[index].notes.iter().any(|note| note.tie_start) {
            continue;
        }
        stretch_to_tie(draft, index, &by_onset);
        let (end, voice) = (draft.events[index].end(), draft.events[index].voice);
        let mut targets: Vec<usize> = by_onset
            .get(&end)
            .into_iter()
            .flatten()
            .copied()
            // A grace note is tied to a later note at its own onset.
            .filter(|&target| target > index)
            .collect();
        targets.sort_by_key(|&target| (draft.events[target].voice != voice, target));
        for head in 0..draft.events[index].notes.len() {
            let note = &draft.events[index].notes[head];
            if !note.tie_start {
                continue;
            }
            let midi = note.pitch.midi();
            let found = targets.iter().find_map(|&target| {
                let notes = &draft.events[target].notes;
                let fits = |(at, other): (usize, &Note)| {
                    other.tie_stop && other.pitch.midi() == midi && !reached[target][at]
                };
                Some((target, notes.iter().enumerate().position(fits)?))
            });
            match found {
                Some((target, at)) => {
                    reached[target][at] = true;
                    if draft.events[target].voice != voice {
                        draft.note(
                            index,
                            "a tie leads to another voice; its end is planned as a new note",
                            "",
                        );
                    }
                }
                None => {
                    draft.events[index].notes[head].tie_start = false;
                    let same_voice = targets
                        .iter()
                        .find(|&&target| {
                            let event = &draft.events[target];
                            event.voice == voice && event.notes.iter().any(|note| note.tie_stop)
                        })
                        .copied();
                    if let Some(target) = same_voice {
                        draft.warn(index, "a tie joins different pitches; it is read as a slur", "");
                        slurred.push((index, target));
                    } else {
                        draft.warn(index, "a tie leads to no note of its pitch; it is left out", "");
                    }
                }
            }
        }
    }
    for (index, reached) in reached.iter().enumerate() {
        for (head, reached) in reached.iter().enumerate() {
            let note = &mut draft.events[index].notes[head];
            if note.tie_stop && !reached {
                note.tie_stop = false;
                if !slurred.iter().any(|&(_, target)| target == index) {
                    draft.warn(index, "a tie ends that never began; it is left out", "");
                }
            }
        }
    }
    slurred.sort_unstable();
    slurred.dedup();
    slurred
}

/// A note tied over the barline sounds up to it: where the file lets it end before, though nothing
/// else follows in its voice and bar, it is made longer.
fn stretch_to_tie(draft: &mut Draft<'_>, index: usize, by_onset: &BTreeMap<Quarters, Vec<usize>>) {
    let event = &draft.events[index];
    let barline = draft.timeline.start(draft.raw[index].bar + 1);
    if event.grace.is_some() || event.end() >= barline {
        return;
    }
    let follows = draft.events[index + 1..]
        .iter()
        .take_while(|later| later.onset < barline)
        .any(|later| later.voice == event.voice);
    let tied = |&target: &usize| {
        let target = &draft.events[target];
        let from = |note: &Note| {
            event.notes.iter().any(|old| old.tie_start && old.pitch.midi() == note.pitch.midi())
        };
        target.voice == event.voice && target.notes.iter().any(|note| note.tie_stop && from(note))
    };
    if !follows && by_onset.get(&barline).is_some_and(|targets| targets.iter().any(tied)) {
        draft.events[index].duration = barline - draft.events[index].onset;
        draft.warn(
            index,
            "a note tied over the barline ends before it; it is held up to the barline",
            "check the note values in this bar",
        );
    }
}
