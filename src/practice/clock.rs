//! Exact playback time.
//!
//! Positions are seconds of the music at the practice tempo; `now` is any clock that only runs
//! forward, in seconds. The position is always computed from an anchor (where and when playing
//! began), never added up step by step, so it cannot drift. What is seen and what is heard ask the
//! same clock: the picture for a moment, the sound for the stretch of even pace around it.

use super::metre::CountIn;

/// Plays, pauses, seeks and loops.
#[derive(Clone, Debug, PartialEq)]
pub struct Clock {
    /// Position at the anchor time, or where it is paused.
    position: f64,
    /// The stretch of the way in which that is.
    leg: usize,
    /// The round of the loop in which that is, from 0.
    round: u32,
    /// The way through the music: stretches of it, in the order in which they are played, s. Never empty.
    way: Vec<(f64, f64)>,
    /// Time at which playing began, while it plays.
    playing_since: Option<f64>,
    /// What is counted at the anchor time before the music goes on; nothing where it goes on at once.
    lead: CountIn,
    /// Span to repeat.
    span: Option<(f64, f64)>,
    /// What is counted between two rounds of the span.
    pause: CountIn,
    /// How fast the rounds of the span are.
    pace: Pace,
    /// Where playing stops.
    end: f64,
}

/// How fast the rounds of a loop are: faster and faster, up to the practice tempo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// The first round, as a share of the practice tempo.
    pub first: f64,
    /// How much faster each tempo is than the one before it, as a share of the practice tempo.
    pub step: f64,
    /// Rounds at each tempo; at least one.
    pub each: u32,
}

impl Pace {
    /// Every round at the practice tempo.
    pub const EVEN: Self = Self { first: 1.0, step: 0.0, each: 1 };

    /// How fast a round is, counted from 0.
    pub fn of(self, round: u32) -> f64 {
        let step = round / self.each.max(1);
        if step + 1 >= self.tempos() { 1.0 } else { self.first + self.step * f64::from(step) }
    }

    /// How many tempos there are, that at the end included.
    pub fn tempos(self) -> u32 {
        if self.step > 0.0 && self.first < 1.0 {
            // A little less, so that a step that just reaches the last is the last.
            ((1.0 - self.first) / self.step - 1e-9).ceil() as u32 + 1
        } else {
            1
        }
    }

    /// The round from which on all are as fast.
    fn steady_from(self) -> u32 {
        (self.tempos() - 1).saturating_mul(self.each.max(1))
    }

    /// As it can be played: from no slower than [`SLOWEST`], in no more than [`MOST_TEMPOS`] steps.
    fn checked(self) -> Self {
        let first = self.first.clamp(SLOWEST, 1.0);
        Self { first, step: self.step.max((1.0 - first) / MOST_TEMPOS), each: self.each.clamp(1, MOST_EACH) }
    }
}

/// Bounds of a pace. Assumed.
const SLOWEST: f64 = 0.1;
const MOST_TEMPOS: f64 = 200.0;
const MOST_EACH: u32 = 50;

/// Where the clock stands.
#[derive(Clone, Copy, Debug, PartialEq)]
#[must_use]
pub struct Tick {
    /// Position in the music, s.
    pub position: f64,
    /// It still moves: draw again soon.
    pub moving: bool,
}

/// What goes on in a stretch of even pace.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// It is counted before the first round.
    CountsIn,
    /// It is counted between two rounds.
    Rests,
    /// The music plays.
    Plays,
    /// It is over.
    Over,
}

/// A stretch of even pace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// What goes on.
    pub doing: Doing,
    /// Where it begins and ends, s since playing began; the last never ends.
    pub from_s: f64,
    /// See `from_s`.
    pub until_s: f64,
    /// Position in the music where it begins, s. While it is counted the position runs up to where the
    /// music goes on, as if there were music before it.
    pub position: f64,
    /// Where the music begins, or goes on after it is counted, s.
    pub begins: f64,
    /// Seconds of the music in a second; 0 when it is over.
    pub speed: f64,
    /// The round of the loop, from 0; that to which it is counted.
    pub round: u32,
    /// The stretch of the way.
    leg: usize,
}

