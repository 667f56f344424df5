//! What is placed in time, put into the text and taken out of it: dynamics, hairpins, words.

use super::{
    super::{
        element::Element,
        error::ImportError,
        raw::{RawEvent, RawPart},
        tree::Node,
        xml::{child, decimal, text},
    },
    on_note::{is_dynamic, put_after, put_before},
    patch::{Patch, step_of},
};
use crate::score::{Event, Quarters, Shared};

/// What is to go from a direction.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum GoneSign {
    /// A dynamic, by its letters.
    Dynamic(String),
    /// The end of a hairpin where it starts or stops.
    Wedge { start: bool },
    /// The end of an octave line where it starts or stops.
    OctaveLine { start: bool },
    /// Words.
    Words(String),
    /// A tempo, with its words if it has some.
    Tempo { words: bool },
}

impl GoneSign {
    fn is(&self, item: Node<'_, '_>) -> bool {
        match self {
            Self::Dynamic(mark) => {
                item.name() == "dynamics" && is_dynamic(item, mark)
                    || item.name() == "words" && text(item) == mark
            }
            Self::Wedge { start } => {
                item.name() == "wedge" && (item.attribute("type") == Some("stop")) != *start
            }
            Self::OctaveLine { start } => {
                item.name() == "octave-shift" && (item.attribute("type") == Some("stop")) != *start
            }
            Self::Words(words) => item.name() == "words" && text(item) == words,
            Self::Tempo { words } => item.name() == "metronome" || *words && item.name() == "words",
        }
    }
}

/// Takes signs out of the direction (or tempo for playback alone) that stands at `at`, and puts another
/// direction in their place.
pub(super) fn take_out(
    patch: &mut Patch<'_>,
    at: usize,
    gone: &[GoneSign],
    instead: Option<&Element>,
) -> Result<(), ImportError> {
    let tree = patch.element(at)?;
    let direction = tree.root();
    let tempo = gone.iter().any(|gone| matches!(gone, GoneSign::Tempo { .. }));
    let played = match direction.name() {
        "sound" => Some(direction),
        _ => child(direction, "sound"),
    };
    let played = played.filter(|sound| tempo && sound.attribute("tempo").is_some());
    // What else is said for playback stays.
    let says_more = played.is_some_and(|sound| sound.attributes() > 1);
    let goes = |item: &Node<'_, '_>| gone.iter().any(|gone| gone.is(*item));
    let types: Vec<Node<'_, '_>> =
        direction.children().filter(|node| node.name() == "direction-type").collect();
    let whole = |kind: &Node<'_, '_>| kind.children().all(|item| goes(&item));
    let nodes: Vec<Node<'_, '_>> = if types.iter().all(whole) && !says_more {
        vec![direction]
    } else {
        let gone = types
            .iter()
            .flat_map(|kind| if whole(kind) { vec![*kind] } else { kind.children().filter(goes).collect() });
        match played {
            Some(sound) if says_more => patch.remove_attribute(at + sound.at(), "tempo"),
            _ => {}
        }
        // Of a direction something must be left to see.
        let gone = gone.filter(|_| !types.iter().all(whole));
        gone.chain(played.filter(|_| !says_more)).collect()
    };
    if let Some(instead) = instead {
        let step = step_of(patch, direction, at);
        if let [only] = nodes[..]
            && only.at() == direction.at()
        {
            let layout = patch.layout(at);
            let text = instead.text(layout.line_end, layout.indent, step);
            patch.replace(at..at + direction.range().end, text);
            return Ok(());
        }
        put_before(patch, at, instead, step);
    }
    for node in nodes {
        patch.remove(at + node.range().start..at + node.range().end);
    }
    Ok(())
}

/// A sign that is put into the text.
pub(super) struct NewSign {
    /// Where it stands.
    pub at: Quarters,
    /// It ends something that came before: of two places in the text the one behind a note is taken.
    pub ends: bool,
    /// It belongs to the voice of the note it stands at.
    pub of_voice: bool,
    /// The direction, or what stands for one.
    pub what: Element,
}

/// Puts a sign beside the note or rest of the first voice that is nearest in time.
///
/// # Errors
/// When the text cannot be read again, which does not happen to a text that was read before.
pub(super) fn put_in(
    patch: &mut Patch<'_>,
    part: &RawPart,
    (events, raw): (&[Shared<Event>], &[&RawEvent]),
    sign: NewSign,
) -> Result<(), ImportError> {
    let first = events.iter().map(|event| event.voice).min();
    let line = || {
        let own =
            |(event, _): &(&Shared<Event>, &&RawEvent)| Some(event.voice) == first && event.grace.is_none();
        events.iter().zip(raw).filter(own)
    };
    let until = line().rfind(|(event, _)| event.end() == sign.at).filter(|_| sign.ends);
    let after = until.is_some();
    let here = until
        .or_else(|| line().find(|(event, _)| event.onset == sign.at))
        .or_else(|| line().rfind(|(event, _)| event.onset <= sign.at));
    let Some((event, written)) = here else { return Ok(()) };
    let shift = if after { Quarters::ZERO } else { sign.at - event.onset };
    let at = if after { last_note(written) } else { written.origin };
    let tree = patch.element(at)?;
    let note = tree.root();
    let mut direction = sign.what;
    if !shift.is_zero() {
        // Ticks in a quarter note, by the length of the note itself.
        let ticks = child(note, "duration").and_then(|ticks| decimal(text(ticks)));
        let ticks = ticks.filter(|_| written.duration.is_positive()).map(|ticks| ticks / written.duration);
        let Some(ticks) = ticks.map(|per_quarter| per_quarter * shift) else { return Ok(()) };
        direction = direction.moved(ticks.to_f64().round() as i64);
    }
    if let Some(voice) = child(note, "voice").filter(|_| sign.of_voice) {
        direction = direction.holding([Element::new("voice").saying(text(voice))]);
    }
    if part.staves > 1 && sign.of_voice {
        direction = direction.holding([Element::new("staff").saying(written.staff)]);
    }
    let step = step_of(patch, note, at);
    if after {
        put_after(patch, (at, at + note.range().end), &direction, step);
    } else {
        put_before(patch, at, &direction, step);
    }
    Ok(())
}

/// Where the last `<note>` of an event stands: of a chord, its last head.
fn last_note(written: &RawEvent) -> usize {
    written.heads.iter().map(|head| head.origin).max().unwrap_or(written.origin)
}
