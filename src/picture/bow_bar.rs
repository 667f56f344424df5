//! The bow to scale, with the present stroke on its hair.

use kurbo::{BezPath, Circle, PathEl, Point, Rect};

use super::{
    Anchor, Face, Ink, Pen, Picture, glyph,
    path::{curve, line, polygon, start},
    staff,
};
use crate::{
    analysis::{Analysis, BowState, Study},
    arm,
    lesson::Lesson,
    score::Direction,
};

const WORDS_MM: f64 = 2.9;
const SMALL_MM: f64 = 2.5;
/// Where things lie from top to bottom, mm.
const TITLE_Y: f64 = 4.6;
const HAIR_Y: f64 = 20.0;
const TICK_Y: f64 = 26.2;
const BALANCE_Y: f64 = 30.4;
const USABLE_Y: f64 = 34.6;

/// Draws the bow `width_mm` wide: the hair to scale from frog to tip, the stroke now played, the
/// contact point, and what this player uses. In pizzicato the bow rests. For a left-handed player all is
/// flipped.
pub fn bow_bar(study: &Study, state: &BowState, width_mm: f64) -> Picture {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let mut picture = Picture::new(width_mm, USABLE_Y + 5.0);
    let x = scale(lesson, width_mm);
    the_bow(&mut picture, study, state);
    usable(&mut picture, lesson, &x);
    title(&mut picture, analysis, state);
    if lesson.setup.left_handed { picture.flipped() } else { picture }
}

/// The same without its words on the player.
pub(super) fn told_bow(study: &Study, state: &BowState, width_mm: f64) -> Picture {
    let mut picture = Picture::new(width_mm, BALANCE_Y + 2.0);
    the_bow(&mut picture, study, state);
    title(&mut picture, study.analysis(), state);
    if study.lesson().setup.left_handed { picture.flipped() } else { picture }
}

/// The same without its words on the stroke and on the player.
pub(super) fn bare_bow(study: &Study, state: &BowState, width_mm: f64) -> Picture {
    let mut whole = Picture::new(width_mm, BALANCE_Y + 2.0);
    the_bow(&mut whole, study, state);
    let whole = if study.lesson().setup.left_handed { whole.flipped() } else { whole };
    let mut picture = Picture::new(width_mm, whole.height_mm - OVER_MM);
    picture.place(whole, (0.0, -OVER_MM));
    picture
}

/// Room for the words over the bow, mm.
const OVER_MM: f64 = 7.0;

/// x of a place on the hair, mm from the frog.
fn scale(lesson: &Lesson, width_mm: f64) -> impl Fn(f64) -> f64 + use<> {
    let hair = lesson.setup.bow.hair_mm.max(1.0);
    let (left, right) = ends(width_mm);
    move |mm: f64| left + (right - left) * (mm / hair).clamp(0.0, 1.0)
}

/// Where the hair begins and ends in a drawing of this width, mm.
fn ends(width_mm: f64) -> (f64, f64) {
    (20.0, (width_mm - 12.0).max(60.0))
}

/// The bow with its places, the stroke that is played and the contact point.
fn the_bow(picture: &mut Picture, study: &Study, state: &BowState) {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let (left, right) = ends(picture.width_mm);
    let x = scale(lesson, picture.width_mm);
    bow(picture, left, right);
    ruler(picture, &x, lesson.setup.bow.hair_mm.max(1.0), lesson.setup.bow.balance_mm);
    if let Some(stroke) = state.stroke.and_then(|index| analysis.bowing.strokes.get(index)) {
        let (first, last) = (stroke.notes.start, stroke.notes.end.saturating_sub(1));
        arrow(picture, x(analysis.ends_mm(first).0), x(analysis.ends_mm(last).1));
    }
    if !rests(analysis, state) {
        contact(picture, x(state.hair_mm), state.on_string);
    }
}

/// A note is plucked, and the bow lies on no string.
fn rests(analysis: &Analysis, state: &BowState) -> bool {
    let note = state.note.and_then(|note| analysis.line.notes.get(note));
    state.stroke.is_none() && note.is_some_and(|note| note.pizzicato)
}

