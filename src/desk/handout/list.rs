//! The blocks one under another, with what is done to them.

use egui::{Button, Label, RichText, ScrollArea, Ui};

use crate::{
    desk::{
        command::{Action, Command, Page, buttons::button},
        widgets::theme::bold,
    },
    lesson::handout::{Block, Entry, Handout, Leaf, Readers},
};

use super::{
    HandoutDesk, HandoutInput,
    block::{block_ui, fresh_blocks, name_of, summary_of},
};

/// Draws the list.
pub fn list_ui(ui: &mut Ui, input: &HandoutInput<'_>, desk: &mut HandoutDesk, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.heading("Handout");
        button(ui, Action::ExportHandout, commands);
        if ui.button("Back to the music").on_hover_text(Action::Handout.entry().hover()).clicked() {
            commands.push(Command::Do(Action::Handout));
        }
    });
    ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
    paper_ui(ui, input, commands);
    ui.horizontal_wrapped(|ui| {
        add_ui(ui, input, desk, commands);
        ui.menu_button("Make a page", |ui| {
            for action in [Action::PageForBars, Action::PageForDoubleStop, Action::WarmUp] {
                button(ui, action, commands);
            }
            let versions = ui.add_enabled(input.is_kept, Button::new("A page for what has changed"));
            if versions
                .on_hover_text("The kept version and this one over one another; K keeps a version")
                .clicked()
            {
                commands.push(Command::Page(Page::Versions));
            }
            let levels: Vec<u8> = (0..2).map(|string| 2 * string).collect();
            if ui.button("A page for the arm on two strings").clicked() {
                commands.push(Command::Page(Page::Levels(levels, Default::default())));
            }
        })
        .response
        .on_hover_text("All blocks for one thing, in one step");
    });
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("blocks").auto_shrink([false, false]).show(ui, |ui| {
        if input.handout().entries.is_empty() {
            let words = "Nothing is on it yet. Add a block, or make a page: for the bars of the selected notes, \
                         for a finding, for a double stop.";
            ui.add(Label::new(RichText::new(words).weak()).wrap());
        }
        for index in 0..input.handout().entries.len() {
            entry_ui(ui, input, desk, index, commands);
        }
    });
}

/// On what it is printed, and for whom.
fn paper_ui(ui: &mut Ui, input: &HandoutInput<'_>, commands: &mut Vec<Command>) {
    let old = input.handout();
    let mut new = old.clone();
    ui.horizontal_wrapped(|ui| {
        ui.selectable_value(&mut new.paper, Leaf::A4, "A4");
        ui.selectable_value(&mut new.paper, Leaf::Letter, "Letter");
        ui.checkbox(&mut new.on_side, "On its side");
        ui.separator();
        ui.selectable_value(&mut new.readers, Readers::Adults, "Adults");
        ui.selectable_value(&mut new.readers, Readers::Children, "Children")
            .on_hover_text("Large type and large notes");
    });
    if new != *old {
        input.change("Paper of the handout", new, commands);
    }
}

/// Adds a block behind the open one, or at the end.
fn add_ui(ui: &mut Ui, input: &HandoutInput<'_>, desk: &mut HandoutDesk, commands: &mut Vec<Command>) {
    ui.menu_button("Add a block", |ui| {
        for block in fresh_blocks(input) {
            if ui.button(name_of(&block)).clicked() {
                let mut to = input.handout().clone();
                let place = desk.open.map_or(to.entries.len(), |open| (open + 1).min(to.entries.len()));
                to.entries.insert(place, block.into());
                desk.open = Some(place);
                desk.typing = None;
                input.change("Block added", to, commands);
                ui.close();
            }
        }
    });
}

/// A block: its name, and under it what is on it where it is open.
fn entry_ui(
    ui: &mut Ui,
    input: &HandoutInput<'_>,
    desk: &mut HandoutDesk,
    index: usize,
    commands: &mut Vec<Command>,
) {
    let entry = &input.handout().entries[index];
    let is_open = desk.open == Some(index);
    let name = format!("{}. {}", index + 1, name_of(&entry.block));
    ui.push_id(("block", index), |ui| {
        ui.horizontal(|ui| {
            let words = if is_open { bold(&name) } else { RichText::new(&name) };
            if ui.add(Button::new(words).selected(is_open)).clicked() {
                desk.open = if is_open { None } else { Some(index) };
                desk.typing = None;
            }
            if !is_open {
                ui.add(Label::new(RichText::new(summary_of(input, &entry.block)).weak()).truncate());
            }
        });
        if !is_open {
            return;
        }
        ui.indent("open", |ui| {
            order_ui(ui, input, desk, index, commands);
            block_ui(ui, input, desk, index, commands);
        });
        ui.add_space(4.0);
    });
}

/// Moves, copies and removes a block.
fn order_ui(
    ui: &mut Ui,
    input: &HandoutInput<'_>,
    desk: &mut HandoutDesk,
    index: usize,
    commands: &mut Vec<Command>,
) {
    let old = input.handout();
    let last = old.entries.len() - 1;
    let mut ask = |what: &str, open: Option<usize>, change: &dyn Fn(&mut Vec<Entry>)| {
        let mut to: Handout = old.clone();
        change(&mut to.entries);
        (desk.open, desk.typing) = (open, None);
        input.change(what, to, commands);
    };
    let mut pictures = Vec::new();
    ui.horizontal_wrapped(|ui| {
        if ui.add_enabled(index > 0, Button::new("Up")).on_hover_text("Before the block over it").clicked() {
            ask("Block moved", Some(index - 1), &|entries| entries.swap(index, index - 1));
        }
        if ui.add_enabled(index < last, Button::new("Down")).on_hover_text("Behind the next block").clicked()
        {
            ask("Block moved", Some(index + 1), &|entries| entries.swap(index, index + 1));
        }
        if ui.button("Double").on_hover_text("The same once more under it").clicked() {
            ask("Block doubled", Some(index + 1), &|entries| entries.insert(index, entries[index].clone()));
        }
        if ui.button("Remove").clicked() {
            ask("Block removed", None, &|entries| drop(entries.remove(index)));
        }
        ui.menu_button("As a picture", |ui| {
            if ui.button("Save as a picture…").on_hover_text("PNG or SVG on a clear ground, or PDF").clicked()
            {
                pictures.push(Command::SaveBlock(index));
            }
            if ui.button("Copy as an image").on_hover_text("To paste it into a letter or a slide").clicked() {
                pictures.push(Command::CopyBlock(index));
            }
        });
        let mut beside = old.entries[index].beside;
        let text = "Beside the one before";
        if index > 0
            && !matches!(old.entries[index].block, Block::Head(_))
            && ui.checkbox(&mut beside, text).changed()
        {
            ask("Block placed", Some(index), &|entries| entries[index].beside = beside);
        }
    });
    commands.extend(pictures);
}
