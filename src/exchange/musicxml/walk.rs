//! One pass over the bars of a part, with a cursor in time.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use super::{
    error::short,
    header::PartSource,
    lines::Lines,
    raw::{RawBar, RawPart, Spot},
    tree::Node,
    xml::{child_text, decimal, elements},
};
use crate::{
    exchange::diagnostic::{FilePlace, Reporter},
    score::{Jumps, Quarters, TimeSignature},
};

/// Longest note or shift taken as meant, quarter notes. Assumed: the longest real bar has fewer.
const LONGEST: i64 = 10_000;

/// The state of the pass.
pub(super) struct Walker<'l> {
    pub part: RawPart,
    lines: &'l Lines<'l>,
    /// Pitches are written as they sound.
    concert: bool,
    /// Ticks in a quarter note; none until the file gives them.
    pub divisions: Option<Quarters>,
    /// Half steps from written to sounding pitch, by staff; 0 stands for all staves.
    pub transpose: BTreeMap<u8, i32>,
    pub time: TimeSignature,
    pub key: i8,
    /// From the start of the bar.
    pub cursor: Quarters,
    /// Index of the event a chord note would join, and whether it may.
    pub chord_base: Option<usize>,
    /// First event of the bar.
    first_event: usize,
    pub ending: Option<String>,
    pub repeat_next: bool,
    /// Segno or coda at the end of a bar: they stand over the next.
    pub opens_next: Jumps,
    /// First events of the lines of trills that have not ended, by voice and staff.
    pub trill_lines: HashMap<(usize, u8), usize>,
    /// Notes that are printed without pitch.
    pub unpitched: usize,
    /// Index of every voice by its name.
    voices: HashMap<String, usize>,
}

impl<'l> Walker<'l> {
    /// Before the first bar.
    pub(super) fn new(source: PartSource, concert: bool, lines: &'l Lines<'l>) -> Self {
        let part = RawPart {
            report: Reporter::new(&source.name),
            name: source.name,
            id: source.id,
            family: source.family,
            percussion: source.percussion,
            staves: 1,
            beside: BTreeSet::new(),
            notes: 0,
            bars: Vec::new(),
            events: Vec::new(),
            voices: Vec::new(),
            placed: Vec::new(),
            tempos: Vec::new(),
            has_tie: false,
        };
        Self {
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
            opens_next: Jumps::default(),
            trill_lines: HashMap::new(),
            unpitched: 0,
            voices: HashMap::new(),
        }
    }

    /// The part, when all of its bars are read.
    pub(super) fn finish(mut self) -> RawPart {
        let part = &mut self.part;
        part.percussion |= part.family.is_none() && self.unpitched > 0 && self.unpitched == part.notes;
        self.part
    }

    /// Reads a bar: `bar` has its attributes, `contents` holds its music.
    pub(super) fn bar(&mut self, bar: Node<'_, '_>, contents: Node<'_, '_>) {
        self.cursor = Quarters::ZERO;
        self.chord_base = None;
        self.first_event = self.part.events.len();
        self.part.bars.push(RawBar {
            number: bar.attribute("number").unwrap_or("").trim().chars().take(20).collect(),
            line: self.line(bar),
            origin: contents.at(),
            divisions: self.divisions,
            time: self.time.clone(),
            key: self.key,
            content: Quarters::ZERO,
            repeat_start: std::mem::take(&mut self.repeat_next),
            repeat_end: false,
            ending: None,
            double_barline: false,
            jumps: std::mem::take(&mut self.opens_next),
        });
        let mut furthest = Quarters::ZERO;
        for node in elements(contents) {
            match node.name() {
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
        // By voice, whether a note was met, from the start; and where the next one stands if it is
        // no rest, from the end.
        let mut met = HashSet::new();
        let after: Vec<bool> = events
            .iter()
            .map(|event| {
                event.grace.is_some() && met.contains(&event.voice) || {
                    if event.grace.is_none() {
                        met.insert(event.voice);
                    }
                    false
                }
            })
            .collect();
        let mut next: HashMap<usize, Option<Quarters>> = HashMap::new();
        for (event, after) in events.iter_mut().zip(after).rev() {
            if event.grace.is_none() {
                next.insert(event.voice, (!event.heads.is_empty()).then_some(event.at));
            } else {
                let leads = next.get(&event.voice).copied().flatten() == Some(event.at);
                event.grace_after = !leads && after;
            }
        }
    }

    fn number(&self) -> &str {
        self.part.bars.last().map_or("", |bar| bar.number.as_str())
    }

    pub(super) fn line(&self, node: Node<'_, '_>) -> u32 {
        self.lines.at(node.at())
    }

    pub(super) fn warn(
        &mut self,
        node: Node<'_, '_>,
        message: impl Into<std::borrow::Cow<'static, str>>,
        hint: &str,
    ) {
        let (bar, line) = (self.number().to_owned(), self.line(node));
        self.part.report.warn(FilePlace { bar: &bar, line }, message, hint);
    }

    pub(super) fn remark(
        &mut self,
        node: Node<'_, '_>,
        message: impl Into<std::borrow::Cow<'static, str>>,
        hint: &str,
    ) {
        let (bar, line) = (self.number().to_owned(), self.line(node));
        self.part.report.note(FilePlace { bar: &bar, line }, message, hint);
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
        if let Some(&known) = self.voices.get(name) {
            return known;
        }
        self.voices.insert(name.to_owned(), self.part.voices.len());
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
}
