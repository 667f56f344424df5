//! The window of the piece and its bars: title, metre, key, clef, upbeat, tempo, number of bars. All of
//! it is typed, and read as players write it.

use egui::{Button, Context, Grid, Key, Modal, Modifiers, Ui};

use crate::{
    desk::{
        command::{Command, Wish},
        widgets::{
            theme::bold,
            typed::{begin_in, typed_ui},
        },
    },
    lesson::{Edit, EditError, Lesson, change},
    score::{
        Clef, NoteValue, Quarters, Score, SignKind, TimeSignature, TypedTempo, key_from_words, key_words,
        sentence_case,
    },
    setup::Family,
};

/// Usual answers; any other that can be read may be typed.
const METRES: [&str; 10] = ["2/4", "3/4", "4/4", "C", "2/2", "cut C", "3/8", "6/8", "9/8", "12/8"];
const UPBEATS: [&str; 7] = ["none", "16th", "eighth", "quarter", "dotted quarter", "half", "dotted half"];
const TEMPOS: [&str; 6] =
    ["Largo 50", "Adagio 66", "Andante 80", "Moderato 100", "Allegro 126", "Presto 176"];
const ENDINGS: [&str; 3] = ["1", "2", "1, 2"];
const JUMPS: [&str; 6] = ["D.C. al Fine", "D.C. al Coda", "D.S. al Fine", "D.S. al Coda", "To Coda", "Fine"];
const BARS: [&str; 6] = ["4", "8", "12", "16", "24", "32"];

/// The window, when it is open.
#[derive(Default)]
pub struct PieceWindow {
    form: Option<Form>,
}

/// What is typed in, from one bar on.
#[derive(Clone)]
struct Form {
    bar: usize,
    typed: Fields,
    /// As the lesson has it.
    was: Fields,
    /// The first field has had the focus.
    begun: bool,
    /// It is being done.
    is_asked: bool,
    refused: Option<EditError>,
}

/// The texts of the fields.
#[derive(Clone, Default, PartialEq)]
struct Fields {
    title: String,
    instrument: String,
    metre: String,
    key: String,
    clef: String,
    upbeat: String,
    tempo: String,
    mark: String,
    repeat: (bool, bool),
    ending: String,
    jump: String,
    /// Segno, and coda.
    signs: (bool, bool),
    bars: String,
}

impl PieceWindow {
    /// Opens the window for a bar and what follows it.
    pub fn open(&mut self, lesson: &Lesson, bar: usize) {
        let typed = Fields::of(lesson, bar);
        self.form =
            Some(Form { bar, was: typed.clone(), typed, begun: false, is_asked: false, refused: None });
    }

    /// It waits for an answer.
    pub fn is_open(&self) -> bool {
        self.form.is_some()
    }

    /// Shows the window.
    pub fn show(&mut self, ctx: &Context, lesson: &Lesson, commands: &mut Vec<Command>) {
        let Some(form) = &mut self.form else { return };
        let mut wanted = false;
        let mut closed = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        Modal::new(egui::Id::unique("piece")).show(ctx, |ui| {
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.heading("Piece and bars");
            ui.weak("Type, or go through the usual answers with the up and down arrows. Tab goes on, Enter is done.");
            ui.add_space(6.0);
            let enter = form.fields_ui(ui, lesson);
            if let Some(why) = &form.refused {
                ui.colored_label(ui.visuals().warn_fg_color, why.to_string());
            }
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                wanted = ui.add(Button::new("Done")).clicked() || enter;
                closed |= ui.button("Cancel").clicked();
            });
        });
        if wanted && !form.is_asked {
            form.is_asked = true;
            let form = form.clone();
            commands.push(Command::Piece(Wish::new(move |lesson| form.edit(lesson))));
        }
        if closed {
            self.form = None;
        }
    }

    /// Takes in whether what was typed could be done; then there is nothing more to ask.
    pub fn take(&mut self, done: Result<bool, EditError>) {
        match (&mut self.form, done) {
            (Some(form), Err(why)) => (form.refused, form.is_asked) = (Some(why), false),
            (form, _) => *form = None,
        }
    }
}

