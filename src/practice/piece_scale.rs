//! The scale and the arpeggio of a piece: in its key or mode, over its range as far as the player's positions go, one
//! note a bow, in its slurs, in its strokes.

use std::ops::Range;

use super::scale::{Rhythm, Scale, ScaleWish, scale_in, steps_down_to};
use crate::{
    analysis::Study,
    lesson::Lesson,
    score::{Attack, Letter, Mark, NoteValue, Pitch, SignKind, StrokeType, TimeSignature},
};

/// How the scale of a piece is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ScaleForm {
    /// One note a bow.
    Single,
    /// In the slurs of the piece.
    Slurred,
    /// In the stroke that the piece has most, besides long ones.
    Stroked,
}

/// Tempo of one note a bow, in half notes: 2 s a bow, which is a calm one. Assumed.
const SINGLE_QPM: f64 = 60.0;
/// Tempos between which a scale is written, quarter notes a minute. Assumed.
const TEMPOS: (f64, f64) = (40.0, 208.0);
/// A stroke shorter than this is played four times on each note, one shorter than the other twice, s. Assumed.
const FOUR_TIMES_S: f64 = 0.2;
const TWICE_S: f64 = 0.45;
/// So many notes in a stroke make it one that the piece uses. Assumed.
const LEAST_NOTES: usize = 4;
/// Most octaves.
const MOST_OCTAVES: u8 = 4;

/// Letters by fifths, F first: the major key without signs is on the second.
const FIFTHS: [Letter; 7] = [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];

/// The bars of the movement in which a bar stands.
pub fn movement(study: &Study, bar: usize) -> Range<usize> {
    let sections = study.lesson().score.bar_sections();
    let Some(here) = sections.get(bar) else { return 0..sections.len() };
    let first = sections.partition_point(|section| section < here);
    first..sections.partition_point(|section| section <= here)
}

/// The first note of the key of a bar, in the octave from C0, and the scale over it.
///
/// Where the movement ends on the first note of the major or of the minor key, that is it. Else it is minor where the
/// raised seventh of minor is heard no less than the natural one, and a mode where the movement begins and ends on its
/// first note and has that longest; major otherwise. Assumed; of a bar that there is not, of no signs.
pub(super) fn home(study: &Study, bar: usize) -> (Pitch, Scale) {
    let key = study.lesson().score.bars.get(bar).map_or(0, |bar| bar.key);
    let on = |place: i8| {
        let alter = f32::from(place.div_euclid(7));
        Pitch::new(FIFTHS[usize::from(place.rem_euclid(7).unsigned_abs())], alter, 0)
    };
    let class = |pitch: Pitch| pitch.midi().round().rem_euclid(12.0) as usize;
    let lowest = |attack: &Attack| attack.notes.first().map(|note| class(note.pitch));
    let bars = movement(study, bar);
    let mut notes = study.analysis().line.notes.iter().filter(|attack| bars.contains(&attack.bar));
    let mut heard = [0.0; 12];
    for attack in notes.clone() {
        if let Some(class) = lowest(attack) {
            heard[class] += (attack.end() - attack.onset).to_f64();
        }
    }
    let first = notes.next();
    let last = notes.next_back().or(first).and_then(lowest);
    let first = first.and_then(lowest);
    let (major, minor) = (on(key + 1), on(key + 4));
    let (raised, natural) = (heard[class(on(key + 9))], heard[class(on(key + 2))]);
    if last == Some(class(minor)) {
        return (minor, Scale::MelodicMinor);
    }
    if last == Some(class(major)) {
        return (major, Scale::Major);
    }
    if raised > 0.0 && raised >= natural {
        return (minor, Scale::MelodicMinor);
    }
    let modes = [(0, Scale::Lydian), (2, Scale::Mixolydian), (3, Scale::Dorian), (5, Scale::Phrygian)];
    let longest = heard.iter().copied().fold(0.0, f64::max);
    let mode = modes.into_iter().map(|(place, scale)| (on(key + place), scale)).find(|(pitch, _)| {
        let class = class(*pitch);
        first == Some(class) && last == Some(class) && heard[class] >= longest
    });
    mode.unwrap_or((major, Scale::Major))
}

