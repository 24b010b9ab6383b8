//! Text on its way to a terminal: what a file or a name holds must not move the cursor, colour or hide anything there.
//!
//! Control characters (C0 but for the line end and the tab, DEL, C1, ISO 6429) and the marks that turn the direction of
//! writing (Unicode Standard Annex 9) or cannot be seen are shown by their numbers.

use std::fmt::Write;

fn is_dangerous(letter: char) -> bool {
    matches!(letter, '\0'..='\u{8}' | '\u{b}'..='\u{1f}' | '\u{7f}'..='\u{9f}')
        || matches!(letter, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// The same text with `\u{1b}` and the like in place of what a terminal would obey.
pub fn plain(text: &str) -> String {
    replaced(text, |out, letter| {
        let _ = write!(out, "\\u{{{:x}}}", u32::from(letter));
    })
}

/// The same for JSON, whose strings may hold any of them but the first thirty-two: it says the same to whoever reads it.
pub fn plain_json(json: &str) -> String {
    replaced(json, |out, letter| {
        let _ = write!(out, "\\u{:04x}", u32::from(letter));
    })
}

fn replaced(text: &str, put: impl Fn(&mut String, char)) -> String {
    if !text.chars().any(is_dangerous) {
        return text.to_string();
    }
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        if is_dangerous(letter) { put(&mut out, letter) } else { out.push(letter) }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_would_obey_is_shown() {
        let check = |text: &str, expected: &str| assert_eq!(plain(text), expected);
        check("quiet road\n\ttwo", "quiet road\n\ttwo");
        check("\u{1b}[2J\u{1b}]0;title\u{7}", "\\u{1b}[2J\\u{1b}]0;title\\u{7}");
        check("a\rb\u{8}c\u{7f}", "a\\u{d}b\\u{8}c\\u{7f}");
        check("\u{9b}31m", "\\u{9b}31m");
        check("abc\u{202e}fdp.exe\u{2066}x\u{200f}", "abc\\u{202e}fdp.exe\\u{2066}x\\u{200f}");
        check("Grün, 漢字, עברית", "Grün, 漢字, עברית");
    }

    #[test]
    fn json_stays_the_same_json() {
        let said = serde_json::json!({ "name": "\u{1b}[2J\u{9b}\u{202e}\u{7f}é" });
        let shown = plain_json(&said.to_string());
        assert!(!shown.chars().any(is_dangerous), "{shown}");
        assert_eq!(serde_json::from_str::<serde_json::Value>(&shown).unwrap(), said);
    }
}
