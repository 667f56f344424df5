//! Marks on notes: articulations, ornaments, fingerings, bow marks. Common practice, no source.

use kurbo::Affine;

use super::page::Page;
use crate::{
    picture::{Anchor, Face, Ink, SPACE_MM, Tag, glyph, smufl, smufl::Sign},
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
                let (above, below) = match mark {
                    Mark::Staccato => (smufl::STACCATO_ABOVE, smufl::STACCATO_BELOW),
                    Mark::Staccatissimo => (smufl::WEDGE_ABOVE, smufl::WEDGE_BELOW),
                    Mark::Spiccato => (smufl::STROKE_ABOVE, smufl::STROKE_BELOW),
                    Mark::Tenuto => (smufl::TENUTO_ABOVE, smufl::TENUTO_BELOW),
                    Mark::DetachedLegato => (smufl::TENUTO_STACCATO_ABOVE, smufl::TENUTO_STACCATO_BELOW),
                    Mark::Accent => (smufl::ACCENT_ABOVE, smufl::ACCENT_BELOW),
                    Mark::SoftAccent => (smufl::SOFT_ACCENT_ABOVE, smufl::SOFT_ACCENT_BELOW),
                    Mark::Stress => (smufl::STRESS_ABOVE, smufl::STRESS_BELOW),
                    Mark::Unstress => (smufl::UNSTRESS_ABOVE, smufl::UNSTRESS_BELOW),
                    Mark::StrongAccent => (smufl::MARCATO_ABOVE, smufl::MARCATO_BELOW),
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
                    | Mark::Sforzando
                    | Mark::FortePiano
                    | Mark::TrillLine
                    | Mark::Glissando
                    | Mark::Slide => continue,
                };
                self.close(index, above, below);
            }
        }
    }

    /// Draws a mark on the head's side of a note, clear of the staff lines.
    fn close(&mut self, index: usize, sign_above: Sign, sign_below: Sign) {
        let Some(placed) = self.placed(index) else { return };
        let chord = &self.engraving.chords[index];
        let above = if chord.shared_bar { chord.up } else { !chord.up };
        let sign = if above { sign_above } else { sign_below };
        let half = sign.bounds().height() * S / 2.0;
        // Narrow ones stand over their head, whatever accidental is beside it.
        let reach = (sign.bounds().width() / 2.0 - 0.3).max(0.4) * S;
        let (l, r) = (placed.x - reach, placed.x + reach);
        let y = if above {
            let taken = self.above.top(l, r, self.y(chord.high()) - 0.5 * S);
            self.clear_of_lines(taken - 0.3 * S - half, half, -1.0)
        } else {
            let taken = self.below.bottom(l, r, self.y(chord.low()) + 0.5 * S);
            self.clear_of_lines(taken + 0.3 * S + half, half, 1.0)
        };
        let tag = self.tag(index);
        let taken = self.sign_centred(sign, (placed.x, y), 1.0, Ink::Text, tag);
        if above {
            self.above.add(taken.x0, taken.x1, taken.y0);
        } else {
            self.below.add(taken.x0, taken.x1, taken.y1);
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

    /// What stands between notes: commas, caesuras and the lift before a note.
    pub(super) fn between(&mut self) {
        for index in self.events.clone() {
            let event = &self.lesson.score.events[index];
            if event.marks.contains(&Mark::BreathMark) || event.marks.contains(&Mark::Caesura) {
                self.breath(index, event);
            }
            if event.retake {
                self.retake(index);
            }
        }
    }

    /// Marks above the staff, outside slurs: ornaments, fingerings, fermatas and bow marks.
    /// `planned` gives the direction of notes that start a stroke.
    pub(super) fn outer_marks(&mut self, planned: &dyn Fn(EventId) -> Option<Direction>) {
        self.trill_lines();
        for index in self.events.clone() {
            let event = &self.lesson.score.events[index];
            self.ornaments(index, event);
            self.fingers(index, event);
            if event.marks.contains(&Mark::Fermata) {
                self.over(index, 0.5, smufl::FERMATA);
            }
            if let Some(direction) = event.bow {
                self.bow_mark(index, direction, Ink::Text, 1.0);
            } else if let Some(direction) = planned(event.id).filter(|_| !self.goes_on_trembling(index)) {
                self.bow_mark(index, direction, Ink::Staff, 0.7);
            }
        }
    }

    /// A tremolo after a tremolo: the bow has no direction that one would follow.
    fn goes_on_trembling(&self, index: usize) -> bool {
        let events = &self.lesson.score.events;
        let mut before = events[..index].iter().rev().filter(|event| event.voice == events[index].voice);
        events[index].tremolo.is_some() && before.next().is_some_and(|event| event.tremolo.is_some())
    }

    /// Takes a row of this height over a note; gives its middle and its foot.
    fn row(&mut self, index: usize, half_width: f64, height: f64, air: f64) -> Option<(f64, f64)> {
        let placed = self.placed(index)?;
        let (l, r) = (placed.x - half_width * S, placed.x + half_width * S);
        let foot = self.above.top(l, r, self.top - 0.35 * S) - air * S;
        self.above.add(l, r, foot - height * S);
        Some((placed.x, foot))
    }

    /// Puts a sign over a note.
    fn over(&mut self, index: usize, air: f64, sign: Sign) {
        let bounds = sign.bounds();
        if let Some((x, foot)) = self.row(index, bounds.width() / 2.0, bounds.height(), air) {
            let tag = self.tag(index);
            self.sign_centred(sign, (x, foot - bounds.height() / 2.0 * S), 1.0, Ink::Text, tag);
        }
    }

    fn ornaments(&mut self, index: usize, event: &Event) {
        for mark in event.marks.iter().copied() {
            match mark {
                // With a line it is drawn with that.
                Mark::Trill if event.marks.contains(&Mark::TrillLine) => {}
                Mark::Trill => self.over(index, 0.5, smufl::TRILL),
                Mark::Turn => self.over(index, 0.5, smufl::TURN),
                Mark::Mordent => self.over(index, 0.5, smufl::MORDENT),
                Mark::Harmonic | Mark::OpenString => self.over(index, 0.4, smufl::HARMONIC),
                Mark::SnapPizzicato => self.over(index, 0.4, smufl::SNAP_PIZZICATO),
                Mark::LeftHandPizzicato => self.over(index, 0.4, smufl::LEFT_HAND_PIZZICATO),
                Mark::Arpeggiate => self.arpeggio(index),
                // Close to the head, drawn elsewhere, or read but not drawn.
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
                | Mark::FortePiano
                | Mark::TrillLine
                | Mark::Glissando
                | Mark::Slide => {}
            }
        }
    }

    /// A wavy line before a broken chord.
    fn arpeggio(&mut self, index: usize) {
        let chord = &self.engraving.chords[index];
        let Some(placed) = self.placed(index) else { return };
        let (top, bottom) = (self.y(chord.high()) - 0.6 * S, self.y(chord.low()) + 0.6 * S);
        // The sign of the font runs to the right; waves of it stand on end here, one over the other.
        let wave = smufl::ARPEGGIO;
        let x = placed.x - (chord.left + 0.3) * S;
        let count = ((bottom - top) / (wave.advance() * S)).ceil().max(1.0) as i32;
        for k in 0..count {
            let y = bottom - f64::from(k) * wave.advance() * S;
            let stand = Affine::rotate(-std::f64::consts::FRAC_PI_2)
                .then_scale(4.0 * S)
                .then_translate((x, y).into());
            self.picture.fill(stand * glyph::outline(wave.code), Ink::Text);
        }
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
            if let Some(finger) = smufl::finger(&text) {
                self.over(index, 0.35, finger);
                continue;
            }
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
        let end = self.end_x(event.end());
        let x = (end - 1.0 * S).max(self.head_x(index) + 1.2 * S);
        if event.marks.contains(&Mark::Caesura) {
            // It stands through the top line.
            let middle = self.top;
            let taken = self.sign_centred(smufl::CAESURA, (x, middle), 1.0, Ink::Text, None);
            self.above.add(taken.x0, taken.x1, taken.y0);
        } else {
            self.comma(x, None);
        }
    }

    /// The lift before a note: a comma before it.
    fn retake(&mut self, index: usize) {
        let x = self.head_x(index) - 2.0 * S;
        let tag = self.tag(index);
        self.comma(x, tag);
    }

    fn comma(&mut self, x: f64, tag: Option<Tag>) {
        let half = smufl::BREATH.bounds().height() / 2.0 * S;
        let y = self.above.top(x - 0.5 * S, x + 0.5 * S, self.top) - 0.2 * S - half;
        let taken = self.sign_centred(smufl::BREATH, (x, y), 1.0, Ink::Text, tag);
        self.above.add(taken.x0, taken.x1, taken.y0);
    }

    fn bow_mark(&mut self, index: usize, direction: Direction, ink: Ink, scale: f64) {
        let sign = bow_sign(direction);
        let base = self.top - 0.55 * S;
        let Some(placed) = self.placed(index) else { return };
        let half = sign.bounds().width() / 2.0 * S * scale;
        let (l, r) = (placed.x - half - 0.1 * S, placed.x + half + 0.1 * S);
        let foot = self.above.top(l, r, base) - 0.5 * S;
        let tag = self.tag(index);
        let high = sign.bounds().height() * S * scale;
        self.sign_centred(sign, (placed.x, foot - high / 2.0), scale, ink, tag);
        self.above.add(l, r, foot - high);
    }
}

/// The sign of a direction of the bow.
pub(super) fn bow_sign(direction: Direction) -> Sign {
    match direction {
        Direction::Down => smufl::DOWN_BOW,
        Direction::Up => smufl::UP_BOW,
    }
}
