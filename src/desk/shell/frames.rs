//! How often the window is drawn while something moves.

use std::time::{Duration, Instant};

/// Time between two frames where drawing is quick.
const FRAME: Duration = Duration::from_micros(16_667);
/// A frame that takes longer than this is drawn by the processor itself, or as good as that: a screen shows 60 in
/// a second, and waiting for it takes up to 17 ms. Assumed.
const QUICK: Duration = Duration::from_millis(21);
/// Time between two frames where drawing is slow: 25 in a second, evenly, and time for other things.
const SLOW: Duration = Duration::from_millis(40);
/// The least time that is left between two frames for other things. Assumed.
const REST: Duration = Duration::from_millis(8);
/// Frames after which it is known how long one takes; they are drawn one upon the other.
const TRIED: usize = 8;

/// How long frames take, since something began to move.
#[derive(Debug, Default)]
pub struct Frames {
    last: Option<Instant>,
    took: Vec<Duration>,
}

impl Frames {
    /// Nothing moves: it is found out anew when something does.
    pub fn rest(&mut self) {
        self.last = None;
        self.took.clear();
    }

    /// After which time to draw again. Call it once a frame while something moves.
    pub fn wait(&mut self) -> Duration {
        let now = Instant::now();
        let took = self.last.replace(now).map(|last| now - last);
        if self.took.len() < TRIED {
            self.took.extend(took);
            self.took.sort_unstable();
            return Duration::ZERO;
        }
        wait_for(self.took[TRIED / 2])
    }
}

/// The wait between frames that take so long.
fn wait_for(took: Duration) -> Duration {
    if took <= QUICK { FRAME } else { SLOW.saturating_sub(took).max(REST) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slow_drawing_is_done_less_often() {
        let ms = Duration::from_millis;
        assert_eq!(wait_for(ms(3)), FRAME);
        assert_eq!(wait_for(ms(17)), FRAME);
        assert_eq!(wait_for(ms(25)), ms(15));
        assert_eq!(wait_for(ms(90)), REST);
        let mut frames = Frames::default();
        assert!((0..=TRIED).all(|_| frames.wait() == Duration::ZERO));
        assert!(frames.wait() > Duration::ZERO);
    }
}
