//! The music: exact time, pitch, notes and rests with their marks, bars, tempo and dynamics.
//!
//! A [`Score`] holds one part. Everything in it is placed by exact time from its start, so nothing
//! here depends on how it will be drawn or on the file it was read from.
//!
//! ```
//! use elbowroom::score::{Event, EventId, Note, NoteValue, Pitch, Quarters, Score, Shared, attacks};
//!
//! // Two tied quarters are two written notes and one attack.
//! let d = Pitch::from_name("D4").expect("a name");
//! let (mut first, mut second) = (Note::new(d), Note::new(d));
//! (first.tie_start, second.tie_stop) = (true, true);
//! let events = vec![
//!     Event::new(EventId(0), Quarters::ZERO, NoteValue::QUARTER, vec![first]),
//!     Event::new(EventId(1), Quarters::ONE, NoteValue::QUARTER, vec![second]),
//! ];
//! let events = events.into_iter().map(Shared::from).collect();
//! let score = Score { events, ..Score::default() }.checked()?;
//! let heard = attacks(&score);
//! assert_eq!((heard.len(), heard[0].duration), (1, Quarters::from(2)));
//! # Ok::<(), elbowroom::score::ScoreError>(())
//! ```

mod assumptions;
mod attack;
mod bar;
mod bow_words;
mod checked;
mod crowd;
mod dynamics;
mod harmonics;
mod jumps;
mod key;
mod line;
mod note;
mod pitch;
mod place;
mod playing_order;
mod shared;
mod sign;
mod tempo;
mod tied;
mod time;
mod tremolo;
mod typed_bars;
mod variants;
mod words;

pub use attack::{Attack, attack_of, attacks, bow_line};
pub use bar::{Bar, MOST_BEATS, TimeSign, TimeSignature};
pub(crate) use bow_words::asks_the_bow;
pub use bow_words::{BowPart, Manner, PLACE_SIGNS, PLACES_LEGEND, Sound};
pub use checked::ScoreError;
pub(crate) use checked::ids_fault;
pub(crate) use crowd::crowd;
pub use crowd::{Crowd, MOST_NOTES};
pub(crate) use dynamics::swells;
pub use dynamics::{Dynamic, Dynamics};
pub use jumps::{Jumps, Return};
pub use key::{key_from_words, key_words};
pub use line::Line;
pub use note::{Direction, Event, EventId, Grace, Mark, Note, NoteValue, SameBow, StrokeType, Sudden};
pub use pitch::{Letter, Pitch, interval_from_words, interval_words};
pub use place::{BarName, Place};
pub use shared::Shared;
pub use sign::{Clef, ClefSign, OCTAVES, Sign, SignId, SignKind, Slur, SlurId};
pub use tempo::{DEFAULT_QPM, TEMPOS, TempoMap, TypedTempo};
pub use tied::{Tied, tied};
pub use time::{BadQuarters, Quarters};
pub use tremolo::Between;
pub use typed_bars::NoSuchBars;
pub use variants::variants;
pub(crate) use words::plucked;
pub use words::{cm, count_words, figure, sentence_case};

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

/// The longest music that is read or written, quarter notes: 25,000 bars of 4/4. Assumed; no part
/// comes near it.
pub const LONGEST: i64 = 100_000;
/// The largest number a note, slur, sign or place on the bow may have in a file; new ones count on
/// from the largest. Assumed.
pub const LARGEST_ID: u32 = 4_000_000_000;
/// The finest lower number of a time signature. Assumed.
pub const FINEST_BEAT: u16 = 512;

/// Range of the half steps an accidental adds: a double sharp and a double flat and as much again for
/// what other temperaments need. Assumed.
pub const ALTERS: RangeInclusive<f32> = -4.0..=4.0;

/// Range of the factor on the wanted bow speed that a note may have. Assumed.
pub const SPEED_FACTORS: RangeInclusive<f64> = 0.1..=10.0;

/// One part: what a player reads from one music stand.
///
/// What a score promises is said at [`Score::checked`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, Default)]
pub struct Score {
    /// Title of the piece.
    pub title: String,
    /// Name of the part.
    pub part: String,
    /// The bars, in order, without gaps between them.
    pub bars: Shared<Vec<Bar>>,
    /// Notes, chords and rests in score order: by onset, then grace notes before the note they
    /// lead to, then voice, then id.
    pub events: Vec<Shared<Event>>,
    /// Slurs that tell the bow, in the order of their ids.
    pub slurs: Shared<Vec<Slur>>,
    /// Dynamics, hairpins, tempo marks, words, clefs: all that is placed by time, in that order.
    pub signs: Shared<Vec<Sign>>,
}

impl Score {
    /// The event with this id.
    pub fn event(&self, id: EventId) -> Option<&Event> {
        self.events.iter().find(|event| event.id == id).map(|event| &**event)
    }

    /// The signs at a moment.
    pub fn signs_at(&self, at: Quarters) -> &[Sign] {
        let first = self.signs.partition_point(|sign| sign.at < at);
        let count = self.signs[first..].partition_point(|sign| sign.at <= at);
        &self.signs[first..first + count]
    }

