//! Where things stand on a frame of any shape: as large as it has room for.

use kurbo::Rect;

/// Shorter side of a frame: at first this, then more until everything has room, mm; what more there is makes
/// everything smaller. Assumed: on a frame of 720 pixels a staff space is 12 of them at most.
const SHORT_MM: f64 = 100.0;
const LARGER: f64 = 1.04;
/// The last size that is tried, mm: then things are crowded.
const LAST_MM: f64 = 1200.0;
/// Edge of the frame, and room between things, mm.
const EDGE_MM: f64 = 4.0;
const GAP_MM: f64 = 3.0;
/// Least and greatest height and width of the player, mm, and most of its width to its height.
const PLAYER_MM: (f64, f64) = (50.0, 130.0);
const PLAYER_WIDE: f64 = 1.5;
/// Least and greatest width of the bridge, mm.
const FAN_MM: (f64, f64) = (44.0, 84.0);
/// Least and greatest width of the bow, mm: in less its names stand on one another.
const BOW_MM: (f64, f64) = (100.0, 260.0);
/// Part of the width for player and bridge beside the music, and for the player beside the bridge.
const SIDE_PART: f64 = 0.36;
const PLAYER_PART: f64 = 0.64;
/// A frame at least so many times as wide as high has them beside the music where that is no smaller.
const WIDE: f64 = 1.2;

/// What has to find room, mm.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Needs {
    /// Height of the words at the head.
    pub head: Option<f64>,
    /// Least and greatest height of the music, and least width.
    pub music: Option<((f64, f64), f64)>,
    /// Height of the bow.
    pub bow: Option<f64>,
    /// Height of the bridge, as part of its width.
    pub fan: Option<f64>,
    /// The player is seen.
    pub player: bool,
}

/// Where things stand, mm from the top left.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Layout {
    pub size_mm: (f64, f64),
    pub pixels_per_mm: f64,
    pub head: Option<Rect>,
    pub music: Option<Rect>,
    pub bow: Option<Rect>,
    pub fan: Option<Rect>,
    pub player: Option<Rect>,
}

impl Layout {
    /// The largest that a frame of so many pixels has room for.
    pub fn new((wide, high): (u32, u32), needs: &Needs) -> Self {
        let (wide, high) = (f64::from(wide), f64::from(high));
        let mut short_mm = SHORT_MM;
        loop {
            let pixels_per_mm = wide.min(high) / short_mm;
            let size_mm = (wide / pixels_per_mm, high / pixels_per_mm);
            let is_last = short_mm >= LAST_MM;
            let layouts = [beside(size_mm, needs, is_last), under(size_mm, needs, is_last)];
            let [beside, under] =
                layouts.map(|layout| layout.map(|layout| Self { size_mm, pixels_per_mm, ..layout }));
            let found = if wide >= WIDE * high { beside.or(under) } else { under.or(beside) };
            match found {
                Some(layout) => return layout,
                None if is_last => return Self { size_mm, pixels_per_mm, ..Self::default() },
                None => short_mm *= LARGER,
            }
        }
    }
}

/// A box of a column: least and greatest height, mm.
type Tall = (f64, f64);

/// Boxes under one another between two heights; none where they have no room. What is left over first lets
/// them grow, then stands between them.
fn stacked(boxes: &[Tall], (top, bottom): (f64, f64), crowded: bool) -> Option<Vec<(f64, f64)>> {
    let gaps = GAP_MM * boxes.len().saturating_sub(1) as f64;
    let least: f64 = boxes.iter().map(|tall| tall.0).sum();
    let mut spare = bottom - top - least - gaps;
    if spare < 0.0 && !crowded {
        return None;
    }
    let grows: f64 = boxes.iter().map(|tall| tall.1 - tall.0).sum();
    let part = if grows > 0.0 { (spare / grows).clamp(0.0, 1.0) } else { 0.0 };
    spare = (spare - part * grows).max(0.0);
    let air = spare / (boxes.len() + 1) as f64;
    let mut y = top + air;
    let mut placed = Vec::new();
    for tall in boxes {
        let height = tall.0 + part * (tall.1 - tall.0);
        placed.push((y, height));
        y += height + GAP_MM + air;
    }
    Some(placed)
}

