//! What is heard while the bow moves, the time both go by, and how it is counted.

use std::{sync::Arc, time::Duration};

use egui::Context;

use crate::{
    analysis::{Analysis, StudyId},
    arm::Plane,
    bowing::there,
    desk::{
        play::{
            counting::counting_ui,
            settings::{SettingsInput, count_words, practice_qpm},
        },
        state::playing::Playing,
    },
    practice::{Clock, Pace},
    score::{Direction, Quarters},
    sound::{
        Levels, Program, Rounds, Track,
        speaker::{Outlet, Speaker, State},
    },
};

use super::Desk;

/// What the start of playing waits for a device to run. Assumed; one that takes longer is heard a little later.
const WAIT: Duration = Duration::from_millis(120);
/// Two moments of the music so close are one, s: a change that moves no more goes on where it is.
const CLOSE_S: f64 = 1e-3;

/// The loudspeaker, and what it was last told.
#[derive(Default)]
pub struct Sounding {
    /// None where nothing is to sound at all.
    speaker: Option<Speaker>,
    /// The clock, the study and the levels it plays by.
    told: Option<(Clock, StudyId, Levels)>,
    /// How the rounds of the loop were set.
    rounds: Option<LoopRounds>,
}

/// The rounds of a loop: of which study and span, whether with a rest, how fast.
#[derive(Clone, Copy, Debug, PartialEq)]
struct LoopRounds {
    study: StudyId,
    span: Option<(f64, f64)>,
    rests: bool,
    pace: Pace,
}

/// How long a level is looked at while the music goes on, s. Assumed: long enough to show it.
const LOOK_S: f64 = 2.0;

impl Desk {
    /// Looks for a sound device, or for one that plays nowhere.
    pub fn hear(&mut self, outlet: Outlet) {
        self.sounding.speaker = Speaker::open(outlet);
    }

    /// The time by which the picture moves, s: that of the sound while there is some.
    pub(super) fn now_s(&mut self, ctx: &Context) -> f64 {
        let window_s = ctx.input(|input| input.time);
        match &mut self.sounding.speaker {
            Some(speaker) => {
                speaker.set_late(f64::from(self.memory.playing.late_ms) * 1e-3);
                speaker.now_s(window_s)
            }
            None => window_s,
        }
    }

    /// Plays, after counting where that is wished, or stops.
    pub(super) fn play_or_pause(&mut self, ctx: &Context, now_s: f64) {
        if self.view.clock.is_playing() {
            return self.view.clock.pause(now_s);
        }
        // The arm follows the music again, whatever level and place were looked at.
        (self.view.level, self.panels.arm.hair_share) = (None, None);
        let mut begins_s = now_s;
        if self.memory.playing.is_heard
            && let Some(speaker) = &self.sounding.speaker
        {
            let runs = speaker.run(WAIT);
            let later_s = if runs { speaker.start_s() } else { 0.0 };
            begins_s = self.now_s(ctx) + later_s;
        }
        self.set_rounds(now_s);
        let start_s = self.view.clock.start();
        let lead = self.memory.playing.lead(self.history.study(), start_s);
        self.view.clock.play_after(lead, begins_s);
        self.view.message = bow_words(self.analysis(), start_s);
    }

    /// While the music goes on, a level is looked at for a moment: then the arm follows the music again.
    pub(super) fn follow_level(&mut self, now_s: f64) {
        let is_looked_at = self.view.level.is_some() && self.view.clock.is_playing();
        self.view.level_since = is_looked_at.then(|| self.view.level_since.unwrap_or(now_s));
        if self.view.level_since.is_some_and(|since| now_s - since > LOOK_S) {
            (self.view.level, self.panels.arm.held) = (None, None);
        }
    }

    /// The rounds of the loop are as they are wished.
    fn set_rounds(&mut self, now_s: f64) {
        let (study, playing, span) = (self.history.study(), &self.memory.playing, self.view.clock.span());
        let wished = LoopRounds { study: study.id(), span, rests: playing.rests, pace: playing.pace() };
        if self.sounding.rounds.replace(wished) == Some(wished) {
            return;
        }
        let pause = span.map(|(from, _)| playing.pause(study, from)).unwrap_or_default();
        self.view.clock.set_rounds(pause, wished.pace, now_s);
    }

