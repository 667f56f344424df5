//! Words over the staff that tell the bow where and how to play, in Italian, French, German and English.
//!
//! The words are those of the trade (common practice, no source). What they ask for holds from the first
//! note at or after them until the next word of their kind, until a word that ends it ("ord.", "arco",
//! "détaché"), over no rest of a whole bar, and not into the next movement (common practice, no source).

use super::{Attack, Quarters, Score, SignKind, StrokeType, words::folded};

/// A part of the bow that words ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the trade's own words")]
pub enum BowPart {
    Frog,
    LowerHalf,
    Middle,
    UpperHalf,
    Tip,
    Whole,
}

impl BowPart {
    /// The middle of the part as a share of the hair, frog 0 to tip 1; assumed for frog and tip.
    pub fn share(self) -> f64 {
        match self {
            Self::Frog => 0.12,
            Self::LowerHalf => 0.25,
            Self::Middle | Self::Whole => 0.5,
            Self::UpperHalf => 0.75,
            Self::Tip => 0.9,
        }
    }
}

/// What words ask of the bow at a note.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Manner {
    /// Part of the bow.
    pub part: Option<BowPart>,
    /// Stroke type of the notes that can take it.
    pub stroke: Option<StrokeType>,
    /// Short notes are short as with a dot over each.
    pub dotted: bool,
    /// Like a flute: a fast, light bow.
    pub flautando: bool,
    /// The sound, told as the bow makes it; the plan does not ask for it.
    pub sound: Option<Sound>,
}

/// A sound that words ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sound {
    /// Sung: cantabile, espressivo.
    Sung,
    /// Soft and light: dolce.
    Gentle,
    /// Heavy and broad: pesante.
    Heavy,
    /// Every note with a start of its own: marcato.
    Marked,
}

/// What one phrase asks for.
#[derive(Clone, Copy)]
enum Asks {
    Part(BowPart),
    Stroke(StrokeType),
    Dotted,
    Flautando,
    Sound(Sound),
    /// Bouncing and hammering end.
    PlainStroke,
    /// All of it ends.
    Ordinary,
}

/// The phrases, folded: small letters, no accents, nothing but blanks between the words. A place that is an
/// ordinary word too stands here with the words before it. Left out: "u. H.", the lower half in German and
/// the upper in English, and "collé", which without its accent is the Italian "with the".
const PHRASES: &[(Asks, &[&str])] = &[
    (Asks::Part(BowPart::Frog), &["tallone", "talon", "frosch", "frog", "heel", "at the nut"]),
    (
        Asks::Part(BowPart::Tip),
        &["punta d arco", "punta dell arco", "punta", "la pointe", "pointe", "spitze", "tip", "at the point"],
    ),
    (
        Asks::Part(BowPart::Middle),
        &[
            "meta d arco",
            "meta arco",
            "meta dell arco",
            "mezzo dell arco",
            "au milieu",
            "du milieu",
            "milieu de l archet",
            "in der mitte",
            "bogenmitte",
            "mitte des bogens",
            "in the middle",
            "at the middle",
            "middle of the bow",
            "middle of bow",
        ],
    ),
    (
        Asks::Part(BowPart::LowerHalf),
        &[
            "meta inferiore",
            "moitie inferieure",
            "untere halfte",
            "unteren halfte",
            "untere bogenhalfte",
            "unteren bogenhalfte",
            "lower half",
        ],
    ),
    (
        Asks::Part(BowPart::UpperHalf),
        &[
            "meta superiore",
            "moitie superieure",
            "obere halfte",
            "oberen halfte",
            "obere bogenhalfte",
            "oberen bogenhalfte",
            "upper half",
        ],
    ),
    (
        Asks::Part(BowPart::Whole),
        &[
            "tutto l arco",
            "tutto arco",
            "arco intero",
            "tout l archet",
            "tout archet",
            "archet entier",
            "toute la longueur de l archet",
            "ganzer bogen",
            "ganzen bogen",
            "ganzem bogen",
            "whole bow",
            "whole bows",
            "full bow",
            "full bows",
        ],
    ),
    (
        Asks::Stroke(StrokeType::Spiccato),
        &[
            "spiccato",
            "spicc",
            "saltato",
            "saltando",
            "sprungbogen",
            "springbogen",
            "springendem bogen",
            "springender bogen",
            "off the string",
        ],
    ),
    (
        Asks::Stroke(StrokeType::Sautille),
        &["sautille", "sautilles", "saltellato", "saltellando", "hupfend", "hupfendem bogen"],
    ),
    (Asks::Stroke(StrokeType::Ricochet), &["jete", "gettato", "ricochet", "geworfen", "wurfbogen", "thrown"]),
    (Asks::Stroke(StrokeType::Martele), &["martele", "martellato", "martell", "gehammert", "hammered"]),
    (Asks::Dotted, &["stacc", "staccato"]),
    (Asks::Flautando, &["flautando", "flautato", "flaut", "like a flute"]),
    (
        Asks::Sound(Sound::Sung),
        &[
            "cantabile",
            "cantab",
            "cantando",
            "espressivo",
            "espress",
            "espr",
            "con espressione",
            "sostenuto",
            "sost",
            "chantant",
            "expressif",
            "express",
            "avec expression",
            "soutenu",
            "gesangvoll",
            "ausdrucksvoll",
            "singing",
            "expressive",
        ],
    ),
    (Asks::Sound(Sound::Gentle), &["dolce", "dolciss", "dolcissimo", "doux", "zart", "sweet", "sweetly"]),
    (Asks::Sound(Sound::Heavy), &["pesante", "pesant", "lourd", "wuchtig", "schwer", "heavy"]),
    (Asks::Sound(Sound::Marked), &["marcato", "marc", "marque", "markiert", "marked"]),
    (
        Asks::PlainStroke,
        &["detache", "legato", "alla corda", "a la corde", "auf der saite", "an der saite", "on the string"],
    ),
    (
        Asks::Ordinary,
        &[
            "ord",
            "ordinario",
            "ordinaire",
            "naturale",
            "nat",
            "naturel",
            "normal",
            "normale",
            "gewohnlich",
            "arco",
            "avec l archet",
            "mit bogen",
            "mit dem bogen",
        ],
    ),
];

