//! Large letters, as large as there is room for.

use std::sync::Arc;

use egui::{Align2, Color32, FontId, Galley, Pos2, Rect, Ui, text::LayoutJob};

use crate::{
    desk::widgets::{
        painter::{colour, family},
        theme::Look,
    },
    picture::{Face, Ink},
};

/// Where letters are set, and the height of the window that sizes are shares of.
pub struct Letters<'a> {
    /// Where they are painted.
    pub ui: &'a Ui,
    /// Their colours.
    pub look: Look,
    /// Height of the window, points.
    pub high: f32,
}

impl Letters<'_> {
    pub fn ink(&self, ink: Ink) -> Color32 {
        colour(self.look.theme(), ink)
    }

    fn set(&self, words: &str, size: f32, face: Face, ink: Ink, width: f32) -> Arc<Galley> {
        let font = FontId::new((size * self.high).max(1.0), family(face));
        self.ui.painter().layout_job(LayoutJob::simple(words.to_owned(), font, self.ink(ink), width))
    }

    /// The size at which words go into a width, at most the one wished.
    pub fn fitted(&self, words: &str, size: f32, face: Face, width: f32) -> f32 {
        let wide = self.set(words, size, face, Ink::Text, f32::INFINITY).size().x;
        if wide > width { size * width / wide } else { size }
    }

    /// Words at a place.
    pub fn text(&self, at: Pos2, align: Align2, words: &str, size: f32, face: Face, ink: Ink) -> Rect {
        let font = FontId::new((size * self.high).max(1.0), family(face));
        self.ui.painter().text(at, align, words, font, self.ink(ink))
    }

    /// A line from its upper left corner, smaller where it would be too wide; tells its width.
    pub fn line(&self, at: Pos2, width: f32, words: &str, size: f32, face: Face, ink: Ink) -> f32 {
        let fitted = self.fitted(words, size, face, width);
        // On the same foot, however small.
        let at = Pos2::new(at.x, at.y + 0.95 * (size - fitted) * self.high);
        self.text(at, Align2::LEFT_TOP, words, fitted, face, ink).width()
    }

    /// Words in several lines, smaller until they go into their room.
    pub fn paragraph(&self, room: Rect, words: &str, size: f32, face: Face, ink: Ink) {
        let mut size = size;
        let mut set = self.set(words, size, face, ink, room.width());
        while set.size().y > room.height() && size > 0.02 {
            size *= 0.94;
            set = self.set(words, size, face, ink, room.width());
        }
        self.ui.painter().galley(room.min, set, self.ink(ink));
    }
}
