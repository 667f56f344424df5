//! How keys become commands.

use egui::{Event, Key, Modifiers, Ui};

use super::{
    Action, Command,
    chord::KeyChord,
    write::{Wait, WriteKey},
};

/// Takes the keys of commands out of the input, in the order in which they were pressed, before any widget sees
/// them; while notes are written, first the keys for that, with what they wait for. Behind a key that asks for words
/// (`asks`: one that was pressed before) the letters are those words, though their field may not be there yet. A key
/// that is held down asks again only when all it asked before is done.
pub fn take_keys(ui: &Ui, writing: Option<Wait>, asks: bool, is_busy: bool, commands: &mut Vec<Command>) {
    let typing = ui.ctx().text_edit_focused();
    let mut asks = asks && !typing;
    // The letter of the key that asked, which comes as a text too.
    let mut own: Option<Key> = None;
    let focused = ui.memory(|memory| memory.focused().is_some());
    let mut wait = writing.filter(|_| !typing);
    ui.input_mut(|input| {
        input.events.retain(|event| {
            if asks && let Some(typed) = typed_of(event) {
                asks = typed != "\n";
                let is_own = own.take().is_some_and(|key| key.name().eq_ignore_ascii_case(&typed));
                commands.extend((!is_own && !typed.is_empty()).then_some(Command::Typed(typed)));
                return false;
            }
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
                if key.asks() {
                    asks = true;
                    own = if let Event::Key { key, .. } = event { Some(*key) } else { None };
                }
            }
            let is_held = matches!(event, Event::Key { repeat: true, .. });
            if !(is_held && (is_busy || !commands.is_empty())) {
                commands.push(command);
            }
            false
        });
    });
}

/// What an event puts into a field of words: a text, a line end for Enter, nothing for another key without Ctrl; none
/// for what is no key.
fn typed_of(event: &Event) -> Option<String> {
    match event {
        Event::Text(text) => Some(text.clone()),
        Event::Key { key: Key::Enter, pressed: true, .. } => Some("\n".to_owned()),
        Event::Key { key: Key::Escape, .. } => None,
        Event::Key { pressed: true, modifiers, .. } if !modifiers.command => Some(String::new()),
        _ => None,
    }
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
