//! What stands in time rather than on notes: dynamics, hairpins, words, tempo, clefs, plucking.

use std::collections::BTreeSet;

use super::{
    hairpins::{self, Span},
    octave_lines::{self, OctaveEnd},
    raw::{Origin, Placed, PlacedKind},
    settling::Settling,
    timeline::Tempo,
};
use crate::{
    exchange::diagnostic::FilePlace,
    score::{Dynamic, Mark, Quarters, Sign, SignId, SignKind, Sudden, swells},
};

/// What a dynamic mark means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Meaning {
    /// A level that stays.
    Level(Dynamic),
    /// An attack of one note: sharp, or soft at once; and its letters where they are not sf or fp.
    Attack(Mark, Option<Sudden>),
    /// A level from the next moment on, after another at the start (pf).
    Then(Dynamic),
}

/// Meaning of a mark by its letters (MusicXML 4.0, `dynamics`).
pub(super) fn meaning(mark: &str) -> Option<Meaning> {
    Some(match Sudden::from_letters(mark) {
        Some((mark, letters)) => Meaning::Attack(mark, letters),
        None if mark == "pf" => Meaning::Then(Dynamic::F),
        None => Meaning::Level(Dynamic::from_mark(mark)?),
    })
}

/// Text in small letters, with the dynamic letters of the SMuFL range U+E520 to U+E526 as letters.
pub(super) fn letters(text: &str) -> String {
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

/// A level among words, as in "mf dolce", "p cresc." or "sempre pp", and the words that are left where it stands before
/// them: the rest is no word of its own. Only where one level is named, in small letters ("in F" names a note), and not
/// as an abbreviation ("sul p.").
fn level_among(text: &str) -> Option<(Dynamic, &str)> {
    let is_level = |word: &str| {
        let bare = word.trim_matches(|c| ",;:()[]".contains(c));
        let short = bare.chars().filter(|c| *c != '.').count() == 1;
        let bare = if short { bare } else { bare.trim_end_matches('.') };
        if bare.chars().any(char::is_uppercase) { None } else { Dynamic::from_mark(&letters(bare)) }
    };
    let named: Vec<(usize, Dynamic)> = text
        .split_whitespace()
        .enumerate()
        .filter_map(|(place, word)| Some((place, is_level(word)?)))
        .collect();
    let [(place, level)] = named[..] else { return None };
    mark_in_words(text)?;
    let rest = text.trim_start().split_once(char::is_whitespace).map_or("", |(_, rest)| rest.trim());
    Some((level, if place == 0 { rest } else { text }))
}

/// Collected signs, with the order in which they were given.
struct Signs(Vec<(Sign, Origin)>);

impl Signs {
    fn push(&mut self, at: Quarters, kind: SignKind, origin: Origin) {
        self.0.push((Sign { id: SignId(0), at, kind }, origin));
    }

    /// Where signs of some kind stand, in order.
    fn places(&self, is_it: impl Fn(&SignKind) -> bool) -> Vec<Quarters> {
        let mut places: Vec<Quarters> =
            self.0.iter().filter(|(sign, _)| is_it(&sign.kind)).map(|(sign, _)| sign.at).collect();
        places.sort_unstable();
        places
    }
}

/// What directions start and end, collected before the ends are paired.
#[derive(Default)]
struct Collected {
    wedges: Vec<Span>,
    dashes: Vec<Span>,
    octaves: Vec<OctaveEnd>,
    /// Where plucking begins (true) and ends.
    plucked: Vec<(Quarters, bool)>,
}

/// Places all signs of a part, and marks the events they act on: the signs, and where each was read.
pub(super) fn place(settling: &mut Settling<'_>, tempos: &[Tempo]) -> (Vec<Sign>, Vec<Origin>) {
    let mut signs = Signs(Vec::new());
    for tempo in tempos {
        let at = settling.timeline.start(tempo.bar) + tempo.at;
        signs.push(at, SignKind::Tempo { qpm: tempo.qpm, text: tempo.text.clone() }, Origin::default());
    }
    let Collected { wedges, dashes, octaves, plucked } = directions(settling, &mut signs);
    for index in 0..settling.events.len() {
        let raw = settling.raw[index];
        for mark in &raw.dynamics {
            let at = settling.events[index].onset;
            dynamic(settling, &mut signs, at, mark, None, false);
        }
    }
    for (spans, printed) in [(wedges, true), (dashes, false)] {
        let dynamics = signs.places(|kind| matches!(kind, SignKind::Dynamic(_)));
        let found = hairpins::pair(settling, &dynamics, spans, printed);
        found.into_iter().for_each(|(at, kind, origin)| signs.push(at, kind, origin));
    }
    for (at, kind, origin) in octave_lines::pair(settling, octaves) {
        signs.push(at, kind, origin);
    }
    pluck(settling, plucked);
    words_without_length(settling, &signs);
    signs.0.sort_by_key(|(sign, _)| sign.at);
    for (number, (sign, _)) in signs.0.iter_mut().enumerate() {
        sign.id = SignId(number as u32);
    }
    signs.0.into_iter().unzip()
}

/// Places what stands at one moment, and collects what lasts.
fn directions(settling: &mut Settling<'_>, signs: &mut Signs) -> Collected {
    let mut collected = Collected::default();
    let (part, staff) = (settling.part, settling.staff);
    let onsets = settling.timeline.onsets(part);
    let levels = part.placed.iter().filter(|placed| match &placed.kind {
        PlacedKind::Dynamic(mark) => named(mark).is_some(),
        _ => false,
    });
    let levels: BTreeSet<(usize, Quarters)> =
        levels.map(|placed| (placed.spot.bar, placed.spot.at)).collect();
    for placed in part.placed.iter().filter(|placed| placed.staff.is_none_or(|s| s == staff)) {
        let at = settling.timeline.meant(placed.spot, &onsets);
        let span = |start, number, niente| Span {
            at,
            number,
            line: placed.line,
            origin: placed.origin,
            bar: placed.spot.bar,
            niente,
            start,
        };
        match &placed.kind {
            PlacedKind::Dynamic(mark) => {
                let beside = levels.contains(&(placed.spot.bar, placed.spot.at));
                dynamic(settling, signs, at, mark, Some(placed), beside);
            }
            PlacedKind::Words(text) if meaning(&letters(text)).is_some() => {
                dynamic(settling, signs, at, text, Some(placed), false);
            }
            PlacedKind::Words(text) => {
                let beside = levels.contains(&(placed.spot.bar, placed.spot.at));
                let (level, words) = match level_among(text).filter(|_| !beside) {
                    Some((level, words)) => (Some(level), words),
                    None => (None, text.as_str()),
                };
                let level = level.map(SignKind::Dynamic);
                let words = (!words.is_empty()).then(|| SignKind::Words(words.to_owned()));
                let kinds = level.into_iter().chain(words);
                kinds.for_each(|kind| signs.push(at, kind, Origin::of(placed)));
            }
            PlacedKind::Rehearsal(text) => {
                signs.push(at, SignKind::Rehearsal(text.clone()), Origin::of(placed))
            }
            PlacedKind::Clef(clef) => signs.push(at, SignKind::Clef(*clef), Origin::of(placed)),
            PlacedKind::Pizzicato(on) => collected.plucked.push((at, *on)),
            PlacedKind::WedgeStart { opens, number, niente } => {
                collected.wedges.push(span(Some(*opens), *number, *niente));
            }
            PlacedKind::WedgeStop { number, niente } => collected.wedges.push(span(None, *number, *niente)),
            PlacedKind::DashesStart { number, words } => {
                if let Some(opens) = swells(words) {
                    collected.dashes.push(span(Some(opens), *number, false));
                }
            }
            PlacedKind::OctaveLine { octaves, number } => collected.octaves.push(OctaveEnd {
                at,
                number: *number,
                octaves: *octaves,
                bar: placed.spot.bar,
                line: placed.line,
                origin: placed.origin,
            }),
            PlacedKind::DashesStop { number } => collected.dashes.push(span(None, *number, false)),
        }
    }
    collected
}

/// What a mark names, alone or within words.
fn named(mark: &str) -> Option<Meaning> {
    meaning(&letters(mark)).or_else(|| mark_in_words(mark))
}

/// Reads one dynamic mark; `placed` is the direction it comes from, none for a mark on a note. Where a level stands
/// `beside`, words without one need none.
fn dynamic(
    settling: &mut Settling<'_>,
    signs: &mut Signs,
    at: Quarters,
    mark: &str,
    placed: Option<&Placed>,
    beside: bool,
) {
    // Brackets stand as signs of their own beside the level that they enclose.
    if mark.chars().all(|c| "()[] ".contains(c)) {
        let (message, hint) = ("brackets round a dynamic are left out", "the level in them is read");
        if let Some(placed) = placed {
            settling.note_at(placed.spot.bar, placed.line, message, hint);
        }
        return;
    }
    let folded = letters(mark);
    let origin = placed.map(Origin::of).unwrap_or_default();
    let Some(found) = named(mark) else {
        signs.push(at, SignKind::Words(mark.to_owned()), origin);
        if beside {
            return;
        }
        let (message, hint) = (
            "a dynamic mark that names no level is kept as words",
            "add a level where the player should change",
        );
        match placed {
            Some(placed) => settling.note_at(placed.spot.bar, placed.line, message, hint),
            None => settling.report.note(FilePlace::default(), message, hint),
        }
        return;
    };
    if meaning(&folded).is_none() {
        signs.push(at, SignKind::Words(mark.to_owned()), origin);
    }
    match found {
        Meaning::Level(level) | Meaning::Then(level) => signs.push(at, SignKind::Dynamic(level), origin),
        Meaning::Attack(mark, letters) => {
            attack(settling, at, (mark, letters), placed);
            if let Some(level) = Sudden::level_after((mark, letters)) {
                signs.push(at, SignKind::Dynamic(level), origin);
            }
        }
    }
}

/// Puts a mark on the notes that start at `at`, or else on the nearest note within half a quarter
/// note, or the one that sounds there.
fn attack(
    settling: &mut Settling<'_>,
    at: Quarters,
    (mark, sudden): (Mark, Option<Sudden>),
    placed: Option<&Placed>,
) {
    let reach = Quarters::new(1, 2);
    let first = settling.events.partition_point(|event| event.onset + Quarters::from(16) < at);
    let near = |index: &usize| {
        let event = &settling.events[*index];
        !event.is_rest() && event.grace.is_none()
    };
    let until = settling.events.partition_point(|event| event.onset <= at + reach);
    let candidates: Vec<usize> = (first.min(until)..until).filter(near).collect();
    let here: Vec<usize> = candidates.iter().copied().filter(|&i| settling.events[i].onset == at).collect();
    let chosen: Vec<usize> = if here.is_empty() {
        let distance = |&index: &usize| {
            let event = &settling.events[index];
            let away = (event.onset - at).abs();
            // Before a note that is near, then under one that sounds.
            (away > reach && event.end() <= at, away)
        };
        let nearest = candidates.iter().copied().min_by_key(distance);
        nearest.filter(|index| !distance(index).0).into_iter().collect()
    } else {
        let voice = placed.and_then(|placed| placed.voice);
        let own: Vec<usize> =
            here.iter().copied().filter(|&i| voice == Some(settling.raw[i].voice)).collect();
        if own.is_empty() { here } else { own }
    };
    if chosen.is_empty() {
        let (bar, line) = placed.map_or((0, 0), |placed| (placed.spot.bar, placed.line));
        settling.warn_at(bar, line, "an accent mark stands at no note; it is left out", "");
    }
    for index in chosen {
        settling.events[index].marks.insert(mark);
        settling.events[index].sudden = sudden;
    }
}

/// Notes the words that ask for growing or fading without telling how long.
fn words_without_length(settling: &mut Settling<'_>, signs: &Signs) {
    let lined = signs.places(|kind| matches!(kind, SignKind::Hairpin { .. }));
    for (sign, _) in &signs.0 {
        let SignKind::Words(text) = &sign.kind else { continue };
        if swells(text).is_some() && !lined.contains(&sign.at) {
            let bar = settling.timeline.bar_of(sign.at);
            settling.note_at(
                bar,
                0,
                "cresc. or dim. without an end is taken to last to the next dynamic mark",
                "draw a hairpin where it should end sooner",
            );
        }
    }
}

/// Marks the plucked notes: from each pizz. to the next arco.
fn pluck(settling: &mut Settling<'_>, mut changes: Vec<(Quarters, bool)>) {
    changes.sort_by_key(|(at, _)| *at);
    for event in settling.events.iter_mut().filter(|event| !event.is_rest()) {
        let after = changes.partition_point(|(at, _)| *at <= event.onset);
        event.pizzicato |= after.checked_sub(1).is_some_and(|index| changes[index].1);
    }
}