fn bow(picture: &mut Picture, left: f64, right: f64) {
    let hair_y = HAIR_Y;
    // Hair: a ribbon.
    picture.fill(Rect::new(left - 3.0, hair_y - 0.35, right + 1.2, hair_y + 0.35), Ink::Hair);
    // The stick bends toward the hair in the middle and tapers toward the head.
    let span = right - left;
    let (butt, head) = (left - 14.0, right + 3.6);
    let (y0, y1, sag) = (hair_y - 6.6, hair_y - 6.2, hair_y - 1.9);
    let stick = BezPath::from_iter([
        start((butt, y0 - 0.75)),
        curve((left + 0.3 * span, sag - 0.8), (left + 0.68 * span, sag - 0.55), (head, y1 - 0.5)),
        line((head + 0.3, y1 + 0.3)),
        curve((left + 0.68 * span, sag + 0.55), (left + 0.3 * span, sag + 0.8), (butt, y0 + 0.75)),
        PathEl::ClosePath,
    ]);
    picture.fill(stick, Ink::Wood);
    // Head: a hatchet that comes down to the hair.
    let tip = BezPath::from_iter([
        start((head - 3.2, y1 + 0.05)),
        curve((head - 0.8, y1 - 0.6), (head + 0.8, y1 - 0.5), (head + 2.6, y1 - 0.9)),
        curve((head + 1.8, y1 + 1.2), (head + 0.3, hair_y - 2.2), (head - 0.5, hair_y + 0.6)),
        line((right + 0.2, hair_y + 0.6)),
        curve((right + 0.4, hair_y - 2.0), (head - 1.9, y1 + 2.0), (head - 3.2, y1 + 1.0)),
        PathEl::ClosePath,
    ]);
    picture.fill(tip, Ink::Wood);
    picture.fill(Rect::new(right, hair_y + 0.35, head - 0.3, hair_y + 0.75), Ink::Paper);
    // Screw, frog, ferrule, eye.
    let screw = Rect::new(butt - 3.4, y0 - 0.75, butt - 0.2, y0 + 0.75);
    picture.fill(screw.to_rounded_rect(0.5), Ink::Ebony);
    let frog = BezPath::from_iter([
        start((left - 12.2, y0 + 0.9)),
        line((left - 0.6, y0 + 1.1)),
        curve((left - 1.9, y0 + 2.4), (left - 2.1, hair_y - 1.6), (left - 0.4, hair_y - 0.8)),
        line((left, hair_y + 0.75)),
        line((left - 11.4, hair_y + 0.75)),
        curve((left - 12.4, hair_y - 1.0), (left - 12.6, y0 + 2.6), (left - 12.2, y0 + 0.9)),
        PathEl::ClosePath,
    ]);
    picture.fill(frog, Ink::Ebony);
    picture.fill(Rect::new(left - 2.2, hair_y - 0.95, left, hair_y + 0.8), Ink::Hair);
    picture.path(
        Circle::new((left - 6.8, hair_y - 2.7), 1.1),
        Some(Ink::Hair),
        Some(Pen::solid(Ink::Paper, 0.2)),
        None,
    );
}

fn ruler(picture: &mut Picture, x: &dyn Fn(f64) -> f64, hair: f64, balance_mm: f64) {
    let style = |ink| (Face::Sans, Anchor::Middle, ink);
    for (share, name, first_rank) in [
        (0.0, "frog", true),
        (0.25, "1/4", false),
        (1.0 / 3.0, "1/3", false),
        (0.5, "middle", true),
        (2.0 / 3.0, "2/3", false),
        (0.75, "3/4", false),
        (1.0, "tip", true),
    ] {
        let at = x(share * hair);
        let (ink, size) = if first_rank { (Ink::Text, WORDS_MM) } else { (Ink::Faint, SMALL_MM) };
        let deep = if first_rank { 2.2 } else { 1.5 };
        picture.line((at, HAIR_Y + 1.5), (at, HAIR_Y + 1.5 + deep), Pen::solid(ink, 0.3));
        picture.text((at, TICK_Y + 0.6), name, size, style(ink));
    }
    let at = x(balance_mm);
    let triangle = [(at, HAIR_Y + 1.3), (at - 1.3, HAIR_Y + 3.6), (at + 1.3, HAIR_Y + 3.6)];
    picture.fill(polygon(triangle), Ink::Faint);
    picture.line((at, HAIR_Y + 3.6), (at, BALANCE_Y - 2.2), Pen::solid(Ink::Faint, 0.2));
    picture.text((at, BALANCE_Y + 0.4), "balance point", SMALL_MM, style(Ink::Faint));
}

