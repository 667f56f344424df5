//! A lesson as a new MusicXML 4.0 file of one part.
//!
//! Element order and names: the MusicXML 4.0 schema.

mod beams;
mod note;
mod placed;
mod tuplets;

use std::collections::BTreeMap;

use quick_xml::{
    Writer,
    events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event as Xml},
};

use super::{element::Element, places::Besides, wanted::as_written};
use crate::{
    analysis::Study,
    score::{Bar, Event, EventId, Grace, Quarters, Score, Shared, SignId},
    setup::Family,
};
pub(super) use note::{Accidentals, Manner, Written, grouped, notes, pitch};
pub(super) use placed::time;

/// The document type of the standard.
const DOCTYPE: &str = " score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
    \"http://www.musicxml.org/dtds/partwise.dtd\"";
/// Id of the part.
const PART: &str = "P1";

/// The XML of a lesson as a score of its own, with what is wanted besides.
pub fn write_new(study: &Study, besides: Besides) -> Vec<u8> {
    let score = as_written(study, besides);
    let family = study.lesson().setup.instrument.family;
    let mut writer = Writer::new_with_indent(Vec::new(), b' ', 2);
    // Into memory nothing fails.
    let _ = write_score(&mut writer, &Part::new(&score, family));
    let mut xml = writer.into_inner();
    xml.push(b'\n');
    xml
}

/// A part on the way into a file.
struct Part<'s> {
    score: &'s Score,
    family: Family,
    manner: Manner,
    /// What is drawn and said over several notes, for each event.
    written: BTreeMap<EventId, Written>,
    /// The number of each hairpin.
    wedges: BTreeMap<SignId, usize>,
}

impl<'s> Part<'s> {
    fn new(score: &'s Score, family: Family) -> Self {
        let times = score.events.iter().flat_map(|event| [event.onset, event.duration]);
        let bars = score.bars.iter().flat_map(|bar| [bar.start, bar.length]);
        let signs = score.signs.iter().map(|sign| sign.at);
        let divisions = times.chain(bars).chain(signs).fold(1, |all, time| lcm(all, time.denom()));
        let octaves = i8::from(family == Family::DoubleBass);
        let mut part = Self {
            score,
            family,
            manner: Manner { octaves, ..Manner::new(Quarters::from(divisions)) },
            written: BTreeMap::new(),
            wedges: placed::wedge_numbers(score),
        };
        part.written = note::written(&part);
        part
    }

    /// A time in ticks.
    fn ticks(&self, time: Quarters) -> i64 {
        self.manner.ticks(time)
    }
}

/// Most ticks in a quarter note that are written (MusicXML 4.0: a positive number; assumed to be enough).
pub(super) const MOST_TICKS: i64 = 1 << 20;

/// The least common multiple, where it stays within [`MOST_TICKS`].
pub(super) fn lcm(a: i64, b: i64) -> i64 {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    let all = a / x.max(1) * b;
    if all > MOST_TICKS { a } else { all }
}

