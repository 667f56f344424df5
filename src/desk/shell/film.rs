//! Moving pictures: put together in their window, made in the background.

use std::path::PathBuf;

use egui::Context;

use crate::{
    desk::{
        command::Command,
        state::{
            files::{Purpose, Question},
            now::Now,
        },
    },
    exchange::{
        saving::{Over, SaveError},
        sentence,
    },
    picture::film::{FilmError, Made},
};

use super::Desk;

impl Desk {
    /// Opens the window, on the selected bars or the first ones, and on the level that is looked at.
    pub(super) fn open_film(&mut self) {
        let bars = self.proposed_bars();
        self.panels.film.open(bars, self.view.level.unwrap_or(2));
    }

    /// Draws the window.
    pub(super) fn film_ui(&mut self, ctx: &Context, commands: &mut Vec<Command>) {
        if !self.panels.film.is_open() {
            return;
        }
        let position_s = self.view.clock.tick(ctx.input(|input| input.time)).position;
        let now = Now::new(self.history.study(), position_s, self.memory.look, 1.0);
        self.panels.film.show(ctx, (&now, &mut self.work.film), &mut self.drawn.painter, commands);
    }

    /// Makes the film that was put together.
    pub(super) fn make_film(&mut self, path: PathBuf, over: Over, ctx: &Context) {
        let Some((wish, _)) = self.panels.film.wished() else { return };
        let film = (Box::new(self.history.analysed()) as Box<_>, wish.clone());
        let started = self.tasks.make_film(path, over, film, ctx);
        self.tell(started);
    }

    /// Calls it off.
    pub(super) fn stop_film(&mut self) {
        self.tasks.stop_film();
        self.say("The moving picture was called off; nothing of it is left");
    }

    /// It was made, or why not.
    pub(super) fn film_made(&mut self, path: PathBuf, made: Result<Made, FilmError>, ctx: &Context) {
        match made {
            Ok(made) => {
                let beside = match made.strangers {
                    0 => String::new(),
                    count => format!("; beside it {count} other frames of that name, no part of it"),
                };
                let words = format!("{} frames, saved as {}{beside}", made.frames, made.path.display());
                self.view.message = Some(words);
                self.go_on_after_writing(ctx);
            }
            Err(FilmError::Save(SaveError::Exists)) => {
                self.view.message = None;
                self.files.question = Some(Question::Replace(Purpose::Film, path));
            }
            Err(error) => self.not_saved(&sentence(&error), &path),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        desk::{Memory, state::files::Then, work::film::FilmWish},
        picture::film::{Film, Kind, Seen, Subject},
    };

    /// A desk that was asked to write a film of a bar of the demo.
    fn asked(path: PathBuf, over: Over) -> Desk {
        let ctx = Context::default();
        let mut desk = Desk::new(&ctx, Memory::default(), None);
        let film = Film {
            subject: Subject::Passage { bars: 4..5 },
            seen: Seen { staff: true, hair: true, ..Seen::default() },
            size: (160, 120),
            rate: 6,
            ..Film::default()
        };
        desk.panels.film.ask_for((FilmWish { film, tempo_share: 0.5 }, Kind::Gif));
        desk.make_film(path, over, &ctx);
        desk
    }

    fn wait(desk: &mut Desk) {
        while desk.tasks.film_part().is_some() {
            desk.turn_tasks(&Context::default());
            std::thread::yield_now();
        }
    }

    #[test]
    fn a_film_is_made_in_the_background_and_replaces_no_file_unasked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.gif");
        let mut desk = asked(path.clone(), Over::Nothing);
        assert!(desk.tasks.film_part().is_some() && !desk.tasks.is_writing());
        wait(&mut desk);
        let said = desk.view.message.clone().unwrap();
        // Four quarters at half of 84 a minute, after a second: 6.7 s at 6 frames a second.
        assert!(said.starts_with("41 frames, saved as"), "{said}");
        let made = std::fs::read(&path).unwrap();
        assert!(made.starts_with(b"GIF89a"));
        let mut desk = asked(path.clone(), Over::Nothing);
        wait(&mut desk);
        assert!(matches!(desk.files.question, Some(Question::Replace(Purpose::Film, _))));
        assert_eq!(std::fs::read(&path).unwrap(), made);
    }

    #[test]
    fn quitting_waits_for_a_film_and_asked_again_calls_it_off() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.gif");
        let ctx = Context::default();
        let until_closed = |desk: &mut Desk| {
            for _ in 0..6000 {
                if desk.window.may_close {
                    break;
                }
                desk.turn_tasks(&ctx);
                std::thread::sleep(std::time::Duration::from_millis(10));
            }
            assert!(desk.window.may_close);
        };
        let mut desk = asked(path.clone(), Over::Nothing);
        desk.leave(Then::Quit, &ctx);
        assert!(!desk.window.may_close && desk.tasks.film_part().is_some());
        until_closed(&mut desk);
        assert!(std::fs::read(&path).unwrap().ends_with(b";"), "whole: a GIF ends with its trailer");
        std::fs::remove_file(&path).unwrap();
        let mut desk = asked(path, Over::Nothing);
        desk.leave(Then::Quit, &ctx);
        desk.leave(Then::Quit, &ctx);
        assert!(!desk.window.may_close && desk.tasks.film_part().is_none() && desk.tasks.is_making());
        until_closed(&mut desk);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn a_film_that_is_called_off_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let mut desk = asked(folder.path().join("song.gif"), Over::Nothing);
        desk.stop_film();
        assert!(desk.tasks.film_part().is_none());
        let left = || std::fs::read_dir(folder.path()).unwrap().count();
        // The thread hears of it at its next frame.
        for _ in 0..6000 {
            if left() == 0 {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        assert_eq!(left(), 0);
    }
}
