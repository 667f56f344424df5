//! The instrument as a calm outline, where it is held.

use kurbo::{BezPath, Point};

use super::{ArmView, Scene};
use crate::{
    arm::Vec3,
    picture::{Ink, Pen, Picture, path::polygon},
    setup::Family,
};

/// Shape of an instrument, as shares of the string length. Half widths and lengths follow workshop
/// measures of full-size instruments (violin and viola waist, body and string lengths published, the
/// rest from memory); the bow crosses the strings `crossing` from the bridge (assumed).
struct Shape {
    lower: f64,
    upper: f64,
    lower_wide: f64,
    waist_wide: f64,
    upper_wide: f64,
    /// From the strings at the bridge down to the top plate and to the back.
    plate: f64,
    back: f64,
    scroll: f64,
}

const CROSSING: f64 = 0.09;

impl Shape {
    fn of(family: Family) -> Self {
        let [lower, upper, lower_wide, waist_wide, upper_wide, plate, back, scroll] = match family {
            Family::Violin | Family::Viola => [-0.49, 0.59, 0.315, 0.17, 0.256, 0.11, 0.21, 1.3],
            Family::Cello => [-0.51, 0.58, 0.32, 0.17, 0.25, 0.14, 0.32, 1.24],
            Family::DoubleBass => [-0.46, 0.59, 0.31, 0.175, 0.235, 0.16, 0.35, 1.2],
        };
        Self { lower, upper, lower_wide, waist_wide, upper_wide, plate, back, scroll }
    }

    /// Outline of the body as (along, across), one side from the lower end to the upper.
    fn side(&self) -> Vec<(f64, f64)> {
        let u = |share: f64| self.lower + (self.upper - self.lower) * share;
        let (l, w, t) = (self.lower_wide, self.waist_wide, self.upper_wide);
        vec![
            (u(0.0), 0.0),
            (u(0.004), 0.35 * l),
            (u(0.03), 0.66 * l),
            (u(0.09), 0.89 * l),
            (u(0.17), 0.99 * l),
            (u(0.24), 0.99 * l),
            (u(0.31), 0.92 * l),
            (u(0.365), 0.85 * l),
            (u(0.40), 1.12 * w),
            (u(0.45), 1.02 * w),
            (u(0.51), w),
            (u(0.57), 1.03 * w),
            (u(0.62), 1.12 * w),
            (u(0.65), 0.86 * t),
            (u(0.71), 0.95 * t),
            (u(0.79), t),
            (u(0.87), 0.96 * t),
            (u(0.94), 0.76 * t),
            (u(0.985), 0.42 * t),
            (u(1.0), 0.13 * t),
        ]
    }
}

/// A point of the instrument: along the strings from the bridge, across toward the bow hand, away
/// from the strings' plane at the bridge; shares of the string length.
fn point(scene: &Scene, along: f64, across: f64, away: f64) -> Vec3 {
    let frame = &scene.frame;
    let long = scene.string_mm;
    frame.crown
        + frame.along * ((along - CROSSING) * long)
        + frame.hand * (across * long)
        + frame.away * (away * long)
}

/// A place on a string, counted from the bridge as a share of its length.
pub(super) fn string_end(scene: &Scene, string: usize, count: usize, along: f64) -> Vec3 {
    // Highest string first; it lies toward the bow hand on violin and viola only.
    let side = if scene.family.on_shoulder() { 1.0 } else { -1.0 };
    let share = side * (0.5 - string as f64 / (count - 1) as f64);
    let (bridge, nut) = (0.1, 0.05);
    point(scene, along, share * (bridge + (nut - bridge) * along.min(1.0)), -0.01 * along)
}

/// The middle of the tailpiece.
pub(super) fn below_bridge(scene: &Scene) -> Vec3 {
    point(scene, -0.26, 0.0, -0.05)
}

/// The end of the scroll.
pub(super) fn scroll(scene: &Scene) -> Vec3 {
    point(scene, Shape::of(scene.family).scroll, 0.0, -0.06)
}

/// A top plate turned so far from the eye is seen on its edge: this part of it or less is seen.
/// Assumed.
const ON_EDGE: f64 = 0.3;

/// Steps in which the outline is swept from plate to plate: fine enough for an even edge.
const RIBS: u32 = 16;

