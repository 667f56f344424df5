//! Outlines.

/// A point, mm: x to the right, y down.
pub type Point = (f64, f64);

/// One step of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Start a new part here.
    Move(Point),
    /// A straight line.
    Line(Point),
    /// A cubic Bézier curve: two control points and the end.
    Cubic(Point, Point, Point),
    /// Back to the start of the part.
    Close,
}

/// An outline of straight lines and cubic curves.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Path(pub Vec<Segment>);

/// Control-point distance of the cubic that stands for a quarter circle of radius 1:
/// 4/3 (sqrt 2 - 1), which keeps the error below 0.03 % (from memory, a textbook figure).
const QUARTER_CIRCLE: f64 = 0.552_284_75;

impl Path {
    /// An open line through points.
    pub fn polyline(points: &[Point]) -> Self {
        let step = |(i, p): (usize, &Point)| if i == 0 { Segment::Move(*p) } else { Segment::Line(*p) };
        Self(points.iter().enumerate().map(step).collect())
    }

    /// A closed polygon.
    pub fn polygon(points: &[Point]) -> Self {
        let mut path = Self::polyline(points);
        path.0.push(Segment::Close);
        path
    }

    /// A rectangle by two opposite corners.
    pub fn rect(a: Point, b: Point) -> Self {
        Self::polygon(&[a, (b.0, a.1), b, (a.0, b.1)])
    }

    /// A rectangle with rounded corners.
    pub fn round_rect(a: Point, b: Point, radius: f64) -> Self {
        let (l, r, t, m) = (a.0.min(b.0), a.0.max(b.0), a.1.min(b.1), a.1.max(b.1));
        let q = radius.min((r - l) / 2.0).min((m - t) / 2.0);
        let k = q * (1.0 - QUARTER_CIRCLE);
        Self(vec![
            Segment::Move((l + q, t)),
            Segment::Line((r - q, t)),
            Segment::Cubic((r - k, t), (r, t + k), (r, t + q)),
            Segment::Line((r, m - q)),
            Segment::Cubic((r, m - k), (r - k, m), (r - q, m)),
            Segment::Line((l + q, m)),
            Segment::Cubic((l + k, m), (l, m - k), (l, m - q)),
            Segment::Line((l, t + q)),
            Segment::Cubic((l, t + k), (l + k, t), (l + q, t)),
            Segment::Close,
        ])
    }

    /// A circle.
    pub fn circle(at: Point, radius: f64) -> Self {
        Self::round_rect((at.0 - radius, at.1 - radius), (at.0 + radius, at.1 + radius), radius)
    }

    /// The outline with every point moved by a function.
    pub fn map(&self, f: impl Fn(Point) -> Point) -> Self {
        let step = |segment: &Segment| match *segment {
            Segment::Move(p) => Segment::Move(f(p)),
            Segment::Line(p) => Segment::Line(f(p)),
            Segment::Cubic(a, b, p) => Segment::Cubic(f(a), f(b), f(p)),
            Segment::Close => Segment::Close,
        };
        Self(self.0.iter().map(step).collect())
    }

    /// Adds the parts of another outline.
    pub fn extend(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// The box round all points, control points included: (left, top, right, bottom).
    pub fn bounds(&self) -> Option<(f64, f64, f64, f64)> {
        let points = self.0.iter().flat_map(|segment| match *segment {
            Segment::Move(p) | Segment::Line(p) => vec![p],
            Segment::Cubic(a, b, p) => vec![a, b, p],
            Segment::Close => Vec::new(),
        });
        points.fold(None, |bounds, (x, y)| {
            let (l, t, r, b) = bounds.unwrap_or((x, y, x, y));
            Some((x.min(l), y.min(t), x.max(r), y.max(b)))
        })
    }
}
