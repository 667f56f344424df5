//! The rows of dynamics and hairpins under the staff. Common practice, no source.

use std::cmp::Ordering;

use kurbo::{Circle, Point};

use super::{
    page::Page,
    words::{WORDS_MM, below_the_staff, leads_a_mark},
};
use crate::{
    picture::{
        Face, Ink, Pen, SPACE_MM, glyph,
        path::polyline,
        smufl,
        smufl::{Sign, defaults},
    },
    score::{Mark, Quarters, SignKind},
};

const S: f64 = SPACE_MM;

/// One dynamic or hairpin on its way to the rows under the staff.
#[derive(Clone, Debug, PartialEq)]
enum Loud {
    Mark {
        x: f64,
        text: String,
    },
    Pin {
        from: f64,
        to: f64,
        opens: bool,
        niente: bool,
    },
    /// Words, with dashes to where they hold.
    Words {
        x: f64,
        text: String,
        until: Option<f64>,
    },
}

impl Loud {
    fn span(&self) -> (f64, f64) {
        match self {
            Self::Mark { x, text } => {
                let (_, middle, width) = dynamic_row(text);
                (x - middle - 0.2 * S, x - middle + width + 0.2 * S)
            }
            Self::Pin { from, to, .. } => (*from, *to),
            Self::Words { x, text, until } => {
                let right = x + glyph::text_width_mm(text, WORDS_MM, Face::SansItalic);
                (*x, until.map_or(right, |until| until.max(right)))
            }
        }
    }
}

/// The signs of a dynamic: of those the font has for several letters as few as will do.
fn dynamic_signs(text: &str) -> Vec<Sign> {
    let mut signs = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let group = LETTER_GROUPS.iter().find(|(letters, _)| rest.starts_with(letters));
        signs.extend(group.map(|(_, sign)| *sign).or_else(|| dynamic_letter(first)));
        rest = &rest[group.map_or(first.len_utf8(), |(letters, _)| letters.len())..];
    }
    signs
}

/// Letters of dynamics that the font has as one sign, the longest first.
const LETTER_GROUPS: [(&str, Sign); 15] = [
    ("sfpp", smufl::DYNAMIC_SFPP),
    ("sffz", smufl::DYNAMIC_SFFZ),
    ("ppp", smufl::DYNAMIC_PPP),
    ("fff", smufl::DYNAMIC_FFF),
    ("sfz", smufl::DYNAMIC_SFZ),
    ("sfp", smufl::DYNAMIC_SFP),
    ("rfz", smufl::DYNAMIC_RFZ),
    ("pp", smufl::DYNAMIC_PP),
    ("mp", smufl::DYNAMIC_MP),
    ("mf", smufl::DYNAMIC_MF),
    ("ff", smufl::DYNAMIC_FF),
    ("fp", smufl::DYNAMIC_FP),
    ("fz", smufl::DYNAMIC_FZ),
    ("sf", smufl::DYNAMIC_SF),
    ("rf", smufl::DYNAMIC_RF),
];

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

/// Signs of a dynamic with their places from its left edge, where its middle is to the eye, and its
/// width, mm.
fn dynamic_row(text: &str) -> (Vec<(Sign, f64)>, f64, f64) {
    let mut x = 0.0;
    let mut row: Vec<(Sign, f64)> = Vec::new();
    let mut right = 0.0;
    for sign in dynamic_signs(text) {
        if row.is_empty() {
            x = -sign.bounds().x0 * S;
        }
        row.push((sign, x));
        right = x + sign.bounds().x1 * S;
        x += sign.advance() * S;
    }
    let middle = match row[..] {
        [(sign, x)] => sign.anchor("opticalCenter").map(|at| x + at.x * S),
        _ => None,
    };
    (row, middle.unwrap_or(right / 2.0), right)
}

/// From one row of dynamics to the next.
const ROW: f64 = 2.6 * S;
/// Air between what stands in one row.
const AIR: f64 = 0.3 * S;
/// What is nearer to each other stands on one line. Assumed: about a beat.
const ON_ONE_LINE: f64 = 8.0 * S;
/// No hairpin is drawn shorter.
const LEAST_PIN: f64 = 1.5 * S;

