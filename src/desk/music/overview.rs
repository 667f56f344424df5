//! The whole piece as a strip under the music.

use egui::{Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use crate::{
    bowing::Verdict,
    desk::{command::Command, widgets::painter::colour},
    picture::Ink,
    score::Quarters,
};

use super::{input::MusicInput, scene::Scene};

/// The whole piece as one line: what is in view, the findings, the playhead.
pub fn overview_ui(ui: &Ui, rect: Rect, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    let bars = &input.now.lesson().score.bars;
    let total = input.now.analysis().line.end.to_f64().max(1.0);
    let left = scene.scale.pos((scene.sides.0, 0.0)).x;
    let line =
        Rect::from_min_max(pos2(left, rect.top() + 5.0), pos2(rect.right() - 6.0, rect.bottom() - 4.0));
    let x = |quarters: f64| line.left() + line.width() * (quarters / total).clamp(0.0, 1.0) as f32;
    let theme = input.now.look.theme();
    let response = ui.interact(rect, ui.scope_id().with("overview"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::ScrollBar, true, "Whole piece"));
    let painter = ui.painter();
    painter.rect_filled(line, 3.0, colour(theme, Ink::Panel));
    let seen = Rect::from_x_y_ranges(x(scene.window.0.to_f64())..=x(scene.window.1.to_f64()), line.y_range());
    let plan = colour(theme, Ink::Plan);
    painter.rect(seen, 3.0, colour(theme, Ink::Corridor), Stroke::new(1.0, plan), StrokeKind::Inside);
    for finding in &input.now.analysis().findings.told {
        let at = pos2(x(finding.at.to_f64()), line.center().y);
        let ink = colour(theme, Ink::Warn);
        match finding.verdict {
            Verdict::Notice => {}
            Verdict::Tight => {
                painter.circle_stroke(at, 1.8, Stroke::new(1.0, ink));
            }
            Verdict::RunsOut | Verdict::Impossible => {
                let corners = vec![at + vec2(-3.5, 3.0), at + vec2(0.0, -3.5), at + vec2(3.5, 3.0)];
                painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
            }
        }
    }
    let now = x(input.now.quarters());
    painter.vline(now, line.y_range(), Stroke::new(1.5, colour(theme, Ink::Now)));
    if (response.clicked() || response.dragged())
        && let Some(pos) = response.interact_pointer_pos()
    {
        let share = f64::from((pos.x - line.left()) / line.width().max(1.0)).clamp(0.0, 1.0);
        let at = Quarters::from_f64(share * total);
        let middle = input.now.lesson().score.bar_at(at).unwrap_or(0);
        let half = (scene.bars.1 - scene.bars.0) / 2;
        commands.push(Command::Scroll(middle.saturating_sub(half).min(bars.len().saturating_sub(1))));
    }
    response.on_hover_text("The whole piece. Click or drag to look elsewhere");
}
