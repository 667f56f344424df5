//! Whether what is drawn on a staff stands clear of everything else, measured over whole real parts: the
//! boxes of the outlines as the font has them.
//!
//! That heads, accidentals, dots and rests of a staff do not overlap is common practice, no source; how
//! many words and lines may touch something is what was measured, with a little to spare.

use std::collections::BTreeMap;

use elbowroom::{
    analysis::Study,
    bowing::Density,
    picture::{Engraving, Ink, Item, Picture, SPACE_MM, System, TimeAxis, header_width_mm, staff},
};
use kurbo::{BezPath, ParamCurve as _, ParamCurveArclen as _, Rect, Shape as _};

use crate::{data::files, picture_real::lesson_of};

/// What a sign is, by the ranges of the Standard Music Font Layout 1.4.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Sort {
    Head,
    Accidental,
    Dot,
    Rest,
    Front,
    Mark,
    Dynamic,
    Text,
}

impl Sort {
    fn of(item: &Item) -> Option<Self> {
        match item {
            Item::Text { .. } => Some(Self::Text),
            Item::Glyph { glyph, .. } => match *glyph {
                '\u{E0A0}'..='\u{E0FF}' => Some(Self::Head),
                '\u{E260}'..='\u{E2FF}' => Some(Self::Accidental),
                '\u{E1E7}' => Some(Self::Dot),
                '\u{E4E0}'..='\u{E4FF}' => Some(Self::Rest),
                // Clefs and time signatures.
                '\u{E050}'..='\u{E09F}' => Some(Self::Front),
                '\u{E520}'..='\u{E54F}' => Some(Self::Dynamic),
                // Articulations, ornaments, bow marks, fingers.
                '\u{E4A0}'..='\u{E4DF}'
                | '\u{E560}'..='\u{E5DF}'
                | '\u{E610}'..='\u{E63F}'
                | '\u{ED10}'..='\u{ED4F}' => Some(Self::Mark),
                _ => None,
            },
            _ => None,
        }
    }

    /// Nothing of these may overlap another of them.
    fn is_core(self) -> bool {
        matches!(self, Self::Head | Self::Accidental | Self::Dot | Self::Rest | Self::Front)
    }
}

/// Overlaps on a staff by what overlaps, and lines through what stands outside the staff.
#[derive(Default, Debug)]
struct Found {
    pairs: BTreeMap<(Sort, Sort), usize>,
    examples: Vec<String>,
    lines: BTreeMap<Sort, usize>,
    items: usize,
}

impl Found {
    fn measure(&mut self, picture: &Picture, name: &str, bar: impl Fn(f64) -> String) {
        let mut boxes: Vec<(Sort, Rect)> =
            picture.items.iter().filter_map(|item| Some((Sort::of(item)?, item.bounds()?))).collect();
        boxes.sort_by(|a, b| a.1.x0.total_cmp(&b.1.x0));
        self.items += boxes.len();
        for (i, (a, one)) in boxes.iter().enumerate() {
            for (b, other) in boxes[i + 1..].iter().take_while(|(_, other)| other.x0 < one.x1) {
                if !overlap(*a, one, *b, other) {
                    continue;
                }
                let pair = (*a.min(b), *a.max(b));
                *self.pairs.entry(pair).or_default() += 1;
                if self.examples.len() < 4000 {
                    self.examples.push(format!("{pair:?} {name} bar {}", bar(one.x0)));
                }
            }
        }
        // Staff and ledger lines go through what stands on them.
        let lines = picture.items.iter().filter_map(|item| match item {
            Item::Path { stroke: Some(pen), .. } if pen.ink == Ink::Staff => None,
            Item::Path { path, .. } if !path.elements().is_empty() => Some((path, path.bounding_box())),
            _ => None,
        });
        let is_outer = |sort: Sort| matches!(sort, Sort::Mark | Sort::Dynamic | Sort::Text);
        let outer: Vec<(Sort, Rect)> = boxes.into_iter().filter(|(sort, _)| is_outer(*sort)).collect();
        for (path, around) in lines {
            for (sort, room) in outer.iter().filter(|(_, room)| room.overlaps(around)) {
                if passes(path, room.inset(-0.1 * SPACE_MM)) {
                    *self.lines.entry(*sort).or_default() += 1;
                    self.examples.push(format!("line through {sort:?}, {name} bar {}", bar(room.x0)));
                }
            }
        }
    }