/// A box in the middle of a width.
fn middle((left, right): (f64, f64), width: f64, (y, height): (f64, f64)) -> Rect {
    let x = (left + right - width) / 2.0;
    Rect::new(x, y, x + width, y + height)
}

/// Head, music and bow of a column, with how wide each is; none where it is too narrow.
fn column(needs: &Needs, (left, right): (f64, f64), crowded: bool) -> Option<Vec<(Part, Tall)>> {
    let wide = right - left;
    let narrow = needs.music.is_some_and(|(_, least)| wide < least) || needs.bow.is_some() && wide < BOW_MM.0;
    if narrow && !crowded {
        return None;
    }
    let head = needs.head.map(|tall| (Part::Head, (tall, tall)));
    let music = needs.music.map(|(tall, _)| (Part::Music, tall));
    let bow = needs.bow.map(|tall| (Part::Bow, (tall, tall)));
    Some([head, music, bow].into_iter().flatten().collect())
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Head,
    Music,
    Bow,
    Player,
    Fan,
}

impl Layout {
    fn put(&mut self, part: Part, needs: &Needs, (left, right): (f64, f64), tall: (f64, f64)) {
        let width = match part {
            Part::Head | Part::Music => right - left,
            Part::Bow => (right - left).min(BOW_MM.1),
            Part::Player => (right - left).min(PLAYER_WIDE * tall.1),
            Part::Fan => (right - left).min(tall.1 / needs.fan.unwrap_or(1.0)),
        };
        let rect = Some(middle((left, right), width, tall));
        *match part {
            Part::Head => &mut self.head,
            Part::Music => &mut self.music,
            Part::Bow => &mut self.bow,
            Part::Player => &mut self.player,
            Part::Fan => &mut self.fan,
        } = rect;
    }
}

/// The bridge in a width: its height.
fn fan_tall(needs: &Needs, width: f64) -> Option<Tall> {
    let ratio = needs.fan?;
    let tall = |wide: f64| wide.min(width) * ratio;
    Some((tall(FAN_MM.0), tall(FAN_MM.1)))
}

/// Player and bridge in a column at the right of everything else; none where nothing else is seen.
fn beside((wide, high): (f64, f64), needs: &Needs, crowded: bool) -> Option<Layout> {
    let mut layout = Layout::default();
    let (top, bottom) = (EDGE_MM, high - EDGE_MM);
    let has_figures = needs.player || needs.fan.is_some();
    let has_music = needs.music.is_some() || needs.bow.is_some();
    let part = match (has_music, needs.player && needs.fan.is_some()) {
        (true, _) if has_figures => SIDE_PART,
        (false, true) => 1.0 - PLAYER_PART,
        _ => return None,
    };
    let side = part * (wide - 2.0 * EDGE_MM);
    let left = (EDGE_MM, wide - EDGE_MM - side - GAP_MM);
    let right = (wide - EDGE_MM - side, wide - EDGE_MM);
    if !crowded && (side < FAN_MM.0 || needs.player && side < PLAYER_MM.0 && has_music) {
        return None;
    }
    let player = (PLAYER_MM.0, PLAYER_MM.1.min(1.1 * side).max(PLAYER_MM.0));
    if has_music {
        let boxes = column(needs, left, crowded)?;
        let talls: Vec<Tall> = boxes.iter().map(|(_, tall)| *tall).collect();
        for ((part, _), tall) in boxes.iter().zip(stacked(&talls, (top, bottom), crowded)?) {
            layout.put(*part, needs, left, tall);
        }
        let player = needs.player.then_some((Part::Player, player));
        let fan = fan_tall(needs, side).map(|tall| (Part::Fan, tall));
        let boxes: Vec<(Part, Tall)> = [player, fan].into_iter().flatten().collect();
        let talls: Vec<Tall> = boxes.iter().map(|(_, tall)| *tall).collect();
        for ((part, _), tall) in boxes.iter().zip(stacked(&talls, (top, bottom), crowded)?) {
            layout.put(*part, needs, right, tall);
        }
    } else {
        let mut top = top;
        if let Some(tall) = needs.head {
            layout.put(Part::Head, needs, (EDGE_MM, wide - EDGE_MM), (top, tall));
            top += tall + GAP_MM;
        }
        if bottom - top < PLAYER_MM.0 && !crowded {
            return None;
        }
        layout.put(Part::Player, needs, left, (top, bottom - top));
        let tall = fan_tall(needs, side)?.1.min(bottom - top);
        layout.put(Part::Fan, needs, right, (top + (bottom - top - tall) / 2.0, tall));
    }
    Some(layout)
}

