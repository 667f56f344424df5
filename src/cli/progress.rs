//! How far a long piece of work is, for a person at a terminal.

use std::{
    io::{IsTerminal as _, Write as _, stderr},
    sync::{
        Once,
        atomic::{AtomicBool, Ordering},
    },
    time::{Duration, Instant},
};

/// What is over sooner is not told. Assumed.
const QUIET: Duration = Duration::from_secs(1);
/// Time between two tellings. Assumed.
const PAUSE: Duration = Duration::from_millis(250);

/// Exit code after Ctrl+C: 128 and the number of the signal, as a shell has it.
const BROKEN_OFF: i32 = 130;

/// A line stands on the terminal.
static STANDS: AtomicBool = AtomicBool::new(false);

/// One line on standard error that is written over and at last taken away; nothing where that is no
/// terminal. The work can be broken off as any command, by Ctrl+C, which takes the line away too.
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
        leave_no_line();
        STANDS.store(true, Ordering::Relaxed);
        // A terminal that is gone is no reason to stop.
        let _ = write!(stderr(), "\r{:<60}", line(self.what, share, spent));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        take_away();
    }
}

/// Takes the line away, if one stands. What the terminal says of Ctrl+C stands in it too.
fn take_away() {
    if STANDS.swap(false, Ordering::Relaxed) {
        let _ = write!(stderr(), "\r{:<62}\r", "");
    }
}

/// From now on Ctrl+C takes the line away before it ends the program.
fn leave_no_line() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // Where that cannot be had the line is left.
        let _ = ctrlc::set_handler(|| {
            take_away();
            std::process::exit(BROKEN_OFF);
        });
    });
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
