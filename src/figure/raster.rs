//! Solids drawn through a depth buffer into an image of flat tones and contours.
//!
//! Every solid is filled with the tones of its material by the angle of its surface to the light; a
//! contour is drawn where the distance jumps, or where one body ends at another. The image is drawn
//! finer than it is shown ([`Image::FINE`]), so that its edges are smooth.

use super::{Camera, Material, Solid, Solids};
use crate::arm::Vec3;

/// Steps of tone of a material, from the light to the shade.
pub const TONES: u8 = 3;
/// From where the light comes: right, up and toward who looks, on the picture. Assumed.
const LIGHT: Vec3 = Vec3::new(-0.43, 0.62, 0.656);
/// The light on a surface (1 straight on, 0 along it) where the tone steps down. Assumed.
const STEPS: [f32; 2] = [0.36, -0.02];
/// The distance jumps where two neighbouring dots lie farther apart than this, mm; and what is much
/// nearer than what is behind it has a stronger contour.
const JUMP_MM: f32 = 17.0;
const OUTLINE_MM: f32 = 110.0;
/// Half the length of a dash, mm of the picture.
const DASH_MM: f64 = 1.3;

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
    dots: Vec<u8>,
    /// What lies see-through over it, where something does.
    veil: Option<Vec<u8>>,
}

impl Image {
    /// Dots to the side of a pixel.
    pub const FINE: usize = 2;

