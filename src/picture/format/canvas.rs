//! Pictures as dots on a screen.

use kurbo::{Affine, BezPath, PathEl, Rect, Shape as _};
use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, PixmapPaint, PixmapRef, Stroke,
    StrokeDash, Transform,
};

use super::dots;
use crate::{
    figure::Image,
    picture::{Ink, Item, Picture, Rgb, Theme, glyph, lettering},
};

/// A drawing in dots whose pixels are those of the canvas, to this part of one, is laid on as it is.
const SAME_PIXELS: f64 = 0.75;

/// An image that pictures are drawn on, one over the other.
pub(in crate::picture) struct Canvas {
    /// What is drawn.
    pub image: Pixmap,
    pixels_per_mm: f64,
}

impl Canvas {
    /// A clear image; none where it has no pixels, or more than fit in memory.
    pub fn new((width, height): (u32, u32), pixels_per_mm: f64) -> Option<Self> {
        Some(Self { image: Pixmap::new(width, height)?, pixels_per_mm })
    }

    /// An image that something is drawn on already.
    pub fn over(image: Pixmap, pixels_per_mm: f64) -> Self {
        Self { image, pixels_per_mm }
    }

    /// Covers it with the ground of a theme.
    pub fn ground(&mut self, theme: &Theme) {
        let [r, g, b] = theme.rgb(Ink::Paper);
        self.image.fill(if theme.is_clear { Color::TRANSPARENT } else { Color::from_rgba8(r, g, b, 255) });
    }

    /// Draws a picture with its top left corner on that of the image.
    pub fn picture(&mut self, picture: &Picture, theme: &Theme) {
        for item in &picture.items {
            self.draw(item, theme);
        }
    }

    fn scale(&self) -> Transform {
        Transform::from_scale(self.pixels_per_mm as f32, self.pixels_per_mm as f32)
    }

    fn draw(&mut self, item: &Item, theme: &Theme) {
        match item {
            Item::Path { path, fill, stroke, .. } => {
                if let Some(ink) = fill {
                    self.fill(path, theme.rgb(*ink), 1.0);
                }
                if let Some(pen) = stroke {
                    self.stroke(path, &theme.stroke(pen));
                }
            }
            Item::Glyph { at, glyph, size_mm, ink, .. } => {
                let place = Affine::scale(*size_mm).then_translate(at.to_vec2());
                self.fill(&(place * glyph::outline(*glyph)), theme.rgb(*ink), 1.0);
            }
            Item::Text { at, text, size_mm, face, anchor, ink, .. } => {
                let place = Affine::scale(*size_mm).then_translate(at.to_vec2());
                self.fill(&(place * lettering::outline(text, *face, *anchor)), theme.rgb(*ink), 1.0);
            }
            Item::Image { bounds, image } if self.has_pixels_of(*bounds, image) => {
                self.lay_on(*bounds, image, theme);
            }
            Item::Image { bounds, image } => {
                for dots in dots::outlines(*bounds, image) {
                    let mut path = BezPath::new();
                    dots.rects.iter().for_each(|rect| path.extend(rect.path_elements(0.0)));
                    self.fill(&path, theme.dot(dots.dot), dots.opacity);
                }
            }
        }
    }

    /// A drawing in dots has the pixels of the canvas.
    fn has_pixels_of(&self, bounds: Rect, image: &Image) -> bool {
        let alike = |mm: f64, dots: usize| {
            (mm * self.pixels_per_mm - dots as f64 / Image::FINE as f64).abs() < SAME_PIXELS
        };
        alike(bounds.width(), image.width) && alike(bounds.height(), image.height)
    }

    fn lay_on(&mut self, bounds: Rect, image: &Image, theme: &Theme) {
        let (width, pixels) = image.pixels(|dot| theme.dot(dot));
        let height = pixels.len() / (4 * width.max(1));
        let Some(drawn) = PixmapRef::from_bytes(&pixels, width as u32, height as u32) else { return };
        let [x, y] = [bounds.x0, bounds.y0].map(|mm| (mm * self.pixels_per_mm).round() as i32);
        self.image.draw_pixmap(x, y, drawn, &PixmapPaint::default(), Transform::identity(), None);
    }

    fn fill(&mut self, path: &BezPath, rgb: Rgb, opacity: f64) {
        if let Some(path) = outline(path) {
            self.image.fill_path(&path, &paint(rgb, opacity), FillRule::Winding, self.scale(), None);
        }
    }

    fn stroke(&mut self, path: &BezPath, look: &crate::picture::theme::Stroke) {
        let dash = look.dash_mm.and_then(|lengths| StrokeDash::new(lengths.map(|mm| mm as f32).into(), 0.0));
        let stroke = Stroke {
            width: look.width_mm as f32,
            line_cap: if look.is_round { LineCap::Round } else { LineCap::Butt },
            line_join: LineJoin::Round,
            dash,
            ..Stroke::default()
        };
        if let Some(path) = outline(path) {
            self.image.stroke_path(&path, &paint(look.rgb, 1.0), &stroke, self.scale(), None);
        }
    }
}

fn paint([r, g, b]: Rgb, opacity: f64) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, (opacity * 255.0).round() as u8);
    paint
}

/// The outline as the rasterizer takes it; none where it is empty or not finite.
fn outline(path: &BezPath) -> Option<Path> {
    let mut out = PathBuilder::new();
    for element in path {
        match element {
            PathEl::MoveTo(p) => out.move_to(p.x as f32, p.y as f32),
            PathEl::LineTo(p) => out.line_to(p.x as f32, p.y as f32),
            PathEl::QuadTo(a, p) => out.quad_to(a.x as f32, a.y as f32, p.x as f32, p.y as f32),
            PathEl::CurveTo(a, b, p) => {
                out.cubic_to(a.x as f32, a.y as f32, b.x as f32, b.y as f32, p.x as f32, p.y as f32);
            }
            PathEl::ClosePath => out.close(),
        }
    }
    out.finish()
}
