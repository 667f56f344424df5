//! Changes to the lesson: edits, undo and redo, the bowing of the chosen notes, writing.

use std::collections::BTreeSet;

use egui::Context;

use crate::{
    analysis::Study,
    desk::{
        command::WriteKey,
        state::{
            history::Gesture,
            steps::{note_steps, step_at},
        },
    },
    lesson::{Edit, EditError, change},
    score::{Attack, Direction, EventId, SameBow},
};

use super::Desk;

impl Desk {
    /// Applies an edit, or says why it cannot be made; true when the lesson has changed.
    pub(super) fn edit(
        &mut self,
        edit: Result<Edit, EditError>,
        gesture: Option<Gesture>,
        now_s: f64,
    ) -> bool {
        let before = self.history.study().clone();
        let applied = edit.and_then(|edit| {
            let changed = self.history.apply(&edit, gesture)?;
            Ok(changed.then(|| edit.what().to_owned()))
        });
        match applied {
            Ok(Some(what)) => {
                self.view.message = Some(what);
                self.changed(&before, now_s);
                true
            }
            Ok(None) => false,
            Err(error) => {
                self.view.message = Some(error.to_string());
                false
            }
        }
    }

    pub(super) fn undo(&mut self, ctx: &Context, now_s: f64) {
        let before = self.history.study().clone();
        let what = self.history.words().0.unwrap_or_default().to_owned();
        if self.history.undo() {
            self.travelled(format!("Undone: {what}"), &before, ctx, now_s);
        } else {
            self.say("Nothing to undo");
        }
    }

    pub(super) fn redo(&mut self, ctx: &Context, now_s: f64) {
        let before = self.history.study().clone();
        let what = self.history.words().1.unwrap_or_default().to_owned();
        if self.history.redo() {
            self.travelled(format!("Done again: {what}"), &before, ctx, now_s);
        } else {
            self.say("Nothing to do again");
        }
    }

    fn travelled(&mut self, words: String, before: &Study, ctx: &Context, now_s: f64) {
        // A field that is being typed in would put its old text back.
        ctx.memory_mut(|memory| {
            if let Some(id) = memory.focused() {
                memory.surrender_focus(id);
            }
        });
        self.view.message = Some(words);
        self.changed(before, now_s);
    }

    /// Brings what is shown up to the changed lesson.
    fn changed(&mut self, before: &Study, now_s: f64) {
        let study = self.history.study();
        self.drawn.follow(study);
        // The playhead stays at its note where the tempo has changed.
        let (was, is) = (before.analysis().seconds_at_f64(1.0), study.analysis().seconds_at_f64(1.0));
        let factor = if was > 0.0 { is / was } else { 1.0 };
        self.view.clock.stretch(factor, study.analysis().total_s(), now_s);
        self.view.keep_to(study.lesson());
        self.view.offer = None;
    }

    pub(super) fn delete_chosen(&mut self, now_s: f64) {
        let edit = change::delete(self.lesson(), &self.view.chosen(&self.lesson().score));
        self.edit(edit, None, now_s);
    }

    /// Settles the bowing of the chosen notes, or frees it where all of it is settled.
    pub(super) fn settle(&mut self, now_s: f64) {
        let lesson = self.lesson();
        let notes = self.view.chosen_notes(self.analysis());
        let all = notes.iter().all(|note| lesson.kept.contains(&note.id()));
        let edit = change::keep_bowing(lesson, &self.view.chosen(&lesson.score), !all);
        self.edit(edit, None, now_s);
    }

    /// Changes the bowing at the first chosen note.
    pub(super) fn bow(
        &mut self,
        change: impl FnOnce(&Study, &Attack) -> Result<Edit, EditError>,
        now_s: f64,
    ) {
        let study = self.history.study();
        let edit = match self.view.chosen_notes(study.analysis()).first() {
            Some(note) => change(study, note),
            None => Err(EditError("Select a note first".to_owned())),
        };
        self.edit(edit, None, now_s);
    }

    /// Slurs the chosen notes, or takes the slur off them.
    pub(super) fn slur(&mut self, now_s: f64) {
        let study = self.history.study();
        let notes = self.view.chosen_notes(study.analysis());
        let chosen = self.view.chosen(&study.lesson().score);
        let is_one = notes
            .first()
            .is_some_and(|first| first.slur.is_some() && notes.iter().all(|note| note.slur == first.slur));
        self.bow(|study, _| change::set_slur(study.lesson(), &chosen, !is_one), now_s);
    }

    /// What a writing key does.
    pub(super) fn write(&mut self, key: WriteKey, now_s: f64) {
        if self.panels.writing.change_value(key) {
            return;
        }
        let study = self.history.study();
        let score = &study.lesson().score;
        let at = study.analysis().quarters_at(self.view.clock.tick(now_s).position);
        // With nothing chosen, writing goes on at the playhead; before the first note, in front.
        let under = if at <= 1e-6 { None } else { step_at(&note_steps(score, study.analysis()), at) };
        let selected = self.view.chosen(score).last().copied().or(under);
        let known: BTreeSet<EventId> = score.events.iter().map(|event| event.id).collect();
        let before = selected.and_then(|id| {
            let index = score.events.iter().position(|event| event.id == id)?;
            index.checked_sub(1).map(|index| score.events[index].id)
        });
        let edit = self.panels.writing.edit(study.lesson(), selected, key);
        if !self.edit(edit, None, now_s) {
            return;
        }
        let score = &self.lesson().score;
        let new = score.events.iter().find(|event| !known.contains(&event.id)).map(|event| event.id);
        let next = match key {
            WriteKey::Note(_) | WriteKey::Rest => new.or(selected),
            WriteKey::DeleteBefore => before,
            WriteKey::Add(_) | WriteKey::Tie | WriteKey::Move { .. } => selected,
            WriteKey::Shorter | WriteKey::Longer | WriteKey::Dot => selected,
        };
        match next.filter(|id| score.event(*id).is_some()) {
            Some(id) => self.go_to_note(id, false, now_s),
            None => self.view.selection.clear(),
        }
    }
}

/// The other direction from a note on.
pub fn turn(study: &Study, note: &Attack) -> Result<Edit, EditError> {
    let bowed = study.analysis().bowed_of_event(note.id()).map(|k| study.analysis().bowed(k));
    let direction = bowed.map_or(Direction::Down, |bowed| bowed.direction);
    change::turn_from(study.lesson(), note.id(), direction)
}

/// Puts a note into the bow of the one before, or takes it out again.
pub fn same_bow(how: SameBow) -> impl FnOnce(&Study, &Attack) -> Result<Edit, EditError> {
    move |study, note| {
        let is_so = note.same_bow == Some(how);
        change::hook(study.lesson(), note.id(), (!is_so).then_some(how))
    }
}