    fn code(dot: Dot) -> u8 {
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

    /// What a dot shows, and what lies see-through over it.
    pub fn at(&self, x: usize, y: usize) -> (Dot, Dot) {
        let at = y * self.width + x;
        (Self::dot(self.dots[at]), self.veil.as_ref().map_or(Dot::Clear, |veil| Self::dot(veil[at])))
    }

    /// Its pixels, red, green, blue and opacity, row by row from the top, with the width in pixels.
    pub fn pixels(&self, colour: impl Fn(Dot) -> [u8; 3]) -> (usize, Vec<u8>) {
        let count = 2 + Material::ALL.len() * usize::from(TONES);
        let table: Vec<[u32; 4]> = (0..count)
            .map(|code| {
                let [r, g, b] = colour(Self::dot(code as u8)).map(u32::from);
                if code == 0 { [0; 4] } else { [r, g, b, 255] }
            })
            .collect();
        let (wide, high) = (self.width / Self::FINE, self.height / Self::FINE);
        let mut pixels = Vec::with_capacity(4 * wide * high);
        let parts = (Self::FINE * Self::FINE) as u32;
        for y in 0..high {
            for x in 0..wide {
                // Mostly the dots of a pixel are alike.
                let first = y * Self::FINE * self.width + x * Self::FINE;
                let row = |dy: usize| &self.dots[first + dy * self.width..][..Self::FINE];
                let one = self.dots[first];
                if self.veil.is_none() && (0..Self::FINE).all(|dy| row(dy).iter().all(|dot| *dot == one)) {
                    pixels.extend(table[usize::from(one)].map(|part| part as u8));
                    continue;
                }
                // Sums of colours times opacity, and of opacity.
                let mut sum = [0_u32; 4];
                for dy in 0..Self::FINE {
                    let row = (y * Self::FINE + dy) * self.width + x * Self::FINE;
                    for at in row..row + Self::FINE {
                        let mut dot = table[usize::from(self.dots[at])];
                        let over = self.veil.as_ref().map_or(0, |veil| veil[at]);
                        if over != 0 {
                            let strong = (Self::dot(over).veil() * 255.0) as u32;
                            let veil = table[usize::from(over)];
                            let alpha = strong + dot[3] * (255 - strong) / 255;
                            for (under, over) in dot.iter_mut().zip(veil).take(3) {
                                *under = (over * strong + *under * (alpha - strong)) / alpha;
                            }
                            dot[3] = alpha;
                        }
                        for (sum, part) in sum.iter_mut().zip(dot).take(3) {
                            *sum += part * dot[3];
                        }
                        sum[3] += dot[3];
                    }
                }
                let [r, g, b, alpha] = sum;
                let full = alpha.max(1);
                pixels.extend([r / full, g / full, b / full, alpha / parts].map(|part| part as u8));
            }
        }
        (wide, pixels)
    }
}

/// Solids seen through a camera, on an image of this size in mm.
pub fn draw(
    scenes: &[&Solids],
    camera: &Camera,
    size_mm: (f64, f64),
    pixels_per_mm: f64,
    veiled: bool,
) -> Image {
    let per_mm = pixels_per_mm * Image::FINE as f64;
    let dots = |mm: f64| ((mm * pixels_per_mm).round().max(1.0) as usize) * Image::FINE;
    let (width, height) = (dots(size_mm.0), dots(size_mm.1));
    let mut front = Layer::new(width, height, per_mm);
    let mut veil = veiled.then(|| Layer::new(width, height, per_mm));
    let solids: Vec<&Solid> = scenes.iter().flat_map(|scene| &scene.solids).collect();
    for (index, solid) in solids.iter().enumerate() {
        let layer = if solid.trunk { veil.as_mut().unwrap_or(&mut front) } else { &mut front };
        layer.solid(index, solid, camera);
    }
    for thread in scenes.iter().flat_map(|scene| &scene.threads) {
        let (Some(a), Some(b)) = (camera.at(thread.from), camera.at(thread.to)) else { continue };
        let wide = (thread.thick_mm * camera.scale * per_mm).max(1.0);
        front.thread(a, b, wide, thread.material);
    }
    let mut veil_dots = None;
    if let Some(veil) = &mut veil {
        let hidden = |at: usize| veil.near[at] <= front.near[at];
        let behind: Vec<usize> =
            (0..veil.cells.len()).filter(|at| veil.cells[*at] != 0 && hidden(*at)).collect();
        let mut dots = veil.dots(&solids);
        behind.into_iter().for_each(|at| dots[at] = 0);
        veil_dots = Some(dots);
    }
    Image { width, height, dots: front.dots(&solids), veil: veil_dots }
}

/// A depth buffer with what is nearest at each dot.
struct Layer {
    width: usize,
    height: usize,
    per_mm: f64,
    /// How near, larger is nearer.
    near: Vec<f32>,
    /// Nothing 0; else the solid's number plus 1, times 4, and its tone; a thread above all of them.
    cells: Vec<u16>,
    /// Dots drawn on, left, top, right, bottom; the last two beyond.
    drawn: [usize; 4],
}

/// Cells from here on are threads, by material.
const THREADS: u16 = u16::MAX - 64;

impl Layer {
    fn new(width: usize, height: usize, per_mm: f64) -> Self {
        let count = width * height;
        Self {
            width,
            height,
            per_mm,
            near: vec![f32::NEG_INFINITY; count],
            cells: vec![0; count],
            drawn: [width, height, 0, 0],
        }
    }

    fn draws(&mut self, left: usize, top: usize, right: usize, bottom: usize) {
        let [l, t, r, b] = self.drawn;
        self.drawn = [l.min(left), t.min(top), r.max(right), b.max(bottom)];
    }

    fn solid(&mut self, index: usize, solid: &Solid, camera: &Camera) {
        let light = camera.right * LIGHT.x + camera.up * LIGHT.y + camera.toward * LIGHT.z;
        let cell = (index as u16 + 1) << 2;
        let per_mm = self.per_mm;
        let corners: Vec<Option<[f32; 4]>> = solid
            .mesh
            .points
            .iter()
            .zip(&solid.mesh.normals)
            .map(|(point, normal)| {
                let (x, y, near) = camera.at(*point)?;
                Some([(x * per_mm) as f32, (y * per_mm) as f32, near as f32, normal.dot(light) as f32])
            })
            .collect();
        for triangle in &solid.mesh.triangles {
            let [a, b, c] = triangle.map(|k| corners[k as usize]);
            let (Some(a), Some(b), Some(c)) = (a, b, c) else { continue };
            // The far side of a solid lies behind its near side. Seen from outside the corners run against
            // the clock, and y goes down.
            let turn = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
            if (turn < 0.0) != camera.mirrored {
                self.triangle([a, b, c], cell);
            }
        }
    }

