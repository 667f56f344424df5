//! The pictures of the music in view, drawn anew only when something they show has changed.

use egui::{Rect, Shape, pos2};
use kurbo::Point;

use crate::{
    analysis::{Study, StudyId},
    bowing::Density,
    lesson::Lesson,
    picture::{self, Engraving, OtherPath, Picture, System, Tag, TimeAxis},
    score::{EventId, Quarters},
};

use crate::desk::{
    state::spacing::Spacing,
    widgets::painter::{Scale, ScreenPainter},
    widgets::theme::Look,
};

/// Room for the names of places and levels left of the plot, mm.
const NAMES_MM: f64 = 19.0;
/// Room over the top line and for the whole staff that is always kept, so that turning on does not move
/// the hair map up and down, mm; and for pencil marks.
const OVER_STAFF_MM: f64 = 13.0;
const STAFF_MM: f64 = 30.0;
const PENCIL_MM: f64 = 4.5;
/// Room at the top that is left to the head of the playhead, mm.
const PLAYHEAD_MM: f64 = 3.5;
/// Height of the hair map, mm.
const MAP_MM: std::ops::RangeInclusive<f64> = 26.0..=110.0;
/// What the hair map has over the tip and under the frog, mm.
const MAP_FRAME_MM: f64 = 16.5;
/// Height at which all fits, with seven levels and the lowest hair map, mm.
pub const LEAST_MM: f64 = STAFF_MM + PENCIL_MM + *MAP_MM.start() + MAP_FRAME_MM + 20.0;
/// The last bars are stretched at most by this factor.
const LAST_STRETCH: f64 = 1.3;

/// Some bars over the width; the last bars of the score are not stretched much.
fn system(axis: &TimeAxis, lesson: &Lesson, bars: (usize, usize), zoom: f64, width_mm: f64) -> System {
    let all = &lesson.score.bars;
    let (from, to) = match (all.get(bars.0), bars.1.checked_sub(1).and_then(|last| all.get(last))) {
        (Some(first), Some(last)) => (first.start, last.end()),
        _ => (Quarters::ZERO, lesson.score.end().max(Quarters::ONE)),
    };
    let left = header_mm(lesson, bars.0);
    let natural = (axis.barline_x(to) - axis.barline_x(from)) * zoom;
    let is_last = bars.1 >= all.len();
    let end = width_mm - 1.0;
    let right_mm = if is_last { end.min(left + natural * LAST_STRETCH) } else { end }.max(left + 10.0);
    System::fitted(axis, (from, to), 0.0, (left, right_mm))
}

/// What a scene depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SceneKey {
    /// The study on the desk.
    pub study: StudyId,
    /// The version shown in the place of the lesson.
    pub preview: Option<StudyId>,
    /// The version kept to compare with.
    pub kept: Option<StudyId>,
    /// First bar in view.
    pub first_bar: usize,
    /// Stretch of the time axis.
    pub zoom: f64,
    /// Where it is drawn.
    pub rect: Rect,
    /// Points in a millimetre.
    pub points_per_mm: f32,
    /// Colours.
    pub look: Look,
    /// How many pencil marks there are.
    pub pencil: Density,
    /// Pixels in a point.
    pub pixels_per_point: f32,
}