impl Stretch {
    /// Position so long after playing began, s.
    pub fn position_at(&self, elapsed_s: f64) -> f64 {
        self.position + (elapsed_s - self.from_s) * self.speed
    }

    /// How long it is counted still, s at the practice tempo.
    fn left_s(&self, elapsed_s: f64) -> f64 {
        (self.until_s - elapsed_s) * self.speed
    }

    /// Where the music is, or goes on.
    fn place_at(&self, elapsed_s: f64) -> f64 {
        match self.doing {
            Doing::CountsIn | Doing::Rests => self.begins,
            Doing::Plays | Doing::Over => self.position_at(elapsed_s),
        }
    }
}

/// What is counted just now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counting {
    /// The beat, from 1; none before the first.
    pub beat: Option<u16>,
    /// Between two rounds.
    pub rests: bool,
}

/// A round that ends so soon is over, s: what is lost in counting is less.
const CLOSE_S: f64 = 1e-9;

/// Shortest span that is looped, s. Assumed; anything shorter could not be seen.
const SHORTEST_LOOP_S: f64 = 0.05;

impl Clock {
    /// Paused at the start of music that lasts `end` seconds.
    pub fn new(end: f64) -> Self {
        let end = end.max(0.0);
        Self {
            position: 0.0,
            leg: 0,
            round: 0,
            way: vec![(0.0, end)],
            playing_since: None,
            lead: CountIn::default(),
            span: None,
            pause: CountIn::default(),
            pace: Pace::EVEN,
            end,
        }
    }

