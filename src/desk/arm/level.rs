//! The bridge seen along the strings, with the level the arm holds.

use egui::{Label, RichText, Role, Sense, Ui, WidgetInfo, vec2};
use kurbo::{PathSeg, Point};

use crate::{
    analysis::{Analysis, BowState},
    arm::Plane,
    lesson::Lesson,
    picture::{self, Tag},
};

use crate::desk::{
    arm::figure::ArmDesk,
    command::{Action, Command},
    widgets::painter::{Scale, ScreenPainter},
    widgets::theme::Look,
};

/// Narrowest and widest drawing, mm.
const WIDTH_MM: std::ops::RangeInclusive<f64> = 52.0..=64.0;
/// How near to a level a click may lie, mm.
const REACH_MM: f64 = 2.0;

/// What is to be shown, and how.
pub struct Shown<'a> {
    /// A level to look at in place of the present one.
    pub level: Option<usize>,
    /// That level is the one of notes looked at together, not one chosen by its key.
    pub together: bool,
    /// Where the bow is in the music.
    pub bow: &'a BowState,
    /// The look.
    pub look: Look,
    /// Scale of drawings, points in a millimetre.
    pub ppm: f32,
}

/// The level with this index, counted from the highest string.
pub fn plane_of(index: usize) -> Plane {
    let string = (index / 2 + 1).min(250) as u8;
    if index.is_multiple_of(2) { Plane::String(string) } else { Plane::Pair(string) }
}

/// The bow as it is shown: in the music, or on its way to the level that is looked at.
pub fn shown_state(ui: &Ui, analysis: &Analysis, shown: &Shown, arm: &ArmDesk) -> BowState {
    let levels: Vec<_> = analysis.arm_path.fan.all().collect();
    let mut state = *shown.bow;
    if let Some(share) = arm.hair_share {
        state.hair_mm = share * analysis.arm_path.arm.hair_mm();
    }
    let looked_at = shown.level.and_then(|index| Some((index, levels.get(index)?.angle_deg)));
    // In the music the bow moves by itself; to a level that is looked at it goes in its own time.
    let (target, seconds) = looked_at.map_or((state.level_deg, 0.0), |(_, angle)| (angle, arm.move_s));
    let id = egui::Id::unique("shown level");
    let eased = ui.ctx().animate_value_with_time(id, target as f32, seconds);
    if let Some((index, _)) = looked_at {
        state = BowState { plane: plane_of(index), level_deg: f64::from(eased), on_string: true, ..state };
    }
    state
}

/// The level in a line, where something else has the room.
pub fn folded_ui(ui: &mut Ui, analysis: &Analysis, bow: &BowState) {
    let level = analysis.arm_path.fan.level(bow.plane);
    ui.horizontal(|ui| {
        ui.heading("Level");
        let words = format!("{}, {:.1}°", level.name, bow.level_deg).replace('-', "–");
        let label = ui.add(Label::new(RichText::new(words).weak()).truncate());
        label.on_hover_text("The picture comes back when the finding is closed (Esc), or with a level's key");
    });
}

/// Draws the level view and gives the bow it shows. A click on a string or pair looks at it.
pub fn level_ui(
    ui: &mut Ui,
    (lesson, analysis): (&Lesson, &Analysis),
    shown: &Shown,
    arm: &mut ArmDesk,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) -> BowState {
    ui.horizontal(|ui| {
        ui.heading("Level");
        match shown.level {
            Some(_) if shown.together => ui.add(Label::new(RichText::new("of the double stop").weak())),
            Some(index) => {
                ui.add(Label::new(format!("level {}; its key again goes back", index + 1)).truncate())
            }
            None => {
                let words = "M shows the arm large";
                ui.add(Label::new(RichText::new(words).weak()).truncate())
            }
        };
    });
    let state = shown_state(ui, analysis, shown, arm);
    let room = ui.available_width();
    let width = f64::from(room / shown.ppm).clamp(*WIDTH_MM.start(), *WIDTH_MM.end());
    let fan = picture::level_fan(lesson, analysis, &state, width);
    // A narrow column makes the drawing smaller rather than cutting it off.
    let points_per_mm = shown.ppm.min(room / width as f32);
    let size = vec2(room, fan.height_mm as f32 * points_per_mm);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let level = analysis.arm_path.fan.level(state.plane);
    response.widget_info(|| {
        let words = format!("Bow level {}, {:.1} degrees", level.name, state.level_deg);
        WidgetInfo::labeled(Role::Image, true, words)
    });
    let left = rect.left() + (rect.width() - width as f32 * points_per_mm) / 2.0;
    let scale = Scale { origin: egui::pos2(left, rect.top()), points_per_mm };
    let clicked = response.clicked().then(|| response.interact_pointer_pos()).flatten();
    if let Some(Tag::Level(index)) = clicked.and_then(|at| nearest(&fan, scale.mm(at))) {
        commands.push(Command::Do(Action::Level((index + 1).min(7) as u8)));
    }
    if ui.is_rect_visible(rect) {
        let shapes = painter.shapes(ui.ctx(), &fan, scale, shown.look.theme(), &|_| None);
        ui.painter_at(rect).extend(shapes);
    }
    state
}

/// The level whose line passes nearest to a point.
fn nearest(fan: &picture::Picture, at: Point) -> Option<Tag> {
    let lines = fan.items.iter().filter_map(|item| match item {
        picture::Item::Path { path, tag: Some(tag @ Tag::Level(_)), .. } => {
            let Some(PathSeg::Line(line)) = path.get_seg(1) else { return None };
            let along = line.p1 - line.p0;
            Some(((at - line.p0).cross(along).abs() / along.hypot().max(1e-9), *tag))
        }
        _ => None,
    });
    lines.filter(|line| line.0 <= REACH_MM).min_by(|a, b| a.0.total_cmp(&b.0)).map(|line| line.1)
}