/// The music in view as pictures, with what is needed to understand clicks.
#[derive(Debug)]
pub struct Scene {
    /// What it depends on.
    pub key: SceneKey,
    /// The time axis as drawn, in the millimetres of `scale`.
    pub axis: TimeAxis,
    /// The time in view.
    pub window: (Quarters, Quarters),
    /// Bars in view: first, and one past the last.
    pub bars: (usize, usize),
    /// From millimetres to the screen, for all three pictures.
    pub scale: Scale,
    /// Left and right end of the plot, mm.
    pub sides: (f64, f64),
    /// y of tip and frog, mm.
    pub hair: (f64, f64),
    /// y of the staff picture: top, bottom, mm.
    pub staff: (f64, f64),
    /// y of the top and the bottom staff line, mm.
    pub lines: (f64, f64),
    /// y of the lanes: top, bottom, mm.
    pub lanes: (f64, f64),
    /// Boxes of written notes and rests on the staff, mm.
    pub notes: Vec<(EventId, kurbo::Rect)>,
    /// Boxes of the words on the staff, mm.
    pub words: Vec<kurbo::Rect>,
    /// Places where notes start on the hair map: index into the bowed line, mm.
    pub boundaries: Vec<(usize, Point)>,
    /// Other tagged things: pins, findings, levels.
    pub marks: Vec<(Tag, kurbo::Rect)>,
    /// The shapes to paint.
    pub shapes: Vec<Shape>,
}

/// What a scene shows.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// The study on the desk, or the version shown in its place.
    pub study: &'a Study,
    /// Its notation. Another version has its own marks, but keeps to the places of the lesson's notes.
    pub engraving: &'a Engraving,
    /// What it is compared with on the hair map.
    pub other: Option<OtherPath<'a>>,
}

/// Bars in view from `first` on: (first, one past the last), moved back where the end of the score
/// would leave the page half empty.
pub fn bars_in_view(
    lesson: &Lesson,
    spacing: &Spacing,
    first: usize,
    zoom: f64,
    width_mm: f64,
) -> (usize, usize) {
    let bars = &lesson.score.bars;
    let Some(last) = bars.len().checked_sub(1) else { return (0, 0) };
    let wide = |a: usize, b: usize| {
        (spacing.axis.barline_x(bars[b].end()) - spacing.axis.barline_x(bars[a].start)) * zoom
    };
    let room = |a: usize| width_mm - header_mm(lesson, a);
    let mut first = first.min(last);
    while first > 0 && wide(first - 1, last) <= room(first - 1) {
        first -= 1;
    }
    let mut end = first + 1;
    while end <= last && wide(first, end) <= room(first) {
        end += 1;
    }
    (first, end)
}

fn header_mm(lesson: &Lesson, bar: usize) -> f64 {
    picture::header_width_mm(&lesson.score, bar).max(NAMES_MM)
}

impl SceneKey {
    /// From millimetres to the screen. The top staff line lies in the middle of a pixel; as a staff
    /// space is a whole number of pixels, so do the other lines.
    fn scale(&self, top_line_mm: f64) -> Scale {
        let line = self.rect.top() + top_line_mm as f32 * self.points_per_mm;
        let snap = ((line * self.pixels_per_point).floor() + 0.5) / self.pixels_per_point - line;
        let origin = pos2(self.rect.left(), self.rect.top() + snap);
        Scale { origin, points_per_mm: self.points_per_mm }
    }
}

/// What in a picture can be taken hold of, mm.
#[derive(Default)]
struct Tagged {
    notes: Vec<(EventId, kurbo::Rect)>,
    boundaries: Vec<(usize, Point)>,
    marks: Vec<(Tag, kurbo::Rect)>,
}

impl Tagged {
    /// The first `staff_items` of the picture are the staff.
    fn of(picture: &Picture, staff_items: usize) -> Self {
        let mut tagged = Self::default();
        for (index, item) in picture.items.iter().enumerate() {
            let (Some(tag), Some(bounds)) = (item.tag(), item.bounds()) else { continue };
            match tag {
                Tag::Event(id) if index < staff_items => {
                    match tagged.notes.iter_mut().find(|note| note.0 == id) {
                        Some(note) => note.1 = note.1.union(bounds),
                        None => tagged.notes.push((id, bounds)),
                    }
                }
                Tag::Boundary(note) => tagged.boundaries.push((note, bounds.center())),
                other => tagged.marks.push((other, bounds)),
            }
        }
        tagged
    }
}

