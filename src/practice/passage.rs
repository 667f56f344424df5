//! Exercises made from a passage: its bow alone, its crossings alone, its left hand alone, other rhythms, note
//! added to note. Each keeps the strings and fingers of the passage.
//!
//! Which exercises there are is common practice, no source; their values and lengths are assumed.

use std::{collections::BTreeSet, ops::Range};

use strum::{EnumCount, IntoStaticStr, VariantArray};

use super::{
    piece_scale::{ScaleForm, piece_scale},
    sheet::Sheet,
    stopped::stopped,
};
use crate::{
    analysis::Study,
    arm::{Finger, Plane},
    lesson::{Lesson, change::excerpt},
    score::{
        Event, EventId, Mark, Note, NoteValue, Quarters, Score, Shared, Sign, SignId, SignKind, Slur, SlurId,
        variants,
    },
};

/// Most notes of a passage that an exercise takes, and rows of those that grow note by note. Assumed: what is
/// practised at a time.
const MOST_NOTES: usize = 96;
const MOST_ROWS: usize = 8;
/// Most different crossings. Assumed.
const MOST_CROSSINGS: usize = 16;

const HALF: NoteValue = NoteValue::plain(-1);
const QUARTER: NoteValue = NoteValue::QUARTER;
const EIGHTH: NoteValue = NoteValue::plain(-3);
const SIXTEENTH: NoteValue = NoteValue::plain(-4);

/// What is practised of a passage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumCount, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "kebab-case")]
pub enum Practised {
    /// The bow alone, on open strings.
    OpenStrings,
    /// Each crossing alone.
    Crossings,
    /// The bow between two levels that occur, slow to fast.
    Rocking,
    /// A stop before each crossing.
    StopBefore,
    /// The left hand alone, in slurs of four.
    LeftHand,
    /// Long and short.
    Dotted,
    /// Short and long.
    Reversed,
    /// Two, three and four fast notes, then a stop.
    InGroups,
    /// From the front, note by note.
    FromFront,
    /// From the back, note by note.
    FromBack,
    /// Each bar in one bow, then as it is printed.
    OneBow,
    /// Strokes that only work fast, as short as they are, with a stop after each.
    Stopped,
    /// The scale of the piece, one note a bow.
    ScaleSingle,
    /// The scale of the piece in its slurs.
    ScaleSlurred,
    /// The scale of the piece in its strokes.
    ScaleStroked,
    /// The arpeggio of the piece, one note a bow.
    ArpeggioSingle,
    /// The arpeggio of the piece in its slurs.
    ArpeggioSlurred,
}

impl Practised {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// Those that keep the notes of the passage, in the order in which they are offered; the others are its scales.
    pub fn of_passage() -> impl Iterator<Item = Self> {
        Self::ALL.into_iter().filter(|kind| kind.scale().is_none())
    }

    /// How the scale of the piece is played, and whether it is the arpeggio; none of an exercise from the notes
    /// themselves.
    fn scale(self) -> Option<(ScaleForm, bool)> {
        match self {
            Self::ScaleSingle => Some((ScaleForm::Single, false)),
            Self::ScaleSlurred => Some((ScaleForm::Slurred, false)),
            Self::ScaleStroked => Some((ScaleForm::Stroked, false)),
            Self::ArpeggioSingle => Some((ScaleForm::Single, true)),
            Self::ArpeggioSlurred => Some((ScaleForm::Slurred, true)),
            _ => None,
        }
    }

