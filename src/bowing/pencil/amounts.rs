//! How much bow: long bows, bows to be divided, bows that the plan holds back or that have to win back what
//! another has spent, and crescendos that need their bow late.

use super::{
    Advice, Draft, Need, Topic,
    ground::{a_bow, part_words},
    journeys::{Course, LEAST_BOWS},
};
use crate::{
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
    score::{Direction, Mark, count_words},
};

/// A bow of this part of the player's slowest whole bow is slow, and of this part better divided. Assumed.
const SLOW_PART: f64 = 0.35;
const DIVIDE_PART: f64 = 0.55;
/// However slow a player can draw the bow, one of this length is slow for a sound that carries, and better
/// divided, s: with several notes, and with one. Assumed.
const SLOW_S: [f64; 2] = [2.4, 2.5];
const DIVIDE_S: [f64; 2] = [6.0, 8.0];
/// So many notes in a row, each in a bow of its own and this long, are told of, s. Assumed.
const ROW: usize = 5;
const ROW_S: f64 = 2.0;
/// A short bow has to bring back what a long one has spent if it lasts at most this part of it, and goes
/// faster by this factor in the plan. Assumed.
const SHORT_PART: f64 = 0.5;
/// After a bow not so many times as long as it is written one comes back without a word. Assumed.
const MUCH_LONGER: usize = 3;
/// A longer bow back has time, s. Assumed.
const BACK_S: f64 = 0.6;
const FASTER: f64 = 1.0;
/// Less of the hair than this comes back without a word. Assumed: in p two bows of it fit into either half.
const SPENT_PART: f64 = 0.2;
/// A bow that is so many dynamic steps louder than the one before it began is not light. Assumed.
const LOUDER: f64 = 0.5;
/// A bow is held back where it gets at most this part of the hair it would like, and free from this part on.
/// Assumed.
const HELD_BACK: f64 = 0.75;
const FREE: f64 = 1.5;
/// Less of the hair than this is nothing to spend freely. Assumed.
const FREELY: f64 = 0.4;
/// Shorter bows are not worth a word about saving, s. Assumed.
const SAVING_S: f64 = 0.8;
/// A crescendo is worth a thought about its bow from so many dynamic steps and so long a bow on, s. Assumed.
const SWELL: f64 = 0.5;
const SWELL_S: f64 = 0.5;
/// A bow has a part in a crescendo or diminuendo over several bows from so many steps on. Assumed.
const TAKES_PART: f64 = 0.1;
/// The first bow of a crescendo that goes on through the next ones takes so many of its steps. Assumed.
const BEGINS: f64 = 0.2;
/// A bow of less than this part of the one before it gets no more bow than that. Assumed.
const SHORTER: f64 = 0.5;
/// A bow that fades is worth a word from this length on, s. Assumed.
const FADE_S: f64 = 1.5;
/// A bow that grows fades again if it ends so many steps softer than it was. Assumed.
const FADES: f64 = 0.3;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let courses = Course::all(evidence);
    for stroke in 0..evidence.strokes().len() {
        drafts.extend(row(evidence, stroke));
        let spending = || {
            swell(evidence, &courses, stroke)
                .or_else(|| {
                    if evidence.is_loud(evidence.main_note(stroke)) {
                        fade(evidence, &courses, stroke)
                    } else {
                        None
                    }
                })
                .or_else(|| uneven(evidence, stroke))
                .or_else(|| held(evidence, stroke))
                .or_else(|| long(evidence, stroke))
                .or_else(|| fade(evidence, &courses, stroke))
                .or_else(|| bent(evidence, stroke))
        };
        // An accent at the start of a crescendo tells of it too.
        let told = evidence.is_accented(evidence.main_note(stroke)) && evidence.grows(stroke);
        let draft = divide(evidence, stroke).or_else(|| if told { None } else { spending() });
        drafts.extend(draft);
    }
}

