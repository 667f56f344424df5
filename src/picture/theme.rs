//! Colour roles and what they look like.

use crate::figure::{Dot, Material};

/// The role a colour plays. Every role that carries meaning differs from its neighbours in line
/// style or shape too, so that nothing depends on colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ink {
    /// Background.
    Paper,
    /// A surface raised from the background.
    Panel,
    /// Notes and words.
    Text,
    /// Words and marks of second rank.
    Faint,
    /// Grid lines.
    Rule,
    /// Staff lines.
    Staff,
    /// The planned way of the bow.
    Plan,
    /// Where the bow may be.
    Corridor,
    /// The way of the bow into a run-out, without looking ahead.
    Ghost,
    /// What does not work.
    Warn,
    /// The present moment.
    Now,
    /// Levels of the bow arm.
    Level,
    /// The stick, the bridge.
    Wood,
    /// The frog.
    Ebony,
    /// The hair.
    Hair,
    /// What the user has chosen.
    Selected,
    /// What a teacher writes over the notes.
    Pencil,
}

impl Ink {
    /// All roles.
    pub const ALL: [Self; 17] = [
        Self::Paper,
        Self::Panel,
        Self::Text,
        Self::Faint,
        Self::Rule,
        Self::Staff,
        Self::Plan,
        Self::Corridor,
        Self::Ghost,
        Self::Warn,
        Self::Now,
        Self::Level,
        Self::Wood,
        Self::Ebony,
        Self::Hair,
        Self::Selected,
        Self::Pencil,
    ];
}

/// A line style.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Long dashes.
    Dashed,
    /// Dots.
    Dotted,
}

impl Dash {
    /// Lengths drawn and left out, mm, for a line of this width; none for an unbroken line.
    pub fn lengths_mm(self, width_mm: f64) -> Option<[f64; 2]> {
        match self {
            Self::Solid => None,
            Self::Dashed => Some([(5.0 * width_mm).max(1.2), (3.2 * width_mm).max(0.8)]),
            Self::Dotted => Some([(1.2 * width_mm).max(0.25), (2.6 * width_mm).max(0.7)]),
        }
    }
}

/// A line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Colour role.
    pub ink: Ink,
    /// Width, mm.
    pub width_mm: f64,
    /// Style.
    pub dash: Dash,
}

impl Pen {
    /// An unbroken line.
    pub const fn solid(ink: Ink, width_mm: f64) -> Self {
        Self { ink, width_mm, dash: Dash::Solid }
    }

    /// A dashed line.
    pub const fn dashed(ink: Ink, width_mm: f64) -> Self {
        Self { ink, width_mm, dash: Dash::Dashed }
    }

    /// A dotted line.
    pub const fn dotted(ink: Ink, width_mm: f64) -> Self {
        Self { ink, width_mm, dash: Dash::Dotted }
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stroke {
    pub rgb: Rgb,
    pub width_mm: f64,
    /// Lengths drawn and left out, mm; none for an unbroken line.
    pub dash_mm: Option<[f64; 2]>,
    /// What is drawn of it has round ends.
    pub is_round: bool,
}

/// A colour: red, green, blue in sRGB.
pub type Rgb = [u8; 3];

/// What the roles look like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Theme {
    /// Name, in lower case.
    pub name: &'static str,
    colours: [Rgb; Ink::ALL.len()],
    /// Factor on line widths: a projector needs wider lines.
    pub line_factor: f64,
    /// The ground of a file is clear, for a picture that is laid on something else; otherwise it is paper.
    pub is_clear: bool,
}

const fn rgb(hex: u32) -> Rgb {
    [(hex >> 16) as u8, (hex >> 8) as u8, hex as u8]
}

impl Theme {
    /// Dark on warm white, for a screen in daylight.
    pub const LIGHT: Self = Self {
        name: "light",
        colours: [
            rgb(0xfdfcf9), // Paper
            rgb(0xf3f1ec), // Panel
            rgb(0x1f2329), // Text
            rgb(0x5f656d), // Faint
            rgb(0xd6d8da), // Rule
            rgb(0x6c7076), // Staff
            rgb(0x0b5aa2), // Plan
            rgb(0xd9e7f4), // Corridor
            rgb(0x5b5f66), // Ghost
            rgb(0xb8410c), // Warn
            rgb(0xe2a100), // Now
            rgb(0x17637a), // Level
            rgb(0x7a4a26), // Wood
            rgb(0x2a2726), // Ebony
            rgb(0x968f84), // Hair
            rgb(0x0b5aa2), // Selected
            rgb(0x6a4488), // Pencil
        ],
        line_factor: 1.0,
        is_clear: false,
    };

