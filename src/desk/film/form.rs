//! What is chosen of a moving picture.

use egui::{DragValue, Grid, TextEdit, Ui};

use crate::{
    arm::Plane,
    bowing::Density,
    desk::{state::now::Now, widgets::controls::choice, work::film::FilmWish},
    picture::{
        ArmView, Theme,
        film::{Film, Kind, PAUSES_S, RATES, Seen, Subject, WAYS_S},
    },
    score::sentence_case,
    setup::TEMPO_SHARE,
};

/// Sizes that are usual, in words and pixels.
const SIZES: [(&str, (u32, u32)); 5] = [
    ("wide, 1280x720", (1280, 720)),
    ("wide, 1920x1080", (1920, 1080)),
    ("small, 640x360", (640, 360)),
    ("square, 720x720", (720, 720)),
    ("tall, 720x1280", (720, 1280)),
];

/// What is chosen.
pub struct Form {
    is_arm: bool,
    bars: String,
    levels: Vec<u8>,
    way_s: f64,
    hair_share: f64,
    music: Seen,
    arm: Seen,
    view: ArmView,
    size: String,
    rate: u32,
    pause_s: f64,
    tempo: Option<f64>,
    loops: bool,
    kind: Kind,
    is_clear: bool,
    is_dark: bool,
    /// The moment beside it, as a part of the film.
    pub at: f64,
}

impl Form {
    pub fn new(bars: String, level: usize) -> Self {
        let string = level / 2;
        let other = if string == 0 { 2 } else { 2 * string - 2 };
        let levels = [2 * string, other].into_iter().filter_map(|level| u8::try_from(level).ok()).collect();
        let view = ArmView::default();
        Self {
            is_arm: false,
            bars,
            levels,
            way_s: 1.5,
            hair_share: 0.5,
            music: Seen { staff: true, hair: true, bow: true, pencil: Density::Worth, ..Seen::default() },
            arm: Seen { fan: true, player: Some(view), ..Seen::default() },
            view,
            size: "1280x720".to_owned(),
            rate: 20,
            pause_s: 1.0,
            tempo: None,
            loops: true,
            kind: Kind::Gif,
            is_clear: false,
            is_dark: false,
            at: 0.4,
        }
    }

    /// How it is written.
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// The film that is wished, or what is missing, in words.
    pub fn wish(&self, now: &Now) -> Result<FilmWish, String> {
        let score = &now.lesson().score;
        let (subject, seen) = if self.is_arm {
            let (way_s, hair_share) = (self.way_s, self.hair_share);
            (Subject::Levels { levels: self.levels.clone(), way_s, hair_share }, self.arm)
        } else {
            let bars =
                score.bars_named(self.bars.trim()).map_err(|error| sentence_case(&error.to_string()))?;
            (Subject::Passage { bars }, self.music)
        };
        let size = self.size.split_once(['x', 'X', '×']);
        let size = size.and_then(|(wide, high)| Some((wide.trim().parse().ok()?, high.trim().parse().ok()?)));
        let size = size.ok_or_else(|| "Give width and height, as 1280x720".to_owned())?;
        let theme = if self.is_dark { Theme::DARK } else { Theme::LIGHT };
        let film = Film {
            subject,
            seen,
            size,
            rate: self.rate,
            pause_s: self.pause_s,
            loops: self.loops,
            theme: if self.is_clear { theme.clear() } else { theme },
        };
        if let Some(problem) = self.kind.problem(&film.theme, film.rate) {
            return Err(sentence_case(&problem));
        }
        Ok(FilmWish { film, tempo_share: self.tempo.unwrap_or(now.lesson().setup.tempo_share) })
    }

    /// Draws the fields.
    pub fn fields_ui(&mut self, ui: &mut Ui, now: &Now) {
        ui.horizontal(|ui| {
            ui.selectable_value(&mut self.is_arm, false, "A passage");
            ui.selectable_value(&mut self.is_arm, true, "The arm on its levels");
        });
        ui.add_space(4.0);
        if self.is_arm {
            self.levels_ui(ui, now);
        } else {
            self.passage_ui(ui, now);
        }
        ui.add_space(4.0);
        let (view, seen) = (&mut self.view, if self.is_arm { &mut self.arm } else { &mut self.music });
        ui.horizontal_wrapped(|ui| {
            if !self.is_arm {
                ui.checkbox(&mut seen.staff, "Staff");
                let mut pencil = seen.pencil != Density::None;
                if ui.checkbox(&mut pencil, "Pencil marks").changed() {
                    seen.pencil = if pencil { Density::Worth } else { Density::None };
                }
                ui.checkbox(&mut seen.hair, "Hair map");
                ui.checkbox(&mut seen.levels, "Levels");
            }
            ui.checkbox(&mut seen.bow, "Bow");
            ui.checkbox(&mut seen.fan, "Bridge and bow");
            let mut player = seen.player.is_some();
            if ui.checkbox(&mut player, "Player").changed() {
                seen.player = player.then_some(*view);
            }
        });
        if seen.player.is_some() {
            ui.horizontal_wrapped(|ui| {
                for other in ArmView::ALL {
                    ui.selectable_value(view, other, sentence_case(other.words()));
                }
            });
            seen.player = Some(*view);
        }
        ui.add_space(4.0);
        self.file_ui(ui);
    }

