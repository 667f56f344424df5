//! The player: a calm outline, and the bow arm with rounded limbs.

use kurbo::{Affine, BezPath, Circle, PathEl, Point, Rect, Shape as _, Vec2};

use super::{ArmView, Scene};
use crate::{
    arm::{ArmPose, Links, Vec3},
    picture::{
        Ink, Pen, Picture,
        path::{TOLERANCE, curve, line, polygon, start},
    },
    setup::{Part, Posture},
};

/// Half widths of limbs as shares of the stature: shoulder, elbow, wrist, hand. Assumed.
const SHOULDER: f64 = 0.033;
const ELBOW: f64 = 0.024;
const WRIST: f64 = 0.0155;
const HAND: f64 = 0.019;
/// Corners of a rounded end.
const ROUND: usize = 24;

/// A limb with rounded ends: two circles and their outer tangents.
fn limb(a: Point, ra: f64, b: Point, rb: f64) -> BezPath {
    let long = a.distance(b);
    if long <= (ra - rb).abs() + 1e-9 {
        return if ra >= rb { Circle::new(a, ra) } else { Circle::new(b, rb) }.to_path(TOLERANCE);
    }
    let axis = (b - a).atan2();
    // The tangents touch both circles at this angle from the axis.
    let open = ((ra - rb) / long).acos();
    let around = |center: Point, radius: f64, from: f64, to: f64| {
        (0..=ROUND).map(move |k| {
            let angle = from + (to - from) * k as f64 / ROUND as f64;
            center + radius * Vec2::from_angle(angle)
        })
    };
    let far = around(b, rb, axis - open, axis + open);
    let near = around(a, ra, axis + open, axis - open + std::f64::consts::TAU);
    polygon(far.chain(near))
}

fn outline(large: bool) -> Pen {
    Pen::solid(Ink::Faint, if large { 0.4 } else { 0.3 })
}

/// What lies behind the instrument: trunk, seat, and seen from the front the head.
pub(super) fn behind(picture: &mut Picture, scene: &Scene) {
    if scene.figure.view == ArmView::OwnEyes {
        shoulders(picture, scene);
        return;
    }
    let pen = outline(scene.figure.large);
    seat(picture, scene);
    let trunk = trunk(scene);
    picture.path(trunk, Some(Ink::Paper), Some(pen), None);
    if scene.figure.view == ArmView::Mirror {
        head(picture, scene);
    }
}

/// What lies in front of the instrument: the other arm, and seen from behind the head.
pub(super) fn over(picture: &mut Picture, scene: &Scene) {
    if scene.figure.view == ArmView::Behind {
        // The player stands or sits behind the instrument.
        picture.stroke(trunk(scene), outline(scene.figure.large));
    }
    left_arm(picture, scene);
    if scene.figure.view == ArmView::Behind {
        head(picture, scene);
    }
}

/// From above only the line of the shoulders is seen.
fn shoulders(picture: &mut Picture, scene: &Scene) {
    let right = scene.camera.at(scene.pose.shoulder);
    let left = scene.camera.at(-scene.pose.shoulder);
    let radius = scene.h(0.05) * scene.camera.scale;
    picture.path(
        limb(left, radius, right, radius),
        Some(Ink::Paper),
        Some(outline(scene.figure.large)),
        None,
    );
}

/// Neck, shoulders and sides down to the hips; the shoulders are low and level whatever the arm does.
fn trunk(scene: &Scene) -> BezPath {
    let wide = scene.body.part_mm(Part::ShoulderHalfBreadth).0;
    let at = |x: f64, z: f64| scene.camera.at(Vec3::new(x, 0.0, scene.h(z)));
    let low = -0.40;
    let half = |side: f64| {
        let p = |x: f64, z: f64| at(side * x, z);
        let neck = scene.h(0.031);
        [
            (p(neck, 0.06), p(neck, 0.06), p(neck, 0.06)),
            (p(neck, 0.035), p(0.45 * wide, 0.026), p(0.8 * wide, 0.022)),
            (p(1.02 * wide, 0.018), p(1.14 * wide, 0.0), p(1.10 * wide, -0.03)),
            (p(1.0 * wide, -0.07), p(0.84 * wide, -0.10), p(0.80 * wide, -0.14)),
            (p(0.76 * wide, -0.20), p(0.66 * wide, -0.22), p(0.66 * wide, -0.26)),
            (p(0.66 * wide, -0.31), p(0.76 * wide, -0.33), p(0.78 * wide, low)),
        ]
    };
    let (right, left) = (half(1.0), half(-1.0));
    let mut path = BezPath::from_iter([start(right[0].2)]);
    path.extend(right[1..].iter().map(|(a, b, p)| curve(*a, *b, *p)));
    path.push(line(left[5].2));
    for index in (1..6).rev() {
        let (a, b, _) = left[index];
        path.push(curve(b, a, left[index - 1].2));
    }
    path.close_path();
    path
}

/// A chair or stool, where one is used.
fn seat(picture: &mut Picture, scene: &Scene) {
    if scene.posture == Posture::Standing {
        return;
    }
    let z = scene.h(-0.345);
    let at = |x: f64, z: f64| scene.camera.at(Vec3::new(x, 0.0, z));
    let wide = scene.h(0.13);
    let seat = Rect::from_points(at(-wide, z), at(wide, z - scene.h(0.025))).to_rounded_rect(0.8);
    picture.path(seat, Some(Ink::Rule), Some(outline(scene.figure.large)), None);
}

