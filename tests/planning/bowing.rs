//! From notes to strokes, plan and findings, by the rules teachers state.

use elbowroom::{
    analysis::{Analysis, analyse},
    bowing::{Kind, Reached, Verdict},
    lesson::{
        Lesson, Writer,
        change::{
            hair_pin, new_passage, set_bow, set_dynamic, set_retake, set_slur, set_tempo_share, split_slur,
        },
        demo::demo,
    },
    score::{
        Direction::{Down, Up},
        Dynamic, Dynamics, EventId, Grace, Letter, Mark, Note, NoteValue, Pitch, Quarters, Sign, SignKind,
        Slur, SlurId, StrokeType, TimeSignature, attacks,
    },
    setup::Family,
};

use crate::music::{
    DOTTED_EIGHTH, DOTTED_HALF, EIGHTH, HALF, QUARTER, SIXTEENTH, WHOLE, in_proportion, one_speed, take,
    tell_every_run_out, violin, written,
};

/// A violin passage on one pitch at quarter = 60 with these values; tells the ids in order.
fn passage(time: TimeSignature, values: &[NoteValue]) -> (Lesson, Vec<EventId>) {
    let empty = Writer::new(new_passage(Family::Violin, time, 0, 60.0));
    written(values.iter().fold(empty, |writer, value| writer.note("A4", *value)))
}

fn directions(analysis: &Analysis) -> String {
    analysis.bowing.strokes.iter().map(|stroke| if stroke.direction == Down { 'd' } else { 'u' }).collect()
}

/// The example every teacher knows: dotted half and quarter at quarter = 60 with 15 cm/s on 65 cm
/// of hair, from the frog: 45 cm, back to 30, and the third stroke would end at 75. It runs out 10
/// cm before its end, 2 1/3 beats into its 3 (closed form: 45 - 15 + 35 = 65, 35 / 15 = 2 1/3).
#[test]
fn dotted_half_and_quarter_run_out_on_the_third_stroke() {
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[DOTTED_HALF, QUARTER, DOTTED_HALF, QUARTER]);
    lesson.setup.bow.hair_mm = 650.0;
    lesson.setup.player.frog_margin_mm = 0.0;
    lesson.setup.player.tip_margin_mm = 0.0;
    one_speed(&mut lesson, 150.0);
    tell_every_run_out(&mut lesson);
    let edit = hair_pin(&lesson, ids[0], Some((0.0, 0.0)));
    take(&mut lesson, edit);
    let analysis = analyse(&lesson);
    let finding = analysis
        .findings
        .told
        .iter()
        .find(|finding| finding.verdict == Verdict::RunsOut)
        .expect("it runs out");
    assert_eq!(finding.event, ids[2]);
    // A pin on a point is widened a little (0.4 % of the hair), and the plan may use that.
    assert!((finding.short_mm - 100.0).abs() < 3.0, "{} mm", finding.short_mm);
    assert!((finding.short_s - 2.0 / 3.0).abs() < 0.02, "{} s", finding.short_s);
    assert_eq!(finding.place.to_string(), "bar 2, sixth eighth");
}

/// Rule of the down-bow (R14, common practice): a full first bar starts down; a one-note upbeat is
/// an up-bow, so that the downbeat is a down-bow.
#[test]
fn the_downbeat_is_a_down_bow() {
    let (full, _) = passage(TimeSignature::new(4, 4), &[QUARTER; 4]);
    assert_eq!(directions(&analyse(&full)), "dudu");
    let (mut upbeat, _) = passage(TimeSignature::new(4, 4), &[QUARTER; 5]);
    // The first quarter becomes a pick-up bar.
    for (index, bar) in upbeat.score.bars.iter_mut().enumerate() {
        bar.pickup = index == 0;
        bar.length = Quarters::from(if index == 0 { 1 } else { 4 });
        bar.start = Quarters::from(if index == 0 { 0 } else { 4 * index as i64 - 3 });
    }
    assert_eq!(directions(&analyse(&upbeat)), "ududu");
}

/// Parity of slurs (R8, an old cello method): equal slurs with an even number of separate notes
/// between them alternate; with an odd number each falls on the same direction.
#[test]
fn slurs_alternate_over_an_even_number_of_separate_notes_only() {
    for (between, same) in [(2, false), (1, true)] {
        let count = 2 + between + 2;
        let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &vec![EIGHTH; count]);
        for first in [0, 2 + between] {
            let edit = set_slur(&lesson, &ids[first..first + 2], true);
            take(&mut lesson, edit);
        }
        let analysis = analyse(&lesson);
        let slurs: Vec<_> = analysis.bowing.strokes.iter().filter(|stroke| stroke.notes.len() == 2).collect();
        assert_eq!(slurs.len(), 2);
        assert_eq!(slurs[0].direction == slurs[1].direction, same, "{between} notes between");
    }
}

/// A slur of n equal notes in one dynamic gives each 1/n of the stroke (R2, common practice).
#[test]
fn equal_notes_share_a_slur_equally() {
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[QUARTER; 4]);
    lesson.setup.school.place_weight = 0.0;
    let edit = set_slur(&lesson, &ids, true);
    take(&mut lesson, edit);
    let analysis = analyse(&lesson);
    assert_eq!(analysis.bowing.strokes.len(), 1);
    let used: Vec<f64> =
        (0..4).map(|k| analysis.plan.solution.end_mm[k] - analysis.plan.solution.start_mm[k]).collect();
    for length in &used {
        assert!((length - used[0]).abs() < 1e-3, "{used:?}");
    }
}

/// What is printed as two slurs stays two bows, also where dots under them would let them be one with a stop and
/// the next bar then begins up. Common practice, no source.
#[test]
fn slurs_are_not_hooked_to_one_another() {
    let (mut lesson, ids) = passage(TimeSignature::new(3, 4), &[EIGHTH; 24]);
    for bar in ids.chunks(6) {
        for slur in bar.chunks(2) {
            let edit = set_slur(&lesson, slur, true);
            take(&mut lesson, edit);
        }
        for id in &bar[2..] {
            let event = lesson.score.events.iter_mut().find(|event| event.id == *id).expect("there");
            event.marks.insert(Mark::Staccato);
        }
    }
    assert_eq!(directions(&analyse(&lesson)), "dududu".repeat(2));
}

