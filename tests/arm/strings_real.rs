//! Strings, positions and fingers over real violin parts, beside what violinists were counted to do.
//!
//! Parts: string quartets, CC0, in `shared/data` beside the checkout. Figures: totals counted over two
//! published sets, P (30 recorded violin performances, "Violin Fingering Generation Through
//! Audio-Symbolic Fusion", 2023) and T (ten violinists on 14 excerpts, TNUA Violin Fingering Dataset,
//! doi 10.1145/3397481.3450661). Those are other pieces, mostly for violin alone, so a figure is held
//! between the two, widened by a band that is stated beside it and assumed.

use elbowroom::{
    arm::{Finger, Placement, Position, place},
    exchange::musicxml,
    score::{Attack, Quarters, attacks, bow_line},
    setup::{Family, Setup},
};

use crate::data::files;

/// A note played alone.
#[derive(Clone, Copy)]
struct Alone {
    midi: i32,
    length: Quarters,
    string: u8,
    finger: Finger,
    position: Option<Position>,
}

/// Every note of the violin parts that is played alone, and every two of them in a row without a rest
/// between.
fn violin_notes() -> (Vec<Alone>, Vec<(Alone, Alone)>) {
    let setup = Setup::for_family(Family::Violin);
    let (mut notes, mut pairs) = (Vec::new(), Vec::new());
    let music = ["quartets", "judged"].into_iter().flat_map(files);
    for path in music.filter(|path| path.extension().is_some_and(|extension| extension == "mxl")) {
        let name = path.display().to_string();
        let document = musicxml::open(&std::fs::read(&path).expect(&name)).expect(&name);
        for part in 0..document.parts().len() {
            let imported = document.read(part).expect(&name);
            if imported.instrument != Some(Family::Violin) {
                continue;
            }
            let line = bow_line(&attacks(&imported.score)).0;
            let placements = place(&line, &setup);
            let alone = |(attack, placement): (&Attack, &Placement)| {
                let [note] = &attack.notes[..] else { return None };
                (placement.problem.is_none() && !note.harmonic).then(|| Alone {
                    midi: note.pitch.midi().round() as i32,
                    length: attack.duration,
                    string: placement.strings[0],
                    finger: placement.fingers[0],
                    position: placement.position,
                })
            };
            let all: Vec<Option<Alone>> = line.iter().zip(&placements).map(alone).collect();
            notes.extend(all.iter().flatten());
            for (two, events) in all.windows(2).zip(line.windows(2)) {
                if let [Some(a), Some(b)] = *two
                    && events[0].end() >= events[1].onset
                {
                    pairs.push((a, b));
                }
            }
        }
    }
    (notes, pairs)
}

/// One figure beside those of P and T, and how far outside them it may lie. Assumed.
struct Row {
    name: String,
    ours: f64,
    counted: [f64; 2],
    band: f64,
}

/// Prints the rows; all must keep to their bands.
fn check(rows: &[Row]) {
    let mut out = Vec::new();
    for Row { name, ours, counted: [p, t], band } in rows {
        eprintln!("{name:>40} {ours:6.1}   P {p:5.1}   T {t:5.1}");
        let (lo, hi) = (p.min(*t) - band, p.max(*t) + band);
        if !(lo..=hi).contains(ours) {
            out.push(format!("{name}: {ours:.1}, not within {lo:.1} to {hi:.1}"));
        }
    }
    assert!(out.is_empty(), "{}", out.join("\n"));
}

fn row(name: impl Into<String>, (part, of): (usize, usize), counted: [f64; 2], band: f64) -> Row {
    Row { name: name.into(), ours: 100.0 * part as f64 / of.max(1) as f64, counted, band }
}

/// Per cent on the G, D, A and E strings: MIDI number, P, T.
const STRINGS: [(i32, [f64; 4], [f64; 4]); 13] = [
    (62, [44.0, 55.0, 0.0, 1.0], [23.0, 77.0, 0.0, 0.0]),
    (64, [35.0, 64.0, 0.0, 1.0], [23.0, 77.0, 0.0, 0.0]),
    (65, [35.0, 65.0, 0.0, 0.0], [9.0, 91.0, 0.0, 0.0]),
    (67, [17.0, 83.0, 0.0, 0.0], [4.0, 94.0, 2.0, 0.0]),
    (69, [6.0, 46.0, 48.0, 0.0], [1.0, 39.0, 60.0, 0.0]),
    (71, [1.0, 25.0, 74.0, 0.0], [0.0, 26.0, 73.0, 0.0]),
    (72, [0.0, 19.0, 80.0, 1.0], [0.0, 16.0, 84.0, 0.0]),
    (74, [0.0, 9.0, 91.0, 0.0], [0.0, 8.0, 92.0, 0.0]),
    (76, [0.0, 1.0, 69.0, 29.0], [0.0, 2.0, 56.0, 42.0]),
    (77, [0.0, 1.0, 76.0, 23.0], [0.0, 1.0, 52.0, 47.0]),
    (79, [0.0, 0.0, 43.0, 57.0], [0.0, 0.0, 39.0, 61.0]),
    (81, [0.0, 0.0, 20.0, 80.0], [0.0, 0.0, 13.0, 86.0]),
    (83, [0.0, 0.0, 10.0, 90.0], [0.0, 0.0, 6.0, 94.0]),
];
const POSITIONS: [(u8, [f64; 2]); 6] = [
    (1, [43.0, 56.0]),
    (2, [10.0, 8.0]),
    (3, [26.0, 24.0]),
    (4, [8.0, 6.0]),
    (5, [7.0, 5.0]),
    (6, [4.0, 1.0]),
];
/// Two notes in a row on one string, per cent, by the half steps between them.
const SAME_STRING: [[f64; 12]; 2] = [
    [96.0, 90.0, 69.0, 56.0, 50.0, 40.0, 26.0, 15.0, 10.0, 8.0, 6.0, 6.0],
    [92.0, 87.0, 71.0, 56.0, 47.0, 36.0, 34.0, 14.0, 11.0, 9.0, 4.0, 6.0],
];

