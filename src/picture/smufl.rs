//! The music font: its signs under their names in the Standard Music Font Layout (SMuFL 1.4), and what
//! its metadata says about them.
//!
//! Bravura (SIL Open Font License 1.1) has 1000 units to the em and a staff space of 250: an em is four
//! staff spaces. Lengths here are staff spaces, y down.

use std::{collections::HashMap, sync::LazyLock};

use kurbo::{Point, Rect};
use serde::Deserialize;

use super::glyph;

/// A sign of the font.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::picture) struct Sign {
    /// Its code point.
    pub code: char,
    /// Its name in the standard.
    pub name: &'static str,
}

/// Staff spaces in an em.
const EM: f64 = 4.0;

impl Sign {
    /// The box round it, from its origin.
    pub(in crate::picture) fn bounds(self) -> Rect {
        glyph::bounds(self.code).unwrap_or_default().scale_from_origin(EM)
    }

    /// From its origin to that of a sign after it.
    pub(in crate::picture) fn advance(self) -> f64 {
        glyph::advance(self.code) * EM
    }

    /// A point of it that the metadata names, from its origin; none where it has no such point.
    pub(in crate::picture) fn anchor(self, anchor: &str) -> Option<Point> {
        let [x, y] = *METADATA.glyphs_with_anchors.get(self.name)?.get(anchor)?;
        Some(Point::new(x, -y))
    }
}

/// Thicknesses and distances that suit the font, staff spaces.
#[derive(Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(rename_all = "camelCase")]
pub(in crate::picture) struct Defaults {
    pub staff_line_thickness: f64,
    pub stem_thickness: f64,
    pub beam_thickness: f64,
    pub beam_spacing: f64,
    pub leger_line_thickness: f64,
    pub leger_line_extension: f64,
    pub slur_endpoint_thickness: f64,
    pub slur_midpoint_thickness: f64,
    pub tie_endpoint_thickness: f64,
    pub tie_midpoint_thickness: f64,
    pub thin_barline_thickness: f64,
    pub thick_barline_thickness: f64,
    pub barline_separation: f64,
    pub repeat_barline_dot_separation: f64,
    pub hairpin_thickness: f64,
    pub repeat_ending_line_thickness: f64,
    pub text_enclosure_thickness: f64,
    pub tuplet_bracket_thickness: f64,
    pub h_bar_thickness: f64,
}

#[derive(Deserialize, Default)]
#[serde(rename_all = "camelCase")]
struct Metadata {
    engraving_defaults: Defaults,
    glyphs_with_anchors: HashMap<String, HashMap<String, [f64; 2]>>,
}

const TEXT: &str = include_str!("../../assets/fonts/bravura/metadata.json");

// The file is part of the program; a test reads it.
static METADATA: LazyLock<Metadata> = LazyLock::new(|| serde_json::from_str(TEXT).unwrap_or_default());

/// Thicknesses and distances that suit the font.
pub(in crate::picture) fn defaults() -> &'static Defaults {
    &METADATA.engraving_defaults
}

/// Names signs, and lists them all.
macro_rules! signs {
    ($($constant:ident $code:literal $name:literal)*) => {
        $(
            #[doc = $name]
            pub(in crate::picture) const $constant: Sign = Sign { code: $code, name: $name };
        )*
        #[cfg(test)]
        const ALL: &[Sign] = &[$($constant),*];
    };
}