/// Two ups in a row on separate notes are one hooked bow, two downs a retake (common practice, no
/// source).
#[test]
fn two_equal_marks_are_a_hook_or_a_retake() {
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[QUARTER; 4]);
    let edit = set_bow(&lesson, &ids[1..3], Some(Up));
    take(&mut lesson, edit);
    let hooked = analyse(&lesson);
    assert_eq!(directions(&hooked), "dud");
    assert!(hooked.bowed(1).sounding_s < 1.0, "the first stops before the second");
    let edit = set_bow(&lesson, &ids[1..3], Some(Down));
    take(&mut lesson, edit);
    let retaken = analyse(&lesson);
    assert!(matches!(retaken.bowed(2).reached, Reached::Air(_)));
    assert!(retaken.bowed(1).sounding_s < 1.0, "the retake takes its time from the note before");
}

/// A later mark decides how a passage without marks begins (R9: fix the later spot, go backwards), where the
/// metre lets it begin so: a bar that begins off the beat does. A full first bar begins down all the same,
/// and two ups in one bow before the mark put it right (common practice, no source).
#[test]
fn a_later_mark_is_reached_by_alternation_or_just_before_it() {
    let marked = |values: &[NoteValue], rest: bool, mark: usize| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
        let empty = if rest { empty.rest(EIGHTH) } else { empty };
        let (mut lesson, ids) = written(values.iter().fold(empty, |writer, value| writer.note("A4", *value)));
        // The rest is written too.
        let mark = mark + usize::from(rest);
        let edit = set_bow(&lesson, &ids[mark..=mark], Some(Down));
        take(&mut lesson, edit);
        directions(&analyse(&lesson))
    };
    assert_eq!(marked(&[EIGHTH; 7], true, 1), "udududu");
    assert_eq!(marked(&[EIGHTH; 7], true, 2), "dududud");
    assert_eq!(marked(&[QUARTER; 4], false, 3), "dud", "a hooked bow before the mark");
}

/// Slurs of two and two dots in every bar of two quarters come out alike, with the dots in one up-bow
/// (common practice, no source); without dots they alternate.
#[test]
fn dots_are_hooked_where_that_keeps_the_metre() {
    let bars = |dots: bool| {
        let (mut lesson, ids) = passage(TimeSignature::new(2, 4), &[EIGHTH; 20]);
        for bar in ids.chunks(4) {
            let edit = set_slur(&lesson, &bar[..2], true);
            take(&mut lesson, edit);
            for id in bar[2..].iter().filter(|_| dots) {
                let event = lesson.score.events.iter_mut().find(|event| event.id == *id).expect("there");
                event.marks.insert(Mark::Staccato);
            }
        }
        directions(&analyse(&lesson))
    };
    // Behind the last bar nothing gains by it.
    assert_eq!(bars(true), "dudududu".to_owned() + "dud");
    assert_eq!(bars(false), "dudud".to_owned() + &"ud".repeat(5));
}

/// The same rhythm after the same rest begins the same way (common practice, no source): two sixteenths
/// before a beat and the beat, once before the half-bar and once before the barline.
#[test]
fn a_figure_that_comes_back_is_bowed_alike() {
    let empty = Writer::new(new_passage(Family::Cello, TimeSignature::new(4, 4), 0, 132.0));
    let figure = |writer: Writer| {
        let writer = writer.rest(EIGHTH).note("C3", SIXTEENTH).note("C3", SIXTEENTH);
        writer.note("G3", EIGHTH).rest(EIGHTH)
    };
    let (mut lesson, _) = written((0..8).fold(empty.rest(QUARTER), |writer, _| figure(writer)));
    assert_eq!(directions(&analyse(&lesson)), "dud".repeat(8));
    // What a soft figure costs is a figure of its own.
    lesson.setup.school.leanings.unlike_softly = 0.0;
    assert_eq!(directions(&analyse(&lesson)), "dud".repeat(8));
    let edit = set_dynamic(&lesson, Quarters::ZERO, Some(Dynamic::P));
    take(&mut lesson, edit);
    assert_ne!(directions(&analyse(&lesson)), "dud".repeat(8));
}

/// In 6/8 a quarter and the eighth behind it share a bow where the strong beats that follow would come up else
/// (common practice, no source). An accent on the eighth is a stroke of its own.
#[test]
fn the_eighth_of_a_beat_of_three_goes_with_its_quarter() {
    let bars = |accent: bool| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(6, 8), 0, 120.0));
        let slur = |writer: Writer| (0..3).fold(writer, |writer, _| writer.note("A4", EIGHTH)).slur(3);
        let writer = slur(empty.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::F)));
        let writer = writer.note("A4", QUARTER).note("C5", EIGHTH);
        let writer = if accent { writer.mark(Mark::Accent) } else { writer };
        directions(&analyse(&written((0..3).fold(writer, |writer, _| slur(writer))).0))
    };
    assert_eq!((bars(false).as_str(), bars(true).as_str()), ("dudud", "dududu"));
}

/// A light note after a rest that is hardly there goes on in turn, with more time the same start is alike; a loud one is
/// lifted in any time (common practice, no source).
#[test]
fn there_is_no_lift_in_a_rest_that_is_hardly_there() {
    let bars = |tempo: f64, level: Dynamic| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(2, 4), 0, tempo));
        let writer = empty.sign(Quarters::ZERO, SignKind::Dynamic(level));
        let bar = |writer: Writer| {
            let writer = writer.note("A4", EIGHTH).note("B4", EIGHTH).slur(2).note("C5", EIGHTH);
            writer.note("C5", SIXTEENTH).rest(SIXTEENTH)
        };
        let (mut lesson, _) = written((0..4).fold(writer, |writer, _| bar(writer)));
        // So dear that nobody lifts where it counts.
        lesson.setup.school.leanings.again_in_no_time = 9.0;
        directions(&analyse(&lesson))
    };
    let (lifted, in_turn) = ("dud".repeat(4), "du".repeat(6));
    // A sixteenth rest of 0.15 s, and of 0.25 s.
    assert_eq!((bars(100.0, Dynamic::P), bars(100.0, Dynamic::F)), (in_turn, lifted.clone()));
    assert_eq!(bars(60.0, Dynamic::P), lifted);
}