    /// Tells the loudspeaker what has changed. Call it every frame, last.
    pub(super) fn turn_sound(&mut self, ctx: &Context, now_s: f64) {
        self.set_rounds(now_s);
        let playing = &self.memory.playing;
        let drones = playing.is_heard && playing.wishes.is_droning;
        let sounds = playing.is_heard && (self.view.clock.is_playing() || drones);
        let Some(speaker) = &self.sounding.speaker else { return };
        let study = self.history.study();
        // Made before it is asked for, so that it sounds at once.
        let tuning = playing.wishes.tuning(study);
        let Some(events) = self.work.sound.turn(study, tuning, ctx) else { return };
        if !sounds && self.sounding.told.is_none() {
            return;
        }
        // The drone sounds by itself.
        if drones && speaker.state() == State::Stopped {
            speaker.run(Duration::ZERO);
            ctx.request_repaint_after(WAIT);
        }
        let (mut levels, mut clock) = (playing.wishes.levels(study), self.view.clock.clone());
        if !playing.is_heard {
            levels.drone_hz = None;
            clock.pause(now_s);
        }
        let told = self.sounding.told.as_ref();
        if told.is_some_and(|(was, id, at)| (was, *id, *at) == (&clock, study.id(), levels)) {
            return;
        }
        // What has been made already cannot be changed: whoever goes somewhere else is there a moment later.
        if clock.is_playing()
            && let Some((was, id, _)) = told
            && (was.is_playing(), *id) == (true, study.id())
            && jumps(was, &clock, now_s)
        {
            clock.wait(speaker.start_s());
            self.view.clock = clock.clone();
        }
        let since_s = clock.since().unwrap_or(now_s);
        let program = Program { events: Arc::clone(events), clock: clock.clone(), begins: 0.0, levels };
        if speaker.play(program, since_s) {
            self.sounding.told = sounds.then(|| (clock, study.id(), levels));
        }
    }

    /// What is played is heard.
    pub(super) fn is_heard(&self) -> bool {
        self.memory.playing.is_heard && self.silent().is_none()
    }

