//! The present moment over staff, hair map and levels.

use kurbo::{Circle, Rect};

use super::{Ink, Item, Pen, Picture, path::polygon};

/// The note signs in a tempo (SMuFL 1.4, metronome marks).
const METRONOME: std::ops::RangeInclusive<char> = '\u{ECA0}'..='\u{ECBF}';
/// Air round words that it leaves, mm.
const AIR_MM: f64 = 0.5;
/// Width of the line, radius of the bow on the hair, half the width and the height of the head, mm.
const LINE_MM: f64 = 0.45;
const BOW_MM: f64 = 1.35;
const HEAD_MM: (f64, f64) = (1.25, 1.75);

/// Where the present moment lies.
#[derive(Clone, Copy, Debug)]
pub struct Playhead<'a> {
    /// On the time axis, mm.
    pub x_mm: f64,
    /// From where down to where it goes, mm.
    pub ends_mm: (f64, f64),
    /// Where the bow is on the hair map, where that is shown, mm.
    pub hair_y_mm: Option<f64>,
    /// The bow is on the string.
    pub on_string: bool,
    /// Words in whose way it may come, see [`words_on`].
    pub words: &'a [Rect],
}

/// Draws the present moment: a line with a head, and the bow on the hair, hollow while it is in the air. It
/// stops for words in its way, which are to be read.
pub fn playhead(at: &Playhead<'_>) -> Picture {
    let mut picture = Picture::default();
    let (x, (top, bottom)) = (at.x_mm, at.ends_mm);
    let there = at.words.iter().map(|words| words.inflate(AIR_MM, AIR_MM));
    let mut words: Vec<Rect> = there.filter(|words| (words.x0..words.x1).contains(&x)).collect();
    words.sort_by(|a, b| a.y0.total_cmp(&b.y0));
    let pen = Pen::solid(Ink::Now, LINE_MM);
    let mut from = top;
    for words in words {
        if words.y0 > from {
            picture.line((x, from), (x, words.y0), pen);
        }
        from = from.max(words.y1);
    }
    if bottom > from {
        picture.line((x, from), (x, bottom), pen);
    }
    let (half, high) = HEAD_MM;
    let over = top - 0.25;
    picture.fill(polygon([(x - half, over), (x + half, over), (x, over + high)]), Ink::Now);
    if let Some(y) = at.hair_y_mm {
        let fill = if at.on_string { Ink::Now } else { Ink::Paper };
        picture.path(Circle::new((x, y), BOW_MM), Some(fill), Some(Pen::solid(Ink::Text, 0.35)), None);
    }
    picture
}

/// Boxes of the words of a staff, mm.
pub fn words_on(staff: &[Item]) -> Vec<Rect> {
    let is_words = |item: &&Item| match item {
        Item::Text { .. } => true,
        Item::Glyph { glyph, .. } => METRONOME.contains(glyph),
        _ => false,
    };
    staff.iter().filter(is_words).filter_map(Item::bounds).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_stops_for_words() {
        let words = [Rect::new(0.0, 10.0, 8.0, 13.0), Rect::new(20.0, 10.0, 28.0, 13.0)];
        let lines = |x_mm| {
            let at = Playhead { x_mm, ends_mm: (0.0, 40.0), hair_y_mm: None, on_string: true, words: &words };
            let is_line = |item: &&Item| matches!(item, Item::Path { stroke: Some(_), .. });
            playhead(&at).items.iter().filter(is_line).filter_map(Item::bounds).collect::<Vec<_>>()
        };
        let [over, under] = &lines(4.0)[..] else { panic!("two pieces") };
        assert!(over.y1 <= 10.0 && under.y0 >= 13.0 && under.y1 == 40.0);
        assert_eq!(lines(15.0).len(), 1);
    }
}
