//! The loudspeaker, with a device that plays nowhere.

use std::time::Duration;

use elbowroom::sound::speaker::{Outlet, Speaker, State};

/// Whether it runs or not, however the clock of the window jumps about, the time by it only runs forward; and while
/// it runs it goes on by itself.
#[test]
fn the_time_only_runs_forward() {
    let mut speaker = Speaker::open(Outlet::Nowhere).expect("a thread");
    let mut last = f64::NEG_INFINITY;
    let mut tell = |speaker: &mut Speaker, window_s: f64| {
        let now = speaker.now_s(window_s);
        assert!(now >= last, "{now} after {last}");
        last = now;
        now
    };
    for window_s in [0.0, 1.0, 0.5, 2.0] {
        tell(&mut speaker, window_s);
    }
    assert!(speaker.run(Duration::from_secs(60)), "{:?}", speaker.state());
    assert_eq!(speaker.state(), State::Running);
    let begun = tell(&mut speaker, 2.0);
    assert!((begun - 2.0).abs() < 1e-9, "it goes on from where it was");
    let moves = (0..1000).any(|_| {
        std::thread::sleep(Duration::from_millis(5));
        tell(&mut speaker, 2.0) > begun + 0.05
    });
    assert!(moves, "by the frames, though the window stands still");
    speaker.set_late(0.4);
    tell(&mut speaker, 2.0);
}
