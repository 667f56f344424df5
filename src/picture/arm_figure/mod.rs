//! The player with the bow arm on its level: from behind, as in a mirror, or through the player's
//! own eyes.
//!
//! A calm outline of the player and the instrument, the bow arm strong in front of it. All figures
//! come from [`crate::arm`]; each family is drawn as it is held. A left-handed player is drawn as the
//! right-handed one flipped.

mod body;
mod bow;
mod heights;
mod instrument;

use kurbo::{BezPath, PathEl, Point};

use super::{
    Anchor, Face, Ink, Picture,
    path::{curve, polygon, start},
};
use crate::{
    analysis::Study,
    arm::{ArmPose, Frame, Load, Plane, Vec3, load},
    setup::{Body, Family, Posture},
};

/// Where the player is seen from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ArmView {
    /// From behind: the pupil copies without turning anything round.
    #[default]
    Behind,
    /// The front, as the player sees it in a mirror.
    Mirror,
    /// Through the player's own eyes.
    OwnEyes,
}

impl ArmView {
    /// All, in the order of the switch.
    pub const ALL: [Self; 3] = [Self::Behind, Self::Mirror, Self::OwnEyes];

    /// The words shown.
    pub fn words(self) -> &'static str {
        match self {
            Self::Behind => "from behind",
            Self::Mirror => "as in a mirror",
            Self::OwnEyes => "own eyes",
        }
    }
}

/// What the figure shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmFigure {
    /// Where the player is seen from.
    pub view: ArmView,
    /// Angle of the bow, degrees ([`crate::arm::Level::angle_deg`]).
    pub level_deg: f64,
    /// The level the arm is on.
    pub plane: Plane,
    /// Place on the hair, mm from the frog.
    pub hair_mm: f64,
    /// A second level held against the first.
    pub held: Option<Plane>,
    /// Width and height, mm.
    pub size_mm: (f64, f64),
    /// Large: with all names and sentences.
    pub large: bool,
}

/// From the room to the picture.
struct Camera {
    right: Vec3,
    up: Vec3,
    scale: f64,
    origin: Point,
    /// Everything below this line and above the picture is cut off, mm from the top.
    bottom: f64,
    /// Right edge of what the arm can reach, mm from the left.
    edge: f64,
}

impl Camera {
    fn at(&self, point: Vec3) -> Point {
        let y = self.origin.y - self.scale * point.dot(self.up);
        Point::new(self.origin.x + self.scale * point.dot(self.right), y.min(self.bottom).max(0.0))
    }

    /// A closed curve through points (Catmull & Rom 1974: the tangent at a point lies along the line
    /// between its neighbours).
    fn curve(&self, points: &[Vec3]) -> BezPath {
        let points: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        let count = points.len();
        let control = |k: usize, way: f64| {
            let (a, p, b) = (points[(k + count - 1) % count], points[k % count], points[(k + 1) % count]);
            p + (b - a) * (way / 6.0)
        };
        let first = points.first().map(|p| start(*p));
        let pieces =
            (0..count).map(|k| curve(control(k, 1.0), control(k + 1, -1.0), points[(k + 1) % count]));
        first.into_iter().chain(pieces).chain((count > 0).then_some(PathEl::ClosePath)).collect()
    }

    fn shape(&self, points: impl IntoIterator<Item = Vec3>) -> BezPath {
        polygon(points.into_iter().map(|point| self.at(point)))
    }
}

/// What the parts of the drawing need.
struct Scene<'a> {
    figure: &'a ArmFigure,
    camera: Camera,
    family: Family,
    frame: Frame,
    string_mm: f64,
    body: &'a Body,
    posture: Posture,
    pose: ArmPose,
    /// Poses of all levels at this place on the hair, highest string first.
    levels: Vec<(String, ArmPose)>,
    /// Size of type, mm.
    type_mm: f64,
}

impl Scene<'_> {
    /// A share of the stature, mm in the room.
    fn h(&self, share: f64) -> f64 {
        share * self.body.stature_mm()
    }
}

/// Draws the player with the bow arm.
pub fn arm_figure(study: &Study, figure: &ArmFigure) -> Picture {
    let (setup, analysis) = (&study.lesson().setup, study.analysis());
    let (width, height) = figure.size_mm;
    let mut picture = Picture::new(width, height);
    // Everything is drawn right-handed and flipped at the end.
    let upright = |pose: ArmPose| if setup.left_handed { pose.flipped() } else { pose };
    let arm = &analysis.arm_path.arm;
    let names = analysis.arm_path.fan.all().map(|level| level.name.clone());
    let levels: Vec<(String, ArmPose)> =
        names.zip(arm.poses(figure.hair_mm).into_iter().map(upright)).collect();
    let pose = upright(arm.pose(figure.level_deg, figure.hair_mm));
    let type_mm = if figure.large { 3.3 } else { 2.5 };
    let ends = [arm.poses(0.0), arm.poses(setup.bow.hair_mm)].concat().into_iter().map(upright).collect();
    let mut scene = Scene {
        figure,
        camera: Camera {
            right: Vec3::ZERO,
            up: Vec3::ZERO,
            scale: 1.0,
            origin: Point::ORIGIN,
            bottom: height,
            edge: width,
        },
        family: setup.instrument.family,
        frame: arm.frame,
        string_mm: setup.instrument.string_length_mm.clamp(1.0, 1e5),
        body: &setup.body,
        posture: setup.held().posture,
        pose,
        levels,
        type_mm,
    };
    let below = if figure.large { 3.0 } else { 1.6 } * type_mm;
    scene.camera = camera(&scene, ends, (width, height - below));

    body::behind(&mut picture, &scene);
    instrument::draw(&mut picture, &scene);
    body::over(&mut picture, &scene);
    if figure.view != ArmView::OwnEyes {
        heights::draw(&mut picture, &scene);
    }
    if let Some(plane) = figure.held.filter(|plane| *plane != figure.plane)
        && let Some((_, other)) = scene.levels.get(plane.index())
    {
        body::ghost_arm(&mut picture, &scene, other);
    }
    bow::draw(&mut picture, &scene);
    body::arm(&mut picture, &scene);
    bow::names(&mut picture, &scene);
    caption(&mut picture, &scene);
    if setup.left_handed { picture.flipped() } else { picture }
}

