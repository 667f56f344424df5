//! The time axis: where each moment lies from left to right, the same for staff, hair map and
//! levels.

use std::sync::Arc;

use crate::score::{Quarters, Score};

use super::engraving::{Engraving, SPACE_MM};

/// Width of a quarter note, mm. Assumed.
const QUARTER_MM: f64 = 10.5;
/// Longer notes take more room, but less than in proportion: width grows with this power of the
/// length. Assumed; common engraving tables lie near it.
const POWER: f64 = 0.6;
/// Widest gap in which nothing happens, mm. Assumed.
const WIDEST_MM: f64 = 34.0;
/// Width of a rest of several bars, mm. Assumed.
const REST_MM: f64 = 26.0;
/// Room kept between what belongs to neighbouring onsets, staff spaces. Assumed.
const AIR_SPACES: f64 = 0.55;

/// The barline before a bar. Lengths are staff spaces.
#[derive(Clone, Copy, Debug)]
struct Barline {
    /// Start of the bar.
    at: Quarters,
    /// How far left of the first note it stands.
    before: f64,
    /// Room behind it for the key and metre that begin there, where a system ends with it.
    notice: f64,
}

/// Musical time to mm and back; strictly increasing.
#[derive(Clone, Debug)]
pub struct TimeAxis {
    knots: Arc<Vec<Knot>>,
    bars: Arc<Vec<Barline>>,
    scale: f64,
    shift: f64,
}

#[derive(Clone, Copy, Debug)]
struct Knot {
    at: Quarters,
    at_f64: f64,
    x: f64,
}

impl TimeAxis {
    /// Spaces a score: every onset gets room for its heads, accidentals, dots, flags and grace
    /// notes, every bar for its barline and its changes of clef, key and time. Bars printed as one wide
    /// rest share its width.
    pub fn new(score: &Score, engraving: &Engraving) -> Self {
        let mut times: Vec<Quarters> = score
            .events
            .iter()
            .map(|event| event.onset)
            .chain(score.bars.iter().map(|bar| bar.start))
            .chain([Quarters::ZERO, score.end().max(Quarters::ONE)])
            .collect();
        times.sort_unstable();
        times.dedup();
        let whole_bar_rests: std::collections::BTreeSet<Quarters> = score
            .events
            .iter()
            .filter(|event| event.whole_bar && event.is_rest())
            .map(|event| event.onset)
            .collect();
        let room = |at: Quarters| engraving.room.get(&at).copied().unwrap_or((0.0, 0.0));
        let mut knots: Vec<Knot> = Vec::with_capacity(times.len());
        let mut x = times.first().map_or(0.0, |at| room(*at).0 * SPACE_MM);
        for (index, &at) in times.iter().enumerate() {
            if let Some(before) = index.checked_sub(1).map(|i| times[i]) {
                let run = score.bar_at(before).and_then(|bar| engraving.rest_of(bar));
                let wide_rest = run.map(|run| {
                    let long = score.bars[run.end - 1].end() - score.bars[run.start].start;
                    REST_MM * (at - before).to_f64() / long.to_f64().max(1e-9)
                });
                let natural = QUARTER_MM * (at - before).to_f64().max(0.0).powf(POWER);
                let widest = if whole_bar_rests.contains(&before) { WIDEST_MM / 2.0 } else { WIDEST_MM };
                let needed = (room(before).1 + room(at).0 + AIR_SPACES) * SPACE_MM;
                // The barline comes on top of the note's own width, or bars would look crowded.
                let bar = score.bars.binary_search_by_key(&at, |bar| bar.start).ok();
                let lead = bar.map_or(0.0, |bar| 0.6 * engraving.leads[bar].room * SPACE_MM);
                let inner = bar.is_some_and(|bar| engraving.is_inside_rest(bar));
                x += match wide_rest {
                    Some(share) if inner => share,
                    Some(share) => (share + lead).max(needed),
                    None => (natural.min(widest) + lead).max(needed),
                };
            }
            knots.push(Knot { at, at_f64: at.to_f64(), x });
        }
        let bars = score.bars.iter().enumerate();
        let bars = bars.filter(|(i, _)| !engraving.is_inside_rest(*i)).map(|(i, bar)| Barline {
            at: bar.start,
            before: engraving.leads[i].bar + engraving.first_note_room(i, bar.start),
            notice: engraving.notice_room(i),
        });
        Self { knots: Arc::new(knots), bars: Arc::new(bars.collect()), scale: 1.0, shift: 0.0 }
    }

    /// Place of a moment, mm.
    pub fn x(&self, at: Quarters) -> f64 {
        match self.knots.binary_search_by_key(&at, |knot| knot.at) {
            Ok(index) => self.knots[index].x * self.scale + self.shift,
            Err(_) => self.x_f64(at.to_f64()),
        }
    }

    /// [`Self::x`] between exact times, as a moving pointer needs.
    pub fn x_f64(&self, at: f64) -> f64 {
        let (a, b) = self.around(|knot| knot.at_f64 <= at);
        let share = if b.at_f64 > a.at_f64 { (at - a.at_f64) / (b.at_f64 - a.at_f64) } else { 0.0 };
        (a.x + (b.x - a.x) * share) * self.scale + self.shift
    }

