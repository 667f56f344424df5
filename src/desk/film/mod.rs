//! The window for a moving picture: what is seen, how large and how fast, beside one moment of it.

mod form;

use egui::{
    Button, Context, Frame, Key, Modal, Modifiers, Role, Sense, Slider, Stroke, StrokeKind, Ui, WidgetInfo,
    vec2,
};

use crate::{
    desk::{
        command::Command,
        state::now::Now,
        widgets::{
            controls::picture_ui,
            painter::{Scale, ScreenPainter, colour},
        },
        work::film::{FilmWish, FilmWork},
    },
    picture::{Ink, film::Kind},
};

use form::Form;

/// Width of what is chosen, and greatest size of the moment beside it, points.
const FORM: f32 = 356.0;
const SHOWN: egui::Vec2 = vec2(560.0, 430.0);

/// The window, when it is open.
#[derive(Default)]
pub struct FilmWindow {
    form: Option<Form>,
    /// What a file is asked for.
    wished: Option<(FilmWish, Kind)>,
}

impl FilmWindow {
    /// Opens the window; these bars are proposed, and this level of the arm.
    pub fn open(&mut self, bars: String, level: usize) {
        self.form = Some(Form::new(bars, level));
    }

    /// It waits for an answer.
    pub fn is_open(&self) -> bool {
        self.form.is_some()
    }

    /// The film a file was asked for.
    pub fn wished(&self) -> Option<&(FilmWish, Kind)> {
        self.wished.as_ref()
    }

    /// A file is asked for this film.
    pub fn ask_for(&mut self, wished: (FilmWish, Kind)) {
        self.wished = Some(wished);
    }

    /// Shows the window.
    pub fn show(
        &mut self,
        ctx: &Context,
        (now, work): (&Now, &mut FilmWork),
        painter: &mut ScreenPainter,
        commands: &mut Vec<Command>,
    ) {
        let Some(form) = &mut self.form else { return };
        let mut closed = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        let mut wished = None;
        Modal::new(egui::Id::unique("film")).show(ctx, |ui| {
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.heading("Moving picture");
            ui.add_space(4.0);
            ui.horizontal_top(|ui| {
                ui.vertical(|ui| {
                    ui.set_width(FORM);
                    form.fields_ui(ui, now);
                });
                ui.vertical(|ui| shown_ui(ui, form, now, work, painter));
            });
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                let wish = form.wish(now);
                let can = wish.is_ok() && work.shown().is_some_and(Result::is_ok);
                let save = ui.add_enabled(can, Button::new("Save…"));
                if let Some(wish) = wish.ok().filter(|_| save.clicked()) {
                    wished = Some((wish, form.kind()));
                }
                closed |= ui.button("Cancel").clicked();
            });
        });
        if let Some(wished) = wished {
            self.ask_for(wished);
            commands.push(Command::SaveFilm);
            closed = true;
        }
        if closed {
            self.form = None;
            *work = FilmWork::default();
        }
    }
}

/// One moment of the film, or why there is none, and what chooses the moment.
fn shown_ui(ui: &mut Ui, form: &mut Form, now: &Now, work: &mut FilmWork, painter: &mut ScreenPainter) {
    match form.wish(now) {
        Ok(wish) => {
            work.turn(&now.study, &wish, form.at, ui.ctx());
        }
        Err(why) => {
            ui.colored_label(ui.visuals().warn_fg_color, why);
            return;
        }
    }
    let (rect, response) = ui.allocate_exact_size(SHOWN, Sense::hover());
    match work.shown() {
        None => drop(ui.painter_at(rect).text(
            rect.center(),
            egui::Align2::CENTER_CENTER,
            "Drawing…",
            egui::TextStyle::Body.resolve(ui.style()),
            ui.visuals().weak_text_color(),
        )),
        Some(Err(why)) => {
            let why = why.clone();
            ui.put(rect, egui::Label::new(why).wrap());
        }
        Some(Ok(shown)) => {
            let theme = &shown.theme;
            let (wide, high) = (shown.picture.width_mm as f32, shown.picture.height_mm as f32);
            let points_per_mm = (rect.width() / wide).min(rect.height() / high);
            let size = vec2(wide, high) * points_per_mm;
            let left = rect.center().x - 0.5 * size.x;
            let at = egui::Rect::from_min_size(egui::pos2(left, rect.top()), size);
            ui.painter().rect_filled(at, 0.0, colour(theme, Ink::Paper));
            let edge = Stroke::new(1.0, colour(now.look.theme(), Ink::Rule));
            ui.painter().rect_stroke(at, 0.0, edge, StrokeKind::Outside);
            picture_ui(ui, at, &shown.picture, Scale { origin: at.min, points_per_mm }, theme, painter);
            response.widget_info(|| {
                WidgetInfo::labeled(Role::Image, true, format!("The film after {:.1} s", shown.time_s))
            });
            ui.label(shown.words.as_str());
        }
    }
    // On a surface on which the rail is seen.
    let ground = Frame::new().fill(colour(now.look.theme(), Ink::Panel)).inner_margin(4);
    ground.show(ui, |ui| {
        ui.horizontal(|ui| {
            let label = ui.label("Moment");
            ui.spacing_mut().slider_width = SHOWN.x - 90.0;
            ui.add(Slider::new(&mut form.at, 0.0..=1.0).show_value(false)).labelled_by(label.id);
        });
    });
}
