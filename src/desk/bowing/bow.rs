//! The bow to scale, with what it does now and what comes next.

use egui::{Label, RichText, Role, Sense, Ui, WidgetInfo, vec2};

use crate::{
    analysis::{Analysis, BowState},
    arm::{Finger, Plane},
    bowing::Reached,
    desk::{
        state::now::Now,
        widgets::{
            controls::picture_ui,
            painter::{Scale, ScreenPainter},
            theme::bold,
        },
    },
    picture,
    score::Attack,
};

/// Width of the tone of the note beside the bow, mm, and at most this share of the panel.
const BAND_MM: f32 = 64.0;
const BAND_SHARE: f32 = 0.26;
/// Lines of words under the bow.
const LINES: usize = 2;

/// Draws the bow with a line of words under it, and beside it the tone of the note.
pub fn bow_ui(ui: &mut Ui, now: &Now, painter: &mut ScreenPainter) {
    ui.horizontal_top(|ui| {
        let side = (BAND_MM * now.points_per_mm).min(ui.available_width() * BAND_SHARE);
        let left = ui.available_width() - side - ui.spacing().item_spacing.x;
        ui.vertical(|ui| {
            ui.set_width(left);
            bar_ui(ui, now, painter);
        });
        ui.vertical(|ui| {
            ui.set_width(side);
            tone_ui(ui, now, painter);
        });
    });
}

/// The note now played, as an index into the bowed notes.
fn bowed_now(analysis: &Analysis, state: &BowState) -> Option<usize> {
    let stroke = analysis.bowing.strokes.get(state.stroke?)?;
    let bowed = state.note.and_then(|note| analysis.bowed_of(note));
    let last = stroke.notes.end.saturating_sub(1);
    Some(bowed.unwrap_or(stroke.notes.start).clamp(stroke.notes.start.min(last), last))
}

/// Where on the string, how heavy and how fast the note is played.
fn tone_ui(ui: &mut Ui, now: &Now, painter: &mut ScreenPainter) {
    let (analysis, state, points_per_mm) = (now.analysis(), &now.bow, now.points_per_mm);
    let Some(tone) = bowed_now(analysis, state).and_then(|k| analysis.tones.notes.get(k)) else { return };
    // The projector's large type would make the panel taller than the bow.
    ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
    ui.add(Label::new(bold("Sounding point and weight")).truncate());
    let band = picture::tone_band(&now.lesson().setup, tone, f64::from(ui.available_width() / points_per_mm));
    let size = vec2(ui.available_width(), band.height_mm as f32 * points_per_mm);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let words = format!("Bow {}, {}.", tone.place_words(), tone.weight_words());
    let advice = match (tone.trouble(), tone.advice()) {
        (Some(trouble), _) => format!("{trouble}."),
        (None, advice) if advice.is_empty() => "As usual for this dynamic.".to_owned(),
        (None, advice) => format!("To keep the dynamic: {advice}."),
    };
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("Tone. {words} {advice}")));
    response.on_hover_text(format!(
        "Outlined: usual for this dynamic. Filled: with the planned speed. At this place {}. \
         The steps are a guide; the usual values are from memory and assumed, the ear decides.",
        tone.hand_words()
    ));
    let scale = Scale { origin: rect.min, points_per_mm };
    picture_ui(ui, rect, &band, scale, now.look.theme(), painter);
    ui.add(Label::new(words).wrap());
    ui.add(Label::new(RichText::new(advice).strong()).wrap());
}

/// The bow, and a line of words under it.
fn bar_ui(ui: &mut Ui, now: &Now, painter: &mut ScreenPainter) {
    let (analysis, state, points_per_mm) = (now.analysis(), &now.bow, now.points_per_mm);
    let width = f64::from(ui.available_width() / points_per_mm);
    let bow = picture::bow_bar(&now.study, state, width);
    let size = vec2(ui.available_width(), bow.height_mm as f32 * points_per_mm);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let lines = caption(analysis, state);
    let words = lines.join(" · ");
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("The bow. {words}")));
    let scale = Scale { origin: rect.min, points_per_mm };
    picture_ui(ui, rect, &bow, scale, now.look.theme(), painter);
    // As many lines for every note, or the music above would jump.
    for k in 0..LINES {
        ui.add(Label::new(lines.get(k).map_or("", String::as_str)).truncate());
    }
}

/// Stroke type and speed against the wanted speed; and in a line of its own what comes next.
fn caption(analysis: &Analysis, state: &BowState) -> Vec<String> {
    let Some(stroke) = state.stroke.and_then(|index| analysis.bowing.strokes.get(index)) else {
        let plucked = state.note.and_then(|note| analysis.line.notes.get(note)).is_some_and(|n| n.pizzicato);
        return vec![if plucked { "Pizzicato: the bow rests" } else { "Nothing here is bowed" }.to_owned()];
    };
    let bowed = state.note.and_then(|note| analysis.bowed_of(note));
    let k = bowed.unwrap_or(stroke.notes.start).clamp(stroke.notes.start, stroke.notes.end.saturating_sub(1));
    let mut words = Vec::new();
    if let Some(note) = analysis.bowing.notes.get(k) {
        words.push(note.stroke_type.word().to_owned());
        let speed = (analysis.plan.solution.end_mm[k] - analysis.plan.solution.start_mm[k]).abs()
            / note.sounding_s.max(1e-3);
        let ratio = analysis.speed_ratio(k);
        words.push(if (ratio - 1.0).abs() < 0.05 {
            format!("this note {:.0} cm/s, the wanted speed", speed / 10.0)
        } else {
            format!("this note {:.0} cm/s, {ratio:.1} times the wanted speed", speed / 10.0)
        });
    }
    vec![words.join(" · "), next_words(analysis, stroke.notes.end)]
}

