//! Two lessons on the same score compared: what differs in the bowing, and which findings are the same.

mod bars;
mod compare;
mod count;
mod findings;
mod marks;
mod one;
mod setup;

pub use bars::SameBars;
pub use compare::compare;
pub use count::{marks_changed, notes_with_changed_marks};
pub(super) use findings::{Told, family};
pub use marks::changed_marks;
pub use one::Difference;
