//! The levels of the bow arm on the time axis of the staff: one lane for each string and each pair,
//! at the height of its bow plane, and the curve of the bow through them.

use kurbo::Point;

use super::{Anchor, Dash, Face, Ink, Pen, Picture, System, Tag, glyph, path::polyline};
use crate::{
    analysis::Study,
    arm::{Finger, Joint, Plane},
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
    study: &'a Study,
    system: &'a System,
    /// Left end of the plot, mm.
    left: f64,
    /// Angles of the first and the last lane, degrees.
    ends: (f64, f64),
    height: f64,
    picture: Picture,
}

/// Draws the lanes of a system: strings solid, pairs dotted, the highest string at the top, each with
/// the angle of its bow plane to the floor of the instrument. On the curve of the bow a crossing led
/// by the upper arm has a bar where it starts to move; where the level goes back and forth, the level
/// between is dashed. A finger to be set ahead stands where the bow will be. A note whose strings
/// cannot be told is marked.
pub fn level_lanes(study: &Study, system: &System) -> Picture {
    let angles: Vec<f64> = study.analysis().arm_path.fan.all().map(|level| level.angle_deg).collect();
    let height = LANE_MM * angles.len().saturating_sub(1) as f64;
    let mut lanes = Lanes {
        study,
        system,
        left: system.music_left_mm(),
        ends: (angles.first().copied().unwrap_or(0.0), angles.last().copied().unwrap_or(1.0)),
        height,
        picture: Picture::new(system.right_mm, TOP_MM + height + 1.8),
    };
    lanes.grid();
    lanes.alternations();
    lanes.curve();
    lanes.problems();
    lanes.fingers();
    lanes.picture
}

/// What lies of a curve of straight lines between two moments, with the points where it is cut.
fn between(curve: &[(f64, f64)], from: f64, to: f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    for ends in curve.windows(2) {
        let ((begin, first), (end, last)) = (ends[0], ends[1]);
        let at = |moment: f64| {
            let share = if end > begin { (moment - begin) / (end - begin) } else { 0.0 };
            (moment, first + (last - first) * share)
        };
        if begin <= to && end >= from {
            kept.extend([at(begin.max(from)), at(end.min(to))]);
        }
    }
    kept.dedup();
    kept
}

impl Lanes<'_> {
    fn y(&self, angle_deg: f64) -> f64 {
        let (first, last) = self.ends;
        let whole = if (last - first).abs() > 1e-9 { last - first } else { 1.0 };
        TOP_MM + self.height * ((angle_deg - first) / whole).clamp(-0.2, 1.2)
    }

    fn y_of(&self, plane: Plane) -> f64 {
        self.y(self.study.analysis().arm_path.fan.level(plane).angle_deg)
    }

    /// x of a moment in seconds, held inside the plot.
    fn x(&self, seconds: f64) -> f64 {
        self.system
            .axis
            .x_f64(self.study.analysis().quarters_at(seconds))
            .clamp(self.left, self.system.right_mm)
    }

    fn span_s(&self) -> (f64, f64) {
        (self.study.analysis().seconds_at(self.system.from), self.study.analysis().seconds_at(self.system.to))
    }

    fn grid(&mut self) {
        let (left, right) = (self.left, self.system.right_mm);
        let analysis = self.study.analysis();
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
        let bars = &self.study.lesson().score.bars;
        let first = bars.partition_point(|bar| bar.start < self.system.from);
        let inside = bars[first..].iter().take_while(|bar| bar.start < self.system.to);
        let inside = inside.filter(|bar| self.system.axis.has_barline(bar.start));
        let edges: Vec<f64> =
            inside.map(|bar| self.system.axis.barline_x(bar.start)).chain([right]).collect();
        for x in edges {
            self.picture.line((x, TOP_MM), (x, TOP_MM + self.height), Pen::solid(Ink::Rule, 0.3));
        }
    }

    fn alternations(&mut self) {
        let (from, to) = self.span_s();
        let bowed = &self.study.analysis().bowing.notes;
        let first = bowed.partition_point(|note| note.onset_s < from).saturating_sub(1);
        for figure in self.study.analysis().arm_path.alternations_from(first) {
            let (start, last) = (&bowed[figure.notes.0], &bowed[figure.notes.1]);
            let end = last.onset_s + last.sounding_s;
            if start.onset_s >= to {
                break;
            }
            if end > from {
                let y = self.y(figure.middle_deg);
                let pen = Pen { dash: Dash::Dashed, ..Pen::solid(Ink::Level, 0.35) };
                self.picture.line((self.x(start.onset_s), y), (self.x(end), y), pen);
            }
        }
    }

    fn curve(&mut self) {
        let analysis = self.study.analysis();
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
            let curve = between(&analysis.level_curve(k), from, if rests { end.min(to) } else { to });
            line.extend(curve.into_iter().map(|(at, angle)| Point::new(self.x(at), self.y(angle))));
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
        let line = &self.study.analysis().line.notes;
        next > note + 1 || line[note].end() < line[next].onset
    }

    fn problems(&mut self) {
        let analysis = self.study.analysis();
        let here = analysis.line.between(self.system.from, self.system.to);
        for (note, placement) in here.clone().zip(&analysis.left_hand.placements[here]) {
            let note = &analysis.line.notes[note];
            if placement.problem.is_none() || note.pizzicato {
                continue;
            }
            let (x, y) = (self.system.axis.x(note.onset), self.y_of(placement.plane));
            let tag = Some(Tag::Event(note.id()));
            for mark in [[(x - 1.0, y - 1.0), (x + 1.0, y + 1.0)], [(x - 1.0, y + 1.0), (x + 1.0, y - 1.0)]] {
                self.picture.path(polyline(mark), None, Some(Pen::solid(Ink::Warn, 0.5)), tag);
            }
        }
    }

    /// The finger that must lie on its string before the bow arrives.
    fn fingers(&mut self) {
        let analysis = self.study.analysis();
        let mut taken = f64::NEG_INFINITY;
        let mut said = [false; 2];
        for cue in analysis.left_hand.cues_of(analysis.line.between(self.system.from, self.system.to)) {
            let note = &analysis.line.notes[cue.note];
            if cue.finger == Finger::Open {
                continue;
            }
            let x = self.system.axis.x(note.onset) - 1.0;
            if x < self.left + 1.0 || x < taken + FINGER_APART_MM {
                continue;
            }
            let before = std::mem::replace(&mut taken, x);
            let y = self.y_of(Plane::String(cue.string));
            let hops = cue.hops_from.is_some() && !cue.across;
            let mark = cue.finger.mark();
            // The first of each kind with room for it says in words what the others only mark.
            let told = &mut said[usize::from(hops)];
            let whole = format!("finger {mark}{}", if hops { " hops!" } else { " ready" });
            let room = x - glyph::text_width_mm(&whole, FINGER_MM, Face::Sans);
            let words = if !*told && room > before.max(self.left) {
                *told = true;
                whole
            } else {
                format!("{mark}{}", if hops { "!" } else { "" })
            };
            let place = (x, y + 0.36 * FINGER_MM);
            self.picture.text(place, words, FINGER_MM, (Face::Sans, Anchor::End, Ink::Text));
        }
    }
}
