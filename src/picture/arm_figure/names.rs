//! The names of frog and tip, where they lie on nothing.

use std::f64::consts::TAU;

use kurbo::{Point, Rect, Vec2};

use super::Scene;
use crate::{
    figure::{Dot, Image, Material},
    picture::{Anchor, Face, Ink, Item, Pen, Picture, glyph},
};

/// Directions tried around the end of the bow, and distances in sizes of the type. Assumed.
const PLACES: usize = 24;
const FAR: [f64; 5] = [1.3, 2.0, 3.0, 4.5, 6.5];
/// From this distance on a line leads from the name to what it names, in sizes of the type.
const LINE_FROM: f64 = 2.5;

pub(super) fn draw(picture: &mut Picture, scene: &Scene, image: &Image) {
    let size = 0.86 * scene.figure.type_mm;
    let (Some(frog), Some(tip)) = (scene.at(scene.pose.frog), scene.at(scene.pose.tip)) else { return };
    let out = (tip - frog) / tip.distance(frog).max(1e-6);
    for (name, end, out) in [("tip", tip, out), ("frog", frog, -out)] {
        let ground = Ground { image, picture, bottom: scene.bottom };
        let half = Vec2::new(0.5 * glyph::text_width_mm(name, size, Face::Sans), 0.45 * size);
        let middle = place(&ground, end, out, (half, size));
        let away = middle - end;
        if away.hypot() > LINE_FROM * size && inside(end, picture.width_mm, scene.bottom) {
            let unit = away / away.hypot();
            let to = middle - unit * (half.x * unit.x.abs() + 1.2 * half.y * unit.y.abs() + 0.2 * size);
            picture.line(end + unit * (0.5 * size), to, Pen::solid(Ink::Faint, 0.06 * size));
        }
        picture.text(middle + (0.0, 0.35 * size), name, size, (Face::Sans, Anchor::Middle, Ink::Text));
    }
}

fn inside(at: Point, width: f64, bottom: f64) -> bool {
    (0.0..=width).contains(&at.x) && (0.0..=bottom).contains(&at.y)
}

/// The middle of a word near the end of the bow: where the least is under it, then the nearest, then
/// the one that goes on in the direction of the bow.
fn place(ground: &Ground, end: Point, out: Vec2, (half, size): (Vec2, f64)) -> Point {
    let hold = |at: Point| {
        let within = |v: f64, half: f64, most: f64| v.clamp(half, (most - half).max(half));
        Point::new(
            within(at.x, half.x + 0.2 * size, ground.picture.width_mm),
            within(at.y, half.y + 0.2 * size, ground.bottom),
        )
    };
    let around = FAR.iter().flat_map(|far| {
        (0..PLACES).map(move |k| {
            let (sin, cos) = (TAU * k as f64 / PLACES as f64).sin_cos();
            // A word is wider than tall.
            (far * size, Vec2::new(cos, sin))
        })
    });
    let places = around.map(|(far, way)| {
        let at = hold(end + far * way + Vec2::new(half.x * way.x, half.y * way.y));
        let under = ground.share_under(Rect::from_center_size(at, (2.2 * half.x, 2.4 * half.y)));
        (30.0 * under + at.distance(end) / size + 0.4 * (1.0 - way.dot(out)), at)
    });
    places.min_by(|a, b| a.0.total_cmp(&b.0)).map_or(end, |(_, at)| at)
}

/// What is drawn already.
struct Ground<'a> {
    image: &'a Image,
    picture: &'a Picture,
    bottom: f64,
}

impl Ground<'_> {
    /// The share of a box in which something is drawn, looked at in steps.
    fn share_under(&self, place: Rect) -> f64 {
        const STEPS: usize = 7;
        let words = self.picture.items.iter().filter(|item| matches!(item, Item::Text { .. }));
        if words.filter_map(Item::bounds).any(|word| word.overlaps(place)) {
            return 1.0;
        }
        let (dx, dy) =
            (self.image.width as f64 / self.picture.width_mm, self.image.height as f64 / self.bottom);
        let drawn = |k: usize| {
            let share = |k: usize| (k as f64 + 0.5) / STEPS as f64;
            let x = place.x0 + place.width() * share(k % STEPS);
            let y = place.y0 + place.height() * share(k / STEPS);
            let (x, y) = ((x * dx).max(0.0) as usize, (y * dy).max(0.0) as usize);
            let dot = self.image.at(x.min(self.image.width - 1), y.min(self.image.height - 1)).0;
            !matches!(dot, Dot::Clear | Dot::Tone(Material::Floor, _))
        };
        (0..STEPS * STEPS).filter(|k| drawn(*k)).count() as f64 / (STEPS * STEPS) as f64
    }
}
