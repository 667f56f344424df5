//! Which finding of one analysis is the same as one of another: by its kind and its place.

use std::collections::BTreeMap;

use crate::{
    analysis::Analysis,
    bowing::{Finding, Kind, Verdict},
    score::EventId,
};

/// The findings of an analysis by stroke.
pub(in crate::advice) struct Told {
    stroke_of: BTreeMap<EventId, usize>,
    /// By stroke and family: the worst verdict.
    spots: BTreeMap<(usize, Family), Verdict>,
}

/// What the cause has to do with. All ways of having no hair left are one: curing one by another
/// is no cure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::advice) enum Family {
    NoHairLeft,
    Tight,
    Notice(Kind),
}

pub(in crate::advice) fn family(finding: &Finding) -> Family {
    match finding.verdict {
        Verdict::Impossible | Verdict::RunsOut => Family::NoHairLeft,
        Verdict::Tight => Family::Tight,
        Verdict::Notice => Family::Notice(finding.kind),
    }
}

impl Told {
    pub(in crate::advice) fn new(analysis: &Analysis) -> Self {
        let mut stroke_of = BTreeMap::new();
        for (k, bowed) in analysis.bowing.notes.iter().enumerate() {
            let events = &analysis.line.notes[bowed.note].events;
            stroke_of.extend(events.iter().map(|id| (*id, analysis.stroke_of(k))));
        }
        let mut told = Self { stroke_of, spots: BTreeMap::new() };
        for finding in &analysis.findings.told {
            for event in finding.events() {
                if let Some(stroke) = told.stroke_of.get(&event) {
                    let worst = told.spots.entry((*stroke, family(finding))).or_insert(finding.verdict);
                    *worst = finding.verdict.min(*worst);
                }
            }
        }
        told
    }

    /// True when both notes are in one stroke here.
    pub(in crate::advice) fn same_stroke(&self, a: EventId, b: EventId) -> bool {
        a == b || self.stroke_of.get(&a).is_some_and(|stroke| self.stroke_of.get(&b) == Some(stroke))
    }

    /// True when something of this kind, and as bad, was told on the stroke that holds the note.
    pub(in crate::advice) fn has(&self, finding: &Finding, event: EventId) -> bool {
        let worst = self.stroke_of.get(&event).and_then(|stroke| self.spots.get(&(*stroke, family(finding))));
        worst.is_some_and(|worst| *worst <= finding.verdict)
    }
}
