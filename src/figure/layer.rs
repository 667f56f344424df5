//! A depth buffer: which solid is nearest at each dot, and in which tone.

use super::{Camera, Material, Solid, Thread, spans::Spans};
use crate::arm::Vec3;

/// From where the light comes: right, up and toward who looks, on the picture. Assumed.
const LIGHT: Vec3 = Vec3::new(-0.43, 0.62, 0.656);
/// The light on a surface (1 straight on, 0 along it) where the tone steps down. Assumed.
const STEPS: [f32; 2] = [0.36, -0.02];
/// What of a thread is nearer than it is, so that it is seen on what it lies on, mm.
const RAISED_MM: f32 = 2.5;

/// What is at a dot: nothing, a solid by its number with its tone, or a thread by its material.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Cell(u16);

/// Cells from here on are threads, by material.
const THREADS: u16 = u16::MAX - 64;

impl Cell {
    /// Nothing.
    pub const CLEAR: Self = Self(0);

    fn solid(number: usize, tone: u16) -> Self {
        Self(((number as u16 + 1) << 2) + tone)
    }

    /// The number of the solid and its tone, where one is.
    pub fn of_solid(self) -> Option<(usize, u8)> {
        let is_one = self != Self::CLEAR && self.0 < THREADS;
        is_one.then(|| (usize::from(self.0 >> 2) - 1, (self.0 & 3) as u8))
    }

    /// The material of the thread, where one is.
    pub fn of_thread(self) -> Option<Material> {
        Material::ALL.get(usize::from(self.0.checked_sub(THREADS)?)).copied()
    }

    /// The same solid, whatever its tone.
    pub fn goes_on(self, other: Self) -> bool {
        self.0 >> 2 == other.0 >> 2
    }
}

/// What is nearest at each dot.
#[derive(Clone)]
pub(super) struct Layer {
    pub width: usize,
    pub height: usize,
    /// Dots in a mm of the picture.
    pub per_mm: f64,
    /// How near, mm, larger is nearer.
    pub near: Vec<f32>,
    pub cells: Vec<Cell>,
    /// What was drawn on.
    pub drawn: Spans,
}

impl Layer {
    /// Nothing yet.
    pub fn new((width, height): (usize, usize), per_mm: f64) -> Self {
        let count = width * height;
        Self {
            width,
            height,
            per_mm,
            near: vec![f32::NEG_INFINITY; count],
            cells: vec![Cell::CLEAR; count],
            drawn: Spans::none(height),
        }
    }

    /// Nothing is in these dots.
    pub fn wipe(&mut self, dots: &Spans) {
        for (row, dots) in dots.rows() {
            let span = row * self.width + dots.start..row * self.width + dots.end;
            self.near[span.clone()].fill(f32::NEG_INFINITY);
            self.cells[span].fill(Cell::CLEAR);
        }
    }

    /// Nothing yet, again.
    pub fn wipe_all(&mut self) {
        let drawn = self.take_drawn();
        self.wipe(&drawn);
    }

    /// These dots are as on another layer.
    pub fn copy(&mut self, other: &Self, dots: &Spans) {
        for (row, dots) in dots.rows() {
            let span = row * self.width + dots.start..row * self.width + dots.end;
            self.near[span.clone()].copy_from_slice(&other.near[span.clone()]);
            self.cells[span.clone()].copy_from_slice(&other.cells[span]);
        }
    }

    /// What was drawn on since the last time.
    pub fn take_drawn(&mut self) -> Spans {
        std::mem::replace(&mut self.drawn, Spans::none(self.height))
    }

