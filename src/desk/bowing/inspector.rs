//! What the selected notes are, and what can be changed about them.

use egui::{DragValue, Ui};

use crate::{
    analysis::{Analysis, Study},
    arm::{self, Finger},
    bowing::{Reasons, Why},
    desk::{
        command::{
            Action, Command,
            buttons::{button, toggle},
        },
        state::view::View,
        widgets::{
            controls::{choice, gesture},
            theme::bold,
            words::note_words,
        },
    },
    lesson::{Lesson, change},
    score::{
        Attack, Direction, Dynamic, EventId, SPEED_FACTORS, SameBow, SignKind, StrokeType, sentence_case,
    },
};

/// Draws the strip of controls for the selection.
pub fn inspector_ui(ui: &mut Ui, study: &Study, view: &View, commands: &mut Vec<Command>) {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let notes = view.chosen_notes(analysis);
    // Asked for when something is done with them, not in every frame: they may be all of a long part.
    let chosen = &|| view.chosen_in(study);
    let Some(first) = notes.first().copied() else {
        ui.label(match chosen().first() {
            Some(id) => note_words(study, *id),
            None => "Click a note to change its bowing; drag across the staff to choose several".to_owned(),
        });
        return;
    };
    ui.horizontal_wrapped(|ui| {
        // All of it fits in a row of a small window.
        (ui.spacing_mut().item_spacing.x, ui.spacing_mut().button_padding.x) = (3.0, 5.0);
        let title = match notes.len() {
            1 => note_words(study, first.id()),
            n => format!("{n} notes from {}", lesson.score.place_in(first.onset, &analysis.line.sections)),
        };
        ui.label(bold(title));
        ui.separator();
        slur(ui, &notes, commands);
        ui.separator();
        direction(ui, chosen, first, commands);
        ui.separator();
        reach(ui, first, commands);
        ui.separator();
        settle(ui, lesson, &notes, commands);
        factor(ui, chosen, first, commands);
    });
    if notes.len() == 1 {
        bound(ui, lesson, analysis, first);
        why_here(ui, lesson, analysis, first);
    }
    ui.horizontal_wrapped(|ui| {
        // All of one note fits in a row of a small window.
        ui.spacing_mut().item_spacing.x = 5.0;
        stroke(ui, analysis, chosen, first, commands);
        dynamic(ui, lesson, first, commands);
        if notes.len() == 1 {
            strings(ui, lesson, analysis, first, commands);
            value(ui, study, first, commands);
        }
        ui.separator();
        place(ui, lesson, analysis, first, commands);
    });
}

fn slur(ui: &mut Ui, notes: &[&Attack], commands: &mut Vec<Command>) {
    let under_one =
        notes.len() > 1 && notes[0].slur.is_some() && notes.iter().all(|note| note.slur == notes[0].slur);
    let on = under_one || notes.len() == 1 && notes[0].slur.is_some();
    toggle(ui, Action::Slur, Action::Slur.entry().words, on, commands);
    let inside = notes[0].slur.is_some() && !notes[0].slur_start;
    ui.add_enabled_ui(inside, |ui| button(ui, Action::Split, commands));
}

fn direction(ui: &mut Ui, chosen: &dyn Fn() -> Vec<EventId>, first: &Attack, commands: &mut Vec<Command>) {
    for (direction, words, tip) in [
        (Some(Direction::Down), "Down", "Print a down-bow on each selected note"),
        (Some(Direction::Up), "Up", "Print an up-bow on each selected note"),
        (None, "As it comes", "No printed bow mark"),
    ] {
        if ui.add(egui::Button::new(words).selected(first.bow == direction)).on_hover_text(tip).clicked()
            && first.bow != direction
        {
            let chosen = chosen();
            commands.push(Command::edit(move |lesson| change::set_bow(lesson, &chosen, direction)));
        }
    }
    button(ui, Action::Turn, commands);
}

fn reach(ui: &mut Ui, first: &Attack, commands: &mut Vec<Command>) {
    for (action, on) in [
        (Action::Retake, first.retake),
        (Action::Hook, first.same_bow == Some(SameBow::Hooked)),
        (Action::Portato, first.same_bow == Some(SameBow::Portato)),
    ] {
        toggle(ui, action, action.entry().words, on, commands);
    }
}

fn settle(ui: &mut Ui, lesson: &Lesson, notes: &[&Attack], commands: &mut Vec<Command>) {
    let all = notes.iter().all(|note| lesson.kept.contains(&note.id()));
    let words = if all { "Settled" } else { Action::Settle.entry().words };
    toggle(ui, Action::Settle, words, all, commands);
}

