//! Leaving a lesson for another one, and coming back.

use std::path::PathBuf;

use egui::{Context, ViewportCommand};

use crate::{
    analysis::Study,
    desk::{
        state::{
            files::{Files, Music, OnDisk, Origin, Purpose, Question, Then},
            history::History,
            view::{Told, View},
        },
        work::{Analysing, CurveWork, job::let_go},
    },
    exchange::{UNTOLD, diagnostic::Severity},
    lesson::{change, demo::demo},
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
        self.before.iter().any(|(history, ..)| history.is_unsaved())
    }

    /// Leaves the lesson, after asking where there are unsaved changes. What is being written is waited
    /// for, and whoever quits waits for films and practice tracks too; one who does not want to wait asks again.
    pub(super) fn leave(&mut self, then: Then, ctx: &Context) {
        let is_kept = matches!(then, Then::Show(_));
        let quits = matches!(then, Then::Quit);
        let makes = quits && self.tasks.is_making();
        if (self.tasks.is_writing() || makes) && (self.files.after_saving.is_none() || is_kept) {
            self.files.after_saving = Some(then);
            self.say(match makes {
                true => "The window closes when everything is written; close it again to call it off",
                false => "This goes on when everything is written",
            });
        } else if quits && self.tasks.call_off() {
            // Nothing half-written is to be left.
            self.files.after_saving = Some(then);
            self.say("What was being made is called off; the window closes in a moment");
        } else if self.history.is_unsaved() && !is_kept {
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
                self.files.agreed = Some(self.history.state());
                self.ask_path(Purpose::Open, ctx);
            }
            Then::Open(path) => {
                self.files.agreed = Some(self.history.state());
                self.open(path, ctx);
            }
            Then::OpenVersion(version, file) => {
                self.files.agreed = Some(self.history.state());
                let started = self.tasks.open_version(version, file, ctx);
                self.tell(started);
            }
            Then::Take(path, music) => self.take_music(path, *music),
            Then::Demo => self.begin(History::new(Study::new(demo())), None),
            Then::Show(shown) => {
                let place = self.place();
                let (history, files) = self.put_on_desk(History::new(shown), Files::default());
                self.before.push((history, files, place));
            }
            Then::Back => {
                // What was not saved is still not saved, and can still be undone.
                if let Some((history, files, place)) = self.before.pop() {
                    let (history, mut left) = self.put_on_desk(history, files);
                    self.return_to(&place);
                    self.keeper.give_up(&mut left);
                    let_go(history);
                }
            }
            Then::TakeUp(left) => {
                self.files.agreed = Some(self.history.state());
                let started = self.tasks.take_up(left, ctx);
                self.tell(started);
            }
            Then::Quit => {
                self.give_up();
                self.window.may_close = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// An empty passage for the same player, ready to be written; asks about the piece.
    fn begin_writing(&mut self) {
        let setup = &self.lesson().setup;
        let mut lesson = change::new_passage(setup.instrument.family, TimeSignature::default(), 0, 80.0);
        lesson.setup = Setup { tempo_share: 1.0, ..setup.clone() };
        self.begin(History::new(Study::new(lesson)), None);
        self.view.writing = true;
        self.panels.piece.open(self.history.lesson(), 0);
        self.say("A new passage; type notes by their letters");
    }

    /// Begins a lesson from which no way leads back.
    pub(super) fn begin(&mut self, history: History, on_disk: Option<OnDisk>) {
        self.give_up();
        let (history, _) = self.put_on_desk(history, Files { on_disk, ..Files::default() });
        let before = std::mem::take(&mut self.before).into_iter().map(|(history, ..)| history);
        let_go(before.chain([history]).collect::<Vec<_>>());
    }

    /// Shows another lesson; gives what lay on the desk.
    fn put_on_desk(&mut self, history: History, files: Files) -> (History, Files) {
        self.note_place();
        // Whoever did not wait for the lesson before to be saved has said so.
        self.tasks.forget_saving();
        (self.work.analysing, self.work.curves) = (Analysing::default(), CurveWork::default());
        self.underway = None;
        self.waiting.clear();
        self.drawn = Drawn::default();
        self.view = View::new(history.study());
        self.panels.another_lesson();
        self.work.wording.forget();
        self.kept = None;
        (std::mem::replace(&mut self.history, history), std::mem::replace(&mut self.files, files))
    }

    /// Puts what was read from a file on the desk.
    pub(super) fn take_music(&mut self, path: PathBuf, music: Music) {
        let Music { shown, origin } = music;
        let (report, is_told) = match origin {
            Origin::Left(left) => return self.take_up(left, shown),
            Origin::Lesson(seen) => {
                self.memory.note(&path);
                self.begin(History::new(shown), Some(OnDisk { path: path.clone(), seen }));
                if self.find_place(&path) {
                    let bar = self.bar_of_playhead();
                    let score = &self.lesson().score;
                    let name = score.bar_name(bar, &score.bar_sections());
                    self.say(&format!("As you left it, at {}", name.words()));
                }
                return;
            }
            Origin::Version(seen) => {
                self.begin(History::unsaved(shown), Some(OnDisk { path, seen }));
                return self.say("An earlier version; saved, it takes the place of the damaged file");
            }
            Origin::Part { report, is_told } => (report, is_told),
        };
        self.memory.note(&path);
        self.begin(History::new(shown), None);
        self.find_place(&path);
        if report.iter().any(|d| d.severity == Severity::Warning) {
            self.view.told = Told::Reading;
        }
        let notes = self.analysis().line.notes.len();
        self.view.message = Some(match (is_told, report.len()) {
            (false, _) => format!("{}. Change it under the name of the player", sentence_case(UNTOLD.1)),
            (true, 0) => format!("Read {notes} notes"),
            (true, 1) => format!("Read {notes} notes, with one remark; see Reading at the right"),
            (true, n) => format!("Read {notes} notes, with {n} remarks; see Reading at the right"),
        });
        self.files.report = report;
    }
}
