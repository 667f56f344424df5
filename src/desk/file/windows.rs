//! The windows that ask about files before anything else goes on.

use std::{path::PathBuf, sync::Arc};

use strum::VariantArray as _;

use egui::{Button, Context, Key, Modal, Modifiers, ScrollArea, TextEdit, Ui, Window};

use crate::{
    bowing::Density,
    exchange::musicxml::{Besides, Document, Places},
    picture::film::Kind,
};

use crate::desk::{
    state::files::{Files, Purpose, Question, Then},
    widgets::controls::choice,
};

/// What was answered in one of the windows.
#[derive(Debug)]
pub enum Answer {
    /// Save first, then go on.
    SaveThen(Then),
    /// Go on without saving.
    GoOn(Then),
    /// A path was typed.
    Path(Purpose, PathBuf),
    /// Write a score with this over its staff.
    Besides(Purpose, Besides),
    /// Read this part of the document.
    Part(PathBuf, Arc<Document>, usize),
    /// Overwrite an existing file.
    Replace(Purpose, PathBuf),
    /// Show what this file holds now beside the lesson.
    Compare(PathBuf),
    /// Save under another name.
    SaveBeside,
    /// Write the score, with the other parts following.
    AllParts(PathBuf),
}

/// What came of a window in this frame.
enum Reply {
    Waits,
    Cancelled,
    Said(Choice),
}

/// What was chosen in a window.
#[derive(Clone, Copy)]
enum Choice {
    GoOn,
    SaveFirst,
    Compare,
    Beside,
}

/// Shows the window that asks; gives the answer, once.
pub fn question_ui(ctx: &Context, files: &mut Files, title: &str) -> Option<Answer> {
    let mut question = files.question.take()?;
    let escape = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
    let reply = match &mut question {
        _ if escape => Reply::Cancelled,
        Question::Leave(_) => leave_ui(ctx, title),
        Question::Path(purpose, typed) => path_ui(ctx, *purpose, typed),
        Question::Part(_, document, choice) => part_ui(ctx, document, choice),
        Question::Besides(_, besides) => besides_ui(ctx, besides),
        Question::Replace(purpose, path) => replace_ui(ctx, *purpose, path),
        Question::AllParts(_, why) => all_parts_ui(ctx, why),
        Question::Changed(path) => changed_ui(ctx, path),
    };
    match reply {
        Reply::Waits => files.question = Some(question),
        Reply::Cancelled => files.after_saving = None,
        Reply::Said(choice) => {
            return Some(match question {
                Question::Leave(then) if matches!(choice, Choice::SaveFirst) => Answer::SaveThen(then),
                Question::Leave(then) => Answer::GoOn(then),
                Question::Path(purpose, typed) => Answer::Path(purpose, PathBuf::from(typed.trim())),
                Question::Part(path, document, part) => Answer::Part(path, document, part),
                Question::Besides(purpose, besides) => Answer::Besides(purpose, besides),
                Question::Replace(purpose, path) => Answer::Replace(purpose, path),
                Question::AllParts(path, _) => Answer::AllParts(path),
                Question::Changed(path) => match choice {
                    Choice::Compare => Answer::Compare(path),
                    Choice::Beside => Answer::SaveBeside,
                    Choice::GoOn | Choice::SaveFirst => Answer::Replace(Purpose::Save, path),
                },
            });
        }
    }
    None
}

