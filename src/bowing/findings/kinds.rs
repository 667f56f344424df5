//! Every kind of finding, for settings and lists.

use strum::{EnumMessage, IntoStaticStr, VariantArray};

/// A kind of finding; each may be switched off in [`crate::setup::Rules::off`]. The first line over each
/// is its name on the screen.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, EnumMessage, IntoStaticStr, VariantArray,
)]
#[strum(serialize_all = "kebab-case")]
pub enum Kind {
    /// A stroke longer than the slowest bow.
    NoWayHair,
    /// A fixed place that cannot be reached.
    NoWayPlace,
    /// A lift too short to set the bow.
    NoWayLift,
    /// Notes the player's hand does not reach.
    OutOfHand,
    /// The bow creeps until it runs out.
    RunsOutDrift,
    /// A stroke longer than the bow.
    RunsOutStroke,
    /// A stroke that starts too near its end.
    RunsOutStart,
    /// Bow to be saved.
    TightSlow,
    /// Bow to be spent.
    TightFast,
    /// Only one place to start.
    TightPlace,
    /// Near the slowest bow.
    NearSlowest,
    /// A very fast bow.
    Rush,
    /// A repeated figure that creeps.
    Creep,
    /// Slurs that all fall on the same bow.
    SlurParity,
    /// Spiccato faster than its border.
    SpiccatoFast,
    /// Sautillé slower than its border.
    SautilleSlow,
    /// A chord far out on the bow.
    ChordPlace,
    /// A first strong beat on an up-bow.
    FirstBeatUp,
    /// An upbeat on a down-bow.
    UpbeatDown,
    /// Strong beats in a row on up-bows.
    StrongBeatsUp,
    /// A chord on an up-bow.
    ChordUp,
    /// Hardly time for a retake.
    ShortRetake,
    /// A dynamic the bow cannot keep.
    ToneThin,
    /// A fast crossing far out, or over a string.
    CrossingFarOut,
}

impl Kind {
    /// Its stable name, in files and settings: "no-way-hair".
    pub fn id(self) -> &'static str {
        self.into()
    }

    /// What it is about, in a few words.
    pub fn name(self) -> &'static str {
        self.get_documentation().unwrap_or_default().trim_end_matches('.')
    }

    /// Where the rule comes from.
    pub fn source(self) -> &'static str {
        match self {
            Self::NoWayHair
            | Self::NoWayPlace
            | Self::NoWayLift
            | Self::OutOfHand
            | Self::RunsOutDrift
            | Self::RunsOutStroke
            | Self::RunsOutStart
            | Self::TightSlow
            | Self::TightFast
            | Self::TightPlace
            | Self::Creep
            | Self::ToneThin
            | Self::CrossingFarOut => "computed",
            Self::NearSlowest
            | Self::ChordPlace
            | Self::FirstBeatUp
            | Self::UpbeatDown
            | Self::StrongBeatsUp
            | Self::ChordUp => "common practice, no source",
            Self::Rush => "from memory",
            Self::SpiccatoFast | Self::SautilleSlow => {
                "published: Klopčič 2021 after Dounis, quoted in J. American Viola Society, Fall 2023"
            }
            Self::SlurParity => "published: Broadley, Chats to 'Cello Students",
            Self::ShortRetake => "assumed",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lesson files and settings name kinds by these: a name that changes is a broken file.
    #[test]
    fn every_kind_has_a_stable_id_and_a_name() {
        for kind in Kind::VARIANTS {
            let id = kind.id();
            assert!(id.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{id}");
            assert!(kind.name().chars().next().is_some_and(char::is_uppercase), "{id}");
        }
        assert_eq!((Kind::NoWayHair.id(), Kind::SlurParity.id()), ("no-way-hair", "slur-parity"));
        assert_eq!(Kind::SautilleSlow.name(), "Sautillé slower than its border");
    }
}
