//! A lesson together with all that is known about it.

use std::sync::{
    Arc, OnceLock,
    atomic::{AtomicU64, Ordering},
};

use super::{
    Analysis, analyse, analyse_after,
    stages::{pencil, same_pencil},
};
use crate::{bowing::Pencil, lesson::Lesson};

/// Tells one study from every other; no two that were made apart have the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StudyId(u64);

impl StudyId {
    fn next() -> Self {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        Self(NEXT.fetch_add(1, Ordering::Relaxed))
    }
}

/// A lesson and its analysis, which always belong together. Cheap to share: a clone is the same study,
/// with the same id.
#[derive(Clone, Debug)]
pub struct Study {
    lesson: Arc<Lesson>,
    analysis: Arc<Analysis>,
    /// Made when it is first asked for: of many versions that are tried nobody sees the marks.
    pencil: Arc<OnceLock<Pencil>>,
    id: StudyId,
}

impl Study {
    /// Analyses a lesson.
    pub fn new(lesson: impl Into<Arc<Lesson>>) -> Self {
        let lesson = lesson.into();
        let analysis = Arc::new(analyse(&lesson));
        Self { lesson, analysis, pencil: Arc::default(), id: StudyId::next() }
    }

    /// Another version of the lesson; what did not change is taken over from this study.
    pub fn with(&self, lesson: impl Into<Arc<Lesson>>) -> Self {
        let lesson = lesson.into();
        let analysis = Arc::new(analyse_after(&lesson, &self.lesson, &self.analysis));
        let is_same = same_pencil((&self.lesson, &self.analysis), (&lesson, &analysis));
        let pencil = if is_same { Arc::clone(&self.pencil) } else { Arc::default() };
        Self { lesson, analysis, pencil, id: StudyId::next() }
    }

    /// The lesson.
    pub fn lesson(&self) -> &Lesson {
        &self.lesson
    }

    /// The lesson, to be shared.
    pub fn shared_lesson(&self) -> &Arc<Lesson> {
        &self.lesson
    }

    /// What is known about it.
    pub fn analysis(&self) -> &Analysis {
        &self.analysis
    }

    /// What a teacher would write over the notes. The first time it is asked for it takes a part of the time of
    /// the analysis.
    pub fn pencil(&self) -> &Pencil {
        self.pencil.get_or_init(|| pencil(&self.lesson, &self.analysis))
    }

    /// Which study this is.
    pub fn id(&self) -> StudyId {
        self.id
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    #[test]
    fn a_clone_is_the_same_study_and_nothing_else_is() {
        let study = Study::new(demo());
        assert_eq!(study.clone().id(), study.id());
        assert_ne!(Study::new(demo()).id(), study.id());
        assert_ne!(study.with(demo()).id(), study.id());
    }
}
