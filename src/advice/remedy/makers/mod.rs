//! What may cure a finding: the changes a teacher would think of, not yet tried.

mod places;

pub(super) use places::passage;

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::Analysis,
    bowing::{Finding, Plan, Reached, Verdict},
    lesson::Lesson,
    score::{Attack, Direction, EventId, Quarters, SameBow, cm, sentence_case},
};

use super::{
    kinds,
    places::{note_at, span},
    step::{Step, edit_of},
    trial::{Change, Trial},
};

/// At most this many places are tried for splitting one stroke. Assumed.
const MOST_SPLITS: usize = 6;
/// A new factor on the speed is rounded to this, away from the old one. Assumed.
const FACTOR_STEP: f64 = 0.05;
/// Factors of slower and faster bow worth proposing. Assumed; 3 is the return in a dotted half and
/// a quarter.
const FACTORS: (f64, f64) = (0.4, 4.0);
/// Practice tempos tried are at most this many times as fast or slow as now. Assumed.
const TEMPO_RANGE: f64 = 1.5;
/// At most this many places inside one long note are tried for a bow change. Assumed.
const MOST_INSIDE: usize = 2;
/// At most this many returns are changed as one figure. Assumed.
const MOST_RETURNS: usize = 64;

/// The candidate changes for one finding; cheap, nothing is analysed. Single changes come first,
/// then two at once. Settled bowing is left alone.
///
/// Which are tried for which kind of finding is told in the table in `remedy/kinds.rs`.
pub fn trials(lesson: &Lesson, analysis: &Analysis, finding: &Finding) -> Vec<Trial> {
    let Some(mut maker) = Maker::new(lesson, analysis, finding) else { return Vec::new() };
    for way in kinds::ways(finding) {
        way(&mut maker);
    }
    maker.found
}

pub(super) struct Maker<'a> {
    lesson: &'a Lesson,
    analysis: &'a Analysis,
    finding: &'a Finding,
    /// The bowed note the finding is on.
    piece: usize,
    /// The stroke it is on.
    stroke: usize,
    found: Vec<Trial>,
    /// Best split of the stroke, with its words, for two changes at once.
    split: Option<(Step, String)>,
}

impl<'a> Maker<'a> {
    fn new(lesson: &'a Lesson, analysis: &'a Analysis, finding: &'a Finding) -> Option<Self> {
        let bowed = analysis.bowed_of_event(finding.event)?;
        let stroke = analysis.stroke_of(bowed);
        Some(Self { lesson, analysis, finding, piece: bowed, stroke, found: Vec::new(), split: None })
    }

    fn push(&mut self, change: Change, words: impl Into<String>, steps: &[Step]) {
        self.keep(change, None, words.into(), steps);
    }

    fn push_both(&mut self, (change, and): (Change, Change), words: String, steps: &[Step]) {
        self.keep(change, Some(and), words, steps);
    }

    /// Keeps a candidate if it can be made and leaves settled bowing alone.
    fn keep(&mut self, change: Change, and: Option<Change>, words: String, steps: &[Step]) {
        let settled = |step: &Step| step.touches().iter().any(|id| self.lesson.kept.contains(id));
        if steps.iter().any(settled) {
            return;
        }
        if let Some(edit) = edit_of(self.lesson, &words, steps) {
            self.found.push(Trial { change, and, words, edit, everywhere: false, steps: steps.to_vec() });
        }
    }