fn leave_ui(ctx: &Context, title: &str) -> Reply {
    let mut reply = Reply::Waits;
    asking("Unsaved changes", ctx, |ui| {
        ui.label(format!("“{title}” has changes that are not saved."));
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            if ui.button("Save").clicked() {
                reply = Reply::Said(Choice::SaveFirst);
            }
            if ui.button("Discard changes").clicked() {
                reply = Reply::Said(Choice::GoOn);
            }
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn path_ui(ctx: &Context, purpose: Purpose, typed: &mut String) -> Reply {
    let (heading, verb) = match purpose {
        Purpose::Open => ("Open a file", "Open"),
        Purpose::Book => ("A folder for the lesson book", "Use it"),
        Purpose::Save => ("Save the lesson", "Save"),
        Purpose::Pages => ("Save pages as PDF", "Save"),
        Purpose::Handout => ("Save the handout as PDF", "Save"),
        Purpose::Block(_) => ("Save the block as a picture", "Save"),
        Purpose::Film => ("Save the moving picture", "Save"),
        Purpose::Track => ("Save the practice track", "Save"),
        Purpose::Score | Purpose::NewScore => ("Write the score", "Write"),
    };
    let mut reply = Reply::Waits;
    asking(heading, ctx, |ui| {
        let what = if purpose == Purpose::Book { "folder" } else { "file" };
        ui.label(format!("There is no file dialog on this machine. Type or paste the path of the {what}."));
        let label = ui.label("Path");
        let edit = ui.add(TextEdit::singleline(typed).desired_width(440.0)).labelled_by(label.id);
        // Asked before the field takes the focus back, or it would seem never to have lost it.
        let enter = edit.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if ui.memory(|memory| memory.focused().is_none()) {
            edit.request_focus();
        }
        ui.horizontal(|ui| {
            let ready = !typed.trim().is_empty();
            if (ui.add_enabled(ready, Button::new(verb)).clicked() || enter) && ready {
                reply = Reply::Said(Choice::GoOn);
            }
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn besides_ui(ctx: &Context, besides: &mut Besides) -> Reply {
    let mut reply = Reply::Waits;
    asking("Write the score", ctx, |ui| {
        ui.label("Slurs, bow marks, fingers, strings, marks, dynamics and words of the lesson go into the score. What else is to stand over its staff?");
        ui.add_space(6.0);
        choice(ui, "places", "Places on the bow", besides.places.words().to_owned(), 260.0, |ui| {
            for places in Places::ALL {
                ui.selectable_value(&mut besides.places, places, places.words());
            }
        });
        choice(ui, "pencil", "Pencil marks", besides.pencil.words().to_owned(), 260.0, |ui| {
            for pencil in Density::VARIANTS {
                ui.selectable_value(&mut besides.pencil, *pencil, pencil.words());
            }
        });
        ui.weak("Places that were written so before are replaced.");
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            if ui.button("Choose the file…").clicked() {
                reply = Reply::Said(Choice::GoOn);
            }
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn replace_ui(ctx: &Context, purpose: Purpose, path: &std::path::Path) -> Reply {
    let mut reply = Reply::Waits;
    asking("The file exists already", ctx, |ui| {
        ui.label(path.display().to_string());
        if purpose == Purpose::Film && Kind::of_ending(path) == Some(Kind::Frames) {
            ui.label("There are numbered frames of that name. An earlier film of them is removed before the new one is written.");
        }
        ui.horizontal(|ui| {
            if ui.button("Replace it").clicked() {
                reply = Reply::Said(Choice::GoOn);
            }
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn all_parts_ui(ctx: &Context, why: &str) -> Reply {
    let mut reply = Reply::Waits;
    asking("Other bars than in the score", ctx, |ui| {
        ui.label(why);
        ui.label("Bars that come are bars of rest in the other parts; bars that go are cut out of them too.");
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            if ui.button("Do so in all parts").clicked() {
                reply = Reply::Said(Choice::GoOn);
            }
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn changed_ui(ctx: &Context, path: &std::path::Path) -> Reply {
    let mut reply = Reply::Waits;
    asking("The file has changed on the disk", ctx, |ui| {
        ui.label(path.display().to_string());
        ui.label(
            "Another window or program has written it since it was opened here. Your lesson is not saved yet.",
        );
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let mut button = |words: &str, tip: &str, choice| {
                if ui.button(words).on_hover_text(tip).clicked() {
                    reply = Reply::Said(choice);
                }
            };
            button("Compare", "Shows what is on the disk beside your lesson; saves nothing", Choice::Compare);
            button("Save beside it…", "Keeps both, yours under another name", Choice::Beside);
            let tip = "What is on the disk stays among the versions of the lesson";
            button("Replace it", tip, Choice::GoOn);
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn part_ui(ctx: &Context, document: &Document, choice: &mut usize) -> Reply {
    let mut reply = Reply::Waits;
    let pressed = |key| ctx.input_mut(|input| input.consume_key(egui::Modifiers::NONE, key));
    let last = document.parts().len().saturating_sub(1);
    if pressed(Key::ArrowDown) {
        *choice = (*choice + 1).min(last);
    }
    if pressed(Key::ArrowUp) {
        *choice = choice.saturating_sub(1);
    }
    asking("Which part?", ctx, |ui| {
        ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
            for part in document.parts() {
                let instrument = part.instrument.map_or("", |family| family.word());
                let words = format!(
                    "{} {}   {} bars, {} notes{}{instrument}",
                    part.index + 1,
                    part.name.replace('\n', " "),
                    part.bars,
                    part.notes,
                    if instrument.is_empty() { "" } else { ", " },
                );
                let is_chosen = *choice == part.index;
                let shown = ui.radio_value(choice, part.index, words);
                if is_chosen {
                    shown.scroll_to_me(None);
                }
            }
        });
        ui.horizontal(|ui| {
            let enter = ui.input(|input| input.key_pressed(Key::Enter));
            if ui.button("Read this part").clicked() || enter {
                reply = Reply::Said(Choice::GoOn);
            }
            cancel_ui(ui, &mut reply);
        });
    });
    reply
}

fn cancel_ui(ui: &mut Ui, reply: &mut Reply) {
    if ui.button("Cancel").clicked() {
        *reply = Reply::Cancelled;
    }
}

/// A window that must be answered before anything else goes on.
fn asking(title: &str, ctx: &Context, contents: impl FnOnce(&mut Ui)) {
    Modal::new(egui::Id::unique("asking")).show(ctx, |ui| {
        ui.set_max_width(520.0);
        ui.heading(title);
        ui.add_space(4.0);
        contents(ui);
    });
}

/// What the score file that was written does not say as the lesson does.
pub fn unsaid_ui(ctx: &Context, unsaid: &mut Vec<String>) {
    let mut open = !unsaid.is_empty();
    let window = Window::new("What the score does not say").open(&mut open).default_width(520.0);
    window.default_pos([380.0, 200.0]).show(ctx, |ui| {
        ui.label("It is written; this the file does not say as the lesson does:");
        ScrollArea::vertical().max_height(360.0).show(ui, |ui| {
            for line in unsaid.iter() {
                ui.add(egui::Label::new(format!("· {line}")).wrap());
            }
        });
    });
    if !open {
        unsaid.clear();
    }
}
