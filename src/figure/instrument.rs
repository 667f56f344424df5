//! The instrument, in the proportions of its family for the string length set.

use std::f64::consts::TAU;

use super::{Material, Solids, mesh::Mesh};
use crate::{
    arm::{Frame, Vec3},
    setup::{Family, Instrument},
};

/// Shape of an instrument, as shares of the string length: along from the bridge toward the scroll,
/// half widths, depths under the strings at the bridge. They follow workshop measures of full-size
/// instruments (violin and viola waist, body and string lengths published, the rest from memory).
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    lower: f64,
    upper: f64,
    lower_wide: f64,
    waist_wide: f64,
    upper_wide: f64,
    /// Edge of the top plate, and edge of the back.
    top: f64,
    back: f64,
    /// How far a plate is arched over its edge.
    arch: f64,
    /// How much the body comes nearer to the strings toward the scroll, a share of the way: the strings
    /// slope down from the bridge to the neck.
    rise: f64,
    /// Where the fingerboard begins; its half width there and at the nut.
    board: (f64, f64, f64),
    scroll: f64,
}

impl Shape {
    pub(super) fn of(family: Family) -> Self {
        let [lower, upper, lower_wide, waist_wide, upper_wide, top, back, arch] = match family {
            Family::Violin | Family::Viola => [-0.49, 0.59, 0.315, 0.17, 0.256, -0.128, -0.222, 0.040],
            Family::Cello => [-0.51, 0.58, 0.32, 0.17, 0.25, -0.165, -0.335, 0.034],
            Family::DoubleBass => [-0.46, 0.59, 0.31, 0.175, 0.235, -0.185, -0.375, 0.026],
        };
        let (board, scroll, rise) = match family {
            Family::Violin | Family::Viola => ((0.18, 0.064, 0.037), 1.3, 0.0),
            Family::Cello => ((0.16, 0.047, 0.025), 1.24, 0.13),
            Family::DoubleBass => ((0.18, 0.042, 0.021), 1.2, 0.17),
        };
        Self { lower, upper, lower_wide, waist_wide, upper_wide, top, back, arch, rise, board, scroll }
    }

    /// Half width of the neck in first position.
    pub(super) fn neck_half(&self) -> f64 {
        self.board.2 * 1.05
    }

    /// The lower end of the body, in the middle of its depth.
    pub(super) fn foot(&self) -> (f64, f64, f64) {
        (self.lower, 0.0, (self.top + self.back) / 2.0 + self.rise * self.lower)
    }

    /// Along the body toward its lower end.
    fn down(&self, frame: &Frame) -> Vec3 {
        -(frame.along + frame.away * self.rise).unit_or(frame.along)
    }

    /// Where the endpin meets the floor.
    pub(super) fn pin_end(&self, frame: &Frame, string_mm: f64, floor: f64) -> Vec3 {
        let from = frame.point(string_mm, self.foot());
        let down = self.down(frame);
        from + down * ((floor - from.z) / down.z.min(-0.05)).clamp(0.0, 1.2 * string_mm)
    }

    /// The end of the scroll.
    pub(super) fn head(&self) -> (f64, f64, f64) {
        (self.scroll, 0.0, -0.06)
    }

    /// Outline of the body as (along, across), the half from the lower end to the upper.
    fn half(&self) -> Vec<(f64, f64)> {
        let u = |share: f64| self.lower + (self.upper - self.lower) * share;
        let (l, w, t) = (self.lower_wide, self.waist_wide, self.upper_wide);
        // Three curves that meet in the corners.
        let lower = [
            (0.0, 0.0),
            (0.006, 0.35 * l),
            (0.03, 0.64 * l),
            (0.09, 0.88 * l),
            (0.17, 0.99 * l),
            (0.24, 0.98 * l),
            (0.30, 0.90 * l),
            (0.345, 0.81 * l),
            (0.375, 0.80 * l),
        ];
        let waist = [
            (0.375, 0.80 * l),
            (0.41, 1.18 * w),
            (0.46, 1.03 * w),
            (0.51, w),
            (0.56, 1.03 * w),
            (0.60, 1.14 * w),
            (0.63, 0.86 * t),
        ];
        let upper = [
            (0.63, 0.86 * t),
            (0.66, 0.875 * t),
            (0.72, 0.95 * t),
            (0.79, t),
            (0.86, 0.96 * t),
            (0.93, 0.80 * t),
            (0.975, 0.53 * t),
            (0.992, 0.28 * t),
            (1.0, 0.0),
        ];
        let mut half: Vec<(f64, f64)> = Vec::new();
        for curve in [&lower[..], &waist[..], &upper[..]] {
            for k in 0..curve.len() - 1 {
                for step in 0..4 {
                    half.push(smooth(curve, k, f64::from(step) / 4.0));
                }
            }
        }
        half.push((1.0, 0.0));
        half.into_iter().map(|(share, wide)| (u(share), wide.max(0.0))).collect()
    }

