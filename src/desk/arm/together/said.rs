//! What is said of notes that sound together.

use egui::{Label, Ui};

use crate::{
    arm::{Finger, Together},
    bowing::Verdict,
    desk::{
        state::now::Now,
        widgets::{
            painter::colour,
            signs::{sign_ui, verdict_sign},
            theme::bold,
        },
    },
    lesson::Lesson,
    picture::Ink,
    score::sentence_case,
    setup::WeightForTwo,
    tone::{Core, StringShare},
};

use super::chosen::{MOST, TogetherDesk};

/// The interval and where it lies, or why it cannot be played and what would work.
pub fn said_ui(ui: &mut Ui, now: &Now, desk: &mut TogetherDesk, found: &Together, shares: &[StringShare]) {
    let lesson = now.lesson();
    let name = |string: u8| {
        let string = lesson.setup.instrument.strings.get(usize::from(string).saturating_sub(1));
        string.map_or("?", |string| &string.name)
    };
    if let Some(problem) = &found.problem {
        ui.horizontal_wrapped(|ui| {
            let ink = colour(now.look.theme(), Ink::Warn);
            sign_ui(ui, |painter, rect| {
                verdict_sign(painter, rect, Verdict::Impossible, ink);
            });
            ui.add(Label::new(bold(format!("{problem}."))).wrap());
        });
        ui.horizontal_wrapped(|ui| {
            for way in &found.ways {
                if ui.button(sentence_case(&way.words)).clicked() {
                    desk.set(way.notes.clone());
                }
            }
        });
        return;
    }
    let interval = found.interval.clone().unwrap_or_else(|| {
        let count = ["two", "two", "two", "three", "four"][found.names.len().min(MOST)];
        format!("chord of {count}")
    });
    let held: Vec<String> = found
        .names
        .iter()
        .zip(&found.fingers)
        .map(|(note, (string, finger))| match finger {
            Finger::Open => format!("{note} on the open {} string", name(*string)),
            Finger::Thumb => format!("{note} with the thumb on {}", name(*string)),
            finger => format!("{note} with finger {} on {}", finger.mark(), name(*string)),
        })
        .collect();
    ui.add(Label::new(bold(format!("{}: {}.", sentence_case(&interval), held.join(", ")))).wrap());
    if found.pairs.len() > 1 {
        ui.horizontal_wrapped(|ui| {
            ui.label("Broken from below:");
            for (index, pair) in found.pairs.iter().enumerate() {
                let words = format!("{} for {:.2} s", pair.name.replace('+', " and "), pair.seconds);
                if ui.selectable_label(index == desk.plane, words).clicked() {
                    desk.plane = index;
                }
            }
        });
    }
    ui.add(Label::new(weight_words(lesson, shares, &name)).wrap());
}

/// How the weight is shared, and what to do where a string gets too little or too much.
fn weight_words<'a>(lesson: &Lesson, shares: &[StringShare], name: &dyn Fn(u8) -> &'a str) -> String {
    let [first, rest @ ..] = shares else { return String::new() };
    let alike = rest.iter().all(|share| share.part_words() == first.part_words());
    let mut words = match lesson.setup.school.weight_for_two {
        _ if rest.is_empty() => return String::new(),
        WeightForTwo::SharedArm => "One arm's weight lies on both strings; press no harder".to_owned(),
        WeightForTwo::SamePerString => {
            "Both strings get the arm's weight, about twice as much in all".to_owned()
        }
    };
    if alike {
        words += &format!(": each gets {}.", first.part_words());
    } else {
        let each: Vec<String> = shares
            .iter()
            .map(|share| format!("{} gets {}", name(share.string), share.part_words()))
            .collect();
        words += &format!(": {}.", each.join(", "));
    }
    let with = |core| {
        let names: Vec<&str> =
            shares.iter().filter(|share| share.core() == core).map(|share| name(share.string)).collect();
        (!names.is_empty()).then(|| names.join(" and "))
    };
    if let Some(strings) = with(Core::Thin) {
        words += &format!(
            " {strings} may lose its core: a slower bow, or a little farther from the bridge, needs less."
        );
    }
    if let Some(strings) = with(Core::Pressed) {
        words += &format!(" {strings} would be pressed: lighter, or a faster bow.");
    }
    words
}
