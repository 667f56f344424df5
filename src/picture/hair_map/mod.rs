//! The hair map: where on the bow the music lies, on the time axis of the staff. The frog is at
//! the bottom, the tip at the top.

mod marks;
mod other;

pub use other::OtherPath;

use kurbo::{BezPath, Circle, Point, Rect};

use super::{
    Anchor, Dash, Face, Ink, Pen, Picture, Tag, TimeAxis, glyph,
    path::{curve, polygon, polyline, start},
};
use crate::{
    analysis::Analysis,
    bowing::{Finding, Reached, Verdict},
    lesson::Lesson,
    score::{Direction, Quarters},
};

/// Size of words, mm.
const WORDS_MM: f64 = 2.7;
/// Height of a row of labels, mm.
const ROW_MM: f64 = 4.0;
/// Room over the tip and under the frog besides the rows, mm.
const EDGE_MM: f64 = 1.6;
/// Rows for words over the tip and under the frog, where the height must not change with the music.
const ROWS: (usize, usize) = (2, 1);
/// The path as marked is drawn where it leaves the plan by more than this, mm of hair. Assumed.
const GHOST_FROM_MM: f64 = 3.0;

/// A drawn hair map and its scale.
#[derive(Clone, Debug)]
pub struct HairMap {
    /// The drawing.
    pub picture: Picture,
    /// y of the tip end of the hair, mm.
    pub tip_y_mm: f64,
    /// y of the frog end of the hair, mm.
    pub frog_y_mm: f64,
}

struct Map<'a> {
    lesson: &'a Lesson,
    analysis: &'a Analysis,
    axis: &'a TimeAxis,
    window: (Quarters, Quarters),
    /// Left and right end of the plot, mm.
    sides: (f64, f64),
    tip_y: f64,
    frog_y: f64,
    picture: Picture,
    /// Rows for words over the tip and under the frog.
    rows: (usize, usize),
    /// Size of type, mm.
    words_mm: f64,
    /// Boxes taken by labels.
    taken: Vec<Rect>,
}

/// Draws the hair map from `from` to `to`. Names stand left of the first barline; the plot is
/// `height_mm` high and ends at the right of `sides_mm`. Two rows over it and one under it are kept
/// for words; a finding whose words find no room keeps its mark. Words grow by `type_factor` as far as
/// the rows let them. With another path to compare with, that one is shown in the place of the path as
/// marked.
pub fn hair_map(
    lesson: &Lesson,
    analysis: &Analysis,
    axis: &TimeAxis,
    window: (Quarters, Quarters),
    sides_mm: (f64, f64),
    height_mm: f64,
    other: Option<OtherPath<'_>>,
    type_factor: f64,
) -> HairMap {
    let words_mm = WORDS_MM * type_factor.min(ROW_MM / WORDS_MM);
    draw(lesson, analysis, axis, window, sides_mm, height_mm, other, (ROWS, words_mm))
}

/// [`hair_map`] with only as many rows for words as this window can use.
pub(super) fn fitting_hair_map(
    lesson: &Lesson,
    analysis: &Analysis,
    axis: &TimeAxis,
    window: (Quarters, Quarters),
    sides_mm: (f64, f64),
    height_mm: f64,
    other: Option<OtherPath<'_>>,
) -> HairMap {
    draw(
        lesson,
        analysis,
        axis,
        window,
        sides_mm,
        height_mm,
        other,
        (fitting_rows(analysis, window), WORDS_MM),
    )
}

/// Rows for words over the tip and under the frog that a window can use.
pub(super) fn fitting_rows(analysis: &Analysis, window: (Quarters, Quarters)) -> (usize, usize) {
    let inside = |finding: &&Finding| finding.at >= window.0 && finding.at < window.1;
    let (mut over, mut under) = (0, 0);
    for finding in analysis.findings.told.iter().filter(inside) {
        match finding.verdict {
            Verdict::Impossible => over += 1,
            Verdict::RunsOut if runs_down(analysis, finding.note) => over += 1,
            Verdict::RunsOut => under += 1,
            Verdict::Tight | Verdict::Notice => {}
        }
    }
    (over.min(ROWS.0), under.min(ROWS.1))
}

/// Height of everything on a hair map but the hair, mm.
pub(super) fn words_mm(rows: (usize, usize)) -> f64 {
    ROW_MM * (rows.0 + rows.1) as f64 + 2.0 * EDGE_MM
}

/// True where the hair ends at the tip.
fn runs_down(analysis: &Analysis, note: usize) -> bool {
    let bowed = analysis.bowed_of(note);
    bowed.is_none_or(|k| analysis.bowed(k).direction == Direction::Down)
}