impl Fields {
    fn of(lesson: &Lesson, index: usize) -> Self {
        let score = &lesson.score;
        let Some(bar) = score.bars.get(index) else { return Self::default() };
        let here = |is_one: fn(&SignKind) -> bool| {
            score.signs.iter().find(|sign| sign.at == bar.start && is_one(&sign.kind)).map(|sign| &sign.kind)
        };
        let tempo = match here(|kind| matches!(kind, SignKind::Tempo { .. })) {
            Some(SignKind::Tempo { qpm, text }) if text.trim().is_empty() => {
                format!("{:.0}", qpm / bar.time.beat().to_f64())
            }
            Some(SignKind::Tempo { text, .. }) => text.clone(),
            _ => String::new(),
        };
        let mark = match here(|kind| matches!(kind, SignKind::Rehearsal(_))) {
            Some(SignKind::Rehearsal(mark)) => mark.clone(),
            _ => String::new(),
        };
        let upbeat = score.bars.first().filter(|first| first.pickup);
        let upbeat =
            upbeat.map(|bar| NoteValue::of_length(bar.length).map_or(String::new(), NoteValue::words));
        Self {
            title: score.title.clone(),
            instrument: lesson.setup.instrument.family.word().to_owned(),
            metre: bar.time.words(),
            key: key_words(bar.key).split(" or ").next().unwrap_or_default().to_owned(),
            clef: score.clef_at(bar.start).words(),
            upbeat: upbeat.unwrap_or_else(|| "none".to_owned()),
            tempo,
            mark,
            repeat: (bar.repeat_start, bar.repeat_end),
            ending: bar.ending.clone().unwrap_or_default(),
            jump: change::jump_words(lesson, index),
            signs: (bar.jumps.segno, bar.jumps.coda),
            bars: full_bars(score).to_string(),
        }
    }

    fn family(&self) -> Result<Family, String> {
        let word = self.instrument.trim().to_lowercase();
        let family = Family::ALL.into_iter().find(|family| family.word() == word);
        let double = matches!(word.as_str(), "bass" | "contrabass").then_some(Family::DoubleBass);
        family.or(double).ok_or_else(|| "violin, viola, cello or double bass".to_owned())
    }

    fn time(&self) -> Result<TimeSignature, String> {
        TimeSignature::from_words(&self.metre).ok_or_else(|| "such as 3/4, 6/8, 3+2/8, C or cut C".to_owned())
    }

    fn key(&self) -> Result<i8, String> {
        key_from_words(&self.key).ok_or_else(|| "such as B flat, g minor, 2 flats or none".to_owned())
    }

    fn clef(&self) -> Result<Clef, String> {
        Clef::from_words(&self.clef).ok_or_else(|| "treble, alto, tenor or bass".to_owned())
    }

    fn upbeat(&self) -> Result<Option<Quarters>, String> {
        match self.upbeat.trim() {
            "" | "none" | "0" => Ok(None),
            text => NoteValue::from_words(text)
                .map(|value| Some(value.length()))
                .ok_or_else(|| "such as quarter, dotted quarter or 3/8".to_owned()),
        }
    }

    /// None where the tempo before goes on.
    fn tempo(&self) -> Result<Option<TypedTempo>, String> {
        if self.tempo.trim().is_empty() {
            return Ok(None);
        }
        let beat = self.time().unwrap_or_default().beat();
        let tempo = TypedTempo::new(&self.tempo, beat);
        tempo.map(Some).ok_or_else(|| "beats a minute, such as 96 or Andante 72".to_owned())
    }

    fn bars(&self) -> Result<usize, String> {
        let most = change::MOST_NEW_BARS;
        let bars = self.bars.trim().parse().ok().filter(|bars| (1..=most).contains(bars));
        bars.ok_or_else(|| format!("a number from 1 to {most}"))
    }
}