/// The smallest convex outline around points (Andrew 1979: the lower and the upper chain of the points
/// in order).
fn around(mut points: Vec<Point>) -> BezPath {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for p in points {
            let turns = |a: Point, b: Point| (b - a).cross(p - a) <= 0.0;
            while chain.len() >= 2 && turns(chain[chain.len() - 2], chain[chain.len() - 1]) {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut outline = chain(&mut points.iter().copied());
    outline.extend(chain(&mut points.iter().rev().copied()));
    polygon(outline)
}

/// Body, fingerboard, scroll and strings.
pub(super) fn draw(picture: &mut Picture, scene: &Scene) {
    let shape = Shape::of(scene.family);
    let pen = Pen::solid(Ink::Wood, if scene.figure.large { 0.45 } else { 0.3 });
    // Endpin.
    if !scene.family.on_shoulder() {
        let (from, to) = (point(scene, shape.lower, 0.0, -0.2), point(scene, shape.lower - 0.35, 0.0, -0.2));
        picture.line(scene.camera.at(from), scene.camera.at(to), Pen::solid(Ink::Faint, 0.5));
    }
    // From behind the back is nearer, else the top plate.
    if scene.figure.view == ArmView::Behind {
        strings(picture, scene, &shape, pen);
        neck(picture, scene, &shape, pen);
        body(picture, scene, &shape, pen, [-shape.plate, -shape.back]);
    } else {
        body(picture, scene, &shape, pen, [-shape.back, -shape.plate]);
        neck(picture, scene, &shape, pen);
        strings(picture, scene, &shape, pen);
    }
}

/// The body from the plate that is farther from the eye to the nearer one.
fn body(picture: &mut Picture, scene: &Scene, shape: &Shape, pen: Pen, ends: [f64; 2]) {
    let side = shape.side();
    let outline = |away: f64| {
        let right = side.iter().map(|&(u, v)| point(scene, u, v, away));
        let left = side.iter().rev().map(|&(u, v)| point(scene, u, -v, away));
        right.chain(left).collect::<Vec<Vec3>>()
    };
    let towards_eye = scene.camera.right.cross(scene.camera.up);
    if scene.frame.away.dot(towards_eye).abs() < ON_EDGE {
        // On its edge the curved outline would fold over itself.
        let both = ends.iter().flat_map(|away| outline(*away)).map(|p| scene.camera.at(p)).collect();
        picture.path(around(both), Some(Ink::Panel), Some(pen), None);
        return;
    }
    // Ribs: the outline swept from one plate to the other.
    for k in 0..=RIBS {
        let away = ends[0] + (ends[1] - ends[0]) * f64::from(k) / f64::from(RIBS);
        let stroke = (k == 0 || k == RIBS).then_some(pen);
        picture.path(scene.camera.curve(&outline(away)), Some(Ink::Panel), stroke, None);
    }
}

/// Neck, fingerboard and scroll.
fn neck(picture: &mut Picture, scene: &Scene, shape: &Shape, pen: Pen) {
    let board = [(0.2, 0.064, -0.035), (1.0, 0.036, -0.03), (1.0, -0.036, -0.03), (0.2, -0.064, -0.035)];
    let under = [(0.55, 0.035, -0.09), (1.0, 0.03, -0.055), (1.0, -0.03, -0.055), (0.55, -0.035, -0.09)];
    for (corners, ink) in [(under, Ink::Wood), (board, Ink::Ebony)] {
        let path = scene.camera.shape(corners.map(|(u, v, w)| point(scene, u, v, w)));
        picture.path(path, Some(ink), Some(Pen::solid(ink, 0.25)), None);
    }
    let head =
        [(1.0, 0.04), (1.1, 0.032), (shape.scroll, 0.03), (shape.scroll, -0.03), (1.1, -0.032), (1.0, -0.04)];
    let path = scene.camera.shape(head.map(|(u, v)| point(scene, u, v, -0.06)));
    picture.path(path, Some(Ink::Wood), Some(pen), None);
}

/// Strings and bridge.
fn strings(picture: &mut Picture, scene: &Scene, shape: &Shape, pen: Pen) {
    let count = scene.levels.len().div_ceil(2).max(2);
    for string in 0..count {
        let (a, b) = (string_end(scene, string, count, 0.0), string_end(scene, string, count, 1.0));
        picture.line(scene.camera.at(a), scene.camera.at(b), Pen::solid(Ink::Hair, 0.22));
    }
    let bridge = [(0.062, -shape.plate), (0.056, -0.01), (0.0, 0.0), (-0.056, -0.01), (-0.062, -shape.plate)];
    let path = scene.camera.shape(bridge.map(|(v, w)| point(scene, 0.0, v, w)));
    picture.path(path, Some(Ink::Panel), Some(pen), None);
}
