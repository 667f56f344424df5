//! Where a phrase starts.

use std::ops::Range;

use super::{
    Claim, Draft, Says,
    story::Story,
    voice::{at, bow_words},
};
use crate::{
    arm::{Finger, Plane},
    bowing::Reached,
};

/// A rest so long is one in which the bow is brought to its place, s. Assumed.
const REST_S: f64 = 0.35;

impl Story<'_> {
    /// Where the first stroke of a phrase starts; nothing where there is no plan for it.
    pub fn start(&self, strokes: &Range<usize>) -> Option<Draft> {
        let stroke = strokes.start;
        if !self.is_planned(stroke) {
            return None;
        }
        let notes = self.evidence.strokes()[stroke].notes.clone();
        let main = self.evidence.main_note(stroke);
        let direction = self.evidence.way(stroke);
        let zone = self.zones(stroke).0;
        let place = self.lesson.score.place_in(self.onset(main), &[]);
        let upbeat = self.lesson.score.bars.get(self.bar(main)).is_some_and(|bar| bar.pickup);
        // Off the beat after a rest nobody counts on what; a player sees the rest.
        let begins_bar =
            stroke.checked_sub(1).is_none_or(|before| self.bar_of(before) != self.bar_of(stroke));
        let bar = if place.is_first_beat() || begins_bar && (upbeat || place.beat.denom() != 1) {
            place.bar_words()
        } else {
            format!("on {}", place.in_bar_words())
        };
        let goes_on = stroke.checked_sub(1).filter(|before| self.section(*before) == self.section(stroke));
        let again = goes_on.is_some_and(|before| self.evidence.way(before) == direction);
        let lifted = matches!(self.analysis.bowed(notes.start).reached, Reached::Air(_));
        let begins = bow_words(direction, again && lifted);
        let on = self.strings_words(main);
        let silence = goes_on.and_then(|_| self.silence_s(stroke));
        let text = match silence {
            None => format!("Start {bar} with {begins} {}{on}.", at(zone)),
            Some(rest) if lifted && rest >= REST_S => {
                format!("In the rest set the bow {}: start {bar} with {begins}{on}.", at(zone))
            }
            Some(_) if lifted => {
                format!("Lift and set the bow {}: start {bar} with {begins}{on}.", at(zone))
            }
            Some(_) => format!("Go on {} with {begins} {}{on}.", into(&bar), at(zone)),
        };
        let claims = vec![Claim::At { note: notes.start, end: false, zone }];
        Some(Draft::new(notes, Says::Start { direction, zone }, claims, &text))
    }

    /// ", on the open D string", ", finger 2 down on the A string", ", on the D and A strings together".
    fn strings_words(&self, note: usize) -> String {
        let Some(placement) = self.analysis.left_hand.placements.get(self.analysis.bowed(note).note) else {
            return String::new();
        };
        if placement.problem.is_some() {
            return String::new();
        }
        let plane = placement.planes.first().copied().unwrap_or(placement.plane);
        let strings = self.plane_words(plane);
        match (plane, &placement.fingers[..]) {
            (Plane::Pair(_), _) => format!(", on {strings}"),
            (Plane::String(_), [Finger::Open]) => {
                format!(", on {}", strings.replacen("the ", "the open ", 1))
            }
            (Plane::String(_), [finger]) => format!(", {} down on {strings}", finger.words()),
            _ => format!(", on {strings}"),
        }
    }

    /// "the A string", "the D and A strings".
    pub fn plane_words(&self, plane: Plane) -> String {
        match self.analysis.arm_path.fan.level(plane).name.split_once('+') {
            Some((upper, lower)) => format!("the {lower} and {upper} strings"),
            None => format!("the {} string", self.analysis.arm_path.fan.level(plane).name),
        }
    }
}

/// "into bar 5", "on beat 2 of bar 5".
fn into(bar: &str) -> String {
    if bar.starts_with("on ") { bar.to_owned() } else { format!("into {bar}") }
}
