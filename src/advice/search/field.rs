//! The bowings to choose from: for every bowed note, how it may be linked to the one before it.

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::Study,
    bowing::{Bowing, Finding, Piece, Reached, Verdict},
    score::{Attack, Direction, EventId, Line, Mark, StrokeType},
};

use super::{
    ask::Freedom,
    choice::{Choice, Choices, Link},
};

/// The bowings a search may choose from.
#[derive(Clone, Debug)]
pub struct Field {
    study: Study,
    present: Choices,
    options: Vec<Vec<Link>>,
    /// Notes that may be bowed anew.
    chosen: Vec<bool>,
    /// Notes that keep their direction.
    fixed: Vec<bool>,
    /// Retakes that turn the bow round as well, by a printed mark.
    turning: Vec<bool>,
    /// Retakes that come from two equal printed marks alone, and hold only after a down-bow.
    by_marks: Vec<bool>,
}

impl Field {
    /// What may be chosen for these events (`None`: all) of a lesson.
    ///
    /// Settled notes, grace notes and all notes outside keep how they are joined. They keep their direction
    /// too, but for those on the string with the chosen ones, back to the rest before them and on to the
    /// next: where no mark stands on these they turn with the chosen notes.
    pub fn new(study: &Study, events: Option<&BTreeSet<EventId>>, freedom: Freedom) -> Self {
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let present = choices_of(&analysis.line, &analysis.bowing, lesson.setup.school.set_time_s);
        let kept = |k: usize| analysis.note(k).events.iter().any(|id| lesson.kept.contains(id));
        let outside = |k: usize| {
            events.is_some_and(|events| analysis.note(k).events.iter().any(|id| !events.contains(id)))
        };
        let chosen: Vec<bool> = (0..present.len()).map(|k| !kept(k) && !outside(k)).collect();
        let fixed = fixed(&present, &chosen, &|k| kept(k) || analysis.note(k).bow.is_some());
        let mut field = Self {
            options: Vec::with_capacity(present.len()),
            turning: Vec::with_capacity(present.len()),
            by_marks: Vec::with_capacity(present.len()),
            present,
            chosen,
            fixed,
            study: study.clone(),
        };
        for (k, choice) in field.present.iter().enumerate() {
            let note = analysis.note(k);
            let before = k.checked_sub(1).map(|b| analysis.note(b));
            let chosen = field.chosen[k];
            // How the bow goes on behind the chosen notes is open as long as it is not joined to them.
            let seam = !chosen && !kept(k) && k.checked_sub(1).is_some_and(|before| field.chosen[before]);
            let graced = note.grace.is_some() || before.is_some_and(|before| before.grace.is_some());
            let fits = |link: &Link| before.is_some_and(|b| may(*link, study, k, (b, note)));
            let mut options = vec![choice.link];
            if (chosen || seam && choice.link != Link::Joined) && !graced {
                let joined = choice.link == Link::Joined && !is_unwritten_hook(note);
                // No slur reaches out of the chosen notes.
                let within = chosen && k.checked_sub(1).is_some_and(|before| field.chosen[before]);
                let more: &[Link] = match (choice.link, freedom) {
                    (Link::Set | Link::Breath, _) => &[],
                    (_, Freedom::Directions) if joined => &[],
                    (_, Freedom::Splits) if joined && !too_long(study, k) => &[],
                    (Link::Joined, _) | (_, Freedom::Directions) => &[Link::Change, Link::Retake],
                    (_, Freedom::Free) if within => &[Link::Change, Link::Retake, Link::Hook, Link::Slur],
                    (_, Freedom::Splits | Freedom::Free) => &[Link::Change, Link::Retake, Link::Hook],
                };
                options.extend(more.iter().filter(|link| **link != choice.link && fits(link)));
            }
            let prior = k.checked_sub(1).map(|before| field.present[before].direction);
            let retaken = choice.link == Link::Retake;
            field.turning.push(retaken && prior.is_some_and(|prior| prior != choice.direction));
            field.by_marks.push(retaken && !note.retake);
            field.options.push(options);
        }
        field
    }

    /// The lesson as it is.
    pub fn study(&self) -> &Study {
        &self.study
    }

    /// The bowing as it is.
    pub fn present(&self) -> &[Choice] {
        &self.present
    }

    /// Nothing may be changed.
    pub fn is_settled(&self) -> bool {
        (0..self.present.len())
            .all(|k| self.fixed[k] || (self.options[k].len() == 1 && !self.present[k].link.is_open()))
    }

