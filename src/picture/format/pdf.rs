//! Pictures as pages of a PDF: text as text in the bundled fonts, of which only the glyphs that are met
//! go into the file; music signs as outlines. Each page is described in words, and listed by them.

use krilla::{
    Document, SerializeSettings,
    color::rgb,
    configure::Configuration,
    destination::XyzDestination,
    geom::{Path, PathBuilder, Point, Rect, Size, Transform},
    metadata::Metadata,
    num::NormalizedF32,
    outline::{Outline, OutlineNode},
    page::PageSettings,
    paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash},
    surface::Surface,
    tagging::{Artifact, ArtifactType, BBox, ContentTag, SpanTag, Tag, TagGroup, TagTree},
    text::{Font, GlyphId, KrillaGlyph},
};
use kurbo::{Affine, BezPath, PathEl, Shape as _};

use super::{Format, RenderError, Write, dots};
use crate::picture::{Face, Ink, Item, Picture, Rgb, Theme, glyph, lettering};

/// Points of PDF in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// One file for all pages.
pub(super) const FORMAT: Format = Format {
    ending: "pdf",
    is_one: |head| head.starts_with(b"%PDF-"),
    write: Write::Book(|pages, theme| write(pages, theme)),
};

/// Writes pictures as the pages of one PDF, each as large as its picture.
///
/// # Errors
/// When a page has no area.
pub fn write(pages: impl IntoIterator<Item = Picture>, theme: &Theme) -> Result<Vec<u8>, RenderError> {
    write_as(pages, theme, Configuration::default())
}

fn write_as(
    pages: impl IntoIterator<Item = Picture>,
    theme: &Theme,
    standard: Configuration,
) -> Result<Vec<u8>, RenderError> {
    let settings = SerializeSettings { configuration: standard, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let fonts =
        [Face::Sans, Face::SansBold, Face::SansItalic].map(|face| Font::new(glyph::file(face).into(), 0));
    let mut tags = TagTree::new();
    let mut outline = Outline::new();
    let mut title = String::new();
    for (index, picture) in pages.into_iter().enumerate() {
        let size = [picture.width_mm, picture.height_mm].map(|mm| (mm * POINTS_PER_MM) as f32);
        let size = Size::from_wh(size[0], size[1])
            .ok_or_else(|| RenderError::Drawing(format!("page {} has no area", index + 1)))?;
        let mut page = document.start_page_with(PageSettings::new(size));
        tags.push(Sheet { surface: page.surface(), fonts: &fonts, theme }.draw(&picture, index));
        page.finish();
        if !picture.about.place.is_empty() {
            let top = XyzDestination::new(index, Point::from_xy(0.0, 0.0));
            outline.push_child(OutlineNode::new(picture.about.place.clone(), top));
        }
        if title.is_empty() {
            title = picture.about.music;
        }
    }
    document.set_tag_tree(tags);
    document.set_outline(outline);
    let mut metadata = Metadata::new().language("en".to_owned()).creator("Elbowroom".to_owned());
    if !title.is_empty() {
        metadata = metadata.title(title);
    }
    document.set_metadata(metadata);
    document.finish().map_err(|error| RenderError::Drawing(format!("{error:?}")))
}

/// A page that is being drawn.
struct Sheet<'a> {
    surface: Surface<'a>,
    fonts: &'a [Option<Font>; 3],
    theme: &'a Theme,
}

