//! What a scene is put together from.

use strum::{EnumCount, VariantArray};

use super::mesh::Mesh;
use crate::{arm::Vec3, score::variants};

/// What a surface is made of; a theme says how that looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumCount, VariantArray)]
pub enum Material {
    /// Skin.
    Skin,
    /// Lips, and what is shaded on the face.
    Blush,
    /// Hair of the head, brows.
    Hair,
    /// The white of the eye.
    EyeWhite,
    /// The pupil.
    Pupil,
    /// Shirt, and the sleeve of the arm at the neck.
    Shirt,
    /// The sleeve of the bow arm.
    Sleeve,
    /// The sleeve of the arm on the level that is held against the first.
    OtherSleeve,
    /// The hand of that arm.
    OtherHand,
    /// The bow in that hand.
    OtherBow,
    /// Trousers.
    Trousers,
    /// Shoes.
    Shoes,
    /// Varnished wood of the instrument.
    Varnish,
    /// Light wood of the bridge.
    Maple,
    /// Fingerboard, tailpiece, pegs, the frog of the bow.
    Ebony,
    /// The stick of the bow.
    Stick,
    /// The hair of the bow.
    BowHair,
    /// Strings, the endpin.
    Metal,
    /// Chair or stool.
    Seat,
    /// The floor under it.
    Floor,
}

impl Material {
    /// All.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);
}

/// One solid: its surface, and how it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// Surface.
    pub mesh: Mesh,
    /// What it is made of.
    pub material: Material,
    /// Solids of one body: no contour where they meet.
    pub body: u16,
    /// The body it grows out of without a contour, as a finger out of the hand.
    pub grows_from: u16,
    /// Its contour is dashed.
    pub dashed: bool,
    /// Left see-through where the player is seen from behind: trunk, back of a chair.
    pub trunk: bool,
}

/// A line too thin to have a surface: a string, the hair seen from its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// One end.
    pub from: Vec3,
    /// The other.
    pub to: Vec3,
    /// Thickness, mm; never drawn thinner than a dot.
    pub thick_mm: f64,
    /// What it is made of.
    pub material: Material,
}

/// Solids and threads of a scene.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Solids {
    /// Solids.
    pub solids: Vec<Solid>,
    /// Threads.
    pub threads: Vec<Thread>,
}

/// Numbers of bodies; what belongs to one has no contour inside. Those that are not listed are given
/// out by [`Solids::add`].
pub(super) mod bodies {
    pub const TRUNK: u16 = 1;
    pub const HEAD: u16 = 2;
    pub const BOW_SLEEVE: u16 = 3;
    pub const OTHER_SLEEVE: u16 = 4;
    pub const LEGS: u16 = 5;
    /// The first of those that are given out.
    pub const FREE: u16 = 16;
}

impl Solids {
    /// Adds a solid that is a body by itself, and gives its number.
    pub(super) fn add(&mut self, material: Material, mesh: Mesh) -> u16 {
        let body = bodies::FREE + self.solids.len() as u16;
        self.part(material, body, mesh);
        body
    }

    /// Adds a solid to a body.
    pub(super) fn part(&mut self, material: Material, body: u16, mesh: Mesh) {
        self.solids.push(Solid { mesh, material, body, grows_from: body, dashed: false, trunk: false });
    }

    /// Adds a solid of its own that grows out of another body.
    pub(super) fn limb(&mut self, material: Material, grows_from: u16, mesh: Mesh) {
        self.add(material, mesh);
        if let Some(last) = self.solids.last_mut() {
            last.grows_from = grows_from;
        }
    }

    /// Adds a thread.
    pub(super) fn thread(&mut self, material: Material, from: Vec3, to: Vec3, thick_mm: f64) {
        self.threads.push(Thread { from, to, thick_mm, material });
    }
}
