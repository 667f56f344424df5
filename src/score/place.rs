//! A place in the music, as players say it.

use std::fmt;

use super::{Attack, Quarters, Score, mixed_number};

/// What a bar is called: "7", "7 (II)" in the second of several sections, "upbeat" for a pick-up,
/// whatever number it has.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BarName {
    /// The number as printed.
    number: String,
    /// "II", where there are several sections.
    section: Option<String>,
    is_upbeat: bool,
}

impl BarName {
    /// "bar 7 (II)", "the upbeat".
    pub fn words(&self) -> String {
        if self.is_upbeat { format!("the {self}") } else { format!("bar {self}") }
    }

    /// "bar 7", "bars 7 to 12 (II)", "from the upbeat to bar 12".
    pub fn words_to(&self, last: &Self) -> String {
        match self.is_upbeat {
            _ if self == last => self.words(),
            true => format!("from {} to {}", self.words(), last.words()),
            false if self.section == last.section => format!("bars {} to {last}", self.number),
            false => format!("bars {self} to {last}"),
        }
    }

    /// "bars 7, 9 and 12 (II)" of bars of one section, each named once.
    pub fn words_of(bars: &[&Self]) -> String {
        let mut bars = bars.to_vec();
        bars.dedup();
        let Some((last, before)) = bars.split_last() else { return String::new() };
        if before.is_empty() {
            return last.words();
        }
        let name = |bar: &&Self| if bar.is_upbeat { bar.words() } else { bar.number.clone() };
        let before: Vec<String> = before.iter().map(name).collect();
        format!("bars {} and {last}", before.join(", "))
    }

    /// As it is typed: "7", "II:7".
    pub fn typed(&self) -> String {
        match &self.section {
            Some(section) => format!("{section}:{}", self.number),
            None => self.number.clone(),
        }
    }

    /// The typed words mean this bar; without a section they mean every bar of that number.
    pub fn is(&self, typed: &str) -> bool {
        let typed: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
        typed == self.number || typed == self.typed()
    }
}

impl fmt::Display for BarName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = if self.is_upbeat { "upbeat" } else { &self.number };
        match &self.section {
            Some(section) => f.pad(&format!("{name} ({section})")),
            None => f.pad(name),
        }
    }
}

/// "bar 7, beat 2", "bar 7 (II), beat 2 1/3", "the upbeat, beat 4".
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// None in a score without bars.
    pub bar: Option<BarName>,
    /// Counted from 1; quarters from the start where there are no bars.
    pub beat: Quarters,
}

impl Place {
    /// "bar 7 (II)", "the upbeat".
    pub fn bar_words(&self) -> String {
        match &self.bar {
            Some(bar) => bar.words(),
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

/// Parts of a beat in which places are told: halves, thirds and quarters. Finer ones cannot be shown to
/// a pupil.
const PARTS: [(i64, i64); 7] = [(0, 1), (1, 4), (1, 3), (1, 2), (2, 3), (3, 4), (1, 1)];

impl Score {
    /// What a bar is called, with the sections of [`Self::bar_sections`].
    pub fn bar_name(&self, bar: usize, sections: &[usize]) -> BarName {
        const ROMAN: [&str; 12] = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII"];
        let section = match (sections.last(), sections.get(bar)) {
            (Some(1..), Some(&section)) => Some(
                ROMAN.get(section).map_or_else(|| (section + 1).to_string(), |roman| (*roman).to_owned()),
            ),
            _ => None,
        };
        let bar = self.bars.get(bar);
        BarName {
            number: bar.map_or_else(|| "?".to_owned(), |bar| bar.number.clone()),
            section,
            is_upbeat: bar.is_some_and(|bar| bar.pickup),
        }
    }

    /// The half, third or quarter of a beat that is nearest to a moment, in quarters from the start.
    pub fn nearest_beat_part(&self, quarters: f64) -> Quarters {
        let Some(bar) = self.bar_at(Quarters::from_f64(quarters)).map(|index| &self.bars[index]) else {
            return Quarters::from_f64((quarters * 4.0).round() / 4.0);
        };
        let beats = (quarters - bar.start.to_f64()) / bar.time.beat().to_f64();
        let whole = beats.floor();
        let off = |(n, d): (i64, i64)| (beats - whole - n as f64 / d as f64).abs();
        let part = PARTS.into_iter().min_by(|a, b| off(*a).total_cmp(&off(*b)));
        let part = part.map_or(Quarters::ZERO, |(n, d)| Quarters::new(n, d));
        bar.start + bar.time.beat() * (Quarters::from(whole as i64) + part)
    }

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Bar, TimeSignature};

    /// An upbeat of a quarter and two bars; then a movement of the same shape.
    fn two_movements() -> Score {
        let mut score = Score::default();
        for (number, length) in [("0", 1), ("1", 4), ("2", 4), ("0", 1), ("1", 4), ("2", 4)] {
            let start = score.end();
            score.bars.push(Bar {
                start,
                length: Quarters::from(length),
                number: number.to_owned(),
                pickup: length == 1,
                time: TimeSignature::new(4, 4),
                key: 0,
                repeat_start: false,
                repeat_end: false,
                ending: None,
                double_barline: number == "2",
            });
        }
        score
    }

    /// "Upbeat" for a pick-up: common practice, no source.
    #[test]
    fn a_place_is_told_as_players_say_it() {
        let score = two_movements();
        let words = |at: i64| score.place(Quarters::from(at)).to_string();
        assert_eq!(words(0), "the upbeat (I), beat 4");
        assert_eq!(words(2), "bar 1 (I), beat 2");
        assert_eq!(words(9), "the upbeat (II), beat 4");
        assert_eq!(score.place(Quarters::from(10)).short(), "bar 1 (II)");
    }

    #[test]
    fn bars_are_named_from_one_to_another_and_found_as_typed() {
        let score = two_movements();
        let sections = score.bar_sections();
        let name = |bar| score.bar_name(bar, &sections);
        assert_eq!(name(1).words_to(&name(1)), "bar 1 (I)");
        assert_eq!(name(1).words_to(&name(2)), "bars 1 to 2 (I)");
        assert_eq!(name(1).words_to(&name(4)), "bars 1 (I) to 1 (II)");
        assert_eq!(name(3).words_to(&name(5)), "from the upbeat (II) to bar 2 (II)");
        assert_eq!(name(3).typed(), "II:0");
        assert!(name(3).is("II:0") && name(3).is("0") && !name(3).is("I:0") && !name(3).is("1"));
    }

    #[test]
    fn a_moment_is_rounded_to_a_half_a_third_or_a_quarter_of_its_beat() {
        let score = two_movements();
        for (exact, told) in [(2.0, (2, 1)), (2.26, (9, 4)), (2.35, (7, 3)), (2.72, (11, 4)), (2.95, (3, 1))]
        {
            assert_eq!(score.nearest_beat_part(exact), Quarters::new(told.0, told.1), "{exact}");
        }
    }
}