/// Two plain notes of one length share a bow where it is soft and the strong beats that follow would come up else
/// (common practice, no source); where it is loud each has its stroke.
#[test]
fn a_light_pair_goes_in_one_bow() {
    let bars = |level: Dynamic| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(2, 4), 0, 120.0));
        let writer = empty.sign(Quarters::ZERO, SignKind::Dynamic(level));
        let slur = |writer: Writer| writer.note("A4", EIGHTH).note("B4", EIGHTH).slur(2);
        let writer = slur(writer).note("C5", EIGHTH).note("C5", EIGHTH);
        let (mut lesson, _) = written((0..3).fold(writer, |writer, _| slur(writer)));
        // So dear that nobody hooks or lifts where it is not light.
        let leanings = &mut lesson.setup.school.leanings;
        (leanings.hook_on_string, leanings.retake_on_string) = (9.0, 9.0);
        directions(&analyse(&lesson))
    };
    assert_eq!((bars(Dynamic::P).as_str(), bars(Dynamic::F).as_str()), ("dudud", "dududu"));
}

/// Who marks two down-bows in a row in a figure means it wherever the figure comes again (common practice,
/// no source): a dotted eighth with an accent, a sixteenth and an eighth, marked in the first bar.
#[test]
fn a_marked_retake_is_made_again_in_the_same_figure() {
    let bars = |marks: bool| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(6, 8), 0, 60.0));
        let (lesson, _) = written((0..8).fold(empty, |writer, k| {
            let writer = writer.note("A4", DOTTED_EIGHTH).mark(Mark::Accent);
            let writer = if marks && k < 2 { writer.bow(Down) } else { writer };
            writer.note("A4", SIXTEENTH).note("A4", EIGHTH)
        }));
        directions(&analyse(&lesson))
    };
    assert_eq!(bars(true), "dud".repeat(8));
    assert_ne!(bars(false), "dud".repeat(8));
}

/// Along a hairpin the speed moves evenly in its logarithm, so the mean over the note is
/// (v1 - v0) / ln(v1 / v0) (closed form; hair in proportion to time).
#[test]
fn a_hairpin_gives_the_logarithmic_mean_of_its_speeds() {
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[HALF, HALF]);
    for (at, level) in [(0, Dynamic::P), (2, Dynamic::F)] {
        let edit = set_dynamic(&lesson, Quarters::from(at), Some(level));
        take(&mut lesson, edit);
    }
    let id = lesson.score.free_sign_id();
    let kind = SignKind::Hairpin { opens: true, end: Quarters::from(2), niente: false };
    lesson.score.signs.push(Sign { id, at: Quarters::ZERO, kind });
    lesson.score.sort();
    let speeds = lesson.setup.school.short_stroke_mm_per_s;
    in_proportion(&mut lesson, speeds);
    // Faster than any hand, so that no limit comes in.
    lesson.setup.player.fastest_whole_bow_s = 0.1;
    let analysis = analyse(&lesson);
    let (v0, v1) = (speeds[Dynamic::P as usize], speeds[Dynamic::F as usize]);
    let expected = 2.0 * (v1 - v0) / (v1 / v0).ln();
    assert!((analysis.piece(0).wanted_mm - expected).abs() < 1e-4);
    assert!((analysis.piece(1).wanted_mm - 2.0 * v1).abs() < 1e-4);
    assert_eq!(Dynamics::new(&lesson.score).mark_at(Quarters::ONE), Some(Dynamic::P));
    assert_eq!(ids.len(), 2);
}

/// The demo runs out under the slur of bar 8; splitting that slur (R25: the first remedy) cures it,
/// and undoing brings it back.
#[test]
fn splitting_the_long_slur_cures_the_demo() {
    let lesson = demo();
    let out = |lesson: &Lesson| {
        analyse(lesson).findings.told.iter().filter(|finding| finding.verdict == Verdict::RunsOut).count()
    };
    assert_eq!(out(&lesson), 1);
    let second =
        lesson.score.events.iter().find(|event| event.onset == Quarters::from(32)).expect("bar 9").id;
    let (split, inverse) =
        split_slur(&lesson, second).and_then(|edit| edit.apply(&lesson)).expect("it can be split");
    let analysis = analyse(&split);
    assert!(
        analysis.findings.told.iter().all(|finding| finding.short_mm < 300.0),
        "{:?}",
        analysis.findings.told
    );
    let (back, _) = inverse.apply(&split).expect("it can be undone");
    assert_eq!(back, lesson);
}

/// A tied note is one attack; a chord in which one pitch is new is a new one.
#[test]
fn ties_join_notes_of_the_same_pitch_only() {
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[QUARTER; 3]);
    for id in [ids[0], ids[1]] {
        let edit = elbowroom::lesson::change::join_ties(&lesson, id);
        take(&mut lesson, edit);
    }
    let joined = attacks(&lesson.score);
    assert_eq!(joined.len(), 1);
    assert_eq!(joined[0].duration, Quarters::from(3));
    let last = lesson.score.events.iter_mut().find(|event| event.id == ids[2]).expect("the third note");
    last.notes.push(Note::new(Pitch::new(Letter::D, 0.0, 5)));
    assert_eq!(attacks(&lesson.score).len(), 2);
}