    fn note(&self, bowed: usize) -> &'a Attack {
        self.analysis.note(bowed)
    }

    fn notes(&self, stroke: usize) -> Range<usize> {
        self.analysis.stroke(stroke).notes.clone()
    }

    fn direction(&self, stroke: usize) -> Direction {
        self.analysis.stroke(stroke).direction
    }

    /// "bar 8, beat 3" of a bowed note.
    fn at(&self, bowed: usize) -> String {
        self.lesson.score.place(self.note(bowed).onset).short()
    }

    /// The next stroke, where no rest or lift lies before it.
    fn next(&self) -> Option<usize> {
        Some(self.stroke + 1).filter(|&next| self.stays(next))
    }

    fn stays(&self, stroke: usize) -> bool {
        self.analysis.bowing.strokes.get(stroke).is_some_and(|stroke| !stroke.lift_before)
    }

    /// First stroke since the last lift before the finding, or since it was last set to a place.
    fn chain_start(&self) -> usize {
        (0..=self.stroke).rev().find(|&stroke| !self.stays(stroke)).unwrap_or(0)
    }

    /// Where the path as marked last met the plan before it runs out in this stroke.
    fn met(&self) -> usize {
        let notes = self.notes(self.stroke);
        let run_out = self.analysis.plan.marked.run_outs.iter().find(|spot| notes.contains(&spot.piece));
        let since = run_out.and_then(|spot| spot.drift).map(|drift| drift.since);
        let chain = self.chain_start();
        since.map_or(chain, |since| self.analysis.stroke_of(since).max(chain))
    }

    /// Wanted and planned hair of a stroke, mm.
    fn hair(&self, stroke: usize) -> (f64, f64) {
        let solution = &self.analysis.plan.solution;
        self.notes(stroke).fold((0.0, 0.0), |(wanted, planned), k| {
            let used = (solution.end_mm[k] - solution.start_mm[k]).abs();
            (wanted + self.analysis.piece(k).wanted_mm, planned + used)
        })
    }

    pub(super) fn splits(&mut self) {
        let notes = self.notes(self.stroke);
        if notes.len() < 2 {
            return;
        }
        let inner: Vec<usize> =
            (notes.start + 1..notes.end).filter(|&k| self.note(k).grace.is_none()).collect();
        let seconds = |k: usize| self.analysis.bowed(k).onset_s;
        let last = self.note(notes.end - 1);
        let span = (seconds(notes.start), self.analysis.seconds_at(last.end()));
        let nearest = |share: f64| {
            let wanted = span.0 + (span.1 - span.0) * share;
            inner
                .iter()
                .copied()
                .min_by(|&a, &b| (seconds(a) - wanted).abs().total_cmp(&(seconds(b) - wanted).abs()))
        };
        let bars = &self.lesson.score.bars;
        let on_bar =
            |k: &usize| bars.get(self.note(*k).bar).is_some_and(|bar| bar.start == self.note(*k).onset);
        let on_beat = |k: &usize| {
            let beat = self.lesson.score.beat_at(self.note(*k).onset).map(|(_, beat)| beat);
            beat.is_some_and(|beat| beat.denom() == 1)
        };
        // The last note that starts before the hair ends.
        let in_time = inner.iter().copied().rev().find(|&k| self.note(k).onset <= self.finding.at);
        let middle = nearest(0.5);
        let mut places: Vec<usize> = middle.into_iter().chain(in_time).collect();
        places.extend(inner.iter().copied().filter(on_bar));
        places.extend(inner.iter().copied().filter(on_beat));
        places.extend(inner.iter().copied());
        let mut seen = BTreeSet::new();
        places.retain(|k| seen.insert(*k));
        places.truncate(MOST_SPLITS);
        let slurred = self.note(notes.start + 1).slur.is_some();
        let what = if slurred { "Split the slur" } else { "Take a new bow" };
        for (index, &k) in places.iter().enumerate() {
            let words = format!("{what} before {}", self.at(k));
            let step = Step::NewBow(self.note(k).id());
            if index == 0 {
                self.split = Some((step.clone(), words.clone()));
            }
            self.push(Change::Split, words, &[step]);
        }
        // Three bows in the place of one leave the directions after them as they are.
        if let (Some(a), Some(b)) = (nearest(1.0 / 3.0), nearest(2.0 / 3.0))
            && a != b
        {
            let words = format!("{what} in three, before {} and {}", self.at(a), self.at(b));
            let steps = [Step::NewBow(self.note(a).id()), Step::NewBow(self.note(b).id())];
            self.push(Change::Split, words, &steps);
        }
    }

    /// The bow changed inside a note, once or twice: at ties it is written with, else on beats. Twice
    /// leaves the directions after it as they are.
    pub(super) fn changes_in_a_note(&mut self) {
        for k in self.notes(self.stroke) {
            let note = self.note(k);
            let onset = |id: &EventId| self.lesson.score.event(*id).map(|event| event.onset);
            let mut places: Vec<(Quarters, Vec<Step>)> = note
                .events
                .iter()
                .filter_map(|id| Some((onset(id)?, vec![Step::Untie(*id), Step::NewBow(*id)])))
                .collect();
            places.retain(|(at, _)| *at > note.onset);
            places.sort_by_key(|(at, _)| *at);
            places.dedup_by_key(|(at, _)| *at);
            let tied = !places.is_empty();
            // In a slur the place for another bow is between its notes.
            if !tied && self.notes(self.stroke).len() == 1 {
                let beats = self.beats_inside(note);
                places.extend(beats.into_iter().map(|at| (at, vec![Step::Inside(note.id(), at)])));
            }
            let length = (note.end() - note.onset).to_f64();
            let nearest = |share: f64| {
                let off = |at: Quarters| ((at - note.onset).to_f64() - share * length).abs();
                let mut order: Vec<usize> = (0..places.len()).collect();
                order.sort_by(|&a, &b| off(places[a].0).total_cmp(&off(places[b].0)));
                order
            };
            let at = |place: usize| self.lesson.score.place(places[place].0).short();
            for place in nearest(0.5).into_iter().take(MOST_INSIDE) {
                let words = match tied {
                    true => format!("Change bow at the tie into {}", at(place)),
                    false => format!("Change bow inside the note, on {}", at(place)),
                };
                self.push(Change::Inside, words, &places[place].1);
            }
            if let (Some(&first), Some(&second)) = (nearest(1.0 / 3.0).first(), nearest(2.0 / 3.0).first())
                && first != second
            {
                let words = match tied {
                    true => format!("Change bow at the ties into {} and {}", at(first), at(second)),
                    false => format!("Change bow twice inside the note, on {} and {}", at(first), at(second)),
                };
                // The later one first: cutting a note leaves its first part its identity.
                self.push(Change::Inside, words, &[&places[second].1[..], &places[first].1].concat());
            }
        }
    }

    /// The beats on which a note goes on sounding.
    fn beats_inside(&self, note: &Attack) -> Vec<Quarters> {
        let score = &self.lesson.score;
        let bars = score.bars.iter().filter(|bar| bar.end() > note.onset && bar.start < note.end());
        bars.flat_map(|bar| {
            let beats = (0..).map(|k| bar.start + bar.time.beat() * Quarters::from(k));
            beats.take_while(|at| *at < bar.end())
        })
        .filter(|at| *at > note.onset && *at < note.end())
        .collect()
    }

    /// Two strokes in one bow: this one with its neighbours, and the one before with its own.
    pub(super) fn joins(&mut self) {
        let seams: Vec<usize> = [Some(self.stroke), self.next(), self.stroke.checked_sub(1)]
            .into_iter()
            .flatten()
            .filter(|&stroke| stroke > 0 && self.stays(stroke))
            .collect();
        for stroke in seams {
            let (before, here) = (self.notes(stroke - 1), self.notes(stroke));
            let (from, first, to) = (self.note(before.start), self.note(here.start), self.note(here.end - 1));
            let at = note_at(&self.lesson.score, first.onset);
            for (change, how) in [(Change::Hook, SameBow::Hooked), (Change::Portato, SameBow::Portato)] {
                let words = match how {
                    SameBow::Hooked => format!("Hook {at} to the one before it"),
                    SameBow::Portato => format!("Portato: {at} in the same bow as the one before it"),
                };
                self.push(change, words, &[Step::Join(first.id(), how)]);
            }
            let words = format!("One slur {}", span(&self.lesson.score, from.onset, to.onset));
            self.push(Change::Slur, words, &[Step::Slur(from.id(), to.id())]);
        }
    }

    /// No lift before the stroke: the sign goes, or the bow mark that asks for it.
    pub(super) fn no_retake(&mut self) {
        let start = self.notes(self.stroke).start;
        let first = self.note(start);
        if first.retake {
            let words = format!("No retake before {}", self.at(start));
            self.push(Change::NoRetake, words, &[Step::NoRetake(first.id())]);
        } else if first.bow.is_some() && matches!(self.analysis.bowed(start).reached, Reached::Air(_)) {
            let words = format!("No bow mark at {}: play on without a lift", self.at(start));
            self.push(Change::NoRetake, words, &[Step::NoMark(first.id())]);
        }
    }

    /// A lift before the stroke, before the one after it, before one of its later notes.
    pub(super) fn retakes(&mut self) {
        let here = self.notes(self.stroke);
        let mut places = vec![(here.start, self.direction(self.stroke))];
        places.extend(self.stroke.checked_sub(1).map(|s| (self.notes(s).start, self.direction(s))));
        places.extend(self.next().map(|s| (self.notes(s).start, self.direction(s))));
        let late = here.clone().skip(1).rev().find(|&k| self.note(k).onset <= self.finding.at);
        places.extend(late.map(|k| (k, self.direction(self.stroke))));
        for (k, direction) in places {
            let (change, what) = match self.analysis.bowed(k).reached {
                Reached::First | Reached::Air(_) => continue,
                Reached::BowChange => (Change::Retake, "Retake before"),
                Reached::SameStroke => (Change::RetakeInside, "End this bow and lift before"),
            };
            for direction in [direction, direction.turned()] {
                let words = format!("{what} {}, {}", self.at(k), direction.bow_word());
                self.push(change, words, &[Step::Retake(self.note(k).id(), direction)]);
            }
        }
    }

    /// Chords one after the other, each on a down-bow.
    pub(super) fn chords_down(&mut self) {
        let chord = |stroke: usize| {
            let notes = self.notes(stroke);
            notes.len() == 1 && self.note(notes.start).notes.len() > 2
        };
        let follows = |stroke: usize| chord(stroke) && self.stays(stroke);
        let first = (0..=self.stroke).rev().find(|&stroke| !follows(stroke)).unwrap_or(0);
        let first = if chord(first) { first } else { first + 1 };
        let last = (self.stroke + 1..self.analysis.bowing.strokes.len()).find(|&stroke| !follows(stroke));
        let last = last.unwrap_or(self.analysis.bowing.strokes.len());
        if last < first + 2 {
            return;
        }
        let id = |stroke: usize| self.note(self.notes(stroke).start).id();
        let steps: Vec<Step> =
            (first..last).map(|stroke| Step::Retake(id(stroke), Direction::Down)).collect();
        let from = note_at(&self.lesson.score, self.note(self.notes(first).start).onset);
        let words = format!("{} chords down-bow one after the other, from {from}", last - first);
        self.push(Change::Retake, words, &steps);
    }

    /// The bowing turned round from the lift before the stroke, or from the stroke itself.
    pub(super) fn turns(&mut self) {
        for stroke in BTreeSet::from([self.chain_start(), self.stroke]) {
            let start = self.notes(stroke).start;
            let direction = self.direction(stroke);
            let words =
                format!("Turn the bowing round: {} at {}", direction.turned().bow_word(), self.at(start));
            self.push(Change::Turn, words, &[Step::Turn(self.note(start).id(), direction)]);
        }
    }

    /// Another starting place, the planned place as a checkpoint, pins set free.
    pub(super) fn places(&mut self) {
        let Plan { solution, problem, marked, .. } = &*self.analysis.plan;
        let first = self.notes(self.stroke).start;
        let start = self.notes(self.met()).start;
        let share = |mm: f64| (mm / problem.hair_mm).clamp(0.0, 1.0);
        // Back from the end at which the hair is missing.
        let toward_frog = self.direction(self.stroke) == Direction::Down;
        let shift = if toward_frog { -self.finding.short_mm } else { self.finding.short_mm };
        let (lo, hi) = solution.corridor_start[start];
        let other = (marked.start_mm[start] + shift).clamp(lo, hi);
        if self.finding.short_mm > 0.0 && (other - marked.start_mm[start]).abs() > 1.0 {
            let end = if toward_frog { "frog" } else { "tip" };
            let words = format!("Start {} nearer the {end}: {} from the frog", self.at(start), cm(other));
            self.push(Change::Start, words, &[Step::Place(self.note(start).id(), Some(share(other)))]);
        }
        let planned = solution.start_mm[first];
        let words = format!("Be {} from the frog at {}", cm(planned), self.at(first));
        if !self.pinned().contains(&first) {
            self.push(Change::Place, words, &[Step::Place(self.note(first).id(), Some(share(planned)))]);
        }
        self.free_places();
    }

    /// Bowed notes with a fixed place: every pin is a place of the start of a piece.
    fn pinned(&self) -> BTreeSet<usize> {
        self.analysis.plan.problem.pins.iter().map(|pin| pin.piece).collect()
    }

    /// Pins set free: those on this stroke, the nearest before it and after it.
    pub(super) fn free_places(&mut self) {
        let first = self.notes(self.stroke).start;
        let pinned = self.pinned();
        let last = self.notes(self.stroke).end;
        let nearest = pinned.range(..first).next_back().into_iter().chain(pinned.range(last..).next());
        let pins: Vec<usize> = pinned.range(first..last).chain(nearest).copied().collect();
        for k in pins {
            let words = format!("Free the place fixed at {}", self.at(k));
            self.push(Change::FreePlace, words, &[Step::Place(self.note(k).id(), None)]);
        }
    }

    /// A slower or faster bow in this stroke.
    pub(super) fn speeds(&mut self) {
        let (wanted, planned) = self.hair(self.stroke);
        let at = self.at(self.notes(self.stroke).start);
        let ids = self.ids(self.stroke);
        let runs_out = self.finding.verdict <= Verdict::RunsOut;
        let factor = if runs_out { (wanted - self.finding.short_mm) / wanted } else { planned / wanted };
        self.push_speed(factor, &at, ids);
    }

    fn ids(&self, stroke: usize) -> Vec<EventId> {
        self.notes(stroke).map(|k| self.note(k).id()).collect()
    }

    fn push_speed(&mut self, factor: f64, at: &str, ids: Vec<EventId>) {
        if !factor.is_finite() || (factor - 1.0).abs() < 0.02 {
            return;
        }
        let steps = factor / FACTOR_STEP;
        let factor = if factor < 1.0 { steps.floor() } else { steps.ceil() } * FACTOR_STEP;
        if (FACTORS.0..=FACTORS.1).contains(&factor) {
            let (change, what) =
                if factor < 1.0 { (Change::SaveBow, "Save") } else { (Change::SpendBow, "Spend") };
            let words = format!("{what} bow at {at}: {} times the speed", two_places(factor));
            self.push(change, words, &[Step::Speed(ids, factor)]);
        }
    }

    /// Since the path last met the plan: the returns lighter and faster, or in one bow with the
    /// long strokes; the long strokes slower.
    pub(super) fn returns(&mut self) {
        let missing = self.finding.short_mm;
        let since = self.met();
        if self.finding.verdict > Verdict::RunsOut || missing <= 0.0 || since >= self.stroke {
            return;
        }
        let away = self.direction(self.stroke);
        let strokes: Vec<usize> = (since..self.stroke).collect();
        let returns: Vec<usize> = strokes.iter().copied().filter(|&s| self.direction(s) != away).collect();
        if returns.is_empty() || returns.len() > MOST_RETURNS {
            return;
        }
        let wanted = |list: &[usize]| list.iter().map(|&s| self.hair(s).0).sum::<f64>();
        let back = wanted(&returns);
        let outward: Vec<usize> = strokes.iter().copied().filter(|&s| self.direction(s) == away).collect();
        let out = wanted(&outward);
        let many = returns.len() > 1;
        let first = self.at(self.notes(returns[0]).start);
        let ids: Vec<EventId> = returns.iter().flat_map(|&s| self.ids(s)).collect();
        // Just what is missing, or all the way back: the speeds are then as the times.
        for factor in [(back + missing) / back, out / back] {
            let factor = (factor / FACTOR_STEP).ceil() * FACTOR_STEP;
            if factor > 1.0 && factor <= FACTORS.1 {
                let what = if many { "Light, fast bows back, from" } else { "A light, fast bow back at" };
                let words = format!("{what} {first}: {} times the speed", two_places(factor));
                self.push(Change::Return, words, &[Step::Speed(ids.clone(), factor)]);
            }
        }
        if many {
            let joined: Vec<usize> =
                returns.iter().copied().filter(|&s| s > since && self.stays(s)).collect();
            let steps: Vec<Step> = joined
                .iter()
                .map(|&s| Step::Join(self.note(self.notes(s).start).id(), SameBow::Hooked))
                .collect();
            let words = match joined.len() {
                1 => format!("Hook the return at {}", self.at(self.notes(joined[0]).start)),
                count => format!("Hook the {count} short bows back, from {first} on"),
            };
            self.push(Change::Hook, words, &steps);
        }
        let all = out + self.hair(self.stroke).0;
        let factor = ((all - missing) / all / FACTOR_STEP).floor() * FACTOR_STEP;
        if !outward.is_empty() && factor >= FACTORS.0 {
            let ids = outward.iter().chain([&self.stroke]).flat_map(|&s| self.ids(s)).collect();
            let words = format!(
                "Save bow from {} on: {} times the speed in the {}s",
                self.at(self.notes(outward[0]).start),
                two_places(factor),
                away.bow_word()
            );
            self.push(Change::SaveBow, words, &[Step::Speed(ids, factor)]);
        }
    }

    /// From the start of the stroke to the end of its last note.
    fn span(&self) -> (Quarters, Quarters) {
        let notes = self.notes(self.stroke);
        (self.note(notes.start).onset, self.note(notes.end - 1).end())
    }

    /// One dynamic step less here, or one more where the bow has to be spent.
    pub(super) fn dynamics(&mut self) {
        let (from, until) = self.span();
        let (wanted, planned) = self.hair(self.stroke);
        let at = self.lesson.score.place(from).short();
        if self.finding.verdict <= Verdict::RunsOut || planned < wanted {
            self.push(Change::Softer, format!("A little softer at {at}"), &[Step::Louder(-1, from, until)]);
        } else if planned > wanted {
            self.push(Change::Louder, format!("A little louder at {at}"), &[Step::Louder(1, from, until)]);
        }
    }

    /// Another practice tempo.
    pub(super) fn tempos(&mut self) {
        if self.finding.verdict < Verdict::Notice {
            self.tempo(true);
            self.tempo(false);
        }
    }

    /// How much of it is needed shows when it is tried.
    fn tempo(&mut self, faster: bool) {
        let now = self.lesson.setup.tempo_share;
        if faster {
            self.push(Change::Tempo, "Take it faster", &[Step::Tempo(now * TEMPO_RANGE)]);
        } else {
            self.push(Change::Tempo, "Take it slower", &[Step::Tempo(now / TEMPO_RANGE)]);
        }
    }

    /// Two changes at once, where one may not be enough.
    pub(super) fn doubles(&mut self) {
        let (from, until) = self.span();
        let direction = self.direction(self.stroke);
        let start = self.notes(self.stroke).start;
        let (here, first) = (self.at(start), self.note(start).id());
        let softer = (Step::Louder(-1, from, until), "a little softer".to_owned());
        let stays = self.stroke > 0 && self.stays(self.stroke);
        let retake = (Step::Retake(first, direction), format!("retake before {here}"));
        if let Some((split, words)) = self.split.clone() {
            let mut seconds = vec![(Change::Softer, softer.clone())];
            // With all of the hair ahead.
            let (lo, hi) = self.analysis.plan.solution.corridor_start[start];
            let hair = self.analysis.plan.problem.hair_mm.max(1.0);
            let (mm, end) = if direction == Direction::Down { (lo, "frog") } else { (hi, "tip") };
            if !self.pinned().contains(&start) {
                let place = Step::Place(first, Some((mm / hair).clamp(0.0, 1.0)));
                seconds.insert(0, (Change::Place, (place, format!("be at the {end} at {here}"))));
            }
            // The bow after the stroke keeps its direction.
            if let Some(next) = self.next() {
                let start = self.notes(next).start;
                let (at, id) = (self.at(start), self.note(start).id());
                let again = (Step::Retake(id, self.direction(next)), format!("retake before {at}"));
                let what = note_at(&self.lesson.score, self.note(start).onset);
                let hook = (Step::Join(id, SameBow::Hooked), format!("hook {what} to the one before it"));
                seconds.extend([(Change::Retake, again), (Change::Hook, hook)]);
            }
            if stays {
                seconds.push((Change::Retake, retake.clone()));
            }
            for (and, (step, more)) in seconds {
                self.push_both((Change::Split, and), format!("{words}, and {more}"), &[split.clone(), step]);
            }
        }
        // As much as there is hair, from the end of the bow.
        let (lo, hi) = self.analysis.plan.problem.usable;
        let factor = ((hi - lo) / self.hair(self.stroke).0 / FACTOR_STEP).floor() * FACTOR_STEP;
        if stays && (FACTORS.0..1.0).contains(&factor) {
            let words = format!("Retake before {here}, and save bow: {} times the speed", two_places(factor));
            let save = Step::Speed(self.ids(self.stroke), factor);
            self.push_both((Change::Retake, Change::SaveBow), words, &[retake.0.clone(), save]);
        }
        let (change, (step, words)) = if stays {
            (Change::Retake, retake)
        } else {
            let turned = direction.turned().bow_word();
            (
                Change::Turn,
                (Step::Turn(first, direction), format!("turn the bowing round: {turned} at {here}")),
            )
        };
        let words = format!("{}, and {}", sentence_case(&words), softer.1);
        self.push_both((change, Change::Softer), words, &[step, softer.0]);
    }
}

/// A factor with two places, without a last zero: "0.8", "1.25".
fn two_places(factor: f64) -> String {
    let text = format!("{factor:.2}");
    text.strip_suffix('0').map_or(text.clone(), str::to_owned)
}
