//! Pictures as PNG.

use super::{Format, RenderError, Write, canvas::Canvas};
use crate::picture::{Picture, Theme};

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
    let canvas = drawn(picture, theme, dpi)?;
    canvas.image.encode_png().map_err(|error| RenderError::Drawing(error.to_string()))
}

/// The width in pixels of a picture as on a page, and its pixels row by row from the top: red, green and blue,
/// each times the opacity, and the opacity.
///
/// # Errors
/// As for [`write()`].
pub fn pixels(picture: &Picture, theme: &Theme) -> Result<(usize, Vec<u8>), RenderError> {
    let image = drawn(picture, theme, PAGE_DPI)?.image;
    Ok((image.width() as usize, image.take()))
}

fn drawn(picture: &Picture, theme: &Theme, dpi: f64) -> Result<Canvas, RenderError> {
    let (width_mm, height_mm) = (picture.width_mm, picture.height_mm);
    let size = RenderError::Size { width_mm, height_mm, dpi };
    let pixels = |mm: f64| (mm * dpi / 25.4).ceil();
    let (w, h) = (pixels(width_mm), pixels(height_mm));
    if !(w >= 1.0 && h >= 1.0 && w <= LARGEST && h <= LARGEST) {
        return Err(size);
    }
    let mut canvas = Canvas::new((w as u32, h as u32), dpi / 25.4).ok_or(size)?;
    canvas.ground(theme);
    canvas.picture(picture, theme);
    Ok(canvas)
}

#[cfg(test)]
mod tests {
    use tiny_skia::Pixmap;

    use super::*;
    use crate::picture::{Anchor, Face, Ink, Pen};

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
