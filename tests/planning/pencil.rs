//! Pencil marks: of every topic a passage that must have the mark and a near twin that must not; what they
//! say is true of the plan; what repeats is told once.
//!
//! The rules are common practice, no source. The passages are for a violin at 60 quarters a minute.

use std::collections::BTreeSet;

use elbowroom::{
    analysis::{Analysis, Study, analyse},
    bowing::{Need, PencilMark, Topic},
    lesson::{
        Lesson, Writer,
        change::{hair_pin, new_passage, set_bow, set_words},
    },
    score::{
        Direction::{self, Down, Up},
        Dynamic, Mark, NoteValue, Pitch, Quarters, SignKind, TimeSignature,
    },
    setup::Family,
};
use strum::VariantArray as _;

use crate::{
    data,
    music::{DOTTED_EIGHTH, DOTTED_HALF, EIGHTH, HALF, QUARTER, SIXTEENTH, WHOLE, violin, written},
    random::Random,
};

fn marks(writer: Writer) -> Vec<PencilMark> {
    Study::new(written(writer).0).pencil().marks.clone()
}

fn notes(writer: Writer, count: usize, value: NoteValue) -> Writer {
    (0..count).fold(writer, |writer, _| writer.note("A4", value))
}

fn dynamic(writer: Writer, at: i64, dynamic: Dynamic) -> Writer {
    writer.sign(Quarters::from(at), SignKind::Dynamic(dynamic))
}

fn crescendo(writer: Writer, from: i64, to: i64) -> Writer {
    writer
        .sign(Quarters::from(from), SignKind::Hairpin { opens: true, end: Quarters::from(to), niente: false })
}