fn head(picture: &mut Picture, scene: &Scene) {
    // On the shoulder the head turns a little toward the instrument.
    let lean = if scene.family.on_shoulder() { -0.012 } else { 0.0 };
    let center = scene.camera.at(Vec3::new(scene.h(lean), 0.0, scene.h(0.118)));
    let (rx, ry) = (0.046 * scene.h(1.0) * scene.camera.scale, 0.064 * scene.h(1.0) * scene.camera.scale);
    // Shares of the half width and half height of the head, from its middle.
    let at = |x: f64, y: f64| center + Vec2::new(x * rx, y * ry);
    let oval = |x: f64, y: f64, wide: f64, high: f64| {
        let shape = Affine::scale_non_uniform(wide * rx, high * ry).then_translate(at(x, y).to_vec2());
        shape * Circle::new(Point::ORIGIN, 1.0).to_path(TOLERANCE)
    };
    let pen = outline(scene.figure.large);
    for side in [-1.0, 1.0] {
        let ear = oval(side, 0.08, 0.14, 0.2);
        picture.path(ear, Some(Ink::Paper), Some(pen), None);
    }
    picture.path(oval(0.0, 0.0, 1.0, 1.0), Some(Ink::Paper), Some(pen), None);
    if scene.figure.view == ArmView::Behind {
        // Hair to the nape.
        let hair = oval(0.0, -0.1, 1.0, 0.9);
        picture.path(hair, Some(Ink::Rule), Some(pen), None);
        return;
    }
    let hair = BezPath::from_iter([
        start(at(-1.0, -0.1)),
        curve(at(-1.0, -1.4), at(1.0, -1.4), at(1.0, -0.1)),
        curve(at(0.7, -0.7), at(-0.2, -0.75), at(-1.0, -0.1)),
        PathEl::ClosePath,
    ]);
    picture.path(hair, Some(Ink::Rule), Some(pen), None);
    for side in [-1.0, 1.0] {
        picture.fill(Circle::new(at(0.36 * side, 0.0), 0.07 * rx), Ink::Faint);
    }
    let smile =
        BezPath::from_iter([start(at(-0.28, 0.5)), curve(at(-0.1, 0.6), at(0.1, 0.6), at(0.28, 0.5))]);
    picture.stroke(smile, pen);
}

/// The arm at the neck of the instrument, the elbow hanging.
fn left_arm(picture: &mut Picture, scene: &Scene) {
    let part = |part| scene.body.part_mm(part).0;
    let links = Links { upper_mm: part(Part::UpperArm), fore_mm: part(Part::Forearm) };
    let shoulder = -scene.pose.shoulder;
    let frame = &scene.frame;
    let neck = frame.crown + frame.along * (0.78 * scene.string_mm) - frame.away * (0.03 * scene.string_mm);
    // The wrist lies a hand's breadth under the neck, toward the player.
    let toward = (shoulder - neck).unit_or(Vec3::DOWN);
    let wrist = neck + (toward + Vec3::DOWN).unit_or(Vec3::DOWN) * (0.45 * part(Part::Hand));
    let elbow = links.elbow_circle(shoulder, wrist, Vec3::new(-1.0, 0.0, 0.0)).at(12.0);
    let pen = outline(scene.figure.large);
    let size = |share: f64| scene.h(share) * scene.camera.scale;
    let at = |point| scene.camera.at(point);
    let parts = [
        limb(at(wrist), size(WRIST), at(neck), size(HAND)),
        limb(at(elbow), size(ELBOW), at(wrist), size(WRIST)),
        limb(at(shoulder), size(SHOULDER), at(elbow), size(ELBOW)),
    ];
    for part in parts {
        picture.path(part, Some(Ink::Paper), Some(pen), None);
    }
}

/// Outlines of the bow arm: hand, forearm, upper arm.
fn limbs(scene: &Scene, pose: &ArmPose) -> [BezPath; 3] {
    let size = |share: f64| scene.h(share) * scene.camera.scale;
    let at = |point| scene.camera.at(point);
    // The fingers reach a little over the stick.
    let fingers = pose.hand + (pose.hand - pose.wrist) * 0.25;
    [
        limb(at(pose.wrist), size(WRIST), at(fingers), size(HAND)),
        limb(at(pose.elbow), size(ELBOW), at(pose.wrist), size(WRIST)),
        limb(at(pose.shoulder), size(SHOULDER), at(pose.elbow), size(ELBOW)),
    ]
}

/// The bow arm.
pub(super) fn arm(picture: &mut Picture, scene: &Scene) {
    let wide = if scene.figure.large { 0.75 } else { 0.55 };
    let [hand, forearm, upper] = limbs(scene, &scene.pose);
    let pen = Pen::solid(Ink::Plan, wide);
    // Seen from the front the hand is nearest, from behind the elbow.
    let order =
        if scene.figure.view == ArmView::Behind { [hand, forearm, upper] } else { [upper, forearm, hand] };
    for part in order {
        picture.path(part, Some(Ink::Corridor), Some(pen), None);
    }
    let elbow = scene.camera.at(scene.pose.elbow);
    picture.path(
        Circle::new(elbow, 0.45 * scene.h(ELBOW) * scene.camera.scale),
        Some(Ink::Plan),
        Some(Pen::solid(Ink::Paper, 0.3)),
        None,
    );
}

/// The arm on another level, as an outline, with the ways of elbow and hand.
pub(super) fn ghost_arm(picture: &mut Picture, scene: &Scene, other: &ArmPose) {
    for part in limbs(scene, other) {
        picture.stroke(part, Pen::dashed(Ink::Ghost, 0.4));
    }
    let (near, far) = (scene.camera.at(other.frog), scene.camera.at(other.tip));
    picture.line(near, far, Pen::dashed(Ink::Ghost, 0.4));
}
