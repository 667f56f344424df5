//! The bow arm on its level: small in the column, large in the middle for a class.

use egui::{Button, Frame, Response, Role, Sense, Slider, TextStyle, Ui, Vec2, WidgetInfo, vec2};

use strum::IntoEnumIterator as _;

use crate::{
    analysis::{Analysis, BowState},
    arm::{ArmPose, Plane, Travel},
    desk::{
        command::{Action, Command, LevelKey, Page},
        state::now::Now,
        widgets::{
            controls::picture_ui,
            painter::{Scale, ScreenPainter, colour},
        },
    },
    picture::{ArmFigure, ArmView, Ink},
};

use super::{
    cache::FigureCache,
    shown::{ArmDesk, shown_state},
};

/// Height of the small figure, mm.
const SMALL_MM: f64 = 44.0;
/// Degrees that a drag over a point of the screen turns the player. Assumed: the width of the window
/// is about once round.
const TURN_DEG: f64 = 0.4;

/// What draws the figure.
pub struct Drawer<'a> {
    /// What was drawn last.
    pub cache: &'a mut FigureCache,
    /// Puts it on the screen.
    pub painter: &'a mut ScreenPainter,
}

/// There is room for the small figure and as many lines of text under it.
pub fn fits_over(ui: &Ui, now: &Now, lines: f32) -> bool {
    let text = lines * ui.text_style_height(&TextStyle::Body);
    ui.available_height() >= SMALL_MM as f32 * now.points_per_mm + text
}

/// The arm under the level view.
pub fn small_ui(ui: &mut Ui, now: &Now, state: &BowState, arm: &ArmDesk, drawer: Drawer<'_>) {
    let size = vec2(ui.available_width(), SMALL_MM as f32 * now.points_per_mm);
    let figure = Figure { state, points_per_mm: now.points_per_mm, size, large: false };
    figure_ui(ui, now, &figure, arm, drawer);
}

/// The arm large, with what moves it.
pub fn large_ui(
    ui: &mut Ui,
    now: &Now,
    level: Option<usize>,
    arm: &mut ArmDesk,
    drawer: Drawer<'_>,
    commands: &mut Vec<Command>,
) {
    choose_ui(ui, now, level, arm, commands);
    move_ui(ui, now, arm);
    let analysis = now.analysis();
    let state = shown_state(ui, now, level, arm);
    ui.label(travel(analysis, &state, arm));
    let size = ui.available_size();
    // Type about a twenty-fifth of the height, to be read from the back of a room.
    let points_per_mm = (size.y / 112.0).min(size.x / 150.0).max(1.0);
    let figure = Figure { state: &state, points_per_mm, size, large: true };
    let response = figure_ui(ui, now, &figure, arm, drawer);
    turn(&response, now.lesson().setup.left_handed, arm);
    if response.hovered() {
        let wheel = ui.input(|input| input.smooth_scroll_delta().y);
        if wheel != 0.0 {
            let share = state.hair_mm / analysis.arm_path.arm.hair_mm();
            arm.hair_share = Some((share - f64::from(wheel) / 800.0).clamp(0.0, 1.0));
        }
    }
}

/// Level and view.
fn choose_ui(ui: &mut Ui, now: &Now, level: Option<usize>, arm: &mut ArmDesk, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        let shown = level.unwrap_or(now.bow.plane.index());
        for (key, level) in LevelKey::iter().zip(now.analysis().arm_path.fan.all()) {
            let number = key.index() + 1;
            let button = ui.selectable_label(shown == key.index(), format!("{number} {}", level.name));
            let tip = format!("Key {number}; Shift+{number} holds it against the one shown");
            if button.on_hover_text(tip).clicked() {
                commands.push(Command::Do(Action::Level(key)));
            }
        }
        ui.separator();
        for view in ArmView::ALL {
            if ui.selectable_label(arm.view == view, view.words()).clicked() {
                arm.see(view);
            }
        }
        ui.separator();
        if ui.button("For a class").on_hover_text("Fills the screen; key F11").clicked() {
            commands.push(Command::Do(Action::Class));
        }
        if ui
            .button("A page for the pupil")
            .on_hover_text("These levels on the handout, from this side")
            .clicked()
        {
            let shown = u8::try_from(shown).unwrap_or(0);
            let held = arm.held.and_then(|held| u8::try_from(held).ok()).filter(|held| *held != shown);
            let levels = std::iter::once(shown).chain(held).collect();
            commands.push(Command::Page(Page::Levels(levels, arm.view)));
        }
        if ui.button("Back to the music").on_hover_text("Key M").clicked() {
            commands.push(Command::Do(Action::LargeArm));
        }
    });
}

/// What moves the arm, on a surface on which the rails of the sliders are seen.
fn move_ui(ui: &mut Ui, now: &Now, arm: &mut ArmDesk) {
    let ground = Frame::new().fill(colour(now.look.theme(), Ink::Panel)).inner_margin(4);
    ground.show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().slider_width = 0.2 * ui.available_width();
            let mut share = arm.hair_share.unwrap_or(now.bow.hair_mm / now.analysis().arm_path.arm.hair_mm());
            let label = ui.label("Frog to tip");
            if ui.add(Slider::new(&mut share, 0.0..=1.0).show_value(false)).labelled_by(label.id).changed() {
                arm.hair_share = Some(share);
            }
            let follow = ui.add_enabled(arm.hair_share.is_some(), Button::new("As in the music"));
            if follow.clicked() {
                arm.hair_share = None;
            }
            let label = ui.label("Time to the next level");
            ui.add(Slider::new(&mut arm.move_s, 0.1..=3.0).suffix(" s").fixed_decimals(1))
                .labelled_by(label.id);
        })
    });
}