    /// Where the last bar or the last event ends, whichever is later.
    pub fn end(&self) -> Quarters {
        let bars = self.bars.last().map_or(Quarters::ZERO, Bar::end);
        self.events.iter().map(|event| event.end()).fold(bars, Quarters::max)
    }

    /// Index of the bar that holds `at`; the last bar for anything beyond, none without bars.
    pub fn bar_at(&self, at: Quarters) -> Option<usize> {
        let after = self.bars.partition_point(|bar| bar.start <= at);
        (!self.bars.is_empty()).then(|| after.saturating_sub(1))
    }

    /// Index of the bar in which an event stands: a grace note at the end of a note in the bar that ends there.
    pub fn bar_of(&self, event: &Event) -> usize {
        let bar = self.bar_at(event.onset).unwrap_or(0);
        let closes = event.grace.is_some_and(|grace| grace.after)
            && self.bars.get(bar).is_some_and(|bar| bar.start == event.onset);
        bar.saturating_sub(usize::from(closes))
    }

    /// Beat of `at` in its bar, counted from 1 as players count ("3 1/2" is 7/2); a pick-up counts
    /// back from the barline that follows it.
    pub fn beat_at(&self, at: Quarters) -> Option<(usize, Quarters)> {
        let index = self.bar_at(at)?;
        let bar = &self.bars[index];
        let missing = match bar.time.bar_length() {
            Some(full) if bar.pickup && full > bar.length => full - bar.length,
            _ => Quarters::ZERO,
        };
        Some((index, (at - bar.start + missing) / bar.time.beat() + Quarters::ONE))
    }

    /// For each bar which section it belongs to: a new one begins where the printed numbers start
    /// again, as from one movement to the next. Numbers that are not printed as such ("X1") decide
    /// nothing.
    pub fn bar_sections(&self) -> Vec<usize> {
        let (mut section, mut before) = (0, None);
        let number = |bar: &Bar| {
            let digits = bar.number.find(|c: char| !c.is_ascii_digit()).unwrap_or(bar.number.len());
            bar.number[..digits].parse::<u32>().ok()
        };
        self.bars
            .iter()
            .map(|bar| {
                if let Some(number) = number(bar) {
                    section += usize::from(before.is_some_and(|before| number < before));
                    before = Some(number);
                }
                section
            })
            .collect()
    }

    /// The words for the jumps of a bar that no words in it say.
    pub fn unsaid_jumps(&self, bar: &Bar) -> Vec<&'static str> {
        let mut said = Jumps::default();
        for sign in &self.signs {
            if let SignKind::Words(words) = &sign.kind
                && (bar.start..=bar.end()).contains(&sign.at)
            {
                said.add(&Jumps::from_words(words));
            }
        }
        bar.jumps.words(&said)
    }

    /// Tempo map from the tempo signs.
    pub fn tempo_map(&self) -> TempoMap {
        TempoMap::new(self.signs.iter().filter_map(|sign| match sign.kind {
            SignKind::Tempo { qpm, .. } => Some((sign.at, qpm)),
            _ => None,
        }))
    }

    /// Clef in force at `at`.
    pub fn clef_at(&self, at: Quarters) -> Clef {
        self.signs
            .iter()
            .filter_map(|sign| match sign.kind {
                SignKind::Clef(clef) if sign.at <= at => Some((sign.at, clef)),
                _ => None,
            })
            .max_by_key(|(at, _)| *at)
            .map_or(Clef::TREBLE, |(_, clef)| clef)
    }

    /// Puts events, slurs and signs into score order. Call after changing the lists by hand.
    pub fn sort(&mut self) {
        self.events.sort_by_key(|event| {
            let (kind, order) = match event.grace {
                Some(Grace { order, after: true, .. }) => (0, order),
                Some(Grace { order, after: false, .. }) => (1, order),
                None => (2, 0),
            };
            (event.onset, kind, order, event.voice, event.id)
        });
        // What is in order already is still shared.
        if !self.slurs.is_sorted_by_key(|slur| slur.id) {
            self.slurs.sort_by_key(|slur| slur.id);
        }
        if !self.signs.is_sorted_by_key(|sign| (sign.at, sign.id)) {
            self.signs.sort_by_key(|sign| (sign.at, sign.id));
        }
    }

    /// An id not yet used by any event: the one after the highest.
    pub fn free_event_id(&self) -> EventId {
        EventId(self.events.iter().map(|event| event.id.0 + 1).max().unwrap_or(0))
    }

    /// An id not yet used by any slur: the one after the highest.
    pub fn free_slur_id(&self) -> SlurId {
        SlurId(self.slurs.iter().map(|slur| slur.id.0 + 1).max().unwrap_or(0))
    }

    /// An id not yet used by any sign: the one after the highest.
    pub fn free_sign_id(&self) -> SignId {
        SignId(self.signs.iter().map(|sign| sign.id.0 + 1).max().unwrap_or(0))
    }
}

/// A fraction as players say it: "3", "3 1/2", "1/3".
pub fn mixed_number(value: Quarters) -> String {
    let whole = value.numer().div_euclid(value.denom());
    let rest = value - Quarters::from(whole);
    if rest.is_zero() {
        whole.to_string()
    } else if whole == 0 {
        rest.to_string()
    } else {
        format!("{whole} {rest}")
    }
}
