//! What is otherwise at the slow tempo and at the full one.

use std::ops::Range;

use super::{Claim, Draft, Says, story::Story};
use crate::{
    analysis::Study,
    bowing::part_words,
    lesson::change::set_tempo_share,
    score::{StrokeType, sentence_case},
};

/// The slow tempo, as a share of the marked one. Assumed: the tempo at which notes are learned.
pub const SLOW_SHARE: f64 = 0.5;
/// A stroke that takes so much more or less of the hair is told of, as a share of the hair. Assumed.
const OTHER: f64 = 0.15;
/// Practised nearer to a tempo than this share of it the lesson is at that tempo. Assumed.
const NEAR: f64 = 0.1;

/// A lesson at the tempos that are spoken of beside its own; none where its own is that one already.
#[derive(Clone, Debug)]
pub struct Tempos {
    slow: Option<Study>,
    full: Option<Study>,
}

impl Tempos {
    /// Plans the lesson slowly, and at its full tempo.
    pub fn new(study: &Study) -> Self {
        let own = study.lesson().setup.tempo_share;
        let at = |share: f64| {
            let (lesson, _) = set_tempo_share(study.lesson(), share).ok()?.apply(study.lesson()).ok()?;
            Some(study.with(lesson))
        };
        Self {
            slow: (own > SLOW_SHARE * (1.0 + NEAR)).then(|| at(SLOW_SHARE)).flatten(),
            full: (own < 1.0 - NEAR).then(|| at(1.0)).flatten(),
        }
    }

    /// The lesson at half its tempo.
    pub fn slow(&self) -> Option<&Study> {
        self.slow.as_ref()
    }

    /// The lesson at its full tempo.
    pub fn full(&self) -> Option<&Study> {
        self.full.as_ref()
    }
}

impl Story<'_> {
    /// What changes in a phrase at other tempos.
    pub fn tempos(&self, strokes: &Range<usize>) -> Vec<Draft> {
        let Some(tempos) = self.tempos else { return Vec::new() };
        let slow = tempos.slow().and_then(|slow| self.slowly(slow, strokes));
        let full = tempos.full().and_then(|full| self.in_full(full, strokes));
        slow.into_iter().chain(full).collect()
    }

    fn slowly(&self, slow: &Study, strokes: &Range<usize>) -> Option<Draft> {
        let other = slow.analysis();
        let (plan, here) = (&other.plan, &self.analysis.plan);
        for stroke in strokes.clone() {
            let notes = self.evidence.strokes()[stroke].notes.clone();
            let Some(there) = other.stroke_of_event(self.analysis.note(notes.start).id()) else { continue };
            let there = other.stroke(there).notes.clone();
            let fails = |plan: &crate::bowing::Plan, notes: &Range<usize>| {
                (plan.unplanned[notes.clone()].contains(&true), plan.run_out(notes).is_some())
            };
            let (impossible, runs_out) = fails(plan, &there);
            if fails(here, &notes) != (false, false) || !impossible && !runs_out {
                continue;
            }
            let called = self.stroke_in_bar(stroke);
            let text = if impossible {
                format!("At half the tempo the bow is too short for {called}: practise it in two bows.")
            } else {
                format!("At half the tempo the bow runs out on {called} unless it starts very slowly.")
            };
            let claim = Claim::RunsOut { note: notes.start, share: SLOW_SHARE };
            return Some(Draft::new(notes, Says::Slow, vec![claim], &text));
        }
        let bounces =
            |kind| matches!(kind, StrokeType::Spiccato | StrokeType::Sautille | StrokeType::Ricochet);
        let note = self.notes(strokes).find(|&note| {
            let event = self.analysis.note(note).id();
            let there = other.bowed_of_event(event).map(|note| other.bowed(note).stroke_type);
            bounces(self.analysis.bowed(note).stroke_type) && there.is_some_and(|there| !bounces(there))
        })?;
        let text = "At half the tempo the bow does not bounce: stop each short note on the string, at the same place.";
        Some(Draft::new(note..note + 1, Says::Slow, Vec::new(), text))
    }

    fn in_full(&self, full: &Study, strokes: &Range<usize>) -> Option<Draft> {
        let other = full.analysis();
        let hair = other.plan.problem.hair_mm.max(1.0);
        let there = |stroke: usize| {
            let first = self.evidence.strokes()[stroke].notes.start;
            let there = other.stroke_of_event(self.analysis.note(first).id())?;
            let notes = other.stroke(there).notes.clone();
            let planned = !other.plan.unplanned[notes.clone()].contains(&true) && self.is_planned(stroke);
            planned.then(|| notes.map(|note| other.plan.used_mm(note)).sum::<f64>() / hair)
        };
        let changed =
            strokes.clone().filter_map(|stroke| Some((stroke, there(stroke)?, self.travel(stroke))));
        let (stroke, share, own) = changed.max_by(|a, b| (a.1 - a.2).abs().total_cmp(&(b.1 - b.2).abs()))?;
        if (share - own).abs() < OTHER || part_words(share) == part_words(own) {
            return None;
        }
        let notes = self.evidence.strokes()[stroke].notes.clone();
        let text = format!(
            "At the full tempo {} takes {}, not {} as now.",
            self.stroke_in_bar(stroke),
            part_words(share),
            part_words(own)
        );
        let claims = vec![
            Claim::Takes { note: notes.start, share, tempo: Some(1.0) },
            Claim::Takes { note: notes.start, share: own, tempo: None },
        ];
        Some(Draft::new(notes, Says::Full, claims, &sentence_case(&text)))
    }
}
