//! The bridge seen along the strings, with the level the arm holds.

use egui::{Label, RichText, Role, Sense, TextStyle, Ui, WidgetInfo, vec2};
use kurbo::{PathSeg, Point};

use crate::{
    analysis::BowState,
    desk::{
        command::{Action, Command, LevelKey},
        state::now::Now,
        widgets::{
            controls::picture_ui,
            painter::{Scale, ScreenPainter},
        },
    },
    picture::{self, Tag},
};

use super::shown::{ArmDesk, shown_state};

/// Narrowest and widest drawing, mm.
const WIDTH_MM: std::ops::RangeInclusive<f64> = 52.0..=64.0;
/// Height of the drawing with its heading, mm.
const HIGH_MM: f32 = 50.0;
/// How near to a level a click may lie, mm.
const REACH_MM: f64 = 2.0;

/// The level that is looked at in place of the present one.
#[derive(Clone, Copy, Debug)]
pub enum LookedAt {
    /// None: the level of the music.
    Music,
    /// One chosen by its key, by its index.
    Chosen(usize),
    /// The one of notes looked at together.
    Together(usize),
}

impl LookedAt {
    /// Its index.
    pub fn index(self) -> Option<usize> {
        match self {
            Self::Music => None,
            Self::Chosen(index) | Self::Together(index) => Some(index),
        }
    }
}

/// There is room for the level and as many lines of text under it.
pub fn level_fits(ui: &Ui, now: &Now, lines: f32) -> bool {
    ui.available_height() >= HIGH_MM * now.points_per_mm + lines * ui.text_style_height(&TextStyle::Body)
}

/// The level in a line, where something else has the room.
pub fn folded_ui(ui: &mut Ui, now: &Now) {
    let level = now.analysis().arm_path.fan.level(now.bow.plane);
    ui.horizontal(|ui| {
        ui.heading("Level");
        let words = format!("{}, {:.1}°", level.name, now.bow.level_deg).replace('-', "–");
        let label = ui.add(Label::new(RichText::new(words).weak()).truncate());
        label.on_hover_text("The picture comes back when the finding is closed (Esc), or with a level's key");
    });
}

/// Draws the level view and gives the bow it shows. A click on a string or pair looks at it.
pub fn level_ui(
    ui: &mut Ui,
    now: &Now,
    looked_at: LookedAt,
    arm: &ArmDesk,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) -> BowState {
    ui.horizontal(|ui| {
        ui.heading("Level");
        match looked_at {
            LookedAt::Together(_) => ui.add(Label::new(RichText::new("of the double stop").weak())),
            LookedAt::Chosen(index) => {
                ui.add(Label::new(format!("level {}; its key again goes back", index + 1)).truncate())
            }
            LookedAt::Music => {
                let words = "M shows the arm large";
                ui.add(Label::new(RichText::new(words).weak()).truncate())
            }
        };
    });
    let state = shown_state(ui, now, looked_at.index(), arm);
    let room = ui.available_width();
    let width = f64::from(room / now.points_per_mm).clamp(*WIDTH_MM.start(), *WIDTH_MM.end());
    let fan = picture::level_fan(&now.study, &state, width);
    // A narrow column makes the drawing smaller rather than cutting it off.
    let points_per_mm = now.points_per_mm.min(room / width as f32);
    let size = vec2(room, fan.height_mm as f32 * points_per_mm);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let level = now.analysis().arm_path.fan.level(state.plane);
    response.widget_info(|| {
        let words = format!("Bow level {}, {:.1} degrees", level.name, state.level_deg);
        WidgetInfo::labeled(Role::Image, true, words)
    });
    let left = rect.left() + (rect.width() - width as f32 * points_per_mm) / 2.0;
    let scale = Scale { origin: egui::pos2(left, rect.top()), points_per_mm };
    let clicked = response.clicked().then(|| response.interact_pointer_pos()).flatten();
    if let Some(Tag::Level(index)) = clicked.and_then(|at| nearest(&fan, scale.mm(at))) {
        commands.extend(LevelKey::of(index).map(|key| Command::Do(Action::Level(key))));
    }
    picture_ui(ui, rect, &fan, scale, now.look.theme(), painter);
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
