//! Stature of children by age: a starting value until the child is measured.

use serde::{Deserialize, Serialize};

/// Which of the two columns of a growth chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the names are the meaning")]
pub enum Sex {
    Girl,
    Boy,
}

/// A growth chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chart {
    /// US Centers for Disease Control and Prevention, 2000: values half a month after the birthday.
    Cdc,
    /// World Health Organization, 2006 and 2007: values at the birthday.
    Who,
}

/// Youngest and oldest age of the table, years.
pub const AGES: (f64, f64) = (3.0, 20.0);

/// Median stature, cm, by age from 3 years on: CDC boys, CDC girls, WHO boys, WHO girls. CDC 2000
/// file of stature for age; WHO tables. WHO ends at 18; the value there is kept.
const MEDIANS_CM: [[f64; 4]; 18] = [
    [95.3, 94.2, 96.1, 95.1],
    [102.5, 101.0, 103.3, 102.7],
    [109.2, 108.0, 110.0, 109.4],
    [115.7, 115.0, 116.0, 115.1],
    [122.0, 121.8, 121.7, 120.8],
    [128.1, 127.8, 127.3, 126.6],
    [133.7, 133.1, 132.6, 132.5],
    [138.8, 138.2, 137.8, 138.6],
    [143.7, 144.3, 143.1, 145.0],
    [149.3, 151.5, 149.1, 151.2],
    [156.4, 157.3, 156.0, 156.4],
    [164.1, 160.5, 163.2, 159.8],
    [170.1, 161.9, 169.0, 161.7],
    [173.6, 162.6, 172.9, 162.5],
    [175.3, 162.9, 175.2, 162.9],
    [176.2, 163.1, 176.1, 163.1],
    // 19 years lies between its neighbours; CDC only.
    [176.5, 163.2, 176.1, 163.1],
    [176.8, 163.3, 176.1, 163.1],
];

/// Median stature at an age, mm; straight lines between birthdays. Ages outside the table give its
/// first or last value.
pub fn median_stature_mm(chart: Chart, sex: Sex, age_years: f64) -> f64 {
    let column = 2 * usize::from(chart == Chart::Who) + usize::from(sex == Sex::Girl);
    let age = if age_years.is_finite() { age_years } else { AGES.0 };
    let place = age.clamp(AGES.0, AGES.1) - AGES.0;
    let below = (place.floor() as usize).min(MEDIANS_CM.len() - 2);
    let share = place - below as f64;
    10.0 * (MEDIANS_CM[below][column] * (1.0 - share) + MEDIANS_CM[below + 1][column] * share)
}

/// Parameters of a growth chart at one age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lms {
    /// Power of the Box-Cox transformation.
    pub l: f64,
    /// Median, in the unit of the result.
    pub m: f64,
    /// Coefficient of variation.
    pub s: f64,
}

impl Lms {
    /// The value `z` standard deviations from the median: M (1 + L S z)^(1/L), and M e^(S z) for
    /// L = 0 (Cole & Green 1992, Stat. Med. 11:1305-1319, as used in Kuczmarski et al. 2002, Vital
    /// Health Stat. 11(246)). None where the power does not exist.
    pub fn value(self, z: f64) -> Option<f64> {
        let Self { l, m, s } = self;
        let base = 1.0 + l * s * z;
        let value = if l.abs() < 1e-12 { m * (s * z).exp() } else { m * base.powf(1.0 / l) };
        (base > 0.0 && value.is_finite()).then_some(value)
    }
}
