//! Every double stop and chord of real quartet parts: placed on neighbouring strings under the hand,
//! or refused with a reason.
//!
//! Parts: string quartets, CC0, in `shared/data` beside the checkout. That quartets are written for
//! four players who can play them is the check: whatever is refused has been read in the file by
//! hand, and its cause stands in [`CAUSES`].

use std::collections::BTreeMap;

use elbowroom::{
    analysis::analyse,
    arm::{Finger, Placement, Plane},
    exchange::musicxml,
    lesson::Lesson,
    score::Attack,
};

use crate::data::files;

/// Why notes together are refused: file, part from 0, words of the reason, how often, and the cause.
const CAUSES: [(&str, usize, &str, usize, &str); 2] = [
    ("sq8811375", 3, "G3 and D5 lie too far apart", 3, PLAIN_HEADS),
    ("sq8811375", 3, "F♯5 and C♯6 lie on one string only", 3, PLAIN_HEADS),
];
const PLAIN_HEADS: &str = "harmonics in two heads, touched and sounding, without a diamond: only the word \
                           \"Flag.\" over the staff tells it";

/// A placed chord must be one a player can hold; facts of the instrument.
fn check(lesson: &Lesson, attack: &Attack, placement: &Placement, place: &str) {
    let open: Vec<f64> = lesson.setup.instrument.strings.iter().map(|s| s.pitch.midi()).collect();
    let mut ordered = placement.strings.clone();
    ordered.sort_unstable();
    let neighbours = ordered.windows(2).all(|two| two[1] == two[0] + 1);
    assert!(neighbours, "{place}: strings {:?}", placement.strings);
    for ((note, &string), &finger) in attack.notes.iter().zip(&placement.strings).zip(&placement.fingers) {
        let height = note.pitch.midi() - open[usize::from(string) - 1];
        assert!(height > -0.01, "{place}: {} under the string", note.pitch.name());
        assert_eq!(finger == Finger::Open, height < 0.01, "{place}: {}", note.pitch.name());
    }
    // Two strings are one pair; three share the middle one, four are taken two and two.
    let planes = &placement.planes;
    let pairs = planes.iter().all(|plane| matches!(plane, Plane::Pair(_)));
    assert!(pairs && planes.len() == attack.notes.len().div_ceil(2), "{place}: {planes:?}");
}

#[test]
fn double_stops_and_chords_of_real_parts_lie_under_the_hand() {
    let files = files("quartets");
    let mut refused: BTreeMap<(String, usize, String), usize> = BTreeMap::new();
    // Two, three and four notes: how many.
    let mut counts = [0_usize; 3];
    for path in &files {
        let name = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        let document = musicxml::open(&std::fs::read(path).expect(&name)).expect(&name);
        for part in 0..document.parts().len() {
            let imported = document.read(part).expect(&name);
            let family = imported.instrument.expect("quartets name their instruments");
            let lesson = Lesson::new(imported.score, family);
            let analysis = analyse(&lesson);
            let played = analysis.line.notes.iter().zip(&analysis.left_hand.placements);
            let sections = lesson.score.bar_sections();
            for (attack, placement) in played.filter(|(a, _)| a.notes.len() > 1) {
                let place =
                    format!("{name}, part {part}, {}", lesson.score.place_in(attack.onset, &sections));
                assert!(attack.notes.len() <= 4, "{place}");
                counts[attack.notes.len() - 2] += 1;
                match &placement.problem {
                    None => check(&lesson, attack, placement, &place),
                    Some(why) => *refused.entry((name.clone(), part, why.clone())).or_default() += 1,
                }
            }
        }
    }
    if files.is_empty() {
        return;
    }
    let all: usize = counts.iter().sum();
    let without: usize = refused.values().sum();
    eprintln!("{counts:?} of two, three and four notes; {} of {all} placed", all - without);
    for ((name, part, why), count) in &refused {
        let known =
            CAUSES.iter().find(|cause| cause.0 == name && cause.1 == *part && why.starts_with(cause.2));
        let cause = known.unwrap_or_else(|| panic!("{name}, part {part}: {count} times {why}"));
        assert_eq!(*count, cause.3, "{name}, part {part}: {why}");
        eprintln!("{name}, part {part}: {count} times {}: {}", cause.2, cause.4);
    }
    assert_eq!(without, CAUSES.iter().map(|cause| cause.3).sum::<usize>());
    assert_eq!(counts, [10_287, 1_039, 90]);
}