    fn passage_ui(&mut self, ui: &mut Ui, now: &Now) {
        Grid::new("passage").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
            let label = ui.label("Bars");
            ui.add(TextEdit::singleline(&mut self.bars).desired_width(120.0)).labelled_by(label.id);
            ui.end_row();
            let label = ui.label("Tempo");
            let (least, most) = TEMPO_SHARE;
            let mut percent = 100.0 * self.tempo.unwrap_or(now.lesson().setup.tempo_share);
            let field = DragValue::new(&mut percent).range(100.0 * least..=100.0 * most).max_decimals(0);
            let field = ui.add(field.suffix(" % of the marked one")).labelled_by(label.id);
            if field.changed() {
                self.tempo = Some(percent / 100.0);
            }
            ui.end_row();
            let label = ui.label("Waits at the start");
            let field = DragValue::new(&mut self.pause_s).range(PAUSES_S).speed(0.1).suffix(" s");
            ui.add(field).labelled_by(label.id);
            ui.end_row();
        });
    }

    fn levels_ui(&mut self, ui: &mut Ui, now: &Now) {
        let fan = &now.analysis().arm_path.fan;
        ui.horizontal_wrapped(|ui| {
            ui.label("From level to level");
            for (index, level) in (0_u8..).zip(fan.all()) {
                if ui.selectable_label(self.levels.contains(&index), &level.name).clicked() {
                    match self.levels.iter().position(|other| *other == index) {
                        Some(place) => drop(self.levels.remove(place)),
                        None => self.levels.push(index),
                    }
                }
            }
        });
        let name = |level: &u8| fan.level(Plane::of_index(usize::from(*level))).name.clone();
        let names: Vec<String> = self.levels.iter().map(name).collect();
        ui.weak(match names.len() {
            0 => "Choose a level".to_owned(),
            1 => format!("On {} from frog to tip and back", names[0]),
            _ => format!("{}, and back", names.join(", ")),
        });
        Grid::new("levels").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
            let label = ui.label("One way takes");
            let field =
                DragValue::new(&mut self.way_s).range(WAYS_S).speed(0.05).max_decimals(1).suffix(" s");
            ui.add(field).labelled_by(label.id);
            ui.end_row();
            if self.levels.len() > 1 {
                ui.label("On the bow");
                ui.horizontal(|ui| {
                    for (share, words) in [(0.0, "frog"), (0.5, "middle"), (1.0, "tip")] {
                        ui.selectable_value(&mut self.hair_share, share, words);
                    }
                });
                ui.end_row();
            }
        });
    }

    fn file_ui(&mut self, ui: &mut Ui) {
        ui.separator();
        Grid::new("file").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
            ui.label("File");
            ui.vertical(|ui| {
                let kinds = [
                    (Kind::Gif, "GIF, for a message"),
                    (Kind::Apng, "PNG that moves"),
                    (Kind::Frames, "Single frames, for a video editor"),
                ];
                for (kind, words) in kinds {
                    if ui.radio_value(&mut self.kind, kind, words).clicked() {
                        self.is_clear = kind == Kind::Frames;
                    }
                }
            });
            ui.end_row();
            let label = ui.label("Size");
            ui.horizontal(|ui| {
                let field = TextEdit::singleline(&mut self.size).desired_width(110.0);
                ui.add(field).labelled_by(label.id);
                choice(ui, "usual sizes", "", "usual".to_owned(), 80.0, |ui| {
                    for (words, (wide, high)) in SIZES {
                        if ui.button(words).clicked() {
                            self.size = format!("{wide}x{high}");
                            ui.close();
                        }
                    }
                });
            });
            ui.end_row();
            let label = ui.label("Frames a second");
            ui.add(DragValue::new(&mut self.rate).range(RATES)).labelled_by(label.id);
            ui.end_row();
            ui.label("");
            ui.horizontal_wrapped(|ui| {
                if self.kind != Kind::Frames {
                    ui.checkbox(&mut self.loops, "Begins again");
                }
                if self.kind != Kind::Gif {
                    ui.checkbox(&mut self.is_clear, "Clear ground");
                } else {
                    self.is_clear = false;
                }
                ui.checkbox(&mut self.is_dark, "Dark");
            });
            ui.end_row();
        });
    }
}
