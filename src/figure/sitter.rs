//! A player who is drawn again and again.

use super::{Backdrop, Mannequin};

/// Sizes kept: those of a small drawing, of a large one, and of that while it is turned.
const MOST: usize = 3;

/// A player with what stands still as it was drawn last.
#[derive(Clone)]
pub struct Sitter {
    mannequin: Mannequin,
    backdrops: Vec<Backdrop>,
}

impl Sitter {
    /// Not drawn yet.
    pub fn new(mannequin: Mannequin) -> Self {
        Self { mannequin, backdrops: Vec::new() }
    }

    /// The player, and what is drawn on for an image of this size in mm.
    pub fn at(&mut self, size_mm: (f64, f64), pixels_per_mm: f64) -> (&Mannequin, &mut Backdrop) {
        let known = self.backdrops.iter().position(|backdrop| backdrop.is_of(size_mm, pixels_per_mm));
        let backdrop = match known {
            Some(index) => self.backdrops.remove(index),
            None => Backdrop::new(size_mm, pixels_per_mm),
        };
        self.backdrops.truncate(MOST - 1);
        self.backdrops.insert(0, backdrop);
        (&self.mannequin, &mut self.backdrops[0])
    }
}
