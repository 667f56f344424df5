//! A finding in the list.

use egui::{Frame, Label, Response, RichText, Role, Sense, Stroke, Ui, WidgetInfo};

use crate::{
    bowing::Finding,
    desk::widgets::{
        painter::colour,
        signs::{sign_ui, verdict_sign},
        theme::bold,
    },
    picture::Ink,
};

use super::input::FindingsInput;

/// Sign and title; gives what answers to clicks.
pub fn head_ui(ui: &mut Ui, input: &FindingsInput<'_>, finding: &Finding, is_open: bool) -> Response {
    let ink = colour(input.now.look.theme(), Ink::Warn);
    let shown = ui.horizontal_top(|ui| {
        ui.set_width(ui.available_width());
        sign_ui(ui, |painter, rect| verdict_sign(painter, rect, finding.verdict, ink));
        let more = match finding.more.len() {
            0 => String::new(),
            n => format!("  +{n}"),
        };
        let title = if is_open { bold(finding.title()) } else { RichText::new(finding.title()) };
        let mut words = egui::text::LayoutJob::default();
        let style = ui.style().clone();
        title.append_to(&mut words, &style, egui::FontSelection::Default, egui::Align::Min);
        RichText::new(more).weak().append_to(
            &mut words,
            &style,
            egui::FontSelection::Default,
            egui::Align::Min,
        );
        ui.add(Label::new(words).wrap().selectable(false));
    });
    let id = ui.scope_id().with(("finding", finding.kind, finding.event, finding.at));
    let response = ui
        .interact(shown.response.rect.expand(4.0), id, Sense::click())
        .on_hover_cursor(egui::CursorIcon::PointingHand);
    response.widget_info(|| {
        let words = format!("{}, {}", finding.title(), finding.verdict.words());
        WidgetInfo::selected(Role::Button, true, is_open, words)
    });
    response
}

/// A finding in the list.
pub fn row_ui(ui: &mut Ui, input: &FindingsInput<'_>, index: usize) -> Response {
    let finding = &input.now.analysis().findings.told[index];
    let theme = input.now.look.theme();
    let inner = Frame::new().inner_margin(5.0).show(ui, |ui| head_ui(ui, input, finding, false));
    let (rect, response) = (inner.response.rect, inner.inner);
    if response.hovered() {
        let edge = Stroke::new(1.0, colour(theme, Ink::Rule));
        ui.painter().rect_stroke(rect, 5.0, edge, egui::StrokeKind::Inside);
    }
    if input.now.bow.note == Some(finding.note) {
        // The playhead is here.
        let ink = colour(theme, Ink::Now);
        ui.painter().vline(rect.left() + 1.0, rect.y_range().shrink(3.0), Stroke::new(2.0, ink));
    }
    response.on_hover_text(&finding.what)
}
