//! The built-in starting values.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Body, Bow, Family, Instrument, Player, School, Setup};

/// Instruments, bows, players and the school that a new lesson starts from.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Catalogue {
    /// Instruments; the first of a family is its default.
    pub instruments: Vec<Instrument>,
    /// Bows by family; the first of a family is its default.
    pub bows: Vec<(Family, Bow)>,
    /// Player presets; the first is the default.
    pub players: Vec<Player>,
    /// Starting figures of the plan.
    pub school: School,
}

impl Catalogue {
    /// The catalogue that comes with the program.
    pub fn builtin() -> &'static Self {
        static BUILTIN: LazyLock<Catalogue> = LazyLock::new(|| {
            ron::from_str(include_str!("../../assets/catalogue.ron"))
                .expect("the built-in catalogue is read by a test")
        });
        &BUILTIN
    }

    /// The default setup for an instrument.
    pub fn setup(&self, family: Family) -> Setup {
        let instrument = self.instruments.iter().find(|instrument| instrument.family == family);
        let bow = self.bows.iter().find(|(for_family, _)| *for_family == family);
        Setup {
            instrument: instrument.unwrap_or(&self.instruments[0]).clone(),
            bow: bow.unwrap_or(&self.bows[0]).1.clone(),
            player: self.players[0].clone(),
            school: self.school.clone(),
            body: Body::default(),
            hold: None,
            left_handed: false,
            tempo_share: 1.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_has_an_instrument_a_bow_and_sound_figures() {
        let catalogue = Catalogue::builtin();
        for family in Family::ALL {
            let setup = catalogue.setup(family);
            assert_eq!(setup.instrument.family, family);
            assert!(catalogue.bows.iter().any(|(for_family, _)| *for_family == family));
            for player in &catalogue.players {
                let setup = Setup { player: player.clone(), ..setup.clone() };
                assert_eq!(setup.problems(), Vec::<String>::new());
            }
            let strings = &setup.instrument.strings;
            assert!(strings.windows(2).all(|pair| pair[0].pitch.midi() > pair[1].pitch.midi()));
        }
    }

    /// Slow-bow limits of R24: about 11 cm/s at 6 s and 3.2 cm/s at 20 s on 65 cm of hair
    /// (common practice, as collected from teachers; computed from the lengths).
    #[test]
    fn slow_bow_limits() {
        let mut setup = Setup::for_family(Family::Violin);
        assert!((setup.slowest_mm_per_s() - 32.5).abs() < 0.1);
        setup.player.slowest_whole_bow_s = 6.0;
        assert!((setup.slowest_mm_per_s() - 108.3).abs() < 0.1);
    }

    #[test]
    fn speed_between_two_marks_is_their_geometric_mean() {
        let setup = Setup::for_family(Family::Viola);
        let [.., f, ff, _] = setup.school.speed_mm_per_s;
        assert!((setup.speed_mm_per_s(5.5) - (f * ff).sqrt()).abs() < 1e-9);
    }
}
