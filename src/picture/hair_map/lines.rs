//! The lines of the hair map: corridor, plan, the way into a run-out, what cannot be played, what is settled.

use kurbo::{Circle, CubicBez, Line, ParamCurve, Point, Rect, Shape as _};

use super::{Map, pieces::Piece};
use crate::{
    bowing::{Reached, RunOut},
    picture::{
        Anchor, Face, Ink, Pen, Tag, glyph,
        path::{Slant, hatch, polygon, polyline},
    },
};

/// Distance of the lines over what cannot be played, along the time axis, mm.
const HATCH_MM: f64 = 2.6;

impl Map<'_> {
    pub(super) fn corridor(&mut self, pieces: &[Piece]) {
        let solution = &self.study.analysis().plan.solution;
        let mut shapes = Vec::new();
        for run in Self::runs(self.study.analysis(), pieces) {
            let (mut upper, mut lower): (Vec<Point>, Vec<Point>) = (Vec::new(), Vec::new());
            for piece in run {
                let (a, b) = (solution.corridor_start[piece.k], solution.corridor_finish[piece.k]);
                let (top, foot) = (piece.ends(a.1, b.1), piece.ends(a.0, b.0));
                upper.extend(self.ends_on_map(piece, top));
                lower.extend(self.ends_on_map(piece, foot));
            }
            lower.reverse();
            upper.extend(lower);
            shapes.push(polygon(upper));
        }
        for shape in shapes {
            self.picture.fill(shape, Ink::Corridor);
        }
    }

    pub(super) fn plan(&mut self, pieces: &[Piece]) {
        let solution = &self.study.analysis().plan.solution;
        let pen = Pen::solid(Ink::Plan, 0.6);
        let mut hops = Vec::new();
        let mut lines = Vec::new();
        let runs = Self::runs(self.study.analysis(), pieces);
        for (i, run) in runs.iter().enumerate() {
            let points = run.iter().flat_map(|piece| {
                let (start, end) = self.study.analysis().ends_mm(piece.k);
                self.ends_on_map(piece, piece.ends(start, end))
            });
            let points: Vec<Point> = points.collect();
            if let (Some(before), Some(&to)) = (i.checked_sub(1).and_then(|i| runs[i].last()), points.first())
            {
                let from = Point::new(before.x.1, self.y(solution.end_mm[before.k]));
                hops.push((from, to));
            }
            lines.push(polyline(points));
        }
        for (from, to) in hops {
            // A lift: a hop through the air, dotted.
            let rise = 3.0 + 0.1 * (to.x - from.x);
            let third = (to.x - from.x) / 3.0;
            let hop = CubicBez::new(from, from + (third, -rise), to - (third, rise), to);
            self.keep_clear(&hop);
            self.picture.stroke(hop.into_path(0.1), Pen::dotted(Ink::Plan, 0.4));
        }
        for line in lines {
            self.picture.stroke(line, pen);
        }
        for piece in pieces {
            self.keep_clear_of(piece);
            let note = self.study.analysis().bowed(piece.k);
            // A note from before the window has its start elsewhere.
            if piece.share.0 > 0.0 {
                continue;
            }
            let at = (piece.x.0, self.y(solution.start_mm[piece.k]));
            // Larger where the bow turns or is set, smaller inside a stroke.
            let radius = if note.reached == Reached::SameStroke { 0.65 } else { 0.95 };
            let tag = Some(Tag::Boundary(note.note));
            let dot = Circle::new(at, radius);
            self.picture.path(dot, Some(Ink::Paper), Some(Pen::solid(Ink::Plan, 0.4)), tag);
        }
        if let Some(last) =
            pieces.last().filter(|last| last.k + 1 == self.study.analysis().bowing.notes.len())
        {
            let dot = Circle::new((last.x.1, self.y(solution.end_mm[last.k])), 0.65);
            self.picture.fill(dot, Ink::Plan);
        }
    }

    /// Keeps words off the planned line of a piece.
    fn keep_clear_of(&mut self, piece: &Piece) {
        let (start, end) = self.study.analysis().ends_mm(piece.k);
        let (a, b) = piece.ends(start, end);
        let line = Line::new((piece.x.0, self.y(a)), (piece.x.1, self.y(b)));
        self.keep_clear(&line);
    }

    /// Keeps words off a line.
    fn keep_clear(&mut self, line: &impl ParamCurve) {
        let steps = ((line.end().x - line.start().x) / 1.5).ceil().clamp(1.0, 200.0);
        self.taken.extend((0..=steps as usize).map(|step| {
            let at = line.eval(step as f64 / steps);
            Rect::from_center_size(at, (1.6, 1.0))
        }));
    }

    /// The way into each run-out that is told, dashed: from where the bow is as planned to where the hair
    /// ends.
    pub(super) fn ghost(&mut self, pieces: &[Piece]) {
        let mut lines: Vec<Vec<Point>> = Vec::new();
        // Two ways may have notes in common; dashes over dashes would look like a full line.
        let mut drawn: Vec<[Point; 2]> = Vec::new();
        let ends = pieces.first().zip(pieces.last()).map_or(0..0, |(first, last)| first.k..last.k + 1);
        for run_out in self.study.analysis().run_outs_told_over(ends) {
            lines.push(Vec::new());
            for [from, to] in self.way_out(pieces, run_out) {
                let known = drawn.contains(&[from, to]);
                let last = lines.last().and_then(|line| line.last()).copied();
                if known || last.is_none_or(|last| (last.y - from.y).abs() > 0.05) {
                    lines.push(Vec::new());
                }
                if let Some(line) = lines.last_mut().filter(|_| !known) {
                    line.extend((last != Some(from) || line.is_empty()).then_some(from));
                    line.push(to);
                    drawn.push([from, to]);
                }
            }
        }
        for line in lines.into_iter().filter(|line| line.len() > 1) {
            self.picture.stroke(polyline(line), Pen::dashed(Ink::Ghost, 0.3));
        }
    }

    /// What is shown of the way into a run-out, note by note.
    fn way_out(&self, pieces: &[Piece], run_out: &RunOut) -> Vec<[Point; 2]> {
        let shown = pieces.iter().filter(|piece| (run_out.since..=run_out.piece).contains(&piece.k));
        let lines = shown.filter_map(|piece| {
            let (a, b) = run_out.path[piece.k - run_out.since];
            // The hair ends inside the last note.
            let seconds = self.study.analysis().piece(piece.k).seconds;
            let ends = piece.k == run_out.piece && seconds > 0.0;
            let until = if ends { run_out.seconds_in / seconds } else { 1.0 };
            let (from, to) = (piece.share.0, piece.share.1.min(until));
            let x = |share: f64| {
                let part = (share - from) / (piece.share.1 - from);
                piece.x.0 + (piece.x.1 - piece.x.0) * part
            };
            let at = |share: f64| Point::new(x(share), self.y(a + (b - a) * share / until));
            (to > from).then(|| [from, to].map(at))
        });
        lines.collect()
    }

    /// What cannot be played is hatched from where it fails to where playing goes on.
    pub(super) fn impossible_stretches(&mut self, pieces: &[Piece]) {
        let (from, to) = (pieces.first().map_or(0, |first| first.k), pieces.last().map_or(0, |last| last.k));
        let spots = &self.study.analysis().plan.solution.impossible;
        // Spots are in the order of the music; a stretch may begin before the window.
        let first = spots.partition_point(|spot| spot.resumes < from);
        for spot in spots[first..].iter().take_while(|spot| spot.piece <= to) {
            let Some(first) = self.study.analysis().bowing.notes.get(spot.piece) else { continue };
            let next = self.study.analysis().bowing.notes.get(spot.resumes);
            let end = next.map_or(first.onset_s + first.sounding_s, |next| next.onset_s);
            let x = |seconds: f64| self.system.axis.x_f64(self.study.analysis().quarters_at(seconds));
            let x0 = x(first.onset_s).max(self.left);
            let x1 = x(end.max(first.onset_s + first.sounding_s)).min(self.system.right_mm);
            if x1 <= x0 {
                continue;
            }
            let hatch = hatch(Rect::new(x0, self.tip_y, x1, self.frog_y), HATCH_MM, Slant::Rising);
            self.picture.stroke(hatch, Pen::solid(Ink::Warn, 0.15));
        }
    }

    /// A bar with end ticks along the frog under notes whose bowing is settled.
    pub(super) fn settled(&mut self, pieces: &[Piece]) {
        let kept = |piece: &&Piece| {
            let note = self.study.analysis().note(piece.k);
            self.study.lesson().kept.contains(&note.id())
        };
        let mut spans: Vec<(f64, f64, usize)> = Vec::new();
        for piece in pieces.iter().filter(kept) {
            match spans.last_mut() {
                Some(last) if last.2 + 1 == piece.k => (last.1, last.2) = (piece.x.1, piece.k),
                _ => spans.push((piece.x.0, piece.x.1, piece.k)),
            }
        }
        let y = self.frog_y - 0.9;
        for (l, r, _) in spans {
            let line = [(l, y - 0.8), (l, y + 0.8), (l, y), (r, y), (r, y - 0.8), (r, y + 0.8)];
            self.picture.stroke(polyline(line), Pen::solid(Ink::Level, 0.45));
            let width = glyph::text_width_mm("settled", self.words_mm, Face::Sans);
            let spots = [l + 0.8, r - 0.8 - width].map(|left| Point::new(left, y - 1.2));
            self.label("settled", width, &spots, (Face::Sans, Anchor::Start, Ink::Level), None);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        analysis::Study,
        lesson::{Lesson, change, demo::demo},
        picture::{Engraving, Item, System, TimeAxis, hair_map},
    };

    /// How often "settled" stands on the map of a whole lesson.
    fn settled(lesson: &Lesson) -> usize {
        let axis = TimeAxis::new(&lesson.score, &Engraving::new(&lesson.score));
        let system = System::whole(&lesson.score, &axis, 0.0);
        let map = hair_map(&Study::new(lesson.clone()), &system, None, 60.0, 1.0);
        let words = |item: &&Item| matches!(item, Item::Text { text, .. } if text == "settled");
        map.picture.items.iter().filter(words).count()
    }

    #[test]
    fn settled_bowing_is_marked_once_for_each_run_of_notes() {
        let lesson = demo();
        assert_eq!(settled(&lesson), 0);
        let ids: Vec<_> = lesson.score.events.iter().map(|event| event.id).collect();
        let (next, _) = change::keep_bowing(&lesson, &ids[..3], true).unwrap().apply(&lesson).unwrap();
        assert_eq!(settled(&next), 1);
        let (next, _) = change::keep_bowing(&next, &ids[6..8], true).unwrap().apply(&next).unwrap();
        assert_eq!(settled(&next), 2);
    }
}
