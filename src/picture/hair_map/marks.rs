//! Findings and pins on the hair map, with their words.

use kurbo::{Circle, Line, Point, Rect, Vec2};

use super::{Map, ROW_MM, runs_down};
use crate::{
    bowing::{Finding, Verdict},
    picture::{
        Anchor, Face, Ink, Pen, Tag, glyph,
        path::{polygon, polyline},
    },
    score::{Quarters, cm},
};

impl Map<'_> {
    pub(super) fn pins(&mut self) {
        let hair = self.study.lesson().setup.bow.hair_mm;
        for pin in &self.study.lesson().pins {
            let Some(note) =
                self.study.analysis().line.notes.iter().find(|note| note.events.contains(&pin.event))
            else {
                continue;
            };
            if !self.system.shows(note.onset) {
                continue;
            }
            let x = self.system.axis.x(note.onset);
            let (lo, hi) = (pin.from_share.clamp(0.0, 1.0), pin.to_share.clamp(0.0, 1.0));
            let (y0, y1) = (self.y(lo * hair), self.y(hi * hair));
            let tag = Some(Tag::Pin(pin.id));
            if (y0 - y1).abs() > 0.5 {
                let (w, pen) = (0.9, Pen::solid(Ink::Text, 0.3));
                let bracket =
                    polyline([(x - w, y1), (x + w, y1), (x, y1), (x, y0), (x - w, y0), (x + w, y0)]);
                self.picture.path(bracket, None, Some(pen), tag);
            }
            let middle = (y0 + y1) / 2.0;
            let triangle = [(x - 1.5, middle - 2.9), (x + 1.5, middle - 2.9), (x, middle - 0.9)];
            self.picture.path(polygon(triangle), Some(Ink::Text), None, tag);
            self.taken.push(Rect::new(x - 1.6, middle - 3.0, x + 1.6, middle + 1.0));
            let words = format!("start {}", place_words(lo, hi, hair));
            let width = glyph::text_width_mm(&words, self.words_mm, Face::Sans);
            let spots = [-1.0, -4.4, 3.4, -7.8, 6.8]
                .map(|dy| [x + 2.2, x - 2.2 - width].map(|left| Point::new(left, middle + dy)))
                .concat();
            self.label(&words, width, &spots, (Face::Sans, Anchor::Start, Ink::Text), tag);
        }
    }

    pub(super) fn findings(&mut self) {
        let analysis = self.study.analysis();
        let mut shown: Vec<(usize, &Finding)> = Vec::new();
        // All signs before any words, so that no words lie over one. Further places with the same
        // cause have the sign alone.
        for (index, more) in analysis.findings.between(self.system.from, self.system.to) {
            let finding = &analysis.findings.told[index];
            match more {
                Some(nth) => {
                    let spot = &finding.more[nth];
                    self.sign(finding.verdict, spot.note, spot.out, index);
                }
                None => shown.push((index, finding)),
            }
        }
        for (index, finding) in &shown {
            self.sign(finding.verdict, finding.note, finding.out, *index);
        }
        // The worst get their words first.
        shown.sort_by_key(|(index, finding)| (finding.verdict, *index));
        for (index, finding) in shown {
            let x = self.system.axis.x_f64(finding.out.to_f64());
            let tag = Some(Tag::Finding(index));
            let beat = self.study.lesson().score.place_in(finding.out, &analysis.line.sections).beat_words();
            if finding.verdict == Verdict::RunsOut {
                let words = format!("as marked: out at {beat}, {} short", cm(finding.short_mm));
                self.edge_label(&words, x, runs_down(analysis, finding.note), tag);
            } else if finding.verdict == Verdict::Impossible {
                let short = if finding.short_mm > 0.5 {
                    format!(", {} short", cm(finding.short_mm))
                } else {
                    String::new()
                };
                self.edge_label(&format!("{beat}: no bowing as marked{short}"), x, true, tag);
            }
        }
    }

    /// The sign of a verdict where it happens.
    fn sign(&mut self, verdict: Verdict, note: usize, at: Quarters, index: usize) {
        let analysis = self.study.analysis();
        let x = self.system.axis.x_f64(at.to_f64());
        let tag = Some(Tag::Finding(index));
        let bowed = analysis.bowed_of(note);
        match verdict {
            // A rule of thumb is told in the list; the map shows what the hair does.
            Verdict::Notice => {}
            Verdict::Tight => {
                let Some(k) = bowed else { return };
                let y = self.y(analysis.plan.solution.start_mm[k]);
                let diamond = [(x, y - 4.6), (x + 1.1, y - 3.5), (x, y - 2.4), (x - 1.1, y - 3.5)];
                self.picture.path(polygon(diamond), None, Some(Pen::solid(Ink::Warn, 0.35)), tag);
            }
            Verdict::RunsOut => {
                let down = runs_down(analysis, note);
                self.warning(Point::new(x, if down { self.tip_y } else { self.frog_y }), down, tag);
            }
            Verdict::Impossible => {
                let y = bowed
                    .map_or((self.tip_y + self.frog_y) / 2.0, |k| self.y(analysis.plan.solution.end_mm[k]));
                self.cross(Point::new(x, y), tag);
            }
        }
    }

    /// A warning triangle with an exclamation mark, just outside the plot.
    fn warning(&mut self, at: Point, over: bool, tag: Option<Tag>) {
        // At the end of the last note, too, it stays on the page.
        let (x, foot) = (at.x.min(self.picture.width_mm - 1.9), if over { at.y - 0.5 } else { at.y + 3.6 });
        let corners = [(x - 1.8, foot), (x, foot - 3.1), (x + 1.8, foot)];
        self.picture.path(polygon(corners), Some(Ink::Paper), Some(Pen::solid(Ink::Warn, 0.4)), tag);
        self.picture.line((x, foot - 2.1), (x, foot - 1.0), Pen::solid(Ink::Warn, 0.38));
        self.picture.fill(Circle::new((x, foot - 0.5), 0.22), Ink::Warn);
        self.taken.push(Rect::new(x - 1.9, foot - 3.3, x + 1.9, foot + 0.2));
    }

    fn cross(&mut self, at: Point, tag: Option<Tag>) {
        for flip in [1.0, -1.0] {
            let arm = Vec2::new(1.5, 1.5 * flip);
            let path = Line::new(at - arm, at + arm);
            self.picture.path(path, None, Some(Pen::solid(Ink::Warn, 0.7)), tag);
        }
    }

    /// Words over the tip or under the frog, in the first row with room, beside the mark.
    fn edge_label(&mut self, words: &str, x: f64, over: bool, tag: Option<Tag>) {
        let width = glyph::text_width_mm(words, self.words_mm, Face::Sans);
        let right = self.system.right_mm - width;
        let mut spots = Vec::new();
        for row in 0..if over { self.rows.0 } else { self.rows.1 } {
            let shift = ROW_MM * row as f64;
            let y = if over { self.tip_y - 1.0 - shift } else { self.frog_y + 3.4 + shift };
            for left in [x + 2.6, x - 2.6 - width, x - width / 2.0] {
                let inside = left >= self.left && left <= right;
                if inside && (row > 0 || left != x - width / 2.0) {
                    spots.push(Point::new(left, y));
                }
            }
        }
        self.label(words, width, &spots, (Face::Sans, Anchor::Start, Ink::Warn), tag);
    }

    /// Puts words at the first of some places where they overlap nothing; nowhere if all are taken.
    pub(super) fn label(
        &mut self,
        words: &str,
        width: f64,
        spots: &[Point],
        style: (Face, Anchor, Ink),
        tag: Option<Tag>,
    ) {
        let size = self.words_mm;
        let boxed =
            |at: Point| Rect::new(at.x - 0.5, at.y - 0.75 * size, at.x + width + 0.5, at.y + 0.25 * size);
        let free = spots.iter().copied().find(|&spot| {
            let place = boxed(spot);
            place.x0 >= self.left - 0.6
                && place.x1 <= self.picture.width_mm
                && !self.taken.iter().any(|other| place.intersect(*other).area() > 0.0)
        });
        if let Some(spot) = free {
            self.taken.push(boxed(spot));
            self.picture.text(spot, words, size, style);
            if let Some(item) = self.picture.items.last_mut() {
                item.set_tag(tag);
            }
        }
    }
}

/// A region of the hair in words.
fn place_words(lo: f64, hi: f64, hair_mm: f64) -> String {
    let middle = (lo + hi) / 2.0;
    match (lo, hi) {
        (_, hi) if hi <= 0.08 => "at the frog".to_owned(),
        (lo, _) if lo >= 0.92 => "at the tip".to_owned(),
        _ if (middle - 0.5).abs() < 0.03 && hi - lo < 0.3 => "at the middle".to_owned(),
        _ if hi - lo < 0.02 => format!("at {}", cm(middle * hair_mm)),
        _ => format!("from {:.0} to {}", lo * hair_mm / 10.0, cm(hi * hair_mm)),
    }
}
