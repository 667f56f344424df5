//! What is marked on the figure: the places of the elbow, frog and tip, the right angle of the bow.

use kurbo::{Circle, Line, ParamCurveNearest as _, Point, Vec2};

use super::{ArmView, Scene};
use crate::{
    arm::Vec3,
    picture::{
        Anchor, Face, Ink, Pen, Picture,
        path::{TOLERANCE, polyline},
    },
};

pub(super) fn draw(picture: &mut Picture, scene: &Scene) {
    if scene.figure.view == ArmView::Above {
        right_angle(picture, scene);
    }
    contact(picture, scene);
    if scene.figure.view.shows_heights() {
        elbows(picture, scene);
    }
    if scene.figure.large {
        names(picture, scene);
    }
}

/// Where the elbow is on each level, the present one strong, the one held against it ringed.
fn elbows(picture: &mut Picture, scene: &Scene) {
    let size = scene.figure.type_mm;
    let places: Vec<Option<Point>> = scene.levels.iter().map(|(_, pose)| scene.at(pose.elbow)).collect();
    let way: Vec<Point> = places.iter().flatten().copied().collect();
    picture.stroke(polyline(way), Pen::solid(Ink::Paper, 0.14 * size));
    let held = scene.other().map(|(name, _)| name.as_str());
    for ((name, _), at) in scene.levels.iter().zip(places) {
        let Some(at) = at else { continue };
        if held == Some(name.as_str()) {
            let ring = Circle::new(at, 0.36 * size);
            picture.path(ring, Some(Ink::Paper), Some(Pen::solid(Ink::Ghost, 0.14 * size)), None);
        } else {
            let dot = Circle::new(at, 0.2 * size);
            picture.path(dot, Some(Ink::Level), Some(Pen::solid(Ink::Paper, 0.07 * size)), None);
        }
    }
    if let Some(at) = scene.at(scene.pose.elbow) {
        let dot = Circle::new(at, 0.42 * size);
        picture.path(dot, Some(Ink::Now), Some(Pen::solid(Ink::Paper, 0.1 * size)), None);
    }
}

/// Where the hair touches the string.
fn contact(picture: &mut Picture, scene: &Scene) {
    if let Some(at) = scene.at(scene.pose.contact) {
        let size = scene.figure.type_mm;
        let dot = Circle::new(at, 0.2 * size);
        picture.path(dot, Some(Ink::Now), Some(Pen::solid(Ink::Text, 0.06 * size)), None);
    }
}

/// The line of the string and the one at a right angle to it, where the bow lies when it is straight.
fn right_angle(picture: &mut Picture, scene: &Scene) {
    let pose = &scene.pose;
    let bow = (pose.frog - pose.tip).unit_or(Vec3::new(1.0, 0.0, 0.0));
    let long = (pose.frog - pose.tip).length();
    let along = scene.mannequin.along();
    let size = scene.figure.type_mm;
    let pen = Pen::dashed(Ink::Now, 0.1 * size);
    for (direction, from, to) in [(bow, -0.75, 0.75), (along, -0.35, 0.6)] {
        let ends = [from, to].map(|share| scene.at(pose.contact + direction * (share * long)));
        if let [Some(a), Some(b)] = ends {
            picture.line(a, b, pen);
        }
    }
    let corner = [bow * 0.055, bow * 0.055 + along * 0.055, along * 0.055];
    let corner: Vec<Point> = corner.iter().filter_map(|v| scene.at(pose.contact + *v * long)).collect();
    picture.stroke(polyline(corner), Pen::solid(Ink::Now, 0.12 * size));
}

/// The names of frog and tip.
fn names(picture: &mut Picture, scene: &Scene) {
    let (size, pose) = (0.86 * scene.figure.type_mm, &scene.pose);
    let (Some(frog), Some(tip)) = (scene.at(pose.frog), scene.at(pose.tip)) else { return };
    let style = (Face::Sans, Anchor::Middle, Ink::Text);
    let hold = |p: Point| {
        let x = p.x.clamp(1.2 * size, (picture.width_mm - 1.2 * size).max(1.2 * size));
        Point::new(x, p.y.clamp(size, (scene.bottom - 0.3 * size).max(size)))
    };
    // Beyond the end of the bow, so that the words lie on nothing.
    let unit = (tip - frog) / tip.distance(frog).max(1e-6);
    let by_tip = hold(tip + size * Vec2::new(1.6 * unit.x, 1.5 * unit.y + 0.35));
    let by_frog = hold(by_frog(scene, size) + (0.0, 0.35 * size));
    picture.text(by_tip, "tip", size, style);
    picture.text(by_frog, "frog", size, style);
}

/// Places tried around the hand for the name of the frog.
const PLACES: usize = 16;

/// Where the name of the frog lies on neither bow nor arm: around the hand, the place farthest from
/// them.
fn by_frog(scene: &Scene, size: f64) -> Point {
    let pose = &scene.pose;
    let at = |point| scene.at(point).unwrap_or_default();
    let [hand, wrist, elbow, shoulder, frog, tip] =
        [pose.hand, pose.wrist, pose.elbow, pose.shoulder, pose.frog, pose.tip].map(at);
    let lines = [(hand, wrist), (wrist, elbow), (elbow, shoulder), (frog, tip)].map(|(a, b)| Line::new(a, b));
    let out = 0.05 * scene.mannequin.stance.stature_mm * scene.camera.scale + 0.9 * size;
    let clear = |at: Point| {
        lines.iter().map(|line| line.nearest(at, TOLERANCE).distance_sq).fold(f64::INFINITY, f64::min)
    };
    let around = (0..PLACES).map(|k| {
        let (sin, cos) = (std::f64::consts::TAU * k as f64 / PLACES as f64).sin_cos();
        hand + out * Vec2::new(1.25 * cos, sin)
    });
    around.max_by(|a, b| clear(*a).total_cmp(&clear(*b))).unwrap_or(hand)
}
