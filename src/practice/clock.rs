//! Exact playback time.
//!
//! Positions are seconds of the music at the practice tempo; `now` is any clock that only runs
//! forward, in seconds. The position is always computed from an anchor (where and when playing
//! began), never added up step by step, so it cannot drift.

/// Plays, pauses, seeks and loops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// Position at the anchor time, or where it is paused.
    position: f64,
    /// Time at which playing began, while it plays.
    playing_since: Option<f64>,
    /// Span to repeat.
    span: Option<(f64, f64)>,
    /// Where playing stops.
    end: f64,
}

/// Where the clock stands.
#[derive(Clone, Copy, Debug, PartialEq)]
#[must_use]
pub struct Tick {
    /// Position in the music, s.
    pub position: f64,
    /// It still moves: draw again soon.
    pub moving: bool,
}

/// Shortest span that is looped, s. Assumed; anything shorter could not be seen.
const SHORTEST_LOOP_S: f64 = 0.05;

impl Clock {
    /// Paused at the start of music that lasts `end` seconds.
    pub fn new(end: f64) -> Self {
        Self { position: 0.0, playing_since: None, span: None, end: end.max(0.0) }
    }

    /// True while it plays.
    pub fn is_playing(&self) -> bool {
        self.playing_since.is_some()
    }

    /// The span that is repeated, if any.
    pub fn span(&self) -> Option<(f64, f64)> {
        self.span
    }

    /// How often the loop has come round since it was last started, sought or changed.
    pub fn rounds(&self, now: f64) -> u32 {
        let Some((since, (from, until))) = self.playing_since.zip(self.span) else { return 0 };
        let position = self.position + (now - since).max(0.0);
        if position < until { 0 } else { ((position - from) / (until - from)) as u32 }
    }

    /// Where the music is at `now`; stops by itself at the end.
    pub fn tick(&mut self, now: f64) -> Tick {
        let position = self.at(now);
        if self.playing_since.is_some() && self.span.is_none() && position >= self.end {
            self.position = self.end;
            self.playing_since = None;
        }
        Tick { position, moving: self.is_playing() }
    }

    /// Starts playing at `now`, from the beginning (or of the loop) when it stands at the end.
    pub fn play(&mut self, now: f64) {
        if self.is_playing() {
            return;
        }
        let (from, until) = self.span.unwrap_or((0.0, self.end));
        if self.position >= until - 1e-9 || self.position < from {
            self.position = from;
        }
        self.playing_since = Some(now);
    }

    /// Stops where it is.
    pub fn pause(&mut self, now: f64) {
        self.position = self.at(now);
        self.playing_since = None;
    }

    /// Goes to `position`, playing or not.
    pub fn seek(&mut self, position: f64, now: f64) {
        self.position = position.clamp(0.0, self.end);
        if self.is_playing() {
            self.playing_since = Some(now);
        }
    }

    /// Repeats a span, or nothing. A span too short to be seen is no loop.
    pub fn set_span(&mut self, span: Option<(f64, f64)>, now: f64) {
        self.position = self.at(now);
        if self.is_playing() {
            self.playing_since = Some(now);
        }
        self.span = span
            .map(|(from, until)| (from.clamp(0.0, self.end), until.clamp(0.0, self.end)))
            .filter(|(from, until)| until - from >= SHORTEST_LOOP_S);
    }

    /// The same place in music whose times have all been stretched by `factor` (another practice
    /// tempo) and that now lasts `end` seconds.
    pub fn stretch(&mut self, factor: f64, end: f64, now: f64) {
        self.position = (self.at(now) * factor).clamp(0.0, end.max(0.0));
        if self.is_playing() {
            self.playing_since = Some(now);
        }
        self.span = self.span.map(|(from, until)| (from * factor, until * factor));
        self.end = end.max(0.0);
    }

    fn at(&self, now: f64) -> f64 {
        let Some(since) = self.playing_since else { return self.position };
        let position = self.position + (now - since).max(0.0);
        match self.span {
            Some((from, until)) if position >= until => from + (position - from) % (until - from),
            Some(_) => position,
            None => position.min(self.end),
        }
    }
}

/// The first of `times` (in order) after `position`; a time within a millisecond counts as here.
pub fn next_after(times: &[f64], position: f64) -> Option<f64> {
    times.get(times.partition_point(|time| *time <= position + 1e-3)).copied()
}

/// The last of `times` (in order) before `position`.
pub fn next_before(times: &[f64], position: f64) -> Option<f64> {
    times.partition_point(|time| *time < position - 1e-3).checked_sub(1).map(|index| times[index])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_thousand_loops_do_not_drift() {
        let mut clock = Clock::new(10.0);
        clock.set_span(Some((1.0, 1.7)), 0.0);
        clock.play(100.0);
        // Frames of uneven length change nothing: only the anchor counts.
        let mut now = 100.0;
        while now < 100.0 + 7000.0 {
            let _ = clock.tick(now);
            now += 0.013_7;
        }
        let position = clock.tick(100.0 + 7000.0 + 0.25).position;
        assert!((position - 1.25).abs() < 1e-6, "{position}");
    }

    #[test]
    fn rounds_of_a_loop_are_counted() {
        let mut clock = Clock::new(10.0);
        clock.play(0.0);
        assert_eq!(clock.rounds(5.0), 0, "nothing is looped");
        clock.set_span(Some((1.0, 2.0)), 0.0);
        let rounds = [0.0, 1.9, 2.5, 4.5, 21.5].map(|now| clock.rounds(now));
        assert_eq!(rounds, [0, 0, 1, 3, 20]);
        clock.pause(22.0);
        assert_eq!(clock.rounds(50.0), 0);
    }

    #[test]
    fn it_stops_at_the_end_and_starts_again_from_the_beginning() {
        let mut clock = Clock::new(2.0);
        clock.play(0.0);
        assert_eq!(clock.tick(5.0), Tick { position: 2.0, moving: false });
        clock.play(6.0);
        assert_eq!(clock.tick(6.5).position, 0.5);
    }

    #[test]
    fn a_change_of_tempo_keeps_the_place_in_the_music() {
        let mut clock = Clock::new(4.0);
        clock.play(0.0);
        clock.stretch(2.0, 8.0, 1.0);
        assert_eq!(clock.tick(1.0).position, 2.0);
        assert_eq!(clock.tick(2.0).position, 3.0);
    }

    #[test]
    fn pausing_and_seeking() {
        let mut clock = Clock::new(4.0);
        clock.play(0.0);
        clock.pause(1.0);
        assert_eq!(clock.tick(9.0), Tick { position: 1.0, moving: false });
        clock.seek(99.0, 9.0);
        assert_eq!(clock.tick(9.0).position, 4.0);
    }

    #[test]
    fn steps_go_from_note_to_note() {
        let times = [0.0, 1.0, 1.5];
        assert_eq!(next_after(&times, 0.0), Some(1.0));
        assert_eq!(next_after(&times, 1.5), None);
        assert_eq!(next_before(&times, 1.5), Some(1.0));
        assert_eq!(next_before(&times, 0.0), None);
    }
}
