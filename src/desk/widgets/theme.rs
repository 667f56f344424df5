//! Looks of the window: colours from the theme of the pictures, sizes of type, the bundled fonts.

use std::sync::Arc;

use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, FontTweak, Stroke,
    TextStyle, Visuals, style::WidgetVisuals,
};
use serde::{Deserialize, Serialize};
use strum::EnumIter;

use crate::picture::{Ink, Theme, glyph};

use crate::desk::widgets::painter::colour;

/// How the window looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, EnumIter, Serialize, Deserialize)]
pub enum Look {
    /// Dark on warm white.
    #[default]
    Light,
    /// Light on dark.
    Dark,
    /// Large type and wide lines, to be read from the back of a room.
    Projector,
}

impl Look {
    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Light => "Light",
            Self::Dark => "Dark",
            Self::Projector => "Projector",
        }
    }

    /// The next one.
    pub fn next(self) -> Self {
        match self {
            Self::Light => Self::Dark,
            Self::Dark => Self::Projector,
            Self::Projector => Self::Light,
        }
    }

    /// Colours and line widths of pictures.
    pub fn theme(self) -> &'static Theme {
        match self {
            Self::Light => &Theme::LIGHT,
            Self::Dark => &Theme::DARK,
            Self::Projector => &Theme::PROJECTOR,
        }
    }

    /// Factor on the size of type that is to be read from afar.
    pub fn type_factor(self) -> f32 {
        if self == Self::Projector { 1.4 } else { 1.0 }
    }

    /// Factor on the size of controls, which only the hand at the machine needs.
    pub fn control_factor(self) -> f32 {
        if self == Self::Projector { 1.1 } else { 1.0 }
    }

    /// Applies the look to all widgets of a window; `window` is a factor on all sizes.
    pub fn apply(self, ctx: &Context, window: f32) {
        let theme = self.theme();
        let size = window * self.type_factor();
        let controls = window * self.control_factor();
        let visuals = visuals(theme, self == Self::Dark);
        ctx.set_theme(if self == Self::Dark { egui::Theme::Dark } else { egui::Theme::Light });
        ctx.all_styles_mut(|style| {
            style.visuals = visuals.clone();
            let bold = FontFamily::Name("bold".into());
            let sans = FontFamily::Proportional;
            style.text_styles = [
                (TextStyle::Small, FontId::new(11.0 * size, sans.clone())),
                (TextStyle::Body, FontId::new(13.0 * size, sans.clone())),
                (TextStyle::Button, FontId::new(13.0 * controls, sans.clone())),
                (TextStyle::Monospace, FontId::new(13.0 * size, sans)),
                (TextStyle::Heading, FontId::new(16.0 * size, bold)),
            ]
            .into();
            style.spacing.item_spacing = egui::vec2(7.0, 5.0);
            style.spacing.button_padding = egui::vec2(7.0, 3.0);
            style.spacing.interact_size.y = 22.0 * controls;
            style.spacing.slider_width = 110.0;
        });
    }
}

fn visuals(theme: &Theme, dark: bool) -> Visuals {
    let [paper, panel, text, faint, rule, plan, corridor] =
        [Ink::Paper, Ink::Panel, Ink::Text, Ink::Faint, Ink::Rule, Ink::Plan, Ink::Corridor]
            .map(|ink| colour(theme, ink));
    let mut visuals = if dark { Visuals::dark() } else { Visuals::light() };
    let widget = |fill: Color32, edge: Color32, text: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, edge),
        corner_radius: CornerRadius::same(4),
        fg_stroke: Stroke::new(1.2, text),
        expansion: 0.0,
    };
    visuals.widgets.noninteractive = widget(panel, rule, text);
    visuals.widgets.inactive = widget(paper, rule, text);
    visuals.widgets.hovered = widget(paper, plan, text);
    visuals.widgets.active = widget(corridor, plan, text);
    visuals.widgets.open = widget(corridor, plan, text);
    visuals.override_text_color = None;
    visuals.weak_text_color = Some(faint);
    visuals.selection.bg_fill = corridor;
    visuals.selection.stroke = Stroke::new(1.5, plan);
    visuals.slider_trailing_fill = true;
    visuals.window_fill = paper;
    visuals.panel_fill = paper;
    visuals.extreme_bg_color = paper;
    visuals.faint_bg_color = panel;
    visuals.window_stroke = Stroke::new(1.0, rule);
    visuals.hyperlink_color = plan;
    visuals.warn_fg_color = colour(theme, Ink::Warn);
    visuals.error_fg_color = colour(theme, Ink::Warn);
    visuals
}

/// Text in bold type.
pub fn bold(text: impl Into<String>) -> egui::RichText {
    egui::RichText::new(text).family(FontFamily::Name("bold".into()))
}

/// Installs the bundled fonts: text in three faces, with music signs to fall back on.
pub fn install_fonts(ctx: &Context) {
    let mut fonts = FontDefinitions::empty();
    let faces = [
        ("sans", glyph::SANS, FontFamily::Proportional),
        ("bold", glyph::SANS_BOLD, FontFamily::Name("bold".into())),
        ("italic", glyph::SANS_ITALIC, FontFamily::Name("italic".into())),
    ];
    // Notes stand a little larger than letters.
    let tweak = FontTweak { scale: 1.1, ..FontTweak::default() };
    let music = FontData::from_static(glyph::MUSIC).tweak(tweak);
    fonts.font_data.insert("music".to_owned(), Arc::new(music));
    for (name, bytes, family) in faces {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
        fonts.families.insert(family, vec![name.to_owned(), "music".to_owned()]);
    }
    fonts.families.insert(FontFamily::Monospace, vec!["sans".to_owned(), "music".to_owned()]);
    ctx.set_fonts(fonts);
}
