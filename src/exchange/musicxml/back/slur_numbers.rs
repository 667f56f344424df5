//! Numbers of slurs: which one a slur of the file has, and which is free for a new one.

use super::super::raw::RawEvent;

/// Most numbers a slur may have (MusicXML 4.0, `number-level`).
const MOST: u8 = 16;

/// Slurs of a part by the places of their first and last events.
pub(super) struct SlurNumbers<'p> {
    raw: &'p [&'p RawEvent],
    /// First, last and number of the slurs that are put in.
    new: Vec<(usize, usize, u8)>,
    /// Places of ends that are taken out, with whether they start.
    gone: Vec<(usize, bool, u8)>,
}

impl<'p> SlurNumbers<'p> {
    /// As the file has them.
    pub(super) fn new(raw: &'p [&'p RawEvent]) -> Self {
        Self { raw, new: Vec::new(), gone: Vec::new() }
    }

    /// Takes a slur out; gives its number, where the file has one slur between these two.
    pub(super) fn take(&mut self, from: usize, to: usize) -> Option<u8> {
        let stops = |number| self.raw[to].slurs.iter().any(|end| !end.start && end.number == number);
        let number = self.raw[from].slurs.iter().find(|end| end.start && stops(end.number))?.number;
        self.gone.extend([(from, true, number), (to, false, number)]);
        Some(number)
    }

    /// Puts a slur in; gives its number. None where all numbers are in use there.
    pub(super) fn give(&mut self, from: usize, to: usize) -> Option<u8> {
        let number = (1..=MOST).find(|&number| self.is_free(from, to, number))?;
        self.new.push((from, to, number));
        Some(number)
    }

    /// No other slur with this number touches the events from `from` to `to`.
    fn is_free(&self, from: usize, to: usize, number: u8) -> bool {
        if self.new.iter().any(|&(first, last, own)| own == number && first <= to && last >= from) {
            return false;
        }
        let mut open = 0_i32;
        for (index, raw) in self.raw.iter().enumerate().take(to + 1) {
            for end in raw.slurs.iter().filter(|end| end.number == number) {
                if self.gone.contains(&(index, end.start, number)) {
                    continue;
                }
                if index >= from {
                    return false;
                }
                open = if end.start { 1 } else { 0 };
            }
        }
        open == 0
    }
}
