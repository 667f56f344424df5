//! Opening, saving and leaving a lesson.

use std::{path::PathBuf, sync::Arc};

use egui::{Context, ViewportCommand};

use crate::{
    exchange::{diagnostic::Severity, lesson_file},
    lesson::{Lesson, change, demo::demo},
    picture::{self, Paper, Theme},
    score::TimeSignature,
    setup::Family,
};

use super::{
    Desk,
    compare_panel::KEPT,
    files::{Answer, Files, Then},
    history::History,
    tasks::{Done, Purpose, sentence},
    view::View,
};

impl Desk {
    /// Leaves the lesson, after asking where there are unsaved changes.
    pub(super) fn leave(&mut self, then: Then, ctx: &Context) {
        if self.history.is_unsaved() {
            self.files.guard = Some(then);
        } else {
            self.go_on(then, ctx);
        }
    }

    fn go_on(&mut self, then: Then, ctx: &Context) {
        match then {
            Then::New => {
                let family = self.history.lesson().setup.instrument.family;
                let setup = self.history.lesson().setup.clone();
                let mut lesson = change::new_passage(family, TimeSignature::default(), 0, 80.0);
                lesson.setup = crate::setup::Setup { tempo_share: 1.0, ..setup };
                self.put_on_desk(lesson, None);
                self.view.writing = true;
                self.view.message = Some("A new passage; type notes by their letters".to_owned());
            }
            Then::Ask => self.ask_path(Purpose::Open, ctx),
            Then::Open(path) => self.tasks.open(path, ctx),
            Then::Demo => self.put_on_desk(demo(), None),
            Then::Show(lesson) => {
                let path = self.files.path.clone();
                let history = std::mem::replace(&mut self.history, History::new((*lesson).clone()));
                self.put_on_desk(*lesson, None);
                self.before = Some(Box::new((history, path)));
            }
            Then::Back => {
                if let Some((history, path)) = self.before.take().map(|before| *before) {
                    self.put_on_desk(history.lesson().clone(), path);
                    // What was not saved is still not saved, and can still be undone.
                    self.history = history;
                    self.analysed = self.history.state();
                }
            }
            Then::Quit => {
                self.may_close = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// Shows another lesson.
    pub(super) fn put_on_desk(&mut self, lesson: Lesson, path: Option<PathBuf>) {
        self.history = History::new(lesson);
        self.files = Files { path, ..Files::default() };
        self.analyse();
        let by_time = self.view.findings.by_time;
        self.view = View::new(&self.analysis);
        self.kept = None;
        self.before = None;
        self.view.findings.by_time = by_time;
        self.scene = None;
    }

    pub(super) fn ask_path(&mut self, purpose: Purpose, ctx: &Context) {
        if self.tasks.is_busy() {
            self.view.message = Some("One file at a time; the last one is not done yet".to_owned());
            return;
        }
        self.files.asked_for = Some(purpose);
        let folder = self.files.path.as_ref().and_then(|path| path.parent()).map(PathBuf::from);
        let ending = if purpose == Purpose::Pages { "pdf" } else { lesson_file::ENDING };
        let name = format!("{}.{ending}", file_name(&self.history.lesson().score.title));
        self.tasks.ask(purpose, folder, name, ctx);
    }

    pub(super) fn save(&mut self, ctx: &Context) {
        match self.files.path.clone() {
            Some(path) => self.write_lesson(path, ctx),
            None => self.ask_path(Purpose::Save, ctx),
        }
    }

    fn write_lesson(&mut self, path: PathBuf, ctx: &Context) {
        match lesson_file::save(&path, self.history.lesson()) {
            Ok(()) => {
                self.history.mark_saved();
                self.view.message = Some(format!("Saved as {}", path.display()));
                self.memory.note(&path);
                self.files.path = Some(path);
                if let Some(then) = self.files.after_saving.take() {
                    self.go_on(then, ctx);
                }
            }
            Err(error) => {
                self.files.after_saving = None;
                self.view.message = Some(format!("Not saved: {} · {}", sentence(&error), path.display()));
            }
        }
    }

    fn write_pages(&mut self, path: &std::path::Path) {
        let other = self.kept.as_ref().map(|kept| kept.version().path(KEPT));
        let pages = picture::sheet(self.history.lesson(), &self.analysis, other, Paper::A4_LANDSCAPE);
        let written = picture::pdf::write(&pages, &Theme::PRINT)
            .map_err(|error| error.to_string())
            .and_then(|bytes| lesson_file::write_whole(path, &bytes).map_err(|error| error.to_string()));
        self.view.message = Some(match written {
            Ok(()) => format!("Pages saved as {}", path.display()),
            Err(error) => format!("Pages not saved: {error} · {}", path.display()),
        });
    }

    /// A path has been chosen or typed.
    fn use_path(&mut self, purpose: Purpose, path: PathBuf, may_replace: bool, ctx: &Context) {
        let ending = match purpose {
            Purpose::Open => return self.tasks.open(path, ctx),
            Purpose::Save => lesson_file::ENDING,
            Purpose::Pages => "pdf",
        };
        let path = if path.extension().is_none() { path.with_extension(ending) } else { path };
        if !may_replace && path.exists() {
            self.files.overwrite = Some((purpose, path));
            return;
        }
        if purpose == Purpose::Save { self.write_lesson(path, ctx) } else { self.write_pages(&path) }
    }

    /// Takes in what a task has found out.
    pub(super) fn finish(&mut self, done: Done, ctx: &Context) {
        match done {
            Done::Lesson(path, lesson) => {
                self.memory.note(&path);
                self.put_on_desk(*lesson, Some(path));
            }
            Done::Part(path, imported) => {
                self.memory.note(&path);
                let family = imported.instrument.unwrap_or(Family::Viola);
                self.put_on_desk(Lesson::new(imported.score, family), None);
                let warnings =
                    imported.diagnostics.iter().filter(|d| d.severity == Severity::Warning).count();
                self.view.report_open = warnings > 0;
                let notes = self.analysis.line.len();
                self.view.message = Some(match imported.diagnostics.len() {
                    0 => format!("Read {notes} notes"),
                    n => {
                        format!("Read {notes} notes, with {n} remarks; see What was read in the Lesson menu")
                    }
                });
                self.files.report = imported.diagnostics;
                if imported.instrument.is_none() {
                    let words = "The file does not tell the instrument; viola is assumed. Change it under the name of the player";
                    self.view.message = Some(words.to_owned());
                }
            }
            Done::Parts(path, document) => {
                // The part for the instrument on the desk, or else the likeliest.
                let family = Some(self.history.lesson().setup.instrument.family);
                let same = document.parts().iter().find(|part| part.instrument == family && part.notes > 0);
                let likely = same.map_or_else(|| document.likely_part(), |part| part.index);
                self.files.parts = Some((path, document, likely));
            }
            Done::Unreadable(path, why) => {
                self.memory.forget(&path);
                self.view.message = Some(format!("Not opened: {why} · {}", path.display()));
            }
            Done::Chosen(Some(path)) => {
                if let Some(purpose) = self.files.asked_for.take() {
                    // The dialog has asked before replacing a file.
                    self.use_path(purpose, path, true, ctx);
                }
            }
            Done::Chosen(None) => {
                self.files.asked_for = None;
                self.files.after_saving = None;
            }
            Done::NoDialog => {
                let Some(purpose) = self.files.asked_for.take() else { return };
                let name = file_name(&self.history.lesson().score.title);
                let name = match purpose {
                    Purpose::Open => String::new(),
                    Purpose::Save => format!("{name}.{}", lesson_file::ENDING),
                    Purpose::Pages => format!("{name}.pdf"),
                };
                let beside = self.files.path.as_ref().or(self.memory.recent.first());
                let folder = beside.and_then(|path| path.parent()).map(PathBuf::from);
                let folder = folder.or_else(|| std::env::current_dir().ok()).unwrap_or_default();
                self.files.path_box = Some((purpose, folder.join(name).display().to_string()));
            }
        }
    }

    /// Takes in an answer from one of the windows that ask.
    pub(super) fn answer(&mut self, answer: Answer, ctx: &Context) {
        match answer {
            Answer::SaveThen(then) => {
                self.files.after_saving = Some(then);
                self.save(ctx);
            }
            Answer::GoOn(then) => self.go_on(then, ctx),
            Answer::Path(purpose, path) => self.use_path(purpose, path, false, ctx),
            Answer::Overwrite(purpose, path) => self.use_path(purpose, path, true, ctx),
            Answer::Part(part) => {
                if let Some((path, document, _)) = self.files.parts.take() {
                    self.tasks.read_part(path, Arc::clone(&document), part, ctx);
                }
            }
        }
    }
}

/// A title as the name of a file.
fn file_name(title: &str) -> String {
    let plain: String =
        title.chars().map(|c| if c.is_alphanumeric() || " -_".contains(c) { c } else { '_' }).collect();
    let plain = plain.trim();
    if plain.is_empty() { "lesson".to_owned() } else { plain.chars().take(80).collect() }
}
