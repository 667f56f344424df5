//! Changes to the lesson: edits, undo and redo, the bowing of the chosen notes.

use std::sync::Arc;

use egui::Context;

use crate::{
    analysis::Study,
    desk::{
        state::{
            history::{Change, Gesture, Way},
            spacing::Spaced,
            view::in_order,
        },
        work::job::let_go,
    },
    lesson::{Edit, EditError, Lesson, change},
    score::{Attack, Direction, EventId, SameBow},
};

use super::Desk;

/// A state that is shown no longer is kept for so many frames: what works on it gives it up meanwhile, and whoever
/// holds it last would have to clear it away, on the thread that draws. Assumed.
const PAST_FRAMES: u32 = 4;

impl Desk {
    /// Makes a change of the lesson, or says why it cannot be made.
    pub(super) fn edit(
        &mut self,
        make: impl FnOnce(&Lesson) -> Result<Edit, EditError> + Send + 'static,
        now_s: f64,
    ) {
        self.edit_then(make, None, |_, _, _| {}, now_s);
    }

    /// Makes a change of the lesson, or says why it cannot be made; then goes on, knowing whether the lesson is
    /// another one now.
    pub(super) fn edit_then(
        &mut self,
        make: impl FnOnce(&Lesson) -> Result<Edit, EditError> + Send + 'static,
        gesture: Option<Gesture>,
        then: impl FnOnce(&mut Self, Result<bool, EditError>, f64) + Send + 'static,
        now_s: f64,
    ) {
        let work = move |lesson: &Arc<Lesson>| {
            let edit = make(lesson)?;
            let change = Change::unless_same(lesson, &edit)?;
            Ok(change.map(|change| (change, edit.what().to_owned())))
        };
        let go_on = move |desk: &mut Self, made: Result<Option<(Change, String)>, EditError>, now_s| {
            let made = match made {
                Ok(Some((change, what))) => {
                    desk.view.message = Some(what);
                    desk.view.forget(change.gone());
                    let_go(desk.history.take(change, gesture));
                    desk.changed(now_s);
                    Ok(true)
                }
                Ok(None) => Ok(false),
                Err(error) => {
                    desk.view.message = Some(error.to_string());
                    Err(error)
                }
            };
            then(desk, made, now_s);
        };
        self.work_out(work, go_on, now_s);
    }

    /// Undoes the last step, or does the last undone one again.
    pub(super) fn travel(&mut self, way: Way, now_s: f64) {
        let (nothing, done) = match way {
            Way::Back => ("Nothing to undo", "Undone"),
            Way::Forth => ("Nothing to do again", "Done again"),
        };
        let Some(edit) = self.history.beside(way).cloned() else { return self.say(nothing) };
        let words = format!("{done}: {}", edit.what());
        let go_on = move |desk: &mut Self, change: Result<Change, EditError>, now_s| {
            match change {
                Ok(change) => {
                    desk.view.forget(change.gone());
                    let_go(desk.history.travel(way, change));
                    desk.travelled(words, now_s);
                }
                // An inverse holds only what the lesson held before, so it always applies.
                Err(error) => desk.view.message = Some(error.to_string()),
            }
        };
        self.work_out(move |lesson| Change::new(lesson, &edit), go_on, now_s);
    }

    fn travelled(&mut self, words: String, now_s: f64) {
        // A field that is being typed in would put its old text back.
        self.ctx.memory_mut(|memory| {
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

    /// Takes in what was worked out and what was analysed of the changed lesson, and carries out what has waited
    /// for it.
    pub(super) fn turn_changes(&mut self, ctx: &Context, now_s: f64) {
        self.past.iter_mut().for_each(|(_, frames)| *frames += 1);
        while let Some((study, _)) = self.past.pop_front_if(|(_, frames)| *frames > PAST_FRAMES) {
            let_go(study);
        }
        self.turn_underway(now_s);
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
        self.past.push_back((before, 0));
    }

    pub(super) fn delete_chosen(&mut self, now_s: f64) {
        self.edit_chosen(|lesson, chosen| change::delete(lesson, &chosen), now_s);
    }

    /// Makes a change of the chosen notes, which are given in score order.
    pub(super) fn edit_chosen(
        &mut self,
        change: impl FnOnce(&Lesson, Vec<EventId>) -> Result<Edit, EditError> + Send + 'static,
        now_s: f64,
    ) {
        let selection = self.view.selection.clone();
        self.edit(move |lesson| change(lesson, in_order(&selection, &lesson.score)), now_s);
    }

    /// Settles the bowing of the chosen notes, or frees it where all of it is settled.
    pub(super) fn settle(&mut self, now_s: f64) {
        let kept = &self.lesson().kept;
        let notes = self.view.chosen_notes(self.analysis());
        let all = notes.iter().all(|note| kept.contains(&note.id()));
        self.edit_chosen(move |lesson, chosen| change::keep_bowing(lesson, &chosen, !all), now_s);
    }

    /// Changes the bowing at the first chosen note.
    pub(super) fn bow(
        &mut self,
        change: impl FnOnce(&Study, &Attack) -> Result<Edit, EditError> + Send + 'static,
        now_s: f64,
    ) {
        let study = self.history.study().clone();
        let line = &study.analysis().line;
        let first = self.view.selection.iter().filter_map(|id| line.note_of(*id)).min();
        let make = move |_: &Lesson| match first {
            Some(note) => change(&study, &study.analysis().line.notes[note]),
            None => Err(EditError("Select a note first".to_owned())),
        };
        self.edit(make, now_s);
    }

    /// Slurs the chosen notes, or takes the slur off them.
    pub(super) fn slur(&mut self, now_s: f64) {
        let notes = self.view.chosen_notes(self.analysis());
        let Some(first) = notes.first() else {
            return self.say("Select a note first");
        };
        let is_one = first.slur.is_some() && notes.iter().all(|note| note.slur == first.slur);
        self.edit_chosen(move |lesson, chosen| change::set_slur(lesson, &chosen, !is_one), now_s);
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
