//! The table of figures: every number of a set-up that a person can set stands here, once.
//!
//! A new figure is one row. Every struct is taken apart whole, without `..`: a field that is added
//! to it has to be named here before the library compiles, and then has a row or is passed over as
//! no number. Ranges are assumed: what any instrument, bow or player may have.

use super::{
    ArmSchool, Body, Bow, Bridge, Figure, Hold, Instrument, Leanings, OpenString, Origin, Part, Player,
    Rules, School, Section, Setup, StrokeHabit, Unit, figure::Slot,
};
use crate::{score::Dynamic, setup::Family};

/// Range of the practice tempo as a share of the marked one. Assumed.
pub const TEMPO_SHARE: (f64, f64) = (0.02, 10.0);

const OF_HAIR: Unit = Unit::share("of the hair");
const OF_STRING: Unit = Unit::share("of the string");
const SHARE: (f64, f64) = (0.0, 1.0);
/// So much hair, in whole bows, that no stroke comes near to it.
const MOST_OF_HAIR: f64 = 1e9;

/// A row whose starting value is assumed.
fn row<'a>(
    section: Section,
    name: &'static str,
    unit: Unit,
    (least, most): (f64, f64),
    slot: impl Into<Slot<'a>>,
) -> Figure<'a> {
    let (starting, source, slot) = (Origin::Assumed, "assumed", slot.into());
    let usual = match slot {
        Slot::Own(_, other) => Some(other),
        Slot::Number(_) | Slot::Count(_) | Slot::HalfSteps(_) => None,
    };
    Figure { section, name, what: "", unit, least, most, source, usual, starting, slot }
}

/// What a row may say besides.
impl Figure<'_> {
    fn what(self, what: &'static str) -> Self {
        Self { what, ..self }
    }

    fn source(self, starting: Origin, source: &'static str) -> Self {
        Self { starting, source, ..self }
    }

    fn recalled(self) -> Self {
        self.source(Origin::Memory, "from memory")
    }

    fn practised(self) -> Self {
        self.source(Origin::Assumed, "the rule is common practice, the number assumed")
    }

    fn published_if(self, published: bool) -> Self {
        if published { self.source(Origin::Published, "published by workshops or makers") } else { self }
    }

    fn usual(self, usual: Option<f64>) -> Self {
        Self { usual, ..self }
    }
}

impl Setup {
    /// Every figure, with the place to set it.
    pub fn figures_mut(&mut self) -> Vec<Figure<'_>> {
        let Self { instrument, bow, player, school, body, hold, left_handed: _, tempo_share } = self;
        let (family, hair_mm) = (instrument.family, bow.hair_mm);
        let of_tempo = Unit::share("of the marked tempo");
        let mut all = vec![row(Section::Tempo, "practice tempo", of_tempo, TEMPO_SHARE, tempo_share)];
        all.extend(of_instrument(instrument));
        all.extend(hold.iter_mut().flat_map(|hold| of_hold(hold, family)));
        all.extend(of_bow(bow));
        all.extend(of_player(player, hair_mm));
        all.extend(of_body(body));
        all.extend(of_school(school));
        all
    }

    /// The figures of one section.
    pub fn section_mut(&mut self, section: Section) -> Vec<Figure<'_>> {
        let mut figures = self.figures_mut();
        figures.retain(|figure| figure.section == section);
        figures
    }
}

