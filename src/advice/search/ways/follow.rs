//! A bowing changed at some notes, all that follows going on from it.

use super::super::{
    choice::{Choice, Choices, Link},
    field::Field,
};

/// A bowing with these changes; where what follows cannot go on otherwise, as it was, hooked or retaken where
/// the chosen notes end.
pub(super) fn follow(field: &Field, bowing: &[Choice], changes: &[(usize, Choice)]) -> Option<Choices> {
    let last = changes.iter().map(|(k, _)| *k).max()?;
    let seam = field.behind_chosen().filter(|seam| *seam > last);
    let again = seam.into_iter().flat_map(|seam| {
        let links = [field.present()[seam].link, Link::Hook, Link::Retake].into_iter();
        let open = links.filter(move |link| field.links(seam).contains(link));
        open.filter_map(move |link| {
            let with_seam = [changes, &[(seam, Choice { link, ..bowing[seam] })]].concat();
            field.changed(bowing, &with_seam)
        })
    });
    field.changed(bowing, changes).into_iter().chain(again).next()
}

/// The same links at all these notes, the directions following on; none where there are no such notes.
pub(super) fn linked(
    field: &Field,
    bowing: &[Choice],
    notes: impl IntoIterator<Item = usize>,
    link: Link,
) -> Option<Choices> {
    let changes: Vec<_> = notes.into_iter().map(|k| (k, Choice { link, ..bowing[k] })).collect();
    follow(field, bowing, &changes)
}
