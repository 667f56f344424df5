//! Hairpins and lines of dashes: ends paired in musical time.

use super::{raw::Origin, settling::Settling};
use crate::score::{Quarters, SignKind};

/// A hairpin or line of dashes being collected: place, number, and what starts there.
pub(super) struct Span {
    pub at: Quarters,
    pub number: u8,
    pub line: u32,
    /// Byte offset of its element.
    pub origin: usize,
    pub bar: usize,
    pub niente: bool,
    /// Opening or closing, or the end of a span.
    pub start: Option<bool>,
}

/// Pairs starts and ends by number in musical time: the hairpins, each with where it starts and where
/// it was read.
/// `dynamics` are the places of dynamic marks, in order; `printed` tells hairpins from dashes.
pub(super) fn pair(
    settling: &mut Settling<'_>,
    dynamics: &[Quarters],
    mut spans: Vec<Span>,
    printed: bool,
) -> Vec<(Quarters, SignKind, Origin)> {
    spans.sort_by_key(|span| (span.at, span.start.is_some()));
    let mut open: Vec<Span> = Vec::new();
    let mut found: Vec<(Span, Quarters, bool, Option<usize>)> = Vec::new();
    let mut loose: Vec<Span> = Vec::new();
    for span in spans {
        let position = open.iter().position(|other| other.number == span.number);
        let before = position.map(|position| open.remove(position));
        match (span.start, before) {
            (Some(_), before) => {
                loose.extend(before);
                open.push(span);
            }
            (None, Some(start)) => found.push((start, span.at, span.niente, Some(span.origin))),
            (None, None) if printed => {
                settling.warn_at(span.bar, span.line, "a hairpin ends that never began; it is left out", "");
            }
            (None, None) => {}
        }
    }
    loose.extend(open);
    for span in loose {
        let end = led_on(settling, dynamics, &span);
        if end > span.at {
            found.push((span, end, false, None));
        }
    }
    let kind = |start: &Span, end, niente| SignKind::Hairpin {
        opens: start.start == Some(true),
        end,
        niente: niente || start.niente,
    };
    let hairpin = |(start, end, niente, end_origin): (Span, Quarters, bool, Option<usize>)| {
        let origin = Origin { start: Some(start.origin), end: end_origin };
        (start.at, kind(&start, end, niente), origin)
    };
    found.into_iter().map(hairpin).collect()
}

/// The end given to a hairpin that has none.
fn led_on(settling: &mut Settling<'_>, dynamics: &[Quarters], span: &Span) -> Quarters {
    settling.warn_at(
        span.bar,
        span.line,
        "a hairpin never ends; it is led to the next dynamic mark or the end of its bar",
        "",
    );
    let next = dynamics.get(dynamics.partition_point(|at| *at <= span.at)).copied();
    let bar_end = settling.timeline.start(span.bar + 1);
    next.map_or(bar_end, |next| next.min(bar_end))
}
