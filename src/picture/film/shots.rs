//! Frames as pixels, made by some threads at once and handed on in their order.

use std::{
    sync::mpsc::{Receiver, SyncSender, sync_channel},
    thread,
};

use tiny_skia::Pixmap;

use super::{FilmError, Moment, Reel};
use crate::{
    figure::Sitter,
    picture::{RenderError, format::canvas::Canvas},
};

/// Most threads. Assumed: more would wait for the one that puts the file together.
const MOST_THREADS: usize = 4;
/// Frames that a thread may be ahead: what is held does not grow with the film.
const AHEAD: usize = 2;

/// Draws frames of a reel; what stands still is drawn when it comes.
pub(super) struct Drawer<'a> {
    reel: &'a Reel,
    sitter: Sitter,
    still: Option<(usize, Pixmap)>,
}

impl<'a> Drawer<'a> {
    pub fn new(reel: &'a Reel) -> Self {
        Self { reel, sitter: reel.sitter(), still: None }
    }

    /// A frame.
    pub fn frame(&mut self, index: usize) -> Result<Pixmap, FilmError> {
        let moment = self.reel.moment(index);
        let (film, per_mm) = (self.reel.film(), self.reel.pixels_per_mm());
        let image = match &self.still {
            Some((still, image)) if *still == moment.still => image.clone(),
            _ => self.still_of(&moment)?,
        };
        let mut canvas = Canvas::over(image, per_mm);
        canvas.picture(&self.reel.moving(&moment, &mut self.sitter), &film.theme);
        Ok(canvas.image)
    }

    fn still_of(&mut self, moment: &Moment) -> Result<Pixmap, FilmError> {
        let film = self.reel.film();
        let refused = || RenderError::Drawing("there is no memory for a frame".to_owned());
        let mut canvas = Canvas::new(film.size, self.reel.pixels_per_mm()).ok_or_else(refused)?;
        canvas.ground(&film.theme);
        canvas.picture(&self.reel.still(moment), &film.theme);
        self.still = Some((moment.still, canvas.image.clone()));
        Ok(canvas.image)
    }
}

/// Makes all frames, what each becomes by `develop`, and hands them on in their order; `take` says whether it
/// wants more.
pub(super) fn develop<T: Send>(
    reel: &Reel,
    develop: &(dyn Fn(Pixmap) -> Result<T, FilmError> + Sync),
    take: &mut dyn FnMut(usize, T) -> Result<(), FilmError>,
) -> Result<(), FilmError> {
    let most = thread::available_parallelism().map_or(1, usize::from).clamp(1, MOST_THREADS);
    let threads = most.min(reel.count());
    thread::scope(|scope| {
        let mut lines: Vec<Receiver<Result<T, FilmError>>> = Vec::new();
        for first in 0..threads {
            let (send, receive) = sync_channel(AHEAD);
            let work = move || draw(reel, (first, threads), develop, &send);
            thread::Builder::new().name("frames".to_owned()).spawn_scoped(scope, work)?;
            lines.push(receive);
        }
        for frame in 0..reel.count() {
            // A thread ends before its last frame only where it failed on it.
            let made = lines[frame % threads].recv().map_err(|_| {
                RenderError::Drawing("the program failed on a frame; that is a fault of ours".to_owned())
            })?;
            take(frame, made?)?;
        }
        // Dropped here, so that threads whose frames nobody takes end too.
        drop(lines);
        Ok(())
    })
}

/// Every frame of one thread, until nobody takes them.
fn draw<T>(
    reel: &Reel,
    (first, step): (usize, usize),
    develop: &(dyn Fn(Pixmap) -> Result<T, FilmError> + Sync),
    line: &SyncSender<Result<T, FilmError>>,
) {
    let mut drawer = Drawer::new(reel);
    for frame in (first..reel.count()).step_by(step) {
        let made = drawer.frame(frame).and_then(develop);
        let failed = made.is_err();
        if line.send(made).is_err() || failed {
            return;
        }
    }
}
