//! What stands in time rather than on notes: dynamics, hairpins, words, tempo, clefs, plucking.

use super::{
    raw::{Placed, PlacedKind},
    resolve::Draft,
    timeline::Tempo,
};
use crate::{
    exchange::diagnostic::Place,
    score::{Dynamic, Mark, Quarters, Sign, SignId, SignKind},
};

/// What a dynamic mark means.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Meaning {
    /// A level that stays.
    Level(Dynamic),
    /// A sharp attack of one note.
    Attack,
    /// Loud and at once soft.
    LoudSoft(Dynamic),
    /// A level from the next moment on, after another at the start (pf).
    Then(Dynamic),
}

/// Meaning of a mark by its letters (MusicXML 4.0, `dynamics`).
fn meaning(mark: &str) -> Option<Meaning> {
    use Dynamic::{F, P, Pp};
    Some(match mark {
        "sf" | "sfz" | "sffz" | "fz" | "rf" | "rfz" | "ffz" | "sff" => Meaning::Attack,
        "fp" | "sfp" | "sfzp" | "ffp" | "fzp" => Meaning::LoudSoft(P),
        "sfpp" | "fpp" => Meaning::LoudSoft(Pp),
        "pf" => Meaning::Then(F),
        other => Meaning::Level(Dynamic::from_mark(other)?),
    })
}

/// Text in small letters, with the dynamic letters of the SMuFL range U+E520 to U+E526 as letters.
fn letters(text: &str) -> String {
    let plain = |c: char| match c {
        '\u{E520}' => 'p',
        '\u{E521}' => 'm',
        '\u{E522}' => 'f',
        '\u{E523}' => 'r',
        '\u{E524}' => 's',
        '\u{E525}' => 'z',
        '\u{E526}' => 'n',
        other => other,
    };
    text.chars().map(plain).collect::<String>().trim().to_lowercase()
}

/// The mark within words such as "sempre pp" or "p dolce". Words that only compare ("più f") name
/// no level.
fn mark_in_words(text: &str) -> Option<Meaning> {
    let text = letters(text);
    let words: Vec<&str> = text.split([' ', ',', '.', '\n']).filter(|word| !word.is_empty()).collect();
    if words.iter().any(|word| ["più", "piu", "meno", "poco", "un", "quasi"].contains(word)) {
        return None;
    }
    words.iter().find_map(|word| meaning(word))
}

/// Collected signs, with the order in which they were given.
struct Signs(Vec<Sign>);

impl Signs {
    fn push(&mut self, at: Quarters, kind: SignKind) {
        self.0.push(Sign { id: SignId(0), at, kind });
    }
}

/// A hairpin or line of dashes being collected: place, number, and what starts there.
struct Span {
    at: Quarters,
    number: u8,
    line: u32,
    bar: usize,
    niente: bool,
    /// Opening or closing, or the end of a span.
    start: Option<bool>,
}

