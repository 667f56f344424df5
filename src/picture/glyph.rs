//! The bundled fonts: outlines of music signs and widths of texts.
//!
//! Music signs come from Noto Music (SIL Open Font License 1.1), which has 1000 units to the em
//! and a staff space of 250 units: an em is four staff spaces, the height of a staff.

use std::{
    collections::BTreeMap,
    sync::{LazyLock, Mutex, PoisonError},
};

use ttf_parser::{Face as Font, GlyphId, OutlineBuilder};

use super::{Face, Path, Point, Segment};

/// The music font.
pub const MUSIC: &[u8] = include_bytes!("../../assets/fonts/NotoMusic-Regular.ttf");
/// Text, upright.
pub const SANS: &[u8] = include_bytes!("../../assets/fonts/NotoSans-Regular.ttf");
/// Text, bold.
pub const SANS_BOLD: &[u8] = include_bytes!("../../assets/fonts/NotoSans-Bold.ttf");
/// Text, italic.
pub const SANS_ITALIC: &[u8] = include_bytes!("../../assets/fonts/NotoSans-Italic.ttf");
/// Digits of time signatures.
const SERIF_BOLD: &[u8] = include_bytes!("../../assets/fonts/NotoSerif-Bold.ttf");
/// Digits of tuplets.
const SERIF_BOLD_ITALIC: &[u8] = include_bytes!("../../assets/fonts/NotoSerif-BoldItalic.ttf");

struct Fonts {
    music: Option<Font<'static>>,
    texts: [Option<Font<'static>>; 3],
    digits: [Option<Font<'static>>; 2],
}

static FONTS: LazyLock<Fonts> = LazyLock::new(|| {
    let read = |bytes| Font::parse(bytes, 0).ok();
    Fonts {
        music: read(MUSIC),
        texts: [SANS, SANS_BOLD, SANS_ITALIC].map(read),
        digits: [SERIF_BOLD, SERIF_BOLD_ITALIC].map(read),
    }
});

/// Outline of a sign of the music font in ems, y down; empty for signs the font lacks.
/// Cached: every sign is read once.
pub fn outline(glyph: char) -> &'static Path {
    static CACHE: Mutex<BTreeMap<char, &'static Path>> = Mutex::new(BTreeMap::new());
    let mut cache = CACHE.lock().unwrap_or_else(PoisonError::into_inner);
    // Leaked on purpose: at most one small outline for each of the font's few hundred signs.
    cache.entry(glyph).or_insert_with(|| Box::leak(Box::new(read_music(glyph))))
}

fn read_music(glyph: char) -> Path {
    let Some(font) = &FONTS.music else { return Path::default() };
    font.glyph_index(glyph).map_or_else(Path::default, |id| read_outline(font, id))
}

fn read_outline(font: &Font<'_>, id: GlyphId) -> Path {
    let mut pen = Outliner { path: Path::default(), em: f64::from(font.units_per_em()), at: (0.0, 0.0) };
    font.outline_glyph(id, &mut pen);
    pen.path
}

/// Advance width of a sign of the music font, ems.
pub fn advance(glyph: char) -> f64 {
    FONTS.music.as_ref().and_then(|font| advance_in(font, glyph)).unwrap_or(0.0)
}

fn advance_in(font: &Font<'_>, letter: char) -> Option<f64> {
    let width = font.glyph_hor_advance(font.glyph_index(letter)?)?;
    Some(f64::from(width) / f64::from(font.units_per_em()))
}

/// Width of a text, mm. Characters the font lacks count as half an em.
pub fn text_width_mm(text: &str, size_mm: f64, face: Face) -> f64 {
    let font = FONTS.texts[face as usize].as_ref();
    let width = |letter| font.and_then(|font| advance_in(font, letter)).unwrap_or(0.5);
    size_mm * text.chars().map(width).sum::<f64>()
}

/// Numerals as an outline, centred on x = 0 with the baseline at y = 0, for time signatures
/// (upright) and tuplets (italic).
pub(super) fn numerals(text: &str, size_mm: f64, italic: bool) -> Path {
    let Some(font) = &FONTS.digits[usize::from(italic)] else { return Path::default() };
    let mut path = Path::default();
    let mut x = 0.0;
    for letter in text.chars() {
        if let Some(id) = font.glyph_index(letter) {
            path.extend(read_outline(font, id).map(|(px, py)| (px + x, py)));
            x += advance_in(font, letter).unwrap_or(0.0);
        }
    }
    path.map(|(px, py)| ((px - x / 2.0) * size_mm, py * size_mm))
}

struct Outliner {
    path: Path,
    em: f64,
    at: Point,
}

impl Outliner {
    fn point(&self, x: f32, y: f32) -> Point {
        (f64::from(x) / self.em, -f64::from(y) / self.em)
    }

    fn push(&mut self, segment: Segment, end: Point) {
        self.path.0.push(segment);
        self.at = end;
    }
}

impl OutlineBuilder for Outliner {
    fn move_to(&mut self, x: f32, y: f32) {
        let p = self.point(x, y);
        self.push(Segment::Move(p), p);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let p = self.point(x, y);
        self.push(Segment::Line(p), p);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        // A quadratic as a cubic: its control points lie two thirds of the way to the one control.
        let (from, c, p) = (self.at, self.point(x1, y1), self.point(x, y));
        let toward = |a: Point| (a.0 + (c.0 - a.0) * 2.0 / 3.0, a.1 + (c.1 - a.1) * 2.0 / 3.0);
        self.push(Segment::Cubic(toward(from), toward(p), p), p);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let p = self.point(x, y);
        self.push(Segment::Cubic(self.point(x1, y1), self.point(x2, y2), p), p);
    }

    fn close(&mut self) {
        self.path.0.push(Segment::Close);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Boxes of the Noto Music font itself, read with an independent font tool: the black note
    /// head is 50..347 by -1..269 units.
    #[test]
    fn the_note_head_has_the_size_the_font_gives_it() {
        let (l, t, r, b) = outline('\u{1D158}').bounds().unwrap();
        for (got, units) in [(l, 50.0), (r, 347.0), (t, -269.0), (b, 1.0)] {
            assert!((got - units / 1000.0).abs() < 0.012, "{got} against {units} units");
        }
    }

    #[test]
    fn a_sign_the_font_lacks_is_empty() {
        assert_eq!(outline('漢'), &Path::default());
    }

    #[test]
    fn widths_add_up() {
        let whole = text_width_mm("frog", 10.0, Face::Sans);
        let parts: f64 = ["f", "r", "o", "g"].iter().map(|t| text_width_mm(t, 10.0, Face::Sans)).sum();
        assert!((whole - parts).abs() < 1e-9 && whole > 10.0);
    }
}
