//! The bridge in section with the bow planes: which level the arm holds, and how near its
//! neighbours are.
//!
//! The bridge is seen from the player's side, as the arm is drawn from behind or through the player's
//! own eyes: the bow hand is at the right. For a left-handed player all is flipped.

use kurbo::{BezPath, Circle, PathEl, Point, Vec2};

use super::{
    Anchor, Face, Ink, Pen, Picture, Tag,
    path::{curve, line, polygon, polyline, start},
};
use crate::{
    analysis::{Analysis, BowState, Study},
    arm::Level,
};

const WORDS_MM: f64 = 2.9;
const SMALL_MM: f64 = 2.4;
/// Room kept at the sides, mm.
const EDGE_MM: f64 = 2.0;
/// Room a name keeps from the frog, up or down, mm.
const FROG_TALL_MM: f64 = 6.5;

/// Draws the fan `width_mm` wide with the bow as it lies now.
pub fn level_fan(study: &Study, state: &BowState, width_mm: f64) -> Picture {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let bridge = &lesson.setup.instrument.bridge;
    let on_shoulder = lesson.setup.instrument.family.on_shoulder();
    // Section x is positive away from the bow hand, which is drawn at the right.
    let side = -1.0;
    let tall = if on_shoulder { 0.6 } else { 0.75 };
    let top_mm = 0.25 * width_mm;
    let spread = bridge.spread_mm.max(1.0);
    let mm = 0.34 * width_mm / spread;
    let foot = top_mm + 0.30 * width_mm * tall;
    let mut picture = Picture::new(width_mm, foot + 15.0);
    let crown = Point::new(0.5 * width_mm, top_mm);
    let place = |(x, y): (f64, f64)| crown + Vec2::new(side * x, -y) * mm;

    bridge_shape(&mut picture, analysis, &place, foot, on_shoulder);
    let levels: Vec<&Level> = analysis.arm_path.fan.all().collect();
    let now = state.plane.index();
    let contact = place(levels.get(now).map_or((0.0, 0.0), |level| level.contact_mm));
    let (frog, _) = ends(contact, state.level_deg, side, width_mm);
    for (index, level) in levels.iter().enumerate() {
        let (hand, far) = ends(place(level.contact_mm), level.angle_deg, side, width_mm);
        let pen = if index % 2 == 0 { Pen::solid(Ink::Rule, 0.4) } else { Pen::dashed(Ink::Rule, 0.35) };
        picture.path(polyline([hand, far]), None, Some(pen), Some(Tag::Level(index)));
        if index != now {
            // Named where the bow hand would be; at the far end where the frog would cover it.
            let covered = (hand.y - frog.y).abs() < FROG_TALL_MM;
            let at = if covered { far } else { hand };
            let anchor = if (side > 0.0) == covered { Anchor::End } else { Anchor::Start };
            picture.text(at - (0.0, 0.7), level.name.clone(), SMALL_MM, (Face::Sans, anchor, Ink::Faint));
        }
    }
    if let Some(level) = levels.get(now) {
        wedge(&mut picture, contact, level, side, foot);
    }
    let sounding: Vec<u8> = state.plane.strings().collect();
    bow(&mut picture, contact, state, side);
    for (index, string) in analysis.arm_path.fan.strings.iter().enumerate() {
        let at = place(string.contact_mm);
        let sounds = state.on_string && sounding.contains(&(index as u8 + 1));
        let radius = if sounds { 1.35 } else { 0.95 };
        let dot = Circle::new(at + (0.0, 0.55), radius);
        let fill = if sounds { Ink::Now } else { Ink::Text };
        picture.path(dot, Some(fill), Some(Pen::solid(Ink::Text, 0.3)), None);
        let face = if sounds { Face::SansBold } else { Face::Sans };
        let style = (face, Anchor::Middle, Ink::Text);
        picture.text(at + (0.0, 5.6), string.name.clone(), WORDS_MM, style);
    }
    let hand_x = if side > 0.0 { 1.0 } else { width_mm - 1.0 };
    let anchor = if side > 0.0 { Anchor::Start } else { Anchor::End };
    picture.text((hand_x, foot + 4.2), "bow hand", SMALL_MM, (Face::SansItalic, anchor, Ink::Faint));
    caption(&mut picture, &levels, now, state, foot + 7.5);
    if lesson.setup.left_handed { picture.flipped() } else { picture }
}

/// Ends of a bow plane through a contact point: the bow-hand end first. A positive angle lifts the
/// hand away from the top plate. The line is cut where it would leave the picture.
fn ends(at: Point, angle_deg: f64, side: f64, width_mm: f64) -> (Point, Point) {
    let (sin, cos) = angle_deg.clamp(-80.0, 80.0).to_radians().sin_cos();
    let room = |toward: f64| if toward < 0.0 { at.x - EDGE_MM } else { width_mm - EDGE_MM - at.x };
    let reach = |toward: f64| (room(toward).max(0.0) / cos).min(0.5 * width_mm);
    let (hand, far) = (reach(-side), reach(side));
    let far_way = Vec2::new(side * cos, sin);
    (at - far_way * hand, at + far_way * far)
}

