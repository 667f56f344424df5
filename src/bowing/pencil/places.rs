//! Where on the bow a kind of stroke is played, told where it begins or comes back after something else.

use std::collections::BTreeMap;

use super::{Advice, Draft, Need, Topic, Zone};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{StrokeType, cm, count_words},
};

/// The notes of a passage are looked for among so many, since a kind of stroke is often mixed with slurs. Assumed.
const AMONG: usize = 8;
/// Bounced or stopped notes that are only a few are told only if time allows. Assumed.
const LASTS: usize = 7;
/// From so many among so many notes on the place must be told. Assumed.
const LONG_PASSAGE: usize = 12;
const LONG_AMONG: usize = 16;

/// A separate note on the string is fast below this, and a short one between rests below that, s. Assumed.
const FAST_S: f64 = 0.22;
const APART_S: f64 = 0.4;
/// Still faster it is never sent to the lower half, s. Assumed: about eight notes a second.
const FASTEST_S: f64 = 0.12;
/// Pulses that take more than this part of the hair go through the bow. Assumed.
const TRAVELS: f64 = 0.3;
/// Notes under a slur whose level changes by fewer steps are all alike. Assumed.
const EVEN: f64 = 0.3;

/// What is played in a place of its own.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Manner {
    Bounced,
    Sprung,
    Trembled,
    Pulsed,
    Stopped,
    Lifted,
    Thrown,
    /// On the string, and fast.
    Fast,
    /// A short note with a rest behind it.
    Apart,
}

impl Manner {
    fn of(evidence: &Evidence, piece: usize) -> Option<Self> {
        let bowed = evidence.bowed(piece);
        Some(match bowed.stroke_type {
            StrokeType::Spiccato => Self::Bounced,
            StrokeType::Sautille => Self::Sprung,
            StrokeType::Tremolo => Self::Trembled,
            StrokeType::SlurredStaccato | StrokeType::Portato => {
                // Two notes, or a dot at the end of a slur, are told as a stop in the bow.
                return (pulses(evidence, evidence.bowing.stroke_of(piece)) >= Self::Pulsed.least())
                    .then_some(Self::Pulsed);
            }
            StrokeType::Martele => Self::Stopped,
            StrokeType::Lifted => Self::Lifted,
            StrokeType::Ricochet => Self::Thrown,
            StrokeType::Detache => return Self::plain(evidence, piece),
            StrokeType::Legato | StrokeType::Colle => return None,
        })
    }

    /// Of a note that has nothing over it.
    fn plain(evidence: &Evidence, piece: usize) -> Option<Self> {
        let stroke = evidence.bowing.stroke_of(piece);
        let alone = evidence.main_notes(stroke) == 1 && evidence.note(piece).notes.len() == 1;
        let seconds = evidence.bowed(piece).sounding_s;
        let behind =
            (stroke + 1 < evidence.strokes().len()).then(|| evidence.silence_before(stroke + 1)).flatten();
        if !alone || !evidence.plan.piece(piece).moves() {
            None
        } else if behind.is_some_and(|rest| rest >= evidence.note(piece).duration) && seconds < APART_S {
            Some(Self::Apart)
        } else {
            (seconds < FAST_S).then_some(Self::Fast)
        }
    }

    /// So many notes of it are a passage. Assumed.
    fn least(self) -> usize {
        match self {
            Self::Pulsed | Self::Trembled | Self::Thrown => 3,
            Self::Stopped | Self::Bounced | Self::Sprung | Self::Apart => 4,
            Self::Lifted | Self::Fast => 6,
        }
    }

    /// So many of it stand one behind another where it begins. Assumed: louder notes bounce only in a run.
    fn row(self, loud: bool) -> usize {
        match self {
            Self::Pulsed | Self::Trembled | Self::Thrown => 1,
            Self::Bounced if loud => 4,
            Self::Fast => 4,
            Self::Bounced | Self::Sprung | Self::Stopped | Self::Lifted | Self::Apart => 3,
        }
    }

