//! `<note>`: what one event becomes.

use std::collections::{BTreeMap, HashMap};

use super::{Part, beams::beams, tuplets};
use crate::{
    exchange::musicxml::{element::Element, marks::MARKS, names},
    score::{
        Bar, Between, Direction, Event, EventId, Grace, Letter, Mark, Note, Pitch, Quarters, Score, Shared,
        Slur,
    },
};

/// Most numbers a slur may have (MusicXML 4.0, `number-level`).
const MOST_SLURS: usize = 16;

/// How the notes of a file are written.
#[derive(Clone, Debug)]
pub(in crate::exchange::musicxml) struct Manner {
    /// Ticks in a quarter note.
    pub divisions: Quarters,
    /// Octaves that are written above the sound.
    pub octaves: i8,
    /// Name of the voice; without one it is its number from 1.
    pub voice: Option<String>,
    /// The staff, where the part has several.
    pub staff: Option<u8>,
    /// Which instrument of the part plays, where it has several.
    pub instrument: Option<String>,
}

impl Manner {
    /// Of a part with one staff that sounds as it is written.
    pub(in crate::exchange::musicxml) fn new(divisions: Quarters) -> Self {
        Self { divisions, octaves: 0, voice: None, staff: None, instrument: None }
    }

    /// A time in ticks.
    pub(in crate::exchange::musicxml) fn ticks(&self, time: Quarters) -> i64 {
        (time * self.divisions).numer()
    }
}