fn stroke(
    ui: &mut Ui,
    analysis: &Analysis,
    chosen: &dyn Fn() -> Vec<EventId>,
    first: &Attack,
    commands: &mut Vec<Command>,
) {
    let bowed = analysis.bowed_of_event(first.id()).map(|k| analysis.bowed(k));
    let as_marked =
        bowed.map_or("as marked".to_owned(), |bowed| format!("as marked, {}", bowed.stroke_type.word()));
    let mut now = first.stroke;
    let words = now.map_or(if now.is_none() { as_marked.clone() } else { String::new() }, |stroke| {
        stroke.word().to_owned()
    });
    choice(ui, "stroke", "Stroke", words, 100.0, |ui| {
        ui.selectable_value(&mut now, None, "as marked");
        for stroke in StrokeType::ALL {
            ui.selectable_value(&mut now, Some(stroke), stroke.word());
        }
    });
    if now != first.stroke {
        let chosen = chosen();
        commands.push(Command::edit(move |lesson| change::set_stroke(lesson, &chosen, now)));
    }
}

fn dynamic(ui: &mut Ui, lesson: &Lesson, first: &Attack, commands: &mut Vec<Command>) {
    let here = lesson.score.signs_at(first.onset).iter().find_map(|sign| match sign.kind {
        SignKind::Dynamic(level) => Some(level),
        _ => None,
    });
    let mut now = here;
    let words = now.map_or("none", Dynamic::mark).to_owned();
    choice(ui, "dynamic", "Dynamic", words, 56.0, |ui| {
        ui.selectable_value(&mut now, None, "none");
        for level in Dynamic::ALL {
            ui.selectable_value(&mut now, Some(level), level.mark());
        }
    });
    if now != here {
        let at = first.onset;
        commands.push(Command::edit(move |lesson| change::set_dynamic(lesson, at, now)));
    }
}

fn strings(ui: &mut Ui, lesson: &Lesson, analysis: &Analysis, first: &Attack, commands: &mut Vec<Command>) {
    let placement =
        analysis.line.note_of(first.id()).and_then(|note| analysis.left_hand.placements.get(note));
    for (head, note) in first.notes.iter().enumerate() {
        let chosen_by_plan = placement.and_then(|placement| placement.strings.get(head)).copied();
        let name = |string: u8| {
            let strings = &lesson.setup.instrument.strings;
            strings
                .get(usize::from(string.saturating_sub(1)))
                .map_or_else(|| string.to_string(), |s| s.name.clone())
        };
        let mut now = note.string;
        let words = match (now, chosen_by_plan) {
            (Some(string), _) => name(string),
            (None, Some(string)) => format!("{}, by the program", name(string)),
            (None, None) => "any".to_owned(),
        };
        let label =
            if first.notes.len() == 1 { "String".to_owned() } else { format!("{} on", note.pitch.name()) };
        choice(ui, ("string", head), &label, words, 74.0, |ui| {
            ui.selectable_value(&mut now, None, "as it comes");
            for string in 1..=lesson.setup.instrument.strings.len() as u8 {
                ui.selectable_value(&mut now, Some(string), name(string));
            }
        });
        if now != note.string {
            let id = first.id();
            commands.push(Command::edit(move |lesson| change::set_string(lesson, id, head, now)));
        }
        finger(ui, lesson, (first, head), placement.and_then(|p| p.fingers.get(head)).copied(), commands);
    }
}

/// The finger of one note head.
fn finger(
    ui: &mut Ui,
    lesson: &Lesson,
    (first, head): (&Attack, usize),
    chosen: Option<Finger>,
    commands: &mut Vec<Command>,
) {
    let note = &first.notes[head];
    let before = note.fingers.first().and_then(|mark| Finger::from_mark(mark));
    let mut now = before;
    let words = match (now, chosen) {
        (Some(finger), _) => finger.mark().to_owned(),
        (None, Some(finger)) => format!("{}, by the program", finger.mark()),
        (None, None) => "any".to_owned(),
    };
    let family = lesson.setup.instrument.family;
    choice(ui, ("finger", head), "Finger", words, 74.0, |ui| {
        ui.selectable_value(&mut now, None, "as it comes");
        for finger in change::FINGERS.iter().filter_map(|mark| Finger::from_mark(mark)) {
            if finger != Finger::Thumb || !family.on_shoulder() {
                ui.selectable_value(&mut now, Some(finger), finger.words());
            }
        }
    });
    if now != before {
        let id = first.id();
        let edit = move |lesson: &Lesson| change::set_finger(lesson, id, head, now.map(Finger::mark));
        commands.push(Command::edit(edit));
    }
}

/// What the string or finger that is set costs, and where it does not lie in the hand.
fn bound(ui: &mut Ui, lesson: &Lesson, analysis: &Analysis, first: &Attack) {
    let index = analysis.line.note_of(first.id());
    let Some(found) = index.and_then(|index| arm::bound(&analysis.line.notes, index, &lesson.setup)) else {
        return;
    };
    let words = match &found.refused {
        Some(why) => format!("{}. {}.", sentence_case(why), sentence_case(&found.words())),
        None => format!("String and finger as set: {}", found.words()),
    };
    ui.label(words);
}

