//! Pictures as pages of a PDF, made from their SVG with the bundled fonts only.

use pdf_writer::{Chunk, Content, Finish as _, Name, Pdf, Rect, Ref};
use svg2pdf::ConversionOptions;

use super::{Format, svg, svg::RenderError};
use crate::picture::{Picture, Theme};

/// Points of PDF in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// One file for all pages.
pub(super) const FORMAT: Format = Format {
    ending: "pdf",
    is_one: |head| head.starts_with(b"%PDF-"),
    write: |pages, theme| Ok(vec![write(pages, theme)?]),
};

/// Writes pictures as the pages of one PDF, each as large as its picture.
///
/// # Errors
/// When a drawing cannot be converted.
pub fn write(pages: &[Picture], theme: &Theme) -> Result<Vec<u8>, RenderError> {
    let mut next = 1;
    let mut fresh = || {
        next += 1;
        Ref::new(next - 1)
    };
    let (catalog, tree) = (fresh(), fresh());
    let mut chunks: Vec<Chunk> = Vec::new();
    let mut made: Vec<(Ref, Ref, Ref, f32, f32)> = Vec::new();
    for picture in pages {
        let drawing = svg::tree(picture, theme)?;
        let (chunk, root) = svg2pdf::to_chunk(&drawing, ConversionOptions::default())
            .map_err(|error| RenderError::Drawing(error.to_string()))?;
        let mut numbers = std::collections::HashMap::new();
        let chunk = chunk.renumber(|old| *numbers.entry(old).or_insert_with(&mut fresh));
        let root = numbers.get(&root).copied().unwrap_or(root);
        let (page, content) = (fresh(), fresh());
        chunks.push(chunk);
        let (w, h) = (picture.width_mm * POINTS_PER_MM, picture.height_mm * POINTS_PER_MM);
        made.push((page, content, root, w as f32, h as f32));
    }
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).kids(made.iter().map(|made| made.0)).count(made.len() as i32);
    for &(page, content, root, width, height) in &made {
        let name = Name(b"Drawing");
        let mut writer = pdf.page(page);
        writer.media_box(Rect::new(0.0, 0.0, width, height)).parent(tree).contents(content);
        writer.resources().x_objects().pair(name, root);
        writer.finish();
        let mut stream = Content::new();
        stream.transform([width, 0.0, 0.0, height, 0.0, 0.0]).x_object(name);
        pdf.stream(content, &stream.finish());
    }
    for chunk in &chunks {
        pdf.extend(chunk);
    }
    Ok(pdf.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Anchor, Face, Ink};

    /// ISO 32000-1: a file starts with "%PDF-" and ends with "%%EOF"; one page object a picture.
    #[test]
    fn pages_come_out_as_pages() {
        let mut picture = Picture::new(100.0, 50.0);
        picture.text((10.0, 20.0), "Harbour Song", 5.0, (Face::Sans, Anchor::Start, Ink::Text));
        let bytes = write(&[picture.clone(), picture.clone()], &Theme::PRINT).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.starts_with("%PDF-") && text.trim_end().ends_with("%%EOF"));
        assert_eq!(text.matches("/MediaBox [0 0 283.46").count(), 2, "100 mm are 283.46 points");
        assert_eq!(bytes, write(&[picture.clone(), picture], &Theme::PRINT).unwrap());
    }
}
