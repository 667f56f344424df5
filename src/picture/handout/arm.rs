//! Bow and arm: levels, the player, the bow to scale, notes that sound together.

use std::sync::Arc;

use super::{
    Made, Missing, Press,
    slab::{Slab, beside, stacked},
    words::{Style, plain_words},
};
use crate::{
    analysis::BowState,
    arm::{ArmPose, Level, Load, Plane, load, together},
    bowing::there,
    figure::Image,
    lesson::handout::ArmView,
    picture::{
        ArmFigure, Face, Ink, Item, PAPER_PIXELS_PER_MM, Picture, Role, TogetherView, arm_figure,
        bow_bar::bare_bow, level_fan, together as together_picture,
    },
    score::{EventId, cm, sentence_case},
    tone::weight_on,
};

/// Room between drawings that stand beside one another, mm.
const ALLEY_MM: f64 = 8.0;
/// Least and most width of a player and of a bridge, mm.
const PLAYER_MM: (f64, f64) = (54.0, 96.0);
const BRIDGE_MM: (f64, f64) = (54.0, 84.0);
/// The bridge is drawn for this width at least, for its words to have room, mm.
const FAN_MM: f64 = 66.0;
/// Height of a player in its width.
const PLAYER_TALL: f64 = 0.94;
/// Type on the player, mm.
const PLAYER_TYPE_MM: f64 = 2.7;
/// What is to be minded at a raised arm, and wherever something is practised again and again. The first is
/// general advice for raised arms (see [`load`]), common practice, no source for music.
pub(super) const RAISED: &str = "The arm is raised here: practise it in short turns and let it hang in between. \
                                 The arm makes the level, not the shoulder.";

/// A level with the arm on it.
struct OnLevel {
    plane: Plane,
    level: Level,
    pose: ArmPose,
}

impl OnLevel {
    /// "the D string", "D and G together".
    fn words(&self) -> String {
        match self.plane {
            Plane::String(_) => format!("the {} string", self.level.name),
            Plane::Pair(_) => format!("{} together", self.level.name.replace('+', " and ")),
        }
    }
}

/// Height over a drawing in which nothing is seen, mm.
fn clear_above_mm(picture: &Picture) -> f64 {
    let top = |item: &Item| match item {
        Item::Image { bounds, image } => {
            Some(bounds.y0 + bounds.height() * image.clear_rows() as f64 / image.height.max(1) as f64)
        }
        other => Some(other.bounds()?.y0),
    };
    picture.items.iter().filter_map(top).fold(picture.height_mm, f64::min)
}

/// The picture without so much of its height at the top, where nothing is seen.
fn cut(mut picture: Picture, by_mm: f64) -> Picture {
    for item in &mut picture.items {
        if let Item::Image { bounds, image } = item {
            let row_mm = bounds.height() / image.height.max(1) as f64;
            let rows = ((by_mm - bounds.y0) / row_mm).max(0.0) as usize;
            let before = image.height;
            let less = Image::clone(image).cut(rows);
            bounds.y0 += row_mm * (before - less.height) as f64;
            *image = Arc::new(less);
        }
    }
    let mut whole = Picture::new(picture.width_mm, picture.height_mm - by_mm);
    whole.place(picture, (0.0, -by_mm));
    whole
}

/// To whole centimetres: the model knows no better.
fn about_cm(mm: f64) -> String {
    format!("{:.0} cm", mm / 10.0)
}