    /// The first note that may be bowed anew.
    pub(super) fn first_chosen(&self) -> Option<usize> {
        self.chosen_notes().next()
    }

    /// The notes that may be bowed anew.
    pub(super) fn chosen_notes(&self) -> impl DoubleEndedIterator<Item = usize> {
        self.chosen.iter().enumerate().filter_map(|(k, chosen)| chosen.then_some(k))
    }

    /// A note may be bowed anew.
    pub(super) fn is_chosen(&self, k: usize) -> bool {
        self.chosen[k]
    }

    /// A note is in the bow of the note before it by a hook that no mark asks for.
    pub(super) fn is_hooked_unasked(&self, k: usize) -> bool {
        self.present[k].link == Link::Joined && is_unwritten_hook(self.study.analysis().note(k))
    }

    /// The first note behind the chosen ones.
    pub(super) fn behind_chosen(&self) -> Option<usize> {
        let last = self.chosen_notes().next_back()?;
        (last + 1 < self.chosen.len()).then_some(last + 1)
    }

    fn is_retaken(&self, k: usize) -> bool {
        self.present[k].link == Link::Retake
    }

    /// The links open to a note.
    pub fn links(&self, k: usize) -> &[Link] {
        &self.options[k]
    }

    /// A note may have this direction: any, unless it must keep its own.
    pub fn allows(&self, k: usize, direction: Direction) -> bool {
        !self.fixed[k] || direction == self.present[k].direction
    }

    /// The directions a note may have when it is linked so, `before` being the direction of
    /// the note before it.
    pub fn directions(
        &self,
        k: usize,
        link: Link,
        before: Option<Direction>,
    ) -> impl Iterator<Item = Direction> {
        let all = match (link, before) {
            (Link::Set | Link::Breath, _) | (_, None) => [Some(Direction::Down), Some(Direction::Up)],
            (Link::Change, Some(before)) => [Some(before.turned()), None],
            (Link::Retake, Some(before)) if self.turning[k] => [Some(before), Some(before.turned())],
            (Link::Retake, Some(_)) if self.fixed[k] && self.is_retaken(k) && !self.by_marks[k] => {
                [Some(self.present[k].direction), None]
            }
            (Link::Retake | Link::Joined | Link::Slur | Link::Hook, Some(before)) => [Some(before), None],
        };
        all.into_iter().flatten().filter(move |direction| self.allows(k, *direction))
    }

    /// The choices open to a note, `before` being the direction of the note before it.
    pub fn choices(&self, k: usize, before: Option<Direction>) -> impl Iterator<Item = Choice> {
        self.links(k).iter().flat_map(move |&link| {
            self.directions(k, link, before).map(move |direction| Choice { link, direction })
        })
    }

