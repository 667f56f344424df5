//! Signs placed by time: dynamics, hairpins, tempo, words, rehearsal marks, endings, bar numbers.
//! Common practice, no source.

use kurbo::{Circle, Point, Rect};

use super::page::Page;
use crate::{
    picture::{Anchor, Face, Ink, Item, Pen, SPACE_MM, glyph, path::polyline},
    score::{Mark, Quarters, SignKind},
};

const S: f64 = SPACE_MM;
/// Size of words, of tempo marks.
const WORDS_MM: f64 = 2.0 * S;
const TEMPO_MM: f64 = 2.15 * S;

/// One dynamic or hairpin on its way to the row under the staff.
enum Loud {
    Mark { x: f64, text: String },
    Pin { from: f64, to: f64, opens: bool, niente: bool },
    Words { x: f64, text: String },
}

impl Loud {
    fn span(&self) -> (f64, f64) {
        match self {
            Self::Mark { x, text } => {
                let half = dynamic_row(text).1 / 2.0;
                (x - half - 0.2 * S, x + half + 0.2 * S)
            }
            Self::Pin { from, to, .. } => (*from, *to),
            Self::Words { x, text } => (*x, x + glyph::text_width_mm(text, WORDS_MM, Face::SansItalic)),
        }
    }
}

/// Signs of the music font for the letters of dynamics.
fn dynamic_sign(letter: char) -> Option<char> {
    match letter {
        'r' => Some('\u{1D18C}'),
        's' => Some('\u{1D18D}'),
        'z' => Some('\u{1D18E}'),
        'p' => Some('\u{1D18F}'),
        'm' => Some('\u{1D190}'),
        'f' => Some('\u{1D191}'),
        _ => None,
    }
}

const DYNAMIC_SCALE: f64 = 0.92;

/// Signs of a dynamic with their places from its left end, mm, and its width.
fn dynamic_row(text: &str) -> (Vec<(char, f64)>, f64) {
    let em = 4.0 * S * DYNAMIC_SCALE;
    let mut x = 0.0;
    let mut row = Vec::new();
    let mut before = None;
    for letter in text.chars() {
        let Some(sign) = dynamic_sign(letter) else { continue };
        // The font lets the hook of f run into a following p.
        if before == Some('f') && letter == 'p' {
            x += 0.07 * em;
        }
        row.push((sign, x));
        x += glyph::advance(sign) * em;
        before = Some(letter);
    }
    (row, x)
}

/// Words that tell the loudness or the character stand under the staff, technique above.
fn below_the_staff(words: &str) -> bool {
    let words = words.to_lowercase();
    [
        "cresc",
        "dim",
        "decresc",
        "dolce",
        "espr",
        "sempre",
        "più",
        "piu",
        "poco",
        "morendo",
        "smorz",
        "calando",
        "perdendo",
        "sotto",
        "mezza",
        "cantabile",
        "leggiero",
    ]
    .iter()
    .any(|start| words.trim_start().starts_with(start))
}

