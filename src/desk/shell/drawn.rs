//! What is made from the study for the screen, once for each study rather than every frame.

use std::sync::Arc;

use crate::{
    analysis::Study,
    desk::{
        arm::cache::FigureCache, music::scene::Scene, state::spacing::Spacing,
        widgets::painter::ScreenPainter,
    },
};

/// Spacing, scene and words of the study on the desk.
pub struct Drawn {
    /// Spacing of the whole score.
    pub spacing: Arc<Spacing>,
    /// The music in view.
    pub scene: Option<Scene>,
    /// Paints pictures; remembers the shapes of music signs.
    pub painter: ScreenPainter,
    /// The player.
    pub figure: FigureCache,
}

impl Drawn {
    /// Prepares a study for the screen.
    pub fn new(study: &Study) -> Self {
        Self {
            spacing: Arc::new(Spacing::new(study.lesson())),
            scene: None,
            painter: ScreenPainter::default(),
            figure: FigureCache::default(),
        }
    }

    /// Follows to another state; the scene stays until it is drawn anew.
    pub fn follow(&mut self, spacing: Arc<Spacing>) {
        self.spacing = spacing;
    }
}
