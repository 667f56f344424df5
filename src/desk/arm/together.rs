//! Notes that sound together, large in the middle: any two to four notes, how they lie under the hand
//! and the bow, and what would work where they cannot be played.

use egui::{Button, ComboBox, DragValue, Label, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};

use crate::{
    analysis::{Analysis, BowState},
    arm::{Together, together},
    lesson::{Lesson, change},
    picture::{self, Ink, TogetherView},
    practice::{double_stop_ladder, double_stops},
    score::{Dynamic, Dynamics, EventId, Note, NoteValue, Pitch, sentence_case},
    setup::WeightForTwo,
    tone::{Core, StringShare, shared_weight},
};

use crate::desk::{
    command::{Action, Command},
    file::windows::Then,
    state::view::View,
    widgets::painter::{Scale, ScreenPainter, colour},
    widgets::signs::{sign_ui, verdict_sign},
    widgets::theme::{Look, bold},
};

/// Least and most notes taken together.
const FEWEST: usize = 2;
const MOST: usize = 4;
/// Half steps above the highest open string that can be chosen. Assumed: two octaves and a half.
const HIGHEST: i32 = 30;
/// Width of the drawing, mm, and the room it keeps for the words above it as a part of the height.
const WIDTH_MM: f64 = 150.0;
/// Half steps up and down listed to choose from, and the height of that list, points.
const NEAR: i32 = 7;
const LIST_HEIGHT: f32 = 420.0;
/// Longest chord, s.
const LONGEST_S: f64 = 20.0;

/// The notes that are looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct TogetherDesk {
    /// The notes, lowest first.
    notes: Vec<Note>,
    /// Where in the music they come from; none once one of them was changed.
    place: Option<EventId>,
    /// How long a chord sounds, s.
    seconds: f64,
    /// How loud.
    dynamic: Dynamic,
    /// Which of its bow planes is shown, counted from the first.
    plane: usize,
}

impl Default for TogetherDesk {
    fn default() -> Self {
        Self { notes: Vec::new(), place: None, seconds: 1.0, dynamic: Dynamic::Mf, plane: 0 }
    }
}

impl TogetherDesk {
    /// Looks at what is chosen, else at what sounds now, else at the nearest double stop from there
    /// on; without any at the two strings in the middle.
    pub fn open(&mut self, lesson: &Lesson, analysis: &Analysis, view: &View, now: Option<usize>) {
        let chosen = view.chosen_notes(analysis).into_iter().find(|attack| attack.notes.len() >= FEWEST);
        let chosen = chosen.map(|attack| attack.id());
        let from = now.unwrap_or(analysis.line.notes.len());
        let next = places(analysis).into_iter().find(|(index, _)| *index >= from).map(|(_, id)| id);
        match chosen.or(next).or(self.place).or_else(|| places(analysis).last().map(|(_, id)| *id)) {
            Some(id) => self.take(lesson, analysis, id),
            None if self.notes.is_empty() => {
                let strings = &lesson.setup.instrument.strings;
                let middle = strings.len() / 2;
                let pair = strings.iter().skip(middle.saturating_sub(1)).take(2).rev();
                self.set(pair.map(|string| Note::new(string.pitch)).collect());
            }
            None => {}
        }
    }

    /// Takes the notes of an attack.
    fn take(&mut self, lesson: &Lesson, analysis: &Analysis, id: EventId) {
        let Some(index) = analysis.line.notes.iter().position(|attack| attack.id() == id) else { return };
        let attack = &analysis.line.notes[index];
        self.set(attack.notes.clone());
        self.place = Some(id);
        let seconds = analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset);
        self.seconds = seconds.clamp(0.05, LONGEST_S);
        let level = Dynamics::new(&lesson.score).level(attack.onset.to_f64()).round();
        self.dynamic = Dynamic::ALL[(level.max(0.0) as usize).min(Dynamic::ALL.len() - 1)];
    }

    fn set(&mut self, mut notes: Vec<Note>) {
        notes.truncate(MOST);
        notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        (self.notes, self.place) = (notes, None);
    }

    /// What is known of them.
    fn look(&self, lesson: &Lesson) -> Together {
        together(&lesson.setup, &self.notes, self.seconds)
    }

    /// The level of the bow that is shown, by its index.
    pub fn level(&self, lesson: &Lesson) -> Option<usize> {
        let found = self.look(lesson);
        let pairs = if found.problem.is_some() { Vec::new() } else { found.pairs };
        pairs.get(self.plane.min(pairs.len().saturating_sub(1))).map(|pair| pair.plane.index())
    }
}