#[test]
fn violin_parts_are_fingered_about_as_violinists_finger() {
    let (notes, pairs) = violin_notes();
    if notes.is_empty() {
        return;
    }
    eprintln!("{} notes, {} in a row", notes.len(), pairs.len());
    let mut rows = Vec::new();
    for (midi, p, t) in STRINGS {
        let of: Vec<&Alone> = notes.iter().filter(|note| note.midi == midi).collect();
        for (index, name) in ["G", "D", "A", "E"].into_iter().enumerate() {
            let here = of.iter().filter(|note| usize::from(note.string) == 4 - index).count();
            rows.push(row(format!("{midi} on {name}"), (here, of.len()), [p[index], t[index]], 20.0));
        }
    }
    let stopped = || notes.iter().filter(|note| note.position.is_some());
    let all = stopped().count();
    for (number, counted) in POSITIONS {
        // Half position counts as first: the sets have no other word for it.
        let here = stopped()
            .filter(|note| {
                note.position == Some(Position::Number(number))
                    || number == 1 && note.position == Some(Position::Half)
            })
            .count();
        rows.push(row(format!("position {number}"), (here, all), counted, 10.0));
    }
    let open = |note: &&Alone| note.finger == Finger::Open;
    let fingers = [
        (Finger::Open, 7.0),
        (Finger::First, 26.0),
        (Finger::Second, 30.0),
        (Finger::Third, 25.0),
        (Finger::Fourth, 12.0),
    ];
    for (finger, p) in fingers {
        let count = notes.iter().filter(|note| note.finger == finger).count();
        rows.push(row(format!("finger {}", finger.mark()), (count, notes.len()), [p, p], 10.0));
    }
    let could: Vec<Alone> = notes.iter().filter(|n| [55, 62, 69, 76].contains(&n.midi)).copied().collect();
    rows.push(row(
        "open where it could be",
        (could.iter().filter(open).count(), could.len()),
        [38.0; 2],
        12.0,
    ));
    // From above the first to the second length, quarter notes.
    let lengths = [
        ("sixteenth or shorter", (0.0, 0.25), [46.0, 64.0]),
        ("eighth", (0.49, 0.5), [39.0, 52.0]),
        ("quarter", (0.99, 1.0), [26.0, 15.0]),
        ("longer", (1.0, f64::MAX), [5.0, 22.0]),
    ];
    for (name, (above, to), counted) in lengths {
        let fits = |note: &&Alone| {
            let length = note.length.to_f64();
            note.midi != 55 && length > above && length <= to
        };
        let of: Vec<Alone> = could.iter().filter(fits).copied().collect();
        let count = of.iter().filter(open).count();
        rows.push(row(format!("open D4, A4, E5: {name}"), (count, of.len()), counted, 15.0));
    }
    let crossed = |by: u8| pairs.iter().filter(|(a, b)| a.string.abs_diff(b.string) >= by).count();
    rows.push(row("string changes", (crossed(1), pairs.len()), [21.1; 2], 8.0));
    rows.push(row("over a string", (crossed(2), pairs.len()), [1.9; 2], 2.0));
    let moved = |(a, b): &&(Alone, Alone)| a.position.zip(b.position).is_some_and(|(a, b)| a != b);
    rows.push(row("position changes", (pairs.iter().filter(moved).count(), pairs.len()), [14.2, 9.9], 8.0));
    for half_steps in 1..=12 {
        let of: Vec<_> = pairs.iter().filter(|(a, b)| a.midi.abs_diff(b.midi) == half_steps).collect();
        let same = of.iter().filter(|(a, b)| a.string == b.string).count();
        let counted = SAME_STRING.map(|set| set[half_steps as usize - 1]);
        rows.push(row(format!("one string, {half_steps} half steps"), (same, of.len()), counted, 20.0));
    }
    check(&rows);
}
