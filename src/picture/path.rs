//! Outlines from points.

use kurbo::{BezPath, PathEl, Point, Rect};

/// How far a curve may lie from the round shape it stands for, mm or staff spaces: too little to be seen
/// or printed.
pub(super) const TOLERANCE: f64 = 1e-3;

/// An open line through points.
pub(super) fn polyline<P: Into<Point>>(points: impl IntoIterator<Item = P>) -> BezPath {
    let mut path = BezPath::new();
    for point in points {
        if path.elements().is_empty() { path.move_to(point) } else { path.line_to(point) }
    }
    path
}

/// A closed polygon.
pub(super) fn polygon<P: Into<Point>>(points: impl IntoIterator<Item = P>) -> BezPath {
    let mut path = polyline(points);
    if !path.elements().is_empty() {
        path.close_path();
    }
    path
}

/// The box round all points of an outline, control points included; none where it has none.
pub(super) fn bounds(path: &BezPath) -> Option<Rect> {
    (!path.elements().is_empty()).then(|| path.control_box())
}

/// Starts a part of an outline.
pub(super) fn start(at: impl Into<Point>) -> PathEl {
    PathEl::MoveTo(at.into())
}

/// A straight line to a point.
pub(super) fn line(to: impl Into<Point>) -> PathEl {
    PathEl::LineTo(to.into())
}

/// A cubic Bézier curve: two control points and the end.
pub(super) fn curve(a: impl Into<Point>, b: impl Into<Point>, to: impl Into<Point>) -> PathEl {
    PathEl::CurveTo(a.into(), b.into(), to.into())
}

/// Which way the lines of a hatch run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slant {
    /// Up to the right.
    Rising,
    /// Down to the right.
    Falling,
}

/// Lines at 45 degrees, `step` apart from left to right, cut to a box.
pub(super) fn hatch(place: Rect, step: f64, slant: Slant) -> BezPath {
    let mut lines = BezPath::new();
    // Where a line meets the edge from which it runs to the right.
    let mut foot = place.x0 - place.height() + 0.5 * step;
    while foot < place.x1 {
        let (from, to) = (foot.max(place.x0), (foot + place.height()).min(place.x1));
        if to > from {
            let y = |x: f64| match slant {
                Slant::Rising => place.y1 - (x - foot),
                Slant::Falling => place.y0 + (x - foot),
            };
            lines.move_to((from, y(from)));
            lines.line_to((to, y(to)));
        }
        foot += step;
    }
    lines
}
