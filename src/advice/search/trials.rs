//! Bowings tried for real: written, analysed, weighed; and improved note by note.

use std::collections::BTreeMap;

use crate::{
    advice::{Standing, changed_marks, marks_changed, standing::STRONG_BEAT},
    analysis::{Analysis, analyse},
    lesson::{Edit, Lesson},
};

use super::{
    Bowing, Field, HOOK, MARK, RETAKE, SearchError, Step, Suggestion, Way,
    bound::Bound,
    paths::{Paths, Taste},
    weight, words,
};

/// Notes analysed in one search, in all; it stops improving there. Assumed.
const MOST_NOTES: usize = 400_000;
/// At least and at most so many bowings are tried. Assumed.
const TRIALS: (usize, usize) = (60, 500);
/// Bowings of each taste that are tried. Assumed.
const A_TASTE: usize = 24;
/// Bowings of an excerpt that are weighed in the whole part. Assumed.
const FROM_EXCERPT: usize = 16;
/// Bowings from which the search for a better one starts. Assumed.
const STARTS: usize = 3;
/// Two notes changed at a time lie at most so far apart. Assumed.
const PAIR: usize = 12;
/// Passages of so many notes are gone through whole. Assumed.
const WHOLE: usize = 200;
/// That is given up when so many notes were planned, or so many more bowings tried. Assumed.
const MOST_PLANNED: usize = 400_000;
const MOST_MORE: usize = 1_000;
/// Better than this counts as better.
const BETTER: f64 = 1e-9;

/// The tastes of the path search: one that is weighed as the answer will be, and some that lean to
/// one side, so that answers of several kinds are found.
const TASTES: [Taste; 4] = {
    let plain = Taste { mark: MARK, strong_beat: STRONG_BEAT, bend: 1.0, retake: RETAKE, hook: HOOK };
    [
        plain,
        Taste { mark: 0.6, ..plain },
        Taste { strong_beat: 2.0, ..plain },
        Taste { bend: 4.0, strong_beat: 0.1, ..plain },
    ]
};

/// A walk through all bowings that may be better.
struct Walk<'a> {
    bound: Bound<'a>,
    best: f64,
    planned: usize,
    most: usize,
}

/// A bowing and how the lesson stands with it.
#[derive(Clone, Debug)]
pub(super) struct Tried {
    pub bowing: Bowing,
    pub after: Standing,
    pub marks_changed: usize,
    pub weight: f64,
    /// Bowed notes where something is found.
    troubled: Vec<usize>,
}

/// All that was tried.
pub(super) struct Trials<'a> {
    lesson: &'a Lesson,
    analysis: &'a Analysis,
    field: &'a Field,
    keep_going: &'a mut dyn FnMut(f64) -> bool,
    tried: Vec<Tried>,
    /// Of every bowing that was looked at, its place in `tried`; none if it cannot be written.
    known: BTreeMap<Bowing, Option<usize>>,
    most: usize,
}

impl<'a> Trials<'a> {
    pub fn new(
        lesson: &'a Lesson,
        analysis: &'a Analysis,
        field: &'a Field,
        keep_going: &'a mut dyn FnMut(f64) -> bool,
    ) -> Self {
        let most = (MOST_NOTES / analysis.bowing.notes.len().max(1)).clamp(TRIALS.0, TRIALS.1);
        let now = tried(field.present().to_vec(), lesson, lesson, analysis);
        let known = BTreeMap::from([(now.bowing.clone(), Some(0))]);
        Self { lesson, analysis, field, keep_going, tried: vec![now], known, most }
    }

    /// Tries what seems worth it.
    pub fn search(&mut self) -> Result<(), SearchError> {
        let paths = Paths::new(self.lesson, self.analysis, self.field);
        let mut candidates: Vec<Vec<Bowing>> = Vec::new();
        for (index, taste) in TASTES.iter().enumerate() {
            let keep_going = &mut *self.keep_going;
            let mut go_on = |share: f64| keep_going(0.4 * (index as f64 + share) / TASTES.len() as f64);
            let found = paths.find(taste, A_TASTE, &mut go_on).ok_or(SearchError::Cancelled)?;
            candidates.push(found);
        }
        // Turn by turn, so that each taste is heard where few can be tried.
        for rank in 0..A_TASTE {
            for bowing in candidates.iter().filter_map(|of_taste| of_taste.get(rank)) {
                if self.known.len() <= self.most / 2 {
                    self.try_out(bowing.clone())?;
                }
            }
        }
        let mut order: Vec<usize> = (0..self.tried.len()).collect();
        order.sort_by(|a, b| self.tried[*a].weight.total_cmp(&self.tried[*b].weight));
        for start in order.into_iter().take(STARTS) {
            self.improve(start)?;
        }
        self.go_through()
    }

