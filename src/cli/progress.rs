//! How far a long piece of work is, for a person at a terminal.

use std::{
    io::{IsTerminal as _, Write as _, stderr},
    time::{Duration, Instant},
};

/// What is over sooner is not told. Assumed.
const QUIET: Duration = Duration::from_secs(1);
/// Time between two tellings. Assumed.
const PAUSE: Duration = Duration::from_millis(250);

/// One line on standard error that is written over and at last taken away; nothing where that is no
/// terminal. The work can be broken off as any command, by Ctrl+C.
pub(super) struct Progress {
    what: &'static str,
    start: Instant,
    told: Option<Instant>,
    to_person: bool,
}

impl Progress {
    /// Begins to measure.
    pub fn new(what: &'static str) -> Self {
        Self { what, start: Instant::now(), told: None, to_person: stderr().is_terminal() }
    }

    /// Tells the share that is done, 0 to 1.
    pub fn tell(&mut self, share: f64) {
        let spent = self.start.elapsed();
        if !self.to_person || spent < QUIET || self.told.is_some_and(|told| told.elapsed() < PAUSE) {
            return;
        }
        self.told = Some(Instant::now());
        // A terminal that is gone is no reason to stop.
        let _ = write!(stderr(), "\r{:<60}", line(self.what, share, spent));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.told.is_some() {
            let _ = write!(stderr(), "\r{:<60}\r", "");
        }
    }
}

fn line(what: &str, share: f64, spent: Duration) -> String {
    let left = spent.as_secs_f64() * (1.0 / share - 1.0);
    let percent = 100.0 * share;
    if share < 0.05 || !left.is_finite() {
        format!("{what}: {percent:.0} %")
    } else {
        format!("{what}: {percent:.0} %, about {left:.0} s more")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_is_told_when_it_can_be_known() {
        let spent = Duration::from_secs(10);
        assert_eq!(line("bowings", 0.0, spent), "bowings: 0 %");
        assert_eq!(line("bowings", 0.25, spent), "bowings: 25 %, about 30 s more");
        assert_eq!(line("bowings", 1.0, spent), "bowings: 100 %, about 0 s more");
    }
}