/// What is drawn over several notes, as one of them shows it.
#[derive(Clone, Debug, Default)]
pub(in crate::exchange::musicxml) struct Written {
    /// Beams, the outermost first.
    beams: Vec<&'static str>,
    /// A tuplet begins, and ends.
    tuplet: (bool, bool),
    /// Ends of slurs: whether it starts, and its number.
    slurs: Vec<(bool, usize)>,
    /// Ends of the lines of glissandi: their element, and whether it starts.
    slides: Vec<(&'static str, bool)>,
    /// The line of a trill begins, and ends.
    trill: (bool, bool),
    /// A tremolo between two notes begins or ends, with its strokes.
    between: Option<(&'static str, u8)>,
}

/// Beams, tuplets and slurs of all events.
pub(super) fn written(part: &Part<'_>) -> BTreeMap<EventId, Written> {
    let mut all: BTreeMap<EventId, Written> = BTreeMap::new();
    for bar in &part.score.bars {
        let mut voices: BTreeMap<u8, Vec<&Event>> = BTreeMap::new();
        for event in super::events_of(part.score, bar) {
            voices.entry(event.voice).or_default().push(event);
        }
        for events in voices.values() {
            all.extend(events.iter().map(|event| event.id).zip(grouped(bar, events)));
        }
    }
    number_slurs(part, &mut all);
    lines_to_the_next(part, &mut all);
    all
}

/// Beams and tuplets of events of one voice in one bar.
pub(in crate::exchange::musicxml) fn grouped(bar: &Bar, events: &[&Event]) -> Vec<Written> {
    let both = beams(bar, events).into_iter().zip(tuplets::ends(events));
    let mut written: Vec<Written> =
        both.map(|(beams, tuplet)| Written { beams, tuplet, ..Written::default() }).collect();
    let own = events.iter().map(|event| Shared::from((*event).clone())).collect();
    for Between { from, to, strokes } in (Score { events: own, ..Score::default() }).tremolos_between() {
        written[from].between = Some(("start", strokes));
        written[to].between = Some(("stop", strokes));
    }
    written
}

/// The lines that go from a note to the next of its voice, and those of trills, each where it begins and ends.
fn lines_to_the_next(part: &Part<'_>, all: &mut BTreeMap<EventId, Written>) {
    let mut before: BTreeMap<u8, &Event> = BTreeMap::new();
    let mut trilled: BTreeMap<u8, EventId> = BTreeMap::new();
    for event in part.score.events.iter().filter(|event| event.grace.is_none()) {
        let from = before.insert(event.voice, event).filter(|_| !event.is_rest());
        for (mark, name) in [(Mark::Glissando, "glissando"), (Mark::Slide, "slide")] {
            if let Some(from) = from.filter(|from| from.marks.contains(&mark)) {
                all.entry(from.id).or_default().slides.push((name, true));
                all.entry(event.id).or_default().slides.push((name, false));
            }
        }
        let goes_on = event.marks.contains(&Mark::TrillLine);
        if let Some(last) =
            trilled.get(&event.voice).filter(|_| !goes_on || event.marks.contains(&Mark::Trill))
        {
            all.entry(*last).or_default().trill.1 = true;
            trilled.remove(&event.voice);
        }
        if goes_on && trilled.insert(event.voice, event.id).is_none() {
            all.entry(event.id).or_default().trill.0 = true;
        }
    }
    for last in trilled.into_values() {
        all.entry(last).or_default().trill.1 = true;
    }
}

/// Gives each slur the least number that is free as long as it lasts.
fn number_slurs(part: &Part<'_>, all: &mut BTreeMap<EventId, Written>) {
    let places: HashMap<EventId, usize> =
        part.score.events.iter().enumerate().map(|(place, event)| (event.id, place)).collect();
    let span = |slur: &Slur| Some((*places.get(&slur.from)?, *places.get(&slur.to)?));
    let mut spans: Vec<(usize, usize)> = part.score.slurs.iter().filter_map(span).collect();
    spans.sort_unstable();
    let mut busy_until = [None; MOST_SLURS];
    for (from, to) in spans {
        let free = busy_until.iter().position(|until: &Option<usize>| until.is_none_or(|until| until < from));
        let Some(number) = free else { continue };
        busy_until[number] = Some(to);
        for (place, start) in [(from, true), (to, false)] {
            let written = all.entry(part.score.events[place].id).or_default();
            written.slurs.push((start, number + 1));
        }
    }
}

/// The accidentals in force in one bar.
pub(in crate::exchange::musicxml) struct Accidentals {
    key: i8,
    /// Half steps by letter and octave.
    set: HashMap<(Letter, i8), f32>,
}

impl Accidentals {
    /// At the start of a bar.
    pub(in crate::exchange::musicxml) fn new(key: i8) -> Self {
        Self { key, set: HashMap::new() }
    }

    /// The accidental a note needs, which is in force from then on.
    pub(in crate::exchange::musicxml) fn needed(&mut self, note: &Note) -> Option<&'static str> {
        let Pitch { letter, octave, alter } = note.pitch;
        let in_force =
            self.set.get(&(letter, octave)).copied().unwrap_or_else(|| letter.alter_in_key(self.key));
        // A tied note keeps what it was tied from, even over the barline.
        if note.tie_stop || (in_force - alter).abs() < 0.01 && !note.accidental_shown {
            return None;
        }
        self.set.insert((letter, octave), alter);
        names::accidental(alter)
    }
}

/// The `<note>` elements of an event: one for a rest, one for each head with the accidental it shows.
pub(in crate::exchange::musicxml) fn notes(
    manner: &Manner,
    event: &Event,
    written: &Written,
    accidentals: &[Option<&'static str>],
) -> Vec<Element> {
    if event.is_rest() {
        let rest = Element::new("rest");
        let rest = if event.whole_bar { rest.with("measure", "yes") } else { rest };
        return vec![note(manner, event, written, None, [rest])];
    }
    let heads = event.notes.iter().zip(accidentals).enumerate();
    heads
        .map(|(index, (head, shown))| {
            let chord = (index > 0).then(|| Element::new("chord"));
            let pitch = pitch(head.pitch.transposed(12 * i32::from(manner.octaves)));
            note(manner, event, written, Some((index, head, *shown)), chord.into_iter().chain([pitch]))
        })
        .collect()
}

fn note(
    manner: &Manner,
    event: &Event,
    written: &Written,
    head: Option<(usize, &Note, Option<&'static str>)>,
    what: impl IntoIterator<Item = Element>,
) -> Element {
    let Grace { slash, .. } = event.grace.unwrap_or(Grace { order: 0, slash: false, after: false });
    let is_grace = event.grace.is_some();
    let first = head.is_none_or(|(index, ..)| index == 0);
    let grace = is_grace.then(|| {
        let grace = Element::new("grace");
        if slash { grace.with("slash", "yes") } else { grace }
    });
    let ties: Vec<&'static str> = head.map_or(Vec::new(), |(_, note, _)| {
        [(note.tie_stop, "stop"), (note.tie_start, "start")]
            .into_iter()
            .filter_map(|(is, word)| is.then_some(word))
            .collect()
    });
    let tie = |name: &'static str| {
        ties.clone().into_iter().map(move |kind| Element::new(name).with("type", kind)).collect::<Vec<_>>()
    };
    let mut note = Element::new("note").holding(grace).holding(what);
    if !is_grace {
        note = note.holding([Element::new("duration").saying(manner.ticks(event.duration))]);
    }
    let voice = manner.voice.clone().unwrap_or_else(|| (event.voice + 1).to_string());
    let instrument = manner.instrument.as_ref().map(|id| Element::new("instrument").with("id", id));
    note = note.holding(tie("tie")).holding(instrument).holding([Element::new("voice").saying(voice)]);
    // A rest of a whole bar looks the same in every metre; its length is said above.
    if !event.whole_bar {
        let kind = names::note_type(event.value.log2_whole);
        note = note
            .holding(kind.map(|kind| {
                let element = Element::new("type").saying(kind);
                // A `<cue>` may not be tied (MusicXML 4.0, `note`).
                if event.cue { element.with("size", "cue") } else { element }
            }))
            .holding((0..event.value.dots).map(|_| Element::new("dot")));
    }
    if let Some((_, own, Some(accidental))) = head {
        let shown = Element::new("accidental").saying(accidental);
        let shown = if own.accidental_shown { shown.with("cautionary", "yes") } else { shown };
        note = note.holding([shown]);
    }
    if let Some((actual, normal)) = event.value.tuplet {
        note = note.holding([Element::new("time-modification").holding([
            Element::new("actual-notes").saying(actual),
            Element::new("normal-notes").saying(normal),
        ])]);
    }
    if let Some((_, own, _)) = head
        && own.harmonic
        && !event.marks.contains(&Mark::Harmonic)
    {
        note = note.holding([Element::new("notehead").saying("diamond")]);
    }
    note = note.holding(manner.staff.map(|staff| Element::new("staff").saying(staff)));
    if first {
        let beams = written.beams.iter().enumerate();
        note = note
            .holding(beams.map(|(level, word)| Element::new("beam").with("number", level + 1).saying(word)));
    }
    let mut notations: Vec<Element> = tie("tied");
    if first {
        notations.extend(spans(written));
    }
    notations.extend(groups(event, head.map(|(_, note, _)| note), first.then_some(written)));
    if notations.is_empty() { note } else { note.holding([Element::new("notations").holding(notations)]) }
}