signs! {
    G_CLEF '\u{E050}' "gClef"
    G_CLEF_15MB '\u{E051}' "gClef15mb"
    G_CLEF_8VB '\u{E052}' "gClef8vb"
    G_CLEF_8VA '\u{E053}' "gClef8va"
    G_CLEF_15MA '\u{E054}' "gClef15ma"
    C_CLEF '\u{E05C}' "cClef"
    C_CLEF_8VB '\u{E05D}' "cClef8vb"
    F_CLEF '\u{E062}' "fClef"
    F_CLEF_15MB '\u{E063}' "fClef15mb"
    F_CLEF_8VB '\u{E064}' "fClef8vb"
    F_CLEF_8VA '\u{E065}' "fClef8va"
    F_CLEF_15MA '\u{E066}' "fClef15ma"
    SEGNO '\u{E047}' "segno"
    CODA '\u{E048}' "coda"
    REPEAT_DOT '\u{E044}' "repeatDot"
    TIME_0 '\u{E080}' "timeSig0"
    TIME_1 '\u{E081}' "timeSig1"
    TIME_2 '\u{E082}' "timeSig2"
    TIME_3 '\u{E083}' "timeSig3"
    TIME_4 '\u{E084}' "timeSig4"
    TIME_5 '\u{E085}' "timeSig5"
    TIME_6 '\u{E086}' "timeSig6"
    TIME_7 '\u{E087}' "timeSig7"
    TIME_8 '\u{E088}' "timeSig8"
    TIME_9 '\u{E089}' "timeSig9"
    TIME_COMMON '\u{E08A}' "timeSigCommon"
    TIME_CUT '\u{E08B}' "timeSigCutCommon"
    TIME_PLUS '\u{E08C}' "timeSigPlus"
    HEAD_BREVE '\u{E0A0}' "noteheadDoubleWhole"
    HEAD_WHOLE '\u{E0A2}' "noteheadWhole"
    HEAD_HALF '\u{E0A3}' "noteheadHalf"
    HEAD_BLACK '\u{E0A4}' "noteheadBlack"
    HEAD_DIAMOND '\u{E0DD}' "noteheadDiamondWhite"
    DOT '\u{E1E7}' "augmentationDot"
    TREMOLO_1 '\u{E220}' "tremolo1"
    TREMOLO_2 '\u{E221}' "tremolo2"
    TREMOLO_3 '\u{E222}' "tremolo3"
    TREMOLO_4 '\u{E223}' "tremolo4"
    TREMOLO_5 '\u{E224}' "tremolo5"
    FLAG_8_UP '\u{E240}' "flag8thUp"
    FLAG_8_DOWN '\u{E241}' "flag8thDown"
    FLAG_16_UP '\u{E242}' "flag16thUp"
    FLAG_16_DOWN '\u{E243}' "flag16thDown"
    FLAG_32_UP '\u{E244}' "flag32ndUp"
    FLAG_32_DOWN '\u{E245}' "flag32ndDown"
    FLAG_64_UP '\u{E246}' "flag64thUp"
    FLAG_64_DOWN '\u{E247}' "flag64thDown"
    FLAG_128_UP '\u{E248}' "flag128thUp"
    FLAG_128_DOWN '\u{E249}' "flag128thDown"
    FLAT '\u{E260}' "accidentalFlat"
    NATURAL '\u{E261}' "accidentalNatural"
    SHARP '\u{E262}' "accidentalSharp"
    DOUBLE_SHARP '\u{E263}' "accidentalDoubleSharp"
    DOUBLE_FLAT '\u{E264}' "accidentalDoubleFlat"
    QUARTER_FLAT '\u{E280}' "accidentalQuarterToneFlatStein"
    THREE_QUARTERS_FLAT '\u{E281}' "accidentalThreeQuarterTonesFlatZimmermann"
    QUARTER_SHARP '\u{E282}' "accidentalQuarterToneSharpStein"
    THREE_QUARTERS_SHARP '\u{E283}' "accidentalThreeQuarterTonesSharpStein"
    ACCENT_ABOVE '\u{E4A0}' "articAccentAbove"
    ACCENT_BELOW '\u{E4A1}' "articAccentBelow"
    STACCATO_ABOVE '\u{E4A2}' "articStaccatoAbove"
    STACCATO_BELOW '\u{E4A3}' "articStaccatoBelow"
    TENUTO_ABOVE '\u{E4A4}' "articTenutoAbove"
    TENUTO_BELOW '\u{E4A5}' "articTenutoBelow"
    WEDGE_ABOVE '\u{E4A8}' "articStaccatissimoWedgeAbove"
    WEDGE_BELOW '\u{E4A9}' "articStaccatissimoWedgeBelow"
    STROKE_ABOVE '\u{E4AA}' "articStaccatissimoStrokeAbove"
    STROKE_BELOW '\u{E4AB}' "articStaccatissimoStrokeBelow"
    MARCATO_ABOVE '\u{E4AC}' "articMarcatoAbove"
    MARCATO_BELOW '\u{E4AD}' "articMarcatoBelow"
    TENUTO_STACCATO_ABOVE '\u{E4B2}' "articTenutoStaccatoAbove"
    TENUTO_STACCATO_BELOW '\u{E4B3}' "articTenutoStaccatoBelow"
    STRESS_ABOVE '\u{E4B6}' "articStressAbove"
    STRESS_BELOW '\u{E4B7}' "articStressBelow"
    UNSTRESS_ABOVE '\u{E4B8}' "articUnstressAbove"
    UNSTRESS_BELOW '\u{E4B9}' "articUnstressBelow"
    SOFT_ACCENT_ABOVE '\u{ED40}' "articSoftAccentAbove"
    SOFT_ACCENT_BELOW '\u{ED41}' "articSoftAccentBelow"
    FERMATA '\u{E4C0}' "fermataAbove"
    BREATH '\u{E4CE}' "breathMarkComma"
    CAESURA '\u{E4D1}' "caesura"
    REST_BREVE '\u{E4E2}' "restDoubleWhole"
    REST_WHOLE '\u{E4E3}' "restWhole"
    REST_HALF '\u{E4E4}' "restHalf"
    REST_QUARTER '\u{E4E5}' "restQuarter"
    REST_8 '\u{E4E6}' "rest8th"
    REST_16 '\u{E4E7}' "rest16th"
    REST_32 '\u{E4E8}' "rest32nd"
    REST_64 '\u{E4E9}' "rest64th"
    REST_128 '\u{E4EA}' "rest128th"
    DYNAMIC_P '\u{E520}' "dynamicPiano"
    DYNAMIC_M '\u{E521}' "dynamicMezzo"
    DYNAMIC_F '\u{E522}' "dynamicForte"
    DYNAMIC_R '\u{E523}' "dynamicRinforzando"
    DYNAMIC_S '\u{E524}' "dynamicSforzando"
    DYNAMIC_Z '\u{E525}' "dynamicZ"
    DYNAMIC_N '\u{E526}' "dynamicNiente"
    DYNAMIC_PPP '\u{E52A}' "dynamicPPP"
    DYNAMIC_PP '\u{E52B}' "dynamicPP"
    DYNAMIC_MP '\u{E52C}' "dynamicMP"
    DYNAMIC_MF '\u{E52D}' "dynamicMF"
    DYNAMIC_FF '\u{E52F}' "dynamicFF"
    DYNAMIC_FFF '\u{E530}' "dynamicFFF"
    DYNAMIC_FP '\u{E534}' "dynamicFortePiano"
    DYNAMIC_FZ '\u{E535}' "dynamicForzando"
    DYNAMIC_SF '\u{E536}' "dynamicSforzando1"
    DYNAMIC_SFP '\u{E537}' "dynamicSforzandoPiano"
    DYNAMIC_SFPP '\u{E538}' "dynamicSforzandoPianissimo"
    DYNAMIC_SFZ '\u{E539}' "dynamicSforzato"
    DYNAMIC_SFFZ '\u{E53B}' "dynamicSforzatoFF"
    DYNAMIC_RF '\u{E53C}' "dynamicRinforzando1"
    DYNAMIC_RFZ '\u{E53D}' "dynamicRinforzando2"
    OCTAVE_8VA '\u{E511}' "ottavaAlta"
    OCTAVE_8VB '\u{E51C}' "ottavaBassaVb"
    OCTAVE_15MA '\u{E515}' "quindicesimaAlta"
    OCTAVE_15MB '\u{E51D}' "quindicesimaBassaMb"
    OCTAVE_22MA '\u{E518}' "ventiduesimaAlta"
    OCTAVE_22MB '\u{E51E}' "ventiduesimaBassaMb"
    OCTAVE_LEFT '\u{E51A}' "octaveParensLeft"
    OCTAVE_RIGHT '\u{E51B}' "octaveParensRight"
    TRILL '\u{E566}' "ornamentTrill"
    TURN '\u{E567}' "ornamentTurn"
    MORDENT '\u{E56D}' "ornamentMordent"
    TRILL_LINE '\u{EAA4}' "wiggleTrill"
    GLISSANDO '\u{EAAF}' "wiggleGlissando"
    ARPEGGIO '\u{EAA9}' "wiggleArpeggiatoUp"
    DOWN_BOW '\u{E610}' "stringsDownBow"
    UP_BOW '\u{E612}' "stringsUpBow"
    HARMONIC '\u{E614}' "stringsHarmonic"
    THUMB '\u{E624}' "stringsThumbPosition"
    SNAP_PIZZICATO '\u{E631}' "pluckedSnapPizzicatoAbove"
    LEFT_HAND_PIZZICATO '\u{E633}' "pluckedLeftHandPizzicato"
    TUPLET_0 '\u{E880}' "tuplet0"
    TUPLET_1 '\u{E881}' "tuplet1"
    TUPLET_2 '\u{E882}' "tuplet2"
    TUPLET_3 '\u{E883}' "tuplet3"
    TUPLET_4 '\u{E884}' "tuplet4"
    TUPLET_5 '\u{E885}' "tuplet5"
    TUPLET_6 '\u{E886}' "tuplet6"
    TUPLET_7 '\u{E887}' "tuplet7"
    TUPLET_8 '\u{E888}' "tuplet8"
    TUPLET_9 '\u{E889}' "tuplet9"
    TUPLET_COLON '\u{E88A}' "tupletColon"
    BEAT_WHOLE '\u{ECA2}' "metNoteWhole"
    BEAT_HALF '\u{ECA3}' "metNoteHalfUp"
    BEAT_QUARTER '\u{ECA5}' "metNoteQuarterUp"
    BEAT_8 '\u{ECA7}' "metNote8thUp"
    BEAT_16 '\u{ECA9}' "metNote16thUp"
    FINGER_0 '\u{ED10}' "fingering0"
    FINGER_1 '\u{ED11}' "fingering1"
    FINGER_2 '\u{ED12}' "fingering2"
    FINGER_3 '\u{ED13}' "fingering3"
    FINGER_4 '\u{ED14}' "fingering4"
}

