//! Pages: systems of staff, hair map and levels, broken at barlines, with title and legend.

use super::{
    About, Anchor, Engraving, Face, Ink, Pen, Picture, System, TimeAxis,
    breaking::lines_of_bars,
    hair_map,
    hair_map::OtherPath,
    header_width_mm,
    legend::{ROW_MM, Sign, legend},
    level_lanes, staff,
};
use crate::{
    analysis::Study,
    bowing::Density,
    lesson::Lesson,
    score::{Bar, Quarters},
};

/// Size of a page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
}

impl Paper {
    /// A4 upright (ISO 216: 210 by 297 mm).
    pub const A4_PORTRAIT: Self = Self { width_mm: 210.0, height_mm: 297.0 };
    /// A4 on its side.
    pub const A4_LANDSCAPE: Self = Self { width_mm: 297.0, height_mm: 210.0 };
    /// US letter upright (8.5 by 11 inches).
    pub const LETTER_PORTRAIT: Self = Self { width_mm: 215.9, height_mm: 279.4 };
    /// US letter on its side.
    pub const LETTER_LANDSCAPE: Self = Self { width_mm: 279.4, height_mm: 215.9 };
}

const MARGIN_MM: f64 = 13.0;
const FOOT_MM: f64 = 13.5;
/// Room for the page number, mm.
const NUMBER_MM: f64 = 14.0;
/// Room for the names at the left of the hair map; the staff starts there too.
const NAMES_MM: f64 = 15.0;
/// Least and greatest height of the hair maps; they grow to fill the page.
const HAIR_MM: (f64, f64) = (28.0, 46.0);
const SYSTEM_GAP_MM: f64 = 6.0;
/// A last system is stretched at most by this factor.
const LAST_STRETCH: f64 = 1.25;

/// Lays a lesson out on pages: title, systems with some of their pencil marks, legend and page numbers.
/// Another version to compare with is shown on the hair maps. Each page is drawn when it is asked for, so
/// that of a long part no more than one is held.
pub fn sheet<'a>(
    study: &'a Study,
    other: Option<OtherPath<'a>>,
    paper: Paper,
    pencil: Density,
) -> Sheets<'a> {
    let book = Book { study, other, engraving: Engraving::new(&study.lesson().score), paper, pencil };
    let pages = book.pages();
    Sheets { book, count: pages.len(), pages: pages.into_iter() }
}

/// The pages of a lesson, drawn one after the other.
pub struct Sheets<'a> {
    book: Book<'a>,
    count: usize,
    pages: std::vec::IntoIter<Vec<System>>,
}

impl Iterator for Sheets<'_> {
    type Item = Picture;

    fn next(&mut self) -> Option<Picture> {
        let index = self.count - self.pages.len();
        let systems = self.pages.next()?;
        Some(self.book.page(systems, index, self.count))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        self.pages.size_hint()
    }
}

impl ExactSizeIterator for Sheets<'_> {}

/// What a page shows that goes from one time to another.
fn about(lesson: &Lesson, ends: Option<(Quarters, Quarters)>, other: Option<&str>) -> About {
    let index = |time| lesson.score.bars.partition_point(|bar| bar.start < time);
    let bars = ends.and_then(|(from, to)| lesson.score.bars.get(index(from)..index(to)));
    let place = match bars.unwrap_or_default() {
        [] => String::new(),
        [only] => format!("Bar {}", only.number),
        [first, .., last] => format!("Bars {} to {}", first.number, last.number),
    };
    let other = other.map_or_else(String::new, |other| format!(" beside that of the {other}"));
    let shown =
        format!("the staff, the planned way of the bow between frog and tip{other}, the levels of the arm");
    About { music: name(lesson).to_owned(), place, shown }
}

fn name(lesson: &Lesson) -> &str {
    let title = lesson.score.title.trim();
    if title.is_empty() { "Untitled" } else { title }
}

fn head_room(lesson: &Lesson, bar: usize) -> f64 {
    header_width_mm(&lesson.score, bar).max(NAMES_MM)
}

/// What all pages are drawn from.
struct Book<'a> {
    study: &'a Study,
    other: Option<OtherPath<'a>>,
    engraving: Engraving,
    paper: Paper,
    pencil: Density,
}

/// A system drawn but for its hair map, whose height depends on the page.
struct Line {
    system: System,
    staff: Picture,
    lanes: Picture,
    words_mm: f64,
}

impl Line {
    fn least_height_mm(&self) -> f64 {
        self.staff.height_mm + self.words_mm + HAIR_MM.0 + self.lanes.height_mm
    }
}

