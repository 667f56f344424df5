//! Ties, slurs and tuplet brackets. Common practice, no source.

use kurbo::{BezPath, PathEl, Point};

use super::page::{Page, digits_width};
use crate::picture::{
    Ink, Pen, SPACE_MM,
    engraving::{Arc, head_half},
    path::{curve, polyline, start},
    smufl,
    smufl::{Sign, defaults},
};

const S: f64 = SPACE_MM;
/// How far the end of a slur moves from its note to clear another one, staff spaces. Assumed.
const MOST_GIVEN: f64 = 2.5;
/// Size of the digits of tuplets against the font's. Assumed.
const TUPLET_SIZE: f64 = 0.85;

impl Page<'_> {
    /// Arcs that reach into the window.
    fn inside(&self, arcs: &[Arc]) -> Vec<Arc> {
        let inside = |arc: &&Arc| arc.to >= self.events.start && arc.from < self.events.end;
        arcs.iter().filter(inside).copied().collect()
    }

    pub(super) fn ties(&mut self) {
        for tie in self.inside(&self.engraving.ties) {
            let (from, to) = self.cut(&tie, head_half() * S + 0.15 * S);
            let up = if tie.above { -1.0 } else { 1.0 };
            let y = self.y(tie.step) + up * 0.55 * S;
            if to <= from + 0.2 {
                continue;
            }
            let bulge = up * (0.45 * S + 0.045 * (to - from)).min(1.5 * S);
            let (ends, middle) = (defaults().tie_endpoint_thickness, defaults().tie_midpoint_thickness);
            let path = tapered(Point::new(from, y), Point::new(to, y), bulge, (middle - ends) * S);
            self.picture.path(path, Some(Ink::Text), Some(Pen::solid(Ink::Text, ends * S)), None);
            let edge = y + 0.75 * bulge;
            if tie.above { self.above.add(from, to, edge) } else { self.below.add(from, to, edge) }
        }
    }

    /// Ends of an arc, cut at the ends of the window; `inset` from the middle of the heads.
    fn cut(&self, arc: &Arc, inset: f64) -> (f64, f64) {
        let from = if arc.from >= self.events.start {
            self.head_x(arc.from) + inset
        } else {
            self.sides.0 - 0.8 * S
        };
        let to = if arc.to < self.events.end { self.head_x(arc.to) - inset } else { self.sides.1 - 0.6 * S };
        (from, to)
    }

    pub(super) fn slurs(&mut self) {
        for slur in self.inside(&self.engraving.slurs) {
            let (from, to) = self.slur_ends(&slur);
            let (from, to) = self.give_way(&slur, from, to);
            if to.x <= from.x + 0.5 {
                continue;
            }
            let bulge = self.slur_bulge(&slur, from, to);
            let (ends, middle) = (defaults().slur_endpoint_thickness, defaults().slur_midpoint_thickness);
            let mut path = tapered(from, to, bulge, (middle - ends) * S);
            if slur.phrase {
                // One of its two sides.
                path.truncate(2);
                self.picture.stroke(path, Pen::dashed(Ink::Text, 0.16 * S));
            } else {
                self.picture.path(path, Some(Ink::Text), Some(Pen::solid(Ink::Text, ends * S)), None);
            }
            let edge = |k: i32| {
                let t = f64::from(k) / 8.0;
                from.lerp(to, t) + (0.0, 3.0 * t * (1.0 - t) * bulge)
            };
            for (a, b) in (0..8).map(|k| (edge(k), edge(k + 1))) {
                if slur.above {
                    self.above.add(a.x, b.x, a.y.min(b.y) - 0.15 * S);
                } else {
                    self.below.add(a.x, b.x, a.y.max(b.y) + 0.15 * S);
                }
            }
        }
    }

    /// Where a slur starts and ends, clear of the articulations there, not too steep.
    fn slur_ends(&self, slur: &Arc) -> (Point, Point) {
        let up = if slur.above { -1.0 } else { 1.0 };
        let (mut x0, mut x1) = self.cut(slur, 0.0);
        let end = |index: usize, x: &mut f64| {
            let placed = self.placed(index)?;
            let chord = &self.engraving.chords[index];
            if placed.stem && chord.up == slur.above {
                // At the end of the stem, a little toward the head.
                *x += head_half() * S * placed.scale * if chord.up { 0.7 } else { -0.7 };
                Some(placed.tip + up * 0.35 * S)
            } else {
                let outer = self.y(if slur.above { chord.high() } else { chord.low() });
                Some(outer + up * 0.85 * S * placed.scale)
            }
        };
        let (y0, y1) = (end(slur.from, &mut x0), end(slur.to, &mut x1));
        // Articulations at the ends stay inside the slur.
        let clear = |x: f64, y: f64| {
            if slur.above {
                self.above.top(x - 0.5 * S, x + 0.5 * S, y + 0.3 * S).min(y)
            } else {
                self.below.bottom(x - 0.5 * S, x + 0.5 * S, y - 0.3 * S).max(y)
            }
        };
        let fallback = if slur.above { self.top - 1.2 * S } else { self.bottom() + 1.2 * S };
        let y0 = y0.map(|y| clear(x0, y)).or(y1).unwrap_or(fallback);
        let y1 = y1.map(|y| clear(x1, y)).unwrap_or(y0);
        // Steep slurs are levelled toward the outer end.
        let limit = 0.35 * (x1 - x0);
        let (y0, y1) = match (y1 - y0, slur.above) {
            (d, true) if d > limit => (y0, y0 + limit),
            (d, true) if d < -limit => (y1 + limit, y1),
            (d, false) if d > limit => (y1 - limit, y1),
            (d, false) if d < -limit => (y0, y0 - limit),
            _ => (y0, y1),
        };
        (Point::new(x0, y0), Point::new(x1, y1))
    }

    /// Near its ends a slur is held by them: where a note stands in its way there, that end moves outward.
    fn give_way(&self, slur: &Arc, from: Point, to: Point) -> (Point, Point) {
        let up = if slur.above { -1.0 } else { 1.0 };
        // How far something at `t` of the way reaches beyond the flattest curve.
        let beyond = |t: f64| {
            let Point { x, y } =
                from.lerp(to, t) + (0.0, up * 3.0 * t * (1.0 - t) * least_bulge(to.x - from.x));
            let taken = match slur.above {
                true => y - self.above.top(x - 0.3 * S, x + 0.3 * S, y),
                false => self.below.bottom(x - 0.3 * S, x + 0.3 * S, y) - y,
            };
            if taken > 0.0 { (taken + 0.3 * S) / (1.0 - t.min(1.0 - t)) } else { 0.0 }
        };
        // Not so near that it is the note under the end itself.
        let steps = [1.0, 2.0, 3.0].map(|k| k / 12.0);
        let near = |t: &f64| t * (to.x - from.x) > 1.2 * S;
        let first = steps.into_iter().filter(near).map(beyond).fold(0.0, f64::max);
        let last = steps.into_iter().filter(near).map(|t| beyond(1.0 - t)).fold(0.0, f64::max);
        let moved = |end: Point, by: f64| end + (0.0, up * by.min(MOST_GIVEN * S));
        (moved(from, first), moved(to, last))
    }

    /// Height of the control points of a slur (negative: upward), so that it clears what lies under it.
    fn slur_bulge(&self, slur: &Arc, from: Point, to: Point) -> f64 {
        let mut bulge = least_bulge(to.x - from.x);
        let steps = 12;
        // Near its ends the curve is held by the end points.
        for k in 3..=steps - 3 {
            let t = f64::from(k) / f64::from(steps);
            let Point { x, y } = from.lerp(to, t);
            let taken = if slur.above {
                y - self.above.top(x - 0.3 * S, x + 0.3 * S, y)
            } else {
                self.below.bottom(x - 0.3 * S, x + 0.3 * S, y) - y
            };
            if taken > 0.0 {
                bulge = bulge.max((taken + 0.45 * S) / (3.0 * t * (1.0 - t)));
            }
        }
        let up = if slur.above { -1.0 } else { 1.0 };
        up * bulge.min(7.0 * S)
    }

    /// Numbers of tuplets under a beam of their own, inside slurs, or of the others, with a bracket.
    pub(super) fn tuplets(&mut self, beamed: bool) {
        let first = self.engraving.tuplets.partition_point(|group| group[0] < self.events.start);
        for group in &self.engraving.tuplets[first..] {
            let (first, last) = (group[0], group[group.len() - 1]);
            if first >= self.events.end {
                break;
            }
            let (Some(a), Some(b)) = (self.placed(first), self.placed(last)) else { continue };
            let Some((actual, _)) = self.lesson.score.events[first].value.tuplet else { continue };
            let chords = &self.engraving.chords;
            let beam = chords[first].beam;
            let under_beam = beam.is_some()
                && chords[last].beam == beam
                && beam.is_some_and(|beam| self.engraving.beams[beam].len() == group.len());
            if under_beam != beamed {
                continue;
            }
            let ups = group.iter().filter(|&&i| chords[i].up).count();
            let up = 2 * ups >= group.len();
            let (x0, x1) = (a.x - 0.7 * S, b.x + 0.7 * S);
            let base = if up {
                self.above.top(x0, x1, self.top - 0.2 * S) - 0.5 * S
            } else {
                self.below.bottom(x0, x1, self.bottom() + 0.2 * S) + 0.5 * S
            };
            let digits: Vec<Sign> = actual.to_string().chars().filter_map(smufl::tuplet_digit).collect();
            let high = smufl::tuplet_height() * TUPLET_SIZE * S;
            let (middle, y) = ((x0 + x1) / 2.0, if up { base - 0.1 * S } else { base + 0.1 * S + high });
            self.digits(&digits, Point::new(middle, y), TUPLET_SIZE, Ink::Text);
            if !beamed {
                let (line, hook) = (y - high / 2.0, if up { 0.6 * S } else { -0.6 * S });
                let half = (digits_width(&digits) * TUPLET_SIZE / 2.0 + 0.3) * S;
                let pen = Pen::solid(Ink::Text, defaults().tuplet_bracket_thickness * S);
                let left = [(x0, line + hook), (x0, line), (middle - half, line)];
                let right = [(middle + half, line), (x1, line), (x1, line + hook)];
                self.picture.stroke(polyline(left), pen);
                self.picture.stroke(polyline(right), pen);
            }
            if up {
                self.above.add(x0, x1, y - high);
            } else {
                self.below.add(x0, x1, y + 0.1 * S);
            }
        }
    }
}

/// Height of the control points of a slur with nothing under it, mm.
fn least_bulge(width: f64) -> f64 {
    (0.75 * S + 0.06 * width).min(2.2 * S)
}

/// A curve between two points, thick in the middle and thin at its ends; `bulge` is the height of
/// its control points (negative: upward).
fn tapered(from: Point, to: Point, bulge: f64, thick: f64) -> BezPath {
    let span = to - from;
    let length = span.hypot().max(1e-6);
    let normal = span.turn_90() / length;
    let inset = span * ((0.28 * length).min(0.9 * bulge.abs() + 0.12 * length) / length);
    let side = |height: f64| (from + inset + normal * height, to - inset + normal * height);
    // The middle of a cubic lies at three quarters of the height of its control points.
    let half = thick / 1.5 * bulge.signum();
    let ((a1, b1), (a2, b2)) = (side(bulge + half), side(bulge - half));
    BezPath::from_iter([start(from), curve(a1, b1, to), curve(b2, a2, from), PathEl::ClosePath])
}