/// The first note of the key of a bar, in the octave from C0, and whether the key is minor. Of a bar that there is
/// not, of no signs.
pub fn tonic(study: &Study, bar: usize) -> (Pitch, bool) {
    let (pitch, scale) = home(study, bar);
    (pitch, scale == Scale::MelodicMinor)
}

/// The scale, or the arpeggio, of some bars: from the first note of their key at or under their lowest note, over
/// as many octaves as reach their highest, as far as this player's positions go.
///
/// # Errors
/// Why there is none, in words.
pub(super) fn piece_scale(
    study: &Study,
    bars: &Range<usize>,
    form: ScaleForm,
    is_arpeggio: bool,
) -> Result<Lesson, String> {
    let lesson = study.lesson();
    if bars.start >= lesson.score.bars.len() {
        return Err("there is no music yet".to_owned());
    }
    let (tonic, scale) = home(study, bars.start);
    let scale = match (is_arpeggio, scale) {
        (false, scale) => scale,
        (true, Scale::MelodicMinor | Scale::Dorian | Scale::Phrygian) => Scale::MinorArpeggio,
        (true, _) => Scale::MajorArpeggio,
    };
    let (how, written) = match form {
        ScaleForm::Single => ("one note a bow".to_owned(), Written::single()),
        ScaleForm::Slurred => {
            let (in_a_bow, bow_s) = usual_slur(study, bars).ok_or("no notes are slurred in these bars")?;
            (format!("{in_a_bow} in a bow"), Written::slurred(in_a_bow, bow_s))
        }
        ScaleForm::Stroked => {
            let (stroke, length_s) =
                usual_stroke(study, bars).ok_or("these bars have no strokes but long and slurred ones")?;
            (stroke.word().to_owned(), Written::stroked(stroke, length_s))
        }
    };
    let strings = &lesson.setup.instrument.strings;
    let lowest = strings.last().ok_or("the instrument has no strings")?.pitch.midi();
    let notes = study.analysis().line.notes.iter().filter(|attack| bars.contains(&attack.bar));
    let pitches = notes.flat_map(|attack| &attack.notes).map(|note| note.pitch.midi());
    let (low, high) = pitches.fold((f64::INFINITY, lowest), |(low, high), at| (low.min(at), high.max(at)));
    let first = steps_down_to(tonic, lowest, low).ok_or("no instrument plays so high")?;
    let wished = (((high - first.midi()) / 12.0).ceil() as u8).clamp(1, MOST_OCTAVES);
    for octaves in (1..=wished).rev() {
        let wish =
            ScaleWish { first, scale, octaves, value: written.rhythm.value, in_a_bow: written.in_a_bow };
        let mut made = scale_in(&lesson.setup, &wish, &written.rhythm)?;
        written.finish(&mut made, &how);
        if lies_in_the_hand(&made) {
            return Ok(made);
        }
    }
    Err(format!("no octave from {} lies in this player's positions", first.name()))
}

fn lies_in_the_hand(lesson: &Lesson) -> bool {
    let study = Study::new(lesson.clone());
    study.analysis().left_hand.placements.iter().all(|placement| placement.problem.is_none())
}

/// How a scale is written down.
struct Written {
    rhythm: Rhythm,
    in_a_bow: usize,
    qpm: f64,
    stroke: Option<StrokeType>,
}

impl Written {
    fn single() -> Self {
        let rhythm = Rhythm { value: NoteValue::HALF, times: 1, time: TimeSignature::new(4, 4) };
        Self { rhythm, in_a_bow: 1, qpm: SINGLE_QPM, stroke: None }
    }

    /// A bow lasts as long as in the piece.
    fn slurred(in_a_bow: usize, bow_s: f64) -> Self {
        let (value, parts) =
            if in_a_bow > 4 { (NoteValue::plain(-3), 2.0) } else { (NoteValue::QUARTER, 1.0) };
        let time =
            if in_a_bow.is_multiple_of(3) { TimeSignature::new(3, 4) } else { TimeSignature::new(4, 4) };
        let qpm = in_a_bow as f64 / parts * 60.0 / bow_s;
        Self { rhythm: Rhythm { value, times: 1, time }, in_a_bow, qpm, stroke: None }
    }

