//! The lesson on the desk, with what was done to it.

use std::sync::{
    Arc,
    atomic::{AtomicU64, Ordering},
};

use super::spacing::{Spaced, Spacing};
use crate::{
    analysis::Study,
    lesson::{Edit, EditError, Lesson},
};

/// Names one continuous gesture, such as the drag of a slider: its edits are one step to undo.
pub type Gesture = u64;

/// Tells one state of a lesson on the desk from every other, also from those that look the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StateId(u64);

impl StateId {
    fn next() -> Self {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        Self(NEXT.fetch_add(1, Ordering::Relaxed))
    }
}

/// The lesson on the desk with its undo and redo stacks. These hold edits rather than lessons: a
/// whole part has thousands of notes, an edit touches a few.
///
/// The lesson is changed at once; what is shown is the state that was analysed last, which may be an
/// earlier one.
#[derive(Debug)]
pub struct History {
    lesson: Arc<Lesson>,
    state: StateId,
    shown: Spaced,
    /// How many edits can be undone in the saved state; none when no undoing leads there.
    saved: Option<usize>,
    /// The same of the state that is being saved.
    saving: Option<usize>,
    undo: Vec<Move>,
    redo: Vec<Move>,
}

/// Leads from a state of the lesson to the one beside it.
#[derive(Debug)]
struct Move {
    edit: Edit,
    gesture: Option<Gesture>,
}

impl History {
    /// A lesson to which nothing has been done.
    pub fn new(shown: impl Into<Spaced>) -> Self {
        let shown = shown.into();
        Self {
            lesson: Arc::clone(shown.study.shared_lesson()),
            state: StateId::next(),
            shown,
            saved: Some(0),
            saving: None,
            undo: Vec::new(),
            redo: Vec::new(),
        }
    }

    /// A lesson with changes that were never saved.
    pub fn unsaved(shown: impl Into<Spaced>) -> Self {
        Self { saved: None, ..Self::new(shown) }
    }

    /// The state of the lesson that is shown, and all that is known about it.
    pub fn study(&self) -> &Study {
        &self.shown.study
    }

    /// Where the notes of that state stand.
    pub fn spacing(&self) -> &Spacing {
        &self.shown.spacing
    }

    /// The lesson as it is now.
    pub fn lesson(&self) -> &Arc<Lesson> {
        &self.lesson
    }

    /// Which state the lesson is in now.
    pub fn state(&self) -> StateId {
        self.state
    }

    /// What is shown is an earlier state.
    pub fn is_behind(&self) -> bool {
        !Arc::ptr_eq(&self.lesson, self.study().shared_lesson())
    }

    /// Analyses the lesson as it is now, on whatever thread it is called.
    pub fn analysed(&self) -> impl FnOnce() -> Study + Send + use<> {
        let (study, lesson) = (self.study().clone(), Arc::clone(&self.lesson));
        move || if Arc::ptr_eq(&lesson, study.shared_lesson()) { study } else { study.with(lesson) }
    }

    /// Shows a later state; gives the one that was shown.
    pub fn show(&mut self, later: impl Into<Spaced>) -> Spaced {
        std::mem::replace(&mut self.shown, later.into())
    }

    fn set_lesson(&mut self, lesson: Lesson) {
        (self.lesson, self.state) = (Arc::new(lesson), StateId::next());
    }

    /// The lesson differs from the saved one.
    pub fn is_unsaved(&self) -> bool {
        self.saved != Some(self.undo.len())
    }

    /// The present state is being saved.
    pub fn begin_saving(&mut self) {
        self.saving = Some(self.undo.len());
        // What goes on after saving is a step of its own, or undoing it would pass the saved state by.
        if let Some(last) = self.undo.last_mut() {
            last.gesture = None;
        }
    }

    /// The state that was being saved is on disk, whatever was done since.
    pub fn mark_saved(&mut self) {
        self.saved = self.saving.take();
    }

    /// The last change belongs to this gesture.
    pub fn is_in(&self, gesture: Option<Gesture>) -> bool {
        gesture.is_some() && self.undo.last().is_some_and(|last| last.gesture == gesture)
    }

    /// Steps that can be undone.
    pub fn depth(&self) -> usize {
        self.undo.len()
    }

    /// Words for the step that undo takes back, and for the one that redo does again.
    pub fn words(&self) -> (Option<&str>, Option<&str>) {
        (self.undo.last().map(|to| to.edit.what()), self.redo.last().map(|to| to.edit.what()))
    }

