//! What a drawing is made of.

use std::{ops::Range, sync::Arc};

use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use super::{
    Ink, Pen,
    glyph::{self, Face},
    path,
};
use crate::{figure::Image, lesson::PinId, score::EventId};

/// A drawing.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Picture {
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// What is drawn, from back to front.
    pub items: Vec<Item>,
    /// What it shows.
    pub about: About,
    /// How it is read, in order; what is in no part is ornament. Where there are none, the shapes are one
    /// figure and every text is read as it stands.
    pub parts: Vec<Part>,
}

/// Shapes of a drawing that belong together for those who do not see it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which items.
    pub items: Range<usize>,
    /// What they are.
    pub role: Role,
}

/// What a part of a drawing is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Role {
    /// A heading of this rank, 1 the first, with its words.
    Heading(u8, String),
    /// A paragraph of texts.
    Paragraph,
    /// An item of a list: its sign, then its texts.
    Item,
    /// A figure, with the words that are read in its place.
    Figure(String),
    /// A table.
    Table(Table),
}

/// A table: its first row heads the columns, the first cell of each other row heads the row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// What it is for.
    pub words: String,
    /// The cells of each row: which items of the part are in it, counted from its first. A cell to be written in
    /// has none.
    pub rows: Vec<Vec<Range<usize>>>,
}

/// What a drawing shows, in words, for those who cannot see it and for lists of pages. Any of them may
/// be empty.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct About {
    /// The music.
    pub music: String,
    /// Which part of it.
    pub place: String,
    /// What is told about it there.
    pub shown: String,
}

impl About {
    /// The music and the place in it.
    pub(super) fn title(&self) -> String {
        joined([&self.music, &self.place], " · ")
    }

    /// All that is said.
    pub(super) fn all(&self) -> String {
        joined([&self.title(), &self.shown], ": ")
    }
}

fn joined(parts: [&str; 2], sign: &str) -> String {
    let said: Vec<&str> = parts.into_iter().map(str::trim).filter(|part| !part.is_empty()).collect();
    said.join(sign)
}

/// What a shape stands for, so that a click on it can be understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tag {
    /// A written note, chord or rest.
    Event(EventId),
    /// The number of a bar, by its index.
    Bar(usize),
    /// The start of a note on the hair map, as an index into the bowed line.
    Boundary(usize),
    /// A finding, as an index into the list of findings.
    Finding(usize),
    /// A place on the bow fixed by the user.
    Pin(PinId),
    /// A pencil mark, as an index into the marks of the analysis.
    Mark(usize),
    /// A level, by its place among the levels from the highest string to the lowest.
    Level(usize),
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

impl Anchor {
    /// How far the left end of a text of this width lies left of its point.
    pub(super) fn left_of_point(self, width: f64) -> f64 {
        match self {
            Self::Start => 0.0,
            Self::Middle => width / 2.0,
            Self::End => width,
        }
    }

    fn flipped(self) -> Self {
        match self {
            Self::Start => Self::End,
            Self::Middle => Self::Middle,
            Self::End => Self::Start,
        }
    }
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// An outline, filled by the non-zero rule, stroked, or both.
    Path {
        /// The outline, mm.
        path: BezPath,
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
    /// A drawing in dots.
    Image {
        /// Where it lies, mm.
        bounds: Rect,
        /// The dots; shared, since a screen shows them many times.
        image: Arc<Image>,
    },
}

impl Item {
    /// What it stands for.
    pub fn tag(&self) -> Option<Tag> {
        match self {
            Self::Path { tag, .. } | Self::Text { tag, .. } | Self::Glyph { tag, .. } => *tag,
            Self::Image { .. } => None,
        }
    }

    pub(super) fn set_tag(&mut self, new: Option<Tag>) {
        match self {
            Self::Path { tag, .. } | Self::Text { tag, .. } | Self::Glyph { tag, .. } => *tag = new,
            Self::Image { .. } => {}
        }
    }

    /// The box it covers, mm, without line widths; none where nothing is drawn.
    pub fn bounds(&self) -> Option<Rect> {
        match self {
            Self::Path { path, .. } => path::bounds(path),
            Self::Text { at, text, size_mm, face, anchor, .. } => {
                let width = glyph::text_width_mm(text, *size_mm, *face);
                let left = at.x - anchor.left_of_point(width);
                Some(Rect::new(left, at.y - 0.75 * size_mm, left + width, at.y + 0.22 * size_mm))
            }
            Self::Glyph { at, glyph, size_mm, .. } => {
                Some(glyph::bounds(*glyph)?.scale_from_origin(*size_mm) + at.to_vec2())
            }
            Self::Image { bounds, .. } => Some(*bounds),
        }
    }

    fn moved(mut self, by: Vec2) -> Self {
        match &mut self {
            Self::Path { path, .. } => path.apply_affine(Affine::translate(by)),
            Self::Text { at, .. } | Self::Glyph { at, .. } => *at += by,
            Self::Image { bounds, .. } => *bounds = *bounds + by,
        }
        self
    }

