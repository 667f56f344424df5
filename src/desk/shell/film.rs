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
        let score = &self.history.study().lesson().score;
        let bars = match self.view.selection.is_empty() {
            true => 0..score.bars.len().min(4),
            false => self.chosen_bars(),
        };
        let level = self.view.level.unwrap_or(2);
        self.panels.film.open(score.typed_bars(bars), level);
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
    pub(super) fn film_made(&mut self, path: PathBuf, made: Result<Made, FilmError>) {
        match made {
            Ok(made) => {
                self.view.message = Some(format!("{} frames, saved as {}", made.frames, made.path.display()));
            }
            Err(FilmError::Save(SaveError::Exists)) => {
                self.view.message = None;
                self.files.question = Some(Question::Replace(Purpose::Film, path));
            }
            Err(error) => self.not_saved(&sentence(&error), &path),
        }
    }
}
