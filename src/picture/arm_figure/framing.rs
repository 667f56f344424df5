//! How the player is brought into the picture.

use super::{ArmFigure, ArmView};
use crate::{
    arm::{ArmPose, Vec3},
    figure::{Camera, Mannequin},
};

/// Share of the bow beyond the string that has room at its farthest. Assumed: all of it would make the
/// player small for the sake of the stick.
const STICK_IN_VIEW: f64 = 0.72;
/// The same through the player's own eyes, of the way to the wrist and of that to the tip: what is near
/// them is to be seen. Assumed.
const BEFORE_EYES: (f64, f64) = (0.9, 0.4);
/// From where the bow crosses the strings to the hand on the neck: where the player's own eyes look.
const LOOKED_AT: f64 = 0.3;
/// What lies farther from there is not looked at, degrees. Assumed.
const LOOKED_AROUND_DEG: f64 = 62.0;

/// Where the names of the levels stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    /// Left of the player.
    pub left: bool,
    /// The edge toward the player, mm.
    pub x: f64,
}

/// A camera that holds everything the arm can do, so that nothing jumps while it moves; and where
/// the names of the levels have their room.
pub(super) fn camera(
    mannequin: &Mannequin,
    figure: &ArmFigure,
    ends: Vec<ArmPose>,
    (width, bottom): (f64, f64),
) -> (Camera, Column) {
    let (round, above) = figure.view.seen_from_deg();
    let finite = |v: f64| if v.is_finite() { v } else { 0.0 };
    let (round, above) =
        (round + finite(figure.turn_deg.0), (above + finite(figure.turn_deg.1)).clamp(-20.0, 89.0));
    let mut camera = match figure.view {
        ArmView::OwnEyes => Camera::at_eye(mannequin.eyes(), looked_at(mannequin, &ends)),
        _ => Camera::from(round, above),
    };
    camera.mirrored = figure.view == ArmView::Mirror;
    let points = match camera.eye {
        Some(eye) => before_eyes(mannequin, &ends, (eye, camera.toward)),
        None => points(mannequin, figure.view, &ends),
    };
    let seen: Vec<(f64, f64)> = points.iter().filter_map(|p| camera.at(*p)).map(|(x, y, _)| (x, y)).collect();
    let span = |value: fn(&(f64, f64)) -> f64| {
        let all = seen.iter().map(value);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)))
    };
    let ((left, right), (top, low)) = (span(|p| p.0), span(|p| p.1));
    let x_of = |point: Vec3| camera.at(point).map_or(0.0, |at| at.0);
    let names_left = x_of(mannequin.stance.shoulder) <= x_of(-mannequin.stance.shoulder);
    // Room for the names of the levels at the bow arm's side.
    let margin = 0.7 * figure.type_mm;
    let names = if figure.view.shows_heights() { 3.6 * figure.type_mm } else { margin };
    let (w, h) = ((width - margin - names).max(1.0), (bottom - 2.0 * margin).max(1.0));
    let (room_w, room_h) = ((right - left).max(1.0), (low - top).max(1.0));
    camera.scale = (w / room_w).min(h / room_h);
    let free = (w - camera.scale * room_w) / 2.0;
    let x = if names_left { names } else { margin } + free - camera.scale * left;
    let y = margin + (h - camera.scale * room_h) / 2.0 - camera.scale * top;
    camera.origin = (x, y);
    // The names stand beside the player, not at the far edge.
    let column = if names_left { free + names } else { width - free - names };
    (camera, Column { left: names_left, x: column })
}

/// Between the middle of where the bow touches the strings and the hand on the neck.
fn looked_at(mannequin: &Mannequin, ends: &[ArmPose]) -> Vec3 {
    let bow = ends.iter().fold(Vec3::ZERO, |sum, pose| sum + pose.contact) * (1.0 / ends.len().max(1) as f64);
    bow + (mannequin.stance.neck_arm.hand - bow) * LOOKED_AT
}

/// What the player's own eyes have to see: the bow with the hand on it, and the hand on the neck where they
/// need not turn for it.
fn before_eyes(mannequin: &Mannequin, ends: &[ArmPose], (eye, toward): (Vec3, Vec3)) -> Vec<Vec3> {
    let near_bow = ends.iter().flat_map(|pose| {
        [(pose.wrist, BEFORE_EYES.0), (pose.tip, BEFORE_EYES.1)]
            .map(|(end, share)| pose.contact + (end - pose.contact) * share)
    });
    let arm = &mannequin.stance.neck_arm;
    let points = near_bow.chain([arm.hand, arm.hand * 2.0 - arm.wrist, mannequin.scroll()]);
    let ahead = LOOKED_AROUND_DEG.to_radians().cos();
    points.filter(|point| (eye - *point).unit_or(toward).dot(toward) >= ahead).collect()
}

/// What has to be seen.
fn points(mannequin: &Mannequin, view: ArmView, ends: &[ArmPose]) -> Vec<Vec3> {
    let stance = &mannequin.stance;
    let h = |share: f64| share * stance.stature_mm;
    let mut points: Vec<Vec3> = Vec::new();
    for pose in ends {
        let toward = |end: Vec3, share: f64| pose.contact + (end - pose.contact) * share;
        points.extend([pose.hand, toward(pose.tip, STICK_IN_VIEW), pose.elbow, pose.shoulder]);
    }
    let around = |point: Vec3, r: f64| {
        [Vec3::new(r, 0.0, 0.0), Vec3::new(0.0, r, 0.0), Vec3::new(0.0, 0.0, r)]
            .into_iter()
            .flat_map(move |v| [point + v, point - v])
    };
    points.extend(around(mannequin.scroll(), h(0.01)));
    let skull = stance.head.at + stance.head.up * (0.55 * stance.head.height_mm);
    points.extend(around(skull, 0.56 * stance.head.height_mm));
    points.extend(around(stance.neck_arm.elbow, h(0.026)));
    points.extend(around(stance.shoulder, h(0.026)));
    points.extend(around(-stance.shoulder, h(0.026)));
    if mannequin.rests_on_floor() {
        for leg in stance.legs {
            points.extend(
                [leg.toe, leg.ankle, leg.knee]
                    .map(|at| Vec3::new(at.x, at.y, at.z.min(stance.floor + h(0.02)))),
            );
        }
        points.push(mannequin.foot());
    } else if view != ArmView::Above {
        points.push(Vec3::new(0.0, 0.0, h(-0.27)));
    }
    points
}