    fn scale(&mut self, factor: f64) {
        let scaled = |at: Point| (at.to_vec2() * factor).to_point();
        match self {
            Self::Path { path, stroke, .. } => {
                path.apply_affine(Affine::scale(factor));
                stroke.iter_mut().for_each(|pen| pen.width_mm *= factor);
            }
            Self::Text { at, size_mm, .. } | Self::Glyph { at, size_mm, .. } => {
                (*at, *size_mm) = (scaled(*at), *size_mm * factor);
            }
            Self::Image { bounds, .. } => *bounds = bounds.scale_from_origin(factor),
        }
    }
}

impl Picture {
    /// An empty picture of this size.
    pub fn new(width_mm: f64, height_mm: f64) -> Self {
        Self { width_mm, height_mm, ..Self::default() }
    }

    /// The topmost tagged item within `reach_mm` of a point.
    pub fn hit(&self, at: Point, reach_mm: f64) -> Option<Tag> {
        let distance = |bounds: Rect| {
            let dx = (bounds.x0 - at.x).max(at.x - bounds.x1).max(0.0);
            let dy = (bounds.y0 - at.y).max(at.y - bounds.y1).max(0.0);
            dx.hypot(dy)
        };
        let near = self.items.iter().rev().filter_map(|item| Some((item.tag()?, distance(item.bounds()?))));
        near.filter(|(_, d)| *d <= reach_mm).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(tag, _)| tag)
    }

    /// Draws another picture into this one with its origin at a point.
    pub fn place(&mut self, other: Picture, at: impl Into<Point>) {
        let by = at.into().to_vec2();
        let before = self.items.len();
        self.items.extend(other.items.into_iter().map(|item| item.moved(by)));
        let moved = |items: Range<usize>| items.start + before..items.end + before;
        let parts = other.parts.into_iter().map(|part| Part { items: moved(part.items), ..part });
        self.parts.extend(parts);
    }

    /// The picture larger or smaller by a factor, with its lines and its type.
    #[must_use]
    pub fn scaled(mut self, factor: f64) -> Self {
        (self.width_mm, self.height_mm) = (self.width_mm * factor, self.height_mm * factor);
        self.items.iter_mut().for_each(|item| item.scale(factor));
        self
    }

    /// All of it as one part.
    #[must_use]
    pub(super) fn read_as(mut self, role: Role) -> Self {
        self.parts = vec![Part { items: 0..self.items.len(), role }];
        self
    }

    /// The picture flipped left to right; words stay readable.
    #[must_use]
    pub fn flipped(mut self) -> Self {
        let width = self.width_mm;
        let flip = Affine::FLIP_X.then_translate(Vec2::new(width, 0.0));
        for item in &mut self.items {
            match item {
                Item::Path { path, .. } => path.apply_affine(flip),
                Item::Text { at, anchor, .. } => (at.x, *anchor) = (width - at.x, anchor.flipped()),
                Item::Glyph { at, glyph, size_mm, .. } => {
                    let outline = glyph::bounds(*glyph).unwrap_or_default();
                    at.x = width - at.x - (outline.x0 + outline.x1) * *size_mm;
                }
                Item::Image { bounds, image } => {
                    *bounds = Rect::new(width - bounds.x1, bounds.y0, width - bounds.x0, bounds.y1);
                    *image = Arc::new(Image::clone(image).flipped());
                }
            }
        }
        self
    }

    pub(super) fn path(
        &mut self,
        shape: impl kurbo::Shape,
        fill: Option<Ink>,
        stroke: Option<Pen>,
        tag: Option<Tag>,
    ) {
        self.items.push(Item::Path { path: shape.into_path(path::TOLERANCE), fill, stroke, tag });
    }

    pub(super) fn image(&mut self, bounds: Rect, image: Arc<Image>) {
        self.items.push(Item::Image { bounds, image });
    }

    pub(super) fn fill(&mut self, shape: impl kurbo::Shape, ink: Ink) {
        self.path(shape, Some(ink), None, None);
    }

    pub(super) fn stroke(&mut self, shape: impl kurbo::Shape, pen: Pen) {
        self.path(shape, None, Some(pen), None);
    }

    pub(super) fn line(&mut self, from: impl Into<Point>, to: impl Into<Point>, pen: Pen) {
        self.stroke(kurbo::Line::new(from, to), pen);
    }

    pub(super) fn text(
        &mut self,
        at: impl Into<Point>,
        text: impl Into<String>,
        size_mm: f64,
        style: (Face, Anchor, Ink),
    ) {
        let (face, anchor, ink) = style;
        let (at, text) = (at.into(), text.into());
        self.items.push(Item::Text { at, text, size_mm, face, anchor, ink, tag: None });
    }
}
