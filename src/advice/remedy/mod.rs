//! Remedies: changes that cure a finding, tried for real and ranked by what they leave.

mod bent;
mod case;
mod correction;
mod effect;
mod everywhere;
mod kinds;
mod lost;
mod makers;
mod offer;
mod outcome;
mod rank;
mod reach;
mod trial;
mod tryout;
mod words;

pub use kinds::trials;
pub use offer::Remedy;
pub use outcome::Outcome;
pub use rank::rank;
pub use trial::{Change, Trial};
pub use tryout::{each_remedy, remedies, try_out};
