//! The built-in starting values.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Body, Bow, Family, Instrument, Leanings, Player, Rules, School, Setup};
use crate::score::Pitch;

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

impl Default for School {
    /// The starting values of the catalogue.
    fn default() -> Self {
        Catalogue::builtin().school.clone()
    }
}

impl Default for Leanings {
    /// The starting values of the catalogue.
    fn default() -> Self {
        Catalogue::builtin().school.leanings.clone()
    }
}

impl Default for Rules {
    /// The starting values of the catalogue.
    fn default() -> Self {
        Catalogue::builtin().school.rules.clone()
    }
}

impl Setup {
    /// The setup the catalogue suggests for an instrument, with a trained player.
    pub fn for_family(family: Family) -> Self {
        Catalogue::builtin().setup(family)
    }

    /// The same player and school on another instrument, which comes with its own bow and hold. Where
    /// it is the instrument at hand already, nothing changes. A mark or a margin that the new bow has
    /// no hair for goes as far as it can.
    #[must_use]
    pub fn on(mut self, family: Family) -> Self {
        if self.instrument.family == family {
            return self;
        }
        let usual = Self::for_family(family);
        (self.instrument, self.bow, self.hold) = (usual.instrument, usual.bow, usual.hold);
        let (hair, player) = (self.bow.hair_mm, &mut self.player);
        player.tip_mark_mm = player.tip_mark_mm.filter(|tip| *tip <= hair);
        player.frog_margin_mm = player.frog_margin_mm.min(hair / 2.0);
        player.tip_margin_mm = player.tip_margin_mm.min(hair / 2.0);
        self
    }
}

impl Instrument {
    /// The catalogue's instrument of this family and size, where it has one.
    pub fn usual(&self) -> Option<&'static Self> {
        let mut known = Catalogue::builtin().instruments.iter();
        known.find(|known| known.family == self.family && known.size == self.size)
    }

    /// Wave impedance of a string (0 the highest), kg/s: its own, or that of the catalogue's string
    /// nearest in pitch on an instrument of the same family. Never zero.
    pub fn impedance_kg_per_s(&self, string: usize) -> f64 {
        let Some(string) = self.strings.get(string) else { return USUAL_IMPEDANCE };
        string.impedance_kg_per_s.unwrap_or_else(|| self.usual_impedance_kg_per_s(string.pitch))
    }

    /// Wave impedance of the catalogue's string nearest to this pitch on an instrument of the same
    /// family, kg/s.
    pub(super) fn usual_impedance_kg_per_s(&self, pitch: Pitch) -> f64 {
        let midi = pitch.midi();
        let known = Catalogue::builtin().instruments.iter().filter(|known| known.family == self.family);
        known
            .flat_map(|instrument| &instrument.strings)
            .filter_map(|known| Some(((known.pitch.midi() - midi).abs(), known.impedance_kg_per_s?)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(USUAL_IMPEDANCE, |(_, impedance)| impedance)
    }
}

/// Impedance of a steel violin D string, kg/s (Schoonderwaldt, Guettler and Askenfelt 2008, second hand). The
/// weights of the school belong to it ([`School::weight_n`](super::School::weight_n)).
pub const USUAL_IMPEDANCE: f64 = 0.25;

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

    /// Slow-bow limits: about 11 cm/s at 6 s and 3.2 cm/s at 20 s on 65 cm of hair
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
        let [.., f, ff, _] = setup.school.short_stroke_mm_per_s;
        assert!((setup.short_stroke_mm_per_s(5.5) - (f * ff).sqrt()).abs() < 1e-9);
    }
}
