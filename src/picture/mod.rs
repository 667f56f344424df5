//! Drawings: plain shapes in millimetres made from a lesson and its analysis.
//!
//! A [`Picture`] has its origin at the top left, x to the right, y down. Shapes name an [`Ink`],
//! the role a colour plays; a [`Theme`] says what that looks like. The same picture goes to the
//! screen, to SVG, and from there to PDF and PNG.

mod arm_figure;
mod axis;
mod bow_bar;
pub mod glyph;
mod hair_map;
mod lanes;
mod level_fan;
mod passage;
mod path;
pub mod pdf;
pub mod png;
mod sheet;
mod staff;
pub mod svg;
mod tempo_ladder;
mod theme;
mod together;
mod tone_band;

pub use arm_figure::{ArmFigure, ArmView, arm_figure};
pub use axis::TimeAxis;
pub use bow_bar::bow_bar;
pub use hair_map::{HairMap, OtherPath, hair_map};
pub use lanes::level_lanes;
pub use level_fan::level_fan;
pub use passage::passage;
pub use path::{Path, Point, Segment};
pub use sheet::{Paper, sheet};
pub use staff::{Engraving, SPACE_MM, Staff, header_width_mm, staff};
pub use tempo_ladder::{TempoLadder, tempo_ladder};
pub use theme::{Dash, Ink, Pen, Rgb, Theme};
pub use together::{TogetherView, together};
pub use tone_band::tone_band;

use crate::{lesson::PinId, score::EventId};

/// A drawing.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Picture {
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// What is drawn, from back to front.
    pub items: Vec<Item>,
}

/// What a shape stands for, so that a click on it can be understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tag {
    /// A written note, chord or rest.
    Event(EventId),
    /// The start of a note on the hair map, as an index into the bowed line.
    Boundary(usize),
    /// A finding, as an index into the list of findings.
    Finding(usize),
    /// A place on the bow fixed by the user.
    Pin(PinId),
    /// A level, by its place among the levels from the highest string to the lowest.
    Level(usize),
}

/// Typefaces, all bundled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// Upright.
    Sans,
    /// Bold.
    SansBold,
    /// Italic.
    SansItalic,
}

/// Which end of a text its point holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The point is at the left end.
    Start,
    /// The point is in the middle.
    Middle,
    /// The point is at the right end.
    End,
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// An outline, filled by the non-zero rule, stroked, or both.
    Path {
        /// The outline, mm.
        path: Path,
        /// Fill, if any.
        fill: Option<Ink>,
        /// Stroke, if any.
        stroke: Option<Pen>,
        /// What it stands for.
        tag: Option<Tag>,
    },
    /// A line of text.
    Text {
        /// Point on the baseline, mm.
        at: Point,
        /// The text.
        text: String,
        /// Size of the em square, mm.
        size_mm: f64,
        /// Typeface.
        face: Face,
        /// Which end `at` holds.
        anchor: Anchor,
        /// Colour role.
        ink: Ink,
        /// What it stands for.
        tag: Option<Tag>,
    },
    /// A sign of the music font.
    Glyph {
        /// Origin of the glyph, mm.
        at: Point,
        /// The sign, as its Unicode character; its outline is [`glyph::outline`].
        glyph: char,
        /// Size of the em square, mm: four staff spaces.
        size_mm: f64,
        /// Colour role.
        ink: Ink,
        /// What it stands for.
        tag: Option<Tag>,
    },
}

impl Item {
    /// What it stands for.
    pub fn tag(&self) -> Option<Tag> {
        match self {
            Self::Path { tag, .. } | Self::Text { tag, .. } | Self::Glyph { tag, .. } => *tag,
        }
    }