/// A camera that holds everything the arm can do, so that nothing jumps while it moves.
fn camera(scene: &Scene, ends: Vec<ArmPose>, (width, bottom): (f64, f64)) -> Camera {
    let (right, up) = match scene.figure.view {
        ArmView::Behind | ArmView::Mirror => (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 0.0, 1.0)),
        ArmView::OwnEyes => {
            // The eyes look down and, on the shoulder, half way along the strings.
            let along = scene.frame.along;
            let (turn, down): (f64, f64) = match scene.family {
                Family::Violin | Family::Viola => (0.5 * (-along.x).atan2(along.y), 62.0),
                Family::Cello => (0.0, 52.0),
                Family::DoubleBass => (0.0, 48.0),
            };
            let ahead = Vec3::new(-turn.sin(), turn.cos(), 0.0);
            let (sin, cos) = down.to_radians().sin_cos();
            (Vec3::new(turn.cos(), turn.sin(), 0.0), ahead * sin + Vec3::new(0.0, 0.0, cos))
        }
    };
    let own_eyes = scene.figure.view == ArmView::OwnEyes;
    let mut points: Vec<Vec3> = Vec::new();
    for pose in ends {
        points.extend([pose.hand, pose.tip, pose.elbow, pose.shoulder]);
    }
    if own_eyes {
        points.push(scene.pose.shoulder.mirrored());
    } else {
        let low = if scene.family.on_shoulder() { -0.26 } else { -0.36 };
        points.extend([Vec3::new(0.0, 0.0, scene.h(0.19)), Vec3::new(0.0, 0.0, scene.h(low))]);
        points.push(scene.pose.shoulder.mirrored() + Vec3::new(-scene.h(0.07), 0.0, 0.0));
        if !scene.family.on_shoulder() {
            points.push(instrument::scroll(scene));
        }
    }
    let span = |axis: Vec3| {
        let along = points.iter().map(|point| point.dot(axis));
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)))
    };
    let ((l, r), (b, t)) = (span(right), span(up));
    let margin = scene.type_mm * 0.9;
    // Room for the names of the levels at the bow arm's side.
    let side = if own_eyes { margin } else { 4.4 * scene.type_mm };
    let (w, h) = (width - margin - side, bottom - 2.0 * margin);
    let limb = scene.h(0.03);
    let (room_w, room_h) = ((r - l + 2.0 * limb).max(1.0), (t - b + 2.0 * limb).max(1.0));
    let scale = (w.max(1.0) / room_w).min(h.max(1.0) / room_h);
    let x = margin + (w - scale * room_w) / 2.0 + scale * (limb - l);
    let y = margin + (h - scale * room_h) / 2.0 + scale * (limb + t);
    Camera { right, up, scale, origin: Point::new(x, y), bottom, edge: x + scale * (r + limb) }
}

/// One or two lines under the figure: where it is seen from, and what to mind.
fn caption(picture: &mut Picture, scene: &Scene) {
    let (size, large) = (scene.type_mm, scene.figure.large);
    let pose = &scene.pose;
    let (middle, foot) = (picture.width_mm / 2.0, picture.height_mm);
    let style = (Face::Sans, Anchor::Middle, Ink::Faint);
    let seen = match scene.figure.view {
        ArmView::Behind => "seen from behind",
        ArmView::Mirror => "seen as in a mirror",
        ArmView::OwnEyes => "seen by the player, looking down",
    };
    let beyond = (pose.short_by_mm > 0.0)
        .then(|| format!("beyond the reach of this arm by {:.0} cm", (pose.short_by_mm / 10.0).ceil()));
    let warning = (Face::SansBold, Anchor::Middle, Ink::Warn);
    if !large {
        let at = (middle, foot - 0.45 * size);
        match beyond {
            Some(words) => picture.text(at, words, size, warning),
            None => picture.text(at, format!("{seen}; the arm, not the shoulder"), size, style),
        }
        return;
    }
    let figures = format!(
        "{seen} · elbow {:.0} cm above the floor, bent {:.0}° · upper arm {:.0}° from hanging",
        pose.elbow_above_floor_mm / 10.0,
        pose.elbow_flexion_deg,
        pose.upper_arm_deg
    );
    picture.text((middle, foot - 1.75 * size), figures, size, style);
    let at = (middle, foot - 0.4 * size);
    if let Some(words) = beyond {
        picture.text(at, words, size, warning);
        return;
    }
    let mind = match load(pose.upper_arm_deg) {
        Load::Vary => "The arm makes the level, not the shoulder. Held long this tires: vary, and rest.",
        Load::Free | Load::Limited { .. } => {
            "The arm makes the level, not the shoulder: it stays low and free."
        }
    };
    picture.text(at, mind, size, (Face::Sans, Anchor::Middle, Ink::Text));
}
