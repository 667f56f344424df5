//! Bowings tried for real: written, analysed, weighed.

use std::collections::BTreeMap;

use crate::analysis::Study;

use super::{
    super::standing::{Changed, Standing, Turned, strong_notes},
    ask::SearchError,
    choice::Choices,
    field::Field,
    liking::accents,
    ways::Way,
};

/// Notes analysed in one search, in all; it stops improving there. Assumed.
const MOST_NOTES: usize = 400_000;
/// At least and at most so many bowings are tried. Assumed.
const TRIES: (usize, usize) = (60, 500);
/// Part of the work that is done before any bowing is tried, for telling how far it is. Assumed.
pub(super) const PATHS_PART: f64 = 0.4;
/// What is heard less plainly by this is a trouble less. Assumed: the least that a run-out weighs.
const CURES: f64 = 3.0;
/// Better than this counts as better.
pub(super) const BETTER: f64 = 1e-9;

/// A bowing and how the lesson stands with it.
#[derive(Clone, Debug)]
pub(super) struct Tried {
    pub bowing: Choices,
    pub after: Standing,
    pub changed: Changed,
    pub weight: f64,
    /// Strong notes that go another way than now.
    pub turned: Turned,
    /// Bowed notes where something is found.
    pub troubled: Vec<usize>,
    /// It is a way that a player thinks of, told whether it weighs less or not.
    pub way: Option<Way>,
}

impl Tried {
    fn of(bowing: Choices, before: &Study, study: &Study) -> Self {
        let (after, analysis) = (Standing::of(study), study.analysis());
        let changed = Changed::between(before, study);
        let spots = analysis.findings.told.iter().flat_map(|finding| {
            std::iter::once(finding.note).chain(finding.more.iter().map(|spot| spot.note))
        });
        let mut troubled: Vec<usize> = spots.filter_map(|note| analysis.bowed_of(note)).collect();
        troubled.sort_unstable();
        troubled.dedup();
        let turned = Turned::between(&strong_notes(before), &strong_notes(study));
        Self { bowing, weight: after.weight(changed), after, changed, turned, troubled, way: None }
    }

    /// The way it is, if that does what it is named after.
    pub fn kept_way(&self) -> Option<Way> {
        let (down, up) = (&self.turned.down, &self.turned.up);
        self.way.filter(|way| match () {
            () if way.is_for_accents() => accents(down) > accents(up),
            () if way.is_for_strong_notes() => down.len() > up.len(),
            () => true,
        })
    }

    /// Fewer places run out or cannot be played, and that is plainly heard.
    pub fn cures(&self, now: &Self) -> bool {
        let fails = |tried: &Self| (tried.after.impossible, tried.after.runs_out);
        fails(self) < fails(now) && self.after.heard < now.after.heard - CURES
    }
}

/// All that was tried of one field; the first is the bowing as it is.
pub(super) struct Pool<'a> {
    pub field: &'a Field,
    pub keep_going: &'a mut dyn FnMut(f64) -> bool,
    pub tried: Vec<Tried>,
    /// Of every bowing that was looked at, its place in `tried`; none if it cannot be written.
    known: BTreeMap<Choices, Option<usize>>,
    /// So many may be looked at before improving stops.
    pub most: usize,
}

impl<'a> Pool<'a> {
    pub fn new(field: &'a Field, keep_going: &'a mut dyn FnMut(f64) -> bool) -> Self {
        let most = (MOST_NOTES / field.present().len().max(1)).clamp(TRIES.0, TRIES.1);
        let now = Tried::of(field.present().to_vec(), field.study(), field.study());
        let known = BTreeMap::from([(now.bowing.clone(), Some(0))]);
        Self { field, keep_going, tried: vec![now], known, most }
    }

    /// How many bowings were looked at.
    pub fn looked_at(&self) -> usize {
        self.known.len()
    }

    /// Tells how far it is, and is told whether to go on.
    pub fn go_on(&mut self) -> Result<(), SearchError> {
        let share = PATHS_PART + (1.0 - PATHS_PART) * self.known.len() as f64 / self.most as f64;
        if (self.keep_going)(share.min(1.0)) { Ok(()) } else { Err(SearchError::Cancelled) }
    }

    /// Writes and analyses a bowing; its place in the list, if it can be written.
    pub fn try_out(&mut self, bowing: Choices) -> Result<Option<usize>, SearchError> {
        if let Some(known) = self.known.get(&bowing) {
            return Ok(*known);
        }
        self.go_on()?;
        let now = self.field.study();
        let index = self.field.write(&bowing).map(|lesson| {
            self.tried.push(Tried::of(bowing.clone(), now, &now.with(lesson)));
            self.tried.len() - 1
        });
        self.known.insert(bowing, index);
        Ok(index)
    }

    /// Tries ways that a player thinks of.
    pub fn try_ways(&mut self, ways: Vec<(Way, Choices)>) -> Result<(), SearchError> {
        for (way, bowing) in ways {
            if let Some(index) = self.try_out(bowing)? {
                self.tried[index].way.get_or_insert(way);
            }
        }
        Ok(())
    }

    /// Tries these.
    pub fn try_all(&mut self, bowings: Vec<Choices>) -> Result<(), SearchError> {
        bowings.into_iter().try_for_each(|bowing| self.try_out(bowing).map(|_| ()))
    }
}
