//! A version of the lesson kept to compare with.

use crate::{advice::Difference, analysis::Study, picture::OtherPath};

/// The kept version, and how the present one differs from it.
pub struct Kept {
    study: Study,
    /// What it is called on the hair map.
    words: String,
    differences: Vec<Difference>,
}

impl Kept {
    /// Keeps a version, under the words it is called by on the hair map.
    pub fn new(study: &Study, words: impl Into<String>) -> Self {
        Self { study: study.clone(), words: words.into(), differences: Vec::new() }
    }

    /// What it is called.
    pub fn words(&self) -> &str {
        &self.words
    }

    /// How the present version differs from it.
    pub fn differ_in(&mut self, differences: Vec<Difference>) {
        self.differences = differences;
    }

    /// What differs, in the order of the music.
    pub fn differences(&self) -> &[Difference] {
        &self.differences
    }

    /// The version.
    pub fn study(&self) -> &Study {
        &self.study
    }

    /// Its way of the bow, for a hair map.
    pub fn path(&self) -> OtherPath<'_> {
        OtherPath { study: &self.study, words: &self.words }
    }
}