    /// The bowing with other choices at some notes, the directions behind them following on; none if
    /// they cannot follow on.
    pub fn changed(&self, bowing: &[Choice], changes: &[(usize, Choice)]) -> Option<Choices> {
        let mut new = bowing.to_vec();
        let first = changes.iter().map(|(k, _)| *k).min()?;
        for (k, choice) in changes {
            *new.get_mut(*k)? = *choice;
        }
        for k in first..new.len() {
            let before = k.checked_sub(1).map(|before| new[before].direction);
            let wanted = new[k].direction;
            let mut open = self.directions(k, new[k].link, before);
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
}

/// Notes outside the chosen ones turn with them within so many strokes. Assumed: whoever bows a passage
/// turns the bow in the rest before it, not on another page.
const TURNS: usize = 16;

/// Which notes keep their direction: those outside the chosen ones, but for the strokes on the string with
/// them, unless one of these is held by a mark or settled, or they are too many.
fn fixed(present: &[Choice], chosen: &[bool], held: &dyn Fn(usize) -> bool) -> Vec<bool> {
    let mut fixed: Vec<bool> = chosen.iter().map(|chosen| !chosen).collect();
    let open = |k: &usize| present[*k].link.is_open();
    let turns = |run: &Range<usize>| {
        let strokes = run.clone().filter(|&k| present[k].link.starts()).count();
        strokes <= TURNS && !run.clone().any(held)
    };
    for k in (0..present.len()).filter(|&k| chosen[k]) {
        let begins = (k == 0 || !chosen[k - 1]) && !open(&k);
        let before = begins.then(|| (0..k).rev().find(open)).flatten().map(|rest| rest..k);
        let ends = k + 1 == present.len() || !chosen[k + 1];
        let behind = ends.then(|| k + 1..(k + 1..present.len()).find(open).unwrap_or(present.len()));
        for run in before.into_iter().chain(behind).filter(turns) {
            fixed[run].fill(false);
        }
    }
    fixed
}

/// The choices of a bowed line.
pub(super) fn choices_of(line: &Line, bowing: &Bowing, set_time_s: f64) -> Choices {
    let breathes = |k: usize| {
        let marks = &line.notes[bowing.notes[k].note].marks;
        marks.contains(&Mark::BreathMark) || marks.contains(&Mark::Caesura)
    };
    let trembles = |k: usize| line.notes[bowing.notes[k].note].tremolo.is_some();
    bowing
        .notes
        .iter()
        .enumerate()
        .map(|(k, note)| {
            let link = match note.reached {
                Reached::First => Link::Set,
                Reached::SameStroke => Link::Joined,
                // After a tremolo either direction is free.
                Reached::BowChange if k > 0 && trembles(k - 1) => Link::Breath,
                Reached::BowChange => Link::Change,
                Reached::Air(gap_s) if note.stolen_s <= 0.0 && gap_s > set_time_s => Link::Set,
                Reached::Air(_) if k > 0 && breathes(k - 1) => Link::Breath,
                Reached::Air(_) => Link::Retake,
            };
            Choice { link, direction: note.direction }
        })
        .collect()
}

/// Whether a note may be linked so to the one before it, as far as the music goes.
fn may(link: Link, study: &Study, k: usize, (before, note): (&Attack, &Attack)) -> bool {
    let analysis = study.analysis();
    // Into an ending more than one bar leads.
    let bars = &study.lesson().score.bars;
    let ending = |note: &Attack| bars.get(note.bar).and_then(|bar| bar.ending.as_ref());
    let direct = before.end() == note.onset && ending(before) == ending(note);
    let bounced = |k: usize| bounces(analysis.bowed(k).stroke_type);
    let seconds = analysis.seconds_at(before.end()) - analysis.seconds_at(before.onset);
    match link {
        // There must be time to set the bow, or nothing but the sound is lost.
        Link::Retake => seconds / 2.0 > study.lesson().setup.school.set_time_s,
        // A chord is broken with a bow of its own, and an accent is struck with one.
        Link::Hook => {
            let accented = note.marks.iter().any(|mark| mark.is_accent());
            direct && !bounced(k) && !bounced(k - 1) && note.notes.len() < 3 && !accented
        }
        Link::Slur => {
            direct && before.voice == note.voice && is_plain(before) && is_plain(note) && note.notes.len() < 3
        }
        Link::Set | Link::Breath | Link::Change | Link::Joined => true,
    }
}

/// The bow goes back and forth on one note, or bounces of itself: no other note can be hooked to it. Two
/// short notes off the string in one direction are a common bowing.
fn bounces(stroke: StrokeType) -> bool {
    match stroke {
        StrokeType::Tremolo | StrokeType::Sautille | StrokeType::Ricochet => true,
        StrokeType::Detache
        | StrokeType::Legato
        | StrokeType::Portato
        | StrokeType::SlurredStaccato
        | StrokeType::Martele
        | StrokeType::Spiccato
        | StrokeType::Lifted
        | StrokeType::Colle => false,
    }
}

/// In the bow of the note before it by a hook that no mark asks for: it came of the directions alone, and goes
/// with them.
fn is_unwritten_hook(note: &Attack) -> bool {
    note.bow.is_none() && note.same_bow.is_none() && (note.slur.is_none() || note.slur_start)
}

/// The bow that a note lies in wants more hair than there is, or does not suffice as marked.
fn too_long(study: &Study, k: usize) -> bool {
    let analysis = study.analysis();
    let problem = &analysis.plan.problem;
    let stroke = analysis.stroke_of(k);
    let notes = analysis.stroke(stroke).notes.clone();
    let wanted: f64 = problem.pieces[notes].iter().map(Piece::wanted_travel_mm).sum();
    let fails = analysis.findings.told.iter().filter(|finding| finding.verdict <= Verdict::RunsOut);
    let mut failing = fails.flat_map(Finding::events).filter_map(|event| analysis.stroke_of_event(event));
    wanted > problem.usable.1 - problem.usable.0 || failing.any(|failing| failing == stroke)
}

/// Nothing on the note asks for a stroke of its own.
fn is_plain(note: &Attack) -> bool {
    let apart = |mark: &Mark| {
        mark.is_accent()
            || matches!(mark, Mark::Staccato | Mark::Staccatissimo | Mark::Spiccato | Mark::Tenuto)
    };
    note.tremolo.is_none() && note.stroke.is_none() && !note.marks.iter().any(apart)
}
