//! The bowings to choose from: for every bowed note, how it may be joined to the one before it.

use std::collections::BTreeSet;

use crate::{
    analysis::Analysis,
    bowing::{self, Reached},
    lesson::{
        Edit, Lesson,
        change::{Joined, Rebowed, rebow},
    },
    score::{Attack, Direction, EventId, Line, Mark, StrokeType},
};

use super::Freedom;

/// How a bowed note is reached in a bowing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// After a rest, or as the first note: either direction is free.
    Set,
    /// After a breath: either direction is free.
    Breath,
    /// A bow change on the string.
    Change,
    /// The bow is lifted and set again in the same direction.
    Retake,
    /// In one bow with the note before it, joined as it is now.
    Joined,
    /// Newly slurred to the note before it.
    Slur,
    /// Newly hooked to the note before it.
    Hook,
}

impl Way {
    /// It starts a stroke.
    pub fn starts(self) -> bool {
        matches!(self, Self::Set | Self::Breath | Self::Change | Self::Retake)
    }
}

/// How one note is bowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Step {
    /// How it is reached.
    pub way: Way,
    /// Its direction.
    pub direction: Direction,
}

/// A whole bowing: one step for each bowed note.
pub type Bowing = Vec<Step>;

/// The bowings a search may choose from.
#[derive(Clone, Debug)]
pub struct Field {
    present: Bowing,
    options: Vec<Vec<Way>>,
    fixed: Vec<bool>,
    /// Retakes that turn the bow round as well, by a printed mark.
    turning: Vec<bool>,
    /// Retakes that come from two equal printed marks alone, and hold only after a down-bow.
    by_marks: Vec<bool>,
}

impl Field {
    /// What may be chosen for these events (`None`: all) of a lesson.
    ///
    /// Settled notes, grace notes and all notes outside keep how they are joined and their direction.
    pub fn new(
        lesson: &Lesson,
        analysis: &Analysis,
        events: Option<&BTreeSet<EventId>>,
        freedom: Freedom,
    ) -> Self {
        let present = steps(&analysis.line, &analysis.bowing, lesson.setup.school.set_time_s);
        let mut field = Self {
            options: Vec::with_capacity(present.len()),
            fixed: Vec::with_capacity(present.len()),
            turning: Vec::with_capacity(present.len()),
            by_marks: Vec::with_capacity(present.len()),
            present,
        };
        for (k, step) in field.present.iter().enumerate() {
            let note = analysis.note(k);
            let held = |id: &EventId| lesson.kept.contains(id) || events.is_some_and(|of| !of.contains(id));
            let before = k.checked_sub(1).map(|b| analysis.note(b));
            let fixed = note.events.iter().any(held);
            let graced = note.grace.is_some() || before.is_some_and(|before| before.grace.is_some());
            let fits = |way: &Way| before.is_some_and(|b| may(*way, b, note, analysis, k, lesson));
            let mut options = vec![step.way];
            if !fixed && !graced {
                let more: &[Way] = match (step.way, freedom) {
                    (Way::Set | Way::Breath, _) | (Way::Joined, Freedom::Directions) => &[],
                    (Way::Joined, _) | (_, Freedom::Directions) => &[Way::Change, Way::Retake],
                    (_, Freedom::Splits) => &[Way::Change, Way::Retake, Way::Hook],
                    (_, Freedom::Free) => &[Way::Change, Way::Retake, Way::Hook, Way::Slur],
                };
                options.extend(more.iter().filter(|way| **way != step.way && fits(way)));
            }
            let prior = k.checked_sub(1).map(|before| field.present[before].direction);
            let retaken = step.way == Way::Retake;
            field.turning.push(retaken && prior.is_some_and(|prior| prior != step.direction));
            field.by_marks.push(retaken && !note.retake);
            field.options.push(options);
            field.fixed.push(fixed);
        }
        field
    }

    /// The bowing as it is.
    pub fn present(&self) -> &[Step] {
        &self.present
    }

    /// Nothing may be changed.
    pub fn is_settled(&self) -> bool {
        let turns = |k: usize| matches!(self.present[k].way, Way::Set | Way::Breath);
        (0..self.present.len()).all(|k| self.fixed[k] || (self.options[k].len() == 1 && !turns(k)))
    }

