//! A film as one GIF (Graphics Interchange Format, version 89a): all frames in one palette, of each what differs
//! from the one before.

use std::io;

use gif::{DisposalMethod, Encoder, EncodingError, Frame, Repeat};

use super::{
    FilmError, Reel,
    moves::Patch,
    palette::{Census, Palette},
    shots::{Drawer, develop},
};
use crate::picture::RenderError;

/// Frames over the whole film of which the colours are taken. Assumed.
const LOOKED_AT: usize = 16;
/// Most frames a second: some who show such files take times under 2/100 s for none.
pub(super) const MOST_RATE: u32 = 50;

impl From<EncodingError> for FilmError {
    fn from(error: EncodingError) -> Self {
        match error {
            EncodingError::Io(error) => error.into(),
            other => RenderError::Drawing(other.to_string()).into(),
        }
    }
}

/// A frame on its way into the file: what is shown, and from when on, in 1/100 s.
struct Shown {
    patch: Patch,
    places: Vec<u8>,
    from: u64,
}

/// Writes a film.
pub(super) fn write(
    reel: &Reel,
    out: &mut dyn io::Write,
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<(), FilmError> {
    let film = reel.film();
    let palette = palette(reel)?;
    let (width, height) = (film.size.0 as u16, film.size.1 as u16);
    let mut encoder = Encoder::new(out, width, height, &palette.bytes())?;
    encoder.set_repeat(if film.loops { Repeat::Infinite } else { Repeat::Finite(0) })?;
    // The times of the frames, rounded each by itself, so that they never run away.
    let time = |frame: usize| (100.0 * frame as f64 / f64::from(film.rate)).round() as u64;
    let mut put = |shown: Shown, until: u64| {
        let delay = u16::try_from(until - shown.from).unwrap_or(u16::MAX);
        let Patch { left, top, width, height } = shown.patch;
        let mut frame = Frame {
            left: left as u16,
            top: top as u16,
            width: width as u16,
            height: height as u16,
            delay,
            dispose: DisposalMethod::Keep,
            transparent: Some(palette.same()),
            buffer: shown.places.into(),
            ..Frame::default()
        };
        frame.make_lzw_pre_encoded();
        encoder.write_lzw_pre_encoded_frame(&frame)
    };
    let wide = film.size.0 as usize;
    let mut before: Option<Vec<u8>> = None;
    let mut waiting: Option<Shown> = None;
    develop(reel, &|frame| Ok(palette.places(&frame)), &mut |index, places: Vec<u8>| {
        if !goes_on(index as f64 / reel.count() as f64) {
            return Err(FilmError::Stopped);
        }
        let patch = match &before {
            None => Some(Patch::whole(film.size)),
            Some(before) => Patch::between(before, &places, wide),
        };
        if let Some(patch) = patch {
            if let Some(shown) = waiting.take() {
                put(shown, time(index))?;
            }
            let places = match &before {
                None => places.clone(),
                Some(before) => changed(patch, before, &places, (wide, palette.same())),
            };
            waiting = Some(Shown { patch, places, from: time(index) });
        }
        before = Some(places);
        Ok(())
    })?;
    if let Some(shown) = waiting {
        put(shown, time(reel.count()))?;
    }
    Ok(())
}

/// The pixels of a box that differ from those before; for the others the place that means: as it was.
fn changed(patch: Patch, before: &[u8], places: &[u8], (width, same): (usize, u8)) -> Vec<u8> {
    let rows = patch.rows(before, width).zip(patch.rows(places, width));
    rows.flat_map(|(old, new)| old.iter().zip(new).map(|(old, new)| if old == new { same } else { *new }))
        .collect()
}

fn palette(reel: &Reel) -> Result<Palette, FilmError> {
    let mut census = Census::default();
    let mut drawer = Drawer::new(reel);
    let count = reel.count();
    let step = count.div_ceil(LOOKED_AT).max(1);
    for frame in (0..count).step_by(step) {
        census.count(&drawer.frame(frame)?);
    }
    Ok(Palette::new(&census, &reel.film().theme))
}