    /// Light on dark, for a screen in a dark room.
    pub const DARK: Self = Self {
        name: "dark",
        colours: [
            rgb(0x16191d), // Paper
            rgb(0x20242a), // Panel
            rgb(0xe9e7e1), // Text
            rgb(0x9aa1aa), // Faint
            rgb(0x353b43), // Rule
            rgb(0x858b93), // Staff
            rgb(0x6fb4f2), // Plan
            rgb(0x233a52), // Corridor
            rgb(0xaab0b8), // Ghost
            rgb(0xff9152), // Warn
            rgb(0xf5c242), // Now
            rgb(0x6cc7d9), // Level
            rgb(0xb98355), // Wood
            rgb(0x4a4644), // Ebony
            rgb(0xbdb6aa), // Hair
            rgb(0x6fb4f2), // Selected
            rgb(0xc9a9ea), // Pencil
        ],
        line_factor: 1.0,
        is_clear: false,
    };

    /// Strong contrast and wide lines, to be read from the back of a room.
    pub const PROJECTOR: Self = Self {
        name: "projector",
        colours: [
            rgb(0xffffff), // Paper
            rgb(0xf2f2f2), // Panel
            rgb(0x000000), // Text
            rgb(0x44494f), // Faint
            rgb(0xb9bdc2), // Rule
            rgb(0x303338), // Staff
            rgb(0x00489a), // Plan
            rgb(0xbfdcf7), // Corridor
            rgb(0x2c2f33), // Ghost
            rgb(0xc23a00), // Warn
            rgb(0xf0a500), // Now
            rgb(0x00566b), // Level
            rgb(0x6a3a15), // Wood
            rgb(0x111111), // Ebony
            rgb(0x77706a), // Hair
            rgb(0x00489a), // Selected
            rgb(0x5a2386), // Pencil
        ],
        line_factor: 1.5,
        is_clear: false,
    };

    /// For paper, still readable when printed in grey.
    pub const PRINT: Self = Self {
        name: "print",
        colours: [
            rgb(0xffffff), // Paper
            rgb(0xf4f4f2), // Panel
            rgb(0x000000), // Text
            rgb(0x555a60), // Faint
            rgb(0xcccfd2), // Rule
            rgb(0x33363a), // Staff
            rgb(0x0a4f90), // Plan
            rgb(0xdce8f3), // Corridor
            rgb(0x44484d), // Ghost
            rgb(0xa93a08), // Warn
            rgb(0xa06c00), // Now
            rgb(0x155a6e), // Level
            rgb(0x6f4321), // Wood
            rgb(0x222020), // Ebony
            rgb(0x857e74), // Hair
            rgb(0x0a4f90), // Selected
            rgb(0x5a3d75), // Pencil
        ],
        line_factor: 1.0,
        is_clear: false,
    };

    /// The colour of a dot of the figure. On a dark ground its contours are darker still, so that the
    /// figure stands out by its tones.
    pub fn dot(&self, dot: Dot) -> Rgb {
        // Light on the surface, half in the shade, in the shade. Assumed.
        const TONES: [f64; 3] = [1.0, 0.85, 0.68];
        let dark = self.is_dark();
        match dot {
            Dot::Clear => self.rgb(Ink::Paper),
            Dot::Line => rgb(if dark { 0x08090b } else { 0x2b2a30 }),
            Dot::Tone(material, tone) => {
                let dim = TONES[usize::from(tone).min(2)] * if dark { 0.92 } else { 1.0 };
                self.material(material).map(|part| (f64::from(part) * dim) as u8)
            }
        }
    }

