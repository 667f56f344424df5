//! No limb goes through the instrument, the trunk, the head or the legs, and the seven places of the
//! elbow keep their order: measured on the solids that are drawn, for every size with a player it is
//! for, at every level and place on the hair. A left-handed player is the mirror image of these
//! (`a_left_handed_player_is_the_mirror_image`).

use elbowroom::{
    arm::{Arm, ArmPose, LevelFan, Vec3},
    figure::{Mannequin, Material, Mesh, Solid},
    setup::{BowHold, Catalogue, Family, Hold, Posture, Setup},
};

/// Sizes with the height of a player they are for, mm, and the bow. Violin by the median height at the
/// age each size is sold for, cello by height: shops' tables, second hand or from memory; a bass is named
/// a step smaller than a cello for the same child; viola in inches at the violin of that length.
const SIZES: [(Family, &str, f64, &str); 24] = [
    (Family::Violin, "full size", 1600.0, "full size"),
    (Family::Violin, "full size", 1750.0, "full size"),
    (Family::Violin, "full size", 1950.0, "full size"),
    (Family::Violin, "7/8", 1520.0, "7/8"),
    (Family::Violin, "3/4", 1440.0, "3/4"),
    (Family::Violin, "1/2", 1310.0, "1/2"),
    (Family::Violin, "1/4", 1190.0, "1/4"),
    (Family::Violin, "1/8", 1090.0, "1/8"),
    (Family::Violin, "1/16", 985.0, "1/16"),
    (Family::Viola, "16 in", 1650.0, "full size"),
    (Family::Viola, "16 in", 1850.0, "full size"),
    (Family::Viola, "15 in", 1600.0, "full size"),
    (Family::Viola, "13 in", 1440.0, "3/4"),
    (Family::Viola, "12 in", 1310.0, "1/2"),
    (Family::Cello, "full size", 1600.0, "full size"),
    (Family::Cello, "full size", 1750.0, "full size"),
    (Family::Cello, "full size", 1900.0, "full size"),
    (Family::Cello, "3/4", 1450.0, "3/4"),
    (Family::Cello, "1/2", 1300.0, "1/2"),
    (Family::Cello, "1/4", 1150.0, "1/4"),
    (Family::DoubleBass, "3/4 size", 1650.0, "French, 3/4 size"),
    (Family::DoubleBass, "3/4 size", 1800.0, "German, 3/4 size"),
    (Family::DoubleBass, "1/2 size", 1450.0, "French, 1/2 size"),
    (Family::DoubleBass, "1/4 size", 1300.0, "French, 1/4 size"),
];

/// Every size, the bass in both holds, standing and on a stool.
fn setups() -> Vec<(String, Setup)> {
    let catalogue = Catalogue::builtin();
    let mut setups = Vec::new();
    for (family, size, stature_mm, bow) in SIZES {
        let mut setup = catalogue.setup(family);
        let instrument = catalogue.instruments.iter().find(|i| i.family == family && i.size == size);
        let bow = catalogue.bows.iter().find(|(of, known)| *of == family && known.name == bow);
        let (Some(instrument), Some((_, bow))) = (instrument, bow) else {
            panic!("{size} or its bow is missing in the catalogue");
        };
        (setup.instrument, setup.bow) = (instrument.clone(), bow.clone());
        setup.body.stature_mm = stature_mm;
        let name = format!("{} {size}, {stature_mm} mm", family.word());
        if family != Family::DoubleBass {
            setups.push((name, setup));
            continue;
        }
        for posture in [Posture::Standing, Posture::Stool] {
            for bow in [BowHold::Over, BowHold::Under] {
                let hold = Some(Hold { posture, bow, ..setup.held() });
                setups.push((format!("{name} {posture:?} {bow:?}"), Setup { hold, ..setup.clone() }));
            }
        }
    }
    setups
}

/// The arm at every level and at four places on the hair, where it reaches them.
fn poses(arm: &Arm, fan: &LevelFan) -> Vec<(String, ArmPose)> {
    let mut poses = Vec::new();
    for k in [0, 3, 6, 10] {
        for level in fan.all() {
            let hair = f64::from(k) / 10.0 * arm.hair_mm();
            let pose = arm.pose(level.angle_deg, hair);
            if pose.short_by_mm == 0.0 {
                poses.push((format!("{} at {k} tenths", level.name), pose));
            }
        }
    }
    poses
}

