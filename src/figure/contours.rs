//! From what is nearest at each dot to tones with contours.

use super::{
    Dot, Image, Material, Solid,
    layer::{Cell, Layer},
    solids::bodies,
    spans::Spans,
};

/// The distance jumps where two neighbouring dots lie farther apart than this, mm; and what is much
/// nearer than what is behind it has a stronger contour.
const JUMP_MM: f32 = 17.0;
const OUTLINE_MM: f32 = 110.0;
/// Half the length of a dash, mm of the picture.
const DASH_MM: f64 = 1.3;
/// Widths of a contour and of a strong one, mm of the picture; at least a pixel.
const WIDTHS_MM: [f64; 2] = [0.14, 0.25];

/// What of a solid its dots and contours need.
#[derive(Clone)]
pub(super) struct Look {
    /// The code of its lightest tone.
    lightest: u8,
    material: Material,
    body: u32,
    grows_from: u32,
    dashed: bool,
}

impl Look {
    /// The look of a solid of a scene, by the number of the scene: bodies that are not shared by all
    /// scenes have their numbers in their scene.
    pub fn new(scene: usize, solid: &Solid) -> Self {
        let body = |number: u16| {
            let own = if number < bodies::FREE { 0 } else { scene as u32 };
            u32::from(number) + (own << u16::BITS)
        };
        Self {
            lightest: Image::code(Dot::Tone(solid.material, 0)),
            material: solid.material,
            body: body(solid.body),
            grows_from: body(solid.grows_from),
            dashed: solid.dashed,
        }
    }

    /// No contour runs where they meet.
    fn is_one_with(&self, other: &Self) -> bool {
        self.body == other.body || self.grows_from == other.body || other.grows_from == self.body
    }
}

/// Where a contour runs.
struct Line {
    x: usize,
    y: usize,
    strong: bool,
}

/// Draws on an image what was drawn on the layer; the rest of the image stays. Its dots are what they
/// would be with everything drawn anew.
pub(super) fn draw(layer: &Layer, looks: &[Look], dots: &mut [u8]) {
    let brushes = WIDTHS_MM.map(|mm| brush((mm * layer.per_mm / 2.0).max(Image::FINE as f64 * 0.45)));
    let reach = brushes.iter().flatten().map(|(dx, _)| dx.unsigned_abs()).max().unwrap_or(0);
    // A dot more, since contours lie between two; then as far as a contour reaches, and from where
    // contours reach there.
    let changed = layer.drawn.grown(1 + reach, layer.width);
    tones(layer, looks, &changed, dots);
    let code = Image::code(Dot::Line);
    for line in lines(layer, looks, &changed.grown(reach, layer.width)) {
        for (dx, dy) in &brushes[usize::from(line.strong)] {
            let (x, y) = (line.x.checked_add_signed(*dx), line.y.checked_add_signed(*dy));
            if let (Some(x), Some(y)) = (x, y)
                && x < layer.width
                && y < layer.height
            {
                dots[y * layer.width + x] = code;
            }
        }
    }
}

/// The places of a round dot about its middle.
fn brush(radius: f64) -> Vec<(isize, isize)> {
    let reach = radius.ceil() as isize;
    let square = (-reach..=reach).flat_map(|dy| (-reach..=reach).map(move |dx| (dx, dy)));
    square.filter(|(dx, dy)| ((dx * dx + dy * dy) as f64).sqrt() <= radius).collect()
}

fn tones(layer: &Layer, looks: &[Look], spans: &Spans, dots: &mut [u8]) {
    for (row, span) in spans.rows() {
        let span = row * layer.width + span.start..row * layer.width + span.end;
        for (dot, cell) in dots[span.clone()].iter_mut().zip(&layer.cells[span]) {
            *dot = match (cell.of_solid(), cell.of_thread()) {
                (Some((solid, tone)), _) => looks[solid].lightest + tone,
                (None, Some(material)) => Image::code(Dot::Tone(material, 0)),
                (None, None) => Image::code(Dot::Clear),
            };
        }
    }
}

/// The contours whose first dots, to the left or above, lie in these spans.
fn lines(layer: &Layer, looks: &[Look], spans: &Spans) -> Vec<Line> {
    let mut lines = Vec::new();
    for (y, span) in spans.rows() {
        let row = y * layer.width;
        for (dx, dy) in [(1, 0), (0, 1)] {
            let end = span.end.min(layer.width - dx);
            if span.start >= end || y + dy >= layer.height {
                continue;
            }
            let (from, to) = (row + span.start, row + end);
            let step = dx + dy * layer.width;
            let (cells, others) = (&layer.cells[from..to], &layer.cells[from + step..to + step]);
            let (near, other_near) = (&layer.near[from..to], &layer.near[from + step..to + step]);
            for (k, ((a, b), (near_a, near_b))) in
                cells.iter().zip(others).zip(near.iter().zip(other_near)).enumerate()
            {
                // Mostly the solid goes on. Between two dots with nothing the distance jumps nowhere: it is
                // no number.
                let ends = !a.goes_on(*b) || (near_a - near_b).abs() > JUMP_MM;
                if !ends {
                    continue;
                }
                let (at, x) = (from + k, span.start + k);
                if let Some((strong, own)) = contour(layer, looks, (at, at + step), (x, y)) {
                    let (x, y) = if own { (x, y) } else { (x + dx, y + dy) };
                    lines.push(Line { x, y, strong });
                }
            }
        }
    }
    lines
}

/// Whether a contour runs between two neighbouring dots: strong or not, and whether it belongs to the
/// first of them, which then is the nearer one.
fn contour(
    layer: &Layer,
    looks: &[Look],
    (at, other): (usize, usize),
    (x, y): (usize, usize),
) -> Option<(bool, bool)> {
    let (one, two) = (layer.cells[at], layer.cells[other]);
    if one.of_thread().is_some() || two.of_thread().is_some() {
        return None;
    }
    let look = |cell: Cell| cell.of_solid().map(|(solid, _)| &looks[solid]);
    let (a, b) = (look(one), look(two));
    let gap = layer.near[at] - layer.near[other];
    let own = gap > 0.0;
    let nearer = if own { a } else { b }?;
    let met = a.zip(b).is_none_or(|(a, b)| !a.is_one_with(b));
    let bare = matches!(nearer.material, Material::Floor | Material::BowHair);
    if bare || !(met || gap.abs() > JUMP_MM) {
        return None;
    }
    let dash = |dots: usize| (dots as f64 / (DASH_MM * layer.per_mm)) as usize % 2;
    if nearer.dashed && dash(x) != dash(y) {
        return None;
    }
    Some((gap.abs() > OUTLINE_MM, own))
}
