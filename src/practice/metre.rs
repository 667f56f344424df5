//! The pulse of the music: where it is counted, how strongly, and how it is counted in.

use crate::{
    analysis::Analysis,
    score::{Bar, Quarters, Score, TimeSignature},
};

/// How strong a pulse is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// A part of a beat: a half of it, a third of it in 6/8, 9/8, 12/8.
    Part,
    /// A beat.
    Beat,
    /// The first beat of a bar.
    Bar,
}

/// One pulse of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pulse {
    /// From the start of a full bar.
    pub at: Quarters,
    /// How strong it is.
    pub weight: Weight,
    /// The beat it is or belongs to, as it is counted, from 1.
    pub beat: u16,
}

/// The pulses of a bar of this length. Where the upper number is a sum, its groups are the beats over
/// eighths and shorter values; over longer ones each value is a beat. Without a metre quarters are counted.
/// Common practice, no source.
pub fn pulses(time: &TimeSignature, length: Quarters) -> Vec<Pulse> {
    let mut pulses = Vec::new();
    let (mut at, mut beat) = (Quarters::ZERO, 1);
    for parts in beats(time).into_iter().cycle() {
        if at >= length {
            break;
        }
        let first = if beat == 1 { Weight::Bar } else { Weight::Beat };
        for (k, part) in parts.iter().enumerate() {
            if at < length {
                pulses.push(Pulse { at, weight: if k == 0 { first } else { Weight::Part }, beat });
            }
            at += *part;
        }
        beat += 1;
    }
    pulses
}

/// The beats of a full bar, each as the lengths of its parts; never empty, and no part without length.
fn beats(time: &TimeSignature) -> Vec<Vec<Quarters>> {
    let unit = Quarters::new(4, i64::from(time.beat_type.max(1)));
    let groups: Vec<usize> = time.beats.split('+').filter_map(|beat| beat.trim().parse().ok()).collect();
    if groups.len() > 1 && time.beat_type >= 8 {
        return groups.into_iter().filter(|count| *count > 0).map(|count| vec![unit; count]).collect();
    }
    let beat = if time.bar_length().is_some() { time.beat() } else { Quarters::ONE };
    let parts = if beat == unit * Quarters::from(3) { 3 } else { 2 };
    vec![vec![beat / Quarters::from(parts as i64); parts]]
}

/// The pulses of a bar as it stands in the score: an upbeat has the last ones of a full bar. Each with its
/// place in the score.
pub fn pulses_of(bar: &Bar) -> Vec<(Quarters, Pulse)> {
    let missing = missing(bar);
    let all = pulses(&bar.time, bar.length + missing);
    all.into_iter()
        .filter(|pulse| pulse.at >= missing)
        .map(|pulse| (bar.start + pulse.at - missing, pulse))
        .collect()
}

/// What an upbeat lacks of a full bar.
fn missing(bar: &Bar) -> Quarters {
    let full = bar.time.bar_length().filter(|full| bar.pickup && *full > bar.length);
    full.map_or(Quarters::ZERO, |full| full - bar.length)
}

/// A pulse before the music, or between two rounds of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Count {
    /// How long before the music goes on, s at the practice tempo; above 0.
    pub before_s: f64,
    /// How strong it is.
    pub weight: Weight,
    /// The beat as it is counted, from 1.
    pub beat: u16,
}

/// What is counted before the music, at the tempo that the music has there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CountIn {
    /// How long it lasts, s at the practice tempo.
    pub seconds: f64,
    /// Its pulses, the first first.
    pub counts: Vec<Count>,
}

impl CountIn {
    /// So many bars before the music at `from`. An upbeat, and music that starts inside a bar, is counted
    /// into: the last bar counted is the one in which it starts. What is counted of that is a bar less, but
    /// where less than half a bar would be left (common practice, no source).
    pub fn new(score: &Score, analysis: &Analysis, from: Quarters, bars: u8) -> Self {
        let place = score.bar_at(from).or_else(|| score.bars.len().checked_sub(1));
        let (Some(bar), 1..) = (place.map(|place| &score.bars[place]), bars) else { return Self::default() };
        let full = bar.time.bar_length().unwrap_or(bar.length);
        if full <= Quarters::ZERO {
            return Self::default();
        }
        let into = (from - bar.start).max(Quarters::ZERO) + missing(bar);
        let mut whole = i64::from(bars);
        if into > Quarters::ZERO && into * Quarters::TWO >= full {
            whole -= 1;
        }
        let length = full * Quarters::from(whole) + into;
        let second = 60.0 / (analysis.line.tempo.qpm_at(from) * analysis.bowing.tempo_share);
        let count = |start: Quarters, pulse: Pulse| Count {
            before_s: (length - start - pulse.at).to_f64() * second,
            weight: pulse.weight,
            beat: pulse.beat,
        };
        let starts = (0..whole)
            .map(|k| (full * Quarters::from(k), full))
            .chain([(full * Quarters::from(whole), into)]);
        let counts = starts.flat_map(|(start, long)| {
            pulses(&bar.time, long).into_iter().map(move |pulse| count(start, pulse))
        });
        Self { seconds: length.to_f64() * second, counts: counts.collect() }
    }