    /// Fills a triangle of (x, y, nearness, light), row by row between its edges.
    fn triangle(&mut self, [a, b, c]: [[f32; 4]; 3], cell: u16) {
        let area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
        if area.is_nan() || area.abs() <= 1e-6 {
            return;
        }
        let least = |axis: usize| a[axis].min(b[axis]).min(c[axis]);
        let most = |axis: usize| a[axis].max(b[axis]).max(c[axis]);
        // Dots whose middles lie between two places: from the first one on to before the second.
        let first = |at: f32| (at + 0.5).max(0.0) as usize;
        let (left, right) = (first(least(0)), first(most(0)).min(self.width));
        let (top, bottom) = (first(least(1)), first(most(1)).min(self.height));
        if left >= right || top >= bottom {
            return;
        }
        self.draws(left, top, right, bottom);
        // How nearness and light change to the right and down.
        let slope = |k: usize| {
            let (u, v) = (b[k] - a[k], c[k] - a[k]);
            let (bx, by, cx, cy) = (b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]);
            ((u * cy - v * by) / area, (v * bx - u * cx) / area)
        };
        let (near_step, light_step) = (slope(2), slope(3));
        let edges = [(a, b), (b, c), (c, a)];
        for y in top..bottom {
            let at_y = y as f32 + 0.5;
            let (mut from, mut to) = (f32::INFINITY, f32::NEG_INFINITY);
            for (p, q) in edges {
                if (p[1] <= at_y) != (q[1] <= at_y) {
                    let x = p[0] + (at_y - p[1]) / (q[1] - p[1]) * (q[0] - p[0]);
                    from = from.min(x);
                    to = to.max(x);
                }
            }
            let (from, to) = (first(from), first(to).min(self.width));
            if from >= to {
                continue;
            }
            let (dx, dy) = (from as f32 + 0.5 - a[0], at_y - a[1]);
            let mut near = a[2] + near_step.0 * dx + near_step.1 * dy;
            let mut light = a[3] + light_step.0 * dx + light_step.1 * dy;
            let row = y * self.width;
            let span = row + from..row + to;
            for (depth, place) in self.near[span.clone()].iter_mut().zip(&mut self.cells[span]) {
                if near > *depth {
                    *depth = near;
                    *place = cell + u16::from(light < STEPS[0]) + u16::from(light < STEPS[1]);
                }
                near += near_step.0;
                light += light_step.0;
            }
        }
    }

    /// A line of some thickness, where nothing is nearer.
    fn thread(&mut self, a: (f64, f64, f64), b: (f64, f64, f64), wide: f64, material: Material) {
        let (dx, dy) = ((b.0 - a.0) * self.per_mm, (b.1 - a.1) * self.per_mm);
        let steps = dx.abs().max(dy.abs()).ceil().clamp(1.0, 1e5) as usize;
        let half = wide / 2.0;
        for k in 0..=steps {
            let share = k as f64 / steps as f64;
            let (x, y) = (a.0 * self.per_mm + dx * share, a.1 * self.per_mm + dy * share);
            let near = (a.2 + (b.2 - a.2) * share) as f32;
            // Across the line, which is steeper one way or the other.
            let count = wide.round().max(1.0) as i64;
            for j in 0..count {
                let off = j as f64 + 0.5 - half;
                let (px, py) = if dx.abs() > dy.abs() { (x, y + off) } else { (x + off, y) };
                if !(px >= 0.0 && py >= 0.0 && px < self.width as f64 && py < self.height as f64) {
                    continue;
                }
                let at = py as usize * self.width + px as usize;
                // A little nearer than it is, so that it is seen on what it lies on.
                if near + 2.5 > self.near[at] {
                    self.near[at] = near + 2.5;
                    self.cells[at] = THREADS + material as u16;
                    self.draws(px as usize, py as usize, px as usize + 1, py as usize + 1);
                }
            }
        }
    }