fn write_score(writer: &mut Writer<Vec<u8>>, part: &Part<'_>) -> std::io::Result<()> {
    writer.write_event(Xml::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    writer.write_event(Xml::DocType(BytesText::from_escaped(DOCTYPE)))?;
    let root = BytesStart::new("score-partwise").with_attributes([("version", "4.0")]);
    writer.write_event(Xml::Start(root))?;
    let Score { title, part: name, bars, .. } = part.score;
    if !title.is_empty() {
        let title = Element::new("work-title").saying(title);
        Element::new("work").holding([title]).write(writer)?;
    }
    let software = Element::new("software").saying(concat!("Elbowroom ", env!("CARGO_PKG_VERSION")));
    Element::new("identification").holding([Element::new("encoding").holding([software])]).write(writer)?;
    let family = part.family.word();
    let name = if name.is_empty() { crate::score::sentence_case(family) } else { name.clone() };
    let sound = match part.family {
        Family::Violin => "strings.violin",
        Family::Viola => "strings.viola",
        Family::Cello => "strings.cello",
        Family::DoubleBass => "strings.contrabass",
    };
    let instrument = Element::new("score-instrument").with("id", "P1-I1").holding([
        Element::new("instrument-name").saying(family),
        Element::new("instrument-sound").saying(sound),
    ]);
    let listed = Element::new("score-part")
        .with("id", PART)
        .holding([Element::new("part-name").saying(name), instrument]);
    Element::new("part-list").holding([listed]).write(writer)?;
    writer.write_event(Xml::Start(BytesStart::new("part").with_attributes([("id", PART)])))?;
    for index in 0..bars.len() {
        measure(part, index).write(writer)?;
    }
    writer.write_event(Xml::End(BytesEnd::new("part")))?;
    writer.write_event(Xml::End(BytesEnd::new("score-partwise")))
}

/// One bar.
fn measure(part: &Part<'_>, index: usize) -> Element {
    let bars = &part.score.bars;
    let bar = &bars[index];
    let mut measure = Element::new("measure").with("number", &bar.number);
    if bar.pickup {
        measure = measure.with("implicit", "yes");
    }
    let before = index.checked_sub(1).map(|before| &bars[before]);
    let after = bars.get(index + 1);
    measure = measure.holding(left_barline(bar, before)).holding(placed::attributes(part, bar, before));
    let mut voices: Vec<u8> = events_of(part.score, bar).map(|event| event.voice).collect();
    voices.sort_unstable();
    voices.dedup();
    let mut signs = placed::signs(part, index);
    let mut accidentals = note::Accidentals::new(bar.key);
    let first = voices.first().copied();
    let mut cursor = bar.start;
    for &voice in &voices {
        if cursor != bar.start {
            measure = measure.holding([moved("backup", part.ticks(cursor - bar.start))]);
            cursor = bar.start;
        }
        for event in events_of(part.score, bar).filter(|event| event.voice == voice) {
            if event.onset > cursor {
                measure = measure.holding([moved("forward", part.ticks(event.onset - cursor))]);
                cursor = event.onset;
            }
            if Some(voice) == first && event.grace.is_none() {
                measure = measure.holding(signs.up_to(part, event.end(), cursor));
            }
            let written = part.written.get(&event.id).cloned().unwrap_or_default();
            let shown: Vec<_> = event.notes.iter().map(|note| accidentals.needed(note)).collect();
            measure = measure.holding(note::notes(&part.manner, event, &written, &shown));
            cursor = cursor.max(event.end());
        }
        if Some(voice) == first {
            measure = measure.holding(signs.rest(part, cursor));
        }
    }
    if voices.is_empty() {
        measure = measure.holding(signs.rest(part, cursor));
    }
    if cursor < bar.end() {
        measure = measure.holding([moved("forward", part.ticks(bar.end() - cursor))]);
    }
    measure.holding(right_barline(bar, after))
}

/// The events of a bar. Grace notes at the end of a note that ends with its bar stand in that bar.
fn events_of<'s>(score: &'s Score, bar: &Bar) -> impl Iterator<Item = &'s Event> {
    places_of(score, bar).map(|place| &*score.events[place])
}

/// The places of these events in the score.
pub(super) fn places_of(score: &Score, bar: &Bar) -> impl Iterator<Item = usize> {
    let events = &score.events;
    let (start, end) = (bar.start, bar.end());
    let from = events.partition_point(|event| event.onset < start);
    let first = start.is_zero();
    let own = move |(_, event): &(usize, &Shared<Event>)| match event.grace {
        Some(Grace { after: true, .. }) => event.onset > start || first,
        _ => event.onset < end,
    };
    let here = events.iter().enumerate().skip(from).take_while(move |(_, event)| event.onset <= end);
    here.filter(own).map(|(place, _)| place)
}

/// A move of the place in time.
pub(super) fn moved(name: &'static str, ticks: i64) -> Element {
    Element::new(name).holding([Element::new("duration").saying(ticks)])
}

fn left_barline(bar: &Bar, before: Option<&Bar>) -> Option<Element> {
    let ending =
        bar.ending.as_ref().filter(|own| before.and_then(|before| before.ending.as_ref()) != Some(own));
    if !bar.repeat_start && ending.is_none() {
        return None;
    }
    let mut line = Element::new("barline").with("location", "left");
    if bar.repeat_start {
        line = line.holding([Element::new("bar-style").saying("heavy-light")]);
    }
    line = line
        .holding(ending.map(|number| Element::new("ending").with("number", number).with("type", "start")));
    Some(line.holding(bar.repeat_start.then(|| Element::new("repeat").with("direction", "forward"))))
}

fn right_barline(bar: &Bar, after: Option<&Bar>) -> Option<Element> {
    let ending = bar.ending.as_ref().filter(|own| after.and_then(|after| after.ending.as_ref()) != Some(own));
    let style = match (bar.repeat_end, bar.double_barline, after) {
        (true, ..) | (_, _, None) => Some("light-heavy"),
        (_, true, _) => Some("light-light"),
        _ => None,
    };
    if style.is_none() && ending.is_none() {
        return None;
    }
    let line = Element::new("barline")
        .with("location", "right")
        .holding(style.map(|style| Element::new("bar-style").saying(style)))
        .holding(ending.map(|number| Element::new("ending").with("number", number).with("type", "stop")));
    Some(line.holding(bar.repeat_end.then(|| Element::new("repeat").with("direction", "backward"))))
}
