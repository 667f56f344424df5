//! The tempo ladder: what works at which tempo, and what to practise where a stroke cannot be slow.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    analysis::{Analysis, analyse, analyse_after},
    bowing::{STOPPED_FROM_S, Verdict},
    lesson::{Lesson, change},
    score::{EventId, Place, Quarters, StrokeType},
};

use super::told::{Family, family};

/// What is found at every tempo tried, and the tempos at which each spot begins or ceases to work.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    /// Tempos tried, as shares of the marked tempo, slowest first.
    pub shares: Vec<f64>,
    /// What is found at each of them.
    pub rungs: Vec<Rung>,
    /// Every spot that does not work at one of them.
    pub spots: Vec<LadderSpot>,
    /// Strokes that cannot be played as slowly as the slowest of them.
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
    /// Slowest tempo at which it works, as a share of the marked tempo, to 1 %; none when it works
    /// at the slowest tempo tried, or at none.
    pub works_from: Option<f64>,
    /// Fastest tempo at which it works, to 1 %; none when it works at the fastest tried, or at none.
    pub works_to: Option<f64>,
    /// What that means.
    pub words: String,
}

/// A stroke that does not survive slow practice.
#[derive(Clone, Debug, PartialEq)]
pub struct SlowPractice {
    /// First written note of the stroke, or of the run of equal strokes.
    pub event: EventId,
    /// Where it starts.
    pub at: Quarters,
    /// The place in words.
    pub place: String,
    /// Share of the marked tempo below which it cannot be played as it is.
    pub below: f64,
    /// What to practise instead.
    pub words: String,
}

/// Longest note the stick bounces by itself in, s: sixteenths at quarter = 100 (Klopčič 2021 after
/// Dounis, in the Journal of the American Viola Society, Fall 2023).
const SAUTILLE_TO_S: f64 = 0.15;
/// Longest note of a ricochet, s: ten attacks a second (Guettler 1997).
const RICOCHET_TO_S: f64 = 0.1;
/// Part of the work that goes into the rungs, for telling how far it is. Assumed.
const RUNGS_PART: f64 = 0.5;

/// What kind of trouble on which stroke, by the first note of the stroke.
type Trouble = BTreeSet<(EventId, Family)>;

/// Analyses a lesson at all these shares of the marked tempo and finds, for every spot that does
/// not work at one of them, the tempos between which it does.
///
/// `keep_going` is told the part of the work that is done, 0 to 1; when it gives false, the ladder is
/// given up. Shares that are no practice tempo are left out.
pub fn ladder(lesson: &Lesson, shares: &[f64], keep_going: &mut dyn FnMut(f64) -> bool) -> Option<Ladder> {
    let mut shares: Vec<f64> =
        shares.iter().copied().filter(|share| change::set_tempo_share(lesson, *share).is_ok()).collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup();
    let marked = at_share(lesson, 1.0);
    let known = analyse(&marked);
    let strokes = Strokes::new(&known);
    let at = |share: f64| analyse_after(&at_share(lesson, share), &marked, &known);
    let mut rungs = Vec::new();
    let mut troubles: Vec<Trouble> = Vec::new();
    for (k, &share) in shares.iter().enumerate() {
        if !keep_going(RUNGS_PART * k as f64 / shares.len() as f64) {
            return None;
        }
        let analysis = at(share);
        troubles.push(strokes.trouble(&analysis));
        rungs.push(rung(share, &analysis));
    }
    let all: BTreeSet<(Quarters, EventId, Family)> =
        troubles.iter().flatten().map(|&(event, kind)| (strokes.onset(event), event, kind)).collect();
    // Many spots are asked for at the same tempos.
    let mut between: BTreeMap<i64, Trouble> = BTreeMap::new();
    let mut spots = Vec::new();
    for (k, &(onset, event, kind)) in all.iter().enumerate() {
        if !keep_going(RUNGS_PART + (1.0 - RUNGS_PART) * k as f64 / all.len() as f64) {
            return None;
        }
        let works: Vec<bool> = troubles.iter().map(|trouble| !trouble.contains(&(event, kind))).collect();
        let mut edge = |bad: f64, good: f64| {
            bisect(bad, good, |share| {
                let key = (share * 100.0).round() as i64;
                let trouble = between.entry(key).or_insert_with(|| strokes.trouble(&at(share)));
                !trouble.contains(&(event, kind))
            })
        };
        let run = longest_run(&works);
        let works_from =
            run.and_then(|(first, _)| first.checked_sub(1).map(|before| edge(shares[before], shares[first])));
        let works_to = run.and_then(|(_, last)| shares.get(last + 1).map(|&after| edge(after, shares[last])));
        let words = spot_words(kind, run.is_some(), works_from, works_to);
        spots.push(LadderSpot {
            event,
            at: onset,
            place: lesson.score.place(onset).short(),
            works_from,
            works_to,
            words,
        });
    }
    let slow = slow_practice(&marked, &known, shares.first().copied().unwrap_or(1.0));
    Some(Ladder { shares, rungs, spots, slow })
}