    /// Draws a solid by its number.
    pub fn solid(&mut self, number: usize, solid: &Solid, camera: &Camera) {
        let light = camera.right * LIGHT.x + camera.up * LIGHT.y + camera.toward * LIGHT.z;
        let per_mm = self.per_mm;
        let seen = |point: Vec3, normal: Vec3| {
            let (x, y, near) = camera.at(point)?;
            Some([(x * per_mm) as f32, (y * per_mm) as f32, near as f32, normal.dot(light) as f32])
        };
        let corners: Vec<Option<[f32; 4]>> = solid
            .mesh
            .points
            .iter()
            .zip(&solid.mesh.normals)
            .map(|(point, normal)| seen(*point, *normal))
            .collect();
        for triangle in &solid.mesh.triangles {
            match triangle.map(|k| corners[k as usize]) {
                [Some(a), Some(b), Some(c)] => self.near_side([a, b, c], number, camera.mirrored),
                [None, None, None] => {}
                // It reaches past the eye.
                _ => {
                    let mesh = &solid.mesh;
                    let corner = |k: u32| (mesh.points[k as usize], mesh.normals[k as usize]);
                    let cut = camera.cut(&triangle.map(corner));
                    let cut: Vec<_> =
                        cut.into_iter().filter_map(|(point, normal)| seen(point, normal)).collect();
                    for k in 2..cut.len() {
                        self.near_side([cut[0], cut[k - 1], cut[k]], number, camera.mirrored);
                    }
                }
            }
        }
    }

    /// Fills a triangle of (x, y, nearness, light), where it is on the near side of its solid: the far side
    /// lies behind that.
    fn near_side(&mut self, [a, b, c]: [[f32; 4]; 3], number: usize, mirrored: bool) {
        // Seen from outside the corners run against the clock, and y goes down.
        let turn = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
        if (turn < 0.0) != mirrored {
            self.triangle([a, b, c], number);
        }
    }

    /// Fills a triangle of (x, y, nearness, light), row by row between its edges.
    fn triangle(&mut self, [a, b, c]: [[f32; 4]; 3], number: usize) {
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
        // How nearness and light change to the right and down.
        let slope = |k: usize| {
            let (u, v) = (b[k] - a[k], c[k] - a[k]);
            let (bx, by, cx, cy) = (b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]);
            ((u * cy - v * by) / area, (v * bx - u * cx) / area)
        };
        let (near_step, light_step) = (slope(2), slope(3));
        // Edges with how they go to the right on the way down.
        let edges = [(a, b), (b, c), (c, a)].map(|(p, q)| (p, q, (q[0] - p[0]) / (q[1] - p[1])));
        for y in top..bottom {
            let at_y = y as f32 + 0.5;
            let (mut from, mut to) = (f32::INFINITY, f32::NEG_INFINITY);
            for (p, q, aside) in edges {
                if (p[1] <= at_y) != (q[1] <= at_y) {
                    let x = p[0] + (at_y - p[1]) * aside;
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
            self.drawn.add(y, from..to);
            let row = y * self.width;
            let span = row + from..row + to;
            for (depth, place) in self.near[span.clone()].iter_mut().zip(&mut self.cells[span]) {
                if near > *depth {
                    *depth = near;
                    *place = Cell::solid(number, u16::from(light < STEPS[0]) + u16::from(light < STEPS[1]));
                }
                near += near_step.0;
                light += light_step.0;
            }
        }
    }

    /// A line of some thickness, where nothing is nearer.
    pub fn thread(&mut self, thread: &Thread, camera: &Camera) {
        let ends = camera.cut(&[thread.from, thread.to].map(|end| (end, Vec3::ZERO)));
        let mut ends = ends.into_iter().filter_map(|(end, _)| camera.at(end));
        let (Some(a), Some(b)) = (ends.next(), ends.next()) else { return };
        let wide = (thread.thick_mm * camera.scale * self.per_mm).max(1.0);
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
                let (px, py) = (px as usize, py as usize);
                let at = py * self.width + px;
                if near + RAISED_MM > self.near[at] {
                    self.near[at] = near + RAISED_MM;
                    self.cells[at] = Cell(THREADS + thread.material as u16);
                    self.drawn.add(py, px..px + 1);
                }
            }
        }
    }
}
