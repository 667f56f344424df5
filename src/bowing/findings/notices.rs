//! What was assumed or left out, in words.

use crate::{
    bowing::Plan,
    score::{Line, Score},
};

/// What a person should know about how a score was taken.
pub(super) fn notices(score: &Score, line: &Line, plan: &Plan) -> Vec<String> {
    let mut notices: Vec<String> = score.assumptions().into_iter().map(str::to_owned).collect();
    if line.left_out > 0 {
        let notes = match line.left_out {
            1 => "One note of another voice is".to_owned(),
            count => format!("{count} notes of other voices are"),
        };
        notices.push(format!("{notes} shown but not planned: one bow plays the first voice."));
    }
    if let Some(error) = &plan.error {
        notices.push(format!("No plan can be made: {error}. Check the figures of the set-up."));
    }
    notices
}