    /// The moment at a place, quarter notes from the start.
    pub fn quarters_at(&self, x_mm: f64) -> f64 {
        let x = (x_mm - self.shift) / self.scale;
        let (a, b) = self.around(|knot| knot.x <= x);
        let share = if b.x > a.x { (x - a.x) / (b.x - a.x) } else { 0.0 };
        a.at_f64 + (b.at_f64 - a.at_f64) * share
    }

    fn around(&self, reached: impl Fn(&Knot) -> bool) -> (Knot, Knot) {
        let last = self.knots.len() - 1;
        let after = self.knots.partition_point(reached).clamp(1, last.max(1)).min(last);
        (self.knots[after.saturating_sub(1)], self.knots[after])
    }

    /// Place of the barline before a bar, mm; its [`Self::x`] where it is no bar's start.
    pub fn barline_x(&self, start: Quarters) -> f64 {
        self.x(start) - self.barline(start).map_or(0.0, |line| line.before) * SPACE_MM
    }

    /// False for the start of a bar inside a rest of several bars, which has no barline.
    pub(super) fn has_barline(&self, start: Quarters) -> bool {
        self.barline(start).is_some()
    }

    fn barline(&self, start: Quarters) -> Option<&Barline> {
        self.bars.binary_search_by_key(&start, |line| line.at).ok().map(|line| &self.bars[line])
    }

    /// Room behind the barline at a moment for the key and metre that begin there, where a system ends with
    /// it, mm.
    pub fn notice_mm(&self, at: Quarters) -> f64 {
        self.barline(at).map_or(0.0, |line| line.notice * SPACE_MM)
    }

    /// Left edge of what belongs to a bar, mm; for the end of the score, its end.
    pub fn edge(&self, at: Quarters) -> f64 {
        self.barline_x(at)
    }

    /// Length of the whole score, mm.
    pub fn width_mm(&self) -> f64 {
        self.knots.last().map_or(0.0, |knot| knot.x * self.scale)
    }

    /// The axis moved so that the barline at `from` lies at `left_mm`.
    pub fn starting_at(&self, from: Quarters, left_mm: f64) -> Self {
        let shift = self.shift + left_mm - self.edge(from);
        Self { shift, ..self.clone() }
    }

    /// The axis moved by some mm.
    pub fn shifted(&self, by_mm: f64) -> Self {
        Self { shift: self.shift + by_mm, ..self.clone() }
    }

    /// The axis moved and stretched so that the barlines at `from` and `to` lie at `left_mm` and
    /// `right_mm`. Signs keep their size.
    pub fn fitted(&self, from: Quarters, to: Quarters, left_mm: f64, right_mm: f64) -> Self {
        let (a, b) =
            ((self.x(from), self.x(to)), (self.x(from) - self.edge(from), self.x(to) - self.edge(to)));
        let wide = (right_mm - left_mm - b.0 + b.1).max(1.0);
        let factor = if a.1 > a.0 { wide / (a.1 - a.0) } else { 1.0 };
        let scaled = Self { scale: self.scale * factor, shift: self.shift * factor, ..self.clone() };
        scaled.starting_at(from, left_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Bar, Event, EventId, Letter, Note, NoteValue, Pitch, TimeSignature};

    fn score() -> Score {
        let values = [-2, -3, -3, -4, -4, -4, -4, -1, 0];
        let mut at = Quarters::ZERO;
        let mut score = Score::default();
        for (id, log2) in values.into_iter().enumerate() {
            let value = NoteValue::plain(log2);
            let note = Note::new(Pitch::new(Letter::C, (id % 2) as f32, 5));
            score.events.push(Event::new(EventId(id as u32), at, value, vec![note]).into());
            at += value.length();
        }
        for bar in 0..3 {
            score.bars.push(Bar::new(
                Quarters::from(4 * bar),
                Quarters::from(4),
                (bar + 1).to_string(),
                TimeSignature::default(),
                0,
            ));
        }
        score
    }

    #[test]
    fn time_runs_to_the_right_and_back() {
        let score = score();
        let axis = TimeAxis::new(&score, &Engraving::new(&score)).fitted(
            Quarters::ZERO,
            Quarters::from(8),
            20.0,
            200.0,
        );
        let mut last = f64::NEG_INFINITY;
        for step in -8..120 {
            let at = f64::from(step) / 8.0;
            let x = axis.x_f64(at);
            assert!(x > last, "at {at}");
            assert!((axis.quarters_at(x) - at).abs() < 1e-6, "at {at}");
            last = x;
        }
        assert!((axis.barline_x(Quarters::ZERO) - 20.0).abs() < 1e-9);
        assert!((axis.barline_x(Quarters::from(8)) - 200.0).abs() < 1e-9);
    }

    /// Common practice, no source: longer notes are wider, but a note twice as long takes less
    /// than twice the room.
    #[test]
    fn longer_notes_take_more_room() {
        let score = score();
        let axis = TimeAxis::new(&score, &Engraving::new(&score));
        let width = |i: usize| axis.x(score.events[i].end()) - axis.x(score.events[i].onset);
        assert!(width(0) > width(2) && width(2) > width(4));
        assert!(width(0) < 2.0 * width(2) + 5.0);
    }

    #[test]
    fn an_empty_score_has_an_axis() {
        let score = Score::default();
        let axis = TimeAxis::new(&score, &Engraving::new(&score));
        assert!(axis.x_f64(3.0) > axis.x_f64(0.0));
    }
}
