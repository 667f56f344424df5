//! The best bowings by one taste, stroke by stroke.

use std::collections::BTreeSet;

use crate::{
    bowing::{Eager, Lean, Problem, Verdict, heard_bend, heard_short},
    score::Direction,
    setup::Setup,
};

use super::{
    super::{
        super::standing::{HAIRPIN, UNMARKED, told_weight},
        choice::{Choice, Choices, Link},
        field::Field,
    },
    label::{BIN_MM, Column, Label},
    note::{Note, hairpins, notes},
    stroke::{Run, Starts, Stroke},
    taste::Taste,
};

/// Ratios of the wanted hair that are tried. Assumed.
const RATIOS: [f64; 9] = [0.45, 0.6, 0.75, 0.87, 1.0, 1.15, 1.35, 1.65, 2.2];
/// Most notes newly joined in one bow. Assumed.
const MOST_JOINED: usize = 16;

/// Searches for bowings. Shared by all tastes.
pub(in super::super) struct Paths<'a> {
    field: &'a Field,
    problem: &'a Problem,
    setup: &'a Setup,
    notes: Vec<Note>,
    /// Hairpins as (first note, last note, opens).
    hairpins: Vec<(usize, usize, bool)>,
    tight_ratio: f64,
    /// Labels kept of those that compete, and at one note in all.
    keep: usize,
    beam: usize,
}

impl<'a> Paths<'a> {
    pub fn new(field: &'a Field) -> Self {
        let study = field.study();
        let notes = notes(study);
        // More where there is time for it. Assumed.
        let (keep, beam) = if notes.len() <= 40 { (12, 240) } else { (6, 120) };
        Self {
            field,
            problem: &study.analysis().plan.problem,
            setup: &study.lesson().setup,
            hairpins: hairpins(study),
            tight_ratio: study.lesson().setup.school.tight_ratio,
            keep,
            beam,
            notes,
        }
    }

    /// The notes as the search reads them.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// The best bowings in the eyes of this taste, the best first. `None` when told to stop.
    pub fn find(
        &self,
        taste: &Taste,
        most: usize,
        go_on: &mut dyn FnMut(f64) -> bool,
    ) -> Option<Vec<Choices>> {
        let count = self.notes.len();
        let mut columns: Vec<Column> = (0..=count).map(|_| Column::default()).collect();
        for first in 0..count {
            if !go_on(first as f64 / count as f64) {
                return None;
            }
            let labels = columns[first].labels(self.beam);
            if first > 0 && labels.is_empty() {
                continue;
            }
            for joint in [Link::Joined, Link::Slur, Link::Hook] {
                self.extend(taste, first, joint, &labels, &mut columns);
            }
            columns[first].done = labels;
        }
        let mut ends: Vec<Label> = columns[count].labels(usize::MAX);
        let mut seen = BTreeSet::new();
        ends.retain(|label| seen.insert(label.choices));
        ends.truncate(most);
        Some(ends.iter().map(|label| self.unwind(*label, &columns)).collect())
    }

    fn unwind(&self, mut label: Label, columns: &[Column]) -> Choices {
        let mut bowing = self.field.present().to_vec();
        let mut end = self.notes.len();
        loop {
            let first = label.first as usize;
            for (k, choice) in bowing.iter_mut().enumerate().take(end).skip(first) {
                let joined = || self.joint(k, label.joint).unwrap_or(Link::Joined);
                let link = if k == first { label.link } else { joined() };
                *choice = Choice { link, direction: label.direction };
            }
            if first == 0 {
                return bowing;
            }
            end = first;
            label = columns[first].done[label.before as usize];
        }
    }

    /// How a note joins a stroke whose new notes are joined in this link; none if it cannot.
    fn joint(&self, k: usize, new: Link) -> Option<Link> {
        let links = self.field.links(k);
        [Link::Joined, new].into_iter().find(|link| links.contains(link))
    }

    /// All strokes that start at a note.
    fn extend(&self, taste: &Taste, first: usize, joint: Link, labels: &[Label], columns: &mut [Column]) {
        let usable = self.problem.usable;
        let mut any_new = false;
        let (mut new_notes, mut redrawn) = (0, 0.0);
        for last in first..self.notes.len() {
            if last > first {
                let Some(link) = self.joint(last, joint) else { break };
                if link != Link::Joined {
                    any_new = true;
                    new_notes += 1;
                    let note = &self.notes[last];
                    redrawn += if link == Link::Slur { note.join } else { 0.0 };
                    redrawn += if note.marked { UNMARKED } else { 0.0 };
                }
                if new_notes > MOST_JOINED {
                    break;
                }
            }
            // Strokes without a new joint are the same for every kind of joint.
            if joint != Link::Joined && !any_new {
                continue;
            }
            let closes =
                self.notes.len() == last + 1 || self.field.links(last + 1).iter().any(|link| link.starts());
            if !closes {
                continue;
            }
            let run = self.run(first, last, joint);
            if new_notes > 0 && run.least > usable.1 - usable.0 {
                break;
            }
            for &link in self.field.links(first).iter().filter(|link| link.starts()) {
                let stroke = Stroke { first, last, joint, link, run, new_notes, redrawn };
                self.strokes(taste, &stroke, labels, columns);
            }
        }
    }

