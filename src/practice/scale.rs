//! Scales, modes and arpeggios as a start.

use strum::VariantArray;

use crate::{
    lesson::{Lesson, Writer, change::new_passage},
    score::{Letter, NoteValue, Pitch, Quarters, TimeSignature, key_from_words},
    setup::Setup,
};

/// Kinds of scale: common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, VariantArray)]
#[expect(missing_docs, reason = "the trade's own words")]
pub enum Scale {
    Major,
    NaturalMinor,
    HarmonicMinor,
    MelodicMinor,
    Dorian,
    Phrygian,
    Lydian,
    Mixolydian,
    Locrian,
    Chromatic,
    MajorArpeggio,
    MinorArpeggio,
    DominantSeventh,
    DiminishedSeventh,
}

/// Steps of a scale over its first note: letters and half steps, up to the octave.
type Steps = &'static [(i32, i32)];

impl Scale {
    /// All kinds, in the order in which they are offered.
    pub const ALL: &'static [Self] = Self::VARIANTS;

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::NaturalMinor => "natural minor",
            Self::HarmonicMinor => "harmonic minor",
            Self::MelodicMinor => "melodic minor",
            Self::Dorian => "dorian",
            Self::Phrygian => "phrygian",
            Self::Lydian => "lydian",
            Self::Mixolydian => "mixolydian",
            Self::Locrian => "locrian",
            Self::Chromatic => "chromatic",
            Self::MajorArpeggio => "major arpeggio",
            Self::MinorArpeggio => "minor arpeggio",
            Self::DominantSeventh => "dominant seventh arpeggio",
            Self::DiminishedSeventh => "diminished seventh arpeggio",
        }
    }

    /// The kind of a name.
    pub fn from_words(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        Self::ALL.iter().copied().find(|scale| scale.words() == text)
    }

    fn up(self) -> Steps {
        match self {
            Self::Major => &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 11)],
            Self::NaturalMinor => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)],
            Self::HarmonicMinor => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 11)],
            Self::MelodicMinor => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 11)],
            Self::Dorian => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 10)],
            Self::Phrygian => &[(0, 0), (1, 1), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)],
            Self::Lydian => &[(0, 0), (1, 2), (2, 4), (3, 6), (4, 7), (5, 9), (6, 11)],
            Self::Mixolydian => &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 10)],
            Self::Locrian => &[(0, 0), (1, 1), (2, 3), (3, 5), (4, 6), (5, 8), (6, 10)],
            // Sharps on the way up.
            Self::Chromatic => &[
                (0, 0),
                (0, 1),
                (1, 2),
                (1, 3),
                (2, 4),
                (3, 5),
                (3, 6),
                (4, 7),
                (4, 8),
                (5, 9),
                (5, 10),
                (6, 11),
            ],
            Self::MajorArpeggio => &[(0, 0), (2, 4), (4, 7)],
            Self::MinorArpeggio => &[(0, 0), (2, 3), (4, 7)],
            Self::DominantSeventh => &[(0, 0), (2, 4), (4, 7), (6, 10)],
            Self::DiminishedSeventh => &[(0, 0), (2, 3), (4, 6), (6, 9)],
        }
    }

    /// The melodic minor comes down as the natural one, the chromatic scale with flats.
    fn down(self) -> Steps {
        match self {
            Self::MelodicMinor => Self::NaturalMinor.up(),
            Self::Chromatic => &[
                (0, 0),
                (1, 1),
                (1, 2),
                (2, 3),
                (2, 4),
                (3, 5),
                (4, 6),
                (4, 7),
                (5, 8),
                (5, 9),
                (6, 10),
                (6, 11),
            ],
            other => other.up(),
        }
    }

    /// Sharps its key signature has more than that of the major key on the same note, as printed.
    fn signature(self) -> i8 {
        match self {
            Self::Major | Self::Chromatic | Self::MajorArpeggio => 0,
            Self::Lydian => 1,
            Self::Mixolydian => -1,
            // A seventh chord is printed in the key it leads to: that of its fourth.
            Self::DominantSeventh => -1,
            Self::Dorian => -2,
            Self::NaturalMinor | Self::HarmonicMinor | Self::MelodicMinor => -3,
            Self::MinorArpeggio | Self::DiminishedSeventh => -3,
            Self::Phrygian => -4,
            Self::Locrian => -5,
        }
    }
}

/// What a scale is to be.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleWish {
    /// Its first note.
    pub first: Pitch,
    /// Its kind.
    pub scale: Scale,
    /// How many octaves it goes up before it comes down: 1 to 4.
    pub octaves: u8,
    /// Value of the notes.
    pub value: NoteValue,
    /// Notes in a bow; 1 without slurs.
    pub in_a_bow: usize,
}

