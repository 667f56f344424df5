//! Drawings in dots as outlines, for files that can be drawn at any size.

use kurbo::Rect;

use crate::figure::{Dot, Image};

/// All dots of a drawing that look alike.
pub(super) struct Dots {
    pub dot: Dot,
    /// 1 hides what is behind.
    pub opacity: f64,
    /// Where they lie, mm.
    pub rects: Vec<Rect>,
}

/// How far a tone reaches under its neighbours, in dots, so that no ground is seen between them where a
/// page is drawn at another size.
const UNDER: f64 = 0.5;

/// The dots of a drawing that fills a box, from back to front, contours last: row by row, the rows that
/// continue each other joined.
pub(super) fn outlines(bounds: Rect, image: &Image) -> Vec<Dots> {
    let (dx, dy) = (bounds.width() / image.width as f64, bounds.height() / image.height as f64);
    let mut all = Vec::new();
    for is_over in [false, true] {
        let at = |x: usize, y: usize| if is_over { image.at(x, y).1 } else { image.at(x, y).0 };
        let mut layer: Vec<Dots> = Vec::new();
        let mut open: Vec<Run> = Vec::new();
        for y in 0..=image.height {
            let mut row: Vec<Run> = Vec::new();
            let mut x = 0;
            while y < image.height && x < image.width {
                let (dot, from) = (at(x, y), x);
                while x < image.width && at(x, y) == dot {
                    x += 1;
                }
                if dot != Dot::Clear {
                    let above = open.iter().find(|run| (run.dot, run.from, run.to) == (dot, from, x));
                    row.push(Run { dot, from, to: x, top: above.map_or(y, |run| run.top) });
                }
            }
            for Run { dot, from, to, top } in open.into_iter().filter(|run| !row.contains(run)) {
                let origin = (bounds.x0 + from as f64 * dx, bounds.y0 + top as f64 * dy);
                let rect = Rect::from_origin_size(origin, ((to - from) as f64 * dx, (y - top) as f64 * dy));
                // What is see-through would be seen twice.
                let under = if is_over || dot == Dot::Line { 0.0 } else { UNDER };
                let rect = rect.inflate(under * dx, under * dy).intersect(bounds);
                match layer.iter_mut().find(|dots| dots.dot == dot) {
                    Some(dots) => dots.rects.push(rect),
                    None => {
                        let opacity = if is_over { dot.veil() } else { 1.0 };
                        layer.push(Dots { dot, opacity, rects: vec![rect] });
                    }
                }
            }
            open = row;
        }
        layer.sort_by_key(|dots| dots.dot == Dot::Line);
        all.append(&mut layer);
    }
    all
}

/// Dots side by side that look alike, from the row `top` on.
#[derive(PartialEq)]
struct Run {
    dot: Dot,
    from: usize,
    to: usize,
    top: usize,
}
