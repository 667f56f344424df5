//! One pass over the bars of a part: cursor, attributes, barlines.

use std::collections::BTreeMap;

use roxmltree::Node;

use super::{
    header::{PartSource, child, child_text, elements, text},
    raw::{Placed, PlacedKind, RawBar, RawPart, Spot},
    text::Lines,
};
use crate::{
    exchange::diagnostic::{Place, Reporter},
    score::{Clef, ClefSign, FINEST_BEAT, Quarters, TimeSignature},
};

/// Longest note or shift taken as meant, quarter notes. Assumed: the longest real bar has fewer.
const LONGEST: i64 = 10_000;

/// The state of the pass.
pub(super) struct Walker<'l> {
    pub part: RawPart,
    lines: &'l Lines,
    /// Pitches are written as they sound.
    concert: bool,
    /// Ticks in a quarter note; none until the file gives them.
    divisions: Option<Quarters>,
    /// Half steps from written to sounding pitch, by staff; 0 stands for all staves.
    transpose: BTreeMap<u8, i32>,
    time: TimeSignature,
    key: i8,
    /// From the start of the bar.
    pub cursor: Quarters,
    /// Index of the event a chord note would join, and whether it may.
    pub chord_base: Option<usize>,
    /// First event of the bar.
    first_event: usize,
    ending: Option<String>,
    repeat_next: bool,
}

/// Reads all bars of a part.
pub(super) fn walk_part(source: PartSource<'_, '_>, concert: bool, lines: &Lines) -> RawPart {
    let part = RawPart {
        report: Reporter::new(&source.name),
        name: source.name,
        id: source.id,
        family: source.family,
        percussion: source.percussion,
        staves: 1,
        notes: 0,
        bars: Vec::with_capacity(source.bars.len()),
        events: Vec::new(),
        voices: Vec::new(),
        placed: Vec::new(),
        tempos: Vec::new(),
        has_tie: false,
    };
    let mut walker = Walker {
        part,
        lines,
        concert,
        divisions: None,
        transpose: BTreeMap::new(),
        time: TimeSignature::default(),
        key: 0,
        cursor: Quarters::ZERO,
        chord_base: None,
        first_event: 0,
        ending: None,
        repeat_next: false,
    };
    let mut unpitched = 0;
    for (bar, contents) in source.bars {
        unpitched += elements(contents).filter(|node| child(*node, "unpitched").is_some()).count();
        walker.bar(bar, contents);
    }
    let mut part = walker.part;
    part.percussion |= part.family.is_none() && unpitched > 0 && unpitched == part.notes;
    part
}

