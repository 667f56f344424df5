//! Words over the staff, and what else a part says beside its notes: read, and followed by the plan. What
//! the words mean and how long they hold is common practice, no source; the elements are those of the
//! MusicXML 4.0 reference of the W3C Music Notation Community Group.

use elbowroom::{
    analysis::{Analysis, analyse},
    arm,
    bowing::Reached,
    exchange::musicxml::open,
    lesson::Lesson,
    score::{Mark, StrokeType},
    setup::Family,
};

const HEAD: &str = "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>\
    </attributes><sound tempo='96'/>";

fn words(text: &str) -> String {
    format!("<direction><direction-type><words>{text}</words></direction-type></direction>")
}

fn dynamic(mark: &str) -> String {
    format!("<direction><direction-type><dynamics><{mark}/></dynamics></direction-type></direction>")
}

/// Notes on E5 of so many eighths each, with what else stands in them.
fn notes(count: usize, eighths: usize, more: &str) -> String {
    let note = format!(
        "<note><pitch><step>E</step><octave>5</octave></pitch><duration>{eighths}</duration>{more}</note>"
    );
    note.repeat(count)
}

fn notations(inside: &str) -> String {
    format!("<notations>{inside}</notations>")
}

/// A violin part of these bars, numbered as given.
fn numbered(bars: &[(u32, String)]) -> (Lesson, Vec<String>) {
    let bars = bars.iter().enumerate().map(|(index, (number, contents))| {
        let head = if index == 0 { HEAD } else { "" };
        format!("<measure number='{number}'>{head}{contents}</measure>")
    });
    let xml = format!(
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Violin</part-name>\
         </score-part></part-list><part id='P1'>{}</part></score-partwise>",
        bars.collect::<String>()
    );
    let imported = open(xml.as_bytes()).and_then(|document| document.read(0)).expect("good MusicXML");
    let told = imported.diagnostics.iter().map(|diagnostic| diagnostic.message.to_string()).collect();
    (Lesson::new(imported.score, Family::Violin), told)
}

fn read(bars: &[String]) -> Lesson {
    let bars: Vec<(u32, String)> = (1..).zip(bars.iter().cloned()).collect();
    numbered(&bars).0
}

/// Where the middle of every note lies, as a share of the hair.
fn places(lesson: &Lesson, analysis: &Analysis) -> Vec<f64> {
    let hair = lesson.setup.bow.hair_mm;
    let middle = |k| {
        let (start, end) = analysis.plan.places_mm(k);
        (start + end) / 2.0 / hair
    };
    (0..analysis.bowing.notes.len()).map(middle).collect()
}

fn stroke_types(lesson: &Lesson) -> Vec<StrokeType> {
    analyse(lesson).bowing.notes.iter().map(|note| note.stroke_type).collect()
}

#[test]
fn every_word_for_a_place_brings_the_bow_there() {
    for (lo, hi, texts) in [
        (0.0, 0.3, ["al tallone", "au talon", "am Frosch", "at the frog"]),
        (0.7, 1.0, ["punta d'arco", "\u{e0} la pointe", "an der Spitze", "at the tip"]),
        (0.4, 0.6, ["met\u{e0} d'arco", "au milieu", "in der Mitte", "in the middle"]),
        (
            0.1,
            0.45,
            ["met\u{e0} inferiore", "moiti\u{e9} inf\u{e9}rieure", "untere H\u{e4}lfte", "lower half"],
        ),
        (
            0.55,
            0.9,
            ["met\u{e0} superiore", "moiti\u{e9} sup\u{e9}rieure", "obere H\u{e4}lfte", "upper half"],
        ),
    ] {
        for text in texts {
            let lesson = read(&[words(text) + &notes(8, 1, ""), notes(8, 1, "")]);
            let places = places(&lesson, &analyse(&lesson));
            assert!(places.iter().all(|place| (lo..=hi).contains(place)), "{text}: {places:.2?}");
        }
    }
}

/// Many files put a tempo for playback beside any words.
#[test]
fn words_beside_a_tempo_for_playback_are_read_too() {
    let direction = words("punta d'arco").replace("</direction>", "<sound tempo='100'/></direction>");
    let lesson = read(&[direction + &notes(8, 1, "")]);
    assert_eq!(lesson.score.tempo_map().qpm_at(elbowroom::score::Quarters::ZERO), 100.0);
    assert!(places(&lesson, &analyse(&lesson)).iter().all(|place| *place > 0.7));
}

