//! The colours of a film with few of them: those of inks and of the player as they are, between them what their
//! smooth edges are mixed to.

use std::collections::HashMap;

use tiny_skia::Pixmap;

use crate::{
    figure::{Dot, Material, TONES},
    picture::{Ink, Rgb, Theme},
};

/// Colours of a palette; one more place is for what stays as it was.
const MOST: usize = 255;
/// Answers kept, a power of two.
const KNOWN: usize = 1 << 14;

/// How often each colour comes.
#[derive(Default)]
pub(super) struct Census(HashMap<Rgb, u32>);

impl Census {
    /// Counts the pixels of a frame.
    pub fn count(&mut self, frame: &Pixmap) {
        let mut last: Option<(Rgb, u32)> = None;
        for rgb in colours(frame) {
            match &mut last {
                Some((known, times)) if *known == rgb => *times += 1,
                _ => {
                    if let Some((known, times)) = last.replace((rgb, 1)) {
                        *self.0.entry(known).or_default() += times;
                    }
                }
            }
        }
        if let Some((known, times)) = last {
            *self.0.entry(known).or_default() += times;
        }
    }
}

/// The colours of the pixels of a frame on paper.
pub(super) fn colours(frame: &Pixmap) -> impl Iterator<Item = Rgb> + '_ {
    frame.pixels().iter().map(|dot| [dot.red(), dot.green(), dot.blue()])
}

/// The colours of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Palette(Vec<Rgb>);

/// Colours that become one: where they begin and end in the list, and how far they lie apart.
struct Heap {
    colours: Vec<(Rgb, f64)>,
    /// The channel in which they lie farthest apart, and the square of how far, times their weight.
    channel: usize,
    apart: f64,
}

impl Heap {
    fn new(colours: Vec<(Rgb, f64)>) -> Self {
        let weight: f64 = colours.iter().map(|colour| colour.1).sum::<f64>().max(1e-9);
        let apart = |channel: usize| {
            let value = |rgb: &Rgb| f64::from(rgb[channel]);
            let mean = colours.iter().map(|(rgb, weight)| value(rgb) * weight).sum::<f64>() / weight;
            colours.iter().map(|(rgb, weight)| (value(rgb) - mean).powi(2) * weight).sum::<f64>()
        };
        let all = [0, 1, 2].map(apart);
        let channel = (0..3).max_by(|a, b| all[*a].total_cmp(&all[*b])).unwrap_or(0);
        Self { apart: all[channel], channel, colours }
    }

    fn mean(&self) -> Rgb {
        let weight: f64 = self.colours.iter().map(|colour| colour.1).sum::<f64>().max(1e-9);
        let mean = |channel: usize| {
            let sum: f64 = self.colours.iter().map(|(rgb, weight)| f64::from(rgb[channel]) * weight).sum();
            (sum / weight).round() as u8
        };
        [0, 1, 2].map(mean)
    }

    /// Parted at the middle of its weight.
    fn parted(mut self) -> [Self; 2] {
        let channel = self.channel;
        self.colours.sort_by_key(|(rgb, _)| (rgb[channel], *rgb));
        let half: f64 = self.colours.iter().map(|colour| colour.1).sum::<f64>() / 2.0;
        let mut sum = 0.0;
        let before = |(_, weight): &&(Rgb, f64)| {
            sum += weight;
            sum < half
        };
        let at = self.colours.iter().take_while(before).count().clamp(1, self.colours.len() - 1);
        let rest = self.colours.split_off(at);
        [Self::new(self.colours), Self::new(rest)]
    }
}

