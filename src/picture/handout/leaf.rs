//! Slabs on pages, with what stands at their foot.

use std::collections::BTreeSet;

use super::{
    Press, paper,
    slab::{Slab, beside, stacked},
    words::{Style, plain_words},
};
use crate::{
    analysis::Study,
    lesson::handout::{Block, Entry, Handout},
    picture::{
        About, Anchor, Face, Ink, Item, Paper, Pen, Picture, Role,
        legend::{self, Sign, legend},
    },
};

/// Margins, mm: at the sides, at the top, under the foot.
const SIDE_MM: f64 = 19.0;
const TOP_MM: f64 = 16.0;
const BOTTOM_MM: f64 = 11.0;
/// Room between what stands beside one another, and the least width of it, mm.
const ALLEY_MM: f64 = 9.0;
const COLUMN_MM: f64 = 70.0;
/// Room for the page number beside the legend, mm.
const NUMBER_MM: f64 = 20.0;
/// The signs of a legend are told in the words of this other path.
const OTHER: Option<&str> = None;
/// What is to be minded wherever something is practised again and again: the usual cautions, common practice.
const REPEATED: &str = "Stop when it hurts, take breaks, and let a teacher look if it lasts.";

/// A last page filled less than this part of the paper is worth saving, by so many steps at most; of more pages
/// one more is no matter. Assumed.
const LITTLE: f64 = 0.4;
const MOST_TIGHT: u32 = 3;
const MOST_SPARED: usize = 4;

/// Width of what stands on a page, mm.
pub(super) fn width_mm(paper: Paper) -> f64 {
    paper.width_mm - 2.0 * SIDE_MM
}

/// A page on its way: what is on it, and how far it is filled.
#[derive(Default)]
struct Page {
    slabs: Vec<Slab>,
    height_mm: f64,
    signs: BTreeSet<Sign>,
    cautions: BTreeSet<&'static str>,
}

impl Page {
    /// Height with more slabs on it, mm.
    fn height_with(&self, slabs: &[Slab]) -> f64 {
        let more: f64 = slabs.iter().map(Slab::height_mm).sum();
        // Nothing stands over the first.
        let first = if self.slabs.is_empty() { slabs.first().map_or(0.0, |slab| slab.gap_mm) } else { 0.0 };
        self.height_mm + more - first
    }

    fn take(&mut self, slabs: Vec<Slab>) {
        self.height_mm = self.height_with(&slabs);
        self.slabs.extend(slabs);
    }
}

