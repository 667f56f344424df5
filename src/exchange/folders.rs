//! Where on this machine the program keeps things of its own.

use std::path::PathBuf;

use etcetera::base_strategy::{BaseStrategy as _, choose_base_strategy};

/// The name of the program's folders.
const OWN: &str = "elbowroom";

/// The folder of the program's own settings, where there is one.
pub fn settings_folder() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.config_dir().join(OWN))
}

/// The folder of what the program keeps of a person's work, where there is one.
pub fn data_folder() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.data_dir().join(OWN))
}
