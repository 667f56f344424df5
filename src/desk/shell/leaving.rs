//! Leaving a lesson for another one, and coming back.

use std::path::PathBuf;

use egui::{Context, ViewportCommand};

use crate::{
    desk::state::{
        files::{Files, Music, OnDisk, Purpose, Question, Then},
        history::History,
        view::View,
    },
    exchange::{UNTOLD, diagnostic::Severity},
    lesson::{Lesson, change, demo::demo},
    score::{TimeSignature, sentence_case},
    setup::Setup,
};

use super::{Desk, drawn::Drawn};

impl Desk {
    /// The lesson on the desk, or one to go back to, has changes that are not saved.
    pub(super) fn is_unsaved(&self) -> bool {
        self.history.is_unsaved() || self.is_unsaved_before()
    }

    fn is_unsaved_before(&self) -> bool {
        self.before.iter().any(|(history, _)| history.is_unsaved())
    }

    /// Leaves the lesson, after asking where there are unsaved changes.
    pub(super) fn leave(&mut self, then: Then, ctx: &Context) {
        let is_kept = matches!(then, Then::Show(_));
        if self.history.is_unsaved() && !is_kept {
            self.files.question = Some(Question::Leave(then));
        } else {
            self.leave_done(then, ctx);
        }
    }

    /// Leaves a lesson that is saved, kept or given up. One to go back to that has unsaved changes
    /// comes on the desk first, to be asked about like any other.
    pub(super) fn leave_done(&mut self, then: Then, ctx: &Context) {
        let are_kept = matches!(then, Then::Show(_) | Then::Back);
        if self.is_unsaved_before() && !are_kept {
            self.go_on(Then::Back, ctx);
            self.leave(then, ctx);
        } else {
            self.go_on(then, ctx);
        }
    }

    pub(super) fn go_on(&mut self, then: Then, ctx: &Context) {
        match then {
            Then::New => self.begin_writing(),
            Then::Ask => {
                self.files.agreed = Some(self.history.study().id());
                self.ask_path(Purpose::Open, ctx);
            }
            Then::Open(path) => {
                self.files.agreed = Some(self.history.study().id());
                self.open(path, ctx);
            }
            Then::Take(path, music) => self.take_music(path, music),
            Then::Demo => self.begin(History::new(demo()), None),
            Then::Show(lesson) => {
                let here = self.put_on_desk(History::new(*lesson), Files::default());
                self.before.push(here);
            }
            Then::Back => {
                // What was not saved is still not saved, and can still be undone.
                if let Some((history, files)) = self.before.pop() {
                    let (_, mut left) = self.put_on_desk(history, files);
                    self.keeper.give_up(&mut left);
                }
            }
            Then::TakeUp(left) => self.take_up(left),
            Then::Quit => {
                self.give_up();
                self.window.may_close = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// An empty passage for the same player, ready to be written.
    fn begin_writing(&mut self) {
        let setup = &self.lesson().setup;
        let mut lesson = change::new_passage(setup.instrument.family, TimeSignature::default(), 0, 80.0);
        lesson.setup = Setup { tempo_share: 1.0, ..setup.clone() };
        self.begin(History::new(lesson), None);
        self.view.writing = true;
        self.say("A new passage; type notes by their letters");
    }

    /// Begins a lesson from which no way leads back.
    pub(super) fn begin(&mut self, history: History, on_disk: Option<OnDisk>) {
        self.give_up();
        self.put_on_desk(history, Files { on_disk, ..Files::default() });
        self.before.clear();
    }

    /// Shows another lesson; gives what lay on the desk.
    fn put_on_desk(&mut self, history: History, files: Files) -> (History, Files) {
        self.drawn = Drawn::new(history.study());
        self.view = View::new(history.study().analysis());
        self.panels.another_lesson();
        self.kept = None;
        (std::mem::replace(&mut self.history, history), std::mem::replace(&mut self.files, files))
    }

    /// Puts what was read from a file on the desk.
    pub(super) fn take_music(&mut self, path: PathBuf, music: Music) {
        self.memory.note(&path);
        let imported = match music {
            Music::Lesson(lesson, seen) => {
                return self.begin(History::new(*lesson), Some(OnDisk { path, seen }));
            }
            Music::Part(imported) => imported,
        };
        let family = imported.instrument.unwrap_or(UNTOLD.0);
        self.begin(History::new(Lesson::new(imported.score, family)), None);
        self.view.report_open = imported.diagnostics.iter().any(|d| d.severity == Severity::Warning);
        let notes = self.analysis().line.notes.len();
        self.view.message = Some(match (imported.instrument, imported.diagnostics.len()) {
            (None, _) => format!("{}. Change it under the name of the player", sentence_case(UNTOLD.1)),
            (_, 0) => format!("Read {notes} notes"),
            (_, n) => format!("Read {notes} notes, with {n} remarks; see What was read in the Lesson menu"),
        });
        self.files.report = imported.diagnostics;
    }
}