    fn count(&self, wanted: impl Fn(Sort, Sort) -> bool) -> usize {
        self.pairs.iter().filter(|((a, b), _)| wanted(*a, *b)).map(|(_, count)| count).sum()
    }
}

/// Two boxes share more than a hair's breadth. Heads of two voices may be one head, and heads of a second
/// share their stem.
fn overlap(a: Sort, one: &Rect, b: Sort, other: &Rect) -> bool {
    let shared = one.intersect(*other);
    // The digits of a time signature touch, and the letters of one dynamic lean over each other.
    let least = match (a == b, a) {
        (true, Sort::Head | Sort::Front) => 0.14,
        (true, Sort::Dynamic) => 0.6,
        _ => 0.06,
    } * SPACE_MM;
    let same_head = a == b && (one.x0 - other.x0).abs() < 0.01 && (one.y0 - other.y0).abs() < 0.01;
    shared.width() > least && shared.height() > least && !same_head
}

fn passes(path: &BezPath, room: Rect) -> bool {
    path.segments().any(|segment| {
        let steps = (segment.arclen(0.1) / 0.2).ceil().max(1.0);
        (0..=steps as u32).any(|k| room.contains(segment.eval(f64::from(k) / steps)))
    })
}

/// Every part of every quartet in one line, as the window shows it, and words besides.
#[test]
fn nothing_of_the_notes_overlaps() {
    let mut found = Found::default();
    let mut bars = 0;
    for path in files("quartets") {
        for instrument in ["Violin 1", "Violin 2", "Viola", "Violoncello"] {
            let Some(lesson) = lesson_of(&path, instrument) else { continue };
            let name = format!("{} {instrument}", path.file_name().unwrap_or_default().display());
            let engraving = Engraving::new(&lesson.score);
            let axis = TimeAxis::new(&lesson.score, &engraving);
            let study = Study::new(lesson);
            let score = &study.lesson().score;
            bars += score.bars.len();
            // In stretches of eight bars, as wide as they are by themselves.
            for first in (0..score.bars.len()).step_by(8) {
                let last = (first + 8).min(score.bars.len());
                let (from, to) = (score.bars[first].start, score.bars[last - 1].end());
                let axis = axis.starting_at(from, header_width_mm(score, first).max(20.0));
                let right_mm = axis.barline_x(to) + axis.notice_mm(to);
                let system = System { right_mm, axis, from, to, left_mm: 0.0 };
                let drawn = staff(&study, &engraving, &system, Density::None, 1.0).picture;
                let bar = |x: f64| {
                    let inside = score.bars[first..last]
                        .iter()
                        .rev()
                        .find(|bar| system.axis.barline_x(bar.start) <= x);
                    inside.map_or_else(String::new, |bar| {
                        format!("{} (index {})", bar.number, score.bar_at(bar.start).unwrap_or(0))
                    })
                };
                found.measure(&drawn, &name, bar);
            }
        }
    }
    if bars == 0 {
        return;
    }
    if let Ok(list) = std::env::var("LIST_OVERLAPS") {
        std::fs::write(list, found.examples.join("\n")).expect("a list");
    }
    eprintln!("{bars} bars, {} signs and words, {:?}, {:?} lines", found.items, found.pairs, found.lines);
    let core = found.count(|a, b| a.is_core() && b.is_core());
    assert_eq!(core, 0, "{:?}", found.pairs);
    // Measured: no two of 331,000 signs and words, and five lines.
    let others = found.count(|_, _| true) + found.lines.values().sum::<usize>();
    assert!(others <= 20, "{:?}, lines {:?}", found.pairs, found.lines);
}
