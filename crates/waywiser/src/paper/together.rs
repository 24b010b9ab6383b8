//! A number and its unit stay on one line.

use truing::report::document::{Block, Document};

/// Between the two, instead of a space.
pub const UNBROKEN: char = '\u{a0}';
/// Words that belong to the number before them.
const UNITS: [&str; 23] = [
    "mph", "km/h", "mi", "km", "ft", "in", "m", "mm", "cm", "%", "psi", "kPa", "bar", "lb", "kg", "Hz",
    "kHz", "s", "min", "rpm", "minutes", "seconds", "miles",
];

/// The text with every space between a number and its unit, and around a sign for give or take, unbroken.
pub fn together(text: &str) -> String {
    joined(text, belongs)
}

/// The same, but a value may part from what is give or take: a phone has no room for both on one line.
#[cfg(any(feature = "page", test))]
pub fn units_together(text: &str) -> String {
    joined(text, |before, word| belongs(before, word) && !is_sign(word))
}

fn joined(text: &str, belongs: impl Fn(&str, &str) -> bool) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let mut out = String::with_capacity(text.len());
    for (index, word) in words.iter().enumerate() {
        if index > 0 {
            out.push(if belongs(words[index - 1], word) { UNBROKEN } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// The same of every word of a document.
pub fn kept_together(document: &Document) -> Document {
    let mut document = document.clone();
    document.blocks.iter_mut().for_each(block);
    document
}

fn block(block: &mut Block) {
    match block {
        Block::Answer(text) | Block::Sentence(text) | Block::Caution(text) => *text = together(text),
        Block::Table(table) | Block::Form(table) => all(table.rows.iter_mut().flatten()),
        Block::Steps(steps) => {
            for step in steps {
                step.text = together(&step.text);
                all(step.otherwise.iter_mut());
            }
        }
        Block::Chart(chart) => chart.description = together(&chart.description),
        Block::Timeline(moments) => all(moments.iter_mut().map(|moment| &mut moment.says)),
        Block::Method(lines) => all(lines.iter_mut()),
        Block::Chain(links) => all(links.iter_mut().map(|link| &mut link.factor)),
        Block::Heading(_) | Block::Drawing(_) | Block::Lines(_) => {}
    }
}

fn all<'a>(texts: impl Iterator<Item = &'a mut String>) {
    texts.for_each(|text| *text = together(text));
}

fn is_sign(word: &str) -> bool {
    word == "\u{b1}" || word == "+/-"
}

fn belongs(before: &str, word: &str) -> bool {
    let bare = word.trim_end_matches(['.', ',', ';', ':', ')', '?', '!']);
    let is_number = before.ends_with(|c: char| c.is_ascii_digit());
    is_number && (UNITS.contains(&bare) || is_sign(word)) || is_sign(before)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit() {
        let check = |text: &str, expected: &str| assert_eq!(together(text).replace(UNBROKEN, "~"), expected);
        check("hold at 55 mph, then 60 mph.", "hold at 55~mph, then 60~mph.");
        check("803.9 \u{b1} 7.8 rev", "803.9~\u{b1}~7.8 rev");
        check("4.2 % (95 %)", "4.2~% (95~%)");
        check("  two  spaces 5 in", "  two  spaces 5~in");
        check("in 5 days", "in 5 days");
        assert_eq!(units_together("803.9 \u{b1} 7.8 mi").replace(UNBROKEN, "~"), "803.9 \u{b1}~7.8~mi");
    }
}