    /// Applies an edit; true when it changed anything.
    ///
    /// # Errors
    /// When the edit cannot be made; the lesson is then as before.
    pub fn apply(&mut self, edit: &Edit, gesture: Option<Gesture>) -> Result<bool, EditError> {
        if edit.is_empty() {
            return Ok(false);
        }
        let (lesson, inverse) = edit.apply(self.lesson())?;
        if lesson == **self.lesson() {
            return Ok(false);
        }
        // States that lay ahead can no longer be reached.
        for state in [&mut self.saved, &mut self.saving] {
            *state = state.filter(|state| *state <= self.undo.len());
        }
        if !self.is_in(gesture) {
            self.undo.push(Move { edit: inverse, gesture });
        }
        self.redo.clear();
        self.set_lesson(lesson);
        Ok(true)
    }

    /// Takes the last step back; false when there is none.
    pub fn undo(&mut self) -> bool {
        let Some(back) = self.undo.pop() else { return false };
        let forth = self.travel(back);
        self.redo.extend(forth);
        true
    }

    /// Does the last undone step again; false when there is none.
    pub fn redo(&mut self) -> bool {
        let Some(forth) = self.redo.pop() else { return false };
        let back = self.travel(forth);
        self.undo.extend(back);
        true
    }

    /// Goes to the state beside this one; gives the way back.
    fn travel(&mut self, to: Move) -> Option<Move> {
        // An inverse holds only what the lesson held before, so it always applies.
        let (lesson, inverse) = to.edit.apply(self.lesson()).ok()?;
        self.set_lesson(lesson);
        Some(Move { edit: inverse, gesture: None })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    fn begun() -> History {
        History::new(Study::new(demo()))
    }

    impl History {
        fn save(&mut self) {
            self.begin_saving();
            self.mark_saved();
        }
    }

    fn titled(title: &str) -> Edit {
        Edit::Title(title.to_owned())
    }

    #[test]
    fn undone_to_the_saved_state_it_is_saved() {
        let mut history = begun();
        history.apply(&titled("A"), None).unwrap();
        history.save();
        history.apply(&titled("B"), None).unwrap();
        assert!(history.is_unsaved());
        assert!(history.undo() && !history.is_unsaved());
        assert!(history.undo() && history.is_unsaved());
        assert_eq!(**history.lesson(), demo());
        assert!(history.redo() && history.redo() && !history.redo());
        assert_eq!(history.lesson().score.title, "B");
    }

    #[test]
    fn what_is_shown_follows_when_it_is_analysed() {
        let mut history = begun();
        let first = history.study().id();
        history.apply(&titled("A"), None).unwrap();
        let later = history.analysed();
        history.apply(&titled("B"), None).unwrap();
        assert!(history.is_behind() && history.study().id() == first);
        history.show(later());
        assert_eq!((history.study().lesson().score.title.as_str(), history.is_behind()), ("A", true));
        history.show(history.analysed()());
        assert!(!history.is_behind() && history.study().id() == history.analysed()().id());
    }

    #[test]
    fn one_gesture_is_one_step() {
        let mut history = begun();
        for title in ["A", "B", "C"] {
            history.apply(&titled(title), Some(7)).unwrap();
        }
        history.apply(&titled("D"), Some(8)).unwrap();
        assert_eq!(history.depth(), 2);
        history.undo();
        assert_eq!(history.lesson().score.title, "C");
        history.undo();
        assert_eq!(**history.lesson(), demo());
    }

    #[test]
    fn what_goes_on_after_saving_is_a_step_of_its_own() {
        let mut history = begun();
        history.apply(&titled("A"), Some(7)).unwrap();
        history.save();
        history.apply(&titled("B"), Some(7)).unwrap();
        assert!(history.is_unsaved());
        assert!(history.undo() && !history.is_unsaved());
        assert_eq!(history.lesson().score.title, "A");
    }

    #[test]
    fn a_saved_state_that_cannot_be_reached_any_more_is_not_taken_for_another() {
        let mut history = begun();
        history.apply(&titled("A"), None).unwrap();
        history.save();
        history.undo();
        history.apply(&titled("B"), None).unwrap();
        assert!(history.is_unsaved(), "as many steps as in the saved state, but others");
    }

    #[test]
    fn what_was_done_while_it_was_being_saved_is_not_saved() {
        let mut history = begun();
        history.apply(&titled("A"), None).unwrap();
        history.begin_saving();
        history.apply(&titled("B"), None).unwrap();
        history.mark_saved();
        assert!(history.is_unsaved());
        assert!(history.undo() && !history.is_unsaved());
        // Where no undoing leads to what was saved, nothing is taken for it.
        history.begin_saving();
        history.undo();
        history.apply(&titled("C"), None).unwrap();
        history.mark_saved();
        assert!(history.is_unsaved());
        assert!(history.undo() && history.is_unsaved());
    }

    #[test]
    fn an_edit_that_changes_nothing_is_no_step() {
        let mut history = begun();
        let same = titled(&demo().score.title);
        assert_eq!(history.apply(&same, None), Ok(false));
        assert_eq!(history.depth(), 0);
    }
}