/// "next: up-bow F#4 (finger 2) on the D string, from 30 of 65 cm, mf".
fn next_words(analysis: &Analysis, first: usize) -> String {
    let last = first.checked_sub(1).and_then(|last| analysis.bowing.notes.get(last));
    let after = last.and_then(|last| analysis.line.notes.get(last.note + 1));
    if after.is_some_and(|note| note.pizzicato) {
        return "next: pizzicato".to_owned();
    }
    let Some(next) = analysis.bowing.notes.get(first) else { return "then the end".to_owned() };
    let lift = if matches!(next.reached, Reached::Air(_)) { "lift and set the bow, " } else { "" };
    let plane =
        analysis.left_hand.placements.get(next.note).map_or(Plane::String(1), |placement| placement.plane);
    let name = analysis.arm_path.fan.level(plane).name.replace('+', " and ");
    let strings = match plane {
        Plane::String(_) => format!("on the {name} string"),
        Plane::Pair(_) => format!("on {name} together"),
    };
    let attack = analysis.line.notes.get(next.note);
    let loud = attack
        .and_then(|note| analysis.line.dynamics.mark_at(note.onset).map(|mark| format!(", {}", mark.mark())));
    let what =
        attack.map_or_else(String::new, |note| format!(" {}", with_fingers(analysis, next.note, note)));
    let whole = analysis.arm_path.arm.hair_mm();
    let place = analysis.plan.solution.start_mm.get(first);
    let place = place.map(|mm| format!(", from {:.0} of {:.0} cm", mm / 10.0, whole / 10.0));
    format!(
        "next: {lift}{}-bow{what} {strings}{}{}",
        next.direction.word(),
        place.unwrap_or_default(),
        loud.unwrap_or_default()
    )
}

/// "F#4 (finger 2)" for each head of a note.
fn with_fingers(analysis: &Analysis, index: usize, note: &Attack) -> String {
    let placement = analysis.left_hand.placements.get(index);
    let heads = note.notes.iter().enumerate().map(|(head, one)| {
        let name = one.pitch.name();
        let finger = placement.and_then(|placement| placement.fingers.get(head));
        match finger {
            Some(Finger::Open) => format!("{name} (open)"),
            Some(finger) => format!("{name} ({})", finger.words()),
            None => name,
        }
    });
    heads.collect::<Vec<_>>().join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::Study,
        lesson::{Writer, change::new_passage},
        score::{Event, NoteValue, Shared, TimeSignature},
        setup::{Family, Positions},
    };

    /// A plucked note has no bow: common practice, no source.
    #[test]
    fn plucked_notes_are_told_without_a_direction_of_the_bow() {
        let empty = new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0);
        let writer = (0..4).fold(Writer::new(empty), |writer, _| writer.note("A4", NoteValue::QUARTER));
        let (mut lesson, ids) = writer.finish().expect("it can be written");
        let plucked = |event: &&mut Shared<Event>| ids[1..3].contains(&event.id);
        lesson.score.events.iter_mut().filter(plucked).for_each(|event| event.pizzicato = true);
        let study = Study::new(lesson);
        let told = |seconds: f64| {
            let analysis = study.analysis();
            caption(analysis, &analysis.bow_at(seconds)).join(" · ")
        };
        assert!(told(0.5).ends_with("next: pizzicato"), "{}", told(0.5));
        assert_eq!(told(1.5), "Pizzicato: the bow rests");
        assert_eq!(told(2.5), "Pizzicato: the bow rests");
        assert!(told(3.5).contains("cm/s"), "{}", told(3.5));
        assert!(told(0.1).contains("next: pizzicato") && !told(0.1).contains("finger"));
        let texts = |seconds: f64| {
            let bow = picture::bow_bar(&study, &study.analysis().bow_at(seconds), 160.0);
            let text = |item: &picture::Item| match item {
                picture::Item::Text { text, .. } => Some(text.clone()),
                _ => None,
            };
            bow.items.iter().filter_map(text).collect::<Vec<_>>()
        };
        let has = |seconds: f64, words: &str| texts(seconds).iter().any(|text| text == words);
        assert!(has(1.5, "pizzicato: the bow rests") && !has(1.5, "string"));
        assert!(has(3.5, "string") && !has(3.5, "pizzicato: the bow rests"));
    }

    /// The next stroke with its note, finger, string and place on the bow.
    #[test]
    fn what_comes_next_is_told_with_finger_and_place() {
        let empty = new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0);
        let (mut lesson, _) = Writer::new(empty)
            .note("A4", NoteValue::HALF)
            .note("B4", NoteValue::HALF)
            .finish()
            .expect("short");
        lesson.setup.player.positions = Positions::First;
        let study = Study::new(lesson);
        let analysis = study.analysis();
        let words = caption(analysis, &analysis.bow_at(0.5)).join(" · ");
        let from = analysis.plan.solution.start_mm[1] / 10.0;
        let place = format!("from {from:.0} of 65 cm");
        assert!(
            words.contains("next: up-bow B4 (finger 1) on the A string") && words.contains(&place),
            "{words}"
        );
    }
}
