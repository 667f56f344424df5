//! The window of the versions of the lesson that were saved before.

use std::{path::PathBuf, time::SystemTime};

use egui::{Context, Grid, ScrollArea, Window};

use crate::{
    desk::widgets::words::ago,
    exchange::versions::{DAYS, LATEST, Version},
};

/// The saved versions, as they are shown.
#[derive(Default)]
pub struct VersionsWindow {
    versions: Vec<Version>,
    /// The window is shown.
    pub is_open: bool,
}

/// A version to be compared with the lesson: where it lies, and what it is called.
pub struct Chosen {
    /// Its file.
    pub path: PathBuf,
    /// "version saved 2 hours ago".
    pub words: String,
}

impl VersionsWindow {
    /// Shows these, the latest first.
    pub fn show(&mut self, versions: Vec<Version>) {
        *self = Self { versions, is_open: true };
    }

    /// Draws the window.
    pub fn ui(&mut self, ctx: &Context, now: SystemTime) -> Option<Chosen> {
        let mut chosen = None;
        let window = Window::new("Saved versions").open(&mut self.is_open).default_pos([340.0, 180.0]);
        window.collapsible(false).default_width(420.0).show(ctx, |ui| {
            ui.label(if self.versions.is_empty() {
                "None yet. Each time the lesson is saved, a version of it is kept.".to_owned()
            } else {
                format!("The last {LATEST}, and the last of each day for {DAYS} days.")
            });
            ScrollArea::vertical().max_height(360.0).show(ui, |ui| {
                Grid::new("versions").num_columns(2).spacing([24.0, 6.0]).show(ui, |ui| {
                    for version in &self.versions {
                        let words = format!("saved {}", ago(version.at, now));
                        ui.label(&words);
                        let button = ui
                            .button("Compare")
                            .on_hover_text("Shows it beside the lesson; from there you can go back to it");
                        if button.clicked() {
                            let words = format!("version {words}");
                            chosen = Some(Chosen { path: version.path.clone(), words });
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
