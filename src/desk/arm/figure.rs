//! The bow arm on its level: small in the column, large in the middle for a class.

use egui::{Frame, Role, Sense, Slider, Ui, WidgetInfo, vec2};

use crate::{
    analysis::{Analysis, BowState},
    lesson::Lesson,
    picture::{self, ArmFigure, ArmView, Ink},
};

use crate::desk::{
    arm::level::{Shown, plane_of, shown_state},
    command::{Action, Command},
    widgets::painter::{Scale, ScreenPainter, colour},
    widgets::theme::Look,
};

/// How the arm is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmDesk {
    /// Where the player is seen from.
    pub view: ArmView,
    /// A second level held against the first, by its index.
    pub held: Option<usize>,
    /// A place on the hair to look at in place of the present one, frog 0 to tip 1.
    pub hair_share: Option<f64>,
    /// Time the arm takes to another level, s.
    pub move_s: f32,
}

impl Default for ArmDesk {
    fn default() -> Self {
        Self { view: ArmView::Behind, held: None, hair_share: None, move_s: 0.6 }
    }
}

impl ArmDesk {
    /// The next view.
    pub fn turn(&mut self) {
        let now = ArmView::ALL.iter().position(|view| *view == self.view).unwrap_or(0);
        self.view = ArmView::ALL[(now + 1) % ArmView::ALL.len()];
    }
}

/// Height of the small figure, mm.
const SMALL_MM: f64 = 32.0;

/// The arm under the level view.
pub fn small_ui(
    ui: &mut Ui,
    (lesson, analysis): (&Lesson, &Analysis),
    state: &BowState,
    arm: &ArmDesk,
    painter: &mut ScreenPainter,
    (look, ppm): (Look, f32),
) {
    let size = vec2(ui.available_width(), SMALL_MM as f32 * ppm);
    figure_ui(ui, (lesson, analysis), state, arm, painter, (look, ppm, size, false));
}

/// The arm large, with what moves it.
pub fn large_ui(
    ui: &mut Ui,
    (lesson, analysis): (&Lesson, &Analysis),
    shown: &Shown,
    arm: &mut ArmDesk,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    let levels: Vec<_> = analysis.arm_path.fan.all().collect();
    ui.horizontal_wrapped(|ui| {
        for (index, level) in levels.iter().enumerate().take(7) {
            let chosen = shown.level.unwrap_or(shown.bow.plane.index()) == index;
            let button = ui.selectable_label(chosen, format!("{} {}", index + 1, level.name));
            let tip = format!("Key {0}; Shift+{0} holds it against the one shown", index + 1);
            if button.on_hover_text(tip).clicked() {
                commands.push(Command::Do(Action::Level(index as u8 + 1)));
            }
        }
        ui.separator();
        for view in ArmView::ALL {
            ui.selectable_value(&mut arm.view, view, view.words());
        }
        ui.separator();
        if ui.button("Back to the music").on_hover_text("Key M").clicked() {
            commands.push(Command::Do(Action::LargeArm));
        }
    });
    // On a surface on which the rails of the sliders are seen.
    let ground = Frame::new().fill(colour(shown.look.theme(), Ink::Panel)).inner_margin(4);
    ground.show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().slider_width = 0.2 * ui.available_width();
            let mut share = arm.hair_share.unwrap_or(shown.bow.hair_mm / analysis.arm_path.arm.hair_mm());
            let label = ui.label("Frog to tip");
            if ui.add(Slider::new(&mut share, 0.0..=1.0).show_value(false)).labelled_by(label.id).changed() {
                arm.hair_share = Some(share);
            }
            let follow = ui.add_enabled(arm.hair_share.is_some(), egui::Button::new("As in the music"));
            if follow.clicked() {
                arm.hair_share = None;
            }
            let label = ui.label("Time to the next level");
            ui.add(Slider::new(&mut arm.move_s, 0.1..=3.0).suffix(" s").fixed_decimals(1))
                .labelled_by(label.id);
        })
    });
    let state = shown_state(ui, analysis, shown, arm);
    ui.label(travel(analysis, &state, arm));
    let size = ui.available_size();
    // Type about a twenty-fifth of the height, to be read from the back of a room.
    let ppm = (size.y / 112.0).min(size.x / 150.0).max(1.0);
    let response = figure_ui(ui, (lesson, analysis), &state, arm, painter, (shown.look, ppm, size, true));
    if response.hovered() {
        let wheel = ui.input(|input| input.smooth_scroll_delta().y);
        if wheel != 0.0 {
            let now = state.hair_mm / analysis.arm_path.arm.hair_mm();
            arm.hair_share = Some((now - f64::from(wheel) / 800.0).clamp(0.0, 1.0));
        }
    }
}

/// What moves between the level shown and the one held.
fn travel(analysis: &Analysis, state: &BowState, arm: &ArmDesk) -> String {
    let here = analysis.arm_path.fan.level(state.plane);
    let held = arm.held.and_then(|index| analysis.arm_path.fan.all().nth(index).map(|level| (index, level)));
    let Some((_, other)) = held.filter(|(index, _)| *index != state.plane.index()) else {
        return format!("On {}. Shift and a digit hold a second level against this one.", here.name);
    };
    let from = analysis.arm_path.arm.pose(here.angle_deg, state.hair_mm);
    let way = from.travel_to(&analysis.arm_path.arm.pose(other.angle_deg, state.hair_mm));
    let rises = if way.upper_arm_deg >= 0.0 { "rises" } else { "sinks" };
    format!(
        "From {} to {}: the bow turns {:.0}°, the hand moves {:.0} cm, the elbow {:.0} cm; the upper arm {rises} {:.0}°.",
        here.name,
        other.name,
        way.bow_deg,
        way.hand_mm / 10.0,
        way.elbow_mm / 10.0,
        way.upper_arm_deg.abs()
    )
}

fn figure_ui(
    ui: &mut Ui,
    (lesson, analysis): (&Lesson, &Analysis),
    state: &BowState,
    arm: &ArmDesk,
    painter: &mut ScreenPainter,
    (look, ppm, size, large): (Look, f32, egui::Vec2, bool),
) -> egui::Response {
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let pose = analysis.arm_at(state);
    response.widget_info(|| {
        let words = format!("Bow arm {}, elbow {:.0} cm", arm.view.words(), pose.elbow_above_floor_mm / 10.0);
        WidgetInfo::labeled(Role::Image, true, words)
    });
    if ui.is_rect_visible(rect) {
        let figure = ArmFigure {
            view: arm.view,
            level_deg: state.level_deg,
            plane: state.plane,
            hair_mm: state.hair_mm,
            held: arm.held.map(plane_of),
            size_mm: (f64::from(size.x / ppm), f64::from(size.y / ppm)),
            large,
        };
        let drawing = picture::arm_figure(lesson, analysis, &figure);
        let scale = Scale { origin: rect.min, points_per_mm: ppm };
        ui.painter_at(rect).extend(painter.shapes(ui.ctx(), &drawing, scale, look.theme(), &|_| None));
    }
    response
}
