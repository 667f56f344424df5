//! The two limits of one unknown.

/// A limit that is not there lies this far away, in hairs.
const FAR: f64 = 1e30;

/// A pair of numbers, one for the limit below and one for the limit above: the same is done to
/// both, two numbers at a time.
pub(super) type Pair = [f64; 2];

fn pair(of: impl Fn(usize) -> f64) -> Pair {
    [of(0), of(1)]
}

/// The greater; neither is ever no number.
pub(super) fn greater(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// What a Newton step aims for.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Aim {
    /// Product of room and push.
    pub tau: f64,
    /// Part of the predicted bend to make up for.
    pub bend: f64,
}

/// The room to either limit, and the push (the multiplier) of each.
#[derive(Clone, Copy, Debug)]
pub(super) struct Walls {
    room: Pair,
    push: Pair,
    /// 1 / (room push): the one division a limit needs in a Newton step.
    inverse: Pair,
}

impl Walls {
    /// With the same product of room and push at both limits, and a push upward beside.
    pub fn new(value: f64, (lo, hi): (f64, f64), tau: f64, up: f64) -> Self {
        let room = [(value - lo).min(FAR), (hi - value).min(FAR)];
        let push = [tau / room[0] + up.max(0.0), tau / room[1] + (-up).max(0.0)];
        Self { room, push, inverse: pair(|k| 1.0 / (room[k] * push[k])) }
    }

    /// What the limits add to the curvature.
    pub fn curvature(&self) -> f64 {
        let each = pair(|k| self.push[k] * self.push[k] * self.inverse[k]);
        each[0] + each[1]
    }

    /// What the limits add to the slope.
    pub fn slope(&self) -> f64 {
        self.push[1] - self.push[0]
    }

    /// Sum of room times push.
    pub fn complement(&self) -> f64 {
        self.room[0] * self.push[0] + self.room[1] * self.push[1]
    }

    /// The change of each room that goes with a step of the unknown, in parts of the room.
    fn change(&self, step: f64) -> Pair {
        let part = pair(|k| self.push[k] * self.inverse[k]);
        [step * part[0], -step * part[1]]
    }

    /// What an aim asks of each product of room and push, in parts of the product; `straight` is the
    /// step that aims at nothing.
    fn goal(&self, straight: f64, aim: Aim) -> Pair {
        let change = self.change(straight);
        pair(|k| aim.tau * self.inverse[k] + aim.bend * (change[k] * (1.0 + change[k])))
    }

    /// Follows the step that aims at nothing: raises `rate` to the inverse of the part of it that
    /// meets a limit; returns the products of the changes of room and push.
    pub fn predict(&self, straight: f64, rate: &mut Pair) -> Pair {
        let change = self.change(straight);
        *rate = pair(|k| greater(rate[k], greater(-change[k], 1.0 + change[k])));
        pair(|k| -(self.room[k] * self.push[k]) * (change[k] * (1.0 + change[k])))
    }

    /// What the aim adds to the slope.
    pub fn aim_slope(&self, straight: f64, aim: Aim) -> f64 {
        let goal = self.goal(straight, aim);
        let each = pair(|k| goal[k] * self.push[k]);
        each[1] - each[0]
    }

    /// Raises `rate` to the inverse of the part of the step that meets a limit.
    pub fn limit(&self, step: f64, straight: f64, aim: Aim, rate: &mut Pair) {
        let (change, goal) = (self.change(step), self.goal(straight, aim));
        *rate = pair(|k| greater(rate[k], greater(-change[k], 1.0 + change[k] - goal[k])));
    }

    /// Takes a part of the step.
    pub fn advance(&mut self, step: f64, straight: f64, aim: Aim, part: f64) {
        let (change, goal) = (self.change(step), self.goal(straight, aim));
        self.room = [self.room[0] + part * step, self.room[1] - part * step];
        self.push = pair(|k| self.push[k] * (1.0 + part * (goal[k] - 1.0 - change[k])));
        self.inverse = pair(|k| 1.0 / (self.room[k] * self.push[k]));
    }
}
