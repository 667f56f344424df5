//! From a part as written to a [`Score`]: bars, events, ties.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::{
    error::ImportError,
    fresh::Accidentals,
    raw::{HarmonicRole, Head, Origin, RawEvent, RawPart},
    settling::Settling,
    signs, slurs, ties,
    timeline::{Tempo, Timeline, rounding},
};
use crate::{
    exchange::diagnostic::{Diagnostic, FilePlace, Reporter},
    score::{Bar, Event, EventId, Grace, Note, Quarters, Score, Shared, crowd},
    setup::Family,
};

/// One part, read.
#[derive(Clone, Debug)]
pub struct Imported {
    /// The music.
    pub score: Score,
    /// Id of the part in the file.
    pub part: String,
    /// What there is to tell about the reading.
    pub diagnostics: Vec<Diagnostic>,
    /// Instrument, where the file tells that it is one of the four.
    pub instrument: Option<Family>,
    /// The file gives a tempo in numbers.
    pub tempo_given: bool,
}

/// What one part needs to know of the whole score.
pub(super) struct Whole<'d> {
    pub title: &'d str,
    pub timeline: &'d Timeline,
    pub tempos: &'d [Tempo],
    /// Remarks on the whole file.
    pub report: &'d Reporter,
}

/// Where what was read stands in the text.
pub(super) struct Origins<'p> {
    /// For each event of the score what was written for it.
    pub events: Vec<&'p RawEvent>,
    /// For each sign of the score.
    pub signs: Vec<Origin>,
}

/// Settles one part of a score, and tells where in the text it was read.
///
/// # Errors
/// When more sounds at once than anybody plays.
pub(super) fn resolve<'p>(
    part: &'p RawPart,
    whole: &Whole<'_>,
) -> Result<(Imported, Origins<'p>), ImportError> {
    let mut report = part.report.clone();
    let (timeline, longer) = whole.timeline.of_part(part);
    for &index in &longer {
        let bar = &part.bars[index];
        report.warn(
            FilePlace { bar: &bar.number, line: bar.line },
            "a bar holds more than its time signature or the other parts allow; it is made longer",
            "check the note values in this bar",
        );
    }
    let bars = bars(part, &timeline);
    let staff = chosen_staff(part, &mut report);
    let (events, raw) = events(part, staff, &timeline);
    if let Some(crowd) = crowd(&bars, &events) {
        return Err(ImportError::Crowd(crowd));
    }
    let mut settling = Settling { part, staff, timeline, events, raw, report };
    merge_harmonics(&mut settling);
    drop_lone_tremolos(&mut settling);
    let joined = ties::join(&mut settling);
    show_reminders(&mut settling, &bars);
    let slurs = slurs::pair(&mut settling, &joined);
    let (signs, sign_origins) = signs::place(&mut settling, whole.tempos);
    let tempo_given = !whole.tempos.is_empty();
    let score = Score {
        title: whole.title.to_owned(),
        part: part.name.split_whitespace().collect::<Vec<_>>().join(" "),
        bars: bars.into(),
        events: settling.events,
        slurs: slurs.into(),
        signs: signs.into(),
    };
    let mut diagnostics = whole.report.clone().into_list();
    diagnostics.extend(settling.report.into_list());
    let origins = Origins { events: settling.raw, signs: sign_origins };
    let imported =
        Imported { score, part: part.id.clone(), diagnostics, instrument: part.family, tempo_given };
    Ok((imported, origins))
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
            jumps: raw.jumps.clone(),
        });
    }
    bars
}

/// The staff that is read: the first that has notes and is no ossia.
fn chosen_staff(part: &RawPart, report: &mut Reporter) -> u8 {
    let sounding = || part.events.iter().filter(|event| !event.heads.is_empty());
    let played = || sounding().filter(|event| !part.beside.contains(&event.staff));
    let staff = played().map(|event| event.staff).min().unwrap_or(1);
    let bar = |event: &RawEvent| part.bars.get(event.bar).map_or("", |bar| bar.number.as_str());
    if let Some(other) = sounding().find(|event| event.staff != staff && part.beside.contains(&event.staff)) {
        let place = FilePlace { bar: bar(other), line: other.line };
        report.note(place, "a staff beside the music (ossia, cue) is not read", "");
    }
    if let Some(other) = played().find(|event| event.staff != staff) {
        let bar = bar(other);
        report.warn(
            FilePlace { bar, line: other.line },
            format!("the part has several staves; only staff {staff} is read"),
            "export the other staff as a part of its own",
        );
    }
    staff
}

/// The events of one staff in score order, with what was written for each.
fn events<'p>(part: &'p RawPart, staff: u8, timeline: &Timeline) -> (Vec<Shared<Event>>, Vec<&'p RawEvent>) {
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
        event.tremolo_to_next = raw.tremolo_to_next;
        event.cue = raw.cue;
        event.whole_bar = raw.whole_bar;
        event.pizzicato = raw.pizzicato;
        event.line = raw.line;
        Shared::from(event)
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

/// An accidental that is printed where the bar rule asks for none reminds the player, and is kept.
fn show_reminders(settling: &mut Settling<'_>, bars: &[Bar]) {
    let mut from = 0;
    for bar in bars {
        let mut in_force = Accidentals::new(bar.key);
        let count = settling.events[from..].partition_point(|event| event.onset < bar.end());
        for index in from..from + count {
            let heads = &settling.raw[index].heads;
            for place in 0..settling.events[index].notes.len() {
                let note = &settling.events[index].notes[place];
                let printed = heads.iter().any(|head| head.accidental && head.note.pitch == note.pitch);
                if in_force.needed(note).is_none() && printed && !note.tie_stop {
                    settling.events[index].notes[place].accidental_shown = true;
                }
            }
        }
        from += count;
    }
}

/// A tremolo between two notes has a second note.
fn drop_lone_tremolos(settling: &mut Settling<'_>) {
    let mut score = Score { events: std::mem::take(&mut settling.events), ..Score::default() };
    let begun: HashSet<usize> = score.tremolos_between().iter().map(|own| own.from).collect();
    for index in 0..score.events.len() {
        if score.events[index].tremolo_to_next.is_some() && !begun.contains(&index) {
            score.events[index].tremolo_to_next = None;
            settling.note(index, "a tremolo between two notes has no second note; it is left out", "");
        }
    }
    settling.events = score.events;
}

/// The heads of an artificial harmonic are one note on one string: of those that say what they
/// show, the stopped one stays.
fn merge_harmonics(settling: &mut Settling<'_>) {
    for index in 0..settling.events.len() {
        let heads = &settling.raw[index].heads;
        if heads.len() < 2 || !heads.iter().any(|head| head.role == Some(HarmonicRole::Base)) {
            continue;
        }
        let over = |head: &&Head| matches!(head.role, Some(HarmonicRole::Touching | HarmonicRole::Sounding));
        let left_out: Vec<f64> = heads.iter().filter(over).map(|head| head.note.pitch.midi()).collect();
        if left_out.is_empty() {
            continue;
        }
        settling.events[index].notes.retain(|note| !left_out.contains(&note.pitch.midi()));
        settling.note(index, "an artificial harmonic is read as its stopped note alone", "");
    }
}