/// Places all signs of a part, and marks the events they act on.
pub(super) fn place(draft: &mut Draft<'_>, tempos: &[Tempo]) -> Vec<Sign> {
    let part = draft.part;
    let onsets = draft.timeline.onsets(part);
    let mut signs = Signs(Vec::new());
    let mut plucked: Vec<(Quarters, bool)> = Vec::new();
    let mut wedges: Vec<Span> = Vec::new();
    let mut dashes: Vec<Span> = Vec::new();
    for tempo in tempos {
        let at = draft.timeline.start(tempo.bar) + tempo.at;
        signs.push(at, SignKind::Tempo { qpm: tempo.qpm, text: tempo.text.clone() });
    }
    let staff = draft.staff;
    for placed in part.placed.iter().filter(|placed| placed.staff.is_none_or(|s| s == staff)) {
        let at = draft.timeline.meant(placed.spot, &onsets);
        let span = |start, number, niente| Span {
            at,
            number,
            line: placed.line,
            bar: placed.spot.bar,
            niente,
            start,
        };
        match &placed.kind {
            PlacedKind::Dynamic(mark) => dynamic(draft, &mut signs, at, mark, Some(placed)),
            PlacedKind::Words(text) if meaning(&letters(text)).is_some() => {
                dynamic(draft, &mut signs, at, text, Some(placed));
            }
            PlacedKind::Words(text) => signs.push(at, SignKind::Words(text.clone())),
            PlacedKind::Rehearsal(text) => signs.push(at, SignKind::Rehearsal(text.clone())),
            PlacedKind::Clef(clef) => signs.push(at, SignKind::Clef(*clef)),
            PlacedKind::Pizzicato(on) => plucked.push((at, *on)),
            PlacedKind::WedgeStart { opens, number, niente } => {
                wedges.push(span(Some(*opens), *number, *niente));
            }
            PlacedKind::WedgeStop { number, niente } => wedges.push(span(None, *number, *niente)),
            PlacedKind::DashesStart { number, words } => {
                if let Some(opens) = swells(words) {
                    dashes.push(span(Some(opens), *number, false));
                }
            }
            PlacedKind::DashesStop { number } => dashes.push(span(None, *number, false)),
        }
    }
    for index in 0..draft.events.len() {
        let raw = draft.raw[index];
        for mark in &raw.dynamics {
            let at = draft.events[index].onset;
            dynamic(draft, &mut signs, at, mark, None);
        }
    }
    hairpins(draft, &mut signs, wedges, true);
    hairpins(draft, &mut signs, dashes, false);
    pluck(draft, plucked);
    words_without_length(draft, &signs);
    let first_note = draft.events.iter().find(|event| !event.is_rest()).map(|event| event.onset);
    let marked = |at| signs.0.iter().any(|s| s.at <= at && matches!(s.kind, SignKind::Dynamic(_)));
    if let Some(first) = first_note
        && !marked(first)
    {
        draft.report.note(
            Place::default(),
            "no dynamic mark stands at the start; mf is assumed up to the first",
            "",
        );
    }
    signs.0.sort_by_key(|sign| sign.at);
    for (number, sign) in signs.0.iter_mut().enumerate() {
        sign.id = SignId(number as u32);
    }
    signs.0
}

fn bar_number<'d>(draft: &'d Draft<'_>, bar: usize) -> &'d str {
    draft.part.bars.get(bar).map_or("", |bar| bar.number.as_str())
}

/// Reads one dynamic mark; `placed` is the direction it comes from, none for a mark on a note.
fn dynamic(draft: &mut Draft<'_>, signs: &mut Signs, at: Quarters, mark: &str, placed: Option<&Placed>) {
    let folded = letters(mark);
    let Some(found) = meaning(&folded).or_else(|| mark_in_words(mark)) else {
        signs.push(at, SignKind::Words(mark.to_owned()));
        let (bar, line) = placed.map_or((0, 0), |placed| (placed.spot.bar, placed.line));
        let bar = if placed.is_some() { bar_number(draft, bar).to_owned() } else { String::new() };
        draft.report.note(
            Place { bar: &bar, line },
            "a dynamic mark that names no level is kept as words",
            "add a level where the player should change",
        );
        return;
    };
    if meaning(&folded).is_none() {
        signs.push(at, SignKind::Words(mark.to_owned()));
    }
    match found {
        Meaning::Level(level) | Meaning::Then(level) => signs.push(at, SignKind::Dynamic(level)),
        Meaning::Attack => attack(draft, at, Mark::Sforzando, placed),
        Meaning::LoudSoft(level) => {
            attack(draft, at, Mark::FortePiano, placed);
            signs.push(at, SignKind::Dynamic(level));
        }
    }
}

/// Puts a mark on the notes that start at `at`, or else on the nearest note within half a quarter
/// note, or the one that sounds there.
fn attack(draft: &mut Draft<'_>, at: Quarters, mark: Mark, placed: Option<&Placed>) {
    let reach = Quarters::new(1, 2);
    let first = draft.events.partition_point(|event| event.onset + Quarters::from(16) < at);
    let near = |index: &usize| {
        let event = &draft.events[*index];
        !event.is_rest() && event.grace.is_none()
    };
    let until = draft.events.partition_point(|event| event.onset <= at + reach);
    let candidates: Vec<usize> = (first.min(until)..until).filter(near).collect();
    let here: Vec<usize> = candidates.iter().copied().filter(|&i| draft.events[i].onset == at).collect();
    let chosen: Vec<usize> = if here.is_empty() {
        let distance = |&index: &usize| {
            let event = &draft.events[index];
            let away = (event.onset - at).abs();
            // Before a note that is near, then under one that sounds.
            (away > reach && event.end() <= at, away)
        };
        let nearest = candidates.iter().copied().min_by_key(distance);
        nearest.filter(|index| !distance(index).0).into_iter().collect()
    } else {
        let voice = placed.and_then(|placed| placed.voice);
        let own: Vec<usize> = here.iter().copied().filter(|&i| voice == Some(draft.raw[i].voice)).collect();
        if own.is_empty() { here } else { own }
    };
    if chosen.is_empty() {
        let (bar, line) = placed.map_or((0, 0), |placed| (placed.spot.bar, placed.line));
        let bar = bar_number(draft, bar).to_owned();
        draft.report.warn(Place { bar: &bar, line }, "an accent mark stands at no note; it is left out", "");
    }
    for index in chosen {
        draft.events[index].marks.insert(mark);
    }
}

