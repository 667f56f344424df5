//! The measures of an instrument that decide its bow planes, each with where it comes from.

use super::{Catalogue, Family, Instrument, Origin};

/// One measure of an instrument.
#[derive(Debug)]
pub struct Measure<'a> {
    /// Name shown.
    pub name: &'static str,
    /// What is measured, and where.
    pub what: &'static str,
    /// The value, mm or degrees.
    pub value: &'a mut f64,
    /// Value of the catalogue for this size.
    pub usual: Option<f64>,
    /// "mm" or "°".
    pub unit: &'static str,
    /// Least and greatest value.
    pub range: (f64, f64),
    /// Measured where it is not the catalogue's.
    pub origin: Origin,
}

impl Instrument {
    /// Every measure a person may type. The catalogue's own stand as published where they are a workshop's
    /// or makers' figures, else as assumed; `assets/catalogue.ron` says more of each.
    pub fn measures_mut(&mut self) -> Vec<Measure<'_>> {
        let known = Catalogue::builtin().instruments.iter();
        let usual = known.filter(|known| known.family == self.family).find(|known| known.size == self.size);
        let usual = usual.map(|usual| (usual.string_length_mm, &usual.bridge));
        // Sizes whose string length is published; the others are scaled from these or recalled.
        let usual_size = ["full size", "7/8", "16 in", "15 in", "3/4 size"].contains(&self.size.as_str());
        let violin_or_cello = matches!(self.family, Family::Violin | Family::Cello);
        let of = |published: bool| if published { Origin::Published } else { Origin::Assumed };
        let widest = 1.9 * self.bridge.radius_mm;
        let bridge = &mut self.bridge;
        [
            (
                "String length",
                "From the bridge to the nut",
                &mut self.string_length_mm,
                usual.map(|usual| usual.0),
                "mm",
                (100.0, 1500.0),
                of(usual_size),
            ),
            (
                "Curve of the bridge",
                "Radius of its top",
                &mut bridge.radius_mm,
                usual.map(|usual| usual.1.radius_mm),
                "mm",
                (10.0, 500.0),
                Origin::Assumed,
            ),
            (
                "Outer strings apart",
                "At the bridge, from middle to middle",
                &mut bridge.spread_mm,
                usual.map(|usual| usual.1.spread_mm),
                "mm",
                (5.0, widest),
                of(self.family == Family::Viola && usual_size),
            ),
            (
                "Lowest string high",
                "Over the end of the fingerboard",
                &mut bridge.low_height_mm,
                usual.map(|usual| usual.1.low_height_mm),
                "mm",
                (0.0, 30.0),
                of(violin_or_cello),
            ),
            (
                "Highest string high",
                "Over the end of the fingerboard",
                &mut bridge.high_height_mm,
                usual.map(|usual| usual.1.high_height_mm),
                "mm",
                (0.0, 30.0),
                of(violin_or_cello),
            ),
            (
                "Bow meets the waist",
                "Angle from the bridge at which the bow touches the edge of the body",
                &mut bridge.waist_limit_deg,
                usual.map(|usual| usual.1.waist_limit_deg),
                "°",
                (10.0, 80.0),
                of(self.family.on_shoulder() && usual_size),
            ),
        ]
        .into_iter()
        .map(|(name, what, value, usual, unit, range, origin)| {
            let own = usual.is_none_or(|usual| (usual - *value).abs() > 1e-9);
            Measure {
                name,
                what,
                value,
                usual,
                unit,
                range,
                origin: if own { Origin::Measured } else { origin },
            }
        })
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::Setup;

    #[test]
    fn a_measure_of_ones_own_is_told_from_the_catalogues() {
        for family in Family::ALL {
            let mut instrument = Setup::for_family(family).instrument;
            assert!(instrument.measures_mut().iter().all(|measure| measure.origin != Origin::Measured));
            instrument.bridge.radius_mm += 1.0;
            let mut measures = instrument.measures_mut();
            let own: Vec<&str> = (measures.iter())
                .filter(|measure| measure.origin == Origin::Measured)
                .map(|measure| measure.name)
                .collect();
            assert_eq!(own, ["Curve of the bridge"]);
            for measure in &mut measures {
                let (least, most) = measure.range;
                assert!((least..=most).contains(measure.value), "{measure:?}");
                *measure.value = measure.usual.expect("the catalogue has this size");
            }
            assert_eq!(instrument, Setup::for_family(family).instrument);
        }
    }
}
