//! Bowings of the first notes, and which of them compete.

use crate::score::Direction;

use super::super::choice::Link;

/// Labels compete within so much hair, mm. Assumed.
pub(super) const BIN_MM: f64 = 20.0;

/// A bowing of the first notes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Label {
    pub cost: f64,
    pub place: f64,
    /// Where the bow is if played as marked.
    pub marked: f64,
    pub ran_out: bool,
    pub ratio: f64,
    /// Stands for all choices made; labels with the same are the same bowing.
    pub choices: u64,
    /// The stroke that led here: first note, how it was reached, direction, how new notes are joined.
    pub first: u32,
    pub link: Link,
    pub direction: Direction,
    pub joint: Link,
    /// The label before it, in the column of `first`.
    pub before: u32,
}

impl Label {
    /// Before the first note: the bow may be set anywhere.
    pub fn open(place: f64) -> Self {
        Self {
            cost: 0.0,
            place,
            marked: place,
            ran_out: false,
            ratio: 1.0,
            choices: 0,
            first: 0,
            link: Link::Set,
            direction: Direction::Down,
            joint: Link::Joined,
            before: 0,
        }
    }
}

/// The labels that end before one note.
#[derive(Default)]
pub(super) struct Column {
    /// By direction and place; each sorted by cost.
    bins: Vec<Vec<Label>>,
    /// All of them, when nothing more comes.
    pub done: Vec<Label>,
}

impl Column {
    pub fn insert(&mut self, label: Label, keep: usize) {
        let bin = 2 * (label.place / BIN_MM).max(0.0) as usize + label.direction as usize;
        if self.bins.len() <= bin {
            self.bins.resize_with(bin + 1, Vec::new);
        }
        let labels = &mut self.bins[bin];
        if labels.len() >= keep && labels.last().is_some_and(|worst| worst.cost <= label.cost) {
            return;
        }
        if let Some(same) = labels.iter().position(|other| other.choices == label.choices) {
            if labels[same].cost <= label.cost {
                return;
            }
            labels.remove(same);
        }
        let at = labels.partition_point(|other| other.cost <= label.cost);
        labels.insert(at, label);
        labels.truncate(keep);
    }

    /// The best labels, by cost.
    pub fn labels(&mut self, most: usize) -> Vec<Label> {
        let mut labels: Vec<Label> = std::mem::take(&mut self.bins).into_iter().flatten().collect();
        labels.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(a.choices.cmp(&b.choices)));
        labels.truncate(most);
        labels
    }
}
