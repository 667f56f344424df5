//! A place in the music, as players say it.

use std::fmt;

use super::{Attack, Quarters, Score, mixed_number};

/// Of so many bars at most the numbers are told, of more how many there are. Assumed: two lines of a list.
const MOST_NAMED: usize = 16;

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

    /// "bars 7, 9 and 12 (II)" of bars of one section, each named once; of many the first, and how many more.
    pub fn words_of(bars: &[&Self]) -> String {
        let mut bars = bars.to_vec();
        bars.dedup();
        let Some((last, before)) = bars.split_last() else { return String::new() };
        if before.is_empty() {
            return last.words();
        }
        let name = |bar: &&Self| if bar.is_upbeat { bar.words() } else { bar.number.clone() };
        let named: Vec<String> = before.iter().take(MOST_NAMED).map(name).collect();
        let named = named.join(", ");
        if before.len() > MOST_NAMED {
            let section = last.section.as_ref().map_or_else(String::new, |section| format!(" ({section})"));
            return format!("bars {named} and {} more{section}", bars.len() - MOST_NAMED);
        }
        format!("bars {named} and {last}")
    }

    /// As it is typed: "7", "II:7".
    pub fn typed(&self) -> String {
        match &self.section {
            Some(section) => format!("{section}:{}", self.number),
            None => self.number.clone(),
        }
    }

    /// The typed words mean this bar, as "7", "II:7" or as it is said, "bar 7 (II)"; without a section they mean every
    /// bar of that number.
    pub fn is(&self, typed: &str) -> bool {
        let plain = |words: &str| words.split_whitespace().collect::<String>();
        let typed = plain(typed);
        [&self.number, &self.typed(), &self.to_string(), &self.words()]
            .into_iter()
            .any(|name| plain(name) == typed)
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

/// "bar 7, beat 2", "bar 7 (II), fourth eighth", "the upbeat, beat 4".
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// None in a score without bars.
    pub bar: Option<BarName>,
    /// Counted from 1; quarters from the start where there are no bars.
    pub beat: Quarters,
    /// Length of a beat there, quarters.
    unit: Quarters,
    /// From here to the barline, quarters.
    left: Quarters,
}

impl Place {
    /// "bar 7 (II)", "the upbeat".
    pub fn bar_words(&self) -> String {
        match &self.bar {
            Some(bar) => bar.words(),
            None => self.beat_words(),
        }
    }

    /// "beat 2" on a beat, "fourth eighth", "last sixteenth", "third sixteenth of beat 2" off it, as a pupil
    /// counts them; finer places by the beat that they follow.
    pub fn beat_words(&self) -> String {
        if self.bar.is_none() {
            return format!("{} quarters from the start", mixed_number(self.beat));
        }
        let whole = self.beat.numer().div_euclid(self.beat.denom());
        if self.beat.denom() == 1 {
            return format!("beat {whole}");
        }
        let offset = (self.beat - Quarters::ONE) * self.unit;
        let in_beat = offset - Quarters::from(whole - 1) * self.unit;
        // How many of `part` to a quarter come before a moment, if whole ones do.
        let count = |moment: Quarters, part: i64| {
            let parts = moment * Quarters::from(part);
            (parts.denom() == 1).then(|| parts.numer())
        };
        // Where a beat has three parts nobody counts quarters.
        let compound = self.unit.numer() % 3 == 0;
        for (part, name) in
            [(1, "quarter"), (2, "eighth"), (4, "sixteenth")].into_iter().skip(usize::from(compound))
        {
            let Some(number) = count(offset, part) else { continue };
            if self.left * Quarters::from(part) == Quarters::ONE {
                return format!("last {name}");
            }
            return match count(in_beat, part) {
                // Nobody counts eight of them in a half note.
                Some(number @ 4..) if part == 4 && count(self.unit, part) == Some(number + 1) => {
                    format!("{name} before beat {}", whole + 1)
                }
                Some(number) if part == 4 => format!("{} {name} of beat {whole}", ordinal(number + 1)),
                _ => format!("{} {name}", ordinal(number + 1)),
            };
        }
        for (part, name) in [(3, "triplet note"), (6, "triplet sixteenth"), (8, "thirty-second")] {
            let Some(number) = count(in_beat, part) else { continue };
            return match part {
                8 if self.left * Quarters::from(part) == Quarters::ONE => format!("last {name}"),
                8 if number >= 4 && count(self.unit, part) == Some(number + 1) => {
                    format!("{name} before beat {}", whole + 1)
                }
                _ => format!("{} {name} of beat {whole}", ordinal(number + 1)),
            };
        }
        format!("just after beat {whole}")
    }