/// All double stops and chords of the music: index into the line, and identity.
fn places(analysis: &Analysis) -> Vec<(usize, EventId)> {
    let several = analysis.line.notes.iter().enumerate().filter(|(_, attack)| attack.notes.len() >= FEWEST);
    several.map(|(index, attack)| (index, attack.id())).collect()
}

/// Draws the notes, what is to say of them, and the picture.
pub fn together_ui(
    ui: &mut Ui,
    (lesson, analysis): (&Lesson, &Analysis),
    desk: &mut TogetherDesk,
    (bow, look): (&BowState, Look),
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    places_ui(ui, lesson, analysis, desk, commands);
    ui.horizontal_wrapped(|ui| notes_ui(ui, lesson, desk));
    let found = desk.look(lesson);
    ui.horizontal_wrapped(|ui| {
        sound_ui(ui, desk);
        ui.separator();
        write_ui(ui, lesson, desk, &found, commands);
        exercise_ui(ui, lesson, analysis, desk, commands);
    });
    desk.plane = desk.plane.min(found.pairs.len().saturating_sub(1));
    let shares = shares(lesson, desk, &found);
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        said_ui(ui, lesson, desk, &found, &shares, look);
        ui.add_space(4.0);
        let Some(pair) = found.pairs.get(desk.plane) else { return };
        let state = BowState { plane: pair.plane, level_deg: pair.angle_deg, on_string: true, ..*bow };
        let room = ui.available_size();
        let width = room.x.min(room.y.max(200.0) * 1.45);
        let drawing = picture::together(
            lesson,
            analysis,
            &TogetherView { together: &found, shares: &shares, state: &state, width_mm: WIDTH_MM },
        );
        let points_per_mm = width / WIDTH_MM as f32;
        let size = vec2(room.x, drawing.height_mm as f32 * points_per_mm);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        response.widget_info(|| {
            let words = format!("{} on {}: fingers, bow plane and weight", found.names.join(", "), pair.name);
            WidgetInfo::labeled(Role::Image, true, words)
        });
        if ui.is_rect_visible(rect) {
            let left = rect.left() + (rect.width() - width) / 2.0;
            let scale = Scale { origin: egui::pos2(left, rect.top()), points_per_mm };
            ui.painter_at(rect).extend(painter.shapes(ui.ctx(), &drawing, scale, look.theme(), &|_| None));
        }
    });
}

/// The weight on the strings of the plane that is shown.
fn shares(lesson: &Lesson, desk: &TogetherDesk, found: &Together) -> Vec<StringShare> {
    let Some(pair) = found.pairs.get(desk.plane) else { return Vec::new() };
    let held = found.fingers.iter().zip(&found.heights);
    let on_plane: Vec<(u8, f64)> = held
        .map(|((string, _), height)| (*string, *height))
        .filter(|(string, _)| pair.plane.strings().any(|other| other == *string))
        .collect();
    shared_weight(&lesson.setup, &on_plane, f64::from(desk.dynamic as u8))
}

