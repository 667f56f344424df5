//! What MusicXML calls things, as the words and numbers of a score.

use super::{
    tree::Node,
    xml::{elements, text},
};

/// Longest text kept from one direction, characters. Assumed.
pub(super) const WORDS_LIMIT: usize = 500;

/// Most marks in one `<dynamics>` element. Assumed: real ones have one or two.
const DYNAMICS_LIMIT: usize = 8;

/// The marks in a `<dynamics>` element: "p", "sfz", or any text.
pub(super) fn dynamic_texts(node: Node<'_, '_>) -> Vec<String> {
    let own = |item: Node<'_, '_>| match item.name() {
        "other-dynamics" => text(item).chars().take(WORDS_LIMIT).collect(),
        name => name.to_owned(),
    };
    elements(node).take(DYNAMICS_LIMIT).map(own).filter(|mark: &String| !mark.is_empty()).collect()
}

/// Note types by their names in MusicXML, as powers of two in whole notes.
pub(super) fn log2_whole(name: &str) -> Option<i8> {
    Some(match name {
        "1024th" => -10,
        "512th" => -9,
        "256th" => -8,
        "128th" => -7,
        "64th" => -6,
        "32nd" => -5,
        "16th" => -4,
        "eighth" => -3,
        "quarter" => -2,
        "half" => -1,
        "whole" => 0,
        "breve" => 1,
        "long" => 2,
        "maxima" => 3,
        _ => return None,
    })
}
