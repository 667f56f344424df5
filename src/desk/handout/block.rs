//! One block: its name, what it says in a line, and its fields.

use egui::{DragValue, Ui};
use strum::IntoEnumIterator as _;

use crate::{
    analysis::Quantity,
    desk::widgets::{controls::choice, words::note_words},
    lesson::handout::{ArmView, Block, Head, Shown},
    score::{EventId, sentence_case},
};

use super::{HandoutDesk, HandoutInput, fields::Fields};
use crate::desk::command::Command;

/// The name of a kind of block.
pub fn name_of(block: &Block) -> &'static str {
    match block {
        Block::Head(_) => "Head of the page",
        Block::Heading(_) => "Heading",
        Block::Words(_) => "Words",
        Block::Passage { .. } => "Passage",
        Block::InWords { .. } => "Passage in words",
        Block::Bow(_) => "Bow",
        Block::Levels(_) => "Bridge and bow",
        Block::Player { .. } => "Player",
        Block::Together(_) => "Double stop",
        Block::Tempos { .. } => "Tempo ladder",
        Block::Finding(_) => "Finding",
        Block::Remedy { .. } => "What helps",
        Block::StepByStep(_) => "Double stop step by step",
        Block::Scale { .. } => "Scale",
        Block::Practice { .. } => "Table for practising",
        Block::Staves(_) => "Empty staves",
        Block::Lines(_) => "Empty lines",
    }
}

/// What a block says, in a line.
pub fn summary_of(input: &HandoutInput<'_>, block: &Block) -> String {
    let note = |id: &EventId| note_words(&input.now.study, *id);
    match block {
        Block::Head(head) => head.title.clone(),
        Block::Heading(text) | Block::Words(text) => text.lines().next().unwrap_or_default().to_owned(),
        Block::Passage { bars, .. }
        | Block::InWords { bars }
        | Block::Tempos { bars }
        | Block::Scale { bars }
        | Block::Practice { bars, .. } => {
            format!("{} {bars}", if bars.contains('-') { "bars" } else { "bar" })
        }
        Block::Bow(notes) => notes.first().map(note).unwrap_or_default(),
        Block::Levels(levels) | Block::Player { levels, .. } => level_names(input, levels).join(", "),
        Block::Together(id) | Block::StepByStep(id) => note(id),
        Block::Finding(found) | Block::Remedy { found, .. } => note(&found.note),
        Block::Staves(count) | Block::Lines(count) => count.to_string(),
    }
}

/// A block of every kind that can be begun with nothing but the lesson and what is chosen.
pub fn fresh_blocks(input: &HandoutInput<'_>) -> Vec<Block> {
    let (study, lesson) = (&input.now.study, input.now.lesson());
    let (score, line) = (&lesson.score, &study.analysis().line);
    let chosen = input.view.chosen_notes(study.analysis());
    let here = chosen.first().map(|attack| attack.bar..chosen.last().map_or(attack.bar, |last| last.bar) + 1);
    let bars = || score.typed_bars(here.clone().unwrap_or(0..score.bars.len().min(4)));
    let note = chosen.first().copied().or(line.notes.first()).map_or(EventId(0), |attack| attack.id());
    let stop = chosen.iter().copied().chain(&line.notes).find(|attack| attack.notes.len() > 1);
    let stop = stop.map_or(note, |attack| attack.id());
    let head = Head { title: score.title.trim().to_owned(), ..Head::default() };
    let shown = Shown { pencil: true, hair: true, ..Shown::default() };
    vec![
        Block::Head(head),
        Block::Heading("This week".to_owned()),
        Block::Words(String::new()),
        Block::Passage { bars: bars(), shown },
        Block::InWords { bars: bars() },
        Block::Bow(vec![note]),
        Block::Player { levels: vec![0, 2], view: ArmView::default() },
        Block::Levels(vec![0, 2]),
        Block::Together(stop),
        Block::StepByStep(stop),
        Block::Tempos { bars: bars() },
        Block::Scale { bars: bars() },
        Block::Practice { bars: bars(), shares: vec![0.5, 0.75, 0.9, 1.0] },
        Block::Staves(4),
        Block::Lines(6),
    ]
}