/// A stroke so long that it is better divided.
fn divide(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let seconds = evidence.seconds(stroke);
    let slowest = evidence.lesson.setup.player.slowest_whole_bow_s;
    let count = evidence.main_notes(stroke);
    let piece = evidence.main_note(stroke);
    let limit_s = DIVIDE_S[usize::from(count <= 1)].min(DIVIDE_PART * slowest);
    if seconds < limit_s || !evidence.plan.piece(piece).moves() {
        return None;
    }
    let note = evidence.called(piece);
    let sentence = match count {
        0 | 1 => format!(
            "{note} lasts {seconds:.0} seconds: very slow from its first moment, or a change that nobody hears."
        ),
        _ => format!(
            "{} notes and {seconds:.0} seconds in one bow: very slow from {note} on, or a change that nobody hears.",
            count_words(count)
        ),
    };
    let why = "One bow hardly lasts so long with a sound that carries.";
    let advice = Advice::new(Topic::RunsOut, Need::Must, "slow, or divide", sentence, why);
    // Slurs are divided one by one; long notes are alike.
    Some(advice.over(evidence, piece, hashed((count > 1).then_some(piece))))
}

/// A stroke that takes long.
fn long(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let seconds = evidence.seconds(stroke);
    let slowest = evidence.lesson.setup.player.slowest_whole_bow_s;
    let piece = evidence.main_note(stroke);
    let slow_s = SLOW_S[usize::from(evidence.main_notes(stroke) <= 1)];
    if seconds < slow_s.min(SLOW_PART * slowest) || !evidence.plan.piece(piece).moves() {
        return None;
    }
    let note = evidence.called(piece);
    let struck = evidence.is_accented(piece);
    let paused = evidence.note(piece).marks.contains(&Mark::Fermata);
    let more = if paused { ", and more under the fermata" } else { "" };
    let (topic, text, sentence) = match evidence.main_notes(stroke) {
        0 | 1 => {
            let start = if struck { "a quick start, then at once" } else { "a calm start and" };
            (
                Topic::LongNote,
                if struck { "strike, then slow" } else { "slow bow" },
                format!("{note} lasts {seconds:.0} seconds{more}: {start} an even, slow bow to its end."),
            )
        }
        count => (
            Topic::Amount,
            "save",
            format!(
                "Save: {} notes and {seconds:.0} seconds in this bow, so little of it for {note}.",
                count_words(count)
            ),
        ),
    };
    let why = "What is spent at the start is missing at the end.";
    // A bow twice as long is another one.
    let length = (seconds / slow_s).log2().floor() as i64;
    Some(Advice::new(topic, Need::Worth, text, sentence, why).over(
        evidence,
        piece,
        hashed(("long", struck, length)),
    ))
}

/// A bow that ends in a fermata lasts longer than it is written.
fn held(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let (main, last) = (evidence.main_note(stroke), evidence.last_note(stroke));
    let struck = evidence.is_accented(main) && main == last;
    if struck || !evidence.note(last).marks.contains(&Mark::Fermata) || !evidence.plan.piece(main).moves() {
        return None;
    }
    let called = evidence.called(last);
    let (topic, text, sentence) = if main == last {
        (
            Topic::LongNote,
            "fermata: slow bow",
            format!("Hold {called} as long as the fermata asks: a calm start and a slow bow."),
        )
    } else {
        (
            Topic::Amount,
            "save for the fermata",
            format!(
                "Save from {} on: half of this bow is for {called} under the fermata.",
                evidence.called(main)
            ),
        )
    };
    let why = "A fermata lasts longer than its note, and nobody knows beforehand how long.";
    Some(Advice::new(topic, Need::Worth, text, sentence, why).over(
        evidence,
        main,
        hashed(("held", last - main)),
    ))
}

/// The first of a row of long notes that are slow only because there are so many of them.
fn row(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let long = |stroke: usize| {
        let seconds = evidence.seconds(stroke);
        evidence.main_notes(stroke) == 1
            && (ROW_S..SLOW_S[1]).contains(&seconds)
            && evidence.is_planned(stroke)
    };
    let first = stroke == 0 || !long(stroke - 1);
    let count = (stroke..evidence.strokes().len()).take_while(|&stroke| long(stroke)).count();
    if !first || count < ROW {
        return None;
    }
    let piece = evidence.main_note(stroke);
    let advice = Advice::new(
        Topic::LongNote,
        Need::Worth,
        "slow, even bows",
        format!(
            "From {} on {} long notes, a bow for each: one slow speed, and no bump at the changes.",
            evidence.called(piece),
            count_words(count)
        ),
        "In long notes every change of speed is heard.",
    );
    Some(advice.over(evidence, piece, hashed("row")))
}