impl Palette {
    /// The colours of a theme that come, and the mixtures that come nearest to the others.
    pub fn new(census: &Census, theme: &Theme) -> Self {
        let tones =
            Material::ALL.iter().flat_map(|material| (0..TONES).map(|tone| Dot::Tone(*material, tone)));
        let dots = tones.chain([Dot::Line]).map(|dot| theme.dot(dot));
        let mut pure: Vec<Rgb> = Ink::ALL.into_iter().map(|ink| theme.rgb(ink)).chain(dots).collect();
        pure.retain(|rgb| census.0.contains_key(rgb));
        pure.sort_unstable();
        pure.dedup();
        let mixed = census.0.iter().filter(|(rgb, _)| pure.binary_search(rgb).is_err());
        // Edges are thin: what comes often must not take all places.
        let mut mixed: Vec<(Rgb, f64)> = mixed.map(|(rgb, times)| (*rgb, f64::from(*times).sqrt())).collect();
        mixed.sort_by_key(|(rgb, _)| *rgb);
        let room = MOST.saturating_sub(pure.len());
        let mut heaps: Vec<Heap> = Vec::new();
        if !mixed.is_empty() && room > 0 {
            heaps.push(Heap::new(mixed));
        }
        while heaps.len() < room {
            let widest = heaps.iter().enumerate().filter(|(_, heap)| heap.colours.len() > 1);
            let widest = widest.max_by(|a, b| a.1.apart.total_cmp(&b.1.apart)).map(|(index, _)| index);
            let Some(index) = widest else { break };
            let parted = heaps.swap_remove(index).parted();
            heaps.extend(parted);
        }
        let mut colours = pure;
        colours.extend(heaps.iter().map(Heap::mean));
        colours.truncate(MOST);
        Self(colours)
    }

    /// Red, green and blue of each, and of one more that is never seen.
    pub fn bytes(&self) -> Vec<u8> {
        self.0.iter().copied().chain([[0; 3]]).flatten().collect()
    }

    /// The place that means: as it was.
    pub fn same(&self) -> u8 {
        self.0.len() as u8
    }

    /// The places of the colours that come nearest to those of a frame.
    pub fn places(&self, frame: &Pixmap) -> Vec<u8> {
        let mut known: Vec<Option<(Rgb, u8)>> = vec![None; KNOWN];
        let mut last: Option<(Rgb, u8)> = None;
        let place = |rgb: Rgb| match last {
            Some((before, place)) if before == rgb => place,
            _ => {
                let [r, g, b] = rgb.map(usize::from);
                let at = (r * 7919 + g * 263 + b * 17) % KNOWN;
                let place = match known[at] {
                    Some((other, place)) if other == rgb => place,
                    _ => self.nearest(rgb),
                };
                known[at] = Some((rgb, place));
                last = Some((rgb, place));
                place
            }
        };
        colours(frame).map(place).collect()
    }

    fn nearest(&self, rgb: Rgb) -> u8 {
        let far = |other: &Rgb| -> i32 {
            rgb.iter().zip(other).map(|(a, b)| (i32::from(*a) - i32::from(*b)).pow(2)).sum()
        };
        let nearest = self.0.iter().enumerate().min_by_key(|(_, other)| far(other));
        nearest.map_or(0, |(place, _)| place as u8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(colours: &[Rgb]) -> Pixmap {
        let mut frame = Pixmap::new(colours.len() as u32, 1).unwrap();
        for (dot, [r, g, b]) in frame.pixels_mut().iter_mut().zip(colours) {
            *dot = tiny_skia::PremultipliedColorU8::from_rgba(*r, *g, *b, 255).unwrap();
        }
        frame
    }

    #[test]
    fn colours_of_a_theme_stay_what_they_are_and_mixtures_come_near() {
        let theme = Theme::LIGHT;
        let inks: Vec<Rgb> = Ink::ALL.into_iter().map(|ink| theme.rgb(ink)).collect();
        // All steps between paper and three inks: more than a palette holds.
        let mixed = [Ink::Text, Ink::Plan, Ink::Warn].into_iter().flat_map(|ink| {
            let (a, b) = (theme.rgb(Ink::Paper), theme.rgb(ink));
            (0..=200_u32).map(move |k| {
                std::array::from_fn(|c| ((u32::from(a[c]) * (200 - k) + u32::from(b[c]) * k) / 200) as u8)
            })
        });
        let all: Vec<Rgb> = inks.iter().copied().chain(mixed).collect();
        let frame = frame(&all);
        let mut census = Census::default();
        census.count(&frame);
        let palette = Palette::new(&census, &theme);
        assert!(palette.0.len() <= MOST);
        let places = palette.places(&frame);
        for (index, (rgb, place)) in all.iter().zip(&places).enumerate() {
            let found = palette.0[usize::from(*place)];
            let far = rgb.iter().zip(found).map(|(a, b)| a.abs_diff(b)).max().unwrap();
            assert!(far <= if index < inks.len() { 0 } else { 6 }, "{rgb:?} became {found:?}");
        }
        assert_eq!(palette.bytes().len(), 3 * (palette.0.len() + 1));
    }
}
