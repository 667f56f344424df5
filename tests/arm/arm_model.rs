//! The bow arm against published tables, facts of geometry, the directions that measurements have
//! shown, and a general solver.
//!
//! Numbers "computed from the stated inputs" are facts of geometry, worked out apart from this code.

use elbowroom::{
    analysis::{Analysis, analyse},
    arm::{
        Arm, ArmPose, Frame, LevelFan, Links, Load, Plane, Vec3, hand_travel_mm, load, reach_words, usable_mm,
    },
    bowing::{Join, Piece, Problem, Weights, solve},
    lesson::{Lesson, Writer, change::new_passage, demo::demo},
    score::{Direction, TimeSignature},
    setup::{
        ArmSchool, Body, BowHold, Catalogue, Chart, Family, Hold, Lms, Origin, Part, Posture, Proportions,
        Setup, Sex, median_stature_mm,
    },
};

use crate::{
    music::{WHOLE, chords},
    random::Random,
};

fn close(found: f64, expected: f64, within: f64, what: &str) {
    assert!((found - expected).abs() <= within, "{what}: {found} for {expected}");
}

fn arm_of(setup: &Setup) -> (LevelFan, Arm) {
    let fan = LevelFan::new(&setup.instrument);
    let arm = Arm::new(setup, &fan);
    (fan, arm)
}

fn points(pose: &ArmPose) -> [Vec3; 7] {
    [pose.contact, pose.frog, pose.tip, pose.hand, pose.wrist, pose.elbow, pose.shoulder]
}

