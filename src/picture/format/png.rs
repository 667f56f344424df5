//! Pictures as PNG, made from their SVG with the bundled fonts only.

use resvg::tiny_skia;

use super::{Format, svg, svg::RenderError};
use crate::picture::{Picture, Theme};

/// Dots per inch of a page. Assumed: sharp on paper, 3508 dots on the long side of A4.
const PAGE_DPI: f64 = 300.0;

/// One file a page.
pub(super) const FORMAT: Format = Format {
    ending: "png",
    is_one: |head| head.starts_with(b"\x89PNG\r\n\x1a\n"),
    write: |pages, theme| pages.iter().map(|page| write(page, theme, PAGE_DPI)).collect(),
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
    let tree = svg::tree(picture, theme)?;
    let mut image = tiny_skia::Pixmap::new(w as u32, h as u32).ok_or(size)?;
    let scale = (w as f32) / tree.size().width();
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut image.as_mut());
    image.encode_png().map_err(|error| RenderError::Drawing(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

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
}
