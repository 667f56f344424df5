//! The elbow's height against the other levels: their names at the side, the present one strong.

use super::Scene;
use crate::picture::{Anchor, Face, Ink, Pen, Picture, path::polyline};

pub(super) fn draw(picture: &mut Picture, scene: &Scene) {
    let size = 0.92 * scene.figure.type_mm;
    let places: Vec<_> =
        scene.levels.iter().map(|(_, pose)| scene.at(pose.elbow).unwrap_or_default()).collect();
    let heights: Vec<f64> = places.iter().map(|at| at.y).collect();
    // The names stand in the order of the heights, whatever a view from a little above makes of them.
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|a, b| scene.levels[*b].1.elbow.z.total_cmp(&scene.levels[*a].1.elbow.z));
    let rows = spread(&heights, &order, 1.06 * size, (size, (scene.bottom - 0.4 * size).max(size)));
    // The column of names, and the way there: a step from the column, then level to the elbow.
    let out = if scene.column.left { 1.0 } else { -1.0 };
    let (words, bend, gap) = (scene.column.x - out * 1.3 * size, scene.column.x, out * 0.25 * size);
    let anchor = if scene.column.left { Anchor::End } else { Anchor::Start };
    let now = scene.figure.plane.index();
    let held = scene.other().is_some().then(|| scene.figure.held.map(|plane| plane.index())).flatten();
    for (index, (name, _)) in scene.levels.iter().enumerate() {
        let (at, row) = (places[index], rows[index]);
        let (ink, wide, face, grown) = if index == now {
            (Ink::Now, 0.16, Face::SansBold, 1.25)
        } else if Some(index) == held {
            (Ink::Ghost, 0.11, Face::SansBold, 1.1)
        } else {
            (Ink::Faint, 0.05, Face::Sans, 0.9)
        };
        let pen =
            if Some(index) == held { Pen::dashed(ink, wide * size) } else { Pen::solid(ink, wide * size) };
        // Behind the dot of the elbow, which is drawn already.
        let short = if index == now || Some(index) == held { 0.46 * size } else { 0.2 * size };
        let end = at.x - short * out;
        let between = if scene.column.left { bend.min(end) } else { bend.max(end) };
        picture.stroke(polyline([(words + gap, row), (between, at.y), (end, at.y)]), pen);
        let ink = match ink {
            Ink::Now => Ink::Plan,
            other => other,
        };
        picture.text((words, row + 0.35 * size * grown), name.clone(), size * grown, (face, anchor, ink));
    }
}

/// Places for words in an order from the top, as near as they can be to where they belong, at least `gap`
/// apart, inside a span.
fn spread(wanted: &[f64], order: &[usize], gap: f64, (top, bottom): (f64, f64)) -> Vec<f64> {
    // Groups of words that touch share the middle of what they want.
    let mut groups: Vec<(f64, usize)> = Vec::new();
    for index in order {
        groups.push((wanted[*index], 1));
        while let [.., (a, n), (b, m)] = groups[..]
            && b - a < gap * (n + m) as f64 / 2.0
        {
            groups.truncate(groups.len() - 2);
            // Middles of what the members want, counted with their offsets.
            let total = (n + m) as f64;
            groups.push(((a * n as f64 + b * m as f64) / total, n + m));
        }
    }
    let mut rows = Vec::with_capacity(wanted.len());
    for (middle, count) in groups {
        let half = gap * (count - 1) as f64 / 2.0;
        let middle = middle.clamp((top + half).min(bottom), (bottom - half).max(top));
        rows.extend((0..count).map(|k| middle - half + gap * k as f64));
    }
    let mut places = vec![0.0; wanted.len()];
    for (index, row) in order.iter().zip(rows) {
        places[*index] = row;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn words_keep_apart_and_near_their_ticks() {
        let wanted = [5.0, 5.2, 5.1, 20.0, 30.0, 30.0, 39.9];
        let places = spread(&wanted, &[0, 2, 1, 3, 4, 5, 6], 3.0, (1.0, 40.0));
        let mut sorted = places.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|two| two[1] - two[0] >= 3.0 - 1e-9), "{places:?}");
        assert!(places.iter().all(|place| (1.0..=40.0).contains(place)), "{places:?}");
        assert!((places[3] - 20.0).abs() < 1e-9);
        assert!(places[0] < places[2] && places[2] < places[1], "the order stays");
        let turned = spread(&wanted, &[1, 2, 0, 3, 4, 5, 6], 3.0, (1.0, 40.0));
        assert!(turned[1] < turned[2] && turned[2] < turned[0], "an order other than that of the places");
    }
}
