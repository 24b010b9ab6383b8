//! What a passenger types.

/// What a line means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Typed {
    /// The needle stands at this number from now on.
    Steady(String),
    /// It does so no longer.
    Ended,
    /// The odometer turned to this number now.
    Odometer(String),
    /// Words.
    Note(String),
    /// Nothing that is known.
    Unknown,
}

impl Typed {
    /// From a line.
    pub fn read(line: &str) -> Self {
        let line = line.trim();
        let (word, rest) =
            line.split_once(char::is_whitespace).map_or((line, ""), |(word, rest)| (word, rest.trim()));
        match word {
            "" => Self::Ended,
            "o" | "O" => number(rest).map_or(Self::Unknown, Self::Odometer),
            "n" | "N" if !rest.is_empty() => Self::Note(rest.to_string()),
            _ => number(line).map_or(Self::Unknown, Self::Steady),
        }
    }
}

/// A number as it was typed, digits kept: the last one says how finely an odometer turns.
fn number(text: &str) -> Option<String> {
    let plain = text.replace(',', ".");
    let is_number =
        plain.bytes().all(|sign| sign.is_ascii_digit() || sign == b'.') && plain.parse::<f64>().is_ok();
    is_number.then_some(plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_line_means() {
        let check = |line: &str, expected: Typed| assert_eq!(Typed::read(line), expected, "{line:?}");
        check("45", Typed::Steady("45".into()));
        check(" 62,5 \n", Typed::Steady("62.5".into()));
        check("\n", Typed::Ended);
        check("o 412.70", Typed::Odometer("412.70".into()));
        check("n gravel from here", Typed::Note("gravel from here".into()));
        for line in ["o", "o x", "n", "hello", "-5", "45 45", "1e3", "inf", "4.5.6", "."] {
            check(line, Typed::Unknown);
        }
    }
}