    /// Outline of the whole body as (along, across).
    fn outline(&self) -> Vec<(f64, f64)> {
        let half = self.half();
        let other = half[1..half.len() - 1].iter().rev().map(|(u, v)| (*u, -v));
        half.iter().copied().chain(other).collect()
    }
}

/// Between the points `k` and `k + 1` of a curve (Catmull & Rom 1974: the tangent at a point lies along
/// the line between its neighbours).
fn smooth(curve: &[(f64, f64)], k: usize, t: f64) -> (f64, f64) {
    let at = |k: usize| curve[k.min(curve.len() - 1)];
    let (a, b, c, d) = (at(k.saturating_sub(1)), at(k), at(k + 1), at(k + 2));
    let mix = |a: f64, b: f64, c: f64, d: f64| {
        0.5 * (2.0 * b
            + (c - a) * t
            + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
            + (3.0 * b - a - 3.0 * c + d) * t * t * t)
    };
    (mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1))
}

/// An instrument in the room.
pub(super) struct Placed<'a> {
    pub frame: &'a Frame,
    pub instrument: &'a Instrument,
    pub string_mm: f64,
}

impl Placed<'_> {
    fn at(&self, u: f64, v: f64, w: f64) -> Vec3 {
        self.frame.point(self.string_mm, (u, v, w))
    }

    /// A point of the body, its depth counted at the bridge.
    fn on_body(&self, shape: &Shape, (u, v, w): (f64, f64, f64)) -> Vec3 {
        self.at(u, v, w + shape.rise * u)
    }

    /// Adds all of it but the chin rest.
    pub fn add(&self, solids: &mut Solids, floor: f64) {
        let family = self.instrument.family;
        let shape = Shape::of(family);
        let top = self.box_of(solids, &shape);
        self.f_holes(solids, &shape, top);
        self.neck(solids, &shape);
        self.fittings(solids, &shape);
        self.strings(solids);
        if !family.on_shoulder() {
            self.endpin(solids, &shape, floor);
        }
    }

    /// The rest under the jaw.
    pub fn chin_rest(&self, solids: &mut Solids) {
        let shape = Shape::of(self.instrument.family);
        let middle = self.at(shape.lower + 0.075, -0.15, shape.top + 0.05);
        let axes = [self.frame.along * 0.09, self.frame.hand * 0.115, self.frame.away * 0.018];
        solids.add(Material::Ebony, Mesh::ellipsoid(middle, axes.map(|axis| axis * self.string_mm)));
    }

    /// Ribs, back and top; gives the number of the top.
    fn box_of(&self, solids: &mut Solids, shape: &Shape) -> u16 {
        let outline = shape.outline();
        let middle = (shape.lower + shape.upper) / 2.0;
        let ring = |scale: f64, w: f64| {
            outline
                .iter()
                .map(|(u, v)| self.on_body(shape, (middle + (u - middle) * scale, v * scale, w)))
                .collect::<Vec<_>>()
        };
        let ribs =
            solids.add(Material::Varnish, Mesh::slab(&ring(0.975, shape.top), &ring(0.975, shape.back)));
        let plate = |edge: f64, out: f64| {
            let thick = 0.012 * out;
            let rows =
                [(1.0, 0.0), (1.0, 0.5), (0.95, 0.55), (0.85, 0.75), (0.65, 0.93), (0.4, 1.0), (0.1, 1.03)];
            let rings: Vec<_> = rows
                .iter()
                .enumerate()
                .map(|(k, (scale, high))| {
                    let w = if k < 2 {
                        thick * (2.0 * high)
                    } else {
                        thick + out * shape.arch * (high - 0.55) / 0.48
                    };
                    ring(*scale, edge + w)
                })
                .collect();
            Mesh::loft(&rings)
        };
        solids.limb(Material::Varnish, ribs, plate(shape.back, -1.0));
        solids.add(Material::Varnish, plate(shape.top, 1.0))
    }

    fn f_holes(&self, solids: &mut Solids, shape: &Shape, top: u16) {
        let w = shape.top + 0.012 + 0.97 * shape.arch;
        let wide = shape.waist_wide;
        let curve = [
            (0.115, 0.42),
            (0.13, 0.50),
            (0.09, 0.60),
            (0.02, 0.68),
            (-0.05, 0.78),
            (-0.10, 0.92),
            (-0.135, 0.98),
            (-0.12, 1.08),
        ];
        for side in [-1.0, 1.0] {
            let stations: Vec<_> = curve
                .iter()
                .map(|(u, v)| {
                    let sunk = 0.55 * shape.arch * (v - 0.4_f64).max(0.0);
                    (
                        self.on_body(shape, (u + 0.01, side * v * wide, w - sunk)),
                        0.0085 * self.string_mm,
                        0.006 * self.string_mm,
                    )
                })
                .collect();
            solids.limb(Material::Ebony, top, Mesh::tube(&stations, self.frame.hand));
        }
    }

    /// Neck, fingerboard, peg box, scroll and pegs.
    fn neck(&self, solids: &mut Solids, shape: &Shape) {
        let (from, wide, narrow) = shape.board;
        let corners =
            [(from, wide, -0.018), (1.0, narrow, -0.012), (1.0, -narrow, -0.012), (from, -wide, -0.018)];
        let outline = |thick: f64, inset: f64| corners.map(|(u, v, w)| self.at(u, v * inset, w - thick));
        solids.add(Material::Ebony, Mesh::slab(&outline(0.0, 0.9), &outline(0.02, 1.0)));
        // Sections of the neck: along, half width, upper and lower side.
        let deep = 2.2 * narrow;
        let back = shape.back + shape.rise * shape.upper;
        let rows = [
            (shape.upper - 0.01, 0.85 * wide, -0.035, back + 0.01),
            (shape.upper + 0.03, 0.72 * wide, -0.035, back * 0.78),
            (shape.upper + 0.075, 0.95 * narrow + 0.012, -0.03, -0.045 - deep),
            (0.8, narrow * 1.12, -0.03, -0.03 - deep),
            (1.0, narrow * 1.02, -0.025, -0.025 - deep),
            (1.03, narrow * 1.0, -0.022, -0.05 - deep),
            (1.12, narrow * 0.86, -0.045, -0.06 - deep),
            (shape.scroll - 0.065, narrow * 0.62, -0.075, -0.07 - deep),
        ];
        let ring = |(u, half, upper, lower): &(f64, f64, f64, f64)| {
            let corner = |k: usize| {
                let (sin, cos) = (TAU * k as f64 / 20.0).sin_cos();
                self.at(*u, half * cos, (upper + lower) / 2.0 + (upper - lower) / 2.0 * sin)
            };
            (0..20).map(corner).collect::<Vec<_>>()
        };
        let body = solids.add(Material::Varnish, Mesh::loft(&rows.iter().map(ring).collect::<Vec<_>>()));
        let disc = |r: f64, half: f64| {
            let ring = |side: f64| {
                let corner = |k: usize| {
                    let (sin, cos) = (TAU * k as f64 / 20.0).sin_cos();
                    self.at(shape.scroll - 0.05 + r * cos, side * half, -0.068 - 0.5 * deep + r * sin)
                };
                (0..20).map(corner).collect::<Vec<_>>()
            };
            Mesh::slab(&ring(-1.0), &ring(1.0))
        };
        solids.limb(Material::Varnish, body, disc(0.058 - 0.02 * f64::from(deep < 0.06), narrow * 0.75));
        solids.add(Material::Varnish, disc(0.024, narrow * 1.15));
        for (k, u) in [1.055, 1.095, 1.13, 1.165].into_iter().enumerate() {
            let side = if k % 2 == 0 { 1.0 } else { -1.0 };
            let w = -0.045 - 0.35 * deep - 0.25 * (u - 1.05);
            let (near, far) = (self.at(u, side * narrow * 0.5, w), self.at(u, side * (narrow + 0.065), w));
            let r = 0.013 * self.string_mm;
            let knob = (near - far).unit_or(self.frame.hand);
            solids.add(
                Material::Ebony,
                Mesh::round(&[(near, 0.55 * r), (far + knob * r, 0.6 * r), (far, 1.25 * r)]),
            );
        }
    }

    /// Bridge and tailpiece.
    fn fittings(&self, solids: &mut Solids, shape: &Shape) {
        let foot = shape.top + 0.012 + shape.arch;
        let half = 0.5 * self.instrument.bridge.spread_mm / self.string_mm + 0.008;
        let side = [
            (1.18 * half, foot),
            (1.02 * half, 0.62 * foot),
            (half, -0.012),
            (0.5 * half, -0.004),
            (0.0, -0.001),
        ];
        let outline: Vec<(f64, f64)> =
            side.iter().copied().chain(side[..4].iter().rev().map(|(v, w)| (-v, *w))).collect();
        let plate = |u: f64| outline.iter().map(|(v, w)| self.at(u, *v, *w)).collect::<Vec<_>>();
        solids.add(Material::Maple, Mesh::slab(&plate(-0.010), &plate(0.010)));
        let (upper, lower) = (-0.15, shape.lower + 0.03);
        let corners = [(upper, 0.064), (upper, -0.064), (lower, -0.032), (lower, 0.032)];
        let high = |u: f64| {
            let share = (u - upper) / (lower - upper);
            -0.045 + (shape.top + shape.rise * lower + 0.045 + 0.03) * share
        };
        let outline = |thick: f64, inset: f64| corners.map(|(u, v)| self.at(u, v * inset, high(u) - thick));
        solids.add(Material::Ebony, Mesh::slab(&outline(0.0, 0.8), &outline(0.018, 1.0)));
    }

    /// From the nut over the bridge to the tailpiece.
    fn strings(&self, solids: &mut Solids) {
        let count = self.instrument.strings.len().max(2);
        let bridge = &self.instrument.bridge;
        let finite = |v: f64, other: f64| if v.is_finite() { v.clamp(0.1, 1e4) } else { other };
        let spread = finite(bridge.spread_mm, 40.0) / self.string_mm;
        let radius = finite(bridge.radius_mm, 50.0) / self.string_mm;
        // Highest string first; it lies toward the bow hand on violin and viola only.
        let side = if self.instrument.family.on_shoulder() { 1.0 } else { -1.0 };
        let thick = 0.0022 * self.string_mm;
        for string in 0..count {
            let share = side * (0.5 - string as f64 / (count - 1) as f64);
            let sunk = |v: f64| -v * v / (2.0 * radius);
            let over = share * spread;
            let top = self.at(0.0, over, sunk(over));
            let nut = self.at(1.0, 0.48 * over, -0.009);
            let tail = self.at(-0.155, 0.75 * over, -0.042);
            solids.thread(Material::Metal, nut, top, thick);
            solids.thread(Material::Metal, top, tail, thick);
        }
    }

    /// From the lower end of the body to the floor.
    fn endpin(&self, solids: &mut Solids, shape: &Shape, floor: f64) {
        let from = self.frame.point(self.string_mm, shape.foot());
        let down = shape.down(self.frame);
        let to = shape.pin_end(self.frame, self.string_mm, floor);
        let r = 0.0065 * self.string_mm;
        solids.add(Material::Metal, Mesh::round(&[(from, r), (to - down * r, 0.7 * r), (to, 0.3 * r)]));
        let button = [
            (from + down * (-0.01 * self.string_mm), 2.6 * r),
            (from + down * (0.03 * self.string_mm), 1.9 * r),
        ];
        solids.add(Material::Ebony, Mesh::round(&button));
    }
}