    /// The box it covers, without line widths: (left, top, right, bottom), mm.
    pub fn bounds(&self) -> Option<(f64, f64, f64, f64)> {
        match self {
            Self::Path { path, .. } => path.bounds(),
            Self::Text { at, text, size_mm, face, anchor, .. } => {
                let width = glyph::text_width_mm(text, *size_mm, *face);
                let left = at.0
                    - match anchor {
                        Anchor::Start => 0.0,
                        Anchor::Middle => width / 2.0,
                        Anchor::End => width,
                    };
                Some((left, at.1 - 0.75 * size_mm, left + width, at.1 + 0.22 * size_mm))
            }
            Self::Glyph { at, glyph, size_mm, .. } => {
                let (l, t, r, b) = glyph::outline(*glyph).bounds()?;
                Some((at.0 + l * size_mm, at.1 + t * size_mm, at.0 + r * size_mm, at.1 + b * size_mm))
            }
        }
    }

    fn moved(mut self, dx: f64, dy: f64) -> Self {
        match &mut self {
            Self::Path { path, .. } => *path = path.map(|(x, y)| (x + dx, y + dy)),
            Self::Text { at, .. } | Self::Glyph { at, .. } => *at = (at.0 + dx, at.1 + dy),
        }
        self
    }
}

impl Picture {
    /// An empty picture of this size.
    pub fn new(width_mm: f64, height_mm: f64) -> Self {
        Self { width_mm, height_mm, items: Vec::new() }
    }

    /// The topmost tagged item within `reach_mm` of a point.
    pub fn hit(&self, at: Point, reach_mm: f64) -> Option<Tag> {
        let distance = |(l, t, r, b): (f64, f64, f64, f64)| {
            let dx = (l - at.0).max(at.0 - r).max(0.0);
            let dy = (t - at.1).max(at.1 - b).max(0.0);
            dx.hypot(dy)
        };
        let near = self.items.iter().rev().filter_map(|item| Some((item.tag()?, distance(item.bounds()?))));
        near.filter(|(_, d)| *d <= reach_mm).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(tag, _)| tag)
    }

    /// Draws another picture into this one with its origin at a point.
    pub fn place(&mut self, other: Picture, at: Point) {
        self.items.extend(other.items.into_iter().map(|item| item.moved(at.0, at.1)));
    }

    /// The picture flipped left to right; words stay readable.
    #[must_use]
    pub fn flipped(mut self) -> Self {
        let width = self.width_mm;
        for item in &mut self.items {
            match item {
                Item::Path { path, .. } => *path = path.map(|(x, y)| (width - x, y)),
                Item::Text { at, anchor, .. } => {
                    at.0 = width - at.0;
                    *anchor = match anchor {
                        Anchor::Start => Anchor::End,
                        Anchor::Middle => Anchor::Middle,
                        Anchor::End => Anchor::Start,
                    };
                }
                Item::Glyph { at, glyph, size_mm, .. } => {
                    let outline = glyph::outline(*glyph).bounds().unwrap_or_default();
                    at.0 = width - at.0 - (outline.0 + outline.2) * *size_mm;
                }
            }
        }
        self
    }

    fn path(&mut self, path: Path, fill: Option<Ink>, stroke: Option<Pen>, tag: Option<Tag>) {
        self.items.push(Item::Path { path, fill, stroke, tag });
    }

    fn fill(&mut self, path: Path, ink: Ink) {
        self.path(path, Some(ink), None, None);
    }

    fn line(&mut self, from: Point, to: Point, pen: Pen) {
        self.path(Path::polyline(&[from, to]), None, Some(pen), None);
    }

    fn text(&mut self, at: Point, text: impl Into<String>, size_mm: f64, style: (Face, Anchor, Ink)) {
        let (face, anchor, ink) = style;
        self.items.push(Item::Text { at, text: text.into(), size_mm, face, anchor, ink, tag: None });
    }
}

impl Item {
    fn set_tag(&mut self, new: Option<Tag>) {
        match self {
            Self::Path { tag, .. } | Self::Text { tag, .. } | Self::Glyph { tag, .. } => *tag = new,
        }
    }
}
