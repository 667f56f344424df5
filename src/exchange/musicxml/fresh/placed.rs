//! `<attributes>` and `<direction>`: what stands at a place in time.

use std::collections::BTreeMap;

use super::Part;
use crate::{
    exchange::musicxml::{element::Element, placed as what},
    score::{
        Bar, Clef, ClefSign, Jumps, Mark, Quarters, Score, Sign, SignId, SignKind, TimeSign, TimeSignature,
    },
    setup::Family,
};

/// Most numbers a hairpin may have (MusicXML 4.0, `number-level`).
const MOST_WEDGES: usize = 16;

/// For each hairpin the least number that is free as long as it lasts.
pub(super) fn wedge_numbers(score: &Score) -> BTreeMap<SignId, usize> {
    let mut busy_until: [Option<Quarters>; MOST_WEDGES] = [None; MOST_WEDGES];
    let mut numbers = BTreeMap::new();
    for sign in &score.signs {
        if let SignKind::Hairpin { end, .. } = sign.kind
            && let Some(free) = busy_until.iter().position(|until| until.is_none_or(|until| until < sign.at))
        {
            busy_until[free] = Some(end);
            numbers.insert(sign.id, free + 1);
        }
    }
    numbers
}

/// What changes at the start of a bar.
pub(super) fn attributes(part: &Part<'_>, bar: &Bar, before: Option<&Bar>) -> Option<Element> {
    let mut held = Vec::new();
    if before.is_none() {
        held.push(Element::new("divisions").saying(part.manner.divisions.numer()));
    }
    if before.is_none_or(|before| before.key != bar.key) {
        held.push(Element::new("key").holding([Element::new("fifths").saying(bar.key)]));
    }
    if before.is_none_or(|before| before.time != bar.time) {
        held.push(time(&bar.time));
    }
    let changed = part.score.signs.iter().rev().find_map(|sign| match sign.kind {
        SignKind::Clef(clef) if sign.at == bar.start => Some(clef),
        _ => None,
    });
    let clef_here = changed.or_else(|| before.is_none().then(|| part.score.clef_at(bar.start)));
    held.extend(clef_here.map(|here| clef(part, here)));
    if before.is_none() && part.family == Family::DoubleBass {
        held.push(Element::new("transpose").holding([
            Element::new("diatonic").saying(0),
            Element::new("chromatic").saying(0),
            Element::new("octave-change").saying(-part.manner.octaves),
        ]));
    }
    (!held.is_empty()).then(|| Element::new("attributes").holding(held))
}

/// A time signature.
pub(in crate::exchange::musicxml) fn time(time: &TimeSignature) -> Element {
    let element = Element::new("time");
    if time.beats.is_empty() {
        return element.holding([Element::new("senza-misura")]);
    }
    let element = match time.sign {
        TimeSign::Numbers => element,
        TimeSign::Common => element.with("symbol", "common"),
        TimeSign::Cut => element.with("symbol", "cut"),
    };
    element.holding([
        Element::new("beats").saying(&time.beats),
        Element::new("beat-type").saying(time.beat_type),
    ])
}

fn clef(part: &Part<'_>, clef: Clef) -> Element {
    let sign = match clef.sign {
        ClefSign::G => "G",
        ClefSign::C => "C",
        ClefSign::F => "F",
    };
    let element = Element::new("clef")
        .holding([Element::new("sign").saying(sign), Element::new("line").saying(clef.line)]);
    match clef.octave + part.manner.octaves {
        0 => element,
        octave => element.holding([Element::new("clef-octave-change").saying(octave)]),
    }
}

/// The signs of a bar that are still to be written, in order.
pub(super) struct Signs {
    left: Vec<(Quarters, Element)>,
}

/// The signs of a bar.
pub(super) fn signs(part: &Part<'_>, index: usize) -> Signs {
    let score = part.score;
    let bar = &score.bars[index];
    let before = index.checked_sub(1).map(|before| &score.bars[before]);
    let last = index + 1 == score.bars.len();
    let starts = |at: Quarters| at >= bar.start && (at < bar.end() || last && at == bar.end());
    let ends = |at: Quarters| at > bar.start && at <= bar.end();
    let mut left: Vec<(Quarters, u8, Element)> = Vec::new();
    for sign in &score.signs {
        if let SignKind::Hairpin { opens, end, niente } = sign.kind {
            let number = part.wedges.get(&sign.id).copied().unwrap_or(1);
            if ends(end) {
                left.push((end, 0, below(what::wedge(None, niente && !opens, number))));
            }
            if starts(sign.at) && end > sign.at {
                left.push((sign.at, 2, below(what::wedge(Some(opens), niente && opens, number))));
            }
        } else if let SignKind::OctaveLine { octaves, end } = sign.kind {
            let line = |starts| {
                let line = what::octave_line(starts, octaves);
                if octaves > 0 { above(line) } else { below(line) }
            };
            if ends(end) {
                left.push((end, 0, line(false)));
            }
            if starts(sign.at) && end > sign.at {
                left.push((sign.at, 2, line(true)));
            }
        } else if match jumps_said(sign) {
            // Words for the end of a bar stand in it, not at the start of the next.
            Some(jumps) if sign.at == bar.end() => last || bar.jumps.has(&jumps),
            Some(jumps) if sign.at == bar.start => before.is_none_or(|before| !before.jumps.has(&jumps)),
            _ => starts(sign.at),
        } {
            left.extend(own(part, bar, sign).into_iter().map(|element| (sign.at, 1, element)));
        }
    }
    for event in super::events_of(part.score, bar) {
        if let Some(letters) = event.sudden_letters() {
            left.push((event.onset, 1, below(what::dynamics(letters))));
        }
    }
    left.extend(plucking(part, bar));
    left.extend(jumps(part, bar));
    left.sort_by_key(|(at, order, _)| (*at, *order));
    Signs { left: left.into_iter().map(|(at, _, element)| (at, element)).collect() }
}

