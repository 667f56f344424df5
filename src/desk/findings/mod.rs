//! The list of findings, what helps, and what differs from a kept version.

mod card;
mod compare;
mod input;
pub mod panel;
mod remedies;
mod row;

pub use input::FindingsInput;
