//! Every file of the unofficial MusicXML test suite (MIT licence; see the data folder) is read or
//! refused with a clear message.

use elbowroom::{
    exchange::musicxml::{self, ImportError, Imported},
    score::Quarters,
};

use crate::data::{files, shared};

fn read(name: &str) -> Option<Imported> {
    let bytes = std::fs::read(shared("suite")?.join(name)).expect(name);
    Some(musicxml::open(&bytes).expect(name).read(0).expect(name))
}

#[test]
fn every_file_reads_or_is_refused_clearly() {
    if shared("suite").is_none() {
        return;
    }
    let (mut count, mut refused) = (0, Vec::new());
    for path in files("suite") {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if ![".xml", ".musicxml", ".mxl"].iter().any(|ending| name.ends_with(ending)) {
            continue;
        }
        count += 1;
        let bytes = std::fs::read(&path).expect("readable");
        let read = musicxml::open(&bytes).and_then(|document| {
            (0..document.parts().len()).map(|part| document.read(part)).collect::<Result<Vec<_>, _>>()
        });
        match read {
            Ok(parts) => {
                for part in parts {
                    let score = &part.score;
                    assert!(!score.bars.is_empty(), "{name}");
                    assert!(score.bars.windows(2).all(|pair| pair[0].end() == pair[1].start), "{name}");
                    assert!(
                        score
                            .slurs
                            .iter()
                            .all(|s| score.event(s.from).is_some() && score.event(s.to).is_some())
                    );
                    assert!(part.diagnostics.iter().all(|d| !d.to_string().contains('\n')), "{name}");
                }
            }
            Err(error) => refused.push((name, error)),
        }
    }
    println!("{count} files, {} refused: {refused:?}", refused.len());
    assert!(count > 120, "{count} files");
    // 32ad is the one file of the suite that is ill-formed XML.
    assert!(
        matches!(&refused[..], [(name, ImportError::Malformed { line: 141, .. })] if name.starts_with("32ad")),
        "{refused:?}"
    );
}

#[test]
fn pitches_rise_from_g2() {
    // 01a: 110 notes, the first is written G in octave 2, MIDI 43.
    let Some(imported) = read("01a-Pitches-Pitches.xml") else { return };
    let midi: Vec<f64> =
        imported.score.events.iter().flat_map(|event| &event.notes).map(|note| note.pitch.midi()).collect();
    assert_eq!((midi.len(), midi.first()), (110, Some(&43.0)));
}

#[test]
fn a_basic_chord_has_one_stem() {
    // 21a: one chord of F4 and A4.
    let Some(imported) = read("21a-Chord-Basic.xml") else { return };
    let heads: Vec<f64> = imported.score.events[0].notes.iter().map(|note| note.pitch.midi()).collect();
    assert_eq!(heads, [65.0, 69.0]);
}

#[test]
fn a_short_first_bar_is_a_pickup() {
    // 46g: bar "0" with two eighth notes in 4/4.
    let Some(imported) = read("46g-PickupMeasure-Chordnames-FiguredBass.xml") else { return };
    let bar = &imported.score.bars[0];
    assert_eq!((bar.pickup, bar.length, bar.number.as_str()), (true, Quarters::ONE, "0"));
}

#[test]
fn grace_notes_before_the_barline_belong_to_the_note_before() {
    // 24c: two half notes, then two grace notes that end the bar.
    let Some(imported) = read("24c-GraceNote-MeasureEnd.xml") else { return };
    let graces: Vec<_> = imported
        .score
        .events
        .iter()
        .filter_map(|event| event.grace.map(|grace| (event.onset, grace.order, grace.after)))
        .collect();
    assert_eq!(graces, [(Quarters::from(4), 0, true), (Quarters::from(4), 1, true)]);
}
