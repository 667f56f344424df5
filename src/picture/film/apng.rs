//! A film as one PNG that moves (PNG, third edition, W3C 2025: chunks acTL, fcTL and fdAT): all colours, a clear
//! ground where it is wished, of each frame the box that differs from the one before.

use std::io;

use png::{BitDepth, BlendOp, ColorType, Compression, DisposeOp, Encoder, EncodingError};
use tiny_skia::Pixmap;

use super::{FilmError, Reel, moves::Patch, shots::develop};
use crate::picture::RenderError;

impl From<EncodingError> for FilmError {
    fn from(error: EncodingError) -> Self {
        match error {
            EncodingError::IoError(error) => error.into(),
            other => RenderError::Drawing(other.to_string()).into(),
        }
    }
}

/// A pixel as the file has it: red, green, blue, opacity.
type Dot = [u8; 4];

/// The pixels of a frame.
pub(super) fn dots(frame: &Pixmap) -> Vec<Dot> {
    let dot = |dot: &tiny_skia::PremultipliedColorU8| {
        let dot = dot.demultiply();
        [dot.red(), dot.green(), dot.blue(), dot.alpha()]
    };
    frame.pixels().iter().map(dot).collect()
}

/// One frame as a file of its own.
pub(super) fn single(frame: &Pixmap) -> Result<Vec<u8>, FilmError> {
    let mut bytes = Vec::new();
    let mut encoder = encoder(&mut bytes, (frame.width(), frame.height()));
    encoder.set_compression(Compression::Fast);
    encoder.write_header()?.write_image_data(dots(frame).as_flattened())?;
    Ok(bytes)
}

fn encoder<W: io::Write>(out: W, (width, height): (u32, u32)) -> Encoder<'static, W> {
    let mut encoder = Encoder::new(out, width, height);
    encoder.set_color(ColorType::Rgba);
    encoder.set_depth(BitDepth::Eight);
    encoder
}

/// Writes a film. Its head says how many frames follow; of one that is like the one before stands one pixel.
pub(super) fn write(
    reel: &Reel,
    out: &mut dyn io::Write,
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<(), FilmError> {
    let film = reel.film();
    let mut encoder = encoder(out, film.size);
    let count = u32::try_from(reel.count()).unwrap_or(u32::MAX);
    encoder.set_animated(count, u32::from(!film.loops))?;
    encoder.set_compression(Compression::Fast);
    encoder.set_dispose_op(DisposeOp::None)?;
    encoder.set_blend_op(BlendOp::Source)?;
    encoder.set_frame_delay(1, film.rate as u16)?;
    let mut writer = encoder.write_header()?;
    let wide = film.size.0 as usize;
    let mut before: Option<Vec<Dot>> = None;
    develop(reel, &|frame| Ok(dots(&frame)), &mut |index, dots: Vec<Dot>| {
        if !goes_on(index as f64 / reel.count() as f64) {
            return Err(FilmError::Stopped);
        }
        let patch = match &before {
            None => Patch::whole(film.size),
            Some(before) => Patch::between(before, &dots, wide).unwrap_or(Patch::ONE),
        };
        if before.is_some() {
            writer.reset_frame_position()?;
            writer.set_frame_dimension(patch.width as u32, patch.height as u32)?;
            writer.set_frame_position(patch.left as u32, patch.top as u32)?;
        }
        let rows: Vec<Dot> = patch.rows(&dots, wide).flatten().copied().collect();
        writer.write_image_data(rows.as_flattened())?;
        before = Some(dots);
        Ok(())
    })?;
    writer.finish()?;
    Ok(())
}