/// The catalogue's own measures stand as published where they are a workshop's or makers' figures,
/// else as assumed; `assets/catalogue.ron` says more of each.
#[rustfmt::skip]
fn of_instrument(instrument: &mut Instrument) -> Vec<Figure<'_>> {
    let usual = instrument.usual();
    let usual_mm = |of: fn(&Bridge) -> f64| usual.map(|usual| of(&usual.bridge));
    // Sizes whose string length is published; the others are scaled from these or recalled.
    let known_size = ["full size", "7/8", "16 in", "15 in", "3/4 size"].contains(&instrument.size.as_str());
    let impedances: Vec<f64> =
        instrument.strings.iter().map(|string| instrument.usual_impedance_kg_per_s(string.pitch)).collect();
    let Instrument { family, size: _, strings, string_length_mm, bridge, roll_deg } = instrument;
    let Bridge { radius_mm, spread_mm, low_height_mm, high_height_mm, waist_limit_deg } = bridge;
    let violin_or_cello = matches!(family, Family::Violin | Family::Cello);
    let (turn, turned, turns) = if family.on_shoulder() {
        ("treble side lowered", "roll of the instrument", (0.0, 60.0))
    } else {
        ("turned to the bow hand", "turn about its own length", (-20.0, 70.0))
    };
    // The outer strings are no farther apart than the curve is wide.
    let widest = 1.9 * *radius_mm;
    let mut rows = vec![
        row(Section::Instrument, "string length", Unit::MM, (100.0, 1500.0), string_length_mm)
            .what("from the bridge to the nut").usual(usual.map(|usual| usual.string_length_mm)).published_if(known_size),
        row(Section::Instrument, "curve of the bridge", Unit::MM, (10.0, 500.0), radius_mm)
            .what("radius of its top").usual(usual_mm(|bridge| bridge.radius_mm)),
        row(Section::Instrument, "outer strings apart", Unit::MM, (5.0, widest), spread_mm)
            .what("at the bridge, from middle to middle").usual(usual_mm(|bridge| bridge.spread_mm))
            .published_if(*family == Family::Viola && known_size),
        row(Section::Instrument, "lowest string high", Unit::MM, (0.0, 30.0), low_height_mm)
            .what("over the end of the fingerboard").usual(usual_mm(|bridge| bridge.low_height_mm)).published_if(violin_or_cello),
        row(Section::Instrument, "highest string high", Unit::MM, (0.0, 30.0), high_height_mm)
            .what("over the end of the fingerboard").usual(usual_mm(|bridge| bridge.high_height_mm)).published_if(violin_or_cello),
        row(Section::Instrument, "bow meets the waist", Unit::DEGREES, (10.0, 80.0), waist_limit_deg)
            .what("angle from the bridge at which the bow touches the edge of the body")
            .usual(usual_mm(|bridge| bridge.waist_limit_deg)).published_if(family.on_shoulder() && known_size),
        row(Section::Hold, turn, Unit::DEGREES, turns, roll_deg).what(turned).usual(usual.map(|usual| usual.roll_deg)),
    ];
    for (index, (OpenString { name: _, pitch: _, impedance_kg_per_s }, usual)) in strings.iter_mut().zip(impedances).enumerate() {
        rows.push(row(Section::String(index), "wave impedance", Unit::KG_PER_S, (0.01, 20.0), (impedance_kg_per_s, usual))
            .source(Origin::Published, "published, second hand"));
    }
    rows
}

#[rustfmt::skip]
fn of_hold(hold: &mut Hold, family: Family) -> Vec<Figure<'_>> {
    let usual = Hold::usual(family);
    let (shoulder, floor) =
        if family.on_shoulder() { (Section::Hold, Section::Idle) } else { (Section::Idle, Section::Hold) };
    let Hold { posture: _, yaw_deg, pitch_deg, lean_deg, side_deg, trunk_deg, bow: _ } = hold;
    vec![
        row(shoulder, "scroll to the left", Unit::DEGREES, (0.0, 80.0), yaw_deg)
            .what("from straight ahead").usual(Some(usual.yaw_deg)),
        row(shoulder, "scroll raised", Unit::DEGREES, (-30.0, 40.0), pitch_deg)
            .what("strings level with the floor at 0").usual(Some(usual.pitch_deg)),
        row(floor, "lean toward the player", Unit::DEGREES, (0.0, 70.0), lean_deg)
            .what("from upright").usual(Some(usual.lean_deg)),
        row(floor, "lean to the left", Unit::DEGREES, (0.0, 40.0), side_deg)
            .what("so that the neck passes the head").usual(Some(usual.side_deg)),
        row(Section::Hold, "trunk turned", Unit::DEGREES, (-45.0, 45.0), trunk_deg)
            .what("bow shoulder forward").usual(Some(usual.trunk_deg)),
    ]
}

#[rustfmt::skip]
fn of_bow(bow: &mut Bow) -> Vec<Figure<'_>> {
    let Bow { name: _, hair_mm, balance_mm, mass_g } = bow;
    let hair = *hair_mm;
    vec![
        row(Section::Bow, "playable hair", Unit::CM, (100.0, 900.0), hair_mm)
            .source(Origin::Assumed, "violin 65 cm published, the others from memory"),
        row(Section::Bow, "balance point from the frog", Unit::CM, (0.0, hair), balance_mm)
            .source(Origin::Assumed, "violin and cello published, the others assumed"),
        row(Section::Bow, "weight of the bow", Unit::GRAMS, (10.0, 500.0), mass_g)
            .source(Origin::Published, "published by makers, the double bass from memory"),
    ]
}

