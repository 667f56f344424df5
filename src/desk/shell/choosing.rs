//! Chosen notes and bars: copied, put in elsewhere, moved, cut out.

use std::ops::Range;

use egui::Context;

use crate::{
    desk::{command::Making, work::job::let_go, writing::ask::Asks},
    lesson::{
        EditError,
        change::{self, Moving},
    },
};

use super::Desk;

impl Desk {
    /// Chooses all notes of a bar, or of all bars up to it, and goes there.
    pub(super) fn choose_bar(&mut self, bar: usize, extend: bool, now_s: f64) {
        let score = &self.history.lesson().score;
        let Some(to) = score.bars.get(bar) else { return };
        let anchor = self.view.anchor.filter(|_| extend).and_then(|id| score.event(id));
        let other = anchor.and_then(|event| score.bar_at(event.onset)).unwrap_or(bar);
        let (first, last) = (&score.bars[bar.min(other)], &score.bars[bar.max(other)]);
        self.view.choose_span(first.start.to_f64(), last.end().to_f64(), score);
        if let Some(event) = anchor {
            self.view.anchor = Some(event.id);
        }
        let at = to.start;
        self.seek_to(at, now_s);
    }

    /// The bars of the selected notes as they are typed, or the first ones.
    pub(super) fn proposed_bars(&self) -> String {
        let score = &self.history.study().lesson().score;
        let first = 0..score.bars.len().min(4);
        score.typed_bars(if self.view.selection.is_empty() { first } else { self.chosen_bars() })
    }

    /// Opens the window with the exercises that these bars give.
    pub(super) fn open_exercises(&mut self) {
        let bars = self.proposed_bars();
        self.panels.exercises.open(bars);
    }

    /// The bars of the chosen notes; without any that of the playhead.
    pub(super) fn chosen_bars(&self) -> Range<usize> {
        let score = &self.history.lesson().score;
        let chosen = score.events.iter().filter(|event| self.view.selection.contains(&event.id));
        let bars: Vec<usize> = chosen.filter_map(|event| score.bar_at(event.onset)).collect();
        let here = self.bar_of_playhead();
        let (first, last) = (bars.iter().min().copied(), bars.iter().max().copied());
        first.unwrap_or(here)..last.unwrap_or(here) + 1
    }

    /// Puts as many bars in before the chosen ones as are chosen.
    pub(super) fn insert_bars(&mut self, now_s: f64) {
        let bars = self.chosen_bars();
        let edit = change::insert_bars(self.lesson(), bars.start, bars.len());
        self.edit(edit, None, now_s);
    }

    pub(super) fn delete_bars(&mut self, now_s: f64) {
        let edit = change::delete_bars(self.lesson(), self.chosen_bars());
        self.edit(edit, None, now_s);
    }

    /// Keeps the chosen notes to put them in elsewhere; their names go to other programs.
    pub(super) fn copy(&mut self, ctx: &Context) -> bool {
        match change::copy(self.history.lesson(), &self.view.selection) {
            Ok(phrase) => {
                ctx.copy_text(phrase.words());
                let_go(self.phrase.replace(phrase));
                self.say("Copied; Ctrl+V puts it in behind the selected note");
                true
            }
            Err(why) => {
                self.say(&why.to_string());
                false
            }
        }
    }

    pub(super) fn cut(&mut self, ctx: &Context, now_s: f64) {
        if self.copy(ctx) {
            self.delete_chosen(now_s);
        }
    }

    /// Puts the copied notes in behind the chosen one, or at the playhead.
    pub(super) fn paste(&mut self, now_s: f64) {
        let Some(phrase) = &self.phrase else { return self.say("Nothing is copied yet") };
        let lesson = self.history.lesson();
        let first = lesson.score.free_event_id();
        let edit = change::paste(lesson, self.before_caret(), phrase, self.panels.writing.over);
        if self.edit(edit, None, now_s) {
            let score = &self.history.lesson().score;
            // New notes have the ids from the first free one on.
            self.view.selection = score.events.iter().map(|e| e.id).filter(|id| *id >= first).collect();
            self.view.anchor = Some(first);
            if let Some(onset) = score.event(first).map(|event| event.onset) {
                self.seek_to(onset, now_s);
            }
        }
    }

    /// Moves the chosen notes.
    pub(super) fn move_chosen(&mut self, by: Moving, now_s: f64) {
        let lesson = self.history.lesson();
        let edit = change::move_notes(lesson, &self.view.chosen(&lesson.score), by);
        self.edit(edit, None, now_s);
    }

    /// Asks for an interval to move the chosen notes by.
    pub(super) fn ask_interval(&mut self, now_s: f64) {
        let chosen = self.view.chosen(&self.history.lesson().score);
        if chosen.is_empty() {
            self.edit(Err(EditError("Select the notes to transpose first".to_owned())), None, now_s);
        } else {
            self.panels.ask.open(Asks::Interval(chosen));
        }
    }

    /// Makes the bars of the chosen notes a lesson of their own, from which a way leads back.
    pub(super) fn cut_out(&mut self, ctx: &Context) {
        let bars = self.chosen_bars();
        self.work.exercise.start(self.history.study(), Making::Bars(bars), ctx);
    }
}
