//! Surfaces of triangles, made by sweeping outlines.

use std::f64::consts::{FRAC_PI_2, TAU};

use crate::arm::Vec3;

/// Corners of a round section. Assumed: no corner is seen at the size of a screen.
const SIDES: usize = 22;
/// Rings of a rounded end.
const CAP: usize = 4;

/// A surface. Its normals point outward and have length 1.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners, mm.
    pub points: Vec<Vec3>,
    /// Outward at each corner.
    pub normals: Vec<Vec3>,
    /// Corners of each triangle.
    pub triangles: Vec<[u32; 3]>,
}

/// Places of a tube: its middle, and its half widths along the flat side and across it.
pub(super) type Station = (Vec3, f64, f64);

impl Mesh {
    /// Closed outlines of equally many points joined one after the other, the ends closed.
    pub(super) fn loft(rings: &[Vec<Vec3>]) -> Self {
        let mut mesh = Self::default();
        let count = rings.first().map_or(0, Vec::len);
        for ring in rings {
            mesh.points.extend(ring);
        }
        for k in 1..rings.len() {
            for i in 0..count {
                let j = (i + 1) % count;
                let (a, b) = ((k - 1) * count, k * count);
                mesh.quad(a + i, a + j, b + j, b + i);
            }
        }
        for (ring, from) in [(rings.first(), 0), (rings.last(), (rings.len().max(1) - 1) * count)] {
            let Some(ring) = ring else { continue };
            let middle = mesh.points.len();
            mesh.points.push(ring.iter().fold(Vec3::ZERO, |sum, p| sum + *p) * (1.0 / count.max(1) as f64));
            for i in 0..count {
                let j = (i + 1) % count;
                let corners =
                    if from == 0 { [middle, from + j, from + i] } else { [middle, from + i, from + j] };
                mesh.triangles.push(corners.map(|corner| corner as u32));
            }
        }
        mesh.finished()
    }

    /// A tube with rounded ends through places, its first half width lying along `side`.
    pub(super) fn tube(stations: &[Station], side: Vec3) -> Self {
        let count = stations.len();
        let tangent = |k: usize| {
            let (a, b) = (stations[k.saturating_sub(1)].0, stations[(k + 1).min(count - 1)].0);
            (b - a).unit_or(Vec3::DOWN)
        };
        let ring = |k: usize, out: f64, grow: f64| {
            let (at, a, b) = stations[k];
            let along = tangent(k);
            let first =
                side.across(along).unit_or(Vec3::new(1.0, 0.0, 0.0).across(along).unit_or(Vec3::DOWN));
            let second = along.cross(first);
            let at = at + along * (out * a.min(b));
            let corner = |i: usize| {
                let (sin, cos) = (TAU * i as f64 / SIDES as f64).sin_cos();
                at + first * (a * grow * cos) + second * (b * grow * sin)
            };
            (0..SIDES).map(corner).collect::<Vec<_>>()
        };
        let cap = |share: usize| (FRAC_PI_2 * share as f64 / CAP as f64).sin_cos();
        let mut rings = Vec::with_capacity(count + 2 * CAP);
        for k in (1..CAP).rev() {
            let (out, grow) = cap(k);
            rings.push(ring(0, -out, grow));
        }
        rings.extend((0..count).map(|k| ring(k, 0.0, 1.0)));
        for k in 1..CAP {
            let (out, grow) = cap(k);
            rings.push(ring(count - 1, out, grow));
        }
        Self::loft(&rings)
    }

    /// A tube of round section.
    pub(super) fn round(stations: &[(Vec3, f64)]) -> Self {
        let stations: Vec<Station> = stations.iter().map(|(at, r)| (*at, *r, *r)).collect();
        Self::tube(&stations, Vec3::new(0.6, 0.5, 0.62))
    }

    /// An ellipsoid with these half axes, at right angles to each other.
    pub(super) fn ellipsoid(middle: Vec3, axes: [Vec3; 3]) -> Self {
        const RINGS: usize = 12;
        let ring = |k: usize| {
            let (sin, cos) = (std::f64::consts::PI * (k as f64 + 0.5) / RINGS as f64).sin_cos();
            let corner = |i: usize| {
                let (s, c) = (TAU * i as f64 / SIDES as f64).sin_cos();
                middle + axes[0] * (sin * c) + axes[1] * (sin * s) + axes[2] * cos
            };
            (0..SIDES).map(corner).collect::<Vec<_>>()
        };
        Self::loft(&(0..RINGS).map(ring).collect::<Vec<_>>())
    }

    /// A flat solid between two outlines of equally many points, with sharp edges.
    pub(super) fn slab(one: &[Vec3], other: &[Vec3]) -> Self {
        let mut mesh = Self::default();
        for outline in [one, other] {
            let from = mesh.points.len();
            mesh.points.extend(outline);
            mesh.points
                .push(outline.iter().fold(Vec3::ZERO, |sum, p| sum + *p) * (1.0 / outline.len() as f64));
            for i in 0..outline.len() {
                let (a, b) = (from + i, from + (i + 1) % outline.len());
                let middle = from + outline.len();
                let corners = if from == 0 { [middle, b, a] } else { [middle, a, b] };
                mesh.triangles.push(corners.map(|corner| corner as u32));
            }
        }
        let from = mesh.points.len();
        mesh.points.extend(one.iter().chain(other));
        for i in 0..one.len() {
            let j = (i + 1) % one.len();
            mesh.quad(from + i, from + j, from + one.len() + j, from + one.len() + i);
        }
        mesh.finished()
    }

    fn quad(&mut self, a: usize, b: usize, c: usize, d: usize) {
        self.triangles.push([a, b, c].map(|corner| corner as u32));
        self.triangles.push([a, c, d].map(|corner| corner as u32));
    }

    /// With normals, turned outward: a closed surface with its corners counted from outside encloses
    /// a positive volume (the sum of the tetrahedra over its triangles).
    fn finished(mut self) -> Self {
        let corners = |[a, b, c]: [u32; 3], points: &[Vec3]| [a, b, c].map(|k| points[k as usize]);
        let volume: f64 =
            self.triangles.iter().map(|t| corners(*t, &self.points)).map(|[a, b, c]| a.dot(b.cross(c))).sum();
        if volume < 0.0 {
            self.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        self.normals = vec![Vec3::ZERO; self.points.len()];
        for triangle in &self.triangles {
            let [a, b, c] = corners(*triangle, &self.points);
            let area = (b - a).cross(c - a);
            for k in triangle {
                self.normals[*k as usize] = self.normals[*k as usize] + area;
            }
        }
        self.normals.iter_mut().for_each(|n| *n = n.unit_or(Vec3::DOWN));
        self
    }
}