    fn run(&self, first: usize, last: usize, joint: Link) -> Run {
        let (mut run, mut eager, mut placed) = (Run::default(), Eager::default(), 0.0);
        let (hair, (lo, hi)) = (self.problem.hair_mm, self.problem.usable);
        for k in first..=last {
            let note = &self.notes[k];
            let hooked = k < last && self.joint(k + 1, joint) == Some(Link::Hook);
            let part = if hooked { note.hooked_part } else { 1.0 };
            let taken = note.eager * part;
            eager += taken;
            placed += taken.own * note.place;
            run.place_weight += note.place_weight;
            run.least += note.least * part;
            run.most += note.most * part;
            run.weight += note.weight;
        }
        run.wanted = eager.wanted_mm(self.setup);
        run.half = 0.5 * run.wanted / hair;
        let place = if eager.own > 0.0 { placed / eager.own } else { self.notes[first].place };
        run.middle = place.min(hi / hair - run.half).max((lo / hair + run.half).min((lo + hi) / 2.0 / hair));
        run
    }

    /// A stroke from all places where it may start, in all lengths, as labels that end behind it.
    fn strokes(&self, taste: &Taste, stroke: &Stroke, labels: &[Label], columns: &mut [Column]) {
        let (first, last) = (stroke.first, stroke.last);
        let begin = [Label::open(self.problem.usable.0)];
        let labels = if first == 0 { &begin } else { labels };
        for (index, label) in labels.iter().enumerate() {
            let before = (first > 0).then_some(label.direction);
            for direction in self.field.directions(first, stroke.link, before) {
                if !(first..=last).all(|k| self.field.allows(k, direction)) {
                    continue;
                }
                let fixed = label.cost + self.fixed_cost(taste, stroke, direction, before);
                for &from in self.starts(stroke, label).list() {
                    let begun = self.begun(taste, stroke, label, (fixed, direction, from));
                    for used in self.lengths(&stroke.run, self.room(&begun)) {
                        let end = self.ended(taste, stroke, label, &begun, used);
                        columns[last + 1].insert(Label { before: index as u32, ..end }, self.keep);
                    }
                }
            }
        }
    }

    /// Where a stroke may start.
    fn starts(&self, stroke: &Stroke, label: &Label) -> Starts {
        let note = &self.notes[stroke.first];
        let first = stroke.first == 0;
        let reach = if first { self.problem.hair_mm } else { note.reach };
        let mut starts = Starts::new(label.place, reach, self.problem.usable, stroke.is_lifted(), first);
        if let (Some(pin), true) = (note.pin, stroke.is_lifted()) {
            starts.add((pin.0 + pin.1) / 2.0);
        }
        starts
    }

    /// Hair ahead of a stroke, mm.
    fn room(&self, begun: &Begun) -> f64 {
        let (lo, hi) = self.problem.usable;
        if begun.direction == Direction::Down { hi - begun.from } else { begun.from - lo }
    }

    /// What a stroke costs that starts at a place, before it is known how long it is.
    fn begun(
        &self,
        taste: &Taste,
        stroke: &Stroke,
        label: &Label,
        (mut cost, direction, from): (f64, Direction, f64),
    ) -> Begun {
        let (usable, hair) = (self.problem.usable, self.problem.hair_mm);
        let note = &self.notes[stroke.first];
        if stroke.first > 0 && stroke.is_lifted() {
            cost += taste.bend * self.problem.weights.lift * ((from - label.place) / hair).powi(2);
        }
        if note.pin.is_some_and(|(lo, hi)| from < lo - BIN_MM || from > hi + BIN_MM) {
            cost += told_weight(Verdict::Impossible, 1.0);
        }
        let meets = stroke.is_lifted() || label.ran_out || note.pin.is_some();
        let goal = if meets { from } else { label.marked } + direction.sign() * stroke.run.wanted;
        let marked = goal.clamp(usable.0, usable.1);
        let short = (goal - marked).abs();
        let ran_out = short > 1e-6;
        if ran_out {
            cost += told_weight(Verdict::RunsOut, heard_short(short));
        }
        Begun { cost, direction, from, marked, ran_out }
    }

