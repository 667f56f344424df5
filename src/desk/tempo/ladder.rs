//! The tempo ladder over the whole part: what works at which tempo. Computed in the background.

use std::sync::Arc;

use egui::{
    CollapsingHeader, Context, CursorIcon, Label, ProgressBar, Rect, RichText, Role, ScrollArea, Sense,
    Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};

use crate::{
    advice::{Ladder, LadderPlace, ladder, ladder_shares},
    analysis::Study,
    lesson::{Lesson, change},
    picture::{Ink, TempoLadder, tempo_ladder},
    score::sentence_case,
};

use crate::desk::{
    bowing::suggest::close_ui,
    command::Command,
    music::panel::gesture,
    state::offer::serial,
    widgets::painter::{Scale, ScreenPainter, colour},
    widgets::theme::{Look, bold},
    work::job::Job,
    work::remedies::About,
};

/// The lesson must stand still so long before a ladder is begun, s. Assumed.
const CALM_S: f64 = 0.3;
/// Progress is told when it has grown by this much.
const NOTABLE: f64 = 0.01;
/// What the signs of the ladder say.
const LEGEND: &str = "hatched: runs out · hatched both ways: cannot be played · ring: tight · drag the line to set the practice tempo";
/// Width of the list beside the ladder, as a share of the panel.
const LIST: f32 = 0.27;

enum Found {
    Part(f64),
    Ladder(Box<Ladder>),
}

/// The ladder of the lesson. It does not depend on the practice tempo.
#[derive(Default)]
pub struct LadderState {
    generation: u64,
    changed_s: f64,
    about: Option<Arc<Lesson>>,
    job: Option<Job<Found>>,
    done_part: f64,
    ladder: Option<Ladder>,
    drawn: Option<(u64, TempoLadder, Vec<Shape>, f32)>,
}

impl LadderState {
    /// The ladder, once it is there.
    pub fn ladder(&self) -> Option<&Ladder> {
        self.ladder.as_ref()
    }

    /// Takes in what was found, and begins anew when the lesson has changed in more than its
    /// practice tempo. Call it every frame while the ladder is shown.
    pub fn turn(&mut self, about: &About<'_>, now_s: f64, ctx: &Context) {
        if about.generation != self.generation {
            self.generation = about.generation;
            self.changed_s = now_s;
            if self.about.as_ref().is_some_and(|known| !same_but_tempo(known, about.lesson)) {
                *self = Self { generation: self.generation, changed_s: now_s, ..Self::default() };
            }
        }
        while let Some(found) = self.job.as_mut().and_then(Job::next) {
            match found {
                Found::Part(part) => self.done_part = part,
                Found::Ladder(ladder) => self.ladder = Some(*ladder),
            }
        }
        if self.job.as_ref().is_some_and(Job::is_over) {
            self.job = None;
        }
        if self.about.is_some() {
            return;
        }
        let calm_in = self.changed_s + CALM_S - now_s;
        if calm_in > 0.0 {
            ctx.request_repaint_after(std::time::Duration::from_secs_f64(calm_in));
            return;
        }
        let lesson = Arc::new(about.lesson.clone());
        self.about = Some(Arc::clone(&lesson));
        self.job = Job::start("tempo ladder", ctx, move |line| {
            let study = Study::new(lesson);
            let mut told = 0.0;
            let found = ladder(&study, &ladder_shares(), &mut |part| {
                if part >= told + NOTABLE {
                    told = part;
                    line.send(Found::Part(part));
                }
                line.is_wanted()
            });
            if let Some(ladder) = found {
                line.send(Found::Ladder(Box::new(ladder)));
            }
        });
    }

    /// Gives up what is under way, when the ladder is put away.
    pub fn rest(&mut self) {
        if self.job.take().is_some() {
            self.about = None;
        }
    }
}

fn same_but_tempo(a: &Lesson, b: &Lesson) -> bool {
    let mut a = a.clone();
    a.setup.tempo_share = b.setup.tempo_share;
    a == *b
}

/// What the panel reads.
pub struct LadderInput<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// The playhead, quarter notes from the start.
    pub now_quarters: f64,
    /// Colours.
    pub look: Look,
    /// Points in a millimetre of the music above.
    pub points_per_mm: f32,
}