impl Press<'_> {
    /// The blocks of a handout on pages. A last page with little on it is saved where a tighter setting does.
    pub(super) fn pages(mut self, handout: &Handout) -> Vec<Picture> {
        let paper = paper(handout);
        let look = self.look;
        let mut pages = self.set(handout, paper);
        let count = pages.len();
        let spares = pages.last().is_some_and(|last| last.height_mm < LITTLE * paper.height_mm);
        for steps in 1..=MOST_TIGHT {
            if !(2..=MOST_SPARED).contains(&count) || !spares || pages.len() < count {
                break;
            }
            self.look = look.tighter(steps);
            let tighter = self.set(handout, paper);
            if tighter.len() < count {
                pages = tighter;
            }
        }
        if pages.len() == count {
            self.look = look;
        }
        let count = pages.len();
        let title = title(self.study, handout);
        let pages = pages.into_iter().enumerate();
        pages.map(|(index, page)| self.page(page, paper, &title, (index, count))).collect()
    }

    fn set(&mut self, handout: &Handout, paper: Paper) -> Vec<Page> {
        let width = width_mm(paper);
        let slabs = rows(&handout.entries).iter().flat_map(|row| self.row(row, width)).collect();
        self.filled(slabs, paper)
    }

    /// The slabs of blocks that stand beside one another, or of one alone.
    fn row(&mut self, row: &[&Entry], width_mm: f64) -> Vec<Slab> {
        let count = row.len() as f64;
        let column = (width_mm + ALLEY_MM) / count - ALLEY_MM;
        if row.len() == 1 || column < COLUMN_MM {
            return row.iter().flat_map(|entry| self.slabs(&entry.block, width_mm)).collect();
        }
        let cell = |(index, entry): (usize, &&Entry)| {
            let left = (column + ALLEY_MM) * index as f64;
            (left, stacked(self.slabs(&entry.block, column), column))
        };
        vec![beside(row.iter().enumerate().map(cell).collect(), width_mm)]
    }

    /// Slabs in order on as many pages as they need.
    fn filled(&self, slabs: Vec<Slab>, paper: Paper) -> Vec<Page> {
        let room = |signs: &BTreeSet<Sign>, cautions: &BTreeSet<&'static str>| {
            paper.height_mm - TOP_MM - self.foot(signs, cautions, paper).height_mm - BOTTOM_MM
        };
        let most = room(&BTreeSet::new(), &BTreeSet::new());
        let mut pages = vec![Page::default()];
        let mut group: Vec<Slab> = Vec::new();
        let count = slabs.len();
        for (index, slab) in slabs.into_iter().enumerate() {
            let keeps = slab.keeps && index + 1 < count;
            let tall: f64 = group.iter().map(Slab::height_mm).sum();
            group.push(shrunk(slab, most - tall.min(0.5 * most)));
            if keeps && tall < 0.5 * most {
                continue;
            }
            let whole = std::mem::take(&mut group);
            let Some(page) = pages.last() else { continue };
            let signs: BTreeSet<Sign> = page
                .signs
                .iter()
                .copied()
                .chain(whole.iter().flat_map(|slab| slab.signs.iter().copied()))
                .collect();
            let cautions: BTreeSet<&'static str> = page
                .cautions
                .iter()
                .copied()
                .chain(whole.iter().flat_map(|slab| slab.cautions.iter().copied()))
                .collect();
            let fits = page.height_with(&whole) <= room(&signs, &cautions);
            if !fits && !page.slabs.is_empty() {
                pages.push(Page::default());
            }
            if let Some(page) = pages.last_mut() {
                page.signs.extend(whole.iter().flat_map(|slab| slab.signs.iter().copied()));
                page.cautions.extend(whole.iter().flat_map(|slab| slab.cautions.iter().copied()));
                page.take(whole);
            }
        }
        pages
    }

    /// A page with its foot.
    fn page(&self, page: Page, paper: Paper, title: &str, (index, count): (usize, usize)) -> Picture {
        let width = width_mm(paper);
        let mut picture = Picture::new(paper.width_mm, paper.height_mm);
        let place = if count > 1 { format!("page {} of {count}", index + 1) } else { String::new() };
        picture.about = About { music: title.to_owned(), place, shown: String::new() };
        let mut y = TOP_MM;
        for (index, slab) in page.slabs.into_iter().enumerate() {
            y += if index == 0 { 0.0 } else { slab.gap_mm };
            let height = slab.picture.height_mm;
            picture.place(slab.picture, (SIDE_MM, y));
            y += height;
        }
        let foot = self.foot(&page.signs, &page.cautions, paper);
        let top = paper.height_mm - BOTTOM_MM - foot.height_mm;
        picture.place(foot, (SIDE_MM, top));
        if count > 1 {
            let number = format!("{} / {count}", index + 1);
            let (small, faint) = (self.look.small_mm, Ink::Faint);
            let at = (SIDE_MM + width, paper.height_mm - BOTTOM_MM);
            picture.text(at, number, small, (Face::Sans, Anchor::End, faint));
            if index > 0 {
                picture.text((SIDE_MM, 0.7 * TOP_MM), title, small, (Face::Sans, Anchor::Start, faint));
            }
        }
        picture.items.iter_mut().for_each(edged);
        picture
    }

    /// What stands at the foot: cautions, and the legend, beside which the page number has room.
    fn foot(&self, signs: &BTreeSet<Sign>, cautions: &BTreeSet<&'static str>, paper: Paper) -> Picture {
        let (width, small) = (width_mm(paper), self.look.small_mm);
        let factor = small / legend::WORDS_MM;
        let signs: Vec<Sign> = signs.iter().copied().collect();
        let mut parts = Vec::new();
        if !cautions.is_empty() {
            let words: Vec<&str> = cautions.iter().copied().collect();
            let style = Style::plain(1.1 * small, Ink::Text).in_face(Face::SansItalic);
            parts.push(plain_words(&words.join(" "), style, width).read_as(Role::Paragraph));
        }
        if !signs.is_empty() {
            let words = legend(&signs, OTHER, (width - NUMBER_MM) / factor).scaled(factor);
            parts.push(words.read_as(Role::Paragraph));
        }
        let gap = 1.8;
        let height: f64 = parts.iter().map(|part| part.height_mm + gap).sum();
        let mut foot = Picture::new(width, if parts.is_empty() { 2.0 * small } else { height + gap });
        if !parts.is_empty() {
            foot.line((0.0, 0.0), (width, 0.0), Pen::solid(Ink::Rule, 0.25));
        }
        let mut y = gap;
        for part in parts {
            let height = part.height_mm;
            foot.place(part, (0.0, y));
            y += height + gap;
        }
        // The last row stands on the margin.
        foot.height_mm -= if signs.is_empty() { 0.0 } else { gap };
        foot
    }
}

/// A pale ground gets an edge: in black and white alone it would not be seen.
pub(super) fn edged(item: &mut Item) {
    if let Item::Path { fill: Some(Ink::Corridor), stroke, .. } = item {
        *stroke = Some(Pen::dotted(Ink::Faint, 0.16));
    }
}

/// The caution of what is practised again and again, for a table to fill in.
pub(super) fn repeated() -> BTreeSet<&'static str> {
    BTreeSet::from([REPEATED])
}

/// What the pages are called: their own title, else that of the piece.
fn title(study: &Study, handout: &Handout) -> String {
    let heads = handout.entries.iter().filter_map(|entry| match &entry.block {
        Block::Head(head) => Some(head.title.as_str()),
        _ => None,
    });
    let named =
        heads.chain([study.lesson().score.title.as_str()]).map(str::trim).find(|title| !title.is_empty());
    named.unwrap_or("Handout").to_owned()
}

/// The entries by rows: those that stand beside one another together.
fn rows(entries: &[Entry]) -> Vec<Vec<&Entry>> {
    let mut rows: Vec<Vec<&Entry>> = Vec::new();
    for entry in entries {
        match rows.last_mut().filter(|_| entry.beside) {
            Some(row) => row.push(entry),
            None => rows.push(vec![entry]),
        }
    }
    rows
}

/// The slab, made smaller where it is higher than a page.
fn shrunk(mut slab: Slab, most_mm: f64) -> Slab {
    let height = slab.picture.height_mm;
    if height > most_mm {
        slab.picture = slab.picture.scaled(most_mm / height);
    }
    slab
}
