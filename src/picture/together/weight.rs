//! The weight of the arm on one string and on two: arrows as long as the weights, and for each string
//! a band from too light to too heavy. No numbers: the limits are a guide.

use kurbo::{Circle, Point, Rect};

use crate::{
    picture::{Anchor, Face, Ink, Pen, Picture, path::polygon},
    setup::Setup,
    tone::{Core, StringShare},
};

const WORDS_MM: f64 = 3.0;
const SMALL_MM: f64 = 2.6;
/// Length of the longest arrow, mm.
const ARROW_MM: f64 = 15.0;
/// The bands start and end at this multiple below and above the limits. Assumed.
const BEYOND: f64 = 2.5;
/// Height of a band with its words, mm.
const BAND_MM: f64 = 6.6;

pub(super) fn weight(setup: &Setup, shares: &[StringShare], width_mm: f64) -> Picture {
    let head = 5.0;
    let hair = head + ARROW_MM + 2.0;
    let bands = hair + 13.5;
    let mut picture = Picture::new(width_mm, bands + BAND_MM * shares.len() as f64 + 4.0);
    let name = |share: &StringShare| {
        let string = setup.instrument.strings.get(usize::from(share.string).saturating_sub(1));
        string.map_or_else(|| share.string.to_string(), |string| string.name.clone())
    };
    let total: f64 = shares.iter().map(|share| share.shared_n).sum();
    let most = shares.iter().map(|share| share.alone_n).fold(total, f64::max).max(1e-9);
    let long = |newtons: f64| ARROW_MM * newtons / most;
    picture.text((0.0, 3.2), "Weight on the strings", WORDS_MM, (Face::SansBold, Anchor::Start, Ink::Text));

    // Each string alone at the sides, both under one bow in the middle.
    let mut columns: Vec<Vec<&StringShare>> = shares.iter().map(|share| vec![share]).collect();
    if shares.len() > 1 {
        columns.insert(1, shares.iter().collect());
    }
    let column_mm = width_mm / columns.len().max(1) as f64;
    for (index, column) in columns.iter().enumerate() {
        let centre = (index as f64 + 0.5) * column_mm;
        let together = column.len() > 1;
        let half = 0.40 * column_mm;
        picture.line((centre - half, hair), (centre + half, hair), Pen::solid(Ink::Hair, 1.1));
        picture.line((centre - half, hair - 1.4), (centre + half, hair - 1.4), Pen::solid(Ink::Wood, 0.6));
        for (place, share) in column.iter().enumerate() {
            let x = centre + (place as f64 - 0.5 * (column.len() - 1) as f64) * 0.36 * column_mm;
            let newtons = if together { share.shared_n } else { share.alone_n };
            let ink = if together { Ink::Plan } else { Ink::Faint };
            arrow(&mut picture, Point::new(x, hair - 0.4), long(newtons), ink);
            picture.path(
                Circle::new((x, hair + 1.9), 1.2),
                Some(if together { Ink::Now } else { Ink::Text }),
                Some(Pen::solid(Ink::Text, 0.3)),
                None,
            );
            let style = (Face::SansBold, Anchor::Middle, Ink::Text);
            picture.text((x, hair + 6.4), name(share), WORDS_MM, style);
        }
        let words = if together { "together" } else { "alone" };
        let style = (Face::Sans, Anchor::Middle, Ink::Faint);
        picture.text((centre, hair + 9.8), words, SMALL_MM, style);
    }
    for (row, share) in shares.iter().enumerate() {
        let top = bands + row as f64 * BAND_MM;
        band(&mut picture, share, &name(share), top);
    }
    let style = (Face::SansItalic, Anchor::Start, Ink::Faint);
    let at = (0.0, bands + BAND_MM * shares.len() as f64 + 2.4);
    picture.text(at, "Ring: alone. Dot: its part of the weight on both.", SMALL_MM, style);
    picture
}

/// An arrow down to a point.
fn arrow(picture: &mut Picture, tip: Point, long: f64, ink: Ink) {
    let head = 2.2_f64.min(long);
    picture.line(tip - (0.0, long), tip - (0.0, 0.8 * head), Pen::solid(ink, 1.3));
    let points = [tip, tip - (1.5, head), tip + (1.5, -head)];
    picture.fill(polygon(points), ink);
}

/// From too light to too heavy for one string: a ring where its weight alone lies, a filled mark where
/// its part of the shared weight lies.
fn band(picture: &mut Picture, share: &StringShare, name: &str, top: f64) {
    let (left, right) = (21.0, picture.width_mm - 15.0);
    let middle = top + 2.0;
    let limits = share.limits;
    let (least, most) = (limits.least_n.max(1e-9), limits.most_n.max(limits.least_n * 1.01).max(2e-9));
    let (from, to) = ((least / BEYOND).ln(), (most * BEYOND).ln());
    let x = |newtons: f64| {
        let share = (newtons.max(1e-9).ln() - from) / (to - from);
        left + (right - left) * share.clamp(0.0, 1.0)
    };
    let base = middle + 0.36 * SMALL_MM;
    let style = (Face::SansBold, Anchor::Start, Ink::Text);
    picture.text((0.0, base), name, WORDS_MM, style);
    picture.text((left - 1.5, base), "too light", SMALL_MM, (Face::Sans, Anchor::End, Ink::Faint));
    picture.text((right + 1.5, base), "too heavy", SMALL_MM, (Face::Sans, Anchor::Start, Ink::Faint));
    let bar = |from: f64, to: f64| Rect::new(from, middle - 1.1, to, middle + 1.1).to_rounded_rect(1.1);
    picture.stroke(bar(left, right), Pen::dashed(Ink::Rule, 0.3));
    picture.path(bar(x(least), x(most)), Some(Ink::Corridor), Some(Pen::solid(Ink::Rule, 0.3)), None);
    picture.stroke(Circle::new((x(share.alone_n), middle), 1.5), Pen::solid(Ink::Faint, 0.5));
    let ink = if share.core() == Core::Full { Ink::Plan } else { Ink::Warn };
    picture.fill(Circle::new((x(share.shared_n), middle), 1.15), ink);
}
