//! The marks that stand on a note, by their MusicXML names (MusicXML 4.0, `articulations`, `technical`,
//! `ornaments`, `notations`).

use crate::score::Mark;

/// A mark with its names.
pub(super) struct Named {
    pub mark: Mark,
    /// The group of `<notations>` that holds it; empty where they hold it themselves.
    pub group: &'static str,
    /// Its names. The first is the one that is written.
    pub names: &'static [&'static str],
}

const fn named(mark: Mark, group: &'static str, names: &'static [&'static str]) -> Named {
    Named { mark, group, names }
}

/// All marks that stand on a note.
pub(super) const MARKS: [Named; 22] = [
    named(Mark::Staccato, "articulations", &["staccato"]),
    named(Mark::Staccatissimo, "articulations", &["staccatissimo"]),
    named(Mark::Spiccato, "articulations", &["spiccato"]),
    named(Mark::Tenuto, "articulations", &["tenuto"]),
    named(Mark::DetachedLegato, "articulations", &["detached-legato"]),
    named(Mark::Accent, "articulations", &["accent"]),
    named(Mark::StrongAccent, "articulations", &["strong-accent"]),
    named(Mark::SoftAccent, "articulations", &["soft-accent"]),
    named(Mark::Stress, "articulations", &["stress"]),
    named(Mark::Unstress, "articulations", &["unstress"]),
    named(Mark::BreathMark, "articulations", &["breath-mark"]),
    named(Mark::Caesura, "articulations", &["caesura"]),
    named(Mark::OpenString, "technical", &["open-string"]),
    named(Mark::Harmonic, "technical", &["harmonic"]),
    named(Mark::SnapPizzicato, "technical", &["snap-pizzicato"]),
    named(Mark::LeftHandPizzicato, "technical", &["stopped"]),
    named(Mark::Trill, "ornaments", &["trill-mark", "shake"]),
    named(Mark::Mordent, "ornaments", &["mordent", "inverted-mordent"]),
    named(
        Mark::Turn,
        "ornaments",
        &[
            "turn",
            "delayed-turn",
            "inverted-turn",
            "delayed-inverted-turn",
            "vertical-turn",
            "inverted-vertical-turn",
        ],
    ),
    named(Mark::Fermata, "", &["fermata"]),
    named(Mark::Arpeggiate, "", &["arpeggiate"]),
    named(Mark::NonArpeggiate, "", &["non-arpeggiate"]),
];

/// The mark of a name in a group.
pub(super) fn mark_of(group: &str, name: &str) -> Option<Mark> {
    MARKS.iter().find(|known| known.group == group && known.names.contains(&name)).map(|known| known.mark)
}
