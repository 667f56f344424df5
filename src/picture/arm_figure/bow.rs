//! The bow in the hand, and the names of things.

use super::{ArmView, Scene};
use crate::{
    arm::Vec3,
    picture::{Anchor, Face, Ink, Path, Pen, Picture, Point},
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
    picture.path(Path::polyline(&stick), None, Some(Pen::solid(Ink::Wood, 0.75 * wide)), None);
    let head = [at(pose.tip, TIP_HIGH, -0.01), at(pose.tip, TIP_HIGH, 0.012), at(pose.tip, 0.0, 0.0)];
    picture.path(Path::polygon(&head), Some(Ink::Wood), Some(Pen::solid(Ink::Wood, 0.4 * wide)), None);
    let frog = [
        at(pose.frog, 0.0, 0.0),
        at(pose.frog, 0.0, FROG_LONG),
        at(pose.frog, FROG_HIGH, FROG_LONG),
        at(pose.frog, FROG_HIGH, 0.012),
    ];
    picture.path(Path::polygon(&frog), Some(Ink::Ebony), Some(Pen::solid(Ink::Ebony, 0.25 * wide)), None);
    picture.line(scene.camera.at(pose.frog), scene.camera.at(pose.tip), Pen::solid(Ink::Hair, 0.5 * wide));
    let contact = Path::circle(scene.camera.at(pose.contact), 0.34 * scene.type_mm);
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
    let hold = |p: Point, picture: &Picture| {
        (
            p.0.clamp(2.0 * size, picture.width_mm - 2.0 * size),
            p.1.clamp(size, scene.camera.bottom - 0.3 * size),
        )
    };
    let (frog, tip) = (scene.camera.at(pose.frog), scene.camera.at(pose.tip));
    // Beyond the end of the bow, so that the words lie on nothing.
    let long = (tip.0 - frog.0).hypot(tip.1 - frog.1).max(1e-6);
    let (ux, uy) = ((tip.0 - frog.0) / long, (tip.1 - frog.1) / long);
    let at = (tip.0 + 1.4 * size * ux, tip.1 + 1.1 * size * uy + 0.3 * size);
    picture.text(hold(at, picture), "tip", size, style(Anchor::Middle));
    let at = frog_name(scene);
    picture.text(hold((at.0, at.1 + 0.35 * size), picture), "frog", size, style(Anchor::Middle));
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
    let lines = [(hand, wrist), (wrist, elbow), (elbow, shoulder), (frog, tip)];
    let out = scene.h(0.034) * scene.camera.scale + 1.4 * scene.type_mm;
    let clear = |at: Point| lines.iter().map(|&line| distance(at, line)).fold(f64::INFINITY, f64::min);
    let around = (0..PLACES).map(|k| {
        let (sin, cos) = (std::f64::consts::TAU * k as f64 / PLACES as f64).sin_cos();
        (hand.0 + 1.25 * out * cos, hand.1 + out * sin)
    });
    around.max_by(|a, b| clear(*a).total_cmp(&clear(*b))).unwrap_or(hand)
}

/// From a point to the nearest point of a line between two others.
fn distance(p: Point, (a, b): (Point, Point)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-9);
    let along = along.clamp(0.0, 1.0);
    (p.0 - a.0 - along * dx).hypot(p.1 - a.1 - along * dy)
}

/// Names of the strings below the bridge, in the order in which the player sees them.
fn strings(picture: &mut Picture, scene: &Scene) {
    let count = scene.levels.len().div_ceil(2).max(2);
    let ends = |string| scene.camera.at(super::instrument::string_end(scene, string, count, 0.0)).0;
    let below = scene.camera.at(super::instrument::below_bridge(scene));
    let toward = if ends(0) < ends(count - 1) { 1.0 } else { -1.0 };
    let size = scene.type_mm;
    for (index, (name, _)) in scene.levels.iter().step_by(2).enumerate() {
        let across = toward * 1.15 * size * (index as f64 - (count - 1) as f64 / 2.0);
        let style = (Face::SansBold, Anchor::Middle, Ink::Text);
        picture.text((below.0 + across, below.1), name.clone(), 0.9 * size, style);
    }
}
