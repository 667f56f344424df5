//! Two lessons on the same score compared: what differs in the bowing, and which findings are the same.

mod compare;
mod findings;
mod marks;
mod one;

pub use compare::compare;
pub(super) use findings::{Told, family};
pub use marks::changed_marks;
pub use one::Difference;
