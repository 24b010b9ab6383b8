//! How much room words take, and words broken into lines. Estimates lean to the wide side: the font is not ours.

use super::picture::{FONT_SIZE, LINE_HEIGHT};
use maud::{Markup, html};

/// Room above the base line of a line of words, as a part of the font's size.
const ASCENT: f64 = 0.95;

/// Estimated width of a text in picture units.
pub fn width(text: &str) -> f64 {
    text.chars().map(char_width).sum::<f64>() * FONT_SIZE
}

/// Widths of the common system fonts, rounded up: part of the font's size.
fn char_width(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | '(' | ')' => 0.36,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.98,
        'A'..='Z' | '&' => 0.76,
        c if (c as u32) < 0x250 => 0.63,
        '\u{2212}' | '\u{2013}' | '\u{2019}' => 0.75,
        _ => 1.05,
    }
}

/// The text in lines that each fit; a word longer than a line is broken.
pub fn wrap(text: &str, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace().flat_map(|word| pieces(word, room)) {
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if width(&longer) <= room {
            line = longer;
        } else {
            lines.extend((!line.is_empty()).then(|| std::mem::take(&mut line)));
            line = word;
        }
    }
    lines.extend((!line.is_empty()).then_some(line));
    lines
}

fn pieces(word: &str, room: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    let mut used = 0.0;
    for c in word.chars() {
        let wide = char_width(c) * FONT_SIZE;
        if used + wide > room && used > 0.0 {
            pieces.push(String::new());
            used = 0.0;
        }
        used += wide;
        pieces.last_mut().into_iter().for_each(|piece| piece.push(c));
    }
    pieces
}

/// Where the base line lies in a line of words that starts at `top`.
pub fn base_line(top: f64) -> f64 {
    top + ASCENT * FONT_SIZE
}

/// Lines of words from the left edge down from `top`; the words and where they end.
pub fn lines_at(text: &str, top: f64, room: f64) -> (Markup, f64) {
    let lines = wrap(text, room);
    let end = top + LINE_HEIGHT * lines.len() as f64;
    let words = html! {
        @for (index, line) in lines.iter().enumerate() {
            text x="0" y=(px(base_line(top + LINE_HEIGHT * index as f64))) { (line) }
        }
    };
    (words, end)
}

/// A coordinate in writing.
pub fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_string).unwrap_or(text)
}
