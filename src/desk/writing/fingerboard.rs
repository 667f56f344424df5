//! The fingerboard to write from: a string and a place on it give a note and its string at once.

use egui::{Align2, FontId, Pos2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::{
    desk::{
        command::Command,
        state::now::Now,
        widgets::painter::{colour, family},
    },
    picture::{Face, Ink},
    score::{Pitch, Quarters},
};

/// Half steps above the open string that are shown: two octaves, as far as most parts go. Assumed.
const HALF_STEPS: i32 = 24;
/// Height of the board, points at the ordinary size of type.
const HEIGHT: f32 = 150.0;
/// Room at the left for the names of the strings, and around the strings, points.
const NAMES: f32 = 34.0;
const EDGE: f32 = 16.0;

/// Draws the fingerboard; a click writes the note there, on its string, at the caret.
pub fn fingerboard_ui(ui: &mut Ui, now: &Now, caret: Quarters, commands: &mut Vec<Command>) {
    let strings = &now.lesson().setup.instrument.strings;
    let key = now.lesson().score.bar_at(caret).map_or(0, |bar| now.lesson().score.bars[bar].key);
    let unit = ui.text_style_height(&egui::TextStyle::Body) / 18.0;
    let size = vec2(ui.available_width(), HEIGHT * unit);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Fingerboard"));
    let board = Board {
        rect: rect.shrink2(vec2(0.0, EDGE * unit)).with_min_x(rect.left() + NAMES * unit),
        strings: strings.len(),
    };
    let pointed = response.hover_pos().and_then(|pos| board.place(pos));
    paint(ui, now, &board, key, pointed);
    let Some((string, half_steps)) = pointed else { return };
    let Some(open) = strings.get(string) else { return };
    let pitch = Pitch::in_key(open.pitch.midi().round() as i32 + half_steps, key);
    if response.clicked() {
        commands.push(Command::Put(pitch, string as u8 + 1));
    }
    response.on_hover_text(format!("{} on the {} string", pitch.name(), open.name));
}

/// Where things are on the board: the highest string at the top, as it is written on paper.
struct Board {
    rect: Rect,
    strings: usize,
}

impl Board {
    fn y(&self, string: usize) -> f32 {
        let gaps = self.strings.saturating_sub(1).max(1) as f32;
        self.rect.top() + self.rect.height() * string as f32 / gaps
    }

    /// x of a half step. A string shortened to 2^(-n/12) of its length sounds n half steps higher (equal
    /// temperament).
    fn x(&self, half_steps: f32) -> f32 {
        let way = |n: f32| 1.0 - (-n / 12.0).exp2();
        let nut = self.rect.left() + 12.0;
        nut + (self.rect.right() - 20.0 - nut) * way(half_steps) / way(HALF_STEPS as f32)
    }

    /// String and half step at a point.
    fn place(&self, pos: Pos2) -> Option<(usize, i32)> {
        let off = |a: f32, b: f32| (a - b).abs();
        let near = |a: &usize, b: &usize| off(self.y(*a), pos.y).total_cmp(&off(self.y(*b), pos.y));
        let string = (0..self.strings).min_by(near)?;
        let near = |a: &i32, b: &i32| off(self.x(*a as f32), pos.x).total_cmp(&off(self.x(*b as f32), pos.x));
        Some((string, (0..=HALF_STEPS).min_by(near)?))
    }
}

fn paint(ui: &Ui, now: &Now, board: &Board, key: i8, pointed: Option<(usize, i32)>) {
    let theme = now.look.theme();
    let painter = ui.painter();
    let [text, faint, rule, chosen] =
        [Ink::Text, Ink::Faint, Ink::Rule, Ink::Plan].map(|ink| colour(theme, ink));
    let size = ui.text_style_height(&egui::TextStyle::Small);
    let font = FontId::new(size, family(Face::Sans));
    let across = board.rect.expand2(vec2(0.0, 6.0)).y_range();
    // The nut, and the octave as the landmark every player knows.
    painter.vline(board.x(0.0), across, Stroke::new(3.0, text));
    painter.vline(board.x(12.0), across, Stroke::new(1.0, rule));
    for (index, open) in now.lesson().setup.instrument.strings.iter().enumerate() {
        let y = board.y(index);
        let thick = 1.0 + 0.5 * index as f32;
        painter.hline(board.x(0.0)..=board.rect.right(), y, Stroke::new(thick, faint));
        painter.text(
            pos2(board.rect.left() - 14.0, y),
            Align2::CENTER_CENTER,
            &open.name,
            font.clone(),
            text,
        );
        for half_steps in 0..=HALF_STEPS {
            let pitch = Pitch::in_key(open.pitch.midi().round() as i32 + half_steps, key);
            let at = pos2(board.x(half_steps as f32), y);
            let is_pointed = pointed == Some((index, half_steps));
            // The notes of the key have their names, the others a dot.
            let in_key = pitch.alter == pitch.letter.alter_in_key(key);
            // Where places come close together only what is pointed at has its name.
            let has_room = board.x(half_steps as f32 + 1.0) - at.x > 1.3 * size;
            let ground = if is_pointed { chosen } else { colour(theme, Ink::Paper) };
            if is_pointed || in_key && has_room {
                painter.circle(
                    at,
                    0.75 * size,
                    ground,
                    Stroke::new(1.0, if is_pointed { chosen } else { faint }),
                );
                let ink = if is_pointed { colour(theme, Ink::Paper) } else { text };
                painter.text(at, Align2::CENTER_CENTER, letter_words(pitch), font.clone(), ink);
            } else {
                painter.circle_filled(at, 2.0, if in_key { text } else { faint });
            }
        }
    }
}

/// "B♭".
fn letter_words(pitch: Pitch) -> String {
    pitch.name().trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::Letter;

    #[test]
    fn every_place_is_found_where_it_is_drawn() {
        let board = Board { rect: Rect::from_min_size(pos2(40.0, 20.0), vec2(800.0, 120.0)), strings: 4 };
        for string in 0..4 {
            for half_steps in 0..=HALF_STEPS {
                let at = pos2(board.x(half_steps as f32), board.y(string));
                assert_eq!(board.place(at), Some((string, half_steps)));
            }
        }
        // Half of the string sounds an octave higher.
        let (nut, end) = (board.x(0.0), board.x(24.0));
        assert!((board.x(12.0) - nut - (end - nut) * 2.0 / 3.0).abs() < 1e-3);
        assert_eq!(letter_words(Pitch::new(Letter::B, -1.0, 4)), "B♭");
    }
}
