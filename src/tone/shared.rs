//! Strings under one bow: how much of the arm's weight each of them gets.

use crate::{
    arm::{Plane, Together},
    setup::Setup,
};

use super::judge::{Asked, Sounding, Span, judge};

/// What one string of a double stop gets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringShare {
    /// The string, 1 the highest.
    pub string: u8,
    /// The weight it would get alone, N.
    pub alone_n: f64,
    /// Its part of the weight on all of them, N.
    pub shared_n: f64,
    /// Weights with a good tone on this string, at the speed and the sounding point of the dynamic.
    pub limits: Span,
}

/// How a part of the weight lies between the limits of its string.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Core {
    /// Below the soft lower limit.
    Thin,
    /// Between the limits.
    Full,
    /// Above the upper limit.
    Pressed,
}

/// The weight on each of the strings that one bow sounds together, at a level of the dynamics (0 ppp
/// to 7 fff) with the speed and the sounding point that go with it. `strings` as in
/// [`Asked::strings`].
///
/// The whole weight is that of [`judge()`], by the school's choice between one arm's weight for both
/// and one for each. The bow plane goes through both string tops, so both get the same part: that
/// both should sound alike is common practice, no source.
pub fn shared_weight(setup: &Setup, strings: &[(u8, f64)], level: f64) -> Vec<StringShare> {
    let tone = |strings: &[(u8, f64)]| {
        let wanted_mm_per_s = setup.speed_mm_per_s(level);
        let strings = strings.to_vec();
        judge(
            setup,
            &Asked { strings, level, wanted_mm_per_s, ratio: 1.0, place_mm: setup.bow.hair_mm / 2.0 },
        )
    };
    let both = tone(strings);
    strings
        .iter()
        .map(|&string| StringShare {
            string: string.0,
            alone_n: tone(&[string]).usual.weight_n,
            shared_n: both.usual.weight_n / strings.len() as f64,
            limits: Sounding::new(setup, string).limits(both.point_mm, both.usual.speed_mm_per_s),
        })
        .collect()
}

/// The weight on the strings of one bow plane of notes that sound together, at a level of the dynamics.
pub fn weight_on(setup: &Setup, together: &Together, plane: Plane, level: f64) -> Vec<StringShare> {
    let held = together.fingers.iter().zip(&together.heights).map(|((string, _), height)| (*string, *height));
    let on_plane: Vec<(u8, f64)> =
        held.filter(|(string, _)| plane.strings().any(|other| other == *string)).collect();
    shared_weight(setup, &on_plane, level)
}

impl StringShare {
    /// Whether the part is enough, or too much.
    pub fn core(&self) -> Core {
        match self.shared_n {
            n if n < self.limits.least_n => Core::Thin,
            n if n > self.limits.most_n => Core::Pressed,
            _ => Core::Full,
        }
    }

    /// The part against what the string would get alone, in words: "half its weight".
    pub fn part_words(&self) -> &'static str {
        match self.shared_n / self.alone_n.max(1e-9) {
            part if part < 0.4 => "less than half of what it gets alone",
            part if part < 0.62 => "about half of what it gets alone",
            part if part < 0.9 => "less than it gets alone",
            part if part < 1.12 => "as much as it gets alone",
            _ => "more than it gets alone",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{Family, WeightForTwo};

    /// Both schools (facts of the definition): one arm's weight for both is half of it on each of two
    /// like strings, and the same weight per string is twice the arm's.
    #[test]
    fn one_arm_for_two_strings_is_half_on_each() {
        for family in Family::ALL {
            let mut setup = Setup::for_family(family);
            for string in &mut setup.instrument.strings {
                string.impedance_kg_per_s = Some(0.3);
            }
            for level in [1.0, 4.0, 6.0] {
                setup.school.weight_for_two = WeightForTwo::SharedArm;
                for share in shared_weight(&setup, &[(2, 0.0), (1, 4.0)], level) {
                    assert!((share.shared_n - 0.5 * share.alone_n).abs() < 1e-12, "{share:?}");
                    assert_eq!(share.part_words(), "about half of what it gets alone");
                }
                setup.school.weight_for_two = WeightForTwo::SamePerString;
                for share in shared_weight(&setup, &[(2, 0.0), (1, 4.0)], level) {
                    assert!((share.shared_n - share.alone_n).abs() < 1e-12, "{share:?}");
                }
            }
        }
    }

    /// The limits are those of the formulas: a stopped string is shorter, so the same place is a
    /// larger share of it and both limits fall (Schelleng 1973).
    #[test]
    fn a_stopped_string_has_lower_limits_than_the_same_one_open() {
        let setup = Setup::for_family(Family::Viola);
        let open = shared_weight(&setup, &[(3, 0.0), (2, 0.0)], 4.0);
        let high = shared_weight(&setup, &[(3, 0.0), (2, 12.0)], 4.0);
        assert!(high[1].limits.most_n < open[1].limits.most_n);
        assert!(high[1].limits.least_n < open[1].limits.least_n);
        assert!(shared_weight(&setup, &[], 4.0).is_empty());
    }

    #[test]
    fn thin_full_and_pressed_follow_the_limits() {
        let limits = Span { least_n: 0.2, most_n: 0.8 };
        let core = |shared_n| StringShare { string: 1, alone_n: 1.0, shared_n, limits }.core();
        assert_eq!([core(0.1), core(0.5), core(0.9)], [Core::Thin, Core::Full, Core::Pressed]);
    }
}
