//! Files on the desk: where the lesson lives, what to do before it is left, and the windows that
//! ask about it.

use std::{path::PathBuf, sync::Arc};

use egui::{Context, Key, Modal, Window};

use crate::{
    exchange::{
        diagnostic::{Diagnostic, Severity},
        musicxml::Document,
    },
    lesson::Lesson,
};

use crate::desk::file::tasks::{Music, Purpose};

/// What comes after the present lesson.
#[derive(Debug)]
pub enum Then {
    /// An empty passage.
    New,
    /// A file chosen in a dialog.
    Ask,
    /// This file.
    Open(PathBuf),
    /// What was read from a file.
    Take(PathBuf, Music),
    /// The demo.
    Demo,
    /// A lesson made from this one, which is kept to go back to.
    Show(Box<Lesson>),
    /// The lesson that one was made from.
    Back,
    /// Nothing: the window closes.
    Quit,
}

/// What an answer in one of the windows asks for.
#[derive(Debug)]
pub enum Answer {
    /// Save first, then go on.
    SaveThen(Then),
    /// Go on without saving.
    GoOn(Then),
    /// A path was typed.
    Path(Purpose, PathBuf),
    /// Read this part of the document.
    Part(usize),
    /// Overwrite an existing file.
    Overwrite(Purpose, PathBuf),
}

/// State of files and of the windows that ask about them.
#[derive(Default)]
pub struct Files {
    /// Where the lesson was opened or saved as a lesson file.
    pub path: Option<PathBuf>,
    /// What the path being asked for is for.
    pub asked_for: Option<Purpose>,
    /// State of the lesson that may be left for the file being chosen or read.
    pub agreed: Option<u64>,
    /// What to do once the lesson is saved.
    pub after_saving: Option<Then>,
    /// Remarks on the file the lesson was read from.
    pub report: Vec<Diagnostic>,
    /// Unsaved changes stand in the way of this.
    pub guard: Option<Then>,
    /// A typed path, where there is no file dialog.
    pub path_box: Option<(Purpose, String)>,
    /// A document whose part is to be chosen, and the choice so far.
    pub parts: Option<(PathBuf, Arc<Document>, usize)>,
    /// A file that exists already.
    pub overwrite: Option<(Purpose, PathBuf)>,
}

impl Files {
    /// Something is being asked that must be answered first.
    pub fn is_asking(&self) -> bool {
        self.guard.is_some() || self.path_box.is_some() || self.parts.is_some() || self.overwrite.is_some()
    }