/// The notes of a scale, up and down again.
fn pitches(wish: &ScaleWish) -> Option<Vec<Pitch>> {
    let over = |(letters, half_steps): (i32, i32), octave: i32| {
        let place = wish.first.staff_step() + letters + 7 * octave;
        let (letter, number) = (Letter::ALL[place.rem_euclid(7) as usize], place.div_euclid(7) as i8);
        let sounds = wish.first.midi() + f64::from(half_steps + 12 * octave);
        let alter = sounds - Pitch::new(letter, 0.0, number).midi();
        (alter.abs() <= 2.0).then(|| Pitch::new(letter, alter as f32, number))
    };
    let octaves = i32::from(wish.octaves);
    let way = |steps: Steps| -> Option<Vec<Pitch>> {
        (0..octaves).flat_map(|octave| steps.iter().map(move |step| over(*step, octave))).collect()
    };
    let (mut all, down) = (way(wish.scale.up())?, way(wish.scale.down())?);
    all.push(over((0, 0), octaves)?);
    all.extend(down.into_iter().rev());
    Some(all)
}

/// The rhythm of a scale.
pub(super) struct Rhythm {
    /// Value of the notes.
    pub value: NoteValue,
    /// How often each is played.
    pub times: usize,
    /// Its metre.
    pub time: TimeSignature,
}

/// A scale, mode or arpeggio in four quarters a bar as a lesson for this set-up; the last note fills its bar.
///
/// # Errors
/// Why it cannot be written, in words.
pub fn scale_lesson(setup: &Setup, wish: &ScaleWish) -> Result<Lesson, String> {
    scale_in(setup, wish, &Rhythm { value: wish.value, times: 1, time: TimeSignature::new(4, 4) })
}

/// The same in a rhythm.
pub(super) fn scale_in(setup: &Setup, wish: &ScaleWish, rhythm: &Rhythm) -> Result<Lesson, String> {
    let name = letter_words(wish.first);
    if !(1..=4).contains(&wish.octaves) || !(1..=64).contains(&wish.in_a_bow) {
        return Err("A scale has 1 to 4 octaves, and 1 to 64 notes in a bow".to_owned());
    }
    let lowest = setup.instrument.strings.last().map(|string| string.pitch);
    if let Some(open) = lowest.filter(|open| wish.first.midi() < open.midi()) {
        return Err(format!("{} lies below the lowest open string, {}", wish.first.name(), open.name()));
    }
    let key = key_from_words(&format!("{name} major")).map(|key| key + wish.scale.signature());
    let key = key.filter(|key| (-7..=7).contains(key));
    let (Some(key), Some(pitches)) = (key, pitches(wish)) else {
        return Err(format!(
            "{name} {} would need more than seven sharps or flats; begin on the same sound with another letter",
            wish.scale.words()
        ));
    };
    let mut empty = new_passage(setup.instrument.family, rhythm.time.clone(), key, 80.0);
    empty.setup = Setup { tempo_share: 1.0, ..setup.clone() };
    let octaves = if wish.octaves == 1 { "octave" } else { "octaves" };
    empty.score.title = format!("{name} {}, {} {octaves}", wish.scale.words(), wish.octaves);
    let bar = rhythm.time.bar_length().unwrap_or(Quarters::from(4));
    let mut writer = Writer::new(empty);
    let last = (pitches.len() - 1) * rhythm.times;
    let played = pitches.iter().flat_map(|pitch| std::iter::repeat_n(*pitch, rhythm.times));
    for (index, pitch) in played.take(last + 1).enumerate() {
        let before = rhythm.value.length() * Quarters::from(index as i64);
        let into = before - bar * Quarters::from((before / bar).to_f64().floor() as i64);
        let to_the_end = NoteValue::of_length(bar - into);
        let value = if index == last { to_the_end.unwrap_or(rhythm.value) } else { rhythm.value };
        writer = writer.pitches(&[pitch], value);
        // Whole groups from the start; the last note has a bow of its own.
        if wish.in_a_bow > 1 && (index + 1) % wish.in_a_bow == 0 && index != last {
            writer = writer.slur(wish.in_a_bow);
        }
    }
    writer.finish().map(|(lesson, _)| lesson).map_err(|error| error.to_string())
}

