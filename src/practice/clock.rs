//! Exact playback time.
//!
//! Positions are seconds of the music at the practice tempo; `now` is any clock that only runs
//! forward, in seconds. The position is always computed from an anchor (where and when playing
//! began), never added up step by step, so it cannot drift.

/// Plays, pauses, seeks and loops.
#[derive(Clone, Debug, PartialEq)]
pub struct Clock {
    /// Position at the anchor time, or where it is paused.
    position: f64,
    /// The stretch of the way in which that is.
    leg: usize,
    /// The way through the music: stretches of it, in the order in which they are played, s. Never empty.
    way: Vec<(f64, f64)>,
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
        let end = end.max(0.0);
        Self { position: 0.0, leg: 0, way: vec![(0.0, end)], playing_since: None, span: None, end }
    }

    /// Plays these stretches of the music, s, one after another; all of it once where there are none. A loop
    /// goes its own way.
    pub fn set_way(&mut self, way: Vec<(f64, f64)>, now: f64) {
        let (leg, position) = self.at(now);
        self.way = if way.is_empty() { vec![(0.0, self.end)] } else { way };
        self.go(leg.min(self.way.len() - 1), position, now);
    }

    /// The way is not straight on.
    pub fn has_turns(&self) -> bool {
        self.way.len() > 1
    }

    /// Which time it is that the way leads through the place where the music is at `now`, counted from 1.
    pub fn time(&self, now: f64) -> usize {
        let (leg, position) = self.at(now);
        let is_there = |leg: &&(f64, f64)| (leg.0..leg.1).contains(&position);
        self.way[..=leg].iter().filter(is_there).count().max(1)
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
        let (leg, position) = self.at(now);
        let last = self.way.len() - 1;
        if self.playing_since.is_some() && self.span.is_none() && leg == last && position >= self.way[last].1
        {
            (self.leg, self.position) = (leg, position);
            self.playing_since = None;
        }
        Tick { position, moving: self.is_playing() }
    }

    /// Starts playing at `now`, from the beginning (or of the loop) when it stands at the end.
    pub fn play(&mut self, now: f64) {
        if self.is_playing() {
            return;
        }
        match self.span {
            Some((from, until)) if self.position >= until - 1e-9 || self.position < from => {
                self.position = from;
            }
            None if self.leg + 1 == self.way.len() && self.position >= self.way[self.leg].1 - 1e-9 => {
                (self.leg, self.position) = (0, self.way[0].0);
            }
            _ => {}
        }
        self.playing_since = Some(now);
    }

    /// Stops where it is.
    pub fn pause(&mut self, now: f64) {
        (self.leg, self.position) = self.at(now);
        self.playing_since = None;
    }

    /// Goes to `position`, playing or not: in the stretch that is played, or the first time it comes.
    pub fn seek(&mut self, position: f64, now: f64) {
        let leg = self.at(now).0;
        self.go(leg, position, now);
    }

    fn go(&mut self, leg: usize, position: f64, now: f64) {
        let position = position.clamp(0.0, self.end);
        let holds = |leg: &(f64, f64)| (leg.0..leg.1).contains(&position);
        let first = || {
            let ahead = self.way.iter().position(|leg| leg.1 > position);
            self.way.iter().position(holds).or(ahead).unwrap_or(self.way.len() - 1)
        };
        self.leg = if holds(&self.way[leg]) { leg } else { first() };
        self.position = position;
        if self.is_playing() {
            self.playing_since = Some(now);
        }
    }

    /// Repeats a span, or nothing. A span too short to be seen is no loop.
    pub fn set_span(&mut self, span: Option<(f64, f64)>, now: f64) {
        let (leg, position) = self.at(now);
        self.go(leg, position, now);
        self.span = span
            .map(|(from, until)| (from.clamp(0.0, self.end), until.clamp(0.0, self.end)))
            .filter(|(from, until)| until - from >= SHORTEST_LOOP_S);
    }

    /// The same place in music whose times have all been stretched by `factor` (another practice
    /// tempo) and that now lasts `end` seconds.
    pub fn stretch(&mut self, factor: f64, end: f64, now: f64) {
        let (leg, position) = self.at(now);
        let old_end = std::mem::replace(&mut self.end, end.max(0.0));
        let stretched = |at: f64| if at >= old_end { self.end } else { (at * factor).min(self.end) };
        self.way = self.way.iter().map(|(from, until)| (stretched(*from), stretched(*until))).collect();
        self.span = self.span.map(|(from, until)| (from * factor, until * factor));
        let position = if leg + 1 == self.way.len() { stretched(position) } else { position * factor };
        self.go(leg, position, now);
    }

    /// The stretch of the way, and the position, at `now`.
    fn at(&self, now: f64) -> (usize, f64) {
        let Some(since) = self.playing_since else { return (self.leg, self.position) };
        let mut position = self.position + (now - since).max(0.0);
        match self.span {
            Some((from, until)) if position >= until => (self.leg, from + (position - from) % (until - from)),
            Some(_) => (self.leg, position),
            None => {
                let last = self.way.len() - 1;
                for leg in self.leg..last {
                    let until = self.way[leg].1;
                    if position < until {
                        return (leg, position);
                    }
                    position += self.way[leg + 1].0 - until;
                }
                (last, position.min(self.way[last].1))
            }
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

    /// Three bars of a second, the first two repeated: 1 2 1 2 3.
    #[test]
    fn a_repeat_is_played_twice() {
        let mut clock = Clock::new(3.0);
        clock.set_way(vec![(0.0, 2.0), (0.0, 3.0)], 0.0);
        clock.play(0.0);
        for (now, position, time) in [(0.5, 0.5, 1), (1.5, 1.5, 1), (2.5, 0.5, 2), (4.5, 2.5, 1)] {
            assert_eq!(clock.tick(now), Tick { position, moving: true }, "{now}");
            assert_eq!(clock.time(now), time, "{now}");
        }
        assert_eq!(clock.tick(5.5), Tick { position: 3.0, moving: false });
        // From the end it starts again, the first time.
        clock.play(6.0);
        assert_eq!((clock.tick(6.5).position, clock.time(6.5)), (0.5, 1));
        // In the second time a place of both stays in the second, one in another bar is found.
        clock.seek(0.25, 8.5);
        assert_eq!(clock.time(8.5), 2);
        clock.seek(2.25, 8.5);
        assert_eq!(clock.tick(9.0).position, 2.75);
        // Half as fast, in the middle of the second time.
        clock.seek(0.0, 9.0);
        clock.stretch(2.0, 6.0, 9.0);
        assert_eq!(clock.tick(14.5), Tick { position: 5.5, moving: true });
        // Without repeats the same place goes on once through.
        clock.set_way(Vec::new(), 14.5);
        assert_eq!(clock.tick(15.1), Tick { position: 6.0, moving: false });
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
