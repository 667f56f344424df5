//! What is made from the study for the screen, once for each study rather than every frame.

use crate::desk::{arm::cache::FigureCache, music::scene::Scene, widgets::painter::ScreenPainter};

/// Scene and figure of the study on the desk.
#[derive(Default)]
pub struct Drawn {
    /// The music in view.
    pub scene: Option<Scene>,
    /// Paints pictures; remembers the shapes of music signs.
    pub painter: ScreenPainter,
    /// The player.
    pub figure: FigureCache,
}
