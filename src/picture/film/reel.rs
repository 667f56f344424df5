//! A film laid out: what stands still and what moves at each of its moments.

use std::ops::Range;

use kurbo::{Point, Rect};

use super::{
    Film, FilmError, Seen, Subject,
    course::Course,
    layout::{Layout, Needs},
};
use crate::{
    analysis::{BowState, Study},
    figure::{Mannequin, Sitter},
    picture::{
        About, ArmFigure, Engraving, Face, Ink, Picture, Playhead, Staff, System, TimeAxis, arm_figure,
        bow_bar::told_bow,
        breaking::even_lines,
        hair_map::{fitting_hair_map, fitting_words_mm},
        header_width_mm, level_fan, level_lanes, playhead, signed, staff, words_on,
    },
    score::{Quarters, TypedTempo, sentence_case},
};

/// Height and type of the words at the head, mm.
const HEAD_MM: f64 = 6.0;
const TITLE_MM: f64 = 4.2;
/// Room for names at the left of the hair map and the levels, mm.
const NAMES_MM: f64 = 15.0;
/// Least and greatest height of the hair, mm.
const HAIR_MM: (f64, f64) = (26.0, 58.0);
const LEAST_HAIR_MM: f64 = 12.0;
/// Least and greatest width that music asks for, for a long bar, and the width for which its height is taken, mm.
const WIDTH_MM: std::ops::RangeInclusive<f64> = 60.0..=190.0;
const USUAL_MM: f64 = 120.0;
/// The bow is drawn for this width where its height is taken, mm.
const BOW_MM: f64 = 120.0;
/// Music is stretched at most by this factor to fill a line. Assumed.
const MOST_STRETCH: f64 = 2.4;
/// The bridge is drawn for this width, for its words to have room, mm.
const FAN_MM: f64 = 64.0;
/// Type on the player, mm; with all names where the player is so wide.
const TYPE_MM: f64 = 2.9;
const LARGE_MM: f64 = 78.0;
/// Room over the staff for the head of the playhead, mm.
const OVER_MM: f64 = 2.0;

/// A film of a study, laid out.
pub struct Reel {
    study: Study,
    film: Film,
    course: Course,
    layout: Layout,
    lines: Vec<Line>,
}

/// A line of the music as it stands on its frames.
struct Line {
    /// Where it ends, quarters.
    to: f64,
    system: System,
    /// All that is drawn of it.
    picture: Picture,
    /// Top and bottom of the playhead, mm.
    ends_mm: (f64, f64),
    /// y of frog and tip, mm.
    hair_mm: Option<(f64, f64)>,
    /// Words that the playhead leaves.
    words: Vec<Rect>,
}

/// A moment of a film.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// When it is shown, s from the start.
    pub time_s: f64,
    /// Time in the music, s at the practice tempo; none where the arm alone is shown.
    pub music_s: Option<f64>,
    /// The bar, as it is typed; empty where the arm alone is shown, or there are no bars.
    pub place: String,
    /// Quarter notes from the start of the music.
    pub quarters: Option<f64>,
    /// The bow.
    pub bow: BowState,
    /// Which of the things that stand still is behind it.
    pub still: usize,
}

impl Reel {
    /// Lays a film out.
    ///
    /// # Errors
    /// Says what cannot be made as it is wished: nothing is to be seen, a size, a rate, too many frames.
    pub fn new(study: &Study, film: &Film) -> Result<Self, FilmError> {
        if let Some(problem) = film.problem() {
            return Err(FilmError::Wish(problem));
        }
        let course = Course::new(study, film)?;
        let mut reel = Self {
            study: study.clone(),
            film: film.clone(),
            course,
            layout: Layout::default(),
            lines: Vec::new(),
        };
        reel.lay_out()?;
        Ok(reel)
    }

    /// How many frames it has.
    pub fn count(&self) -> usize {
        self.course.count
    }

    /// The film it is made of.
    pub fn film(&self) -> &Film {
        &self.film
    }

    /// What is filmed.
    pub fn study(&self) -> &Study {
        &self.study
    }

    /// Pixels in a mm of its drawings.
    pub fn pixels_per_mm(&self) -> f64 {
        self.layout.pixels_per_mm
    }