    /// Its stable name, in files and commands.
    pub fn id(self) -> &'static str {
        self.into()
    }

    /// The one of that name.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }

    /// Its name on the screen and on paper.
    pub fn words(self) -> &'static str {
        match self {
            Self::OpenStrings => "open strings only",
            Self::Crossings => "crossings alone",
            Self::Rocking => "from level to level",
            Self::StopBefore => "stop before each crossing",
            Self::LeftHand => "left hand in slurs of four",
            Self::Dotted => "long and short",
            Self::Reversed => "short and long",
            Self::InGroups => "in twos, threes and fours",
            Self::FromFront => "note by note from the front",
            Self::FromBack => "note by note from the back",
            Self::OneBow => "one bow a bar, then as printed",
            Self::Stopped => "the same bow, stopped",
            Self::ScaleSingle => "scale, one note a bow",
            Self::ScaleSlurred => "scale in the slurs of the piece",
            Self::ScaleStroked => "scale in the strokes of the piece",
            Self::ArpeggioSingle => "arpeggio, one note a bow",
            Self::ArpeggioSlurred => "arpeggio in the slurs of the piece",
        }
    }

    /// What it is for, in a sentence for the pupil.
    pub fn purpose(self) -> &'static str {
        match self {
            Self::OpenStrings => "Only the bow: its places, its lengths, its strings.",
            Self::Crossings => "The note before the crossing and the note after it; the elbow goes first.",
            Self::Rocking => {
                "The same two levels slower and faster: the faster it is, the less the arm moves."
            }
            Self::StopBefore => "In the stop the new finger goes down and the elbow goes to the new string.",
            Self::LeftHand => "Only the fingers: an easy bow, even notes.",
            Self::Dotted => "The short note is fast and light; the long one gives time to think.",
            Self::Reversed => "The same the other way round: every second move is a fast one.",
            Self::InGroups => "Fast, but few notes at a time; in the stop think of the next.",
            Self::FromFront => "One note more each time.",
            Self::FromBack => "The end first, so that it is the part you know best.",
            Self::OneBow => "First the notes with one calm bow, then with the printed bowing.",
            Self::Stopped => {
                "Where a stroke only works fast: as short and in the same place as in the piece, from the string, \
                 a stop after each."
            }
            Self::ScaleSingle => "For the sound: from frog to tip and back, the same all the way.",
            Self::ScaleSlurred => {
                "For its slurs: each note gets its part of the hair, the bow changes unheard."
            }
            Self::ScaleStroked => "For its short strokes: each begins alike, in one place on the bow.",
            Self::ArpeggioSingle => "For its leaps: the elbow is on the next string before the bow is.",
            Self::ArpeggioSlurred => "For slurs over the strings: the arm moves all the time, in one curve.",
        }
    }
}

/// A note of the passage as it is played there.
struct Step {
    notes: Vec<Note>,
    plane: Plane,
    fingers: Vec<Finger>,
}

/// The exercise for some bars, for the same instrument and player.
///
/// # Errors
/// In words, where the bars have nothing for it: no bowed notes, no crossing.
pub fn passage_exercise(study: &Study, bars: Range<usize>, kind: Practised) -> Result<Lesson, String> {
    if let Some((form, is_arpeggio)) = kind.scale() {
        return piece_scale(study, &bars, form, is_arpeggio);
    }
    let part = excerpt(study.lesson(), bars.clone()).map_err(|error| error.to_string())?;
    let title = format!("{}: {}", part.score.title, kind.words());
    let made = match kind {
        Practised::OpenStrings => open_strings(study, part)?,
        Practised::OneBow => one_bow(part)?,
        Practised::Stopped => stopped(study, &bars)?,
        _ => {
            // The pairs of levels are sought in all there is.
            let most = if kind == Practised::Rocking { usize::MAX } else { MOST_NOTES };
            let steps = steps(study, &bars, most)?;
            let sheet = written(study, &steps, kind)?;
            let setup = crate::setup::Setup { tempo_share: 1.0, ..study.lesson().setup.clone() };
            let score = sheet.score(study.lesson(), bars.start);
            Lesson { setup, ..Lesson::new(score, study.lesson().setup.instrument.family) }
        }
    };
    let mut made = made;
    made.score.title = title;
    Ok(made)
}

/// The bowed notes of some bars, each bound to its strings and fingers.
fn steps(study: &Study, bars: &Range<usize>, most: usize) -> Result<Vec<Step>, String> {
    let analysis = study.analysis();
    let played = analysis.line.notes.iter().zip(&analysis.left_hand.placements);
    let here = played.filter(|(attack, placement)| {
        let is_played = !attack.cue && !attack.pizzicato && attack.grace.is_none();
        bars.contains(&attack.bar) && is_played && placement.problem.is_none() && !attack.notes.is_empty()
    });
    let steps: Vec<Step> = here
        .take(most)
        .map(|(attack, placement)| {
            let bound = attack.notes.iter().enumerate().map(|(head, note)| Note {
                string: placement.strings.get(head).copied(),
                fingers: placement
                    .fingers
                    .get(head)
                    .map(|finger| finger.mark().to_owned())
                    .into_iter()
                    .collect(),
                harmonic: note.harmonic,
                ..Note::new(note.pitch)
            });
            Step { notes: bound.collect(), plane: placement.plane, fingers: placement.fingers.clone() }
        })
        .collect();
    match steps.len() {
        0 => Err("Nothing is bowed in these bars".to_owned()),
        1 => Err("There is only one note in these bars".to_owned()),
        _ => Ok(steps),
    }
}

