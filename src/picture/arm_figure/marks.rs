//! What is marked on the figure: the places of the elbow, the right angle of the bow.

use kurbo::{Circle, Point};

use super::{ArmView, Scene};
use crate::{
    arm::Vec3,
    picture::{Ink, Pen, Picture, path::polyline},
};

pub(super) fn draw(picture: &mut Picture, scene: &Scene, contact_is_seen: bool) {
    // Where the arm is too short the bow leaves this line.
    let leaves = scene.pose.short_by_mm > 0.0 && scene.figure.view != ArmView::OwnEyes;
    if scene.figure.view == ArmView::Above || leaves {
        right_angle(picture, scene, if leaves { Ink::Warn } else { Ink::Now });
    }
    if contact_is_seen {
        contact(picture, scene);
    }
    if scene.figure.view.shows_heights() {
        elbows(picture, scene);
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
fn right_angle(picture: &mut Picture, scene: &Scene, ink: Ink) {
    let pose = &scene.pose;
    let bow = (pose.frog - pose.tip).unit_or(Vec3::new(1.0, 0.0, 0.0));
    let long = (pose.frog - pose.tip).length();
    let along = scene.mannequin.along();
    let size = scene.figure.type_mm;
    let pen = Pen::dashed(ink, 0.1 * size);
    for (direction, from, to) in [(bow, -0.75, 0.75), (along, -0.35, 0.6)] {
        let ends = [from, to].map(|share| scene.at(pose.contact + direction * (share * long)));
        if let [Some(a), Some(b)] = ends {
            picture.line(a, b, pen);
        }
    }
    let corner = [bow * 0.055, bow * 0.055 + along * 0.055, along * 0.055];
    let corner: Vec<Point> = corner.iter().filter_map(|v| scene.at(pose.contact + *v * long)).collect();
    picture.stroke(polyline(corner), Pen::solid(ink, 0.12 * size));
}
