//! From musical time to seconds.

use std::ops::RangeInclusive;

use super::Quarters;

/// Tempo where the score gives none, in quarter notes a minute. Assumed; shown as such.
pub const DEFAULT_QPM: f64 = 120.0;

/// Slowest and fastest tempo a score may have, in quarter notes a minute. Assumed limits: anything
/// outside is a slip.
pub const TEMPOS: RangeInclusive<f64> = 1.0..=1000.0;

/// What a typed tempo says: "96", "Andante", "Andante 72", "Andante (♩. = 72)".
#[derive(Clone, Debug, PartialEq)]
pub struct TypedTempo {
    /// Quarter notes a minute; none where the text has words alone.
    pub qpm: Option<f64>,
    /// As it is printed.
    pub text: String,
}

impl TypedTempo {
    /// Reads a typed tempo; its number counts beats of this length. None where it is empty, or the number
    /// is out of all bounds.
    pub fn new(typed: &str, beat: Quarters) -> Option<Self> {
        let typed = typed.trim();
        let plain = typed.trim_end_matches(')');
        let digits = plain.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').len();
        let (words, number) = plain.split_at(digits);
        if number.is_empty() {
            return (!typed.is_empty()).then(|| Self { qpm: None, text: typed.to_owned() });
        }
        let per_minute: f64 = number.parse().ok()?;
        let words = words.trim_end().trim_end_matches('=').trim_end();
        // What was printed before the number says what it counts, else the beat does.
        let (words, unit) = match UNITS.iter().find(|(sign, _)| words.ends_with(sign)) {
            Some((sign, unit)) => (words.trim_end_matches(sign), *unit),
            None => (words, beat),
        };
        let words = words.trim_end().trim_end_matches('(').trim();
        let qpm = per_minute * unit.to_f64();
        if !TEMPOS.contains(&qpm) {
            return None;
        }
        let sign = UNITS.iter().find(|(_, length)| *length == unit).map(|(sign, _)| *sign);
        let (sign, per_minute) = sign.map_or(("♩", qpm), |sign| (sign, per_minute));
        let number = format!("{sign} = {}", (per_minute * 100.0).round() / 100.0);
        let text = if words.is_empty() { number } else { format!("{words} ({number})") };
        Some(Self { qpm: Some(qpm), text })
    }
}

/// Note values as a tempo is printed, the longer names first, with their lengths.
const UNITS: [(&str, Quarters); 4] =
    [("♩.", Quarters::THREE_HALVES), ("half", Quarters::TWO), ("♩", Quarters::ONE), ("♪", Quarters::HALF)];

/// Piecewise constant tempo: seconds from the start for any musical time, and back.
#[derive(Clone, Debug, PartialEq)]
pub struct TempoMap {
    /// (quarter notes, seconds there, quarter notes per minute from there), in order; the first is at 0.
    spans: Vec<(f64, f64, f64)>,
}

impl TempoMap {
    /// From (where, quarter notes per minute) in any order. What comes before the first mark takes
    /// the first mark's tempo. Of two marks at one place the later given counts; one outside [`TEMPOS`]
    /// does not.
    pub fn new(marks: impl IntoIterator<Item = (Quarters, f64)>) -> Self {
        let mut marks: Vec<_> = marks
            .into_iter()
            .filter(|(_, qpm)| TEMPOS.contains(qpm))
            .map(|(at, qpm)| (at.max(Quarters::ZERO), qpm))
            .collect();
        marks.sort_by_key(|(at, _)| *at);
        let first = marks.first().map_or(DEFAULT_QPM, |(_, qpm)| *qpm);
        let mut spans = vec![(0.0, 0.0, first)];
        let mut last = Quarters::ZERO;
        for (at, qpm) in marks {
            let (_, seconds, old) = spans[spans.len() - 1];
            if at == last {
                spans.pop();
            }
            spans.push((at.to_f64(), seconds + (at - last).to_f64() * 60.0 / old, qpm));
            last = at;
        }
        Self { spans }
    }

    /// Seconds from the start of the score to `at`; before the start negative.
    pub fn seconds(&self, at: Quarters) -> f64 {
        self.seconds_f64(at.to_f64())
    }

    /// [`Self::seconds`] for a place between exact times, as the picture of a pointer needs.
    pub fn seconds_f64(&self, at: f64) -> f64 {
        let (from, seconds, qpm) = self.span(|span| span.0 <= at);
        seconds + (at - from) * 60.0 / qpm
    }

    /// Quarter notes from the start after `seconds`.
    pub fn quarters(&self, seconds: f64) -> f64 {
        let (from, start, qpm) = self.span(|span| span.1 <= seconds);
        from + (seconds - start) * qpm / 60.0
    }

    /// Quarter notes per minute in force at `at`.
    pub fn qpm_at(&self, at: Quarters) -> f64 {
        self.span(|span| span.0 <= at.to_f64()).2
    }

    fn span(&self, reached: impl Fn(&(f64, f64, f64)) -> bool) -> (f64, f64, f64) {
        self.spans[self.spans.partition_point(reached).saturating_sub(1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How a tempo is printed: common practice, no source.
    #[test]
    fn a_tempo_is_read_as_it_is_typed_and_as_it_is_printed() {
        let (quarter, dotted) = (Quarters::ONE, Quarters::THREE_HALVES);
        let typed = [
            ("96", quarter, Some(96.0), "♩ = 96"),
            ("Andante 72", quarter, Some(72.0), "Andante (♩ = 72)"),
            ("Andante (♩ = 72)", dotted, Some(72.0), "Andante (♩ = 72)"),
            ("60", dotted, Some(90.0), "♩. = 60"),
            ("♩. = 60", quarter, Some(90.0), "♩. = 60"),
            ("72.5", quarter, Some(72.5), "♩ = 72.5"),
            ("Allegro", quarter, None, "Allegro"),
            ("66", Quarters::TWO, Some(132.0), "half = 66"),
        ];
        for (text, beat, qpm, printed) in typed {
            let read = TypedTempo::new(text, beat).expect(text);
            assert_eq!((read.qpm, read.text.as_str()), (qpm, printed), "{text}");
        }
        for bad in ["", "  ", "0", "99999", "Presto 9999", "1.2.3"] {
            assert_eq!(TypedTempo::new(bad, quarter), None, "{bad}");
        }
    }

    #[test]
    fn seconds_follow_every_change() {
        let map = TempoMap::new([(Quarters::from(4), 120.0), (Quarters::ZERO, 60.0)]);
        assert_eq!(map.seconds(Quarters::from(4)), 4.0);
        assert_eq!(map.seconds(Quarters::from(6)), 5.0);
        assert_eq!(map.quarters(5.0), 6.0);
        assert_eq!(map.qpm_at(Quarters::new(7, 2)), 60.0);
    }

    #[test]
    fn a_score_without_tempo_has_the_default() {
        assert_eq!(TempoMap::new([]).seconds(Quarters::from(2)), 1.0);
        assert_eq!(TempoMap::new([(Quarters::ZERO, f64::NAN)]), TempoMap::new([]));
    }

    #[test]
    fn of_two_marks_at_one_place_the_later_counts() {
        let map = TempoMap::new([(Quarters::ZERO, 60.0), (Quarters::ZERO, 90.0)]);
        assert_eq!(map.qpm_at(Quarters::ZERO), 90.0);
    }
}
