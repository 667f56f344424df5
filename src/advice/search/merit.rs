//! What a bowing gains against the present one as a teacher counts it, and whether that is worth telling.

use std::collections::BTreeSet;

use crate::score::{Direction, EventId};

use super::{
    super::standing::{LEANING, Standing, Strength, StrongNote},
    field::Field,
    tried::Tried,
    ways::Way,
};

/// Another bowing is worth telling as long as it weighs less than so much more than the best: with a name, or
/// where it brings accents down, about what four strong beats on up-bows weigh; else about what one does. Assumed:
/// a player wants something to compare, with its costs.
const NAMED: f64 = 4.0 * LEANING;
const UNNAMED: f64 = LEANING;
/// The other way round, or with other slurs, is as good where it weighs so much more at most, and so much where a bar
/// begins on an up-bow for it. Assumed.
const AS_GOOD: f64 = 2.0;
const AS_GOOD_BUT_FOR_BARS: f64 = 1.1;
/// What is heard less plainly by this is a trouble less. Assumed: the least that a run-out weighs.
const CURES: f64 = 3.0;
/// A plan that costs less by this is felt in the arm. Assumed.
const EASIER: f64 = 2.0;
/// Each accent more on a down-bow moves an answer up by so much, three of them at most; each retake without a rest
/// moves it down. Assumed.
const FOR_AN_ACCENT: f64 = 1.0;
const FOR_A_RETAKE: f64 = 0.6;

/// Something that is better than now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Gain {
    /// A strong note on a down-bow.
    Down(EventId),
    FewerTroubles,
    FewerHooks(usize),
    FewerRetakes,
    FewerHairpins,
    Easier,
    /// Begun so, and as good.
    Begun(Direction),
}

/// A bowing that is worth telling.
pub(super) struct Merit<'a> {
    pub tried: &'a Tried,
    /// The less, the earlier it is told.
    pub rank: f64,
    gains: BTreeSet<Gain>,
}

impl<'a> Merit<'a> {
    /// None where nothing speaks for it that a teacher cares for, where it is spoilt, or weighs too much. `now` is the
    /// bowing as it is, `best` the one that weighs least.
    pub fn of(field: &Field, tried: &'a Tried, now: &Tried, best: &Tried) -> Option<Self> {
        if tried.is_spoilt(now) {
            return None;
        }
        let more = tried.weight - now.weight;
        let (way, accents) = (tried.kept_way(), tried.accents_won());
        let mut gains = tried.gains(now);
        if gains.is_empty() && way.is_some_and(Way::is_another) {
            let no_bar_lost = tried.turned.up.is_empty() && tried.turned.over.is_empty();
            let as_good = if no_bar_lost { AS_GOOD } else { AS_GOOD_BUT_FOR_BARS };
            let begun = field.first_chosen().map(|k| Gain::Begun(tried.bowing[k].direction));
            gains.extend(begun.filter(|_| more <= as_good && accents == 0));
        }
        let most = if way.is_some() || accents > 0 { NAMED } else { UNNAMED };
        if gains.is_empty() || tried.weight - best.weight > most {
            return None;
        }
        let ahead = match accents {
            1.. => FOR_AN_ACCENT * accents.min(3) as f64,
            _ => way.map_or(0.0, Way::ahead),
        };
        let retakes = tried.after.retakes.saturating_sub(now.after.retakes);
        Some(Self { tried, rank: more - ahead + FOR_A_RETAKE * retakes as f64, gains })
    }

    /// It gains nothing that this one does not gain, with no more changes of slurs.
    pub fn adds_nothing_to(&self, other: &Self) -> bool {
        let slurs = |merit: &Self| merit.tried.changed.divided + merit.tried.changed.slurred;
        self.gains.is_subset(&other.gains) && slurs(self) >= slurs(other)
    }
}

impl Tried {
    /// The way it is, if that does what it is named after.
    pub fn kept_way(&self) -> Option<Way> {
        let (down, up) = (&self.turned.down, &self.turned.up);
        self.way.filter(|way| match () {
            () if way.is_for_accents() => self.accents_won() > 0,
            () if way.is_for_strong_notes() => down.len() > up.len(),
            () => true,
        })
    }

    /// Accents and chords that come down, less those that go up.
    fn accents_won(&self) -> isize {
        accents(&self.turned.down) - accents(&self.turned.up)
    }

    /// It takes an accent from its down-bow and gains none for it; or it lifts or stops the bow more often than strong
    /// notes come down for it; all that unless it cures something.
    fn is_spoilt(&self, now: &Self) -> bool {
        if self.after.heard < now.after.heard - CURES {
            return false;
        }
        let lost = accents(&self.turned.up) + accents(&self.turned.over);
        let stops = self.after.stops.saturating_sub(now.after.stops);
        let retakes = self.after.retakes.saturating_sub(now.after.retakes);
        let won = self.turned.down.len().saturating_sub(self.turned.up.len());
        let broken = retakes > 1 || retakes > 0 && stops > 0 || stops + retakes > won;
        lost > accents(&self.turned.down) || broken
    }

    fn gains(&self, now: &Self) -> BTreeSet<Gain> {
        let (was, is) = (&now.after, &self.after);
        let bars = |notes: &[StrongNote]| notes.len() as isize - accents(notes);
        let hairpins = |standing: &Standing| standing.hairpins.1 - standing.hairpins.0;
        let mut gains = BTreeSet::new();
        if self.accents_won() > 0 || bars(&self.turned.down) > bars(&self.turned.up) {
            gains.extend(self.turned.down.iter().map(|note| Gain::Down(note.id)));
        }
        let cured =
            is.impossible < was.impossible || is.runs_out < was.runs_out && is.impossible == was.impossible;
        gains.extend(cured.then_some(Gain::FewerTroubles));
        gains.extend((0..was.stops.saturating_sub(is.stops)).map(Gain::FewerHooks));
        gains.extend((is.retakes < was.retakes).then_some(Gain::FewerRetakes));
        gains.extend((hairpins(is) < hairpins(was)).then_some(Gain::FewerHairpins));
        gains.extend((is.cost < was.cost - EASIER).then_some(Gain::Easier));
        gains
    }
}

/// How many of these are more than the first of a bar.
fn accents(notes: &[StrongNote]) -> isize {
    notes.iter().filter(|note| note.strength != Strength::Barline).count() as isize
}
