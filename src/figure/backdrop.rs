//! What stands still, drawn once for a camera; what moves is drawn over it again and again.

use super::{
    Camera, Image, Solids,
    contours::{self, Look},
    layer::Layer,
};
use crate::arm::Vec3;

/// What is so much nearer than a point hides it, mm: more than the strings are high over the bridge of a
/// small instrument, or a finger is thick. Assumed.
const BEFORE_MM: f64 = 40.0;

/// What stands still, seen through a camera, with how near it is.
///
/// Every solid is filled with the tones of its material by the angle of its surface to the light; a
/// contour is drawn where the distance jumps, or where one body ends at another. The image is drawn
/// finer than it is shown ([`Image::FINE`]), so that its edges are smooth.
#[derive(Clone)]
pub struct Backdrop {
    /// The camera, and whether the trunk is see-through.
    seen: Option<(Camera, bool)>,
    still: Layer,
    /// A copy of it to draw on.
    over: Layer,
    scenes: usize,
    looks: Vec<Look>,
    /// The image of what stands still.
    dots: Vec<u8>,
    /// What lies see-through over all of it, with its image.
    veil: Option<(Layer, Vec<u8>)>,
}

impl Backdrop {
    /// Nothing yet, on an image of this size in mm.
    pub fn new(size_mm: (f64, f64), pixels_per_mm: f64) -> Self {
        let still = Layer::new(size_in_dots(size_mm, pixels_per_mm), dots_per_mm(pixels_per_mm));
        let dots = vec![0; still.width * still.height];
        Self { seen: None, over: still.clone(), still, scenes: 0, looks: Vec::new(), dots, veil: None }
    }

    /// Its image has this size.
    pub fn is_of(&self, size_mm: (f64, f64), pixels_per_mm: f64) -> bool {
        (self.still.width, self.still.height) == size_in_dots(size_mm, pixels_per_mm)
            && self.still.per_mm == dots_per_mm(pixels_per_mm)
    }

    /// Shows the scenes that stand still through a camera, the trunk see-through, where asked. Through the
    /// camera of the last time they are taken to be the same.
    pub fn show(&mut self, scenes: &[&Solids], camera: &Camera, veiled: bool) {
        if self.seen.replace((*camera, veiled)) == Some((*camera, veiled)) {
            return;
        }
        // In the memory of the last time: new memory takes longer to come by than to draw in.
        self.over.wipe(&self.still.drawn);
        self.still.wipe_all();
        self.dots.fill(0);
        let mut veil = veiled.then(|| match self.veil.take() {
            Some((mut layer, mut dots)) => {
                layer.wipe_all();
                dots.fill(0);
                (layer, dots)
            }
            None => {
                let (layer, dots) = (&self.still, self.dots.len());
                (Layer::new((layer.width, layer.height), layer.per_mm), vec![0; dots])
            }
        });
        self.looks.clear();
        self.scenes = scenes.len();
        for (scene, solids) in scenes.iter().enumerate() {
            for solid in &solids.solids {
                let layer = match &mut veil {
                    Some((veil, _)) if solid.trunk => veil,
                    _ => &mut self.still,
                };
                layer.solid(self.looks.len(), solid, camera);
                self.looks.push(Look::new(scene, solid));
            }
        }
        for thread in scenes.iter().flat_map(|solids| &solids.threads) {
            self.still.thread(thread, camera);
        }
        contours::draw(&self.still, &self.looks, &mut self.dots);
        if let Some((layer, dots)) = &mut veil {
            contours::draw(layer, &self.looks, dots);
        }
        self.veil = veil;
        self.over.copy(&self.still, &self.still.drawn);
    }

    /// What is shown, with what moves before and behind it.
    pub fn with(&mut self, moving: &[&Solids]) -> Image {
        let Some((camera, _)) = self.seen else { return self.image(self.dots.clone(), None) };
        let still = self.looks.len();
        for (scene, solids) in moving.iter().enumerate() {
            for solid in &solids.solids {
                self.over.solid(self.looks.len(), solid, &camera);
                self.looks.push(Look::new(self.scenes + scene, solid));
            }
        }
        for thread in moving.iter().flat_map(|solids| &solids.threads) {
            self.over.thread(thread, &camera);
        }
        let mut dots = self.dots.clone();
        contours::draw(&self.over, &self.looks, &mut dots);
        let veil = self.veil.as_ref().map(|(veil, dots)| before(veil, dots, &self.over));
        self.looks.truncate(still);
        let drawn = self.over.take_drawn();
        self.over.copy(&self.still, &drawn);
        self.image(dots, veil)
    }

    /// Something that stands still, and is not see-through, lies before a point.
    pub fn hides(&self, point: Vec3) -> bool {
        let Some((x, y, near)) = self.seen.and_then(|(camera, _)| camera.at(point)) else { return true };
        let (x, y) = ((x * self.still.per_mm) as usize, (y * self.still.per_mm) as usize);
        let inside = x < self.still.width && y < self.still.height;
        inside && f64::from(self.still.near[y * self.still.width + x]) > near + BEFORE_MM
    }

    fn image(&self, dots: Vec<u8>, veil: Option<Vec<u8>>) -> Image {
        Image { width: self.still.width, height: self.still.height, dots, veil }
    }
}

/// The dots of a veil that lie before a layer.
fn before(veil: &Layer, dots: &[u8], layer: &Layer) -> Vec<u8> {
    let mut dots = dots.to_vec();
    for (row, span) in veil.drawn.rows() {
        let span = row * veil.width + span.start..row * veil.width + span.end;
        let depths = veil.near[span.clone()].iter().zip(&layer.near[span.clone()]);
        for (dot, (near, other)) in dots[span].iter_mut().zip(depths) {
            // Where the veil is not, its contours reach out over what is there.
            if *near <= *other && *near > f32::NEG_INFINITY {
                *dot = 0;
            }
        }
    }
    dots
}

fn dots_per_mm(pixels_per_mm: f64) -> f64 {
    pixels_per_mm * Image::FINE as f64
}

fn size_in_dots(size_mm: (f64, f64), pixels_per_mm: f64) -> (usize, usize) {
    let dots = |mm: f64| ((mm * pixels_per_mm).round().max(1.0) as usize) * Image::FINE;
    (dots(size_mm.0), dots(size_mm.1))
}