    /// A player to be drawn on its frames.
    pub fn sitter(&self) -> Sitter {
        Sitter::new(Mannequin::new(&self.study.lesson().setup, &self.study.analysis().arm_path.arm))
    }

    /// The moment of a frame.
    pub fn moment(&self, frame: usize) -> Moment {
        let music_s = self.course.music_s(frame);
        let analysis = self.study.analysis();
        let quarters = music_s.map(|music_s| analysis.quarters_at(music_s));
        let score = &self.study.lesson().score;
        let bar = quarters.and_then(|quarters| score.bar_at(Quarters::from_f64(quarters + 1e-6)));
        let place = bar.map_or_else(String::new, |bar| score.typed_bars(bar..bar + 1));
        let line =
            quarters.map_or(0, |quarters| self.lines.partition_point(|line| line.to <= quarters + 1e-9));
        Moment {
            time_s: self.course.time_s(frame),
            music_s,
            place,
            quarters,
            bow: self.course.bow(&self.study, frame),
            still: line.min(self.lines.len().saturating_sub(1)),
        }
    }

    /// What stands still at a moment.
    pub fn still(&self, moment: &Moment) -> Picture {
        let mut picture = Picture::new(self.layout.size_mm.0, self.layout.size_mm.1);
        picture.about = About { music: self.study.lesson().score.title.clone(), ..About::default() };
        if let Some(head) = self.layout.head {
            self.head(&mut picture, head);
        }
        if let (Some(at), Some(line)) = (self.layout.music, self.lines.get(moment.still)) {
            picture.place(line.picture.clone(), at.origin());
        }
        picture
    }

    /// What moves at a moment.
    pub fn moving(&self, moment: &Moment, sitter: &mut Sitter) -> Picture {
        let mut picture = Picture::new(self.layout.size_mm.0, self.layout.size_mm.1);
        if let (Some(at), Some(line)) = (self.layout.music, self.lines.get(moment.still)) {
            self.playhead(&mut picture, at, line, moment);
        }
        if let Some(at) = self.layout.bow {
            picture.place(told_bow(&self.study, &moment.bow, at.width()), at.origin());
        }
        if let Some(at) = self.layout.fan {
            let factor = at.width() / FAN_MM;
            picture.place(level_fan(&self.study, &moment.bow, FAN_MM).scaled(factor), at.origin());
        }
        if let (Some(at), Some(view)) = (self.layout.player, self.film.seen.player) {
            // Whole pixels, so that its dots are those of the frame.
            let whole = |mm: f64| (mm * self.layout.pixels_per_mm).floor() / self.layout.pixels_per_mm;
            let figure = ArmFigure {
                view,
                turn_deg: (0.0, 0.0),
                level_deg: moment.bow.level_deg,
                plane: moment.bow.plane,
                hair_mm: moment.bow.hair_mm,
                held: None,
                size_mm: (whole(at.width()), whole(at.height())),
                type_mm: TYPE_MM,
                large: at.width() >= LARGE_MM,
                pixels_per_mm: self.layout.pixels_per_mm,
            };
            let at = Point::new(whole(at.x0), whole(at.y0));
            picture.place(arm_figure(&self.study, sitter, &figure), at);
        }
        picture
    }

    fn playhead(&self, picture: &mut Picture, at: Rect, line: &Line, moment: &Moment) {
        let Some(quarters) = moment.quarters else { return };
        let hair = self.study.lesson().setup.bow.hair_mm.max(1.0);
        let share = moment.bow.hair_mm / hair;
        let head = Playhead {
            x_mm: line.system.axis.x_f64(quarters).min(line.system.music_right_mm()),
            ends_mm: line.ends_mm,
            hair_y_mm: line.hair_mm.map(|(frog, tip)| frog + (tip - frog) * share),
            on_string: moment.bow.on_string,
            words: &line.words,
        };
        picture.place(playhead(&head), at.origin());
    }

