//! The row of dynamics and hairpins under the staff. Common practice, no source.

use kurbo::{Circle, Point};

use super::{
    page::Page,
    words::{WORDS_MM, below_the_staff},
};
use crate::{
    picture::{
        Face, Ink, Pen, SPACE_MM, glyph,
        path::polyline,
        smufl,
        smufl::{Sign, defaults},
    },
    score::{Mark, SignKind},
};

const S: f64 = SPACE_MM;

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

/// The signs of a dynamic: one where the font has it whole, or one for each letter.
fn dynamic_signs(text: &str) -> Vec<Sign> {
    let whole = match text {
        "ppp" => smufl::DYNAMIC_PPP,
        "pp" => smufl::DYNAMIC_PP,
        "mp" => smufl::DYNAMIC_MP,
        "mf" => smufl::DYNAMIC_MF,
        "ff" => smufl::DYNAMIC_FF,
        "fff" => smufl::DYNAMIC_FFF,
        "fp" => smufl::DYNAMIC_FP,
        "sf" => smufl::DYNAMIC_SF,
        _ => return text.chars().filter_map(dynamic_letter).collect(),
    };
    vec![whole]
}

fn dynamic_letter(letter: char) -> Option<Sign> {
    match letter {
        'p' => Some(smufl::DYNAMIC_P),
        'm' => Some(smufl::DYNAMIC_M),
        'f' => Some(smufl::DYNAMIC_F),
        'r' => Some(smufl::DYNAMIC_R),
        's' => Some(smufl::DYNAMIC_S),
        'z' => Some(smufl::DYNAMIC_Z),
        'n' => Some(smufl::DYNAMIC_N),
        _ => None,
    }
}

/// Signs of a dynamic with their places from its left edge, mm, and its width.
fn dynamic_row(text: &str) -> (Vec<(Sign, f64)>, f64) {
    let mut x = 0.0;
    let mut row = Vec::new();
    let mut right = 0.0;
    for sign in dynamic_signs(text) {
        if row.is_empty() {
            x = -sign.bounds().x0 * S;
        }
        row.push((sign, x));
        right = x + sign.bounds().x1 * S;
        x += sign.advance() * S;
    }
    (row, right)
}

impl Page<'_> {
    /// The row under the staff. What touches shares one height.
    pub(super) fn dynamics(&mut self) {
        let mut louds = self.louds();
        louds.sort_by(|a, b| a.span().0.total_cmp(&b.span().0));
        push_apart(&mut louds, self.sides.1 - 0.3 * S);
        let mut start = 0;
        while start < louds.len() {
            let mut end = start + 1;
            let mut right = louds[start].span().1;
            while end < louds.len() && louds[end].span().0 < right + 1.2 * S {
                right = right.max(louds[end].span().1);
                end += 1;
            }
            self.row_of(&louds[start..end]);
            start = end;
        }
    }

    /// All that belongs into the row, where it would like to stand.
    fn louds(&self) -> Vec<Loud> {
        let mut louds: Vec<Loud> = Vec::new();
        for sign in &self.lesson.score.signs {
            let (x, inside) = (|| self.axis.x(sign.at), self.in_window(sign.at));
            match &sign.kind {
                SignKind::Dynamic(level) if inside => {
                    louds.push(Loud::Mark { x: x(), text: level.mark().to_owned() });
                }
                SignKind::Hairpin { opens, end, niente } if *end > self.from && sign.at < self.to => {
                    let from = (x() - 0.3 * S).max(self.sides.0);
                    let to = (self.axis.x(*end).min(self.sides.1) - 0.9 * S).max(from + 2.0 * S);
                    louds.push(Loud::Pin { from, to, opens: *opens, niente: *niente });
                }
                SignKind::Words(text) if inside && below_the_staff(text) => {
                    louds.push(Loud::Words { x: x() - 0.6 * S, text: text.clone() });
                }
                // Outside the system, or placed elsewhere.
                SignKind::Dynamic(_)
                | SignKind::Hairpin { .. }
                | SignKind::Words(_)
                | SignKind::Tempo { .. }
                | SignKind::Rehearsal(_)
                | SignKind::Clef(_) => {}
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
        louds
    }

    /// Draws what stands at one height, as near to the staff as there is room.
    fn row_of(&mut self, louds: &[Loud]) {
        let base = self.bottom() + 1.0 * S;
        let taken = louds.iter().map(|loud| {
            let (l, r) = loud.span();
            self.below.bottom(l, r, base)
        });
        // The middle of the row lies a little over one space below what is taken.
        let middle = taken.fold(base, f64::max) + 1.25 * S;
        // Words that would overlap what is left of them go one row lower.
        let mut taken_to = f64::NEG_INFINITY;
        for loud in louds {
            let (l, r) = loud.span();
            let lower = matches!(loud, Loud::Words { .. }) && l < taken_to;
            let y = if lower { middle + 2.0 * S } else { middle };
            taken_to = taken_to.max(r);
            self.loud(loud, y);
            self.below.add(l, r, y + 0.9 * S);
        }
    }

    fn loud(&mut self, loud: &Loud, middle: f64) {
        match loud {
            Loud::Mark { x, text } => {
                // The middle of the letters without a stem lies on the middle of the row.
                let baseline = middle + smufl::DYNAMIC_M.bounds().height() / 2.0 * S;
                let (row, width) = dynamic_row(text);
                for (sign, at) in row {
                    self.sign(sign, (x - width / 2.0 + at, baseline), 1.0, Ink::Text, None);
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
                let pen = Pen::solid(Ink::Text, defaults().hairpin_thickness * S);
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
}

/// Pushes words after marks, and the ends of hairpins away from both; nothing goes beyond `right`.
fn push_apart(louds: &mut [Loud], right: f64) {
    let spans = |louds: &[Loud], kind: fn(&Loud) -> bool| -> Vec<(f64, f64)> {
        louds.iter().filter(|loud| kind(loud)).map(Loud::span).collect()
    };
    let marks = spans(louds, |loud| matches!(loud, Loud::Mark { .. }));
    for loud in louds.iter_mut() {
        let Loud::Words { x, .. } = loud else { continue };
        for (l, r) in &marks {
            if *l <= *x + 0.5 * S && *r > *x {
                *x = r + 0.5 * S;
            }
        }
    }
    let fixed = spans(louds, |loud| !matches!(loud, Loud::Pin { .. }));
    for loud in louds {
        let Loud::Pin { from, to, .. } = loud else { continue };
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
}
