//! What a slower or faster bow takes from the music: the plan follows the new wish without complaint, but
//! the dynamic still asks for the old one.

use std::collections::BTreeMap;

use super::super::standing::told_weight;
use crate::{
    analysis::Study,
    bowing::{Verdict, heard_bend},
    score::EventId,
};

/// Notes that a change plays slower or faster than they were asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bent {
    /// What the old wishes would cost in the new plan, beyond what the new ones do.
    pub weight: f64,
    /// Least and greatest part of the bow that a stroke was to have; 1 where it has all of it.
    pub least: f64,
    pub most: f64,
}

/// A light bow so short goes by, s. Assumed.
const GOES_BY_S: f64 = 0.5;

/// A smaller part of the bow than this is heard as a softer sound. Assumed.
pub(super) const HEARD_PART: f64 = 0.67;

impl Bent {
    /// A stroke gets so little that it sounds softer than marked.
    pub(super) fn is_thin(&self) -> bool {
        self.least < HEARD_PART
    }

    /// What two lessons of the same notes ask for otherwise.
    pub(super) fn between(before: &Study, after: &Study) -> Self {
        let factors = |study: &Study| -> BTreeMap<EventId, f64> {
            let events = study.lesson().score.events.iter();
            events.filter_map(|event| Some((event.id, event.speed_factor?))).collect()
        };
        let (was, is) = (factors(before), factors(after));
        let mut bent = Self { weight: 0.0, least: 1.0, most: 1.0 };
        if was == is {
            return bent;
        }
        let factor = |of: &BTreeMap<EventId, f64>, id: EventId| of.get(&id).copied().unwrap_or(1.0);
        let analysis = after.analysis();
        let limit = after.lesson().setup.school.tight_ratio;
        for stroke in &analysis.bowing.strokes {
            let (mut used_mm, mut asked_mm, mut changed) = (0.0, 0.0, false);
            for k in stroke.notes.clone() {
                let (piece, id) = (analysis.piece(k), analysis.note(k).id());
                let (used, wanted) = (analysis.plan.used_mm(k), piece.wanted_travel_mm());
                let asked = wanted * factor(&was, id) / factor(&is, id);
                (used_mm, asked_mm) = (used_mm + used, asked_mm + asked);
                if asked != wanted && used > 0.0 {
                    changed = true;
                    let cost = |asked: f64| used / asked + asked / used;
                    bent.weight += piece.speed_weight * (cost(asked) - cost(wanted));
                }
            }
            if changed && asked_mm > 0.0 && used_mm > 0.0 {
                let ratio = used_mm / asked_mm;
                (bent.least, bent.most) = (bent.least.min(ratio), bent.most.max(ratio));
                // A short, light bow may go by quickly: it does not stick out.
                let seconds: f64 = stroke.notes.clone().map(|k| analysis.piece(k).seconds).sum();
                if ratio < 1.0 / limit || ratio > limit && seconds > GOES_BY_S {
                    bent.weight += told_weight(Verdict::Tight, heard_bend(ratio));
                }
            }
        }
        bent
    }
}
