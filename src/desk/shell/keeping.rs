//! Unsaved work: kept as it comes about, offered again, and the file of the lesson watched.

use std::{path::Path, time::SystemTime};

use egui::Context;

use crate::{
    analysis::Study,
    desk::{
        file::{keeper::Told, left::LeftAnswer, versions::Chosen},
        state::{
            files::{OnDisk, Then},
            history::History,
            kept::Kept,
            spacing::Spaced,
        },
        work::job::let_go,
    },
    exchange::{saving::Seen, unsaved::Left},
};

use super::Desk;

impl Desk {
    /// Keeps what is unsaved, and takes in what the keeper has to say.
    pub(super) fn turn_keeping(&mut self) {
        self.keeper.remember(&self.memory);
        // What was given up when the window was closed is not kept again.
        if self.window.may_close {
            return;
        }
        self.keeper.follow(&self.history, &mut self.files);
        while let Some(told) = self.keeper.next() {
            match told {
                Told::Left(left) => self.panels.left.show(left),
                Told::Versions(path, versions) if self.files.path() == Some(&path) => {
                    self.panels.versions.show(versions, None);
                }
                Told::Versions(path, versions) if !versions.is_empty() => {
                    self.panels.versions.show(versions, Some(path));
                }
                Told::Changed(path) if self.files.path() == Some(&path) => {
                    self.say("The file has changed on the disk: Lesson, Compare with the file shows how");
                }
                Told::OpenElsewhere(path) if self.files.path() == Some(&path) => {
                    self.say("This lesson is open in another window too; what is saved there is not replaced unasked");
                }
                Told::Changed(_) | Told::OpenElsewhere(_) | Told::Versions(..) => {}
                Told::Failed(why) => self.say(&why),
            }
        }
    }

    /// What lies on the desk, and what one could go back to from it, is kept no longer.
    pub(super) fn give_up(&mut self) {
        self.keeper.give_up(&mut self.files);
        for (_, files, _) in &mut self.before {
            self.keeper.give_up(files);
        }
    }

    /// Asks for the unsaved work that was left.
    pub(super) fn ask_left(&mut self) {
        // What is held cannot be found again.
        self.panels.left.left.clear();
        self.keeper.ask_left();
        if self.memory.data().is_none() {
            self.say("There is no data folder on this machine to keep unsaved work in");
        }
    }

    /// Asks for the versions of the lesson that were saved before.
    pub(super) fn ask_versions(&mut self) {
        match (self.memory.data(), self.files.path()) {
            (Some(_), Some(path)) => self.keeper.ask_versions(path),
            (_, None) => self.say("This lesson was not saved yet"),
            (None, _) => self.say("There is no data folder on this machine to keep versions in"),
        }
    }

    /// Draws the windows of unsaved work that was left, and of versions saved before.
    pub(super) fn keeping_ui(&mut self, ctx: &Context) {
        let now = SystemTime::now();
        match self.panels.versions.ui(ctx, now) {
            Some(Chosen::Compare(version, words)) => {
                let started = self.tasks.read_version(version, words, ctx);
                self.tell(started);
            }
            Some(Chosen::Open(version, file)) => self.leave(Then::OpenVersion(version, file), ctx),
            None => {}
        }
        match self.panels.left.ui(ctx, now) {
            Some(LeftAnswer::Open(left)) => self.leave(Then::TakeUp(left), ctx),
            Some(LeftAnswer::PutAside(left)) => self.keeper.put_aside(left),
            Some(LeftAnswer::ThrowAway(left)) => self.keeper.throw_away(left),
            None => {}
        }
    }

    /// Puts unsaved work that was left on the desk, still unsaved.
    pub(super) fn take_up(&mut self, left: Box<Left>, shown: Spaced) {
        let file = left.about.file.clone();
        let path = file.as_ref().map(|(path, _)| path.clone());
        self.begin(History::unsaved(shown), file.map(|(path, seen)| OnDisk { path, seen }));
        self.keeper.take_up(left, &self.history, &mut self.files);
        if let Some(path) = path {
            self.find_place(&path);
        }
        self.say("This is as it was when it was last kept; it is not saved yet");
    }

    /// Asks what the file of the lesson holds now.
    pub(super) fn compare_file(&mut self, ctx: &Context) {
        let Some(path) = self.files.path().map(Path::to_owned) else {
            return self.say("This lesson has no file yet");
        };
        let started = self.tasks.read_beside(path, ctx);
        self.tell(started);
    }

    /// Shows what the file of the lesson holds now beside the lesson; from then on it has been seen.
    pub(super) fn show_beside(&mut self, path: &Path, study: &Study, seen: Seen) {
        let Some(on_disk) = self.files.on_disk.as_mut().filter(|on_disk| on_disk.path == path) else {
            return;
        };
        on_disk.seen = seen;
        self.compare_with(study, "version on the disk".to_owned());
        self.say(
            "The version on the disk is dashed under yours; Save puts yours in its place, Save as keeps both",
        );
    }

    /// Shows another version beside the lesson.
    pub(super) fn compare_with(&mut self, study: &Study, words: String) {
        let_go(self.kept.replace(Kept::new(study, words)));
        self.panels.findings.compared = true;
    }
}