#[rustfmt::skip]
fn of_player(player: &mut Player, hair: f64) -> Vec<Figure<'_>> {
    let Player {
        name: _, slowest_whole_bow_s, fastest_whole_bow_s, frog_margin_mm, tip_margin_mm, tip_mark_mm,
        tip_from_reach: _, reach_half_steps, positions: _, home,
    } = player;
    let mut rows = vec![
        row(Section::Player, "slowest whole bow under control", Unit::SECONDS, (0.5, 120.0), slowest_whole_bow_s)
            .source(Origin::Assumed, "common practice: 6 s for beginners, 20 s trained; 10 s assumed"),
        row(Section::Player, "fastest whole bow", Unit::SECONDS, (0.1, 10.0), fastest_whole_bow_s),
        row(Section::Player, "hair left out at the frog", Unit::CM, (0.0, hair / 2.0), frog_margin_mm),
        row(Section::Player, "hair left out at the tip", Unit::CM, (0.0, hair / 2.0), tip_margin_mm)
            .source(Origin::Assumed, "assumed; a beginner's upper quarter is common practice"),
        row(Section::Player, "the player's own tip, from the frog", Unit::CM, (50.0, hair), (tip_mark_mm, hair))
            .what("where the forearm is open and the elbow not locked").source(Origin::Assumed, "none: the end of the hair"),
        row(Section::Player, "left hand reaches above the open string", Unit::HALF_STEPS, (0.0, 48.0), reach_half_steps)
            .source(Origin::Assumed, "assumed; 7 is first position"),
    ];
    rows.extend(of_home(Section::Home, home));
    rows
}

/// Both ends of a home region, where there is one.
fn of_home(section: Section, home: &mut Option<(f64, f64)>) -> Vec<Figure<'_>> {
    let Some((from, to)) = home else { return Vec::new() };
    vec![
        row(section, "start of the home region", OF_HAIR, SHARE, from).practised(),
        row(section, "end of the home region", OF_HAIR, SHARE, to).practised(),
    ]
}

fn of_body(body: &mut Body) -> Vec<Figure<'_>> {
    let from_stature = Part::ALL.map(|part| body.part_from_stature_mm(part));
    let Body { stature_mm, stature_origin, proportions: _, measured_mm } = body;
    let of_parts = if *stature_origin == Origin::Assumed { Origin::Assumed } else { Origin::Published };
    let mut rows = vec![
        row(Section::Body, "height", Unit::CM, (700.0, 2300.0), stature_mm)
            .what("the parts that are not measured follow from it")
            .source(*stature_origin, "assumed, or the median of the age"),
    ];
    for ((part, own), usual) in Part::ALL.into_iter().zip(measured_mm).zip(from_stature) {
        let range = match part {
            Part::UpperArm | Part::Forearm => (80.0, 500.0),
            Part::Hand => (60.0, 300.0),
            Part::ShoulderHalfBreadth => (60.0, 320.0),
            Part::ShoulderHeight => (400.0, 2000.0),
        };
        let figure = row(Section::Body, part.words(), Unit::CM, range, (own, usual));
        rows.push(figure.source(of_parts, "from the height, by published proportions"));
    }
    rows
}

