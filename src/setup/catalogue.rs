//! The built-in starting values.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Body, Bow, Family, Instrument, Leanings, Origin, Player, Rules, School, Setup};
use crate::score::Pitch;

/// Instruments, bows, players and the school that a new lesson starts from.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Catalogue {
    /// Instruments; the first of a family is its default.
    pub instruments: Vec<Instrument>,
    /// Bows by family; the first of a family is its default.
    pub bows: Vec<(Family, Bow)>,
    /// Sizes that are for others than the default player, each with whom it is for.
    pub sizes: Vec<Size>,
    /// Player presets; the first is the default.
    pub players: Vec<Player>,
    /// Starting figures of the plan.
    pub school: School,
}

/// Whom a size of an instrument is for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Size {
    /// Instrument.
    pub family: Family,
    /// Its size as the catalogue names it.
    pub size: String,
    /// Usual height of a player, mm.
    pub stature_mm: f64,
    /// The bow that goes with it, by the end of its name.
    pub bow: String,
}

/// A size as players name it: "full size" is "4/4", "15 1/2 in" is "15.5 in".
pub fn size_words(name: &str) -> String {
    let short = name.replace("full size", "4/4").replace(" 1/2 in", ".5 in");
    short.strip_suffix(" size").unwrap_or(&short).to_owned()
}

impl Catalogue {
    /// The instruments of a family, the longest strings first.
    pub fn by_size(&self, family: Family) -> Vec<&Instrument> {
        let mut sizes: Vec<_> = self.instruments.iter().filter(|known| known.family == family).collect();
        sizes.sort_by(|a, b| b.string_length_mm.total_cmp(&a.string_length_mm));
        sizes
    }

    /// A player preset on a bow: who keeps from the tip keeps to three quarters of a smaller bow, too.
    pub fn stage(&self, index: usize, hair_mm: f64) -> Option<Player> {
        let preset = self.players.get(index)?.clone();
        Some(Player { tip_margin_mm: preset.tip_margin_mm.min(hair_mm / 4.0), ..preset })
    }

    /// The preset that a player has the figures of on a bow, whatever the name.
    pub fn stage_of(&self, player: &Player, hair_mm: f64) -> Option<usize> {
        let is_one = |preset: Player| *player == Player { name: player.name.clone(), ..preset };
        (0..self.players.len()).find(|index| {
            self.stage(*index, hair_mm).is_some_and(is_one) || is_one(self.players[*index].clone())
        })
    }

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
        (self.instrument, self.hold) = (usual.instrument, usual.hold);
        self.with_bow(usual.bow).of_usual_height()
    }

    /// The same player with an instrument of another size, which comes with its bow, held as before where
    /// there are two, and with the usual height of those it is for, as long as the player's is not known.
    #[must_use]
    pub fn in_size(mut self, instrument: &Instrument) -> Self {
        self.instrument = instrument.clone();
        let kind = |name: &str| name.split_once(", ").map(|(kind, _)| kind.to_owned());
        let held = kind(&self.bow.name);
        let end = instrument.fits().map_or("full size", |size| size.bow.as_str());
        let of_size = |name: &str| name.rsplit(", ").next() == Some(end);
        let known = Catalogue::builtin().bows.iter().filter(|(family, _)| *family == instrument.family);
        let mut bows: Vec<&Bow> = known.map(|(_, bow)| bow).filter(|bow| of_size(&bow.name)).collect();
        bows.sort_by_key(|bow| kind(&bow.name) != held);
        match bows.first() {
            Some(bow) => self.with_bow((*bow).clone()),
            None => self,
        }
        .of_usual_height()
    }

    /// The same player with another bow: a stage goes along, and a mark or a margin that the bow has no hair
    /// for goes as far as it can.
    #[must_use]
    pub fn with_bow(mut self, bow: Bow) -> Self {
        let catalogue = Catalogue::builtin();
        let stage = catalogue.stage_of(&self.player, self.bow.hair_mm);
        self.bow = bow;
        let hair = self.bow.hair_mm;
        if let Some(preset) = stage.and_then(|index| catalogue.stage(index, hair)) {
            let name = std::mem::take(&mut self.player.name);
            self.player = Player { name, ..preset };
        }
        let player = &mut self.player;
        player.tip_mark_mm = player.tip_mark_mm.filter(|tip| *tip <= hair);
        player.frog_margin_mm = player.frog_margin_mm.min(hair / 2.0);
        player.tip_margin_mm = player.tip_margin_mm.min(hair / 2.0);
        self
    }

    /// A player whose height is not known has the usual one for the size.
    fn of_usual_height(mut self) -> Self {
        if self.body.stature_origin == Origin::Assumed {
            let usual = self.instrument.fits().map(|size| size.stature_mm);
            self.body.stature_mm = usual.unwrap_or(Body::default().stature_mm);
        }
        self
    }
}

