//! Pages: systems of staff, hair map and levels, broken at barlines, with title and legend.

use kurbo::{Point, Rect};

use super::{
    About, Anchor, Engraving, Face, Ink, Pen, Picture, System, TimeAxis, hair_map,
    hair_map::{OtherPath, Sample, legend},
    header_width_mm, level_lanes,
    path::polygon,
    staff,
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
/// Legend: size of its words, distance of its rows, room for a sample, for the page number.
const LEGEND_MM: f64 = 2.5;
const LEGEND_ROW_MM: f64 = 3.6;
const SAMPLE_MM: f64 = 8.2;
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
        let rows = legend_rows(right - left - NUMBER_MM, self.other.map(|other| other.words)).len();
        FOOT_MM + LEGEND_ROW_MM * (rows - 1) as f64
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
        let lesson = self.study.lesson();
        let axis = TimeAxis::new(&lesson.score, &self.engraving);
        let (left, right) = self.sides();
        let bars = &lesson.score.bars;
        let mut systems = Vec::new();
        let mut first = 0;
        while first < bars.len() {
            let room = right - left - head_room(lesson, first);
            let start = axis.barline_x(bars[first].start);
            let fits = |bar: &Bar| axis.barline_x(bar.end()) - start + axis.notice_mm(bar.end()) <= room;
            let count = bars[first..].iter().take_while(|bar| fits(bar)).count().max(1);
            // A rest of several bars stays whole.
            let count = match self.engraving.rest_of(first + count) {
                Some(run) if run.start > first => run.start - first,
                Some(run) if run.start == first || run.contains(&first) => run.end - first,
                _ => count,
            };
            systems.push(self.system(&axis, bars[first].start, bars[first + count - 1].end()));
            first += count;
        }
        if systems.is_empty() {
            systems.push(self.system(&axis, Quarters::ZERO, lesson.score.end().max(Quarters::ONE)));
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
    let legend = if index == 0 { legend_rows(right - left - NUMBER_MM, other) } else { Vec::new() };
    let rule = y - 4.4 - LEGEND_ROW_MM * legend.len().saturating_sub(1) as f64;
    page.line((left, rule), (right, rule), Pen::solid(Ink::Rule, 0.25));
    if index > 0 {
        page.text((left, y), lesson.score.title.clone(), 2.8, (Face::Sans, Anchor::Start, Ink::Faint));
    }
    for (row, samples) in legend.iter().enumerate() {
        let y = y - LEGEND_ROW_MM * (legend.len() - 1 - row) as f64;
        for (x, sample, words) in samples {
            draw_sample(page, sample, Point::new(left + x, y - 0.9));
            let style = (Face::Sans, Anchor::Start, Ink::Faint);
            page.text((left + x + SAMPLE_MM, y), *words, LEGEND_MM, style);
        }
    }
    page.text((right, y), format!("{} / {count}", index + 1), 2.8, (Face::Sans, Anchor::End, Ink::Faint));
}

/// The legend in rows of at most this width: (left end, sample, words).
fn legend_rows(width: f64, other: Option<&str>) -> Vec<Vec<(f64, Sample, &str)>> {
    let mut rows = vec![Vec::new()];
    let mut x = 0.0;
    for (sample, words) in legend(other) {
        let wide = SAMPLE_MM + super::glyph::text_width_mm(words, LEGEND_MM, Face::Sans);
        if x > 0.0 && x + wide > width {
            rows.push(Vec::new());
            x = 0.0;
        }
        if let Some(row) = rows.last_mut() {
            row.push((x, sample, words));
        }
        x += wide + 4.5;
    }
    rows
}

fn draw_sample(page: &mut Picture, sample: &Sample, at: Point) {
    match sample {
        Sample::Line(pen) => page.line(at, at + (7.0, 0.0), *pen),
        Sample::Band => page.fill(Rect::new(at.x, at.y - 1.2, at.x + 7.0, at.y + 1.2), Ink::Corridor),
        Sample::Warning => {
            let corners = [(3.7, 1.4), (5.2, -1.3), (6.7, 1.4)].map(|by| at + by);
            page.stroke(polygon(corners), Pen::solid(Ink::Warn, 0.35));
        }
        Sample::Diamond => {
            let corners = [(4.5, 0.0), (5.6, -1.1), (6.7, 0.0), (5.6, 1.1)].map(|by| at + by);
            page.stroke(polygon(corners), Pen::solid(Ink::Warn, 0.35));
        }
    }
}

#[cfg(test)]
mod tests {
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
