//! Head, headings and words.

use kurbo::Point;

use super::{Press, slab::Slab};
use crate::{
    lesson::handout::{Head, Run, paragraphs},
    picture::{Anchor, Face, Ink, Pen, Picture, Role, signed},
};

/// A paragraph longer than this is parted between its lines. Assumed: half a page.
const MOST_LINES: usize = 24;

/// A title is set no smaller than this part of its size. Assumed.
const LEAST_TITLE: f64 = 0.65;

/// Words that are set alike: size, colour, and the faces of plain and bold words.
#[derive(Clone, Copy)]
pub(super) struct Style {
    pub size_mm: f64,
    pub leading_mm: f64,
    pub ink: Ink,
    pub faces: [Face; 2],
}

impl Style {
    pub fn plain(size_mm: f64, ink: Ink) -> Self {
        Self { size_mm, leading_mm: 1.42 * size_mm, ink, faces: [Face::Sans, Face::SansBold] }
    }

    /// All in one face.
    pub fn in_face(self, face: Face) -> Self {
        Self { faces: [face; 2], ..self }
    }
}

/// A line of words: each piece with its left end.
type Line = Vec<(f64, String, Face)>;

/// Breaks words into lines.
fn lines(runs: &[Run], style: Style, width_mm: f64) -> Vec<Line> {
    let mut lines: Vec<Line> = vec![Line::new()];
    let mut x = 0.0;
    for run in runs {
        let face = style.faces[usize::from(run.bold)];
        let wide = |text: &str| signed::width_mm(text, style.size_mm, face);
        for word in run.text.split_inclusive(' ').flat_map(|word| fitting(word, width_mm, &wide)) {
            if x > 0.0 && x + wide(word.trim_end()) > width_mm {
                lines.push(Line::new());
                x = 0.0;
            }
            let Some(line) = lines.last_mut() else { continue };
            match line.last_mut().filter(|(_, _, before)| *before == face) {
                Some((_, text, _)) => text.push_str(word),
                None => line.push((x, word.to_owned(), face)),
            }
            x += wide(word);
        }
    }
    lines
}

/// A word, in pieces where it alone is wider than a line.
fn fitting<'t>(word: &'t str, width_mm: f64, wide: &dyn Fn(&str) -> f64) -> Vec<&'t str> {
    let mut pieces = Vec::new();
    let mut rest = word;
    while wide(rest.trim_end()) > width_mm {
        let ends = rest.char_indices().map(|(at, letter)| at + letter.len_utf8());
        let most = ends.clone().take_while(|end| wide(&rest[..*end]) <= width_mm).last();
        let Some(end) = most.or_else(|| ends.clone().next()).filter(|end| *end < rest.len()) else { break };
        pieces.push(&rest[..end]);
        rest = &rest[end..];
    }
    pieces.push(rest);
    pieces
}

/// Lines set from a left end; the picture is as wide as told and as high as the lines.
fn set(lines: &[Line], style: Style, left_mm: f64, width_mm: f64) -> Picture {
    let mut picture = Picture::new(width_mm, style.leading_mm * lines.len() as f64);
    for (index, line) in lines.iter().enumerate() {
        let y = style.leading_mm * index as f64 + 0.98 * style.size_mm;
        for (x, text, face) in line {
            let at = Point::new(left_mm + x, y);
            signed::text(&mut picture, at, text.trim_end(), style.size_mm, (*face, style.ink));
        }
    }
    picture
}

/// Words in one look, as high as they need.
pub(super) fn plain_words(text: &str, style: Style, width_mm: f64) -> Picture {
    let run = Run { text: text.split_whitespace().collect::<Vec<_>>().join(" "), bold: false };
    set(&lines(&[run], style, width_mm), style, 0.0, width_mm)
}