impl Page<'_> {
    fn in_window(&self, at: Quarters) -> bool {
        at >= self.from && at < self.to
    }

    /// The row under the staff. What touches shares one height.
    pub(super) fn dynamics(&mut self) {
        let mut louds: Vec<Loud> = Vec::new();
        for sign in &self.lesson.score.signs {
            match &sign.kind {
                SignKind::Dynamic(level) if self.in_window(sign.at) => {
                    louds.push(Loud::Mark { x: self.axis.x(sign.at), text: level.mark().to_owned() });
                }
                SignKind::Hairpin { opens, end, niente } if *end > self.from && sign.at < self.to => {
                    let from = (self.axis.x(sign.at) - 0.3 * S).max(self.sides.0);
                    let to = self.axis.x(*end).min(self.sides.1) - 0.9 * S;
                    louds.push(Loud::Pin {
                        from,
                        to: to.max(from + 2.0 * S),
                        opens: *opens,
                        niente: *niente,
                    });
                }
                SignKind::Words(text) if self.in_window(sign.at) && below_the_staff(text) => {
                    louds.push(Loud::Words { x: self.axis.x(sign.at) - 0.6 * S, text: text.clone() });
                }
                _ => {}
            }
        }
        for event in &self.lesson.score.events[self.events.clone()] {
            let text = if event.marks.contains(&Mark::FortePiano) {
                "fp"
            } else if event.marks.contains(&Mark::Sforzando) {
                "sf"
            } else {
                continue;
            };
            louds.push(Loud::Mark { x: self.axis.x(event.onset), text: text.to_owned() });
        }
        // Marks beside hairpins and each other: push hairpin ends and later words aside.
        louds.sort_by(|a, b| a.span().0.total_cmp(&b.span().0));
        let right = self.sides.1 - 0.3 * S;
        let marks: Vec<(f64, f64)> =
            louds.iter().filter(|loud| matches!(loud, Loud::Mark { .. })).map(Loud::span).collect();
        for loud in &mut louds {
            if let Loud::Words { x, .. } = loud {
                for (l, r) in &marks {
                    if *l <= *x + 0.5 * S && *r > *x {
                        *x = r + 0.5 * S;
                    }
                }
            }
        }
        let fixed: Vec<(f64, f64)> =
            louds.iter().filter(|loud| !matches!(loud, Loud::Pin { .. })).map(Loud::span).collect();
        for loud in &mut louds {
            match loud {
                Loud::Pin { from, to, .. } => {
                    for (l, r) in &fixed {
                        if *l <= *from + 1.5 * S && *r > *from {
                            *from = r + 0.3 * S;
                        }
                        if *l < *to && *l > *from && *r >= *to - 0.5 * S {
                            *to = l - 0.3 * S;
                        }
                    }
                    *to = to.max(*from + 1.5 * S).min(right);
                    *from = from.min(*to - 1.5 * S);
                }
                Loud::Mark { .. } | Loud::Words { .. } => {}
            }
        }
        let mut start = 0;
        while start < louds.len() {
            let mut end = start + 1;
            let mut right = louds[start].span().1;
            while end < louds.len() && louds[end].span().0 < right + 1.2 * S {
                right = right.max(louds[end].span().1);
                end += 1;
            }
            let base = self.bottom() + 1.0 * S;
            let taken = louds[start..end].iter().map(|loud| {
                let (l, r) = loud.span();
                self.below.bottom(l, r, base)
            });
            // The middle of the row lies a little over one space below what is taken.
            let middle = taken.fold(base, f64::max) + 1.25 * S;
            // Words that would overlap what is left of them go one row lower.
            let mut taken_to = f64::NEG_INFINITY;
            for loud in &louds[start..end] {
                let (l, r) = loud.span();
                let lower = matches!(loud, Loud::Words { .. }) && l < taken_to;
                let y = if lower { middle + 2.0 * S } else { middle };
                taken_to = taken_to.max(r);
                self.loud(loud, y);
                self.below.add(l, r, y + 0.9 * S);
            }
            start = end;
        }
    }

    fn loud(&mut self, loud: &Loud, middle: f64) {
        match loud {
            Loud::Mark { x, text } => {
                // The letters stand on a line 0.351 em above the font's baseline.
                let baseline = middle + 0.55 * S + 0.351 * 4.0 * S * DYNAMIC_SCALE;
                let (row, width) = dynamic_row(text);
                for (sign, at) in row {
                    self.glyph(sign, (x - width / 2.0 + at, baseline), DYNAMIC_SCALE, Ink::Text, None);
                }
            }
            Loud::Pin { from, to, opens, niente } => {
                let half = 0.65 * S;
                let (tip, wide) = if *opens { (*from, *to) } else { (*to, *from) };
                let ring = 0.35 * S;
                let tip = match (niente, opens) {
                    (true, true) => tip + 2.0 * ring,
                    (true, false) => tip - 2.0 * ring,
                    _ => tip,
                };
                let pen = Pen::solid(Ink::Text, 0.14 * S);
                let points = [(wide, middle - half), (tip, middle), (wide, middle + half)];
                self.picture.stroke(polyline(points), pen);
                if *niente {
                    let x = if *opens { tip - ring } else { tip + ring };
                    self.picture.stroke(Circle::new((x, middle), ring), pen);
                }
            }
            Loud::Words { x, text } => {
                self.words(Point::new(*x, middle + 0.6 * S), text, WORDS_MM, Face::SansItalic);
            }
        }
    }

    /// Text in which note signs and accidentals come from the music font.
    fn words(&mut self, at: Point, text: &str, size: f64, face: Face) {
        let mut x = at.x;
        for run in runs(text) {
            match run {
                Run::Text(text) => {
                    let width = glyph::text_width_mm(&text, size, face);
                    self.picture.text((x, at.y), text, size, (face, Anchor::Start, Ink::Text));
                    x += width;
                }
                Run::Sign(sign) => {
                    let em = 0.92 * size;
                    let lift = if ('\u{266D}'..='\u{266F}').contains(&sign) { 0.12 } else { 0.02 };
                    let left = glyph::bounds(sign).map_or(0.0, |bounds| bounds.x0);
                    let at = Point::new(x - left * em, at.y - lift * em);
                    let item = Item::Glyph { at, glyph: sign, size_mm: em, ink: Ink::Text, tag: None };
                    self.picture.items.push(item);
                    x += (glyph::advance(sign) - left) * em;
                }
            }
        }
    }

    /// Tempo, words and rehearsal marks over everything else.
    pub(super) fn over_the_staff(&mut self) {
        let signs: Vec<_> = self.lesson.score.signs.iter().filter(|sign| self.in_window(sign.at)).collect();
        for sign in &signs {
            if let SignKind::Words(text) = &sign.kind
                && !below_the_staff(text)
                && !text.trim().is_empty()
            {
                self.text_over(sign.at, text, WORDS_MM, Face::SansItalic);
            }
        }
        for sign in &signs {
            let SignKind::Tempo { text, .. } = &sign.kind else { continue };
            if !text.trim().is_empty() {
                self.text_over(sign.at, text, TEMPO_MM, Face::SansBold);
            }
        }
        for sign in &signs {
            let SignKind::Rehearsal(text) = &sign.kind else { continue };
            let size = 2.3 * S;
            let width = glyph::text_width_mm(text, size, Face::SansBold);
            let x = self.axis.barline_x(sign.at);
            let y = self.text_row(x - 0.4 * S, width + 1.4 * S, size + 0.8 * S) - 0.4 * S;
            let frame = Rect::new(x - 0.5 * S, y - 0.74 * size - 0.4 * S, x + width + 0.5 * S, y + 0.45 * S);
            self.picture.stroke(frame, Pen::solid(Ink::Text, 0.16 * S));
            self.picture.text((x, y), text.clone(), size, (Face::SansBold, Anchor::Start, Ink::Text));
        }
        self.endings();
    }

    /// Words over the staff; at its right end they move in rather than out of the picture.
    fn text_over(&mut self, at: Quarters, text: &str, size: f64, face: Face) {
        let width = glyph::text_width_mm(text, size, face);
        let x = (self.axis.x(at) - 0.6 * S).min(self.sides.1 - width).max(0.0);
        let y = self.text_row(x, width, size);
        self.words(Point::new(x, y), text, size, face);
    }

    /// Baseline of a text that is laid over what is there, and takes that room.
    fn text_row(&mut self, x: f64, width: f64, size: f64) -> f64 {
        let y = self.above.top(x, x + width, self.top - 1.2 * S) - 0.7 * S;
        self.above.add(x, x + width, y - 0.8 * size);
        y
    }

    fn endings(&mut self) {
        let bars = &self.lesson.score.bars;
        let mut index = 0;
        while index < bars.len() {
            let Some(numbers) = &bars[index].ending else {
                index += 1;
                continue;
            };
            let count = bars[index..].iter().take_while(|bar| bar.ending.as_ref() == Some(numbers)).count();
            let (start, end) = (bars[index].start, bars[index + count - 1].end());
            let closed = bars[index + count - 1].repeat_end;
            index += count;
            if end <= self.from || start >= self.to {
                continue;
            }
            let x0 = self.axis.barline_x(start).max(self.sides.0) + 0.2 * S;
            let x1 = self.axis.barline_x(end).min(self.sides.1) - 0.4 * S;
            let y = self.above.top(x0, x1, self.top - 2.2 * S) - 2.4 * S;
            self.above.add(x0, x1, y);
            let mut points = vec![(x0, y + 2.0 * S), (x0, y), (x1, y)];
            if closed {
                points.push((x1, y + 2.0 * S));
            }
            self.picture.stroke(polyline(points), Pen::solid(Ink::Text, 0.15 * S));
            let text = format!("{}.", numbers.trim_end_matches('.'));
            self.picture.text(
                (x0 + 0.6 * S, y + 1.6 * S),
                text,
                1.6 * S,
                (Face::SansBold, Anchor::Start, Ink::Text),
            );
        }
    }

    /// Printed bar numbers, small, over the barlines.
    pub(super) fn bar_numbers(&mut self) {
        for bar in &self.lesson.score.bars {
            if !self.in_window(bar.start) || bar.number.is_empty() || bar.pickup {
                continue;
            }
            let size = 1.4 * S;
            let width = glyph::text_width_mm(&bar.number, size, Face::Sans);
            let x = self.axis.barline_x(bar.start);
            // It ends at the barline, clear of what stands over the first note.
            let x = x + 0.35 * S;
            let y = self.above.top(x - width, x, self.top - 0.2 * S) - 0.45 * S;
            self.above.add(x - width, x, y - 0.8 * size);
            let style = (Face::Sans, Anchor::End, Ink::Faint);
            self.picture.text((x, y), bar.number.clone(), size, style);
        }
    }
}

