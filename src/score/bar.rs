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
}

impl TimeSignature {
    /// `beats` over `beat_type`.
    pub fn new(beats: u16, beat_type: u16) -> Self {
        Self { beats: beats.to_string(), beat_type }
    }

    /// The time signature of a text such as "3/4" or "3+2/8"; none where it is none, or has more beats
    /// than [`MOST_BEATS`] or a lower number that is no note value down to the 64th.
    pub fn from_words(text: &str) -> Option<Self> {
        let (beats, beat_type) = text.split_once('/')?;
        let beats: String = beats.chars().filter(|c| !c.is_whitespace()).collect();
        let beat_type: u16 = beat_type.trim().parse().ok()?;
        let all_count = beats.split('+').all(|beat| beat.parse::<u16>().is_ok_and(|beat| beat > 0));
        let time = Self { beats, beat_type };
        let has_value = beat_type.is_power_of_two() && beat_type <= 64;
        (all_count && has_value && time.count() <= MOST_BEATS).then_some(time)
    }

    /// As it is typed: "3/4".
    pub fn words(&self) -> String {
        if self.beats.is_empty() { String::new() } else { format!("{}/{}", self.beats, self.beat_type) }
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
        for text in ["3/4", "6/8", "3+2/8", "2/2", "12/16"] {
            assert_eq!(TimeSignature::from_words(text).map(|time| time.words()).as_deref(), Some(text));
        }
        assert_eq!(TimeSignature::from_words(" 3 / 4 "), Some(TimeSignature::new(3, 4)));
        for bad in ["", "3", "3/5", "0/4", "3/0", "99/4", "3+/4", "/4", "3/128", "a/4"] {
            assert_eq!(TimeSignature::from_words(bad), None, "{bad}");
        }
    }
}