/// A passage with the mark and its near twin.
type Twins = (Topic, &'static str, Writer, Writer);

/// Up-bow and down-bow on the first note, and a note after it.
fn started(direction: Direction) -> Writer {
    violin().note("A4", HALF).bow(direction).mark(Mark::Sforzando).note("B4", HALF)
}

fn accents() -> Vec<Twins> {
    let slurred = |first: bool| {
        let marked = |writer: Writer, here: bool| if here { writer.mark(Mark::Sforzando) } else { writer };
        marked(marked(violin().note("A4", EIGHTH), first).note("B4", EIGHTH), !first).slur(2)
    };
    let arrives = |slur: usize| {
        notes(violin(), 1, QUARTER)
            .note("B4", QUARTER)
            .note("C5", QUARTER)
            .note("D5", QUARTER)
            .note("E5", HALF)
            .mark(Mark::Sforzando)
            .slur(slur)
    };
    vec![
        (Topic::Accent, "save, then lean", slurred(false), slurred(true)),
        (Topic::StrongBeatUp, "bite, up-bow", started(Up), started(Down)),
        (
            Topic::SlurChange,
            "own bow?",
            arrives(4),
            notes(violin(), 4, QUARTER).note("E5", HALF).mark(Mark::Sforzando),
        ),
    ]
}

fn directions() -> Vec<Twins> {
    let after_rest = |direction| {
        violin()
            .note("A4", QUARTER)
            .bow(Down)
            .rest(QUARTER)
            .note("B4", QUARTER)
            .bow(direction)
            .note("C5", QUARTER)
    };
    let twice = |direction| violin().note("A4", HALF).bow(Up).note("B4", HALF).bow(direction);
    let upbeat = violin().rest(DOTTED_HALF).note("B4", QUARTER).note("C5", WHOLE);
    let figure = |values: &[_]| {
        let bar =
            |writer: Writer| values.iter().fold(writer, |writer: Writer, &value| writer.note("A4", value));
        // A mark on the first note: what follows alternates.
        bar(bar(violin())).edit(|lesson, ids| set_bow(lesson, &ids[..1], Some(Down)))
    };
    vec![
        (Topic::Retake, "down again", after_rest(Down), after_rest(Up)),
        (Topic::Hooked, "two ups", twice(Up), twice(Down)),
        (Topic::Way, "start up", upbeat, violin().note("B4", WHOLE).bow(Down).note("C5", WHOLE)),
        (Topic::SameFigure, "other way round", figure(&[HALF, QUARTER, QUARTER]), figure(&[QUARTER; 4])),
    ]
}

/// A passage that begins on an up-bow for the sake of a printed down-bow on its second note: the reason is the
/// mark, not a light start. A loud one begins down and is lifted.
#[test]
fn a_start_before_a_bow_mark_names_the_mark() {
    let passage = |dynamic_here| {
        dynamic(violin(), 0, dynamic_here)
            .note("A4", QUARTER)
            .note("B4", HALF)
            .edit(|lesson, ids| set_bow(lesson, &ids[1..], Some(Down)))
            .note("C5", QUARTER)
    };
    let retaken = marks(passage(Dynamic::F)).iter().any(|mark| mark.topic == Topic::Retake);
    assert!(retaken, "a loud first beat is a down-bow");
    for level in [Dynamic::Mf, Dynamic::P] {
        let marks = marks(passage(level));
        let start = marks.iter().find(|mark| mark.topic == Topic::Way).expect("a start on an up-bow");
        assert_eq!(start.text, "start up");
        assert!(start.sentence.contains("so that the down-bow marked in bar 1"), "{}", start.sentence);
        assert_eq!(start.why, "The bow mark there asks for it.");
    }
}

fn amounts() -> Vec<Twins> {
    let slur = |value| violin().note("A4", value).note("B4", value).slur(2);
    let swelling = |from| crescendo(violin().note("A4", HALF).note("B4", HALF).slur(2), from, 4);
    let swell = |fades: bool| {
        let end = Quarters::from(4);
        let closing = SignKind::Hairpin { opens: !fades, end, niente: false };
        let grows = violin().note("A4", HALF).note("B4", HALF).slur(2);
        crescendo(grows, 0, 2).sign(Quarters::from(2), closing)
    };
    vec![
        (Topic::RunsOut, "slow, or divide", slur(WHOLE), slur(QUARTER)),
        (Topic::LongNote, "slow bow", violin().note("A4", WHOLE), violin().note("A4", HALF)),
        (Topic::Amount, "swell", swell(true), swelling(0)),
        (Topic::Amount, "save, then spend", swelling(0), violin().note("A4", HALF).note("B4", HALF).slur(2)),
    ]
}

fn the_rest() -> Vec<Twins> {
    let dotted = |mark: Option<Mark>| {
        (0..16).fold(violin(), |writer, _| {
            let writer = writer.note("A4", SIXTEENTH);
            match mark {
                Some(mark) => writer.mark(mark),
                None => writer,
            }
        })
    };
    let step = |to| dynamic(dynamic(notes(violin(), 8, QUARTER), 0, Dynamic::F), 4, to);
    let leap = |to: &str| violin().note("G3", QUARTER).note(to, QUARTER).slur(2);
    // The last note is plucked, at once or after a rest.
    let plucked = |rest: bool| {
        let writer = violin().note("A4", HALF);
        let (writer, at) = if rest {
            (writer.rest(DOTTED_EIGHTH), Quarters::new(11, 4))
        } else {
            (writer, Quarters::from(2))
        };
        writer.note("A4", QUARTER).edit(move |lesson, _| set_words(lesson, at, "pizz."))
    };
    let ends = |level| dynamic(violin().note("A4", HALF).rest(HALF).note("A4", WHOLE), 0, level);
    vec![
        (Topic::Chord, "break", violin().note("G3 D4 B4", HALF), violin().note("B4", HALF)),
        (Topic::Crossing, "arm early", leap("E5"), leap("A3")),
        (Topic::StrokePlace, "bouncing", dotted(Some(Mark::Staccato)), dotted(None)),
        (Topic::SuddenDynamic, "sudden p", step(Dynamic::P), step(Dynamic::Mf)),
        (Topic::Plucking, "finger ready", plucked(false), plucked(true)),
        (Topic::PhraseEnd, "fade out", ends(Dynamic::P), ends(Dynamic::F)),
    ]
}

#[test]
fn every_topic_is_told_where_it_belongs_and_not_of_its_twin() {
    let mut topics = BTreeSet::new();
    for (topic, word, passage, twin) in [accents(), directions(), amounts(), the_rest()].into_iter().flatten()
    {
        let told: Vec<PencilMark> = marks(passage).into_iter().filter(|mark| mark.topic == topic).collect();
        assert!(told.iter().any(|mark| mark.text.contains(word)), "{topic:?}: no {word:?} in {told:#?}");
        let not = marks(twin).into_iter().find(|mark| mark.topic == topic && mark.text.contains(word));
        assert_eq!(not, None, "{topic:?} is told of the twin");
        topics.insert(topic);
    }
    assert_eq!(topics, Topic::VARIANTS.iter().copied().collect(), "topics without a pair of passages");
}

/// A crescendo that leads up to a soft mark makes it sudden, though it is no softer than before.
#[test]
fn soft_after_a_crescendo_is_sudden() {
    let soft = |writer| dynamic(dynamic(writer, 0, Dynamic::P), 4, Dynamic::P);
    let told = |writer| {
        marks(writer).into_iter().any(|mark| mark.topic == Topic::SuddenDynamic && mark.weight == Need::Must)
    };
    assert!(told(crescendo(soft(notes(violin(), 8, QUARTER)), 0, 4)));
    assert!(!told(soft(notes(violin(), 8, QUARTER))));
}

/// Soft at once after a strong accent, where the dynamic itself does not change. Common practice, no source.
#[test]
fn soft_after_an_accent_is_sudden() {
    let again = |accented: bool| {
        let writer = notes(violin(), 3, QUARTER).note("A4", QUARTER);
        let writer = if accented { writer.mark(Mark::Sforzando) } else { writer };
        let soft = dynamic(dynamic(notes(writer, 4, QUARTER), 0, Dynamic::Mp), 4, Dynamic::Mp);
        marks(soft).iter().any(|mark| mark.topic == Topic::SuddenDynamic)
    };
    assert!(again(true) && !again(false));
}

/// What a soft mark breaks off had grown to be heard, however far the crescendo was printed; a short swell is no
/// more than that. Common practice, no source.
#[test]
fn soft_after_an_open_crescendo_is_sudden() {
    let broken_off = |from: i64| {
        let soft = dynamic(dynamic(notes(violin(), 12, QUARTER), 0, Dynamic::P), 8, Dynamic::P);
        marks(crescendo(soft, from, 6)).iter().any(|mark| mark.topic == Topic::SuddenDynamic)
    };
    assert!(broken_off(0) && !broken_off(4));
}

/// A soft level that was printed since the accent has answered it: printed once more it is nothing new. Common
/// practice, no source.
#[test]
fn a_soft_level_printed_again_is_no_news() {
    let told = |again: bool| {
        let struck = notes(violin(), 3, QUARTER).note("A4", QUARTER).mark(Mark::Sforzando);
        let soft = dynamic(dynamic(notes(struck, 4, QUARTER), 0, Dynamic::Mp), 4, Dynamic::Mp);
        let soft = if again { dynamic(soft, 5, Dynamic::Mp) } else { soft };
        let sudden = marks(soft).into_iter().filter(|mark| mark.topic == Topic::SuddenDynamic);
        sudden.map(|mark| mark.at).collect::<Vec<_>>()
    };
    assert_eq!(told(true), told(false));
    assert_eq!(told(true), [Quarters::from(4)]);
}

/// A mark stands over the note that it is about, also where the note before it has the same name; and what
/// grows by the weight of each pulse is not told to take a full bow. Common practice, no source.
#[test]
fn a_new_level_is_told_of_its_own_note() {
    let told = |name: &str, pulsed: bool| {
        let soft = notes(violin(), 4, QUARTER);
        let loud = (0..4).fold(soft, |writer, _| {
            let writer = writer.note(name, QUARTER);
            if pulsed { writer.mark(Mark::Staccato) } else { writer }
        });
        let loud = if pulsed { loud.slur(4) } else { loud };
        let marks = marks(dynamic(dynamic(loud, 0, Dynamic::P), 4, Dynamic::F));
        marks.into_iter().find(|mark| mark.topic == Topic::SuddenDynamic).expect("told").sentence
    };
    assert!(told("A4", false).contains("this note"), "{}", told("A4", false));
    assert!(told("B4", false).contains("the B"), "{}", told("B4", false));
    assert!(told("B4", true).contains("not more bow"), "{}", told("B4", true));
}

/// Accents of one kind that come down and up in turn are alike; a soft one beside a sharp one is not, and is
/// leaned into. Common practice, no source.
#[test]
fn accents_are_alike_only_where_they_are_marked_alike() {
    let words = |second: Mark| {
        let writer =
            violin().note("A4", QUARTER).bow(Down).mark(Mark::Accent).note("B4", QUARTER).mark(second);
        let told = marks(notes(writer, 2, QUARTER));
        let second = told.into_iter().find(|mark| mark.at == Quarters::ONE && mark.topic == Topic::Accent);
        second.map(|mark| mark.text)
    };
    assert_eq!(words(Mark::Accent).as_deref(), Some("accents alike"));
    assert_eq!(words(Mark::SoftAccent).as_deref(), Some("lean in, up-bow"));
}

/// A bow that takes most of the hair does not stay in a half of it: what stays begins behind it. Common practice,
/// no source.
#[test]
fn what_stays_in_a_half_begins_behind_a_long_bow() {
    let row = |writer| notes(writer, 20, EIGHTH);
    let begins = |long: bool| {
        let head = if long { violin().note("B4", WHOLE).bow(Up) } else { violin() };
        let told = marks(dynamic(row(head), 0, Dynamic::F));
        told.into_iter().find(|mark| mark.text == "lower half, broad").map(|mark| mark.at)
    };
    assert_eq!(begins(false), Some(Quarters::ZERO));
    assert_eq!(begins(true), Some(Quarters::from(4)));
}

/// Where the same notes come again at once, the phrase ends with them. Common practice, no source.
#[test]
fn a_chord_that_comes_again_ends_no_phrase() {
    let ends = |next: [i32; 2]| {
        let stop = |writer: Writer, midi: [i32; 2]| {
            writer.pitches(&midi.map(|midi| Pitch::from_midi(midi, false)), HALF).rest(HALF)
        };
        let soft = dynamic(notes(stop(stop(violin(), [62, 69]), next), 1, WHOLE), 0, Dynamic::P);
        marks(soft).iter().any(|mark| mark.topic == Topic::PhraseEnd && mark.at == Quarters::ZERO)
    };
    assert!(ends([64, 72]) && !ends([62, 69]));
}

/// What a movement ends with says nothing of how the next begins. Common practice, no source.
#[test]
fn a_movement_begins_at_its_own_level() {
    let (mut lesson, _) = written(dynamic(notes(violin(), 8, QUARTER), 0, Dynamic::Ppp));
    let level = |lesson: &Lesson| analyse(lesson).line.dynamics.level(4.5);
    assert_eq!(level(&lesson), 0.0);
    lesson.score.bars[1].number = "0".to_owned();
    // Nor does a crescendo at the end of one lead to the next, or break off there.
    let grown = analyse(&written(crescendo(notes(violin(), 8, QUARTER), 0, 4)).0).line.dynamics.level(3.999);
    let mut ends = written(crescendo(dynamic(notes(violin(), 8, QUARTER), 4, Dynamic::Pp), 0, 4)).0;
    ends.score.bars[1].number = "0".to_owned();
    assert_eq!(analyse(&ends).line.dynamics.level(3.999), grown);
    assert_eq!(level(&lesson), Dynamic::DEFAULT as usize as f64);
}

/// An accent on the second part of a tied note is leaned into while the note sounds: it does not begin with a
/// bite. Common practice, no source.
#[test]
fn an_accent_on_a_tied_over_note_comes_late() {
    let (mut lesson, ids) = written(notes(violin(), 1, QUARTER).note("C5", WHOLE).note("D5", QUARTER));
    let tied: Vec<_> = lesson.score.events.iter().map(|event| event.id).collect();
    assert!(tied.len() > ids.len(), "the note over the barline is tied");
    let second = lesson.score.events.iter().position(|event| event.notes.iter().any(|note| note.tie_stop));
    lesson.score.events[second.expect("a tied-over note")].marks.insert(Mark::Sforzando);
    let told = Study::new(lesson.clone()).pencil().marks.clone();
    let accents: Vec<&PencilMark> = told.iter().filter(|mark| mark.topic == Topic::Accent).collect();
    let [mark] = &accents[..] else { panic!("{accents:#?}") };
    assert_eq!(mark.text, "lean later, same bow");
    assert!(mark.sentence.contains("beat 1 of bar 2"), "{}", mark.sentence);
}

/// Soft slurs that go on alike are played in the half of the bow where they are light; neither mf nor a tune
/// of many rhythms is told so.
#[test]
fn the_half_of_a_passage_is_told_where_it_begins() {
    let passage = |level, values: [NoteValue; 2]| {
        let bow = |writer: Writer| writer.note("A4", values[0]).note("B4", values[1]).slur(2);
        let told = marks(dynamic((0..8).fold(violin(), |writer, _| bow(writer)), 0, level));
        let places: Vec<PencilMark> =
            told.into_iter().filter(|mark| mark.topic == Topic::StrokePlace).collect();
        places.first().map(|mark| (mark.text.clone(), mark.at))
    };
    assert_eq!(
        passage(Dynamic::P, [QUARTER, QUARTER]),
        Some(("upper half, light".to_owned(), Quarters::ZERO))
    );
    assert_eq!(passage(Dynamic::Mf, [QUARTER, QUARTER]), None);
    // A note before a rest begins nothing.
    let slur = |writer: Writer| writer.note("A4", QUARTER).note("B4", QUARTER).slur(2);
    let rest = (0..8).fold(violin().note("C5", QUARTER).rest(QUARTER), |writer, _| slur(writer));
    let begun = marks(dynamic(rest, 0, Dynamic::P)).into_iter().find(|mark| mark.text == "upper half, light");
    assert_eq!(begun.map(|mark| mark.at), Some(Quarters::from(2)));
    let tune = [HALF, EIGHTH, QUARTER, DOTTED_HALF, SIXTEENTH, WHOLE].into_iter().cycle().take(18);
    let tune = dynamic(tune.fold(violin(), |writer, value| writer.note("A4", value)), 0, Dynamic::P);
    assert!(!marks(tune).iter().any(|mark| mark.text == "upper half, light"));
}

/// Loud and long strokes are broad, loud and short ones are not.
#[test]
fn short_strokes_are_not_broad() {
    let places = |tempo: f64| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, tempo));
        let bars = (0..40).fold(dynamic(empty, 0, Dynamic::Ff), |writer, _| {
            writer.note("A4", QUARTER).note("B4", EIGHTH).note("C5", EIGHTH).slur(2)
        });
        let told = marks(bars).into_iter().filter(|mark| mark.topic == Topic::StrokePlace);
        told.map(|mark| mark.text).collect::<Vec<_>>()
    };
    assert_eq!(places(150.0), ["lower half, broad"]);
    assert_eq!(places(300.0), ["lower half, short"]);
}