/// How far the bow hand may drop or rise before another string speaks.
fn wedge(picture: &mut Picture, at: Point, level: &Level, side: f64, foot: f64) {
    let low = (foot + 4.0 - at.y).max(1.0);
    let limits = [level.margin_up_deg, -level.margin_down_deg].map(|margin| level.angle_deg + margin);
    // Its ends stay over the words.
    let held = |end: Point| {
        let deep = end.y - at.y;
        if deep > low { at + (end - at) * (low / deep) } else { end }
    };
    let [up, down] = limits.map(|angle| held(ends(at, angle, side, picture.width_mm).0));
    picture.path(polygon([at, up, down]), Some(Ink::Corridor), Some(Pen::solid(Ink::Rule, 0.2)), None);
}

fn bow(picture: &mut Picture, at: Point, state: &BowState, side: f64) {
    let (hand, far) = ends(at, state.level_deg, side, picture.width_mm);
    let unit = (far - hand) / (far - hand).hypot().max(1e-6);
    // At a right angle to the bow, away from the bridge.
    let away = if unit.x > 0.0 { -unit.turn_90() } else { unit.turn_90() };
    let off = |p: Point, along: f64, out: f64| p + unit * along + away * out;
    picture.line(hand, far, Pen::solid(Ink::Plan, 1.1));
    picture.line(off(hand, 0.0, 2.6), off(far, 0.0, 1.6), Pen::solid(Ink::Wood, 0.8));
    let frog = [off(hand, 0.0, 2.9), off(hand, 5.0, 2.6), off(hand, 5.6, -0.6), off(hand, 0.0, -0.6)];
    picture.fill(polygon(frog), Ink::Ebony);
}

fn bridge_shape(
    picture: &mut Picture,
    analysis: &Analysis,
    place: &dyn Fn((f64, f64)) -> Point,
    foot: f64,
    on_shoulder: bool,
) {
    let mut tops: Vec<Point> =
        analysis.arm_path.fan.strings.iter().map(|string| place(string.contact_mm)).collect();
    tops.sort_by(|a, b| a.x.total_cmp(&b.x));
    let (Some(&first), Some(&last)) = (tops.first(), tops.last()) else { return };
    // The top follows the strings; the shoulders lie a little outside and below.
    let under = 1.4;
    let shoulder = 4.5;
    let (l, r) = (first + (-shoulder, 3.6), last + (shoulder, 3.6));
    let crown = place((0.0, 0.0)).y + under;
    let waist = if on_shoulder { 1.0 } else { 5.0 };
    let spread = if on_shoulder { 3.0 } else { 1.0 };
    let leg = 0.16 * (r.x - l.x);
    let middle = (l.x + r.x) / 2.0;
    let deep = foot - l.y.max(r.y);
    let path = BezPath::from_iter([
        start(l),
        curve((first.x + 1.0, first.y + 0.4), (middle - 0.22 * (r.x - l.x), crown), (middle, crown)),
        curve((middle + 0.22 * (r.x - l.x), crown), (last.x - 1.0, last.y + 0.4), r),
        curve((r.x - waist, r.y + 0.35 * deep), (r.x - waist, r.y + 0.6 * deep), (r.x + spread, foot)),
        line((r.x + spread - 1.6 * leg, foot)),
        curve(
            (middle + 0.5 * leg, foot - 0.42 * deep),
            (middle - 0.5 * leg, foot - 0.42 * deep),
            (l.x - spread + 1.6 * leg, foot),
        ),
        line((l.x - spread, foot)),
        curve((l.x + waist, l.y + 0.6 * deep), (l.x + waist, l.y + 0.35 * deep), l),
        PathEl::ClosePath,
    ]);
    picture.path(path, Some(Ink::Panel), Some(Pen::solid(Ink::Wood, 0.45)), None);
    // The top plate.
    picture.line((l.x - 9.0, foot), (r.x + 9.0, foot), Pen::solid(Ink::Wood, 0.6));
}

fn caption(picture: &mut Picture, levels: &[&Level], now: usize, state: &BowState, y: f64) {
    let Some(level) = levels.get(now) else { return };
    let middle = 0.5 * picture.width_mm;
    let kind = if now.is_multiple_of(2) { "string" } else { "together" };
    let name = level.name.replace('+', " and ");
    let head = format!("{name} {kind}, {}", degrees(state.level_deg));
    picture.text((middle, y), head, 3.2, (Face::SansBold, Anchor::Middle, Ink::Text));
    // A string owns the angles up to its pairs, a pair those up to the next pairs.
    let step = if now.is_multiple_of(2) { 1 } else { 2 };
    let rising = levels.last().is_some_and(|last| last.angle_deg > levels[0].angle_deg);
    let border = |index: Option<usize>, up: bool| {
        let other = index.and_then(|index| levels.get(index));
        let margin = if up { level.margin_up_deg } else { level.margin_down_deg };
        format!("{} to {}", degrees(margin), other.map_or("the waist", |other| other.name.as_str()))
    };
    let parts = [border(now.checked_sub(step), !rising), border(Some(now + step), rising)];
    picture.text(
        (middle, y + 4.4),
        parts.join(", "),
        SMALL_MM + 0.2,
        (Face::Sans, Anchor::Middle, Ink::Faint),
    );
}

fn degrees(value: f64) -> String {
    let text = format!("{value:.1}°");
    if text == "-0.0°" { "0.0°".to_owned() } else { text.replace('-', "\u{2013}") }
}
