//! What one path search cares for.

/// What the pieces of a bowing weigh in this search.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Taste {
    /// A changed mark.
    pub mark: f64,
    /// A bar that begins on an up-bow.
    pub strong_beat: f64,
    /// Leaving the wanted speed or the place.
    pub bend: f64,
    /// A retake without a rest.
    pub retake: f64,
    /// A stop inside a bow.
    pub hook: f64,
}
