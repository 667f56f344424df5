//! What was assumed or left out, in words.

use crate::{
    bowing::Plan,
    score::{Line, Score, SignKind},
};

/// What a person should know about how a score was taken.
pub(super) fn notices(score: &Score, line: &Line, plan: &Plan) -> Vec<String> {
    let signs = &score.signs;
    let mut notices = Vec::new();
    if !signs.iter().any(|sign| matches!(sign.kind, SignKind::Tempo { .. })) {
        notices.push("No tempo is given; 120 quarter notes a minute are assumed.".to_owned());
    }
    let first = score.events.iter().find(|event| !event.is_rest()).map(|event| event.onset);
    let marked = |at| signs.iter().any(|sign| sign.at <= at && matches!(sign.kind, SignKind::Dynamic(_)));
    if first.is_some_and(|at| !marked(at)) {
        notices.push("No dynamic is given at the start; mf is assumed.".to_owned());
    }
    if score.bars.iter().any(|bar| bar.repeat_start || bar.repeat_end) {
        notices.push("Repeats are planned as written, once through.".to_owned());
    }
    if line.left_out > 0 {
        notices.push(format!(
            "{} notes of other voices are shown but not planned: one bow plays the first voice.",
            line.left_out
        ));
    }
    if let Some(error) = &plan.error {
        notices.push(format!("No plan can be made: {error}. Check the figures of the set-up."));
    }
    notices
}
