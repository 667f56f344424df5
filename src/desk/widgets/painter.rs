//! Puts a [`Picture`] on the screen.
//!
//! Fills are tessellated here, since egui itself only fills convex shapes: the outline is drawn in
//! by half a pixel, filled, and given a fringe of one pixel that fades out, so edges are smooth.

use std::{collections::HashMap, sync::Arc};

use egui::{
    Color32, ColorImage, Context, FontFamily, FontId, Mesh, Pos2, Shape, Stroke, TextureHandle, TextureId,
    TextureOptions, Vec2, epaint::PathShape, pos2, vec2,
};
use kurbo::{Affine, BezPath, PathEl, Point, Rect};
use lyon_tessellation::{
    BuffersBuilder, FillOptions, FillTessellator, FillVertex, VertexBuffers, math::point,
    path::Path as Outline,
};

use crate::{
    figure::Image,
    picture::{Anchor, Face, Ink, Item, Pen, Picture, Tag, Theme, glyph},
};

/// From the millimetres of a picture to points on the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Where the origin of the picture lies.
    pub origin: Pos2,
    /// Points in a millimetre.
    pub points_per_mm: f32,
}

impl Scale {
    /// The point on the screen.
    pub fn pos(&self, at: impl Into<Point>) -> Pos2 {
        let at = at.into();
        self.origin + self.points_per_mm * vec2(at.x as f32, at.y as f32)
    }

    /// The point of the picture under a point on the screen, mm.
    pub fn mm(&self, at: Pos2) -> Point {
        let v = (at - self.origin) / self.points_per_mm;
        Point::new(f64::from(v.x), f64::from(v.y))
    }

    /// A length in points.
    pub fn len(&self, mm: f64) -> f32 {
        self.points_per_mm * mm as f32
    }

    /// A box in mm as a rectangle on the screen.
    pub fn rect(&self, bounds: Rect) -> egui::Rect {
        egui::Rect::from_two_pos(self.pos(bounds.origin()), self.pos((bounds.x1, bounds.y1)))
    }

    fn affine(&self) -> Affine {
        let origin = kurbo::Vec2::new(f64::from(self.origin.x), f64::from(self.origin.y));
        Affine::scale(f64::from(self.points_per_mm)).then_translate(origin)
    }
}

/// The colour of a role.
pub fn colour(theme: &Theme, ink: Ink) -> Color32 {
    let [r, g, b] = theme.rgb(ink);
    Color32::from_rgb(r, g, b)
}

/// The font family of a typeface.
pub fn family(face: Face) -> FontFamily {
    match face {
        Face::Sans => FontFamily::Proportional,
        Face::SansBold => FontFamily::Name("bold".into()),
        Face::SansItalic => FontFamily::Name("italic".into()),
    }
}

/// A filled outline as triangles: vertices with their coverage (1 inside, 0 at the faded edge).
#[derive(Debug, Default)]
struct Filled {
    vertices: Vec<(Pos2, f32)>,
    indices: Vec<u32>,
}