impl Page<'_> {
    /// The rows under the staff. What touches or follows closely shares the height of its first row.
    pub(super) fn dynamics(&mut self) {
        let louds = self.louds();
        let rows = in_rows(louds, self.sides.1 - AIR);
        // What hangs together over all rows.
        let mut all: Vec<(usize, Loud)> = rows
            .into_iter()
            .enumerate()
            .flat_map(|(row, louds)| louds.into_iter().map(move |loud| (row, loud)))
            .collect();
        all.sort_by(|a, b| a.1.span().0.total_cmp(&b.1.span().0));
        let mut rest = &all[..];
        while let Some(first) = rest.first() {
            let mut right = first.1.span().1;
            let mut count = 1;
            while let Some((_, next)) =
                rest.get(count).filter(|(_, next)| next.span().0 < right + ON_ONE_LINE)
            {
                right = right.max(next.span().1);
                count += 1;
            }
            self.group(&rest[..count]);
            rest = &rest[count..];
        }
    }

    /// All that belongs into the rows, where it would like to stand.
    fn louds(&self) -> Vec<Loud> {
        let mut louds: Vec<Loud> = Vec::new();
        for sign in &self.lesson.score.signs {
            let (x, inside) = (|| self.axis.x(sign.at), self.in_window(sign.at));
            let loud = match &sign.kind {
                // What fp and its like say is not said again.
                SignKind::Dynamic(_) if inside && self.falls_after_attack(sign.at) => continue,
                SignKind::Dynamic(level) if inside => Loud::Mark { x: x(), text: level.mark().to_owned() },
                SignKind::Hairpin { end, .. } if self.is_told_in_words(sign.at) => {
                    // Its dashes go on in the next system.
                    if inside || *end <= self.from || sign.at >= self.to {
                        continue;
                    }
                    let until = self.axis.x(*end).min(self.sides.1) - 0.9 * S;
                    Loud::Words { x: self.sides.0, text: String::new(), until: Some(until) }
                }
                SignKind::Hairpin { opens, end, niente } if *end > self.from && sign.at < self.to => {
                    let from = (x() - 0.3 * S).max(self.sides.0);
                    let to = (self.axis.x(*end).min(self.sides.1) - 0.9 * S).max(from + 2.0 * S);
                    Loud::Pin { from, to, opens: *opens, niente: *niente }
                }
                SignKind::Words(text) if inside && below_the_staff(text) => {
                    let until = self.holds_until(sign.at, text);
                    let x = match self.mark_led_by(sign.at, text) {
                        Some(mark) => {
                            let width = glyph::text_width_mm(text, WORDS_MM, Face::SansItalic);
                            (mark.span().0 - AIR - width).max(self.sides.0)
                        }
                        None => x() - 0.6 * S,
                    };
                    Loud::Words { x, text: text.clone(), until }
                }
                // Outside the system, or placed elsewhere.
                SignKind::Dynamic(_)
                | SignKind::Hairpin { .. }
                | SignKind::Words(_)
                | SignKind::Tempo { .. }
                | SignKind::Rehearsal(_)
                | SignKind::Clef(_)
                | SignKind::OctaveLine { .. } => continue,
            };
            // Two voices may have the same.
            if !louds.contains(&loud) {
                louds.push(loud);
            }
        }
        for event in &self.lesson.score.events[self.events.clone()] {
            let Some(text) = event.sudden_letters() else { continue };
            let loud = Loud::Mark { x: self.axis.x(event.onset), text: text.to_owned() };
            if !louds.contains(&loud) {
                louds.push(loud);
            }
        }
        louds
    }

    /// True where fp or its like stands: it tells the level after it.
    fn falls_after_attack(&self, at: Quarters) -> bool {
        let events = &self.lesson.score.events[self.events.clone()];
        let here = events[events.partition_point(|event| event.onset < at)..].iter();
        here.take_while(|event| event.onset == at).any(|event| event.marks.contains(&Mark::FortePiano))
    }

    /// The mark before which these words are read, as in "sempre pp".
    fn mark_led_by(&self, at: Quarters, words: &str) -> Option<Loud> {
        let words = words.trim().to_lowercase();
        let mut here = self.lesson.score.signs.iter().filter(|sign| sign.at == at && leads_a_mark(&words));
        here.find_map(|sign| match &sign.kind {
            SignKind::Dynamic(level) => {
                Some(Loud::Mark { x: self.axis.x(at), text: level.mark().to_owned() })
            }
            _ => None,
        })
    }

    /// Where words for growing or falling hold, as a hairpin from the same moment says: they stand in its
    /// place.
    fn holds_until(&self, at: Quarters, words: &str) -> Option<f64> {
        let ends = self.lesson.score.signs.iter().filter(|sign| sign.at == at && tells_growth(words));
        let end = ends.filter_map(|sign| match sign.kind {
            SignKind::Hairpin { end, .. } => Some(end),
            _ => None,
        });
        Some(self.axis.x(end.max()?).min(self.sides.1) - 0.9 * S)
    }

    fn is_told_in_words(&self, at: Quarters) -> bool {
        let mut here = self.lesson.score.signs.iter().filter(|sign| sign.at == at);
        here.any(|sign| matches!(&sign.kind, SignKind::Words(words) if tells_growth(words)))
    }

    /// Draws what hangs together, as near to the staff as there is room.
    fn group(&mut self, louds: &[(usize, Loud)]) {
        let base = self.bottom() + 1.0 * S;
        let taken = louds.iter().map(|(row, loud)| {
            let (l, r) = loud.span();
            self.below.bottom(l, r, base) - *row as f64 * ROW
        });
        // The middle of the first row lies a little over one space below what is taken.
        let middle = taken.fold(base, f64::max) + 1.25 * S;
        for (row, loud) in louds {
            let (l, r) = loud.span();
            let y = middle + *row as f64 * ROW;
            self.loud(loud, y);
            self.below.add(l, r, y + 0.9 * S);
        }
    }

    fn loud(&mut self, loud: &Loud, middle: f64) {
        match loud {
            Loud::Mark { x, text } => {
                // The middle of the letters without a stem lies on the middle of the row.
                let baseline = middle + smufl::DYNAMIC_M.bounds().height() / 2.0 * S;
                let (row, eye, _) = dynamic_row(text);
                for (sign, at) in row {
                    self.sign(sign, (x - eye + at, baseline), 1.0, Ink::Text, None);
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
            Loud::Words { x, text, until } => {
                self.words(Point::new(*x, middle + 0.6 * S), text, WORDS_MM, Face::SansItalic);
                let from = x + glyph::text_width_mm(text, WORDS_MM, Face::SansItalic) + 0.6 * S;
                if let Some(until) = until.filter(|until| *until > from + 2.0 * S) {
                    let y = middle + 0.4 * S;
                    let pen = Pen::dashed(Ink::Text, defaults().hairpin_thickness * S);
                    self.picture.line((from, y), (until, y), pen);
                }
            }
        }
    }
}

/// Words for growing or falling in loudness.
fn tells_growth(words: &str) -> bool {
    let words = words.trim_start().to_lowercase();
    ["cresc", "dim", "decresc"].iter().any(|start| words.starts_with(start))
}

/// Sorts what stands under the staff into rows, the first one nearest to it, so that nothing in a row
/// overlaps. Marks stand where their notes are; hairpins end and start beside them, and beside each other
/// where they only touch; words go on after a mark, or into the next row. Nothing goes beyond `right`.
fn in_rows(mut louds: Vec<Loud>, right: f64) -> Vec<Vec<Loud>> {
    louds.sort_by(|a, b| {
        (a.rank(), a.span().0).partial_cmp(&(b.rank(), b.span().0)).unwrap_or(Ordering::Equal)
    });
    let mut rows: Vec<Vec<Loud>> = Vec::new();
    for mut loud in louds {
        let at = (0..=rows.len()).find(|&row| loud.fits(rows.get(row).map_or(&[][..], Vec::as_slice), right));
        let at = at.unwrap_or(rows.len());
        if at == rows.len() {
            rows.push(Vec::new());
        }
        rows[at].push(loud);
    }
    rows
}

impl Loud {
    /// What is put into its row first.
    fn rank(&self) -> u8 {
        match self {
            Self::Mark { .. } => 0,
            Self::Pin { .. } => 1,
            Self::Words { .. } => 2,
        }
    }

    /// Moves beside what stands in a row; false where there is no room.
    fn fits(&mut self, row: &[Self], right: f64) -> bool {
        let free = |l: f64, r: f64| !row.iter().any(|other| other.span().0 < r && other.span().1 > l);
        match self {
            Self::Mark { .. } => free(self.span().0, self.span().1),
            Self::Pin { from, to, .. } => {
                let (mut a, mut b) = (*from, to.min(right));
                for (l, r) in row.iter().map(Self::span) {
                    // What covers one end is left out; what lies inside is in the way.
                    if l <= a + 1.5 * S && r > a {
                        a = r + AIR;
                    } else if r >= b - 1.5 * S && l < b {
                        b = l - AIR;
                    }
                }
                let kept = b - a >= LEAST_PIN.max(0.5 * (*to - *from)) && free(a, b);
                if kept {
                    (*from, *to) = (a, b);
                } else if row.is_empty() {
                    *to = b.max(a + LEAST_PIN);
                }
                kept || row.is_empty()
            }
            Self::Words { x, text, until } => {
                let words = glyph::text_width_mm(text, WORDS_MM, Face::SansItalic);
                let mut at = x.min(right - words);
                // Words follow a mark of the same note.
                for (l, r) in row.iter().map(Self::span) {
                    if l <= at + 1.5 * S && r > at && r - *x < 5.0 * S {
                        at = r + AIR;
                    }
                }
                // Dashes end before what comes after them in the row.
                let next = row.iter().map(|other| other.span().0).filter(|l| *l > at + words);
                let end = until.map(|until| next.fold(until, |end, l| end.min(l - AIR)));
                let width = end.map_or(words, |end| words.max(end - at));
                let kept = free(at, at + width + AIR / 2.0) && at + words <= right;
                if kept || row.is_empty() {
                    (*x, *until) = (at, end);
                }
                kept || row.is_empty()
            }
        }
    }
}