fn at_share(lesson: &Lesson, share: f64) -> Lesson {
    let mut lesson = lesson.clone();
    lesson.setup.tempo_share = share;
    lesson
}

fn rung(share: f64, analysis: &Analysis) -> Rung {
    let spots = analysis.findings.iter().filter(|finding| finding.verdict < Verdict::Notice).flat_map(|f| {
        let spot = |event, place: &Place| RungSpot { event, place: place.to_string(), verdict: f.verdict };
        std::iter::once(spot(f.event, &f.place)).chain(f.more.iter().map(move |m| spot(m.event, &m.place)))
    });
    Rung { share, spots: spots.collect() }
}

/// The strokes at the marked tempo; at other tempos a note may belong to another stroke.
struct Strokes {
    head: BTreeMap<EventId, EventId>,
    onset: BTreeMap<EventId, Quarters>,
}

impl Strokes {
    fn new(analysis: &Analysis) -> Self {
        let mut strokes = Self { head: BTreeMap::new(), onset: BTreeMap::new() };
        for stroke in &analysis.strokes {
            let note = |k: usize| &analysis.line[analysis.bowed[k].note];
            let first = note(stroke.notes.start);
            strokes.onset.insert(first.id(), first.onset);
            for k in stroke.notes.clone() {
                strokes.head.extend(note(k).events.iter().map(|event| (*event, first.id())));
            }
        }
        strokes
    }

    fn onset(&self, head: EventId) -> Quarters {
        self.onset.get(&head).copied().unwrap_or(Quarters::ZERO)
    }

    fn trouble(&self, analysis: &Analysis) -> Trouble {
        let worse = analysis.findings.iter().filter(|finding| finding.verdict < Verdict::Notice);
        let spots = worse.flat_map(|finding| finding.events().map(|event| (event, family(finding))));
        spots.filter_map(|(event, kind)| Some((*self.head.get(&event)?, kind))).collect()
    }
}

/// First and last index of the longest run of trues; of equal ones the last, at the faster tempos.
fn longest_run(works: &[bool]) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut first = 0;
    for (k, &good) in works.iter().enumerate() {
        if !good {
            first = k + 1;
        } else if best.is_none_or(|(a, b)| k - first >= b - a) {
            best = Some((first, k));
        }
    }
    best
}

/// The share nearest to `bad` at which it works, on whole hundredths between the two.
fn bisect(bad: f64, good: f64, mut works: impl FnMut(f64) -> bool) -> f64 {
    // Hundredths beyond `bad`; the last of them is `good`, which may lie between two.
    let up = bad < good;
    let start = if up { (bad * 100.0).floor() } else { (bad * 100.0).ceil() };
    let share = |steps: i64| {
        let share = (start + if up { steps as f64 } else { -steps as f64 }) / 100.0;
        share.clamp(bad.min(good), bad.max(good))
    };
    let (mut low, mut high) = (0, ((good * 100.0 - start).abs()).ceil() as i64);
    while high - low > 1 {
        let middle = (low + high) / 2;
        if works(share(middle)) {
            high = middle;
        } else {
            low = middle;
        }
    }
    share(high)
}

