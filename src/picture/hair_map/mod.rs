//! The hair map: where on the bow the music lies, on the time axis of the staff. The frog is at
//! the bottom, the tip at the top.

mod frame;
mod lines;
mod marks;
mod other;
mod pieces;

pub use other::OtherPath;

use kurbo::Rect;

use super::{Picture, System};
use crate::{
    analysis::{Analysis, Study},
    bowing::Verdict,
    score::Direction,
};

/// Size of words, mm.
const WORDS_MM: f64 = 2.7;
/// Height of a row of labels, mm.
const ROW_MM: f64 = 4.0;
/// Room over the tip and under the frog besides the rows, mm.
const EDGE_MM: f64 = 1.6;
/// Rows for words over the tip and under the frog, where the height must not change with the music.
const ROWS: (usize, usize) = (2, 1);

/// A drawn hair map and its scale.
#[derive(Clone, Debug)]
pub struct HairMap {
    /// The drawing.
    pub picture: Picture,
    /// y of the tip end of the hair, mm.
    pub tip_y_mm: f64,
    /// y of the frog end of the hair, mm.
    pub frog_y_mm: f64,
}

struct Map<'a> {
    study: &'a Study,
    system: &'a System,
    /// Left end of the plot, mm.
    left: f64,
    tip_y: f64,
    frog_y: f64,
    picture: Picture,
    /// Rows for words over the tip and under the frog.
    rows: (usize, usize),
    /// Size of type, mm.
    words_mm: f64,
    /// Boxes taken by labels.
    taken: Vec<Rect>,
}

/// Draws the hair map of a system. Names stand left of the first barline; the plot is `height_mm`
/// high. Two rows over it and one under it are kept for words; a finding whose words find no room
/// keeps its mark. Words grow by `type_factor` as far as the rows let them. With another path to
/// compare with, that one is shown in the place of the ways into run-outs.
pub fn hair_map(
    study: &Study,
    system: &System,
    other: Option<OtherPath<'_>>,
    height_mm: f64,
    type_factor: f64,
) -> HairMap {
    Map::new(study, system, height_mm, ROWS, WORDS_MM * type_factor.min(ROW_MM / WORDS_MM)).draw(other)
}

/// [`hair_map`] with only as many rows for words as this system can use.
pub(super) fn fitting_hair_map(
    study: &Study,
    system: &System,
    other: Option<OtherPath<'_>>,
    height_mm: f64,
) -> HairMap {
    Map::new(study, system, height_mm, fitting_rows(study.analysis(), system), WORDS_MM).draw(other)
}

/// Height of everything on a fitting hair map but the hair, mm.
pub(super) fn fitting_words_mm(study: &Study, system: &System) -> f64 {
    words_mm(fitting_rows(study.analysis(), system))
}

/// Rows for words over the tip and under the frog that a system can use.
fn fitting_rows(analysis: &Analysis, system: &System) -> (usize, usize) {
    let (mut over, mut under) = (0, 0);
    let here = analysis.findings.between(system.from, system.to).filter(|(_, more)| more.is_none());
    for finding in here.map(|(index, _)| &analysis.findings.told[index]) {
        match finding.verdict {
            Verdict::Impossible => over += 1,
            Verdict::RunsOut if runs_down(analysis, finding.note) => over += 1,
            Verdict::RunsOut => under += 1,
            Verdict::Tight | Verdict::Notice => {}
        }
    }
    (over.min(ROWS.0), under.min(ROWS.1))
}

fn words_mm(rows: (usize, usize)) -> f64 {
    ROW_MM * (rows.0 + rows.1) as f64 + 2.0 * EDGE_MM
}

/// True where the hair ends at the tip.
fn runs_down(analysis: &Analysis, note: usize) -> bool {
    let bowed = analysis.bowed_of(note);
    bowed.is_none_or(|k| analysis.bowed(k).direction == Direction::Down)
}

impl<'a> Map<'a> {
    fn new(study: &'a Study, system: &'a System, height_mm: f64, rows: (usize, usize), type_mm: f64) -> Self {
        let tip_y = ROW_MM * rows.0 as f64 + EDGE_MM;
        Self {
            study,
            system,
            left: system.music_left_mm(),
            tip_y,
            frog_y: tip_y + height_mm,
            picture: Picture::new(system.right_mm, height_mm + words_mm(rows)),
            rows,
            words_mm: type_mm,
            taken: Vec::new(),
        }
    }

    /// From back to front.
    fn draw(mut self, other: Option<OtherPath<'_>>) -> HairMap {
        let pieces = self.pieces(self.study.analysis());
        self.impossible_stretches(&pieces);
        self.corridor(&pieces);
        self.grid();
        let apart = match other {
            Some(other) => self.other(&other),
            None => {
                self.ghost(&pieces);
                Vec::new()
            }
        };
        self.plan(&pieces);
        self.settled(&pieces);
        self.pins();
        self.findings();
        if let Some(other) = other {
            self.other_words(&other, &apart);
        }
        HairMap { picture: self.picture, tip_y_mm: self.tip_y, frog_y_mm: self.frog_y }
    }

    fn y(&self, hair_mm: f64) -> f64 {
        let hair = self.study.lesson().setup.bow.hair_mm.max(1.0);
        self.frog_y + (self.tip_y - self.frog_y) * hair_mm / hair
    }
}
