//! One picture for a class: the player with the arm on a level, the bridge, one line of large words.

use egui::{Align2, FontId, Pos2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::{
    analysis::{Analysis, BowState},
    arm::{Level, Plane},
    desk::{
        state::now::Now,
        widgets::{
            controls::picture_ui,
            painter::{Scale, colour, family},
        },
    },
    picture::{self, ArmFigure, Face, Ink},
};

use super::{
    figure::{Drawer, pixels_per_mm, turn},
    shown::ArmDesk,
};

/// What moves by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Motion {
    /// The bow from frog to tip and back on its level.
    Stroke,
    /// The arm through all levels and back.
    Levels,
    /// The arm between the level shown and the one held against it.
    Between,
}

/// What a class is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassDesk {
    /// The level that is looked at; without one that of the music.
    level: Option<usize>,
    /// A second level held against it.
    held: Option<usize>,
    /// Place on the hair, frog 0 to tip 1; without one that of the music.
    share: Option<f64>,
    /// What moves, since when, s.
    moves: Option<(Motion, f64)>,
    /// Time of one way, s.
    way_s: f64,
}

impl Default for ClassDesk {
    fn default() -> Self {
        Self { level: None, held: None, share: None, moves: None, way_s: 2.0 }
    }
}

/// Up to the end and back, evenly: a way of 1 takes 1.
fn to_and_fro(way: f64) -> f64 {
    1.0 - (1.0 - way.rem_euclid(2.0)).abs()
}

impl ClassDesk {
    /// Shows a level, the one it shows no longer.
    pub fn show(&mut self, index: usize) {
        self.moves = None;
        self.level = (self.level != Some(index)).then_some(index);
    }

    /// Holds a second level against it, or no longer.
    pub fn hold(&mut self, index: usize) {
        self.moves = None;
        self.held = (self.held != Some(index)).then_some(index);
    }

    /// Moves the place on the hair, as a share of it.
    pub fn slide(&mut self, by: f64, from: f64) {
        self.share = Some((self.share.unwrap_or(from) + by).clamp(0.0, 1.0));
    }

    /// Makes what moves faster or slower.
    pub fn hasten(&mut self, factor: f64) {
        self.way_s = (self.way_s / factor).clamp(0.3, 20.0);
    }

    /// The music again, with its level and its place on the hair.
    pub fn follow(&mut self) {
        *self = Self { held: self.held, way_s: self.way_s, ..Self::default() };
    }

    /// Starts to move at a time, s: between the two levels, where a second one is held. What moves stops
    /// where it is.
    pub fn move_or_stop(&mut self, levels: bool, now: &Now, now_s: f64) {
        let state = self.state(now, now_s);
        let whole = now.analysis().arm_path.arm.hair_mm();
        (self.level, self.share) = (Some(state.plane.index()), Some(state.hair_mm / whole));
        self.moves = match self.moves {
            Some(_) => None,
            None if levels => Some((Motion::Levels, now_s)),
            None if self.held.is_some() => Some((Motion::Between, now_s)),
            None => Some((Motion::Stroke, now_s)),
        };
    }

    /// The bow as a class sees it at a time, s.
    pub fn state(&self, now: &Now, now_s: f64) -> BowState {
        let path = &now.analysis().arm_path;
        let levels = path.fan.all().count();
        let whole = path.arm.hair_mm();
        let mut state = now.bow;
        let mut share = self.share.unwrap_or(state.hair_mm / whole);
        let mut place = self.level.map(|index| index as f64);
        if let Some((motion, since)) = self.moves {
            let ways = (now_s - since) / self.way_s;
            let here = place.unwrap_or(state.plane.index() as f64);
            match motion {
                Motion::Stroke => share = to_and_fro(share + ways),
                Motion::Levels => {
                    let last = levels.saturating_sub(1).max(1) as f64;
                    // One way through all of them takes as long as three strokes.
                    place = Some(last * to_and_fro(here / last + ways / 3.0));
                }
                Motion::Between => {
                    let there = self.held.map_or(here, |index| index as f64);
                    place = Some(here + (there - here) * to_and_fro(ways));
                }
            }
        }
        state.hair_mm = share.clamp(0.0, 1.0) * whole;
        if let Some(place) = place {
            let last = levels.saturating_sub(1);
            let place = place.clamp(0.0, last as f64);
            let low = place.floor() as usize;
            let ends = (Plane::of_index(low), Plane::of_index((low + 1).min(last)));
            let there = now.analysis().bow_between(ends, place.fract(), state.hair_mm);
            (state.plane, state.level_deg, state.on_string) = (there.plane, there.level_deg, true);
        }
        state
    }
}