/// Draws pictures; keeps the triangles of the music signs it has met.
#[derive(Default)]
pub struct ScreenPainter {
    /// By sign and size in 1/64 of a point.
    glyphs: HashMap<(char, u32), Arc<Filled>>,
    /// Drawings in dots that were shown last, newest last, by the name of their theme.
    images: Vec<(Arc<Image>, &'static str, TextureHandle)>,
}

/// Drawings in dots that are kept: what one frame shows and a few of before.
const MOST_IMAGES: usize = 4;

/// Most signs kept: a window that is resized for long would otherwise fill the memory.
const MOST_GLYPHS: usize = 2000;

impl ScreenPainter {
    /// The shapes of a picture. `ink_of` may give tagged items another colour.
    pub fn shapes(
        &mut self,
        ctx: &Context,
        picture: &Picture,
        scale: Scale,
        theme: &Theme,
        ink_of: &dyn Fn(Tag) -> Option<Ink>,
    ) -> Vec<Shape> {
        let pixel = 1.0 / ctx.pixels_per_point();
        if self.glyphs.len() > MOST_GLYPHS {
            self.glyphs.clear();
        }
        let mut shapes = Vec::with_capacity(picture.items.len());
        let mut mesh = Mesh::default();
        for item in &picture.items {
            let special = item.tag().and_then(ink_of);
            let paint = |ink: Ink| {
                let ink = if ink == Ink::Paper { ink } else { special.unwrap_or(ink) };
                colour(theme, ink)
            };
            match item {
                Item::Path { path, fill, stroke, .. } => {
                    if let Some(ink) = fill {
                        let contours = flatten(path, scale);
                        add(&mut mesh, &filled(&contours, pixel), Vec2::ZERO, paint(*ink));
                    }
                    if let Some(pen) = stroke {
                        flush(&mut mesh, &mut shapes);
                        outline(&mut shapes, path, pen, scale, theme, paint(pen.ink));
                    }
                }
                Item::Glyph { at, glyph: sign, size_mm, ink, .. } => {
                    let size = scale.len(*size_mm);
                    let key = (*sign, (size * 64.0).round().max(0.0) as u32);
                    let triangles = self.glyphs.entry(key).or_insert_with(|| {
                        let unit = Scale { origin: Pos2::ZERO, points_per_mm: size };
                        Arc::new(filled(&flatten(glyph::outline(*sign), unit), pixel))
                    });
                    add(&mut mesh, triangles, scale.pos(*at).to_vec2(), paint(*ink));
                }
                Item::Image { bounds, image } => {
                    flush(&mut mesh, &mut shapes);
                    let whole = egui::Rect::from_min_max(Pos2::ZERO, pos2(1.0, 1.0));
                    let texture = self.texture(ctx, image, theme);
                    shapes.push(Shape::image(texture, scale.rect(*bounds), whole, Color32::WHITE));
                }
                Item::Text { at, text, size_mm, face, anchor, ink, .. } => {
                    flush(&mut mesh, &mut shapes);
                    let font = FontId::new(scale.len(*size_mm), family(*face));
                    shapes.extend(text_shape(ctx, scale.pos(*at), text, font, *anchor, paint(*ink)));
                }
            }
        }
        flush(&mut mesh, &mut shapes);
        shapes
    }

    /// A drawing in dots as the screen takes it.
    fn texture(&mut self, ctx: &Context, image: &Arc<Image>, theme: &Theme) -> TextureId {
        let known =
            self.images.iter().position(|(other, name, _)| Arc::ptr_eq(other, image) && *name == theme.name);
        let entry = known.map(|index| self.images.remove(index)).unwrap_or_else(|| {
            let (width, pixels) = image.pixels(|dot| theme.dot(dot));
            let size = [width, pixels.len() / (4 * width.max(1))];
            let picture = ColorImage::from_rgba_premultiplied(size, &pixels);
            (image.clone(), theme.name, ctx.load_texture("figure", picture, TextureOptions::LINEAR))
        });
        let texture = entry.2.id();
        self.images.push(entry);
        let spare = self.images.len().saturating_sub(MOST_IMAGES);
        self.images.drain(..spare);
        texture
    }
}

/// A line of text whose baseline passes through a point.
fn text_shape(
    ctx: &Context,
    at: Pos2,
    text: &str,
    font: FontId,
    anchor: Anchor,
    colour: Color32,
) -> Option<Shape> {
    let galley = ctx.fonts_mut(|fonts| fonts.layout_no_wrap(text.to_owned(), font, colour));
    let row = galley.rows.first()?;
    let baseline = row.pos.y + row.glyphs.first()?.pos.y;
    let left = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => galley.size().x / 2.0,
        Anchor::End => galley.size().x,
    };
    Some(Shape::galley(pos2(at.x - left, at.y - baseline), galley, colour))
}

fn flush(mesh: &mut Mesh, shapes: &mut Vec<Shape>) {
    if !mesh.is_empty() {
        shapes.push(Shape::mesh(std::mem::take(mesh)));
    }
}

fn add(mesh: &mut Mesh, triangles: &Filled, by: Vec2, colour: Color32) {
    let first = mesh.vertices.len() as u32;
    for &(at, coverage) in &triangles.vertices {
        mesh.colored_vertex(at + by, colour.gamma_multiply(coverage));
    }
    mesh.indices.extend(triangles.indices.iter().map(|index| first + index));
}

fn outline(shapes: &mut Vec<Shape>, path: &BezPath, pen: &Pen, scale: Scale, theme: &Theme, colour: Color32) {
    let width_mm = pen.width_mm * theme.line_factor;
    let stroke = Stroke::new(scale.len(width_mm), colour);
    for contour in flatten(path, scale) {
        let mut points = contour.points;
        match pen.dash.lengths_mm(width_mm) {
            None => {
                shapes.extend(without_cusps(points, contour.closed).into_iter().map(|(points, closed)| {
                    Shape::Path(PathShape {
                        points,
                        closed,
                        fill: Color32::TRANSPARENT,
                        stroke: stroke.into(),
                    })
                }))
            }
            Some([dash, gap]) => {
                if contour.closed {
                    points.extend(points.first().copied());
                }
                shapes.extend(Shape::dashed_line(&points, stroke, scale.len(dash), scale.len(gap)));
            }
        }
    }
}

