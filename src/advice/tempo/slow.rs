//! What to practise slowly in another way than as it is at the marked tempo.

use crate::{
    analysis::Study,
    bowing::STOPPED_FROM_S,
    lesson::Lesson,
    score::{EventId, Quarters, StrokeType},
};

use super::{
    bands::percent,
    groups::{LadderPlace, named},
    strokes::bars_of,
};

/// Strokes that do not survive slow practice, and what to practise instead.
#[derive(Clone, Debug, PartialEq)]
pub struct SlowPractice {
    /// What is so of all of them, and what to do.
    pub words: String,
    /// The strokes, or the runs of equal bouncing ones.
    pub spots: Vec<SlowSpot>,
    /// The strokes bounce, and cannot be slow for that.
    pub bounces: bool,
    /// Their bars in words.
    pub places: Vec<LadderPlace>,
}

/// One of those strokes, or a run of them.
#[derive(Clone, Debug, PartialEq)]
pub struct SlowSpot {
    /// First written note.
    pub event: EventId,
    /// Where it starts.
    pub at: Quarters,
    /// First and last bar, as indices.
    pub bars: (usize, usize),
    /// Share of the marked tempo below which it cannot be played as it is.
    pub below: f64,
}

/// Longest note the stick bounces by itself in, s: sixteenths at quarter = 100 (Klopčič 2021 after
/// Dounis, in the Journal of the American Viola Society, Fall 2023).
const SAUTILLE_TO_S: f64 = 0.15;
/// Longest note of a ricochet, s: ten attacks a second (Guettler 1997).
const RICOCHET_TO_S: f64 = 0.1;

/// So many thrown or bouncing notes in a row are a passage of that stroke: two dotted notes are just
/// short. Assumed.
const PASSAGE: usize = 3;

/// Why strokes cannot be slow.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Limit {
    /// They would last longer than the slowest bow.
    Bow,
    /// So they do at the marked tempo, too.
    BowAsMarked,
    /// The stick does not bounce so slowly.
    Bounce(StrokeType),
}

/// Strokes that cannot be played at the slowest share as they are at the marked tempo: those that
/// bounce, and those that last longer than the player's slowest bow on the hair there is.
pub(super) fn slow_practice(study: &Study, slowest: f64) -> Vec<SlowPractice> {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let (lo, hi) = analysis.plan.problem.usable;
    let most_s = (hi - lo) / lesson.setup.slowest_mm_per_s();
    // With each spot how many notes it has.
    let mut found: Vec<(Limit, Vec<(SlowSpot, usize)>)> = Vec::new();
    // The kind of the stroke before, where that bounces: a run of them is one spot.
    let mut bouncing = None;
    for stroke in &analysis.bowing.strokes {
        let note = |k: usize| analysis.note(k);
        let (first, end) = (note(stroke.notes.start), note(stroke.notes.end - 1).end());
        let bounces = stroke.notes.clone().filter_map(|k| {
            let written_s = analysis.seconds_at(note(k).end()) - analysis.seconds_at(note(k).onset);
            let kind = analysis.bowed(k).stroke_type;
            longest_bounce(kind).map(|limit| (kind, written_s / limit))
        });
        let hardest = bounces.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, below)| *below > slowest);
        let goes_on = bouncing;
        bouncing = hardest.map(|(kind, _)| kind);
        let moves = stroke.notes.clone().any(|k| analysis.piece(k).moves());
        let seconds: f64 = stroke.notes.clone().map(|k| analysis.bowed(k).sounding_s).sum();
        let (limit, below) = match hardest {
            Some((kind, below)) => (Limit::Bounce(kind), below),
            None if !moves || seconds <= slowest * most_s => continue,
            None if seconds > most_s => (Limit::BowAsMarked, seconds / most_s),
            None => (Limit::Bow, seconds / most_s),
        };
        let bars = bars_of(&lesson.score, first.onset, end);
        let spot = SlowSpot { event: first.id(), at: first.onset, bars, below };
        let count = stroke.notes.len();
        match found.iter_mut().find(|(other, _)| *other == limit) {
            Some((_, spots)) => {
                match spots.last_mut().filter(|_| bouncing.is_some() && goes_on == bouncing) {
                    Some((last, notes)) => {
                        (last.below, last.bars.1) = (last.below.max(below), bars.1);
                        *notes += count;
                    }
                    None => spots.push((spot, count)),
                }
            }
            None => found.push((limit, vec![(spot, count)])),
        }
    }
    let practised = found.into_iter().filter_map(|(limit, mut spots)| {
        spots.retain(|(_, notes)| !matches!(limit, Limit::Bounce(_)) || *notes >= PASSAGE);
        let spots: Vec<SlowSpot> = spots.into_iter().map(|(spot, _)| spot).collect();
        (!spots.is_empty()).then(|| told(lesson, limit, most_s, spots))
    });
    practised.collect()
}

fn told(lesson: &Lesson, limit: Limit, most_s: f64, spots: Vec<SlowSpot>) -> SlowPractice {
    let words = match limit {
        Limit::Bow => format!(
            "played slowly, one bow here lasts longer than this player's slowest bow, {most_s:.1} s: \
             practise with stops, the bow waiting on the string, with the same division of the bow, not with \
             more bows"
        ),
        Limit::BowAsMarked => format!(
            "one bow here lasts longer than this player's slowest bow, {most_s:.1} s, at the marked tempo, \
             too: it needs another bow, or a faster tempo"
        ),
        Limit::Bounce(kind) => {
            let below = spots.iter().map(|spot| spot.below).fold(0.0, f64::max);
            format!(
                "below {} of the tempo {} does not bounce: practise it from the string with a stop after \
                 every note, in the same place on the bow, not with longer strokes",
                percent(below),
                kind.word()
            )
        }
    };
    let places = named(&lesson.score, spots.iter().map(|spot| (spot.event, spot.bars)));
    SlowPractice { words, spots, bounces: matches!(limit, Limit::Bounce(_)), places }
}

/// The longest note in which a stroke still bounces, s; none for strokes that do not bounce.
pub fn longest_bounce(stroke: StrokeType) -> Option<f64> {
    match stroke {
        StrokeType::Spiccato => Some(STOPPED_FROM_S),
        StrokeType::Sautille => Some(SAUTILLE_TO_S),
        StrokeType::Ricochet => Some(RICOCHET_TO_S),
        StrokeType::Detache
        | StrokeType::Legato
        | StrokeType::Portato
        | StrokeType::SlurredStaccato
        | StrokeType::Martele
        | StrokeType::Lifted
        | StrokeType::Colle
        | StrokeType::Tremolo => None,
    }
}
