//! Signs drawn here rather than taken from the font, in staff spaces, y down.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape as _, Vec2};

use crate::picture::path::{TOLERANCE, curve, line, polygon, start};

/// An accidental, its left edge at x = 0 and its line or space at y = 0; about 1 wide.
pub(super) fn accidental(alter: f32) -> BezPath {
    let quarters = (alter * 2.0).round() as i32;
    match quarters {
        0 => natural(),
        1 => sharp(&[0.5]),
        2 => sharp(&[0.3, 0.7]),
        3 => sharp(&[0.2, 0.5, 0.8]),
        4.. => double_sharp(),
        -1 => turned() * flat(),
        -2 => flat(),
        -3 => two(turned() * flat(), flat()),
        _ => two(flat(), flat()),
    }
}

/// A flat turned the other way is a quarter-tone flat.
fn turned() -> Affine {
    Affine::FLIP_X.then_translate(Vec2::new(0.95, 0.0))
}

fn two(left: BezPath, right: BezPath) -> BezPath {
    let narrow = Affine::scale_non_uniform(0.8, 1.0);
    let mut path = narrow * left;
    path.extend(narrow.then_translate(Vec2::new(0.55, 0.0)) * right);
    path
}

/// A bar rising to the right.
fn slanted(l: f64, r: f64, y: f64, rise: f64, thick: f64) -> BezPath {
    let (a, b) = (y + rise / 2.0, y - rise / 2.0);
    let t = thick / 2.0;
    polygon([(l, a - t), (r, b - t), (r, b + t), (l, a + t)])
}

fn upright(x: f64, top: f64, bottom: f64) -> BezPath {
    Rect::new(x - 0.05, top, x + 0.05, bottom).to_path(TOLERANCE)
}

fn sharp(stems: &[f64]) -> BezPath {
    let mut path = slanted(0.02, 0.98, -0.47, 0.24, 0.27);
    path.extend(slanted(0.02, 0.98, 0.47, 0.24, 0.27));
    for &x in stems {
        let tilt = 0.24 * (x - 0.5);
        path.extend(upright(x, -1.36 - tilt, 1.36 - tilt));
    }
    path
}

fn natural() -> BezPath {
    let mut path = slanted(0.15, 0.75, -0.5, 0.16, 0.26);
    path.extend(slanted(0.15, 0.75, 0.5, 0.16, 0.26));
    path.extend(upright(0.2, -1.4, 0.66));
    path.extend(upright(0.7, -0.66, 1.4));
    path
}

fn flat() -> BezPath {
    let mut path = Rect::new(0.1, -1.75, 0.21, 0.66).to_path(TOLERANCE);
    path.extend(BezPath::from_iter([
        start((0.12, -0.26)),
        curve((0.38, -0.60), (0.95, -0.62), (0.92, -0.14)),
        curve((0.90, 0.20), (0.46, 0.42), (0.12, 0.74)),
        line((0.17, 0.50)),
        curve((0.40, 0.30), (0.62, 0.10), (0.62, -0.12)),
        curve((0.62, -0.36), (0.36, -0.34), (0.17, -0.06)),
        PathEl::ClosePath,
    ]));
    path
}

fn double_sharp() -> BezPath {
    let arm = |flip: f64| {
        let corner = |x: f64, y: f64| (0.5 + 0.42 * x, 0.42 * y * flip);
        let mut path = polygon([corner(-0.9, -1.0), corner(1.0, 0.9), corner(0.9, 1.0), corner(-1.0, -0.9)]);
        for (sx, sy) in [(-1.0, -1.0), (1.0, 1.0)] {
            path.extend(polygon([
                corner(sx, sy),
                corner(0.45 * sx, sy),
                corner(0.45 * sx, 0.45 * sy),
                corner(sx, 0.45 * sy),
            ]));
        }
        path
    };
    let mut path = arm(1.0);
    path.extend(arm(-1.0));
    path
}

/// Down-bow sign, its foot in the middle at the origin; 1.3 wide, 1.15 high.
pub(in crate::picture) fn down_bow() -> BezPath {
    polygon([
        (-0.65, 0.0),
        (-0.65, -1.15),
        (0.65, -1.15),
        (0.65, 0.0),
        (0.53, 0.0),
        (0.53, -0.74),
        (-0.53, -0.74),
        (-0.53, 0.0),
    ])
}

/// Up-bow sign, its point at the origin; 0.95 wide, 1.45 high.
pub(in crate::picture) fn up_bow() -> BezPath {
    polygon([(0.0, 0.0), (-0.52, -1.45), (-0.3, -1.45), (0.06, -0.42), (0.4, -1.45), (0.52, -1.45)])
}

/// Comma-shaped breath: the bow is lifted. Its point is at the origin.
pub(super) fn comma() -> BezPath {
    BezPath::from_iter([
        start((-0.05, 0.0)),
        curve((0.35, -0.3), (0.42, -0.7), (0.30, -0.95)),
        curve((0.15, -1.3), (-0.35, -1.2), (-0.32, -0.88)),
        curve((-0.3, -0.6), (0.02, -0.55), (0.08, -0.72)),
        curve((0.15, -0.45), (0.05, -0.2), (-0.05, 0.0)),
        PathEl::ClosePath,
    ])
}

/// An accent: a wedge opening to the left, in the middle of the origin.
pub(super) fn accent() -> BezPath {
    let (w, h, t) = (0.75, 0.45, 0.16);
    polygon([(-w, -h), (w, 0.0), (-w, h), (-w, h - t), (w - 0.55, 0.0), (-w, -h + t)])
}

/// A strong accent: a roof, in the middle of the origin; turned over where it stands below.
pub(super) fn strong_accent(above: bool) -> BezPath {
    let up = if above { 1.0 } else { -1.0 };
    let roof = [
        (-0.5, 0.55),
        (-0.06, -0.6),
        (0.08, -0.6),
        (0.52, 0.55),
        (0.34, 0.55),
        (-0.04, -0.32),
        (-0.38, 0.55),
    ];
    polygon(roof.map(|(x, y)| (x, y * up)))
}

/// A wedge pointing to the note.
pub(super) fn wedge(above: bool) -> BezPath {
    let up = if above { 1.0 } else { -1.0 };
    polygon([(-0.24, -0.5), (0.24, -0.5), (0.0, 0.5)].map(|(x, y)| (x, y * up)))
}

/// A curve between two points, thick in the middle and thin at its ends; `bulge` is the height of
/// its control points (negative: upward).
pub(super) fn tapered(from: Point, to: Point, bulge: f64, thick: f64) -> BezPath {
    let span = to - from;
    let length = span.hypot().max(1e-6);
    let normal = span.turn_90() / length;
    let inset = span * ((0.28 * length).min(0.9 * bulge.abs() + 0.12 * length) / length);
    let side = |height: f64| (from + inset + normal * height, to - inset + normal * height);
    let half = thick * 0.6 * bulge.signum();
    let ((a1, b1), (a2, b2)) = (side(bulge + half), side(bulge - half));
    BezPath::from_iter([start(from), curve(a1, b1, to), curve(b2, a2, from), PathEl::ClosePath])
}