/// What is loud after a crescendo, or at once, is not held back, though the plan has to come back from it.
#[test]
fn what_comes_loud_is_not_saved() {
    let texts = |at: i64| {
        let passage = dynamic(notes(violin(), 8, QUARTER), at, Dynamic::Ff);
        let passage = passage.note("C5", WHOLE).note("D5", EIGHTH).note("C5", WHOLE);
        let there = marks(passage).into_iter().filter(|mark| mark.at == Quarters::from(8));
        there.map(|mark| mark.text).collect::<Vec<_>>()
    };
    assert_eq!(texts(8), ["frog, full bow"]);
    assert_eq!(texts(0), ["save"]);
}

/// A short bow after a long one brings it back by itself where a run of such bows follows.
#[test]
fn a_run_after_a_long_bow_needs_no_saving() {
    let run = notes(violin().note("A4", DOTTED_HALF), 9, QUARTER);
    assert!(!marks(run).iter().any(|mark| mark.topic == Topic::Amount));
}

/// Down-bows one after the other are marked once.
#[test]
fn retakes_in_a_row_are_one_mark() {
    let row = (0..4).fold(violin(), |writer, _| writer.note("A4", HALF).bow(Down));
    let told: Vec<PencilMark> = marks(row).into_iter().filter(|mark| mark.topic == Topic::Retake).collect();
    let [mark] = &told[..] else { panic!("{told:#?}") };
    assert_eq!(mark.text, "all down");
    assert!(mark.sentence.contains("and so are the next two"), "{}", mark.sentence);
}

/// A crescendo over many bows is told where it begins; a bow at a time it would be a mark over each.
#[test]
fn a_crescendo_over_many_bows_is_told_once() {
    let grows = crescendo(dynamic(dynamic(notes(violin(), 16, QUARTER), 0, Dynamic::P), 8, Dynamic::F), 0, 8);
    let told: Vec<PencilMark> = marks(grows).into_iter().filter(|mark| mark.topic == Topic::Amount).collect();
    let [mark] = &told[..] else { panic!("{told:#?}") };
    assert_eq!(mark.at, Quarters::ZERO);
    assert!(mark.sentence.starts_with("Growing until bar 2:"), "{}", mark.sentence);
}

/// A crescendo that is printed inside a beat of fast notes is told of the next beat.
#[test]
fn a_crescendo_over_fast_notes_is_told_on_a_beat() {
    let passage = dynamic(dynamic(notes(violin(), 48, SIXTEENTH), 0, Dynamic::P), 10, Dynamic::F);
    let hairpin = SignKind::Hairpin { opens: true, end: Quarters::from(10), niente: false };
    let told = marks(passage.sign(Quarters::new(9, 4), hairpin));
    let growth = told.iter().find(|mark| mark.topic == Topic::Amount).expect("it is told");
    assert_eq!(growth.at, Quarters::from(3));
}

/// Of two bars alike, with two bows between them, the one that comes up is upside down.
#[test]
fn the_figure_that_comes_up_is_the_one_upside_down() {
    let figure = |writer: Writer| notes(writer.note("A4", HALF), 2, QUARTER);
    let turned = |before: Direction| {
        let first = figure(violin().note("A4", WHOLE).bow(before));
        let second = figure(notes(first, 2, HALF));
        marks(second).into_iter().find(|mark| mark.topic == Topic::SameFigure).map(|mark| mark.at)
    };
    assert_eq!(turned(Up), Some(Quarters::from(12)));
    assert_eq!(turned(Down), Some(Quarters::from(4)));
}

/// Two notes are taken in one bow to turn a figure; what is under a slur is not joined to more.
#[test]
fn no_hook_is_offered_into_a_slur() {
    let offers = |slurred: bool| {
        let figure = |writer: Writer| notes(writer.note("A4", HALF), 2, QUARTER);
        let between = figure(violin().note("A4", WHOLE).bow(Up));
        let between = if slurred {
            notes(notes(between, 2, QUARTER).slur(2), 2, QUARTER).slur(2)
        } else {
            notes(between, 2, HALF)
        };
        let told = marks(figure(between)).into_iter().find(|mark| mark.topic == Topic::SameFigure);
        told.expect("it is turned over").sentence.contains("in one bow")
    };
    assert!(offers(false) && !offers(true));
}

/// A held note over a moving second voice is one bow, whatever the plan knows of the second voice.
#[test]
fn a_second_voice_under_a_held_note_is_told() {
    let (mut lesson, _) = written(violin().note("A4", WHOLE).note("G4", WHOLE));
    assert!(!Study::new(lesson.clone()).pencil().marks.iter().any(|mark| mark.text == "hold both, one bow"));
    let (under, _) = written(notes(violin(), 4, QUARTER));
    for mut event in under.score.events {
        (event.id, event.voice) = (lesson.score.free_event_id(), 1);
        lesson.score.events.push(event);
    }
    lesson.score.sort();
    assert!(Study::new(lesson.clone()).pencil().marks.iter().any(|mark| mark.text == "hold both, one bow"));
}

/// Dotted halves and quarters, eight bars long: the bow that has to be won back is told at the first, and that
/// it is the same each time.
#[test]
fn what_repeats_is_told_once() {
    let figure = (0..8).fold(violin(), |writer, _| writer.note("A4", DOTTED_HALF).note("B4", QUARTER));
    let told = marks(figure);
    let back: Vec<&PencilMark> = told.iter().filter(|mark| mark.topic == Topic::Amount).collect();
    let [once] = back[..] else { panic!("{told:#?}") };
    assert!(once.sentence.ends_with("The same each time."), "{once:#?}");
}

/// What holds in a few more bars is said of them by their numbers.
#[test]
fn what_comes_again_names_its_bars() {
    let figure = (0..4).fold(violin(), |writer, _| writer.note("A4", DOTTED_HALF).note("B4", QUARTER));
    let told = marks(figure);
    let back = told.iter().find(|mark| mark.topic == Topic::Amount).expect("the bow is won back");
    assert!(back.sentence.ends_with("Also in bars 2 and 3."), "{back:#?}");
}

/// A short bow with a trill or a line has breadth of its own and is not sent back light.
#[test]
fn a_broad_note_is_no_light_way_back() {
    let bars = |mark: Option<Mark>| {
        let bar = |writer: Writer, _| {
            let writer = writer.note("A4", DOTTED_HALF).note("B4", QUARTER);
            match mark {
                Some(mark) => writer.mark(mark),
                None => writer,
            }
        };
        let told = marks((0..8).fold(violin(), bar));
        told.iter().any(|mark| mark.text.starts_with("light, quick back"))
    };
    assert!(bars(None));
    assert!(!bars(Some(Mark::Trill)) && !bars(Some(Mark::Tenuto)));
}

/// After a rest of some bars the same figure is told anew.
#[test]
fn what_comes_again_later_is_told_anew() {
    let figure = |writer: Writer| {
        writer.note("A4", QUARTER).note("B4", QUARTER).mark(Mark::Sforzando).slur(2).rest(HALF)
    };
    let rests = (0..10).fold(figure(violin()), |writer, _| writer.rest(WHOLE));
    let told: Vec<PencilMark> =
        marks(figure(rests)).into_iter().filter(|mark| mark.topic == Topic::Accent).collect();
    let [first, again] = &told[..] else { panic!("{told:#?}") };
    assert_eq!(
        (&first.text, first.place.bar_words(), again.place.bar_words()),
        (&again.text, "bar 1".to_owned(), "bar 12".to_owned())
    );
}

/// The parts of the bow that words may name, and where a note may lie that they are said of, as shares of the
/// hair. Wider than the borders by which the words are chosen.
const PLACES: [(&str, f64, f64); 7] = [
    ("at the frog", 0.0, 0.25),
    ("to the frog", 0.0, 0.25),
    ("in the lower half", 0.0, 0.5),
    ("to the lower half", 0.0, 0.5),
    ("about the middle", 0.35, 0.65),
    ("in the upper half", 0.5, 1.0),
    ("near the tip", 0.7, 1.0),
];