/// Fills the window.
pub fn class_ui(ui: &mut Ui, now: &Now, class: &mut ClassDesk, arm: &mut ArmDesk, drawer: Drawer<'_>) {
    let now_s = ui.input(|input| input.time);
    let state = class.state(now, now_s);
    if class.moves.is_some() {
        ui.ctx().request_repaint();
    }
    let Drawer { cache, painter } = drawer;
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
    turn(&response, now.lesson().setup.left_handed, arm);
    let wheel = ui.input(|input| input.smooth_scroll_delta().y);
    if wheel != 0.0 && response.hovered() {
        let share = state.hair_mm / now.analysis().arm_path.arm.hair_mm();
        class.slide(-f64::from(wheel) / 800.0, share);
    }
    let high = rect.height();
    let theme = now.look.theme();
    // The player, and beside the player the bridge.
    let wide = if rect.width() > 1.2 * high { 0.66 * rect.width() } else { rect.width() };
    let room = Rect::from_min_size(rect.min, vec2(wide, 0.80 * high));
    let points_per_mm = (high / 84.0).max(1.0);
    let figure = ArmFigure {
        view: arm.view,
        turn_deg: arm.turn_deg,
        level_deg: state.level_deg,
        plane: state.plane,
        hair_mm: state.hair_mm,
        held: class.held.map(Plane::of_index),
        size_mm: (f64::from(room.width() / points_per_mm), f64::from(room.height() / points_per_mm)),
        type_mm: 3.1,
        large: true,
        pixels_per_mm: pixels_per_mm(ui, points_per_mm, response.dragged()),
    };
    let drawing = cache.draw(&now.study, &figure);
    picture_ui(ui, room, drawing, Scale { origin: room.min, points_per_mm }, theme, painter);
    let beside = Rect::from_min_max(pos2(room.right(), rect.top()), pos2(rect.right(), room.bottom()));
    if beside.width() > 0.2 * high {
        let fan = picture::level_fan(&now.study, &state, 64.0);
        let points_per_mm = 0.94 * beside.width() / 64.0;
        let top = beside.center().y - 0.5 * fan.height_mm as f32 * points_per_mm;
        let scale = Scale { origin: pos2(beside.left() + 0.03 * beside.width(), top), points_per_mm };
        picture_ui(ui, beside, &fan, scale, theme, painter);
    }
    let words = Words::of(now.analysis(), &state, class.held);
    words.draw(ui, rect, now);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Image, true, format!("Class {}: {}", arm.view.words(), words.all()))
    });
}

/// What is said of the level.
struct Words {
    /// Its number and name.
    level: String,
    /// What to know of it.
    more: String,
}

impl Words {
    fn of(analysis: &Analysis, state: &BowState, held: Option<usize>) -> Self {
        let fan = &analysis.arm_path.fan;
        let here = fan.level(state.plane);
        let level = format!("{} {}", state.plane.index() + 1, here.name);
        let other = held.filter(|index| *index != state.plane.index()).map(Plane::of_index);
        let more = match (other, state.plane) {
            (Some(plane), _) => to_the_other(analysis, state, fan.level(plane)),
            (None, Plane::Pair(_)) => {
                format!("the same weight on two strings; {}", before_another(here))
            }
            (None, Plane::String(_)) => before_another(here),
        };
        Self { level, more }
    }

    fn all(&self) -> String {
        format!("{}, {}", self.level, self.more)
    }

    /// One line of large words, and a small one that says what can be done here.
    fn draw(&self, ui: &Ui, rect: Rect, now: &Now) {
        let high = rect.height();
        let theme = now.look.theme();
        let painter = ui.painter_at(rect);
        let text = |at: Pos2, words: &str, size: f32, face: Face, ink: Ink| {
            let font = FontId::new(size, family(face));
            painter.text(at, Align2::LEFT_BOTTOM, words, font, colour(theme, ink))
        };
        let left = rect.left() + 0.03 * high;
        let line = rect.bottom() - 0.055 * high;
        let name = text(pos2(left, line), &self.level, 0.115 * high, Face::SansBold, Ink::Plan);
        // As large as there is room for.
        let room = (rect.right() - name.right() - 0.1 * high).max(1.0);
        let size = (0.052 * high).min(room / (0.52 * self.more.chars().count().max(1) as f32));
        let at = pos2(name.right() + 0.06 * high, line - 0.026 * high);
        text(at, &self.more, size, Face::Sans, Ink::Text);
        let keys = "1 to 7 the level · Shift a second one · V the view, a drag turns it · left, right or wheel along \
                    the hair · space moves · L through the levels · up, down faster, slower · M with the music · Esc back";
        let size = (0.024 * high).min(rect.width() / (0.55 * keys.chars().count() as f32));
        text(pos2(left, rect.bottom() - 0.012 * high), keys, size, Face::Sans, Ink::Faint);
    }
}

/// How far the bow may turn on a level.
fn before_another(level: &Level) -> String {
    format!("{:.0}° before another string speaks", level.margin_up_deg.min(level.margin_down_deg))
}

/// What moves on the way to the other level.
fn to_the_other(analysis: &Analysis, state: &BowState, other: &Level) -> String {
    let arm = &analysis.arm_path.arm;
    let way = arm.pose(state.level_deg, state.hair_mm).travel_to(&arm.pose(other.angle_deg, state.hair_mm));
    format!(
        "to {}: elbow {:.0} cm, hand {:.0} cm, upper arm {:.0}°",
        other.name,
        way.elbow_mm / 10.0,
        way.hand_mm / 10.0,
        way.upper_arm_deg.abs()
    )
}

#[cfg(test)]
mod tests {
    use super::to_and_fro;

    #[test]
    fn to_the_end_and_back_evenly() {
        for (way, place) in
            [(0.0, 0.0), (0.25, 0.25), (1.0, 1.0), (1.25, 0.75), (2.0, 0.0), (3.5, 0.5), (-0.5, 0.5)]
        {
            assert!((to_and_fro(way) - place).abs() < 1e-12, "{way}");
        }
    }
}
