//! Places on the bow as small signs over the staff: a little bow for each stroke, with the hair that it takes.

use kurbo::{Circle, Point, Rect};

use super::{Ink, Pen, Picture, System};
use crate::analysis::Study;

/// Length of the little bow, and room kept between two, mm.
const LONG_MM: f64 = 6.4;
const AIR_MM: f64 = 0.9;
/// Height of the row, and of the bow in it, mm.
const ROW_MM: f64 = 3.4;
const BOW_Y: f64 = 1.7;
/// Half the side of the frog, radius of the dot where a stroke starts, mm.
const FROG_MM: f64 = 0.65;
const DOT_MM: f64 = 0.72;
/// The hair, and what a stroke takes of it.
const HAIR: Pen = Pen::solid(Ink::Faint, 0.22);
pub(super) const TAKEN: Pen = Pen::solid(Ink::Plan, 0.85);

/// Draws a row of signs on the time axis of a staff, to stand over it: over the first note of each stroke that has
/// room for it a little bow, the frog at the left, a dot where the stroke starts and a thick line up to where it
/// ends.
pub fn bow_signs(study: &Study, system: &System) -> Picture {
    let analysis = study.analysis();
    let hair = study.lesson().setup.bow.hair_mm.max(1.0);
    let mut picture = Picture::new(system.right_mm, ROW_MM);
    let mut free = system.left_mm;
    for stroke in &analysis.bowing.strokes {
        let first = analysis.note(stroke.notes.start);
        if !system.shows(first.onset) {
            continue;
        }
        let left = system.axis.x(first.onset) - 0.2 * LONG_MM;
        if left < free || left + LONG_MM > system.right_mm {
            continue;
        }
        free = left + LONG_MM + AIR_MM;
        let from = analysis.plan.places_mm(stroke.notes.start).0 / hair;
        let to = analysis.plan.places_mm(stroke.notes.end - 1).1 / hair;
        sign(&mut picture, Point::new(left, BOW_Y), (from, to));
    }
    picture
}

/// One sign with its frog at a point, for a stroke between two shares of the hair.
pub(super) fn sign(picture: &mut Picture, at: Point, (from, to): (f64, f64)) {
    let x = |share: f64| at + (FROG_MM + (LONG_MM - FROG_MM) * share.clamp(0.0, 1.0), 0.0);
    picture.line(at, at + (LONG_MM, 0.0), HAIR);
    let frog = Rect::from_center_size(at + (0.2, 0.35), (2.0 * FROG_MM, 2.0 * FROG_MM));
    picture.fill(frog, Ink::Ebony);
    picture.line(at + (LONG_MM, -0.6), at + (LONG_MM, 0.6), HAIR);
    picture.line(x(from), x(to), TAKEN);
    picture.fill(Circle::new(x(from), DOT_MM), Ink::Plan);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::demo::demo,
        picture::{Engraving, Item, TimeAxis},
    };

    #[test]
    fn a_sign_has_its_dot_where_the_stroke_starts_and_signs_keep_apart() {
        let study = Study::new(demo());
        let score = &study.lesson().score;
        let system = System::whole(score, &TimeAxis::new(score, &Engraving::new(score)), 20.0);
        let picture = bow_signs(&study, &system);
        let taken: Vec<Rect> = picture
            .items
            .iter()
            .filter(|item| matches!(item, Item::Path { stroke: Some(pen), .. } if *pen == TAKEN))
            .filter_map(Item::bounds)
            .collect();
        let analysis = study.analysis();
        assert!(taken.len() > analysis.bowing.strokes.len() / 2);
        assert!(taken.windows(2).all(|two| two[0].x1 < two[1].x0));
        // The first stroke takes its share of the little hair.
        let stroke = &analysis.bowing.strokes[0];
        let (from, to) =
            (analysis.plan.places_mm(stroke.notes.start).0, analysis.plan.places_mm(stroke.notes.end - 1).1);
        let hair = study.lesson().setup.bow.hair_mm;
        let share = (to - from).abs() / hair;
        assert!((taken[0].width() - share * (LONG_MM - FROG_MM)).abs() < 1e-9);
    }
}