/// Everything under one another, the bridge beside the player where that is wide enough.
fn under((wide, high): (f64, f64), needs: &Needs, crowded: bool) -> Option<Layout> {
    let sides = (EDGE_MM, wide - EDGE_MM);
    let inner = sides.1 - sides.0;
    if inner < PLAYER_MM.0 && needs.player && !crowded {
        return None;
    }
    let mut boxes = column(needs, sides, crowded)?;
    let player = (PLAYER_MM.0, PLAYER_MM.1.min(1.05 * inner).max(PLAYER_MM.0));
    let side = (1.0 - PLAYER_PART) * inner;
    let is_row = needs.player && needs.fan.is_some() && side >= FAN_MM.0 && high < 1.5 * wide;
    if needs.player {
        let tall = if is_row {
            (PLAYER_MM.0, player.1.min(1.05 * PLAYER_PART * inner).max(PLAYER_MM.0))
        } else {
            player
        };
        boxes.push((Part::Player, tall));
    }
    if let Some(tall) = fan_tall(needs, inner).filter(|_| !is_row) {
        boxes.push((Part::Fan, tall));
    }
    let talls: Vec<Tall> = boxes.iter().map(|(_, tall)| *tall).collect();
    let mut layout = Layout::default();
    for ((part, _), tall) in boxes.iter().zip(stacked(&talls, (EDGE_MM, high - EDGE_MM), crowded)?) {
        if *part == Part::Player && is_row {
            let edge = sides.1 - side;
            layout.put(Part::Player, needs, (sides.0, edge - GAP_MM), tall);
            let fan = fan_tall(needs, side)?.1.min(tall.1);
            layout.put(Part::Fan, needs, (edge, sides.1), (tall.0 + (tall.1 - fan) / 2.0, fan));
        } else {
            layout.put(*part, needs, sides, tall);
        }
    }
    Some(layout)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rects(layout: &Layout) -> Vec<Rect> {
        [layout.head, layout.music, layout.bow, layout.fan, layout.player].into_iter().flatten().collect()
    }

    #[test]
    fn on_a_frame_of_any_shape_all_is_inside_and_nothing_on_anything_else() {
        for size in
            [(1280, 720), (720, 720), (720, 1280), (480, 480), (64, 64), (4096, 64), (64, 4096), (1920, 800)]
        {
            for seen in 1..32_u8 {
                let has = |bit: u8| seen & (1 << bit) != 0;
                let needs = Needs {
                    head: has(0).then_some(7.0),
                    music: has(1).then_some(((70.0, 110.0), 90.0)),
                    bow: has(2).then_some(32.0),
                    fan: has(3).then_some(0.67),
                    player: has(4),
                };
                let layout = Layout::new(size, &needs);
                let rects = rects(&layout);
                assert_eq!(rects.len(), seen.count_ones() as usize, "{size:?} {needs:?}");
                let whole = Rect::new(0.0, 0.0, layout.size_mm.0, layout.size_mm.1).inflate(1e-6, 1e-6);
                for (index, rect) in rects.iter().enumerate() {
                    assert!(
                        whole.contains_rect(*rect) && !rect.is_zero_area(),
                        "{size:?} {needs:?} {rect:?}"
                    );
                    for other in &rects[..index] {
                        let shared = rect.intersect(*other);
                        assert!(shared.width() <= 1e-6 || shared.height() <= 1e-6, "{size:?} {needs:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn less_on_a_frame_is_larger() {
        let music = Some(((60.0, 90.0), 90.0));
        let alone = Layout::new((1280, 720), &Needs { music, ..Needs::default() });
        let all = Needs { music, head: Some(7.0), bow: Some(32.0), fan: Some(0.67), player: true };
        assert!(alone.pixels_per_mm > Layout::new((1280, 720), &all).pixels_per_mm);
    }
}
