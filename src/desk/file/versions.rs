//! The window of the versions of the lesson that were saved before.

use std::{path::PathBuf, time::SystemTime};

use egui::{Align2, Context, Grid, ScrollArea, Window};

use crate::{
    desk::widgets::words::ago,
    exchange::versions::{DAYS, LATEST, Version},
};

/// The saved versions, as they are shown.
#[derive(Default)]
pub struct VersionsWindow {
    versions: Vec<Version>,
    /// The lesson file they are of, where that could not be opened.
    damaged: Option<PathBuf>,
    /// The window is shown.
    pub is_open: bool,
}

/// What came of the window in this frame.
pub enum Chosen {
    /// A version to be compared with the lesson: its file, and what it is called.
    Compare(PathBuf, String),
    /// A version to be opened in the place of this file.
    Open(PathBuf, PathBuf),
}

impl VersionsWindow {
    /// Shows those of the lesson on the desk, or of a file that cannot be opened, the latest first.
    pub fn show(&mut self, versions: Vec<Version>, damaged: Option<PathBuf>) {
        *self = Self { versions, damaged, is_open: true };
    }

    /// Draws the window.
    pub fn ui(&mut self, ctx: &Context, now: SystemTime) -> Option<Chosen> {
        let mut chosen = None;
        let window = Window::new("Saved versions")
            .open(&mut self.is_open)
            .pivot(Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center());
        window.collapsible(false).default_width(420.0).show(ctx, |ui| {
            ui.label(match &self.damaged {
                Some(path) => format!("{} cannot be opened. These were saved before.", path.display()),
                None if self.versions.is_empty() => {
                    "None yet. Each time the lesson is saved, a version of it is kept.".to_owned()
                }
                None => format!("The last {LATEST}, and the last of each day for {DAYS} days."),
            });
            let (button, tip) = match self.damaged {
                Some(_) => ("Open", "Puts it on the desk; saved, it takes the place of the damaged file"),
                None => ("Compare", "Shows it beside the lesson; from there you can go back to it"),
            };
            ScrollArea::vertical().max_height(360.0).show(ui, |ui| {
                Grid::new("versions").num_columns(2).spacing([24.0, 6.0]).show(ui, |ui| {
                    for version in &self.versions {
                        let words = format!("saved {}", ago(version.at, now));
                        ui.label(&words);
                        if ui.button(button).on_hover_text(tip).clicked() {
                            let version = version.path.clone();
                            chosen = Some(match &self.damaged {
                                Some(file) => Chosen::Open(version, file.clone()),
                                None => Chosen::Compare(version, format!("version {words}")),
                            });
                        }
                        ui.end_row();
                    }
                });
            });
        });
        self.is_open &= chosen.is_none();
        chosen
    }
}
