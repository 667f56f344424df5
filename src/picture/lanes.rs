//! The levels of the bow arm on the time axis of the staff: one lane for each string and each pair.

use super::{Anchor, Face, Ink, Path, Pen, Picture, Point, Tag, TimeAxis};
use crate::{analysis::Analysis, lesson::Lesson, score::Quarters};

/// Distance between two lanes, mm.
const LANE_MM: f64 = 2.4;

/// Draws the lanes from `from` to `to`: strings solid, pairs dotted, the highest string at the top.
/// A note whose strings cannot be told is marked.
pub fn level_lanes(
    lesson: &Lesson,
    analysis: &Analysis,
    axis: &TimeAxis,
    window: (Quarters, Quarters),
    sides_mm: (f64, f64),
) -> Picture {
    let (from, to) = window;
    let (left, right) = (axis.barline_x(from).max(sides_mm.0), sides_mm.1);
    let names: Vec<&str> = analysis.fan.all().map(|level| level.name.as_str()).collect();
    let y = |lane: usize| 1.6 + LANE_MM * lane as f64;
    let mut picture = Picture::new(right, y(names.len().saturating_sub(1)) + 1.8);
    for (lane, name) in names.iter().enumerate() {
        let single = lane % 2 == 0;
        let pen = if single { Pen::solid(Ink::Rule, 0.3) } else { Pen::dotted(Ink::Rule, 0.22) };
        let path = Path::polyline(&[(left, y(lane)), (right, y(lane))]);
        picture.path(path, None, Some(pen), Some(Tag::Level(lane)));
        let (ink, size) = if single { (Ink::Text, 2.5) } else { (Ink::Faint, 2.0) };
        picture.text((left - 1.6, y(lane) + 0.36 * size), *name, size, (Face::Sans, Anchor::End, ink));
    }
    let bars = lesson.score.bars.iter().filter(|bar| bar.start >= from && bar.start < to);
    for x in bars.map(|bar| axis.barline_x(bar.start)).chain([right]) {
        picture.line((x, y(0)), (x, y(names.len().saturating_sub(1))), Pen::solid(Ink::Rule, 0.3));
    }

    let mut line: Vec<Point> = Vec::new();
    let mut lines: Vec<Vec<Point>> = Vec::new();
    let mut end = Quarters::ZERO;
    for (note, placement) in analysis.line.iter().zip(&analysis.placements) {
        if note.end() <= from || note.onset >= to || note.grace.is_some() {
            continue;
        }
        // A rest and a plucked note break the curve.
        if note.onset > end || note.pizzicato {
            lines.push(std::mem::take(&mut line));
        }
        end = note.end();
        if note.pizzicato {
            continue;
        }
        let (x0, x1) = (axis.x(note.onset).max(left), axis.x(note.end()).min(right));
        let planes =
            if placement.planes.is_empty() { vec![placement.plane] } else { placement.planes.clone() };
        let lead = 1.1_f64.min((x1 - x0) / 3.0);
        for (i, plane) in planes.iter().enumerate() {
            // A broken chord climbs at its start.
            let start = x0 + lead * i as f64;
            let stop = if i + 1 < planes.len() { start + 0.3 * lead } else { x1 - lead };
            line.extend([(start, y(plane.index())), (stop.max(start), y(plane.index()))]);
        }
        if placement.problem.is_some() {
            let at = y(planes[planes.len() - 1].index());
            let mark = [(x0 - 1.0, at - 1.0), (x0 + 1.0, at + 1.0)];
            let tag = Some(Tag::Event(note.id()));
            picture.path(Path::polyline(&mark), None, Some(Pen::solid(Ink::Warn, 0.5)), tag);
            let mark = [(x0 - 1.0, at + 1.0), (x0 + 1.0, at - 1.0)];
            picture.path(Path::polyline(&mark), None, Some(Pen::solid(Ink::Warn, 0.5)), tag);
        }
    }
    lines.push(line);
    for line in lines.into_iter().filter(|line| line.len() > 1) {
        picture.path(Path::polyline(&line), None, Some(Pen::solid(Ink::Level, 0.7)), None);
    }
    picture
}