    /// Tries all other bowings that may be better than the best, where they are not too many.
    fn go_through(&mut self) -> Result<(), SearchError> {
        let Some(bound) = Bound::new(self.lesson, self.analysis, self.field) else { return Ok(()) };
        if self.field.present().len() > WHOLE {
            return Ok(());
        }
        let best = self.tried.iter().map(|tried| tried.weight).fold(f64::INFINITY, f64::min);
        let most = self.known.len() + MOST_MORE;
        self.go_through_from(&mut Vec::new(), &mut Walk { bound, best, planned: 0, most })
    }

    /// All that start like this, the most promising first.
    fn go_through_from(&mut self, first: &mut Bowing, walk: &mut Walk) -> Result<(), SearchError> {
        self.go_on()?;
        let (k, field) = (first.len(), self.field);
        if k == field.present().len() {
            if let Some(index) = self.try_out(first.clone())? {
                walk.best = walk.best.min(self.tried[index].weight);
            }
            return Ok(());
        }
        let before = first.last().map(|step| step.direction);
        let mut next: Vec<(f64, Step)> = Vec::new();
        for &way in field.ways(k) {
            for direction in field.directions(k, way, before) {
                let step = Step { way, direction };
                first.push(step);
                next.push((walk.bound.at_least(first), step));
                first.pop();
                walk.planned += first.len();
            }
        }
        next.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (least, step) in next {
            let too_many = walk.planned > MOST_PLANNED || self.known.len() > walk.most;
            if too_many || least >= walk.best - BETTER {
                break;
            }
            first.push(step);
            let went = self.go_through_from(first, walk);
            first.pop();
            went?;
        }
        Ok(())
    }

    /// The bowings that were tried, the best first, as many as are worth weighing elsewhere.
    pub fn best(&self) -> impl Iterator<Item = &Bowing> {
        let mut order: Vec<&Tried> = self.tried.iter().collect();
        order.sort_by(|a, b| a.weight.total_cmp(&b.weight).then_with(|| a.bowing.cmp(&b.bowing)));
        order.into_iter().take(FROM_EXCERPT).map(|tried| &tried.bowing)
    }

    /// Tries these.
    pub fn try_all(&mut self, bowings: Vec<Bowing>) -> Result<(), SearchError> {
        bowings.into_iter().try_for_each(|bowing| self.try_out(bowing).map(|_| ()))
    }