/// Digits of time signatures and of bars of rest.
const TIME_DIGITS: [Sign; 10] =
    [TIME_0, TIME_1, TIME_2, TIME_3, TIME_4, TIME_5, TIME_6, TIME_7, TIME_8, TIME_9];
/// Digits of tuplets.
const TUPLET_DIGITS: [Sign; 10] =
    [TUPLET_0, TUPLET_1, TUPLET_2, TUPLET_3, TUPLET_4, TUPLET_5, TUPLET_6, TUPLET_7, TUPLET_8, TUPLET_9];

/// Signs of a number as it stands in a time signature.
pub(in crate::picture) fn time_digit(letter: char) -> Option<Sign> {
    if letter == '+' { Some(TIME_PLUS) } else { digit(&TIME_DIGITS, letter) }
}

/// Signs of a number as it stands at a tuplet.
pub(in crate::picture) fn tuplet_digit(letter: char) -> Option<Sign> {
    if letter == ':' { Some(TUPLET_COLON) } else { digit(&TUPLET_DIGITS, letter) }
}

fn digit(signs: &[Sign; 10], letter: char) -> Option<Sign> {
    Some(signs[letter.to_digit(10)? as usize])
}

/// Height of the digits of tuplets, staff spaces.
pub(in crate::picture) fn tuplet_height() -> f64 {
    TUPLET_3.bounds().height()
}