impl Instrument {
    /// Whom this size is for, where that is not the default player.
    pub fn fits(&self) -> Option<&'static Size> {
        Catalogue::builtin().sizes.iter().find(|size| size.family == self.family && size.size == self.size)
    }

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

    fn in_size(setup: Setup, size: &str) -> Setup {
        let family = setup.instrument.family;
        let known = Catalogue::builtin().by_size(family).into_iter().find(|known| known.size == size);
        setup.in_size(known.expect(size))
    }

    #[test]
    fn a_size_brings_its_bow_and_a_height() {
        let mut violin = Setup::for_family(Family::Violin);
        violin.player.tip_mark_mm = Some(600.0);
        let small = in_size(violin, "3/4");
        assert_eq!((small.instrument.size.as_str(), small.bow.name.as_str()), ("3/4", "3/4"));
        assert_eq!(small.player.tip_mark_mm, None, "the mark lay beyond the end of this hair");
        assert_eq!((small.body.stature_mm, small.problems()), (1440.0, Vec::new()));
        // Back at the full size with the full bow.
        let full = in_size(small.clone(), "full size");
        assert_eq!((full.bow.name.as_str(), full.body.stature_mm), ("full size", 1750.0));
        // Whoever is measured keeps the height.
        let measured = Body { stature_mm: 1500.0, stature_origin: Origin::Measured, ..Body::default() };
        assert_eq!(in_size(Setup { body: measured, ..small }, "1/2").body.stature_mm, 1500.0);
        let mut bass = Setup::for_family(Family::DoubleBass);
        bass.bow.name = "German, 1/2 size".into();
        assert_eq!(in_size(bass.clone(), "3/4 size").bow.name, "German, 3/4 size");
        assert_eq!(in_size(bass, "1/2 size").bow.name, "French, 1/2 size", "the only one of that size");
    }

    /// Three quarters of the bow for a beginner: common practice, as collected from teachers.
    #[test]
    fn a_stage_goes_along_with_the_size() {
        let catalogue = Catalogue::builtin();
        let beginner = catalogue.players.len() - 1;
        let mut setup = Setup::for_family(Family::Violin);
        setup.player = catalogue.stage(beginner, setup.bow.hair_mm).expect("there is one");
        let small = in_size(setup, "1/8");
        assert_eq!(catalogue.stage_of(&small.player, small.bow.hair_mm), Some(beginner));
        assert!(small.usable_mm().1 >= 0.75 * small.bow.hair_mm - 1e-9);
    }

    #[test]
    fn every_size_has_its_bow_and_comes_in_order() {
        let catalogue = Catalogue::builtin();
        for size in &catalogue.sizes {
            assert!(
                catalogue.instruments.iter().any(|known| known.fits() == Some(size)),
                "{} {} is no instrument",
                size.family.word(),
                size.size
            );
        }
        for family in Family::ALL {
            let sizes = catalogue.by_size(family);
            let usual = Setup::for_family(family);
            for known in &sizes {
                let setup = usual.clone().in_size(known);
                assert_eq!(setup.problems(), Vec::<String>::new(), "{} {}", family.word(), known.size);
                let shorter = known.string_length_mm < usual.instrument.string_length_mm;
                assert!(!shorter || setup.bow.hair_mm <= usual.bow.hair_mm);
                assert!(setup.bow.name.ends_with(known.fits().map_or("size", |size| &size.bow)));
            }
            assert!(sizes.windows(2).all(|two| two[0].string_length_mm > two[1].string_length_mm));
        }
        let names = ["full size", "3/4 size", "15 1/2 in", "16 in", "1/2", "French, 3/4 size"];
        assert_eq!(names.map(size_words), ["4/4", "3/4", "15.5 in", "16 in", "1/2", "French, 3/4"]);
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
