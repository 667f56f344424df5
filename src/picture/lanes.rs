//! The levels of the bow arm on the time axis of the staff: one lane for each string and each pair,
//! at the height of its bow plane, and the curve of the bow through them.

use kurbo::Point;

use super::{Anchor, Dash, Face, Ink, Pen, Picture, Tag, TimeAxis, path::polyline};
use crate::{
    analysis::Analysis,
    arm::{Finger, Joint, Plane},
    lesson::Lesson,
    score::Quarters,
};

/// Mean distance between two lanes, mm.
const LANE_MM: f64 = 2.4;
/// Room over the first lane, mm.
const TOP_MM: f64 = 1.6;
/// Size of the finger set ahead of a crossing, mm.
const FINGER_MM: f64 = 2.1;
/// A finger is told only this far from the one before, mm.
const FINGER_APART_MM: f64 = 2.4;

struct Lanes<'a> {
    lesson: &'a Lesson,
    analysis: &'a Analysis,
    axis: &'a TimeAxis,
    window: (Quarters, Quarters),
    /// Left and right end of the plot, mm.
    sides: (f64, f64),
    /// Angles of the first and the last lane, degrees.
    ends: (f64, f64),
    height: f64,
    picture: Picture,
}

/// Draws the lanes from `from` to `to`: strings solid, pairs dotted, the highest string at the top,
/// each with the angle of its bow plane to the floor of the instrument. On the curve of the bow a
/// crossing led by the upper arm has a bar where it starts to move; where the level goes back and
/// forth, the level between is dashed. A finger to be set ahead stands where the bow will be. A note
/// whose strings cannot be told is marked.
pub fn level_lanes(
    lesson: &Lesson,
    analysis: &Analysis,
    axis: &TimeAxis,
    window: (Quarters, Quarters),
    sides_mm: (f64, f64),
) -> Picture {
    let angles: Vec<f64> = analysis.arm_path.fan.all().map(|level| level.angle_deg).collect();
    let height = LANE_MM * angles.len().saturating_sub(1) as f64;
    let mut lanes = Lanes {
        lesson,
        analysis,
        axis,
        window,
        sides: (axis.barline_x(window.0).max(sides_mm.0), sides_mm.1),
        ends: (angles.first().copied().unwrap_or(0.0), angles.last().copied().unwrap_or(1.0)),
        height,
        picture: Picture::new(sides_mm.1, TOP_MM + height + 1.8),
    };
    lanes.grid();
    lanes.alternations();
    lanes.curve();
    lanes.problems();
    lanes.fingers();
    lanes.picture
}

