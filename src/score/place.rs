//! A place in the music, as players say it.

use std::fmt;

use super::{Attack, Quarters, Score, mixed_number};

/// "bar 7, beat 2", "bar 7 (II), beat 2 1/3" in the second of several sections.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The number of the bar as printed, with its section where there are several: "7", "7 (II)".
    /// None in a score without bars.
    pub bar: Option<String>,
    /// Counted from 1; quarters from the start where there are no bars.
    pub beat: Quarters,
}

impl Place {
    /// "bar 7 (II)".
    pub fn bar_words(&self) -> String {
        match &self.bar {
            Some(bar) => format!("bar {bar}"),
            None => self.beat_words(),
        }
    }

    /// "beat 2 1/3".
    pub fn beat_words(&self) -> String {
        match self.bar {
            Some(_) => format!("beat {}", mixed_number(self.beat)),
            None => format!("{} quarters from the start", mixed_number(self.beat)),
        }
    }

    /// On the first beat of a bar.
    pub fn is_first_beat(&self) -> bool {
        self.bar.is_some() && self.beat == Quarters::ONE
    }

    /// "bar 7" on the first beat, "bar 7, beat 2" inside a bar.
    pub fn short(&self) -> String {
        if self.is_first_beat() { self.bar_words() } else { self.to_string() }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.bar {
            Some(_) => write!(f, "{}, {}", self.bar_words(), self.beat_words()),
            None => f.write_str(&self.beat_words()),
        }
    }
}

impl Score {
    /// The place of a moment.
    pub fn place(&self, at: Quarters) -> Place {
        self.place_in(at, &self.bar_sections())
    }

    /// The note, no grace note, stands at the start of a full bar.
    pub fn starts_bar(&self, note: &Attack) -> bool {
        let bar = self.bars.get(note.bar);
        note.grace.is_none() && bar.is_some_and(|bar| bar.start == note.onset && !bar.pickup)
    }

    /// [`Self::place`] with the sections of [`Self::bar_sections`], worked out once for many places.
    pub fn place_in(&self, at: Quarters, sections: &[usize]) -> Place {
        match self.beat_at(at) {
            Some((bar, beat)) => Place { bar: Some(self.bar_name(bar, sections)), beat },
            None => Place { bar: None, beat: at },
        }
    }
}