fn draw(
    lesson: &Lesson,
    analysis: &Analysis,
    axis: &TimeAxis,
    window: (Quarters, Quarters),
    sides_mm: (f64, f64),
    height_mm: f64,
    other: Option<OtherPath<'_>>,
    (rows, type_mm): ((usize, usize), f64),
) -> HairMap {
    let tip_y = ROW_MM * rows.0 as f64 + EDGE_MM;
    let frog_y = tip_y + height_mm;
    let height = height_mm + words_mm(rows);
    let mut map = Map {
        lesson,
        analysis,
        axis,
        window,
        sides: (axis.barline_x(window.0).max(sides_mm.0), sides_mm.1),
        tip_y,
        frog_y,
        picture: Picture::new(sides_mm.1, height),
        rows,
        words_mm: type_mm,
        taken: Vec::new(),
    };
    let pieces = map.pieces(analysis);
    map.impossible_stretches();
    map.corridor(&pieces);
    map.grid();
    let apart = match other {
        Some(other) => map.other(&other),
        None => {
            map.ghost(&pieces);
            Vec::new()
        }
    };
    map.plan(&pieces);
    map.settled(&pieces);
    map.pins();
    map.findings();
    if let Some(other) = other {
        map.other_words(&other, &apart);
    }
    HairMap { picture: map.picture, tip_y_mm: tip_y, frog_y_mm: frog_y }
}

/// One bowed note on the map: its place among the bowed notes, its ends on the axis, and the
/// shares of it at which the window begins and ends.
#[derive(Clone, Copy)]
struct Piece {
    k: usize,
    x: (f64, f64),
    share: (f64, f64),
}

impl Piece {
    /// What lies between two values at the ends of the note, at the ends of what is shown of it.
    fn ends(&self, start: f64, end: f64) -> (f64, f64) {
        let at = |share: f64| start + (end - start) * share;
        (at(self.share.0), at(self.share.1))
    }
}

