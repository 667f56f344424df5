//! Good bowings found without planning any: dynamic programming from stroke to stroke.
//!
//! A label is a bowing of the first notes, with where it has brought the bow and what it has cost.
//! Labels that end at the same note, in the same direction and near the same place compete, and
//! the best few different ones stay. A stroke is taken at one of a few ratios of its wanted hair,
//! the same for all its notes, so the cost is only near that of the real plan; what it finds must be
//! planned to be judged.

use crate::{
    bowing::{End, HOOK_SOUNDING, Problem, Verdict, heard_bend, heard_short},
    score::{Direction, SignKind},
};

use super::{
    super::standing::{HAIRPIN, told_weight},
    choice::{Choice, Choices, Link},
    field::Field,
};

/// What the pieces of a bowing weigh in this search.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taste {
    /// A changed mark.
    pub mark: f64,
    /// A bar that begins on an up-bow.
    pub strong_beat: f64,
    /// Leaving the wanted speed or the place.
    pub bend: f64,
    /// A retake without a rest.
    pub retake: f64,
    /// A stop inside a bow.
    pub hook: f64,
}

/// Ratios of the wanted hair that are tried. Assumed.
const RATIOS: [f64; 9] = [0.45, 0.6, 0.75, 0.87, 1.0, 1.15, 1.35, 1.65, 2.2];
/// Labels compete within so much hair, mm. Assumed.
const BIN_MM: f64 = 20.0;
/// Places tried after a lift lie so far apart, mm. Assumed.
const SET_MM: f64 = 100.0;
/// Most notes newly joined in one bow. Assumed.
const MOST_JOINED: usize = 16;

/// A bowing of the first notes.
#[derive(Clone, Copy, Debug)]
struct Label {
    cost: f64,
    place: f64,
    /// Where the bow is if played as marked.
    marked: f64,
    ran_out: bool,
    ratio: f64,
    /// Stands for all choices made; labels with the same are the same bowing.
    choices: u64,
    /// The stroke that led here: first note, how it was reached, direction, how new notes are joined.
    first: u32,
    link: Link,
    direction: Direction,
    joint: Link,
    /// The label before it, in the column of `first`.
    before: u32,
}

/// Sums over the notes of a stroke, in mm and hairs.
#[derive(Clone, Copy, Debug, Default)]
struct Run {
    wanted: f64,
    least: f64,
    most: f64,
    weight: f64,
    place: [f64; 6],
}

/// One note of the search.
struct Note {
    wanted: f64,
    least: f64,
    most: f64,
    weight: f64,
    place: f64,
    place_weight: f64,
    strong: bool,
    /// Hooked to the note before it as it is now.
    stopped: bool,
    smooth: bool,
    reach: f64,
    pin: Option<(f64, f64)>,
    marked: bool,
}

