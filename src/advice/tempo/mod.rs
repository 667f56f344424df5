//! The tempo ladder: what works at which tempo, and what to practise where a stroke cannot be slow.

mod bands;
mod groups;
mod slow;

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    analysis::{Analysis, Study},
    bowing::Verdict,
    lesson::{Lesson, change},
    score::{EventId, Place, Quarters, Score},
};

pub use bands::Band;
pub use groups::{LadderGroup, LadderPlace};
pub use slow::{SlowPractice, SlowSpot};

/// What is found at every tempo tried, and the tempos at which each stroke begins or ceases to work.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    /// Tempos tried, as shares of the marked tempo, slowest first.
    pub shares: Vec<f64>,
    /// What is found at each of them.
    pub rungs: Vec<Rung>,
    /// Every stroke that does not work at one of them.
    pub spots: Vec<LadderSpot>,
    /// The same, with what is alike told together, in the order of the music.
    pub groups: Vec<LadderGroup>,
    /// What to practise in another way than as it is.
    pub slow: Vec<SlowPractice>,
}

/// What is found at one tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Share of the marked tempo.
    pub share: f64,
    /// All places of findings worse than a notice, in the order of the findings.
    pub spots: Vec<RungSpot>,
}

/// One place of a finding at one tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct RungSpot {
    /// The written note.
    pub event: EventId,
    /// The place in words.
    pub place: String,
    /// First and last bar of the stroke it is in, as indices.
    pub bars: (usize, usize),
    /// How bad it is.
    pub verdict: Verdict,
}

/// A stroke that does not work at every tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderSpot {
    /// First written note of the stroke.
    pub event: EventId,
    /// Where it starts.
    pub at: Quarters,
    /// The place in words.
    pub place: String,
    /// First and last bar it lies in, as indices.
    pub bars: (usize, usize),
    /// How it goes from the slowest tempo tried to the fastest.
    pub bands: Vec<Band>,
    /// What that means.
    pub words: String,
}

/// The tempos of a ladder, as shares of the marked one: from half of it to a little above, in
/// twentieths. Assumed.
pub fn ladder_shares() -> Vec<f64> {
    (10..=23).map(|twentieths| f64::from(twentieths) / 20.0).collect()
}

/// Part of the work that goes into the rungs, for telling how far it is. Assumed.
const RUNGS_PART: f64 = 0.5;

/// The worst that is found on each stroke, by the first note of the stroke.
type Trouble = BTreeMap<EventId, Verdict>;

/// Analyses a lesson at all these shares of the marked tempo and finds, for every stroke that does
/// not work at one of them, where one verdict turns into another, to 1 %.
///
/// `keep_going` is told the part of the work that is done, 0 to 1; when it gives false, the ladder is
/// given up. Shares that are no practice tempo are left out.
pub fn ladder(study: &Study, shares: &[f64], keep_going: &mut dyn FnMut(f64) -> bool) -> Option<Ladder> {
    let lesson = study.lesson();
    let mut shares: Vec<f64> =
        shares.iter().copied().filter(|share| change::set_tempo_share(lesson, *share).is_ok()).collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup();
    let marked = study.with(at_share(lesson, 1.0));
    let strokes = Strokes::new(&lesson.score, marked.analysis());
    let at = |share: f64| marked.with(at_share(lesson, share));
    let mut rungs = Vec::new();
    // Many strokes are asked for at the same tempos.
    let mut troubles: BTreeMap<u64, Trouble> = BTreeMap::new();
    for (k, &share) in shares.iter().enumerate() {
        if !keep_going(RUNGS_PART * k as f64 / shares.len() as f64) {
            return None;
        }
        let study = at(share);
        troubles.insert(share.to_bits(), strokes.trouble(study.analysis()));
        rungs.push(rung(&lesson.score, share, study.analysis()));
    }
    let all: BTreeSet<(Quarters, EventId)> =
        troubles.values().flat_map(BTreeMap::keys).map(|&event| (strokes.at(event).0, event)).collect();
    let mut spots = Vec::new();
    for (k, &(at_quarters, event)) in all.iter().enumerate() {
        if !keep_going(RUNGS_PART + (1.0 - RUNGS_PART) * k as f64 / all.len() as f64) {
            return None;
        }
        let bands = bands::bands(&shares, &mut |share| {
            let trouble =
                troubles.entry(share.to_bits()).or_insert_with(|| strokes.trouble(at(share).analysis()));
            trouble.get(&event).copied()
        });
        let words = bands::words(&bands);
        let place = lesson.score.place(at_quarters).short();
        spots.push(LadderSpot { event, at: at_quarters, place, bars: strokes.at(event).1, bands, words });
    }
    let groups = groups::groups(&lesson.score, &spots);
    let slow = slow::slow_practice(&marked, shares.first().copied().unwrap_or(1.0));
    Some(Ladder { shares, rungs, spots, groups, slow })
}

