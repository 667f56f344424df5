//! The lesson on the desk, with what was done to it.

use std::{
    collections::HashSet,
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
};

use super::spacing::{Spaced, Spacing};
use crate::{
    analysis::Study,
    lesson::{Edit, EditError, Lesson},
    score::EventId,
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
pub struct Move {
    edit: Arc<Edit>,
    gesture: Option<Gesture>,
}

/// Which way one goes through what was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The last step is undone.
    Back,
    /// The last undone step is done again.
    Forth,
}

/// A change that is worked out: the state it leads to, and the way back. It takes longer than a frame where all
/// notes of a long part move, so it is made on another thread and then taken in by [`History::take`].
#[derive(Debug)]
pub struct Change {
    lesson: Arc<Lesson>,
    back: Arc<Edit>,
    /// Notes and rests that are there no longer.
    gone: Vec<EventId>,
}

/// What no longer belongs to the history. It may be large, and is dropped where nobody waits for that.
#[derive(Debug)]
pub struct Lost {
    _steps: Vec<Move>,
    _lesson: Arc<Lesson>,
}

impl Change {
    /// What an edit makes of a lesson.
    ///
    /// # Errors
    /// When the edit cannot be made.
    pub fn new(lesson: &Lesson, edit: &Edit) -> Result<Self, EditError> {
        let (next, back) = edit.apply(lesson)?;
        let ids = |lesson: &Lesson| lesson.score.events.iter().map(|event| event.id).collect::<Vec<_>>();
        let (mut gone, left) = (ids(lesson), ids(&next));
        if gone == left {
            gone.clear();
        } else {
            let left: HashSet<EventId> = left.into_iter().collect();
            gone.retain(|id| !left.contains(id));
        }
        Ok(Self { lesson: Arc::new(next), back: Arc::new(back), gone })
    }

    /// The same, or none when the lesson stays as it is.
    ///
    /// # Errors
    /// When the edit cannot be made.
    pub fn unless_same(lesson: &Lesson, edit: &Edit) -> Result<Option<Self>, EditError> {
        let change = if edit.is_empty() { None } else { Some(Self::new(lesson, edit)?) };
        Ok(change.filter(|change| *change.lesson != *lesson))
    }

    /// Notes and rests that are there no longer.
    pub fn gone(&self) -> &[EventId] {
        &self.gone
    }
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

    fn set_lesson(&mut self, lesson: Arc<Lesson>) -> Arc<Lesson> {
        self.state = StateId::next();
        std::mem::replace(&mut self.lesson, lesson)
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

    fn steps(&mut self, way: Way) -> (&mut Vec<Move>, &mut Vec<Move>) {
        match way {
            Way::Back => (&mut self.undo, &mut self.redo),
            Way::Forth => (&mut self.redo, &mut self.undo),
        }
    }

    /// The edit that leads to the state beside this one; none where there is none.
    pub fn beside(&self, way: Way) -> Option<&Arc<Edit>> {
        let steps = if way == Way::Back { &self.undo } else { &self.redo };
        steps.last().map(|to| &to.edit)
    }

    /// Words for the step that undo takes back, and for the one that redo does again.
    pub fn words(&self) -> (Option<&str>, Option<&str>) {
        let words = |way| self.beside(way).map(|edit| edit.what());
        (words(Way::Back), words(Way::Forth))
    }

    /// Takes in a change of the lesson as it is; gives what can be reached no longer.
    pub fn take(&mut self, change: Change, gesture: Option<Gesture>) -> Lost {
        // States that lay ahead can no longer be reached.
        for state in [&mut self.saved, &mut self.saving] {
            *state = state.filter(|state| *state <= self.undo.len());
        }
        let mut lost = std::mem::take(&mut self.redo);
        let back = Move { edit: change.back, gesture };
        if self.is_in(gesture) {
            lost.push(back);
        } else {
            self.undo.push(back);
        }
        Lost { _steps: lost, _lesson: self.set_lesson(change.lesson) }
    }

    /// Goes to the state beside this one, which [`Self::beside`] leads to; gives what is needed no longer.
    pub fn travel(&mut self, way: Way, change: Change) -> Lost {
        let (from, to) = self.steps(way);
        let gone = from.pop();
        to.push(Move { edit: change.back, gesture: None });
        Lost { _steps: gone.into_iter().collect(), _lesson: self.set_lesson(change.lesson) }
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

        fn apply(&mut self, edit: &Edit, gesture: Option<Gesture>) -> Result<bool, EditError> {
            let change = Change::unless_same(self.lesson(), edit)?;
            Ok(change.map(|change| self.take(change, gesture)).is_some())
        }

        fn go(&mut self, way: Way) -> bool {
            let change = self.beside(way).map(|edit| Change::new(self.lesson(), edit).unwrap());
            change.map(|change| self.travel(way, change)).is_some()
        }

        fn undo(&mut self) -> bool {
            self.go(Way::Back)
        }

        fn redo(&mut self) -> bool {
            self.go(Way::Forth)
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