impl Sheet<'_> {
    /// Draws a page; gives what is said of it: its shapes are one figure, each text is read as it stands.
    fn draw(mut self, picture: &Picture, index: usize) -> TagGroup {
        let scale = POINTS_PER_MM as f32;
        self.surface.push_transform(&Transform::from_scale(scale, scale));
        let all = kurbo::Rect::new(0.0, 0.0, picture.width_mm, picture.height_mm);
        self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
        self.fill(&all.to_path(0.0), self.theme.rgb(Ink::Paper), 1.0);
        self.surface.end_tagged();

        let words = picture.about.all();
        let words = if words.is_empty() { "Drawing".to_owned() } else { words };
        let bounds = [all.width(), all.height()].map(|mm| mm as f32 * scale);
        let bounds = Rect::from_xywh(0.0, 0.0, bounds[0], bounds[1]).map(|rect| BBox::new(index, rect));
        let mut figure = TagGroup::new(Tag::Figure(Some(words)).with_bbox(bounds));
        let mut texts = Vec::new();
        let is_text = |item: &Item| matches!(item, Item::Text { .. });
        for items in picture.items.chunk_by(|one, next| !is_text(one) && !is_text(next)) {
            let is_text = is_text(&items[0]);
            let tag = if is_text { ContentTag::Span(SpanTag::empty()) } else { ContentTag::Other };
            let part = self.surface.start_tagged(tag);
            items.iter().for_each(|item| self.draw_item(item));
            self.surface.end_tagged();
            if is_text {
                texts.push(TagGroup::with_children(Tag::P, vec![part.into()]));
            } else {
                figure.push(part);
            }
        }
        self.surface.pop();
        let mut section = TagGroup::new(Tag::Section);
        section.push(figure);
        texts.into_iter().for_each(|text| section.push(text));
        section
    }

    fn draw_item(&mut self, item: &Item) {
        match item {
            Item::Path { path, fill, stroke, .. } => {
                if let Some(ink) = fill {
                    self.fill(path, self.theme.rgb(*ink), 1.0);
                }
                if let Some(pen) = stroke {
                    self.stroke(path, &self.theme.stroke(pen));
                }
            }
            Item::Glyph { at, glyph, size_mm, ink, .. } => {
                let place = Affine::scale(*size_mm).then_translate(at.to_vec2());
                self.fill(&(place * glyph::outline(*glyph)), self.theme.rgb(*ink), 1.0);
            }
            Item::Text { at, text, size_mm, face, anchor, ink, .. } => {
                let letters = lettering::letters(text, *face);
                let x = at.x + size_mm * lettering::start(&letters, *anchor);
                self.text((x, at.y), text, &letters, (*face, *size_mm, *ink));
            }
            Item::Image { bounds, image } => {
                for dots in dots::outlines(*bounds, image) {
                    let mut path = BezPath::new();
                    dots.rects.iter().for_each(|rect| path.extend(rect.path_elements(0.0)));
                    self.fill(&path, self.theme.dot(dots.dot), dots.opacity);
                }
            }
        }
    }

    fn text(
        &mut self,
        (x, y): (f64, f64),
        text: &str,
        letters: &[lettering::Letter],
        (face, size_mm, ink): (Face, f64, Ink),
    ) {
        let Some(font) = &self.fonts[face as usize] else { return };
        if !(x.is_finite() && y.is_finite() && size_mm.is_finite()) || letters.is_empty() {
            return;
        }
        let glyphs: Vec<KrillaGlyph> = letters
            .iter()
            .map(|letter| {
                let [advance, right, down] = [letter.advance, letter.by.x, letter.by.y].map(|em| em as f32);
                let glyph = GlyphId::new(letter.glyph);
                KrillaGlyph::new(glyph, advance, right, -down, 0.0, letter.bytes.clone(), None)
            })
            .collect();
        self.surface.set_fill(Some(fill_of(self.theme.rgb(ink), 1.0)));
        self.surface.set_stroke(None);
        let at = Point::from_xy(x as f32, y as f32);
        self.surface.draw_glyphs(at, &glyphs, font.clone(), text, size_mm as f32, false);
    }

    fn fill(&mut self, path: &BezPath, rgb: Rgb, opacity: f64) {
        if let Some(path) = outline_of(path) {
            self.surface.set_fill(Some(fill_of(rgb, opacity)));
            self.surface.set_stroke(None);
            self.surface.draw_path(&path);
        }
    }

    fn stroke(&mut self, path: &BezPath, look: &crate::picture::theme::Stroke) {
        let stroke = Stroke {
            paint: paint_of(look.rgb).into(),
            width: look.width_mm as f32,
            line_cap: if look.is_round { LineCap::Round } else { LineCap::Butt },
            line_join: LineJoin::Round,
            dash: look
                .dash_mm
                .map(|lengths| StrokeDash { array: lengths.map(|mm| mm as f32).into(), offset: 0.0 }),
            ..Stroke::default()
        };
        if let Some(path) = outline_of(path) {
            self.surface.set_fill(None);
            self.surface.set_stroke(Some(stroke));
            self.surface.draw_path(&path);
        }
    }
}

fn paint_of([r, g, b]: Rgb) -> rgb::Color {
    rgb::Color::new(r, g, b)
}

fn fill_of(rgb: Rgb, opacity: f64) -> Fill {
    let opacity = NormalizedF32::new(opacity as f32).unwrap_or(NormalizedF32::ONE);
    Fill { paint: paint_of(rgb).into(), opacity, rule: FillRule::NonZero }
}

/// The outline as the writer takes it; none where it is empty or not finite.
fn outline_of(path: &BezPath) -> Option<Path> {
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
    use krilla::configure::{Accessibility, ConfigurationBuilder};

    use super::*;
    use crate::{
        analysis::Study,
        bowing::Density,
        lesson::demo::demo,
        picture::{Anchor, Paper, sheet},
    };

    /// ISO 32000-1: a file starts with "%PDF-" and ends with "%%EOF"; one page object a picture.
    #[test]
    fn pages_come_out_as_pages() {
        let mut picture = Picture::new(100.0, 50.0);
        picture.text((10.0, 20.0), "Harbour Song", 5.0, (Face::Sans, Anchor::Start, Ink::Text));
        picture.text((f64::NAN, 20.0), "nowhere", 5.0, (Face::Sans, Anchor::Start, Ink::Text));
        picture.text((10.0, 40.0), "\u{0} 漢 \u{202e}אב", 5.0, (Face::SansItalic, Anchor::End, Ink::Text));
        let bytes = write([picture.clone(), picture.clone()], &Theme::PRINT).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.starts_with("%PDF-") && text.trim_end().ends_with("%%EOF"));
        assert_eq!(text.matches("/MediaBox[0 0 283.46").count(), 2, "100 mm are 283.46 points: {text}");
        assert_eq!(bytes, write([picture.clone(), picture], &Theme::PRINT).unwrap());
        assert!(write([Picture::new(0.0, 10.0)], &Theme::PRINT).is_err());
    }

    /// ISO 14289-1 (PDF/UA-1) as far as a machine can tell: a title, a language, every mark on the page
    /// belongs to something that is read or described, every glyph stands for text.
    #[test]
    fn pages_of_a_lesson_can_be_read_by_those_who_do_not_see_them() {
        let study = Study::new(demo());
        let pages: Vec<Picture> = sheet(&study, None, Paper::A4_PORTRAIT, Density::All).collect();
        let rules =
            ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish().unwrap();
        let bytes = write_as(pages.clone(), &Theme::PRINT, rules).unwrap();
        assert!(bytes.len() > 1000);
        let silent = vec![Picture { about: Default::default(), ..pages[0].clone() }];
        assert!(write_as(silent, &Theme::PRINT, rules).is_err(), "a file without a title");
    }
}