/// Computed from the stated inputs: straight strings from the bridge (33.5 mm wide, radius 42) to
/// the nut (16.5 mm, radius 42), 328 mm long. Nearer the fingerboard the outer pair slopes a little
/// less than at the bridge, where the levels are worked out.
#[test]
fn the_outer_pair_slopes_less_away_from_the_bridge() {
    let section = |spread: f64| {
        let mut instrument = Setup::for_family(Family::Violin).instrument;
        instrument.bridge.spread_mm = spread;
        instrument.bridge.low_height_mm = instrument.bridge.high_height_mm;
        LevelFan::new(&instrument)
    };
    let (bridge, nut) = (section(33.5), section(16.5));
    for (from_bridge, slope, spread) in [
        (0.0, 15.57, 33.5),
        (20.0, 15.33, 32.46),
        (30.0, 15.20, 31.95),
        (40.0, 15.07, 31.43),
        (55.0, 14.87, 30.65),
    ] {
        let share = from_bridge / 328.0;
        let top = |i: usize| {
            let (a, b) = (bridge.strings[i].contact_mm, nut.strings[i].contact_mm);
            (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
        };
        let (g, d) = (top(3), top(2));
        close(((d.1 - g.1) / (g.0 - d.0)).atan().to_degrees(), slope, 0.01, "slope");
        close(g.0 - top(0).0, spread, 0.01, "spread");
    }
}

/// Waist limits of the catalogue: atan((bridge + arch - edge - sag) / (waist/2 - W/2)) with workshop
/// figures: violin 33, 15.5, 4.0, waist 112 (published); viola 38 (from memory), 17, 4, waist 131.
#[test]
fn the_waist_limits_the_outer_strings() {
    for (family, bridge, arch, waist, limit) in
        [(Family::Violin, 33.0, 15.5, 112.0, 46.3), (Family::Viola, 38.0, 17.0, 131.0, 44.7)]
    {
        let mut instrument = Setup::for_family(family).instrument;
        instrument.bridge.low_height_mm = instrument.bridge.high_height_mm;
        let sag = -LevelFan::new(&instrument).strings[0].contact_mm.1;
        let height: f64 = bridge + arch - 4.0 - sag;
        let beside = (waist - instrument.bridge.spread_mm) / 2.0;
        close((height / beside).atan().to_degrees(), limit, 0.06, family.word());
        close(instrument.bridge.waist_limit_deg, limit, 1e-9, "catalogue");
    }
}

/// The bow's slope in the room is its level less the roll, for a level violin (computed from the
/// stated inputs; the angles themselves are tested with the levels).
#[test]
fn roll_tilts_the_bow_in_the_room() {
    let mut setup = Setup::for_family(Family::Violin);
    for roll in [20.0, 25.0, 30.0] {
        setup.instrument.roll_deg = roll;
        let (fan, arm) = arm_of(&setup);
        for level in fan.all() {
            let slope = arm.frame.bow(level.angle_deg).z.asin().to_degrees();
            close(slope, level.room_deg, 1e-9, &level.name);
        }
    }
}

/// The chord 2 l sin(angle / 2), computed from the stated inputs; and the arm's own hand moves by
/// just that between two levels, apart from the step of the contact point.
#[test]
fn hand_travel_is_the_chord() {
    close(hand_travel_mm(660.0, 1.0), 11.5, 0.05, "one degree at the tip");
    close(hand_travel_mm(660.0, 15.57), 178.8, 0.05, "one pair at the tip");
    close(hand_travel_mm(30.0, 15.57), 8.1, 0.05, "one pair at the frog");
    let (fan, arm) = arm_of(&Setup::for_family(Family::Violin));
    let (a, b) = (fan.pairs[0].angle_deg, fan.pairs[1].angle_deg);
    let (one, other) = (arm.pose(a, 600.0), arm.pose(b, 600.0));
    let moved = ((one.hand - one.contact) - (other.hand - other.contact)).length();
    close(moved, hand_travel_mm((one.hand - one.contact).length(), a - b), 1e-9, "hand of the arm");
}

/// Drillis & Contini 1966: segments of a stature of 1750 mm.
#[test]
fn segments_of_the_general_table() {
    let body = Body::default();
    for (part, mm) in Part::ALL.into_iter().zip([325.5, 255.5, 189.0, 226.6, 1431.5]) {
        close(body.part_mm(part).0, mm, 0.05, part.words());
        assert_eq!(body.part_mm(part).1, Origin::Assumed);
    }
    let mut own = Body { stature_origin: Origin::Measured, ..body };
    own.measured_mm[Part::Forearm as usize] = Some(260.0);
    assert_eq!(own.part_mm(Part::Forearm), (260.0, Origin::Measured));
    assert_eq!(own.part_mm(Part::Hand).1, Origin::Published);
}

/// ANSUR II 2012: upper arm and forearm of the median man (602 mm) and woman (551 mm), from the mean
/// shares and the mean statures 1756.2 and 1628.5 mm; shoulder of a seated man 0.5879 of his stature.
#[test]
fn segments_of_men_and_women() {
    for (proportions, stature_mm, arm) in
        [(Proportions::Men, 1756.2, 602.0), (Proportions::Women, 1628.5, 551.0)]
    {
        let body = Body { proportions, stature_mm, ..Body::default() };
        let found = body.part_mm(Part::UpperArm).0 + body.part_mm(Part::Forearm).0;
        close(found, arm, 3.0, proportions.words());
    }
    let man = Body { proportions: Proportions::Men, ..Body::default() };
    close(man.shoulder_above_floor_mm(Posture::Seated) / 1750.0, 0.3433 + 0.2446, 1e-9, "seated");
    let [standing, stool, seated] =
        [Posture::Standing, Posture::Stool, Posture::Seated].map(|p| man.shoulder_above_floor_mm(p));
    assert!(standing > stool && stool > seated);
}

/// Computed from the stated inputs by the cosine rule: upper arm 325.5, forearm 255.5 mm.
#[test]
fn elbow_angle_from_the_distance_of_the_wrist() {
    let links = Links { upper_mm: 325.5, fore_mm: 255.5 };
    for (d, flexion, radius) in [
        (300.0, 119.23, 241.9),
        (350.0, 107.04, 227.2),
        (400.0, 93.87, 207.4),
        (450.0, 79.16, 181.5),
        (500.0, 61.73, 146.5),
        (550.0, 37.89, 92.9),
        (575.0, 16.60, 41.3),
        (581.0, 0.0, 0.0),
    ] {
        close(links.flexion_deg(d).expect("in reach"), flexion, 0.005, "flexion");
        close(links.circle_mm(d).1, radius, 0.05, "circle");
    }
    for (flexion, d) in [(30.0, 561.5), (60.0, 504.4), (90.0, 413.8), (110.0, 338.1), (120.0, 296.8)] {
        close(links.distance_mm(flexion), d, 0.05, "distance");
    }
    assert_eq!(links.flexion_deg(581.1), None, "out of reach");
    assert_eq!(links.flexion_deg(69.9), None, "too near");
}

/// Computed from the stated inputs: shoulder at the origin, the wrist given, elbow turned outward
/// from its lowest place.
#[test]
fn elbow_height_on_its_circle() {
    let links = Links { upper_mm: 325.5, fore_mm: 255.5 };
    let right = Vec3::new(1.0, 0.0, 0.0);
    for (wrist, elbows) in [
        ((0.0, 450.0, 0.0), [(-181.5, 56.1), (-157.2, 61.1), (-90.8, 73.8), (0.0, 90.0)]),
        ((0.0, 450.0, -150.0), [(-246.0, 40.9), (-224.9, 46.3), (-167.3, 59.1), (-88.6, 74.2)]),
        ((0.0, 450.0, 100.0), [(-111.0, 70.1), (-88.2, 74.3), (-25.7, 85.5), (59.6, 100.5)]),
        ((200.0, 400.0, -200.0), [(-258.0, 37.6), (-239.1, 42.7), (-187.5, 54.8), (-116.9, 68.9)]),
    ] {
        let wrist = Vec3::new(wrist.0, wrist.1, wrist.2);
        let circle = links.elbow_circle(Vec3::ZERO, wrist, right);
        for (swivel, (z, elevation)) in [0.0, 30.0, 60.0, 90.0].into_iter().zip(elbows) {
            let elbow = circle.at(swivel);
            close(elbow.z, z, 0.05, "height");
            close((-elbow.z / 325.5).acos().to_degrees(), elevation, 0.05, "elevation");
            close(elbow.length(), 325.5, 1e-9, "upper arm");
            close((wrist - elbow).length(), 255.5, 1e-9, "forearm");
            assert!(swivel == 0.0 || elbow.x > circle.at(0.0).x, "outward");
        }
    }
}

/// A whole bow of 650 mm in 4 s is 162.5 mm/s, eight even notes in one bow get 81.25 mm each, and a
/// quarter note at 60 on half a bow moves at 325 mm/s (computed from the stated inputs).
#[test]
fn the_bow_budget() {
    let mut setup = Setup::for_family(Family::Violin);
    close(setup.bow.hair_mm, 650.0, 1e-9, "hair");
    setup.player.slowest_whole_bow_s = 4.0;
    close(setup.slowest_mm_per_s(), 162.5, 1e-9, "4 s");
    close(setup.slowest_mm_per_s() * 4.0 / 8.0, 81.25, 1e-9, "eight notes");
    setup.player.fastest_whole_bow_s = 2.0;
    close(setup.fastest_mm_per_s(), 325.0, 1e-9, "half a bow in 1 s");
    // Eight notes that want 100 mm each in one bow: the hair is shared out evenly.
    let piece = |k: usize| Piece {
        seconds: 0.5,
        wanted_mm: 100.0,
        min_mm: 10.0,
        max_mm: 600.0,
        direction: Direction::Down,
        travels: true,
        carries: false,
        place_mm: 325.0,
        place_weight: 0.0,
        speed_weight: 1.0,
        join: if k == 0 { Join::Start } else { Join::Same },
    };
    let problem = Problem {
        hair_mm: 650.0,
        usable: (0.0, 650.0),
        start: None,
        pieces: (0..8).map(piece).collect(),
        pins: Vec::new(),
        weights: Weights::default(),
    };
    let plan = solve(&problem).expect("it can be read");
    for (start, end) in plan.start_mm.iter().zip(&plan.end_mm) {
        close(end - start, 81.25, 1e-3, "an equal share");
    }
}

/// CDC 2000, stature for age: the file's own percentiles against its L, M and S.
#[test]
fn percentiles_of_the_growth_chart() {
    let boy = Lms { l: 0.505_564_115, m: 138.823_411_4, s: 0.047_610_108 };
    close(boy.value(0.0).expect("median"), boy.m, 1e-9, "P50");
    close(boy.value(-1.645).expect("P5"), 128.1625, 0.005, "P5");
    close(boy.value(1.645).expect("P95"), 149.9053, 0.005, "P95");
    assert_eq!(Lms { l: 0.5, m: 1.0, s: 1.0 }.value(-3.0), None);
    // The power goes over into the exponential.
    let (near, at) = (Lms { l: 1e-9, ..boy }, Lms { l: 0.0, ..boy });
    close(near.value(1.0).expect("near"), at.value(1.0).expect("at"), 1e-4, "L = 0");
    // Half a month after the tenth and twelfth birthday.
    close(median_stature_mm(Chart::Cdc, Sex::Boy, 10.0), 10.0 * boy.m, 0.5, "boy of 10");
    close(median_stature_mm(Chart::Cdc, Sex::Girl, 12.0), 1514.87, 0.5, "girl of 12");
    close(median_stature_mm(Chart::Who, Sex::Girl, 12.0), 1512.0, 1e-9, "girl of 12, WHO");
    for age in [f64::NAN, -5.0, 3.0, 20.0, 99.0] {
        assert!((900.0..1800.0).contains(&median_stature_mm(Chart::Who, Sex::Boy, age)));
    }
    for sex in [Sex::Girl, Sex::Boy] {
        for chart in [Chart::Cdc, Chart::Who] {
            let grows = (12..80).map(|q| median_stature_mm(chart, sex, f64::from(q) / 4.0));
            let grows: Vec<f64> = grows.collect();
            assert!(grows.windows(2).all(|two| two[1] >= two[0] - 1e-9));
        }
    }
}

/// Overall lengths of small violins, cm, at the age shops give them (published trade tables), over
/// the stretched arm of the median child of that age: a fitting violin gives 0.75 to 0.90 (assumed
/// band; the five ratios are computed from the stated inputs).
#[test]
fn a_violin_of_the_usual_size_fits_the_child() {
    for (stature_cm, overall_cm, ratio) in [
        (98.5, 37.0, 0.78),
        (102.0, 40.0, 0.82),
        (108.6, 44.0, 0.84),
        (118.7, 48.0, 0.84),
        (130.7, 52.0, 0.83),
    ] {
        let body = Body { stature_mm: 10.0 * stature_cm, ..Body::default() };
        let found = 10.0 * overall_cm / body.neck_to_palm_mm();
        close(found, ratio, 0.012, "ratio");
        assert!((0.75..=0.90).contains(&found));
    }
}

/// ISO 11226:2000 holding times, from memory.
#[test]
fn a_raised_arm_is_to_be_varied() {
    for (elevation, expected) in [(20.0, 3.0), (30.0, 2.5), (40.0, 2.0), (50.0, 1.5), (60.0, 1.0)] {
        assert_eq!(load(elevation), Load::Limited { minutes: expected });
    }
    assert_eq!(load(10.0), Load::Free);
    assert_eq!(load(61.0), Load::Vary);
}

/// Whole notes on open strings, by their MIDI numbers, at 60 quarters a minute.
fn open_notes(midi: &[i32]) -> Lesson {
    let viola = Writer::new(new_passage(Family::Viola, TimeSignature::new(4, 4), 0, 60.0));
    let notes: Vec<_> = midi.iter().map(|midi| (WHOLE, std::slice::from_ref(midi))).collect();
    let mut lesson = chords(viola, &notes).0;
    for event in &mut lesson.score.events {
        event.notes[0].fingers.push("0".to_owned());
    }
    lesson
}

/// The border of 60 degrees: ISO 11226:2000, from memory. The time above it against the pose of the arm
/// at every hundredth of a second.
#[test]
fn time_with_a_raised_arm_is_what_the_poses_say() {
    let (low, high) = (open_notes(&[48; 20]), open_notes(&[69; 20]));
    let (on_c, on_a) = (analyse(&low), analyse(&high));
    for share in 0..=10 {
        let elevation = |analysis: &Analysis, plane| {
            let level = analysis.arm_path.fan.level(plane).angle_deg;
            analysis
                .arm_path
                .arm
                .pose(level, f64::from(share) / 10.0 * analysis.arm_path.arm.hair_mm())
                .upper_arm_deg
        };
        assert!(elevation(&on_c, Plane::String(4)) > 60.0 && elevation(&on_a, Plane::String(1)) < 60.0);
    }
    let care = on_c.care(&[]);
    close(care.raised.total_s, 80.0, 1e-6, "all of it on C");
    close(care.playing_s, 80.0, 1e-6, "playing");
    let (line, more) = on_c.care_words(&low.score).expect("80 s on end are worth a word");
    assert!(line.contains("80 s on end, bars 1 to 20"), "{line}");
    // A movement that follows at once does not lengthen it, nor is its first bar named.
    let mut two = open_notes(&[48; 32]);
    for (index, bar) in two.score.bars.iter_mut().enumerate() {
        bar.number = (index % 20 + 1).to_string();
    }
    let (line, _) = analyse(&two).care_words(&two.score).expect("80 s of the first movement");
    assert!(line.contains("80 s on end, bars 1 to 20 (I)"), "{line}");
    for caution in
        ["Stop when it hurts", "take breaks", "let a teacher look", "a professional", "no diagnosis"]
    {
        assert!(more.contains(caution), "{more}");
    }
    close(on_a.care(&[]).raised.total_s, 0.0, 1e-9, "none of it on A");
    assert_eq!(on_a.care_words(&high.score), None);

    let mixed = open_notes(&[48, 55, 62, 69, 62, 55, 48, 69, 55, 62, 62, 62]);
    let analysis = analyse(&mixed);
    let step = 0.01;
    let sampled = (0..4800)
        .map(|i| analysis.bow_at((f64::from(i) + 0.5) * step))
        .filter(|state| state.on_string && analysis.arm_at(state).upper_arm_deg > 60.0)
        .count() as f64
        * step;
    assert!((8.0..40.0).contains(&sampled), "{sampled} s say little");
    close(analysis.care(&[]).raised.total_s, sampled, 0.5, "mixed");
}

/// The elbow of each level at one place on the hair, from the highest string to the lowest.
fn elbow_heights(setup: &Setup, share: f64) -> Vec<f64> {
    let (_, arm) = arm_of(setup);
    arm.poses(share * setup.bow.hair_mm).iter().map(|pose| pose.elbow.z).collect()
}

/// Shan & Visentin 2003 (Med. Probl. Perform. Art., doi 10.21091/mppa.2003.1002) and Turner-Stokes &
/// Reid 1999 (Clin. Biomech. 14(6):426-433), directions only: the violinist's elbow rises from E to
/// G. On cello and double bass it rises toward the highest string (bass: from memory); at the
/// bassist's tip the arm nearly hangs and hardly changes.
#[test]
fn the_elbow_rises_toward_the_right_string() {
    for family in Family::ALL {
        let setup = Setup::for_family(family);
        for share in [0.1, 0.5, 0.9] {
            let heights = elbow_heights(&setup, share);
            let rises = heights.windows(2).all(|two| two[1] > two[0]);
            let falls = heights.windows(2).all(|two| two[1] < two[0] + 3.0) && heights[0] > heights[6];
            assert!(if family.on_shoulder() { rises } else { falls }, "{} {heights:?}", family.word());
        }
    }
}

/// Shoulder flexion (forward) and abduction (outward) of the upper arm, degrees.
fn shoulder_angles(pose: &ArmPose) -> (f64, f64) {
    let upper = pose.elbow - pose.shoulder;
    (upper.y.atan2(-upper.z).to_degrees(), upper.x.atan2(-upper.z).to_degrees())
}

/// Hopper et al. 2017, Med. Probl. Perform. Art. 32(2):85-93: the cellist's shoulder flexion and
/// abduction are greatest at the tip on A. Compared at frog, middle and tip of the four strings.
#[test]
fn the_cellists_arm_is_most_raised_at_the_tip_on_a() {
    let setup = Setup::for_family(Family::Cello);
    let (fan, arm) = arm_of(&setup);
    let at = |string: usize, share: f64| {
        shoulder_angles(&arm.pose(fan.strings[string].angle_deg, share * setup.bow.hair_mm))
    };
    let most = at(0, 1.0);
    for string in 0..4 {
        for share in if string == 0 { [0.0, 0.5, 0.5] } else { [0.0, 0.5, 1.0] } {
            let other = at(string, share);
            assert!(most.0 > other.0 && most.1 > other.1, "{string} {share}: {other:?} against {most:?}");
        }
    }
}

/// The definition, worked out by hand: the upper arm hangs, the forearm lies forward. Thumb up is 0, palm
/// down 90 inward, palm up 90 outward, however the wrist is bent; for the other arm the same.
#[test]
fn the_forearm_turns_from_thumb_up_to_palm_down() {
    let (_, arm) = arm_of(&Setup::for_family(Family::Violin));
    let v = Vec3::new;
    for wrist_deg in [0.0_f64, 30.0, -50.0] {
        let (sin, cos) = wrist_deg.to_radians().sin_cos();
        for (thumb, turn) in [(v(0.0, -sin, cos), 0.0), (v(-1.0, 0.0, 0.0), 90.0), (v(1.0, 0.0, 0.0), -90.0)]
        {
            let (shoulder, elbow, wrist) =
                (v(200.0, 0.0, 0.0), v(200.0, 0.0, -330.0), v(200.0, 250.0, -330.0));
            let hand = wrist + v(0.0, cos, sin) * 90.0;
            let (frog, tip) = (hand - thumb * 20.0, hand + thumb * 630.0);
            let pose = ArmPose {
                shoulder,
                elbow,
                wrist,
                hand,
                frog,
                tip,
                elbow_flexion_deg: 90.0,
                ..arm.pose(0.0, 0.0)
            };
            for pose in [pose, pose.flipped()] {
                close(pose.forearm_turn_deg().expect("the elbow is bent"), turn, 1e-6, "turn");
                close(pose.wrist_bend_deg(), wrist_deg.abs(), 1e-6, "wrist");
            }
            let straight = ArmPose { elbow_flexion_deg: 5.0, ..pose };
            assert_eq!(straight.forearm_turn_deg(), None);
        }
    }
}

/// Boone & Azen 1979 (J. Bone Joint Surg. Am. 61:756-759), from memory: a forearm turns 76 degrees inward
/// and 82 outward, a wrist bends 75 to either side. Players stay far inside (assumed: 48 and 45 degrees);
/// from frog to tip the violinist's forearm turns inward (common practice, no source).
#[test]
fn wrist_and_forearm_stay_inside_their_range() {
    for family in Family::ALL {
        let usual = Setup::for_family(family);
        for bow in [BowHold::Over, BowHold::Under] {
            let setup = Setup { hold: Some(Hold { bow, ..usual.held() }), ..usual.clone() };
            let (fan, arm) = arm_of(&setup);
            for level in fan.all() {
                let poses: Vec<_> = (0..=10)
                    .map(|k| arm.pose(level.angle_deg, f64::from(k) / 10.0 * arm.hair_mm()))
                    .collect();
                for pose in &poses {
                    let (bend, turn) = (pose.wrist_bend_deg(), pose.forearm_turn_deg().unwrap_or(0.0));
                    let what = format!("{} {bow:?} {} at {:.0} mm", family.word(), level.name, pose.hair_mm);
                    assert!(bend <= 48.0, "{what}: the wrist bends {bend:.0}");
                    assert!(turn.abs() <= 45.0, "{what}: the forearm turns {turn:.0}");
                }
                let way = poses[0].travel_to(&poses[10]);
                let inward = way.forearm_deg.is_none_or(|turn| turn > 0.0);
                assert!(inward || !family.on_shoulder(), "{} {}: {way:?}", family.word(), level.name);
            }
        }
    }
}

/// Turner-Stokes & Reid 1999, directions only: the shoulder is raised more on the cello; the elbow
/// bends more, and over a wider range, on the violin. Compared string by string and averaged.
#[test]
fn the_cello_asks_more_of_the_shoulder_and_the_violin_of_the_elbow() {
    let figures = |family: Family| {
        let setup = Setup::for_family(family);
        let (fan, arm) = arm_of(&setup);
        let mut peak: f64 = 0.0;
        let (mut bent, mut range) = (0.0, 0.0);
        for level in &fan.strings {
            let poses: Vec<ArmPose> = (0..=20)
                .map(|k| arm.pose(level.angle_deg, setup.bow.hair_mm * f64::from(k) / 20.0))
                .collect();
            let flexions = poses.iter().map(|pose| pose.elbow_flexion_deg);
            let (least, most) = flexions.fold((180.0_f64, 0.0_f64), |(l, m), f| (l.min(f), m.max(f)));
            peak = poses.iter().map(|pose| pose.upper_arm_deg).fold(peak, f64::max);
            bent += most / 4.0;
            range += (most - least) / 4.0;
        }
        (peak, bent, range)
    };
    let (violin, cello) = (figures(Family::Violin), figures(Family::Cello));
    assert!(cello.0 > violin.0, "peak elevation {cello:?} {violin:?}");
    assert!(violin.1 > cello.1, "elbow flexion {violin:?} {cello:?}");
    assert!(violin.2 > cello.2, "its range {violin:?} {cello:?}");
}

/// Shan & Visentin 2003: elbow height over stature hardly differs between players on one string. The
/// width of the band is assumed.
#[test]
fn elbow_height_over_stature_is_much_the_same_for_all() {
    let (fan, _) = arm_of(&Setup::for_family(Family::Violin));
    for level in &fan.strings {
        let ratios = [1600.0, 1700.0, 1750.0, 1800.0, 1900.0].map(|stature_mm| {
            let mut setup = Setup::for_family(Family::Violin);
            setup.body.stature_mm = stature_mm;
            arm_of(&setup).1.pose(level.angle_deg, 325.0).elbow_above_floor_mm / stature_mm
        });
        let (least, most) = ratios.iter().fold((9.0_f64, 0.0_f64), |(l, m), r| (l.min(*r), m.max(*r)));
        assert!(most - least < 0.02, "{} {ratios:?}", level.name);
    }
}

/// Visentin & Shan 2003 (Med. Probl. Perform. Art. 18(3):91), directions only: the load of the
/// shoulder depends on the string, that of elbow and wrist hardly. Moments of the arm's own weight,
/// with segment masses and mass centres of Winter's table (from memory).
#[test]
fn the_string_changes_the_load_of_the_shoulder_most() {
    let setup = Setup::for_family(Family::Violin);
    let (fan, arm) = arm_of(&setup);
    let moments = |angle: f64| {
        let pose = arm.pose(angle, 0.5 * setup.bow.hair_mm);
        let between = |a: Vec3, b: Vec3, share: f64| a + (b - a) * share;
        let parts = [
            (0.028, between(pose.shoulder, pose.elbow, 0.436)),
            (0.016, between(pose.elbow, pose.wrist, 0.430)),
            (0.006, between(pose.wrist, pose.hand, 0.5)),
        ];
        let about = |joint: Vec3, from: usize| {
            let arms = parts[from..].iter().map(|(mass, at)| {
                let lever = *at - joint;
                Vec3::new(lever.x, lever.y, 0.0) * *mass
            });
            arms.fold(Vec3::ZERO, |sum, moment| sum + moment).length()
        };
        [about(pose.shoulder, 0), about(pose.elbow, 1), about(pose.wrist, 2)]
    };
    let of_strings: Vec<[f64; 3]> = fan.strings.iter().map(|level| moments(level.angle_deg)).collect();
    let spread = |joint: usize| {
        let all = of_strings.iter().map(|moments| moments[joint]);
        let (least, most) = all.fold((9e9_f64, 0.0_f64), |(l, m), v| (l.min(v), m.max(v)));
        most - least
    };
    assert!(spread(0) > 2.0 * spread(1) && spread(1) >= spread(2), "{of_strings:?}");
}

/// A chain of two links with four angles, solved by damped least squares with a numerical Jacobian
/// (Levenberg 1944, Quart. Appl. Math. 2:164-168): wrist at the target, elbow in the plane.
fn solve_chain(
    links: Links,
    shoulder: Vec3,
    wrist: Vec3,
    plane: (Vec3, Vec3),
    start: [f64; 4],
) -> Option<Vec3> {
    let direction = |a: f64, b: f64| Vec3::new(a.cos() * b.cos(), a.sin() * b.cos(), b.sin());
    let elbow = |q: &[f64; 4]| shoulder + direction(q[0], q[1]) * links.upper_mm;
    let residual = |q: &[f64; 4]| {
        let miss = elbow(q) + direction(q[2], q[3]) * links.fore_mm - wrist;
        [miss.x, miss.y, miss.z, (elbow(q) - plane.0).dot(plane.1)]
    };
    let cost = |r: &[f64; 4]| r.iter().map(|v| v * v).sum::<f64>();
    let mut q = start;
    let mut damping = 1.0;
    for _ in 0..400 {
        let r = residual(&q);
        if cost(&r) < 1e-18 {
            return Some(elbow(&q));
        }
        let mut jacobian = [[0.0; 4]; 4];
        for k in 0..4 {
            let (mut up, mut down) = (q, q);
            up[k] += 1e-6;
            down[k] -= 1e-6;
            let (up, down) = (residual(&up), residual(&down));
            for i in 0..4 {
                jacobian[i][k] = (up[i] - down[i]) / 2e-6;
            }
        }
        let mut system = [[0.0; 5]; 4];
        for i in 0..4 {
            for k in 0..4 {
                system[i][k] = (0..4).map(|row| jacobian[row][i] * jacobian[row][k]).sum();
            }
            system[i][i] += damping;
            system[i][4] = -(0..4).map(|row| jacobian[row][i] * r[row]).sum::<f64>();
        }
        let step = eliminate(system)?;
        let next = [q[0] + step[0], q[1] + step[1], q[2] + step[2], q[3] + step[3]];
        if cost(&residual(&next)) < cost(&r) {
            q = next;
            damping = (damping * 0.2).max(1e-9);
        } else {
            damping *= 4.0;
        }
    }
    None
}

/// Gauss's elimination with pivots.
fn eliminate(mut m: [[f64; 5]; 4]) -> Option<[f64; 4]> {
    for i in 0..4 {
        let pivot = (i..4).max_by(|a, b| m[*a][i].abs().total_cmp(&m[*b][i].abs()))?;
        m.swap(i, pivot);
        let top = m[i];
        if top[i].abs() < 1e-300 {
            return None;
        }
        for (row, line) in m.iter_mut().enumerate() {
            if row != i {
                let factor = line[i] / top[i];
                for (value, above) in line.iter_mut().zip(top) {
                    *value -= factor * above;
                }
            }
        }
    }
    Some([m[0][4] / m[0][0], m[1][4] / m[1][1], m[2][4] / m[2][2], m[3][4] / m[3][3]])
}

fn random_setup(random: &mut Random) -> Setup {
    let family = Family::ALL[(random.between(0.0, 3.999)) as usize];
    let mut setup = Setup::for_family(family);
    setup.body.stature_mm = random.between(1500.0, 1950.0);
    setup.instrument.roll_deg += random.between(-10.0, 10.0);
    setup.hold = Some(Hold { yaw_deg: random.between(25.0, 50.0), ..setup.held() });
    setup.school.arm.elbow_levels = random.between(-2.0, 1.0);
    setup.school.arm.tip_lift_levels = random.between(0.0, 2.0);
    setup
}

#[test]
fn a_general_solver_finds_the_same_elbow() {
    let mut random = Random::new(7);
    let mut compared = 0;
    for _ in 0..120 {
        let setup = random_setup(&mut random);
        let (fan, arm) = arm_of(&setup);
        let levels: Vec<f64> = fan.all().map(|level| level.angle_deg).collect();
        let angle = random.between(levels[0].min(levels[6]), levels[0].max(levels[6]));
        let pose = arm.pose(angle, random.between(0.0, setup.bow.hair_mm));
        let distance = (pose.wrist - pose.shoulder).length();
        close((pose.frog - pose.contact).length(), pose.hair_mm, 1e-9, "place on the hair");
        close((pose.frog - pose.tip).length(), setup.bow.hair_mm, 1e-9, "straight hair");
        close((pose.frog - pose.contact).dot(arm.frame.along), 0.0, 1e-9, "at a right angle to the strings");
        // A nearly straight arm has its elbow on a tiny circle, where the plane may miss it.
        if arm.links.flexion_deg(distance).is_none_or(|flexion| flexion < 8.0) {
            continue;
        }
        let ArmSchool { elbow_levels, tip_lift_levels, .. } = setup.school.arm;
        let step = (levels[0] - levels[6]).abs() / 6.0;
        let levels = elbow_levels + tip_lift_levels * pose.hair_mm / setup.bow.hair_mm;
        let normal =
            arm.frame.bow(angle + levels * step).cross(pose.shoulder - pose.contact).unit_or(Vec3::DOWN);
        let bow = arm.frame.bow(angle);
        let mut found: Vec<Vec3> = Vec::new();
        for k in 0..8 {
            let turn = f64::from(k) * 0.785;
            let start = [turn, 0.4 * (turn * 1.7).sin(), turn + 1.9, 0.3 * turn.cos()];
            found.extend(solve_chain(arm.links, pose.shoulder, pose.wrist, (pose.shoulder, normal), start));
        }
        // Where the planes alone would not keep the order of the levels, the elbow lies beside its plane.
        let heights: Vec<f64> = arm.poses(pose.hair_mm).iter().map(|pose| pose.elbow.z).collect();
        if heights
            .windows(2)
            .any(|two| (two[1] - two[0]).abs() < 0.0021 * (arm.links.upper_mm + arm.links.fore_mm))
        {
            continue;
        }
        let Some(best) = found.into_iter().max_by(|a, b| a.dot(bow).total_cmp(&b.dot(bow))) else {
            // No elbow lies in the plane: ours is then the nearest to it on either side.
            let miss = (pose.elbow - pose.shoulder).dot(normal);
            assert!(miss.abs() > 1e-6, "the solver missed a place {pose:?}");
            continue;
        };
        assert!(
            (best - pose.elbow).length() < 1e-6,
            "{} {best:?} for {:?}",
            setup.instrument.family.word(),
            pose.elbow
        );
        compared += 1;
    }
    assert!(compared > 60, "only {compared} poses could be compared");
}

/// The farthest place is where the elbow has just the opening that the school allows.
#[test]
fn the_tip_mark_is_where_the_arm_is_open() {
    let mut short = Setup::for_family(Family::Violin);
    short.body.stature_mm = 1450.0;
    let (fan, arm) = arm_of(&short);
    for level in fan.all() {
        let farthest = arm.farthest_mm(level.angle_deg);
        assert!(farthest > 300.0 && farthest < short.bow.hair_mm, "{} {farthest}", level.name);
        let open = arm.pose(level.angle_deg, farthest);
        close(open.elbow_flexion_deg, short.school.arm.open_elbow_deg, 1e-6, &level.name);
        assert!(arm.tip_mark_mm() <= farthest);
    }
    // A tall player reaches farther, never less.
    let mut before = 0.0;
    for stature in [1200.0, 1400.0, 1600.0, 1800.0, 2000.0] {
        short.body.stature_mm = stature;
        let mark = arm_of(&short).1.tip_mark_mm();
        assert!(mark >= before, "{stature} {mark}");
        before = mark;
    }
    close(before, short.bow.hair_mm, 1e-9, "a tall player reaches the tip");
}

/// Adults reach most of a full-size bow on every instrument, with either bass bow: common practice,
/// no source.
#[test]
fn an_adult_reaches_the_bow() {
    for family in Family::ALL {
        for bow in [BowHold::Over, BowHold::Under] {
            let mut setup = Setup::for_family(family);
            if family == Family::DoubleBass {
                setup.hold = Some(Hold { bow, ..setup.held() });
            }
            let (fan, arm) = arm_of(&setup);
            assert!(arm.tip_mark_mm() > 0.85 * setup.bow.hair_mm, "{} {}", family.word(), arm.tip_mark_mm());
            for pose in fan.all().map(|level| arm.pose(level.angle_deg, 20.0)) {
                assert_eq!(pose.short_by_mm, 0.0, "{} at the frog", family.word());
            }
        }
    }
}

/// An adult of 175 cm plays to the tip on every string of a violin and of a viola of 16 inches: common
/// practice, no source. The shoulder comes forward for it on its height, a little.
#[test]
fn an_adult_plays_to_the_tip() {
    for family in [Family::Violin, Family::Viola] {
        let setup = Setup::for_family(family);
        assert_eq!(setup.body.stature_mm, 1750.0);
        let (fan, arm) = arm_of(&setup);
        assert_eq!(arm.tip_mark_mm(), setup.bow.hair_mm, "{}", family.word());
        for level in fan.all() {
            let [frog, tip] = [0.0, setup.bow.hair_mm].map(|hair| arm.pose(level.angle_deg, hair).shoulder);
            close(
                (frog.length() - setup.body.part_mm(Part::ShoulderHalfBreadth).0).abs(),
                0.0,
                1e-9,
                "rests",
            );
            assert!((tip - frog).length() <= 0.02 * 1750.0 + 1e-9 && tip.z == frog.z, "{tip:?}");
        }
        assert!(reach_words(&setup).contains("reaches the tip"), "{}", reach_words(&setup));
    }
    let mut short = Setup::for_family(Family::Viola);
    short.body.stature_mm = 1550.0;
    let words = reach_words(&short);
    assert!(
        words.contains("the margin kept from the tip ends it") && words.contains("cm farther"),
        "{words}"
    );
    short.player.tip_from_reach = true;
    let words = reach_words(&short);
    assert!(words.contains("the arm's reach ends it") && !words.contains("farther"), "{words}");
    short.player.tip_mark_mm = Some(300.0);
    assert!(reach_words(&short).contains("the player's own mark ends it"));
}

/// A standing bass player's bow crosses the strings at about the height of the hips, 70 to 85 cm above the
/// floor: common practice, no source.
#[test]
fn a_bass_bow_lies_at_the_height_of_the_hips() {
    for posture in [Posture::Standing, Posture::Stool] {
        let mut setup = Setup::for_family(Family::DoubleBass);
        setup.hold = Some(Hold { posture, ..setup.held() });
        let (fan, arm) = arm_of(&setup);
        let contact = arm.pose(fan.pairs[1].angle_deg, 200.0).contact.z + setup.shoulder_above_floor_mm();
        assert!((700.0..=850.0).contains(&contact), "{posture:?} {contact}");
    }
}

/// The hand leans toward the little finger at the frog and toward the forefinger at the tip, and the wrist
/// bends less toward the tip: common practice, no source.
#[test]
fn the_hand_leans_from_the_little_finger_to_the_forefinger() {
    for family in Family::ALL {
        let setup = Setup::for_family(family);
        let (fan, arm) = arm_of(&setup);
        for level in &fan.strings {
            let [frog, tip] = [0.0, setup.bow.hair_mm].map(|hair| arm.pose(level.angle_deg, hair));
            assert!(frog.hand_lean_deg() > 15.0 && tip.hand_lean_deg() < 0.0);
            let less = tip.wrist_bend_deg() < frog.wrist_bend_deg();
            assert!(less || family == Family::DoubleBass, "{} {}", family.word(), level.name);
        }
    }
}

#[test]
fn the_plan_stops_at_the_reach_when_asked() {
    let mut lesson = demo();
    lesson.setup.body.stature_mm = 1500.0;
    let free = usable_mm(&lesson.setup);
    assert_eq!(free, lesson.setup.usable_mm());
    lesson.setup.player.tip_from_reach = true;
    let (from, to) = usable_mm(&lesson.setup);
    assert!(from == free.0 && to < free.1 - 20.0, "{to} of {}", free.1);
    let analysis = analyse(&lesson);
    assert_eq!(analysis.plan.problem.usable, (from, to));
    assert_eq!(to, analysis.arm_path.arm.tip_mark_mm());
    // A nearer mark of the player's own counts.
    lesson.setup.player.tip_mark_mm = Some(400.0);
    assert_eq!(usable_mm(&lesson.setup).1, 400.0);
    let state = analysis.bow_at(0.0);
    assert_eq!(analysis.arm_at(&state), analysis.arm_path.arm.pose(state.level_deg, state.hair_mm));
}

/// Everything that is a length grows together: no angle changes, and every point grows alike.
#[test]
fn a_larger_player_with_a_larger_instrument_has_the_same_angles() {
    for family in Family::ALL {
        let setup = Setup::for_family(family);
        let (fan, arm) = arm_of(&setup);
        for factor in [0.6, 1.3] {
            let mut scaled = setup.clone();
            scaled.body.stature_mm *= factor;
            scaled.bow.hair_mm *= factor;
            scaled.instrument.string_length_mm *= factor;
            let bridge = &mut scaled.instrument.bridge;
            bridge.radius_mm *= factor;
            bridge.spread_mm *= factor;
            bridge.low_height_mm *= factor;
            bridge.high_height_mm *= factor;
            let (_, other) = arm_of(&scaled);
            for level in fan.all() {
                for share in [0.0, 0.4, 1.0] {
                    let a = arm.pose(level.angle_deg, share * setup.bow.hair_mm);
                    let b = other.pose(level.angle_deg, share * scaled.bow.hair_mm);
                    close(b.upper_arm_deg, a.upper_arm_deg, 1e-6, "elevation");
                    close(b.elbow_flexion_deg, a.elbow_flexion_deg, 1e-5, "flexion");
                    close(b.swivel_deg, a.swivel_deg, 1e-4, "swivel");
                    for (p, q) in points(&a).into_iter().zip(points(&b)) {
                        assert!((p * factor - q).length() < 1e-4, "{p:?} {q:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn a_left_handed_player_is_the_mirror_image() {
    for family in Family::ALL {
        let right = Setup::for_family(family);
        let left = Setup { left_handed: true, ..right.clone() };
        let ((fan, arm), (_, other)) = (arm_of(&right), arm_of(&left));
        for level in fan.all() {
            let (a, b) = (arm.pose(level.angle_deg, 200.0), other.pose(level.angle_deg, 200.0));
            for (p, q) in points(&a).into_iter().zip(points(&b)) {
                assert_eq!(p.mirrored(), q);
            }
            assert_eq!((a.upper_arm_deg, a.elbow_flexion_deg), (b.upper_arm_deg, b.elbow_flexion_deg));
        }
        assert_eq!(arm.tip_mark_mm(), other.tip_mark_mm());
    }
}

#[test]
fn absurd_figures_give_finite_arms() {
    for family in Family::ALL {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0, 1e-300, 1e300] {
            let mut setup = Setup::for_family(family);
            setup.body.stature_mm = bad;
            setup.body.measured_mm = [Some(bad); 5];
            setup.hold = Some(Hold {
                yaw_deg: bad,
                pitch_deg: bad,
                lean_deg: bad,
                side_deg: bad,
                trunk_deg: bad,
                ..setup.held()
            });
            setup.school.arm = ArmSchool { elbow_levels: bad, tip_lift_levels: bad, open_elbow_deg: bad };
            setup.bow.hair_mm = bad;
            setup.instrument.string_length_mm = bad;
            setup.instrument.roll_deg = bad;
            let (_, arm) = arm_of(&setup);
            for (level, hair) in [(bad, bad), (0.0, bad), (bad, 100.0)] {
                let pose = arm.pose(level, hair);
                let angles = [pose.upper_arm_deg, pose.elbow_flexion_deg, pose.swivel_deg, pose.short_by_mm];
                assert!(angles.into_iter().all(f64::is_finite), "{bad} {pose:?}");
                for Vec3 { x, y, z } in points(&pose) {
                    assert!(x.is_finite() && y.is_finite() && z.is_finite(), "{bad} {pose:?}");
                }
            }
            assert!(arm.tip_mark_mm().is_finite());
            assert!(!setup.problems().is_empty(), "{bad} passes for a player");
        }
    }
}

/// Every size in the catalogue gives sound figures, and fractional sizes keep the angles of the full
/// size (geometry: radius and spread scale together).
#[test]
fn sizes_of_the_catalogue() {
    let catalogue = Catalogue::builtin();
    for instrument in &catalogue.instruments {
        let mut setup = catalogue.setup(instrument.family);
        setup.instrument = instrument.clone();
        assert_eq!(setup.problems(), Vec::<String>::new(), "{}", instrument.size);
        let full = LevelFan::new(&Setup::for_family(instrument.family).instrument);
        let own = LevelFan::new(instrument);
        for (a, b) in full.all().zip(own.all()) {
            close(
                b.angle_deg,
                a.angle_deg,
                3.0,
                &format!("{} {}", instrument.family.word(), instrument.size),
            );
        }
        let frame = Frame::new(&setup);
        for (a, b) in [(frame.along, frame.hand), (frame.hand, frame.away), (frame.away, frame.along)] {
            close(a.dot(b), 0.0, 1e-12, "right angles");
        }
    }
    for family in [Family::Violin, Family::Viola, Family::Cello, Family::DoubleBass] {
        let sizes = catalogue.instruments.iter().filter(|instrument| instrument.family == family).count();
        assert!(sizes >= 5, "{} has {sizes}", family.word());
        let bows: Vec<f64> =
            catalogue.bows.iter().filter(|(of, _)| *of == family).map(|(_, bow)| bow.hair_mm).collect();
        assert!(bows.len() >= 3 && bows.iter().all(|hair| *hair <= 650.0));
    }
}
