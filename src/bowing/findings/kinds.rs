//! Every kind of finding, for settings and lists.

/// A kind of finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Its stable name.
    pub id: &'static str,
    /// What it is about, in a few words.
    pub name: &'static str,
    /// Where the rule comes from.
    pub source: &'static str,
}

const fn kind(id: &'static str, name: &'static str, source: &'static str) -> Kind {
    Kind { id, name, source }
}

const COMMON: &str = "common practice, no source";
const COMPUTED: &str = "computed";
const MEMORY: &str = "from memory";

/// All kinds; each may be switched off in [`crate::setup::Rules::off`].
pub const KINDS: &[Kind] = &[
    kind("no-way-hair", "A stroke longer than the slowest bow", COMPUTED),
    kind("no-way-place", "A fixed place that cannot be reached", COMPUTED),
    kind("no-way-lift", "A lift too short to set the bow", COMPUTED),
    kind("runs-out-drift", "The bow creeps until it runs out", COMPUTED),
    kind("runs-out-stroke", "A stroke longer than the bow", COMPUTED),
    kind("runs-out-start", "A stroke that starts too near its end", COMPUTED),
    kind("tight-slow", "Bow to be saved", COMPUTED),
    kind("tight-fast", "Bow to be spent", COMPUTED),
    kind("tight-place", "Only one place to start", COMPUTED),
    kind("speed-jump", "Faster at once without an accent", COMMON),
    kind("near-slowest", "Near the slowest bow", COMMON),
    kind("rush", "A very fast bow", MEMORY),
    kind("creep", "A repeated figure that creeps", COMPUTED),
    kind("fast-return", "A short stroke that wins the bow back", COMPUTED),
    kind(
        "slur-parity",
        "Slurs that all fall on the same bow",
        "published: Broadley, Chats to 'Cello Students",
    ),
    kind("slur-shares", "A note that takes too much of a slur", COMMON),
    kind("split-slur", "A loud slur better split", COMMON),
    kind(
        "spiccato-fast",
        "Spiccato faster than its border",
        "published: Klopčič 2021 after Dounis, quoted in J. American Viola Society, Fall 2023",
    ),
    kind(
        "sautille-slow",
        "Sautillé slower than its border",
        "published: Klopčič 2021 after Dounis, quoted in J. American Viola Society, Fall 2023",
    ),
    kind("bounce-place", "A bouncing stroke away from its place", COMMON),
    kind("tremolo-place", "Tremolo away from its place", COMMON),
    kind("martele-place", "Martelé away from its place", MEMORY),
    kind("stroke-place", "Another stroke away from its place", COMMON),
    kind("hook-place", "A hooked figure far from the middle", COMMON),
    kind("chord-place", "A chord in the upper half", COMMON),
    kind("accent-place", "An accent at the tip", COMMON),
    kind("loud-at-tip", "Loud at the tip", COMMON),
    kind("soft-at-frog", "Soft at the frog", COMMON),
    kind("soft-entry", "A soft entry at the frog", COMMON),
    kind("sudden-soft", "A sudden soft near the frog", MEMORY),
    kind("start-place", "What follows decides where to start", COMPUTED),
    kind("first-beat-up", "A first strong beat on an up-bow", COMMON),
    kind("upbeat-down", "An upbeat on a down-bow", COMMON),
    kind("strong-beats-up", "Strong beats in a row on up-bows", COMMON),
    kind("chord-up", "A chord on an up-bow", COMMON),
    kind("crescendo-down", "A crescendo on a down-bow", COMMON),
    kind("diminuendo-up", "A diminuendo on an up-bow", COMMON),
    kind("short-retake", "Hardly time for a retake", "assumed"),
    kind("tone-thin", "A dynamic the bow cannot keep", COMPUTED),
    kind("tone-choked", "A weight that presses the sound", COMPUTED),
    kind("crossing-far-out", "A wide crossing far out on the bow", COMPUTED),
    kind("string-skipped", "A string passed over in one bow", COMMON),
];