/// A short stroke on the string brings back what this long one has spent: whichever of the two the plan
/// bends more is told.
fn uneven(evidence: &Evidence, long: usize) -> Option<Draft> {
    let short = long + 1;
    if short >= evidence.strokes().len() || !evidence.is_planned(long) || !evidence.is_planned(short) {
        return None;
    }
    let (long_s, short_s) = (evidence.seconds(long), evidence.seconds(short));
    let turned = evidence.bowed(evidence.first(short)).reached == Reached::BowChange;
    // A stroke with weight or breadth of its own is not light, and one with dots is not long.
    let heavy = |piece| {
        let note = evidence.note(piece);
        let own = note.marks.iter().any(|mark| matches!(mark, Mark::Tenuto | Mark::Trill));
        evidence.is_accented(piece) || own || note.is_dotted() || note.notes.len() > 2
    };
    let weighty = evidence.strokes()[short].notes.clone().any(heavy)
        || evidence.level(evidence.main_note(short)) - evidence.level(evidence.main_note(long)) >= LOUDER;
    let grows = evidence.end_level(short) - evidence.level(evidence.main_note(short)) >= FADES;
    let (spent, back) = (evidence.used_mm(long), evidence.used_mm(short));
    let faster = (back / short_s) / (spent / long_s).max(1e-9);
    if !turned
        || weighty
        || short_s > SHORT_PART * long_s
        || grows
        || faster < FASTER
        || !drifts(evidence, long)
        || spent < SPENT_PART * evidence.plan.problem.hair_mm
    {
        return None;
    }
    let written = |stroke| {
        (evidence.note(evidence.last_note(stroke)).end() - evidence.note(evidence.first(stroke)).onset)
            .to_f64()
    };
    let times = (written(long) / written(short).max(1e-9)).round() as usize;
    let times_words = match times {
        0..=2 => "twice".to_owned(),
        3..=12 => format!("{} times", count_words(times)),
        _ => "many times".to_owned(),
    };
    let (first, second) = (evidence.main_note(long), evidence.main_note(short));
    let end = if evidence.way(short) == Direction::Up { "the tip" } else { "the frog" };
    let why = format!("Otherwise the bow creeps to {end}.");
    let held = spent / evidence.wanted_mm(long).max(1e-9);
    let quick = back / evidence.wanted_mm(short).max(1e-9);
    if held * quick < 1.0 && held <= HELD_BACK && !gives_at_once(evidence, long) {
        let part = part_words(spent / evidence.plan.problem.hair_mm.max(1.0));
        let sentence = format!(
            "Save: {part} for {}, since the bow after it is short and has to bring it all back.",
            evidence.called(first)
        );
        let advice = Advice::new(Topic::Amount, Need::Worth, "save", sentence, why);
        return Some(advice.over(evidence, first, hashed("save")));
    }
    if times < MUCH_LONGER {
        return None;
    }
    let called = evidence.called(second);
    let sentence = format!(
        "{called} comes after a bow {times_words} as long: save on that one, and let {called} go back quick and light.",
    );
    let weight = if short_s <= BACK_S { Need::Worth } else { Need::IfTime };
    let advice = Advice::new(Topic::Amount, weight, "light, quick back", sentence, why);
    Some(advice.over(evidence, second, hashed(("back", times))))
}

/// What is around a long bow and the short one after it does not bring them back by itself: more bows follow,
/// not as short.
fn drifts(evidence: &Evidence, long: usize) -> bool {
    let (short, next) = (long + 1, long + 2);
    next < evidence.strokes().len()
        && evidence.bowed(evidence.first(next)).reached == Reached::BowChange
        && evidence.rhythm(short) != evidence.rhythm(next)
}