fn spot_words(family: Family, works: bool, from: Option<f64>, to: Option<f64>) -> String {
    let trouble = if family == Family::Tight { "tight" } else { "the bow runs out" };
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    match (works, from, to) {
        (false, ..) => format!("{trouble} at every tempo tried"),
        (_, Some(from), None) => format!("{trouble} below {} of the tempo", percent(from)),
        (_, None, Some(to)) => format!("{trouble} above {} of the tempo", percent(to)),
        (_, Some(from), Some(to)) => {
            format!("{trouble} except from {} to {} of the tempo", percent(from), percent(to))
        }
        (_, None, None) => format!("{trouble} at some tempos"),
    }
}

/// Strokes that cannot be played at the slowest share as they are at the marked tempo: those that
/// bounce, and those that would last longer than the player's slowest bow on the hair there is.
fn slow_practice(lesson: &Lesson, analysis: &Analysis, slowest: f64) -> Vec<SlowPractice> {
    let mut found: Vec<SlowPractice> = Vec::new();
    let (lo, hi) = analysis.problem.usable;
    let most_s = (hi - lo) / lesson.setup.slowest_mm_per_s();
    // The stroke type of the run of bouncing notes the last entry is about.
    let mut bouncing = None;
    for stroke in &analysis.strokes {
        let first = &analysis.line[analysis.bowed[stroke.notes.start].note];
        let spot = |below: f64, words: String| SlowPractice {
            event: first.id(),
            at: first.onset,
            place: lesson.score.place(first.onset).short(),
            below,
            words,
        };
        let bounces = stroke.notes.clone().filter_map(|k| {
            let note = &analysis.line[analysis.bowed[k].note];
            let written_s = analysis.seconds_at(note.end()) - analysis.seconds_at(note.onset);
            let kind = analysis.bowed[k].stroke_type;
            longest_bounce(kind).map(|limit| (kind, written_s / limit))
        });
        let hardest = bounces.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, below)| *below > slowest);
        if let Some((kind, below)) = hardest {
            match found.last_mut().filter(|_| bouncing == Some(kind)) {
                Some(last) => last.below = last.below.max(below),
                None => found.push(spot(below, String::new())),
            }
            bouncing = Some(kind);
            if let Some(last) = found.last_mut() {
                last.words = format!(
                    "Below {:.0} % of the tempo this {} does not bounce: practise it from the string with a \
                     stop after every note, in the same place on the bow, not with longer strokes.",
                    last.below * 100.0,
                    kind.word()
                );
            }
            continue;
        }
        bouncing = None;
        let notes = stroke.notes.clone();
        if !notes.clone().any(|k| analysis.problem.pieces[k].moves()) {
            continue;
        }
        let seconds: f64 = notes.map(|k| analysis.bowed[k].sounding_s).sum();
        let below = seconds / most_s;
        if below > slowest {
            found.push(spot(
                below,
                format!(
                    "Below {:.0} % of the tempo this stroke lasts longer than the slowest bow, {most_s:.0} s: \
                     practise it with stops, the bow waiting on the string, with the same division of the \
                     bow, not with more bows.",
                    below * 100.0
                ),
            ));
        }
    }
    found
}

/// The longest note in which a stroke still bounces, s; none for strokes that do not bounce.
fn longest_bounce(stroke: StrokeType) -> Option<f64> {
    match stroke {
        StrokeType::Spiccato => Some(STOPPED_FROM_S),
        StrokeType::Sautille => Some(SAUTILLE_TO_S),
        StrokeType::Ricochet => Some(RICOCHET_TO_S),
        _ => None,
    }
}
