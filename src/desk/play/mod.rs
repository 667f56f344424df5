//! Playing: what sounds and how it is counted, and the count in large numbers.

pub mod counting;
pub mod settings;
