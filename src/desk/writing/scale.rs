//! The window that begins with a scale, a mode or an arpeggio.

use egui::{Context, Grid, Key, Modal, Modifiers, Ui};

use crate::{
    desk::{
        command::{Command, Making},
        widgets::typed::{begin_in, typed_ui},
    },
    lesson::Lesson,
    practice::{Scale, ScaleWish, scale_lesson},
    score::{NoteValue, Pitch},
};

/// Usual values and numbers of notes in a bow.
const VALUES: [&str; 4] = ["quarter", "eighth", "16th", "half"];
const IN_A_BOW: [&str; 6] = ["1", "2", "3", "4", "7", "8"];

/// The window, when it is open.
#[derive(Default)]
pub struct ScaleWindow {
    form: Option<Form>,
}

struct Form {
    first: String,
    scale: String,
    octaves: String,
    value: String,
    in_a_bow: String,
    begun: bool,
    refused: Option<String>,
}

impl ScaleWindow {
    /// Opens the window; the lowest open string is proposed.
    pub fn open(&mut self, lesson: &Lesson) {
        let lowest = lesson.setup.instrument.strings.last().map_or(String::new(), |open| open.pitch.name());
        self.form = Some(Form {
            first: lowest,
            scale: Scale::Major.words().to_owned(),
            octaves: "2".to_owned(),
            value: VALUES[0].to_owned(),
            in_a_bow: IN_A_BOW[0].to_owned(),
            begun: false,
            refused: None,
        });
    }

    /// It waits for an answer.
    pub fn is_open(&self) -> bool {
        self.form.is_some()
    }

    /// Shows the window.
    pub fn show(&mut self, ctx: &Context, lesson: &Lesson, commands: &mut Vec<Command>) {
        let Some(form) = &mut self.form else { return };
        let mut closed = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        Modal::new(egui::Id::unique("scale")).show(ctx, |ui| {
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.heading("Scale or arpeggio");
            ui.add_space(6.0);
            let enter = form.fields_ui(ui, lesson);
            if let Some(why) = &form.refused {
                ui.colored_label(ui.visuals().warn_fg_color, why);
            }
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                if ui.button("Write it").clicked() || enter {
                    match form.wish().and_then(|wish| scale_lesson(&lesson.setup, &wish)) {
                        Ok(scale) => {
                            commands.push(Command::Make(Making::Lesson(Box::new(scale))));
                            closed = true;
                        }
                        Err(why) => form.refused = Some(why),
                    }
                }
                closed |= ui.button("Cancel").clicked();
            });
        });
        if closed {
            self.form = None;
        }
    }
}

impl Form {
    /// Draws the fields; true when Enter was pressed in one of them.
    fn fields_ui(&mut self, ui: &mut Ui, lesson: &Lesson) -> bool {
        let owned = |all: &[&str]| all.iter().map(|text| (*text).to_owned()).collect::<Vec<_>>();
        let open: Vec<String> =
            lesson.setup.instrument.strings.iter().map(|open| open.pitch.name()).collect();
        let scales: Vec<String> = Scale::ALL.iter().map(|scale| scale.words().to_owned()).collect();
        let octaves: Vec<String> = (1..=4).map(|octaves| octaves.to_string()).collect();
        let mut enter = false;
        let begun = std::mem::replace(&mut self.begun, true);
        let told = [
            self.first().map(|_| "its first note; the open strings are usual".to_owned()),
            self.scale().map(|_| String::new()),
            self.octaves().map(|_| "up, and down again".to_owned()),
            self.value().map(|_| String::new()),
            self.in_a_bow().map(|_| String::new()),
        ];
        let rows = [
            ("From", &mut self.first, open),
            ("Kind", &mut self.scale, scales),
            ("Octaves", &mut self.octaves, octaves),
            ("Notes", &mut self.value, owned(&VALUES)),
            ("Notes in a bow", &mut self.in_a_bow, owned(&IN_A_BOW)),
        ];
        Grid::new("scale").num_columns(3).spacing([10.0, 6.0]).show(ui, |ui| {
            for (index, ((label, text, usual), told)) in rows.into_iter().zip(told).enumerate() {
                let field = typed_ui(ui, label, text, &usual, told);
                enter |= field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
                if index == 0 && !begun {
                    begin_in(ui, &field, text);
                }
            }
        });
        enter
    }

    fn first(&self) -> Result<Pitch, String> {
        let name = self.first.to_lowercase().replace("flat", "b").replace("sharp", "#").replace(' ', "");
        Pitch::from_name(&name).ok_or_else(|| "a note with its octave, such as Bb3 or C sharp 4".to_owned())
    }

    fn scale(&self) -> Result<Scale, String> {
        Scale::from_words(&self.scale)
            .ok_or_else(|| "such as major, melodic minor, minor arpeggio".to_owned())
    }

    fn octaves(&self) -> Result<u8, String> {
        let octaves = self.octaves.trim().parse().ok().filter(|octaves| (1..=4).contains(octaves));
        octaves.ok_or_else(|| "1 to 4".to_owned())
    }

    fn value(&self) -> Result<NoteValue, String> {
        NoteValue::from_words(&self.value).ok_or_else(|| "such as quarter, eighth or 16th".to_owned())
    }

    fn in_a_bow(&self) -> Result<usize, String> {
        let count = self.in_a_bow.trim().parse().ok().filter(|count| (1..=64).contains(count));
        count.ok_or_else(|| "1 to 64".to_owned())
    }

    fn wish(&self) -> Result<ScaleWish, String> {
        let field = |name: &str, why: String| format!("{name}: {why}");
        Ok(ScaleWish {
            first: self.first().map_err(|why| field("From", why))?,
            scale: self.scale().map_err(|why| field("Kind", why))?,
            octaves: self.octaves().map_err(|why| field("Octaves", why))?,
            value: self.value().map_err(|why| field("Notes", why))?,
            in_a_bow: self.in_a_bow().map_err(|why| field("Notes in a bow", why))?,
        })
    }
}