fn at_share(lesson: &Lesson, share: f64) -> Lesson {
    let mut lesson = lesson.clone();
    lesson.setup.tempo_share = share;
    lesson
}

fn rung(score: &Score, share: f64, analysis: &Analysis) -> Rung {
    let strokes = Strokes::new(score, analysis);
    let spots =
        analysis.findings.told.iter().filter(|finding| finding.verdict < Verdict::Notice).flat_map(|f| {
            let spot = |event: EventId, place: &Place, at: Quarters| {
                let alone = || (score.bar_at(at).unwrap_or(0), score.bar_at(at).unwrap_or(0));
                let bars = strokes.head.get(&event).map_or_else(alone, |head| strokes.at(*head).1);
                RungSpot { event, place: place.to_string(), bars, verdict: f.verdict }
            };
            let more: Vec<RungSpot> = f.more.iter().map(|m| spot(m.event, &m.place, m.at)).collect();
            std::iter::once(spot(f.event, &f.place, f.at)).chain(more)
        });
    Rung { share, spots: spots.collect() }
}

/// First and last bar between two moments, as indices.
fn bars_of(score: &Score, from: Quarters, to: Quarters) -> (usize, usize) {
    let first = score.bar_at(from).unwrap_or(0);
    let last = score.bars.partition_point(|bar| bar.start < to).saturating_sub(1);
    (first, last.max(first))
}

/// The strokes of an analysis. At other tempos a note may belong to another stroke.
struct Strokes {
    /// The first note of the stroke of each note.
    head: BTreeMap<EventId, EventId>,
    /// Where the stroke of a first note starts, and its first and last bar.
    place: BTreeMap<EventId, (Quarters, (usize, usize))>,
}

impl Strokes {
    fn new(score: &Score, analysis: &Analysis) -> Self {
        let mut strokes = Self { head: BTreeMap::new(), place: BTreeMap::new() };
        for stroke in &analysis.bowing.strokes {
            let note = |k: usize| analysis.note(k);
            let (first, last) = (note(stroke.notes.start), note(stroke.notes.end - 1));
            let bars = bars_of(score, first.onset, last.end());
            strokes.place.insert(first.id(), (first.onset, bars));
            for k in stroke.notes.clone() {
                strokes.head.extend(note(k).events.iter().map(|event| (*event, first.id())));
            }
        }
        strokes
    }

    /// Where a stroke starts, and its first and last bar.
    fn at(&self, head: EventId) -> (Quarters, (usize, usize)) {
        self.place.get(&head).copied().unwrap_or((Quarters::ZERO, (0, 0)))
    }

    fn trouble(&self, analysis: &Analysis) -> Trouble {
        let mut trouble = Trouble::new();
        for finding in analysis.findings.told.iter().filter(|finding| finding.verdict < Verdict::Notice) {
            for head in finding.events().filter_map(|event| self.head.get(&event)) {
                let worst = trouble.entry(*head).or_insert(finding.verdict);
                *worst = finding.verdict.min(*worst);
            }
        }
        trouble
    }
}