/// A line cut where it turns back by more than a right angle: a thin line is mitred there by egui, far out
/// beyond the tip, as at the ends of a slur.
fn without_cusps(mut points: Vec<Pos2>, closed: bool) -> Vec<(Vec<Pos2>, bool)> {
    let cusp = |a: Pos2, b: Pos2, c: Pos2| (b - a).dot(c - b) < 0.0;
    let ring = points.len();
    if closed && !(0..ring).any(|i| cusp(points[i], points[(i + 1) % ring], points[(i + 2) % ring])) {
        return vec![(points, true)];
    }
    if closed {
        points.extend(points.first().copied());
    }
    let mut pieces: Vec<Vec<Pos2>> = Vec::new();
    let mut piece: Vec<Pos2> = Vec::new();
    for point in points {
        if let [.., a, b] = piece[..]
            && cusp(a, b, point)
        {
            pieces.push(std::mem::replace(&mut piece, vec![b]));
        }
        piece.push(point);
    }
    pieces.push(piece);
    pieces.into_iter().map(|piece| (piece, false)).collect()
}

struct Contour {
    points: Vec<Pos2>,
    closed: bool,
}

/// Straight pieces lie at most this far from the curve, points. Assumed; less cannot be seen.
const FLAT_POINTS: f64 = 0.05;
/// Outlines that reach farther than this are not drawn, points: no screen is as large, and a curve of
/// such a size would be cut into millions of pieces.
const FARTHEST_POINTS: f64 = 1e6;

/// The parts of a path as polygons on the screen.
fn flatten(path: &BezPath, scale: Scale) -> Vec<Contour> {
    let path = scale.affine() * path;
    let screen = Rect::new(-FARTHEST_POINTS, -FARTHEST_POINTS, FARTHEST_POINTS, FARTHEST_POINTS);
    let mut contours: Vec<Contour> = Vec::new();
    if !path.is_finite() || !screen.contains_rect(path.control_box()) {
        return contours;
    }
    let pos = |at: Point| pos2(at.x as f32, at.y as f32);
    kurbo::flatten(&path, FLAT_POINTS, |element| match element {
        PathEl::MoveTo(p) => contours.push(Contour { points: vec![pos(p)], closed: false }),
        PathEl::LineTo(p) | PathEl::QuadTo(_, p) | PathEl::CurveTo(_, _, p) => {
            if let Some(contour) = contours.last_mut() {
                contour.points.push(pos(p));
            }
        }
        PathEl::ClosePath => {
            if let Some(contour) = contours.last_mut() {
                contour.closed = true;
            }
        }
    });
    for contour in &mut contours {
        // A doubled point has no direction, so no normal.
        contour.points.dedup_by(|a, b| a.distance_sq(*b) < 1e-6);
        if contour.closed && contour.points.len() > 1 {
            let (first, last) = (contour.points[0], contour.points[contour.points.len() - 1]);
            if first.distance_sq(last) < 1e-6 {
                contour.points.pop();
            }
        }
    }
    contours
}

/// Fills polygons by the non-zero rule, with a faded edge `feather` wide.
fn filled(contours: &[Contour], feather: f32) -> Filled {
    let area = |points: &[Pos2]| -> f32 {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f32>() / 2.0
    };
    let polygons: Vec<&[Pos2]> =
        contours.iter().map(|contour| contour.points.as_slice()).filter(|points| points.len() > 2).collect();
    // Holes run against the outlines round them, so one side is the outer one for both.
    let outward = polygons.iter().map(|points| area(points)).sum::<f32>().signum();
    let mut result = Filled::default();
    let mut builder = Outline::builder();
    for points in &polygons {
        let first = result.vertices.len() as u32;
        let count = points.len() as u32;
        for i in 0..points.len() {
            let normal = normal(points, i) * outward * (feather / 2.0);
            let (inner, outer) = (points[i] - normal, points[i] + normal);
            if i == 0 {
                builder.begin(point(inner.x, inner.y));
            } else {
                builder.line_to(point(inner.x, inner.y));
            }
            result.vertices.extend([(inner, 1.0), (outer, 0.0)]);
        }
        builder.end(true);
        for i in 0..count {
            let (a, b) = (first + 2 * i, first + 2 * ((i + 1) % count));
            result.indices.extend([a, a + 1, b, b, a + 1, b + 1]);
        }
    }
    let mut buffers: VertexBuffers<Pos2, u32> = VertexBuffers::new();
    let corner = |vertex: FillVertex<'_>| pos2(vertex.position().x, vertex.position().y);
    let done = FillTessellator::new().tessellate_path(
        &builder.build(),
        &FillOptions::non_zero(),
        &mut BuffersBuilder::new(&mut buffers, corner),
    );
    // A shape that cannot be filled keeps its edge.
    if done.is_ok() {
        let first = result.vertices.len() as u32;
        result.vertices.extend(buffers.vertices.into_iter().map(|at| (at, 1.0)));
        result.indices.extend(buffers.indices.into_iter().map(|index| first + index));
    }
    result
}