impl Form {
    /// Draws the fields; true when Enter was pressed in one of them.
    fn fields_ui(&mut self, ui: &mut Ui, lesson: &Lesson) -> bool {
        let texts = |all: &[&str]| all.iter().map(|text| (*text).to_owned()).collect::<Vec<_>>();
        let is_start = self.bar == 0;
        let place = lesson.score.bars.get(self.bar).map_or(Quarters::ZERO, |bar| bar.start);
        let place = sentence_case(&format!("from {} on", lesson.score.place(place).bar_words()));
        let is_empty = has_no_notes(lesson);
        let begun = std::mem::replace(&mut self.begun, true);
        let (fields, mut enter) = (&mut self.typed, false);
        let mut row = |ui: &mut Ui, label: &str, text: &mut String, usual: &[String], told| {
            let field = typed_ui(ui, label, text, usual, told);
            // Wish before the field takes the focus, or it would seem never to have lost it.
            enter |= field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
            field
        };
        Grid::new("piece").num_columns(3).spacing([10.0, 6.0]).show(ui, |ui| {
            let title = row(ui, "Title", &mut fields.title, &[], Ok(String::new()));
            if !begun {
                begin_in(ui, &title, &fields.title);
            }
            if is_empty {
                let before = fields.family();
                let usual = Family::ALL.map(|family| family.word().to_owned());
                row(ui, "Instrument", &mut fields.instrument, &usual, before.clone().map(|_| String::new()));
                // Another instrument has another clef.
                if let Some(family) = fields.family().ok().filter(|family| before.as_ref() != Ok(family)) {
                    fields.clef = change::usual_clef(family).words();
                }
            }
            let told = fields.bars().map(|_| "in all, without the upbeat; more come as you type".to_owned());
            row(ui, "Bars", &mut fields.bars, &texts(&BARS), told);
            ui.label(bold(if is_start { "From the start" } else { &place }));
            ui.end_row();
            let told = fields.time().map(|_| String::new());
            row(ui, "Metre", &mut fields.metre, &texts(&METRES), told);
            let told = fields.key().map(signature_words);
            let keys: Vec<String> = (-7..=7).map(|key| major(&key_words(key))).collect();
            row(ui, "Key", &mut fields.key, &keys, told);
            let told = fields.clef().map(|_| String::new());
            row(ui, "Clef", &mut fields.clef, &Clef::NAMED.map(|(name, _)| name.to_owned()), told);
            if is_start {
                let told = fields.upbeat().map(|_| String::new());
                row(ui, "Upbeat", &mut fields.upbeat, &texts(&UPBEATS), told);
            }
            let told = fields.tempo().map(|tempo| tempo.map_or(as_before(is_start), |tempo| tempo.text));
            row(ui, "Tempo", &mut fields.tempo, &texts(&TEMPOS), told);
            row(ui, "Rehearsal mark", &mut fields.mark, &[], Ok(String::new()));
            ui.label("Repeat");
            ui.checkbox(&mut fields.repeat.0, "begins here");
            ui.checkbox(&mut fields.repeat.1, "ends with this bar");
            ui.end_row();
            row(ui, "Ending", &mut fields.ending, &texts(&ENDINGS), Ok("over this bar".to_owned()));
            row(ui, "Jump", &mut fields.jump, &texts(&JUMPS), Ok("after this bar".to_owned()));
            ui.label("Signs");
            ui.checkbox(&mut fields.signs.0, "segno here");
            ui.checkbox(&mut fields.signs.1, "the coda begins here");
            ui.end_row();
        });
        enter
    }

    /// All that was changed, as one step.
    fn edit(&self, lesson: &Lesson) -> Result<Edit, EditError> {
        let (typed, was) = (&self.typed, &self.was);
        let refused = |field: &str, why: String| EditError(format!("{field}: {why}"));
        let mut new = lesson.clone();
        let take = |new: &mut Lesson, edit: Edit| -> Result<(), EditError> {
            *new = edit.apply(new)?.0;
            Ok(())
        };
        if typed.title != was.title {
            take(&mut new, change::set_title(&typed.title))?;
        }
        if typed.instrument != was.instrument {
            let family = typed.family().map_err(|why| refused("Instrument", why))?;
            let edit = change::set_family(&new, family)?;
            take(&mut new, edit)?;
        }
        if typed.metre != was.metre {
            let time = typed.time().map_err(|why| refused("Metre", why))?;
            let edit = change::set_metre(&new, self.bar, &time)?;
            take(&mut new, edit)?;
        }
        if typed.upbeat != was.upbeat {
            let upbeat = typed.upbeat().map_err(|why| refused("Upbeat", why))?;
            let edit = change::set_upbeat(&new, upbeat)?;
            take(&mut new, edit)?;
        }
        if typed.key != was.key {
            let key = typed.key().map_err(|why| refused("Key", why))?;
            let edit = change::set_key(&new, self.bar, key)?;
            take(&mut new, edit)?;
        }
        // A new metre makes more or fewer bars of an empty passage; as many are wanted as stand here.
        if typed.bars != was.bars || has_no_notes(lesson) {
            let bars = typed.bars().map_err(|why| refused("Bars", why))?;
            if let Some(edit) = with_bars(&new, bars)? {
                take(&mut new, edit)?;
            }
        }
        self.signs(&mut new)?;
        Ok(Edit::between("Piece and bars", lesson, &new))
    }