/// The pitch an octave or more over one in the octave from C0 that lies highest at or under a sound, and not under
/// the lowest there is; else the lowest there is. MIDI numbers.
pub(super) fn steps_down_to(tonic: Pitch, lowest: f64, sound: f64) -> Option<Pitch> {
    let all = (0..9).map(|octave| Pitch::new(tonic.letter, tonic.alter, octave));
    let all: Vec<Pitch> = all.filter(|pitch| pitch.midi() >= lowest).collect();
    all.iter().rev().find(|pitch| pitch.midi() <= sound).or(all.first()).copied()
}

/// "B flat".
fn letter_words(pitch: Pitch) -> String {
    let letter = pitch.letter.symbol();
    match pitch.alter {
        a if a > 0.0 => format!("{letter} sharp"),
        a if a < 0.0 => format!("{letter} flat"),
        _ => letter.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::Family;

    fn wish(first: &str, scale: Scale, octaves: u8) -> ScaleWish {
        let first = Pitch::from_name(first).expect("a pitch");
        ScaleWish { first, scale, octaves, value: NoteValue::EIGHTH, in_a_bow: 1 }
    }

    fn names(first: &str, scale: Scale) -> String {
        let pitches = pitches(&wish(first, scale, 1)).expect("it can be spelled");
        pitches.into_iter().map(Pitch::name).collect::<Vec<_>>().join(" ")
    }

    /// Common practice, no source.
    #[test]
    fn scales_are_spelled_as_they_are_taught() {
        assert_eq!(names("Bb3", Scale::Major), "B♭3 C4 D4 E♭4 F4 G4 A4 B♭4 A4 G4 F4 E♭4 D4 C4 B♭3");
        assert_eq!(names("A3", Scale::MelodicMinor), "A3 B3 C4 D4 E4 F♯4 G♯4 A4 G4 F4 E4 D4 C4 B3 A3");
        assert_eq!(names("G3", Scale::MinorArpeggio), "G3 B♭3 D4 G4 D4 B♭3 G3");
        assert_eq!(names("D4", Scale::DiminishedSeventh), "D4 F4 A♭4 C♭5 D5 C♭5 A♭4 F4 D4");
        assert!(names("G3", Scale::Chromatic).starts_with("G3 G♯3 A3 A♯3 B3 C4 C♯4"));
        assert!(names("G3", Scale::Chromatic).ends_with("B3 B♭3 A3 A♭3 G3"));
    }

    #[test]
    fn every_scale_that_has_a_signature_is_a_lesson_whose_key_spells_it() {
        let setup = Setup::for_family(Family::Violin);
        let mut written = 0;
        for &scale in Scale::ALL {
            for first in ["G3", "Ab3", "A3", "Bb3", "B3", "C4", "C#4", "Db4", "D4", "E4", "F#4", "G#3"] {
                let Ok(lesson) = scale_lesson(&setup, &wish(first, scale, 2)) else { continue };
                written += 1;
                let score = &lesson.score;
                let bars: Quarters = score.bars.iter().map(|bar| bar.length).sum();
                let notes: Quarters = score.events.iter().map(|event| event.duration).sum();
                assert!(notes <= bars && bars - notes < Quarters::from(17), "{first} {}", scale.words());
                // The modes need no sign of their own.
                let is_mode = (Scale::Dorian as u8..=Scale::Locrian as u8).contains(&(scale as u8));
                if is_mode || matches!(scale, Scale::Major | Scale::NaturalMinor) {
                    let key = score.bars[0].key;
                    let notes = score.events.iter().flat_map(|event| &event.notes);
                    let off = notes.filter(|n| n.pitch.alter != n.pitch.letter.alter_in_key(key)).count();
                    assert_eq!(off, 0, "{first} {}", scale.words());
                }
            }
        }
        assert!(written > 100, "{written}");
    }

    #[test]
    fn what_cannot_be_written_is_told() {
        let setup = Setup::for_family(Family::Violin);
        let told = |wish: ScaleWish| scale_lesson(&setup, &wish).expect_err("refused");
        assert!(told(wish("F3", Scale::Major, 1)).contains("lowest open string"));
        assert!(told(wish("G#3", Scale::Major, 1)).contains("seven sharps"));
        assert!(told(wish("G3", Scale::Major, 9)).contains("1 to 4"));
    }

    #[test]
    fn groups_are_slurred() {
        let setup = Setup::for_family(Family::Viola);
        let lesson =
            scale_lesson(&setup, &ScaleWish { in_a_bow: 4, ..wish("C3", Scale::Major, 1) }).expect("it");
        assert_eq!(lesson.score.slurs.len(), 3, "fifteen notes, the last alone");
        assert_eq!(lesson.score.events.last().map(|event| event.duration), Some(Quarters::ONE));
    }
}
