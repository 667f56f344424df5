//! What frames the lines of the hair map: grid and names of places.

use super::Map;
use crate::picture::{Anchor, Face, Ink, Pen};

impl Map<'_> {
    pub(super) fn grid(&mut self) {
        let (l, r) = (self.left, self.system.right_mm);
        let hair = self.study.lesson().setup.bow.hair_mm;
        for share in [1.0 / 3.0, 2.0 / 3.0] {
            let y = self.y(share * hair);
            self.picture.line((l, y), (r, y), Pen::dotted(Ink::Rule, 0.25));
        }
        for share in [0.0, 0.5, 1.0] {
            let y = self.y(share * hair);
            self.picture.line((l, y), (r, y), Pen::solid(Ink::Rule, 0.3));
        }
        let bars = &self.study.lesson().score.bars;
        let first = bars.partition_point(|bar| bar.start < self.system.from);
        let edges = bars[first..].iter().take_while(|bar| bar.start < self.system.to).map(|bar| bar.start);
        let edges = edges.filter(|at| self.system.axis.has_barline(*at));
        for x in edges.map(|at| self.system.axis.barline_x(at)).chain([r]).collect::<Vec<_>>() {
            self.picture.line((x, self.tip_y), (x, self.frog_y), Pen::solid(Ink::Rule, 0.3));
        }
        for (share, name, first_rank) in [
            (1.0, "tip", true),
            (0.75, "upper half", false),
            (0.5, "middle", true),
            (0.25, "lower half", false),
            (0.0, "frog", true),
        ] {
            let (ink, size) =
                if first_rank { (Ink::Text, self.words_mm) } else { (Ink::Faint, 0.85 * self.words_mm) };
            let at = (l - 1.6, self.y(share * hair) + 0.36 * size);
            self.picture.text(at, name, size, (Face::Sans, Anchor::End, ink));
        }
        // Hair that this player does not use.
        let (lo, hi) = self.study.analysis().plan.problem.usable;
        for (a, b) in [(0.0, lo), (hi, hair)] {
            if b - a > 0.03 * hair {
                let edge = if a == 0.0 { b } else { a };
                let y = self.y(edge);
                self.picture.line((l, y), (r, y), Pen::dashed(Ink::Faint, 0.18));
            }
        }
    }
}
