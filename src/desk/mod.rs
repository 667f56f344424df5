//! The window: the lesson on the desk.
//!
//! One screen: staff, hair map and levels on one time axis; under them what is selected and the bow
//! to scale; at the right the level view and the findings. Panels read the lesson, its analysis and
//! the view, and collect commands; these are carried out afterwards, in `apply`. The only room that
//! knows egui.

mod arm;
mod book;
mod bowing;
mod command;
mod file;
mod film;
mod findings;
mod handout;
mod music;
mod pencil;
mod play;
mod setup;
mod shell;
mod stand;
mod state;
mod tempo;
mod widgets;
mod wording;
mod work;
mod writing;

pub use shell::Desk;
pub use state::memory::Memory;
pub use widgets::theme::Look;

use std::path::PathBuf;

use crate::sound::speaker::Outlet;

/// Why the window cannot be opened.
#[derive(Debug, thiserror::Error)]
#[error(
    "no window can be opened here ({0}). The commands need no display: try `elbowroom check FILE`, `elbowroom plan FILE`, `elbowroom draw FILE -o OUT.svg`, or `elbowroom --help`"
)]
pub struct DeskError(String);

/// Opens the window, with a file or with the demo, and returns when it is closed.
///
/// # Errors
/// When there is no display, or the display cannot draw.
pub fn run(file: Option<PathBuf>) -> Result<(), DeskError> {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Elbowroom")
        .with_app_id("elbowroom")
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([1100.0, 680.0])
        .with_drag_and_drop(true);
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    let start = move |cc: &eframe::CreationContext<'_>| -> Result<Box<dyn eframe::App>, _> {
        let mut desk = Desk::new(&cc.egui_ctx, Memory::load(), file);
        desk.hear(Outlet::Device);
        Ok(Box::new(desk))
    };
    eframe::run_native("Elbowroom", options, Box::new(start)).map_err(|error| {
        // What comes before the last part names places in the window library's own source.
        let words = crate::exchange::sentence(&error);
        DeskError(words.rsplit(": ").next().unwrap_or_default().trim_end_matches('.').to_owned())
    })
}
