//! What to know before playing: a list that leads to the spots. One finding is open at a time and
//! shows why it is so and what can be done.

use egui::{Frame, Label, Response, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

use crate::{
    analysis::Analysis,
    bowing::{Finding, Kind, Verdict, ranked, spots},
    lesson::{Lesson, change},
    picture::Ink,
    score::EventId,
};

use crate::desk::{
    command::{Action, Command},
    findings::compare::{Kept, compare_ui},
    widgets::painter::colour,
    widgets::signs::{count_ui, count_words, sign_ui, verdict_sign},
    widgets::theme::{Look, bold},
};

/// More rules of thumb than this are folded at first. Assumed.
const MANY_NOTICES: usize = 3;
/// Further places listed before "and … more". Assumed: two lines of the list.
const PLACES: usize = 16;

/// Names a finding from one analysis to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Which {
    /// The kind of finding.
    pub kind: Kind,
    /// Its note.
    pub event: EventId,
}

impl Which {
    /// The name of a finding.
    pub fn of(finding: &Finding) -> Self {
        Self { kind: finding.kind, event: finding.event }
    }

    /// Its place in the list of an analysis.
    pub fn index(self, analysis: &Analysis) -> Option<usize> {
        analysis.findings.told.iter().position(|finding| Self::of(finding) == self)
    }
}

/// How the list is shown.
#[derive(Debug, Default)]
pub struct FindingsView {
    /// The open finding.
    pub open: Option<Which>,
    /// Bring the open finding into view.
    pub reveal: bool,
    /// The pointer is over the open finding: what helps must keep its place.
    pub pointed_at: bool,
    /// In the order of the music rather than the worst first.
    pub by_time: bool,
    /// The differences from the kept version are listed instead.
    pub compared: bool,
    /// All further places of the open finding are listed.
    all_places: bool,
    /// The reason typed for silencing the open finding.
    reason: Option<String>,
    /// Rules of thumb are unfolded; none: as many as there are decide.
    notices: Option<bool>,
    /// Silenced findings are unfolded.
    silenced: bool,
}

impl FindingsView {
    /// Opens a finding.
    pub fn open(&mut self, which: Which) {
        if self.open != Some(which) {
            *self = Self { open: Some(which), reason: None, all_places: false, ..std::mem::take(self) };
        }
        self.compared = false;
        self.reveal = true;
    }

    /// Closes the open finding.
    pub fn close(&mut self) {
        (self.open, self.reason) = (None, None);
    }

    /// The list as shown, as indices: first what is listed openly, then the rules of thumb.
    pub fn order(&self, analysis: &Analysis) -> (Vec<usize>, Vec<usize>) {
        let findings = &analysis.findings.told;
        let all = if self.by_time { (0..findings.len()).collect() } else { ranked(findings) };
        all.into_iter().partition(|index| analysis.findings.told[*index].verdict != Verdict::Notice)
    }

    /// The rules of thumb are listed too.
    fn shows_notices(&self, notices: &[usize], analysis: &Analysis) -> bool {
        let holds_open = notices.iter().any(|i| self.open == Some(Which::of(&analysis.findings.told[*i])));
        self.notices.unwrap_or(notices.len() <= MANY_NOTICES || holds_open)
    }

    /// What one steps through, in order.
    pub fn steps(&self, analysis: &Analysis) -> Vec<usize> {
        let (mut first, notices) = self.order(analysis);
        if self.shows_notices(&notices, analysis) {
            first.extend(notices);
        }
        if self.by_time {
            first.sort_unstable();
        }
        first
    }
}

/// What the list is made from.
pub struct FindingsInput<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// What is known about it.
    pub analysis: &'a Analysis,
    /// The version kept to compare with.
    pub kept: Option<&'a Kept>,
    /// The note at the playhead.
    pub now_note: Option<usize>,
    /// Colours.
    pub look: Look,
}

