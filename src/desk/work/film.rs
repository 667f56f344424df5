//! One moment of a film that is wished, drawn while it is put together.

use egui::Context;

use crate::{
    analysis::{Study, StudyId},
    lesson::change::set_tempo_share,
    picture::{
        Picture, Theme,
        film::{Film, FilmError, Reel},
    },
    score::sentence_case,
};

use super::job::Job;

/// A film that is wished, at a tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmWish {
    /// The film.
    pub film: Film,
    /// Tempo as a share of the marked one.
    pub tempo_share: f64,
}

impl FilmWish {
    /// The film of a study, laid out.
    pub fn reel(&self, study: &Study) -> Result<Reel, FilmError> {
        let lesson = study.lesson();
        if (lesson.setup.tempo_share - self.tempo_share).abs() < 1e-9 {
            return Reel::new(study, &self.film);
        }
        let edit = set_tempo_share(lesson, self.tempo_share).and_then(|edit| edit.apply(lesson));
        let (slower, _) = edit.map_err(|error| FilmError::Wish(error.to_string()))?;
        Reel::new(&study.with(slower), &self.film)
    }
}

/// A moment of a film.
pub struct Shown {
    /// The drawing.
    pub picture: Picture,
    /// Its colours.
    pub theme: Theme,
    /// When it comes, s.
    pub time_s: f64,
    /// How long the film is, in words.
    pub words: String,
}

/// The moment that is looked at.
#[derive(Default)]
pub struct FilmWork {
    about: Option<(StudyId, FilmWish, f64)>,
    job: Option<Job<Result<Shown, String>>>,
    shown: Option<Result<Shown, String>>,
}

impl FilmWork {
    /// The moment drawn last, or why there is none.
    pub fn shown(&self) -> Option<&Result<Shown, String>> {
        self.shown.as_ref()
    }

    /// It is being drawn.
    pub fn is_under_way(&self) -> bool {
        self.job.is_some()
    }

    /// Takes in what was drawn, and begins anew when something else is wished; one after the other, the last one
    /// always. Call it every frame while it is shown.
    pub fn turn(&mut self, study: &Study, wish: &FilmWish, at: f64, ctx: &Context) {
        if let Some(job) = &mut self.job {
            let made = job.next();
            if made.is_none() && !job.is_over() {
                return;
            }
            self.job = None;
            self.shown = made.or(self.shown.take());
        }
        let about = (study.id(), wish.clone(), at);
        if self.about.as_ref() == Some(&about) {
            return;
        }
        self.about = Some(about);
        let (study, wish) = (study.clone(), wish.clone());
        self.job = Job::start("film", ctx, move |line| line.send(shown(&study, &wish, at)));
    }
}

fn shown(study: &Study, wish: &FilmWish, at: f64) -> Result<Shown, String> {
    let reel = wish.reel(study).map_err(|error| sentence_case(&error.to_string()))?;
    let last = reel.count() - 1;
    let moment = reel.moment((at.clamp(0.0, 1.0) * last as f64).round() as usize);
    let mut picture = reel.still(&moment);
    picture.place(reel.moving(&moment, &mut reel.sitter()), (0.0, 0.0));
    let seconds = reel.count() as f64 / f64::from(wish.film.rate);
    let words = format!("{seconds:.1} s, {} frames", reel.count());
    Ok(Shown { picture, theme: wish.film.theme, time_s: moment.time_s, words })
}
