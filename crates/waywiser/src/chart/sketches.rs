//! Drawings of how something is measured: our own, in the colour of the text around them. Paper, page and manual show these.

use maud::{Markup, PreEscaped, html};
use truing::report::document::Drawing;

/// Width and height of every one of them.
const SIZE: (u32, u32) = (420, 150);
/// Size of the letters, and about how wide each is, both in units of the drawing.
const LETTERS: u32 = 15;
#[cfg(test)]
const WIDE: u32 = 8;
/// The ground that everything stands on, and what is under it.
const GROUND: &str = r#"<path d="M10 118H410"/>"#;
const UNDER: &str = r#"<path d="M10 124l-6 8M50 124l-6 8M90 124l-6 8M130 124l-6 8M170 124l-6 8M210 124l-6 8M250 124l-6 8M290 124l-6 8M330 124l-6 8M370 124l-6 8M410 124l-6 8" stroke-width="1"/>"#;

/// Ink and paper of a drawing that stands in a file of its own.
const INK: &str = "#211d17";
const PAPER: &str = "#fffdf6";

/// A drawing as a file of its own, for the manual.
pub fn drawing_file(which: Drawing) -> String {
    let (wide, high) = SIZE;
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox={ "0 0 " (wide) " " (high) } color=(INK) font-family="sans-serif" {
            rect width=(wide) height=(high) fill=(PAPER) {}
            (drawing(which))
        }
    }
    .into_string()
        + "\n"
}

/// A drawing.
pub fn drawing(which: Drawing) -> Markup {
    let (lines, words) = match which {
        Drawing::Track => (TRACK, &TRACK_WORDS[..]),
        Drawing::Posts => (POSTS, &POSTS_WORDS[..]),
        Drawing::Needle => (NEEDLE, &NEEDLE_WORDS[..]),
        Drawing::Rollout => (ROLLOUT, &ROLLOUT_WORDS[..]),
        Drawing::Radius => (RADIUS, &RADIUS_WORDS[..]),
    };
    let has_ground = which != Drawing::Needle;
    // Under a tape stands its length.
    let has_under = has_ground && which != Drawing::Rollout;
    html! {
        svg class="sketch" role="img" viewBox={ "0 0 " (SIZE.0) " " (SIZE.1) } font-size=(LETTERS) fill="currentColor" stroke="none"
            aria-label=(which.says()) {
            title { "How it is done" }
            desc { (which.says()) }
            g fill="none" stroke="currentColor" stroke-width="2" stroke-linecap="round" stroke-linejoin="round" {
                @if has_ground { (PreEscaped(GROUND)) }
                @if has_under { (PreEscaped(UNDER)) }
                (PreEscaped(lines))
            }
            @for (x, y, anchor, text) in words {
                text x=(x) y=(y) text-anchor=(anchor) { (text) }
            }
        }
    }
}

/// Where words stand: across, down, which end, and what.
type Words = (u32, u32, &'static str, &'static str);

/// A truck, its path, and the sky that tells it.
const TRACK: &str = r#"<path d="M150 102V78h42l14-22h34l8 22h30v24z"/><path d="M212 62h22v16h-32z" stroke-width="1.2"/><circle cx="178" cy="104" r="13" fill="currentColor"/><circle cx="252" cy="104" r="13" fill="currentColor"/><path d="M30 96c20-16 36 10 56 0s30-6 44-2" stroke-dasharray="2 6"/><path d="M296 94c16-8 30 8 46-2 14-8 24 2 40-4" stroke-dasharray="2 6"/><path d="M372 80l12 8-12 8"/><path d="M208 50V24m-6 9l6-9 6 9" stroke-width="1.2"/>"#;
static TRACK_WORDS: [Words; 4] = [
    (20, 84, "start", "start"),
    (392, 76, "end", "end"),
    (222, 26, "start", "a place every second"),
    (144, 66, "end", "dash and log"),
];

const POSTS: &str = r#"<path d="M60 118V64h18v54M342 118V64h18v54"/><path d="M64 72h10M64 80h10M346 72h10M346 80h10" stroke-width="1.2"/><path d="M150 102V84h34l12-18h28l6 18h24v18z"/><circle cx="172" cy="105" r="11" fill="currentColor"/><circle cx="234" cy="105" r="11" fill="currentColor"/><path d="M270 92h44m-10-7l10 7-10 7"/><path d="M78 40h264M78 32v12M342 32v12" stroke-width="1.2"/>"#;
static POSTS_WORDS: [Words; 3] = [
    (69, 58, "middle", "first post"),
    (351, 58, "middle", "last post"),
    (210, 34, "middle", "the length between them"),
];

const NEEDLE: &str = r#"<path d="M30 120a72 72 0 1 1 144 0"/><path d="M42 120h8M50 86l8 4M102 48v8M154 86l-8 4M162 120h-8M71 62l5 7M133 62l-5 7"/><path d="M102 120L138 70" stroke-width="4"/><circle cx="102" cy="120" r="6" fill="currentColor"/><path d="M144 58l10-12"/><path d="M268 20h140v112H268z"/><path d="M284 52h48M284 78h48M284 104h48M348 52h44M348 78h44M348 104h44" stroke-width="1.2"/>"#;
static NEEDLE_WORDS: [Words; 4] = [
    (146, 36, "start", "held on a mark"),
    (286, 38, "start", "shown"),
    (350, 38, "start", "true"),
    (102, 144, "middle", "20 seconds"),
];

const ROLLOUT: &str = r#"<circle cx="70" cy="74" r="44"/><circle cx="70" cy="74" r="20"/><path d="M70 118v-14" stroke-width="5"/><circle cx="350" cy="74" r="44"/><circle cx="350" cy="74" r="20"/><path d="M350 118v-14" stroke-width="5"/><path d="M132 60h44m-10-7l10 7-10 7"/><path d="M70 136v12M350 136v12M70 142h280M84 137l-14 5 14 5M336 137l14 5-14 5" stroke-width="1.2"/>"#;
static ROLLOUT_WORDS: [Words; 3] = [
    (210, 46, "middle", "five whole turns, straight"),
    (210, 138, "middle", "length along the tape"),
    (122, 102, "start", "chalk mark lowest"),
];

const RADIUS: &str = r#"<circle cx="170" cy="70" r="48"/><circle cx="170" cy="70" r="22"/><path d="M170 64v12M164 70h12"/><path d="M250 70h-66" stroke-dasharray="3 5"/><path d="M250 70v48M244 82l6-12 6 12M244 106l6 12 6-12" stroke-width="1.6"/>"#;
static RADIUS_WORDS: [Words; 2] =
    [(258, 92, "start", "height of the middle"), (258, 108, "start", "above the ground")];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_stands_inside_and_says_something() {
        for which in Drawing::ALL {
            let text = drawing(which).into_string();
            assert!(text.contains(which.says()), "{which:?}");
            assert!(text.matches("<text").count() >= 2, "{which:?}");
        }
        let all =
            [&TRACK_WORDS[..], &POSTS_WORDS[..], &NEEDLE_WORDS[..], &ROLLOUT_WORDS[..], &RADIUS_WORDS[..]];
        for (x, y, anchor, text) in all.concat() {
            let wide = WIDE * u32::try_from(text.len()).unwrap();
            let (left, right) = match anchor {
                "start" => (x, x + wide),
                "end" => (x.saturating_sub(wide), x),
                _ => (x.saturating_sub(wide / 2), x + wide / 2),
            };
            assert!(left > 0 && right < SIZE.0 && y < SIZE.1 && y > 10, "{text}: {left} to {right}");
        }
    }
}