/// A slur that goes on over a short rest is one stopped bow; over a long rest it is a phrase. Common
/// practice, no source.
#[test]
fn a_slur_over_a_short_rest_is_one_bow() {
    let bows = |rest: NoteValue| {
        let writer =
            violin().note("A4", SIXTEENTH).note("B4", SIXTEENTH).slur(2).rest(rest).note("C5", SIXTEENTH);
        let (mut lesson, ids) = written(writer);
        // As files have it; typed slurs end at rests.
        lesson.score.slurs[0].to = ids[3];
        directions(&analyse(&lesson))
    };
    assert_eq!(bows(SIXTEENTH), "d");
    assert_eq!(bows(HALF).len(), 2);
}

/// Accented notes with rests of a tenth of a second go back and forth: there is no time to bring back what
/// each has spent. Common practice, no source.
#[test]
fn a_row_of_notes_with_hardly_a_rest_goes_back_and_forth() {
    let passage = (0..8)
        .fold(violin(), |writer, _| writer.note("A4", DOTTED_EIGHTH).mark(Mark::Accent).rest(SIXTEENTH));
    let (mut lesson, _) = written(passage);
    // Quarter = 120: rests of an eighth of a second.
    lesson.setup.tempo_share = 2.0;
    assert_eq!(directions(&analyse(&lesson)), "dudududu");
}

/// A bow mark inside a slur or on a tied-over note is where the bow changes, unless it repeats the first
/// mark. Common practice, no source.
#[test]
fn a_bow_mark_inside_a_slur_or_a_tie_turns_the_bow() {
    let slur = |second| {
        let writer = violin().note("A4", QUARTER).note("B4", QUARTER).note("C5", QUARTER).slur(3);
        let (mut lesson, _) = written(writer);
        (lesson.score.events[0].bow, lesson.score.events[1].bow) = (Some(Down), Some(second));
        directions(&analyse(&lesson))
    };
    assert_eq!((slur(Up).as_str(), slur(Down).as_str()), ("du", "d"));
    let tie = |marked: bool| {
        let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[HALF; 2]);
        let edit = elbowroom::lesson::change::join_ties(&lesson, ids[0]);
        take(&mut lesson, edit);
        if marked {
            lesson.score.events[1].bow = Some(Up);
        }
        directions(&analyse(&lesson))
    };
    assert_eq!((tie(true).as_str(), tie(false).as_str()), ("du", "d"));
}

/// Extremes give findings, never a panic, a hang or a number that is none.
#[test]
fn extremes_are_told_not_suffered() {
    let sound = |lesson: &Lesson| {
        let analysis = analyse(lesson);
        assert!(analysis.plan.solution.cost.is_finite());
        let ways = analysis.plan.run_outs.iter().flat_map(|out| out.path.iter().map(|(_, end)| end));
        let places = analysis.plan.solution.start_mm.iter().chain(&analysis.plan.solution.end_mm);
        assert!(places.chain(ways).all(|place| place.is_finite()));
        for seconds in [-1.0, 0.0, analysis.total_s() / 2.0, analysis.total_s(), 1e9] {
            assert!(analysis.bow_at(seconds).hair_mm.is_finite());
        }
        analysis
    };
    sound(&new_passage(Family::Cello, TimeSignature::new(3, 4), 0, 90.0));
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[QUARTER; 12]);
    for share in [0.05, 8.0] {
        let edit = set_tempo_share(&lesson, share);
        take(&mut lesson, edit);
        sound(&lesson);
    }
    let edit = set_tempo_share(&lesson, 0.1);
    take(&mut lesson, edit);
    let edit = set_slur(&lesson, &ids, true);
    take(&mut lesson, edit);
    let analysis = sound(&lesson);
    assert!(analysis.findings.told.iter().any(|finding| finding.verdict == Verdict::Impossible));
    // Two places that contradict each other.
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[EIGHTH; 4]);
    for (id, share) in [(ids[0], 0.0), (ids[1], 1.0), (ids[2], 1.0)] {
        let edit = hair_pin(&lesson, id, Some((share, share)));
        take(&mut lesson, edit);
    }
    let analysis = sound(&lesson);
    assert!(
        analysis.findings.told.iter().any(|finding| finding.kind == Kind::NoWayPlace),
        "{:?}",
        analysis.findings.told
    );
    // A retake on every note.
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[EIGHTH; 8]);
    for id in &ids[1..] {
        let edit = set_retake(&lesson, *id, true);
        take(&mut lesson, edit);
    }
    sound(&lesson);
}

/// Below the marked tempo a note keeps its hair and only takes longer; the limits are those of the
/// time it really takes. The other way of practising, at the same speed, is a choice. Common
/// practice ("the same movement, only slower"), no source.
#[test]
fn slow_practice_keeps_the_hair_of_every_note() {
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[QUARTER; 8]);
    // In proportion to time, so that the same speed takes twice the hair in twice the time.
    one_speed(&mut lesson, 160.0);
    let edit = set_slur(&lesson, &ids[2..4], true);
    take(&mut lesson, edit);
    let at_tempo = analyse(&lesson).plan.problem.clone();
    let edit = set_tempo_share(&lesson, 0.5);
    take(&mut lesson, edit);
    let kept = analyse(&lesson).plan.problem.clone();
    lesson.setup.school.slow_keeps_hair = false;
    let stretched = analyse(&lesson).plan.problem.clone();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9 * b.abs().max(1.0);
    for ((fast, slow), same_speed) in at_tempo.pieces.iter().zip(&kept.pieces).zip(&stretched.pieces) {
        assert!(near(slow.wanted_mm, fast.wanted_mm) && near(same_speed.wanted_mm, 2.0 * fast.wanted_mm));
        assert!(near(slow.seconds, 2.0 * fast.seconds));
        assert!(near(slow.min_mm, 2.0 * fast.min_mm) && near(slow.max_mm, 2.0 * fast.max_mm));
    }
    // Faster than marked there is less time, and less hair.
    lesson.setup.school.slow_keeps_hair = true;
    let edit = set_tempo_share(&lesson, 2.0);
    take(&mut lesson, edit);
    let faster = analyse(&lesson).plan.problem.clone();
    assert!(near(faster.pieces[0].wanted_mm, at_tempo.pieces[0].wanted_mm / 2.0));
}