    /// Whether a place is one for it, so that it may be told. Common practice, no source.
    fn suits(self, zone: Zone) -> bool {
        match self {
            Self::Bounced | Self::Lifted => (Zone::Frog..=Zone::Middle).contains(&zone),
            Self::Sprung | Self::Thrown | Self::Fast => (Zone::LowerHalf..=Zone::UpperHalf).contains(&zone),
            Self::Trembled | Self::Pulsed | Self::Stopped | Self::Apart => true,
        }
    }
}

/// A note with a stop or a pulse of its own under a slur.
pub(super) fn is_pulsed(evidence: &Evidence, piece: usize) -> bool {
    matches!(evidence.bowed(piece).stroke_type, StrokeType::SlurredStaccato | StrokeType::Portato)
}

/// How many notes of a bow have one.
fn pulses(evidence: &Evidence, stroke: usize) -> usize {
    evidence.strokes()[stroke].notes.clone().filter(|&piece| is_pulsed(evidence, piece)).count()
}

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let manners: Vec<Option<Manner>> =
        (0..evidence.bowing.notes.len()).map(|piece| Manner::of(evidence, piece)).collect();
    let mut begun: BTreeMap<Manner, usize> = BTreeMap::new();
    for piece in 0..manners.len() {
        let Some(manner) = manners[piece] else { continue };
        let of_it = |among: &[Option<Manner>]| among.iter().filter(|other| **other == Some(manner)).count();
        let ahead = |count: usize| of_it(&manners[piece..manners.len().min(piece + count)]);
        let behind = of_it(&manners[piece.saturating_sub(AMONG)..piece]);
        let least = manner.least();
        let begins = begun.get(&manner).is_none_or(|before| piece - before >= AMONG);
        let row = manners[piece..].iter().take_while(|other| **other == Some(manner)).count();
        let in_row = row >= manner.row(evidence.is_loud(piece));
        if begins && in_row && ahead(AMONG) >= least.max(3 * behind) {
            begun.insert(manner, piece);
            let long = ahead(LONG_AMONG) >= LONG_PASSAGE;
            let weight = match manner {
                // What is on the string is played somehow without a word.
                Manner::Fast | Manner::Apart | Manner::Lifted => Need::Worth,
                _ if long => Need::Must,
                Manner::Bounced | Manner::Stopped if ahead(LONG_AMONG) < LASTS => Need::IfTime,
                _ => Need::Worth,
            };
            let zone = passage_zone(evidence, &manners, piece, manner);
            let (text, sentence, why) = words(evidence, manner, piece, zone);
            // As many pulses as before are the same.
            let count =
                (manner == Manner::Pulsed).then(|| pulses(evidence, evidence.bowing.stroke_of(piece)));
            let figure = hashed((manner, zone, count, evidence.is_soft(piece), evidence.is_loud(piece)));
            let advice = Advice::new(Topic::StrokePlace, weight, text, sentence, why);
            drafts.push(advice.over(evidence, piece, figure));
        }
    }
}

/// Where the plan has most of the passage that begins here.
fn passage_zone(evidence: &Evidence, manners: &[Option<Manner>], piece: usize, manner: Manner) -> Zone {
    let among = (piece..manners.len().min(piece + AMONG)).filter(|&other| manners[other] == Some(manner));
    let hair = evidence.plan.problem.hair_mm.max(1.0);
    let middle = |piece: usize| {
        let (a, b) = evidence.plan.places_mm(piece);
        0.5 * (a + b) / hair
    };
    let mut places: Vec<f64> = among.map(middle).collect();
    places.sort_by(f64::total_cmp);
    Zone::of(places[places.len() / 2])
}

