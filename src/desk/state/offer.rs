//! Versions of the lesson other than the present one: on offer, or kept to compare with.

use std::hash::{DefaultHasher, Hash, Hasher as _};

use crate::{analysis::Analysis, lesson::Lesson, picture::OtherPath};

/// A version of the lesson that can be looked at before it is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Offer {
    /// A remedy of the open finding, by its place in the list.
    Remedy(usize),
    /// A suggested bowing, by its place among the answers.
    Suggestion(usize),
}

/// A version with its analysis.
#[derive(Clone, Copy, Debug)]
pub struct Version<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// What is known about it.
    pub analysis: &'a Analysis,
    /// A number of its own, so that drawings know which version they show.
    pub serial: u64,
}

impl<'a> Version<'a> {
    /// Its way of the bow, for a hair map.
    pub fn path(&self, words: &'a str) -> OtherPath<'a> {
        OtherPath { lesson: self.lesson, analysis: self.analysis, words }
    }
}

/// A number for what is named by `what`.
pub fn serial(what: impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    what.hash(&mut hasher);
    hasher.finish()
}