/// From double stop to double stop of the music, and back to it.
fn places_ui(
    ui: &mut Ui,
    lesson: &Lesson,
    analysis: &Analysis,
    desk: &mut TogetherDesk,
    commands: &mut Vec<Command>,
) {
    let places = places(analysis);
    let here = desk.place.and_then(|id| places.iter().position(|(_, other)| *other == id));
    ui.horizontal_wrapped(|ui| {
        ui.heading("Sounding together");
        let words = match (here, places.len()) {
            (_, 0) => "no double stops in this music".to_owned(),
            (Some(nth), count) => {
                let attack = &analysis.line.notes[places[nth].0];
                format!("{} of {count}, {}", nth + 1, lesson.score.place(attack.onset))
            }
            (None, 1) => "your own notes; one double stop in the music".to_owned(),
            (None, count) => format!("your own notes; {count} double stops in the music"),
        };
        ui.add_enabled_ui(!places.is_empty(), |ui| {
            let last = places.len().saturating_sub(1);
            let before = here.map_or(last, |nth| nth.checked_sub(1).unwrap_or(last));
            let after = here.map_or(0, |nth| if nth == last { 0 } else { nth + 1 });
            for (words, to) in [("Previous", before), ("Next", after)] {
                let hover = "To another double stop or chord of the music";
                if ui.button(words).on_hover_text(hover).clicked() {
                    desk.take(lesson, analysis, places[to].1);
                    commands.push(Command::Note(places[to].1));
                }
            }
        });
        ui.weak(words);
        ui.separator();
        if ui.button("Back to the music").on_hover_text(Action::Together.entry().hover()).clicked() {
            commands.push(Command::Do(Action::Together));
        }
    });
}

/// The notes, each with its pitch and its string.
fn notes_ui(ui: &mut Ui, lesson: &Lesson, desk: &mut TogetherDesk) {
    let strings = &lesson.setup.instrument.strings;
    let flats = lesson.score.bars.first().is_some_and(|bar| bar.key < 0);
    let (Some(low), Some(high)) = (strings.last(), strings.first()) else { return };
    let range = low.pitch.midi() as i32..=high.pitch.midi() as i32 + HIGHEST;
    let mut notes = desk.notes.clone();
    let mut gone = None;
    for (index, note) in notes.iter_mut().enumerate() {
        let now = note.pitch.midi().round() as i32;
        let mut midi = now;
        let order = ["Lowest note", "Second note", "Third note", "Fourth note"][index.min(MOST - 1)];
        for (words, by, hover) in [("–", -1, "Half a step down"), ("+", 1, "Half a step up")] {
            if by > 0 {
                let list =
                    ComboBox::from_id_salt(("note", index)).selected_text(note.pitch.name()).width(58.0);
                let shown = list.height(LIST_HEIGHT).show_ui(ui, |ui| {
                    // Those near by, highest first, all in view.
                    let near = (now - NEAR).max(*range.start())..=(now + NEAR).min(*range.end());
                    for pitch in near.rev() {
                        ui.selectable_value(&mut midi, pitch, Pitch::from_midi(pitch, flats).name());
                    }
                });
                shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, order));
            }
            let possible = range.contains(&(now + by));
            let button = ui.add_enabled(possible, Button::new(words));
            button.widget_info(|| WidgetInfo::labeled(Role::Button, possible, format!("{order}: {hover}")));
            if button.on_hover_text(hover).clicked() {
                midi = now + by;
            }
        }
        if midi != now {
            // Half a step down is a flat, as it is when a note is lowered in writing.
            *note = Note::new(Pitch::from_midi(midi, flats || midi == now - 1));
        }
        let mut string = note.string;
        let words = string.and_then(|n| strings.get(usize::from(n).saturating_sub(1)));
        let words = words.map_or("any string".to_owned(), |string| format!("on {}", string.name));
        let list = ComboBox::from_id_salt(("string of", index)).selected_text(words).width(78.0);
        let shown = list.show_ui(ui, |ui| {
            ui.selectable_value(&mut string, None, "any string");
            for (n, name) in strings.iter().enumerate() {
                ui.selectable_value(&mut string, Some(n as u8 + 1), format!("on {}", name.name));
            }
        });
        shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, format!("{order}, string")));
        if string != note.string {
            (note.string, note.fingers) = (string, Vec::new());
        }
        if desk.notes.len() > FEWEST {
            let button = ui.add(Button::new("×"));
            button.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{order}: leave it out")));
            if button.on_hover_text("Leave it out").clicked() {
                gone = Some(index);
            }
        }
        ui.separator();
        // Four have no room in one row; it is broken between two notes rather than inside one.
        if desk.notes.len() == MOST && index == 1 {
            ui.end_row();
        }
    }
    if let Some(index) = gone {
        notes.remove(index);
    }
    if notes.len() < MOST.min(strings.len()) && ui.button("Add a note").clicked() {
        notes.extend(easiest_above(lesson, &notes, flats));
    }
    if notes != desk.notes {
        desk.set(notes);
    }
}

