//! Fields of a block. The lesson follows what is typed, letter by letter; all of a field is undone at once.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use egui::{Id, Response, TextEdit, Ui};

use crate::desk::{
    command::{Command, Wish},
    state::history::Gesture,
};
use crate::lesson::{change, handout::Block};

use super::{HandoutDesk, HandoutInput};

/// The block whose fields are drawn.
pub struct Fields<'a> {
    pub input: &'a HandoutInput<'a>,
    pub desk: &'a mut HandoutDesk,
    pub index: usize,
    pub commands: &'a mut Vec<Command>,
}

impl Fields<'_> {
    /// The block is to be this.
    pub fn set(&mut self, block: Block) {
        self.change(block, None);
    }

    fn change(&mut self, block: Block, gesture: Option<Gesture>) {
        let mut to = self.input.handout().clone();
        to.entries[self.index].block = block;
        let edit = change::set_handout("Block changed", to);
        self.commands.push(Command::Edit(Wish::new(move |_| Ok(edit)), gesture));
    }

    /// A line to type in, with its name; `block` makes the block with what is typed.
    pub fn line(&mut self, ui: &mut Ui, name: &str, text: &str, block: impl FnOnce(String) -> Block) {
        self.typed(ui, name, text, block, |ui, typed| {
            ui.add(TextEdit::singleline(typed).desired_width(f32::INFINITY))
        });
    }

    /// A field for paragraphs.
    pub fn paragraphs(&mut self, ui: &mut Ui, name: &str, text: &str, block: impl FnOnce(String) -> Block) {
        self.typed(ui, name, text, block, |ui, typed| {
            ui.add(TextEdit::multiline(typed).desired_width(f32::INFINITY).desired_rows(5))
        });
    }

    fn typed(
        &mut self,
        ui: &mut Ui,
        name: &str,
        text: &str,
        block: impl FnOnce(String) -> Block,
        add: impl FnOnce(&mut Ui, &mut String) -> Response,
    ) {
        let id = ui.scope_id().with(("typed", self.index, name));
        let known = self.desk.typing.as_ref().filter(|(field, _)| *field == id);
        let mut typed = known.map_or_else(|| text.to_owned(), |(_, typed)| typed.clone());
        let label = ui.label(name);
        let field = add(ui, &mut typed).labelled_by(label.id);
        if field.changed() {
            self.desk.typing = Some((id, typed.clone()));
            let gesture = self.gesture(ui, id);
            self.change(block(typed), Some(gesture));
        }
        if field.lost_focus() && self.desk.typing.as_ref().is_some_and(|(field, _)| *field == id) {
            self.desk.typing = None;
        }
    }

    /// What is typed in one field until something else is clicked is one step.
    fn gesture(&self, ui: &Ui, id: Id) -> Gesture {
        let mut hasher = DefaultHasher::new();
        id.hash(&mut hasher);
        ui.input(|input| input.pointer.press_start_time()).map(f64::to_bits).hash(&mut hasher);
        hasher.finish()
    }
}
