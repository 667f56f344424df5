//! The tempos one after the other, and for every stroke where one verdict turns into another.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    analysis::{Analysis, Study},
    bowing::Verdict,
    lesson::{Lesson, change},
    score::{EventId, Place, Quarters, Score},
};

use super::{
    bands,
    groups::{self, LadderGroup},
    slow::{SlowPractice, slow_practice},
    spots::{LadderSpot, Rung, RungSpot},
    strokes::{Strokes, Trouble},
};

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

/// The tempos of a ladder, as shares of the marked one: from half of it to a little above, in
/// twentieths. Assumed.
pub fn ladder_shares() -> Vec<f64> {
    (10..=23).map(|twentieths| f64::from(twentieths) / 20.0).collect()
}

/// Part of the work that goes into the rungs, for telling how far it is. Assumed.
const RUNGS_PART: f64 = 0.5;

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
        if bands.iter().all(|band| band.verdict.is_none()) {
            continue;
        }
        let words = bands::words(&bands);
        let place = lesson.score.place(at_quarters).short();
        spots.push(LadderSpot { event, at: at_quarters, place, bars: strokes.at(event).1, bands, words });
    }
    let groups = groups::groups(&lesson.score, &spots);
    let slow = slow_practice(&marked, shares.first().copied().unwrap_or(1.0));
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
