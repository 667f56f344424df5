//! What a player has to know of one event, in a few large words.

use crate::{
    analysis::{Analysis, Study},
    arm::{Crossing, Finger, FingerCue, Joint},
    bowing::{Reached, Zone},
    score::{Attack, Direction, EventId, Quarters, Score, mixed_number, sentence_case},
};

use super::words::{at, to};

/// The elbow stays where it moves less, mm. Assumed.
const STAYS_MM: f64 = 8.0;
/// The arm starts so long before it leaves its string where it goes early, s. Assumed.
const EARLY_S: f64 = 0.05;

/// What a player has to know of one event.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// The event.
    pub event: EventId,
    /// Where it starts, quarters from the start.
    pub at: Quarters,
    /// "Bar 5, beat 2".
    pub place: String,
    /// "D", "D and B"; "rest".
    pub name: String,
    /// Which way the bow goes; none in rests and for plucked notes.
    pub direction: Option<Direction>,
    /// "down-bow", "up-bow again", "same bow", "plucked".
    pub bow: String,
    /// "D string", "D and A strings"; empty in rests.
    pub strings: String,
    /// Place of its level, from the highest string; none in rests.
    pub level: Option<usize>,
    /// "open", "finger 2", "fingers 0 and 1".
    pub fingers: String,
    /// Where the stroke takes the bow: "into the upper half", "stay in the middle"; empty where the bow does not play.
    pub goal: String,
    /// Where the bow starts and ends, as shares of the hair.
    pub shares: Option<(f64, f64)>,
    /// "elbow lower, early"; empty where it stays.
    pub elbow: String,
    /// What the left hand has to have ready: "finger 1 ready on A, it hops over from D".
    pub ready: String,
    /// How long it sounds, beats.
    pub beats: Quarters,
    /// The same, s at the practice tempo.
    pub seconds: f64,
}

impl Card {
    /// Of an event of the score; none where it is not there, or is held on from before.
    pub fn of(study: &Study, event: EventId) -> Option<Self> {
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let score = &lesson.score;
        let Some(note) = analysis.line.note_of(event) else {
            let event = analysis.line.event_index(event).map(|index| &score.events[index])?;
            let (at, end) = (event.onset, event.end());
            return Some(Self {
                name: if event.is_rest() { "rest" } else { "another voice" }.to_owned(),
                ..Self::bare(score, analysis, event.id, at, end)
            });
        };
        let attack = &analysis.line.notes[note];
        let bare = Self::bare(score, analysis, attack.id(), attack.onset, attack.end());
        let placement = &analysis.left_hand.placements[note];
        let level = analysis.arm_path.fan.level(placement.plane);
        let cue = analysis.left_hand.cues_of(note..note + 1).first();
        let card = Self {
            name: names(attack),
            strings: match level.name.split_once('+') {
                Some((upper, lower)) => format!("{lower} and {upper} strings"),
                None => format!("{} string", level.name),
            },
            level: Some(placement.plane.index()),
            fingers: finger_words(&placement.fingers),
            ready: cue.map_or_else(String::new, |cue: &FingerCue| cue.words(&lesson.setup)),
            ..bare
        };
        let Some(k) = analysis.bowed_of(note) else {
            return Some(Self { bow: "plucked".to_owned(), ..card });
        };
        let bowed = analysis.bowed(k);
        let hair = analysis.plan.problem.hair_mm.max(1.0);
        let shares = (!analysis.plan.unplanned[k]).then(|| {
            let (start, end) = analysis.ends_mm(k);
            (start / hair, end / hair)
        });
        let again = k > 0 && analysis.bowed(k - 1).direction == bowed.direction;
        let bow = match bowed.reached {
            Reached::SameStroke if analysis.is_stopped(k) => "same bow, after a stop".to_owned(),
            Reached::SameStroke => "same bow".to_owned(),
            _ if again => format!("{} again", bowed.direction.bow_word()),
            _ => bowed.direction.bow_word().to_owned(),
        };
        Some(Self {
            direction: Some(bowed.direction),
            bow,
            goal: shares.map_or_else(|| "no way as marked".to_owned(), goal_words),
            shares,
            elbow: analysis.arm_path.crossing_into(k).map_or_else(String::new, |c| elbow_words(analysis, c)),
            ..card
        })
    }

    fn bare(score: &Score, analysis: &Analysis, event: EventId, at: Quarters, end: Quarters) -> Self {
        let beat = score.bar_at(at).map_or(Quarters::ONE, |bar| score.bars[bar].time.beat());
        Self {
            event,
            at,
            place: sentence_case(&score.place_in(at, &[]).to_string()),
            name: String::new(),
            direction: None,
            bow: String::new(),
            strings: String::new(),
            level: None,
            fingers: String::new(),
            goal: String::new(),
            shares: None,
            elbow: String::new(),
            ready: String::new(),
            beats: (end - at) / beat,
            seconds: analysis.seconds_at(end) - analysis.seconds_at(at),
        }
    }

