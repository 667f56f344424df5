//! The bow in the hand, and the names of things.

use kurbo::{Circle, Line, ParamCurveNearest as _, Point, Vec2};

use super::{ArmView, Scene};
use crate::{
    arm::Vec3,
    picture::{
        Anchor, Face, Ink, Pen, Picture,
        path::{TOLERANCE, polygon, polyline},
    },
};

/// Height of the stick over the hair at frog and tip, and length of the frog, as shares of the hair.
/// Assumed from the look of a bow.
const FROG_HIGH: f64 = 0.042;
const TIP_HIGH: f64 = 0.034;
const FROG_LONG: f64 = 0.075;

/// The bow: hair, stick, frog and head.
pub(super) fn draw(picture: &mut Picture, scene: &Scene) {
    let pose = &scene.pose;
    let hair = (pose.frog - pose.tip).length();
    let along = (pose.frog - pose.tip).unit_or(Vec3::new(1.0, 0.0, 0.0));
    let off = scene.frame.off_strings(pose.level_deg);
    let at = |from: Vec3, out: f64, toward_hand: f64| {
        scene.camera.at(from + off * (out * hair) + along * (toward_hand * hair))
    };
    let wide = if scene.figure.large { 1.5 } else { 1.0 };
    let stick =
        [at(pose.frog, FROG_HIGH, 0.11), at(pose.frog, FROG_HIGH, 0.0), at(pose.tip, TIP_HIGH, -0.01)];
    picture.stroke(polyline(stick), Pen::solid(Ink::Wood, 0.75 * wide));
    let head = [at(pose.tip, TIP_HIGH, -0.01), at(pose.tip, TIP_HIGH, 0.012), at(pose.tip, 0.0, 0.0)];
    picture.path(polygon(head), Some(Ink::Wood), Some(Pen::solid(Ink::Wood, 0.4 * wide)), None);
    let frog = [
        at(pose.frog, 0.0, 0.0),
        at(pose.frog, 0.0, FROG_LONG),
        at(pose.frog, FROG_HIGH, FROG_LONG),
        at(pose.frog, FROG_HIGH, 0.012),
    ];
    picture.path(polygon(frog), Some(Ink::Ebony), Some(Pen::solid(Ink::Ebony, 0.25 * wide)), None);
    picture.line(scene.camera.at(pose.frog), scene.camera.at(pose.tip), Pen::solid(Ink::Hair, 0.5 * wide));
    let contact = Circle::new(scene.camera.at(pose.contact), 0.34 * scene.type_mm);
    picture.path(contact, Some(Ink::Now), Some(Pen::solid(Ink::Text, 0.3)), None);
}

/// In the large figure the names of frog and tip; the small one has no room for words.
pub(super) fn names(picture: &mut Picture, scene: &Scene) {
    if !scene.figure.large {
        return;
    }
    let pose = &scene.pose;
    let size = scene.type_mm;
    let style = |anchor| (Face::Sans, anchor, Ink::Text);
    let inside = (2.0 * size, picture.width_mm - 2.0 * size);
    let hold = |p: Point| {
        Point::new(p.x.clamp(inside.0, inside.1), p.y.clamp(size, scene.camera.bottom - 0.3 * size))
    };
    let (frog, tip) = (scene.camera.at(pose.frog), scene.camera.at(pose.tip));
    // Beyond the end of the bow, so that the words lie on nothing.
    let unit = (tip - frog) / tip.distance(frog).max(1e-6);
    let at = tip + size * Vec2::new(1.4 * unit.x, 1.1 * unit.y + 0.3);
    picture.text(hold(at), "tip", size, style(Anchor::Middle));
    picture.text(hold(frog_name(scene) + (0.0, 0.35 * size)), "frog", size, style(Anchor::Middle));
    if scene.figure.view == ArmView::OwnEyes {
        strings(picture, scene);
    }
}

/// Places tried around the hand for the name of the frog.
const PLACES: usize = 16;

/// Where the name of the frog lies on neither bow nor arm: around the hand, the place farthest from
/// them.
fn frog_name(scene: &Scene) -> Point {
    let pose = &scene.pose;
    let [hand, wrist, elbow, shoulder, frog, tip] =
        [pose.hand, pose.wrist, pose.elbow, pose.shoulder, pose.frog, pose.tip].map(|p| scene.camera.at(p));
    let lines = [(hand, wrist), (wrist, elbow), (elbow, shoulder), (frog, tip)].map(|(a, b)| Line::new(a, b));
    let out = scene.h(0.034) * scene.camera.scale + 1.4 * scene.type_mm;
    let distance_sq = |line: &Line, at: Point| line.nearest(at, TOLERANCE).distance_sq;
    let clear = |at: Point| lines.iter().map(|line| distance_sq(line, at)).fold(f64::INFINITY, f64::min);
    let around = (0..PLACES).map(|k| {
        let (sin, cos) = (std::f64::consts::TAU * k as f64 / PLACES as f64).sin_cos();
        hand + out * Vec2::new(1.25 * cos, sin)
    });
    around.max_by(|a, b| clear(*a).total_cmp(&clear(*b))).unwrap_or(hand)
}

/// Names of the strings below the bridge, in the order in which the player sees them.
fn strings(picture: &mut Picture, scene: &Scene) {
    let count = scene.levels.len().div_ceil(2).max(2);
    let ends = |string| scene.camera.at(super::instrument::string_end(scene, string, count, 0.0)).x;
    let below = scene.camera.at(super::instrument::below_bridge(scene));
    let toward = if ends(0) < ends(count - 1) { 1.0 } else { -1.0 };
    let size = scene.type_mm;
    for (index, (name, _)) in scene.levels.iter().step_by(2).enumerate() {
        let across = toward * 1.15 * size * (index as f64 - (count - 1) as f64 / 2.0);
        let style = (Face::SansBold, Anchor::Middle, Ink::Text);
        picture.text(below + (across, 0.0), name.clone(), 0.9 * size, style);
    }
}