impl Map<'_> {
    fn y(&self, hair_mm: f64) -> f64 {
        let hair = self.lesson.setup.bow.hair_mm.max(1.0);
        self.frog_y + (self.tip_y - self.frog_y) * hair_mm / hair
    }

    /// Places on the map for two places on the hair, at the ends of what is shown of a note.
    fn ends_on_map(&self, piece: &Piece, hair_mm: (f64, f64)) -> [Point; 2] {
        [Point::new(piece.x.0, self.y(hair_mm.0)), Point::new(piece.x.1, self.y(hair_mm.1))]
    }

    /// The bowed notes of a version that sound in the window.
    fn pieces(&self, analysis: &Analysis) -> Vec<Piece> {
        let (from, to) = (self.window.0.to_f64(), self.window.1.to_f64());
        let x = |at: f64| self.axis.x_f64(at).clamp(self.sides.0, self.sides.1);
        // Onsets are in order; the note before the window may reach into it.
        let start_s = analysis.seconds_at(self.window.0);
        let first = analysis.bowing.notes.partition_point(|note| note.onset_s < start_s).saturating_sub(1);
        let end_s = analysis.seconds_at(self.window.1);
        let notes = analysis.bowing.notes.iter().enumerate().skip(first);
        let pieces = notes.take_while(|(_, note)| note.onset_s < end_s).filter_map(|(k, note)| {
            let a = analysis.quarters_at(note.onset_s);
            let b = analysis.quarters_at(note.onset_s + note.sounding_s);
            if b <= from + 1e-9 || a >= to - 1e-9 {
                return None;
            }
            let share = |at: f64| if b > a { ((at - a) / (b - a)).clamp(0.0, 1.0) } else { 0.0 };
            let left = if a < from { self.sides.0 } else { x(a) };
            Some(Piece { k, x: (left, x(b)), share: (share(from), share(to)) })
        });
        pieces.collect()
    }

    fn grid(&mut self) {
        let (l, r) = self.sides;
        let hair = self.lesson.setup.bow.hair_mm;
        for share in [1.0 / 3.0, 2.0 / 3.0] {
            let y = self.y(share * hair);
            self.picture.line((l, y), (r, y), Pen::dotted(Ink::Rule, 0.25));
        }
        for share in [0.0, 0.5, 1.0] {
            let y = self.y(share * hair);
            self.picture.line((l, y), (r, y), Pen::solid(Ink::Rule, 0.3));
        }
        let bars = &self.lesson.score.bars;
        let first = bars.partition_point(|bar| bar.start < self.window.0);
        let edges = bars[first..].iter().take_while(|bar| bar.start < self.window.1).map(|bar| bar.start);
        for x in edges.map(|at| self.axis.barline_x(at)).chain([r]).collect::<Vec<_>>() {
            self.picture.line((x, self.tip_y), (x, self.frog_y), Pen::solid(Ink::Rule, 0.3));
        }
        for (share, name, first_rank) in [
            (1.0, "tip", true),
            (0.75, "upper half", false),
            (0.5, "middle", true),
            (0.25, "lower half", false),
            (0.0, "frog", true),
        ] {
            let (ink, size) =
                if first_rank { (Ink::Text, self.words_mm) } else { (Ink::Faint, 0.85 * self.words_mm) };
            let at = (l - 1.6, self.y(share * hair) + 0.36 * size);
            self.picture.text(at, name, size, (Face::Sans, Anchor::End, ink));
        }
        // Hair that this player does not use.
        let (lo, hi) = self.analysis.plan.problem.usable;
        for (a, b) in [(0.0, lo), (hi, hair)] {
            if b - a > 0.03 * hair {
                let edge = if a == 0.0 { b } else { a };
                let y = self.y(edge);
                self.picture.line((l, y), (r, y), Pen::dashed(Ink::Faint, 0.18));
            }
        }
    }

    /// Runs of pieces of a version that the bow plays without leaving the string.
    fn runs<'p>(analysis: &Analysis, pieces: &'p [Piece]) -> Vec<&'p [Piece]> {
        // Spots are in the order of the music, here and below.
        let spots = &analysis.plan.solution.impossible;
        let impossible = |k: usize| spots.binary_search_by_key(&k, |spot| spot.resumes).is_ok();
        let mut runs = Vec::new();
        let mut start = 0;
        for i in 1..=pieces.len() {
            let breaks = pieces.get(i).is_none_or(|piece| {
                matches!(analysis.bowed(piece.k).reached, Reached::Air(_) | Reached::First)
                    || impossible(piece.k)
            });
            if breaks && i > start {
                runs.push(&pieces[start..i]);
                start = i;
            }
        }
        runs
    }

    fn corridor(&mut self, pieces: &[Piece]) {
        let solution = &self.analysis.plan.solution;
        let mut shapes = Vec::new();
        for run in Self::runs(self.analysis, pieces) {
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

    fn plan(&mut self, pieces: &[Piece]) {
        let solution = &self.analysis.plan.solution;
        let pen = Pen::solid(Ink::Plan, 0.6);
        let mut hops = Vec::new();
        let mut lines = Vec::new();
        let runs = Self::runs(self.analysis, pieces);
        for (i, run) in runs.iter().enumerate() {
            let points = run.iter().flat_map(|piece| {
                let ends = piece.ends(solution.start_mm[piece.k], solution.end_mm[piece.k]);
                self.ends_on_map(piece, ends)
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
            let path =
                BezPath::from_iter([start(from), curve(from + (third, -rise), to - (third, rise), to)]);
            self.picture.stroke(path, Pen::dotted(Ink::Plan, 0.4));
        }
        for line in lines {
            self.picture.stroke(line, pen);
        }
        for piece in pieces {
            self.keep_clear(piece);
            let note = self.analysis.bowed(piece.k);
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
        if let Some(last) = pieces.last().filter(|last| last.k + 1 == self.analysis.bowing.notes.len()) {
            let dot = Circle::new((last.x.1, self.y(solution.end_mm[last.k])), 0.65);
            self.picture.fill(dot, Ink::Plan);
        }
    }

    /// Keeps words off the planned line.
    fn keep_clear(&mut self, piece: &Piece) {
        let solution = &self.analysis.plan.solution;
        let (a, b) = piece.ends(solution.start_mm[piece.k], solution.end_mm[piece.k]);
        let steps = (((piece.x.1 - piece.x.0) / 1.5).ceil() as usize).clamp(1, 200);
        for i in 0..=steps {
            let share = i as f64 / steps as f64;
            let (x, y) = (piece.x.0 + (piece.x.1 - piece.x.0) * share, self.y(a + (b - a) * share));
            self.taken.push(Rect::new(x - 0.8, y - 0.5, x + 0.8, y + 0.5));
        }
    }

    /// The path as marked, dashed, where it differs from the plan.
    fn ghost(&mut self, pieces: &[Piece]) {
        let (solution, marked) = (&self.analysis.plan.solution, &self.analysis.plan.marked);
        let mut line: Vec<Point> = Vec::new();
        let mut lines: Vec<Vec<Point>> = Vec::new();
        for piece in pieces {
            let k = piece.k;
            let (Some(&a), Some(&b)) = (marked.start_mm.get(k), marked.end_mm.get(k)) else { break };
            // After a run-out the bow waits at the end of the hair: nothing to draw.
            let waits = (a - b).abs() < 1e-6 && self.analysis.piece(k).moves();
            let off = (a - solution.start_mm[k]).abs().max((b - solution.end_mm[k]).abs());
            let differs = !waits && off > GHOST_FROM_MM;
            let [p, q] = self.ends_on_map(piece, piece.ends(a, b));
            let joins = line.last().is_some_and(|last: &Point| (last.y - p.y).abs() < 0.05);
            if !differs || !joins {
                lines.push(std::mem::take(&mut line));
            }
            if differs {
                if line.is_empty() {
                    line.push(p);
                }
                // The hair may end inside the note: the line stops there.
                let out = marked.run_outs.binary_search_by_key(&k, |out| out.piece);
                let share = out.map_or(1.0, |out| {
                    let out = &marked.run_outs[out];
                    let whole = out.seconds_in + out.short_seconds;
                    if whole > 0.0 { (out.seconds_in / whole).clamp(0.0, 1.0) } else { 1.0 }
                });
                line.push(Point::new(p.x + (q.x - p.x) * share, q.y));
                if share < 1.0 {
                    lines.push(std::mem::take(&mut line));
                }
            }
        }
        lines.push(line);
        for line in lines.into_iter().filter(|line| line.len() > 1) {
            self.picture.stroke(polyline(line), Pen::dashed(Ink::Ghost, 0.3));
        }
    }

    /// What cannot be played is hatched from where it fails to where playing goes on.
    fn impossible_stretches(&mut self) {
        for spot in &self.analysis.plan.solution.impossible {
            let Some(first) = self.analysis.bowing.notes.get(spot.piece) else { continue };
            let end = self
                .analysis
                .bowing
                .notes
                .get(spot.resumes)
                .map_or(first.onset_s + first.sounding_s, |next| next.onset_s);
            let x = |seconds: f64| self.axis.x_f64(self.analysis.quarters_at(seconds));
            let x0 = x(first.onset_s).max(self.sides.0);
            let x1 = x(end.max(first.onset_s + first.sounding_s)).min(self.sides.1);
            if x1 <= x0 {
                continue;
            }
            let height = self.frog_y - self.tip_y;
            let step = 2.6;
            let mut hatch = BezPath::new();
            let mut c = x0 - height;
            while c < x1 {
                // A line rising to the right from (c, frog) to (c + height, tip), cut to the box.
                let (a, b) = ((c).max(x0), (c + height).min(x1));
                if b > a {
                    hatch.extend(polyline([(a, self.frog_y - (a - c)), (b, self.frog_y - (b - c))]));
                }
                c += step;
            }
            self.picture.stroke(hatch, Pen::solid(Ink::Warn, 0.15));
        }
    }

    /// A bar with end ticks along the frog under notes whose bowing is settled.
    fn settled(&mut self, pieces: &[Piece]) {
        let kept = |piece: &&Piece| {
            let note = self.analysis.note(piece.k);
            self.lesson.kept.contains(&note.id())
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

/// Line samples with what they mean, for a legend; `other` is what another path is.
pub(super) fn legend(other: Option<&str>) -> Vec<(Sample, &str)> {
    vec![
        (Sample::Line(Pen::solid(Ink::Plan, 0.6)), "planned bow"),
        (Sample::Line(Pen { dash: Dash::Dotted, ..Pen::solid(Ink::Plan, 0.4) }), "bow in the air"),
        (Sample::Band, "where the bow may be"),
        (Sample::Line(Pen::dashed(Ink::Ghost, 0.3)), other.unwrap_or("as marked, with no foresight")),
        (Sample::Warning, "the hair ends"),
        (Sample::Diamond, "tight"),
        (Sample::Line(Pen::solid(Ink::Level, 0.7)), "level of the bow arm"),
    ]
}

/// What a legend shows beside its words.
pub(super) enum Sample {
    /// A piece of line.
    Line(Pen),
    /// A piece of the corridor.
    Band,
    /// The warning triangle.
    Warning,
    /// The mark of a tight spot.
    Diamond,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::analyse,
        lesson::{change, demo::demo},
        picture::{Engraving, Item},
    };

    /// How often "settled" stands on the map of a whole lesson.
    fn settled(lesson: &Lesson) -> usize {
        let axis = TimeAxis::new(&lesson.score, &Engraving::new(&lesson.score));
        let window = (lesson.score.bars[0].start, lesson.score.end());
        let map = hair_map(lesson, &analyse(lesson), &axis, window, (0.0, axis.width_mm()), 60.0, None, 1.0);
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