enum Run {
    Text(String),
    Sign(char),
}

/// Splits a text into plain runs and signs of the music font. The text fonts have no note signs.
fn runs(text: &str) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for letter in text.chars() {
        match letter {
            '♩' => runs.push(Run::Sign('\u{1D15F}')),
            '♪' => runs.push(Run::Sign('\u{1D160}')),
            '\u{1D157}'..='\u{1D164}' | '♭' | '♮' | '♯' => runs.push(Run::Sign(letter)),
            // Combining stems and flags after a head: the head becomes the whole note sign.
            '\u{1D165}' => {
                if let Some(Run::Sign(sign)) = runs.last_mut() {
                    *sign = match *sign {
                        '\u{1D157}' => '\u{1D15E}',
                        '\u{1D158}' => '\u{1D15F}',
                        other => other,
                    };
                }
            }
            '\u{1D16E}' | '\u{1D16F}' => {
                if let Some(Run::Sign(sign)) = runs.last_mut() {
                    *sign = if letter == '\u{1D16E}' { '\u{1D160}' } else { '\u{1D161}' };
                }
            }
            _ => match runs.last_mut() {
                Some(Run::Text(text)) => text.push(letter),
                _ => runs.push(Run::Text(letter.to_string())),
            },
        }
    }
    runs
}
