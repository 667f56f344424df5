//! Why notes cannot be played together, and what would work in their place.

use crate::{score::Note, setup::Positions};

use super::neck::{Marks, Neck, SAME_PITCH};

/// Notes that can be played in the place of others that cannot.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// What it changes: "play E6 an octave lower".
    pub words: String,
    /// The notes, lowest first.
    pub notes: Vec<Note>,
}

const OTHER_STRINGS: &str = "choose other strings";

/// What can be played in the place of notes that cannot: other strings first, then one of the outer
/// notes in another octave.
pub(super) fn ways(neck: &Neck, notes: &[Note], marks: &Marks) -> Vec<Way> {
    let mut ways = Vec::new();
    if notes.len() < 2 {
        return ways;
    }
    let free = |note: &Note| Note { string: None, fingers: Vec::new(), ..note.clone() };
    let unbound: Vec<Note> = notes.iter().map(free).collect();
    let works = |notes: &[Note]| !neck.fingerings(notes, marks).is_empty();
    if unbound != notes && works(&unbound) {
        ways.push(Way { words: OTHER_STRINGS.to_owned(), notes: unbound.clone() });
    }
    for (index, by) in [(notes.len() - 1, -12), (0, 12), (notes.len() - 1, 12), (0, -12)] {
        let mut moved = unbound.clone();
        moved[index].pitch = moved[index].pitch.transposed(by);
        moved.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        if works(&moved) {
            let way = if by > 0 { "higher" } else { "lower" };
            let words = format!("play {} an octave {way}", notes[index].pitch.name());
            ways.push(Way { words, notes: moved });
        }
    }
    ways
}

/// Why the notes cannot be played, and what would work.
pub(super) fn problem(neck: &Neck, notes: &[Note], marks: &Marks) -> String {
    for note in notes {
        if neck.fingerings(std::slice::from_ref(note), marks).is_empty() {
            return problem_of_one(neck, note, marks);
        }
    }
    let names: Vec<String> = notes.iter().map(|note| note.pitch.name()).collect();
    let names = names.join(" and ");
    if notes.len() > neck.open.len() {
        return format!(
            "{names} are {} notes on {} strings; leave out inner notes",
            notes.len(),
            neck.open.len()
        );
    }
    let found = ways(neck, notes, marks);
    // One octave is enough to say.
    let octave =
        found.iter().position(|way| way.words != OTHER_STRINGS).map_or(found.len(), |first| first + 1);
    let mut remedies: Vec<String> = found.into_iter().take(octave).map(|way| way.words).collect();
    let low = neck.strings_of(&notes[0], marks);
    let high = neck.strings_of(&notes[notes.len() - 1], marks);
    let some = |fits: &dyn Fn(usize, usize) -> bool| low.iter().any(|&a| high.iter().any(|&b| fits(a, b)));
    let apart = notes.len() == 2 && some(&|a, b| a != b);
    if apart {
        remedies.push("roll it from the lower note to the upper one".to_owned());
    } else {
        remedies.push("play the notes one after another".to_owned());
    }
    let all = Neck { positions: Positions::All, ..Neck::new(neck.setup) };
    let why = if let ([a], [b]) = (&low[..], &high[..])
        && a == b
    {
        format!("lie on one string only, the {} string", neck.setup.instrument.strings[*a].name)
    } else if !all.fingerings(notes, marks).is_empty() {
        format!("do not lie under the hand with {}", neck.positions.words())
    } else if some(&|a, b| a.abs_diff(b) + 1 == notes.len()) {
        "lie too far apart for the hand on neighbouring strings".to_owned()
    } else {
        "do not lie on neighbouring strings".to_owned()
    };
    format!("{names} {why}; {}", remedies.join(", or "))
}

fn problem_of_one(neck: &Neck, note: &Note, marks: &Marks) -> String {
    let name = note.pitch.name();
    let strings = &neck.setup.instrument.strings;
    if let Some(number) = note.string {
        let free = Note { string: None, ..note.clone() };
        if let Some(other) = neck.playable_on(&free, marks) {
            let Some(marked) = usize::from(number).checked_sub(1).and_then(|s| strings.get(s)) else {
                return format!(
                    "{name} is marked for string {number}, which there is not; play it on the {} string",
                    strings[other].name
                );
            };
            let why = if note.pitch.midi() < marked.pitch.midi() { "below" } else { "out of reach on" };
            return format!(
                "{name} is {why} the {} string; play it on the {} string",
                marked.name, strings[other].name
            );
        }
    }
    let works = |by: i32| {
        let pitch = note.pitch.transposed(by);
        let moved = Note { pitch, string: None, fingers: Vec::new(), ..note.clone() };
        neck.playable_on(&moved, marks).is_some()
    };
    let lowest = strings.last().map_or("lowest", |string| &string.name);
    let highest = strings.first().map_or("highest", |string| &string.name);
    if neck.open.last().is_none_or(|open| note.pitch.midi() < open - SAME_PITCH) {
        let by = (1..=10).find(|octaves| works(12 * octaves));
        return format!("{name} is below the open {lowest} string; {}", octaves_words(by, "higher"));
    }
    let by = (1..=10).find(|octaves| works(-12 * octaves));
    if !neck.strings_of(note, marks).is_empty() {
        let words = neck.positions.words();
        return format!("{name} does not lie under the hand with {words}; {}", octaves_words(by, "lower"));
    }
    format!(
        "{name} is more than {} half steps above the open {highest} string, out of this player's reach; {}",
        neck.reach,
        octaves_words(by, "lower")
    )
}

fn octaves_words(octaves: Option<i32>, way: &str) -> String {
    match octaves {
        Some(1) => format!("play it an octave {way}"),
        Some(count) => format!("play it {count} octaves {way}"),
        None => "leave it out".to_owned(),
    }
}
