//! The list of findings, what helps, and what differs from a kept version.

pub mod compare;
pub mod panel;
pub mod remedies;