/// The sign of an octave line; none for no octaves, or more than three.
pub(in crate::picture) fn octaves(octaves: i8) -> Option<Sign> {
    Some(match octaves {
        1 => OCTAVE_8VA,
        -1 => OCTAVE_8VB,
        2 => OCTAVE_15MA,
        -2 => OCTAVE_15MB,
        3 => OCTAVE_22MA,
        -3 => OCTAVE_22MB,
        _ => return None,
    })
}

/// A finger as it is printed: "0" to "4", "T" the thumb.
pub(in crate::picture) fn finger(printed: &str) -> Option<Sign> {
    match printed {
        "0" => Some(FINGER_0),
        "1" => Some(FINGER_1),
        "2" => Some(FINGER_2),
        "3" => Some(FINGER_3),
        "4" => Some(FINGER_4),
        "T" => Some(THUMB),
        _ => None,
    }
}

/// The accidental of an alteration in half steps; beyond two, that of two.
pub(in crate::picture) fn accidental(alter: f32) -> Sign {
    match (alter * 2.0).round() as i32 {
        0 => NATURAL,
        1 => QUARTER_SHARP,
        2 => SHARP,
        3 => THREE_QUARTERS_SHARP,
        4.. => DOUBLE_SHARP,
        -1 => QUARTER_FLAT,
        -2 => FLAT,
        -3 => THREE_QUARTERS_FLAT,
        _ => DOUBLE_FLAT,
    }
}

