//! Pictures as pages of a PDF: text as text in the bundled fonts, of which only the glyphs that are met
//! go into the file; music signs as outlines. Each page is described in words, and listed by them.

use std::num::NonZeroU16;

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
    tagging::{
        Artifact, ArtifactType, BBox, ContentTag, ListNumbering, Node, SpanTag, TableHeaderScope, Tag,
        TagGroup, TagTree,
    },
    text::{Font, GlyphId, KrillaGlyph},
};
use kurbo::{Affine, BezPath, PathEl, Shape as _};

use super::{Format, RenderError, Write, dots};
use crate::picture::{Face, Ink, Item, Part, Picture, Rgb, Role, Table, Theme, glyph, lettering, signed};

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
        for (y, words) in bookmarks(&picture) {
            let place = XyzDestination::new(index, Point::from_xy(0.0, (y * POINTS_PER_MM) as f32));
            outline.push_child(OutlineNode::new(words, place));
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

/// What a page is listed by: its headings with their heights, mm, or the place it shows.
fn bookmarks(picture: &Picture) -> Vec<(f64, String)> {
    if picture.parts.is_empty() {
        let place = picture.about.place.clone();
        return if place.is_empty() { Vec::new() } else { vec![(0.0, place)] };
    }
    let heading = |part: &Part| {
        let Role::Heading(_, words) = &part.role else { return None };
        let top = picture.items.get(part.items.start).and_then(Item::bounds).map_or(0.0, |bounds| bounds.y0);
        Some(((top - HEADING_AIR_MM).max(0.0), words.clone()))
    };
    picture.parts.iter().filter_map(heading).collect()
}

/// Room over a heading that is gone to, mm.
const HEADING_AIR_MM: f64 = 4.0;

/// A page that is being drawn.
struct Sheet<'a> {
    surface: Surface<'a>,
    fonts: &'a [Option<Font>; 3],
    theme: &'a Theme,
}