#[test]
fn every_word_for_a_stroke_gives_it_to_short_separate_notes() {
    for (stroke, texts) in [
        (StrokeType::Spiccato, ["spicc.", "spiccato", "Sprungbogen", "off the string"]),
        (StrokeType::Sautille, ["sautill\u{e9}", "sautille", "saltellato", "h\u{fc}pfend"]),
        (StrokeType::Ricochet, ["jet\u{e9}", "gettato", "geworfen", "ricochet"]),
        (StrokeType::Martele, ["martel\u{e9}", "martellato", "geh\u{e4}mmert", "hammered"]),
    ] {
        for text in texts {
            let lesson = read(&[words(text) + &notes(8, 1, "")]);
            assert_eq!(stroke_types(&lesson), [stroke; 8], "{text}");
        }
    }
}

#[test]
fn long_slurred_and_broad_notes_are_bowed_as_marked_under_a_word_for_a_stroke() {
    let slur = |kind: &str| notes(1, 1, &notations(&format!("<slur type='{kind}'/>")));
    let broad = notations("<articulations><tenuto/></articulations>");
    let bar = words("spiccato") + &notes(1, 4, "") + &slur("start") + &slur("stop") + &notes(1, 1, &broad);
    let lesson = read(&[bar + &notes(1, 1, "")]);
    use StrokeType::{Detache, Legato, Spiccato};
    assert_eq!(stroke_types(&lesson), [Detache, Legato, Legato, Detache, Spiccato]);
}

#[test]
fn words_hold_until_ended_by_words_a_bar_of_rest_or_a_movement() {
    let rest = "<note><rest measure='yes'/><duration>8</duration></note>".to_owned();
    let short_rest = "<note><rest/><duration>4</duration></note>".to_owned();
    let asked = |lesson: &Lesson| -> Vec<bool> {
        let asks = |note: &elbowroom::score::Attack| note.manner.part.is_some();
        analyse(lesson).line.notes.iter().map(asks).collect()
    };
    let tip = || words("punta d'arco") + &notes(1, 8, "");
    assert_eq!(asked(&read(&[tip(), notes(1, 4, "") + &short_rest, notes(1, 8, "")])), [true; 3]);
    assert_eq!(asked(&read(&[tip(), rest, notes(1, 8, "")])), [true, false]);
    for text in ["ord.", "naturale", "arco"] {
        assert_eq!(asked(&read(&[tip(), words(text) + &notes(1, 8, "")])), [true, false], "{text}");
    }
    let end = "<barline location='right'><bar-style>light-heavy</bar-style></barline>";
    let movements = numbered(&[(1, tip()), (2, notes(1, 8, "") + end), (1, notes(1, 8, ""))]).0;
    assert_eq!(asked(&movements), [true, true, false]);
    let spiccato = read(&[words("spicc.") + &notes(8, 1, ""), words("d\u{e9}tach\u{e9}") + &notes(8, 1, "")]);
    assert_eq!(stroke_types(&spiccato)[8..], [StrokeType::Detache; 8]);
}

#[test]
fn the_whole_bow_is_nearly_all_of_it_and_flautando_takes_more_than_usual() {
    let travelled = |text: &str| {
        let lesson = read(&[words(text) + &notes(2, 4, ""), notes(2, 4, "")]);
        let usable = arm::usable_mm(&lesson.setup);
        let analysis = analyse(&lesson);
        let share = |k| {
            let (start, end) = analysis.plan.places_mm(k);
            (end - start).abs() / (usable.1 - usable.0)
        };
        (0..4).map(share).sum::<f64>() / 4.0
    };
    let usual = travelled("dolce");
    for text in ["tutto l'arco", "tout l'archet", "ganzer Bogen", "whole bow"] {
        assert!(travelled(text) > 0.9 && usual < 0.8, "{text}: {} against {usual}", travelled(text));
    }
    assert!(travelled("flautando") > 1.1 * usual);
}