    /// Shows the windows that ask; gives the answer, once.
    pub fn windows_ui(&mut self, ctx: &Context, title: &str) -> Option<Answer> {
        let escape = self.is_asking() && ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape));
        if escape {
            (self.guard, self.path_box, self.parts, self.overwrite) = (None, None, None, None);
            self.after_saving = None;
        }
        self.guard_ui(ctx, title)
            .or_else(|| self.path_ui(ctx))
            .or_else(|| self.overwrite_ui(ctx))
            .or_else(|| self.parts_ui(ctx))
    }

    fn guard_ui(&mut self, ctx: &Context, title: &str) -> Option<Answer> {
        let then = self.guard.take()?;
        let (mut save, mut discard, mut close) = (false, false, false);
        asking("Unsaved changes", ctx, |ui| {
            ui.label(format!("“{title}” has changes that are not saved."));
            ui.add_space(8.0);
            ui.horizontal(|ui| {
                save = ui.button("Save").clicked();
                discard = ui.button("Discard changes").clicked();
                close = ui.button("Cancel").clicked();
            });
        });
        if save {
            return Some(Answer::SaveThen(then));
        }
        if discard {
            return Some(Answer::GoOn(then));
        }
        self.guard = Some(then).filter(|_| !close);
        None
    }

    fn path_ui(&mut self, ctx: &Context) -> Option<Answer> {
        let (purpose, text) = self.path_box.as_mut()?;
        let purpose = *purpose;
        let (heading, verb) = match purpose {
            Purpose::Open => ("Open a file", "Open"),
            Purpose::Save => ("Save the lesson", "Save"),
            Purpose::Pages => ("Save pages as PDF", "Save"),
        };
        let mut answer = None;
        let mut close = false;
        asking(heading, ctx, |ui| {
            ui.label("There is no file dialog on this machine. Type or paste the path of the file.");
            let label = ui.label("Path");
            let edit = ui.add(egui::TextEdit::singleline(text).desired_width(440.0)).labelled_by(label.id);
            // Asked before the field takes the focus back, or it would seem never to have lost it.
            let enter = edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            if ui.memory(|memory| memory.focused().is_none()) {
                edit.request_focus();
            }
            ui.horizontal(|ui| {
                let ready = !text.trim().is_empty();
                if (ui.add_enabled(ready, egui::Button::new(verb)).clicked() || enter) && ready {
                    answer = Some(Answer::Path(purpose, PathBuf::from(text.trim())));
                }
                close = ui.button("Cancel").clicked();
            });
        });
        if answer.is_some() || close {
            self.path_box = None;
            if close {
                self.after_saving = None;
            }
        }
        answer
    }

    fn overwrite_ui(&mut self, ctx: &Context) -> Option<Answer> {
        let (purpose, path) = self.overwrite.clone()?;
        let mut answer = None;
        let mut close = false;
        asking("The file exists already", ctx, |ui| {
            ui.label(path.display().to_string());
            ui.horizontal(|ui| {
                if ui.button("Replace it").clicked() {
                    answer = Some(Answer::Overwrite(purpose, path.clone()));
                }
                close = ui.button("Cancel").clicked();
            });
        });
        if answer.is_some() || close {
            self.overwrite = None;
            if close {
                self.after_saving = None;
            }
        }
        answer
    }

    fn parts_ui(&mut self, ctx: &Context) -> Option<Answer> {
        let (_, document, choice) = self.parts.as_mut()?;
        let mut answer = None;
        let mut close = false;
        asking("Which part?", ctx, |ui| {
            egui::ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
                for part in document.parts() {
                    let instrument = part.instrument.map_or("", |family| family.word());
                    let words = format!(
                        "{} {}   {} bars, {} notes{}{instrument}",
                        part.index + 1,
                        part.name.replace('\n', " "),
                        part.bars,
                        part.notes,
                        if instrument.is_empty() { "" } else { ", " },
                    );
                    ui.radio_value(choice, part.index, words);
                }
            });
            ui.horizontal(|ui| {
                if ui.button("Read this part").clicked() || ui.input(|i| i.key_pressed(Key::Enter)) {
                    answer = Some(Answer::Part(*choice));
                }
                close = ui.button("Cancel").clicked();
            });
        });
        if close {
            self.parts = None;
        }
        answer
    }

    /// The remarks on the file that was read.
    pub fn report_ui(&self, ctx: &Context, open: &mut bool) {
        Window::new("What was read").open(open).default_width(520.0).default_pos([380.0, 200.0]).show(
            ctx,
            |ui| {
                if self.report.is_empty() {
                    ui.label("Everything in the file was understood.");
                }
                egui::ScrollArea::vertical().max_height(360.0).show(ui, |ui| {
                    for remark in &self.report {
                        let sign = if remark.severity == Severity::Warning { "!" } else { "·" };
                        ui.horizontal_top(|ui| {
                            ui.strong(sign);
                            ui.vertical(|ui| {
                                ui.add(egui::Label::new(remark.to_string()).wrap());
                            });
                        });
                    }
                });
            },
        );
    }
}

/// A window that must be answered before anything else goes on.
fn asking(title: &str, ctx: &Context, contents: impl FnOnce(&mut egui::Ui)) {
    Modal::new(egui::Id::unique("asking")).show(ctx, |ui| {
        ui.set_max_width(520.0);
        ui.heading(title);
        ui.add_space(4.0);
        contents(ui);
    });
}