impl Sheet<'_> {
    /// Draws a page; gives what is said of it.
    fn draw(mut self, picture: &Picture, index: usize) -> TagGroup {
        let scale = POINTS_PER_MM as f32;
        self.surface.push_transform(&Transform::from_scale(scale, scale));
        let all = kurbo::Rect::new(0.0, 0.0, picture.width_mm, picture.height_mm);
        self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
        self.fill(&all.to_path(0.0), self.theme.rgb(Ink::Paper), 1.0);
        self.surface.end_tagged();

        let read =
            if picture.parts.is_empty() { self.whole(picture, index) } else { self.parts(picture, index) };
        self.surface.pop();
        let mut section = TagGroup::new(Tag::Section);
        read.into_iter().for_each(|part| section.push(part));
        section
    }

    /// A page without parts: its shapes are one figure, each text is read as it stands.
    fn whole(&mut self, picture: &Picture, index: usize) -> Vec<TagGroup> {
        let words = picture.about.all();
        let words = if words.is_empty() { "Drawing".to_owned() } else { words };
        let all = kurbo::Rect::new(0.0, 0.0, picture.width_mm, picture.height_mm);
        let mut figure = figure(words, Some(all), index);
        let mut texts = Vec::new();
        let is_text = |item: &Item| matches!(item, Item::Text { .. });
        for items in picture.items.chunk_by(|one, next| !is_text(one) && !is_text(next)) {
            if is_text(&items[0]) {
                texts.push(TagGroup::with_children(Tag::P, vec![self.tagged(items, true)]));
            } else {
                figure.push(self.tagged(items, false));
            }
        }
        texts.insert(0, figure);
        texts
    }

    /// A page in parts, each as what it is; all between them is ornament.
    fn parts(&mut self, picture: &Picture, index: usize) -> Vec<TagGroup> {
        let mut read: Vec<TagGroup> = Vec::new();
        let mut list: Option<TagGroup> = None;
        let mut drawn = 0;
        for part in &picture.parts {
            let items = &picture.items[part.items.clone()];
            self.ornament(&picture.items[drawn..part.items.start.max(drawn)]);
            drawn = part.items.end.max(drawn);
            if part.role == Role::Item {
                let mut item = TagGroup::new(Tag::LI);
                let body = items.iter().map(|item| self.tagged(std::slice::from_ref(item), true)).collect();
                item.push(TagGroup::with_children(Tag::LBody, body));
                list.get_or_insert_with(|| TagGroup::new(Tag::L(ListNumbering::Disc))).push(item);
                continue;
            }
            read.extend(list.take());
            read.push(match &part.role {
                Role::Heading(rank, words) => {
                    let rank = NonZeroU16::new(u16::from(*rank)).unwrap_or(NonZeroU16::MIN);
                    let texts =
                        items.iter().map(|item| self.tagged(std::slice::from_ref(item), true)).collect();
                    TagGroup::with_children(Tag::Hn(rank, Some(words.clone())), texts)
                }
                Role::Figure(words) => {
                    let boxes = items.iter().filter_map(Item::bounds);
                    let mut figure =
                        figure(words.clone(), boxes.reduce(|one, other| one.union(other)), index);
                    figure.push(self.tagged(items, false));
                    figure
                }
                Role::Table(table) => self.table(table, items),
                Role::Paragraph | Role::Item => TagGroup::with_children(Tag::P, self.read(items)),
            });
        }
        read.extend(list);
        self.ornament(&picture.items[drawn..]);
        read
    }

    /// Draws a table; its rules are ornament.
    fn table(&mut self, table: &Table, items: &[Item]) -> TagGroup {
        let mut whole = TagGroup::new(Tag::Table.with_summary(Some(table.words.clone())));
        let mut drawn = 0;
        for (index, cells) in table.rows.iter().enumerate() {
            let mut row = TagGroup::new(Tag::TR);
            for (column, cell) in cells.iter().enumerate() {
                let start = cell.start.clamp(drawn, items.len());
                let end = cell.end.clamp(start, items.len());
                self.ornament(&items[drawn..start]);
                drawn = end;
                let read = self.read(&items[start..end]);
                row.push(match (index, column) {
                    (0, _) => TagGroup::with_children(Tag::TH(TableHeaderScope::Column), read),
                    (_, 0) => TagGroup::with_children(Tag::TH(TableHeaderScope::Row), read),
                    (_, _) => TagGroup::with_children(Tag::TD, read),
                });
            }
            whole.push(row);
        }
        self.ornament(&items[drawn..]);
        whole
    }

    /// Draws items of which the texts are read one after the other.
    fn read(&mut self, items: &[Item]) -> Vec<Node> {
        let mut read = Vec::new();
        for item in items {
            if letters(item).is_some() {
                read.push(self.tagged(std::slice::from_ref(item), true));
            } else {
                self.ornament(std::slice::from_ref(item));
            }
        }
        read
    }

    /// Draws items as one content of the page.
    fn tagged(&mut self, items: &[Item], is_text: bool) -> Node {
        let sign = items.first().and_then(letters).filter(|letters| !letters.is_empty());
        let span = SpanTag::empty().with_actual_text(sign);
        let tag = if is_text { ContentTag::Span(span) } else { ContentTag::Other };
        let part = self.surface.start_tagged(tag);
        items.iter().for_each(|item| self.draw_item(item));
        self.surface.end_tagged();
        part.into()
    }

    /// Draws items that nobody is told of.
    fn ornament(&mut self, items: &[Item]) {
        if !items.is_empty() {
            self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
            items.iter().for_each(|item| self.draw_item(item));
            self.surface.end_tagged();
        }
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

/// What is read in the place of a figure that lies in this box, mm.
fn figure(words: String, bounds: Option<kurbo::Rect>, index: usize) -> TagGroup {
    let bounds = bounds.and_then(|all| {
        let [x, y, width, height] =
            [all.x0, all.y0, all.width(), all.height()].map(|mm| (mm * POINTS_PER_MM) as f32);
        Rect::from_xywh(x, y, width, height).map(|rect| BBox::new(index, rect))
    });
    TagGroup::new(Tag::Figure(Some(words)).with_bbox(bounds))
}

/// What an item among words is read as where that is not what it draws: nothing for text, the letter for a sign
/// of music. None for what is not read.
fn letters(item: &Item) -> Option<&'static str> {
    match item {
        Item::Text { .. } => Some(""),
        Item::Glyph { glyph, .. } => signed::letter(*glyph),
        Item::Path { .. } | Item::Image { .. } => None,
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
        lesson::{
            demo::demo,
            handout::{Block, Entry, Handout, Head, Shown},
        },
        picture::{Anchor, Paper, handout::pages as handout_pages, sheet},
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
        let blocks = [
            Block::Head(Head { title: "Harbour Song".to_owned(), ..Head::default() }),
            Block::Heading("Flats and sharps".to_owned()),
            Block::Words("From *F♯* to B♭:\n\n- one\n- two".to_owned()),
            Block::Passage { bars: "5-8".to_owned(), shown: Shown { hair: true, ..Shown::default() } },
            Block::Practice { bars: "5-8".to_owned(), shares: vec![0.5, 0.8, 1.0] },
        ];
        let handout = Handout { entries: blocks.map(Entry::from).into(), ..Handout::default() };
        let handed = write_as(handout_pages(&study, &handout), &Theme::PRINT, rules).unwrap();
        let text = String::from_utf8_lossy(&handed);
        assert!(text.contains("Flats and sharps"), "among the bookmarks");
        // ISO 32000-1, 14.8.4.3.4: a row of heads and three of a tempo and three fields to fill in.
        let count = |tag: &str| text.matches(&format!("/S/{tag}")).count();
        assert_eq!(["Table", "TR", "TH", "TD"].map(count), [1, 4, 4 + 3, 3 * 3]);
        let silent = vec![Picture { about: Default::default(), ..pages[0].clone() }];
        assert!(write_as(silent, &Theme::PRINT, rules).is_err(), "a file without a title");
    }
}
