//! What several rules ask: which beats are strong, where on the bow the plan is, and how that is said.

use crate::{
    bowing::{Topic, Zone, evidence::Evidence},
    score::{Direction, Quarters, count_words},
};

/// The part of the bow that holds a place on the hair, as a share from the frog: "lower half".
pub(crate) fn place_word(share: f64) -> &'static str {
    Zone::of(share).word()
}

/// A share of the bow in words: "a quarter of the bow".
pub(crate) fn part_words(share: f64) -> &'static str {
    match share {
        ..0.15 => "hardly a tenth of the bow",
        ..0.22 => "a fifth of the bow",
        ..0.29 => "a quarter of the bow",
        ..0.41 => "a third of the bow",
        ..0.58 => "half the bow",
        ..0.71 => "two thirds of the bow",
        ..0.87 => "most of the bow",
        ..1.05 => "nearly the whole bow",
        _ => "more than the whole bow",
    }
}

/// A factor on the speed of the bow as it is said to a pupil: "half as fast", "a little faster".
pub(crate) fn as_fast(factor: f64) -> &'static str {
    match factor {
        ..0.42 => "less than half as fast",
        ..0.58 => "half as fast",
        ..0.72 => "two thirds as fast",
        ..0.83 => "three quarters as fast",
        ..1.0 => "a little slower",
        ..1.23 => "a little faster",
        ..1.42 => "a third faster",
        ..1.75 => "faster by half",
        ..2.5 => "twice as fast",
        ..3.5 => "three times as fast",
        _ => "four times as fast",
    }
}

/// "up-bow" with its article.
pub(crate) fn a_bow(direction: Direction) -> &'static str {
    match direction {
        Direction::Down => "a down-bow",
        Direction::Up => "an up-bow",
    }
}

/// What the bow is turned for.
pub(super) struct Purpose {
    /// "so that bar 9 begins with a down-bow".
    pub words: String,
    /// Why that is wanted.
    pub why: &'static str,
    /// A barline, with nothing that makes it more than one.
    pub is_plain: bool,
}