/// What a mark says of place and direction is so in the plan.
fn is_true(lesson: &Lesson, analysis: &Analysis, mark: &PencilMark, name: &str) {
    let notes = &analysis.bowing.notes;
    let piece =
        notes.iter().position(|bowed| bowed.note == mark.note).expect("a mark stands over a bowed note");
    let stroke = &analysis.bowing.strokes[analysis.bowing.stroke_of(piece)];
    let hair = analysis.plan.problem.hair_mm;
    // Of a passage the middle of its notes is told, of a phrase its end, else where the note or its bow starts.
    let passage: Vec<usize> = (piece..notes.len().min(piece + 8))
        .filter(|&k| notes[k].stroke_type == notes[piece].stroke_type)
        .collect();
    let middle = |k: usize| {
        let (a, b) = analysis.plan.places_mm(k);
        0.5 * (a + b) / hair
    };
    let starts = [piece, stroke.notes.start].map(|k| analysis.plan.solution.start_mm[k] / hair);
    for (words, least, most) in PLACES.into_iter().filter(|place| mark.sentence.contains(place.0)) {
        let inside = |share: f64| (least..=most).contains(&share);
        let told = match mark.topic {
            Topic::StrokePlace => passage.iter().any(|&k| inside(middle(k))),
            Topic::PhraseEnd => inside(analysis.plan.solution.end_mm[stroke.notes.end - 1] / hair),
            _ => starts.into_iter().any(inside),
        };
        assert!(told, "{name}: {words} is false: {mark:#?}, {starts:?}");
    }
    let says = |direction: &str| mark.sentence.contains(direction);
    if matches!(mark.topic, Topic::Way | Topic::Retake | Topic::Hooked | Topic::StrongBeatUp) {
        let (own, other) = match stroke.direction {
            Down => ("a down-bow", "an up-bow"),
            Up => ("an up-bow", "a down-bow"),
        };
        let of_this = mark.sentence.split(", so that").next().unwrap_or_default();
        let wrong = ["is ", "with ", ", "].map(|before| format!("{before}{other}"));
        assert!(!wrong.iter().any(|words| of_this.contains(words)), "{name}: {mark:#?} is {own}");
        if says("begins with a down-bow") {
            let bar = mark.sentence.split("so that bar ").nth(1).and_then(|words| words.split(' ').next());
            let number = |k: usize| lesson.score.bars[analysis.note(k).bar].number.as_str();
            let next = (piece + 1..notes.len())
                .find(|&k| analysis.note(k).grace.is_none() && Some(number(k)) == bar);
            assert_eq!(next.map(|k| notes[k].direction), Some(Down), "{name}: {mark:#?}");
        }
    }
}

/// A passage of chance.
pub fn of_chance(random: &mut Random) -> Lesson {
    let values = [SIXTEENTH, EIGHTH, EIGHTH, QUARTER, QUARTER, HALF, WHOLE];
    let mut writer = violin();
    for _ in 0..60 {
        let value = values[random.between(0.0, values.len() as f64) as usize % values.len()];
        if random.chance(0.12) {
            writer = writer.rest(value);
            continue;
        }
        let name = ["G3", "D4", "B4", "E5", "A5", "G3 D4 B4", "D4 A4"][random.between(0.0, 7.0) as usize % 7];
        writer = writer.note(name, value);
        for mark in [Mark::Sforzando, Mark::Accent, Mark::Staccato, Mark::FortePiano] {
            if random.chance(0.1) {
                writer = writer.mark(mark);
            }
        }
    }
    for at in (0..40).step_by(4) {
        if random.chance(0.4) {
            let level = [Dynamic::Pp, Dynamic::P, Dynamic::Mf, Dynamic::F, Dynamic::Ff]
                [random.between(0.0, 5.0) as usize % 5];
            writer = dynamic(writer, at, level);
        }
        if random.chance(0.3) {
            writer = crescendo(writer, at, at + 3);
        }
    }
    written(writer).0
}

/// Of an accent that begins a crescendo one mark tells both: two would say the opposite of one another.
#[test]
fn an_accent_that_begins_a_crescendo_is_one_mark() {
    let passage = |grows: bool, struck: bool| {
        let writer = notes(violin(), 1, WHOLE).note("A4", HALF);
        let writer = if struck { writer.mark(Mark::Accent) } else { writer };
        let writer = writer.note("B4", HALF).slur(2).note("A4", WHOLE);
        marks(if grows { crescendo(writer, 4, 8) } else { writer })
    };
    let at = |marks: &[PencilMark]| -> Vec<String> {
        marks.iter().filter(|mark| mark.at == Quarters::from(4)).map(|mark| mark.text.clone()).collect()
    };
    assert_eq!(at(&passage(true, true)), ["lean, save, spend"]);
    assert_eq!(at(&passage(true, false)), ["save, then spend"]);
    assert!(!at(&passage(false, true)).iter().any(|text| text.contains("spend")));
}

/// Accents one after another are one mark; a rest of more than a beat, or another accent, begins anew.
#[test]
fn a_row_of_accents_is_one_mark() {
    let accents =
        |count: usize| (0..count).fold(violin(), |writer, _| writer.note("A4", QUARTER).mark(Mark::Accent));
    let told = |writer: Writer| -> Vec<Quarters> {
        let of_them = |mark: &&PencilMark| matches!(mark.topic, Topic::Accent | Topic::StrongBeatUp);
        marks(writer).iter().filter(of_them).map(|mark| mark.at).collect()
    };
    assert_eq!(told(accents(6)), [Quarters::ZERO]);
    let apart = accents(3).rest(QUARTER).rest(HALF).note("A4", QUARTER).mark(Mark::StrongAccent);
    assert_eq!(told(apart), [Quarters::ZERO, Quarters::from(6)]);
}

/// An accent on a down-bow makes itself; as the goal of a crescendo it is worth a word.
#[test]
fn an_accent_that_a_crescendo_leads_to_is_worth_telling() {
    let weight = |led: bool| {
        let writer = notes(violin(), 4, QUARTER).note("A4", QUARTER).mark(Mark::Accent).note("A4", QUARTER);
        let writer = dynamic(writer, 4, Dynamic::F);
        let marks = marks(if led {
            crescendo(dynamic(writer, 0, Dynamic::P), 0, 4)
        } else {
            dynamic(writer, 0, Dynamic::F)
        });
        marks.iter().find(|mark| mark.topic == Topic::Accent).expect("an accent").weight
    };
    assert_eq!(weight(true), Need::Worth);
    assert_eq!(weight(false), Need::IfTime);
}

/// A start that comes as it would without the rest is not told; one that a bow mark behind it asks for is.
#[test]
fn a_start_in_turn_is_not_told() {
    let starts = |marked: bool| {
        let writer = violin().note("A4", QUARTER).rest(QUARTER).note("B4", QUARTER).bow(Up);
        let writer = writer.rest(QUARTER).note("C5", QUARTER).rest(QUARTER).note("D5", QUARTER);
        let writer = writer.note("E5", QUARTER);
        let marks = marks(if marked { writer.bow(Down) } else { writer });
        let there = |mark: &&PencilMark| mark.topic == Topic::Way && mark.at == Quarters::from(6);
        marks.iter().filter(there).count()
    };
    assert_eq!((starts(false), starts(true)), (0, 1));
    // A loud one that comes so is for spare time.
    let loud = violin().note("A4", QUARTER).note("B4", QUARTER).rest(QUARTER).note("C5", QUARTER).rest(WHOLE);
    let start = marks(dynamic(loud, 0, Dynamic::F)).into_iter().find(|mark| mark.at == Quarters::from(3));
    assert_eq!(start.map(|mark| (mark.topic, mark.weight)), Some((Topic::Way, Need::IfTime)));
}

/// A bow that fades gives its hair first; what is too short to fade is not told.
#[test]
fn a_bow_that_fades_spends_first() {
    let fades = |value: NoteValue, quarters: i64| {
        let closing = SignKind::Hairpin { opens: false, end: Quarters::from(quarters), niente: false };
        let writer = dynamic(violin(), 0, Dynamic::F).note("A4", value).sign(Quarters::ZERO, closing);
        marks(writer.note("B4", WHOLE)).iter().any(|mark| mark.text == "spend, then let go")
    };
    assert!(fades(HALF, 2));
    assert!(!fades(QUARTER, 1));
}

/// A slur that fades gives its hair first, but not where an accent comes in it, nor where it fades only at its end.
#[test]
fn a_slur_that_fades_late_or_has_an_accent_does_not_spend_first() {
    let spends = |accent: bool, from: i64| {
        let slurred = notes(dynamic(violin(), 0, Dynamic::F), 3, QUARTER);
        let slurred = if accent { slurred.mark(Mark::Sforzando) } else { slurred };
        let closing = SignKind::Hairpin { opens: false, end: Quarters::from(4), niente: false };
        let slurred = slurred.note("B4", QUARTER).slur(4).sign(Quarters::from(from), closing);
        marks(slurred.note("B4", WHOLE)).iter().any(|mark| mark.text == "spend, then let go")
    };
    assert!(spends(false, 0));
    assert!(!spends(true, 0) && !spends(false, 3));
}