/// Draws the list. `under` draws what can be done about the open finding, and tells when it is to be
/// silenced.
pub fn findings_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    view: &mut FindingsView,
    commands: &mut Vec<Command>,
    under: impl FnOnce(&mut Ui, &mut Vec<Command>) -> bool,
) {
    heading_ui(ui, input, view);
    if let Some(kept) = input.kept.filter(|_| view.compared) {
        compare_ui(ui, kept, input.look, commands);
        return;
    }
    let (first, notices) = view.order(input.analysis);
    let reveal = std::mem::take(&mut view.reveal);
    let mut under = Some(under);
    ScrollArea::vertical().id_salt("findings").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        if input.analysis.findings.told.is_empty() {
            ui.label(if input.analysis.findings.silenced.is_empty() {
                "Everything can be played as marked."
            } else {
                "Nothing else to tell."
            });
        }
        let mut list = |ui: &mut Ui, view: &mut FindingsView, indices: &[usize]| {
            for &index in indices {
                let finding = &input.analysis.findings.told[index];
                let is_open = view.open == Some(Which::of(finding)) && under.is_some();
                let response = if is_open {
                    let under = under.take();
                    card_ui(ui, input, view, index, commands, under)
                } else {
                    row_ui(ui, input, index)
                };
                if is_open && reveal {
                    response.scroll_to_me(Some(egui::Align::TOP));
                }
                if response.clicked() {
                    commands.push(if is_open { Command::CloseFinding } else { Command::Finding(index) });
                }
            }
        };
        list(ui, view, &first);
        if !notices.is_empty() {
            let shown = view.shows_notices(&notices, input.analysis);
            ui.add_space(6.0);
            if fold_ui(
                ui,
                &count_words(Verdict::Notice, spots(&input.analysis.findings.told, Verdict::Notice)),
                shown,
                input.look,
            ) {
                view.notices = Some(!shown);
            }
            if shown {
                list(ui, view, &notices);
            }
        }
        silenced_ui(ui, input, view, commands);
        if !input.analysis.findings.notices.is_empty() {
            ui.add_space(8.0);
            ui.label(bold("Assumed"));
            for notice in &input.analysis.findings.notices {
                ui.add(Label::new(RichText::new(notice).weak()).wrap());
            }
        }
    });
}

fn heading_ui(ui: &mut Ui, input: &FindingsInput<'_>, view: &mut FindingsView) {
    let ink = colour(input.look.theme(), Ink::Warn);
    ui.horizontal(|ui| {
        ui.heading("Findings");
        for verdict in [Verdict::Impossible, Verdict::RunsOut, Verdict::Tight, Verdict::Notice] {
            let count = spots(&input.analysis.findings.told, verdict);
            if count > 0 {
                count_ui(ui, verdict, count, ink);
            }
        }
    });
    ui.horizontal(|ui| {
        let compared = view.compared && input.kept.is_some();
        for (by_time, words) in [(false, "Worst first"), (true, "In order")] {
            if ui.selectable_label(!compared && view.by_time == by_time, words).clicked() {
                (view.by_time, view.compared) = (by_time, false);
            }
        }
        if let Some(kept) = input.kept {
            let words = match kept.differences().len() {
                0 => "Compared".to_owned(),
                n => format!("Compared {n}"),
            };
            let tip = "What differs from the kept version";
            if ui.selectable_label(compared, words).on_hover_text(tip).clicked() {
                view.compared = true;
            }
        } else {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.weak("J next").on_hover_text(Action::NextFinding.entry().hover());
            });
        }
    });
}

/// A heading that folds what stands under it; true when it was clicked.
fn fold_ui(ui: &mut Ui, words: &str, open: bool, look: Look) -> bool {
    let ink = colour(look.theme(), Ink::Faint);
    let shown = ui.horizontal(|ui| {
        sign_ui(ui, |painter, rect| {
            let (c, r) = (rect.center(), 0.24 * rect.width());
            let arrow = if open {
                [egui::vec2(-r, -0.5 * r), egui::vec2(r, -0.5 * r), egui::vec2(0.0, 0.8 * r)]
            } else {
                [egui::vec2(-0.5 * r, -r), egui::vec2(0.8 * r, 0.0), egui::vec2(-0.5 * r, r)]
            };
            let corners = arrow.map(|v| c + v).to_vec();
            painter.add(egui::Shape::convex_polygon(corners, ink, Stroke::NONE));
        });
        ui.add(Label::new(RichText::new(words).weak()).selectable(false));
    });
    let response = ui
        .interact(shown.response.rect, ui.scope_id().with(("fold", words)), Sense::click())
        .on_hover_cursor(egui::CursorIcon::PointingHand);
    let does = if open { "Hide" } else { "Show" };
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{does} {words}")));
    response.clicked()
}