fn usable(picture: &mut Picture, lesson: &Lesson, x: &dyn Fn(f64) -> f64) {
    let (lo, hi) = arm::usable_mm(&lesson.setup);
    let (a, b) = (x(lo), x(hi));
    let pen = Pen::solid(Ink::Faint, 0.3);
    picture.line((a, USABLE_Y), (b, USABLE_Y), pen);
    for end in [a, b] {
        picture.line((end, USABLE_Y - 1.3), (end, USABLE_Y + 1.3), Pen::solid(Ink::Warn, 0.45));
    }
    let words = format!(
        "usable for {}: {} to {} of {} cm of hair",
        lesson.setup.player.name,
        cm(lo),
        cm(hi),
        cm(lesson.setup.bow.hair_mm)
    );
    let style = (Face::Sans, Anchor::Middle, Ink::Faint);
    picture.text(((a + b) / 2.0, USABLE_Y + 3.6), words, SMALL_MM, style);
}

fn title(picture: &mut Picture, analysis: &Analysis, state: &BowState) {
    let stroke = state.stroke.and_then(|index| analysis.bowing.strokes.get(index));
    let Some(stroke) = stroke else {
        let words = if rests(analysis, state) { "pizzicato: the bow rests" } else { "no bow stroke here" };
        picture.text((6.0, TITLE_Y), words, 3.4, (Face::SansBold, Anchor::Start, Ink::Faint));
        return;
    };
    let count = stroke.notes.len();
    let notes = match count {
        1 => "one note".to_owned(),
        n => format!("{n} notes in one bow"),
    };
    let (name, end) = match stroke.direction {
        Direction::Down => ("down-bow", "tip"),
        Direction::Up => ("up-bow", "frog"),
    };
    let sign = staff::bow_sign(stroke.direction, Point::new(6.0, TITLE_Y), 3.6);
    picture.fill(sign, Ink::Text);
    let size = 3.4;
    let words = format!("{name}, toward the {end}");
    picture.text((9.4, TITLE_Y), words.clone(), size, (Face::SansBold, Anchor::Start, Ink::Text));
    let (first, last) = (stroke.notes.start, stroke.notes.end.saturating_sub(1));
    let (Some(a), Some(b)) =
        (analysis.plan.solution.start_mm.get(first), analysis.plan.solution.end_mm.get(last))
    else {
        return;
    };
    let seconds: f64 = analysis.bowing.notes[stroke.notes.clone()].iter().map(|note| note.sounding_s).sum();
    let long = (b - a).abs();
    let speed = if seconds > 0.0 { format!(", {:.0} cm/s", long / seconds / 10.0) } else { String::new() };
    let air = if state.on_string { "" } else { "; the bow is in the air" };
    let detail = format!(
        "{notes}: from {:.0} to {:.0} cm, {:.0} cm in {seconds:.1} s{speed}{air}",
        a / 10.0,
        b / 10.0,
        long / 10.0
    );
    let at = 9.4 + glyph::text_width_mm(&words, size, Face::SansBold) + 4.0;
    // On a narrow bow the words that say where it goes stand alone.
    if at + glyph::text_width_mm(&detail, WORDS_MM, Face::Sans) <= picture.width_mm {
        picture.text((at, TITLE_Y), detail, WORDS_MM, (Face::Sans, Anchor::Start, Ink::Faint));
    }
}

/// Centimetres to the nearest millimetre, without a needless zero.
fn cm(mm: f64) -> String {
    let text = format!("{:.1}", mm / 10.0);
    text.trim_end_matches(".0").to_owned()
}

/// The stretch of hair of a stroke, from where it starts to where it ends.
fn arrow(picture: &mut Picture, from: f64, to: f64) {
    let (thick, wing, long) = (0.95, 1.9, 3.4);
    let sign = (to - from).signum();
    let neck = if (to - from).abs() > long { to - sign * long } else { from };
    let y = HAIR_Y;
    let points = [
        (from, y - thick),
        (neck, y - thick),
        (neck, y - wing),
        (to, y),
        (neck, y + wing),
        (neck, y + thick),
        (from, y + thick),
    ];
    picture.fill(polygon(points), Ink::Plan);
    picture.line((from, y - wing), (from, y + wing), Pen::solid(Ink::Plan, 0.5));
}

fn contact(picture: &mut Picture, x: f64, on_string: bool) {
    let y = HAIR_Y;
    picture.text((x, y - 9.6), "string", SMALL_MM, (Face::Sans, Anchor::Middle, Ink::Text));
    picture.line((x, y - 8.8), (x, y + 2.6), Pen::solid(Ink::Now, 0.7));
    let fill = if on_string { Ink::Now } else { Ink::Paper };
    picture.path(Circle::new((x, y), 1.45), Some(fill), Some(Pen::solid(Ink::Text, 0.35)), None);
}