/// Draws the panel.
pub fn ladder_ui(
    ui: &mut Ui,
    input: &LadderInput<'_>,
    state: &mut LadderState,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            close_ui(ui, commands);
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                if state.job.is_some() {
                    let bar =
                        ProgressBar::new(state.done_part as f32).desired_width(140.0).desired_height(14.0);
                    ui.add(bar).on_hover_text("Part of the tempos tried");
                } else {
                    ui.add(Label::new(RichText::new(LEGEND).weak()).truncate()).on_hover_text(LEGEND);
                }
            });
        });
    });
    let room = ui.available_rect_before_wrap();
    let split = room.right() - room.width() * LIST;
    let plot = room.with_max_x(split - 12.0);
    let side = room.with_min_x(split);
    let LadderState { ladder: Some(ladder), drawn, .. } = state else {
        ui.painter().text(
            plot.center(),
            egui::Align2::CENTER_CENTER,
            "The part is planned at every tempo from half to a little above the marked one.",
            egui::TextStyle::Body.resolve(ui.style()),
            colour(input.look.theme(), Ink::Faint),
        );
        ui.advance_cursor_after_rect(room);
        return;
    };
    plot_ui(ui, input, ladder, drawn, plot, painter, commands);
    let mut list = ui.new_child(egui::UiBuilder::new().max_rect(side).id_salt("slow"));
    list_ui(&mut list, ladder, commands);
    ui.advance_cursor_after_rect(room);
}

fn plot_ui(
    ui: &Ui,
    input: &LadderInput<'_>,
    ladder: &Ladder,
    drawn: &mut Option<(u64, TempoLadder, Vec<Shape>, f32)>,
    rect: Rect,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    let theme = input.look.theme();
    let points_per_mm = input.points_per_mm;
    let edges = [rect.left(), rect.top(), rect.right(), rect.bottom(), points_per_mm].map(f32::to_bits);
    let bars = input.lesson.score.bars.len();
    let key = serial((
        edges,
        input.look.words(),
        bars,
        ladder.spots.len(),
        ladder.rungs.iter().map(|r| r.spots.len()).collect::<Vec<_>>(),
    ));
    if drawn.as_ref().is_none_or(|drawn| drawn.0 != key) {
        let size = rect.size() / points_per_mm;
        let made = tempo_ladder(input.lesson, ladder, f64::from(size.x), f64::from(size.y));
        let scale = Scale { origin: rect.min, points_per_mm };
        let shapes = painter.shapes(ui.ctx(), &made.picture, scale, theme, &|_| None);
        *drawn = Some((key, made, shapes, points_per_mm));
    }
    let Some((_, made, shapes, _)) = drawn else { return };
    let scale = Scale { origin: rect.min, points_per_mm };
    let painted = ui.painter_at(rect);
    painted.extend(shapes.iter().cloned());

    // The playhead, and the practice tempo as a line to drag.
    let score = &input.lesson.score;
    let bar = score.bar_at(crate::score::Quarters::from_f64(input.now_quarters)).unwrap_or(0);
    let into = score.bars.get(bar).map_or(0.0, |bar| {
        ((input.now_quarters - bar.start.to_f64()) / bar.length.to_f64().max(1e-9)).clamp(0.0, 1.0)
    });
    let (top, foot) = (scale.pos((0.0, made.ends.0)).y, scale.pos((0.0, made.ends.1)).y);
    let x = scale.pos((made.x(bar as f64 + into), 0.0)).x;
    painted.vline(x, top..=foot, Stroke::new(1.5, colour(theme, Ink::Now)));
    let share = input.lesson.setup.tempo_share;
    let y = scale.pos((0.0, made.y(share))).y;
    let (left, right) = (scale.pos((made.sides.0, 0.0)).x, scale.pos((made.sides.1, 0.0)).x);

    let area = Rect::from_min_max(pos2(left, top), pos2(right, foot));
    let ground = ui.interact(area, ui.scope_id().with("ladder"), Sense::click());
    ground.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "What works at which tempo"));
    if let Some(pos) = ground.hover_pos() {
        let place = made.bars_at(scale.mm(pos).x);
        if ground.clicked() {
            commands.push(Command::Bar(place.0));
        }
        ground
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_text_at_pointer(words_at(input, ladder, place));
    }
    let grip = Rect::from_min_max(pos2(left, y - 5.0), pos2(right, y + 5.0));
    let line = ui
        .interact(grip, ui.scope_id().with("tempo line"), Sense::drag())
        .on_hover_cursor(CursorIcon::ResizeVertical);
    let percent = format!("{:.0} %", share * 100.0);
    line.widget_info(|| {
        WidgetInfo::labeled(Role::Slider, true, format!("Practice tempo on the ladder, {percent}"))
    });
    let held = line.hovered() || line.dragged();
    let ink = colour(theme, Ink::Text);
    painted.hline(left..=right, y, Stroke::new(if held { 2.5 } else { 1.6 }, ink));
    let tag = painted.layout_no_wrap(
        percent,
        egui::TextStyle::Small.resolve(ui.style()),
        colour(theme, Ink::Paper),
    );
    let at = pos2(right - tag.size().x - 8.0, y - 0.5 * tag.size().y);
    painted.rect_filled(Rect::from_min_size(at, tag.size()).expand2(vec2(5.0, 1.0)), 3.0, ink);
    painted.galley(at, tag, ink);
    // In the frame in which it is let go the pointer has no press to be one step with.
    if line.dragged()
        && ui.input(|input| input.pointer.primary_down())
        && let Some(pos) = line.interact_pointer_pos()
    {
        let wanted = (made.share(scale.mm(pos).y) * 100.0).round() / 100.0;
        if (wanted - share).abs() > 1e-6 {
            let edit = change::set_tempo_share(input.lesson, wanted);
            commands.push(Command::Edit(Box::new(edit), Some(gesture(ui, "tempo line"))));
        }
    }
}