#[rustfmt::skip]
fn of_school(school: &mut School) -> Vec<Figure<'_>> {
    let School {
        short_stroke_mm_per_s, long_stroke_hair, change_s, place, strokes, air_speed_mm_per_s, set_time_s, retake_time_s, tight_ratio, tight_width_mm,
        speed_weight, place_weight, even_in_stroke, even_across_turn, lift_weight, accent_extra, grace_s,
        slow_keeps_hair: _, weight_for_two: _, sounding_point, weight_n, leanings, rules, arm,
        approach: _,
    } = school;
    let ArmSchool { elbow_levels, tip_lift_levels, open_elbow_deg } = arm;
    let weight = (0.0, 1000.0);
    let mut rows = vec![
        row(Section::Elbow, "elbow", Unit::LEVELS, (-4.0, 4.0), elbow_levels)
            .what("0: in the plane of shoulder and bow; -1: one of the seven levels lower; schools differ"),
        row(Section::Elbow, "lift toward the tip", Unit::LEVELS, (-4.0, 4.0), tip_lift_levels)
            .what("added to the elbow from frog to tip; schools differ"),
        row(Section::Elbow, "elbow counts as open", Unit::DEGREES, (0.0, 60.0), open_elbow_deg).what("from straight"),
        row(Section::Lifts, "speed through the air", Unit::CM_PER_S, (10.0, 10_000.0), air_speed_mm_per_s),
        row(Section::Lifts, "time to set the bow", Unit::SECONDS, (0.0, 5.0), set_time_s),
        row(Section::Lifts, "time for a retake without a rest", Unit::SECONDS, (0.0, 5.0), retake_time_s),
        row(Section::Lifts, "speeds differ from this ratio on", Unit::TIMES, (1.01, 100.0), tight_ratio),
        row(Section::Plan, "width of a narrow place", Unit::CM, (0.0, 1000.0), tight_width_mm),
        row(Section::Plan, "weight of the wanted speed", Unit::BARE, weight, speed_weight),
        row(Section::Plan, "weight of the preferred place", Unit::BARE, weight, place_weight),
        row(Section::Plan, "weight of evenness in a stroke", Unit::BARE, weight, even_in_stroke),
        row(Section::Plan, "weight of evenness across a bow change", Unit::BARE, weight, even_across_turn),
        row(Section::Plan, "weight against moving in a lift", Unit::BARE, weight, lift_weight),
        row(Section::Plan, "extra bow of an accent", Unit::share("of the first half second"), (0.0, 10.0), accent_extra)
            .what("a sharp one, sf or fp, takes twice as much").practised(),
        row(Section::Plan, "time of a bow change", Unit::SECONDS, (0.0, 1.0), change_s)
            .what("short strokes take less bow for it"),
        row(Section::Plan, "time of a grace note", Unit::SECONDS, (0.0, 5.0), grace_s),
    ];
    let hair = short_stroke_mm_per_s.iter_mut().zip(long_stroke_hair).zip(place);
    let by_mark = hair.zip(sounding_point).zip(weight_n);
    for (dynamic, ((((speed, hair), place), point), weight)) in Dynamic::ALL.into_iter().zip(by_mark) {
        rows.extend([
            row(Section::At(dynamic), "speed of a short stroke", Unit::CM_PER_S, (1.0, 3000.0), speed)
                .what("longer strokes are slower")
                .source(Origin::Assumed, "assumed, chosen to agree with what players take; that louder is faster is published"),
            row(Section::At(dynamic), "hair of a long stroke", Unit::share("of the usable hair"), (0.05, MOST_OF_HAIR), hair)
                .what("the longest strokes come near to it")
                .source(Origin::Assumed, "assumed, chosen to agree with what players take"),
            row(Section::At(dynamic), "place", OF_HAIR, (0.01, 1.0), place).practised(),
            row(Section::At(dynamic), "sounding point", OF_STRING, (0.01, 0.5), point)
                .source(Origin::Memory, "of the sounding length, from memory; that louder is nearer the bridge is published"),
            row(Section::At(dynamic), "weight on the string", Unit::NEWTONS, (0.01, 20.0), weight)
                .source(Origin::Memory, "on a violin's D string, from memory; 0.5 to 1.5 N is published as normal"),
        ]);
    }
    rows.extend(strokes.iter_mut().flat_map(of_stroke));
    rows.extend(of_leanings(leanings));
    rows.extend(of_rules(rules));
    rows
}

/// In parts of a strong beat on an up-bow. Metre and rests agree with recorded players ([`Leanings`]).
#[rustfmt::skip]
fn of_leanings(leanings: &mut Leanings) -> Vec<Figure<'_>> {
    let Leanings {
        up_on_barline, up_on_opening, up_on_start, up_on_loud_start, up_on_half_bar, up_on_beat,
        plain_barline_part, down_off_beat,
        down_into_barline, up_on_accent, up_on_sforzando, up_on_chord, against_hairpin, again_after_rest, again_in_no_time, retake_on_string,
        retake_for_accent, hook_on_string, hook_on_dots, hook_in_dotted_figure, hook_on_light_note,
        hook_on_barline, hook_between_slurs, hook_to_new_dynamic, again_as_marked, unlike_before, unlike_softly,
    } = leanings;
    let [tiny, short, middle, long, longest] = again_after_rest;
    let cost = |name, slot| row(Section::Directions, name, Unit::BARE, (0.0, 100.0), slot).practised();
    let played = |name, slot| cost(name, slot).source(Origin::Assumed, "assumed; agrees with recorded players");
    vec![
        played("up-bow on the barline", up_on_barline),
        cost("up-bow on the first barline, besides", up_on_opening),
        cost("up-bow on the barline after a rest, besides", up_on_start),
        cost("up-bow on a loud start after a rest", up_on_loud_start),
        played("up-bow on the half-bar", up_on_half_bar),
        played("up-bow on a beat", up_on_beat),
        row(Section::Directions, "up-bow on the barline of a bar with accents elsewhere", Unit::share("of that"), SHARE, plain_barline_part)
            .practised(),
        played("down-bow off the beat", down_off_beat),
        played("down-bow into the barline", down_into_barline),
        cost("up-bow on an accent", up_on_accent),
        cost("up-bow on an sf, fz or fp", up_on_sforzando),
        cost("up-bow on a chord of three or four", up_on_chord),
        cost("long bow against its hairpin", against_hairpin),
        played("same bow after a sixteenth rest", tiny),
        played("same bow after an eighth rest", short),
        played("same bow after a quarter rest", middle),
        played("same bow after a half rest", long),
        played("same bow after a longer rest", longest),
        cost("same bow of a light note after a rest hardly there, besides", again_in_no_time),
        cost("retake on the string", retake_on_string),
        cost("retake for an accent or a chord", retake_for_accent),
        cost("hooked note", hook_on_string),
        cost("hooked note with a dot", hook_on_dots),
        cost("hooked short note of a dotted figure", hook_in_dotted_figure),
        cost("hooked light note", hook_on_light_note),
        cost("hooked note on the barline", hook_on_barline),
        cost("hook between two slurs", hook_between_slurs),
        cost("hook to a new dynamic", hook_to_new_dynamic),
        cost("same direction again as marked in the figure before", again_as_marked),
        cost("figure begun the other way than before", unlike_before),
        cost("the same where it is soft", unlike_softly),
    ]
}