fn level_names(input: &HandoutInput<'_>, levels: &[u8]) -> Vec<String> {
    let names: Vec<&str> = input.now.analysis().arm_path.fan.all().map(|level| level.name.as_str()).collect();
    levels.iter().map(|level| names.get(usize::from(*level)).copied().unwrap_or("?").to_owned()).collect()
}

/// Draws the fields of a block.
pub fn block_ui(
    ui: &mut Ui,
    input: &HandoutInput<'_>,
    desk: &mut HandoutDesk,
    index: usize,
    commands: &mut Vec<Command>,
) {
    let fields = &mut Fields { input, desk, index, commands };
    match &input.handout().entries[index].block {
        Block::Head(head) => head_ui(ui, fields, head),
        Block::Heading(text) => fields.line(ui, "Heading", text, Block::Heading),
        Block::Words(text) => {
            fields.paragraphs(ui, "Words", text, Block::Words);
            ui.weak("An empty line begins a paragraph, \"- \" an item; *bold* between asterisks");
        }
        Block::Passage { bars, shown } => passage_ui(ui, fields, bars, shown),
        Block::InWords { bars } => fields.line(ui, "Bars", bars, |bars| Block::InWords { bars }),
        Block::Bow(notes) => notes_ui(ui, fields, notes),
        Block::Levels(levels) => {
            if let Some(levels) = levels_ui(ui, input, levels) {
                fields.set(Block::Levels(levels));
            }
        }
        Block::Player { levels, view } => player_ui(ui, fields, levels, *view),
        Block::Together(note) => note_ui(ui, fields, *note, Block::Together),
        Block::StepByStep(note) => note_ui(ui, fields, *note, Block::StepByStep),
        Block::Tempos { bars } => fields.line(ui, "Bars", bars, |bars| Block::Tempos { bars }),
        Block::Scale { bars } => fields.line(ui, "In the key of bars", bars, |bars| Block::Scale { bars }),
        Block::Practice { bars, shares } => practice_ui(ui, fields, bars, shares),
        Block::Finding(_) => drop(ui.weak("Made from the finding; it follows the music")),
        Block::Remedy { change, .. } => drop(ui.weak(change)),
        Block::Staves(count) => count_ui(ui, fields, *count, Block::Staves),
        Block::Lines(count) => count_ui(ui, fields, *count, Block::Lines),
    }
}

fn head_ui(ui: &mut Ui, fields: &mut Fields<'_>, head: &Head) {
    fields.line(ui, "Title", &head.title, |title| Block::Head(Head { title, ..head.clone() }));
    fields.line(ui, "For", &head.pupil, |pupil| Block::Head(Head { pupil, ..head.clone() }));
    fields.line(ui, "From", &head.teacher, |teacher| Block::Head(Head { teacher, ..head.clone() }));
    fields.line(ui, "Date", &head.date, |date| Block::Head(Head { date, ..head.clone() }));
}

fn passage_ui(ui: &mut Ui, fields: &mut Fields<'_>, bars: &str, shown: &Shown) {
    fields.line(ui, "Bars", bars, |bars| Block::Passage { bars, shown: shown.clone() });
    let mut new = shown.clone();
    ui.horizontal_wrapped(|ui| {
        ui.checkbox(&mut new.pencil, "Pencil marks");
        ui.checkbox(&mut new.hair, "Hair map");
        ui.checkbox(&mut new.levels, "Levels");
    });
    let named = new.curve.as_deref().and_then(Quantity::from_id);
    let words = named.map_or("none".to_owned(), |quantity| quantity.words().to_owned());
    ui.horizontal(|ui| {
        choice(ui, ("curve", fields.index), "Curve", words, 150.0, |ui| {
            ui.selectable_value(&mut new.curve, None, "none");
            for quantity in Quantity::iter() {
                ui.selectable_value(&mut new.curve, Some(quantity.id().to_owned()), quantity.words());
            }
        });
    });
    if new != *shown {
        fields.set(Block::Passage { bars: bars.to_owned(), shown: new });
    }
}