/// Sign and title; gives what answers to clicks.
fn head_ui(ui: &mut Ui, input: &FindingsInput<'_>, finding: &Finding, is_open: bool) -> Response {
    let ink = colour(input.look.theme(), Ink::Warn);
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
fn row_ui(ui: &mut Ui, input: &FindingsInput<'_>, index: usize) -> Response {
    let finding = &input.analysis.findings.told[index];
    let theme = input.look.theme();
    let inner = Frame::new().inner_margin(5.0).show(ui, |ui| head_ui(ui, input, finding, false));
    let (rect, response) = (inner.response.rect, inner.inner);
    if response.hovered() {
        let edge = Stroke::new(1.0, colour(theme, Ink::Rule));
        ui.painter().rect_stroke(rect, 5.0, edge, egui::StrokeKind::Inside);
    }
    if input.now_note == Some(finding.note) {
        // The playhead is here.
        let ink = colour(theme, Ink::Now);
        ui.painter().vline(rect.left() + 1.0, rect.y_range().shrink(3.0), Stroke::new(2.0, ink));
    }
    response.on_hover_text(&finding.what)
}

/// The open finding.
fn card_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    view: &mut FindingsView,
    index: usize,
    commands: &mut Vec<Command>,
    under: Option<impl FnOnce(&mut Ui, &mut Vec<Command>) -> bool>,
) -> Response {
    let finding = &input.analysis.findings.told[index];
    let theme = input.look.theme();
    let frame = Frame::new()
        .inner_margin(5.0)
        .corner_radius(5.0)
        .fill(colour(theme, Ink::Paper))
        .stroke(Stroke::new(1.0, colour(theme, Ink::Plan)));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 4.0;
        let head = head_ui(ui, input, finding, true);
        // The headline is read by the class, the rest by the hand that chooses what helps.
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        ui.add(Label::new(&finding.what).wrap());
        ui.add(Label::new(RichText::new(&finding.why).weak()).wrap());
        places_ui(ui, input, view, index, commands);
        silence_ui(ui, input.lesson, finding, view, commands);
        if under.is_some_and(|under| under(ui, commands)) {
            view.reason.get_or_insert_default();
        }
        head
    });
    Response { rect: shown.response.rect, ..shown.inner }
}

/// "Also at bars 12, 16, 20", each leading there.
fn places_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    view: &mut FindingsView,
    index: usize,
    commands: &mut Vec<Command>,
) {
    let finding = &input.analysis.findings.told[index];
    if finding.more.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 1.0);
        ui.weak(if finding.more.len() == 1 { "Also at bar" } else { "Also at bars" });
        let most = if view.all_places { usize::MAX } else { PLACES };
        for (nth, spot) in finding.more.iter().enumerate().take(most) {
            let name = spot.place.bar.as_ref().map_or_else(|| "?".to_owned(), ToString::to_string);
            if ui.link(name).on_hover_text(format!("Go to {}", spot.place)).clicked() {
                commands.push(Command::Place(index, nth));
            }
        }
        let hidden = finding.more.len().saturating_sub(most);
        if hidden > 0 && ui.link(format!("and {hidden} more")).clicked() {
            view.all_places = true;
        }
    });
}

/// The small field in which a finding is silenced with a reason.
fn silence_ui(
    ui: &mut Ui,
    lesson: &Lesson,
    finding: &Finding,
    view: &mut FindingsView,
    commands: &mut Vec<Command>,
) {
    let Some(reason) = &mut view.reason else { return };
    let label = ui.weak("Why it need not be told");
    let field = ui.add(egui::TextEdit::singleline(reason).desired_width(f32::INFINITY)).labelled_by(label.id);
    if !field.has_focus() && !field.lost_focus() && reason.is_empty() {
        field.request_focus();
    }
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    let mut done = false;
    ui.horizontal(|ui| {
        let mut silence = |events: &[EventId]| {
            let edit = change::silence(lesson, finding.kind.id(), events, Some(reason));
            commands.push(Command::Edit(Box::new(edit), None));
            done = true;
        };
        let places: Vec<EventId> = finding.events().collect();
        let all = match places.len() {
            1 => "Silence".to_owned(),
            count => format!("Silence at all {count} places"),
        };
        if ui.button(all).clicked() || entered {
            silence(&places);
        }
        if places.len() > 1 && ui.button("Only here").clicked() {
            silence(&places[..1]);
        }
        done |= ui.button("Cancel").clicked();
    });
    if done {
        view.reason = None;
    }
}

/// What is not told, with the reasons.
fn silenced_ui(ui: &mut Ui, input: &FindingsInput<'_>, view: &mut FindingsView, commands: &mut Vec<Command>) {
    let silenced = &input.analysis.findings.silenced;
    if silenced.is_empty() {
        return;
    }
    ui.add_space(6.0);
    if fold_ui(ui, &format!("{} silenced", silenced.len()), view.silenced, input.look) {
        view.silenced = !view.silenced;
    }
    if !view.silenced {
        return;
    }
    for (finding, reason) in silenced {
        Frame::new().inner_margin(5.0).show(ui, |ui| {
            ui.add(Label::new(finding.title()).wrap());
            if !reason.is_empty() {
                ui.add(Label::new(RichText::new(reason).weak()).wrap());
            }
            if ui.small_button("Tell again").clicked() {
                let places: Vec<EventId> = finding.events().collect();
                let edit = change::silence(input.lesson, finding.kind.id(), &places, None);
                commands.push(Command::Edit(Box::new(edit), None));
            }
        });
    }
}
