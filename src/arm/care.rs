//! What a passage asks of the arm: how long the upper arm is raised, how long the bow is far out. A
//! prompt to vary and rest, never a score and never a diagnosis.

/// From this elevation of the upper arm on a posture is to change often, degrees from hanging down
/// (ISO 11226:2000, static postures of adults at work, from memory).
pub const RAISED_DEG: f64 = 60.0;
/// Where the instrument asks for an arm above [`RAISED_DEG`] on its middle strings at the middle of the bow,
/// as a cello does, it is raised only from this much above that on, degrees. Assumed: a word that is
/// always said warns of nothing.
const ABOVE_USUAL_DEG: f64 = 10.0;
/// Part of the farthest hair the arm reaches from which on it counts as far out. Assumed.
pub const FAR_PART: f64 = 0.9;
/// A pause as long as this ends a spell, s. Assumed: time to let the arm hang.
const REST_S: f64 = 2.0;
/// A raised arm is worth a word after this long without a rest, s: what the same limits allow at their
/// upper end (ISO 11226:2000, from memory).
const LONG_RAISED_S: f64 = 60.0;
/// The far end is worth a word after this long without a rest, s. Assumed.
const LONG_FAR_S: f64 = 20.0;

/// A short time in which the bow is on the string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// When it begins, s.
    pub from_s: f64,
    /// When it ends, s.
    pub to_s: f64,
    /// The movement it belongs to; a spell ends with its movement.
    pub movement: usize,
    /// Elevation of the upper arm at its beginning and its end, degrees from hanging down.
    pub upper_arm_deg: (f64, f64),
    /// Hair from the frog at its beginning and its end, as a part of the farthest the arm reaches.
    pub reach: (f64, f64),
}

/// How long something lasts in a passage.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spells {
    /// In all, s.
    pub total_s: f64,
    /// The longest spell without a rest: from when to when, s. Short breaks inside it count to it.
    pub longest: (f64, f64),
}

/// What a passage asks of the arm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Care {
    /// Time with the bow on the string, s.
    pub playing_s: f64,
    /// Elevation of the upper arm from which on it counts as raised, degrees.
    pub raised_deg: f64,
    /// The upper arm is raised above that.
    pub raised: Spells,
    /// The bow is beyond [`FAR_PART`] of the reach.
    pub far: Spells,
}

/// Adds up a passage, its moments in order. Between the two ends of a moment all goes evenly. `usual_deg`
/// is the elevation of the upper arm on the middle strings at the middle of the bow.
pub fn care(usual_deg: f64, moments: impl Iterator<Item = Moment>) -> Care {
    let raised_deg = if usual_deg > RAISED_DEG { usual_deg + ABOVE_USUAL_DEG } else { RAISED_DEG };
    let mut care = Care { raised_deg, ..Care::default() };
    let (mut raised, mut far) = (Gather::default(), Gather::default());
    for moment in moments {
        care.playing_s += moment.to_s - moment.from_s;
        raised.take(&moment, moment.upper_arm_deg, raised_deg);
        far.take(&moment, moment.reach, FAR_PART);
    }
    (care.raised, care.far) = (raised.spells, far.spells);
    care
}

/// Spells while they are gathered.
#[derive(Default)]
struct Gather {
    spells: Spells,
    /// The spell that is going on, s, and its movement.
    open: Option<((f64, f64), usize)>,
}

impl Gather {
    /// Takes the part of a moment in which a value, going evenly from one end to the other, is above
    /// a limit.
    fn take(&mut self, moment: &Moment, (from, to): (f64, f64), limit: f64) {
        let crosses = if from == to { 0.0 } else { ((limit - from) / (to - from)).clamp(0.0, 1.0) };
        let (first, last) = match (from > limit, to > limit) {
            (false, false) => return,
            (true, true) => (0.0, 1.0),
            (true, false) => (0.0, crosses),
            (false, true) => (crosses, 1.0),
        };
        let lasts = moment.to_s - moment.from_s;
        let part = (moment.from_s + first * lasts, moment.from_s + last * lasts);
        self.spells.total_s += part.1 - part.0;
        let spell = match self.open {
            Some(((begun, until), movement)) if movement == moment.movement && part.0 - until < REST_S => {
                (begun, part.1)
            }
            _ => part,
        };
        self.open = Some((spell, moment.movement));
        if spell.1 - spell.0 > self.spells.longest_s() {
            self.spells.longest = spell;
        }
    }
}

impl Spells {
    /// How long the longest spell is, s.
    pub fn longest_s(&self) -> f64 {
        self.longest.1 - self.longest.0
    }
}

impl Care {
    /// The upper arm is raised long enough for a prompt.
    pub fn is_raised_long(&self) -> bool {
        self.raised.longest_s() >= LONG_RAISED_S
    }

    /// The bow is far out long enough for a prompt.
    pub fn is_far_long(&self) -> bool {
        self.far.longest_s() >= LONG_FAR_S
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moment(from_s: f64, to_s: f64, deg: (f64, f64)) -> Moment {
        Moment { from_s, to_s, movement: 0, upper_arm_deg: deg, reach: (0.5, 0.5) }
    }

    /// Worked by hand: from 50 to 70 degrees in 4 s the arm is above 60 in the last 2 s.
    #[test]
    fn time_above_the_limit_is_counted_where_it_is_passed() {
        let rising = care(45.0, [moment(0.0, 4.0, (50.0, 70.0))].into_iter());
        assert!((rising.raised.total_s - 2.0).abs() < 1e-12);
        assert_eq!(rising.raised.longest, (2.0, 4.0));
        let falling = care(45.0, [moment(0.0, 4.0, (80.0, 40.0))].into_iter());
        assert_eq!(falling.raised.longest, (0.0, 2.0));
        assert_eq!(falling.far, Spells::default());
        let still = care(45.0, [moment(1.0, 4.0, (60.0, 60.0))].into_iter());
        assert_eq!((still.raised.total_s, still.playing_s), (0.0, 3.0));
    }

    /// What the instrument asks for all along is no prompt; more than that is.
    #[test]
    fn the_usual_arm_of_an_instrument_is_not_raised() {
        let all_along = |deg: f64| care(65.0, [moment(0.0, 100.0, (deg, deg))].into_iter());
        assert!(!all_along(70.0).is_raised_long());
        assert!(all_along(80.0).is_raised_long());
    }

    #[test]
    fn a_rest_ends_a_spell_and_a_breath_does_not() {
        let up = (70.0, 70.0);
        let list = [moment(0.0, 5.0, up), moment(6.0, 9.0, up), moment(12.0, 14.0, up)];
        let found = care(45.0, list.into_iter());
        assert_eq!((found.raised.total_s, found.raised.longest), (10.0, (0.0, 9.0)));
        assert!(!found.is_raised_long());
        let long = care(45.0, [moment(0.0, 61.0, up), moment(64.0, 130.0, (10.0, 10.0))].into_iter());
        assert!(long.is_raised_long() && !long.is_far_long());
    }

    #[test]
    fn a_spell_ends_with_its_movement() {
        let first = moment(0.0, 50.0, (70.0, 70.0));
        let second = Moment { movement: 1, ..moment(50.0, 90.0, (70.0, 70.0)) };
        let found = care(45.0, [first, second].into_iter());
        assert_eq!((found.raised.total_s, found.raised.longest), (90.0, (0.0, 50.0)));
    }
}
