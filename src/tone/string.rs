//! The bowed string in formulas. SI units: metres, seconds, newtons, kg/s.
//!
//! In all of them `beta` is the distance from the bridge to the bow as a share of the sounding
//! length, above 0 and below 1, `z` the wave impedance, and `v` the speed of the bow.

/// Nearest and farthest sounding point of ordinary playing: the span of the bowing machine of
/// Schoonderwaldt, Guettler and Askenfelt (Acta Acustica u. Acustica 94, 2008; second hand).
pub const PLAYING_SPAN: (f64, f64) = (1.0 / 30.0, 1.0 / 6.0);

/// Difference of static and sliding friction used for advice. The same paper fits 0.51 at 5 cm/s
/// and 0.67 to 0.69 from 10 to 20 cm/s (second hand). On a real cello the upper limit came out
/// lower than this gives.
pub const FRICTION_STEP: f64 = 0.67;

/// Resistance of the bridge as a multiple of the string's impedance, for the soft lower limit only.
/// Assumed: the fits of the same paper give 36 to 104 on a violin string, a measured lower limit on
/// a cello G string (0.31 N at 10 cm/s, beta 0.1) about 25.
pub const BRIDGE_RESISTANCE: f64 = 40.0;

/// Wave impedance of a string of tension `tension_n` (N) and mass `kg_per_m`: the square root of
/// their product, kg/s (textbook).
pub fn impedance(tension_n: f64, kg_per_m: f64) -> f64 {
    (tension_n * kg_per_m).sqrt()
}

/// Speed of the string under the bow while it slips, m/s: `-v (1/beta - 1)` (Helmholtz motion;
/// Woodhouse, Euphonics 9.3.1, eq. 1).
pub fn slip_speed(v: f64, beta: f64) -> f64 {
    -v * (1.0 / beta - 1.0)
}

/// Jump of the string's speed when the corner passes, m/s: `v / beta` (the same, eq. 2). All
/// amplitudes of the vibration grow with it.
pub fn speed_jump(v: f64, beta: f64) -> f64 {
    v / beta
}

/// Times of sticking and of slipping in each period of a note of `hz`, s (the same).
pub fn stick_and_slip_s(hz: f64, beta: f64) -> (f64, f64) {
    ((1.0 - beta) / hz, beta / hz)
}

/// Greatest displacement of the middle of the string, m: `v / (8 beta f)` (Fletcher and Rossing,
/// from memory; it follows from the parabola of the Helmholtz motion).
pub fn amplitude_m(v: f64, beta: f64, hz: f64) -> f64 {
    v / (8.0 * beta * hz)
}

/// Force on the bridge, N: from peak to peak, root mean square, and first harmonic of a sawtooth of
/// height `2 z v / beta` (van Walstijn et al., Acta Acustica 10:47, 2026, second hand; the other two
/// are computed from the sawtooth).
pub fn bridge_force_n(z: f64, v: f64, beta: f64) -> (f64, f64, f64) {
    let height = 2.0 * z * v / beta;
    (height, height / 12.0_f64.sqrt(), height / std::f64::consts::PI)
}

/// Greatest bow force with a clean tone, N: `2 z v / (beta dmu)` (Schelleng's limit, as in
/// Woodhouse, Euphonics 9.3.1, eq. 3).
pub fn most_force_n(z: f64, v: f64, beta: f64, friction_step: f64) -> f64 {
    2.0 * z * v / (beta * friction_step)
}

/// Least bow force with a full tone, N: `z^2 v / (2 r beta^2 dmu)` with the bridge resistance `r`
/// (Schoonderwaldt et al. 2008, eq. 2, second hand). Two measurements contradict its dependence on
/// speed and place: take it as soft.
pub fn least_force_n(z: f64, v: f64, beta: f64, friction_step: f64, r: f64) -> f64 {
    z * z * v / (2.0 * r * beta * beta * friction_step)
}

/// The speed to put in place of `v` in [`most_force_n`] and [`least_force_n`] where friction falls
/// with speed as a hyperbola of half-speed `z0` (m/s): `v + beta z0` (the same, eqs. 4 and 5).
pub fn with_falling_friction(v: f64, beta: f64, z0: f64) -> f64 {
    v + beta * z0
}

/// Sounding point, as a share of the string, at which the least and the greatest force meet:
/// `z / (4 r)` (computed from the two limits).
pub fn limits_meet_at(z: f64, r: f64) -> f64 {
    z / (4.0 * r)
}

/// Difference in level of two ways of bowing, dB: `20 log10 [(v2/beta2) / (v1/beta1)]`, each as
/// (speed, beta); it follows from [`speed_jump`].
pub fn level_change_db(from: (f64, f64), to: (f64, f64)) -> f64 {
    20.0 * ((to.0 / to.1) / (from.0 / from.1)).log10()
}

/// How many times as loud a difference in level sounds: double for every 10 dB (Stevens' sone rule,
/// textbook).
pub fn times_as_loud(db: f64) -> f64 {
    (db / 10.0).exp2()
}

/// Weight with which the bow itself rests on the string at `place_m` from the frog, held only as a
/// lever at the frog, N: its own weight times the distance of the balance point, over the place
/// (statics). Nearer than the balance point it is more than the whole bow: there it is carried.
pub fn resting_n(mass_kg: f64, balance_m: f64, place_m: f64) -> f64 {
    const GRAVITY: f64 = 9.81;
    mass_kg * GRAVITY * balance_m / place_m.max(1e-3)
}