    /// Title, bars and tempo.
    fn head(&self, picture: &mut Picture, at: Rect) {
        let Subject::Passage { bars } = &self.film.subject else { return };
        let score = &self.study.lesson().score;
        let bars = bars.start..bars.end.min(score.bars.len());
        let Some(first) = score.bars.get(bars.start) else { return };
        let sections = score.bar_sections();
        let name = |bar: usize| score.bar_name(bar, &sections);
        let place =
            sentence_case(&name(bars.start).words_to(&name(bars.end.saturating_sub(1).max(bars.start))));
        let title = score.title.trim();
        let words = if title.is_empty() { place } else { format!("{title} · {place}") };
        let beat = first.time.beat();
        let qpm = score.tempo_map().qpm_at(first.start) * self.study.lesson().setup.tempo_share;
        let beats = (qpm / beat.to_f64()).round().max(1.0);
        let tempo = TypedTempo::new(&format!("{beats}"), beat).map_or_else(String::new, |tempo| tempo.text);
        let tempo_mm = signed::width_mm(&tempo, TITLE_MM, Face::Sans);
        // No larger than there is room for.
        let room = (at.width() - tempo_mm - 4.0).max(1.0);
        let size = TITLE_MM * (room / signed::width_mm(&words, TITLE_MM, Face::SansBold).max(1e-6)).min(1.0);
        let y = at.y0 + 0.8 * HEAD_MM;
        signed::text(picture, Point::new(at.x0, y), &words, size, (Face::SansBold, Ink::Text));
        let x = at.x1 - tempo_mm;
        signed::text(picture, Point::new(x, y), &tempo, TITLE_MM, (Face::Sans, Ink::Text));
    }

    /// Chooses what stands where, and draws the lines of the music.
    fn lay_out(&mut self) -> Result<(), FilmError> {
        let (study, seen) = (&self.study, self.film.seen);
        let state = self.course.bow(study, 0);
        let bars = match &self.film.subject {
            Subject::Passage { bars } => Some(bars.start..bars.end.min(study.lesson().score.bars.len())),
            Subject::Levels { .. } => None,
        };
        let music = bars.clone().filter(|_| seen.staff || seen.hair || seen.levels);
        let music = music.map(|bars| Music::new(study, bars, seen));
        if music.is_none() && !seen.bow && !seen.fan && seen.player.is_none() {
            return Err(FilmError::Wish("nothing is to be seen; choose what".to_owned()));
        }
        let needs = Needs {
            head: bars.is_some().then_some(HEAD_MM),
            music: music.as_ref().map(Music::needs),
            bow: seen.bow.then(|| told_bow(study, &state, BOW_MM).height_mm),
            fan: seen.fan.then(|| level_fan(study, &state, FAN_MM).height_mm / FAN_MM),
            player: seen.player.is_some(),
        };
        self.layout = Layout::new(self.film.size, &needs);
        if let (Some(at), Some(music)) = (self.layout.music, music) {
            self.lines = music.lines((at.width(), at.height()));
        }
        Ok(())
    }
}

/// The music of a film, spaced.
struct Music<'a> {
    study: &'a Study,
    seen: Seen,
    engraving: Engraving,
    axis: TimeAxis,
    bars: Range<usize>,
    /// Room in front of the music, mm.
    header_mm: f64,
}

/// A line as it is drawn whatever its height.
struct Drawn {
    system: System,
    staff: Option<Staff>,
    lanes: Option<Picture>,
    /// Height of what is on its hair map but the hair.
    words_mm: f64,
}

/// What lines have in common, so that nothing jumps from one to the next, mm.
struct Common {
    /// From the top to the top staff line, and from there to the foot of the staff.
    staff: (f64, f64),
    words: f64,
    lanes: f64,
}

impl Common {
    fn of(lines: &[Drawn]) -> Self {
        let most = |value: &dyn Fn(&Drawn) -> f64| lines.iter().map(value).fold(0.0, f64::max);
        let over = |line: &Drawn| line.staff.as_ref().map_or(0.0, |staff| staff.top_line_mm);
        let under = |line: &Drawn| {
            line.staff.as_ref().map_or(0.0, |staff| staff.picture.height_mm - staff.top_line_mm)
        };
        Self {
            staff: (OVER_MM + most(&over), most(&under)),
            words: most(&|line| line.words_mm),
            lanes: most(&|line| line.lanes.as_ref().map_or(0.0, |lanes| lanes.height_mm)),
        }
    }