    /// The same on a clear ground.
    #[must_use]
    pub const fn clear(self) -> Self {
        Self { is_clear: true, ..self }
    }

    /// How a line drawn with a pen looks.
    pub(super) fn stroke(&self, pen: &Pen) -> Stroke {
        let width_mm = pen.width_mm * self.line_factor;
        let dash_mm = pen.dash.lengths_mm(width_mm);
        Stroke { rgb: self.rgb(pen.ink), width_mm, dash_mm, is_round: pen.dash == Dash::Dotted }
    }

    fn is_dark(&self) -> bool {
        let [paper, text] =
            [Ink::Paper, Ink::Text].map(|ink| self.rgb(ink).map(u32::from).iter().sum::<u32>());
        paper < text
    }

    /// The colour of a material in full light: the bow arm in the colour of the plan, the arm held against
    /// it in another, everything else quiet.
    fn material(&self, material: Material) -> Rgb {
        rgb(match material {
            Material::Skin => 0xf0cfb4,
            Material::Blush => 0xb96b5c,
            Material::Hair => 0x6a564b,
            Material::EyeWhite => 0xffffff,
            Material::Pupil => 0x2a2624,
            Material::Shirt => 0xdfe3ea,
            Material::Sleeve => 0x4f8fd6,
            Material::OtherSleeve => 0xe0b468,
            Material::OtherHand => 0xf3dfc4,
            Material::OtherBow => 0xa9937b,
            Material::Trousers => 0x7d8695,
            Material::Shoes => 0x544d4a,
            Material::Varnish => 0xd29355,
            Material::Maple => 0xeccf9a,
            Material::Ebony => {
                if self.is_dark() {
                    0x4d4643
                } else {
                    0x3a3533
                }
            }
            Material::Stick => {
                if self.is_dark() {
                    0xa2623a
                } else {
                    0x7a4222
                }
            }
            Material::BowHair => return self.rgb(Ink::Hair),
            Material::Metal => 0xb4b6ba,
            Material::Seat => 0xb5a490,
            Material::Floor => return self.rgb(Ink::Panel),
        })
    }

    /// All themes.
    pub const ALL: [Self; 4] = [Self::LIGHT, Self::DARK, Self::PROJECTOR, Self::PRINT];

    /// The colour of a role.
    pub fn rgb(&self, ink: Ink) -> Rgb {
        self.colours[ink as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast ratio of two colours by WCAG 2.1: (L1 + 0.05) / (L2 + 0.05) with the relative
    /// luminance of sRGB (W3C, Web Content Accessibility Guidelines 2.1, definitions).
    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let luminance = |colour: Rgb| {
            let [r, g, b] = colour.map(|channel| {
                let c = f64::from(channel) / 255.0;
                if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            });
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.1, success criterion 1.4.3: text 4.5:1; 1.4.11: graphics 3:1.
    #[test]
    fn every_theme_has_the_contrast_that_wcag_asks_for() {
        for theme in Theme::ALL {
            for (ink, least) in [
                (Ink::Text, 4.5),
                (Ink::Faint, 4.5),
                (Ink::Warn, 4.5),
                (Ink::Pencil, 4.5),
                (Ink::Plan, 3.0),
                (Ink::Ghost, 3.0),
                (Ink::Level, 3.0),
                (Ink::Staff, 3.0),
            ] {
                for ground in [Ink::Paper, Ink::Panel] {
                    let ratio = contrast(theme.rgb(ink), theme.rgb(ground));
                    assert!(ratio >= least, "{} {ink:?} on {ground:?}: {ratio:.2}", theme.name);
                }
            }
            assert!(contrast(theme.rgb(Ink::Plan), theme.rgb(Ink::Corridor)) >= 3.0, "{}", theme.name);
        }
    }

    #[test]
    fn roles_are_numbered_as_listed() {
        for (index, ink) in Ink::ALL.into_iter().enumerate() {
            assert_eq!(ink as usize, index);
        }
    }
}