    /// A note lasts as long as in the piece.
    fn stroked(stroke: StrokeType, length_s: f64) -> Self {
        let times = if length_s < FOUR_TIMES_S {
            4
        } else if length_s < TWICE_S {
            2
        } else {
            1
        };
        let rhythm = Rhythm { value: NoteValue::plain(-3), times, time: TimeSignature::new(4, 4) };
        let in_a_bow = if is_in_one_bow(stroke) { 4 } else { 1 };
        Self { rhythm, in_a_bow, qpm: 30.0 / length_s, stroke: Some(stroke) }
    }

    /// Sets tempo, stroke and title.
    fn finish(&self, made: &mut Lesson, how: &str) {
        for sign in &mut made.score.signs {
            if let SignKind::Tempo { qpm, .. } = &mut sign.kind {
                *qpm = self.qpm.clamp(TEMPOS.0, TEMPOS.1).round();
            }
        }
        if let Some(stroke) = self.stroke {
            for event in made.score.events.iter_mut().filter(|event| !event.is_rest()) {
                event.stroke = Some(stroke);
                event.marks.insert(mark_of(stroke));
            }
        }
        made.score.title = format!("{}: {how}", made.score.title);
    }
}

fn is_in_one_bow(stroke: StrokeType) -> bool {
    matches!(stroke, StrokeType::Portato | StrokeType::SlurredStaccato | StrokeType::Ricochet)
}

/// How a stroke is written over its notes. Common practice, no source.
fn mark_of(stroke: StrokeType) -> Mark {
    match stroke {
        StrokeType::Portato => Mark::Tenuto,
        StrokeType::Martele => Mark::Staccatissimo,
        _ => Mark::Staccato,
    }
}

/// How many notes the slurs of some bars have most often, of those that are easily counted, and how long such a bow
/// lasts on average, s.
fn usual_slur(study: &Study, bars: &Range<usize>) -> Option<(usize, f64)> {
    let analysis = study.analysis();
    let mut known = [(0_usize, 0.0); 9];
    for stroke in &analysis.bowing.strokes {
        let (first, last) = (analysis.note(stroke.notes.start), analysis.note(stroke.notes.end - 1));
        if !bars.contains(&first.bar) || stroke.notes.len() < 2 {
            continue;
        }
        let count = match stroke.notes.len() {
            count @ 2..=4 => count,
            5 => 4,
            6 | 7 => 6,
            _ => 8,
        };
        let lasts = analysis.seconds_at(last.end()) - analysis.seconds_at(first.onset);
        known[count].0 += 1;
        known[count].1 += lasts * count as f64 / stroke.notes.len() as f64;
    }
    let count = (2..known.len()).rev().max_by_key(|count| known[*count].0)?;
    let (bows, lasts) = known[count];
    (bows > 0 && lasts > 0.0).then(|| (count, lasts / bows as f64))
}

