//! The curve of one quantity on the time axis of the staff.

use kurbo::Point;

use super::{Anchor, Face, Ink, Pen, Picture, System, glyph, path::polyline};
use crate::{
    analysis::{CurveLine, CurveRole, Quantity, Study},
    score::sentence_case,
};

/// Size of words, mm.
const WORDS_MM: f64 = 2.5;
/// Room over the plot for its name, and under it, mm.
const TOP_MM: f64 = 4.6;
const FOOT_MM: f64 = 2.0;
/// Part of the range that is kept free at either end. Assumed.
const AIR: f64 = 0.12;

/// Draws the curve of a quantity under a system, the plot `height_mm` high: what is planned unbroken, what is
/// wanted dashed, the least and the most of this player dotted where they lie near. The values at its ends
/// stand at the left, what its lines are above it.
pub fn curve_lane(study: &Study, system: &System, quantity: Quantity, height_mm: f64) -> Picture {
    let mut picture = Picture::new(system.right_mm, TOP_MM + height_mm + FOOT_MM);
    let (left, right) = (system.music_left_mm(), system.right_mm);
    let curve = study.analysis().curve(quantity);
    let (least, most) = curve.range().unwrap_or((0.0, 1.0));
    let air = AIR * (most - least).max(1e-6);
    let (least, most) = (least - air, most + air);
    let y = |value: f64| TOP_MM + height_mm * (most - value) / (most - least);
    for at in [TOP_MM, TOP_MM + height_mm] {
        picture.line((left, at), (right, at), Pen::solid(Ink::Rule, 0.3));
    }
    let bars = &study.lesson().score.bars;
    let first = bars.partition_point(|bar| bar.start < system.from);
    let inside = bars[first..].iter().take_while(|bar| bar.start < system.to);
    let inside = inside.filter(|bar| system.axis.has_barline(bar.start));
    for x in inside.map(|bar| system.axis.barline_x(bar.start)).chain([right]) {
        picture.line((x, TOP_MM), (x, TOP_MM + height_mm), Pen::solid(Ink::Rule, 0.3));
    }
    let decimals = quantity.decimals();
    for value in [least + air, most - air] {
        let words = format!("{value:.decimals$}{}", quantity.unit());
        let at = (left - 1.6, y(value) + 0.36 * WORDS_MM);
        picture.text(at, words, WORDS_MM, (Face::Sans, Anchor::End, Ink::Text));
    }
    let name = format!("{} ({})", sentence_case(quantity.words()), quantity.unit_words());
    let mut x = left + glyph::text_width_mm(&name, WORDS_MM, Face::SansBold) + 5.0;
    picture.text((left, TOP_MM - 1.5), name, WORDS_MM, (Face::SansBold, Anchor::Start, Ink::Text));
    for line in &curve.lines {
        let pen = pen(line.role);
        let runs = runs(line, system, &y, (TOP_MM, TOP_MM + height_mm));
        if runs.is_empty() {
            continue;
        }
        runs.into_iter().for_each(|run| picture.stroke(polyline(run), pen));
        let words = quantity.role_words(line.role);
        let wide = glyph::text_width_mm(words, WORDS_MM, Face::Sans);
        if x + 8.0 + wide <= right {
            picture.line((x, TOP_MM - 2.4), (x + 6.5, TOP_MM - 2.4), pen);
            picture.text((x + 8.0, TOP_MM - 1.5), words, WORDS_MM, (Face::Sans, Anchor::Start, Ink::Faint));
            x += 8.0 + wide + 4.0;
        }
    }
    picture
}

fn pen(role: CurveRole) -> Pen {
    match role {
        CurveRole::Planned => Pen::solid(Ink::Plan, 0.6),
        CurveRole::Wanted => Pen::dashed(Ink::Ghost, 0.3),
        CurveRole::Least | CurveRole::Most => Pen::dotted(Ink::Faint, 0.3),
    }
}

/// The stretches of a line inside the plot, mm; what lies over or under it is left out.
fn runs(
    line: &CurveLine,
    system: &System,
    y: &dyn Fn(f64) -> f64,
    (top, foot): (f64, f64),
) -> Vec<Vec<Point>> {
    let (from, to) = (system.from.to_f64(), system.to.to_f64());
    let mut found: Vec<Vec<Point>> = Vec::new();
    for run in &line.runs {
        let inside = run.windows(2).filter(|pair| pair[1].0 >= from && pair[0].0 <= to);
        let mut points: Vec<Point> = Vec::new();
        for pair in inside {
            let ends = [pair[0], pair[1]].map(|(at, value)| (at.clamp(from, to), value));
            let ends = ends.map(|(at, value)| Point::new(system.axis.x_f64(at), y(value)));
            if ends.iter().any(|end| end.y < top || end.y > foot) {
                found.push(std::mem::take(&mut points));
            } else if points.is_empty() {
                points.extend(ends);
            } else {
                points.push(ends[1]);
            }
        }
        found.push(points);
    }
    found.retain(|points| points.len() > 1);
    found
}
