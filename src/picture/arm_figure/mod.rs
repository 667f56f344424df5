//! The player with the bow arm on its level, in the round, from any side.
//!
//! The drawing itself is made by [`crate::figure`]; here it is framed, and what a class is to see is
//! marked on it: the seven places of the elbow with their names, the elbow's height among them, frog
//! and tip, and from above the right angle between bow and string. A left-handed player is drawn as
//! the right-handed one flipped.

mod framing;
mod heights;
mod marks;
mod names;
mod view;

use std::sync::Arc;

use kurbo::Rect;

use super::{Anchor, Face, Ink, Picture, glyph};
use crate::{
    analysis::Study,
    arm::{ArmPose, Load, Plane, load},
    figure::{Backdrop, Camera, Image, Mannequin, Sitter, Which},
    lesson::handout::ArmView,
};

/// Pixels in a mm of a figure on paper: 300 an inch, as of a page.
pub const PAPER_PIXELS_PER_MM: f64 = 300.0 / 25.4;

/// What the figure shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmFigure {
    /// Where the player is seen from.
    pub view: ArmView,
    /// Turned on from there, degrees: round the player toward the player's right, and up.
    pub turn_deg: (f64, f64),
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
    /// Size of type, mm.
    pub type_mm: f64,
    /// Large: with all names and sentences.
    pub large: bool,
    /// Pixels in a mm of the image; on paper [`PAPER_PIXELS_PER_MM`].
    pub pixels_per_mm: f64,
}

/// What the parts of the drawing need.
struct Scene<'a> {
    figure: &'a ArmFigure,
    mannequin: &'a Mannequin,
    camera: Camera,
    /// Where the names of the levels stand.
    column: framing::Column,
    /// Everything below this line is cut off, mm from the top.
    bottom: f64,
    pose: ArmPose,
    /// Poses of all levels at this place on the hair, highest string first.
    levels: Vec<(String, ArmPose)>,
}

impl Scene<'_> {
    /// A point of the room on the picture, mm.
    fn at(&self, point: crate::arm::Vec3) -> Option<kurbo::Point> {
        self.camera.at(point).map(|(x, y, _)| kurbo::Point::new(x, y))
    }

    /// The arm on the second level, where there is one that is not the first.
    fn other(&self) -> Option<&(String, ArmPose)> {
        let plane = self.figure.held.filter(|plane| *plane != self.figure.plane)?;
        self.levels.get(plane.index())
    }
}

/// Draws the player with the bow arm.
pub fn arm_figure(study: &Study, sitter: &mut Sitter, figure: &ArmFigure) -> Picture {
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
    let ends = [arm.poses(0.0), arm.poses(setup.bow.hair_mm)].concat().into_iter().map(upright).collect();
    let below = if figure.large { 1.7 } else { 1.5 } * figure.type_mm;
    let bottom = (height - below).max(1.0);
    let (mannequin, backdrop) = sitter.at((width, bottom), figure.pixels_per_mm);
    let (camera, column) = framing::camera(mannequin, figure, ends, (width, bottom));
    let scene = Scene { figure, mannequin, camera, column, bottom, pose, levels };

    let image = solids(&mut picture, &scene, backdrop);
    marks::draw(&mut picture, &scene, !backdrop.hides(scene.pose.contact));
    if figure.view.shows_heights() {
        heights::draw(&mut picture, &scene);
    }
    if figure.large {
        names::draw(&mut picture, &scene, &image);
    }
    caption(&mut picture, &scene);
    if setup.left_handed { picture.flipped() } else { picture }
}

/// The player, the instrument and the arms.
fn solids(picture: &mut Picture, scene: &Scene, backdrop: &mut Backdrop) -> Arc<Image> {
    let (mannequin, view) = (scene.mannequin, scene.figure.view);
    // The player's own eyes do not see the head.
    let still = [&mannequin.still, &mannequin.head];
    let heads = usize::from(view != ArmView::OwnEyes);
    let veiled = matches!(view, ArmView::Behind | ArmView::OwnEyes);
    backdrop.show(&still[..1 + heads], &scene.camera, veiled);
    let bow = mannequin.bow_arm(&scene.pose, Which::Shown);
    let other = scene.other().map(|(_, pose)| mannequin.bow_arm(pose, Which::Other));
    let pupils = mannequin.pupils(scene.pose.contact);
    let pupils = (heads > 0).then_some(&pupils);
    let moving: Vec<_> = [pupils, other.as_ref(), Some(&bow)].into_iter().flatten().collect();
    let image = Arc::new(backdrop.with(&moving));
    picture.image(Rect::new(0.0, 0.0, picture.width_mm, scene.bottom), image.clone());
    image
}

/// A line under the figure: where it is seen from, and what to mind.
fn caption(picture: &mut Picture, scene: &Scene) {
    let (size, figure) = (scene.figure.type_mm, scene.figure);
    let pose = &scene.pose;
    let (middle, foot) = (picture.width_mm / 2.0, picture.height_mm - 0.45 * size);
    let seen = figure.view.seen();
    // No larger than there is room for.
    let fitting = |words: &str, face| {
        let wide = glyph::text_width_mm(words, size, face).max(1e-6);
        size * (0.97 * figure.size_mm.0 / wide).min(1.0)
    };
    if pose.short_by_mm > 0.0 {
        let words = format!("beyond the reach of this arm by {:.0} cm", (pose.short_by_mm / 10.0).ceil());
        let size = fitting(&words, Face::SansBold);
        picture.text((middle, foot), words, size, (Face::SansBold, Anchor::Middle, Ink::Warn));
        return;
    }
    let words = if figure.large {
        let mind = match load(pose.upper_arm_deg) {
            Load::Vary => "the arm, not the shoulder; held long this tires: vary, and rest",
            Load::Free | Load::Limited { .. } => "the arm makes the level, not the shoulder",
        };
        format!("{seen}: {mind}")
    } else {
        seen.to_owned()
    };
    let size = fitting(&words, Face::Sans);
    picture.text((middle, foot), words, size, (Face::Sans, Anchor::Middle, Ink::Faint));
}