    /// The ways open to a note.
    pub fn ways(&self, k: usize) -> &[Way] {
        &self.options[k]
    }

    /// A note may have this direction: any, unless it must keep its own.
    pub fn allows(&self, k: usize, direction: Direction) -> bool {
        !self.fixed[k] || direction == self.present[k].direction
    }

    /// The directions a note may have when it is reached this way, `before` being the direction of
    /// the note before it.
    pub fn directions(
        &self,
        k: usize,
        way: Way,
        before: Option<Direction>,
    ) -> impl Iterator<Item = Direction> {
        let all = match (way, before) {
            (Way::Set | Way::Breath, _) | (_, None) => [Some(Direction::Down), Some(Direction::Up)],
            (Way::Change, Some(before)) => [Some(before.turned()), None],
            (Way::Retake, Some(before)) if self.turning[k] => [Some(before), Some(before.turned())],
            (Way::Retake, Some(_)) if self.fixed[k] && !self.by_marks[k] => {
                [Some(self.present[k].direction), None]
            }
            (Way::Retake | Way::Joined | Way::Slur | Way::Hook, Some(before)) => [Some(before), None],
        };
        all.into_iter().flatten().filter(move |direction| self.allows(k, *direction))
    }

    /// The bowing with other steps at some notes, the directions behind them following on; none if
    /// they cannot follow on.
    pub fn changed(&self, bowing: &[Step], changes: &[(usize, Step)]) -> Option<Bowing> {
        let mut new = bowing.to_vec();
        let first = changes.iter().map(|(k, _)| *k).min()?;
        for (k, step) in changes {
            *new.get_mut(*k)? = *step;
        }
        for k in first..new.len() {
            let before = k.checked_sub(1).map(|before| new[before].direction);
            let wanted = new[k].direction;
            let mut open = self.directions(k, new[k].way, before);
            let one = open.next()?;
            let two = open.next();
            new[k].direction = if two == Some(wanted) { wanted } else { one };
            let reached = changes.iter().all(|(changed, _)| *changed <= k);
            if reached && k > first && new[k] == bowing[k] && changes.iter().all(|(c, _)| *c != k) {
                break;
            }
        }
        Some(new)
    }

    /// The marks that make this bowing, as one edit, and the lesson with them. None if the marks
    /// there are do not let it be written.
    pub fn write(
        &self,
        lesson: &Lesson,
        analysis: &Analysis,
        bowing: &[Step],
        what: &str,
    ) -> Option<(Edit, Lesson)> {
        let mut notes: Vec<Option<Rebowed>> = (0..bowing.len())
            .map(|k| {
                let note = analysis.note(k);
                self.marks(k, note, bowing[k])
            })
            .collect();
        // A bow mark is printed where the direction does not follow by itself; each may change what
        // follows by itself elsewhere.
        for _ in 0..MOST_ROUNDS {
            let list: Vec<Rebowed> = notes.iter().flatten().cloned().collect();
            let edit = rebow(lesson, what, &list).ok()?;
            let new = edit.apply(lesson).ok()?.0;
            let line = Line::new(&new.score);
            let bowed = bowing::Bowing::new(&new.score, &line, &new.setup);
            let written = steps(&line, &bowed, new.setup.school.set_time_s);
            if written.len() != bowing.len() {
                return None;
            }
            let mut settled = true;
            let mut waits = false;
            for (k, (wanted, got)) in bowing.iter().zip(&written).enumerate() {
                let same_kind = wanted.way == got.way
                    || !wanted.way.starts() && !got.way.starts()
                    || matches!(
                        (wanted.way, got.way),
                        (Way::Retake, Way::Breath) | (Way::Breath, Way::Retake)
                    );
                waits &= wanted.way != Way::Set;
                if same_kind && wanted.direction == got.direction {
                    continue;
                }
                settled = false;
                if waits {
                    continue;
                }
                let note = &line.notes[bowed.notes[k].note];
                if wanted.way.starts() && wanted.direction != got.direction && note.bow.is_none() {
                    let joined = notes[k].as_ref().map_or(Joined::AsItIs, |note| note.joined);
                    let mark = Some(wanted.direction);
                    notes[k] = Some(Rebowed { events: note.events.clone(), joined, mark });
                    // Up to the next rest all may follow from this mark.
                    waits = true;
                }
            }
            if settled {
                return Some((edit, new));
            }
            let unchanged = notes.iter().flatten().eq(list.iter());
            if unchanged {
                return None;
            }
        }
        None
    }

