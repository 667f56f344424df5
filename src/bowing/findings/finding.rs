//! One thing to know about a bowing, with its place and its numbers.

use super::kinds::Kind;
use crate::score::{BarName, EventId, Place, Quarters, sentence_case};

/// How bad a finding is; they are never mixed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// No way of bowing this as marked works.
    Impossible,
    /// Played at the wanted speeds, with no foresight, the hair ends.
    RunsOut,
    /// It can be played, but the plan has to bend a lot.
    Tight,
    /// It can be played, but a rule of thumb speaks against it.
    Notice,
}

impl Verdict {
    /// The verdict in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Impossible => "cannot be played as marked",
            Self::RunsOut => "runs out as marked",
            Self::Tight => "tight",
            Self::Notice => "worth a look",
        }
    }
}

/// Another place where the same thing happens for the same cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The bowed note, as an index into the line.
    pub note: usize,
    /// The written event of that note.
    pub event: EventId,
    /// Where on the time axis it is told.
    pub at: Quarters,
    /// Where the hair ends; else the same.
    pub out: Quarters,
    /// Where it is told, as players say it.
    pub place: Place,
}

/// One thing to know, with its place and its numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The kind of finding.
    pub kind: Kind,
    /// How bad.
    pub verdict: Verdict,
    /// The bowed note it happens on, as an index into the line.
    pub note: usize,
    /// The written event of that note.
    pub event: EventId,
    /// Where on the time axis it is told: where one does something about it. A bow that is itself too long is told
    /// where it begins.
    pub at: Quarters,
    /// Where the hair ends; else the same.
    pub out: Quarters,
    /// Where it is told, as players say it.
    pub place: Place,
    /// Further places with the same cause, in the order of the music; this one is the first, or the
    /// worst.
    pub more: Vec<Spot>,
    /// How plainly it would be heard, 0 to 1; the list is ranked by it within a verdict. Assumed.
    pub heard: f64,
    /// Hair that is missing, mm; zero where nothing is missing.
    pub short_mm: f64,
    /// Time that is missing, s; zero where nothing is missing.
    pub short_s: f64,
    /// Headline without its bar.
    pub headline: String,
    /// What happens.
    pub what: String,
    /// Why it happens.
    pub why: String,
}

/// How many spots have this verdict; a finding with further places has several.
pub fn spots(findings: &[Finding], verdict: Verdict) -> usize {
    findings.iter().filter(|finding| finding.verdict == verdict).map(Finding::places).sum()
}

impl Finding {
    /// "Bar 8: one note is too long for the bow", "Bars 8, 12 and 16: the bow has crept to the tip".
    pub fn title(&self) -> String {
        format!("{}: {}", sentence_case(&self.bars_words()), self.headline)
    }

    /// The bars of all its places, in the order of the music.
    fn bars_words(&self) -> String {
        let mut places: Vec<(Quarters, &Place)> =
            self.more.iter().map(|spot| (spot.at, &spot.place)).collect();
        places.push((self.at, &self.place));
        places.sort_by_key(|(at, _)| *at);
        let bars: Option<Vec<&BarName>> = places.iter().map(|(_, place)| place.bar.as_ref()).collect();
        match bars {
            Some(bars) if !self.more.is_empty() => BarName::words_of(&bars),
            _ => self.place.bar_words(),
        }
    }

    /// The written events of all its places, its own first.
    pub fn events(&self) -> impl Iterator<Item = EventId> {
        std::iter::once(self.event).chain(self.more.iter().map(|spot| spot.event))
    }

    /// The notes of all its places, as indices into the line, its own first.
    pub fn notes(&self) -> impl Iterator<Item = usize> {
        std::iter::once(self.note).chain(self.more.iter().map(|spot| spot.note))
    }

    /// All its places, its own first.
    pub fn spots(&self) -> impl Iterator<Item = Spot> + '_ {
        std::iter::once(self.spot()).chain(self.more.iter().cloned())
    }

    /// At how many places it is so.
    pub fn places(&self) -> usize {
        1 + self.more.len()
    }

    /// Its own spot.
    pub fn spot(&self) -> Spot {
        Spot { note: self.note, event: self.event, at: self.at, out: self.out, place: self.place.clone() }
    }
}
