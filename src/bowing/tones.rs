//! The tone of every bowed note: what the plan means for speed, weight and sounding point.

use crate::{
    arm::{LeftHand, Placement, Plane},
    score::{Attack, Line, Mark},
    setup::Setup,
    tone::{Asked, ToneNote, judge},
};

use super::{Bowed, Bowing, Plan};

/// The tone of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Tones {
    /// The tone of each bowed note.
    pub notes: Vec<ToneNote>,
    /// What was asked of each.
    asked: Vec<Asked>,
}

impl Tones {
    /// What this set-up gives for what is asked of each note. Where a note was asked the same of the same
    /// set-up before, its tone is taken over.
    pub fn new(setup: &Setup, asked: Vec<Asked>, before: Option<&Self>) -> Self {
        let known = |k: usize, note: &Asked| -> Option<&ToneNote> {
            let before = before?;
            // As far from the start, or as far from the end.
            let from_end = (k + before.asked.len()).checked_sub(asked.len());
            let same = |k: &usize| before.asked.get(*k) == Some(note);
            [Some(k), from_end].into_iter().flatten().find(same).map(|k| &before.notes[k])
        };
        let tone = |(k, note): (usize, &Asked)| known(k, note).cloned().unwrap_or_else(|| judge(setup, note));
        let notes = asked.iter().enumerate().map(tone).collect();
        Self { notes, asked }
    }
}

/// What a plan asks of the tone of each bowed note.
///
/// Where slow practice keeps the hair, the tone told is that of the marked tempo: the same place on the
/// string and the same feeling of weight are what is practised.
pub fn asked(setup: &Setup, line: &Line, bowing: &Bowing, plan: &Plan, left_hand: &LeftHand) -> Vec<Asked> {
    let slow = if setup.school.slow_keeps_hair { setup.tempo_share.min(1.0) } else { 1.0 };
    let note = |(k, bowed): (usize, &Bowed)| {
        let attack = &line.notes[bowed.note];
        let piece = plan.piece(k);
        // A grace note takes its own time at every tempo.
        let slow = if attack.grace.is_some() { 1.0 } else { slow };
        let ratio = plan.speed_ratio(k);
        // What the user takes of the bow is measured by what the dynamic asks for, too.
        let own = attack.speed_factor.max(1e-3);
        let (start, end) = plan.places_mm(k);
        Asked {
            strings: sounding(setup, attack, left_hand.placements.get(bowed.note)),
            level: line.dynamics.level((attack.onset.to_f64() + attack.end().to_f64()) / 2.0),
            wanted_mm_per_s: piece.wanted_mm / (piece.seconds * slow * own),
            // What cannot be played is not planned either.
            ratio: if ratio > 0.0 { ratio * own } else { own },
            place_mm: (start + end) / 2.0,
        }
    };
    bowing.notes.iter().enumerate().map(note).collect()
}

/// The strings of the bow plane an attack ends on, with the height of its notes in half steps.
fn sounding(setup: &Setup, attack: &Attack, placement: Option<&Placement>) -> Vec<(u8, f64)> {
    let Some(placement) = placement else { return Vec::new() };
    let on_plane = |string: u8| match placement.plane {
        Plane::String(n) => string == n,
        Plane::Pair(n) => string == n || string == n + 1,
    };
    let strings = &setup.instrument.strings;
    let mut sounding: Vec<(u8, f64)> = attack
        .notes
        .iter()
        .zip(&placement.strings)
        .filter(|(_, string)| on_plane(**string))
        .map(|(note, &string)| {
            let open = strings.get(usize::from(string).saturating_sub(1)).map(|open| open.pitch.midi());
            let harmonic = note.harmonic || attack.marks.contains(&Mark::Harmonic);
            let height = open.filter(|_| !harmonic).map_or(0.0, |open| note.pitch.midi() - open);
            (string, height)
        })
        .collect();
    sounding.sort_by_key(|(string, _)| *string);
    sounding.dedup_by_key(|(string, _)| *string);
    sounding
}
