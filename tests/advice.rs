//! What advice promises, checked by analysing the changed lesson anew.

use elbowroom::{
    advice::{Remedy, Standing, marks_changed, remedies, trials, try_out},
    analysis::{Analysis, analyse},
    bowing::{Finding, Verdict},
    lesson::{
        Edit, EditError, Lesson,
        change::{hair_pin, insert, keep_bowing, new_passage, set_dynamic, set_slur},
        demo::demo,
    },
    score::{Dynamic, EventId, NoteValue, Pitch, Quarters, Step, TimeSignature},
    setup::Family,
};

const QUARTER: NoteValue = NoteValue::QUARTER;
const WHOLE: NoteValue = NoteValue::plain(0);
const DOTTED_HALF: NoteValue = NoteValue { log2_whole: -1, dots: 1, tuplet: None };

fn take(lesson: &mut Lesson, edit: Result<Edit, EditError>) {
    *lesson = edit.and_then(|edit| edit.apply(lesson)).expect("the edit can be made").0;
}

/// A violin passage at quarter = 60 with these values, on two pitches in turn; tells the ids.
fn passage(values: &[NoteValue]) -> (Lesson, Vec<EventId>) {
    let mut lesson = new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0);
    let mut ids = Vec::new();
    for (k, value) in values.iter().enumerate() {
        let id = lesson.score.free_event_id();
        let step = if k % 2 == 0 { Step::A } else { Step::B };
        let edit = insert(&lesson, ids.last().copied(), *value, &[Pitch::new(step, 0.0, 4)]);
        take(&mut lesson, edit);
        ids.push(id);
    }
    (lesson, ids)
}

/// 65 cm of hair, 15 cm/s, from the very frog.
fn plain_bow(lesson: &mut Lesson) {
    lesson.setup.bow.hair_mm = 650.0;
    lesson.setup.player.frog_margin_mm = 0.0;
    lesson.setup.player.tip_margin_mm = 0.0;
    lesson.setup.school.speed_mm_per_s = [150.0; 8];
}

fn run_out(analysis: &Analysis) -> &Finding {
    analysis.findings.iter().find(|finding| finding.verdict == Verdict::RunsOut).expect("it runs out")
}

fn list(remedies: &[Remedy]) -> Vec<String> {
    remedies
        .iter()
        .map(|r| format!("{}: {} -> {} ({:.3})", r.trial.id, r.trial.words, r.effect, r.after.burden()))
        .collect()
}

/// Everything a remedy says is true of the lesson it leads to, and it is one step that leads back.
fn verify(lesson: &Lesson, analysis: &Analysis, finding: &Finding, remedy: &Remedy) {
    let words = &remedy.trial.words;
    let (next, inverse) = remedy.trial.edit.apply(lesson).expect("the edit can be made");
    assert_eq!(next, remedy.lesson, "{words}");
    assert_eq!(inverse.apply(&next).expect("it can be undone").0, *lesson, "{words}");
    assert_eq!(remedy.trial.edit.what(), words);
    let fresh = analyse(&next);
    assert_eq!(format!("{fresh:?}"), format!("{:?}", remedy.analysis), "{words}");
    assert_eq!(Standing::of(&next, &fresh), remedy.after, "{words}");
    assert_eq!(Standing::of(lesson, analysis), remedy.before, "{words}");
    assert!(remedy.marks_changed >= marks_changed(&lesson.score, &next.score));
    // The stroke the finding was in, note by note.
    let stroke = |event: EventId| {
        analysis.strokes.iter().find(|stroke| {
            stroke.notes.clone().any(|k| analysis.line[analysis.bowed[k].note].events.contains(&event))
        })
    };
    let here = stroke(finding.event).expect("a finding is on a bowed note");
    let on_it = |other: &Finding| {
        std::iter::once(other.event)
            .chain(other.more.iter().map(|spot| spot.event))
            .any(|event| stroke(event) == Some(here))
    };
    let no_hair = |other: &Finding| other.verdict <= Verdict::RunsOut;
    let same = |other: &Finding| match finding.verdict {
        Verdict::Impossible | Verdict::RunsOut => false,
        Verdict::Tight => other.verdict == Verdict::Tight,
        Verdict::Notice => other.id == finding.id,
    };
    let left = fresh.findings.iter().any(|other| on_it(other) && (no_hair(other) || same(other)));
    assert_eq!(remedy.cures, !left, "{words}: {}", remedy.effect);
    assert_eq!(remedy.effect.starts_with("clears it"), remedy.cures, "{words}: {}", remedy.effect);
    for title in &remedy.new_findings {
        let new = fresh.findings.iter().find(|other| other.title == *title).expect("it is there");
        assert!(new.verdict < Verdict::Notice);
    }
}

