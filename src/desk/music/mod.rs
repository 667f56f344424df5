//! Staff, hair map and levels on one time axis.

pub mod panel;
pub mod scene;