/// A player's home is where separate mf notes lie when nothing else speaks; where nothing is said it
/// is the middle.
#[test]
fn the_players_home_takes_the_place_of_the_middle() {
    let (mut lesson, _) = passage(TimeSignature::new(4, 4), &[EIGHTH; 8]);
    let middle_of = |lesson: &Lesson| {
        let solution = analyse(lesson).plan.solution.clone();
        (solution.start_mm[3] + solution.end_mm[3]) / 2.0 / lesson.setup.bow.hair_mm
    };
    assert!((middle_of(&lesson) - 0.5).abs() < 0.05);
    lesson.setup.player.home = Some((0.6, 0.8));
    assert!((middle_of(&lesson) - 0.7).abs() < 0.05);
}

/// A dotted figure the other way round: in a bar of an odd number of strokes the very short note takes the long one
/// behind it into its bow, so that each accented beat comes down (common practice, no source).
#[test]
fn a_short_note_may_take_the_long_one_behind_it() {
    let ways = |short: NoteValue, long: NoteValue| {
        let bar = |writer: Writer| {
            let writer = writer.note("A4", HALF).mark(Mark::Accent).note("B4", short).note("A4", long);
            writer.note("B4", EIGHTH).note("A4", EIGHTH)
        };
        let (lesson, _) = written(bar(bar(bar(violin()))));
        let analysis = analyse(&lesson);
        [0, 1, 2].map(|bar| analysis.bowed(5 * bar).direction)
    };
    assert_eq!(ways(SIXTEENTH, DOTTED_EIGHTH), [Down; 3]);
    assert_ne!(ways(EIGHTH, EIGHTH), [Down; 3]);
}

/// Faster bounced notes lie nearer the middle (common practice, no source), at the border to sautillé in its place.
#[test]
fn faster_bounced_notes_lie_higher() {
    let middle_of = |qpm: f64| {
        let (mut lesson, _) = passage(TimeSignature::new(4, 4), &[SIXTEENTH; 16]);
        for event in &mut lesson.score.events {
            event.marks.insert(Mark::Staccato);
        }
        let edit = set_tempo_share(&lesson, qpm / 60.0);
        take(&mut lesson, edit);
        let solution = analyse(&lesson).plan.solution.clone();
        (solution.start_mm[8] + solution.end_mm[8]) / 2.0 / lesson.setup.bow.hair_mm
    };
    let (calm, fast, sprung) = (middle_of(60.0), middle_of(80.0), middle_of(100.0));
    assert!(calm + 0.03 < fast && fast + 0.03 < sprung, "{calm} {fast} {sprung}");
    assert!((sprung - 0.5).abs() < 0.03, "{sprung}");
}

/// A border to sautillé that a player sets where bounced notes are calm, or slower, leaves every note a place.
#[test]
fn any_border_of_the_bouncing_strokes_leaves_a_place() {
    for border in [4.0, 2.0] {
        let (mut lesson, _) = passage(TimeSignature::new(4, 4), &[SIXTEENTH; 16]);
        lesson.setup.school.rules.bounce_border_per_s = border;
        for event in &mut lesson.score.events {
            event.marks.insert(Mark::Staccato);
        }
        let analysis = analyse(&lesson);
        let at = |k: usize| analysis.plan.solution.start_mm[k] / lesson.setup.bow.hair_mm;
        // A quarter of a second is calm: they lie where spiccato lives.
        assert!((0.2..0.5).contains(&at(8)), "{border}: {}", at(8));
    }
}

/// The shape of the wanted hair: `m / (1 + m / a)` with `m = v t^2 / (t + c)` (closed form). It is the
/// stroke that saves: slurred notes share what one note of their length takes, each as its dynamic asks.
#[test]
fn a_stroke_wants_less_the_longer_it_is() {
    let speed_mm_per_s = 470.0;
    let (longest_mm, change_s) = (0.95 * 630.0, 0.05);
    let closed = |seconds: f64| {
        let moved = speed_mm_per_s * seconds * seconds / (seconds + change_s);
        moved / (1.0 + moved / longest_mm)
    };
    for (value, seconds) in [(SIXTEENTH, 0.25), (QUARTER, 1.0), (WHOLE, 4.0)] {
        let (mut lesson, _) = passage(TimeSignature::new(4, 4), &[value]);
        let school = &mut lesson.setup.school;
        (school.short_stroke_mm_per_s, school.change_s) = ([speed_mm_per_s; 8], change_s);
        school.long_stroke_hair = [0.95; 8];
        let wanted = analyse(&lesson).piece(0).wanted_mm;
        assert!((wanted - closed(seconds)).abs() < 1e-9, "{wanted} mm in {seconds} s");
    }
    let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[QUARTER; 4]);
    let edit = set_slur(&lesson, &ids, true);
    take(&mut lesson, edit);
    let hair = |lesson: &Lesson| -> Vec<f64> {
        analyse(lesson).plan.problem.pieces.iter().map(|piece| piece.wanted_mm).collect()
    };
    let (whole, _) = passage(TimeSignature::new(4, 4), &[WHOLE]);
    let slurred = hair(&lesson);
    assert!(slurred.iter().all(|mm| (mm - hair(&whole)[0] / 4.0).abs() < 1e-9), "{slurred:?}");
    let id = lesson.score.free_sign_id();
    let kind = SignKind::Hairpin { opens: true, end: Quarters::from(4), niente: false };
    lesson.score.signs.push(Sign { id, at: Quarters::ZERO, kind });
    assert!(hair(&lesson).windows(2).all(|pair| pair[0] < pair[1]), "a crescendo spends late");
}

