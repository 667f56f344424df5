//! Drawings of whole real parts and of the MusicXML test suite: no panic, a sane size, nothing off
//! the page.
//!
//! Parts: string quartets, CC0, and the MusicXML test suite, in `shared/data` beside the checkout.

use std::path::Path;

use elbowroom::{
    analysis::Study,
    bowing::Density,
    exchange::musicxml,
    lesson::{Lesson, demo::demo},
    picture::{Dash, Engraving, Ink, Item, Paper, Picture, System, Tag, Theme, TimeAxis, sheet, staff, svg},
    score::Quarters,
    setup::Family,
};

use kurbo::{BezPath, ParamCurve as _, ParamCurveArclen as _, Rect};

use crate::data::files;

/// The part for `instrument`, or the likely one.
pub fn lesson_of(path: &Path, instrument: &str) -> Option<Lesson> {
    let document = musicxml::open(&std::fs::read(path).ok()?).ok()?;
    let part = document.find_part(instrument).unwrap_or_else(|_| document.likely_part());
    let imported = document.read(part).ok()?;
    Some(Lesson::new(imported.score, imported.instrument.unwrap_or(Family::Viola)))
}

fn check_pages(lesson: &Lesson, name: &str) -> Vec<Picture> {
    let paper = Paper::A4_LANDSCAPE;
    let study = Study::new(lesson.clone());
    let pages: Vec<Picture> = sheet(&study, None, paper, Density::All).collect();
    for (number, page) in pages.iter().enumerate() {
        for item in &page.items {
            let Some(at) = item.bounds() else { continue };
            assert!(at.is_finite(), "{name}, page {number}: {item:?}");
            // Words of a file may be longer than any line.
            if matches!(item, Item::Text { .. }) {
                continue;
            }
            let inside = at.x0 > -1.0 && at.x1 < paper.width_mm + 1.0;
            assert!(inside, "{name}, page {}: {item:?} at {at:?}", number + 1);
        }
    }
    pages.iter().for_each(|page| check_marks(page, name));
    pages
}

/// Pencil marks stand on nothing else, and nothing on them.
fn check_marks(page: &Picture, name: &str) {
    let is_mark = |item: &&Item| matches!(item.tag(), Some(Tag::Mark(_)));
    for mark in page.items.iter().filter(is_mark) {
        let room = mark.bounds().expect("a word").inset(-0.1);
        for item in page.items.iter().filter(|item| !std::ptr::eq(*item, mark)) {
            let Some(bounds) = item.bounds().filter(|bounds| bounds.overlaps(room)) else { continue };
            let touches = match item {
                Item::Text { .. } | Item::Glyph { .. } => true,
                // The box of a slur is larger than the slur.
                Item::Path { path, .. } => passes(path, room),
                Item::Image { .. } => true,
            };
            assert!(!touches, "{name}: {mark:?} and {item:?} at {bounds:?}");
        }
    }
}

/// An outline goes through a box; tried every tenth of a millimetre or so.
fn passes(path: &BezPath, room: Rect) -> bool {
    path.segments().any(|segment| {
        let steps = (segment.arclen(0.1) / 0.1).ceil().max(1.0);
        (0..=steps as u32).any(|k| room.contains(segment.eval(f64::from(k) / steps)))
    })
}

/// On the pages of the demo the bow goes through the air beside the words that say where it runs out.
#[test]
fn words_stand_beside_the_bow_in_the_air() {
    let study = Study::new(demo());
    let pages: Vec<Picture> = sheet(&study, None, Paper::A4_LANDSCAPE, Density::None).collect();
    let items: Vec<&Item> = pages.iter().flat_map(|page| &page.items).collect();
    let told = |item: &&&Item| matches!(item, Item::Text { text, .. } if text.starts_with("as marked: out"));
    let words = items.iter().find(told).expect("the demo runs out").bounds().expect("words");
    // The plan's dotted lines are the bow in the air.
    let hops = items.iter().filter_map(|item| match item {
        Item::Path { path, stroke: Some(pen), .. } if pen.ink == Ink::Plan && pen.dash == Dash::Dotted => {
            Some(path)
        }
        _ => None,
    });
    let hops: Vec<&BezPath> = hops.collect();
    assert!(hops.len() >= 2, "{hops:?}");
    assert!(!hops.iter().any(|path| passes(path, words)), "{words:?}");
}

#[test]
fn whole_parts_give_pages_of_sane_size() {
    let mut drawn = 0;
    for path in files("quartets") {
        let name = path.display().to_string();
        let lesson = lesson_of(&path, "viola").expect(&name);
        let bars = lesson.score.bars.len();
        let pages = check_pages(&lesson, &name);
        // Two systems of two to twelve bars go on a page.
        let count = pages.len();
        assert!(count >= bars / 30 && count <= bars, "{name}: {count} pages for {bars} bars");
        let bytes = svg::write(&pages[0], &Theme::PRINT).len();
        assert!((20_000..2_000_000).contains(&bytes), "{name}: {bytes} bytes");
        drawn += 1;
    }
    eprintln!("{drawn} parts drawn");
}

#[test]
fn a_window_of_a_long_part_draws_only_what_is_in_it() {
    for path in files("quartets").into_iter().take(2) {
        let Some(lesson) = lesson_of(&path, "viola") else { continue };
        let engraving = Engraving::new(&lesson.score);
        let axis = TimeAxis::new(&lesson.score, &engraving);
        let bar = &lesson.score.bars[lesson.score.bars.len() / 2];
        let (from, to) = (bar.start, bar.start + Quarters::from(16));
        let axis = axis.starting_at(from, 20.0);
        let system = System { right_mm: axis.x(to), axis, from, to, left_mm: 0.0 };
        let drawn = staff(&Study::new(lesson), &engraving, &system, Density::All, 1.0);
        assert!(drawn.picture.items.len() < 1_500, "{}: {}", path.display(), drawn.picture.items.len());
        assert!(drawn.picture.height_mm < 120.0);
    }
}

#[test]
fn the_whole_suite_can_be_drawn() {
    let mut drawn = 0;
    for path in files("suite") {
        if let Some(lesson) = lesson_of(&path, "1") {
            check_pages(&lesson, &path.display().to_string());
            drawn += 1;
        }
    }
    eprintln!("{drawn} files drawn");
}
