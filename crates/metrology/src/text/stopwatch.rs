//! What a stopwatch shows.

use super::{TextError, Typable, Typed, duration, quoted, scan};
use crate::quantity::Duration;

/// Reads a time as a stopwatch shows it: `62.4`, `1:02.4` or `1' 2.4"` are minutes and seconds; a unit may stand too.
///
/// # Errors
/// What is no such time, hours among it: nobody stops them.
///
/// ```
/// use metrology::text::stopwatch;
/// assert_eq!(stopwatch("1:02.4").map(|time| time.value.s()), Ok(62.4));
/// assert_eq!(stopwatch("62.4").map(|time| time.value.s()), Ok(62.4));
/// ```
pub fn stopwatch(text: &str) -> Result<Typed<Duration>, TextError> {
    let bare = scan::plain_signs(text.trim());
    let spelled = match bare.split_once(':').or(bare.split_once('\'')) {
        Some((minutes, seconds)) => format!("{minutes} min {} s", seconds.trim_end_matches('"')),
        None if bare.ends_with(|sign: char| sign.is_ascii_digit()) => format!("{bare} s"),
        None => bare,
    };
    let hint = format!("type it like 1:02.4, or {}", Duration::EXAMPLE);
    duration(&spelled).map_err(|_| TextError::new("a time such as 62.4 or 1:02.4", quoted(text), hint))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_and_seconds_as_shown() {
        let check = |text: &str, seconds: f64, step: f64| {
            let read = stopwatch(text).unwrap();
            assert!(
                (read.value.s() - seconds).abs() < 1e-12 && (read.resolution.s() - step).abs() < 1e-12,
                "{text}: {read:?}"
            );
        };
        check("62.4", 62.4, 0.1);
        check("1:02.4", 62.4, 0.1);
        check(" 1:02.40 ", 62.4, 0.01);
        check("1'02.4\"", 62.4, 0.1);
        check("1 min 2.4 s", 62.4, 0.1);
        check("62 s", 62.0, 1.0);
        check("0:58", 58.0, 1.0);
        for refused in ["", "1:62", "1:02:03", ":05", "1:", "a minute", "-5", "62.4 mi"] {
            let error = stopwatch(refused).unwrap_err();
            assert!(error.found.contains(refused) || refused.is_empty(), "{error}");
        }
    }
}
