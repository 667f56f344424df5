//! The handout: pages made in one step, and the blocks beside the pages.

use egui::{Context, Ui};

use crate::{
    desk::{
        command::{Command, Page},
        handout::{HandoutInput, handout_ui},
        state::{findings::Which, now::Now, view::Stage},
    },
    lesson::change,
};

use super::Desk;

impl Desk {
    /// Draws the blocks of the handout and its pages.
    pub(super) fn handout_ui(&mut self, ui: &mut Ui, now: &Now, commands: &mut Vec<Command>) {
        let is_kept = self.kept.is_some();
        let input = HandoutInput { now, view: &self.view, is_kept, work: &self.work.handout };
        handout_ui(ui, &input, &mut self.panels.handout, &mut self.drawn.painter, commands);
    }

    /// A page for the bars of the selected notes, or of the loop.
    pub(super) fn page_for_bars(&mut self, ctx: &Context) {
        match self.practised_bars() {
            Some(bars) => self.make_page(Page::Bars(bars), ctx),
            None => self.say("Select notes first: their bars come on the page"),
        }
    }

    /// A page for the next notes that sound together, from the playhead on.
    pub(super) fn page_for_double_stop(&mut self, ctx: &Context, now_s: f64) {
        let analysis = self.history.study().analysis();
        let now = analysis.bow_at(self.view.clock.tick(now_s).position).note.unwrap_or(0);
        let notes = analysis.line.notes.iter();
        let stops = notes.enumerate().filter(|(_, attack)| attack.notes.len() > 1);
        let stops: Vec<_> = stops.map(|(index, attack)| (index, attack.id())).collect();
        let next = stops.iter().find(|(index, _)| *index >= now).or(stops.last());
        match next.map(|(_, id)| *id) {
            Some(note) => self.make_page(Page::DoubleStop(note), ctx),
            None => self.say("No notes sound together in this music"),
        }
    }

    /// Begins to copy a block as an image.
    pub(super) fn copy_block(&mut self, index: usize, ctx: &Context) {
        self.work.handout.copy(self.history.study(), index, ctx);
        self.say("Drawing the block…");
    }

    /// Begins to make a page; what is known of what helps is taken.
    pub(super) fn make_page(&mut self, page: Page, ctx: &Context) {
        let study = self.history.study();
        let known = match page {
            Page::Finding(index) => {
                let which = study.analysis().findings.told.get(index).map(Which::of);
                let advice = which.and_then(|which| self.work.remedies.advice(which));
                advice.filter(|advice| advice.is_done).map(|advice| advice.remedies.clone())
            }
            _ => None,
        };
        let kept = self.kept.as_ref().map(|kept| (kept.study().clone(), kept.words().to_owned()));
        self.work.handout.start(study, page, (known, kept), ctx);
        self.say("Making the page…");
    }

    /// Takes in the page that was made: it comes behind what is on the handout, and is shown.
    pub(super) fn turn_handout(&mut self, ctx: &Context, now_s: f64) {
        match self.work.handout.copied() {
            Some(Ok(image)) => {
                let [wide, high] = image.size;
                ctx.copy_image(image);
                self.say(&format!("Copied as an image of {wide} by {high} pixels"));
            }
            Some(Err(error)) => self.say(&format!("Not copied: {error}")),
            None => {}
        }
        let study = self.history.study();
        if self.view.stage == Stage::Handout {
            self.work.handout.turn(study, now_s, ctx);
        }
        if self.underway.is_none()
            && let Some(made) = self.work.handout.made(study)
        {
            self.edit(move |lesson| Ok(change::add_to_handout(lesson, made)), now_s);
            self.view.stage = Stage::Handout;
        }
    }
}
