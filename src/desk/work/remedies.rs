//! Remedies for findings, tried in the background: the open finding first, then those that may be
//! opened next.

use std::collections::BTreeMap;

use egui::Context;

use crate::{
    advice::{Remedy, each_remedy, rank},
    analysis::{Study, StudyId},
    desk::state::findings::Which,
};

use super::{
    calm::Calm,
    job::{Job, let_go},
};

/// The lesson must stand still so long before remedies are tried, s: a drag changes it every frame.
/// Assumed.
const CALM_S: f64 = 0.15;
/// Findings whose remedies are remembered; each remedy holds a whole lesson. Assumed.
const MOST_KEPT: usize = 3;

/// What is known about the remedies of one finding.
#[derive(Debug, Default)]
pub struct Advice {
    /// Those that help, as they were found; the best first once they were put in order.
    pub remedies: Vec<Remedy>,
    /// How many changes were tried, and how many there are to try.
    pub tried: (usize, usize),
    /// All were tried.
    pub is_done: bool,
    /// The remedies were put in order.
    is_in_order: bool,
}

/// A change that was tried, and how far that brings the work.
struct Tried {
    remedy: Option<Box<Remedy>>,
    count: (usize, usize),
}

/// Finds remedies off the window's thread. What it knows belongs to one study.
#[derive(Default)]
pub struct Remedies {
    calm: Calm,
    known: BTreeMap<Which, Advice>,
    running: Option<(Which, Job<Tried>)>,
}

impl Remedies {
    /// What is known about a finding of the study.
    pub fn advice(&self, which: Which) -> Option<&Advice> {
        self.known.get(&which)
    }

    /// The remedy that leads to a study.
    pub fn leading_to(&self, id: StudyId) -> Option<&Remedy> {
        self.known.values().flat_map(|advice| &advice.remedies).find(|remedy| remedy.study.id() == id)
    }

    /// Takes in what was found and sees to it that work goes on. `wanted` are the findings to look
    /// at, the most wanted first. Call it every frame.
    pub fn turn(&mut self, study: &Study, wanted: &[Which], now_s: f64, ctx: &Context) {
        if self.calm.is_new(study.id(), now_s) {
            let_go((std::mem::take(&mut self.known), self.running.take()));
        }
        self.take_in();
        let first = wanted.first().copied();
        if self.running.as_ref().is_some_and(|(which, _)| Some(*which) != first) {
            let waits = first.is_some_and(|first| !self.is_done(first));
            // What was begun ahead gives way to what is looked at.
            if let Some((which, _)) = self.running.take_if(|_| waits) {
                self.known.remove(&which);
            }
        }
        if self.running.is_some() {
            return;
        }
        let Some(next) = wanted.iter().copied().find(|which| !self.is_done(*which)) else { return };
        if self.calm.lasts(CALM_S, now_s, ctx) {
            self.start(next, study, ctx);
        }
        if self.known.len() > MOST_KEPT {
            self.known.retain(|which, _| wanted.contains(which));
        }
    }

    /// Puts the remedies of a finding in order, the best first, once all were tried.
    pub fn put_in_order(&mut self, which: Which) {
        let Some(advice) = self.known.get_mut(&which).filter(|advice| advice.is_done && !advice.is_in_order)
        else {
            return;
        };
        advice.remedies = rank(std::mem::take(&mut advice.remedies));
        advice.is_in_order = true;
    }

    fn is_done(&self, which: Which) -> bool {
        self.known.get(&which).is_some_and(|advice| advice.is_done)
    }

    fn take_in(&mut self) {
        let Some((which, job)) = &mut self.running else { return };
        let advice = self.known.entry(*which).or_default();
        while let Some(tried) = job.next() {
            advice.tried = tried.count;
            // A new one goes to the end: no other moves while a hand is on its way to it.
            let is_new =
                |new: &Remedy| advice.remedies.iter().all(|old| old.study.lesson() != new.study.lesson());
            let new = tried.remedy.filter(|remedy| remedy.helps() && is_new(remedy));
            advice.remedies.extend(new.map(|remedy| *remedy));
        }
        if job.is_over() {
            advice.is_done = true;
            self.running = None;
        }
    }

    fn start(&mut self, which: Which, study: &Study, ctx: &Context) {
        let finding =
            which.index(study.analysis()).map(|index| study.analysis().findings.told[index].clone());
        let Some(finding) = finding else {
            self.known.insert(which, Advice { is_done: true, ..Advice::default() });
            return;
        };
        self.known.insert(which, Advice::default());
        let study = study.clone();
        let job = Job::start("remedies", ctx, move |line| {
            each_remedy(&study, &finding, &mut |remedy, count| {
                line.send(Tried { remedy: remedy.map(Box::new), count });
                line.is_wanted()
            });
        });
        self.running = job.map(|job| (which, job));
    }
}
