//! Good bowings found without planning any: dynamic programming from stroke to stroke.
//!
//! A label is a bowing of the first notes, with where it has brought the bow and what it has cost.
//! Labels that end at the same note, in the same direction and near the same place compete, and
//! the best few different ones stay. A stroke is taken at one of a few ratios of its wanted hair,
//! the same for all its notes, so the cost is only near that of the real plan; what it finds must be
//! planned to be judged.

mod find;
mod label;
mod note;
mod stroke;
mod taste;

pub(super) use find::Paths;
pub(super) use note::Note;
pub(super) use taste::Taste;
