//! Lines of text set in the glyphs of the bundled fonts, as their kerning and ligatures ask.

use std::{array, ops::Range, sync::LazyLock};

use harfrust::{ShapeOptions, ShaperData, UnicodeBuffer};
use kurbo::{BezPath, Vec2};
use skrifa::GlyphId;

use super::{
    Anchor, Face,
    glyph::{self, Font},
};

/// A glyph of a line. Lengths are in ems, y down.
#[derive(Clone, Debug)]
pub struct Letter {
    /// Its number in the font.
    pub glyph: u32,
    /// Where it lies from the place the line has come to.
    pub by: Vec2,
    /// How far the line goes on after it.
    pub advance: f64,
    /// The bytes of the text that it stands for, alone or with the glyphs beside it.
    pub bytes: Range<usize>,
}

/// The glyphs of a line of text, from left to right. A character the font lacks becomes the glyph the
/// font has for that; nothing where there is no font.
pub fn letters(text: &str, face: Face) -> Vec<Letter> {
    static SHAPERS: LazyLock<[Option<(&Font, ShaperData)>; 3]> = LazyLock::new(|| {
        let faces = [Face::Sans, Face::SansBold, Face::SansItalic];
        let fonts: [Option<&Font>; 3] = array::from_fn(|index| glyph::font(faces[index]));
        fonts.map(|font| font.map(|font| (font, ShaperData::new(&font.tables))))
    });
    let Some((font, shaper)) = &SHAPERS[face as usize] else { return Vec::new() };
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    let glyphs = shaper.shaper(&font.tables).build().shape(buffer, ShapeOptions::default());
    let mut starts: Vec<usize> = glyphs.glyph_infos().iter().map(|info| info.cluster as usize).collect();
    starts.sort_unstable();
    let place = |value: i32| f64::from(value) / font.em;
    let each = glyphs.glyph_infos().iter().zip(glyphs.glyph_positions());
    each.map(|(info, at)| {
        let start = info.cluster as usize;
        let end = starts.get(starts.partition_point(|other| *other <= start)).copied();
        Letter {
            glyph: info.glyph_id,
            by: Vec2::new(place(at.x_offset), -place(at.y_offset)),
            advance: place(at.x_advance),
            bytes: start..end.unwrap_or(text.len()),
        }
    })
    .collect()
}

/// Where a line starts whose point is held at this end, ems right of the point.
pub fn start(letters: &[Letter], anchor: Anchor) -> f64 {
    -anchor.left_of_point(letters.iter().map(|letter| letter.advance).sum())
}

/// The outline of a line of text with its point at the origin, ems, y down.
pub fn outline(text: &str, face: Face, anchor: Anchor) -> BezPath {
    let letters = letters(text, face);
    let mut at = Vec2::new(start(&letters, anchor), 0.0);
    let mut path = BezPath::new();
    for letter in letters {
        if let Some(font) = glyph::font(face) {
            let shape = font.outline(GlyphId::new(letter.glyph));
            path.extend(kurbo::Affine::translate(at + letter.by) * shape);
        }
        at.x += letter.advance;
    }
    path
}

#[cfg(test)]
mod tests {
    use kurbo::Shape as _;

    use super::*;

    /// Noto Sans, read with an independent font tool: "A" and "V" are 639 and 600 units of 1000 wide
    /// and stand 40 units closer in "AV".
    #[test]
    fn pairs_are_kerned() {
        let wide = |text| letters(text, Face::Sans).iter().map(|letter| letter.advance).sum::<f64>();
        assert!((wide("A") - 0.639).abs() < 1e-9 && (wide("V") - 0.6).abs() < 1e-9);
        assert!((wide("AV") - 1.199).abs() < 1e-9, "{}", wide("AV"));
    }

    #[test]
    fn every_byte_of_a_text_belongs_to_a_glyph() {
        for text in ["frog", "Zürich é e\u{301}", "ffi fl", "漢 אב", ""] {
            let letters = letters(text, Face::SansItalic);
            let mut known: Vec<Range<usize>> = letters.into_iter().map(|letter| letter.bytes).collect();
            known.sort_by_key(|bytes| bytes.start);
            known.dedup();
            assert!(known.windows(2).all(|pair| pair[0].end == pair[1].start), "{text}");
            assert_eq!(known.last().map_or(0, |last| last.end), text.len(), "{text}");
            assert!(known.iter().all(|bytes| text.get(bytes.clone()).is_some()), "{text}");
        }
    }

    #[test]
    fn a_line_hangs_on_its_point() {
        let x = |anchor| {
            let bounds = outline("frog", Face::Sans, anchor).bounding_box();
            (bounds.x0, bounds.x1)
        };
        let (left, middle, right) = (x(Anchor::Start), x(Anchor::Middle), x(Anchor::End));
        assert!(left.0.abs() < 0.1 && right.1.abs() < 0.1, "{left:?} {right:?}");
        assert!((middle.0 + middle.1).abs() < 0.1, "{middle:?}");
    }
}