    /// The beat that is counted when the music goes on in `left_s`, none before the first.
    pub fn beat_at(&self, left_s: f64) -> Option<u16> {
        let after = self.counts.partition_point(|count| count.before_s >= left_s - 1e-9);
        Some(self.counts[after.checked_sub(1)?].beat)
    }

    /// The same at a tempo at which all lasts `factor` times as long.
    pub(super) fn stretch(&mut self, factor: f64) {
        self.seconds *= factor;
        self.counts.iter_mut().for_each(|count| count.before_s *= factor);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::Study,
        lesson::{Writer, change::new_passage},
        score::NoteValue,
        setup::Family,
    };

    fn signs(text: &str) -> String {
        let time = TimeSignature::from_words(text).unwrap();
        let sign = |pulse: &Pulse| match pulse.weight {
            Weight::Bar => 'X',
            Weight::Beat => 'x',
            Weight::Part => '.',
        };
        pulses(&time, time.bar_length().unwrap()).iter().map(sign).collect()
    }

    /// How a bar is counted: common practice, no source.
    #[test]
    fn metres_have_their_beats_and_parts() {
        for (text, wanted) in [
            ("4/4", "X.x.x.x."),
            ("3/4", "X.x.x."),
            ("2/2", "X.x."),
            ("6/8", "X..x.."),
            ("9/8", "X..x..x.."),
            ("12/8", "X..x..x..x.."),
            ("3/8", "X.x.x."),
            ("3+2/8", "X..x."),
            ("2+2+3/8", "X.x.x.."),
            ("3+2/4", "X.x.x.x.x."),
        ] {
            assert_eq!(signs(text), wanted, "{text}");
        }
        let free = TimeSignature::free();
        assert_eq!(pulses(&free, Quarters::from(3)).len(), 6, "without a metre quarters are counted");
    }

    #[test]
    fn an_upbeat_has_the_last_beats_of_a_bar() {
        let mut bar = Bar::new(Quarters::ZERO, Quarters::ONE, "0", TimeSignature::new(3, 4), 0);
        bar.pickup = true;
        let beats: Vec<u16> = pulses_of(&bar).iter().map(|(_, pulse)| pulse.beat).collect();
        assert_eq!(beats, [3, 3]);
        assert_eq!(pulses_of(&bar)[0].0, Quarters::ZERO);
    }

    /// Beats counted before the music, of 4/4 at 120: common practice, no source.
    #[test]
    fn the_count_leads_into_the_bar() {
        let lesson = new_passage(Family::Viola, TimeSignature::new(4, 4), 0, 120.0);
        let quarters = ["C4", "D4", "E4", "F4"].into_iter();
        let writer = quarters.fold(Writer::new(lesson), |writer, name| writer.note(name, NoteValue::QUARTER));
        let (lesson, _) = writer.note("G4", NoteValue::WHOLE).finish().unwrap();
        let study = Study::new(lesson);
        let counted = |from: i64, bars: u8| {
            let count = CountIn::new(&study.lesson().score, study.analysis(), Quarters::from(from), bars);
            let beats = count.counts.iter().filter(|count| count.weight > Weight::Part);
            (beats.map(|count| count.beat.to_string()).collect::<String>(), count.seconds)
        };
        assert_eq!(counted(0, 0), (String::new(), 0.0));
        assert_eq!(counted(0, 1), ("1234".to_owned(), 2.0));
        assert_eq!(counted(4, 2), ("12341234".to_owned(), 4.0));
        // Into the fourth beat, as into an upbeat of a quarter; into the second a bar more.
        assert_eq!(counted(3, 1), ("123".to_owned(), 1.5));
        assert_eq!(counted(3, 2), ("1234123".to_owned(), 3.5));
        assert_eq!(counted(1, 1), ("12341".to_owned(), 2.5));
        let count = CountIn::new(&study.lesson().score, study.analysis(), Quarters::ZERO, 1);
        let beats = [2.0, 1.6, 1.5, 1.01, 0.5, 0.01].map(|left| count.beat_at(left));
        assert_eq!(beats, [1, 1, 2, 2, 4, 4].map(Some));
        assert_eq!(count.beat_at(2.1), None);
    }
}