    /// What must be written on one note, if anything, before directions are looked at.
    fn marks(&self, k: usize, note: &Attack, wanted: Step) -> Option<Rebowed> {
        let now = self.present[k];
        if now == wanted {
            return None;
        }
        let printed = note.bow.map(|_| wanted.direction);
        let (joined, mark) = match wanted.way {
            Way::Slur => (Joined::Slur, None),
            Way::Hook => (Joined::Hook, None),
            // Two up-bow marks that hooked it would say nothing turned round.
            Way::Joined
                if note.bow.is_some()
                    && (note.slur.is_none() || note.slur_start)
                    && note.same_bow.is_none() =>
            {
                (Joined::Hook, None)
            }
            Way::Joined => (Joined::AsItIs, note.bow.filter(|mark| *mark == wanted.direction)),
            Way::Change if now.way == Way::Change => (Joined::AsItIs, printed),
            Way::Change => (Joined::OwnBow, printed),
            Way::Retake if now.way == Way::Retake && note.retake => (Joined::AsItIs, printed),
            Way::Retake => (Joined::Retake, printed),
            Way::Set | Way::Breath => (Joined::AsItIs, printed),
        };
        Some(Rebowed { events: note.events.clone(), joined, mark })
    }
}

/// Each round prints at least one bow mark; a passage with more than this many of its own accord is
/// not written. Assumed.
const MOST_ROUNDS: usize = 200;

/// The steps of a bowed line.
fn steps(line: &Line, bowed: &bowing::Bowing, set_time_s: f64) -> Bowing {
    let breathes = |k: usize| {
        let marks = &line.notes[bowed.notes[k].note].marks;
        marks.contains(&Mark::BreathMark) || marks.contains(&Mark::Caesura)
    };
    bowed
        .notes
        .iter()
        .enumerate()
        .map(|(k, note)| {
            let way = match note.reached {
                Reached::First => Way::Set,
                Reached::SameStroke => Way::Joined,
                Reached::BowChange => Way::Change,
                Reached::Air(gap_s) if note.stolen_s <= 0.0 && gap_s > set_time_s => Way::Set,
                Reached::Air(_) if k > 0 && breathes(k - 1) => Way::Breath,
                Reached::Air(_) => Way::Retake,
            };
            Step { way, direction: note.direction }
        })
        .collect()
}

/// Whether a note may be reached this way, as far as the music goes.
fn may(way: Way, before: &Attack, note: &Attack, analysis: &Analysis, k: usize, lesson: &Lesson) -> bool {
    let school = &lesson.setup.school;
    let direct = before.end() == note.onset;
    let stroke_type = |k: usize| analysis.bowed(k).stroke_type;
    let bounced = |k: usize| {
        matches!(
            stroke_type(k),
            StrokeType::Tremolo | StrokeType::Spiccato | StrokeType::Sautille | StrokeType::Ricochet
        )
    };
    let seconds = analysis.seconds_at(before.end()) - analysis.seconds_at(before.onset);
    match way {
        // There must be time to set the bow, or nothing but the sound is lost.
        Way::Retake => seconds / 2.0 > school.set_time_s,
        // A chord is broken with a bow of its own.
        Way::Hook => direct && !bounced(k) && !bounced(k - 1) && note.notes.len() < 3,
        Way::Slur => {
            let plain = |note: &Attack| {
                note.tremolo.is_none()
                    && note.stroke.is_none()
                    && !note.marks.iter().any(|mark| {
                        mark.is_accent()
                            || matches!(
                                mark,
                                Mark::Staccato | Mark::Staccatissimo | Mark::Spiccato | Mark::Tenuto
                            )
                    })
            };
            direct && before.voice == note.voice && plain(before) && plain(note) && note.notes.len() < 3
        }
        Way::Set | Way::Breath | Way::Change | Way::Joined => true,
    }
}
