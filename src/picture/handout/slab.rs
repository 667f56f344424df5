//! Slabs: what stays whole on a page.

use std::collections::BTreeSet;

use crate::picture::{Picture, legend::Sign};

/// A drawing that is not parted.
#[derive(Clone, Debug, Default)]
pub(super) struct Slab {
    /// What is drawn.
    pub picture: Picture,
    /// Room over it, mm; none at the top of a page.
    pub gap_mm: f64,
    /// It does not stand at the foot of a page without what follows.
    pub keeps: bool,
    /// Signs on it that a legend explains.
    pub signs: BTreeSet<Sign>,
    /// What is to be minded where it is practised again and again.
    pub cautions: BTreeSet<&'static str>,
}

impl Slab {
    pub fn new(picture: Picture, gap_mm: f64) -> Self {
        Self { picture, gap_mm, ..Self::default() }
    }

    /// With the room it needs over it.
    pub fn height_mm(&self) -> f64 {
        self.gap_mm + self.picture.height_mm
    }
}

/// Slabs under one another as one. The gap of the first becomes its own.
pub(super) fn stacked(slabs: Vec<Slab>, width_mm: f64) -> Slab {
    let gap_mm = slabs.first().map_or(0.0, |slab| slab.gap_mm);
    let mut whole = Slab::new(Picture::new(width_mm, 0.0), gap_mm);
    for (index, slab) in slabs.into_iter().enumerate() {
        let y = whole.picture.height_mm + if index == 0 { 0.0 } else { slab.gap_mm };
        whole.picture.height_mm = y + slab.picture.height_mm;
        join(&mut whole, slab, (0.0, y));
    }
    whole
}

/// Slabs beside one another as one, each with the place of its left end.
pub(super) fn beside(cells: Vec<(f64, Slab)>, width_mm: f64) -> Slab {
    let gap_mm = cells.iter().map(|(_, slab)| slab.gap_mm).fold(0.0, f64::max);
    let height_mm = cells.iter().map(|(_, slab)| slab.picture.height_mm).fold(0.0, f64::max);
    let mut whole = Slab::new(Picture::new(width_mm, height_mm), gap_mm);
    for (x, slab) in cells {
        join(&mut whole, slab, (x, 0.0));
    }
    whole
}

fn join(whole: &mut Slab, slab: Slab, at: (f64, f64)) {
    whole.picture.place(slab.picture, at);
    whole.signs.extend(slab.signs);
    whole.cautions.extend(slab.cautions);
}