impl Evidence<'_> {
    /// The main note of a stroke: its first that is no grace note.
    pub(crate) fn main_note(&self, stroke: usize) -> usize {
        let notes = self.strokes()[stroke].notes.clone();
        notes.clone().find(|&piece| self.note(piece).grace.is_none()).unwrap_or(notes.start)
    }

    /// The last note of a stroke.
    pub(crate) fn last_note(&self, stroke: usize) -> usize {
        self.strokes()[stroke].notes.end - 1
    }

    /// Notes of a stroke that are no grace notes.
    pub(crate) fn main_notes(&self, stroke: usize) -> usize {
        self.strokes()[stroke].notes.clone().filter(|&piece| self.note(piece).grace.is_none()).count()
    }

    /// How loud a stroke is when it ends, in dynamic steps.
    pub(crate) fn end_level(&self, stroke: usize) -> f64 {
        self.line.dynamics.level(self.note(self.last_note(stroke)).end().to_f64() - 1e-6)
    }

    /// The silence before a stroke, quarters; none where nothing comes before it.
    pub(super) fn silence_before(&self, stroke: usize) -> Option<Quarters> {
        let before = stroke.checked_sub(1)?;
        Some(self.note(self.first(stroke)).onset - self.note(self.last_note(before)).end())
    }

    /// The direction of a stroke.
    pub(crate) fn way(&self, stroke: usize) -> Direction {
        self.strokes()[stroke].direction
    }

    /// Where the plan has the start of a piece, as a share of the hair.
    pub(super) fn start_share(&self, piece: usize) -> f64 {
        self.plan.solution.start_mm[piece] / self.plan.problem.hair_mm.max(1.0)
    }

    /// The part of the bow in which the plan starts a piece.
    pub(super) fn zone(&self, piece: usize) -> Zone {
        Zone::of(self.start_share(piece))
    }

    /// Hair the plan gives a stroke, mm.
    pub(crate) fn used_mm(&self, stroke: usize) -> f64 {
        self.strokes()[stroke].notes.clone().map(|piece| self.plan.used_mm(piece)).sum()
    }

    /// The plan covers a stroke, and the bow moves along in it.
    pub(super) fn is_planned(&self, stroke: usize) -> bool {
        self.strokes()[stroke]
            .notes
            .clone()
            .all(|piece| !self.plan.unplanned[piece] && self.plan.piece(piece).moves())
    }

    /// Stands on the first beat of a bar.
    pub(crate) fn is_first_beat(&self, piece: usize) -> bool {
        self.lesson.score.starts_bar(self.note(piece))
    }

    /// Stands in the middle of a bar that has two halves.
    pub(super) fn is_half_bar(&self, piece: usize) -> bool {
        let note = self.note(piece);
        let Some(bar) = self.lesson.score.bars.get(note.bar) else { return false };
        let halves = bar.time.count().is_multiple_of(2) && !bar.pickup;
        halves && note.grace.is_none() && (note.onset - bar.start) * Quarters::from(2) == bar.length
    }

    /// "the F♯": the note without its octave; "the double stop G and E", "the chord".
    pub(crate) fn called(&self, piece: usize) -> String {
        let name = |pitch: crate::score::Pitch| {
            pitch.name().trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_owned()
        };
        let names: Vec<String> = self.note(piece).notes.iter().map(|note| name(note.pitch)).collect();
        match names.as_slice() {
            [one] => format!("the {one}"),
            [low, high] if low == high => match self.note(piece).midi().as_slice() {
                [one, other] if other - one > 1.0 => format!("the octave {low}"),
                _ => format!("the unison {low}"),
            },
            [low, high] => format!("the double stop {low} and {high}"),
            many => format!("the chord of {} notes", count_words(many.len())),
        }
    }

    /// "bar 9", without its movement: what is told of is near.
    pub(super) fn bar_words(&self, bar: usize) -> String {
        self.lesson.score.bar_name(bar, &[]).words()
    }

    /// Two pieces stand in one movement.
    pub(crate) fn same_section(&self, one: usize, other: usize) -> bool {
        let section = |piece: usize| self.line.sections.get(self.note(piece).bar);
        section(one) == section(other)
    }

    /// What the bow is turned for: of the strokes after this one, up to the next rest, the first that has a
    /// bow mark, or wants a down-bow and gets it.
    pub(super) fn purpose(&self, stroke: usize) -> Option<Purpose> {
        const SEEN: usize = 8;
        /// After a rest so short, quarters, the bow goes on in turn. Assumed.
        const HARDLY_A_REST: (i64, i64) = (1, 2);
        for next in (stroke + 1..self.strokes().len()).take(SEEN) {
            // What comes after the next lift does not follow from here.
            let goes_on = match self.silence_before(next) {
                Some(silence) if silence.is_positive() => {
                    next == stroke + 1
                        && silence <= Quarters::new(HARDLY_A_REST.0, HARDLY_A_REST.1)
                        && self.way(next) != self.way(stroke)
                }
                _ => !self.strokes()[next].lift_before,
            };
            if !goes_on {
                return None;
            }
            let piece = self.main_note(next);
            let chord = self.note(piece).notes.len() > 2;
            let bar = self.bar_words(self.note(piece).bar);
            let there = match self.note(piece).bar == self.note(self.main_note(stroke)).bar {
                true => format!("on {}", self.place(piece).beat_words()),
                false => format!("of {bar}"),
            };
            if self.note(self.first(next)).bow.is_some() {
                let words =
                    format!("so that the {} marked in {bar} comes out right", self.way(next).bow_word());
                return Some(Purpose { words, why: "The bow mark there asks for it.", is_plain: false });
            }
            let strong = chord || self.is_accented(piece) || self.is_first_beat(piece);
            if !strong {
                continue;
            }
            if self.way(next) != Direction::Down {
                return None;
            }
            // One barline is no reason where this start stands on another.
            let plain = !chord && !self.is_accented(piece);
            if plain && self.is_first_beat(self.main_note(stroke)) && self.way(stroke) == Direction::Up {
                return None;
            }
            let words = match () {
                () if chord => format!("so that the chord {there} is a down-bow"),
                () if self.is_accented(piece) => format!("so that the accent {there} is a down-bow"),
                () => format!("so that {bar} begins with a down-bow"),
            };
            return Some(Purpose { words, why: "A down-bow is heavier by itself.", is_plain: plain });
        }
        None
    }
}

/// Topics in the order in which a player needs them: first what decides the direction.
pub(super) fn rank(topic: Topic) -> usize {
    match topic {
        Topic::RunsOut | Topic::SlurChange | Topic::Plucking => 0,
        Topic::Retake | Topic::Hooked => 1,
        Topic::Chord => 2,
        Topic::SuddenDynamic | Topic::StrongBeatUp => 3,
        Topic::Accent | Topic::LongNote => 4,
        Topic::Way | Topic::Amount => 5,
        Topic::StrokePlace => 6,
        Topic::Crossing => 7,
        Topic::PhraseEnd | Topic::SameFigure => 8,
    }
}