    /// Changes one note at a time, then two, as long as it gets better.
    fn improve(&mut self, mut best: usize) -> Result<(), SearchError> {
        let mut two = false;
        loop {
            let changes = self.changes(best);
            let mut better = None;
            'all: for (place, first) in changes.iter().enumerate() {
                let behind = changes
                    .iter()
                    .skip(place + 1)
                    .filter(|other| two && other.0 != first.0 && other.0.abs_diff(first.0) <= PAIR);
                let sets: Vec<Vec<(usize, Step)>> = if two {
                    behind.map(|second| vec![*first, *second]).collect()
                } else {
                    vec![vec![*first]]
                };
                for set in sets {
                    if self.known.len() >= self.most {
                        return Ok(());
                    }
                    let Some(next) = self.field.changed(&self.tried[best].bowing, &set) else { continue };
                    if let Some(index) = self.try_out(next)?
                        && self.tried[index].weight < self.tried[best].weight - BETTER
                    {
                        better = Some(index);
                        break 'all;
                    }
                }
            }
            match better {
                Some(index) => (best, two) = (index, false),
                None if two => return Ok(()),
                None => two = true,
            }
        }
    }

    /// All changes of one note of a bowing; where something is found in it, first.
    fn changes(&self, of: usize) -> Vec<(usize, Step)> {
        let tried = &self.tried[of];
        let far = |k: usize| tried.troubled.iter().map(|at| at.abs_diff(k)).min().unwrap_or(0) / 4;
        let mut order: Vec<usize> = (0..tried.bowing.len()).collect();
        order.sort_by_key(|&k| (far(k), k));
        let mut changes = Vec::new();
        for k in order {
            let now = tried.bowing[k];
            let before = k.checked_sub(1).map(|before| tried.bowing[before].direction);
            for &way in self.field.ways(k) {
                for direction in self.field.directions(k, way, before) {
                    if (Step { way, direction }) != now {
                        changes.push((k, Step { way, direction }));
                    }
                }
            }
        }
        changes
    }

    /// Tells how far it is, and is told whether to go on.
    fn go_on(&mut self) -> Result<(), SearchError> {
        let share = 0.4 + 0.6 * self.known.len() as f64 / self.most as f64;
        if (self.keep_going)(share.min(1.0)) { Ok(()) } else { Err(SearchError::Cancelled) }
    }

    /// Writes and analyses a bowing; its place in the list, if it can be written.
    fn try_out(&mut self, bowing: Bowing) -> Result<Option<usize>, SearchError> {
        if let Some(known) = self.known.get(&bowing) {
            return Ok(*known);
        }
        self.go_on()?;
        let index = self.field.write(self.lesson, self.analysis, &bowing, "").map(|(_, lesson)| {
            let analysis = analyse(&lesson);
            self.tried.push(tried(bowing.clone(), self.lesson, &lesson, &analysis));
            self.tried.len() - 1
        });
        self.known.insert(bowing, index);
        Ok(index)
    }

    /// Answers that differ in what they are good at: the best of all, then the best of several
    /// kinds, as far as each is better than the bowing as it is; that one if nothing is better.
    pub fn pick(&self, answers: usize) -> Vec<&Tried> {
        let now = &self.tried[0];
        let mut ranked: Vec<&Tried> = self.tried.iter().collect();
        ranked.sort_by(|a, b| {
            (a.weight.total_cmp(&b.weight))
                .then(a.marks_changed.cmp(&b.marks_changed))
                .then_with(|| a.bowing.cmp(&b.bowing))
        });
        let best = ranked[0];
        let mut picked = vec![if best.weight < now.weight - BETTER { best } else { now }];
        let kinds: [&dyn Fn(&Tried) -> f64; 4] =
            [&|t| t.marks_changed as f64, &|t| -(t.after.strong_beats.0 as f64), &|t| t.after.cost, &|t| {
                t.bowing.iter().filter(|step| matches!(step.way, Way::Retake | Way::Hook)).count() as f64
            }];
        for measure in kinds {
            if picked.len() >= answers {
                break;
            }
            let better = ranked.iter().filter(|t| t.weight < now.weight - BETTER);
            let found = better.min_by(|a, b| measure(a).total_cmp(&measure(b)));
            // It must be plainly better in this than what is there already.
            if let Some(found) = found
                && picked
                    .iter()
                    .all(|other| other.bowing != found.bowing && measure(found) < measure(other) - 0.05)
            {
                picked.push(found);
            }
        }
        picked
    }

    /// The answer in full.
    pub fn suggestion(&self, tried: &Tried) -> Option<Suggestion> {
        let lesson = if tried.bowing == self.field.present() {
            self.lesson.clone()
        } else {
            self.field.write(self.lesson, self.analysis, &tried.bowing, "")?.1
        };
        let changes = changed_marks(&self.lesson.score, &lesson.score);
        let headline = words::headline(&changes);
        let edit = Edit::between(&headline, self.lesson, &lesson);
        let analysis = Box::new(analyse(&lesson));
        Some(Suggestion {
            headline,
            changes,
            reasons: Vec::new(),
            edit,
            lesson,
            analysis,
            here: tried.after.clone(),
            after: tried.after.clone(),
            marks_changed: tried.marks_changed,
        })
    }
}

fn tried(bowing: Bowing, before: &Lesson, lesson: &Lesson, analysis: &Analysis) -> Tried {
    let after = Standing::of(lesson, analysis);
    let marks_changed = marks_changed(&before.score, &lesson.score);
    let spots =
        analysis.findings.told.iter().flat_map(|finding| {
            std::iter::once(finding.note).chain(finding.more.iter().map(|spot| spot.note))
        });
    let mut troubled: Vec<usize> = spots.filter_map(|note| analysis.bowed_of(note)).collect();
    troubled.sort_unstable();
    troubled.dedup();
    let weight = weight(analysis, &after, marks_changed);
    Tried { bowing, after, marks_changed, weight, troubled }
}