/// The note above the highest one that is easiest with the others: within an octave, with the hand
/// lowest, and the nearest of those.
fn easiest_above(lesson: &Lesson, notes: &[Note], flats: bool) -> Option<Note> {
    let top = notes.last()?.pitch.midi() as i32;
    let place = |midi: i32| {
        let note = Note::new(Pitch::from_midi(midi, flats));
        let chord: Vec<Note> = notes.iter().cloned().chain([note.clone()]).collect();
        let found = together(&lesson.setup, &chord, 1.0);
        let hand = found.hand.map_or(0, |hand| hand.place);
        found.problem.is_none().then_some((hand, midi, note))
    };
    let above = (top + 3..=top + 12).filter_map(place);
    let easiest = above.min_by_key(|(hand, midi, _)| (*hand, *midi)).map(|(_, _, note)| note);
    easiest.or_else(|| Some(Note::new(Pitch::from_midi(top + 4, flats))))
}

/// How loud, and how long a chord is.
fn sound_ui(ui: &mut Ui, desk: &mut TogetherDesk) {
    let label = ui.label("Loudness");
    let list = ComboBox::from_id_salt("loudness").selected_text(desk.dynamic.mark()).width(48.0);
    let shown = list.show_ui(ui, |ui| {
        for level in Dynamic::ALL {
            ui.selectable_value(&mut desk.dynamic, level, level.mark());
        }
    });
    shown.response.labelled_by(label.id);
    if desk.notes.len() > 2 {
        let label = ui.label("Length");
        let drag = DragValue::new(&mut desk.seconds).range(0.05..=LONGEST_S).speed(0.02).suffix(" s");
        ui.add(drag.max_decimals(2)).labelled_by(label.id);
    }
}

/// The interval and where it lies, or why it cannot be played and what would work.
fn said_ui(
    ui: &mut Ui,
    lesson: &Lesson,
    desk: &mut TogetherDesk,
    found: &Together,
    shares: &[StringShare],
    look: Look,
) {
    let name = |string: u8| {
        let string = lesson.setup.instrument.strings.get(usize::from(string).saturating_sub(1));
        string.map_or("?", |string| &string.name)
    };
    if let Some(problem) = &found.problem {
        ui.horizontal_wrapped(|ui| {
            let ink = colour(look.theme(), Ink::Warn);
            sign_ui(ui, |painter, rect| {
                verdict_sign(painter, rect, crate::bowing::Verdict::Impossible, ink);
            });
            ui.add(Label::new(bold(format!("{problem}."))).wrap());
        });
        ui.horizontal_wrapped(|ui| {
            for way in &found.ways {
                if ui.button(sentence_case(&way.words)).clicked() {
                    desk.set(way.notes.clone());
                }
            }
        });
        return;
    }
    let interval = found.interval.clone().unwrap_or_else(|| {
        let count = ["two", "two", "two", "three", "four"][found.names.len().min(MOST)];
        format!("chord of {count}")
    });
    let held: Vec<String> = found
        .names
        .iter()
        .zip(&found.fingers)
        .map(|(note, (string, finger))| match finger {
            crate::arm::Finger::Open => format!("{note} on the open {} string", name(*string)),
            crate::arm::Finger::Thumb => format!("{note} with the thumb on {}", name(*string)),
            finger => format!("{note} with finger {} on {}", finger.mark(), name(*string)),
        })
        .collect();
    ui.add(Label::new(bold(format!("{}: {}.", sentence_case(&interval), held.join(", ")))).wrap());
    if found.pairs.len() > 1 {
        ui.horizontal_wrapped(|ui| {
            ui.label("Broken from below:");
            for (index, pair) in found.pairs.iter().enumerate() {
                let words = format!("{} for {:.2} s", pair.name.replace('+', " and "), pair.seconds);
                if ui.selectable_label(index == desk.plane, words).clicked() {
                    desk.plane = index;
                }
            }
        });
    }
    ui.add(Label::new(weight_words(lesson, shares, &name)).wrap());
}