    /// "2 beats, 1.4 s".
    pub fn length_words(&self) -> String {
        let beats = mixed_number(self.beats);
        let unit = if self.beats <= Quarters::ONE { "beat" } else { "beats" };
        match self.beats.is_positive() {
            true => format!("{beats} {unit}, {:.1} s", self.seconds),
            false => "grace note".to_owned(),
        }
    }
}

/// "D and B", the lowest first, without octaves.
fn names(attack: &Attack) -> String {
    let name = |note: &crate::score::Note| {
        note.pitch.name().trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_owned()
    };
    attack.notes.iter().map(name).collect::<Vec<_>>().join(" and ")
}

/// "open", "finger 2", "fingers 0 and 1".
fn finger_words(fingers: &[Finger]) -> String {
    match fingers {
        [] => String::new(),
        [Finger::Open] => "open".to_owned(),
        [Finger::Thumb] => "thumb".to_owned(),
        [finger] => finger.words(),
        many if many.iter().all(|finger| *finger == Finger::Open) => "open".to_owned(),
        many => {
            let marks: Vec<&str> = many.iter().map(|finger| finger.mark()).collect();
            format!("fingers {}", marks.join(" and "))
        }
    }
}

/// Where a stroke ends, in the words of the passage; the one part of the bow where it stays.
fn goal_words((start, end): (f64, f64)) -> String {
    let stays = Zone::of(start) == Zone::of(end);
    if stays { format!("stay {}", at(Zone::of(end))) } else { to(end).to_owned() }
}

/// "elbow lower, early"; "hand only".
fn elbow_words(analysis: &Analysis, crossing: &Crossing) -> String {
    let path = &analysis.arm_path;
    let height =
        |plane| path.arm.pose(path.fan.level(plane).angle_deg, crossing.hair_mm).elbow_above_floor_mm;
    let rise = height(crossing.to) - height(crossing.from);
    if crossing.joint == Joint::HandAndForearm {
        return "hand crosses, elbow stays".to_owned();
    }
    let way = match rise {
        _ if rise.abs() < STAYS_MM => return String::new(),
        0.0.. => "elbow higher",
        _ => "elbow lower",
    };
    let when = match crossing {
        early if early.leaves_s - early.starts_s >= EARLY_S => ", early",
        early if !early.in_one_bow => ", between the bows",
        _ => "",
    };
    format!("{way}{when}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    /// The demo: a half note on the open D string, then a slur; a double stop on D and A in bar 7; a rest in bar 9.
    /// Near the frog and at it are two things, as in the passage in words: the arrow ends where it is said to.
    #[test]
    fn where_a_stroke_ends_is_told_as_the_passage_tells_it() {
        assert_eq!(goal_words((0.6, 0.15)), "toward the frog");
        assert_eq!(goal_words((0.6, 0.03)), "to the frog");
        assert_eq!(goal_words((0.7, 0.3)), "into the lower half");
        assert_eq!(goal_words((0.3, 0.22)), "stay in the lower half");
        assert_eq!(goal_words((0.4, 0.97)), "to the tip");
    }

    #[test]
    fn a_card_tells_what_a_player_has_to_know() {
        let study = Study::new(demo());
        let card = |index: usize| Card::of(&study, study.lesson().score.events[index].id).expect("a card");
        let first = card(0);
        assert_eq!((first.name.as_str(), first.bow.as_str()), ("D", "down-bow"));
        assert_eq!((first.strings.as_str(), first.fingers.as_str()), ("D string", "open"));
        assert_eq!((first.goal.as_str(), first.place.as_str()), ("into the upper half", "Bar 1, beat 1"));
        assert_eq!(first.length_words(), "2 beats, 1.4 s");
        assert_eq!(card(2).bow, "same bow");
        assert!(card(2).elbow.starts_with("elbow lower"), "{}", card(2).elbow);
        let all: Vec<Card> = (study.lesson().score.events.iter())
            .map(|event| Card::of(&study, event.id).expect("a card"))
            .collect();
        let double = all.iter().find(|card| card.name == "D and B").expect("the double stop");
        assert_eq!((double.strings.as_str(), double.bow.as_str()), ("D and A strings", "down-bow"));
        let rest = all.iter().find(|card| card.name == "rest").expect("a rest");
        assert_eq!((rest.direction, rest.goal.as_str()), (None, ""));
    }
}
