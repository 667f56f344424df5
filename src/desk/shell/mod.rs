//! The frame of the window: what stands where, and what carries out what was asked for.

mod app;
mod apply;
mod book;
mod choosing;
mod class;
mod drawn;
mod editing;
mod film;
mod foot;
mod frames;
mod handing;
mod keeping;
mod layout;
mod leaving;
mod moving;
mod offers;
mod open_save;
mod panels;
mod side;
mod sounding;
mod stand;
mod top_bar;
mod typing;
mod under;
mod underway;

use std::{collections::VecDeque, path::PathBuf, sync::Arc};

use egui::Context;

use crate::{
    advice::{Difference, Ladder, Remedy, Suggestion},
    analysis::{Analysis, Study},
    desk::{
        command::Command,
        file::{book::BookKeeper, keeper::Keeper, tasks::Tasks},
        state::{
            files::{Files, Then},
            history::History,
            kept::Kept,
            memory::Memory,
            place::Place,
            spacing::Spaced,
            view::View,
        },
        widgets::theme::install_fonts,
        work::Work,
    },
    lesson::{Lesson, change::Phrase, demo::demo},
};

use drawn::Drawn;
use frames::Frames;
use panels::Panels;
use sounding::Sounding;
use underway::Underway;

/// The desk: a lesson, what is known about it, and how it is shown.
pub struct Desk {
    history: History,
    /// The lessons to go back to: that an exercise was made from, and that this one was made from,
    /// the latest last, with their steps, their files, and where they were left.
    before: Vec<(History, Files, Place)>,
    /// A version kept to compare with.
    kept: Option<Kept>,
    /// What is chosen and shown; changed by commands.
    view: View,
    /// What each panel keeps for itself.
    panels: Panels,
    /// What goes on in the background for the study.
    work: Work,
    /// What is worked out of the lesson; what goes out from the lesson waits for it.
    underway: Option<Underway>,
    /// What waits until the change before is made or shown, with the study it was asked of.
    waiting: VecDeque<(Command, Study)>,
    /// States that were shown, and for how many frames they have not been.
    past: VecDeque<(Spaced, u32)>,
    /// What was made from the study for the screen.
    drawn: Drawn,
    files: Files,
    tasks: Tasks,
    keeper: Keeper,
    book: BookKeeper,
    /// Notes that were copied, from this lesson or another.
    phrase: Option<Arc<Phrase>>,
    memory: Memory,
    sounding: Sounding,
    window: WindowState,
    /// The window as egui knows it, for what goes on in the background to wake it.
    ctx: Context,
}

impl Desk {
    /// A desk with the demo on it; a given file is opened at once.
    pub fn new(ctx: &Context, memory: Memory, file: Option<PathBuf>) -> Self {
        install_fonts(ctx);
        let window = WindowState::default();
        memory.look.apply(ctx, window.factor);
        let history = History::new(Study::new(demo()));
        let mut desk = Self {
            view: View::new(history.study()),
            drawn: Drawn::default(),
            history,
            before: Vec::new(),
            kept: None,
            panels: Panels::default(),
            work: Work::default(),
            underway: None,
            waiting: VecDeque::new(),
            past: VecDeque::new(),
            ctx: ctx.clone(),
            files: Files::default(),
            tasks: Tasks::default(),
            keeper: Keeper::start(&memory, ctx),
            book: BookKeeper::default(),
            phrase: None,
            memory,
            sounding: Sounding::default(),
            window,
        };
        if let Some(path) = file {
            desk.go_on(Then::Open(path), ctx);
        }
        desk
    }

    /// The lesson, as it is now.
    pub fn lesson(&self) -> &Lesson {
        self.history.lesson()
    }

    /// The state of it that was analysed last.
    pub fn study(&self) -> &Study {
        self.history.study()
    }

    /// What is known about that state.
    pub fn analysis(&self) -> &Analysis {
        self.study().analysis()
    }

    /// Something that was asked for is still being made, and will be shown.
    pub fn is_making(&self) -> bool {
        self.is_behind()
            || self.work.exercise.is_under_way()
            || self.work.comparison.is_under_way()
            || self.work.curves.is_under_way()
            || self.work.handout.is_under_way()
            || self.work.film.is_under_way()
            || self.tasks.film_part().is_some()
            || self.book.is_at_work()
    }

    /// A change is being made, what is known is of an earlier state of the lesson, or something waits until that
    /// is not so.
    pub fn is_behind(&self) -> bool {
        self.underway.is_some() || self.awaits_analysis() || !self.waiting.is_empty()
    }

    /// Steps that can be undone.
    pub fn undo_depth(&self) -> usize {
        self.history.depth()
    }

    /// Position of the playhead, s, at the time of the last frame.
    pub fn position_s(&self) -> f64 {
        let mut clock = self.view.clock.clone();
        clock.tick(self.window.now_s).position
    }

    /// First bar in view, by its index.
    pub fn first_bar(&self) -> usize {
        self.view.first_bar
    }

    /// The remedies known for the open finding.
    pub fn remedies(&self) -> &[Remedy] {
        let advice = self.panels.findings.open.and_then(|open| self.work.remedies.advice(open));
        advice.map_or(&[], |advice| &advice.remedies)
    }

    /// Suggested bowings of the present lesson, the best first.
    pub fn suggestions(&self) -> &[Suggestion] {
        self.work.search.answers()
    }

    /// A lesson is being saved.
    pub fn is_saving(&self) -> bool {
        self.tasks.is_saving()
    }

    /// A search for a bowing is under way.
    pub fn is_searching(&self) -> bool {
        self.work.search.done_part().is_some()
    }

    /// The tempo ladder, once it was asked for and is there.
    pub fn tempo_ladder(&self) -> Option<&Ladder> {
        self.work.ladder.ladder()
    }

    /// Differences from the kept version; none without one.
    pub fn differences(&self) -> &[Difference] {
        self.kept.as_ref().map_or(&[], |kept| kept.differences())
    }
}

/// What the shell remembers of the window itself.
#[derive(Debug)]
struct WindowState {
    /// Factor on the size of type and controls: a large window has larger ones.
    factor: f32,
    /// Height of the controls of the selection and the bow, for what takes their place, points.
    lower_height: f32,
    /// The user has agreed to close the window.
    may_close: bool,
    /// It fills the screen for a class.
    fills_screen: bool,
    /// The time of the last frame, s.
    now_s: f64,
    /// When it was noted last where the lesson stands, s.
    noted_s: f64,
    /// How often it is drawn while something moves.
    frames: Frames,
}

impl Default for WindowState {
    fn default() -> Self {
        Self {
            factor: 1.0,
            lower_height: 0.0,
            may_close: false,
            fills_screen: false,
            now_s: 0.0,
            noted_s: 0.0,
            frames: Frames::default(),
        }
    }
}
