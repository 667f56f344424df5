//! The lesson on the desk, with what was done to it.

use crate::lesson::{Edit, EditError, Lesson};

/// Names one continuous gesture, such as the drag of a slider: its edits are one step to undo.
pub type Gesture = u64;

/// A lesson with its undo and redo stacks.
///
/// Every state has a number of its own; going back to a state gives its number back, so the number
/// tells whether the lesson is as it was saved, and whether an analysis still belongs to it.
#[derive(Debug)]
pub struct History {
    lesson: Lesson,
    state: u64,
    saved: u64,
    next: u64,
    undo: Vec<Step>,
    redo: Vec<Step>,
}

#[derive(Debug)]
struct Step {
    /// Leads to the other state.
    edit: Edit,
    /// The number of the other state.
    state: u64,
    gesture: Option<Gesture>,
}

impl History {
    /// A lesson to which nothing has been done.
    pub fn new(lesson: Lesson) -> Self {
        Self { lesson, state: 0, saved: 0, next: 1, undo: Vec::new(), redo: Vec::new() }
    }

    /// The lesson.
    pub fn lesson(&self) -> &Lesson {
        &self.lesson
    }

    /// Number of the present state.
    pub fn state(&self) -> u64 {
        self.state
    }

    /// The lesson differs from the saved one.
    pub fn is_unsaved(&self) -> bool {
        self.state != self.saved
    }

    /// The present state is on disk.
    pub fn mark_saved(&mut self) {
        self.saved = self.state;
    }

    /// Steps that can be undone.
    pub fn depth(&self) -> usize {
        self.undo.len()
    }

    /// Words for the step that undo takes back, and for the one that redo does again.
    pub fn words(&self) -> (Option<&str>, Option<&str>) {
        (self.undo.last().map(|step| step.edit.what()), self.redo.last().map(|step| step.edit.what()))
    }

    /// Applies an edit; true when it changed anything.
    ///
    /// # Errors
    /// When the edit cannot be made; the lesson is then as before.
    pub fn apply(&mut self, edit: &Edit, gesture: Option<Gesture>) -> Result<bool, EditError> {
        if edit.is_empty() {
            return Ok(false);
        }
        let (lesson, inverse) = edit.apply(&self.lesson)?;
        if lesson == self.lesson {
            return Ok(false);
        }
        let goes_on = gesture.is_some() && self.undo.last().is_some_and(|step| step.gesture == gesture);
        if !goes_on {
            self.undo.push(Step { edit: inverse, state: self.state, gesture });
        }
        self.redo.clear();
        self.lesson = lesson;
        self.state = self.next;
        self.next += 1;
        Ok(true)
    }

    /// Takes the last step back; false when there is none.
    pub fn undo(&mut self) -> bool {
        let Some(step) = self.undo.pop() else { return false };
        let back = self.travel(step);
        self.redo.extend(back);
        true
    }

    /// Does the last undone step again; false when there is none.
    pub fn redo(&mut self) -> bool {
        let Some(step) = self.redo.pop() else { return false };
        let back = self.travel(step);
        self.undo.extend(back);
        true
    }

    /// Goes to the other state of a step; gives the step that leads back.
    fn travel(&mut self, step: Step) -> Option<Step> {
        // An inverse holds only what the lesson held before, so it always applies.
        let (lesson, inverse) = step.edit.apply(&self.lesson).ok()?;
        self.lesson = lesson;
        let back = Step { edit: inverse, state: self.state, gesture: None };
        self.state = step.state;
        Some(back)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    fn titled(title: &str) -> Edit {
        Edit::Title(title.to_owned())
    }

    #[test]
    fn undone_to_the_saved_state_it_is_saved() {
        let mut history = History::new(demo());
        history.apply(&titled("A"), None).unwrap();
        history.mark_saved();
        history.apply(&titled("B"), None).unwrap();
        assert!(history.is_unsaved());
        assert!(history.undo() && !history.is_unsaved());
        assert!(history.undo() && history.is_unsaved());
        assert_eq!(history.lesson(), &demo());
        assert!(history.redo() && history.redo() && !history.redo());
        assert_eq!(history.lesson().score.title, "B");
    }

    #[test]
    fn one_gesture_is_one_step() {
        let mut history = History::new(demo());
        for title in ["A", "B", "C"] {
            history.apply(&titled(title), Some(7)).unwrap();
        }
        history.apply(&titled("D"), Some(8)).unwrap();
        assert_eq!(history.depth(), 2);
        history.undo();
        assert_eq!(history.lesson().score.title, "C");
        history.undo();
        assert_eq!(history.lesson(), &demo());
    }

    #[test]
    fn an_edit_that_changes_nothing_is_no_step() {
        let mut history = History::new(demo());
        let same = titled(&demo().score.title);
        assert_eq!(history.apply(&same, None), Ok(false));
        assert_eq!(history.depth(), 0);
    }
}