/// The open strings of a plane.
fn open(lesson: &Lesson, plane: Plane) -> Vec<Note> {
    let strings = &lesson.setup.instrument.strings;
    let note = |string: u8| {
        let open = strings.get(usize::from(string).saturating_sub(1))?;
        let fingers = vec![Finger::Open.mark().to_owned()];
        Some(Note { string: Some(string), fingers, ..Note::new(open.pitch) })
    };
    let mut notes: Vec<Note> = plane.strings().filter_map(note).collect();
    notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
    notes
}

/// Notes written anew in common time.
fn written(study: &Study, steps: &[Step], kind: Practised) -> Result<Sheet, String> {
    let lesson = study.lesson();
    let name = |plane: Plane| study.analysis().arm_path.fan.level(plane).name.clone();
    let mut sheet = Sheet::default();
    let crossings: Vec<usize> = (1..steps.len()).filter(|k| steps[k - 1].plane != steps[*k].plane).collect();
    let no_crossing = || "No string is crossed in these bars".to_owned();
    match kind {
        Practised::Crossings => {
            let mut known: BTreeSet<Vec<i64>> = BTreeSet::new();
            for k in &crossings {
                let (from, to) = (&steps[k - 1], &steps[*k]);
                let key =
                    from.notes.iter().chain(&to.notes).map(|note| (100.0 * note.pitch.midi()).round() as i64);
                if known.len() >= MOST_CROSSINGS || !known.insert(key.collect()) {
                    continue;
                }
                sheet.row(&format!("{} to {}", name(from.plane), name(to.plane)));
                for step in [from, to, from, to] {
                    sheet.note(QUARTER, step.notes.clone());
                }
            }
        }
        Practised::Rocking => {
            let pair = |k: &usize| (steps[k - 1].plane, steps[*k].plane);
            let same = |one: (Plane, Plane), other: (Plane, Plane)| one == other || one == (other.1, other.0);
            let mut known: Vec<((Plane, Plane), usize)> = Vec::new();
            for crossed in crossings.iter().map(pair) {
                match known.iter_mut().find(|(other, _)| same(*other, crossed)) {
                    Some((_, count)) => *count += 1,
                    None => known.push((crossed, 1)),
                }
            }
            // Those that come most often, in the order in which they come.
            let mut counts: Vec<usize> = known.iter().map(|(_, count)| *count).collect();
            counts.sort_unstable_by(|a, b| b.cmp(a));
            let least = counts.get(MOST_ROWS).map_or(0, |count| count + 1);
            for ((from, to), _) in known.into_iter().filter(|(_, count)| *count >= least).take(MOST_ROWS) {
                let (a, b) = (open(lesson, from), open(lesson, to));
                let rows = [("slowly", HALF, 1), ("two in a bow", QUARTER, 2), ("four in a bow", EIGHTH, 4)];
                for (words, value, in_a_bow) in rows {
                    sheet.row(&format!("{} and {}, {words}", name(from), name(to)));
                    let count = (Quarters::from(4) / value.length()).to_f64() as usize;
                    let ids: Vec<EventId> = (0..count)
                        .map(|k| sheet.note(value, if k % 2 == 0 { a.clone() } else { b.clone() }))
                        .collect();
                    sheet.slurs(&ids, in_a_bow);
                }
            }
        }
        Practised::StopBefore => {
            for (k, step) in steps.iter().enumerate() {
                if crossings.contains(&k) {
                    sheet.rest_to_beat();
                    let finger = step.fingers.iter().find(|finger| **finger != Finger::Open);
                    let finger =
                        finger.map_or_else(String::new, |finger| format!("{} down, ", finger.words()));
                    sheet.say(&format!("{finger}elbow for {}", name(step.plane)));
                    sheet.rest(QUARTER);
                }
                sheet.note(EIGHTH, step.notes.clone());
            }
        }
        Practised::LeftHand => {
            let ids: Vec<EventId> = steps.iter().map(|step| sheet.note(EIGHTH, step.notes.clone())).collect();
            sheet.slurs(&ids, 4);
        }
        Practised::Dotted | Practised::Reversed => {
            let values = if kind == Practised::Dotted {
                [EIGHTH.dotted(), SIXTEENTH]
            } else {
                [SIXTEENTH, EIGHTH.dotted()]
            };
            for pair in steps.chunks(2) {
                match pair {
                    [one, two] => {
                        sheet.note(values[0], one.notes.clone());
                        sheet.note(values[1], two.notes.clone());
                    }
                    rest => {
                        for step in rest {
                            sheet.note(QUARTER, step.notes.clone());
                        }
                    }
                }
            }
        }
        Practised::InGroups => {
            for (count, words) in [(2, "in twos"), (3, "in threes"), (4, "in fours")] {
                sheet.row(words);
                for group in steps.chunks(count) {
                    for step in group {
                        sheet.note(SIXTEENTH, step.notes.clone());
                    }
                    sheet.rest_to_beat();
                    if count == 4 {
                        sheet.rest(QUARTER);
                    }
                }
            }
        }
        Practised::FromFront | Practised::FromBack => {
            for count in 2..=steps.len().min(MOST_ROWS + 1) {
                sheet.row(&format!("{count} notes"));
                let from = if kind == Practised::FromFront { 0 } else { steps.len() - count };
                for step in &steps[from..from + count] {
                    sheet.note(EIGHTH, step.notes.clone());
                }
            }
        }
        _ => {}
    }
    if sheet.is_empty() || kind == Practised::StopBefore && crossings.is_empty() {
        return Err(no_crossing());
    }
    Ok(sheet)
}