    /// Height of all but the hair.
    fn height_mm(&self) -> f64 {
        self.staff.0 + self.staff.1 + self.words + self.lanes
    }
}

impl<'a> Music<'a> {
    fn new(study: &'a Study, bars: Range<usize>, seen: Seen) -> Self {
        let score = &study.lesson().score;
        let engraving = Engraving::new(score);
        let header_mm = bars.clone().map(|bar| header_width_mm(score, bar)).fold(NAMES_MM, f64::max);
        Self { axis: TimeAxis::new(score, &engraving), study, seen, engraving, bars, header_mm }
    }

    /// Least and greatest height, and least width, mm.
    fn needs(&self) -> ((f64, f64), f64) {
        let score = &self.study.lesson().score;
        let bar = |bar: usize| {
            let bar = &score.bars[bar];
            self.axis.barline_x(bar.end()) - self.axis.barline_x(bar.start)
        };
        let longest = self.bars.clone().map(bar).fold(0.0, f64::max);
        let width = (self.header_mm + longest).clamp(*WIDTH_MM.start(), *WIDTH_MM.end());
        let fixed = Common::of(&self.drawn(width.max(USUAL_MM))).height_mm();
        let hair = if self.seen.hair { HAIR_MM } else { (0.0, 0.0) };
        ((fixed + hair.0, fixed + hair.1), width)
    }

    /// The lines for a width, mm.
    fn drawn(&self, width_mm: f64) -> Vec<Drawn> {
        let score = &self.study.lesson().score;
        let room = width_mm - self.header_mm;
        let lines = even_lines(score, &self.engraving, &self.axis, self.bars.clone(), &|_| room);
        let spans = lines.into_iter().filter_map(|bars| score.span_of(&bars));
        spans.map(|span| self.line(span, width_mm)).collect()
    }

    fn line(&self, span: Range<Quarters>, width_mm: f64) -> Drawn {
        let (axis, study, seen) = (&self.axis, self.study, self.seen);
        let natural = axis.barline_x(span.end) - axis.barline_x(span.start) + axis.notice_mm(span.end);
        let right = width_mm.min(self.header_mm + natural.max(1.0) * MOST_STRETCH);
        let system = System::fitted(axis, (span.start, span.end), 0.0, (self.header_mm, right));
        Drawn {
            staff: seen.staff.then(|| staff(study, &self.engraving, &system, seen.pencil, 1.0)),
            lanes: seen.levels.then(|| level_lanes(study, &system)),
            words_mm: if seen.hair { fitting_words_mm(study, &system) } else { 0.0 },
            system,
        }
    }

    /// The lines in a box of this width and height, mm.
    fn lines(&self, (width_mm, height_mm): (f64, f64)) -> Vec<Line> {
        let drawn = self.drawn(width_mm);
        let common = Common::of(&drawn);
        let hair_mm = (height_mm - common.height_mm()).clamp(LEAST_HAIR_MM, HAIR_MM.1);
        drawn.into_iter().map(|drawn| self.placed(drawn, &common, hair_mm)).collect()
    }

    fn placed(&self, drawn: Drawn, common: &Common, hair_mm: f64) -> Line {
        let Drawn { system, staff, lanes, .. } = drawn;
        let mut picture = Picture::new(system.right_mm, 0.0);
        let mut y = common.staff.0 + common.staff.1;
        let mut words = Vec::new();
        if let Some(Staff { picture: staff, top_line_mm }) = staff {
            picture.place(staff, (0.0, common.staff.0 - top_line_mm));
            words = words_on(&picture.items);
        }
        let mut hair = None;
        if self.seen.hair {
            let map = fitting_hair_map(self.study, &system, None, hair_mm);
            hair = Some((y + map.frog_y_mm, y + map.tip_y_mm));
            picture.place(map.picture, (0.0, y));
            y += hair_mm + common.words;
        }
        if let Some(lanes) = lanes {
            picture.place(lanes, (0.0, y));
            y += common.lanes;
        }
        picture.height_mm = y;
        Line { to: system.to.to_f64(), system, picture, ends_mm: (0.4, y), hair_mm: hair, words }
    }
}