/// Small signs over the staff for where the bow starts: frog, a quarter of the hair, half, three quarters, point.
pub const PLACE_SIGNS: [&str; 5] = ["fr", "\u{bc}", "\u{bd}", "\u{be}", "pt"];
/// What explains them, where the first of them stands. It asks for nothing.
pub const PLACES_LEGEND: &str =
    "fr \u{bc} \u{bd} \u{be} pt: where on the hair the bow starts, from frog to point";

/// Words before a phrase that deny it.
const DENYING: [&str; 9] = ["senza", "non", "sans", "pas", "ohne", "nicht", "without", "no", "not"];

/// Most words in a phrase of [`PHRASES`].
const LONGEST_PHRASE: usize = 6;

/// What a text asks of the bow, in order; the endings first, since "arco, spicc." begins something.
fn asked(text: &str) -> Vec<Asks> {
    if text == PLACES_LEGEND {
        return Vec::new();
    }
    let words = folded(text);
    let mut found = Vec::new();
    let mut at = 0;
    while at < words.len() {
        // The longest phrase counts: "punta d'arco" is not "arco".
        let phrase = (1..=LONGEST_PHRASE.min(words.len() - at)).rev().find_map(|len| {
            let here = words[at..at + len].join(" ");
            let known = PHRASES.iter().find(|(_, phrases)| phrases.contains(&here.as_str()));
            known.map(|(asks, _)| (len, *asks))
        });
        let Some((len, asks)) = phrase else {
            at += 1;
            continue;
        };
        let denied = words[..at].iter().rev().take(2).any(|word| DENYING.contains(&word.as_str()));
        if !denied {
            found.push(asks);
        }
        at += len;
    }
    found.sort_by_key(|asks| !matches!(asks, Asks::Ordinary | Asks::PlainStroke));
    found
}

/// Tells whether a text asks anything of the bow; a sound may be part of a tempo ("Largo sostenuto").
pub(crate) fn asks_the_bow(text: &str) -> bool {
    asked(text).iter().any(|asks| !matches!(asks, Asks::Sound(_)))
}

impl Manner {
    /// What is asked for after one more text.
    fn and(mut self, text: &str) -> Self {
        for asks in asked(text) {
            match asks {
                Asks::Part(part) => self.part = Some(part),
                Asks::Stroke(stroke) => self.stroke = Some(stroke),
                Asks::Dotted => self.dotted = true,
                Asks::Flautando => self.flautando = true,
                Asks::Sound(sound) => self.sound = Some(sound),
                Asks::PlainStroke => (self.stroke, self.dotted) = (None, false),
                Asks::Ordinary => self = Self::default(),
            }
        }
        self
    }
}

/// Gives every note of a line what the words ask of it. `sections` are those of the bars
/// ([`Score::bar_sections`]).
pub(super) fn give_manners(score: &Score, sections: &[usize], line: &mut [Attack]) {
    let texts = score.signs.iter().filter_map(|sign| match &sign.kind {
        SignKind::Words(text) => Some((sign.at, text)),
        _ => None,
    });
    let mut texts = texts.peekable();
    let mut now = Manner::default();
    let mut before: Option<(usize, Quarters)> = None;
    for note in line {
        if let Some((bar, end)) = before
            && (sections.get(bar) != sections.get(note.bar) || rests_a_bar(score, end, note.onset))
        {
            now = Manner::default();
        }
        while let Some((_, text)) = texts.next_if(|(at, _)| *at <= note.onset) {
            now = now.and(text);
        }
        note.manner = now;
        before = Some((note.bar, note.end()));
    }
}