/// A row of accents tells of up-bows only where it has some.
#[test]
fn accents_that_all_come_down_say_nothing_of_up_bows() {
    let sentence = |retaken: bool| {
        let row = (0..4).fold(dynamic(violin(), 0, Dynamic::F), |writer, k| {
            let writer = writer.note("A4", HALF).mark(Mark::Accent);
            if retaken || k == 0 { writer.bow(Down) } else { writer }
        });
        let told = marks(row).into_iter().find(|mark| mark.text == "accents alike").expect("it is told");
        told.sentence
    };
    assert!(sentence(false).contains("the up-bows too") && !sentence(true).contains("up-bow"));
}

/// A short accented note that fades is let go at once, a held one is not.
#[test]
fn a_held_accent_is_not_let_go() {
    let light = |value: NoteValue, quarters: i64| {
        let closing = SignKind::Hairpin { opens: false, end: Quarters::from(quarters), niente: false };
        let writer = dynamic(violin(), 0, Dynamic::F).note("A4", value).mark(Mark::StrongAccent);
        let told = marks(writer.sign(Quarters::ZERO, closing).note("B4", WHOLE));
        told.iter().any(|mark| mark.text == "bite, then light")
    };
    assert!(light(QUARTER, 1) && !light(HALF, 2));
}

/// A slurred leap is lightened; not into an accent, which is leant into.
#[test]
fn a_leap_into_an_accent_is_not_lightened() {
    let lightens = |accent: bool| {
        let leap = violin().note("A4", QUARTER).note("B4", QUARTER).note("A5", QUARTER);
        let leap = if accent { leap.mark(Mark::Accent) } else { leap };
        marks(leap.slur(3)).iter().any(|mark| mark.text == "lighten over leap")
    };
    assert!(lightens(false) && !lightens(true));
}

/// A slurred sixth to the next string is for when there is time, a seventh is worth a word.
#[test]
fn a_sixth_to_the_next_string_is_for_spare_time() {
    let weight = |top: &str| {
        let leap = violin().note("A4", QUARTER).note("C5", QUARTER).note(top, QUARTER).slur(3);
        marks(leap).iter().find(|mark| mark.text == "lighten over leap").map(|mark| mark.weight)
    };
    assert_eq!((weight("A5"), weight("B5")), (Some(Need::IfTime), Some(Need::Worth)));
}

/// A bow half as long as the one before it comes back without a word, one of a third does not.
#[test]
fn half_as_long_comes_back_by_itself() {
    let told = |long: NoteValue| {
        let writer = (0..8).fold(violin(), |writer, _| writer.note("A4", long).note("B4", QUARTER));
        marks(writer).iter().any(|mark| mark.text.starts_with("light, quick back"))
    };
    assert!(told(DOTTED_HALF) && !told(HALF));
}

/// Bow is kept for an accent in it: one mark where it comes soon, two where three notes come before it.
#[test]
fn saving_for_an_accent_soon_after_the_start_is_one_mark() {
    let told = |before: usize| {
        let slur =
            notes(violin(), before, QUARTER).note("B4", QUARTER).mark(Mark::Sforzando).slur(before + 1);
        let told = marks(slur.note("A4", QUARTER));
        let told = told.into_iter().filter(|mark| mark.text.contains("save") || mark.text.contains("lean"));
        told.map(|mark| (mark.text, mark.also)).collect::<Vec<_>>()
    };
    assert_eq!(told(1), [("save, then lean".to_owned(), Some(Topic::Amount))]);
    assert_eq!(told(3), [("save".to_owned(), None), ("lean, same bow".to_owned(), None)]);
}

/// A word for the sound is told as the bow makes it, once while it lasts; what bounces is told as bouncing.
#[test]
fn words_for_a_sound_are_told_as_the_bow_makes_it() {
    let told = |words: &str, again: i64, dots: bool| {
        let note = |writer: Writer, _| {
            if dots {
                writer.note("A4", SIXTEENTH).mark(Mark::Staccato).note("B4", DOTTED_EIGHTH)
            } else {
                writer.note("A4", HALF)
            }
        };
        let sign =
            |writer: Writer, at: i64| writer.sign(Quarters::from(at), SignKind::Words(words.to_owned()));
        let writer = sign(sign((0..8).fold(violin(), note), 0), again);
        let marks = marks(writer).into_iter().filter(|mark| mark.topic == Topic::StrokePlace);
        marks.map(|mark| mark.text).collect::<Vec<_>>()
    };
    for (words, how) in [
        ("cantabile", "long, joined"),
        ("dolce", "light, even"),
        ("pesante", "slow, with weight"),
        ("marcato", "grip, then go on"),
    ] {
        let told = told(words, 4, false);
        let [once] = &told[..] else { panic!("{words}: {told:?}") };
        assert!(once.ends_with(how), "{words}: {once}");
    }
    assert!(told("con brio", 4, false).is_empty());
    assert!(told("pesante", 4, true).is_empty());
}

/// One short note that is suddenly loud has weight and no length; of several each is longer.
#[test]
fn a_single_short_note_is_loud_by_weight() {
    let told = |rest: bool| {
        let writer = notes(violin(), 8, SIXTEENTH).note("B4", SIXTEENTH);
        let writer = if rest { writer.rest(EIGHTH) } else { writer };
        let writer = notes(writer, 7, SIXTEENTH);
        let told = marks(dynamic(dynamic(writer, 0, Dynamic::P), 2, Dynamic::F));
        told.into_iter().find(|mark| mark.topic == Topic::SuddenDynamic).map(|mark| mark.text)
    };
    assert_eq!(told(true).as_deref(), Some("at once heavier"));
    assert_eq!(told(false).as_deref(), Some("at once more bow"));
}

/// Between double stops the nearest notes tell how far a crossing is.
#[test]
fn a_second_note_that_joins_is_no_leap() {
    let lightens = |to: &str| {
        let slur = violin().note("A4", QUARTER).note("C5", QUARTER).note(to, HALF).slur(3);
        marks(slur).iter().any(|mark| mark.text == "lighten over leap")
    };
    assert!(lightens("B5") && !lightens("D5 B5"));
}

/// Out of a note on the string nobody sets the bow on two strings first, and a short soft passage on two strings
/// needs no word.
#[test]
fn double_stops_are_set_only_out_of_a_rest() {
    let told = |rest: bool, value: NoteValue, count: usize| {
        let writer = if rest { violin().rest(HALF) } else { violin().note("A4", HALF) };
        let writer = (0..count).fold(writer, |writer, _| writer.note("D4 A4", value)).note("A4", HALF);
        let told = marks(dynamic(writer, 0, Dynamic::P));
        told.into_iter().find(|mark| mark.topic == Topic::Chord).expect("it is told")
    };
    assert!(told(true, HALF, 1).sentence.starts_with("Have the bow on both strings before"));
    assert!(!told(false, HALF, 1).sentence.contains("before"));
    let struck = |rest: bool| {
        let writer = if rest { violin().rest(HALF) } else { violin().note("A4", HALF) };
        let told = marks(writer.note("D4 A4", HALF).mark(Mark::Accent).note("A4", HALF));
        told.into_iter().find(|mark| mark.topic == Topic::Chord).expect("it is told").sentence
    };
    assert!(struck(true).contains("before") && !struck(false).contains("before"));
    assert_eq!(told(true, HALF, 4).weight, Need::Worth);
    assert_eq!(told(true, SIXTEENTH, 4).weight, Need::IfTime);
}

/// A soft level to which a diminuendo leads answers no accent before it.
#[test]
fn what_a_diminuendo_leads_to_answers_no_accent() {
    let sudden = |closes: bool| {
        let writer = violin().note("A4", QUARTER).mark(Mark::FortePiano);
        let writer = dynamic(dynamic(notes(writer, 7, QUARTER), 0, Dynamic::P), 3, Dynamic::Pp);
        let closing = SignKind::Hairpin { opens: false, end: Quarters::from(3), niente: false };
        let writer = if closes { writer.sign(Quarters::from(1), closing) } else { writer };
        marks(writer).iter().any(|mark| mark.topic == Topic::SuddenDynamic)
    };
    assert!(!sudden(true));
    let answer = violin().note("A4", QUARTER).mark(Mark::Sforzando);
    let told = marks(dynamic(notes(answer, 7, QUARTER), 3, Dynamic::P));
    assert!(told.iter().any(|mark| mark.topic == Topic::SuddenDynamic), "{told:#?}");
}