/// The stroke that most notes of some bars have, long and slurred ones aside, and how long such a note is in the
/// middle, s.
fn usual_stroke(study: &Study, bars: &Range<usize>) -> Option<(StrokeType, f64)> {
    let analysis = study.analysis();
    let told = |stroke: StrokeType| {
        !matches!(stroke, StrokeType::Detache | StrokeType::Legato | StrokeType::Tremolo)
    };
    let here = analysis.bowing.notes.iter().filter(|bowed| {
        let attack = &analysis.line.notes[bowed.note];
        bars.contains(&attack.bar) && attack.grace.is_none() && told(bowed.stroke_type)
    });
    let mut lengths: Vec<(StrokeType, f64)> = here
        .map(|bowed| {
            let attack = &analysis.line.notes[bowed.note];
            (bowed.stroke_type, analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset))
        })
        .collect();
    lengths.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let most = lengths.chunk_by(|a, b| a.0 == b.0).max_by_key(|run| run.len())?;
    let (stroke, length_s) = most[most.len() / 2];
    (most.len() >= LEAST_NOTES && length_s > 0.0).then_some((stroke, length_s))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Writer, change::new_passage, demo::demo},
        setup::{Family, Positions},
    };

    fn tune(names: &str, key: i8, family: Family) -> Study {
        let mut writer = Writer::new(new_passage(family, TimeSignature::new(4, 4), key, 80.0));
        for name in names.split(' ') {
            writer = writer.note(name, NoteValue::QUARTER);
        }
        Study::new(writer.finish().expect("a tune").0)
    }

    fn home_words(names: &str, key: i8) -> String {
        let (pitch, scale) = home(&tune(names, key, Family::Violin), 0);
        format!("{} {}", pitch.letter.symbol(), scale.words())
    }

    /// Key signature, last note and leading note tell the key: common practice, no source.
    #[test]
    fn the_key_or_mode_is_found() {
        assert_eq!(home_words("C4 E4 G4 C5", 0), "C major");
        assert_eq!(home_words("A4 C5 E5 A4", 0), "A melodic minor");
        assert_eq!(home_words("A4 G#4 A4 G#4 E4", 0), "A melodic minor");
        assert_eq!(home_words("E4 G4 C5 E4 G4", 0), "C major", "an inner part that ends on the fifth");
        assert_eq!(home_words("D4 E4 F4 D4 G4 B4 D4", 0), "D dorian");
        assert_eq!(home_words("A4 B4 G4 A4 C#5 A4", 2), "A mixolydian");
    }

    /// In the positions of the player, over the range of the piece: from its lowest to its highest note.
    #[test]
    fn the_scale_goes_as_far_as_the_piece_and_the_player() {
        let scale = |names: &str, key, positions| {
            let mut lesson = tune(names, key, Family::Violin).lesson().clone();
            lesson.setup.player.positions = positions;
            let study = Study::new(lesson);
            piece_scale(&study, &(0..1), ScaleForm::Single, false).expect("a scale")
        };
        assert!(scale("D4 F#4 A4 D5", 2, Positions::All).score.title.starts_with("D major, 1 octave"));
        assert!(scale("D4 A5 A6 D5", 2, Positions::All).score.title.starts_with("D major, 3 octaves"));
        assert!(scale("D4 A5 A6 D5", 2, Positions::First).score.title.starts_with("D major, 1 octave"));
        assert!(scale("A3 A4 A5 A4", 3, Positions::First).score.title.starts_with("A major, 2 octaves"));
    }

    #[test]
    fn slurs_and_strokes_are_those_of_the_piece() {
        let study = Study::new(demo());
        let all = 0..study.lesson().score.bars.len();
        let slurred = piece_scale(&study, &all, ScaleForm::Slurred, false).expect("the demo has slurs");
        let (count, bow_s) = usual_slur(&study, &all).expect("slurs");
        let again = Study::new(slurred);
        let made = usual_slur(&again, &(0..again.lesson().score.bars.len())).expect("slurs");
        assert_eq!(made.0, count);
        assert!((made.1 / bow_s - 1.0).abs() < 0.02, "{made:?} {bow_s}");
        let dots = Writer::new(new_passage(Family::Viola, TimeSignature::new(4, 4), 0, 100.0));
        let dots = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"]
            .into_iter()
            .fold(dots, |writer, name| writer.note(name, NoteValue::plain(-4)).mark(Mark::Staccato));
        let dots = Study::new(dots.finish().expect("notes").0);
        let stroked = piece_scale(&dots, &(0..1), ScaleForm::Stroked, false).expect("short notes");
        let study = Study::new(stroked);
        let bowed = &study.analysis().bowing.notes;
        assert!(bowed.iter().all(|bowed| bowed.stroke_type == StrokeType::Spiccato), "{:?}", bowed[0]);
        let lasts = 30.0 / study.lesson().score.tempo_map().qpm_at(crate::score::Quarters::ZERO);
        assert!((lasts - 0.15).abs() < 0.01, "as fast as in the piece: {lasts} s");
        assert!(piece_scale(&dots, &(0..1), ScaleForm::Slurred, false).is_err());
    }
}