fn spans(written: &Written) -> impl Iterator<Item = Element> {
    let slur = |&(start, number): &(bool, usize)| {
        let kind = if start { "start" } else { "stop" };
        Element::new("slur").with("type", kind).with("number", number)
    };
    let (begins, ends) = written.tuplet;
    let tuplet = [(begins, "start"), (ends, "stop")]
        .into_iter()
        .filter(|(is, _)| *is)
        .map(|(_, kind)| Element::new("tuplet").with("type", kind));
    let slide = |&(name, start): &(&'static str, bool)| {
        Element::new(name).with("type", if start { "start" } else { "stop" })
    };
    written.slurs.iter().map(slur).chain(tuplet).chain(written.slides.iter().map(slide))
}

/// Ornaments, technical marks, articulations, and what stands in the notations itself.
fn groups(event: &Event, head: Option<&Note>, first: Option<&Written>) -> Vec<Element> {
    let mut groups: BTreeMap<&'static str, Vec<Element>> = BTreeMap::new();
    let mut bare = Vec::new();
    if let Some(written) = first {
        if let Some(strokes) = event.tremolo {
            let kind = if strokes == 0 { "unmeasured" } else { "single" };
            let tremolo = Element::new("tremolo").with("type", kind).saying(strokes);
            groups.entry("ornaments").or_default().push(tremolo);
        }
        if let Some((kind, strokes)) = written.between {
            let tremolo = Element::new("tremolo").with("type", kind).saying(strokes);
            groups.entry("ornaments").or_default().push(tremolo);
        }
        if let Some(bow) = event.bow {
            let name = if bow == Direction::Up { "up-bow" } else { "down-bow" };
            groups.entry("technical").or_default().push(Element::new(name));
        }
        // A harmonic belongs to its head.
        let marked = |mark| event.marks.contains(&mark) && mark != Mark::Harmonic;
        for named in MARKS.iter().filter(|named| marked(named.mark)) {
            let element = Element::new(named.names[0]);
            match named.mark {
                Mark::NonArpeggiate => bare.push(element.with("type", "bottom")),
                _ if named.group.is_empty() => bare.push(element),
                _ => groups.entry(named.group).or_default().push(element),
            }
        }
        let line = |kind| Element::new("wavy-line").with("type", kind);
        let (begins, ends) = written.trill;
        let lines = [begins.then(|| line("start")), ends.then(|| line("stop"))];
        if begins || ends {
            groups.entry("ornaments").or_default().extend(lines.into_iter().flatten());
        }
    }
    if let Some(note) = head {
        let fingers = note.fingers.iter().map(|finger| match finger.as_str() {
            "T" => Element::new("thumb-position"),
            finger => Element::new("fingering").saying(finger),
        });
        let string = note.string.map(|string| Element::new("string").saying(string));
        let harmonic = note.harmonic && event.marks.contains(&Mark::Harmonic);
        let harmonic = harmonic.then(|| Element::new("harmonic"));
        let both: Vec<Element> = fingers.chain(string).chain(harmonic).collect();
        if !both.is_empty() {
            groups.entry("technical").or_default().extend(both);
        }
    }
    let groups = groups.into_iter().map(|(name, held)| Element::new(name).holding(held));
    groups.chain(bare).collect()
}

/// A `<pitch>`.
pub(in crate::exchange::musicxml) fn pitch(pitch: Pitch) -> Element {
    let mut element = Element::new("pitch").holding([Element::new("step").saying(pitch.letter.symbol())]);
    if pitch.alter != 0.0 {
        element = element.holding([Element::new("alter").saying(pitch.alter)]);
    }
    element.holding([Element::new("octave").saying(pitch.octave)])
}
