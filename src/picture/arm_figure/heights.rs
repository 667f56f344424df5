//! The elbow's height against the other levels: thin ticks at the side, the present one strong.

use super::Scene;
use crate::picture::{
    Anchor, Face, Ink, Pen, Picture,
    path::{polygon, polyline},
};

pub(super) fn draw(picture: &mut Picture, scene: &Scene) {
    let size = 0.86 * scene.type_mm;
    let (tick, words) = (scene.camera.edge + 1.0 * scene.type_mm, scene.camera.edge + 2.2 * scene.type_mm);
    let now = scene.figure.plane.index();
    let heights: Vec<f64> = scene.levels.iter().map(|(_, pose)| scene.camera.at(pose.elbow).y).collect();
    let rows = spread(&heights, 1.02 * size, (size, scene.camera.bottom - 0.2 * size));
    for (index, ((name, _), (height, row))) in scene.levels.iter().zip(heights.iter().zip(&rows)).enumerate()
    {
        let (ink, wide, face) =
            if index == now { (Ink::Plan, 0.8, Face::SansBold) } else { (Ink::Faint, 0.25, Face::Sans) };
        let long = if index % 2 == 0 { 0.9 } else { 0.6 } * scene.type_mm;
        picture.line((tick - long, *height), (tick, *height), Pen::solid(ink, wide));
        let style = (face, Anchor::Start, if index == now { Ink::Plan } else { Ink::Faint });
        picture.text((words, row + 0.35 * size), name.clone(), size, style);
        let leader = polyline([(tick, *height), (words - 0.25 * size, *row)]);
        picture.stroke(leader, Pen::solid(ink, 0.18));
    }
    // From the elbow to its place among them.
    let elbow = scene.camera.at(scene.pose.elbow);
    let end = tick - scene.type_mm;
    if elbow.x < end {
        picture.line(elbow, (end, elbow.y), Pen::dotted(Ink::Plan, 0.3));
    }
    let arrow =
        [(end - 0.7 * size, elbow.y - 0.4 * size), (end, elbow.y), (end - 0.7 * size, elbow.y + 0.4 * size)];
    picture.fill(polygon(arrow), Ink::Plan);
}

/// Places for words as near as they can be to where they belong, at least `gap` apart, inside a span.
fn spread(wanted: &[f64], gap: f64, (top, bottom): (f64, f64)) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    // Groups of words that touch share the middle of what they want.
    let mut groups: Vec<(f64, usize)> = Vec::new();
    for index in &order {
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
    for (index, row) in order.into_iter().zip(rows) {
        places[index] = row;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn words_keep_apart_and_near_their_ticks() {
        let wanted = [5.0, 5.2, 5.1, 20.0, 30.0, 30.0, 39.9];
        let places = spread(&wanted, 3.0, (1.0, 40.0));
        let mut sorted = places.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|two| two[1] - two[0] >= 3.0 - 1e-9), "{places:?}");
        assert!(places.iter().all(|place| (1.0..=40.0).contains(place)), "{places:?}");
        assert!((places[3] - 20.0).abs() < 1e-9);
        assert!(places[0] < places[2] && places[2] < places[1], "the order stays");
    }
}
