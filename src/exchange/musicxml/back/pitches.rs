//! Other pitches for notes that stay where they are.

use super::{
    super::{
        element::Element,
        error::ImportError,
        fresh::{Accidentals, pitch},
        notes::read_pitch,
        xml::child,
    },
    on_note::{put_before, put_into},
    patch::{Patch, step_of},
};
use crate::score::{Pitch, Score};

/// What follows `<accidental>` in a note (MusicXML 4.0, `note`).
const AFTER: [&str; 10] = [
    "time-modification",
    "stem",
    "notehead",
    "notehead-text",
    "staff",
    "beam",
    "notations",
    "lyric",
    "play",
    "listen",
];

/// What is to change in the pitch of one `<note>`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct OtherPitch {
    /// As it sounds, before and after.
    pub pitch: Option<(Pitch, Pitch)>,
    /// The accidental it is to have, or none, where it had another.
    pub accidental: Option<Option<&'static str>>,
}

/// The accidentals that the heads of a bar need, by event and place in the chord from the lowest.
pub(super) fn accidentals(score: &Score, bar: usize) -> Vec<((usize, usize), Option<&'static str>)> {
    let bar = &score.bars[bar];
    let mut in_force = Accidentals::new(bar.key);
    let from = score.events.partition_point(|event| event.onset < bar.start);
    let here = score.events[from..].iter().take_while(|event| event.onset < bar.end());
    let heads = here.enumerate().flat_map(|(event, own)| {
        own.notes.iter().enumerate().map(move |(head, note)| ((from + event, head), note))
    });
    heads.map(|(place, note)| (place, in_force.needed(note))).collect()
}

/// Changes the `<note>` that stands at `at`.
pub(super) fn change(patch: &mut Patch<'_>, at: usize, other: OtherPitch) -> Result<(), ImportError> {
    let tree = patch.element(at)?;
    let note = tree.root();
    let step = step_of(patch, note, at);
    if let (Some((old, new)), Some(node)) = (other.pitch, child(note, "pitch")) {
        // A part that transposes is written otherwise than it sounds.
        let written = read_pitch(node, "step", "octave").unwrap_or(old);
        let up = (written.midi() - old.midi()).round() as i32;
        let layout = patch.layout(at + node.at());
        let element = pitch(new.transposed(up)).text(layout.line_end, layout.indent, step);
        patch.replace(at + node.range().start..at + node.range().end, element);
    }
    let Some(accidental) = other.accidental else { return Ok(()) };
    let new = accidental.map(|name| Element::new("accidental").saying(name));
    match (child(note, "accidental"), new) {
        (Some(old), Some(new)) => {
            let layout = patch.layout(at + old.at());
            let new = new.text(layout.line_end, layout.indent, step);
            patch.replace(at + old.range().start..at + old.range().end, new);
        }
        (Some(old), None) => patch.remove(at + old.range().start..at + old.range().end),
        (None, Some(new)) => match note.children().find(|child| AFTER.contains(&child.name())) {
            Some(after) => put_before(patch, at + after.at(), &new, step),
            None => put_into(patch, at, note, &[new], step),
        },
        (None, None) => {}
    }
    Ok(())
}
