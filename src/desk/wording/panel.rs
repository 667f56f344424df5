//! The passage in words, as a list that goes along with the music: the phrase that is played with all its sentences,
//! that of the moment strong; the other phrases in a line each.

use egui::{
    Align, CursorIcon, Frame, Label, Response, RichText, Role, ScrollArea, Sense, Stroke, TextStyle,
    TextWrapMode, Ui, WidgetInfo, WidgetText, vec2,
};

use crate::{
    desk::{
        command::{Action, Command, buttons::button},
        state::{now::Now, wording::WordingView},
        widgets::{controls::fold_ui, painter::colour, rows::rows_ui, theme::bold},
    },
    lesson::change,
    picture::Ink,
    practice::{Passage, Phrase, Sentence},
};

/// Room round the words, points.
const MARGIN: f32 = 5.0;

/// What is said of the phrase just now, and whether the music plays.
#[derive(Clone, Copy)]
struct Moment {
    said: Option<usize>,
    is_playing: bool,
}

/// Draws the list.
pub fn wording_ui(
    ui: &mut Ui,
    now: &Now,
    passage: Option<&Passage>,
    is_playing: bool,
    view: &mut WordingView,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(TextStyle::Button);
        button(ui, Action::Stand, commands);
    });
    let Some(passage) = passage else {
        ui.weak("The words are being written…");
        return;
    };
    let phrases = &passage.phrases;
    if phrases.is_empty() {
        ui.label("Nothing here is bowed.");
        return;
    }
    let quarters = now.quarters();
    let here = phrases.partition_point(|phrase| phrase.from.to_f64() <= quarters + 1e-6).saturating_sub(1);
    let follow = view.followed != Some((here, phrases.len()));
    view.followed = Some((here, phrases.len()));
    let said = passage.at(quarters).filter(|(phrase, _)| *phrase == here).map(|(_, sentence)| sentence);
    ScrollArea::vertical().id_salt("wording").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        let height = ui.text_style_height(&TextStyle::Body) + 2.0 * MARGIN;
        let mut row = |ui: &mut Ui, nth: usize| row_ui(ui, now, &phrases[nth], height, commands);
        rows_ui(ui, height, 0..here, &mut row);
        let moment = Moment { said, is_playing };
        let shown = phrase_ui(ui, now, &phrases[here], moment, view, commands);
        if follow {
            shown.scroll_to_me(Some(Align::TOP));
        }
        let mut row = |ui: &mut Ui, nth: usize| row_ui(ui, now, &phrases[nth], height, commands);
        rows_ui(ui, height, here + 1..phrases.len(), &mut row);
    });
}

/// Another phrase in one line.
fn row_ui(ui: &mut Ui, now: &Now, phrase: &Phrase, height: f32, commands: &mut Vec<Command>) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    let words = phrase.words();
    let line = WidgetText::from(RichText::new(format!("{}  {words}", phrase.title)).weak());
    let width = rect.width() - 2.0 * MARGIN;
    let line = line.into_galley(ui, Some(TextWrapMode::Truncate), width, TextStyle::Body);
    ui.painter().galley(rect.min + vec2(MARGIN, MARGIN), line, colour(now.look.theme(), Ink::Text));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, false, &phrase.title));
    let response = response.on_hover_cursor(CursorIcon::PointingHand).on_hover_text(words);
    if response.clicked()
        && let Some(first) = phrase.sentences.first()
    {
        commands.push(Command::Note(first.event));
    }
}

/// The phrase that is played, with all that is said of it.
fn phrase_ui(
    ui: &mut Ui,
    now: &Now,
    phrase: &Phrase,
    Moment { said, is_playing }: Moment,
    view: &mut WordingView,
    commands: &mut Vec<Command>,
) -> Response {
    let theme = now.look.theme();
    let frame = Frame::new()
        .inner_margin(MARGIN)
        .corner_radius(5.0)
        .fill(colour(theme, Ink::Paper))
        .stroke(Stroke::new(1.0, colour(theme, Ink::Pencil)));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 4.0;
        ui.add(Label::new(bold(&phrase.title)).wrap());
        for (nth, sentence) in phrase.sentences.iter().enumerate().filter(|(_, sentence)| sentence.is_said())
        {
            let is_now = said == Some(nth);
            let shown = sentence_ui(ui, now, sentence, is_now);
            if is_now && view.said != said {
                shown.scroll_to_me(None);
            }
            if shown.clicked() {
                commands.push(Command::Note(sentence.event));
            }
            // What the hand is at stays put; while the music plays nothing moves but the strong sentence.
            let typed =
                view.words.as_ref().is_some_and(|(which, _)| *which == (sentence.says.id(), sentence.event));
            if typed || is_now && !is_playing && view.words.is_none() {
                change_ui(ui, sentence, view, commands);
            }
        }
        view.said = said;
        left_out_ui(ui, now, phrase, view, commands);
    });
    shown.response
}

