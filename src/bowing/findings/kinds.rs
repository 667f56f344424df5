//! Every kind of finding, for settings and lists.

/// A kind of finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A stroke longer than the slowest bow.
    NoWayHair,
    /// A fixed place that cannot be reached.
    NoWayPlace,
    /// A lift too short to set the bow.
    NoWayLift,
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
    /// Faster at once without an accent.
    SpeedJump,
    /// Near the slowest bow.
    NearSlowest,
    /// A very fast bow.
    Rush,
    /// A repeated figure that creeps.
    Creep,
    /// A short stroke that wins the bow back.
    FastReturn,
    /// Slurs that all fall on the same bow.
    SlurParity,
    /// A note that takes too much of a slur.
    SlurShares,
    /// A loud slur better split.
    SplitSlur,
    /// Spiccato faster than its border.
    SpiccatoFast,
    /// Sautillé slower than its border.
    SautilleSlow,
    /// A bouncing stroke away from its place.
    BouncePlace,
    /// Tremolo away from its place.
    TremoloPlace,
    /// Martelé away from its place.
    MartelePlace,
    /// Another stroke away from its place.
    StrokePlace,
    /// A hooked figure far from the middle.
    HookPlace,
    /// A chord in the upper half.
    ChordPlace,
    /// An accent at the tip.
    AccentPlace,
    /// Loud at the tip.
    LoudAtTip,
    /// Soft at the frog.
    SoftAtFrog,
    /// A soft entry at the frog.
    SoftEntry,
    /// A sudden soft near the frog.
    SuddenSoft,
    /// What follows decides where to start.
    StartPlace,
    /// A first strong beat on an up-bow.
    FirstBeatUp,
    /// An upbeat on a down-bow.
    UpbeatDown,
    /// Strong beats in a row on up-bows.
    StrongBeatsUp,
    /// A chord on an up-bow.
    ChordUp,
    /// A crescendo on a down-bow.
    CrescendoDown,
    /// A diminuendo on an up-bow.
    DiminuendoUp,
    /// Hardly time for a retake.
    ShortRetake,
    /// A dynamic the bow cannot keep.
    ToneThin,
    /// A weight that presses the sound.
    ToneChoked,
    /// A wide crossing far out on the bow.
    CrossingFarOut,
    /// A string passed over in one bow.
    StringSkipped,
}

const COMMON: &str = "common practice, no source";
const COMPUTED: &str = "computed";
const MEMORY: &str = "from memory";
const DOUNIS: &str = "published: Klopčič 2021 after Dounis, quoted in J. American Viola Society, Fall 2023";

impl Kind {
    /// All kinds; each may be switched off in [`crate::setup::Rules::off`].
    pub const ALL: [Self; 42] = [
        Self::NoWayHair,
        Self::NoWayPlace,
        Self::NoWayLift,
        Self::RunsOutDrift,
        Self::RunsOutStroke,
        Self::RunsOutStart,
        Self::TightSlow,
        Self::TightFast,
        Self::TightPlace,
        Self::SpeedJump,
        Self::NearSlowest,
        Self::Rush,
        Self::Creep,
        Self::FastReturn,
        Self::SlurParity,
        Self::SlurShares,
        Self::SplitSlur,
        Self::SpiccatoFast,
        Self::SautilleSlow,
        Self::BouncePlace,
        Self::TremoloPlace,
        Self::MartelePlace,
        Self::StrokePlace,
        Self::HookPlace,
        Self::ChordPlace,
        Self::AccentPlace,
        Self::LoudAtTip,
        Self::SoftAtFrog,
        Self::SoftEntry,
        Self::SuddenSoft,
        Self::StartPlace,
        Self::FirstBeatUp,
        Self::UpbeatDown,
        Self::StrongBeatsUp,
        Self::ChordUp,
        Self::CrescendoDown,
        Self::DiminuendoUp,
        Self::ShortRetake,
        Self::ToneThin,
        Self::ToneChoked,
        Self::CrossingFarOut,
        Self::StringSkipped,
    ];

