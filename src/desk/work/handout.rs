//! The pages of the handout, and pages made in one step.

use std::sync::Arc;

use egui::{ColorImage, Context};

use crate::{
    advice::{Remedy, rank, remedies},
    analysis::{Study, StudyId},
    desk::command::Page,
    lesson::handout::{Before, Handout},
    picture::{
        Picture, RenderError, Theme,
        handout::{pages, single},
        png,
    },
    practice::handout::{of_double_stop, of_finding, of_levels, of_passage, of_versions, warm_up},
};

use super::{calm::Calm, job::Job};

/// The lesson must stand still so long before its pages are made, s. Assumed: between two letters typed.
const CALM_S: f64 = 0.25;

/// Pages as they will be printed, and a handout on its way.
#[derive(Default)]
pub struct HandoutWork {
    calm: Calm,
    is_begun: bool,
    job: Option<Job<Vec<Picture>>>,
    pages: Vec<Arc<Picture>>,
    of: Option<StudyId>,
    making: Option<Job<Handout>>,
    copying: Option<Job<Result<ColorImage, RenderError>>>,
}

impl HandoutWork {
    /// The pages; of the lesson as it was, until they are made anew.
    pub fn pages(&self) -> &[Arc<Picture>] {
        &self.pages
    }

    /// Pages are being made, or will be when the lesson stands still.
    pub fn is_under_way(&self) -> bool {
        self.job.is_some() || self.making.is_some() || self.copying.is_some()
    }

    /// Takes in the pages that were made, and begins anew when the lesson has changed. Call it every frame
    /// while they are shown.
    pub fn turn(&mut self, study: &Study, now_s: f64, ctx: &Context) {
        if self.calm.is_new(study.id(), now_s) {
            (self.is_begun, self.job) = (false, None);
        }
        if let Some(job) = &mut self.job {
            let made = job.next();
            if made.is_some() || job.is_over() {
                self.job = None;
            }
            if let Some(made) = made {
                self.pages = made.into_iter().map(Arc::new).collect();
            }
        }
        if self.is_begun || !(self.pages.is_empty() || self.calm.lasts(CALM_S, now_s, ctx)) {
            return;
        }
        self.is_begun = true;
        let study = study.clone();
        self.job = Job::start("handout", ctx, move |line| line.send(pages(&study, &study.lesson().handout)));
    }

    /// Begins to make a page in one step. What helps a finding is looked for, unless it is known.
    pub fn start(
        &mut self,
        study: &Study,
        page: Page,
        (known, kept): (Option<Vec<Remedy>>, Option<(Study, String)>),
        ctx: &Context,
    ) {
        let about = study.clone();
        self.of = Some(study.id());
        self.making = Job::start("page", ctx, move |line| {
            let made = match page {
                Page::Bars(bars) => Some(of_passage(&about, bars)),
                Page::Finding(index) => about.analysis().findings.told.get(index).map(|finding| {
                    of_finding(&about, finding, &known.map_or_else(|| remedies(&about, finding), rank))
                }),
                Page::Levels(levels, view) => Some(of_levels(&about, &levels, view)),
                Page::DoubleStop(note) => Some(of_double_stop(&about, note)),
                Page::Versions => kept.and_then(|(kept, words)| {
                    of_versions(&about, Before::of(words, about.lesson(), kept.lesson()))
                }),
                Page::WarmUp(bar, minutes) => Some(warm_up(&about, bar, minutes)),
            };
            made.into_iter().for_each(|made| line.send(made));
        });
    }

    /// Begins to draw a block by its place, to be copied.
    pub fn copy(&mut self, study: &Study, index: usize, ctx: &Context) {
        let study = study.clone();
        self.copying = Job::start("copy block", ctx, move |line| {
            if let Some(block) = single(&study, index) {
                line.send(png::pixels(&block, &Theme::PRINT).map(|(width, pixels)| {
                    let size = [width, pixels.len() / (4 * width.max(1))];
                    ColorImage::from_rgba_premultiplied(size, &pixels)
                }));
            }
        });
    }

    /// The block that is to be copied, once it is drawn.
    pub fn copied(&mut self) -> Option<Result<ColorImage, RenderError>> {
        let job = self.copying.as_mut()?;
        let made = job.next();
        if made.is_some() || job.is_over() {
            self.copying = None;
        }
        made
    }

    /// The handout that was asked for, once it is there. Forgets what was asked of another study.
    pub fn made(&mut self, study: &Study) -> Option<Handout> {
        if self.of != Some(study.id()) {
            (self.of, self.making) = (None, None);
        }
        let job = self.making.as_mut()?;
        let made = job.next();
        if made.is_some() || job.is_over() {
            self.making = None;
        }
        made
    }
}
