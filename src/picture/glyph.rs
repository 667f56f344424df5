//! The bundled fonts: outlines of music signs and widths of texts.
//!
//! Music signs come from Bravura (SIL Open Font License 1.1), in which an em is four staff spaces, the
//! height of a staff; the room `smufl` beside it names them.

use std::{
    collections::BTreeMap,
    sync::{LazyLock, Mutex, PoisonError},
};

use kurbo::{BezPath, Point, Rect};
use skrifa::{
    FontRef, GlyphId, MetadataProvider as _,
    charmap::Charmap,
    instance::{LocationRef, Size},
    metrics::GlyphMetrics,
    outline::{DrawSettings, OutlineGlyphCollection, OutlinePen},
};

use super::path;

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

/// The music font.
pub const MUSIC: &[u8] = include_bytes!("../../assets/fonts/bravura/bravura.otf");
/// Text, upright.
pub const SANS: &[u8] = include_bytes!("../../assets/fonts/NotoSans-Regular.ttf");
/// Text, bold.
pub const SANS_BOLD: &[u8] = include_bytes!("../../assets/fonts/NotoSans-Bold.ttf");
/// Text, italic.
pub const SANS_ITALIC: &[u8] = include_bytes!("../../assets/fonts/NotoSans-Italic.ttf");

/// A bundled font, read.
pub(super) struct Font {
    /// Its tables.
    pub tables: FontRef<'static>,
    /// Units to the em.
    pub em: f64,
    letters: Charmap<'static>,
    outlines: OutlineGlyphCollection<'static>,
    widths: GlyphMetrics<'static>,
}

struct Fonts {
    music: Option<Font>,
    texts: [Option<Font>; 3],
}

static FONTS: LazyLock<Fonts> = LazyLock::new(|| Fonts {
    music: Font::read(MUSIC),
    texts: [SANS, SANS_BOLD, SANS_ITALIC].map(Font::read),
});

impl Font {
    /// Where no size is given, lengths are in units of the font.
    fn read(bytes: &'static [u8]) -> Option<Self> {
        let tables = FontRef::new(bytes).ok()?;
        let (size, location) = (Size::unscaled(), LocationRef::default());
        Some(Self {
            em: f64::from(tables.metrics(size, location).units_per_em),
            letters: tables.charmap(),
            outlines: tables.outline_glyphs(),
            widths: tables.glyph_metrics(size, location),
            tables,
        })
    }

    /// Outline of a glyph, ems, y down; empty for a glyph without one.
    pub fn outline(&self, glyph: GlyphId) -> BezPath {
        let mut pen = Outliner { path: BezPath::new(), em: self.em, at: Point::ORIGIN };
        let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
        if let Some(outline) = self.outlines.get(glyph)
            && outline.draw(settings, &mut pen).is_err()
        {
            return BezPath::new();
        }
        pen.path
    }

    /// Advance width of a letter, ems.
    fn advance(&self, letter: char) -> Option<f64> {
        Some(f64::from(self.widths.advance_width(self.letters.map(letter)?)?) / self.em)
    }
}

/// The font of a typeface.
pub(super) fn font(face: Face) -> Option<&'static Font> {
    FONTS.texts[face as usize].as_ref()
}

/// The bytes of the font of a typeface.
pub(super) fn file(face: Face) -> &'static [u8] {
    match face {
        Face::Sans => SANS,
        Face::SansBold => SANS_BOLD,
        Face::SansItalic => SANS_ITALIC,
    }
}

/// A sign of the music font, in ems, y down.
struct Sign {
    outline: BezPath,
    bounds: Option<Rect>,
}

/// Reads a sign once and keeps it.
fn sign(glyph: char) -> &'static Sign {
    static CACHE: Mutex<BTreeMap<char, &'static Sign>> = Mutex::new(BTreeMap::new());
    let mut cache = CACHE.lock().unwrap_or_else(PoisonError::into_inner);
    // Leaked on purpose: at most one small outline for each of the font's few hundred signs, and an
    // empty one for each other character met.
    cache.entry(glyph).or_insert_with(|| {
        let outline = read_music(glyph);
        Box::leak(Box::new(Sign { bounds: path::bounds(&outline), outline }))
    })
}

/// Outline of a sign of the music font in ems, y down; empty for signs the font lacks.
pub fn outline(glyph: char) -> &'static BezPath {
    &sign(glyph).outline
}

/// The box round the outline of a sign of the music font, ems, y down; none for signs the font lacks.
pub fn bounds(glyph: char) -> Option<Rect> {
    sign(glyph).bounds
}

fn read_music(glyph: char) -> BezPath {
    let Some(font) = &FONTS.music else { return BezPath::new() };
    font.letters.map(glyph).map_or_else(BezPath::new, |id| font.outline(id))
}

/// Advance width of a sign of the music font, ems.
pub fn advance(glyph: char) -> f64 {
    FONTS.music.as_ref().and_then(|font| font.advance(glyph)).unwrap_or(0.0)
}

/// Width of a text, mm. Characters the font lacks count as half an em.
pub fn text_width_mm(text: &str, size_mm: f64, face: Face) -> f64 {
    let font = font(face);
    let width = |letter| font.and_then(|font| font.advance(letter)).unwrap_or(0.5);
    size_mm * text.chars().map(width).sum::<f64>()
}

struct Outliner {
    path: BezPath,
    em: f64,
    at: Point,
}

impl Outliner {
    fn point(&self, x: f32, y: f32) -> Point {
        Point::new(f64::from(x) / self.em, -f64::from(y) / self.em)
    }
}

impl OutlinePen for Outliner {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.move_to(self.at);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.line_to(self.at);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        // A quadratic as a cubic: its control points lie two thirds of the way to the one control.
        let (from, c, p) = (self.at, self.point(x1, y1), self.point(x, y));
        self.path.curve_to(from.lerp(c, 2.0 / 3.0), p.lerp(c, 2.0 / 3.0), p);
        self.at = p;
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.curve_to(self.point(x1, y1), self.point(x2, y2), self.at);
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sign_the_font_lacks_is_empty() {
        assert!(outline('漢').is_empty());
        assert_eq!(bounds('漢'), None);
    }

    #[test]
    fn widths_add_up() {
        let whole = text_width_mm("frog", 10.0, Face::Sans);
        let parts: f64 = ["f", "r", "o", "g"].iter().map(|t| text_width_mm(t, 10.0, Face::Sans)).sum();
        assert!((whole - parts).abs() < 1e-9 && whole > 10.0);
    }
}