impl Press<'_> {
    /// The levels with these places, with the arm in the middle of the bow.
    fn on_levels(&self, levels: &[u8]) -> Result<Vec<OnLevel>, Missing> {
        let path = &self.study.analysis().arm_path;
        let middle = self.study.lesson().setup.bow.hair_mm / 2.0;
        if levels.is_empty() {
            return Err(Missing("No level of the arm is chosen here.".to_owned()));
        }
        let one = |index: &u8| {
            let plane = Plane::of_index(usize::from(*index));
            let level = path.fan.all().nth(usize::from(*index)).cloned();
            let missing = || Missing("This instrument has no such level of the arm.".to_owned());
            let level = level.ok_or_else(missing)?;
            let pose = path.arm.pose(level.angle_deg, middle);
            Ok(OnLevel { plane, level, pose })
        };
        levels.iter().map(one).collect()
    }

    /// The bow on a level, in the middle of its hair.
    fn bow_on(&self, on: &OnLevel) -> BowState {
        self.study.analysis().bow_between((on.plane, on.plane), 0.0, on.pose.hair_mm)
    }

    /// What the arm does from the level before to this one: one sentence.
    fn sentence(&self, before: Option<&OnLevel>, on: &OnLevel) -> String {
        let Some(before) = before else { return sentence_case(&on.words()) + "." };
        let way = before.pose.travel_to(&on.pose);
        let rises = on.pose.elbow_above_floor_mm - before.pose.elbow_above_floor_mm;
        let elbow = if rises >= 0.0 { "rises" } else { "sinks" };
        format!(
            "{}: from {} the elbow {elbow} by {} and the hand moves {}.",
            sentence_case(&on.words()),
            before.words(),
            about_cm(rises.abs()),
            about_cm(way.hand_mm)
        )
    }

    /// Drawings of levels in rows, each with its sentence if it is to be told.
    fn row_of_levels(
        &mut self,
        levels: &[OnLevel],
        (least_mm, most_mm): (f64, f64),
        (width_mm, says): (f64, bool),
        draw: &mut dyn FnMut(&mut Self, &OnLevel, f64) -> Picture,
    ) -> Vec<Slab> {
        let fit = ((width_mm + ALLEY_MM) / (least_mm * self.look.drawing + ALLEY_MM)).floor().max(1.0);
        let columns = (fit as usize).min(levels.len()).max(1);
        let wide = ((width_mm + ALLEY_MM) / columns as f64 - ALLEY_MM).min(most_mm * self.look.drawing);
        // Fewer than a row holds stand in the middle of it.
        let step = (width_mm + ALLEY_MM) / columns as f64;
        let mut slabs: Vec<Slab> = Vec::new();
        let mut before: Option<&OnLevel> = None;
        for row in levels.chunks(columns) {
            let mut drawings: Vec<Picture> = row.iter().map(|on| draw(self, on, wide)).collect();
            // What is empty over all of them goes, so that they stand under their heading.
            let empty = drawings.iter().map(clear_above_mm).fold(f64::INFINITY, f64::min).clamp(0.0, 1e4);
            drawings.iter_mut().for_each(|drawing| *drawing = cut(std::mem::take(drawing), empty));
            let mut cells = Vec::new();
            for ((column, on), drawing) in row.iter().enumerate().zip(drawings) {
                let sentence = self.sentence(before, on);
                let mut cell = Slab::new(Picture::new(wide, 0.0), self.look.gap_mm());
                if load(on.pose.upper_arm_deg) == Load::Vary {
                    cell.cautions.insert(RAISED);
                }
                cell.picture.height_mm = drawing.height_mm;
                cell.picture.place(drawing.read_as(Role::Figure(self.seen(on))), (0.0, 0.0));
                let mut parts = vec![cell];
                if says {
                    let words = self.caption(&sentence, wide).read_as(Role::Paragraph);
                    parts.push(Slab::new(words, 0.4 * self.look.body_mm));
                }
                let x = step * column as f64 + (step - ALLEY_MM - wide) / 2.0;
                cells.push((x, stacked(parts, wide)));
                before = Some(on);
            }
            slabs.push(beside(cells, width_mm));
        }
        slabs
    }

    fn seen(&self, on: &OnLevel) -> String {
        format!(
            "The bow on {}, the elbow {} above the floor, the upper arm {:.0}° from hanging down.",
            on.words(),
            about_cm(on.pose.elbow_above_floor_mm),
            on.pose.upper_arm_deg
        )
    }

    /// The bridge with the bow on each of these levels.
    pub(super) fn levels(&mut self, levels: &[u8], width_mm: f64) -> Made {
        let levels = self.on_levels(levels)?;
        let fan = &mut |press: &mut Self, on: &OnLevel, wide: f64| {
            let factor = press.look.drawing.min(wide / FAN_MM);
            level_fan(press.study, &press.bow_on(on), wide / factor).scaled(factor)
        };
        Ok(self.row_of_levels(&levels, BRIDGE_MM, (width_mm, false), fan))
    }

    /// The player on each of these levels.
    pub(super) fn player(&mut self, levels: &[u8], view: ArmView, width_mm: f64) -> Made {
        let levels = self.on_levels(levels)?;
        let draw = &mut |press: &mut Self, on: &OnLevel, wide: f64| {
            let figure = ArmFigure {
                view,
                turn_deg: (0.0, 0.0),
                level_deg: on.level.angle_deg,
                plane: on.plane,
                hair_mm: on.pose.hair_mm,
                held: None,
                size_mm: (wide, wide * PLAYER_TALL),
                type_mm: PLAYER_TYPE_MM * press.look.drawing,
                large: false,
                pixels_per_mm: PAPER_PIXELS_PER_MM,
            };
            let study = press.study;
            arm_figure(study, press.sitter(), &figure)
        };
        Ok(self.row_of_levels(&levels, PLAYER_MM, (width_mm, true), draw))
    }

    /// The bow at the start of each of these notes.
    pub(super) fn bows(&self, notes: &[EventId], width_mm: f64) -> Made {
        if notes.is_empty() {
            return Err(Missing("No note is chosen here.".to_owned()));
        }
        let (score, analysis) = (&self.study.lesson().score, self.study.analysis());
        let mut slabs = Vec::new();
        for note in notes {
            let Some(k) = analysis.bowed_of_event(*note) else {
                slabs.extend(
                    self.missing("A note that stood here is not in the music, or is not bowed.", width_mm),
                );
                continue;
            };
            let stroke = analysis.stroke(analysis.stroke_of(k));
            let first = analysis.note(stroke.notes.start);
            let state = analysis.bow_at(analysis.bowed(k).onset_s);
            let factor = self.look.drawing;
            let drawing = bare_bow(self.study, &state, width_mm / factor).scaled(factor);
            let place = sentence_case(&score.place(first.onset).short());
            let (from, _) = analysis.plan.places_mm(stroke.notes.start);
            let (_, to) = analysis.plan.places_mm(stroke.notes.end - 1);
            let hair = self.study.lesson().setup.bow.hair_mm.max(1.0);
            let [starts, ends] = [from, to].map(|mm| there(mm / hair));
            let way = stroke.direction.bow_word();
            let title = format!("{place}: {way}, it starts {starts} and ends {ends}");
            let words = format!("The bow: {way} from {} to {} from the frog.", cm(from), cm(to));
            let style = Style::plain(self.look.body_mm, Ink::Text).in_face(Face::SansBold);
            let title = plain_words(&title, style, width_mm).read_as(Role::Paragraph);
            let title = Slab { keeps: true, ..Slab::new(title, self.look.gap_mm()) };
            let drawing = Slab::new(drawing.read_as(Role::Figure(words)), 0.3 * self.look.body_mm);
            slabs.push(stacked(vec![title, drawing], width_mm));
        }
        Ok(slabs)
    }

    /// The notes that sound at a note.
    pub(super) fn together(&self, note: EventId, width_mm: f64) -> Made {
        let (lesson, analysis) = (self.study.lesson(), self.study.analysis());
        let attack = self.sounding(note)?;
        let seconds = analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset);
        let found = together(&lesson.setup, &attack.notes, seconds);
        let place = lesson.score.place(attack.onset).short();
        if let Some(problem) = &found.problem {
            return Err(Missing(format!("{}: {problem}.", sentence_case(&place))));
        }
        let Some(pair) = found.pairs.first() else {
            return Err(Missing("These notes lie on no two strings.".to_owned()));
        };
        let level = analysis.line.dynamics.level(attack.onset.to_f64());
        let shares = weight_on(&lesson.setup, &found, pair.plane, level);
        let middle = lesson.setup.bow.hair_mm / 2.0;
        let state = BowState {
            plane: pair.plane,
            level_deg: pair.angle_deg,
            on_string: true,
            ..analysis.bow_at(analysis.seconds_at(attack.onset))
        };
        let factor = self.look.drawing;
        let view =
            TogetherView { together: &found, shares: &shares, state: &state, width_mm: width_mm / factor };
        let drawing = together_picture(self.study, &view).scaled(factor);
        // Their octaves the staff shows.
        let name = |name: &String| name.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_owned();
        let names = found.names.iter().map(name).collect::<Vec<_>>().join(" and ");
        let strings = pair.name.split('+').rev().collect::<Vec<_>>().join(" and ");
        let words = format!(
            "{} in {place}, on the strings {strings}: where the fingers lie, the bow on both strings, and the weight on each.",
            names
        );
        let interval = found.interval.as_ref().map_or_else(String::new, |interval| format!(", {interval}"));
        let title = sentence_case(&format!("{place}: {names}{interval}, on the strings {strings}"));
        let style = Style::plain(self.look.body_mm, Ink::Text).in_face(Face::SansBold);
        let title = plain_words(&title, style, width_mm).read_as(Role::Paragraph);
        let mut drawing = Slab::new(drawing.read_as(Role::Figure(words)), 0.6 * self.look.body_mm);
        if load(analysis.arm_path.arm.pose(pair.angle_deg, middle).upper_arm_deg) == Load::Vary {
            drawing.cautions.insert(RAISED);
        }
        Ok(vec![Slab { keeps: true, ..Slab::new(title, self.look.gap_mm()) }, drawing])
    }
}
