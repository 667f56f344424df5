//! Changes to the lesson: edits, undo and redo, the bowing of the chosen notes.

use egui::Context;

use crate::{
    analysis::Study,
    desk::{
        state::{history::Gesture, spacing::Spaced},
        work::job::let_go,
    },
    lesson::{Edit, EditError, change},
    score::{Attack, Direction, SameBow},
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
        let applied = edit.and_then(|edit| {
            let changed = self.history.apply(&edit, gesture)?;
            let what = edit.what().to_owned();
            let_go(edit);
            Ok(changed.then_some(what))
        });
        match applied {
            Ok(Some(what)) => {
                self.view.message = Some(what);
                self.changed(now_s);
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
        let what = self.history.words().0.unwrap_or_default().to_owned();
        if self.history.undo() {
            self.travelled(format!("Undone: {what}"), ctx, now_s);
        } else {
            self.say("Nothing to undo");
        }
    }

    pub(super) fn redo(&mut self, ctx: &Context, now_s: f64) {
        let what = self.history.words().1.unwrap_or_default().to_owned();
        if self.history.redo() {
            self.travelled(format!("Done again: {what}"), ctx, now_s);
        } else {
            self.say("Nothing to do again");
        }
    }

    fn travelled(&mut self, words: String, ctx: &Context, now_s: f64) {
        // A field that is being typed in would put its old text back.
        ctx.memory_mut(|memory| {
            if let Some(id) = memory.focused() {
                memory.surrender_focus(id);
            }
        });
        self.view.message = Some(words);
        self.changed(now_s);
    }

    /// The lesson was changed: it is shown at once where that takes no more than a moment.
    fn changed(&mut self, now_s: f64) {
        self.view.keep_to(self.history.lesson());
        self.view.offer = None;
        self.follow_lesson(now_s);
    }

    /// Takes in what was analysed of the changed lesson, and carries out what has waited for it.
    pub(super) fn turn_changes(&mut self, ctx: &Context, now_s: f64) {
        self.follow_lesson(now_s);
        self.carry_on(ctx, now_s);
    }

    fn follow_lesson(&mut self, now_s: f64) {
        let ctx = self.ctx.clone();
        if let Some(analysed) = self.work.analysing.turn(&self.history, now_s, &ctx) {
            self.bring_up(analysed, now_s);
        }
    }

    /// Shows a later state of the lesson.
    fn bring_up(&mut self, later: Spaced, now_s: f64) {
        let before = self.history.show(later);
        let study = self.history.study();
        // The playhead stays at its note where the tempo has changed.
        let (was, is) = (before.study.analysis().seconds_at_f64(1.0), study.analysis().seconds_at_f64(1.0));
        let factor = if was > 0.0 { is / was } else { 1.0 };
        self.view.clock.stretch(factor, study.analysis().total_s(), now_s);
        self.view.find_way(study, now_s);
        if let Some(at) = self.view.heads_for {
            self.seek_to(at, now_s);
        }
        let_go(before);
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
