//! Marks on notes: articulations, ornaments, fingerings, bow marks. Common practice, no source.

use kurbo::{Circle, Rect, Shape, Vec2};

use super::{page::Page, symbols};
use crate::{
    picture::{
        Anchor, Face, Ink, Pen, SPACE_MM, glyph,
        path::{TOLERANCE, polyline},
    },
    score::{Direction, Event, EventId, Mark},
};

const S: f64 = SPACE_MM;

impl Page<'_> {
    /// Marks that stand close to the head, inside slurs.
    pub(super) fn close_marks(&mut self) {
        for index in self.events.clone() {
            let event = &self.lesson.score.events[index];
            if event.is_rest() {
                continue;
            }
            for mark in event.marks.iter().copied() {
                match mark {
                    Mark::Staccato => self.close(index, 0.45, |_| Circle::new((0.0, 0.0), 0.2)),
                    Mark::Staccatissimo | Mark::Spiccato => self.close(index, 1.1, symbols::wedge),
                    Mark::Tenuto => self.close(index, 0.4, |_| tenuto()),
                    Mark::DetachedLegato => self.close(index, 0.95, |above| {
                        let up = if above { 0.27 } else { -0.27 };
                        let mut path = (tenuto() - Vec2::new(0.0, up)).to_path(TOLERANCE);
                        path.extend(Circle::new((0.0, up), 0.2).path_elements(TOLERANCE));
                        path
                    }),
                    Mark::Accent | Mark::SoftAccent | Mark::Stress => {
                        self.close(index, 1.0, |_| symbols::accent());
                    }
                    Mark::StrongAccent => self.close(index, 1.25, symbols::strong_accent),
                    // Over the staff, in the row of dynamics, or read but not drawn.
                    Mark::Fermata
                    | Mark::BreathMark
                    | Mark::Caesura
                    | Mark::Trill
                    | Mark::Mordent
                    | Mark::Turn
                    | Mark::Arpeggiate
                    | Mark::NonArpeggiate
                    | Mark::OpenString
                    | Mark::Harmonic
                    | Mark::SnapPizzicato
                    | Mark::LeftHandPizzicato
                    | Mark::Unstress
                    | Mark::Sforzando
                    | Mark::FortePiano => {}
                }
            }
        }
    }

    /// Draws a mark on the head's side of a note, `high` staff spaces high, clear of the staff
    /// lines.
    fn close<S: Shape>(&mut self, index: usize, high: f64, shape: impl Fn(bool) -> S) {
        let Some(placed) = self.placed(index) else { return };
        let chord = &self.engraving.chords[index];
        let above = if chord.shared_bar { chord.up } else { !chord.up };
        let half = high * S / 2.0;
        let (l, r) = (placed.x - 0.4 * S, placed.x + 0.4 * S);
        let y = if above {
            let taken = self.above.top(l, r, self.y(chord.high()) - 0.5 * S);
            self.clear_of_lines(taken - 0.3 * S - half, half, -1.0)
        } else {
            let taken = self.below.bottom(l, r, self.y(chord.low()) + 0.5 * S);
            self.clear_of_lines(taken + 0.3 * S + half, half, 1.0)
        };
        let tag = self.tag(index);
        self.shape(shape(above), (placed.x, y), 1.0, Ink::Text, tag);
        if above {
            self.above.add(l, r, y - half);
        } else {
            self.below.add(l, r, y + half);
        }
    }

    /// Inside the staff small marks go to the middle of a space, large ones leave the staff.
    fn clear_of_lines(&self, y: f64, half: f64, away: f64) -> f64 {
        let in_staff = |y: f64| y + half > self.top - 0.1 * S && y - half < self.bottom() + 0.1 * S;
        if !in_staff(y) {
            return y;
        }
        if half <= 0.25 * S {
            let spaces = (y - self.top) / S;
            let middle = if away < 0.0 { (spaces - 0.5).floor() } else { (spaces - 0.5).ceil() } + 0.5;
            return self.top + middle * S;
        }
        if away < 0.0 { self.top - 0.35 * S - half } else { self.bottom() + 0.35 * S + half }
    }

    /// Marks above the staff, outside slurs: ornaments, fingerings, fermatas and bow marks.
    /// `planned` gives the direction of notes that start a stroke.
    pub(super) fn outer_marks(&mut self, planned: &dyn Fn(EventId) -> Option<Direction>) {
        for index in self.events.clone() {
            let event = &self.lesson.score.events[index];
            self.ornaments(index, event);
            self.fingers(index, event);
            if event.marks.contains(&Mark::Fermata) {
                self.over(index, 0.5, '\u{1D110}', 0.9);
            }
            if event.marks.contains(&Mark::BreathMark) || event.marks.contains(&Mark::Caesura) {
                self.breath(index, event);
            }
            if event.retake {
                self.retake(index);
            }
            if let Some(direction) = event.bow {
                self.bow_mark(index, direction, Ink::Text, 1.0);
            } else if let Some(direction) = planned(event.id) {
                self.bow_mark(index, direction, Ink::Staff, 0.78);
            }
        }
    }

    /// Takes a row of this height over a note; gives the y of its foot.
    fn row(&mut self, index: usize, half_width: f64, height: f64, air: f64) -> Option<(f64, f64)> {
        let placed = self.placed(index)?;
        let (l, r) = (placed.x - half_width * S, placed.x + half_width * S);
        let foot = self.above.top(l, r, self.top - 0.35 * S) - air * S;
        self.above.add(l, r, foot - height * S);
        Some((placed.x, foot))
    }

    fn over(&mut self, index: usize, air: f64, sign: char, scale: f64) {
        let Some(bounds) = glyph::bounds(sign) else { return };
        let size = 4.0 * scale;
        if let Some((x, foot)) = self.row(index, bounds.width() / 2.0 * size, bounds.height() * size, air) {
            let at = (x - bounds.center().x * size * S, foot - bounds.y1 * size * S);
            let tag = self.tag(index);
            self.glyph(sign, at, scale, Ink::Text, tag);
        }
    }

    fn ornaments(&mut self, index: usize, event: &Event) {
        for mark in event.marks.iter().copied() {
            match mark {
                Mark::Trill => self.over(index, 0.5, '\u{1D196}', 1.0),
                Mark::Turn => self.over(index, 0.5, '\u{1D197}', 0.85),
                Mark::Mordent => self.over(index, 0.5, '\u{1D19D}', 1.0),
                Mark::Harmonic | Mark::OpenString => {
                    if let Some((x, foot)) = self.row(index, 0.4, 0.75, 0.45) {
                        let path = Circle::new((x, foot - 0.36 * S), 0.32 * S);
                        let tag = self.tag(index);
                        self.picture.path(path, None, Some(Pen::solid(Ink::Text, 0.13 * S)), tag);
                    }
                }
                Mark::SnapPizzicato => {
                    if let Some((x, foot)) = self.row(index, 0.5, 1.3, 0.4) {
                        let y = foot - 0.45 * S;
                        let pen = Pen::solid(Ink::Text, 0.13 * S);
                        self.picture.stroke(Circle::new((x, y), 0.42 * S), pen);
                        self.picture.line((x, y), (x, y - 0.85 * S), pen);
                    }
                }
                Mark::LeftHandPizzicato => {
                    if let Some((x, foot)) = self.row(index, 0.5, 0.9, 0.4) {
                        let (y, pen) = (foot - 0.45 * S, Pen::solid(Ink::Text, 0.14 * S));
                        self.picture.line((x - 0.42 * S, y), (x + 0.42 * S, y), pen);
                        self.picture.line((x, y - 0.42 * S), (x, y + 0.42 * S), pen);
                    }
                }
                Mark::Arpeggiate => self.arpeggio(index),
                // Close to the head, drawn with the rest of the event, or read but not drawn.
                Mark::Staccato
                | Mark::Staccatissimo
                | Mark::Spiccato
                | Mark::Tenuto
                | Mark::DetachedLegato
                | Mark::Accent
                | Mark::StrongAccent
                | Mark::SoftAccent
                | Mark::Stress
                | Mark::Unstress
                | Mark::Fermata
                | Mark::BreathMark
                | Mark::Caesura
                | Mark::NonArpeggiate
                | Mark::Sforzando
                | Mark::FortePiano => {}
            }
        }
    }

    /// A wavy line before a broken chord.
    fn arpeggio(&mut self, index: usize) {
        let chord = &self.engraving.chords[index];
        let x = self.head_x(index) - 1.5 * S;
        let (top, bottom) = (self.y(chord.high()) - 0.6 * S, self.y(chord.low()) + 0.6 * S);
        let waves = ((bottom - top) / (0.5 * S)).round().max(1.0) as i32;
        let wave = |k: i32| {
            let side = if k % 2 == 0 { -0.15 } else { 0.15 };
            (x + side * S, top + (bottom - top) * f64::from(k) / f64::from(waves))
        };
        self.picture.stroke(polyline((0..=waves).map(wave)), Pen::solid(Ink::Text, 0.14 * S));
    }

    fn fingers(&mut self, index: usize, event: &Event) {
        let tag = self.tag(index);
        let mut words: Vec<(String, Face)> = Vec::new();
        for note in &event.notes {
            if !note.fingers.is_empty() {
                words.push((note.fingers.join(" "), Face::SansBold));
            }
        }
        // Strings are named by Roman numerals, as in parts for strings.
        let strings = event.notes.iter().rev().filter_map(|note| note.string);
        let roman = |n: u8| ["", "I", "II", "III", "IV", "V", "VI"][usize::from(n.min(6))];
        words.extend(strings.map(|n| (roman(n).to_owned(), Face::Sans)));
        for (text, face) in words.into_iter().filter(|(text, _)| !text.is_empty()) {
            let size = 1.45 * S;
            let half = glyph::text_width_mm(&text, size, face) / S / 2.0;
            if let Some((x, foot)) = self.row(index, half, 1.1, 0.4) {
                self.picture.text((x, foot), text, size, (face, Anchor::Middle, Ink::Text));
                if let Some(item) = self.picture.items.last_mut() {
                    item.set_tag(tag);
                }
            }
        }
    }

    fn breath(&mut self, index: usize, event: &Event) {
        let end = self.axis.x(event.end());
        let x = (end - 1.6 * S).max(self.head_x(index) + 1.2 * S);
        let y = self.above.top(x - 0.5 * S, x + 0.5 * S, self.top) - 0.2 * S;
        if event.marks.contains(&Mark::Caesura) {
            for k in [0.0, 0.55] {
                let x = x + k * S;
                let pen = Pen::solid(Ink::Text, 0.16 * S);
                self.picture.line((x - 0.3 * S, self.top + S), (x + 0.4 * S, self.top - S), pen);
            }
        } else {
            self.shape(symbols::comma(), (x, y), 1.0, Ink::Text, None);
            self.above.add(x - 0.5 * S, x + 0.5 * S, y - 1.2 * S);
        }
    }

    /// The lift before a note: a comma before it.
    fn retake(&mut self, index: usize) {
        let x = self.head_x(index) - 2.0 * S;
        let y = self.above.top(x - 0.5 * S, x + 0.5 * S, self.top) - 0.2 * S;
        let tag = self.tag(index);
        self.shape(symbols::comma(), (x, y), 1.0, Ink::Text, tag);
        self.above.add(x - 0.5 * S, x + 0.5 * S, y - 1.2 * S);
    }

    fn bow_mark(&mut self, index: usize, direction: Direction, ink: Ink, scale: f64) {
        let path = match direction {
            Direction::Down => symbols::down_bow(),
            Direction::Up => symbols::up_bow(),
        };
        let base = self.top - 1.1 * S;
        let Some(placed) = self.placed(index) else { return };
        let (l, r) = (placed.x - 0.75 * S * scale, placed.x + 0.75 * S * scale);
        let foot = self.above.top(l, r, base + 0.55 * S) - 0.55 * S;
        let tag = self.tag(index);
        self.shape(path, (placed.x, foot), scale, ink, tag);
        self.above.add(l, r, foot - 1.45 * S * scale);
    }
}

fn tenuto() -> Rect {
    Rect::new(-0.62, -0.085, 0.62, 0.085)
}