/// A crescendo inside one bow.
fn swell(evidence: &Evidence, courses: &[Course], stroke: usize) -> Option<Draft> {
    let (main, last) = (evidence.main_note(stroke), evidence.last_note(stroke));
    let (from, end) = (evidence.note(main).onset, evidence.note(last).end());
    if evidence.seconds(stroke) < SWELL_S || !evidence.plan.piece(main).moves() {
        return None;
    }
    let dynamics = &evidence.line.dynamics;
    let start = evidence.level(main);
    let ended = evidence.end_level(stroke);
    let count = evidence.main_notes(stroke);
    let pieces = dynamics.pieces(from, end);
    let (top, loudest) = pieces
        .iter()
        .flat_map(|(s, e, at_s, at_e)| [(*s, *at_s), (*e, *at_e)])
        .fold((from.to_f64(), start), |best, here| if here.1 > best.1 + 1e-9 { here } else { best });
    if loudest - start >= SWELL && loudest - ended >= FADES {
        let reached = |piece: &usize| evidence.note(*piece).onset.to_f64() <= top + 1e-6;
        let peak = evidence.strokes()[stroke].notes.clone().take_while(reached).last().unwrap_or(main);
        let most = match peak == main {
            true => "most of the bow in its middle".to_owned(),
            false => format!("most of the bow about {}", evidence.called(peak)),
        };
        let advice = Advice::new(
            Topic::Amount,
            Need::Worth,
            "swell",
            format!("One bow grows and fades: little of it at first, {most}, little at the end."),
            "The swell is made by the speed of the bow, and that changes twice.",
        );
        return Some(advice.over(evidence, main, hashed(("grows and fades", count))));
    }
    // In a crescendo over several bows none of them bulges at its end, nor begins anew.
    let bows = bows_of_course(evidence, courses, stroke, true)?;
    // One over many bows is told as a journey, where it begins little by little.
    if ended - start < if (2..LEAST_BOWS).contains(&bows) { BEGINS } else { SWELL } {
        return None;
    }
    if bows > 1 {
        let advice = Advice::new(
            Topic::Amount,
            Need::Worth,
            "more and more bow",
            format!(
                "Growing over {} bows: begin {} with little bow and give each a little more.",
                count_words(bows),
                evidence.called(main)
            ),
            "A crescendo that starts with a full bow has nothing to grow with.",
        );
        return Some(advice.over(evidence, main, hashed(("grows on", bows))));
    }
    let sentence = match count {
        0 | 1 => {
            format!(
                "Begin {} with little bow and spend most of it at the end, where it is loudest.",
                evidence.called(main)
            )
        }
        _ => format!(
            "Save on {} and spend most of the bow at the end of the slur, where it is loudest.",
            evidence.called(main)
        ),
    };
    let advice = Advice::new(
        Topic::Amount,
        Need::Worth,
        "save, then spend",
        sentence,
        "The bow that makes the crescendo is needed late.",
    );
    // Long notes differ by their lengths, slurs by their notes.
    let length = (count <= 1).then(|| evidence.note(main).duration);
    Some(advice.over(
        evidence,
        main,
        hashed(("swell", count, length.map(|length| (length.numer(), length.denom())))),
    ))
}

/// How many bows a crescendo, or a diminuendo, goes on through from this one; none if one before it has begun it.
fn bows_of_course(evidence: &Evidence, courses: &[Course], stroke: usize, grows: bool) -> Option<usize> {
    let (main, last) = (evidence.main_note(stroke), evidence.last_note(stroke));
    let (onset, end) = (evidence.note(main).onset.to_f64(), evidence.note(last).end().to_f64());
    let in_it = |course: &&Course| {
        (course.change > 0.0) == grows && course.from < end - 1e-6 && course.until > onset + 1e-6
    };
    let Some(course) = courses.iter().find(in_it) else { return Some(1) };
    let changes = |stroke: &usize| {
        let change = evidence.end_level(*stroke) - evidence.level(evidence.main_note(*stroke));
        if grows { change >= TAKES_PART } else { change <= -TAKES_PART }
    };
    // Where it begins under a bow, that one has begun it.
    let from = Course::bows_before(evidence, course.from);
    let first = (from.saturating_sub(1)..stroke).find(changes).unwrap_or(stroke);
    if evidence.bowed(main).onset_s - evidence.bowed(evidence.main_note(first)).onset_s >= SWELL_S {
        return None;
    }
    // A much shorter note has no more bow than the one before it.
    let shorter = |next: &usize| evidence.seconds(*next) < SHORTER * evidence.seconds(next - 1);
    let until = Course::bows_before(evidence, course.until);
    Some(1 + (stroke + 1..until).take_while(|next| !shorter(next)).count())
}