    /// "beat 2 of bar 8", "the fourth eighth of bar 8".
    pub fn in_bar_words(&self) -> String {
        let (beat, bar) = (self.beat_words(), self.bar_words());
        if self.bar.is_none() {
            beat
        } else if self.beat.denom() == 1 || beat.starts_with("just") {
            format!("{beat} of {bar}")
        } else {
            format!("the {beat} of {bar}")
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

/// "first", "second"; "13th".
fn ordinal(number: i64) -> String {
    const WORDS: [&str; 12] = [
        "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
        "eleventh", "twelfth",
    ];
    let word = usize::try_from(number - 1).ok().and_then(|index| WORDS.get(index));
    word.map_or_else(|| format!("{number}th"), |word| (*word).to_owned())
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

    /// The beat or eighth that is nearest to a moment, in quarters from the start; where an eighth is a beat,
    /// its half. Finer places cannot be shown to a pupil.
    pub fn nearest_beat_part(&self, quarters: f64) -> Quarters {
        let Some(bar) = self.bar_at(Quarters::from_f64(quarters)).map(|index| &self.bars[index]) else {
            return Quarters::from_f64((quarters * 2.0).round() / 2.0);
        };
        let eighth = Quarters::new(1, 2);
        let part = if bar.time.beat() > eighth { eighth } else { bar.time.beat() * eighth };
        let parts = (quarters - bar.start.to_f64()) / part.to_f64();
        bar.start + part * Quarters::from(parts.round() as i64)
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
            Some((index, beat)) => {
                let bar = &self.bars[index];
                let (unit, left) = (bar.time.beat(), bar.end() - at);
                Place { bar: Some(self.bar_name(index, sections)), beat, unit, left }
            }
            None => Place { bar: None, beat: at, unit: Quarters::ONE, left: Quarters::ZERO },
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
                pickup: length == 1,
                double_barline: number == "2",
                ..Bar::new(start, Quarters::from(length), number, TimeSignature::new(4, 4), 0)
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
        let all = score.bar_sections();
        let numbered = |count: usize| {
            let bar = |n: usize| BarName { number: n.to_string(), ..score.bar_name(1, &all) };
            let bars: Vec<BarName> = (1..=count).map(bar).collect();
            BarName::words_of(&bars.iter().collect::<Vec<_>>())
        };
        assert_eq!(numbered(3), "bars 1, 2 and 3 (I)");
        assert!(numbered(17).ends_with("15, 16 and 17 (I)"), "{}", numbered(17));
        assert!(numbered(900).ends_with("15, 16 and 884 more (I)"), "{}", numbered(900));
        assert_eq!(name(1).words_to(&name(2)), "bars 1 to 2 (I)");
        assert_eq!(name(1).words_to(&name(4)), "bars 1 (I) to 1 (II)");
        assert_eq!(name(3).words_to(&name(5)), "from the upbeat (II) to bar 2 (II)");
        assert_eq!(name(3).typed(), "II:0");
        assert!(name(3).is("II:0") && name(3).is("0") && !name(3).is("I:0") && !name(3).is("1"));
    }

    /// Eighths, sixteenths and triplets counted in the bar or in the beat: common practice, no source.
    #[test]
    fn a_place_off_the_beat_is_counted_as_a_pupil_counts() {
        let score = two_movements();
        let words = |(n, d)| score.place(Quarters::new(n, d)).beat_words();
        for (at, told) in [
            ((3, 2), "second eighth"),
            ((9, 2), "last eighth"),
            ((9, 4), "second sixteenth of beat 2"),
            ((19, 4), "last sixteenth"),
            ((7, 3), "second triplet note of beat 2"),
            ((17, 8), "second thirty-second of beat 2"),
            ((23, 8), "thirty-second before beat 3"),
            ((39, 8), "last thirty-second"),
            ((11, 5), "just after beat 2"),
        ] {
            assert_eq!(words(at), told, "{at:?}");
        }
        let mut six_eight = score.clone();
        for bar in &mut six_eight.bars[1..3] {
            (bar.time, bar.length) = (TimeSignature::new(6, 8), Quarters::from(3));
        }
        let words = |(n, d)| six_eight.place(Quarters::new(n, d)).beat_words();
        assert_eq!((words((3, 2)), words((5, 2))), ("second eighth".to_owned(), "beat 2".to_owned()));
        assert_eq!(words((11, 4)), "second sixteenth of beat 2");
        assert_eq!(words((7, 6)), "second triplet sixteenth of beat 1");
        // Nor eight sixteenths where a beat has eight.
        let mut halves = score.clone();
        halves.bars[1].time = TimeSignature::new(2, 2);
        let place = |(n, d)| halves.place(Quarters::new(n, d)).in_bar_words();
        assert_eq!(place((11, 4)), "the sixteenth before beat 2 of bar 1 (I)");
        assert_eq!(place((5, 4)), "the second sixteenth of beat 1 of bar 1 (I)");
        // Nobody counts quarters where a beat has three eighths.
        assert_eq!((words((2, 1)), words((3, 1))), ("third eighth".to_owned(), "fifth eighth".to_owned()));
    }

    #[test]
    fn a_moment_is_rounded_to_an_eighth() {
        let score = two_movements();
        for (exact, told) in [(2.0, (2, 1)), (2.24, (2, 1)), (2.35, (5, 2)), (2.72, (5, 2)), (2.95, (3, 1))] {
            assert_eq!(score.nearest_beat_part(exact), Quarters::new(told.0, told.1), "{exact}");
        }
    }
}
