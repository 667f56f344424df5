//! Positions of the left hand, as players count them.

use crate::setup::Family;

use super::{Finger, Hand};

/// A position of the left hand.
///
/// Counted along the notes of a scale: in first position the first finger stands on the note after
/// the open string, in second on the one after that. On the double bass by half steps, as in the
/// usual methods, with places between the numbered ones (common practice, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// The first finger a half step above the open string.
    Half,
    /// First, second, ...
    Number(u8),
    /// On the double bass, between this one and the next.
    Above(u8),
    /// The thumb lies on the string.
    Thumb,
}

/// Position of each half step of an octave above the open string where nothing tells more.
const SCALE: [u8; 13] = [0, 0, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6, 7];

impl Position {
    /// In words: "half position", "third position", "thumb position".
    pub fn words(self) -> String {
        const NAMES: [&str; 12] = [
            "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
            "eleventh", "twelfth",
        ];
        let name = |number: u8| usize::from(number).checked_sub(1).and_then(|index| NAMES.get(index));
        match self {
            Self::Half => "half position".to_owned(),
            Self::Thumb => "thumb position".to_owned(),
            Self::Number(number) => {
                name(number).map_or_else(|| format!("position {number}"), |name| format!("{name} position"))
            }
            Self::Above(number) => match (name(number), name(number.saturating_add(1))) {
                (Some(low), Some(high)) => format!("between {low} and {high} position"),
                _ => format!("position {number} and a half"),
            },
        }
    }

    /// Its number: 0.5 for the half position, 2.5 between second and third; none for the thumb's.
    pub fn number(self) -> Option<f64> {
        match self {
            Self::Half => Some(0.5),
            Self::Number(number) => Some(f64::from(number)),
            Self::Above(number) => Some(f64::from(number) + 0.5),
            Self::Thumb => None,
        }
    }

    /// By half steps above the open string alone.
    fn at(family: Family, place: u8) -> Self {
        if family == Family::DoubleBass {
            return match place {
                0 | 1 => Self::Half,
                2 | 3 => Self::Number(place - 1),
                4 => Self::Above(2),
                5 => Self::Number(3),
                6 => Self::Above(3),
                7 | 8 => Self::Number(place - 3),
                9 => Self::Above(5),
                10 => Self::Number(6),
                11 => Self::Above(6),
                _ => Self::Number((place - 12).saturating_add(7)),
            };
        }
        match place {
            0 | 1 => Self::Half,
            2..=12 => Self::Number(SCALE[usize::from(place)]),
            _ => Self::Number(SCALE[usize::from((place - 1) % 12 + 1)].max(1) + 7 * ((place - 1) / 12)),
        }
    }
}

