//! What may cure a finding: each maker proposes the changes of one idea, the best first. Nothing is
//! analysed here.

pub(super) mod double;
pub(super) mod dynamic;
pub(super) mod inside;
pub(super) mod join;
pub(super) mod own;
pub(super) mod place;
pub(super) mod retake;
pub(super) mod returns;
pub(super) mod speed;
pub(super) mod split;
pub(super) mod stroke;
pub(super) mod tempo;
pub(super) mod turn;