fn sentence_ui(ui: &mut Ui, now: &Now, sentence: &Sentence, is_now: bool) -> Response {
    let words = sentence.words();
    let words = if is_now { bold(words) } else { RichText::new(words) };
    let label = ui.add(Label::new(words).wrap().selectable(false));
    if is_now {
        let ink = colour(now.look.theme(), Ink::Now);
        let rect = label.rect;
        ui.painter().vline(rect.left() - 3.0, rect.y_range(), Stroke::new(2.0, ink));
    }
    if sentence.own.as_ref().is_some_and(|own| own.outdated) {
        let program = format!("The plan has changed since. Now it says: {}", sentence.text);
        ui.add(Label::new(RichText::new("The plan has changed since").weak()).wrap()).on_hover_text(program);
    }
    let id = ui.scope_id().with(("sentence", sentence.says, sentence.event));
    let response = ui.interact(label.rect.expand(2.0), id, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_now, sentence.words()));
    response.on_hover_cursor(CursorIcon::PointingHand)
}

/// Own words, left out, or as it was.
fn change_ui(ui: &mut Ui, sentence: &Sentence, view: &mut WordingView, commands: &mut Vec<Command>) {
    ui.style_mut().override_text_style = Some(TextStyle::Button);
    let mut speak = |words: Option<&str>| {
        commands.push(spoken(sentence, words.map(str::to_owned)));
    };
    let which = (sentence.says.id(), sentence.event);
    if let Some(words) = view.words.as_mut().filter(|words| words.0 == which).map(|words| &mut words.1) {
        let label = ui.weak("Your words in its place");
        let field = egui::TextEdit::multiline(words).desired_rows(2).desired_width(f32::INFINITY);
        let field = ui.add(field).labelled_by(label.id);
        if !field.has_focus() && !field.lost_focus() {
            field.request_focus();
        }
        let mut done = false;
        ui.horizontal(|ui| {
            if ui.button("Use these words").clicked() {
                speak(Some(words));
                done = true;
            }
            done |= ui.button("Cancel").clicked();
        });
        if done || ui.input(|input| input.key_pressed(egui::Key::Escape)) {
            view.words = None;
        }
        return;
    }
    ui.horizontal(|ui| {
        if ui.small_button("Own words…").on_hover_text("Your own words in its place").clicked() {
            view.words = Some((which.clone(), sentence.words().to_owned()));
        }
        let tip = "It is no longer said, here and on the pages; the lesson remembers it";
        if ui.small_button("Leave out").on_hover_text(tip).clicked() {
            speak(Some(""));
        }
        if sentence.own.is_some() && ui.small_button("As it was").clicked() {
            speak(None);
        }
    });
}

/// What the teacher has left out of the phrase, to be said again.
fn left_out_ui(ui: &mut Ui, now: &Now, phrase: &Phrase, view: &mut WordingView, commands: &mut Vec<Command>) {
    let left_out: Vec<&Sentence> = phrase.sentences.iter().filter(|sentence| !sentence.is_said()).collect();
    if left_out.is_empty() {
        return;
    }
    if fold_ui(ui, &format!("{} left out", left_out.len()), view.left_out, now.look) {
        view.left_out = !view.left_out;
    }
    if !view.left_out {
        return;
    }
    for sentence in left_out {
        ui.add(Label::new(RichText::new(&sentence.text).weak()).wrap());
        if ui.small_button("Say it again").clicked() {
            commands.push(spoken(sentence, None));
        }
    }
}

/// Asks for other words in the place of a sentence, or for the sentence as it was.
fn spoken(sentence: &Sentence, words: Option<String>) -> Command {
    let (id, event, text) = (sentence.says.id(), sentence.event, sentence.text.clone());
    Command::edit(move |lesson| change::speak(lesson, &id, event, &text, words.as_deref()))
}
