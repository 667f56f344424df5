//! Small signs drawn beside words, so that nothing is told by colour alone.

use egui::{
    Color32, Painter, Pos2, Rect, Response, Role, Sense, Shape, Stroke, TextStyle, Ui, WidgetInfo, pos2, vec2,
};

use crate::bowing::Verdict;

/// Makes room for a sign as high as a line of text and draws it there.
pub fn sign_ui(ui: &mut Ui, draw: impl FnOnce(&Painter, Rect)) -> Response {
    let size = ui.text_style_height(&TextStyle::Body);
    let (rect, response) = ui.allocate_exact_size(vec2(size, size), Sense::hover());
    draw(ui.painter(), rect);
    response
}

/// A verdict with how often it is given: "3" beside its sign, the words when pointed at. One thing, so that it goes
/// into the next row where it has no room.
pub fn count_ui(ui: &mut Ui, verdict: Verdict, count: usize, ink: Color32) {
    let words = count_words(verdict, count);
    let font = TextStyle::Body.resolve(ui.style());
    let number = ui.painter().layout_no_wrap(count.to_string(), font, ui.visuals().text_color());
    let side = ui.text_style_height(&TextStyle::Body);
    let size = vec2(side + 2.0 + number.size().x, side.max(number.size().y));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let middle = rect.left_center();
    let sign = Rect::from_min_size(pos2(rect.left(), middle.y - 0.5 * side), vec2(side, side));
    verdict_sign(ui.painter(), sign.shrink(1.5), verdict, ink);
    let at = pos2(rect.right() - number.size().x, middle.y - 0.5 * number.size().y);
    ui.painter().galley(at, number, ink);
    let response = response.on_hover_text(&words);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
}

/// "1 runs out", "2 tight".
pub fn count_words(verdict: Verdict, count: usize) -> String {
    let words = match (verdict, count) {
        (Verdict::Impossible, _) => "cannot be played as marked",
        (Verdict::RunsOut, 1) => "runs out",
        (Verdict::RunsOut, _) => "run out",
        (Verdict::Tight, _) => "tight",
        (Verdict::Notice, _) => "worth a look",
    };
    format!("{count} {words}")
}

/// A cross for what cannot be played, a triangle for what runs out, a diamond for what is tight (the
/// signs of the hair map), a ring for what is worth a look.
pub fn verdict_sign(painter: &Painter, rect: Rect, verdict: Verdict, ink: Color32) {
    let rect = rect.shrink(1.0);
    let stroke = Stroke::new(1.6, ink);
    let c = rect.center();
    match verdict {
        Verdict::Impossible => {
            painter.line_segment([rect.left_top(), rect.right_bottom()], Stroke::new(2.4, ink));
            painter.line_segment([rect.right_top(), rect.left_bottom()], Stroke::new(2.4, ink));
        }
        Verdict::RunsOut => {
            let corners: Vec<Pos2> = vec![rect.left_bottom(), pos2(c.x, rect.top()), rect.right_bottom()];
            painter.add(Shape::closed_line(corners, stroke));
            let u = rect.height() / 12.0;
            painter.line_segment([c + vec2(0.0, -1.5 * u), c + vec2(0.0, 2.2 * u)], stroke);
            painter.circle_filled(c + vec2(0.0, 4.2 * u), 0.9 * u, ink);
        }
        Verdict::Tight => {
            let r = rect.width() / 2.8;
            let corners = vec![c + vec2(0.0, -r), c + vec2(r, 0.0), c + vec2(0.0, r), c + vec2(-r, 0.0)];
            painter.add(Shape::closed_line(corners, stroke));
        }
        Verdict::Notice => {
            painter.circle_stroke(c, rect.width() / 3.6, stroke);
        }
    }
}

/// What a change does, as a sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HelpSign {
    /// The finding is gone.
    Cures,
    /// Less is missing, or it is heard less.
    Helps,
}

impl HelpSign {
    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Cures => "cures it",
            Self::Helps => "helps",
        }
    }
}

/// A check mark for a cure, an arrow upward for what helps.
pub fn help_sign(painter: &Painter, rect: Rect, help: HelpSign, ink: Color32) {
    let rect = rect.shrink(3.0);
    let c = rect.center();
    match help {
        HelpSign::Cures => {
            let line = vec![
                pos2(rect.left(), c.y + 0.05 * rect.height()),
                pos2(rect.left() + 0.38 * rect.width(), rect.bottom() - 1.0),
                pos2(rect.right(), rect.top() + 1.0),
            ];
            painter.add(Shape::line(line, Stroke::new(2.2, ink)));
        }
        HelpSign::Helps => {
            painter.line_segment([pos2(c.x, rect.bottom()), pos2(c.x, rect.top())], Stroke::new(1.8, ink));
            let r = 0.36 * rect.width();
            let (left, right) = (pos2(c.x - r, rect.top() + r), pos2(c.x + r, rect.top() + r));
            painter.add(Shape::line(vec![left, pos2(c.x, rect.top()), right], Stroke::new(1.8, ink)));
        }
    }
}

/// A small triangle: something else becomes worse.
pub fn worse_sign(painter: &Painter, rect: Rect, ink: Color32) {
    verdict_sign(painter, rect.shrink(1.5), Verdict::RunsOut, ink);
}