/// What players take (common practice, no source; the bounds are those of the teachers' sayings): at f a
/// quarter at 120 20 to 30 cm, four seconds one calm bow; at pp a whole note of four seconds 25 to 30 cm;
/// fast sixteenths at f 3 to 6 cm; a slurred bar at p not the whole bow. Measured in detached notes on
/// violin and viola: 30 to 100 cm/s for 0.2 s, 20 to 30 for 2 s, 10 to 15 for 4 s (Schoonderwaldt, J.
/// Acoust. Soc. Am. 126 (2009) 2707, from memory).
#[test]
fn the_wanted_hair_is_what_players_take() {
    let wanted_cm = |dynamic, value: NoteValue, qpm: f64| {
        let (lesson, _) = written(
            Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, qpm))
                .note("A4", value)
                .sign(Quarters::ZERO, SignKind::Dynamic(dynamic)),
        );
        analyse(&lesson).piece(0).wanted_mm / 10.0
    };
    for (dynamic, value, qpm, from, to) in [
        (Dynamic::F, QUARTER, 120.0, 20.0, 30.0),
        (Dynamic::F, WHOLE, 60.0, 45.0, 60.0),
        (Dynamic::F, SIXTEENTH, 132.0, 3.0, 6.0),
        (Dynamic::Pp, WHOLE, 60.0, 25.0, 30.0),
        (Dynamic::P, WHOLE, 80.0, 20.0, 45.0),
        (Dynamic::Mf, EIGHTH, 150.0, 6.0, 20.0),
        (Dynamic::F, HALF, 60.0, 40.0, 60.0),
        (Dynamic::Mf, WHOLE, 60.0, 40.0, 60.0),
    ] {
        let cm = wanted_cm(dynamic, value, qpm);
        assert!((from..=to).contains(&cm), "{cm:.1} cm for {value:?} at {dynamic:?}");
    }
}

/// An accent takes half as much again of a short note, a sharp one up to twice as much, and little of a long
/// one: it is made early (common practice, no source).
#[test]
fn an_accent_takes_its_hair_early() {
    for dynamic in [Dynamic::P, Dynamic::Mf, Dynamic::F] {
        let wanted = |value: NoteValue, mark: Option<Mark>| {
            let violin = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
            let noted = violin.note("A4", value).sign(Quarters::ZERO, SignKind::Dynamic(dynamic));
            let (lesson, _) = written(mark.map_or(noted.clone(), |mark| noted.mark(mark)));
            analyse(&lesson).piece(0).wanted_mm
        };
        for (mark, (least, most)) in
            [(Mark::Accent, (1.4, 1.7)), (Mark::Sforzando, (1.6, 2.1)), (Mark::FortePiano, (1.6, 2.1))]
        {
            let times = |value| wanted(value, Some(mark)) / wanted(value, None);
            assert!((least..=most).contains(&times(EIGHTH)), "{mark:?} {dynamic:?}: {}", times(EIGHTH));
            assert!(times(WHOLE) < 1.2 && times(WHOLE) > 1.0, "{mark:?} {dynamic:?}: {}", times(WHOLE));
        }
    }
}

/// Where strokes lie (trade handbooks: lower third for loud and heavy, middle for p to mf, upper third for
/// soft and light; chords and short lifted strokes in the lower half, fast separate notes in the middle and
/// above: common practice, no source). The middle of the hair that the plan uses is asked.
#[test]
fn strokes_lie_where_players_have_them() {
    let middle = |values: &[NoteValue], dynamic, qpm, change: &dyn Fn(&mut Lesson)| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, qpm));
        let notes = values.iter().fold(empty, |writer, value| writer.note("A4", *value));
        let (mut lesson, _) = written(notes.sign(Quarters::ZERO, SignKind::Dynamic(dynamic)));
        change(&mut lesson);
        let analysis = analyse(&lesson);
        let places = (0..values.len()).map(|k| analysis.plan.places_mm(k));
        places.map(|(a, b)| (a + b) / 2.0).sum::<f64>() / values.len() as f64 / 650.0
    };
    let quarters = |dynamic| middle(&[QUARTER; 8], dynamic, 120.0, &|_| {});
    let by_dynamic: Vec<f64> = Dynamic::ALL.into_iter().map(quarters).collect();
    assert!(by_dynamic.windows(2).all(|pair| pair[0] > pair[1]), "louder is nearer the frog: {by_dynamic:?}");
    assert!(quarters(Dynamic::Ff) < 1.0 / 3.0 && quarters(Dynamic::Pp) > 2.0 / 3.0, "{by_dynamic:?}");
    assert!((0.4..0.65).contains(&quarters(Dynamic::P)) && (0.4..0.65).contains(&quarters(Dynamic::Mf)));
    let mark = |mark: Mark| {
        move |lesson: &mut Lesson| {
            lesson.score.events.iter_mut().for_each(|event| {
                event.marks.insert(mark);
            });
        }
    };
    let dotted = |dynamic| middle(&[QUARTER; 8], dynamic, 100.0, &mark(Mark::Staccato));
    assert!(dotted(Dynamic::P) < 0.45 && dotted(Dynamic::F) < 0.3, "short and lifted in the lower half");
    let fast = |dynamic| middle(&[SIXTEENTH; 16], dynamic, 120.0, &|_| {});
    for place in Dynamic::ALL.into_iter().map(fast) {
        assert!((0.4..0.75).contains(&place), "{place}");
    }
    let accented = middle(&[QUARTER; 8], Dynamic::F, 120.0, &mark(Mark::Accent));
    assert!(accented < quarters(Dynamic::F));
}

