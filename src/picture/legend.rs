//! The legend: the signs of the drawings beside what they mean.

use kurbo::{Point, Rect};

use super::{
    Anchor, Face, Ink, Item, Pen, Picture, glyph,
    path::polygon,
    smufl::{DOWN_BOW, UP_BOW},
};

/// A sign that a legend explains, in the order in which it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sign {
    DownBow,
    UpBow,
    Planned,
    InTheAir,
    Room,
    Other,
    Before,
    Out,
    Tight,
    Level,
    ArmStarts,
    LevelBetween,
}

/// What a legend shows beside its words.
enum Sample {
    /// A piece of line.
    Line(Pen),
    /// A piece of the corridor.
    Band,
    /// The warning triangle.
    Warning,
    /// The mark of a tight spot.
    Diamond,
    /// A piece of line with the square where a stroke starts.
    Starts(Pen),
    /// A short line across.
    Tick(Pen),
    /// A sign of music.
    Music(char),
}

/// Pen of the marks of findings.
const MARK: Pen = Pen::solid(Ink::Warn, 0.35);
/// Size of the words for which samples are made; room for a sample and between two, distance of rows, mm.
pub(super) const WORDS_MM: f64 = 2.5;
const SAMPLE_MM: f64 = 8.2;
const NARROW_MM: f64 = 3.6;
const APART_MM: f64 = 4.5;
pub(super) const ROW_MM: f64 = 3.6;

impl Sign {
    /// What the whole part's pages explain.
    pub const OF_SHEETS: [Self; 7] =
        [Self::Planned, Self::InTheAir, Self::Room, Self::Other, Self::Out, Self::Tight, Self::Level];
    const ALL: [Self; 12] = [
        Self::DownBow,
        Self::UpBow,
        Self::Planned,
        Self::InTheAir,
        Self::Room,
        Self::Other,
        Self::Before,
        Self::Out,
        Self::Tight,
        Self::Level,
        Self::ArmStarts,
        Self::LevelBetween,
    ];

    /// Those on a staff, a hair map or levels.
    pub fn on(picture: &Picture) -> impl Iterator<Item = Self> {
        Self::ALL.into_iter().filter(|sign| picture.items.iter().any(|item| sign.sample().is(item)))
    }

    /// What it means; `other` is what another path is.
    fn words(self, other: Option<&str>) -> &str {
        match self {
            Self::DownBow => "down-bow",
            Self::UpBow => "up-bow",
            Self::Planned => "planned bow",
            Self::InTheAir => "bow in the air",
            Self::Room => "where the bow may be",
            Self::Other => other.unwrap_or("without looking ahead"),
            Self::Before => "as it was",
            Self::Out => "the hair ends",
            Self::Tight => "tight",
            Self::Level => "level of the bow arm",
            Self::ArmStarts => "the upper arm starts",
            Self::LevelBetween => "level between two strings",
        }
    }

    fn sample(self) -> Sample {
        match self {
            Self::DownBow => Sample::Music(DOWN_BOW.code),
            Self::UpBow => Sample::Music(UP_BOW.code),
            Self::Planned => Sample::Line(Pen::solid(Ink::Plan, 0.6)),
            Self::InTheAir => Sample::Line(Pen::dotted(Ink::Plan, 0.4)),
            Self::Room => Sample::Band,
            Self::Other => Sample::Line(Pen::dashed(Ink::Ghost, 0.3)),
            Self::Before => Sample::Starts(Pen::dashed(Ink::Ghost, 0.35)),
            Self::Out => Sample::Warning,
            Self::Tight => Sample::Diamond,
            Self::Level => Sample::Line(Pen::solid(Ink::Level, 0.7)),
            Self::ArmStarts => Sample::Tick(Pen::solid(Ink::Level, 0.5)),
            Self::LevelBetween => Sample::Line(Pen::dashed(Ink::Level, 0.35)),
        }
    }
}

