//! Figures as they are typed: read, or refused with what is possible.

use std::{fmt::Display, ops::RangeInclusive, str::FromStr};

use clap::error::{ContextKind, ContextValue, ErrorKind};

/// A number. For one whose range the music or the table of figures gives; that is asked later.
pub(super) fn number(typed: &str) -> Result<f64, String> {
    typed.trim().parse().map_err(|_| "give a number".to_owned())
}

/// A number of something that is counted from 1; how many there are is asked later.
pub(super) fn place(typed: &str) -> Result<usize, String> {
    let place = typed.trim().parse().ok().filter(|&place| place > 0);
    place.ok_or_else(|| "give a whole number, 1 or more".to_owned())
}

/// A number in a range.
pub(super) fn between(
    range: RangeInclusive<f64>,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |typed| in_range(typed, &range, "number")
}

/// A whole number in a range.
pub(super) fn whole<N>(
    range: RangeInclusive<N>,
) -> impl Fn(&str) -> Result<N, String> + Clone + Send + Sync + 'static
where
    N: FromStr + PartialOrd + Display + Clone + Send + Sync + 'static,
{
    move |typed| in_range(typed, &range, "whole number")
}

fn in_range<N: FromStr + PartialOrd + Display>(
    typed: &str,
    range: &RangeInclusive<N>,
    what: &str,
) -> Result<N, String> {
    let number = typed.trim().parse().ok().filter(|number| range.contains(number));
    number.ok_or_else(|| format!("give a {what} from {} to {}", range.start(), range.end()))
}

/// What is wrong with the value of an option, where that is what is wrong with the arguments.
pub(super) fn refused(error: &clap::Error) -> Option<String> {
    let told = |kind| match error.get(kind) {
        Some(ContextValue::String(words)) => Some(words.as_str()),
        _ => None,
    };
    let why = std::error::Error::source(error).filter(|_| error.kind() == ErrorKind::ValueValidation)?;
    let option = told(ContextKind::InvalidArg)?.split(' ').next()?;
    let typed = told(ContextKind::InvalidValue)?;
    let typed = if typed.is_empty() { "\"\"" } else { typed };
    Some(format!("{option} {typed}: {why}"))
}
