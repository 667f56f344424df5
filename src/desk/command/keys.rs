//! How keys become commands.

use egui::{Event, Key, Modifiers, Ui};

use super::{
    Action, Command,
    chord::KeyChord,
    write::{Wait, WriteKey},
};

/// Takes the keys of commands out of the input, in the order in which they were pressed, before any widget sees
/// them; while notes are written, first the keys for that, with what they wait for. A key that is held down asks
/// again only when all it asked before is done.
pub fn take_keys(ui: &Ui, writing: Option<Wait>, is_busy: bool, commands: &mut Vec<Command>) {
    let typing = ui.ctx().text_edit_focused();
    let focused = ui.memory(|memory| memory.focused().is_some());
    let mut wait = writing.filter(|_| !typing);
    ui.input_mut(|input| {
        input.events.retain(|event| {
            let command = match event {
                Event::Key { key, pressed: true, modifiers, .. } => {
                    let write = wait.and_then(|wait| writing_key(wait, *key, *modifiers));
                    let action = || action_of(*key, *modifiers, typing, focused).map(Command::Do);
                    write.map(Command::Write).or_else(action)
                }
                // The system tells of the keys of the clipboard by events of their own.
                Event::Copy if !typing => Some(Command::Do(Action::Copy)),
                Event::Cut if !typing => Some(Command::Do(Action::Cut)),
                Event::Paste(_) if !typing => Some(Command::Do(Action::Paste)),
                _ => None,
            };
            let Some(command) = command else { return true };
            if let (Some(wait), Command::Write(key)) = (&mut wait, &command) {
                *wait = key.waits_for();
            }
            let is_held = matches!(event, Event::Key { repeat: true, .. });
            if !(is_held && (is_busy || !commands.is_empty())) {
                commands.push(command);
            }
            false
        });
    });
}

/// The command of a key; the chords with more modifiers first: Ctrl+Shift+S is not Ctrl+S.
fn action_of(key: Key, modifiers: Modifiers, typing: bool, focused: bool) -> Option<Action> {
    let chords =
        Action::all().flat_map(|action| action.entry().keys.iter().map(move |chord| (action, *chord)));
    // A focused widget keeps the keys that work it; a text field all but the commands.
    let is_free = |chord: &KeyChord| {
        let plain = !chord.0.command;
        let edits_text = matches!(key, Key::A | Key::Z | Key::Y) || works_a_widget(key);
        !(typing && (plain || edits_text) || focused && plain && works_a_widget(key))
    };
    best(chords, key, modifiers, is_free)
}

fn writing_key(wait: Wait, key: Key, modifiers: Modifiers) -> Option<WriteKey> {
    let chords =
        wait.keys().iter().flat_map(|entry| entry.chords.iter().map(move |chord| (entry.key, *chord)));
    best(chords, key, modifiers, |_| true)
}

/// What a key calls: of the chords it answers to that with the most modifiers, since a key without modifiers also
/// answers with Shift held.
fn best<T>(
    chords: impl Iterator<Item = (T, KeyChord)>,
    key: Key,
    modifiers: Modifiers,
    is_free: impl Fn(&KeyChord) -> bool,
) -> Option<T> {
    let answers = |chord: &KeyChord| chord.1 == key && modifiers.matches_logically(chord.0) && is_free(chord);
    let count = |m: Modifiers| u8::from(m.command) + u8::from(m.shift) + u8::from(m.alt);
    // Of as many the first.
    let all = chords.filter(|(_, chord)| answers(chord));
    all.min_by_key(|(_, chord)| std::cmp::Reverse(count(chord.0))).map(|(what, _)| what)
}

fn works_a_widget(key: Key) -> bool {
    let arrows = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown];
    arrows.contains(&key) || [Key::Enter, Key::Space, Key::Home, Key::End].contains(&key)
}
