//! A passage in small: the staff over the hair map, for bowings side by side.

use super::{
    Engraving, OtherPath, Picture, System, TimeAxis, hair_map::fitting_hair_map, header_width_mm,
    staff::staff,
};
use crate::{analysis::Study, bowing::Density, score::Bar};

/// Room for the names at the left of the hair map, mm.
const NAMES_MM: f64 = 17.0;
/// A passage is stretched at most by this factor.
const MOST_STRETCH: f64 = 1.35;

/// Draws as many whole bars as `width_mm` holds, from the bar with index `first` on and at least one;
/// the hair is `hair_mm` high.
pub fn passage(
    study: &Study,
    other: Option<OtherPath<'_>>,
    first: usize,
    width_mm: f64,
    hair_mm: f64,
) -> Picture {
    let lesson = study.lesson();
    let engraving = Engraving::new(&lesson.score);
    let axis = TimeAxis::new(&lesson.score, &engraving);
    let bars = &lesson.score.bars;
    let Some(bar) = bars.get(first) else { return Picture::new(width_mm, hair_mm) };
    let left = header_width_mm(&lesson.score, first).max(NAMES_MM);
    let wide = |end: &Bar| axis.barline_x(end.end()) - axis.barline_x(bar.start);
    let count = bars[first..].iter().take_while(|end| left + wide(end) <= width_mm).count().max(1);
    let last = &bars[first + count - 1];
    let (from, to) = (bar.start, last.end());
    let right_mm = width_mm.min(left + wide(last) * MOST_STRETCH).max(left + 10.0);
    let system = System::fitted(&axis, (from, to), 0.0, (left, right_mm));
    let staff = staff(study, &engraving, &system, Density::None, 1.0).picture;
    let map = fitting_hair_map(study, &system, other, hair_mm).picture;
    let staff_mm = staff.height_mm;
    let mut whole = Picture::new(width_mm, staff_mm + map.height_mm);
    whole.place(staff, (0.0, 0.0));
    whole.place(map, (0.0, staff_mm));
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{lesson::demo::demo, picture::Tag};

    #[test]
    fn whole_bars_are_drawn_from_the_one_that_is_asked_for() {
        let study = Study::new(demo());
        let score = &study.lesson().score;
        let picture = passage(&study, None, 4, 110.0, 20.0);
        let bars: std::collections::BTreeSet<usize> = picture
            .items
            .iter()
            .filter_map(|item| match item.tag() {
                Some(Tag::Event(id)) => score.bar_at(score.event(id)?.onset),
                _ => None,
            })
            .collect();
        assert_eq!(bars.first(), Some(&4));
        assert!(bars.len() >= 2, "two short bars go on 11 cm");
        let inside = |item: &crate::picture::Item| item.bounds().is_none_or(|b| b.x1 <= 110.5);
        assert!(picture.items.iter().all(inside));
    }

    #[test]
    fn past_the_end_nothing_is_drawn() {
        assert!(passage(&Study::new(demo()), None, 99, 100.0, 20.0).items.is_empty());
    }
}