/// Direction that leads away from a corner, on the right of the way round in screen coordinates;
/// a little longer than 1 at corners, so that the edge keeps its width.
fn normal(points: &[Pos2], i: usize) -> Vec2 {
    let n = points.len();
    let (before, at, after) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
    let right = |v: Vec2| vec2(v.y, -v.x).normalized();
    let (a, b) = (right(at - before), right(after - at));
    let sum = a + b;
    let long = sum.length_sq();
    if long < 1e-3 { a } else { sum * (2.0 / long).min(1.5) }
}

#[cfg(test)]
mod tests {
    use kurbo::Shape as _;

    use super::*;

    fn covered(filled: &Filled) -> f32 {
        filled
            .indices
            .chunks_exact(3)
            .map(|corner| {
                let [a, b, c] = [0, 1, 2].map(|i| filled.vertices[corner[i] as usize]);
                let area = ((b.0 - a.0).x * (c.0 - a.0).y - (b.0 - a.0).y * (c.0 - a.0).x).abs() / 2.0;
                area * (a.1 + b.1 + c.1) / 3.0
            })
            .sum()
    }

    /// A lens has two cusps, so it is drawn as two lines; a square has none and stays closed.
    #[test]
    fn a_line_is_cut_at_its_cusps() {
        let lens = [(0.0, 0.0), (5.0, -2.0), (10.0, 0.0), (5.0, -1.0)].map(|(x, y)| pos2(x, y));
        let pieces = without_cusps(lens.to_vec(), true);
        assert_eq!(pieces.iter().map(|(piece, _)| piece.len()).collect::<Vec<_>>(), [3, 3]);
        assert!(pieces.iter().all(|(_, closed)| !closed));
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(x, y)| pos2(x, y));
        assert_eq!(without_cusps(square.to_vec(), true), [(square.to_vec(), true)]);
    }

    /// Geometry: a square of 10 with a square hole of 4 covers 100 - 16.
    #[test]
    fn a_fill_covers_its_area_and_leaves_holes() {
        let scale = Scale { origin: Pos2::ZERO, points_per_mm: 10.0 };
        let mut path = Rect::new(0.0, 0.0, 10.0, 10.0).to_path(0.1);
        path.extend(Rect::new(3.0, 3.0, 7.0, 7.0).to_path(0.1).reverse_subpaths());
        for feather in [0.1, 1.0] {
            let area = covered(&filled(&flatten(&path, scale), feather)) / 100.0;
            assert!((area - 84.0).abs() < 1.0, "{area} with an edge of {feather}");
        }
    }

    #[test]
    fn broken_outlines_are_drawn_without_harm() {
        let scale = Scale { origin: Pos2::ZERO, points_per_mm: 1.0 };
        let corners = [
            [(0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)],
            [(0.0, f64::NAN), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)],
            [(0.0, 0.0), (f64::INFINITY, 0.0), (0.0, 1.0), (1.0, 1.0)],
            [(0.0, 0.0), (1e300, 0.0), (0.0, 1e300), (1.0, 1.0)],
            [(0.0, 0.0), (5.0, 5.0), (5.0, 0.0), (0.0, 5.0)],
        ];
        let path = |[a, b, c, d]: [(f64, f64); 4]| {
            let mut path = BezPath::new();
            path.move_to(a);
            path.line_to(b);
            path.curve_to(b, c, d);
            path.close_path();
            path
        };
        let paths = corners.map(path).into_iter().chain([BezPath::new()]);
        for path in paths {
            let result = filled(&flatten(&path, scale), 1.0);
            assert!(result.vertices.iter().all(|(at, _)| at.is_finite()));
        }
    }
}
