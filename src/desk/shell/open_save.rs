//! Opening, saving and leaving a lesson.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use egui::{Context, ViewportCommand};

use crate::{
    exchange::{UNTOLD, diagnostic::Severity, lesson_file, sentence},
    lesson::{Lesson, change, demo::demo},
    picture::{self, Paper, Theme},
    score::{TimeSignature, sentence_case},
};

use crate::desk::{
    Desk,
    file::tasks::{Done, Music, Purpose, Started},
    file::windows::{Answer, Files, Then},
    findings::compare::KEPT,
    state::history::History,
    state::view::View,
};

impl Desk {
    /// The lesson on the desk, or one to go back to, has changes that are not saved.
    pub(in crate::desk) fn is_unsaved(&self) -> bool {
        self.history.is_unsaved() || self.is_unsaved_before()
    }

    fn is_unsaved_before(&self) -> bool {
        self.before.iter().any(|(history, _)| history.is_unsaved())
    }

    /// Leaves the lesson, after asking where there are unsaved changes.
    pub(in crate::desk) fn leave(&mut self, then: Then, ctx: &Context) {
        let is_kept = matches!(then, Then::Show(_));
        if self.history.is_unsaved() && !is_kept {
            self.files.guard = Some(then);
        } else {
            self.leave_done(then, ctx);
        }
    }

    /// Leaves a lesson that is saved, kept or given up. One to go back to that has unsaved changes
    /// comes on the desk first, to be asked about like any other.
    fn leave_done(&mut self, then: Then, ctx: &Context) {
        let are_kept = matches!(then, Then::Show(_) | Then::Back);
        if self.is_unsaved_before() && !are_kept {
            self.go_on(Then::Back, ctx);
            self.leave(then, ctx);
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
            Then::Ask => {
                self.files.agreed = Some(self.history.state());
                self.ask_path(Purpose::Open, ctx);
            }
            Then::Open(path) => {
                self.files.agreed = Some(self.history.state());
                self.open(path, ctx);
            }
            Then::Take(path, music) => self.take_music(path, music),
            Then::Demo => self.put_on_desk(demo(), None),
            Then::Show(lesson) => {
                let history = std::mem::replace(&mut self.history, History::new((*lesson).clone()));
                let mut before = std::mem::take(&mut self.before);
                before.push((history, std::mem::take(&mut self.files)));
                self.put_on_desk(*lesson, None);
                self.before = before;
            }
            Then::Back => {
                let mut before = std::mem::take(&mut self.before);
                let Some((history, files)) = before.pop() else { return };
                self.put_on_desk(history.lesson().clone(), None);
                // What was not saved is still not saved, and can still be undone.
                (self.history, self.files, self.before) = (history, files, before);
                self.analysed = self.history.state();
            }
            Then::Quit => {
                self.may_close = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// Shows another lesson.
    pub(in crate::desk) fn put_on_desk(&mut self, lesson: Lesson, path: Option<PathBuf>) {
        self.history = History::new(lesson);
        self.files = Files { path, ..Files::default() };
        self.analyse();
        let by_time = self.view.findings.by_time;
        self.view = View::new(&self.analysis);
        self.kept = None;
        self.before.clear();
        self.view.findings.by_time = by_time;
        self.scene = None;
    }

    /// Reads a file.
    pub(in crate::desk) fn open(&mut self, path: PathBuf, ctx: &Context) {
        let started = self.tasks.open(path, ctx);
        self.tell(started);
    }

    /// Tells why a task was not started; true when it was.
    fn tell(&mut self, started: Started) -> bool {
        self.view.message = started.err().map(str::to_owned);
        started.is_ok()
    }

    pub(in crate::desk) fn ask_path(&mut self, purpose: Purpose, ctx: &Context) {
        let folder = self.files.path.as_ref().and_then(|path| path.parent()).map(PathBuf::from);
        let ending = if purpose == Purpose::Pages { "pdf" } else { lesson_file::ENDING };
        let name = format!("{}.{ending}", file_name(&self.history.lesson().score.title));
        let started = self.tasks.ask(purpose, folder, name, ctx);
        if self.tell(started) {
            self.files.asked_for = Some(purpose);
        } else {
            self.files.after_saving = None;
        }
    }

    pub(in crate::desk) fn save(&mut self, ctx: &Context) {
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
                    self.leave_done(then, ctx);
                }
            }
            Err(error) => {
                self.files.after_saving = None;
                self.view.message = Some(format!("Not saved: {} · {}", sentence(&error), path.display()));
            }
        }
    }