/// How far a point lies outside a closed surface, mm; negative inside. The sum of the solid angles of
/// the triangles seen from the point is 4 pi inside and 0 outside (Van Oosterom & Strackee 1983, IEEE
/// Trans. Biomed. Eng. 30(2):125-126).
fn outside_mm(point: Vec3, mesh: &Mesh) -> f64 {
    let (mut angle, mut near) = (0.0, f64::INFINITY);
    for triangle in &mesh.triangles {
        let [a, b, c] = triangle.map(|k| mesh.points[k as usize] - point);
        let (la, lb, lc) = (a.length(), b.length(), c.length());
        let det = a.dot(b.cross(c));
        angle += 2.0 * det.atan2(la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb);
        near = near.min(to_triangle(a, b, c));
    }
    if angle.abs() > std::f64::consts::TAU { -near } else { near }
}

/// Distance of a triangle from the origin.
fn to_triangle(a: Vec3, b: Vec3, c: Vec3) -> f64 {
    let normal = (b - a).cross(c - a);
    let area = normal.length();
    if area > 1e-9 {
        let foot = normal * (a.dot(normal) / (area * area));
        let inside = |p: Vec3, q: Vec3| (q - p).cross(foot - p).dot(normal) >= 0.0;
        if inside(a, b) && inside(b, c) && inside(c, a) {
            return foot.length();
        }
    }
    let to_edge = |p: Vec3, q: Vec3| {
        let along = q - p;
        let share = (-p.dot(along) / along.dot(along).max(1e-12)).clamp(0.0, 1.0);
        (p + along * share).length()
    };
    to_edge(a, b).min(to_edge(b, c)).min(to_edge(c, a))
}

/// A solid with the corners of the box around it.
struct Boxed<'a>(&'a Solid, Vec3, Vec3);

impl<'a> Boxed<'a> {
    fn new(solid: &'a Solid) -> Self {
        let fold = |pick: fn(f64, f64) -> f64| {
            let points = solid.mesh.points.iter().copied();
            let both = |a: Vec3, b: Vec3| Vec3::new(pick(a.x, b.x), pick(a.y, b.y), pick(a.z, b.z));
            points.reduce(both).unwrap_or_default()
        };
        Self(solid, fold(f64::min), fold(f64::max))
    }
}

/// How far a point lies outside of all of some solids, mm; what is farther from the box around a solid
/// than [`FAR_MM`] is not measured closer.
fn least_mm(point: Vec3, solids: &[Boxed<'_>]) -> f64 {
    let of = |Boxed(solid, low, high): &Boxed<'_>| {
        let out = |p: f64, low: f64, high: f64| (low - p).max(p - high);
        let far =
            out(point.x, low.x, high.x).max(out(point.y, low.y, high.y)).max(out(point.z, low.z, high.z));
        if far > FAR_MM { far } else { outside_mm(point, &solid.mesh) }
    };
    solids.iter().map(of).fold(f64::INFINITY, f64::min)
}

/// Farther than this is far enough, mm.
const FAR_MM: f64 = 35.0;

fn on(a: Vec3, b: Vec3, share: f64) -> Vec3 {
    a + (b - a) * share
}

struct Player {
    mannequin: Mannequin,
}

impl Player {
    fn new(setup: &Setup, arm: &Arm) -> Self {
        Self { mannequin: Mannequin::new(setup, arm) }
    }

    fn of(&self, wanted: impl Fn(&Solid) -> bool) -> Vec<Boxed<'_>> {
        self.mannequin.still.solids.iter().filter(|solid| wanted(solid)).map(Boxed::new).collect()
    }

    fn trunk(&self) -> Vec<Boxed<'_>> {
        self.of(|solid| solid.trunk && solid.material == Material::Shirt)
    }

    fn legs(&self) -> Vec<Boxed<'_>> {
        self.of(|solid| solid.material == Material::Trousers)
    }

    /// The body and the neck of the instrument.
    fn wood(&self) -> Vec<Boxed<'_>> {
        self.of(|solid| solid.material == Material::Varnish)
    }

    fn head(&self) -> Vec<Boxed<'_>> {
        let solids = &self.mannequin.head.solids;
        solids.iter().filter(|solid| solid.material != Material::Ebony).map(Boxed::new).collect()
    }
}

/// The measure itself: in the middle of the chest, and well in front of it.
#[test]
fn the_measure_of_clearance() {
    let setup = Setup::for_family(Family::Violin);
    let arm = Arm::new(&setup, &LevelFan::new(&setup.instrument));
    let player = Player::new(&setup, &arm);
    let chest = player.trunk();
    let inside = least_mm(Vec3::new(0.0, 0.0, -100.0), &chest);
    assert!((-130.0..-60.0).contains(&inside), "{inside}");
    assert!(least_mm(Vec3::new(0.0, 160.0, -100.0), &chest) > 20.0);
}

