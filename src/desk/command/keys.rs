//! How keys become commands.

use egui::{Event, Key, Modifiers, Ui};

use super::{
    Action, Command,
    chord::KeyChord,
    write::{Wait, WriteKey},
};

/// Takes the keys of commands out of the input, before any widget sees them; while notes are written, first
/// the keys for that, with what they wait for.
pub fn take_keys(ui: &Ui, writing: Option<Wait>, commands: &mut Vec<Command>) {
    let typing = ui.ctx().text_edit_focused();
    let focused = ui.memory(|memory| memory.focused().is_some());
    if let Some(wait) = writing.filter(|_| !typing) {
        take_writing_keys(ui, wait, commands);
    }
    if !typing {
        take_clipboard(ui, commands);
    }
    // The chords with more modifiers first: Ctrl+Shift+S is not Ctrl+S.
    let mut chords: Vec<(KeyChord, Action)> =
        Action::all().flat_map(|action| action.entry().keys.iter().map(move |key| (*key, action))).collect();
    let count = |m: Modifiers| u8::from(m.command) + u8::from(m.shift) + u8::from(m.alt);
    chords.sort_by_key(|((modifiers, _), _)| std::cmp::Reverse(count(*modifiers)));
    for ((modifiers, key), action) in chords {
        let plain = !modifiers.command;
        // A focused widget keeps the keys that work it; a text field all but the commands.
        let edits_text = matches!(key, Key::A | Key::Z | Key::Y) || works_a_widget(key);
        if typing && (plain || edits_text) || focused && plain && works_a_widget(key) {
            continue;
        }
        if ui.input_mut(|input| input.consume_key(modifiers, key)) {
            commands.push(Command::Do(action));
        }
    }
}

/// The system tells of the keys of the clipboard by events of their own.
fn take_clipboard(ui: &Ui, commands: &mut Vec<Command>) {
    ui.input_mut(|input| {
        input.events.retain(|event| {
            let action = match event {
                Event::Copy => Action::Copy,
                Event::Cut => Action::Cut,
                Event::Paste(_) => Action::Paste,
                _ => return true,
            };
            commands.push(Command::Do(action));
            false
        });
    });
}

fn works_a_widget(key: Key) -> bool {
    let arrows = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown];
    arrows.contains(&key) || [Key::Enter, Key::Space, Key::Home, Key::End].contains(&key)
}

/// Takes the writing keys out of the input.
fn take_writing_keys(ui: &Ui, wait: Wait, commands: &mut Vec<Command>) {
    let keys = wait.keys().iter().flat_map(|entry| entry.chords.iter().map(move |chord| (entry.key, *chord)));
    // A key without modifiers also answers with Shift held, so it is asked last.
    let (with, without): (Vec<(WriteKey, KeyChord)>, Vec<_>) = keys.partition(|(_, chord)| chord.0.any());
    for (write, (modifiers, key)) in with.into_iter().chain(without) {
        if ui.input_mut(|input| input.consume_key(modifiers, key)) {
            commands.push(Command::Write(write));
        }
    }
}