    fn write_pages(&mut self, path: &Path) {
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
            Purpose::Open => return self.open(path, ctx),
            Purpose::Save => lesson_file::ENDING,
            Purpose::Pages => "pdf",
        };
        let whole = with_ending(&path, ending);
        // A dialog has asked about the name as it was chosen, not about the one with the ending.
        let may_replace = may_replace && whole == path;
        let path = whole;
        if !may_replace && path.exists() {
            self.files.overwrite = Some((purpose, path));
            return;
        }
        if purpose == Purpose::Save { self.write_lesson(path, ctx) } else { self.write_pages(&path) }
    }

    /// Takes in what a task has found out.
    pub(in crate::desk) fn finish(&mut self, done: Done, ctx: &Context) {
        match done {
            Done::Music(path, music) => {
                let then = Then::Take(path, music);
                // The window stayed open to changes meanwhile; those nobody has agreed to lose.
                if self.files.agreed == Some(self.history.state()) {
                    self.go_on(then, ctx);
                } else {
                    self.leave(then, ctx);
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
                match self.files.asked_for.take() {
                    // The dialog has asked before replacing a file.
                    Some(purpose) => self.use_path(purpose, path, true, ctx),
                    None => {
                        let words = "Another lesson has come on the desk; nothing was done with";
                        self.view.message = Some(format!("{words} {}", path.display()));
                    }
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

    /// Puts what was read from a file on the desk.
    fn take_music(&mut self, path: PathBuf, music: Music) {
        self.memory.note(&path);
        let imported = match music {
            Music::Lesson(lesson) => return self.put_on_desk(*lesson, Some(path)),
            Music::Part(imported) => imported,
        };
        let family = imported.instrument.unwrap_or(UNTOLD.0);
        self.put_on_desk(Lesson::new(imported.score, family), None);
        self.view.report_open = imported.diagnostics.iter().any(|d| d.severity == Severity::Warning);
        let notes = self.analysis.line.notes.len();
        self.view.message = Some(match (imported.instrument, imported.diagnostics.len()) {
            (None, _) => format!("{}. Change it under the name of the player", sentence_case(UNTOLD.1)),
            (_, 0) => format!("Read {notes} notes"),
            (_, n) => format!("Read {notes} notes, with {n} remarks; see What was read in the Lesson menu"),
        });
        self.files.report = imported.diagnostics;
    }

    /// Takes in an answer from one of the windows that ask.
    pub(in crate::desk) fn answer(&mut self, answer: Answer, ctx: &Context) {
        match answer {
            Answer::SaveThen(then) => {
                self.files.after_saving = Some(then);
                self.save(ctx);
            }
            Answer::GoOn(then) => self.leave_done(then, ctx),
            Answer::Path(purpose, path) => self.use_path(purpose, path, false, ctx),
            Answer::Overwrite(purpose, path) => self.use_path(purpose, path, true, ctx),
            Answer::Part(part) => {
                if let Some((path, document, _)) = self.files.parts.take() {
                    let started = self.tasks.read_part(path, Arc::clone(&document), part, ctx);
                    self.tell(started);
                }
            }
        }
    }
}

/// A path with the ending that belongs to it. What follows a dot in the name may be part of the name:
/// "Sonata No. 2".
fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let has_it = path.extension().is_some_and(|known| known.eq_ignore_ascii_case(ending));
    match path.file_name() {
        Some(name) if !has_it => {
            let mut name = name.to_owned();
            name.push(format!(".{ending}"));
            path.with_file_name(name)
        }
        _ => path.to_owned(),
    }
}

/// A title as the name of a file.
fn file_name(title: &str) -> String {
    let plain: String =
        title.chars().map(|c| if c.is_alphanumeric() || " -_".contains(c) { c } else { '_' }).collect();
    let plain = plain.trim();
    if plain.is_empty() { "lesson".to_owned() } else { plain.chars().take(80).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::Memory;

    /// Chooses a path in a file dialog, which has asked about that very path alone.
    fn chosen(purpose: Purpose, path: PathBuf) -> Desk {
        let ctx = Context::default();
        let mut desk = Desk::new(&ctx, Memory::default(), None);
        desk.files.asked_for = Some(purpose);
        desk.finish(Done::Chosen(Some(path)), &ctx);
        desk
    }

    #[test]
    fn a_name_gets_the_ending_that_belongs_to_it() {
        let folder = tempfile::tempdir().unwrap();
        for (name, ending) in [("song", ".elbowroom"), ("Sonata No. 2", ".elbowroom"), ("a.ELBOWROOM", "")] {
            chosen(Purpose::Save, folder.path().join(name));
            assert!(folder.path().join(format!("{name}{ending}")).exists(), "{name}");
        }
        chosen(Purpose::Pages, folder.path().join("Sonata No. 2"));
        assert!(folder.path().join("Sonata No. 2.pdf").exists());
    }

    #[test]
    fn a_file_the_dialog_has_not_asked_about_is_not_replaced_unasked() {
        let folder = tempfile::tempdir().unwrap();
        let other = folder.path().join("song.elbowroom");
        std::fs::write(&other, "another lesson").unwrap();
        let desk = chosen(Purpose::Save, folder.path().join("song"));
        assert_eq!(std::fs::read_to_string(&other).unwrap(), "another lesson");
        assert_eq!(desk.files.overwrite, Some((Purpose::Save, other.clone())));
        // About this one the dialog has asked.
        let desk = chosen(Purpose::Save, other.clone());
        assert_eq!(desk.files.path, Some(other.clone()));
        assert!(lesson_file::is_lesson(&std::fs::read(other).unwrap()));
    }
}