/// Notes so fast that only the hand plays them are not sent to the lower half, wherever the plan has them.
#[test]
fn the_fastest_notes_are_not_sent_to_the_lower_half() {
    let told = |flags: i8| {
        let run = notes(violin(), 16, NoteValue::plain(-flags));
        let low = run.sign(Quarters::ZERO, SignKind::Words("lower half".to_owned()));
        let marks = marks(dynamic(low, 0, Dynamic::Ff));
        marks.into_iter().find(|mark| mark.text.contains("on string")).map(|mark| mark.text)
    };
    assert!(told(6).is_some_and(|text| !text.contains("lower half") && text.ends_with("tiny, on string")));
    assert_eq!(told(5).as_deref(), Some("lower half, short, on string"));
}

/// A start that has no other reason than that the bow goes on in turn is for spare time; one that turns it is not.
#[test]
fn a_start_that_comes_by_itself_is_for_spare_time() {
    let told = |marked: bool| {
        let writer = violin().note("A4", HALF).bow(Down).rest(HALF).rest(WHOLE).rest(QUARTER);
        let writer = writer.note("A4", HALF).note("B4", QUARTER);
        let writer = if marked { writer.note("C5", HALF).bow(Up) } else { writer };
        let told = marks(dynamic(writer, 0, Dynamic::P));
        let start = told.into_iter().find(|mark| mark.topic == Topic::Way && mark.at.is_positive());
        start.map(|mark| (mark.text, mark.weight))
    };
    assert_eq!(told(false), Some(("start up".to_owned(), Need::IfTime)));
    assert_eq!(told(true), Some(("start up".to_owned(), Need::Worth)));
}

/// A bow that ends in a fermata lasts longer than it is written: bow is kept for it.
#[test]
fn bow_is_kept_for_a_fermata() {
    let told = |fermata: bool, slurred: usize| {
        let slur = notes(violin(), slurred, QUARTER).note("B4", QUARTER);
        let slur = if fermata { slur.mark(Mark::Fermata) } else { slur };
        let slur = if slurred > 0 { slur.slur(slurred + 1) } else { slur };
        let told = marks(slur.note("A4", QUARTER));
        told.into_iter().find(|mark| mark.text.contains("fermata")).map(|mark| mark.topic)
    };
    assert_eq!((told(true, 0), told(true, 1)), (Some(Topic::LongNote), Some(Topic::Amount)));
    assert_eq!((told(false, 0), told(false, 1)), (None, None));
}

/// A level that came at once a little before prepares nothing: only what grows does.
#[test]
fn a_jump_before_it_prepares_no_loud_level() {
    let weight = |grows: bool| {
        let writer = notes(dynamic(violin(), 0, Dynamic::P), 4, QUARTER).rest(WHOLE);
        let writer = dynamic(notes(writer, 4, QUARTER), 8, Dynamic::Ff);
        let marks = marks(if grows { crescendo(writer, 2, 4) } else { dynamic(writer, 3, Dynamic::Mf) });
        let tells = |mark: &PencilMark| [Some(mark.topic), mark.also].contains(&Some(Topic::SuddenDynamic));
        let there = |mark: &&PencilMark| tells(mark) && mark.at == Quarters::from(8);
        marks.iter().find(there).map(|mark| mark.weight)
    };
    assert_eq!(weight(false), Some(Need::Worth));
    assert_ne!(weight(true), Some(Need::Worth));
}

/// Long slurs are one figure and saved for once; one twice as long is another.
#[test]
fn a_slur_twice_as_long_is_saved_for_anew() {
    let told = |last: usize| {
        let slur = |writer: Writer, count: usize| notes(writer, count, QUARTER).slur(count);
        let marks = marks(slur(slur(violin(), 3), last));
        marks.iter().filter(|mark| mark.text.starts_with("save")).count()
    };
    assert_eq!((told(3), told(5)), (1, 2));
}

/// Two strings struck on an up-bow: that it is one is said with how they speak.
#[test]
fn a_double_stop_struck_on_an_up_bow_is_told_as_one() {
    let told = |way: Direction| {
        let writer = violin().note("A4", HALF).note("D4 A4", HALF).mark(Mark::Accent).bow(way);
        let told = marks(writer).into_iter().find(|mark| mark.topic == Topic::Chord).expect("it is told");
        (told.text, told.also)
    };
    assert_eq!(told(Up), ("both at once, up-bow".to_owned(), Some(Topic::Accent)));
    assert_eq!(told(Down), ("both strings at once".to_owned(), None));
}

/// In p an accent is leant into, however strong its beat; an sf bites.
#[test]
fn in_p_an_accent_is_no_bite() {
    let words = |mark: Mark| {
        let writer = dynamic(violin(), 0, Dynamic::P).note("A4", HALF).bow(Up).mark(mark).note("B4", HALF);
        let marks = marks(writer);
        marks.iter().find(|mark| mark.topic == Topic::StrongBeatUp).expect("a strong beat").text.clone()
    };
    assert_eq!(words(Mark::Accent), "lean in, up-bow");
    assert_eq!(words(Mark::Sforzando), "bite, up-bow");
}

/// What a diminuendo has led to is told only if time allows.
#[test]
fn what_a_diminuendo_leads_to_is_prepared() {
    let weight = |led: bool| {
        let writer = dynamic(dynamic(notes(violin(), 8, QUARTER), 0, Dynamic::F), 4, Dynamic::Pp);
        // It ends more than a quarter before the mark, and so has its own goal.
        let closing = SignKind::Hairpin { opens: false, end: Quarters::new(11, 4), niente: false };
        let writer = if led { writer.sign(Quarters::ONE, closing) } else { writer };
        let marks = marks(writer);
        marks.iter().find(|mark| mark.topic == Topic::SuddenDynamic).map(|mark| mark.weight)
    };
    assert_eq!(weight(false), Some(Need::Must));
    assert_eq!(weight(true), Some(Need::IfTime));
}

/// "From here on" is said of a kind of stroke only where three stand in a row.
#[test]
fn a_kind_of_stroke_is_told_of_a_row() {
    let told = |dotted: usize| {
        let figure = |writer: Writer| {
            let dots =
                (0..dotted).fold(writer, |writer, _| writer.note("A4", SIXTEENTH).mark(Mark::Staccato));
            dots.note("B4", SIXTEENTH).note("A4", SIXTEENTH).slur(2)
        };
        let writer = (0..8).fold(violin(), |writer, _| figure(writer));
        marks(writer).iter().any(|mark| mark.topic == Topic::StrokePlace)
    };
    assert!(told(4));
    assert!(!told(2));
}

/// Fast notes on the string, and short ones between rests, are told where they begin; slower ones play themselves.
#[test]
fn fast_and_short_notes_have_a_place() {
    let told = |fast: bool| {
        let value = NoteValue::plain(if fast { -5 } else { -3 });
        let marks = marks(notes(dynamic(violin(), 0, Dynamic::P), 16, value));
        marks.iter().any(|mark| mark.topic == Topic::StrokePlace && mark.text.contains("even"))
    };
    assert!(told(true) && !told(false));
    let apart = |rest: NoteValue| {
        let writer = (0..8).fold(violin(), |writer, _| writer.note("A4", SIXTEENTH).rest(rest));
        marks(writer).iter().any(|mark| mark.sentence.contains("between rests"))
    };
    assert!(apart(EIGHTH));
}

/// Lifted notes are a passage from six on.
#[test]
fn a_few_lifted_notes_are_no_passage() {
    let told = |count: usize| {
        let dots = |writer: Writer, _| writer.note("A4", QUARTER).mark(Mark::Staccato);
        let marks = marks((0..count).fold(violin(), dots).note("B4", HALF));
        marks.iter().any(|mark| mark.text.ends_with("short, lifted"))
    };
    assert!(told(6) && !told(5));
}

/// No phrase ends where the music grows.
#[test]
fn no_phrase_ends_in_a_crescendo() {
    let ends = |grows: bool| {
        let writer = dynamic(violin().note("A4", HALF).rest(HALF).note("A4", WHOLE), 0, Dynamic::P);
        let marks = marks(if grows { crescendo(writer, 0, 8) } else { writer });
        marks.iter().any(|mark| mark.topic == Topic::PhraseEnd && mark.at == Quarters::ZERO)
    };
    assert!(ends(false));
    assert!(!ends(true));
}

/// A dot on the last note of a slur before a rest makes it short; before another note it asks for a stop.
#[test]
fn a_dot_before_a_rest_is_no_stop() {
    let stops = |rest: bool| {
        let writer = violin().note("A4", QUARTER).note("B4", EIGHTH).mark(Mark::Staccato).slur(2);
        let writer = if rest { writer.rest(QUARTER) } else { writer };
        marks(writer.note("C5", HALF)).iter().any(|mark| mark.text == "stop, same bow")
    };
    assert!(stops(false));
    assert!(!stops(true));
}

