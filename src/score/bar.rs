//! Bars and time signatures.

use serde::{Deserialize, Serialize};

use super::{Jumps, Quarters};

/// One bar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bar {
    /// Where it starts.
    pub start: Quarters,
    /// How long it is.
    pub length: Quarters,
    /// The number as printed ("12", "X1", "0" for many a pick-up); may repeat in a score.
    pub number: String,
    /// Shorter than its time signature on purpose, before the first full bar.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub pickup: bool,
    /// Time signature in force.
    pub time: TimeSignature,
    /// Sharps (positive) or flats (negative) of the key signature in force.
    pub key: i8,
    /// A repeat starts here.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub repeat_start: bool,
    /// A repeat ends here.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub repeat_end: bool,
    /// Numbers of the ending bracket over this bar, as printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ending: Option<String>,
    /// A double or final barline closes it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub double_barline: bool,
    /// Segno, coda and the jumps to them.
    #[serde(default, skip_serializing_if = "Jumps::is_empty")]
    pub jumps: Jumps,
}

impl Bar {
    /// A bar between plain barlines.
    pub fn new(
        start: Quarters,
        length: Quarters,
        number: impl Into<String>,
        time: TimeSignature,
        key: i8,
    ) -> Self {
        Self {
            start,
            length,
            number: number.into(),
            pickup: false,
            time,
            key,
            repeat_start: false,
            repeat_end: false,
            ending: None,
            double_barline: false,
            jumps: Jumps::default(),
        }
    }

    /// Where it ends.
    pub fn end(&self) -> Quarters {
        self.start + self.length
    }
}

/// Most beats of a bar that is typed. Assumed.
pub const MOST_BEATS: u16 = 32;

/// A time signature. `beats` may come from several numbers (3+2).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TimeSignature {
    /// Upper numbers, as printed ("3", "3+2"); empty where the music has no meter.
    pub beats: String,
    /// Lower number.
    pub beat_type: u16,
    /// What is printed for them.
    #[serde(default, skip_serializing_if = "TimeSign::is_numbers")]
    pub sign: TimeSign,
}

/// How a time signature is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum TimeSign {
    /// Its numbers.
    #[default]
    Numbers,
    /// C, for 4/4.
    Common,
    /// C with a line through it, for 2/2.
    Cut,
}

impl TimeSign {
    fn is_numbers(&self) -> bool {
        *self == Self::Numbers
    }
}

impl TimeSignature {
    /// `beats` over `beat_type`.
    pub fn new(beats: u16, beat_type: u16) -> Self {
        Self { beats: beats.to_string(), beat_type, sign: TimeSign::Numbers }
    }

    /// C.
    pub fn common() -> Self {
        Self { sign: TimeSign::Common, ..Self::new(4, 4) }
    }

    /// Cut C.
    pub fn cut() -> Self {
        Self { sign: TimeSign::Cut, ..Self::new(2, 2) }
    }

    /// No metre.
    pub fn free() -> Self {
        Self { beats: String::new(), beat_type: 4, sign: TimeSign::Numbers }
    }

    /// The same beats of the same value, however they are printed.
    pub fn counts_as(&self, other: &Self) -> bool {
        (&self.beats, self.beat_type) == (&other.beats, other.beat_type)
    }

    /// The time signature of a text such as "3/4", "3+2/8", "C" or "cut C"; none where it is none, or has more
    /// beats than [`MOST_BEATS`] or a lower number that is no note value down to the 64th.
    pub fn from_words(text: &str) -> Option<Self> {
        match text.trim().to_lowercase().as_str() {
            "c" | "common time" => return Some(Self::common()),
            "cut c" | "c|" | "cut time" | "alla breve" => return Some(Self::cut()),
            _ => {}
        }
        let (beats, beat_type) = text.split_once('/')?;
        let beats: String = beats.chars().filter(|c| !c.is_whitespace()).collect();
        let beat_type: u16 = beat_type.trim().parse().ok()?;
        let all_count = beats.split('+').all(|beat| beat.parse::<u16>().is_ok_and(|beat| beat > 0));
        let time = Self { beats, beat_type, sign: TimeSign::Numbers };
        let has_value = beat_type.is_power_of_two() && beat_type <= 64;
        (all_count && has_value && time.count() <= MOST_BEATS).then_some(time)
    }

    /// As it is typed: "3/4", "C".
    pub fn words(&self) -> String {
        if *self == Self::common() {
            "C".to_owned()
        } else if *self == Self::cut() {
            "cut C".to_owned()
        } else if self.beats.is_empty() {
            String::new()
        } else {
            format!("{}/{}", self.beats, self.beat_type)
        }
    }

    /// The sum of the upper numbers.
    pub fn count(&self) -> u16 {
        self.beats.split('+').filter_map(|b| b.trim().parse().ok()).fold(0, u16::saturating_add)
    }

    /// Length of a full bar, where there is a meter.
    pub fn bar_length(&self) -> Option<Quarters> {
        let count = self.count();
        (count > 0 && self.beat_type > 0)
            .then(|| Quarters::new(4 * i64::from(count), i64::from(self.beat_type)))
    }

    /// Length of one beat as players count it: the lower number, or three of it in 6/8, 9/8, 12/8.
    pub fn beat(&self) -> Quarters {
        let unit = Quarters::new(4, i64::from(self.beat_type.max(1)));
        let compound = self.beat_type >= 8
            && self.count() > 3
            && self.count().is_multiple_of(3)
            && !self.beats.contains('+');
        if compound { unit * Quarters::from(3) } else { unit }
    }
}

impl Default for TimeSignature {
    fn default() -> Self {
        Self::new(4, 4)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_signatures_are_read_as_they_are_typed() {
        for text in ["3/4", "6/8", "3+2/8", "2/2", "12/16", "C", "cut C"] {
            assert_eq!(TimeSignature::from_words(text).map(|time| time.words()).as_deref(), Some(text));
        }
        assert_eq!(TimeSignature::from_words(" 3 / 4 "), Some(TimeSignature::new(3, 4)));
        assert_eq!(TimeSignature::from_words("c|"), Some(TimeSignature::cut()));
        assert!(TimeSignature::common().counts_as(&TimeSignature::new(4, 4)));
        for bad in ["", "3", "3/5", "0/4", "3/0", "99/4", "3+/4", "/4", "3/128", "a/4"] {
            assert_eq!(TimeSignature::from_words(bad), None, "{bad}");
        }
    }
}
