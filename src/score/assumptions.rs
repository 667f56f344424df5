//! What is assumed where a score leaves something open, in words.

use super::{Score, SignKind};

impl Score {
    /// What a player should know is assumed of this score: its tempo, its first dynamic, how its repeats
    /// are taken.
    pub fn assumptions(&self) -> Vec<&'static str> {
        let mut told = Vec::new();
        if !self.signs.iter().any(|sign| matches!(sign.kind, SignKind::Tempo { .. })) {
            told.push("No tempo is given; 120 quarter notes a minute are assumed.");
        }
        let first = self.events.iter().find(|event| !event.is_rest()).map(|event| event.onset);
        let marked =
            |at| self.signs.iter().any(|sign| sign.at <= at && matches!(sign.kind, SignKind::Dynamic(_)));
        if first.is_some_and(|at| !marked(at)) {
            told.push("No dynamic is given at the start; mf is assumed.");
        }
        if self.playing_order().len() > 1 {
            told.push("The bow is planned once through; playing takes the repeats.");
        }
        told
    }
}
