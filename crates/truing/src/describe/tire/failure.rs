//! What to say when a size cannot be read, or is read and in no table.

use super::scan::Failure;
use crate::problem::Problem;

const SOURCE: &str = "tire size";

/// The text stops making sense at a place.
pub(super) fn unreadable(text: &str, failure: &Failure, hint: String) -> Problem {
    let rest: String = text.chars().skip(failure.at).collect();
    let found = match (text.trim().is_empty(), rest.trim().is_empty()) {
        (true, _) => "nothing".to_string(),
        (false, true) => format!("the end of {text:?}"),
        (false, false) if failure.at == 0 => format!("{text:?}"),
        (false, false) => format!("{:?} in {text:?}", rest.trim()),
    };
    Problem::error(SOURCE, failure.expected.clone(), found)
        .in_part(format!("character {}", failure.at + 1))
        .hint(hint)
}

/// The size is well written and no table here has it.
pub(super) fn not_in_table(text: &str, neighbours: &[String]) -> Problem {
    let also = match neighbours {
        [] => String::new(),
        some => format!("; with this rim the tables have {}", some.join(", ")),
    };
    Problem::error(
        SOURCE,
        "a size whose diameter is in the table",
        format!("{:?}, not in the table", text.trim()),
    )
    .hint(format!("give the diameter instead, such as \"31.2 in\" or \"792 mm\"{also}"))
}

/// The text is no size at all.
pub(super) fn too_long(length: usize, longest: usize) -> Problem {
    Problem::error(SOURCE, format!("at most {longest} characters"), format!("{length} characters"))
        .hint("give only the size as it stands on the sidewall, such as LT275/75R17")
}

/// A measured diameter that cannot be one.
pub(super) fn bad_diameter((low, high): (f64, f64), value_mm: f64, u_mm: f64) -> Problem {
    let expected = format!("a tire diameter from {low} to {high} mm with a smaller uncertainty");
    Problem::error("tire diameter", expected, format!("{value_mm} mm, uncertain by {u_mm} mm"))
        .hint("check the unit it was given in")
}