impl Lanes<'_> {
    fn y(&self, angle_deg: f64) -> f64 {
        let (first, last) = self.ends;
        let whole = if (last - first).abs() > 1e-9 { last - first } else { 1.0 };
        TOP_MM + self.height * ((angle_deg - first) / whole).clamp(-0.2, 1.2)
    }

    fn y_of(&self, plane: Plane) -> f64 {
        self.y(self.analysis.arm_path.fan.level(plane).angle_deg)
    }

    /// x of a moment in seconds, held inside the plot.
    fn x(&self, seconds: f64) -> f64 {
        self.axis.x_f64(self.analysis.quarters_at(seconds)).clamp(self.sides.0, self.sides.1)
    }

    fn span_s(&self) -> (f64, f64) {
        (self.analysis.seconds_at(self.window.0), self.analysis.seconds_at(self.window.1))
    }

    fn grid(&mut self) {
        let (left, right) = self.sides;
        let analysis = self.analysis;
        for (lane, level) in analysis.arm_path.fan.all().enumerate() {
            let single = lane % 2 == 0;
            let y = self.y(level.angle_deg);
            let pen = if single { Pen::solid(Ink::Rule, 0.3) } else { Pen::dotted(Ink::Rule, 0.22) };
            let path = polyline([(left, y), (right, y)]);
            self.picture.path(path, None, Some(pen), Some(Tag::Level(lane)));
            let (ink, size) = if single { (Ink::Text, 2.5) } else { (Ink::Faint, 2.0) };
            let place = (left - 1.6, y + 0.36 * size);
            self.picture.text(place, level.name.as_str(), size, (Face::Sans, Anchor::End, ink));
            if single {
                let words = format!("{:.0}°", level.angle_deg).replace('-', "\u{2013}");
                let place = (left - 9.5, y + 0.36 * 2.0);
                self.picture.text(place, words, 2.0, (Face::Sans, Anchor::End, Ink::Faint));
            }
        }
        let bars = &self.lesson.score.bars;
        let inside = bars.iter().filter(|bar| bar.start >= self.window.0 && bar.start < self.window.1);
        let edges: Vec<f64> = inside.map(|bar| self.axis.barline_x(bar.start)).chain([right]).collect();
        for x in edges {
            self.picture.line((x, TOP_MM), (x, TOP_MM + self.height), Pen::solid(Ink::Rule, 0.3));
        }
    }

    fn alternations(&mut self) {
        let (from, to) = self.span_s();
        for figure in &self.analysis.arm_path.alternations {
            let bowed = &self.analysis.bowing.notes;
            let (start, last) = (&bowed[figure.notes.0], &bowed[figure.notes.1]);
            let end = last.onset_s + last.sounding_s;
            if end > from && start.onset_s < to {
                let y = self.y(figure.middle_deg);
                let pen = Pen { dash: Dash::Dashed, ..Pen::solid(Ink::Level, 0.35) };
                self.picture.line((self.x(start.onset_s), y), (self.x(end), y), pen);
            }
        }
    }

    fn curve(&mut self) {
        let analysis = self.analysis;
        let (from, to) = self.span_s();
        let first = analysis.bowing.notes.partition_point(|note| note.onset_s < from).saturating_sub(1);
        let mut line: Vec<Point> = Vec::new();
        let mut lines: Vec<Vec<Point>> = Vec::new();
        for (k, note) in analysis.bowing.notes.iter().enumerate().skip(first) {
            if note.onset_s >= to {
                break;
            }
            let end = note.onset_s + note.sounding_s;
            let next = analysis.bowing.notes.get(k + 1);
            // A rest breaks the curve: the arm goes over in the air.
            let rests = next.is_some_and(|next| self.rests_between(note.note, next.note));
            let curve = analysis.level_curve(k);
            let kept = curve.into_iter().filter(|(at, _)| *at >= from && *at <= to && !(rests && *at > end));
            line.extend(kept.map(|(at, angle)| Point::new(self.x(at), self.y(angle))));
            if rests {
                lines.push(std::mem::take(&mut line));
            }
            let Some(crossing) = analysis.arm_path.crossing_into(k + 1).filter(|_| !rests) else { continue };
            if crossing.joint == Joint::UpperArm && (from..to).contains(&crossing.starts_s) {
                let (x, y) = (self.x(crossing.starts_s), self.y_of(crossing.from));
                self.picture.line((x, y - 0.9), (x, y + 0.9), Pen::solid(Ink::Level, 0.5));
            }
        }
        lines.push(line);
        for line in lines.into_iter().filter(|line| line.len() > 1) {
            self.picture.stroke(polyline(line), Pen::solid(Ink::Level, 0.7));
        }
    }

    fn rests_between(&self, note: usize, next: usize) -> bool {
        let line = &self.analysis.line.notes;
        next > note + 1 || line[note].end() < line[next].onset
    }

    fn problems(&mut self) {
        let analysis = self.analysis;
        for (note, placement) in analysis.line.notes.iter().zip(&analysis.left_hand.placements) {
            let outside = note.onset < self.window.0 || note.onset >= self.window.1;
            if outside || placement.problem.is_none() || note.pizzicato {
                continue;
            }
            let (x, y) = (self.axis.x(note.onset), self.y_of(placement.plane));
            let tag = Some(Tag::Event(note.id()));
            for mark in [[(x - 1.0, y - 1.0), (x + 1.0, y + 1.0)], [(x - 1.0, y + 1.0), (x + 1.0, y - 1.0)]] {
                self.picture.path(polyline(mark), None, Some(Pen::solid(Ink::Warn, 0.5)), tag);
            }
        }
    }

    /// The finger that must lie on its string before the bow arrives.
    fn fingers(&mut self) {
        let analysis = self.analysis;
        let mut taken = f64::NEG_INFINITY;
        for cue in &analysis.left_hand.cues {
            let note = &analysis.line.notes[cue.note];
            if note.onset < self.window.0 || note.onset >= self.window.1 || cue.finger == Finger::Open {
                continue;
            }
            let x = self.axis.x(note.onset) - 1.0;
            if x < self.sides.0 + 1.0 || x < taken + FINGER_APART_MM {
                continue;
            }
            taken = x;
            let y = self.y_of(Plane::String(cue.string));
            let words = if cue.hops_from.is_some() && !cue.across {
                format!("{}!", cue.finger.mark())
            } else {
                cue.finger.mark().to_owned()
            };
            let place = (x, y + 0.36 * FINGER_MM);
            self.picture.text(place, words, FINGER_MM, (Face::Sans, Anchor::End, Ink::Text));
        }
    }
}
