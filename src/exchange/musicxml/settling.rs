//! A part on the way from what is written to a score.

use super::{
    raw::{RawEvent, RawPart},
    timeline::Timeline,
};
use crate::{
    exchange::diagnostic::{FilePlace, Reporter},
    score::{Event, Shared},
};

/// A part being settled: events in score order beside what was written for each.
pub(super) struct Settling<'p> {
    pub part: &'p RawPart,
    pub staff: u8,
    pub timeline: Timeline,
    pub events: Vec<Shared<Event>>,
    pub raw: Vec<&'p RawEvent>,
    pub report: Reporter,
}

impl<'p> Settling<'p> {
    /// Place in the file, by the index of a bar and a line.
    fn place(&self, bar: usize, line: u32) -> FilePlace<'p> {
        FilePlace { bar: self.part.bars.get(bar).map_or("", |bar| bar.number.as_str()), line }
    }

    /// Warns at an event.
    pub(super) fn warn(&mut self, index: usize, message: &'static str, hint: &str) {
        let raw = self.raw[index];
        self.warn_at(raw.bar, raw.line, message, hint);
    }

    /// Notes at an event.
    pub(super) fn note(&mut self, index: usize, message: &'static str, hint: &str) {
        let raw = self.raw[index];
        self.note_at(raw.bar, raw.line, message, hint);
    }

    /// Warns at a bar and line.
    pub(super) fn warn_at(&mut self, bar: usize, line: u32, message: &'static str, hint: &str) {
        let place = self.place(bar, line);
        self.report.warn(place, message, hint);
    }

    /// Notes at a bar and line.
    pub(super) fn note_at(&mut self, bar: usize, line: u32, message: &'static str, hint: &str) {
        let place = self.place(bar, line);
        self.report.note(place, message, hint);
    }
}