    /// Its stable name, in files and settings.
    pub fn id(self) -> &'static str {
        self.facts().0
    }

    /// What it is about, in a few words.
    pub fn name(self) -> &'static str {
        self.facts().1
    }

    /// Where the rule comes from.
    pub fn source(self) -> &'static str {
        self.facts().2
    }

    fn facts(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::NoWayHair => ("no-way-hair", "A stroke longer than the slowest bow", COMPUTED),
            Self::NoWayPlace => ("no-way-place", "A fixed place that cannot be reached", COMPUTED),
            Self::NoWayLift => ("no-way-lift", "A lift too short to set the bow", COMPUTED),
            Self::RunsOutDrift => ("runs-out-drift", "The bow creeps until it runs out", COMPUTED),
            Self::RunsOutStroke => ("runs-out-stroke", "A stroke longer than the bow", COMPUTED),
            Self::RunsOutStart => ("runs-out-start", "A stroke that starts too near its end", COMPUTED),
            Self::TightSlow => ("tight-slow", "Bow to be saved", COMPUTED),
            Self::TightFast => ("tight-fast", "Bow to be spent", COMPUTED),
            Self::TightPlace => ("tight-place", "Only one place to start", COMPUTED),
            Self::SpeedJump => ("speed-jump", "Faster at once without an accent", COMMON),
            Self::NearSlowest => ("near-slowest", "Near the slowest bow", COMMON),
            Self::Rush => ("rush", "A very fast bow", MEMORY),
            Self::Creep => ("creep", "A repeated figure that creeps", COMPUTED),
            Self::FastReturn => ("fast-return", "A short stroke that wins the bow back", COMPUTED),
            Self::SlurParity => (
                "slur-parity",
                "Slurs that all fall on the same bow",
                "published: Broadley, Chats to 'Cello Students",
            ),
            Self::SlurShares => ("slur-shares", "A note that takes too much of a slur", COMMON),
            Self::SplitSlur => ("split-slur", "A loud slur better split", COMMON),
            Self::SpiccatoFast => ("spiccato-fast", "Spiccato faster than its border", DOUNIS),
            Self::SautilleSlow => ("sautille-slow", "Sautillé slower than its border", DOUNIS),
            Self::BouncePlace => ("bounce-place", "A bouncing stroke away from its place", COMMON),
            Self::TremoloPlace => ("tremolo-place", "Tremolo away from its place", COMMON),
            Self::MartelePlace => ("martele-place", "Martelé away from its place", MEMORY),
            Self::StrokePlace => ("stroke-place", "Another stroke away from its place", COMMON),
            Self::HookPlace => ("hook-place", "A hooked figure far from the middle", COMMON),
            Self::ChordPlace => ("chord-place", "A chord in the upper half", COMMON),
            Self::AccentPlace => ("accent-place", "An accent at the tip", COMMON),
            Self::LoudAtTip => ("loud-at-tip", "Loud at the tip", COMMON),
            Self::SoftAtFrog => ("soft-at-frog", "Soft at the frog", COMMON),
            Self::SoftEntry => ("soft-entry", "A soft entry at the frog", COMMON),
            Self::SuddenSoft => ("sudden-soft", "A sudden soft near the frog", MEMORY),
            Self::StartPlace => ("start-place", "What follows decides where to start", COMPUTED),
            Self::FirstBeatUp => ("first-beat-up", "A first strong beat on an up-bow", COMMON),
            Self::UpbeatDown => ("upbeat-down", "An upbeat on a down-bow", COMMON),
            Self::StrongBeatsUp => ("strong-beats-up", "Strong beats in a row on up-bows", COMMON),
            Self::ChordUp => ("chord-up", "A chord on an up-bow", COMMON),
            Self::CrescendoDown => ("crescendo-down", "A crescendo on a down-bow", COMMON),
            Self::DiminuendoUp => ("diminuendo-up", "A diminuendo on an up-bow", COMMON),
            Self::ShortRetake => ("short-retake", "Hardly time for a retake", "assumed"),
            Self::ToneThin => ("tone-thin", "A dynamic the bow cannot keep", COMPUTED),
            Self::ToneChoked => ("tone-choked", "A weight that presses the sound", COMPUTED),
            Self::CrossingFarOut => ("crossing-far-out", "A wide crossing far out on the bow", COMPUTED),
            Self::StringSkipped => ("string-skipped", "A string passed over in one bow", COMMON),
        }
    }
}