    /// Plays these stretches of the music, s, one after another; all of it once where there are none. A loop
    /// goes its own way.
    pub fn set_way(&mut self, way: Vec<(f64, f64)>, now: f64) {
        self.settle(now);
        self.way = if way.is_empty() { vec![(0.0, self.end)] } else { way };
        self.leg = self.leg.min(self.way.len() - 1);
        self.find_leg();
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

    /// When playing began, while it plays.
    pub fn since(&self) -> Option<f64> {
        self.playing_since
    }

    /// The span that is repeated, if any.
    pub fn span(&self) -> Option<(f64, f64)> {
        self.span
    }

    /// How often the loop has come round since it was last started or changed.
    pub fn rounds(&self, now: f64) -> u32 {
        self.span.and(self.stretch_now(now)).map_or(0, |stretch| stretch.round)
    }

    /// How fast the round is that is played or counted to, as a share of the practice tempo.
    pub fn speed(&self, now: f64) -> f64 {
        self.span.map_or(1.0, |_| self.pace.of(self.stretch_now(now).map_or(0, |stretch| stretch.round)))
    }

    /// What is counted, while it is.
    pub fn counting(&self, now: f64) -> Option<Counting> {
        let stretch = self.stretch_now(now)?;
        let rests = stretch.doing == Doing::Rests;
        let left_s = stretch.left_s((now - self.playing_since?).max(0.0));
        matches!(stretch.doing, Doing::CountsIn | Doing::Rests)
            .then(|| Counting { beat: self.counts(stretch.doing).beat_at(left_s), rests })
    }

    /// What is counted while this goes on.
    pub fn counts(&self, doing: Doing) -> &CountIn {
        if doing == Doing::Rests { &self.pause } else { &self.lead }
    }

    /// Where the music is at `now`; stops by itself at the end.
    pub fn tick(&mut self, now: f64) -> Tick {
        if let Some(stretch) = self.stretch_now(now).filter(|stretch| stretch.doing == Doing::Over) {
            (self.leg, self.position) = (stretch.leg, stretch.position);
            self.playing_since = None;
        }
        Tick { position: self.at(now).1, moving: self.is_playing() }
    }

    /// Starts playing at `now`, from the beginning (or of the loop) when it stands at the end.
    pub fn play(&mut self, now: f64) {
        self.play_after(CountIn::default(), now);
    }

    /// Counts from `now` on, and then plays.
    pub fn play_after(&mut self, lead: CountIn, now: f64) {
        if self.is_playing() {
            return;
        }
        let start = self.start();
        if self.span.is_none() && start != self.position {
            self.leg = 0;
        }
        self.position = start;
        (self.lead, self.round) = (lead, 0);
        self.playing_since = Some(now);
    }

    /// Where it would begin to play.
    pub fn start(&self) -> f64 {
        match self.span {
            Some((from, until)) if self.position >= until - 1e-9 || self.position < from => from,
            None if self.leg + 1 == self.way.len() && self.position >= self.way[self.leg].1 - 1e-9 => {
                self.way[0].0
            }
            _ => self.position,
        }
    }

    /// Goes on so much later from where it is, s.
    pub fn wait(&mut self, seconds: f64) {
        self.playing_since = self.playing_since.map(|since| since + seconds);
    }

    /// Stops where it is.
    pub fn pause(&mut self, now: f64) {
        self.settle(now);
        (self.playing_since, self.lead) = (None, CountIn::default());
    }

    /// Goes to `position`, playing or not: in the stretch that is played, or the first time it comes. Nothing
    /// is counted any more.
    pub fn seek(&mut self, position: f64, now: f64) {
        self.settle(now);
        self.lead = CountIn::default();
        self.position = position;
        self.find_leg();
    }

    /// What is played from now on is played from where the clock stands at `now`.
    fn settle(&mut self, now: f64) {
        let Some((stretch, since)) = self.stretch_now(now).zip(self.playing_since) else { return };
        let elapsed = (now - since).max(0.0);
        let mut lead = CountIn::default();
        if matches!(stretch.doing, Doing::CountsIn | Doing::Rests) {
            lead = CountIn {
                seconds: stretch.left_s(elapsed),
                counts: self.counts(stretch.doing).counts.clone(),
            };
        }
        (self.leg, self.round, self.lead) = (stretch.leg, stretch.round, lead);
        self.position = stretch.place_at(elapsed);
        self.playing_since = Some(since.max(now));
    }

    /// Keeps to the music, and finds the stretch of the way in which the position is.
    fn find_leg(&mut self) {
        let position = self.position.clamp(0.0, self.end);
        let holds = |leg: &(f64, f64)| (leg.0..leg.1).contains(&position);
        if !holds(&self.way[self.leg]) {
            let ahead = || self.way.iter().position(|leg| leg.1 > position);
            self.leg = self.way.iter().position(holds).or_else(ahead).unwrap_or(self.way.len() - 1);
        }
        self.position = position;
    }

    /// Repeats a span, or nothing. A span too short to be seen is no loop.
    pub fn set_span(&mut self, span: Option<(f64, f64)>, now: f64) {
        self.settle(now);
        self.find_leg();
        self.round = 0;
        self.span = span
            .map(|(from, until)| (from.clamp(0.0, self.end), until.clamp(0.0, self.end)))
            .filter(|(from, until)| until - from >= SHORTEST_LOOP_S);
    }

    /// Counts so between two rounds, and plays them so fast.
    pub fn set_rounds(&mut self, pause: CountIn, pace: Pace, now: f64) {
        self.settle(now);
        (self.pause, self.pace) = (pause, pace.checked());
    }

    /// The same place in music whose times have all been stretched by `factor` (another practice
    /// tempo) and that now lasts `end` seconds.
    pub fn stretch(&mut self, factor: f64, end: f64, now: f64) {
        self.settle(now);
        let old_end = std::mem::replace(&mut self.end, end.max(0.0));
        let stretched = |at: f64| if at >= old_end { self.end } else { (at * factor).min(self.end) };
        self.way = self.way.iter().map(|(from, until)| (stretched(*from), stretched(*until))).collect();
        self.span = self.span.map(|(from, until)| (from * factor, until * factor));
        self.lead.stretch(factor);
        self.pause.stretch(factor);
        let at_last = self.leg + 1 == self.way.len();
        self.position = if at_last { stretched(self.position) } else { self.position * factor };
        self.find_leg();
    }

    /// The stretch of the way, and the position, at `now`.
    fn at(&self, now: f64) -> (usize, f64) {
        let Some((stretch, since)) = self.stretch_now(now).zip(self.playing_since) else {
            return (self.leg, self.position);
        };
        (stretch.leg, stretch.place_at((now - since).max(0.0)))
    }

    fn stretch_now(&self, now: f64) -> Option<Stretch> {
        self.playing_since.map(|since| self.stretch_at((now - since).max(0.0)))
    }

    /// The stretch of even pace in which it is so long after playing began, s.
    pub fn stretch_at(&self, elapsed_s: f64) -> Stretch {
        let elapsed_s = elapsed_s.max(0.0);
        let speed = self.span.map_or(1.0, |_| self.pace.of(self.round));
        let from_s = self.lead.seconds / speed;
        if elapsed_s < from_s {
            return Stretch {
                doing: Doing::CountsIn,
                from_s: 0.0,
                until_s: from_s,
                position: self.position - self.lead.seconds,
                begins: self.position,
                speed,
                round: self.round,
                leg: self.leg,
            };
        }
        match self.span {
            Some(span) => self.in_rounds(elapsed_s, from_s, span),
            None => self.on_the_way(elapsed_s, from_s),
        }
    }

    /// The stretch of a loop that first plays at `from_s`.
    fn in_rounds(&self, elapsed_s: f64, from_s: f64, (from, until): (f64, f64)) -> Stretch {
        let length = until - from;
        let plays = |from_s: f64, position: f64, round: u32| {
            let speed = self.pace.of(round);
            let until_s = from_s + (until - position) / speed;
            Stretch {
                doing: Doing::Plays,
                from_s,
                until_s,
                position,
                begins: position,
                speed,
                round,
                leg: self.leg,
            }
        };
        let position =
            if self.position < until { self.position } else { from + (self.position - from) % length };
        let first = plays(from_s, position, self.round);
        if elapsed_s < first.until_s {
            return first;
        }
        // Each round with the pause before it: one by one while they grow faster, the others at a stroke.
        let steady = self.pace.steady_from().max(self.round + 1);
        let lasts = |round: u32| (self.pause.seconds + length) / self.pace.of(round);
        let (mut round, mut from_s) = (self.round + 1, first.until_s);
        while round < steady && elapsed_s + CLOSE_S >= from_s + lasts(round) {
            from_s += lasts(round);
            round += 1;
        }
        if round >= steady {
            let more = ((elapsed_s + CLOSE_S - from_s) / lasts(round)).floor().max(0.0);
            from_s += more * lasts(round);
            round = round.saturating_add(more as u32);
        }
        let speed = self.pace.of(round);
        let begins_s = from_s + self.pause.seconds / speed;
        if elapsed_s < begins_s {
            let position = from - self.pause.seconds;
            return Stretch {
                doing: Doing::Rests,
                from_s,
                until_s: begins_s,
                position,
                begins: from,
                speed,
                round,
                leg: self.leg,
            };
        }
        plays(begins_s, from, round)
    }

    /// The stretch of the way that first plays at `from_s`.
    fn on_the_way(&self, elapsed_s: f64, mut from_s: f64) -> Stretch {
        let (mut leg, mut position) = (self.leg, self.position);
        let last = self.way.len() - 1;
        let stretch = |doing, from_s, until_s, position, speed, leg| Stretch {
            doing,
            from_s,
            until_s,
            position,
            begins: position,
            speed,
            round: 0,
            leg,
        };
        loop {
            let until = self.way[leg].1;
            let until_s = from_s + (until - position).max(0.0);
            if elapsed_s < until_s {
                return stretch(Doing::Plays, from_s, until_s, position, 1.0, leg);
            }
            if leg == last {
                return stretch(Doing::Over, until_s, f64::INFINITY, until, 0.0, leg);
            }
            (leg, from_s) = (leg + 1, until_s);
            position = self.way[leg].0;
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

    fn counted(seconds: f64) -> CountIn {
        CountIn { seconds, counts: Vec::new() }
    }

    #[test]
    fn it_is_counted_before_the_music_and_the_playhead_waits() {
        let mut clock = Clock::new(4.0);
        clock.seek(1.0, 0.0);
        clock.play_after(counted(2.0), 10.0);
        assert_eq!(clock.counting(11.0), Some(Counting { beat: None, rests: false }));
        assert_eq!(clock.tick(11.9), Tick { position: 1.0, moving: true });
        assert_eq!(clock.counting(12.0), None);
        assert_eq!(clock.tick(12.5).position, 1.5);
        // Half as fast in the middle of the count: what is left of it lasts as long again.
        clock.seek(1.0, 12.5);
        clock.pause(12.5);
        clock.play_after(counted(2.0), 20.0);
        clock.stretch(2.0, 8.0, 21.0);
        assert!(clock.counting(22.9).is_some() && clock.counting(23.0).is_none());
        assert_eq!(clock.tick(24.0).position, 3.0);
        // Whoever goes somewhere else is there at once.
        clock.pause(24.0);
        clock.play_after(counted(2.0), 30.0);
        clock.seek(0.5, 31.0);
        assert_eq!(clock.tick(31.5).position, 1.0);
    }

    /// A second of music, half a second of rest; at half the tempo, three quarters, the whole, the whole.
    #[test]
    fn rounds_rest_and_grow_faster_up_to_the_last() {
        let mut clock = Clock::new(10.0);
        clock.set_span(Some((1.0, 2.0)), 0.0);
        clock.set_rounds(counted(0.5), Pace { first: 0.5, step: 0.25, each: 1 }, 0.0);
        clock.play_after(counted(1.0), 0.0);
        // Until which moment something goes on, what, and in which round.
        let third = 4.0 + 2.0;
        for (until, doing, round) in [
            (2.0, Doing::CountsIn, 0),
            (4.0, Doing::Plays, 0),
            (4.0 + 2.0 / 3.0, Doing::Rests, 1),
            (third, Doing::Plays, 1),
            (third + 0.5, Doing::Rests, 2),
            (third + 1.5, Doing::Plays, 2),
            (third + 2.0, Doing::Rests, 3),
            (third + 3.0, Doing::Plays, 3),
        ] {
            let stretch = clock.stretch_at(until - 1e-6);
            assert_eq!((stretch.doing, stretch.round), (doing, round), "{until}");
            assert!((stretch.until_s - until).abs() < 1e-9, "{stretch:?}");
        }
        assert_eq!(clock.rounds(5.0), 1);
        assert_eq!([1.0, 5.0, 8.0, 100.0].map(|now| clock.speed(now)), [0.5, 0.75, 1.0, 1.0]);
        assert_eq!(clock.counting(4.1), Some(Counting { beat: None, rests: true }));
        assert_eq!(clock.tick(4.1).position, 1.0, "the playhead waits at the start of the round");
        // A step aside keeps the round; a new start begins with the first.
        clock.seek(1.5, 5.0);
        assert_eq!(clock.speed(5.1), 0.75);
        clock.pause(5.2);
        clock.play(6.0);
        assert_eq!(clock.speed(6.1), 0.5);
    }

    /// The stretches lie end to end, and the position follows from each: of passages of chance.
    #[test]
    fn stretches_lie_end_to_end() {
        let mut clock = Clock::new(9.0);
        clock.set_way(vec![(0.0, 2.0), (0.5, 2.0), (3.0, 9.0)], 0.0);
        for span in [None, Some((2.0, 2.7))] {
            clock.set_span(span, 0.0);
            clock.set_rounds(counted(0.3), Pace { first: 0.7, step: 0.04, each: 2 }, 0.0);
            clock.seek(0.25, 0.0);
            clock.play_after(counted(0.9), 0.0);
            let mut at = 0.0;
            for _ in 0..60 {
                let stretch = clock.stretch_at(at);
                assert!((stretch.from_s - at).abs() < 1e-9, "{stretch:?} at {at}");
                if stretch.doing == Doing::Over {
                    break;
                }
                let middle = (stretch.from_s + stretch.until_s) / 2.0;
                if stretch.doing == Doing::Plays {
                    assert_eq!(clock.tick(middle).position, stretch.position_at(middle));
                }
                at = stretch.until_s;
            }
            clock.pause(at);
        }
    }
}