    /// The label that a stroke leads to which uses so much hair.
    fn ended(&self, taste: &Taste, stroke: &Stroke, label: &Label, begun: &Begun, used: f64) -> Label {
        let (run, d) = (&stroke.run, begun.direction.sign());
        let ratio = if run.wanted > 0.0 { (used / run.wanted).max(1e-3) } else { 1.0 };
        let mut bent = run.bent(ratio, d, begun.from / self.problem.hair_mm);
        if !stroke.is_lifted() && self.notes[stroke.first].smooth && run.wanted > 0.0 {
            bent += self.problem.weights.even_across_turn * (ratio - label.ratio).powi(2);
        }
        let mut cost = begun.cost + taste.bend * bent;
        let off = ratio.max(1.0 / ratio);
        if off > self.tight_ratio && !begun.ran_out {
            cost += told_weight(Verdict::Tight, heard_bend(off));
        }
        if used + 1e-9 < run.least.min(run.most) {
            cost += told_weight(Verdict::Impossible, 1.0);
        }
        Label {
            cost,
            place: begun.from + d * used,
            marked: begun.marked,
            ran_out: begun.ran_out,
            ratio,
            choices: stroke.mixed(label.choices, begun.direction),
            first: stroke.first as u32,
            link: stroke.link,
            direction: begun.direction,
            joint: stroke.joint,
            before: 0,
        }
    }

    /// Lengths of hair a stroke may take, each once.
    fn lengths(&self, run: &Run, room: f64) -> impl Iterator<Item = f64> {
        let (wanted, least, most) = (run.wanted, run.least, run.most.max(run.least));
        let mut before = f64::NEG_INFINITY;
        RATIOS.into_iter().filter_map(move |ratio| {
            let used = (ratio * wanted).clamp(least, most).min(room.max(0.0));
            let new = used > before + 1e-9;
            before = before.max(used);
            new.then_some(used)
        })
    }

    /// What a stroke costs wherever it lies; `before` is the direction of the one before it.
    fn fixed_cost(
        &self,
        taste: &Taste,
        stroke: &Stroke,
        direction: Direction,
        before: Option<Direction>,
    ) -> f64 {
        let (first, last) = (stroke.first, stroke.last);
        let now = self.field.present()[first];
        let mut cost = taste.lean * self.against(stroke, direction, before);
        if stroke.link != now.link {
            cost += taste.mark;
        }
        if now.link == Link::Joined {
            cost += self.notes[first].cut;
        }
        let note = &self.notes[first];
        if direction == Direction::Up {
            cost += taste.accent * f64::from(u8::from(note.accented));
        }
        if note.marked && (direction != now.direction || now.link == Link::Retake && stroke.link != now.link)
        {
            cost += UNMARKED;
        }
        if direction != now.direction && (note.marked || matches!(stroke.link, Link::Set | Link::Breath)) {
            cost += taste.mark;
        }
        // All new notes of a stroke may be under one new slur.
        let marks = if stroke.joint == Link::Slur { stroke.new_notes.min(1) } else { stroke.new_notes };
        cost += taste.mark * marks as f64 + stroke.redrawn;
        let hairpins = &self.hairpins[self.hairpins.partition_point(|(from, ..)| *from < first)..];
        for &(_, to, opens) in hairpins.iter().take_while(|(from, ..)| *from <= last) {
            if to <= last && opens == (direction == Direction::Down) {
                cost += HAIRPIN;
            }
        }
        cost
    }

    /// What speaks against the direction of a stroke, how it is reached, and its hooked notes. What a
    /// figure costs that is bowed otherwise than before is left to the trial.
    fn against(&self, stroke: &Stroke, direction: Direction, before: Option<Direction>) -> f64 {
        let head = &self.notes[stroke.first].lean;
        let again = before == Some(direction);
        let mut cost = match stroke.link {
            Link::Retake => head.retake,
            Link::Set | Link::Breath if again => head.again_after_rest,
            _ => 0.0,
        };
        cost += head.own[direction as usize];
        let down = direction == Direction::Down;
        for k in stroke.first + 1..=stroke.last {
            let hooked = match self.joint(k, stroke.joint) {
                Some(Link::Joined) => self.notes[k].stopped,
                link => link == Some(Link::Hook),
            };
            if hooked {
                let Lean { own, hook, .. } = self.notes[k].lean;
                let way = direction as usize;
                cost += own[way] + hook[way] + if down { self.notes[k - 1].end } else { 0.0 };
            }
        }
        cost + if down { self.notes[stroke.last].end } else { 0.0 }
    }
}

/// A stroke as it is begun.
struct Begun {
    /// What it has cost so far, with all before it.
    cost: f64,
    direction: Direction,
    /// Where it starts, mm from the frog.
    from: f64,
    /// Where it ends if played as marked.
    marked: f64,
    ran_out: bool,
}