/// A diminuendo inside one bow.
fn fade(evidence: &Evidence, courses: &[Course], stroke: usize) -> Option<Draft> {
    let main = evidence.main_note(stroke);
    let faded = evidence.level(main) - evidence.end_level(stroke);
    if evidence.seconds(stroke) < FADE_S || faded < SWELL || !evidence.plan.piece(main).moves() {
        return None;
    }
    let bows = bows_of_course(evidence, courses, stroke, false)?;
    // An accent in its course keeps the bow, and so does what fades only at its end.
    let (onset, end) = (evidence.note(main).onset, evidence.note(evidence.last_note(stroke)).end());
    let middle = 0.5 * (onset.to_f64() + end.to_f64());
    let accents = (main + 1..evidence.strokes()[stroke].notes.end).any(|piece| evidence.is_accented(piece));
    if accents || evidence.line.dynamics.level(middle) + 0.1 > evidence.level(main) {
        return None;
    }
    if (2..LEAST_BOWS).contains(&bows) {
        let advice = Advice::new(
            Topic::Amount,
            if evidence.is_loud(main) { Need::Worth } else { Need::IfTime },
            "less and less bow",
            format!(
                "Fading over {} bows: spend bow at the start of {}, and give each a little less.",
                count_words(bows),
                evidence.called(main)
            ),
            "Loudness is bow speed and weight: both have to go.",
        );
        return Some(advice.over(evidence, main, hashed(("fades on", bows))));
    }
    let advice = Advice::new(
        Topic::Amount,
        if evidence.is_loud(main) { Need::Worth } else { Need::IfTime },
        "spend, then let go",
        format!(
            "Spend bow at the start of {}, then let it slow and lighten to the end.",
            evidence.called(main)
        ),
        "The diminuendo is made by the bow that gets slower.",
    );
    Some(advice.over(evidence, main, hashed(("fade", evidence.main_notes(stroke)))))
}

/// What fades from a loud start gives its bow at once, and so does what is loud after something softer.
fn gives_at_once(evidence: &Evidence, stroke: usize) -> bool {
    let level = |stroke: usize| evidence.level(evidence.main_note(stroke));
    let fades = evidence.end_level(stroke) + FADES < level(stroke);
    let rises = stroke.checked_sub(1).is_some_and(|before| level(stroke) - level(before) >= LOUDER);
    evidence.is_loud(evidence.main_note(stroke)) && (fades || rises)
}

/// A stroke to which the plan gives notably less or more hair than its notes would like by themselves.
fn bent(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let main = evidence.main_note(stroke);
    let wanted = evidence.wanted_mm(stroke);
    if !evidence.is_planned(stroke) || wanted <= 0.0 || evidence.seconds(stroke) < SAVING_S {
        return None;
    }
    let used = evidence.used_mm(stroke);
    let ratio = used / wanted;
    let part = used / evidence.plan.problem.hair_mm.max(1.0);
    let note = evidence.called(main);
    let fades = evidence.end_level(stroke) + FADES < evidence.level(main);
    let soft = evidence.is_soft(main) || fades;
    let next = (stroke + 1 < evidence.strokes().len()).then_some(stroke + 1);
    let follows = next.filter(|&next| evidence.bowed(evidence.first(next)).reached == Reached::BowChange);
    let advice = if ratio <= HELD_BACK && !gives_at_once(evidence, stroke) {
        let why = if evidence.main_notes(stroke) > 2 {
            "The bow must last for all its notes."
        } else {
            "The bow must be in place for what follows."
        };
        Advice::new(
            Topic::Amount,
            Need::Worth,
            "save",
            format!("Hold back on {note}: {} for this whole stroke.", part_words(part)),
            why,
        )
    } else if ratio >= FREE && part > FREELY && !soft {
        let why = follows.map(|next| {
            let times = evidence.seconds(next) / evidence.seconds(stroke);
            if times > 1.5 {
                format!(
                    "{} after it is longer and needs the room.",
                    crate::score::sentence_case(a_bow(evidence.way(next)))
                )
            } else {
                "It brings the bow to where it is needed next.".to_owned()
            }
        })?;
        Advice::new(
            Topic::Amount,
            Need::Worth,
            "more bow",
            format!("Spend freely from {note} on: {}.", part_words(part)),
            why,
        )
    } else {
        return None;
    };
    let figure = hashed(advice.text.as_str());
    Some(advice.over(evidence, main, figure))
}