/// The head of a note value (a power of two in whole notes).
pub(in crate::picture) fn head(log2_whole: i8) -> Sign {
    match log2_whole {
        1.. => HEAD_BREVE,
        0 => HEAD_WHOLE,
        -1 => HEAD_HALF,
        _ => HEAD_BLACK,
    }
}

/// The rest of a note value (a power of two in whole notes).
pub(in crate::picture) fn rest(log2_whole: i8) -> Sign {
    match log2_whole {
        1.. => REST_BREVE,
        0 => REST_WHOLE,
        -1 => REST_HALF,
        -2 => REST_QUARTER,
        -3 => REST_8,
        -4 => REST_16,
        -5 => REST_32,
        -6 => REST_64,
        _ => REST_128,
    }
}

/// The flags of a note value (a power of two in whole notes), and the name of the point where they meet
/// the outer end of a stem; none for a quarter and longer.
pub(in crate::picture) fn flag(log2_whole: i8, up: bool) -> Option<(Sign, &'static str)> {
    let (above, below) = match log2_whole {
        -2.. => return None,
        -3 => (FLAG_8_UP, FLAG_8_DOWN),
        -4 => (FLAG_16_UP, FLAG_16_DOWN),
        -5 => (FLAG_32_UP, FLAG_32_DOWN),
        -6 => (FLAG_64_UP, FLAG_64_DOWN),
        _ => (FLAG_128_UP, FLAG_128_DOWN),
    };
    Some(if up { (above, "stemUpNW") } else { (below, "stemDownSW") })
}

/// Strokes of a tremolo through a stem.
pub(in crate::picture) fn tremolo(strokes: u8) -> Sign {
    match strokes {
        0 | 3 => TREMOLO_3,
        1 => TREMOLO_1,
        2 => TREMOLO_2,
        4 => TREMOLO_4,
        _ => TREMOLO_5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The standard's names and code points belong together: what the metadata says of the box of a name
    /// is the box of the outline under the code point.
    #[test]
    fn every_sign_has_the_box_its_name_has_in_the_metadata() {
        let metadata: serde_json::Value = serde_json::from_str(TEXT).unwrap();
        for sign in ALL {
            let said = &metadata["glyphBBoxes"][sign.name];
            let corner = |name: &str, k: usize| said[name][k].as_f64().unwrap_or(f64::NAN);
            let drawn = sign.bounds();
            let pairs = [
                (drawn.x0, corner("bBoxSW", 0)),
                (drawn.x1, corner("bBoxNE", 0)),
                (-drawn.y1, corner("bBoxSW", 1)),
                (-drawn.y0, corner("bBoxNE", 1)),
            ];
            // The box of an outline here is that of its control points.
            let near = |(drawn, said): (f64, f64)| (drawn - said).abs() < 0.2;
            assert!(pairs.into_iter().all(near), "{} {pairs:?}", sign.name);
        }
    }

    #[test]
    fn stems_meet_heads_and_flags_where_the_metadata_says() {
        assert_eq!(HEAD_BLACK.anchor("stemUpSE"), Some(Point::new(1.18, -0.168)));
        for log2 in -8..=-3 {
            for up in [true, false] {
                let (sign, anchor) = flag(log2, up).unwrap();
                assert!(sign.anchor(anchor).is_some(), "{}", sign.name);
            }
        }
        assert!(defaults().stem_thickness > 0.0);
    }
}
