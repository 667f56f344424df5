//! The player drawn last, so that what does not change is not made again.

use crate::{
    analysis::{Study, StudyId},
    figure::{Mannequin, Sitter},
    picture::{ArmFigure, Picture, arm_figure},
};

/// The player of a study and the drawings of it shown last.
#[derive(Default)]
pub struct FigureCache {
    sitter: Option<(StudyId, Sitter)>,
    drawn: Vec<(ArmFigure, Picture)>,
}

/// Drawings kept: the small one and the large one.
const MOST: usize = 2;

impl FigureCache {
    /// The drawing of a figure.
    pub fn draw(&mut self, study: &Study, figure: &ArmFigure) -> &Picture {
        let id = study.id();
        if self.sitter.as_ref().is_none_or(|(of, _)| *of != id) {
            let mannequin = Mannequin::new(&study.lesson().setup, &study.analysis().arm_path.arm);
            self.sitter = Some((id, Sitter::new(mannequin)));
            self.drawn.clear();
        }
        let known = self.drawn.iter().position(|(drawn, _)| drawn == figure);
        let entry = match (known, &mut self.sitter) {
            (Some(index), _) => self.drawn.remove(index),
            (None, Some((_, sitter))) => (*figure, arm_figure(study, sitter, figure)),
            (None, None) => (*figure, Picture::new(figure.size_mm.0, figure.size_mm.1)),
        };
        if self.drawn.len() >= MOST {
            self.drawn.remove(0);
        }
        self.drawn.push(entry);
        &self.drawn[self.drawn.len() - 1].1
    }
}