impl Scene {
    /// Draws the music in view.
    pub fn new(
        key: SceneKey,
        shown: &Shown<'_>,
        spacing: &Spacing,
        painter: &mut ScreenPainter,
        ctx: &egui::Context,
    ) -> Self {
        let Shown { study, engraving, other } = *shown;
        let lesson = study.lesson();
        let ppm = f64::from(key.points_per_mm);
        let width = f64::from(key.rect.width()) / ppm;
        let height = f64::from(key.rect.height()) / ppm;
        let bars = bars_in_view(lesson, spacing, key.first_bar, key.zoom, width);
        let system = system(&spacing.axis, lesson, bars, key.zoom, width);
        let type_factor = f64::from(key.look.type_factor());
        let staff = picture::staff(study, engraving, &system, key.pencil, type_factor);
        let lanes = picture::level_lanes(study, &system);

        let pencil_mm = if key.pencil == Density::None { 0.0 } else { PENCIL_MM };
        let staff_y = (OVER_STAFF_MM + pencil_mm - staff.top_line_mm).max(PLAYHEAD_MM);
        let staff_end = (staff_y + staff.picture.height_mm).max(STAFF_MM + pencil_mm);
        let room = height - staff_end - lanes.height_mm - MAP_FRAME_MM;
        let map_height = room.clamp(*MAP_MM.start(), *MAP_MM.end());
        let map = picture::hair_map(study, &system, other, map_height, type_factor);
        let lanes_y = staff_end + map.picture.height_mm;
        let scale = key.scale(staff_y + staff.top_line_mm);

        let mut whole = Picture::new(width, lanes_y + lanes.height_mm);
        let lanes_end = lanes_y + lanes.height_mm;
        let (tip, frog) = (staff_end + map.tip_y_mm, staff_end + map.frog_y_mm);
        whole.place(staff.picture, (0.0, staff_y));
        let staff_items = whole.items.len();
        whole.place(map.picture, (0.0, staff_end));
        whole.place(lanes, (0.0, lanes_y));

        let words = picture::words_on(&whole.items[..staff_items]);
        let Tagged { notes, boundaries, marks } = Tagged::of(&whole, staff_items);
        let shapes = painter.shapes(ctx, &whole, scale, key.look.theme(), &|_| None);
        Self {
            key,
            window: (system.from, system.to),
            sides: (header_mm(lesson, bars.0), system.right_mm),
            axis: system.axis,
            bars,
            scale,
            hair: (tip, frog),
            staff: (0.0, staff_end),
            lines: (staff_y + staff.top_line_mm, staff_y + staff.top_line_mm + 4.0 * picture::SPACE_MM),
            lanes: (lanes_y, lanes_end),
            notes,
            words,
            boundaries,
            marks,
            shapes,
        }
    }

    /// y of a place on the hair, mm.
    pub fn hair_y(&self, share: f64) -> f64 {
        self.hair.1 + (self.hair.0 - self.hair.1) * share
    }

    /// Place on the hair at a height, as a share of the hair, held inside it.
    pub fn hair_share(&self, y_mm: f64) -> f64 {
        ((y_mm - self.hair.1) / (self.hair.0 - self.hair.1)).clamp(0.0, 1.0)
    }

    /// The moment under the pointer, quarter notes from the start, where that is over the music or
    /// over a plot on the same time axis.
    pub fn pointed(&self, ctx: &egui::Context, plot: Rect) -> Option<f64> {
        let pos = ctx.pointer_hover_pos()?;
        let x = self.scale.mm(pos).x;
        let over = self.key.rect.contains(pos) || plot.contains(pos);
        let inside = over && (self.sides.0..=self.sides.1).contains(&x);
        inside.then(|| self.axis.quarters_at(x).clamp(self.window.0.to_f64(), self.window.1.to_f64()))
    }

    /// True when the moment is in view.
    pub fn shows(&self, quarters: f64) -> bool {
        quarters >= self.window.0.to_f64() - 1e-9 && quarters < self.window.1.to_f64()
    }
}