    /// The tones with their contours.
    fn dots(&self, solids: &[&Solid]) -> Vec<u8> {
        let mut dots = vec![0; self.cells.len()];
        let [left, top, right, bottom] = self.drawn;
        let materials: Vec<u8> =
            solids.iter().map(|solid| Image::code(Dot::Tone(solid.material, 0))).collect();
        let mut lines: Vec<(usize, usize, bool)> = Vec::new();
        for y in top.saturating_sub(1)..bottom {
            for x in left.saturating_sub(1)..right {
                let at = y * self.width + x;
                let cell = self.cells[at];
                if cell >= THREADS {
                    dots[at] = Image::code(Dot::Tone(Material::ALL[usize::from(cell - THREADS)], 0));
                    continue;
                }
                if cell != 0 {
                    dots[at] = materials[usize::from(cell >> 2) - 1] + (cell & 3) as u8;
                }
                for (dx, dy) in [(1, 0), (0, 1)] {
                    let (nx, ny) = (x + dx, y + dy);
                    if nx >= self.width || ny >= self.height {
                        continue;
                    }
                    let other = ny * self.width + nx;
                    // Mostly the solid goes on.
                    let goes_on = self.cells[other] >> 2 == cell >> 2
                        && (cell == 0 || (self.near[at] - self.near[other]).abs() <= JUMP_MM);
                    if !goes_on && let Some((strong, own)) = self.contour(at, other, solids, (x, y)) {
                        lines.push(if own { (x, y, strong) } else { (nx, ny, strong) });
                    }
                }
            }
        }
        self.ink(&mut dots, &lines);
        dots
    }

    /// Whether a contour runs between two neighbouring dots: strong or not, and whether it belongs to
    /// the first of them, which then is the nearer one.
    fn contour(
        &self,
        at: usize,
        other: usize,
        solids: &[&Solid],
        place: (usize, usize),
    ) -> Option<(bool, bool)> {
        let (one, two) = (self.cells[at], self.cells[other]);
        if one == two && one == 0 || one >= THREADS || two >= THREADS {
            return None;
        }
        let solid = |cell: u16| (cell != 0).then(|| solids[usize::from(cell >> 2) - 1]);
        let (a, b) = (solid(one), solid(two));
        let gap = self.near[at] - self.near[other];
        let own = gap > 0.0;
        let nearer = if own { a } else { b }?;
        if nearer.material == Material::Floor {
            return None;
        }
        let met = match (a, b) {
            (Some(a), Some(b)) => a.body != b.body && a.grows_from != b.body && b.grows_from != a.body,
            _ => true,
        };
        let jumps = gap.abs() > JUMP_MM;
        if !(met || jumps) {
            return None;
        }
        if nearer.dashed
            && (place.0 as f64 / (DASH_MM * self.per_mm)) as usize % 2
                != (place.1 as f64 / (DASH_MM * self.per_mm)) as usize % 2
        {
            return None;
        }
        Some((gap.abs() > OUTLINE_MM, own))
    }

    /// Draws the contours over the tones.
    fn ink(&self, dots: &mut [u8], lines: &[(usize, usize, bool)]) {
        // Widths on the picture, mm: at least a pixel.
        let radius = |mm: f64| (mm * self.per_mm / 2.0).max(Image::FINE as f64 * 0.45);
        let brushes = [radius(0.14), radius(0.25)].map(|r| {
            let reach = r.ceil() as i64;
            let mut brush = Vec::new();
            for dy in -reach..=reach {
                for dx in -reach..=reach {
                    if ((dx * dx + dy * dy) as f64).sqrt() <= r {
                        brush.push((dx, dy));
                    }
                }
            }
            brush
        });
        for (x, y, strong) in lines {
            for (dx, dy) in &brushes[usize::from(*strong)] {
                let (px, py) = (*x as i64 + dx, *y as i64 + dy);
                if px >= 0 && py >= 0 && (px as usize) < self.width && (py as usize) < self.height {
                    dots[py as usize * self.width + px as usize] = Image::code(Dot::Line);
                }
            }
        }
    }
}