/// Why the note lies where it does on the bow; what that costs by each reason on pointing at it.
fn why_here(ui: &mut Ui, lesson: &Lesson, analysis: &Analysis, first: &Attack) {
    let Some(k) = analysis.bowed_of_event(first.id()) else { return };
    let why = Reasons::new(lesson, &analysis.line, &analysis.bowing, &analysis.plan).why(k);
    let parts = Why::PARTS.iter().zip(why.cost);
    let shares: Vec<String> = parts.map(|(part, cost)| format!("{part} {cost:.3}")).collect();
    ui.label(format!("Why here: {}", why.words))
        .on_hover_text(format!("What this note costs in the plan: {}", shares.join(", ")));
}

fn value(ui: &mut Ui, study: &Study, first: &Attack, commands: &mut Vec<Command>) {
    // A tied note has several written values; it is changed by its parts.
    let [id] = first.events.as_slice() else { return };
    let lesson = study.lesson();
    let event = study.analysis().line.event_index(*id).map(|index| &lesson.score.events[index]);
    let Some(event) = event.filter(|event| event.grace.is_none()) else { return };
    let mut now = event.value;
    choice(ui, "length", "Length", now.words(), 60.0, |ui| {
        for log2_whole in (-5..=0).rev() {
            for dots in [0, 1] {
                let value = crate::score::NoteValue { dots, ..crate::score::NoteValue::plain(log2_whole) };
                ui.selectable_value(&mut now, value, value.words());
            }
        }
    });
    if now != event.value {
        let id = *id;
        commands.push(Command::edit(move |lesson| change::set_length(lesson, id, now)));
    }
}

fn place(ui: &mut Ui, lesson: &Lesson, analysis: &Analysis, first: &Attack, commands: &mut Vec<Command>) {
    let pin = lesson.pins.iter().find(|pin| first.events.contains(&pin.event));
    let hair = lesson.setup.bow.hair_mm.max(10.0);
    let k = analysis.bowed_of_event(first.id());
    let Some(planned) = k.and_then(|k| analysis.plan.solution.start_mm.get(k)).copied() else { return };
    let mut fixed = pin.is_some();
    let tip = "Fix the place on the bow where this note starts; drag its point on the hair map to move it";
    if ui.checkbox(&mut fixed, "Place fixed").on_hover_text(tip).changed() {
        let share = ((planned / 10.0).round() * 10.0 / hair).clamp(0.0, 1.0);
        let (id, wanted) = (first.id(), fixed.then_some((share, share)));
        commands.push(Command::edit(move |lesson| change::hair_pin(lesson, id, wanted)));
    }
    if let Some(pin) = pin {
        let mut range = (pin.from_share * hair / 10.0, pin.to_share * hair / 10.0);
        let before = range;
        let mut drag = |value: &mut f64, name: &str| {
            ui.add(DragValue::new(value).range(0.0..=hair / 10.0).speed(0.2).fixed_decimals(0).suffix(" cm"))
                .accessible_name(name)
                .on_hover_text(name);
        };
        drag(&mut range.0, "Place on the bow, from");
        drag(&mut range.1, "Place on the bow, to");
        if range != before {
            // The end that was moved pushes the other one.
            let (a, b) = if range.0 != before.0 {
                (range.0, range.1.max(range.0))
            } else {
                (range.0.min(range.1), range.1)
            };
            let shares = ((a * 10.0 / hair).clamp(0.0, 1.0), (b * 10.0 / hair).clamp(0.0, 1.0));
            let id = first.id();
            let edit = move |lesson: &Lesson| change::hair_pin(lesson, id, Some(shares));
            commands.push(Command::drag(edit, gesture(ui, ("place", id))));
        }
    }
}

fn factor(ui: &mut Ui, chosen: &dyn Fn() -> Vec<EventId>, first: &Attack, commands: &mut Vec<Command>) {
    let mut now = first.speed_factor;
    let response = ui
        .add(DragValue::new(&mut now).range(SPEED_FACTORS).speed(0.01).fixed_decimals(2).prefix("bow × "))
        .accessible_name("Amount of bow")
        .on_hover_text("Amount of bow for these notes, against what their dynamic asks for");
    if response.changed() && (now - first.speed_factor).abs() > 1e-9 {
        let factor = ((now - 1.0).abs() > 1e-6).then_some(now);
        let chosen = chosen();
        let edit = move |lesson: &Lesson| change::set_speed_factor(lesson, &chosen, factor);
        commands.push(Command::drag(edit, gesture(ui, ("amount", first.id()))));
    }
}