/// How the weight is shared, and what to do where a string gets too little or too much.
fn weight_words<'a>(lesson: &Lesson, shares: &[StringShare], name: &dyn Fn(u8) -> &'a str) -> String {
    let [first, rest @ ..] = shares else { return String::new() };
    let alike = rest.iter().all(|share| share.part_words() == first.part_words());
    let mut words = match lesson.setup.school.weight_for_two {
        _ if rest.is_empty() => return String::new(),
        WeightForTwo::SharedArm => "One arm's weight lies on both strings; press no harder".to_owned(),
        WeightForTwo::SamePerString => {
            "Both strings get the arm's weight, about twice as much in all".to_owned()
        }
    };
    if alike {
        words += &format!(": each gets {}.", first.part_words());
    } else {
        let each: Vec<String> = shares
            .iter()
            .map(|share| format!("{} gets {}", name(share.string), share.part_words()))
            .collect();
        words += &format!(": {}.", each.join(", "));
    }
    let with = |core| {
        let names: Vec<&str> =
            shares.iter().filter(|share| share.core() == core).map(|share| name(share.string)).collect();
        (!names.is_empty()).then(|| names.join(" and "))
    };
    if let Some(strings) = with(Core::Thin) {
        words += &format!(
            " {strings} may lose its core: a slower bow, or a little farther from the bridge, needs less."
        );
    }
    if let Some(strings) = with(Core::Pressed) {
        words += &format!(" {strings} would be pressed: lighter, or a faster bow.");
    }
    words
}

/// The way up to these notes, or to all double stops of the music, as an exercise.
fn exercise_ui(
    ui: &mut Ui,
    lesson: &Lesson,
    analysis: &Analysis,
    desk: &TogetherDesk,
    commands: &mut Vec<Command>,
) {
    let hover = "A new lesson: the open pair, each note alone, both fingers down, then both notes";
    let mut practise = |pairs: &[[Note; 2]]| {
        if let Some(exercise) = double_stop_ladder(lesson, pairs) {
            commands.push(Command::Leave(Then::Show(Box::new(exercise))));
        }
    };
    let own: Vec<[Note; 2]> = desk.notes.windows(2).map(|pair| [pair[0].clone(), pair[1].clone()]).collect();
    let possible = double_stop_ladder(lesson, &own).is_some();
    if ui.add_enabled(possible, Button::new("Practise it step by step")).on_hover_text(hover).clicked() {
        practise(&own);
    }
    if places(analysis).len() > 1 && ui.button("Practise all").on_hover_text(hover).clicked() {
        practise(&double_stops(lesson, analysis));
    }
}

/// Writes notes of one's own into the music.
fn write_ui(
    ui: &mut Ui,
    lesson: &Lesson,
    desk: &TogetherDesk,
    found: &Together,
    commands: &mut Vec<Command>,
) {
    let hover = "As a quarter note, after all that is there";
    let possible = desk.place.is_none() && found.problem.is_none();
    let button = ui.add_enabled(possible, Button::new("Write it at the end of the music"));
    if button.on_hover_text(hover).clicked() {
        let pitches: Vec<Pitch> = desk.notes.iter().map(|note| note.pitch).collect();
        let last = lesson.score.events.iter().rev().find(|event| event.voice == 0).map(|event| event.id);
        let edit = change::insert(lesson, last, NoteValue::QUARTER, &pitches);
        commands.push(Command::Edit(Box::new(edit), None));
    }
}
