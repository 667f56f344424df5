//! What is changed once, changed wherever the figure stands.

use std::collections::BTreeMap;

use super::{
    super::{
        choice::{Choice, Choices, Link},
        field::Field,
    },
    follow::follow,
};

/// A bowing with what is changed at one of its chosen notes changed so at all that stand in a like place.
pub(in super::super) fn everywhere(
    field: &Field,
    like: &[Option<usize>],
    bowing: &[Choice],
) -> Option<Choices> {
    let now = field.present();
    // The first note of each set of like ones, and the link of the first that is changed.
    let mut heads: Vec<usize> = Vec::with_capacity(now.len());
    let mut changed: BTreeMap<usize, Link> = BTreeMap::new();
    for k in 0..now.len() {
        heads.push(like[k].filter(|&like| now[like].link == now[k].link).map_or(k, |like| heads[like]));
        if field.is_chosen(k) && bowing[k].link != now[k].link {
            changed.entry(heads[k]).or_insert(bowing[k].link);
        }
    }
    let link = |k: usize| changed.get(&heads[k]).copied().filter(|link| field.links(k).contains(link));
    let alike = (0..now.len()).filter(|&k| field.is_chosen(k)).filter_map(|k| Some((k, link(k)?)));
    let changes: Vec<(usize, Choice)> = alike
        .filter(|(k, link)| bowing[*k].link != *link)
        .map(|(k, link)| (k, Choice { link, ..bowing[k] }))
        .collect();
    follow(field, bowing, &changes)
}