/// Searches for bowings. Shared by all tastes.
pub(super) struct Paths<'a> {
    field: &'a Field,
    problem: &'a Problem,
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
        let (lesson, analysis) = (field.study().lesson(), field.study().analysis());
        let problem = &analysis.plan.problem;
        let school = &lesson.setup.school;
        let count = problem.pieces.len();
        let mut notes: Vec<Note> = Vec::with_capacity(count);
        for (k, piece) in problem.pieces.iter().enumerate() {
            let attack = analysis.note(k);
            let written = analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset);
            let sounding = lesson.setup.habit(analysis.bowed(k).stroke_type).sounding;
            // What it sounds when nothing is taken from its end.
            let whole = if attack.grace.is_some() { piece.seconds } else { written * sounding };
            let by = if piece.seconds > 0.0 { (whole / piece.seconds).clamp(1.0, 3.0) } else { 1.0 };
            let moves = if piece.moves() { by } else { 0.0 };
            let before = k.checked_sub(1).map(|before| analysis.note(before));
            let gap =
                before.map_or(0.0, |b| analysis.seconds_at(attack.onset) - analysis.seconds_at(b.end()));
            let free_s = if gap > school.set_time_s {
                gap
            } else {
                let last = notes.last().map_or(0.0, |_| problem.pieces[k - 1].seconds);
                school.retake_time_s.min(last / 2.0) + gap.max(0.0)
            };
            notes.push(Note {
                wanted: piece.wanted_mm * moves,
                least: piece.min_mm * moves,
                most: piece.max_mm * moves,
                weight: if piece.moves() { piece.speed_weight } else { 0.0 },
                place: piece.place_mm,
                place_weight: piece.place_weight,
                strong: lesson.score.starts_bar(attack),
                stopped: analysis.is_stopped(k),
                smooth: !attack.marks.iter().any(|mark| mark.is_accent()),
                reach: school.air_speed_mm_per_s * (free_s - school.set_time_s).max(0.0),
                pin: None,
                marked: attack.bow.is_some(),
            });
        }
        for pin in problem.pins.iter().filter(|pin| pin.at == End::Start) {
            notes[pin.piece].pin = Some((pin.lo_mm, pin.hi_mm));
        }
        let onset = |k: usize| analysis.note(k).onset;
        let hairpins = lesson.score.signs.iter().filter_map(|sign| {
            let SignKind::Hairpin { opens, end, .. } = sign.kind else { return None };
            let first = (0..count).rev().find(|&k| onset(k) <= sign.at)?;
            let last = (first..count).take_while(|&k| onset(k) < end).last()?;
            Some((first, last, opens))
        });
        Self {
            field,
            problem,
            hairpins: hairpins.collect(),
            tight_ratio: school.tight_ratio,
            // More where there is time for it. Assumed.
            keep: if count <= 40 { 12 } else { 6 },
            beam: if count <= 40 { 240 } else { 120 },
            notes,
        }
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
            columns[first] = Column { done: labels, ..Column::default() };
        }
        let mut ends: Vec<Label> = columns[count].labels(usize::MAX);
        let mut seen = std::collections::BTreeSet::new();
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
        let mut new_notes = 0;
        for last in first..self.notes.len() {
            if last > first {
                let Some(link) = self.joint(last, joint) else { break };
                if link != Link::Joined {
                    any_new = true;
                    new_notes += 1;
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
                self.strokes(taste, &Stroke { first, last, joint, link, run, new_notes }, labels, columns);
            }
        }
    }

    fn run(&self, first: usize, last: usize, joint: Link) -> Run {
        let mut run = Run::default();
        let hair = self.problem.hair_mm;
        for k in first..=last {
            let note = &self.notes[k];
            let hooked = k < last && self.joint(k + 1, joint) == Some(Link::Hook);
            let part = if hooked { HOOK_SOUNDING } else { 1.0 };
            let half = 0.5 * note.wanted * part;
            let (c, z, w) = ((run.wanted + half) / hair, note.place / hair, note.place_weight);
            for (sum, add) in run.place.iter_mut().zip([w, w * z, w * z * z, w * c, w * c * z, w * c * c]) {
                *sum += add;
            }
            run.wanted += 2.0 * half;
            run.least += note.least * part;
            run.most += note.most * part;
            run.weight += note.weight;
        }
        run
    }

    fn strokes(&self, taste: &Taste, stroke: &Stroke, labels: &[Label], columns: &mut [Column]) {
        let (usable, hair) = (self.problem.usable, self.problem.hair_mm);
        let (first, last, run) = (stroke.first, stroke.last, &stroke.run);
        let note = &self.notes[first];
        let nothing = Label {
            cost: 0.0,
            place: usable.0,
            marked: usable.0,
            ran_out: false,
            ratio: 1.0,
            choices: 0,
            first: 0,
            link: Link::Set,
            direction: Direction::Down,
            joint: Link::Joined,
            before: 0,
        };
        let begin = [nothing];
        let labels = if first == 0 { &begin } else { labels };
        for (index, label) in labels.iter().enumerate() {
            let before = (first > 0).then_some(label.direction);
            for direction in self.field.directions(first, stroke.link, before) {
                if !(first..=last).all(|k| self.field.allows(k, direction)) {
                    continue;
                }
                let d = direction.sign();
                let fixed_cost = self.fixed_cost(taste, stroke, direction);
                let lifted = stroke.link != Link::Change;
                let reach = if first == 0 { hair } else { note.reach };
                let mut starts = Starts::new(label.place, reach, usable, lifted, first == 0);
                if let (Some(pin), true) = (note.pin, lifted) {
                    starts.add((pin.0 + pin.1) / 2.0);
                }
                for &from in starts.list() {
                    let mut cost = label.cost + fixed_cost;
                    if first > 0 && lifted {
                        cost +=
                            taste.bend * self.problem.weights.lift * ((from - label.place) / hair).powi(2);
                    }
                    if note.pin.is_some_and(|(lo, hi)| from < lo - BIN_MM || from > hi + BIN_MM) {
                        cost += told_weight(Verdict::Impossible, 1.0);
                    }
                    let meets = lifted || label.ran_out || note.pin.is_some();
                    let marked = if meets { from } else { label.marked };
                    let goal = marked + d * run.wanted;
                    let end_marked = goal.clamp(usable.0, usable.1);
                    let short = (goal - end_marked).abs();
                    let ran_out = short > 1e-6;
                    if ran_out {
                        cost += told_weight(Verdict::RunsOut, heard_short(short));
                    }
                    let room = if d > 0.0 { usable.1 - from } else { from - usable.0 };
                    for used in self.lengths(run, room) {
                        let ratio = if run.wanted > 0.0 { (used / run.wanted).max(1e-3) } else { 1.0 };
                        let mut bent = run.weight * (ratio + 1.0 / ratio - 2.0);
                        let [w, wz, wzz, wc, wcz, wcc] = run.place;
                        let x = from / hair;
                        bent += w * x * x - 2.0 * x * wz
                            + wzz
                            + 2.0 * d * ratio * (x * wc - wcz)
                            + ratio * ratio * wcc;
                        if !lifted && note.smooth && run.wanted > 0.0 {
                            bent += self.problem.weights.even_across_turn * (ratio - label.ratio).powi(2);
                        }
                        let mut all = cost + taste.bend * bent;
                        let off = ratio.max(1.0 / ratio);
                        if off > self.tight_ratio && !ran_out {
                            all += told_weight(Verdict::Tight, heard_bend(off));
                        }
                        if used + 1e-9 < run.least.min(run.most) {
                            all += told_weight(Verdict::Impossible, 1.0);
                        }
                        let place = from + d * used;
                        columns[last + 1].insert(
                            Label {
                                cost: all,
                                place,
                                marked: end_marked,
                                ran_out,
                                ratio,
                                choices: mix(label.choices, stroke, direction),
                                first: first as u32,
                                link: stroke.link,
                                direction,
                                joint: stroke.joint,
                                before: index as u32,
                            },
                            self.keep,
                        );
                    }
                }
            }
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

    /// What a stroke costs wherever it lies.
    fn fixed_cost(&self, taste: &Taste, stroke: &Stroke, direction: Direction) -> f64 {
        let (first, last) = (stroke.first, stroke.last);
        let now = self.field.present()[first];
        let mut cost = 0.0;
        if stroke.link == Link::Retake {
            cost += taste.retake;
        }
        if stroke.link != now.link {
            cost += taste.mark;
        }
        let note = &self.notes[first];
        if direction != now.direction && (note.marked || matches!(stroke.link, Link::Set | Link::Breath)) {
            cost += taste.mark;
        }
        if note.strong && direction == Direction::Up {
            cost += taste.strong_beat;
        }
        match stroke.joint {
            Link::Slur if stroke.new_notes > 0 => cost += taste.mark,
            _ => cost += taste.mark * stroke.new_notes as f64,
        }
        let hooked = |k: usize| match self.joint(k, stroke.joint) {
            Some(Link::Joined) => self.notes[k].stopped,
            link => link == Some(Link::Hook),
        };
        let strong = (first + 1..=last).filter(|&k| self.notes[k].strong && hooked(k)).count();
        if direction == Direction::Up {
            cost += taste.strong_beat * strong as f64;
        }
        if stroke.joint == Link::Hook {
            cost += taste.hook * stroke.new_notes as f64;
        }
        for &(from, to, opens) in &self.hairpins {
            if from >= first && to <= last && opens == (direction == Direction::Down) {
                cost += HAIRPIN;
            }
        }
        cost
    }
}

/// A stroke to be tried: its notes, how it is reached and how new notes join it.
struct Stroke {
    first: usize,
    last: usize,
    joint: Link,
    link: Link,
    run: Run,
    new_notes: usize,
}

/// Where a stroke may start.
struct Starts {
    places: [f64; 16],
    count: usize,
}

impl Starts {
    fn new(place: f64, reach: f64, usable: (f64, f64), lifted: bool, first: bool) -> Self {
        let mut starts = Self { places: [place; 16], count: usize::from(!first) };
        if lifted {
            let choices = 12.0_f64.min(((usable.1 - usable.0) / SET_MM).ceil()).max(1.0);
            for choice in 0..=choices as usize {
                let goal = usable.0 + (usable.1 - usable.0) * choice as f64 / choices;
                let near = goal.clamp(place - reach, place + reach);
                if first || (near - place).abs() > SET_MM / 2.0 {
                    starts.add(near);
                }
            }
        }
        starts
    }

    fn add(&mut self, place: f64) {
        if self.count < self.places.len() && !self.list().iter().any(|other| (other - place).abs() < 1.0) {
            self.places[self.count] = place;
            self.count += 1;
        }
    }

    fn list(&self) -> &[f64] {
        &self.places[..self.count]
    }
}

/// Mixes a stroke into what stands for the choices before it (FNV-1a, a public-domain hash).
fn mix(choices: u64, stroke: &Stroke, direction: Direction) -> u64 {
    let values = [
        stroke.first as u64,
        stroke.link as u64,
        direction as u64,
        if stroke.new_notes > 0 { stroke.joint as u64 } else { Link::Joined as u64 },
    ];
    values.iter().fold(choices ^ 0xcbf2_9ce4_8422_2325, |hash, value| {
        (hash ^ value).wrapping_mul(0x0000_0100_0000_01b3).rotate_left(23)
    })
}

/// The labels that end before one note.
#[derive(Default)]
struct Column {
    /// By direction and place; each sorted by cost.
    bins: Vec<Vec<Label>>,
    /// All of them, when nothing more comes.
    done: Vec<Label>,
}

impl Column {
    fn insert(&mut self, label: Label, keep: usize) {
        let bin = 2 * (label.place / BIN_MM).max(0.0) as usize + label.direction as usize;
        if self.bins.len() <= bin {
            self.bins.resize_with(bin + 1, Vec::new);
        }
        let labels = &mut self.bins[bin];
        if labels.len() >= keep && labels.last().is_some_and(|worst| worst.cost <= label.cost) {
            return;
        }
        if let Some(same) = labels.iter().position(|other| other.choices == label.choices) {
            if labels[same].cost <= label.cost {
                return;
            }
            labels.remove(same);
        }
        let at = labels.partition_point(|other| other.cost <= label.cost);
        labels.insert(at, label);
        labels.truncate(keep);
    }

    /// The best labels, by cost.
    fn labels(&mut self, most: usize) -> Vec<Label> {
        let mut labels: Vec<Label> = std::mem::take(&mut self.bins).into_iter().flatten().collect();
        labels.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(a.choices.cmp(&b.choices)));
        labels.truncate(most);
        labels
    }
}
