//! What to know before playing: a list that leads to the spots.

use egui::{
    Color32, Pos2, Rect, Response, Role, ScrollArea, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};

use crate::{
    analysis::Analysis,
    bowing::{Finding, Verdict},
    picture::Ink,
};

use super::{
    command::Command,
    painter::colour,
    theme::{Look, bold},
};

/// Draws the list; the finding at the playhead is marked, and `shown` is scrolled into view.
pub fn findings_ui(
    ui: &mut Ui,
    analysis: &Analysis,
    now_note: Option<usize>,
    shown: Option<usize>,
    look: Look,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.heading("Findings");
        let counts = egui::RichText::new(counts(&analysis.findings)).weak();
        ui.add(egui::Label::new(counts).truncate());
    });
    ScrollArea::vertical().id_salt("findings").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        if analysis.findings.is_empty() {
            ui.label("Everything can be played as marked.");
        }
        for (index, finding) in analysis.findings.iter().enumerate() {
            let here = now_note == Some(finding.note);
            let response = finding_ui(ui, finding, here, look);
            if shown == Some(index) {
                response.scroll_to_me(None);
            }
            if response.clicked() {
                commands.push(Command::Finding(index));
            }
        }
        if !analysis.notices.is_empty() {
            ui.add_space(8.0);
            ui.label(bold("Assumed"));
            for notice in &analysis.notices {
                ui.add(egui::Label::new(egui::RichText::new(notice).weak()).wrap());
            }
        }
    });
}

/// "1 runs out, 2 tight".
pub fn counts(findings: &[Finding]) -> String {
    let mut words = Vec::new();
    for (verdict, one, many) in [
        (Verdict::Impossible, "cannot be played", "cannot be played"),
        (Verdict::RunsOut, "runs out", "run out"),
        (Verdict::Tight, "tight", "tight"),
        (Verdict::Notice, "worth a look", "worth a look"),
    ] {
        let count = findings.iter().filter(|finding| finding.verdict == verdict).count();
        if count > 0 {
            words.push(format!("{count} {}", if count == 1 { one } else { many }));
        }
    }
    if words.is_empty() { "none".to_owned() } else { words.join(", ") }
}

fn finding_ui(ui: &mut Ui, finding: &Finding, here: bool, look: Look) -> Response {
    let theme = look.theme();
    let inner = egui::Frame::new()
        .inner_margin(6.0)
        .corner_radius(5.0)
        .fill(if here { colour(theme, Ink::Paper) } else { Color32::TRANSPARENT })
        .stroke(Stroke::new(1.0, if here { colour(theme, Ink::Plan) } else { Color32::TRANSPARENT }))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal_top(|ui| {
                let size = 16.0 * look.type_factor();
                let (rect, _) = ui.allocate_exact_size(vec2(size, size), Sense::hover());
                sign(ui.painter(), rect, finding.verdict, colour(theme, Ink::Warn));
                ui.vertical(|ui| {
                    let wrap = |text: egui::RichText| egui::Label::new(text).wrap().selectable(false);
                    ui.add(wrap(bold(&finding.title)));
                    ui.add(wrap(egui::RichText::new(&finding.what)));
                    ui.add(wrap(egui::RichText::new(&finding.why).weak()));
                });
            });
        });
    let id = ui.scope_id().with(("finding", finding.id, finding.event, finding.at));
    let response =
        ui.interact(inner.response.rect, id, Sense::click()).on_hover_cursor(egui::CursorIcon::PointingHand);
    response.widget_info(|| {
        let words = format!("{}, {}", finding.title, finding.verdict.words());
        WidgetInfo::selected(Role::Button, true, here, words)
    });
    if response.hovered() && !here {
        ui.painter().rect_stroke(
            inner.response.rect,
            5.0,
            Stroke::new(1.0, colour(theme, Ink::Rule)),
            egui::StrokeKind::Inside,
        );
    }
    response
}

/// A cross for what cannot be played, a triangle for what runs out, a diamond for what is tight (the
/// signs of the hair map), a ring for what is worth a look.
fn sign(painter: &egui::Painter, rect: Rect, verdict: Verdict, ink: Color32) {
    let rect = rect.shrink(1.5);
    let stroke = Stroke::new(1.6, ink);
    let c = rect.center();
    match verdict {
        Verdict::Impossible => {
            painter.line_segment([rect.left_top(), rect.right_bottom()], Stroke::new(2.4, ink));
            painter.line_segment([rect.right_top(), rect.left_bottom()], Stroke::new(2.4, ink));
        }
        Verdict::RunsOut => {
            let corners: Vec<Pos2> = vec![rect.left_bottom(), pos2(c.x, rect.top()), rect.right_bottom()];
            painter.add(Shape::closed_line(corners, stroke));
            let u = rect.height() / 12.0;
            painter.line_segment([c + vec2(0.0, -1.5 * u), c + vec2(0.0, 2.2 * u)], stroke);
            painter.circle_filled(c + vec2(0.0, 4.2 * u), 0.9 * u, ink);
        }
        Verdict::Tight => {
            let r = rect.width() / 2.8;
            let corners = vec![c + vec2(0.0, -r), c + vec2(r, 0.0), c + vec2(0.0, r), c + vec2(-r, 0.0)];
            painter.add(Shape::closed_line(corners, stroke));
        }
        Verdict::Notice => {
            painter.circle_stroke(c, rect.width() / 3.6, stroke);
        }
    }
}