fn of_stroke(habit: &mut StrokeHabit) -> Vec<Figure<'_>> {
    let StrokeHabit { stroke, sounding, speed, travels: _, home } = habit;
    let section = Section::Stroke(*stroke);
    let mut rows = vec![
        row(section, "sounding part", Unit::share("of the written length"), SHARE, sounding),
        row(section, "speed", Unit::TIMES, (0.01, 100.0), speed),
    ];
    rows.extend(of_home(section, home));
    rows
}

/// Beside each field of [`Rules`] stands more of where it comes from.
#[rustfmt::skip]
fn of_rules(rules: &mut Rules) -> Vec<Figure<'_>> {
    let Rules {
        off: _, least_run_out_mm, least_run_out_s, felt_ratio, creep_mm, creep_times, least_bend_mm, near_slowest_ratio,
        very_fast_mm_per_s, loud: _, soft: _, bounce_border_per_s, bounce_slack_ratio, chord_limit,
        up_beats_in_a_row, retake_least_s, least_loss_db, hand_mm_per_s, far_out,
    } = rules;
    let section = Section::Rules;
    let (mm, times, speed, seconds, count) =
        ((0.0, 1000.0), (1.0, 100.0), (1.0, 10_000.0), (0.0, 60.0), (1.0, 1000.0));
    vec![
        row(section, "least run-out", Unit::CM, mm, least_run_out_mm),
        row(section, "creeping", Unit::CM, mm, creep_mm).practised(),
        row(section, "least bend", Unit::CM, mm, least_bend_mm),
        row(section, "bend that is felt", Unit::TIMES, times, felt_ratio),
        row(section, "near the slowest bow", Unit::TIMES, times, near_slowest_ratio),
        row(section, "slack of the bouncing border", Unit::TIMES, times, bounce_slack_ratio),
        row(section, "very fast bow", Unit::CM_PER_S, speed, very_fast_mm_per_s).recalled(),
        row(section, "hand in a crossing", Unit::CM_PER_S, speed, hand_mm_per_s),
        row(section, "crossings far out", OF_HAIR, SHARE, far_out).practised(),
        row(section, "place of chords", OF_HAIR, SHARE, chord_limit).practised(),
        row(section, "least run-out in time", Unit::SECONDS, seconds, least_run_out_s),
        row(section, "shortest retake", Unit::SECONDS, seconds, retake_least_s),
        row(section, "border of bouncing strokes", Unit::NOTES_PER_S, (0.1, 100.0), bounce_border_per_s)
            .source(Origin::Published, "Klopčič 2021 after Dounis, quoted in J. American Viola Society, Fall 2023"),
        row(section, "missed dynamic", Unit::DECIBELS, (0.0, 100.0), least_loss_db)
            .source(Origin::Assumed, "assumed; loudness doubles with about 10 dB (sone rule, from memory)"),
        row(section, "repeats of a figure", Unit::COUNT, count, creep_times),
        row(section, "strong beats in a row", Unit::COUNT, count, up_beats_in_a_row),
    ]
}