    /// Why nothing can be heard, where that is so.
    fn silent(&self) -> Option<&'static str> {
        let state = self.sounding.speaker.as_ref().map(Speaker::state);
        match state {
            Some(State::Missing) => Some("There is no sound device; all else works without"),
            Some(State::Opening) => Some("A sound device is looked for"),
            Some(_) => None,
            None => Some("There is no sound here"),
        }
    }

    /// Plays like this from now on.
    pub(super) fn set_playing(&mut self, playing: Playing) {
        self.memory.playing = playing;
    }

    pub(super) fn sound_or_not(&mut self) {
        let playing = &mut self.memory.playing;
        playing.is_heard = !playing.is_heard;
        let is_heard = playing.is_heard;
        let silent = self.silent();
        self.say(match (is_heard, silent) {
            (true, None) => "Sound on",
            (true, Some(why)) => why,
            (false, _) => "Sound off",
        });
    }

    pub(super) fn drone_or_not(&mut self) {
        let playing = &mut self.memory.playing;
        playing.wishes.is_droning = !playing.wishes.is_droning;
        let words = match (playing.wishes.is_droning, playing.is_heard) {
            (true, true) => {
                format!("Drone on {}", self.memory.playing.wishes.drone_pitch(self.history.study()).name())
            }
            (true, false) => "The drone sounds when the sound is on (A)".to_owned(),
            (false, _) => "Drone off".to_owned(),
        };
        self.say(&words);
    }

    pub(super) fn next_count_in(&mut self) {
        let playing = &mut self.memory.playing;
        playing.count_in = (playing.count_in + 1) % 3;
        let words = format!("Count in: {}", count_words(playing.count_in));
        self.say(&words);
    }

    pub(super) fn faster_or_not(&mut self) {
        let playing = &mut self.memory.playing;
        playing.grows = !playing.grows;
        let first = playing.grows.then_some(playing.first);
        let goal = practice_qpm(self.history.study());
        let words = match first {
            Some(first) => {
                let from = goal * f64::from(first) / 100.0;
                format!("The rounds of a loop grow faster, from ♩ = {from:.0} to {goal:.0}")
            }
            None => "All rounds of a loop at the practice tempo".to_owned(),
        };
        self.say(&words);
    }

    /// The round that is played and its tempo, while the rounds of a loop grow faster.
    pub(super) fn round_words(&self, now_s: f64) -> Option<String> {
        let clock = &self.view.clock;
        let of_loop = clock.span().is_some() && clock.is_playing() && self.memory.playing.grows;
        of_loop.then(|| {
            let qpm = practice_qpm(self.history.study()) * clock.speed(now_s);
            format!("Round {}, ♩ = {qpm:.0}", clock.rounds(now_s) + 1)
        })
    }

    /// Shows the count in large numbers, while it is counted.
    pub(super) fn counting_ui(&self, ctx: &Context, now_s: f64) {
        let clock = &self.view.clock;
        let Some(counting) = clock.counting(now_s) else { return };
        let position = clock.clone().tick(now_s).position;
        let round = || counting.rests.then(|| format!("Round {}", clock.rounds(now_s) + 1));
        let lines = self.round_words(now_s).or_else(round).into_iter();
        let lines: Vec<String> = lines.chain(bow_words(self.analysis(), position)).collect();
        counting_ui(ctx, counting, &lines, self.memory.look);
    }

    /// Shows the window with what sounds and how it is counted.
    pub(super) fn play_settings_ui(
        &mut self,
        ctx: &Context,
        commands: &mut Vec<crate::desk::command::Command>,
    ) {
        if !self.panels.play.is_open {
            return;
        }
        let track = self.track_words();
        let input = SettingsInput {
            study: self.history.study(),
            playing: &self.memory.playing,
            silent: self.silent(),
            track: &track,
        };
        self.panels.play.show(ctx, &input, commands);
    }

    /// The bars of a practice track: the loop, or those of the selected notes; none for the whole part.
    fn track_span(&self) -> Option<(Quarters, Quarters)> {
        let (score, analysis) = (&self.lesson().score, self.analysis());
        if let Some((from, until)) = self.view.clock.span() {
            let at = |seconds: f64| Quarters::from_f64(analysis.quarters_at(seconds));
            return Some((at(from), at(until)));
        }
        let chosen = score.events.iter().filter(|event| self.view.selection.contains(&event.id));
        // One note is where the playhead stands, and no passage.
        let chosen: Vec<usize> = chosen.map(|event| score.bar_of(event)).collect();
        if chosen.len() < 2 {
            return None;
        }
        let (first, last) = (chosen.iter().min()?, chosen.iter().max()?);
        Some((score.bars.get(*first)?.start, score.bars.get(*last)?.end()))
    }

    /// How the rounds of a practice track go.
    fn track_rounds(&self) -> Rounds {
        let playing = &self.memory.playing;
        let pace = playing.pace();
        let times = if playing.grows { pace.tempos() * pace.each.max(1) } else { 1 };
        Rounds { times, pace, count_in: playing.count_in.max(u8::from(playing.rests)) }
    }

    fn track_words(&self) -> String {
        let Some((from, until)) = self.track_span() else {
            return "The whole part with its repeats".to_owned();
        };
        let score = &self.lesson().score;
        let number =
            |at: Quarters| score.bar_at(at).map_or_else(String::new, |bar| score.bars[bar].number.clone());
        let (first, last) = (number(from), number(until - Quarters::new(1, 1024)));
        let bars = if first == last { format!("Bar {first}") } else { format!("Bars {first} to {last}") };
        match self.track_rounds() {
            Rounds { pace: Pace { each, .. }, times, .. } if times > 1 => {
                format!("{bars}, {} tempos, {each} times each", times / each.max(1))
            }
            _ => bars,
        }
    }

    /// Makes the practice track that is wished, elsewhere.
    pub(super) fn track(&self) -> impl FnOnce() -> Track + Send + 'static {
        let (study, wishes) = (self.history.study().clone(), self.memory.playing.wishes.clone());
        let (span, rounds) = (self.track_span(), self.track_rounds());
        move || match span {
            Some((from, until)) => Track::rounds(&study, from..until, &wishes, rounds),
            None => Track::whole(&study, &wishes, rounds.count_in),
        }
    }
}

/// The music goes on somewhere else.
fn jumps(was: &Clock, is: &Clock, now_s: f64) -> bool {
    let place = |clock: &Clock| clock.clone().tick(now_s).position;
    was.span() == is.span() && (place(was) - place(is)).abs() > CLOSE_S
}

/// Where the bow is set to play from a moment on, and where it goes: nothing where nothing is bowed there.
fn bow_words(analysis: &Analysis, at_s: f64) -> Option<String> {
    let notes = &analysis.bowing.notes;
    let next = notes.partition_point(|note| note.onset_s + note.sounding_s <= at_s + CLOSE_S);
    let note = notes.get(next)?;
    let at_s = at_s.max(note.onset_s);
    let bow = analysis.bow_at(at_s + 1e-6);
    let place = there(bow.hair_mm / analysis.arm_path.arm.hair_mm());
    let way = match note.direction {
        Direction::Down => "down-bow",
        Direction::Up => "up-bow",
    };
    let strings = analysis.arm_path.fan.level(bow.plane).name.clone();
    let on = match bow.plane {
        Plane::String(_) => format!("on {strings}"),
        Plane::Pair(_) => format!("on the pair {strings}"),
    };
    Some(format!("Bow {place}, {way}, {on}"))
}
