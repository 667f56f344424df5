//! What was read, guessed and left out of the file a lesson came from, beside the music.

use egui::{Label, ScrollArea, Ui};

use crate::{
    exchange::diagnostic::{Diagnostic, Severity},
    score::sentence_case,
};

/// The remarks, those at odds with the file or the standard first.
pub fn report_ui(ui: &mut Ui, report: &[Diagnostic]) {
    ui.add_space(2.0);
    ScrollArea::vertical().id_salt("reading").auto_shrink(false).show(ui, |ui| {
        for severity in [Severity::Warning, Severity::Note] {
            for remark in report.iter().filter(|remark| remark.severity == severity) {
                remark_ui(ui, remark);
            }
        }
    });
}

fn remark_ui(ui: &mut Ui, remark: &Diagnostic) {
    let place = match (remark.bar.as_str(), remark.count) {
        ("", 0 | 1) => String::new(),
        ("", count) => format!("{count} times"),
        (bar, 0 | 1) => format!("Bar {bar}"),
        (bar, count) => format!("Bar {bar}, and {} more", count - 1),
    };
    let sign = if remark.severity == Severity::Warning { "!" } else { "·" };
    ui.horizontal_top(|ui| {
        ui.strong(sign);
        ui.vertical(|ui| {
            if !place.is_empty() {
                ui.strong(place);
            }
            ui.add(Label::new(sentence_case(&remark.message)).wrap());
            if !remark.hint.is_empty() {
                ui.weak(sentence_case(&remark.hint));
            }
        });
    });
    ui.add_space(4.0);
}