/// The jumps that the words of a sign say, if any.
fn jumps_said(sign: &Sign) -> Option<Jumps> {
    let SignKind::Words(words) = &sign.kind else { return None };
    Some(Jumps::from_words(words)).filter(|jumps| !jumps.is_empty())
}

/// Segno and coda at the start of a bar, what sends the player elsewhere at its end.
fn jumps(part: &Part<'_>, bar: &Bar) -> Vec<(Quarters, u8, Element)> {
    let Jumps { segno, coda, .. } = bar.jumps;
    let mut found = Vec::new();
    for (stands, name) in [(segno, "segno"), (coda, "coda")] {
        if stands {
            let sound = Element::new("sound").with(name, name);
            found.push((bar.start, 0, above(Element::new(name)).holding([sound])));
        }
    }
    for words in part.score.unsaid_jumps(bar) {
        let (name, value) = match words {
            "Fine" => ("fine", "yes"),
            "To Coda" => ("tocoda", "coda"),
            "D.C." => ("dacapo", "yes"),
            _ => ("dalsegno", "segno"),
        };
        let sound = Element::new("sound").with(name, value);
        found.push((bar.end(), 3, above(what::words(words)).holding([sound])));
    }
    found
}

/// Where plucking begins and ends without words that say so.
fn plucking(part: &Part<'_>, bar: &Bar) -> Vec<(Quarters, u8, Element)> {
    let notes = |from: Quarters| part.score.events.iter().rev().find(move |e| !e.is_rest() && e.onset < from);
    let mut plucked = notes(bar.start).is_some_and(|event| event.pizzicato);
    let mut found = Vec::new();
    for event in super::events_of(part.score, bar).filter(|event| !event.is_rest() && event.grace.is_none()) {
        if event.pizzicato == plucked {
            continue;
        }
        plucked = event.pizzicato;
        let said = part.score.signs.iter().any(|sign| {
            let words = ["pizz", "arco"];
            sign.at == event.onset
                && matches!(&sign.kind, SignKind::Words(text)
                    if words.iter().any(|word| text.to_lowercase().contains(word)))
        });
        if !said {
            let words = above(what::words(if plucked { "pizz." } else { "arco" }));
            let sound = Element::new("sound").with("pizzicato", if plucked { "yes" } else { "no" });
            found.push((event.onset, 1, words.holding([sound])));
        }
    }
    found
}

/// The directions of a sign that has one place.
fn own(part: &Part<'_>, bar: &Bar, sign: &Sign) -> Vec<Element> {
    match &sign.kind {
        // What fp and its like say is not said again.
        SignKind::Dynamic(_) if falls_after_attack(part, sign.at) => Vec::new(),
        SignKind::Dynamic(level) => vec![below(what::level(*level))],
        SignKind::Tempo { qpm, text } => vec![what::tempo(*qpm, text)],
        SignKind::Words(words) => vec![above(what::words(words))],
        SignKind::Rehearsal(text) => vec![above(Element::new("rehearsal").saying(text))],
        // At the start of a bar it is among the attributes.
        SignKind::Clef(_) if sign.at == bar.start => Vec::new(),
        SignKind::Clef(own) => vec![Element::new("attributes").holding([clef(part, *own)])],
        SignKind::Hairpin { .. } | SignKind::OctaveLine { .. } => Vec::new(),
    }
}

fn falls_after_attack(part: &Part<'_>, at: Quarters) -> bool {
    let events = &part.score.events;
    let from = events.partition_point(|event| event.onset < at);
    events[from..]
        .iter()
        .take_while(|event| event.onset == at)
        .any(|event| event.marks.contains(&Mark::FortePiano))
}

fn above(what: Element) -> Element {
    what::direction("above", [what])
}

fn below(what: Element) -> Element {
    what::direction("below", [what])
}

impl Signs {
    /// The signs before `end`, for a file that is at `cursor`.
    pub(super) fn up_to(&mut self, part: &Part<'_>, end: Quarters, cursor: Quarters) -> Vec<Element> {
        let count = self.left.partition_point(|(at, _)| *at < end);
        self.left.drain(..count).map(|(at, element)| shifted(part, element, at - cursor)).collect()
    }

    /// All that are left.
    pub(super) fn rest(&mut self, part: &Part<'_>, cursor: Quarters) -> Vec<Element> {
        self.left.drain(..).map(|(at, element)| shifted(part, element, at - cursor)).collect()
    }
}

/// A direction, moved from where the file is.
fn shifted(part: &Part<'_>, element: Element, shift: Quarters) -> Element {
    let ticks = part.ticks(shift);
    if ticks == 0 { element } else { element.moved(ticks) }
}
