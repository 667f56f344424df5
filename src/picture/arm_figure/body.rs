//! The player: a calm outline, and the bow arm with rounded limbs.

use super::{ArmView, Scene};
use crate::{
    arm::{ArmPose, Links, Vec3},
    picture::{Ink, Path, Pen, Picture, Point, Segment},
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
fn limb(a: Point, ra: f64, b: Point, rb: f64) -> Path {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let long = dx.hypot(dy);
    if long <= (ra - rb).abs() + 1e-9 {
        return if ra >= rb { Path::circle(a, ra) } else { Path::circle(b, rb) };
    }
    let axis = dy.atan2(dx);
    // The tangents touch both circles at this angle from the axis.
    let open = ((ra - rb) / long).acos();
    let around = |center: Point, radius: f64, from: f64, to: f64| {
        (0..=ROUND).map(move |k| {
            let angle = from + (to - from) * k as f64 / ROUND as f64;
            (center.0 + radius * angle.cos(), center.1 + radius * angle.sin())
        })
    };
    let far = around(b, rb, axis - open, axis + open);
    let near = around(a, ra, axis + open, axis - open + std::f64::consts::TAU);
    Path::polygon(&far.chain(near).collect::<Vec<Point>>())
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
        picture.path(trunk(scene), None, Some(outline(scene.figure.large)), None);
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
fn trunk(scene: &Scene) -> Path {
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
    let mut path = vec![Segment::Move(right[0].2)];
    path.extend(right[1..].iter().map(|(a, b, p)| Segment::Cubic(*a, *b, *p)));
    path.push(Segment::Line(left[5].2));
    for index in (1..6).rev() {
        let (a, b, _) = left[index];
        path.push(Segment::Cubic(b, a, left[index - 1].2));
    }
    path.push(Segment::Close);
    Path(path)
}

/// A chair or stool, where one is used.
fn seat(picture: &mut Picture, scene: &Scene) {
    if scene.posture == Posture::Standing {
        return;
    }
    let z = scene.h(-0.345);
    let at = |x: f64, z: f64| scene.camera.at(Vec3::new(x, 0.0, z));
    let wide = scene.h(0.13);
    let seat = Path::round_rect(at(-wide, z), at(wide, z - scene.h(0.025)), 0.8);
    picture.path(seat, Some(Ink::Rule), Some(outline(scene.figure.large)), None);
}

fn head(picture: &mut Picture, scene: &Scene) {
    // On the shoulder the head turns a little toward the instrument.
    let lean = if scene.family.on_shoulder() { -0.012 } else { 0.0 };
    let center = scene.camera.at(Vec3::new(scene.h(lean), 0.0, scene.h(0.118)));
    let (rx, ry) = (0.046 * scene.h(1.0) * scene.camera.scale, 0.064 * scene.h(1.0) * scene.camera.scale);
    let oval = |cx: f64, cy: f64, rx: f64, ry: f64| {
        Path::circle((0.0, 0.0), 1.0).map(|(x, y)| (cx + rx * x, cy + ry * y))
    };
    let pen = outline(scene.figure.large);
    for side in [-1.0, 1.0] {
        let ear = oval(center.0 + side * 1.0 * rx, center.1 + 0.08 * ry, 0.14 * rx, 0.2 * ry);
        picture.path(ear, Some(Ink::Paper), Some(pen), None);
    }
    picture.path(oval(center.0, center.1, rx, ry), Some(Ink::Paper), Some(pen), None);
    if scene.figure.view == ArmView::Behind {
        // Hair to the nape.
        let hair = oval(center.0, center.1 - 0.1 * ry, rx, 0.9 * ry);
        picture.path(hair, Some(Ink::Rule), Some(pen), None);
        return;
    }
    let (cx, cy) = center;
    let hair = Path(vec![
        Segment::Move((cx - rx, cy - 0.1 * ry)),
        Segment::Cubic(
            (cx - 1.0 * rx, cy - 1.4 * ry),
            (cx + 1.0 * rx, cy - 1.4 * ry),
            (cx + rx, cy - 0.1 * ry),
        ),
        Segment::Cubic(
            (cx + 0.7 * rx, cy - 0.7 * ry),
            (cx - 0.2 * rx, cy - 0.75 * ry),
            (cx - rx, cy - 0.1 * ry),
        ),
        Segment::Close,
    ]);
    picture.path(hair, Some(Ink::Rule), Some(pen), None);
    for side in [-1.0, 1.0] {
        picture.fill(Path::circle((cx + side * 0.36 * rx, cy), 0.07 * rx), Ink::Faint);
    }
    let smile = Path(vec![
        Segment::Move((cx - 0.28 * rx, cy + 0.5 * ry)),
        Segment::Cubic(
            (cx - 0.1 * rx, cy + 0.6 * ry),
            (cx + 0.1 * rx, cy + 0.6 * ry),
            (cx + 0.28 * rx, cy + 0.5 * ry),
        ),
    ]);
    picture.path(smile, None, Some(pen), None);
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
fn limbs(scene: &Scene, pose: &ArmPose) -> [Path; 3] {
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
        Path::circle(elbow, 0.45 * scene.h(ELBOW) * scene.camera.scale),
        Some(Ink::Plan),
        Some(Pen::solid(Ink::Paper, 0.3)),
        None,
    );
}

/// The arm on another level, as an outline, with the ways of elbow and hand.
pub(super) fn ghost_arm(picture: &mut Picture, scene: &Scene, other: &ArmPose) {
    for part in limbs(scene, other) {
        picture.path(part, None, Some(Pen::dashed(Ink::Ghost, 0.4)), None);
    }
    let (near, far) = (scene.camera.at(other.frog), scene.camera.at(other.tip));
    picture.line(near, far, Pen::dashed(Ink::Ghost, 0.4));
}
