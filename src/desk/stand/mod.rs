//! The view for the music stand: what is played now and what comes next, to be read two metres away.

mod bow;
mod letters;

use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use strum::IntoEnumIterator as _;

use crate::{
    desk::state::{
        now::Now,
        steps::{StepUnit, present_and_next},
    },
    picture::{Face, Ink},
    practice::{Card, Passage},
};

use letters::{Hand, Letters};

/// What is set for the view.
#[derive(Clone, Copy, Debug, Default)]
pub struct StandDesk {
    /// What a step goes to.
    pub unit: StepUnit,
}

/// Heights as shares of the window. A capital has 0.71 of its size. The large lines stand for what is read from the
/// stand: on a screen 180 mm high (13 inches, the smallest thought of) their capitals have 11.6 mm, which two metres
/// away are 20 minutes of arc, the least that ISO 9241-303 recommends for reading with ease (from memory).
const LARGE: f32 = 0.091;
const NAME: f32 = 0.118;
/// What comes next, and the sentence: 16 minutes of arc there, the least that the same allows. Long ones are set
/// smaller, where they have no room.
const NEXT: f32 = 0.073;
const SAID: f32 = 0.073;
/// What is read from nearer by, or is shown beside as well.
const SMALL: f32 = 0.05;
const KEYS: f32 = 0.024;
/// Room at the edges.
const EDGE: f32 = 0.03;
/// Share of the width for what is played now.
const NOW: f32 = 0.6;

/// Fills the window.
pub fn stand_ui(ui: &mut Ui, now: &Now, stand: StandDesk, passage: Option<&Passage>) {
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let analysis = now.analysis();
    let (present, next) = present_and_next(&now.lesson().score, analysis, now.quarters());
    let card = |event| Card::of(&now.study, event);
    let (present, next) = (present.and_then(card), next.and_then(card));
    let said = passage.and_then(|passage| {
        let (phrase, sentence) = passage.at(now.quarters())?;
        Some(passage.phrases[phrase].sentences[sentence].words())
    });
    let letters = Letters { ui, look: now.look, high: rect.height() };
    let edge = EDGE * rect.height();
    let inner = rect.shrink(edge);
    let split = inner.left() + NOW * inner.width();
    let cards = 0.6 * rect.height();
    let left = Rect::from_min_max(inner.min, pos2(split - edge, inner.top() + cards));
    let right = Rect::from_min_max(pos2(split, inner.top()), pos2(inner.right(), inner.top() + cards));
    if let Some(card) = &present {
        card_ui(&letters, left, &card.place, card, false);
    }
    ui.painter().vline(split - 0.5 * edge, right.y_range(), (1.0, letters.ink(Ink::Rule)));
    match &next {
        Some(card) => card_ui(&letters, right, "then", card, true),
        None => {
            letters.line(right.min, right.width(), "the end", Hand::plain(NEXT, Ink::Faint));
        }
    }
    let bar =
        Rect::from_min_size(pos2(inner.left(), left.bottom()), vec2(inner.width(), 0.13 * rect.height()));
    bow::bow_ui(&letters, bar, now, present.as_ref(), next.as_ref());
    let words = Rect::from_min_max(
        pos2(inner.left(), bar.bottom()),
        pos2(inner.right(), rect.bottom() - 1.6 * KEYS * rect.height()),
    );
    letters.paragraph(words, said.unwrap_or_default(), Hand::plain(SAID, Ink::Text));
    keys_ui(&letters, rect, stand);
    let tell = |card: &Option<Card>| card.as_ref().map_or_else(|| "the end".to_owned(), told);
    let all =
        format!("At the stand: {}. Then: {}. {}", tell(&present), tell(&next), said.unwrap_or_default());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &all));
}

/// What the keys do, and which step is chosen.
fn keys_ui(letters: &Letters<'_>, rect: Rect, stand: StandDesk) {
    let units: Vec<String> = StepUnit::iter()
        .enumerate()
        .map(|(nth, unit)| {
            let mark = if unit == stand.unit { "by the " } else { "" };
            format!("{} {mark}{}", nth + 1, unit.words())
        })
        .collect();
    let keys = format!("left, right step · {} · space plays · V theme · Esc back", units.join(" · "));
    let at = pos2(rect.left() + EDGE * rect.height(), rect.bottom() - 0.4 * KEYS * rect.height());
    let hand = letters.fitted(&keys, Hand::plain(KEYS, Ink::Faint), rect.width() * 0.95);
    letters.text(at, Align2::LEFT_BOTTOM, &keys, hand);
}

/// The lines of a card, the most needed first.
fn lines(card: &Card) -> Vec<String> {
    let strings = match (card.strings.as_str(), card.fingers.as_str()) {
        ("", _) => String::new(),
        (strings, "") => strings.to_owned(),
        (strings, fingers) => format!("{strings}, {fingers}"),
    };
    let ready =
        if card.ready.contains("hops") || card.ready.contains("across") || card.ready.contains("shift") {
            card.ready.as_str()
        } else {
            ""
        };
    let lines = [strings.as_str(), &card.goal, &card.elbow, ready, &card.length_words()];
    lines.into_iter().filter(|line| !line.is_empty()).map(ToOwned::to_owned).collect()
}

fn told(card: &Card) -> String {
    let mut words = vec![card.name.clone()];
    words.extend((!card.bow.is_empty()).then(|| card.bow.clone()));
    words.extend(lines(card));
    words.join(", ")
}

/// A card: what, which way, and the lines.
fn card_ui(letters: &Letters<'_>, rect: Rect, head: &str, card: &Card, is_next: bool) {
    let high = letters.high;
    let (name, line, ink) = if is_next { (0.105, NEXT, Ink::Faint) } else { (NAME, LARGE, Ink::Text) };
    letters.line(rect.min, rect.width(), head, Hand::plain(SMALL, Ink::Faint));
    let top = rect.top() + SMALL * high * 1.15;
    let mut x = rect.left();
    if let Some(direction) = card.direction.filter(|_| !card.bow.starts_with("same")) {
        let side = 0.75 * name * high;
        bow::sign(
            letters,
            Rect::from_min_size(pos2(x, top + 0.3 * name * high), vec2(0.8 * side, side)),
            direction,
            ink,
        );
        x += 1.15 * side;
    }
    let strong = if is_next {
        Hand::plain(name, ink)
    } else {
        Hand { size: name, face: Face::SansBold, ink: Ink::Plan }
    };
    let wide = letters.line(pos2(x, top), rect.right() - x, &card.name, strong);
    let beside = x + wide + 0.4 * name * high;
    let at = pos2(beside, top + 0.55 * name * high);
    letters.line(at, (rect.right() - beside).max(1.0), &card.bow, Hand::plain(0.55 * name, ink));
    let rest = Rect::from_min_max(pos2(rect.left(), top + 1.3 * name * high), rect.max);
    letters.paragraph(rest, &lines(card).join("\n"), Hand::plain(line, ink));
}