fn verify_all(lesson: &Lesson) -> usize {
    let analysis = analyse(lesson);
    let mut count = 0;
    for finding in &analysis.findings {
        let found = remedies(lesson, &analysis, finding);
        assert!(found.len() <= 8);
        for remedy in &found {
            verify(lesson, &analysis, finding, remedy);
            assert!(remedy.helps());
        }
        count += found.len();
    }
    count
}

#[test]
fn every_remedy_of_the_demo_does_what_it_says() {
    let lesson = demo();
    assert!(verify_all(&lesson) > 3);
    let analysis = analyse(&lesson);
    let found = remedies(&lesson, &analysis, run_out(&analysis));
    assert!(found[0].cures, "{:#?}", list(&found));
    assert_eq!(list(&found), list(&remedies(&lesson, &analysis, run_out(&analysis))), "the same each time");
}

/// Dotted half and quarter at quarter = 60, 15 cm/s, 65 cm of hair: the third stroke runs out 10 cm
/// short (closed form). A published teaching page names the remedies for an unbalanced figure:
/// retake, two notes in one direction, another slur, or a light and fast return.
#[test]
fn an_unbalanced_figure_has_the_remedies_of_the_trade() {
    let (mut lesson, ids) = passage(&[DOTTED_HALF, QUARTER, DOTTED_HALF, QUARTER]);
    plain_bow(&mut lesson);
    let edit = hair_pin(&lesson, ids[0], Some((0.0, 0.0)));
    take(&mut lesson, edit);
    let analysis = analyse(&lesson);
    let found = remedies(&lesson, &analysis, run_out(&analysis));
    for wanted in ["retake", "hook", "slur", "return"] {
        let curing = found.iter().any(|remedy| remedy.trial.id == wanted && remedy.cures);
        assert!(curing, "{wanted}: {:#?}", list(&found));
    }
    verify_all(&lesson);
}

/// Two whole notes in one bow at forte: eight seconds; the first remedy is to split the slur
/// (an orchestral section leader's advice in print).
#[test]
fn a_long_slur_at_forte_is_split() {
    let (mut lesson, ids) = passage(&[WHOLE, WHOLE, WHOLE]);
    let edit = set_slur(&lesson, &ids[..2], true);
    take(&mut lesson, edit);
    let edit = set_dynamic(&lesson, Quarters::ZERO, Some(Dynamic::F));
    take(&mut lesson, edit);
    // At this tempo a whole note alone is too long at forte, at twice the tempo it is not.
    for (share, enough) in [(1.0, false), (2.0, true)] {
        lesson.setup.tempo_share = share;
        let analysis = analyse(&lesson);
        let found = remedies(&lesson, &analysis, run_out(&analysis));
        let split = found.iter().find(|remedy| remedy.trial.id == "split");
        assert!(split.is_some_and(|remedy| remedy.cures == enough), "{:#?}", list(&found));
        verify_all(&lesson);
    }
}

/// From the frog to the tip in one quarter up-bow cannot be; no outside source, a contradiction.
#[test]
fn two_places_that_contradict_each_other_are_set_free() {
    let (mut lesson, ids) = passage(&[QUARTER, QUARTER, QUARTER, QUARTER]);
    for (id, share) in [(ids[1], 0.05), (ids[2], 0.95)] {
        let edit = hair_pin(&lesson, id, Some((share, share)));
        take(&mut lesson, edit);
    }
    let analysis = analyse(&lesson);
    let finding = &analysis.findings[0];
    assert_eq!(finding.verdict, Verdict::Impossible, "{finding:?}");
    let found = remedies(&lesson, &analysis, finding);
    let freed = found.iter().find(|remedy| remedy.trial.id == "free-place");
    assert!(freed.is_some_and(|remedy| remedy.cures), "{:#?}", list(&found));
    verify_all(&lesson);
}

#[test]
fn settled_bowing_is_left_alone() {
    let lesson = demo();
    let ids: Vec<EventId> =
        lesson.score.events.iter().filter(|event| !event.is_rest()).map(|event| event.id).collect();
    let mut kept = lesson.clone();
    let edit = keep_bowing(&kept, &ids, true);
    take(&mut kept, edit);
    let analysis = analyse(&kept);
    let before = Standing::of(&kept, &analysis);
    let finding = run_out(&analysis);
    assert!(trials(&lesson, &analysis, finding).iter().any(|trial| trial.id == "split"));
    for trial in trials(&kept, &analysis, finding) {
        let words = trial.words.clone();
        if let Some(remedy) = try_out(&kept, &analysis, &before, finding, trial) {
            assert_eq!(marks_changed(&kept.score, &remedy.lesson.score), 0, "{words}");
        }
    }
}
