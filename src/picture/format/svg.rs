//! Pictures as SVG 1.1: self-contained, music signs as outlines, the same bytes every time.

use std::fmt::Write as _;

use kurbo::{Affine, BezPath, PathEl, Rect};

use super::{Format, Write, dots};
use crate::{
    figure::Image,
    picture::{Anchor, Face, Ink, Item, Pen, Picture, Rgb, Theme, glyph},
};

/// One file a page.
pub(super) const FORMAT: Format = Format {
    ending: "svg",
    is_one: |head| head.windows(4).any(|four| four == b"<svg"),
    write: Write::Pages(|page, theme| Ok(write(page, theme).into_bytes())),
};

/// Writes a picture as an SVG document on a ground of [`Ink::Paper`], or on none where the theme is clear.
pub fn write(picture: &Picture, theme: &Theme) -> String {
    let mut out = String::new();
    let (w, h) = (number(picture.width_mm), number(picture.height_mm));
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">"#
    );
    for (name, words) in [("title", picture.about.title()), ("desc", picture.about.shown.clone())] {
        if !words.is_empty() {
            let _ = writeln!(out, "<{name}>{}</{name}>", escape(&words));
        }
    }
    if !theme.is_clear {
        let _ = writeln!(out, r#"<rect width="{w}" height="{h}" fill="{}"/>"#, colour(theme, Ink::Paper));
    }
    for item in &picture.items {
        write_item(&mut out, item, theme);
    }
    out.push_str("</svg>\n");
    out
}

fn write_item(out: &mut String, item: &Item, theme: &Theme) {
    match item {
        Item::Path { path, fill, stroke, .. } => {
            let fill = fill.map_or_else(|| "none".to_owned(), |ink| colour(theme, ink));
            let _ = write!(out, r#"<path d="{}" fill="{fill}""#, data(path));
            if let Some(pen) = stroke {
                write_pen(out, pen, theme);
            }
            out.push_str("/>\n");
        }
        Item::Glyph { at, glyph, size_mm, ink, .. } => {
            let path = Affine::scale(*size_mm).then_translate(at.to_vec2()) * glyph::outline(*glyph);
            let _ = writeln!(out, r#"<path d="{}" fill="{}"/>"#, data(&path), colour(theme, *ink));
        }
        Item::Image { bounds, image } => write_image(out, *bounds, image, theme),
        Item::Text { at, text, size_mm, face, anchor, ink, .. } => {
            let style = match face {
                Face::Sans => "",
                Face::SansBold => r#" font-weight="bold""#,
                Face::SansItalic => r#" font-style="italic""#,
            };
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => r#" text-anchor="middle""#,
                Anchor::End => r#" text-anchor="end""#,
            };
            let _ = writeln!(
                out,
                r#"<text x="{}" y="{}" font-family="Noto Sans, sans-serif" font-size="{}"{style}{anchor} fill="{}" xml:space="preserve">{}</text>"#,
                number(at.x),
                number(at.y),
                number(*size_mm),
                colour(theme, *ink),
                escape(text)
            );
        }
    }
}

fn write_image(out: &mut String, bounds: Rect, image: &Image, theme: &Theme) {
    for dots in dots::outlines(bounds, image) {
        out.push_str(r#"<path d=""#);
        for rect in dots.rects {
            let [x, y, w, h] = [rect.x0, rect.y0, rect.width(), rect.height()].map(number);
            let _ = write!(out, "M{x} {y}h{w}v{h}h-{w}z");
        }
        let fill = hex(theme.dot(dots.dot));
        let opacity = if dots.opacity < 1.0 {
            format!(r#" opacity="{}""#, number(dots.opacity))
        } else {
            String::new()
        };
        let _ = writeln!(out, r#"" fill="{fill}"{opacity}/>"#);
    }
}

fn write_pen(out: &mut String, pen: &Pen, theme: &Theme) {
    let stroke = theme.stroke(pen);
    let _ = write!(out, r#" stroke="{}" stroke-width="{}""#, hex(stroke.rgb), number(stroke.width_mm));
    if let Some([on, off]) = stroke.dash_mm {
        let _ = write!(out, r#" stroke-dasharray="{} {}""#, number(on), number(off));
    }
    out.push_str(if stroke.is_round {
        r#" stroke-linecap="round" stroke-linejoin="round""#
    } else {
        r#" stroke-linejoin="round""#
    });
}

fn data(path: &BezPath) -> String {
    let mut out = String::new();
    for element in path {
        let (letter, points) = match element {
            PathEl::MoveTo(p) => ('M', vec![p]),
            PathEl::LineTo(p) => ('L', vec![p]),
            PathEl::QuadTo(a, p) => ('Q', vec![a, p]),
            PathEl::CurveTo(a, b, p) => ('C', vec![a, b, p]),
            PathEl::ClosePath => ('Z', Vec::new()),
        };
        out.push(letter);
        for (index, p) in points.into_iter().enumerate() {
            let gap = if index > 0 { " " } else { "" };
            let _ = write!(out, "{gap}{} {}", number(p.x), number(p.y));
        }
    }
    out
}

/// A value midway between two micrometres is written alike whatever the last bit of a sum is.
const NUDGE_MM: f64 = 1e-8;

/// A length in mm to the nearest micrometre, without needless zeros; not a number becomes 0.
fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{:.3}", value + NUDGE_MM);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn colour(theme: &Theme, ink: Ink) -> String {
    hex(theme.rgb(ink))
}

fn hex([r, g, b]: Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Control characters are not allowed in XML 1.0.
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        assert_eq!(["1.5", "0", "-2", "0.001"].map(str::to_owned), [1.5, -0.0001, -2.0, 0.0012].map(number));
        assert_eq!(number(f64::NAN), "0");
    }

    /// The document is well-formed XML (checked with an independent parser) even for hostile text.
    #[test]
    fn any_text_gives_well_formed_xml() {
        let mut picture = Picture::new(10.0, 5.0);
        picture.text((1.0, 2.0), "a<b>&\"\u{1}é", 3.0, (Face::SansBold, Anchor::Middle, Ink::Text));
        picture.line((0.0, 0.0), (1.0, f64::INFINITY), Pen::dotted(Ink::Rule, 0.2));
        let svg = write(&picture, &Theme::DARK);
        let document = roxmltree::Document::parse(&svg).unwrap();
        let text = document.descendants().find(|node| node.has_tag_name("text")).unwrap();
        assert_eq!(text.text(), Some("a<b>&\" é"));
        assert_eq!(svg, write(&picture, &Theme::DARK));
    }
}
