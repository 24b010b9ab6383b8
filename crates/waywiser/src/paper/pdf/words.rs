//! Words broken into lines that fit.

use super::font::{Fonts, Shaped, Weight};
use crate::paper::together::{UNBROKEN, together};

/// Words of one weight.
#[derive(Clone, Debug)]
pub struct Run {
    pub text: String,
    pub weight: Weight,
}

/// A line of words.
#[derive(Clone, Debug, Default)]
pub struct Line {
    /// Words of one weight each, with the place of their left edge, in parts of the font's size.
    pub spans: Vec<(f64, Shaped)>,
    /// Its width in the same.
    pub ems: f64,
}

/// Regular words.
pub fn plain(text: impl Into<String>) -> Vec<Run> {
    vec![Run { text: text.into(), weight: Weight::Regular }]
}

/// Bold words.
pub fn bold(text: impl Into<String>) -> Vec<Run> {
    vec![Run { text: text.into(), weight: Weight::Bold }]
}

/// Bold words, then regular ones.
pub fn led(lead: impl Into<String>, text: impl Into<String>) -> Vec<Run> {
    [bold(lead), plain(text)].concat()
}

/// A word, or as much of one as fits in a line.
struct Word {
    text: String,
    weight: Weight,
    ems: f64,
    /// Whether a space parts it from the word before.
    apart: bool,
}

/// The lines of a text, each at most `room` wide (in parts of the font's size); none without words.
pub fn lines(fonts: &Fonts, runs: &[Run], room: f64) -> Vec<Line> {
    let words = runs.iter().flat_map(|run| words(fonts, run, room));
    let space =
        [Weight::Regular, Weight::Bold].map(|weight| fonts.ems(" x", weight) - fonts.ems("x", weight));
    let space = |weight| if weight == Weight::Regular { space[0] } else { space[1] };
    let mut rows: Vec<Vec<Word>> = Vec::new();
    let mut used = 0.0;
    for word in words {
        let longer = used + if word.apart { space(word.weight) } else { 0.0 } + word.ems;
        match rows.last_mut() {
            Some(row) if longer <= room => {
                used = longer;
                row.push(word);
            }
            _ => {
                used = word.ems;
                rows.push(vec![word]);
            }
        }
    }
    let last = rows.len().saturating_sub(1);
    rows.iter().enumerate().map(|(index, row)| set(fonts, row, index < last)).collect()
}

/// The widest word and the width of the text in one line.
pub fn extent(fonts: &Fonts, runs: &[Run]) -> (f64, f64) {
    let all = lines(fonts, runs, f64::INFINITY);
    let whole = all.first().map_or(0.0, |line| line.ems);
    let widest = runs.iter().flat_map(|run| words(fonts, run, f64::INFINITY)).map(|word| word.ems);
    (widest.fold(0.0, f64::max), whole)
}

fn words(fonts: &Fonts, run: &Run, room: f64) -> Vec<Word> {
    let weight = run.weight;
    let text = together(&fonts.printable(&run.text));
    // Inside a word stands no other white space than what keeps a unit with its number.
    let word = |word: &str| {
        let word = word.replace(UNBROKEN, " ");
        let ems = fonts.ems(&word, weight);
        (word, ems)
    };
    let whole = text.split(' ').filter(|part| !part.is_empty()).map(word);
    let pieces = |(word, ems): (String, f64)| {
        let parts = if ems <= room { vec![(word, ems)] } else { broken(fonts, &word, weight, room) };
        parts.into_iter().enumerate()
    };
    whole.flat_map(pieces).map(|(index, (text, ems))| Word { text, weight, ems, apart: index == 0 }).collect()
}

/// A word in pieces that each fit; a single letter stands even where it does not.
fn broken(fonts: &Fonts, word: &str, weight: Weight, room: f64) -> Vec<(String, f64)> {
    let mut pieces: Vec<(String, f64)> = Vec::new();
    for c in word.chars() {
        let grown = pieces.last().map(|(piece, _)| format!("{piece}{c}"));
        let grown = grown.map(|text| (fonts.ems(&text, weight), text)).filter(|(ems, _)| *ems <= room);
        match (grown, pieces.last_mut()) {
            (Some((ems, text)), Some(last)) => *last = (text, ems),
            _ => pieces.push((c.to_string(), fonts.ems(&c.to_string(), weight))),
        }
    }
    pieces
}

/// A row of words as glyphs. A line that goes on ends in a space, so that who takes the text out finds the words apart.
fn set(fonts: &Fonts, row: &[Word], goes_on: bool) -> Line {
    let mut texts: Vec<(Weight, String)> = Vec::new();
    for (index, word) in row.iter().enumerate() {
        let space = if word.apart && index > 0 { " " } else { "" };
        match texts.last_mut() {
            Some((weight, text)) if *weight == word.weight => text.push_str(&format!("{space}{}", word.text)),
            Some((_, text)) => {
                text.push_str(space);
                texts.push((word.weight, word.text.clone()));
            }
            None => texts.push((word.weight, word.text.clone())),
        }
    }
    if let (true, Some((_, text))) = (goes_on, texts.last_mut()) {
        text.push(' ');
    }
    let mut line = Line::default();
    let mut left = 0.0;
    for (weight, text) in texts {
        let shaped = fonts.shape(&text, weight);
        line.ems = left + shaped.ems;
        left += shaped.glyphs.iter().map(|glyph| f64::from(glyph.x_advance)).sum::<f64>();
        line.spans.push((line.ems - shaped.ems, shaped));
    }
    line
}

/// The text in one line, cut where it is longer than the room.
pub fn cut(fonts: &Fonts, text: &str, weight: Weight, room: f64) -> Line {
    let run = Run { text: text.into(), weight };
    let whole = lines(fonts, std::slice::from_ref(&run), f64::INFINITY);
    match whole.into_iter().next() {
        Some(line) if line.ems <= room => line,
        Some(_) => {
            let first = lines(fonts, &[run], room - fonts.ems(" ...", weight));
            let kept: String =
                first.first().into_iter().flat_map(|line| &line.spans).map(|(_, s)| s.text.trim()).collect();
            let shaped = fonts.shape(&format!("{kept} ..."), weight);
            Line { ems: shaped.ems, spans: vec![(0.0, shaped)] }
        }
        None => Line::default(),
    }
}