/// Pairs starts and ends by number in musical time and adds the hairpins.
fn hairpins(draft: &mut Draft<'_>, signs: &mut Signs, mut spans: Vec<Span>, printed: bool) {
    spans.sort_by_key(|span| (span.at, span.start.is_some()));
    let dynamics: Vec<Quarters> = {
        let mut at: Vec<Quarters> = signs
            .0
            .iter()
            .filter(|sign| matches!(sign.kind, SignKind::Dynamic(_)))
            .map(|sign| sign.at)
            .collect();
        at.sort_unstable();
        at
    };
    let mut open: Vec<Span> = Vec::new();
    let mut found: Vec<(Span, Quarters, bool)> = Vec::new();
    let mut loose: Vec<Span> = Vec::new();
    for span in spans {
        let position = open.iter().position(|other| other.number == span.number);
        let before = position.map(|position| open.remove(position));
        match (span.start, before) {
            (Some(_), before) => {
                loose.extend(before);
                open.push(span);
            }
            (None, Some(start)) => found.push((start, span.at, span.niente)),
            (None, None) if printed => {
                let bar = bar_number(draft, span.bar).to_owned();
                let place = Place { bar: &bar, line: span.line };
                draft.report.warn(place, "a hairpin ends that never began; it is left out", "");
            }
            (None, None) => {}
        }
    }
    loose.extend(open);
    for span in loose {
        let bar = bar_number(draft, span.bar).to_owned();
        let place = Place { bar: &bar, line: span.line };
        draft.report.warn(
            place,
            "a hairpin never ends; it is led to the next dynamic mark or the end of its bar",
            "",
        );
        let next = dynamics.get(dynamics.partition_point(|at| *at <= span.at)).copied();
        let bar_end = draft.timeline.start(span.bar + 1);
        let end = next.map_or(bar_end, |next| next.min(bar_end));
        if end > span.at {
            found.push((span, end, false));
        }
    }
    for (start, end, niente) in found {
        signs.push(
            start.at,
            SignKind::Hairpin { opens: start.start == Some(true), end, niente: niente || start.niente },
        );
    }
}

/// Whether words tell the music to grow (true) or fade (false).
fn swells(words: &str) -> Option<bool> {
    let folded = words.to_lowercase();
    if folded.contains("decresc") || folded.contains("dim") {
        return Some(false);
    }
    folded.contains("cresc").then_some(true)
}

/// Notes the words that ask for growing or fading without telling how long.
fn words_without_length(draft: &mut Draft<'_>, signs: &Signs) {
    let lined: Vec<Quarters> = signs
        .0
        .iter()
        .filter(|sign| matches!(sign.kind, SignKind::Hairpin { .. }))
        .map(|sign| sign.at)
        .collect();
    for sign in &signs.0 {
        let SignKind::Words(text) = &sign.kind else { continue };
        if swells(text).is_some() && !lined.contains(&sign.at) {
            let bar = draft.timeline.bar_of(sign.at);
            let bar = bar_number(draft, bar).to_owned();
            draft.report.note(
                Place { bar: &bar, line: 0 },
                "cresc. or dim. without an end stays as words and changes no level",
                "draw a hairpin where the level should change",
            );
        }
    }
}

/// Marks the plucked notes: from each pizz. to the next arco.
fn pluck(draft: &mut Draft<'_>, mut changes: Vec<(Quarters, bool)>) {
    changes.sort_by_key(|(at, _)| *at);
    for event in draft.events.iter_mut().filter(|event| !event.is_rest()) {
        let after = changes.partition_point(|(at, _)| *at <= event.onset);
        event.pizzicato |= after.checked_sub(1).is_some_and(|index| changes[index].1);
    }
}