/// The bars as they are, each note the open string it is played on.
fn open_strings(study: &Study, mut part: Lesson) -> Result<Lesson, String> {
    let analysis = study.analysis();
    let mut count = 0;
    for event in &mut part.score.events {
        let Some(note) = analysis.line.note_of(event.id) else { continue };
        let (attack, placement) = (&analysis.line.notes[note], &analysis.left_hand.placements[note]);
        if attack.pizzicato || event.notes.is_empty() {
            continue;
        }
        let strings = &study.lesson().setup.instrument.strings;
        let old = event.notes.clone();
        let mut new: Vec<Note> = old
            .iter()
            .zip(&placement.strings)
            .filter_map(|(note, string)| {
                let open = strings.get(usize::from(*string).saturating_sub(1))?;
                let (tie_start, tie_stop) = (note.tie_start, note.tie_stop);
                let fingers = vec![Finger::Open.mark().to_owned()];
                Some(Note { string: Some(*string), tie_start, tie_stop, fingers, ..Note::new(open.pitch) })
            })
            .collect();
        new.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        if new.len() == old.len() {
            event.notes = new;
            let fingered = |mark: &Mark| !matches!(mark, Mark::Trill);
            event.marks.retain(fingered);
            count += 1;
        }
    }
    if count == 0 {
        return Err("Nothing is bowed in these bars".to_owned());
    }
    Ok(part)
}