/// What does not work in some bars, in words.
fn words_at(input: &LadderInput<'_>, ladder: &Ladder, (first, end): (usize, usize)) -> String {
    let score = &input.lesson.score;
    let end = end.min(score.bars.len());
    let sections = score.bar_sections();
    let name = |bar: usize| score.bar_name(bar, &sections);
    let mut words = sentence_case(&name(first).words_to(&name(end.saturating_sub(1).max(first))));
    let spots: Vec<_> =
        ladder.spots.iter().filter(|spot| spot.bars.0 < end && spot.bars.1 >= first).collect();
    for spot in spots.iter().take(6) {
        words.push_str(&format!("\n{}: {}", spot.place, spot.words));
    }
    match spots.len() {
        0 => words.push_str("\nWorks at every tempo tried"),
        n if n > 6 => words.push_str(&format!("\nand {} more", n - 6)),
        _ => {}
    }
    words
}

/// What to practise slowly in another way, and where tempo decides.
fn list_ui(ui: &mut Ui, ladder: &Ladder, commands: &mut Vec<Command>) {
    ScrollArea::vertical().id_salt("slow practice").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.label(bold("In slow practice"));
        if ladder.slow.is_empty() {
            note_ui(ui, "Every stroke can be played slowly as it is.");
        }
        for slow in &ladder.slow {
            group_ui(ui, &slow.places, &slow.words, commands);
        }
        let (always, edges): (Vec<_>, Vec<_>) = ladder.groups.iter().partition(|group| group.always);
        if !always.is_empty() {
            ui.add_space(4.0);
            ui.label(bold("At every tempo"));
        }
        for group in always {
            group_ui(ui, &group.places, &group.words, commands);
        }
        ui.add_space(4.0);
        ui.label(bold("Where the tempo decides"));
        if edges.is_empty() {
            note_ui(ui, "Nowhere between half and a little above the marked tempo.");
        }
        for group in edges {
            group_ui(ui, &group.places, &group.words, commands);
        }
    });
}

fn note_ui(ui: &mut Ui, words: &str) {
    ui.add(Label::new(RichText::new(words).weak()).wrap());
}

/// More places than this are folded at first. Assumed.
const SHOWN_PLACES: usize = 12;

/// What is to be said, and of which bars, each leading there.
fn group_ui(ui: &mut Ui, places: &[LadderPlace], words: &str, commands: &mut Vec<Command>) {
    note_ui(ui, &sentence_case(words));
    let mut links = |ui: &mut Ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(8.0, 1.0);
            for place in places {
                if ui.link(sentence_case(&place.words)).on_hover_text("Go there").clicked() {
                    commands.push(Command::Note(place.event));
                }
            }
        });
    };
    if places.len() > SHOWN_PLACES {
        let title = format!("{} places", places.len());
        CollapsingHeader::new(title).id_salt(words).show(ui, links);
    } else {
        links(ui);
    }
}