    /// Clef, tempo, rehearsal mark, repeat, ending and jump at the bar.
    fn signs(&self, new: &mut Lesson) -> Result<(), EditError> {
        let (typed, was) = (&self.typed, &self.was);
        let at = new.score.bars.get(self.bar).map_or(Quarters::ZERO, |bar| bar.start);
        let mut edits = Vec::new();
        if typed.clef != was.clef {
            let clef = typed.clef().map_err(|why| EditError(format!("Clef: {why}")))?;
            edits.push(change::set_clef(new, at, Some(clef))?);
        }
        // A number counts beats of the metre: with another metre it is read again. In an empty passage it is
        // to be printed as it stands.
        let is_begun = self.bar == 0 && (typed.metre != was.metre || has_no_notes(new));
        if typed.tempo != was.tempo || is_begun {
            let tempo = typed.tempo().map_err(|why| EditError(format!("Tempo: {why}")))?;
            let before = new.score.tempo_map().qpm_at(at);
            let tempo = tempo.as_ref().map(|tempo| (tempo.qpm.unwrap_or(before), tempo.text.as_str()));
            edits.push(change::set_tempo(new, at, tempo)?);
        }
        if typed.mark != was.mark {
            edits.push(change::set_rehearsal(new, at, &typed.mark)?);
        }
        for edit in edits {
            *new = edit.apply(new)?.0;
        }
        if typed.repeat != was.repeat {
            let edit = change::set_repeat(new, self.bar, typed.repeat.0, typed.repeat.1)?;
            *new = edit.apply(new)?.0;
        }
        if typed.ending != was.ending {
            *new = change::set_ending(new, self.bar, &typed.ending)?.apply(new)?.0;
        }
        if (typed.signs, &typed.jump) != (was.signs, &was.jump) {
            *new = change::set_jumps(new, self.bar, typed.signs, &typed.jump)?.apply(new)?.0;
        }
        Ok(())
    }
}

/// The lesson with as many full bars; those that go must be empty.
fn with_bars(lesson: &Lesson, wanted: usize) -> Result<Option<Edit>, EditError> {
    let score = &lesson.score;
    let (all, now) = (score.bars.len(), full_bars(score));
    if wanted > now {
        return change::insert_bars(lesson, all, wanted - now).map(Some);
    }
    let from = all - (now - wanted);
    let Some(first) = score.bars.get(from) else { return Ok(None) };
    if score.events.iter().any(|event| !event.is_rest() && event.end() > first.start) {
        let words = score.place(first.start).bar_words();
        return Err(EditError(format!("Bars: there are notes from {words} on; delete those bars first")));
    }
    change::delete_bars(lesson, from..all).map(Some)
}

fn full_bars(score: &Score) -> usize {
    score.bars.iter().filter(|bar| !bar.pickup).count()
}

fn has_no_notes(lesson: &Lesson) -> bool {
    lesson.score.events.iter().all(|event| event.is_rest())
}

fn major(both: &str) -> String {
    both.split(" or ").next().unwrap_or_default().to_owned()
}

/// "2 flats".
fn signature_words(key: i8) -> String {
    match key {
        0 => "no sharps or flats".to_owned(),
        1 => "1 sharp".to_owned(),
        -1 => "1 flat".to_owned(),
        2.. => format!("{key} sharps"),
        _ => format!("{} flats", -key),
    }
}

fn as_before(is_start: bool) -> String {
    if is_start { String::new() } else { "as before".to_owned() }
}