/// A loud bow that fades gives its bow at once: nothing is held back there.
#[test]
fn a_loud_bow_that_fades_is_not_held_back() {
    let passage = |fades: bool| {
        let writer = dynamic(violin(), 0, Dynamic::Ff).note("A4", HALF).note("B4", HALF).note("A4", WHOLE);
        let writer = writer.edit(|lesson, ids| hair_pin(lesson, ids[0], Some((0.1, 0.1))));
        let writer = writer.edit(|lesson, ids| hair_pin(lesson, ids[1], Some((0.3, 0.3))));
        let closing = SignKind::Hairpin { opens: false, end: Quarters::from(2), niente: false };
        let writer = if fades { writer.sign(Quarters::ZERO, closing) } else { writer };
        marks(writer).iter().any(|mark| mark.at == Quarters::ZERO && mark.text == "save")
    };
    assert!(!passage(true));
    assert!(passage(false));
}

/// A start on one barline is not chosen for the next: what is lost on the one is won on the other.
#[test]
fn one_barline_is_no_reason_for_an_up_bow_on_another() {
    let writer = notes(violin(), 3, WHOLE).edit(|lesson, ids| set_bow(lesson, &ids[..1], Some(Down)));
    let writer =
        writer.rest(WHOLE).note("A4", WHOLE).edit(|lesson, ids| set_bow(lesson, &ids[4..], Some(Up)));
    let marks = marks(notes(writer, 2, WHOLE));
    assert!(!marks.iter().any(|mark| mark.sentence.contains("so that bar 6")), "{marks:#?}");
}

/// A level that is new where a start is told stands in the mark of the start; elsewhere it has a mark of its own.
#[test]
fn a_new_level_at_a_start_is_one_mark() {
    let topics = |up: bool| {
        let writer = dynamic(violin().note("A4", WHOLE).rest(WHOLE), 0, Dynamic::F);
        let upbeat = writer.rest(DOTTED_HALF).note("B4", QUARTER).note("C5", WHOLE);
        let on_beat = dynamic(violin().note("A4", WHOLE).rest(WHOLE), 0, Dynamic::F);
        let on_beat = on_beat.rest(WHOLE).note("B4", WHOLE);
        let at = if up { 11 } else { 12 };
        let marks = marks(dynamic(if up { upbeat } else { on_beat }, at, Dynamic::P));
        let here = marks.into_iter().filter(|mark| mark.at == Quarters::from(at));
        here.map(|mark| (mark.topic, mark.also, mark.text)).collect::<Vec<_>>()
    };
    assert_eq!(topics(true), [(Topic::Way, Some(Topic::SuddenDynamic), "start up, p".to_owned())]);
    assert!(topics(false).iter().any(|(topic, also, _)| *topic == Topic::SuddenDynamic && also.is_none()));
}

/// A crescendo whose sign ends early still leads away from the level that was printed before it: the same level
/// after it is soft at once. Common practice, no source.
#[test]
fn soft_some_time_after_a_crescendo_is_sudden() {
    let told = |grows: bool| {
        let writer = dynamic(dynamic(notes(violin(), 12, QUARTER), 0, Dynamic::P), 8, Dynamic::P);
        let marks = marks(if grows { crescendo(writer, 0, 3) } else { writer });
        marks.iter().any(|mark| mark.topic == Topic::SuddenDynamic)
    };
    assert!(told(true) && !told(false));
}

/// Soft at once under a note that is held is told where a crescendo led up to it: without one the bow fades.
#[test]
fn a_soft_level_under_a_held_note_is_told_after_a_crescendo() {
    let told = |grows: bool| {
        let writer = dynamic(dynamic(notes(violin(), 2, WHOLE), 0, Dynamic::P), 3, Dynamic::P);
        let marks = marks(if grows { crescendo(writer, 0, 3) } else { writer });
        marks.iter().any(|mark| mark.at == Quarters::ZERO && mark.text == "sudden p, same bow")
    };
    assert!(told(true));
    assert!(!told(false));
}

/// Out of p a middle level stands out, out of f it does not; what a crescendo arrives at is told from ff on.
#[test]
fn which_levels_are_told() {
    let told = |from: Dynamic, to: Dynamic, grows: bool| {
        let writer = dynamic(dynamic(notes(violin(), 8, QUARTER), 0, from), 4, to);
        let marks = marks(if grows { crescendo(writer, 0, 4) } else { writer });
        let mark = marks.into_iter().find(|mark| mark.topic == Topic::SuddenDynamic);
        mark.map(|mark| mark.sentence)
    };
    assert!(told(Dynamic::P, Dynamic::Mf, false).is_some());
    assert_eq!(told(Dynamic::F, Dynamic::Mf, false), None);
    assert!(told(Dynamic::Mf, Dynamic::Ff, true).expect("told").contains("arrives"));
    assert_eq!(told(Dynamic::P, Dynamic::F, true), None);
}

/// A crescendo over two bows is one of both: neither bulges at its end.
#[test]
fn a_crescendo_over_two_bows_is_one_mark() {
    let texts = |count: usize| {
        let end = 2 * count as i64;
        let marks = marks(crescendo(
            dynamic(dynamic(notes(violin(), count, HALF), 0, Dynamic::P).note("A4", WHOLE), end, Dynamic::F),
            0,
            end,
        ));
        let growing = ["more and more bow", "save, then spend"];
        marks
            .into_iter()
            .map(|mark| mark.text)
            .filter(|text| growing.contains(&text.as_str()))
            .collect::<Vec<_>>()
    };
    assert_eq!(texts(2), ["more and more bow"]);
    assert_eq!(texts(1), ["save, then spend"]);
}

/// A crescendo or diminuendo that one bow hands on to the next is told with the first, and a short note behind it gets
/// no more bow than that. Common practice, no source.
#[test]
fn a_hairpin_over_two_bows_is_told_with_the_first() {
    let told = |opens: bool, second: NoteValue| {
        let writer = violin().note("A4", HALF).note("B4", second).note("C5", WHOLE).note("A4", WHOLE);
        let end = Quarters::from(2) + second.length();
        let (from, to) = if opens { (Dynamic::P, Dynamic::Mf) } else { (Dynamic::F, Dynamic::Mp) };
        let writer = dynamic(writer, 0, from)
            .sign(Quarters::ZERO, SignKind::Hairpin { opens, end, niente: false })
            .sign(end, SignKind::Dynamic(to));
        let amounts = marks(writer).into_iter().filter(|mark| mark.topic == Topic::Amount && mark.at < end);
        amounts.map(|mark| (mark.at, mark.text)).collect::<Vec<_>>()
    };
    let first = |text: &str| vec![(Quarters::ZERO, text.to_owned())];
    assert_eq!(told(true, HALF), first("more and more bow"));
    assert_eq!(told(false, HALF), first("less and less bow"));
    assert_eq!(told(true, EIGHTH), first("save, then spend"));
    // However little of it each bow has.
    let slowly = violin().note("A4", HALF).note("B4", HALF).note("C5", WHOLE).note("A4", WHOLE);
    let slowly = dynamic(dynamic(slowly, 0, Dynamic::P), 8, Dynamic::Mp);
    let growing = marks(crescendo(slowly, 0, 8)).into_iter().filter(|mark| mark.topic == Topic::Amount);
    assert_eq!(growing.map(|mark| (mark.at, mark.text)).collect::<Vec<_>>(), first("more and more bow"));
}

/// A note under a fermata is told as one, however long it is written; a struck one is told as struck. Common practice,
/// no source.
#[test]
fn a_long_note_under_a_fermata_names_it() {
    let told = |fermata: bool, struck: bool| {
        let writer = violin().note("A4", WHOLE);
        let writer = if fermata { writer.mark(Mark::Fermata) } else { writer };
        let marks = marks(if struck { writer.mark(Mark::Accent) } else { writer });
        let long = marks.into_iter().find(|mark| mark.topic == Topic::LongNote).expect("told");
        (long.text.clone(), long.sentence.contains("fermata"))
    };
    assert_eq!(told(true, false), ("fermata: slow bow".to_owned(), true));
    assert_eq!(told(false, false), ("slow bow".to_owned(), false));
    assert_eq!(told(true, true), ("strike, then slow".to_owned(), true));
    assert_eq!(told(false, true), ("strike, then slow".to_owned(), false));
}

/// In a diminuendo up to mf an accent on an up-bow is leant into. Common practice, no source.
#[test]
fn an_accent_that_fades_is_no_bite() {
    let told = |fades: bool| {
        let writer = violin().note("A4", EIGHTH).note("B4", EIGHTH).mark(Mark::Accent).note("C5", QUARTER);
        let writer = dynamic(writer, 0, Dynamic::Mf);
        let end = Quarters::ONE;
        let pin = SignKind::Hairpin { opens: false, end, niente: false };
        let marks = marks(if fades { writer.sign(Quarters::ZERO, pin) } else { writer });
        marks.into_iter().find(|mark| mark.at == Quarters::new(1, 2)).expect("told").text
    };
    assert_eq!(told(true), "lean in, up-bow");
    assert_eq!(told(false), "bite, up-bow");
}

