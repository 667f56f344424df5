//! What each panel keeps for itself from frame to frame. A panel changes its own part alone.

use crate::desk::{
    arm::{class::ClassDesk, shown::ArmDesk, together::TogetherDesk},
    book::window::BookWindow,
    bowing::suggest::SuggestView,
    command::list::KeyList,
    file::{left::LeftWindow, versions::VersionsWindow},
    film::FilmWindow,
    handout::HandoutDesk,
    play::settings::PlaySettings,
    setup::window::SetupWindow,
    stand::StandDesk,
    state::{findings::FindingsView, pencil::PencilView, wording::WordingView},
    tempo::{curves::CurvesView, ladder::LadderView},
    writing::{
        ask::AskWindow, exercises::ExercisesWindow, piece::PieceWindow, scale::ScaleWindow, typing::Writing,
        warm_up::WarmUpWindow,
    },
};

/// The panels' own states.
#[derive(Default)]
pub struct Panels {
    /// How the findings are shown.
    pub findings: FindingsView,
    /// How the pencil marks are listed.
    pub pencil: PencilView,
    /// How the passage in words is listed.
    pub wording: WordingView,
    /// How the arm is shown.
    pub arm: ArmDesk,
    /// What a class is shown.
    pub class: ClassDesk,
    /// How one steps at the music stand.
    pub stand: StandDesk,
    /// The notes looked at together.
    pub together: TogetherDesk,
    /// What is open of the handout.
    pub handout: HandoutDesk,
    /// Exercises from the passage.
    pub exercises: ExercisesWindow,
    /// The warm-up for the piece.
    pub warm_up: WarmUpWindow,
    /// The moving picture that is put together.
    pub film: FilmWindow,
    /// What is asked of the search.
    pub suggest: SuggestView,
    /// The drawing of the tempo ladder.
    pub ladder: LadderView,
    /// Which curve is shown.
    pub curves: CurvesView,
    /// What the next typed note will be.
    pub writing: Writing,
    /// What is sought among the keys.
    pub keys: KeyList,
    /// The piece and its bars.
    pub piece: PieceWindow,
    /// Where to go, and by which interval to move.
    pub ask: AskWindow,
    /// A scale to begin with.
    pub scale: ScaleWindow,
    /// The set-up window.
    pub setup: SetupWindow,
    /// Unsaved work that was left.
    pub left: LeftWindow,
    /// The lesson book.
    pub book: BookWindow,
    /// Versions saved before.
    pub versions: VersionsWindow,
    /// What sounds and how it is counted.
    pub play: PlaySettings,
}

impl Panels {
    /// One of the windows about the music waits for an answer: all keys are for it.
    pub fn asks(&self) -> bool {
        self.piece.is_open()
            || self.ask.is_open()
            || self.scale.is_open()
            || self.film.is_open()
            || self.exercises.is_open()
            || self.warm_up.is_open()
    }

    /// Forgets what belongs to one lesson, when another comes on the desk.
    pub fn another_lesson(&mut self) {
        self.findings = FindingsView { by_time: self.findings.by_time, ..FindingsView::default() };
        self.pencil = PencilView::default();
        self.wording = WordingView::default();
        self.arm = ArmDesk::default();
        self.class = ClassDesk::default();
        self.together = TogetherDesk::default();
        self.handout = HandoutDesk::default();
        self.film = FilmWindow::default();
        self.exercises = ExercisesWindow::default();
        self.warm_up.close();
        self.versions = VersionsWindow::default();
        self.piece = PieceWindow::default();
        self.ask = AskWindow::default();
        self.scale = ScaleWindow::default();
        self.writing = Writing::default();
    }
}