/// Each bar twice: all of it in one bow, then as it is printed.
fn one_bow(part: Lesson) -> Result<Lesson, String> {
    let old = &part.score;
    let mut score = Score { title: String::new(), part: old.part.clone(), ..Score::default() };
    let (mut bars, mut events, mut slurs) = (Vec::new(), Vec::new(), Vec::new());
    let mut signs: Vec<SignKind> = Vec::new();
    let mut words: Vec<(Quarters, &str)> = Vec::new();
    signs.extend(old.signs.iter().filter(|sign| sign.at.is_zero()).map(|sign| sign.kind.clone()));
    let mut at = Quarters::ZERO;
    for bar in old.bars.iter() {
        let inside = |event: &&Shared<Event>| event.onset >= bar.start && event.onset < bar.end();
        let here: Vec<&Shared<Event>> = old.events.iter().filter(inside).collect();
        for is_one in [true, false] {
            let first = events.len() as u32;
            let new_id = |id: EventId| {
                let place = here.iter().position(|event| event.id == id)?;
                Some(EventId(first + place as u32))
            };
            for (place, event) in here.iter().enumerate() {
                let mut event = Event::clone(event);
                event.id = EventId(first + place as u32);
                event.onset = at + (event.onset - bar.start);
                let ends_it = event.onset + event.duration >= at + bar.length;
                for note in &mut event.notes {
                    note.tie_stop &= event.onset > at;
                    note.tie_start &= !ends_it;
                }
                if is_one {
                    (event.bow, event.retake, event.same_bow, event.stroke) = (None, false, None, None);
                    event
                        .marks
                        .retain(|mark| !mark.is_accent() && !matches!(mark, Mark::Staccato | Mark::Tenuto));
                }
                events.push(Shared::from(event));
            }
            let notes: Vec<EventId> = here
                .iter()
                .filter(|event| !event.is_rest() && event.grace.is_none())
                .filter_map(|event| new_id(event.id))
                .collect();
            let mut slur = |from: EventId, to: EventId| {
                slurs.push(Slur { id: SlurId(slurs.len() as u32), from, to, phrase: false });
            };
            if is_one {
                if let [from, .., to] = notes[..] {
                    slur(from, to);
                }
            } else {
                for one in old.slurs.iter().filter(|slur| !slur.phrase) {
                    // What goes on over the barline is cut there.
                    let (from, to) = (new_id(one.from), new_id(one.to));
                    let from = from.or(notes.first().copied().filter(|_| to.is_some()));
                    let to =
                        to.or(notes.last().copied().filter(|_| from.is_some() && new_id(one.from).is_some()));
                    if let Some((from, to)) = from.zip(to).filter(|(from, to)| from < to) {
                        slur(from, to);
                    }
                }
            }
            words.push((at, if is_one { "one bow" } else { "as printed" }));
            let mut bar = bar.clone();
            bar.start = at;
            bar.pickup = false;
            at += bar.length;
            bars.push(bar);
        }
    }
    let has_notes = events.iter().any(|event: &Shared<Event>| !event.is_rest());
    if !has_notes {
        return Err("Nothing is bowed in these bars".to_owned());
    }
    let all = signs.into_iter().map(|kind| (Quarters::ZERO, kind));
    let words = words.into_iter().map(|(at, words)| (at, SignKind::Words(words.to_owned())));
    score.signs =
        (0..).zip(all.chain(words)).map(|(id, (at, kind))| Sign { id: SignId(id), at, kind }).collect();
    score.bars = bars.into();
    score.events = events;
    score.slurs = slurs.into();
    score.sort();
    let mut lesson = Lesson { setup: part.setup.clone(), ..Lesson::new(score, part.setup.instrument.family) };
    lesson.forget_lost_notes();
    lesson.checked().map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{analysis::analyse, bowing::Verdict, lesson::demo::demo, setup::Family};

    fn made(study: &Study, bars: Range<usize>, kind: Practised) -> Lesson {
        passage_exercise(study, bars, kind).unwrap_or_else(|why| panic!("{kind:?}: {why}"))
    }

    fn names(lesson: &Lesson) -> Vec<String> {
        let events = lesson.score.events.iter().filter(|event| !event.is_rest());
        events
            .map(|event| event.notes.iter().map(|note| note.pitch.name()).collect::<Vec<_>>().join("+"))
            .collect()
    }

    /// Every exercise of every part of the demo, on every instrument it can be played on: whole bars, strings and
    /// fingers as in the passage, and nothing that cannot be played where the passage can.
    #[test]
    fn every_exercise_can_be_played_on_the_strings_of_the_passage() {
        let mut count = 0;
        for family in [Family::Viola, Family::Violin] {
            let mut lesson = demo();
            lesson.setup = lesson.setup.on(family);
            let study = Study::new(lesson);
            for bars in [0..2, 2..6, 4..8, 8..12] {
                for kind in Practised::ALL {
                    let Ok(exercise) = passage_exercise(&study, bars.clone(), kind) else { continue };
                    count += 1;
                    assert!(kind.scale().is_some() || exercise.score.title.ends_with(kind.words()));
                    for bar in &exercise.score.bars {
                        let inside =
                            |event: &&Shared<Event>| event.onset >= bar.start && event.onset < bar.end();
                        let sum: Quarters =
                            exercise.score.events.iter().filter(inside).map(|event| event.duration).sum();
                        assert_eq!(sum, bar.length, "{kind:?} bar {}", bar.number);
                    }
                    let analysis = analyse(&exercise);
                    for (attack, placement) in analysis.line.notes.iter().zip(&analysis.left_hand.placements)
                    {
                        assert_eq!(placement.problem, None, "{kind:?} {attack:?}");
                        for (note, string) in attack.notes.iter().zip(&placement.strings) {
                            assert!(note.string.is_none_or(|bound| bound == *string), "{kind:?} {attack:?}");
                        }
                    }
                    let bad = |finding: &&crate::bowing::Finding| finding.verdict == Verdict::Impossible;
                    assert_eq!(analysis.findings.told.iter().find(bad), None, "{kind:?}");
                }
            }
        }
        assert!(count > 60, "{count}");
    }

    /// The bow alone: rhythm, slurs and bow marks of the passage, and its crossings.
    #[test]
    fn open_strings_keep_the_bow_of_the_passage() {
        let study = Study::new(demo());
        let exercise = made(&study, 4..8, Practised::OpenStrings);
        let part = excerpt(study.lesson(), 4..8).unwrap();
        let bow = |lesson: &Lesson| -> Vec<_> {
            let events = lesson.score.events.iter();
            events
                .map(|event| (event.onset, event.duration, event.bow, event.retake, event.same_bow))
                .collect()
        };
        assert_eq!(bow(&exercise), bow(&part));
        assert_eq!(exercise.score.slurs, part.score.slurs);
        let open: BTreeSet<String> =
            exercise.setup.instrument.strings.iter().map(|string| string.pitch.name()).collect();
        let played = names(&exercise);
        assert!(
            played.iter().flat_map(|names| names.split('+')).all(|name| open.contains(name)),
            "{played:?}"
        );
        let planes = |lesson: &Lesson| -> Vec<Plane> {
            analyse(lesson).left_hand.placements.iter().map(|placement| placement.plane).collect()
        };
        assert_eq!(planes(&exercise), planes(study.lesson())[first_note(&study, 4)..first_note(&study, 8)]);
    }

    fn first_note(study: &Study, bar: usize) -> usize {
        study.analysis().line.notes.partition_point(|note| note.bar < bar)
    }

    #[test]
    fn notes_are_added_one_by_one() {
        let study = Study::new(demo());
        let all: Vec<String> = study.analysis().line.notes[first_note(&study, 4)..first_note(&study, 6)]
            .iter()
            .map(|attack| attack.notes.iter().map(|note| note.pitch.name()).collect::<Vec<_>>().join("+"))
            .collect();
        let front = names(&made(&study, 4..6, Practised::FromFront));
        assert_eq!(front[..5], [&all[..2], &all[..3]].concat());
        let back = names(&made(&study, 4..6, Practised::FromBack));
        let last = all.len();
        assert_eq!(back[..5], [&all[last - 2..], &all[last - 3..]].concat());
        assert_eq!(back[back.len() - all.len()..], all[..]);
    }

    #[test]
    fn each_bar_comes_in_one_bow_and_then_as_printed() {
        let study = Study::new(demo());
        let exercise = made(&study, 4..6, Practised::OneBow);
        assert_eq!(exercise.score.bars.len(), 4);
        let analysis = analyse(&exercise);
        let strokes_in = |bar: usize| {
            analysis
                .bowing
                .strokes
                .iter()
                .filter(|stroke| analysis.note(stroke.notes.start).bar == bar)
                .count()
        };
        assert_eq!((strokes_in(0), strokes_in(2)), (1, 1));
        let before = study.analysis();
        let printed = |bar: usize| {
            before.bowing.strokes.iter().filter(|stroke| before.note(stroke.notes.start).bar == bar).count()
        };
        assert_eq!((strokes_in(1), strokes_in(3)), (printed(4), printed(5)));
    }

    #[test]
    fn what_a_passage_has_not_is_told() {
        let empty = crate::lesson::change::new_passage(
            Family::Viola,
            crate::score::TimeSignature::new(4, 4),
            0,
            60.0,
        );
        let one = crate::lesson::Writer::new(empty)
            .note("D4", NoteValue::HALF)
            .note("E4", NoteValue::HALF)
            .finish()
            .unwrap()
            .0;
        let study = Study::new(one);
        for kind in [Practised::Crossings, Practised::Rocking, Practised::StopBefore] {
            assert_eq!(
                passage_exercise(&study, 0..1, kind).unwrap_err(),
                "No string is crossed in these bars"
            );
        }
        assert!(passage_exercise(&study, 5..9, Practised::LeftHand).is_err());
    }
}