/// A whole bar lies between two moments.
fn rests_a_bar(score: &Score, from: Quarters, until: Quarters) -> bool {
    let next = score.bars.partition_point(|bar| bar.start < from);
    score.bars.get(next).is_some_and(|bar| bar.end() <= until)
}

#[cfg(test)]
mod tests {
    use super::*;
    use BowPart::{Frog, LowerHalf, Middle, Tip, UpperHalf, Whole};
    use StrokeType::{Martele, Ricochet, Sautille, Spiccato};

    fn manner(text: &str) -> Manner {
        Manner::default().and(text)
    }

    /// Common practice, no source.
    #[test]
    fn places_are_read_in_four_languages() {
        for (part, texts) in [
            (Frog, ["al tallone", "au talon", "am Frosch", "at the frog"]),
            (Tip, ["punta d'arco", "\u{e0} la pointe", "an der Spitze", "at the tip"]),
            (Tip, ["Punta d\u{2019}arco", "a la pointe", "AN DER SPITZE", "(tip)"]),
            (Middle, ["met\u{e0} d'arco", "au milieu", "in der Mitte", "in the middle"]),
            (
                LowerHalf,
                ["met\u{e0} inferiore", "moiti\u{e9} inf\u{e9}rieure", "untere H\u{e4}lfte", "lower half"],
            ),
            (
                UpperHalf,
                [
                    "met\u{e0} superiore",
                    "moitie\u{301} supe\u{301}rieure",
                    "obere Ha\u{308}lfte",
                    "upper half",
                ],
            ),
            (Whole, ["tutto l'arco", "tout l'archet", "ganzer Bogen", "whole bow"]),
        ] {
            for text in texts {
                assert_eq!(manner(text), Manner { part: Some(part), ..Manner::default() }, "{text}");
            }
        }
    }

    /// Common practice, no source.
    #[test]
    fn strokes_are_read_in_four_languages() {
        for (stroke, texts) in [
            (Spiccato, ["spicc.", "spiccato", "Sprungbogen", "off the string"]),
            (Sautille, ["sautill\u{e9}", "sautille", "saltellato", "hu\u{308}pfend"]),
            (Ricochet, ["jet\u{e9}", "gettato", "geworfen", "ricochet"]),
            (Martele, ["martel\u{e9}", "martellato", "geha\u{308}mmert", "hammered"]),
        ] {
            for text in texts {
                assert_eq!(manner(text), Manner { stroke: Some(stroke), ..Manner::default() }, "{text}");
            }
        }
        for (sound, texts) in [
            (Sound::Sung, ["cantabile", "molto espress.", "tr\u{e8}s soutenu", "ausdrucksvoll"]),
            (Sound::Gentle, ["p dolce", "dolciss.", "doux", "zart"]),
            (Sound::Heavy, ["pesante", "lourd", "schwer", "heavy"]),
            (Sound::Marked, ["poco marcato", "marc.", "marqu\u{e9}", "markiert"]),
        ] {
            for text in texts {
                assert_eq!(manner(text), Manner { sound: Some(sound), ..Manner::default() }, "{text}");
                assert!(!asks_the_bow(text), "{text}");
            }
        }
        assert!(manner("pp flautando").flautando && manner("flaut.").flautando);
        assert!(
            manner("sempre stacc.").dotted && manner("p staccato").dotted && !manner("non staccato").dotted
        );
        assert!(!manner("staccato").and("legato").dotted && manner("staccato").and("dolce").dotted);
    }

    #[test]
    fn words_end_what_words_began_and_others_say_nothing() {
        let all = manner("flautando, spicc. an der Spitze");
        assert_eq!((all.part, all.stroke, all.flautando), (Some(Tip), Some(Spiccato), true));
        for text in ["ord.", "naturale", "arco", "nat."] {
            assert_eq!(all.and(text), Manner::default(), "{text}");
        }
        assert_eq!(all.and("d\u{e9}tach\u{e9}"), Manner { stroke: None, ..all });
        assert_eq!(all.and("arco, am Frosch"), Manner { part: Some(Frog), ..Manner::default() });
        let signs = PLACE_SIGNS.iter().chain([&PLACES_LEGEND]);
        signs.for_each(|sign| assert_eq!(manner(sign), Manner::default(), "{sign}"));
        for text in ["con brio", "marco", "senza spiccato", "nicht am Frosch", "mitte", "Spitzentanz", ""] {
            assert_eq!(manner(text), Manner::default(), "{text}");
        }
    }

    #[test]
    fn every_phrase_is_folded_found_and_not_too_long() {
        for phrase in PHRASES.iter().flat_map(|(_, phrases)| phrases.iter()) {
            let words = folded(phrase);
            assert_eq!(words.join(" "), *phrase);
            assert!(words.len() <= LONGEST_PHRASE && asked(phrase).len() == 1, "{phrase}");
        }
    }
}