impl Book<'_> {
    /// Left and right end of what is printed.
    fn sides(&self) -> (f64, f64) {
        (MARGIN_MM, self.paper.width_mm - MARGIN_MM)
    }

    /// Height of the margin at the foot of a page with all that stands there.
    fn foot_mm(&self) -> f64 {
        let (left, right) = self.sides();
        let other = self.other.map(|other| other.words);
        FOOT_MM + legend(&Sign::OF_SHEETS, other, right - left - NUMBER_MM).height_mm - ROW_MM
    }

    /// The systems of each page: as many as go there at the least height of the hair maps.
    fn pages(&self) -> Vec<Vec<System>> {
        let bottom = self.paper.height_mm - self.foot_mm();
        let mut pages: Vec<Vec<System>> = Vec::new();
        let mut y = f64::INFINITY;
        for system in self.systems() {
            let height = self.line(system.clone()).least_height_mm();
            match pages.last_mut().filter(|_| y + height <= bottom) {
                Some(page) => page.push(system),
                None => {
                    y = if pages.is_empty() { TITLE_END_MM } else { MARGIN_MM };
                    pages.push(vec![system]);
                }
            }
            y += height + SYSTEM_GAP_MM;
        }
        pages
    }

    /// Draws a page; the hair maps fill what room there is.
    fn page(&self, systems: Vec<System>, index: usize, count: usize) -> Picture {
        let lesson = self.study.lesson();
        let words = self.other.map(|other| other.words);
        let mut page = Picture::new(self.paper.width_mm, self.paper.height_mm);
        let ends = systems.first().zip(systems.last()).map(|(first, last)| (first.from, last.to));
        page.about = about(lesson, ends, words);
        let mut y = if index == 0 { title(&mut page, lesson) } else { MARGIN_MM };
        let lines: Vec<Line> = systems.into_iter().map(|system| self.line(system)).collect();
        let used: f64 = lines.iter().map(|line| line.least_height_mm() + SYSTEM_GAP_MM).sum();
        let room = self.paper.height_mm - self.foot_mm() - y;
        let spare = (room - used + SYSTEM_GAP_MM).max(0.0) / lines.len().max(1) as f64;
        let hair_mm = (HAIR_MM.0 + spare).min(HAIR_MM.1);
        for line in lines {
            y += self.place(&mut page, line, hair_mm, y) + SYSTEM_GAP_MM;
        }
        foot(&mut page, lesson, words, index, count);
        page
    }

    /// Whole bars that fit the width, left to right.
    fn systems(&self) -> Vec<System> {
        let score = &self.study.lesson().score;
        let axis = TimeAxis::new(score, &self.engraving);
        let (left, right) = self.sides();
        let room = |first: usize| right - left - head_room(self.study.lesson(), first);
        let lines = lines_of_bars(score, &self.engraving, &axis, 0..score.bars.len(), &room);
        let spans = lines.iter().filter_map(|bars| score.span_of(bars));
        let systems: Vec<System> = spans.map(|span| self.system(&axis, span.start, span.end)).collect();
        if systems.is_empty() {
            return vec![self.system(&axis, Quarters::ZERO, score.end().max(Quarters::ONE))];
        }
        systems
    }

    /// A system over the whole width; the last one is not stretched much.
    fn system(&self, axis: &TimeAxis, from: Quarters, to: Quarters) -> System {
        let lesson = self.study.lesson();
        let bar = lesson.score.bar_at(from).unwrap_or(0);
        let (left_mm, right) = self.sides();
        let start = left_mm + head_room(lesson, bar);
        let natural = axis.barline_x(to) - axis.barline_x(from);
        let is_last = to >= lesson.score.bars.last().map_or(Quarters::ZERO, Bar::end);
        let right_mm = if is_last { right.min(start + natural * LAST_STRETCH) } else { right };
        System::fitted(axis, (from, to), left_mm, (start, right_mm))
    }

    fn line(&self, system: System) -> Line {
        Line {
            staff: staff(self.study, &self.engraving, &system, self.pencil, 1.0).picture,
            lanes: level_lanes(self.study, &system),
            words_mm: hair_map::fitting_words_mm(self.study, &system),
            system,
        }
    }

    /// Puts a line on a page; gives its height.
    fn place(&self, page: &mut Picture, line: Line, hair_mm: f64, top: f64) -> f64 {
        let map = hair_map::fitting_hair_map(self.study, &line.system, self.other, hair_mm);
        let mut y = top;
        for part in [line.staff, map.picture, line.lanes] {
            let height = part.height_mm;
            page.place(part, (0.0, y));
            y += height;
        }
        y - top
    }
}

/// y of the title line and below it, mm.
const TITLE_MM: f64 = MARGIN_MM + 5.0;
const TITLE_END_MM: f64 = TITLE_MM + 6.0;

