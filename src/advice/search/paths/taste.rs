//! What one path search cares for.

/// What the pieces of a bowing weigh in this search.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Taste {
    /// A changed mark.
    pub mark: f64,
    /// What speaks against the directions, for each strong beat on an up-bow.
    pub lean: f64,
    /// A bow that begins up with an accented note, besides.
    pub accent: f64,
    /// Leaving the wanted speed or the place.
    pub bend: f64,
}