impl Hand {
    /// The position of this hand while a finger stops a note `height` half steps and `letters` staff
    /// steps above the open string. A first finger drawn back is where the position is counted; at a
    /// half step that two positions share, the note's letter decides: with the first finger on the D
    /// string, D sharp is half position and E flat first, G sharp third and A flat fourth.
    pub fn position_of(self, family: Family, finger: Finger, height: f64, letters: i32) -> Position {
        if self.thumb {
            return Position::Thumb;
        }
        let place = if finger == Finger::First { height.round() as u8 } else { self.place };
        let usual = Position::at(family, place);
        let fingers_above = match finger {
            Finger::First => 0,
            Finger::Second if family.on_shoulder() => 1,
            Finger::Third if family.on_shoulder() => 2,
            Finger::Fourth if family.on_shoulder() => 3,
            _ => return usual,
        };
        let octaves = i32::from(place.saturating_sub(1) / 12);
        // The half steps that are the raised first of two notes of the scale or the lowered second.
        let other = match place.saturating_sub(12 * octaves as u8) {
            _ if family == Family::DoubleBass => return usual,
            1 => 1,
            6 => 3,
            8 => 4,
            11 => 7,
            _ => return usual,
        };
        let counted = other + 7 * octaves;
        match u8::try_from(counted) {
            Ok(number) if letters - fingers_above == counted => Position::Number(number),
            _ => usual,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{score::Pitch, setup::Setup};

    /// The first finger going up one string by half steps, with both names of a note where positions
    /// share it. Common practice: a position has the number of the note's letter, counted from the
    /// open string; double bass from memory, as its usual methods number.
    const SHOULDER_AND_CELLO: [(&str, &[&str]); 4] = [
        // Violin, G string.
        (
            "G3",
            &[
                "G#half",
                "Abfirst",
                "Afirst",
                "Bbsecond",
                "Bsecond",
                "Cthird",
                "C#third",
                "Dbfourth",
                "Dfourth",
                "Ebfifth",
                "Efifth",
                "Fsixth",
                "F#sixth",
                "Gbseventh",
                "Gseventh",
            ],
        ),
        // Viola, C string and G string: E4 on the G string is fifth position.
        (
            "C3",
            &[
                "C#half",
                "Dbfirst",
                "Dfirst",
                "Ebsecond",
                "Esecond",
                "Fthird",
                "F#third",
                "Gbfourth",
                "Gfourth",
                "Abfifth",
                "Afifth",
                "Bbsixth",
                "Bsixth",
                "Cbseventh",
                "Cseventh",
            ],
        ),
        // Violin, E string: F is first position.
        (
            "E5",
            &[
                "E#half",
                "Ffirst",
                "F#first",
                "Gsecond",
                "G#second",
                "Athird",
                "A#third",
                "Bbfourth",
                "Bfourth",
                "Cfifth",
                "C#fifth",
                "Dsixth",
                "D#sixth",
                "Ebseventh",
                "Eseventh",
            ],
        ),
        // Cello, D string.
        (
            "D3",
            &[
                "D#half",
                "Ebfirst",
                "Efirst",
                "Fsecond",
                "F#second",
                "Gthird",
                "G#third",
                "Abfourth",
                "Afourth",
                "Bbfifth",
                "Bfifth",
                "Csixth",
                "C#sixth",
                "Dbseventh",
                "Dseventh",
            ],
        ),
    ];
    const BASS_G: [(&str, &str); 12] = [
        ("G#", "half position"),
        ("A", "first position"),
        ("Bb", "second position"),
        ("B", "between second and third position"),
        ("C", "third position"),
        ("C#", "between third and fourth position"),
        ("D", "fourth position"),
        ("Eb", "fifth position"),
        ("E", "between fifth and sixth position"),
        ("F", "sixth position"),
        ("F#", "between sixth and seventh position"),
        ("G", "seventh position"),
    ];

    /// The lowest pitch of that name above an open string.
    fn above(open: Pitch, name: &str) -> Pitch {
        let mut pitches = (0..9).filter_map(|octave| Pitch::from_name(&format!("{name}{octave}")));
        pitches.find(|pitch| pitch.midi() > open.midi()).expect("there is one")
    }

    fn with_first_finger(family: Family, open: Pitch, name: &str) -> String {
        let note = above(open, name);
        let height = note.midi() - open.midi();
        let hand = Hand { place: height as u8, thumb: false };
        hand.position_of(family, Finger::First, height, note.staff_step() - open.staff_step()).words()
    }

    #[test]
    fn positions_are_counted_as_teachers_count_them() {
        for (open, names) in SHOULDER_AND_CELLO {
            let family = match open {
                "G3" | "E5" => Family::Violin,
                "C3" => Family::Viola,
                _ => Family::Cello,
            };
            let strings = Setup::for_family(family).instrument.strings;
            let open = strings.iter().find(|string| string.pitch.name() == open).expect(open).pitch;
            for name in names {
                let letters = name.find(char::is_lowercase).expect("a word");
                // A flat is written with a small letter, too.
                let word = if name[letters..].starts_with('b') { letters + 1 } else { letters };
                let expected = format!("{} position", &name[word..]);
                assert_eq!(with_first_finger(family, open, &name[..word]), expected, "{name}");
            }
        }
        let viola_g = Setup::for_family(Family::Viola).instrument.strings[2].pitch;
        assert_eq!(with_first_finger(Family::Viola, viola_g, "E"), "fifth position");
        let bass_g = Setup::for_family(Family::DoubleBass).instrument.strings[0].pitch;
        for (name, expected) in BASS_G {
            assert_eq!(with_first_finger(Family::DoubleBass, bass_g, name), expected);
        }
    }

    /// Common practice: the other fingers have their notes above the first, and the position stays.
    #[test]
    fn all_fingers_of_a_hand_are_in_one_position() {
        let third = Hand { place: 5, thumb: false };
        for (finger, height, letters) in [
            (Finger::First, 5.0, 3),
            (Finger::Second, 7.0, 4),
            (Finger::Third, 8.0, 5),
            (Finger::Fourth, 10.0, 6),
        ] {
            assert_eq!(third.position_of(Family::Violin, finger, height, letters), Position::Number(3));
        }
        // Drawn back a half step the first finger is where the position is counted.
        let drawn_back = Hand { place: 10, thumb: false };
        assert_eq!(drawn_back.position_of(Family::Viola, Finger::First, 9.0, 5), Position::Number(5));
    }

    #[test]
    fn every_place_has_words() {
        for family in Family::ALL {
            for place in 0..=u8::MAX {
                let hand = Hand { place, thumb: false };
                let position = hand.position_of(family, Finger::Second, f64::from(place), 3);
                assert!(!position.words().is_empty() && position.number().is_some());
            }
        }
        let thumb = Hand { place: 12, thumb: true };
        let position = thumb.position_of(Family::Cello, Finger::Thumb, 12.0, 7);
        assert_eq!((position.words().as_str(), position.number()), ("thumb position", None));
    }
}