#[test]
fn the_bow_arm_goes_through_nothing() {
    for (name, setup) in setups() {
        let fan = LevelFan::new(&setup.instrument);
        let arm = Arm::new(&setup, &fan);
        let player = Player::new(&setup, &arm);
        let sleeve_mm = 0.0165 * setup.body.stature_mm;
        let (trunk, legs, ribs, head) = (player.trunk(), player.legs(), player.wood(), player.head());
        for (place, pose) in poses(&arm, &fan) {
            let elbow = pose.elbow;
            let fore = |share| on(elbow, pose.wrist, share);
            for (what, solids, points, least) in [
                ("trunk", &trunk, vec![on(pose.shoulder, elbow, 0.75), elbow], 0.6 * sleeve_mm),
                ("trunk", &trunk, vec![fore(0.5), pose.wrist], 0.0),
                ("ribs", &ribs, vec![elbow, fore(0.4), fore(0.8), pose.wrist], 0.3 * sleeve_mm),
                ("legs", &legs, vec![elbow, fore(0.5), pose.wrist, pose.hand], 0.0),
                ("head", &head, vec![elbow, fore(0.5), pose.wrist, pose.hand], sleeve_mm),
            ] {
                for (k, point) in points.into_iter().enumerate() {
                    let clear = least_mm(point, solids);
                    assert!(
                        clear > least,
                        "{name}: point {k} of the arm {clear:.0} mm from the {what} on {place}"
                    );
                }
            }
            // The bow itself, from end to end.
            for k in 0..=8 {
                let point = on(pose.frog, pose.tip, f64::from(k) / 8.0);
                for (what, solids) in [("trunk", &trunk), ("legs", &legs), ("head", &head)] {
                    let clear = least_mm(point, solids);
                    assert!(clear > 0.0, "{name}: the bow {clear:.0} mm from the {what} on {place}");
                }
            }
        }
    }
}

#[test]
fn the_neck_arm_and_the_instrument_go_through_nothing() {
    for (name, setup) in setups() {
        let fan = LevelFan::new(&setup.instrument);
        let arm = Arm::new(&setup, &fan);
        let player = Player::new(&setup, &arm);
        let left = player.mannequin.stance.neck_arm;
        let (trunk, legs, box_of, head) = (player.trunk(), player.legs(), player.wood(), player.head());
        let sleeve_mm = 0.0165 * setup.body.stature_mm;
        for (what, solids) in [("trunk", &trunk), ("ribs", &box_of), ("head", &head)] {
            for (k, point) in
                [on(left.shoulder, left.elbow, 0.75), left.elbow, on(left.elbow, left.wrist, 0.5)]
                    .into_iter()
                    .enumerate()
            {
                let clear = least_mm(point, solids);
                assert!(
                    clear > 0.8 * sleeve_mm,
                    "{name}: point {k} of the neck arm {clear:.0} mm from the {what}"
                );
            }
        }
        for solid in player
            .mannequin
            .still
            .solids
            .iter()
            .filter(|s| matches!(s.material, Material::Varnish | Material::Ebony))
        {
            // It rests on cloth and flesh, which give way; the chin on its rest.
            for (what, solids, most) in [("trunk", &trunk, 26.0), ("legs", &legs, 12.0), ("head", &head, 9.0)]
            {
                let depths = solid.mesh.points.iter().step_by(5).map(|point| -least_mm(*point, solids));
                let deepest = depths.fold(0.0, f64::max);
                assert!(deepest <= most, "{name}: {:?} {deepest:.0} mm inside the {what}", solid.material);
            }
        }
    }
}

#[test]
fn the_order_of_the_levels_is_never_reversed() {
    for (name, setup) in setups() {
        let fan = LevelFan::new(&setup.instrument);
        let arm = Arm::new(&setup, &fan);
        let up = if setup.instrument.family.on_shoulder() { 1.0 } else { -1.0 };
        for k in 0..=20 {
            let hair = f64::from(k) / 20.0 * arm.hair_mm();
            let within = |pose: &&ArmPose| pose.short_by_mm == 0.0;
            let heights: Vec<f64> =
                arm.poses(hair).iter().filter(within).map(|pose| up * pose.elbow.z).collect();
            let ordered = heights.windows(2).all(|two| two[1] > two[0]);
            assert!(ordered, "{name}, {k}/20 of the hair: {heights:.1?}");
        }
    }
}