/// How dots are read (common practice, no source): short and lifted by themselves; hammered where they are
/// wedges or carry an accent, and it is loud; at the end of a tie they only shorten the note.
#[test]
fn dots_are_read_by_length_loudness_and_ties() {
    let stroke = |dynamic, marks: &[Mark], tied: bool| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 100.0));
        let notes = if tied { empty.note("A4", QUARTER) } else { empty };
        let (mut lesson, ids) =
            written(notes.note("A4", QUARTER).sign(Quarters::ZERO, SignKind::Dynamic(dynamic)));
        if tied {
            let edit = elbowroom::lesson::change::join_ties(&lesson, ids[0]);
            take(&mut lesson, edit);
        }
        lesson.score.events.last_mut().expect("a note").marks.extend(marks.iter().copied());
        let analysis = analyse(&lesson);
        assert_eq!(analysis.bowing.notes.len(), 1);
        analysis.bowed(0).stroke_type
    };
    use Mark::{Accent, Staccatissimo, Staccato};
    assert_eq!(stroke(Dynamic::F, &[Staccato], false), StrokeType::Lifted);
    assert_eq!(stroke(Dynamic::P, &[Staccatissimo], false), StrokeType::Lifted);
    assert_eq!(stroke(Dynamic::F, &[Staccatissimo], false), StrokeType::Martele);
    assert_eq!(stroke(Dynamic::Ff, &[Staccato, Accent], false), StrokeType::Martele);
    assert_eq!(stroke(Dynamic::F, &[Staccato], true), StrokeType::Detache);
}

/// A tremolo that grows to ff ends where the chord after it begins, lower than where the tremolo began soft;
/// the same notes without the tremolo cannot bring the bow there. Common practice, no source.
#[test]
fn a_tremolo_brings_the_bow_to_the_chord() {
    let passage = |slashes: Option<u8>| {
        let writer = violin().note("A4", WHOLE).note("A4", WHOLE).note("G3 D4 B4", QUARTER);
        let (mut lesson, _) = written(
            writer
                .sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::Pp))
                .sign(Quarters::from(8), SignKind::Dynamic(Dynamic::Ff)),
        );
        lesson.score.events.iter_mut().take(2).for_each(|event| event.tremolo = slashes);
        lesson
    };
    let analysis = analyse(&passage(Some(3)));
    let ((start, end), (chord, _)) = (analysis.ends_mm(1), analysis.ends_mm(2));
    assert!(chord < 0.4 * analysis.plan.problem.hair_mm, "{chord} mm");
    assert!(end < start - 50.0 && (end - chord).abs() < 1e-9, "from {start} to {end}, then {chord} mm");
    assert!(analysis.is_brought(2) && !analyse(&passage(None)).is_brought(2));
}

/// What is louder at once is a bow of its own, whatever the barline would like (common practice, no source):
/// the bars above, with a loud last note in each.
#[test]
fn a_new_dynamic_is_no_hook() {
    let bars = |loud: Dynamic| {
        let (mut lesson, ids) = passage(TimeSignature::new(2, 4), &[EIGHTH; 20]);
        for (bar, ids) in ids.chunks(4).enumerate() {
            let edit = set_slur(&lesson, &ids[..2], true);
            take(&mut lesson, edit);
            for id in &ids[2..] {
                let event = lesson.score.events.iter_mut().find(|event| event.id == *id).expect("there");
                event.marks.insert(Mark::Staccato);
            }
            let start = Quarters::from(2 * bar as i64);
            for (at, level) in [(start, Dynamic::P), (start + Quarters::new(3, 2), loud)] {
                let edit = set_dynamic(&lesson, at, Some(level));
                take(&mut lesson, edit);
            }
        }
        directions(&analyse(&lesson))
    };
    assert_eq!(bars(Dynamic::P), "dudududu".to_owned() + "dud");
    assert_eq!(bars(Dynamic::F), "dudud".to_owned() + &"ud".repeat(5));
}

/// A sharp start after a rest comes down, though the barline behind it goes up for that; a plain one leads up to the
/// barline. Common practice, no source.
#[test]
fn an_accented_start_comes_down() {
    let start = |sharp: bool| {
        let writer = violin().note("A4", HALF).note("B4", HALF).rest(HALF).note("B4", HALF);
        let writer = if sharp { writer.mark(Mark::Sforzando) } else { writer };
        directions(&analyse(&written(writer.note("C5", WHOLE)).0))
    };
    assert_eq!((start(false).as_str(), start(true).as_str()), ("duud", "dudu"));
}

/// "Sempre stacc." goes on where the dots end: short separate notes, until "legato". Common practice, no source.
#[test]
fn words_for_staccato_are_dots() {
    let strokes = |words: &str| {
        let writer = violin().note("A4", QUARTER).note("B4", QUARTER).slur(2).note("A4", QUARTER);
        let writer = writer.note("B4", HALF).note("A4", QUARTER).mark(Mark::Tenuto);
        let analysis = analyse(&written(writer.sign(Quarters::ZERO, SignKind::Words(words.into()))).0);
        analysis.bowing.notes.iter().map(|note| note.stroke_type).collect::<Vec<_>>()
    };
    let dotted = strokes("sempre stacc.");
    let plain = strokes("sempre legato");
    assert_eq!((dotted[2], plain[2]), (StrokeType::Lifted, StrokeType::Detache));
    let others = |strokes: &[StrokeType]| [strokes[0], strokes[1], strokes[3], strokes[4]];
    assert_eq!(others(&dotted), others(&plain));
}

/// Before a barline with an sf a plain note that takes its whole bar is the upbeat to it, so that the sf comes down;
/// without the sf the first bar after a rest begins down. Common practice, no source.
#[test]
fn a_whole_bar_before_an_sf_is_its_upbeat() {
    let start = |marked: bool| {
        let writer = violin().note("A4", WHOLE).rest(WHOLE).note("B4", WHOLE).note("C5", WHOLE);
        let writer = if marked { writer.mark(Mark::Sforzando) } else { writer };
        directions(&analyse(&written(writer.note("B4", WHOLE).rest(WHOLE)).0))
    };
    assert_eq!((start(false).as_str(), start(true).as_str()), ("ddud", "dudu"));
}

/// Where an f is printed on a beat after something softer a start is chosen that brings it down. Common practice, no
/// source.
#[test]
fn a_new_f_on_a_beat_comes_down() {
    let start = |level: Dynamic| {
        let writer = violin().note("A4", HALF).note("B4", HALF).rest(HALF);
        let writer = writer.note("A4", QUARTER).note("B4", QUARTER).rest(WHOLE);
        let writer = writer.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::Mf));
        directions(&analyse(&written(writer.sign(Quarters::from(7), SignKind::Dynamic(level))).0))
    };
    assert_eq!((start(Dynamic::Mp).as_str(), start(Dynamic::F).as_str()), ("dudu", "duud"));
}