/// Title line; gives the y below it.
fn title(page: &mut Picture, lesson: &Lesson) -> f64 {
    let (left, right) = (MARGIN_MM, page.width_mm - MARGIN_MM);
    let y = TITLE_MM;
    page.text((left, y), name(lesson), 6.4, (Face::SansBold, Anchor::Start, Ink::Text));
    let setup = &lesson.setup;
    let tempo = if (setup.tempo_share - 1.0).abs() > 1e-9 {
        format!(" · practice tempo {:.0} %", setup.tempo_share * 100.0)
    } else {
        String::new()
    };
    let part = if lesson.score.part.trim().is_empty() { "" } else { lesson.score.part.as_str() };
    let dot = if part.is_empty() { "" } else { " · " };
    let words = format!(
        "{part}{dot}{} {} · {:.0} cm of hair · {}{tempo}",
        setup.instrument.family.word(),
        setup.instrument.size,
        setup.bow.hair_mm / 10.0,
        setup.player.name
    );
    page.text((right, y), words, 3.0, (Face::Sans, Anchor::End, Ink::Faint));
    TITLE_END_MM
}

fn foot(page: &mut Picture, lesson: &Lesson, other: Option<&str>, index: usize, count: usize) {
    let y = page.height_mm - 7.0;
    let (left, right) = (MARGIN_MM, page.width_mm - MARGIN_MM);
    let signs = if index == 0 { &Sign::OF_SHEETS[..] } else { &[] };
    let legend = legend(signs, other, right - left - NUMBER_MM);
    let rule = y - 4.4 - (legend.height_mm - ROW_MM).max(0.0);
    page.line((left, rule), (right, rule), Pen::solid(Ink::Rule, 0.25));
    if index > 0 {
        page.text((left, y), lesson.score.title.clone(), 2.8, (Face::Sans, Anchor::Start, Ink::Faint));
    }
    let top = y - legend.height_mm;
    page.place(legend, (left, top));
    page.text((right, y), format!("{} / {count}", index + 1), 2.8, (Face::Sans, Anchor::End, Ink::Faint));
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::{
        lesson::demo::demo,
        picture::{Item, Tag, Theme, svg},
        score::Score,
        setup::Family,
    };

    #[test]
    fn everything_lies_on_the_page_and_words_do_not_overlap() {
        let study = Study::new(demo());
        for paper in [Paper::A4_LANDSCAPE, Paper::A4_PORTRAIT, Paper::LETTER_PORTRAIT] {
            for page in sheet(&study, None, paper, Density::All) {
                let boxes: Vec<_> = page.items.iter().map(Item::bounds).collect();
                for (item, bounds) in page.items.iter().zip(&boxes) {
                    let Some(bounds) = *bounds else { continue };
                    let all = Rect::new(0.0, 0.0, paper.width_mm, paper.height_mm);
                    assert!(all.contains_rect(bounds), "{item:?} at {bounds:?}");
                }
                let words: Vec<_> = page
                    .items
                    .iter()
                    .zip(&boxes)
                    .filter(|(item, _)| matches!(item, Item::Text { .. }))
                    .filter_map(|(item, bounds)| Some((item, (*bounds)?)))
                    .collect();
                for (i, (one, a)) in words.iter().enumerate() {
                    for (other, b) in &words[..i] {
                        // Names of neighbouring lanes may touch within the height of their boxes.
                        let shared = a.inflate(0.0, -0.4).intersect(b.inflate(0.0, -0.4));
                        assert!(shared.is_zero_area(), "{one:?} and {other:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn every_note_and_boundary_can_be_clicked() {
        let study = Study::new(demo());
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let pages = sheet(&study, None, Paper::A4_LANDSCAPE, Density::All);
        let tags: Vec<Tag> = pages.flat_map(|page| page.items).filter_map(|item| item.tag()).collect();
        for event in &lesson.score.events {
            assert!(tags.contains(&Tag::Event(event.id)), "{:?}", event.id);
        }
        for bowed in &analysis.bowing.notes {
            assert!(tags.contains(&Tag::Boundary(bowed.note)), "note {}", bowed.note);
        }
        for pin in &lesson.pins {
            assert!(tags.contains(&Tag::Pin(pin.id)));
        }
    }

    #[test]
    fn the_same_lesson_gives_the_same_bytes() {
        let lesson = demo();
        let draw = || {
            let study = Study::new(lesson.clone());
            let pages = sheet(&study, None, Paper::A4_LANDSCAPE, Density::All);
            pages.map(|page| svg::write(&page, &Theme::PRINT)).collect::<Vec<_>>()
        };
        assert_eq!(draw(), draw());
    }

    #[test]
    fn an_empty_lesson_gives_a_page() {
        let lesson = Lesson::new(Score::default(), Family::Cello);
        let study = Study::new(lesson);
        let mut pages = sheet(&study, None, Paper::A4_PORTRAIT, Density::All);
        assert_eq!(pages.len(), 1);
        let page = pages.next().unwrap();
        assert!(pages.next().is_none() && !svg::write(&page, &Theme::LIGHT).contains("NaN"));
    }
}
