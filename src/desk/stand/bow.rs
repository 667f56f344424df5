//! The bow as a bar with its parts, the stretch of this note on it and that of the next.

use egui::{Align2, Rect, Shape, Stroke, pos2, vec2};

use crate::{desk::state::now::Now, picture::Ink, practice::Card, score::Direction};

use super::letters::{Hand, Letters};

/// Size of the words at the bar, as a share of the window.
const WORDS: f32 = 0.042;

/// Draws the bar; for a left-handed player the frog is at the right.
pub fn bow_ui(letters: &Letters<'_>, room: Rect, now: &Now, present: Option<&Card>, next: Option<&Card>) {
    let high = letters.high;
    let painter = letters.ui.painter();
    let flipped = now.lesson().setup.left_handed;
    let (left, right) = (room.left() + 0.1 * high, room.right() - 0.08 * high);
    let x = |share: f64| {
        let share = if flipped { 1.0 - share } else { share } as f32;
        left + (right - left) * share.clamp(0.0, 1.0)
    };
    let y = room.top() + 0.045 * high;
    let thin = Stroke::new((0.003 * high).max(1.0), letters.ink(Ink::Text));
    painter.hline(left..=right, y, thin);
    for (share, words) in [(0.0, "frog"), (0.5, "middle"), (1.0, "tip")] {
        painter.vline(x(share), y - 0.016 * high..=y + 0.016 * high, thin);
        letters.text(
            pos2(x(share), y + 0.03 * high),
            Align2::CENTER_TOP,
            words,
            Hand::plain(WORDS, Ink::Faint),
        );
    }
    let stretch = |card: &Card, y: f32, width: f32, ink: Ink| {
        let Some((from, to)) = card.shares else { return };
        let (from, to) = (x(from), x(to));
        let stroke = Stroke::new(width * high, letters.ink(ink));
        painter.line_segment([pos2(from, y), pos2(to, y)], stroke);
        let side = if to >= from { -1.0 } else { 1.0 };
        let r = 1.6 * width * high;
        let corners =
            vec![pos2(to - side * r, y), pos2(to + side * r * 0.4, y - r), pos2(to + side * r * 0.4, y + r)];
        painter.add(Shape::convex_polygon(corners, letters.ink(ink), Stroke::NONE));
    };
    if let Some(card) = next {
        stretch(card, y + 0.022 * high, 0.005, Ink::Faint);
    }
    if let Some(card) = present {
        stretch(card, y, 0.013, Ink::Plan);
    }
    let hair = now.analysis().plan.problem.hair_mm.max(1.0);
    let here = pos2(x(now.bow.hair_mm / hair), y);
    painter.circle(
        here,
        0.017 * high,
        letters.ink(Ink::Now),
        Stroke::new(0.003 * high, letters.ink(Ink::Paper)),
    );
}

/// The sign of a down-bow or an up-bow.
pub fn sign(letters: &Letters<'_>, rect: Rect, direction: Direction, ink: Ink) {
    let painter = letters.ui.painter();
    let ink = letters.ink(ink);
    let thin = Stroke::new((0.06 * rect.height()).max(1.0), ink);
    match direction {
        Direction::Down => {
            let top = Rect::from_min_size(rect.min, vec2(rect.width(), 0.3 * rect.height()));
            painter.rect_filled(top, 0.0, ink);
            painter.line_segment(
                [
                    rect.left_top() + vec2(0.5 * thin.width, 0.0),
                    rect.left_bottom() + vec2(0.5 * thin.width, 0.0),
                ],
                thin,
            );
            painter.line_segment(
                [
                    rect.right_top() - vec2(0.5 * thin.width, 0.0),
                    rect.right_bottom() - vec2(0.5 * thin.width, 0.0),
                ],
                thin,
            );
        }
        Direction::Up => {
            let foot = pos2(rect.center().x, rect.bottom());
            painter.add(Shape::line(
                vec![rect.left_top(), foot, rect.right_top()],
                Stroke::new(1.6 * thin.width, ink),
            ));
        }
    }
}