impl Sample {
    /// An item looks like this.
    fn is(&self, item: &Item) -> bool {
        let alike = |pen: &Pen, other: &Pen| (pen.ink, pen.dash) == (other.ink, other.dash);
        match (self, item) {
            (Self::Music(sign), Item::Glyph { glyph, .. }) => sign == glyph,
            (Self::Line(pen), Item::Path { fill: None, stroke: Some(other), .. }) => {
                // Of lines alike in ink and dash the width tells one from another.
                alike(pen, other) && (pen.dash == super::Dash::Dotted || pen.width_mm == other.width_mm)
            }
            (Self::Starts(pen), Item::Path { fill: None, stroke: Some(other), .. }) => pen == other,
            (Self::Tick(pen), Item::Path { fill: None, stroke: Some(other), .. }) => pen == other,
            (Self::Band, Item::Path { fill: Some(Ink::Corridor), .. }) => true,
            (Self::Warning, Item::Path { fill: Some(Ink::Paper), stroke: Some(pen), .. }) => {
                pen.ink == MARK.ink
            }
            (Self::Diamond, Item::Path { fill: None, stroke: Some(pen), .. }) => *pen == MARK,
            _ => false,
        }
    }

    /// Room it needs with the air behind it, mm.
    fn wide(&self) -> f64 {
        match self {
            Self::Line(_) | Self::Starts(_) | Self::Band => SAMPLE_MM,
            Self::Warning | Self::Diamond | Self::Tick(_) | Self::Music(_) => NARROW_MM,
        }
    }

    fn draw(&self, picture: &mut Picture, at: Point) {
        match self {
            Self::Line(pen) => picture.line(at, at + (7.0, 0.0), *pen),
            Self::Starts(pen) => {
                picture.line(at, at + (7.0, 0.0), *pen);
                let square = Rect::from_center_size(at + (1.2, 0.0), (1.3, 1.3));
                picture.path(square, Some(Ink::Paper), Some(Pen::solid(pen.ink, 0.3)), None);
            }
            Self::Band => picture.fill(Rect::new(at.x, at.y - 1.2, at.x + 7.0, at.y + 1.2), Ink::Corridor),
            Self::Warning => {
                let corners = [(0.0, 1.4), (1.4, -1.3), (2.8, 1.4)].map(|by| at + by);
                picture.stroke(polygon(corners), MARK);
            }
            Self::Diamond => {
                let corners = [(0.3, 0.0), (1.4, -1.1), (2.5, 0.0), (1.4, 1.1)].map(|by| at + by);
                picture.stroke(polygon(corners), MARK);
            }
            Self::Tick(pen) => picture.line(at + (1.4, -1.1), at + (1.4, 1.1), *pen),
            Self::Music(sign) => {
                let size = 5.6;
                let at = Point::new(at.x, at.y + 1.2);
                picture.items.push(Item::Glyph {
                    at,
                    glyph: *sign,
                    size_mm: size,
                    ink: Ink::Text,
                    tag: None,
                });
            }
        }
    }
}

/// The signs of hair map and levels beside what they mean, in rows of at most this width, mm.
pub fn signs_explained(width_mm: f64) -> Picture {
    let signs: Vec<Sign> = Sign::ALL.into_iter().filter(|sign| *sign != Sign::Before).collect();
    let rows = legend(&signs, None, width_mm);
    let mut picture = Picture::new(width_mm, rows.height_mm + 1.2);
    picture.place(rows, (0.0, 0.0));
    picture
}

/// Draws a legend in rows of at most this width, the base of the last row at the foot.
pub(super) fn legend(signs: &[Sign], other: Option<&str>, width_mm: f64) -> Picture {
    let mut rows: Vec<Vec<(f64, Sign)>> = Vec::new();
    let mut x = f64::INFINITY;
    for sign in signs {
        let wide = sign.sample().wide() + glyph::text_width_mm(sign.words(other), WORDS_MM, Face::Sans);
        if x + wide > width_mm {
            rows.push(Vec::new());
            x = 0.0;
        }
        rows.iter_mut().next_back().into_iter().for_each(|row| row.push((x, *sign)));
        x += wide + APART_MM;
    }
    let mut picture = Picture::new(width_mm, ROW_MM * rows.len() as f64);
    for (row, signs) in rows.iter().enumerate() {
        let y = picture.height_mm - ROW_MM * (rows.len() - 1 - row) as f64;
        for (x, sign) in signs {
            sign.sample().draw(&mut picture, Point::new(*x, y - 0.9));
            let style = (Face::Sans, Anchor::Start, Ink::Faint);
            picture.text((x + sign.sample().wide(), y), sign.words(other), WORDS_MM, style);
        }
    }
    picture
}
