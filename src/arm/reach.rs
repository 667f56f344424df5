//! Two links, upper arm and forearm, between a shoulder and a wrist.

use super::Vec3;

/// Upper arm and forearm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Links {
    /// Shoulder to elbow, mm.
    pub upper_mm: f64,
    /// Elbow to wrist, mm.
    pub fore_mm: f64,
}

impl Links {
    /// How far the elbow is bent when shoulder and wrist are `distance_mm` apart, degrees from
    /// straight: 180 - acos((a² + b² - d²) / 2ab), the cosine rule. None out of reach.
    pub fn flexion_deg(self, distance_mm: f64) -> Option<f64> {
        let (a, b) = (self.upper_mm, self.fore_mm);
        let within = (a - b).abs()..=a + b;
        within.contains(&distance_mm).then(|| {
            let cos = (a * a + b * b - distance_mm * distance_mm) / (2.0 * a * b);
            180.0 - cos.clamp(-1.0, 1.0).acos().to_degrees()
        })
    }

    /// Distance from shoulder to wrist with the elbow bent so far, mm: the cosine rule again.
    pub fn distance_mm(self, flexion_deg: f64) -> f64 {
        let (a, b) = (self.upper_mm, self.fore_mm);
        (a * a + b * b + 2.0 * a * b * flexion_deg.to_radians().cos()).max(0.0).sqrt()
    }

    /// The circle on which the elbow can lie: distance of its centre from the shoulder along the
    /// line to the wrist, and its radius, mm. Two spheres meet in it. A wrist out of reach counts
    /// as at the nearest reachable distance.
    pub fn circle_mm(self, distance_mm: f64) -> (f64, f64) {
        let (a, b) = (self.upper_mm, self.fore_mm);
        let d = distance_mm.clamp((a - b).abs(), a + b).max(1e-9);
        let along = (a * a - b * b + d * d) / (2.0 * d);
        (along.clamp(-a, a), (a * a - along * along).max(0.0).sqrt())
    }

    /// The circle's place in the room for a shoulder and a wrist.
    pub fn elbow_circle(self, shoulder: Vec3, wrist: Vec3, outward: Vec3) -> ElbowCircle {
        let axis = (wrist - shoulder).unit_or(Vec3::DOWN);
        let (along, radius_mm) = self.circle_mm((wrist - shoulder).length());
        // Straight up or down every elbow height is the same; any direction will do.
        let lowest = Vec3::DOWN.across(axis).unit_or(outward.across(axis).unit_or(Vec3::new(1.0, 0.0, 0.0)));
        let side = axis.cross(lowest);
        let side = if side.dot(outward) < 0.0 { -side } else { side };
        ElbowCircle { centre: shoulder + axis * along, radius_mm, lowest, side }
    }
}

/// Where the elbow can lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ElbowCircle {
    /// Centre.
    pub centre: Vec3,
    /// Radius, mm.
    pub radius_mm: f64,
    /// From the centre to the lowest place, length 1.
    pub lowest: Vec3,
    /// At a right angle to it, on the outer side, length 1.
    pub side: Vec3,
}

impl ElbowCircle {
    /// The elbow turned outward from its lowest place by the swivel, degrees.
    pub fn at(self, swivel_deg: f64) -> Vec3 {
        let (sin, cos) = swivel_deg.to_radians().sin_cos();
        self.centre + (self.lowest * cos + self.side * sin) * self.radius_mm
    }

    /// The swivel that brings the elbow to a height, or as near to it as it comes, on the side of another
    /// swivel, degrees.
    pub fn at_height(self, z: f64, side_of_deg: f64) -> f64 {
        // From the lowest place up the height grows with 1 - cos; the side is level.
        let cos = (z - self.centre.z) / (self.radius_mm * self.lowest.z).min(-1e-9);
        let swivel = cos.clamp(-1.0, 1.0).acos().to_degrees();
        if side_of_deg.to_radians().sin() < 0.0 { -swivel } else { swivel }
    }

    /// The swivel that brings the elbow into the plane through `point` with this normal, degrees. Of
    /// the two places where circle and plane meet the one farther along `outward`; where they do not
    /// meet, the nearest.
    pub fn swivel_into(self, point: Vec3, normal: Vec3, outward: Vec3) -> f64 {
        let (a, b) = (self.lowest.dot(normal) * self.radius_mm, self.side.dot(normal) * self.radius_mm);
        let wanted = (point - self.centre).dot(normal);
        let size = a.hypot(b);
        if size < 1e-9 {
            return 0.0;
        }
        // a cos(s) + b sin(s) = wanted.
        let (middle, half) = (b.atan2(a), (wanted / size).clamp(-1.0, 1.0).acos());
        let one = (middle + half).to_degrees();
        let other = (middle - half).to_degrees();
        let out = |swivel| self.at(swivel).dot(outward);
        if out(one) >= out(other) { one } else { other }
    }
}
