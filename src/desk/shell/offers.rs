//! What is on offer: remedies and suggestions, found in the background, looked at, taken.

use egui::Context;

use crate::{
    advice::Freedom,
    analysis::StudyId,
    desk::{
        music::scene::Scene,
        state::{
            files::Then,
            findings::Which,
            view::{Drawer, Stage, Told},
        },
        work::search::first_bar,
    },
};

use super::Desk;

impl Desk {
    /// Sees to what goes on in the background: remedies for the open finding and, at leisure, for
    /// the one that may be opened next; the search, the ladder, the comparison.
    pub(super) fn turn_work(&mut self, ctx: &Context, now_s: f64) {
        let study = self.history.study();
        self.work.comparison.turn(self.kept.as_mut(), study, ctx);
        if self.view.drawer == Some(Drawer::Ladder) {
            self.work.ladder.turn(study, now_s, ctx);
        } else {
            self.work.ladder.rest();
        }
        if self.view.drawer == Some(Drawer::Curves) {
            self.work.curves.turn(study, self.panels.curves.quantity(), ctx);
        }
        self.work.care.turn(study, now_s, ctx);
        if self.view.told == Told::Words || self.view.stage == Stage::Stand {
            self.work.wording.turn(study, now_s, ctx);
        }
        self.turn_handout(ctx, now_s);
        let study = self.history.study();
        let wanted = self.wanted();
        let remedies = &mut self.work.remedies;
        remedies.turn(study, &wanted, now_s, ctx);
        if let Some(open) = self.panels.findings.open.filter(|_| !self.panels.findings.pointed_at) {
            remedies.put_in_order(open);
        }
        if let Some(bar) = self.work.search.turn(study) {
            // What is suggested is looked at on the hair map; it must be in view.
            self.bring_into_view(bar);
        }
        match self.work.exercise.turn(self.history.study()) {
            Some(Ok(made)) => self.leave(Then::Show(made), ctx),
            Some(Err(why)) => self.say(&why),
            None => {}
        }
    }

    /// The findings to look for remedies for: the open one, and while nothing plays the next.
    fn wanted(&self) -> Vec<Which> {
        let analysis = self.history.study().analysis();
        let list = self.panels.findings.steps(analysis);
        let open = self.panels.findings.open;
        let place = open.and_then(|open| open.index(analysis));
        let place = place.and_then(|index| list.iter().position(|other| *other == index));
        let next = list.get(place.map_or(0, |place| place + 1)).filter(|_| !self.view.clock.is_playing());
        let next = next.map(|index| Which::of(&analysis.findings.told[*index]));
        open.into_iter().chain(next).collect()
    }

    /// Looks for a bowing of the chosen notes, or of the whole part where fewer than two are chosen.
    pub(super) fn search(&mut self, freedom: Freedom, whole: bool, ctx: &Context) {
        let chosen = &self.view.selection;
        let events = (!whole && chosen.len() > 1).then(|| chosen.clone());
        self.work.search.start(self.history.study(), events, freedom, ctx);
    }

    /// Shows a drawer in the place of the bow; a second call puts it away.
    pub(super) fn open_drawer(&mut self, drawer: Option<Drawer>) {
        self.view.drawer = drawer.filter(|drawer| self.view.drawer != Some(*drawer));
        self.view.offer = None;
        if self.view.drawer != Some(Drawer::Suggest) {
            self.work.search.cancel();
        }
    }

    /// Looks at the next offer, or the one before; past either end, at none.
    pub(super) fn step_offer(&mut self, forward: bool) {
        let suggests = self.view.drawer == Some(Drawer::Suggest);
        let answers = self.work.search.answers();
        let offers: Vec<StudyId> = if suggests && !answers.is_empty() {
            answers.iter().map(|answer| answer.study.id()).collect()
        } else {
            self.remedies().iter().map(|remedy| remedy.study.id()).collect()
        };
        if offers.is_empty() {
            self.say(if suggests {
                "Press Suggest first; the answers are shown under it"
            } else {
                "Open a finding first; what helps is listed under it"
            });
        }
        // Counted from 1; 0 is none.
        let place = self.view.offer.and_then(|id| offers.iter().position(|other| *other == id));
        let place: usize = place.map_or(0, |place| place + 1);
        let steps = offers.len() + 1;
        let place = if forward { place + 1 } else { place + steps - 1 } % steps;
        self.view.offer = place.checked_sub(1).map(|place| offers[place]);
    }

    /// Makes the change that leads to a study, as one step.
    pub(super) fn take(&mut self, offer: StudyId, now_s: f64) {
        let remedy = self.work.remedies.leading_to(offer).map(|remedy| {
            (remedy.trial.edit.clone(), format!("{} · {}", remedy.trial.words, remedy.effect), None)
        });
        let taken = remedy.or_else(|| {
            let answer = self.work.search.leading_to(offer)?;
            let words = format!("Taken · {}", answer.headline);
            Some((answer.edit.clone(), words, Some(first_bar(self.history.study(), answer))))
        });
        let Some((edit, words, first_bar)) = taken else { return };
        let go_on = move |desk: &mut Self, made, _: f64| {
            if made == Ok(true) {
                desk.view.message = Some(words);
                if let Some(bar) = first_bar {
                    desk.bring_into_view(bar);
                }
            }
        };
        self.edit_then(move |_| Ok(edit), None, go_on, now_s);
    }

    /// Makes the change that is looked at.
    pub(super) fn take_chosen(&mut self, now_s: f64) {
        match self.view.offer {
            Some(offer) => self.take(offer, now_s),
            None => self.say("Look at what helps first, with the down arrow"),
        }
    }

    /// Shows the music from this bar on, unless the bar is in view.
    fn bring_into_view(&mut self, bar: usize) {
        let is_seen = |scene: &Scene| (scene.bars.0..scene.bars.1).contains(&bar);
        if !self.drawn.scene.as_ref().is_some_and(is_seen) {
            self.view.first_bar = bar;
        }
    }
}