fn words(evidence: &Evidence, manner: Manner, piece: usize, zone: Zone) -> (String, String, &'static str) {
    let (soft, loud) = (evidence.is_soft(piece), evidence.is_loud(piece));
    let stroke = evidence.bowing.stroke_of(piece);
    let from = evidence.called(piece);
    // The hand, not the arm, plays the fastest.
    let fastest = manner == Manner::Fast && evidence.bowed(piece).sounding_s < FASTEST_S;
    // What takes much of the bow is in no one place.
    let travels =
        manner == Manner::Pulsed && evidence.used_mm(stroke) > TRAVELS * evidence.plan.problem.hair_mm;
    let (word, there) = if manner.suits(zone) && !(fastest && zone < Zone::Middle) && !travels {
        (Some(zone.word()), format!(" {}", zone.there()))
    } else {
        (None, String::new())
    };
    // Slashes that can be counted are repeated notes.
    let measured = evidence.note(piece).tremolo.is_some_and(|slashes| slashes <= 2);
    let trembled = if measured { "Repeated strokes" } else { "Tremolo" };
    let (how, sentence, why) = match manner {
        Manner::Bounced if loud => (
            "short, bouncing",
            format!("From {from} on short bouncing strokes{there}, each with some weight."),
            "Lower in the bow a bounced stroke is louder.",
        ),
        Manner::Bounced => (
            "small, bouncing",
            format!("From {from} on small bouncing strokes{there}, all at the same place."),
            "Near the balance point the bow bounces by its own weight.",
        ),
        Manner::Sprung => (
            "tiny, on the string",
            format!("From {from} on tiny strokes of the hand{there}; the stick springs by itself."),
            "Too fast to throw every note.",
        ),
        Manner::Trembled if loud => (
            "short, dense",
            format!("{trembled} from {from}: short, dense strokes{there}, with the weight of the arm."),
            "A loud tremolo needs weight more than length.",
        ),
        Manner::Trembled if soft => (
            "hardly any bow",
            format!("{trembled} from {from}: tiny strokes{there}, close to the string."),
            "A soft tremolo has little bow and little weight.",
        ),
        Manner::Trembled => (
            "small strokes",
            format!("{trembled} from {from}: small strokes of the hand{there}."),
            "The hand trembles, not the arm.",
        ),
        Manner::Pulsed => {
            let count = pulses(evidence, stroke);
            let length = cm(evidence.used_mm(stroke));
            let level = evidence.level(evidence.main_note(stroke)) - evidence.end_level(stroke);
            let alike = if level.abs() < EVEN { ", all alike" } else { "" };
            (
                "small pulses",
                format!(
                    "{} pulses in one bow{there}: about {length} in all, a small one for each note{alike}.",
                    count_words(count)
                ),
                "It is one continuing stroke, not several.",
            )
        }
        Manner::Stopped => (
            "stop each",
            format!("From {from} on a clean stop before every note, {}.", zone.there()),
            "Each note begins with a bite and ends with a stop.",
        ),
        Manner::Lifted => (
            "short, lifted",
            format!("From {from} on short strokes{there}; the bow leaves the string after each."),
            "A short note that is lifted rings on.",
        ),
        Manner::Fast if loud && fastest => (
            "tiny, on string",
            format!("From {from} on tiny strokes of the hand with firm hair{there}, on the string."),
            "So fast the hand plays, and weight of the arm would stop it.",
        ),
        Manner::Fast if loud => (
            "short, on string",
            format!("From {from} on short strokes with weight{there}, on the string."),
            "Fast notes are loud by weight: longer strokes only blur them.",
        ),
        Manner::Fast => (
            "small, even",
            format!("From {from} on small, even strokes{there}, on the string."),
            "Fast notes are even where the stroke is small.",
        ),
        Manner::Apart if loud => (
            "quick, and off",
            format!("From {from} on short notes between rests: quick strokes{there}, and off the string."),
            "A note that stops on the string sounds into the rest.",
        ),
        Manner::Apart => (
            "touch and leave",
            format!(
                "From {from} on short notes between rests: touch the string{there}, and leave it, all at one place."
            ),
            "Set anew at one place they sound alike.",
        ),
        Manner::Thrown => (
            "throw",
            format!("From {from} on thrown{there}: one throw for all notes of the bow."),
            "The bow rebounds by itself.",
        ),
    };
    let text = word.map_or_else(|| how.to_owned(), |word| format!("{word}, {how}"));
    (text, sentence, why)
}
