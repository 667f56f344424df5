//! A drawing in dots: which material in which tone, or a contour.

use super::Material;

/// Steps of tone of a material, from the light to the shade.
pub const TONES: u8 = 3;

/// What a dot of an image shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dot {
    /// Nothing.
    Clear,
    /// A contour.
    Line,
    /// A material in one of its tones, 0 the lightest.
    Tone(Material, u8),
}

impl Dot {
    /// How much is seen of it where it lies see-through over something, 0 to 1: contours more. Assumed.
    pub fn veil(self) -> f64 {
        match self {
            Self::Clear => 0.0,
            Self::Line => 0.6,
            Self::Tone(..) => 0.2,
        }
    }
}

/// A drawing in dots. What they look like a theme says.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// Dots to the right.
    pub width: usize,
    /// Dots down.
    pub height: usize,
    pub(super) dots: Vec<u8>,
    /// What lies see-through over it, where something does.
    pub(super) veil: Option<Vec<u8>>,
}

impl Image {
    /// Dots to the side of a pixel.
    pub const FINE: usize = 2;

    pub(super) fn code(dot: Dot) -> u8 {
        match dot {
            Dot::Clear => 0,
            Dot::Line => 1,
            Dot::Tone(material, tone) => 2 + material as u8 * TONES + tone,
        }
    }

    fn dot(code: u8) -> Dot {
        match code {
            0 => Dot::Clear,
            1 => Dot::Line,
            n => Dot::Tone(Material::ALL[usize::from((n - 2) / TONES)], (n - 2) % TONES),
        }
    }

    /// Flipped left to right.
    #[must_use]
    pub fn flipped(mut self) -> Self {
        let width = self.width;
        for layer in [Some(&mut self.dots), self.veil.as_mut()].into_iter().flatten() {
            layer.chunks_mut(width).for_each(<[u8]>::reverse);
        }
        self
    }

    /// Rows of dots at the top in which nothing is drawn.
    pub fn clear_rows(&self) -> usize {
        let clear = |row: &&[u8]| row.iter().all(|dot| *dot == Self::code(Dot::Clear));
        self.dots.chunks(self.width.max(1)).take_while(clear).count()
    }

    /// The same without so many rows of dots at the top; whole pixels are left.
    #[must_use]
    pub fn cut(mut self, rows: usize) -> Self {
        let rows = rows.min(self.height) / Self::FINE * Self::FINE;
        for layer in [Some(&mut self.dots), self.veil.as_mut()].into_iter().flatten() {
            layer.drain(..rows * self.width);
        }
        self.height -= rows;
        self
    }

    /// What a dot shows, and what lies see-through over it.
    pub fn at(&self, x: usize, y: usize) -> (Dot, Dot) {
        let at = y * self.width + x;
        (Self::dot(self.dots[at]), self.veil.as_ref().map_or(Dot::Clear, |veil| Self::dot(veil[at])))
    }

    /// Its pixels row by row from the top, with the width in pixels: red, green and blue, each times the
    /// opacity, and the opacity.
    pub fn pixels(&self, colour: impl Fn(Dot) -> [u8; 3]) -> (usize, Vec<u8>) {
        let count = 2 + Material::ALL.len() * usize::from(TONES);
        let looks: Vec<[u32; 4]> = (0..count)
            .map(|code| {
                let [r, g, b] = colour(Self::dot(code as u8)).map(u32::from);
                if code == 0 { [0; 4] } else { [r, g, b, 255] }
            })
            .collect();
        let (wide, high) = (self.width / Self::FINE, self.height / Self::FINE);
        let mut pixels = vec![0; 4 * wide * high];
        for (y, row) in pixels.chunks_exact_mut(4 * wide.max(1)).enumerate() {
            let own = self.rows(&self.dots, y);
            let over = self.veil.as_ref().map(|veil| self.rows(veil, y));
            for (x, pixel) in row.as_chunks_mut::<4>().0.iter_mut().enumerate() {
                let own = own.map(|row| row[x]);
                let over = over.map_or([[0; Self::FINE]; Self::FINE], |over| over.map(|row| row[x]));
                // Mostly the dots of a pixel are alike.
                let sum = if own == [[own[0][0]; Self::FINE]; Self::FINE] && over.as_flattened() == [0; PARTS]
                {
                    looks[usize::from(own[0][0])]
                } else {
                    let dots = own.as_flattened().iter().zip(over.as_flattened());
                    let each = dots.map(|(own, over)| under(&looks, *own, *over));
                    let sum = each.fold([0; 4], |sum, one| std::array::from_fn(|k| sum[k] + one[k]));
                    sum.map(|part| part / PARTS as u32)
                };
                *pixel = sum.map(|part| part as u8);
            }
        }
        (wide, pixels)
    }

    /// The rows of dots in a row of pixels, each pixel's together.
    fn rows<'a>(&self, dots: &'a [u8], y: usize) -> [&'a [[u8; Self::FINE]]; Self::FINE] {
        std::array::from_fn(|k| {
            let from = (y * Self::FINE + k) * self.width;
            dots[from..from + self.width].as_chunks().0
        })
    }
}

/// Dots of a pixel.
const PARTS: usize = Image::FINE * Image::FINE;

/// The colour of a dot under one that lies see-through over it, times its opacity, and the opacity.
fn under(looks: &[[u32; 4]], own: u8, over: u8) -> [u32; 4] {
    let own = looks[usize::from(own)];
    if over == 0 {
        return own;
    }
    let strong = (Image::dot(over).veil() * 255.0) as u32;
    let veil = looks[usize::from(over)];
    std::array::from_fn(|k| (veil[k] * strong + own[k] * (255 - strong)) / 255)
}