#[test]
fn growing_and_fading_in_words_go_to_the_next_dynamic() {
    let level = |lesson: &Lesson, at: f64| analyse(lesson).line.dynamics.level(at);
    let fall = |text: &str| {
        read(&[
            dynamic("f") + &notes(1, 4, "") + &words(text) + &notes(1, 4, ""),
            dynamic("p") + &notes(1, 8, ""),
        ])
    };
    for text in ["dim.", "diminuendo", "decresc.", "smorzando", "poco a poco dim."] {
        let lesson = fall(text);
        let levels = [0.0, 2.0, 3.0, 3.999, 4.0].map(|at| level(&lesson, at));
        assert!((levels[2] - 3.5).abs() < 1e-9 && (levels[3] - 2.0).abs() < 0.01, "{text}: {levels:?}");
        assert_eq!((levels[0], levels[1], levels[4]), (5.0, 5.0, 2.0), "{text}");
    }
    assert_eq!(level(&fall("senza dim."), 3.0), 5.0);
    assert_eq!(level(&fall("dimmi"), 3.0), 5.0);
    // Without a dynamic: one level up to the end; and the words beside a hairpin only name it.
    let open_end = read(&[dynamic("p") + &notes(1, 8, ""), words("cresc.") + &notes(1, 8, "")]);
    assert_eq!((level(&open_end, 4.0), level(&open_end, 6.0), level(&open_end, 8.0)), (2.0, 2.5, 3.0));
    let wedge = |kind: &str| {
        format!("<direction><direction-type><wedge type='{kind}'/></direction-type></direction>")
    };
    let both = read(&[
        dynamic("p") + &words("cresc.") + &wedge("crescendo") + &notes(1, 8, ""),
        wedge("stop") + &notes(1, 8, ""),
    ]);
    assert_eq!((level(&both, 2.0), level(&both, 4.0), level(&both, 8.0)), (2.5, 3.0, 3.0));
    let turned = read(&[
        dynamic("p") + &words("cresc.") + &notes(1, 8, ""),
        words("dim.") + &notes(1, 8, ""),
        dynamic("p") + &notes(1, 8, ""),
    ]);
    assert_eq!((level(&turned, 4.0), level(&turned, 6.0), level(&turned, 8.0)), (3.0, 2.5, 2.0));
}

#[test]
fn the_bow_is_lifted_at_a_caesura_and_a_breath() {
    for mark in ["caesura", "breath-mark"] {
        let marked = notations(&format!("<articulations><{mark}/></articulations>"));
        let analysis = analyse(&read(&[notes(1, 4, &marked) + &notes(1, 4, "")]));
        let next = &analysis.bowing.notes[1];
        assert!(matches!(next.reached, Reached::Air(seconds) if seconds > 0.0), "{mark}: {next:?}");
    }
}

#[test]
fn a_glissando_is_two_notes_and_a_mark() {
    for (element, mark) in [("glissando", Mark::Glissando), ("slide", Mark::Slide)] {
        let end = |kind: &str| notations(&format!("<{element} type='{kind}' number='1'/>"));
        let (lesson, told) = numbered(&[(1, notes(1, 4, &end("start")) + &notes(1, 4, &end("stop")))]);
        assert_eq!(analyse(&lesson).bowing.notes.len(), 2);
        assert!(lesson.score.events[0].marks.contains(&mark) && lesson.score.events[1].marks.is_empty());
        assert!(told.is_empty(), "{told:?}");
    }
}

#[test]
fn cue_notes_and_notes_of_cue_size_are_not_planned() {
    let cue = notes(1, 2, "").replace("<note>", "<note><cue/>");
    let small = notes(1, 2, "<type size='cue'>quarter</type>");
    let lesson = read(&[cue + &small + &notes(1, 4, "<type size='full'>half</type>")]);
    let analysis = analyse(&lesson);
    assert_eq!(lesson.score.events.len(), 3, "they are drawn");
    assert_eq!((analysis.line.notes.len(), analysis.bowing.notes.len()), (1, 1));
}

#[test]
fn while_a_note_is_plucked_there_is_no_stroke() {
    let lesson = read(&[
        notes(2, 4, ""),
        words("pizz.") + &notes(2, 4, ""),
        words("arco") + &notes(2, 4, ""),
        words("pizz.") + &notes(1, 8, ""),
    ]);
    let analysis = analyse(&lesson);
    let beat_s = 60.0 / 96.0;
    for (quarters, bowed) in
        [(1.0, true), (4.0, false), (5.0, false), (7.5, false), (8.0, true), (13.0, false)]
    {
        let state = analysis.bow_at(quarters * beat_s);
        assert_eq!(state.stroke.is_some(), bowed, "{quarters}");
        assert_eq!(state.direction.is_some(), bowed, "{quarters}");
    }
}
