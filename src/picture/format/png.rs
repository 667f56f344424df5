//! Pictures as PNG.

use kurbo::{Affine, BezPath, PathEl, Shape as _};
use tiny_skia::{
    FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};

use super::{Format, RenderError, Write, dots};
use crate::picture::{Ink, Item, Picture, Rgb, Theme, glyph, lettering};

/// Dots per inch of a page. Assumed: sharp on paper, 3508 dots on the long side of A4.
const PAGE_DPI: f64 = 300.0;

/// One file a page.
pub(super) const FORMAT: Format = Format {
    ending: "png",
    is_one: |head| head.starts_with(b"\x89PNG\r\n\x1a\n"),
    write: Write::Pages(|page, theme| write(page, theme, PAGE_DPI)),
};

/// Largest side of an image, pixels. Assumed: what printers and screens still open.
const LARGEST: f64 = 20_000.0;

/// Draws a picture at a resolution in dots per inch.
///
/// # Errors
/// When the image would have no pixels or more than 20 000 a side, or cannot be encoded.
pub fn write(picture: &Picture, theme: &Theme, dpi: f64) -> Result<Vec<u8>, RenderError> {
    let (width_mm, height_mm) = (picture.width_mm, picture.height_mm);
    let size = RenderError::Size { width_mm, height_mm, dpi };
    let pixels = |mm: f64| (mm * dpi / 25.4).ceil();
    let (w, h) = (pixels(width_mm), pixels(height_mm));
    if !(w >= 1.0 && h >= 1.0 && w <= LARGEST && h <= LARGEST) {
        return Err(size);
    }
    let image = Pixmap::new(w as u32, h as u32).ok_or(size)?;
    let mut canvas = Canvas { image, scale: Transform::from_scale((dpi / 25.4) as f32, (dpi / 25.4) as f32) };
    let [r, g, b] = theme.rgb(Ink::Paper);
    canvas.image.fill(tiny_skia::Color::from_rgba8(r, g, b, 255));
    for item in &picture.items {
        canvas.draw(item, theme);
    }
    canvas.image.encode_png().map_err(|error| RenderError::Drawing(error.to_string()))
}

struct Canvas {
    image: Pixmap,
    /// From millimetres to pixels.
    scale: Transform,
}

impl Canvas {
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
            Item::Image { bounds, image } => {
                for dots in dots::outlines(*bounds, image) {
                    let mut path = BezPath::new();
                    dots.rects.iter().for_each(|rect| path.extend(rect.path_elements(0.0)));
                    self.fill(&path, theme.dot(dots.dot), dots.opacity);
                }
            }
        }
    }

    fn fill(&mut self, path: &BezPath, rgb: Rgb, opacity: f64) {
        if let Some(path) = outline(path) {
            self.image.fill_path(&path, &paint(rgb, opacity), FillRule::Winding, self.scale, None);
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
            self.image.stroke_path(&path, &paint(look.rgb, 1.0), &stroke, self.scale, None);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Anchor, Face, Pen};

    /// PNG specification (ISO/IEC 15948): eight signature bytes; width and height at bytes 16..24.
    #[test]
    fn the_image_has_the_pixels_asked_for() {
        let bytes = write(&Picture::new(25.4, 12.7), &Theme::LIGHT, 100.0).unwrap();
        assert_eq!(bytes[..8], [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a]);
        assert_eq!(bytes[16..24], [0, 0, 0, 100, 0, 0, 0, 50]);
    }

    #[test]
    fn impossible_sizes_are_refused() {
        assert!(write(&Picture::new(0.0, 10.0), &Theme::LIGHT, 100.0).is_err());
        assert!(write(&Picture::new(f64::NAN, 10.0), &Theme::LIGHT, 100.0).is_err());
        assert!(write(&Picture::new(1e6, 10.0), &Theme::LIGHT, 300.0).is_err());
    }

    /// One pixel a millimetre: what is drawn lies where the picture has it, and nowhere else.
    #[test]
    fn ink_lies_where_it_is_drawn() {
        let theme = Theme::PRINT;
        let mut picture = Picture::new(40.0, 20.0);
        picture.fill(kurbo::Rect::new(2.0, 3.0, 6.0, 5.0), Ink::Warn);
        picture.line((10.0, 10.5), (20.0, 10.5), Pen::solid(Ink::Plan, 1.0));
        picture.line((f64::NAN, 0.0), (1.0, f64::INFINITY), Pen::solid(Ink::Plan, 1.0));
        picture.text((38.0, 18.0), "HH", 8.0, (Face::SansBold, Anchor::End, Ink::Text));
        let drawn = Pixmap::decode_png(&write(&picture, &theme, 25.4).unwrap()).unwrap();
        let at = |x, y| drawn.pixel(x, y).map(|dot| [dot.red(), dot.green(), dot.blue()]).unwrap();
        for x in 0..40 {
            for y in 0..15 {
                let expected = match (x, y) {
                    (2..6, 3..5) => Ink::Warn,
                    (10..20, 10) => Ink::Plan,
                    _ if x > 24 && y > 10 => continue,
                    _ => Ink::Paper,
                };
                assert_eq!(at(x, y), theme.rgb(expected), "{x} {y}");
            }
        }
        let dark = |x: u32| (12..18).any(|y| at(x, y)[0] < 60);
        assert!((26..38).any(dark) && !(0..24).any(dark) && !dark(39));
    }
}