/// Under "marcato" an accent is no gentle one, though it is soft. Common practice, no source.
#[test]
fn a_marked_accent_is_a_bite() {
    let told = |words: &str| {
        let writer = violin().note("A4", EIGHTH).note("B4", EIGHTH).mark(Mark::Accent).note("C5", QUARTER);
        let writer = writer.sign(Quarters::ZERO, SignKind::Words(words.into()));
        let marks = marks(dynamic(writer, 0, Dynamic::P));
        marks.into_iter().find(|mark| mark.at == Quarters::new(1, 2)).expect("told").text
    };
    assert_eq!(told("marcato"), "bite, up-bow");
    assert_eq!(told("dolce"), "lean in, up-bow");
}

/// At a middle level a note that is softer at once has less weight, and only at p and below hardly any. Common
/// practice, no source.
#[test]
fn softer_is_not_always_hardly_any_weight() {
    let told = |level: Dynamic| {
        let writer = dynamic(dynamic(notes(violin(), 4, HALF), 0, Dynamic::Ff), 4, level);
        let sudden = marks(writer).into_iter().find(|mark| mark.topic == Topic::SuddenDynamic);
        sudden.expect("told").sentence.contains("hardly any weight")
    };
    assert!(told(Dynamic::P) && !told(Dynamic::Mp));
}

/// In a crescendo over several slurs an accent at the start of one keeps no bow back for its end. Common practice, no
/// source.
#[test]
fn nothing_is_saved_in_one_of_many_growing_slurs() {
    let told = |slurs: usize, value: NoteValue| {
        let slur = |writer: Writer| writer.note("A4", value).mark(Mark::Accent).note("B4", value).slur(2);
        let writer = (0..slurs).fold(violin(), |writer, _| slur(writer)).note("C5", WHOLE);
        let end = (0..slurs).fold(Quarters::ZERO, |end, _| end + value.length() + value.length());
        let writer = writer.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::P));
        let writer = writer.sign(Quarters::ZERO, SignKind::Hairpin { opens: true, end, niente: false });
        let marks = marks(writer.sign(end, SignKind::Dynamic(Dynamic::F)));
        marks.iter().any(|mark| mark.text.contains("lean, save, spend"))
    };
    assert!(told(1, QUARTER));
    assert!(!told(3, QUARTER) && !told(1, NoteValue::plain(-5)));
}

/// A rest that is too short for a lift is a stop on the string. Common practice, no source.
#[test]
fn nobody_lifts_in_hardly_a_rest() {
    let told = |rest: NoteValue| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 120.0));
        let writer = empty.note("A4", EIGHTH).bow(Up).rest(rest).note("B4", SIXTEENTH).bow(Up);
        let marks = marks(writer.note("C5", HALF));
        let again = marks.into_iter().find(|mark| mark.at > Quarters::ZERO).expect("told");
        (again.topic, again.text)
    };
    assert_eq!(told(SIXTEENTH), (Topic::Hooked, "two ups".to_owned()));
    assert_eq!(told(QUARTER), (Topic::Retake, "up again".to_owned()));
}

/// Double stops between rests have no bow changes to be even in; four that are joined have. Common practice, no source.
#[test]
fn two_parts_are_joined() {
    let told = |rests: bool| {
        let writer = (0..4).fold(violin(), |writer, _| {
            let writer = writer.note("D4 A4", QUARTER);
            if rests { writer.rest(QUARTER) } else { writer }
        });
        marks(writer.note("A4", HALF)).iter().any(|mark| mark.sentence.contains("bow changes"))
    };
    assert!(told(false) && !told(true));
}

/// Only notes with a dot or a line under their slur have a pulse, and as many again elsewhere are the same. Common
/// practice, no source.
#[test]
fn pulses_are_counted() {
    let portato = |writer: Writer, first: usize, count: usize| {
        let note = |writer: Writer, k: usize| {
            let writer = writer.note("A4", EIGHTH);
            if k < first { writer } else { writer.mark(Mark::Staccato) }
        };
        (0..first + count).fold(writer, note).slur(first + count)
    };
    let told = |writer: Writer| {
        let marks = marks(writer.note("A4", WHOLE));
        let pulses = marks.into_iter().filter(|mark| mark.text.ends_with("small pulses"));
        pulses.map(|mark| mark.sentence).collect::<Vec<_>>()
    };
    assert!(told(portato(violin(), 0, 4))[0].starts_with("Four pulses"));
    assert!(told(portato(violin(), 1, 3))[0].starts_with("Three pulses"));
    // What grows is not alike, and what goes through the bow is in no one place.
    assert!(told(portato(violin(), 0, 4))[0].contains("alike"));
    let quick = (0..4).fold(violin(), |writer, _| writer.note("A4", SIXTEENTH).mark(Mark::Staccato)).slur(4);
    let fades = dynamic(dynamic(quick, 0, Dynamic::F), 1, Dynamic::Mp);
    let pin = SignKind::Hairpin { opens: false, end: Quarters::ONE, niente: false };
    assert!(!told(fades.sign(Quarters::ZERO, pin))[0].contains("alike"));
    let text = |level: Dynamic| {
        let marks = marks(dynamic(portato(violin(), 0, 4), 0, level).note("A4", WHOLE));
        marks.into_iter().find(|mark| mark.topic == Topic::StrokePlace).expect("told").text
    };
    assert_eq!(text(Dynamic::Ff), "small pulses");
    assert_ne!(text(Dynamic::P), "small pulses");
    // As many again are the same.
    let twice = |count: usize| told(portato(notes(portato(violin(), 0, 4), 8, QUARTER), 0, count)).len();
    assert_eq!((twice(4), twice(3)), (1, 2));
}

/// The end of a phrase under a fermata is held, not in time. Common practice, no source.
#[test]
fn a_fermata_before_a_breath_is_held() {
    let told = |fermata: bool| {
        let writer = violin().note("A4", HALF).mark(Mark::Caesura);
        let writer = if fermata { writer.mark(Mark::Fermata) } else { writer };
        let marks = marks(writer.note("B4", HALF));
        let end = marks.into_iter().find(|mark| mark.topic == Topic::PhraseEnd).expect("told");
        end.sentence.contains("in time")
    };
    assert!(told(false) && !told(true));
}

/// A chord with fp, or with an accent in a diminuendo, is let go at once.
#[test]
fn a_struck_chord_is_light_afterwards() {
    let text = |mark: Option<Mark>| {
        let writer = violin().note("G3 D4 B4", HALF);
        let writer = if let Some(mark) = mark { writer.mark(mark) } else { writer };
        let marks = marks(writer.note("A4", HALF));
        marks.into_iter().find(|mark| mark.topic == Topic::Chord).expect("a chord").text
    };
    assert!(text(Some(Mark::FortePiano)).ends_with("let go"), "{}", text(Some(Mark::FortePiano)));
    assert!(!text(None).contains("let go"), "{}", text(None));
}

/// A start in turn after a short rest, with a barline for its only aim, is for spare time; with an accent for its
/// aim it is not.
#[test]
fn a_barline_alone_is_hardly_a_reason() {
    let weight = |accent: bool| {
        let writer = violin().note("A4", HALF).bow(Down).rest(QUARTER).note("B4", QUARTER).note("C5", WHOLE);
        let marks = marks(if accent { writer.mark(Mark::Sforzando) } else { writer });
        let start = marks.iter().find(|mark| mark.topic == Topic::Way && mark.at == Quarters::from(3));
        start.expect("a start").weight
    };
    assert_eq!(weight(false), Need::IfTime);
    assert_eq!(weight(true), Need::Worth);
}

/// On real parts (string quartets, CC0) and on passages of chance: what marks say is so, no note has more than
/// two beside what must be told, words are few, and a page has room for them.
#[test]
fn marks_are_true_and_few() {
    let mut random = Random::new(7);
    let chance = (0..20).map(|seed| (format!("chance {seed}"), of_chance(&mut random)));
    let real = data::real_parts().step_by(5).map(|(name, imported)| (name, data::lesson(imported)));
    let (mut bars, mut weighty) = (0, 0);
    for (name, lesson) in chance.chain(real) {
        let study = Study::new(lesson);
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let marks = &study.pencil().marks;
        for mark in marks {
            is_true(lesson, analysis, mark, &name);
            assert!(mark.text.split(' ').count() <= 5 && !mark.text.is_empty(), "{name}: {mark:#?}");
            let in_half = mark.topic == Topic::StrokePlace && mark.sentence.contains("on stay in");
            assert!(!in_half || mark.place.beat.denom() == 1, "{name}: inside a group: {mark:#?}");
            assert!(mark.sentence.ends_with('.') && mark.why.ends_with('.'), "{name}: {mark:#?}");
        }
        for pair in marks.windows(3) {
            let apart = pair[0].at < pair[2].at || pair[0].note != pair[2].note;
            assert!(apart || pair[2].weight == Need::Must, "{name}: {pair:#?}");
        }
        if !name.starts_with("chance") {
            bars += lesson.score.bars.len();
            weighty += marks.iter().filter(|mark| mark.weight > Need::IfTime).count();
        }
    }
    let a_page = 40.0 * weighty as f64 / bars.max(1) as f64;
    assert!(a_page <= 25.0, "{a_page:.1} marks on 40 bars");
}
