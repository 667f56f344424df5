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

/// From line to line, as a share of the size of the letters. Assumed.
const LINE: f32 = 1.12;
/// Words are set no smaller than this share of the window. Assumed.
const LEAST: f32 = 0.02;

/// How words are set: their size as a share of the height of the window, their face and ink.
#[derive(Clone, Copy)]
pub struct Hand {
    pub size: f32,
    pub face: Face,
    pub ink: Ink,
}

impl Hand {
    /// In the usual face.
    pub fn plain(size: f32, ink: Ink) -> Self {
        Self { size, face: Face::Sans, ink }
    }
}

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

    fn set(&self, words: &str, hand: Hand, width: f32) -> Arc<Galley> {
        let mut job = LayoutJob::simple(words.to_owned(), self.font(hand), self.ink(hand.ink), width);
        for section in &mut job.sections {
            section.format.line_height = Some(LINE * hand.size * self.high);
        }
        self.ui.painter().layout_job(job)
    }

    fn font(&self, hand: Hand) -> FontId {
        FontId::new((hand.size * self.high).max(1.0), family(hand.face))
    }

    /// The same, as small as words have to be to go into a width.
    pub fn fitted(&self, words: &str, hand: Hand, width: f32) -> Hand {
        let wide = self.set(words, hand, f32::INFINITY).size().x;
        if wide > width { Hand { size: hand.size * width / wide, ..hand } } else { hand }
    }

    /// Words at a place.
    pub fn text(&self, at: Pos2, align: Align2, words: &str, hand: Hand) -> Rect {
        self.ui.painter().text(at, align, words, self.font(hand), self.ink(hand.ink))
    }

    /// A line from its upper left corner, smaller where it would be too wide; tells its width.
    pub fn line(&self, at: Pos2, width: f32, words: &str, hand: Hand) -> f32 {
        let fitted = self.fitted(words, hand, width);
        // On the same foot, however small.
        let at = Pos2::new(at.x, at.y + 0.95 * (hand.size - fitted.size) * self.high);
        self.text(at, Align2::LEFT_TOP, words, fitted).width()
    }

    /// Words in several lines, smaller until they go into their room.
    pub fn paragraph(&self, room: Rect, words: &str, mut hand: Hand) {
        let mut set = self.set(words, hand, room.width());
        while set.size().y > room.height() && hand.size > LEAST {
            hand.size *= 0.94;
            set = self.set(words, hand, room.width());
        }
        self.ui.painter().galley(room.min, set, self.ink(hand.ink));
    }
}
