//! The window of unsaved work that was left: what it is, from when, and what to do with it.

use std::time::SystemTime;

use egui::{Align2, Context, ScrollArea, Ui, Window};

use crate::{
    desk::widgets::{theme::bold, words::ago},
    exchange::unsaved::Left,
};

/// Unsaved work that was left, as it is shown.
#[derive(Default)]
pub struct LeftWindow {
    /// What was left, the latest first.
    pub left: Vec<Left>,
    /// The window is shown.
    pub is_open: bool,
    /// What is to be thrown away, once that is said a second time.
    doubtful: Option<usize>,
}

/// What is to be done with a piece of work.
#[derive(Clone, Copy)]
enum Choice {
    Open,
    Aside,
    Doubt,
    Throw,
}

/// What came of the window in this frame.
pub enum LeftAnswer {
    /// Put this on the desk.
    Open(Box<Left>),
    /// Ask no more for this.
    PutAside(Box<Left>),
    /// This is to go for good.
    ThrowAway(Box<Left>),
}

impl LeftWindow {
    /// Shows what was left.
    pub fn show(&mut self, left: Vec<Left>) {
        *self = Self { left, is_open: true, doubtful: None };
    }

    /// Draws the window.
    pub fn ui(&mut self, ctx: &Context, now: SystemTime) -> Option<LeftAnswer> {
        let mut choice = None;
        let mut is_open = self.is_open;
        let window = Window::new("Unsaved work").open(&mut is_open).default_width(560.0);
        let window = window.pivot(Align2::CENTER_CENTER).default_pos(ctx.content_rect().center());
        window.collapsible(false).show(ctx, |ui| {
            ui.label(if self.left.is_empty() {
                "There is none."
            } else {
                "The program ended before this was saved. At most the last two seconds are missing."
            });
            ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
                for (index, left) in self.left.iter().enumerate() {
                    ui.separator();
                    let chosen = left_ui(ui, left, self.doubtful == Some(index), now);
                    choice = choice.or(chosen.map(|chosen| (index, chosen)));
                }
            });
        });
        self.is_open = is_open;
        choice.and_then(|(index, choice)| self.take(index, choice))
    }

    fn take(&mut self, index: usize, choice: Choice) -> Option<LeftAnswer> {
        self.doubtful = matches!(choice, Choice::Doubt).then_some(index);
        let answer = match choice {
            Choice::Open => LeftAnswer::Open,
            Choice::Aside => LeftAnswer::PutAside,
            Choice::Throw => LeftAnswer::ThrowAway,
            Choice::Doubt => return None,
        };
        let left = Box::new(self.left.remove(index));
        self.is_open &= !self.left.is_empty() && !matches!(choice, Choice::Open);
        Some(answer(left))
    }
}

fn left_ui(ui: &mut Ui, left: &Left, is_doubtful: bool, now: SystemTime) -> Option<Choice> {
    let mut choice = None;
    let title = left.lesson.as_ref().map_or("", |lesson| lesson.score.title.trim());
    ui.label(bold(if title.is_empty() { "Untitled" } else { title }));
    ui.label(format!("last kept {}", ago(left.at, now)));
    ui.label(match &left.about.file {
        Some((path, _)) => format!("with changes that are not in {}", path.display()),
        None => "never saved as a file".to_owned(),
    });
    if let Err(why) = &left.lesson {
        ui.label(format!("It cannot be read: {why}"));
    }
    ui.horizontal(|ui| {
        let mut button = |words: &str, tip: &str, is_possible: bool, gives: Choice| {
            if ui.add_enabled(is_possible, egui::Button::new(words)).on_hover_text(tip).clicked() {
                choice = Some(gives);
            }
        };
        button("Open", "Puts it on the desk, still unsaved", left.lesson.is_ok(), Choice::Open);
        let tip = "Asks no more at the start; it stays under Unsaved work in the Lesson menu";
        button("Keep aside", tip, !left.about.is_aside, Choice::Aside);
        if is_doubtful {
            button("Throw it away for good", "It cannot be had back", true, Choice::Throw);
        } else {
            button("Throw away…", "Asks once more", true, Choice::Doubt);
        }
    });
    choice
}
