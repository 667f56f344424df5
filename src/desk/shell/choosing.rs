//! Chosen notes and bars: copied, put in elsewhere, moved, cut out.

use std::{ops::Range, sync::Arc};

use egui::Context;

use crate::{
    desk::{command::Making, state::view::in_order, work::job::let_go, writing::ask::Asks},
    lesson::{
        EditError, Lesson,
        change::{self, Moving, Phrase},
    },
    score::{EventId, Quarters},
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

    /// The bars of the passage that is practised, as they are typed, or the first ones.
    pub(super) fn proposed_bars(&self) -> String {
        let score = &self.history.study().lesson().score;
        let first = 0..score.bars.len().min(4);
        score.typed_bars(self.practised_bars().unwrap_or(first))
    }

    /// The bars of several selected notes, else those of the loop, else that of the one selected note: while one
    /// steps through a loop a single note is selected, which is no passage.
    pub(super) fn practised_bars(&self) -> Option<Range<usize>> {
        let chosen = (!self.view.selection.is_empty()).then(|| self.chosen_bars());
        match self.view.clock.span() {
            Some((from, until)) if self.view.chosen_notes(self.analysis()).len() < 2 => {
                self.bars_between(from, until).or(chosen)
            }
            _ => chosen,
        }
    }

    /// The bars that are played from one moment to another, s.
    fn bars_between(&self, from: f64, until: f64) -> Option<Range<usize>> {
        let score = &self.history.study().lesson().score;
        let (from, until) = (self.analysis().quarters_at(from), self.analysis().quarters_at(until));
        let first = score.bar_at(Quarters::from_f64(from))?;
        let last = score.bar_at(Quarters::from_f64(until) - Quarters::new(1, 1024))?;
        (first <= last).then_some(first..last + 1)
    }

    /// Opens the window with the exercises that these bars give.
    pub(super) fn open_exercises(&mut self) {
        let bars = self.proposed_bars();
        self.panels.exercises.open(bars);
    }

    /// Opens the window with a warm-up for the movement of the playhead.
    pub(super) fn open_warm_up(&mut self) {
        let bar = self.bar_of_playhead();
        self.panels.warm_up.open(bar);
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
        self.edit(move |lesson| change::insert_bars(lesson, bars.start, bars.len()), now_s);
    }

    pub(super) fn delete_bars(&mut self, now_s: f64) {
        let bars = self.chosen_bars();
        self.edit(move |lesson| change::delete_bars(lesson, bars), now_s);
    }

    /// Keeps the chosen notes to put them in elsewhere; their names go to other programs.
    pub(super) fn copy(&mut self, now_s: f64) {
        self.copy_then(|_, _| {}, now_s);
    }

    pub(super) fn cut(&mut self, now_s: f64) {
        let cut = self.view.selection.clone();
        let delete = move |desk: &mut Self, now_s| {
            desk.edit(move |lesson| change::delete(lesson, &in_order(&cut, &lesson.score)), now_s);
        };
        self.copy_then(delete, now_s);
    }

    fn copy_then(&mut self, then: impl FnOnce(&mut Self, f64) + Send + 'static, now_s: f64) {
        let selection = self.view.selection.clone();
        let copy = move |lesson: &Arc<Lesson>| {
            let phrase = change::copy(lesson, &selection)?;
            Ok((phrase.words(), phrase))
        };
        let go_on = move |desk: &mut Self, copied: Result<(String, Phrase), EditError>, now_s| match copied {
            Ok((words, phrase)) => {
                desk.ctx.copy_text(words);
                let_go(desk.phrase.replace(Arc::new(phrase)));
                desk.say("Copied; Ctrl+V puts it in behind the selected note");
                then(desk, now_s);
            }
            Err(why) => desk.say(&why.to_string()),
        };
        self.work_out(copy, go_on, now_s);
    }

    /// Puts the copied notes in behind the chosen one, or at the playhead.
    pub(super) fn paste(&mut self, now_s: f64) {
        let Some(phrase) = self.phrase.clone() else { return self.say("Nothing is copied yet") };
        let first = self.lesson().score.free_event_id();
        let end = EventId(first.0.saturating_add(u32::try_from(phrase.written()).unwrap_or(u32::MAX)));
        let (before, over) = (self.before_caret(), self.panels.writing.over);
        let choose = move |desk: &mut Self, made: Result<bool, EditError>, now_s| {
            if made != Ok(true) {
                return;
            }
            let score = &desk.history.lesson().score;
            let ids = score.events.iter().map(|event| event.id);
            desk.view.selection = ids.filter(|id| (first..end).contains(id)).collect();
            desk.view.anchor = Some(first);
            if let Some(onset) = score.event(first).map(|event| event.onset) {
                desk.seek_to(onset, now_s);
            }
        };
        self.edit_then(move |lesson| change::paste(lesson, before, &phrase, over), None, choose, now_s);
    }

    /// Moves the chosen notes.
    pub(super) fn move_chosen(&mut self, by: Moving, now_s: f64) {
        self.edit_chosen(move |lesson, chosen| change::move_notes(lesson, &chosen, by), now_s);
    }

    /// Asks for an interval to move the chosen notes by.
    pub(super) fn ask_interval(&mut self) {
        if self.view.selection.is_empty() {
            self.say("Select the notes to transpose first");
        } else {
            self.panels.ask.open(Asks::Interval(in_order(&self.view.selection, &self.lesson().score)));
        }
    }

    /// Makes the bars of the chosen notes a lesson of their own, from which a way leads back.
    pub(super) fn cut_out(&mut self, ctx: &Context) {
        let bars = self.chosen_bars();
        self.work.exercise.start(self.history.study(), Making::Bars(bars), ctx);
    }
}