/// A loud upbeat that is slurred into the bar goes up all the same (common practice, no source); on the beat a
/// loud start goes down.
#[test]
fn a_loud_upbeat_goes_up_all_the_same() {
    let start = |level: Dynamic| {
        let rests = [HALF, QUARTER, EIGHTH];
        let writer = rests.iter().fold(violin().note("A4", WHOLE), |writer, value| writer.rest(*value));
        let writer = writer.note("B4", EIGHTH).note("C5", QUARTER).slur(2).note("D5", QUARTER);
        let (lesson, _) = written(writer.sign(Quarters::new(15, 2), SignKind::Dynamic(level)));
        directions(&analyse(&lesson))
    };
    assert_eq!(start(Dynamic::P), "dud");
    assert_eq!(start(Dynamic::Ff), "dud");
}

/// Grace notes in which a slur over the note before them ends, as behind a trill, belong to that note's bow, and
/// the next note is a bow of its own; without the slur they lead to the next note. Common practice, no source.
#[test]
fn grace_notes_at_the_end_of_a_slur_end_its_bow() {
    let passage = |slurred: bool| {
        let (mut lesson, ids) = written(violin().note("A4", HALF).mark(Mark::Trill).note("B4", HALF));
        let mut grace = (*lesson.score.events[1]).clone();
        grace.id = lesson.score.free_event_id();
        grace.duration = Quarters::ZERO;
        grace.grace = Some(Grace { order: 0, slash: false, after: false });
        if slurred {
            lesson.score.slurs.push(Slur { id: SlurId(0), from: ids[0], to: grace.id, phrase: false });
        }
        lesson.score.events.push(grace.into());
        lesson.score.sort();
        let analysis = analyse(&lesson);
        analysis.bowing.strokes.iter().map(|stroke| stroke.notes.len()).collect::<Vec<_>>()
    };
    assert_eq!(passage(true), [2, 1]);
    assert_eq!(passage(false), [1, 2]);
}

/// Two slurs in one direction without a rest between: where the second begins with an accent on the barline a
/// player lifts for it, but not between swift notes, where the line would be torn. Common practice, no source.
#[test]
fn nobody_lifts_between_swift_slurs() {
    let slurs = |time: TimeSignature, value: NoteValue| {
        let (mut lesson, ids) = passage(time, &[value; 12]);
        for slur in ids.chunks(2) {
            let edit = set_slur(&lesson, slur, true);
            take(&mut lesson, edit);
        }
        let barline = lesson.score.events.iter_mut().find(|event| event.id == ids[6]).expect("there");
        barline.marks.insert(Mark::Accent);
        directions(&analyse(&lesson))
    };
    assert_eq!(slurs(TimeSignature::new(6, 4), QUARTER), "duddud");
    assert_eq!(slurs(TimeSignature::new(3, 4), EIGHTH), "dududu");
    // Nor after them, but for an sf.
    let after = |mark: Mark| {
        let empty = Writer::new(new_passage(Family::Violin, TimeSignature::new(3, 4), 0, 120.0));
        let slur = |writer: Writer| writer.note("A4", EIGHTH).note("B4", EIGHTH).slur(2);
        let bar = (0..3).fold(empty, |writer, _| slur(writer));
        directions(&analyse(&written(bar.note("C5", HALF).mark(mark)).0))
    };
    assert_eq!((after(Mark::Accent).as_str(), after(Mark::Sforzando).as_str()), ("dudu", "dudd"));
}

/// The last bow before a strong beat is an up-bow (common practice, no source); before a rest nothing asks for
/// one.
#[test]
fn what_ends_before_a_rest_leads_into_nothing() {
    let against = |rests: bool| {
        let start = Writer::new(new_passage(Family::Violin, TimeSignature::new(3, 4), 0, 60.0));
        let bar = (0..3).fold(start, |writer, _| writer.note("A4", QUARTER));
        let (mut lesson, ids) = written(if rests { bar.rest(QUARTER) } else { bar }.note("A4", HALF));
        let edit = set_bow(&lesson, &ids[2..3], Some(Down));
        take(&mut lesson, edit);
        (analyse(&lesson).bowed(2).against, lesson.setup.school.leanings.down_into_barline)
    };
    let ((before_rest, _), (before_note, leaning)) = (against(true), against(false));
    assert!((before_note - before_rest - leaning).abs() < 1e-9, "{before_rest}, {before_note}");
}

/// Accents off the barline are the strong beats of their bar: down-bows are for them, also where the barline then
/// has an up-bow. Common practice, no source.
#[test]
fn accents_come_down_where_the_barline_has_none() {
    let start = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 100.0)).rest(HALF);
    let pairs =
        (0..3).fold(start, |writer, _| writer.note("A4", QUARTER).note("B4", QUARTER).mark(Mark::Accent));
    let (mut lesson, _) = written(pairs);
    assert_eq!(directions(&analyse(&lesson)), "ududud");
    lesson.setup.school.leanings.plain_barline_part = 1.0;
    assert_eq!(directions(&analyse(&lesson)), "dududu");
}

/// What is hooked to a long note is hardly separated: the stop takes a fifth of a short note, and of a long one no
/// more than 0.15 s (both assumed).
#[test]
fn the_stop_of_a_hooked_bow_is_short() {
    for (value, sounding_s) in [(QUARTER, 0.85), (EIGHTH, 0.4), (WHOLE, 3.85)] {
        let (mut lesson, ids) = passage(TimeSignature::new(4, 4), &[value; 2]);
        let edit = set_bow(&lesson, &ids, Some(Up));
        take(&mut lesson, edit);
        let analysis = analyse(&lesson);
        assert_eq!(directions(&analysis), "u");
        let sounding = analysis.bowed(0).sounding_s;
        assert!((sounding - sounding_s).abs() < 1e-9, "{value:?}: {sounding} s");
    }
}