impl Walker<'_> {
    fn bar(&mut self, bar: Node<'_, '_>, contents: Node<'_, '_>) {
        self.cursor = Quarters::ZERO;
        self.chord_base = None;
        self.first_event = self.part.events.len();
        self.part.bars.push(RawBar {
            number: bar.attribute("number").unwrap_or("").trim().chars().take(20).collect(),
            line: self.lines.of(bar),
            time: self.time.clone(),
            key: self.key,
            content: Quarters::ZERO,
            repeat_start: std::mem::take(&mut self.repeat_next),
            repeat_end: false,
            ending: None,
            double_barline: false,
        });
        let mut furthest = Quarters::ZERO;
        for node in elements(contents) {
            match node.tag_name().name() {
                "note" => self.note(node),
                "backup" => {
                    let back = self.shift(node);
                    if back > self.cursor {
                        self.warn(node, "a backup goes beyond the start of its bar; it stops there", "");
                    }
                    self.cursor = (self.cursor - back).max(Quarters::ZERO);
                    self.chord_base = None;
                }
                "forward" => {
                    let ahead = self.shift(node);
                    self.cursor += ahead;
                    self.chord_base = None;
                }
                "attributes" => self.attributes(node),
                "direction" => self.direction(node),
                "sound" => self.lone_sound(node),
                "barline" => self.barline(node),
                "harmony" => self.remark(node, "chord symbols are not read", ""),
                "figured-bass" => self.remark(node, "figured bass is not read", ""),
                "print" | "grouping" | "link" | "bookmark" | "listening" => {}
                other => {
                    let message = format!("<{}> in a bar is not known and not read", short(other));
                    self.remark(node, message, "");
                }
            }
            furthest = furthest.max(self.cursor);
        }
        self.settle_graces();
        let events = &self.part.events[self.first_event..];
        let content = events.iter().map(|event| event.at + event.duration).max().unwrap_or(furthest);
        let ending = self.ending.clone();
        if let Some(bar) = self.part.bars.last_mut() {
            bar.content = content;
            bar.ending = bar.ending.take().or(ending);
        }
    }

    /// Grace notes that no note follows in their voice and bar belong to the note before them.
    fn settle_graces(&mut self) {
        let events = &mut self.part.events[self.first_event..];
        for index in 0..events.len() {
            if events[index].grace.is_none() {
                continue;
            }
            let (voice, at) = (events[index].voice, events[index].at);
            let next = events[index + 1..].iter().find(|next| next.voice == voice && next.grace.is_none());
            let leads = next.is_some_and(|next| next.at == at && !next.heads.is_empty());
            let before = events[..index].iter().any(|old| old.voice == voice && old.grace.is_none());
            events[index].grace_after = !leads && before;
        }
    }

    fn number(&self) -> &str {
        self.part.bars.last().map_or("", |bar| bar.number.as_str())
    }

    pub(super) fn line(&self, node: Node<'_, '_>) -> u32 {
        self.lines.of(node)
    }

    pub(super) fn warn(
        &mut self,
        node: Node<'_, '_>,
        message: impl Into<std::borrow::Cow<'static, str>>,
        hint: &str,
    ) {
        let (bar, line) = (self.number().to_owned(), self.line(node));
        self.part.report.warn(Place { bar: &bar, line }, message, hint);
    }

    pub(super) fn remark(
        &mut self,
        node: Node<'_, '_>,
        message: impl Into<std::borrow::Cow<'static, str>>,
        hint: &str,
    ) {
        let (bar, line) = (self.number().to_owned(), self.line(node));
        self.part.report.note(Place { bar: &bar, line }, message, hint);
    }

    /// The cursor as a place.
    pub(super) fn spot(&self) -> Spot {
        Spot {
            bar: self.part.bars.len().saturating_sub(1),
            at: self.cursor,
            offset: Quarters::ZERO,
            exact: false,
        }
    }

    /// Index of a voice by its name, which any string may be.
    pub(super) fn voice(&mut self, name: &str) -> usize {
        let name = if name.is_empty() { "1" } else { name };
        if let Some(known) = self.part.voices.iter().position(|voice| voice == name) {
            return known;
        }
        self.part.voices.push(name.to_owned());
        self.part.voices.len() - 1
    }

    /// Half steps from written to sounding pitch on a staff.
    pub(super) fn transposition(&self, staff: u8) -> i32 {
        if self.concert {
            return 0;
        }
        self.transpose.get(&staff).or_else(|| self.transpose.get(&0)).copied().unwrap_or(0)
    }

    /// Length of a full bar by the time signature in force.
    pub(super) fn full_bar(&self) -> Option<Quarters> {
        self.time.bar_length()
    }

    /// A number of ticks as quarter notes; nothing for text that is no sensible number.
    pub(super) fn ticks(&mut self, node: Node<'_, '_>, ticks: &str) -> Option<Quarters> {
        let divisions = match self.divisions {
            Some(divisions) => divisions,
            None => {
                self.warn(node, "a duration stands before any divisions; 1 per quarter note is assumed", "");
                Quarters::ONE
            }
        };
        let length = decimal(ticks)? / divisions;
        (length.abs() <= Quarters::from(LONGEST)).then_some(length)
    }

    /// Length of a `<backup>` or `<forward>`.
    fn shift(&mut self, node: Node<'_, '_>) -> Quarters {
        let ticks = child_text(node, "duration").unwrap_or("");
        match self.ticks(node, ticks) {
            Some(length) if length >= Quarters::ZERO => length,
            _ => {
                self.warn(node, "a backup or forward has no proper duration; it is left out", "");
                Quarters::ZERO
            }
        }
    }

    fn attributes(&mut self, node: Node<'_, '_>) {
        // The transposition stands last, but key and clef depend on it.
        for item in elements(node).filter(|item| item.tag_name().name() == "transpose") {
            self.read_transposition(item);
        }
        for item in elements(node) {
            match item.tag_name().name() {
                "divisions" => match decimal(text(item)).filter(|ticks| ticks.is_positive()) {
                    Some(ticks) => self.divisions = Some(ticks),
                    None => self.warn(item, "the divisions are not a positive number; they are left out", ""),
                },
                "key" if main_staff(item) => self.read_key(item),
                "time" if main_staff(item) => self.read_time(item),
                "key" | "time" => {}
                "staves" => {
                    self.part.staves = self.part.staves.max(text(item).parse().unwrap_or(1));
                }
                "clef" => self.read_clef(item),
                "staff-details" if child(item, "staff-tuning").is_some() => self.warn(
                    item,
                    "the strings are tuned in a way of their own (scordatura); ordinary tuning is taken",
                    "set the strings in the set-up",
                ),
                "measure-style" => {
                    for style in elements(item) {
                        if let name @ ("measure-repeat" | "beat-repeat" | "slash") = style.tag_name().name() {
                            let message =
                                format!("<{name}> is not unfolded; the notes that are there are read");
                            self.remark(style, message, "");
                        }
                    }
                }
                "staff-details" | "part-symbol" | "instruments" | "for-part" | "directive" | "footnote"
                | "level" | "transpose" => {}
                other => {
                    let message = format!("<{}> in the attributes is not known and not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
    }

    fn read_transposition(&mut self, node: Node<'_, '_>) {
        let number = |name| child_text(node, name).and_then(|t| t.parse::<f64>().ok()).unwrap_or(0.0);
        // `as` saturates; an absurd shift is held at ten octaves.
        let shift = (number("chromatic").round() + 12.0 * number("octave-change").round()) as i32;
        let staff = node.attribute("number").and_then(|t| t.trim().parse().ok()).unwrap_or(0);
        self.transpose.insert(staff, shift.clamp(-120, 120));
        if child(node, "double").is_some() {
            self.remark(node, "a part doubled in the octave is read without its double", "");
        }
    }

    fn read_key(&mut self, node: Node<'_, '_>) {
        let fifths = child_text(node, "fifths").and_then(|t| t.parse::<i32>().ok());
        match fifths.filter(|fifths| (-14..=14).contains(fifths)) {
            Some(fifths) => {
                // Each half step up is seven fifths up, or five down; the side with fewer signs.
                let shift = (7 * self.transposition(1)).rem_euclid(12);
                let (up, down) = (fifths + shift, fifths + shift - 12);
                let sounding = if shift != 0 && down.abs() < up.abs() { down } else { up };
                self.key = sounding.clamp(-14, 14) as i8;
            }
            None => {
                self.remark(node, "a key signature that is not in fifths is read as none", "");
                self.key = 0;
            }
        }
        let key = self.key;
        self.at_bar_start(|bar| bar.key = key);
    }

    fn read_time(&mut self, node: Node<'_, '_>) {
        let mut pairs: Vec<(String, u16)> = Vec::new();
        let mut beats = String::new();
        let mut bad = false;
        for item in elements(node) {
            match item.tag_name().name() {
                "beats" => beats = text(item).replace(' ', ""),
                "beat-type" => match text(item).parse::<u16>() {
                    Ok(unit) if (1..=FINEST_BEAT).contains(&unit) => {
                        pairs.push((std::mem::take(&mut beats), unit))
                    }
                    _ => bad = true,
                },
                "senza-misura" => {
                    self.time = TimeSignature { beats: String::new(), beat_type: 4 };
                    let time = self.time.clone();
                    self.at_bar_start(|bar| bar.time = time);
                    return;
                }
                "interchangeable" => self.remark(item, "the second of two time signatures is not read", ""),
                _ => {}
            }
        }
        // Several pairs add up; they are told in the finest of their units.
        let unit = pairs.iter().map(|(_, unit)| *unit).max().unwrap_or(4);
        let mut numbers: Vec<u32> = Vec::new();
        for (beats, own) in &pairs {
            for beat in beats.split('+') {
                match beat.parse::<u32>() {
                    Ok(beat) if (1..=1000).contains(&beat) && unit % own == 0 => {
                        numbers.push(beat * u32::from(unit / own));
                    }
                    _ => bad = true,
                }
            }
        }
        if bad || numbers.is_empty() || numbers.iter().sum::<u32>() > 4000 {
            self.warn(node, "a time signature cannot be understood; the one before it stays", "");
            return;
        }
        let beats: Vec<String> = numbers.iter().map(ToString::to_string).collect();
        self.time = TimeSignature { beats: beats.join("+"), beat_type: unit };
        let time = self.time.clone();
        self.at_bar_start(|bar| bar.time = time);
    }

    /// Applies a change to the bar at hand, unless notes stand in it already.
    fn at_bar_start(&mut self, change: impl FnOnce(&mut RawBar)) {
        if self.cursor.is_zero()
            && let Some(bar) = self.part.bars.last_mut()
        {
            change(bar);
        }
    }

    fn read_clef(&mut self, node: Node<'_, '_>) {
        let (sign, line) = match child_text(node, "sign").unwrap_or("") {
            "G" => (ClefSign::G, 2),
            "C" => (ClefSign::C, 3),
            "F" => (ClefSign::F, 4),
            other => {
                let message = format!("the clef {:?} is not read", short(other));
                self.remark(node, message, "");
                return;
            }
        };
        let line = child_text(node, "line")
            .and_then(|t| t.parse().ok())
            .filter(|l| (1..=5).contains(l))
            .unwrap_or(line);
        let staff = node.attribute("number").and_then(|t| t.trim().parse().ok()).unwrap_or(1);
        let octave = child_text(node, "clef-octave-change").and_then(|t| t.parse::<i32>().ok()).unwrap_or(0);
        // Pitches are kept as they sound, so the clef moves along with a transposition by octaves.
        let octave = (octave.clamp(-9, 9) + self.transposition(staff) / 12) as i8;
        let placed = Placed {
            spot: self.spot(),
            staff: Some(staff),
            voice: None,
            line: self.line(node),
            kind: PlacedKind::Clef(Clef { sign, line, octave }),
        };
        self.part.placed.push(placed);
    }

    fn barline(&mut self, node: Node<'_, '_>) {
        let location = node.attribute("location").unwrap_or("right");
        if child_text(node, "bar-style")
            .is_some_and(|style| style.contains("heavy") || style == "light-light")
        {
            match location {
                "right" => self.last_bar(|bar| bar.double_barline = true),
                "left" => {
                    let before = self.part.bars.len().wrapping_sub(2);
                    if let Some(bar) = self.part.bars.get_mut(before) {
                        bar.double_barline = true;
                    }
                }
                _ => self.remark(node, "a barline inside a bar is not read", ""),
            }
        }
        for item in elements(node) {
            match item.tag_name().name() {
                "repeat" => {
                    self.remark(
                        item,
                        "repeats are kept as written; the music is planned in written order",
                        "",
                    );
                    match (item.attribute("direction").unwrap_or(""), location) {
                        ("forward", "right") => self.repeat_next = true,
                        ("forward", _) => self.last_bar(|bar| bar.repeat_start = true),
                        ("backward", "left") => {
                            let before = self.part.bars.len().wrapping_sub(2);
                            if let Some(bar) = self.part.bars.get_mut(before) {
                                bar.repeat_end = true;
                            }
                        }
                        ("backward", _) => self.last_bar(|bar| bar.repeat_end = true),
                        _ => self.warn(item, "a repeat without a direction is left out", ""),
                    }
                }
                "ending" => {
                    let number = item.attribute("number").unwrap_or("").trim();
                    let number = if number.is_empty() { text(item) } else { number }.to_owned();
                    match item.attribute("type").unwrap_or("") {
                        "start" => self.ending = Some(number),
                        _ => {
                            let ending = self.ending.take().unwrap_or(number);
                            self.last_bar(|bar| bar.ending = Some(ending));
                        }
                    }
                }
                "fermata" => {
                    self.remark(item, "a fermata on a barline is not read", "put it on a note or rest")
                }
                "segno" | "coda" => self.jump(item),
                _ => {}
            }
        }
    }

    fn last_bar(&mut self, change: impl FnOnce(&mut RawBar)) {
        if let Some(bar) = self.part.bars.last_mut() {
            change(bar);
        }
    }

    /// Remarks on a jump.
    pub(super) fn jump(&mut self, node: Node<'_, '_>) {
        self.remark(
            node,
            "jumps (da capo, dal segno, coda) are not unfolded; the music is planned in written order",
            "",
        );
    }
}

fn main_staff(node: Node<'_, '_>) -> bool {
    node.attribute("number").is_none_or(|number| number.trim() == "1")
}

/// Start of a text taken from the file, for messages.
pub(super) fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

/// A decimal number, exact where it has at most nine places.
pub(super) fn decimal(text: &str) -> Option<Quarters> {
    let text = text.trim();
    if let Ok(whole) = text.parse::<i64>() {
        return Some(Quarters::from(whole));
    }
    let value: f64 = text.parse().ok().filter(|value: &f64| value.is_finite())?;
    let exact = || {
        let (whole, places) = text.split_once('.')?;
        if places.len() > 9 || !places.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let digits: i64 = format!("{whole}{places}").parse().ok()?;
        Some(Quarters::new(digits, 10_i64.pow(places.len() as u32)))
    };
    Some(exact().unwrap_or_else(|| Quarters::from_f64(value)))
}
