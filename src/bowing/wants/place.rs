//! Where on the bow each stroke would best lie.
//!
//! Loud and heavy near the frog, soft and light farther out, each kind of stroke where it lives (common
//! practice, no source; the shares of the hair assumed). A stroke has one place, that of its middle: the mean
//! of the places of its notes by their hair, moved as far as the whole stroke needs to lie on the bow. Its
//! notes then lie where they come in it.

use crate::{
    score::{Attack, BowPart, Line, StrokeType},
    setup::Setup,
};

use super::super::{Bowed, Bowing, Piece};
use super::accents;

/// How much an accent moves a note toward the frog, as a share of the hair. Assumed; that accents are easier
/// there is common practice.
const ACCENT: f64 = 0.1;
/// Nothing is wanted nearer to the ends of the hair. Assumed.
const NEAR_THE_ENDS: (f64, f64) = (0.1, 0.9);
/// Chords of three and four begin at the frog and end near the balance point; this is their middle. Common
/// practice, the number assumed.
const CHORD: f64 = 0.3;
/// Separate notes shorter than the first are played in the middle and a little above it whatever their
/// dynamic, and longer than the second by their dynamic alone, s. Assumed; the place is common practice.
const FAST_S: (f64, f64) = (0.15, 0.3);
/// That part of the bow. Assumed.
const FAST: (f64, f64) = (0.45, 0.7);
/// Bounced notes of this length lie where that stroke lives, shorter ones higher, s. That faster is higher in the bow is
/// common practice, the number assumed.
const CALM_BOUNCE_S: f64 = 0.25;
/// Where the border to what springs is set as slow as that or slower, they go over within this, s. Assumed.
const LEAST_SPAN_S: f64 = 1e-3;
/// A place that a stroke needs counts this many times as much as one that a dynamic suggests. Assumed.
const FIRM: f64 = 3.0;
/// One that words ask for this many times. Assumed: enough that it is kept where the notes allow it.
const ASKED: f64 = 10.0;
/// Dynamic steps from mf to where a stroke lies at the end of its home. Assumed.
const HOME_STEPS: f64 = 3.0;

/// Why a note would best lie somewhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Reason {
    /// Words over the staff ask for a part of the bow.
    Words(BowPart),
    /// Chords of three and four notes begin near the frog.
    Chord,
    /// This kind of stroke lives there.
    Home(StrokeType),
    /// Fast separate notes lie about the middle.
    Fast,
    /// An accent comes more easily nearer the frog.
    Accent,
    /// Its dynamic.
    Dynamic,
}

/// Where a note would best lie for itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Liked {
    /// Share of the hair, frog 0 to tip 1.
    pub share: f64,
    /// How many times as much as a dynamic's suggestion it counts.
    pub firm: f64,
    pub reason: Reason,
}

/// Where a note would best lie for itself, at a level of the dynamics (0 ppp to 7 fff).
pub(crate) fn liked(setup: &Setup, note: &Attack, level: f64, bowed: &Bowed) -> Liked {
    // The whole bow has no place of its own.
    if let Some(part) = note.manner.part.filter(|part| *part != BowPart::Whole) {
        return Liked { share: part.share(), firm: ASKED, reason: Reason::Words(part) };
    }
    if note.notes.len() > 2 {
        return Liked { share: CHORD, firm: FIRM, reason: Reason::Chord };
    }
    if let Some((lo, hi)) = home(setup, bowed) {
        // Louder and broader nearer the frog.
        let louder = ((level - 4.0) / HOME_STEPS).clamp(-1.0, 1.0);
        let share = (lo + hi) / 2.0 - louder * (hi - lo) / 2.0;
        return Liked { share, firm: FIRM, reason: Reason::Home(bowed.stroke_type) };
    }
    let home = setup.player.home.map_or(0.0, |(lo, hi)| (lo + hi) / 2.0 - 0.5);
    let (lo, hi) = NEAR_THE_ENDS;
    let accents = accents(note);
    let by_dynamic = (setup.place(level) + home - ACCENT * accents).clamp(lo, hi);
    let reason = if accents > 0.0 { Reason::Accent } else { Reason::Dynamic };
    if setup.player.home.is_some() || bowed.stroke_type != StrokeType::Detache {
        return Liked { share: by_dynamic, firm: 1.0, reason };
    }
    let (fast_s, slow_s) = FAST_S;
    let slow = ((bowed.sounding_s - fast_s) / (slow_s - fast_s)).clamp(0.0, 1.0);
    let fast = by_dynamic.clamp(FAST.0, FAST.1);
    let share = fast + slow * (by_dynamic - fast);
    Liked { share, firm: 1.0, reason: if share == by_dynamic { reason } else { Reason::Fast } }
}

/// Where a kind of stroke lives, if it has a place of its own, shares of the hair. The faster notes bounce, the nearer
/// they come to where the fastest spring by themselves.
fn home(setup: &Setup, bowed: &Bowed) -> Option<(f64, f64)> {
    let habit = setup.habit(bowed.stroke_type);
    let home = habit.home?;
    let Some(sprung) =
        setup.habit(StrokeType::Sautille).home.filter(|_| bowed.stroke_type == StrokeType::Spiccato)
    else {
        return Some(home);
    };
    let shortest_s = 1.0 / setup.school.rules.bounce_border_per_s;
    let note_s = bowed.sounding_s / habit.sounding;
    let fast = ((CALM_BOUNCE_S - note_s) / (CALM_BOUNCE_S - shortest_s).max(LEAST_SPAN_S)).clamp(0.0, 1.0);
    let between = |here: f64, there: f64| here + fast * (there - here);
    Some((between(home.0, sprung.0), between(home.1, sprung.1)))
}

/// The places of the notes of each stroke: where the middle of each would best lie, mm, and what that weighs.
pub(super) fn places(
    setup: &Setup,
    line: &Line,
    bowing: &Bowing,
    models: &[Bowed],
    pieces: &[Piece],
    usable: (f64, f64),
) -> Vec<Vec<(f64, f64)>> {
    let hair = setup.bow.hair_mm;
    let stroke = |stroke: &super::super::Stroke| {
        let notes = stroke.notes.clone();
        let liked: Vec<Liked> = notes
            .clone()
            .map(|k| {
                let note = &line.notes[bowing.notes[k].note];
                liked(setup, note, line.dynamics.level(note.onset.to_f64()), &models[k])
            })
            .collect();
        let pieces = &pieces[notes];
        let wanted: f64 = pieces.iter().map(Piece::wanted_travel_mm).sum();
        let by_hair = |of: &dyn Fn(&Liked) -> f64| {
            if wanted > 0.0 {
                pieces
                    .iter()
                    .zip(&liked)
                    .map(|(piece, liked)| piece.wanted_travel_mm() * of(liked))
                    .sum::<f64>()
                    / wanted
            } else {
                liked.iter().map(of).sum::<f64>() / liked.len() as f64
            }
        };
        let room = (usable.0 + wanted / 2.0, usable.1 - wanted / 2.0);
        let middle =
            (hair * by_hair(&|liked| liked.share)).min(room.1).max(room.0.min((usable.0 + usable.1) / 2.0));
        let sign = stroke.direction.sign();
        let mut at = middle - sign * wanted / 2.0;
        let each = pieces.iter().zip(&liked).map(|(piece, liked)| {
            let half = sign * piece.wanted_travel_mm() / 2.0;
            at += 2.0 * half;
            (at - half, setup.school.place_weight * liked.firm)
        });
        each.collect()
    };
    bowing.strokes.iter().map(stroke).collect()
}