/// The notes of a block, and a button that takes those that are chosen.
fn notes_ui(ui: &mut Ui, fields: &mut Fields<'_>, notes: &[EventId]) {
    let study = &fields.input.now.study;
    for note in notes {
        ui.weak(note_words(study, *note));
    }
    let chosen: Vec<EventId> =
        fields.input.view.chosen_notes(study.analysis()).iter().map(|attack| attack.id()).collect();
    let button = ui.add_enabled(!chosen.is_empty(), egui::Button::new("Take the selected notes"));
    if button.clicked() {
        fields.set(Block::Bow(chosen));
    }
}

fn note_ui(ui: &mut Ui, fields: &mut Fields<'_>, note: EventId, block: impl FnOnce(EventId) -> Block) {
    let study = &fields.input.now.study;
    ui.weak(note_words(study, note));
    let chosen = fields.input.view.chosen_notes(study.analysis());
    let stop = chosen.iter().find(|attack| attack.notes.len() > 1).map(|attack| attack.id());
    let button = ui.add_enabled(stop.is_some(), egui::Button::new("Take the selected double stop"));
    if let Some(stop) = stop.filter(|_| button.clicked()) {
        fields.set(block(stop));
    }
}

/// Levels to choose from; gives those that are chosen where that has changed.
fn levels_ui(ui: &mut Ui, input: &HandoutInput<'_>, levels: &[u8]) -> Option<Vec<u8>> {
    let mut new = levels.to_vec();
    ui.horizontal_wrapped(|ui| {
        for (index, level) in (0_u8..).zip(input.now.analysis().arm_path.fan.all()) {
            if ui.selectable_label(new.contains(&index), &level.name).clicked() {
                match new.iter().position(|other| *other == index) {
                    Some(place) => drop(new.remove(place)),
                    None => new.push(index),
                }
            }
        }
    });
    (new != levels).then_some(new)
}

fn player_ui(ui: &mut Ui, fields: &mut Fields<'_>, levels: &[u8], view: ArmView) {
    if let Some(levels) = levels_ui(ui, fields.input, levels) {
        fields.set(Block::Player { levels, view });
    }
    ui.horizontal_wrapped(|ui| {
        for other in ArmView::ALL {
            if ui.selectable_label(other == view, sentence_case(other.words())).clicked() && other != view {
                fields.set(Block::Player { levels: levels.to_vec(), view: other });
            }
        }
    });
}

/// Tempos are typed as parts of a hundred of the marked one.
fn practice_ui(ui: &mut Ui, fields: &mut Fields<'_>, bars: &str, shares: &[f64]) {
    fields.line(ui, "Bars", bars, |bars| Block::Practice { bars, shares: shares.to_vec() });
    let text: Vec<String> = shares.iter().map(|share| format!("{:.0}", share * 100.0)).collect();
    let bars = bars.to_owned();
    fields.line(ui, "Tempos, in % of the marked one", &text.join(", "), |typed| {
        let read =
            |part: &str| part.trim().parse::<f64>().ok().filter(|percent| (5.0..=400.0).contains(percent));
        let shares = typed.split([',', ';', ' ']).filter_map(read).map(|percent| percent / 100.0).take(60);
        Block::Practice { bars, shares: shares.collect() }
    });
}

fn count_ui(ui: &mut Ui, fields: &mut Fields<'_>, count: u8, block: impl FnOnce(u8) -> Block) {
    let mut new = count;
    ui.horizontal(|ui| {
        let label = ui.label("How many");
        ui.add(DragValue::new(&mut new).range(1..=60)).labelled_by(label.id);
    });
    if new != count {
        fields.set(block(new));
    }
}