/// A drag turns the player: what is near goes with the pointer. A click twice turns back.
pub(super) fn turn(response: &Response, left_handed: bool, arm: &mut ArmDesk) {
    let way = response.drag_delta();
    if response.dragged() && arm.view != ArmView::OwnEyes {
        let mirrored = (arm.view == ArmView::Mirror) != left_handed;
        let side = if mirrored { -TURN_DEG } else { TURN_DEG };
        arm.turn_deg.0 = (arm.turn_deg.0 + side * f64::from(way.x)).rem_euclid(360.0);
        arm.turn_deg.1 = (arm.turn_deg.1 + TURN_DEG * f64::from(way.y)).clamp(-110.0, 110.0);
    }
    if response.double_clicked() {
        arm.turn_deg = (0.0, 0.0);
    }
}

/// How fine a figure is drawn: while it is turned everything is drawn anew for each frame, then coarser, so
/// that it follows the pointer.
pub(super) fn pixels_per_mm(ui: &Ui, points_per_mm: f32, turning: bool) -> f64 {
    let coarser = if turning { 0.5 } else { 1.0 };
    f64::from(points_per_mm * ui.ctx().pixels_per_point()) * coarser
}

/// What moves between the level shown and the one held.
fn travel(analysis: &Analysis, state: &BowState, arm: &ArmDesk) -> String {
    let here = analysis.arm_path.fan.level(state.plane);
    let held = arm.held.and_then(|index| analysis.arm_path.fan.all().nth(index).map(|level| (index, level)));
    let Some((_, other)) = held.filter(|(index, _)| *index != state.plane.index()) else {
        let [frog, pose] = [0.0, state.hair_mm].map(|hair| analysis.arm_path.arm.pose(here.angle_deg, hair));
        return format!(
            "On {}: {}. Shift and a digit hold a second level against this one.",
            here.name,
            hand_words(&frog, &pose)
        );
    };
    let from = analysis.arm_path.arm.pose(here.angle_deg, state.hair_mm);
    let way = from.travel_to(&analysis.arm_path.arm.pose(other.angle_deg, state.hair_mm));
    let rises = if way.upper_arm_deg >= 0.0 { "rises" } else { "sinks" };
    format!(
        "From {} to {}: the bow turns {:.0}°, the hand moves {:.0} cm, the elbow {:.0} cm; the upper arm {rises} {:.0}°{}.",
        here.name,
        other.name,
        way.bow_deg,
        way.hand_mm / 10.0,
        way.elbow_mm / 10.0,
        way.upper_arm_deg.abs(),
        turn_words(&way).map(|words| format!(", the forearm turns {words}")).unwrap_or_default()
    )
}

/// In steps of five degrees: the model knows no better.
fn about(deg: f64) -> f64 {
    (deg / 5.0).round() * 5.0
}

/// How the forearm turns on a way, where it is known and worth a word.
fn turn_words(way: &Travel) -> Option<String> {
    let turn = about(way.forearm_deg?);
    let to = if turn > 0.0 { "inward" } else { "outward" };
    (turn != 0.0).then(|| format!("{:.0}° {to}", turn.abs()))
}

/// Wrist and hand, and how the forearm has turned since the frog.
fn hand_words(frog: &ArmPose, pose: &ArmPose) -> String {
    let (bend, lean) = (about(pose.wrist_bend_deg()), about(pose.hand_lean_deg()));
    let finger = if lean > 0.0 { "little finger" } else { "forefinger" };
    let leans = match lean {
        0.0 => "the hand leans neither way".to_owned(),
        _ => format!("the hand leans {:.0}° toward the {finger}", lean.abs()),
    };
    let turned = turn_words(&frog.travel_to(pose));
    let turned = turned.map(|words| format!(", since the frog the forearm has turned {words}"));
    format!("the wrist bends about {bend:.0}°, {leans}{}", turned.unwrap_or_default())
}

/// How large a figure is drawn, and with the bow where.
struct Figure<'a> {
    state: &'a BowState,
    points_per_mm: f32,
    size: Vec2,
    large: bool,
}

fn figure_ui(ui: &mut Ui, now: &Now, figure: &Figure<'_>, arm: &ArmDesk, drawer: Drawer<'_>) -> Response {
    let Figure { state, points_per_mm, size, large } = *figure;
    let (rect, response) =
        ui.allocate_exact_size(size, if large { Sense::click_and_drag() } else { Sense::hover() });
    let pose = now.analysis().arm_at(state);
    response.widget_info(|| {
        let words = format!("Bow arm {}, elbow {:.0} cm", arm.view.words(), pose.elbow_above_floor_mm / 10.0);
        WidgetInfo::labeled(Role::Image, true, words)
    });
    if ui.is_rect_visible(rect) {
        let size_mm = (f64::from(size.x / points_per_mm), f64::from(size.y / points_per_mm));
        let type_mm = f64::from(ui.text_style_height(&TextStyle::Body) / points_per_mm) * 0.62;
        let figure = ArmFigure {
            view: arm.view,
            turn_deg: if large { arm.turn_deg } else { (0.0, 0.0) },
            level_deg: state.level_deg,
            plane: state.plane,
            hair_mm: state.hair_mm,
            held: arm.held.map(Plane::of_index),
            size_mm,
            type_mm: if large { 3.3 } else { type_mm },
            large,
            pixels_per_mm: pixels_per_mm(ui, points_per_mm, large && response.dragged()),
        };
        let drawing = drawer.cache.draw(&now.study, &figure);
        let scale = Scale { origin: rect.min, points_per_mm };
        picture_ui(ui, rect, drawing, scale, now.look.theme(), drawer.painter);
    }
    response
}