impl Press<'_> {
    fn body(&self) -> Style {
        Style { leading_mm: self.look.leading_mm(), ..Style::plain(self.look.body_mm, Ink::Text) }
    }

    /// The title, and under it for whom, from whom and when, with a rule.
    pub(super) fn head(&self, head: &Head, width_mm: f64) -> Vec<Slab> {
        let look = &self.look;
        let mut slabs = Vec::new();
        if !head.title.trim().is_empty() {
            // A long title is set smaller before it takes a second line.
            let wide = signed::width_mm(head.title.trim(), look.title_mm, Face::SansBold);
            let size = look.title_mm * (0.98 * width_mm / wide.max(1e-6)).clamp(LEAST_TITLE, 1.0);
            let style = Style { leading_mm: 1.2 * size, ..Style::plain(size, Ink::Text) };
            let title = plain_words(&head.title, style.in_face(Face::SansBold), width_mm);
            let role = Role::Heading(1, head.title.trim().to_owned());
            slabs.push(Slab::new(title.read_as(role), 0.0));
        }
        let said = [("for ", &head.pupil), ("from ", &head.teacher), ("", &head.date)];
        let said: Vec<String> = said
            .iter()
            .filter(|(_, words)| !words.trim().is_empty())
            .map(|(before, words)| format!("{before}{}", words.trim()))
            .collect();
        if !said.is_empty() {
            let words = crate::score::sentence_case(&said.join("  ·  "));
            let line = plain_words(&words, Style::plain(look.body_mm, Ink::Faint), width_mm);
            slabs.push(Slab::new(line.read_as(Role::Paragraph), 0.2 * look.body_mm));
        }
        if !slabs.is_empty() {
            let mut rule = Picture::new(width_mm, 0.4);
            rule.line((0.0, 0.2), (width_mm, 0.2), Pen::solid(Ink::Text, 0.4));
            slabs.push(Slab::new(rule, 0.55 * look.body_mm));
        }
        slabs.iter_mut().for_each(|slab| slab.keeps = true);
        slabs
    }

    pub(super) fn heading(&self, text: &str, width_mm: f64) -> Vec<Slab> {
        let text = text.trim();
        if text.is_empty() {
            return Vec::new();
        }
        let size = self.look.heading_mm;
        let style = Style { leading_mm: 1.3 * size, ..Style::plain(size, Ink::Text) };
        let words = plain_words(text, style.in_face(Face::SansBold), width_mm);
        let slab = Slab::new(words.read_as(Role::Heading(2, text.to_owned())), 1.35 * self.look.gap_mm());
        vec![Slab { keeps: true, ..slab }]
    }

    pub(super) fn words(&self, typed: &str, width_mm: f64) -> Vec<Slab> {
        let (style, look) = (self.body(), &self.look);
        let wide = width_mm.min(look.measure_mm());
        let indent = 1.1 * look.body_mm;
        let mut slabs: Vec<Slab> = Vec::new();
        let mut after_item = false;
        for paragraph in paragraphs(typed) {
            let left = if paragraph.is_item { indent } else { 0.0 };
            let role = if paragraph.is_item { Role::Item } else { Role::Paragraph };
            let tight = paragraph.is_item && after_item;
            for (index, lines) in lines(&paragraph.runs, style, wide - left).chunks(MOST_LINES).enumerate() {
                let text = set(lines, style, left, width_mm);
                let mut picture = Picture::new(width_mm, text.height_mm);
                if paragraph.is_item && index == 0 {
                    let at = (0.25 * look.body_mm, 0.98 * look.body_mm);
                    picture.text(at, "•", look.body_mm, (Face::Sans, Anchor::Start, Ink::Text));
                }
                picture.place(text, (0.0, 0.0));
                let gap = match (slabs.is_empty(), index, tight) {
                    (true, ..) => 0.75 * look.gap_mm(),
                    (_, 0, false) => 0.5 * look.leading_mm(),
                    (_, 0, true) => 0.15 * look.leading_mm(),
                    _ => 0.0,
                };
                slabs.push(Slab::new(picture.read_as(role.clone()), gap));
            }
            after_item = paragraph.is_item;
        }
        slabs
    }

    /// A line for what is not in the lesson.
    pub(super) fn missing(&self, words: &str, width_mm: f64) -> Vec<Slab> {
        let style = Style::plain(self.look.body_mm, Ink::Faint).in_face(Face::SansItalic);
        let line = plain_words(words, style, width_mm.min(self.look.measure_mm()));
        vec![Slab::new(line.read_as(Role::Paragraph), self.look.gap_mm())]
    }

    /// A small line under or over a drawing.
    pub(super) fn caption(&self, words: &str, width_mm: f64) -> Picture {
        plain_words(words, Style::plain(0.9 * self.look.body_mm, Ink::Text), width_mm)
    }
}
