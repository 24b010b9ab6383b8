//! The truck and its chain as a picture: a box for each link from the road to the needle, with what it multiplies or divides by.

use super::font::{LEADING, Weight};
use super::piece::{Area, Mark, Node, Part, Pen, Piece, What};
use super::setter::{ASIDE, BODY, Look, Setter, marks_of};
use super::words::{Line, bold, cut, extent, lines, plain};
use krilla::tagging::Tag;
use truing::describe::chain::Standing;
use truing::report::document::ChainBox;

/// Least width of a box; chains that need more room go on in the next row.
const LEAST_BOX: f64 = 82.0;
/// Room between two boxes, for the arrow.
const ARROW: f64 = 16.0;
const ROOM: f64 = 5.0;
/// Width of the drawing of the truck, and its height.
const TRUCK: (f64, f64) = (60.0, 30.0);
/// Smallest words in a box.
const LEAST_SIZE: f64 = 6.5;
/// Lines of words in a box, at most.
const MOST_LINES: usize = 4;

/// One picture with the chain in words beside it, for who does not see it.
pub fn chain(setter: &mut Setter, boxes: &[ChainBox], width: f64) -> Part {
    let leaf = setter.leaf();
    let fit = (((width + ARROW) / (LEAST_BOX + ARROW)) as usize).max(2);
    // The truck stands where the first box of the first row would be.
    let cells = boxes.len() + 1;
    let rows = cells.div_ceil(fit).max(1);
    let in_row = cells.div_ceil(rows);
    // A second row begins with its arrow, so that none ends in the margin.
    let begins = if rows > 1 { ARROW } else { 0.0 };
    let wide = (width - begins - ARROW * (in_row - 1) as f64) / in_row as f64;
    let mut pieces = Vec::new();
    for row in 0..rows {
        let range = (row * in_row)..((row + 1) * in_row).min(cells);
        pieces.push(one_row(setter, boxes, range, wide, begins));
    }
    pieces.iter_mut().for_each(|piece: &mut Piece| {
        piece.marks.iter_mut().for_each(|mark| mark.leaf = Some(leaf));
    });
    let tag = Tag::Figure(Some(setter.fonts.printable(&ChainBox::words(boxes))));
    let part = Part { pieces, nodes: vec![Node::Group(tag.into(), vec![Node::Leaf(leaf)])] };
    part.together().after(6.0)
}

fn one_row(
    setter: &Setter,
    boxes: &[ChainBox],
    range: std::ops::Range<usize>,
    wide: f64,
    begins: f64,
) -> Piece {
    let filled: Vec<(usize, Vec<(Line, Look)>)> = range
        .clone()
        .map(|cell| {
            (
                cell,
                cell.checked_sub(1).map_or(Vec::new(), |at| words_in(setter, &boxes[at], wide - 2.0 * ROOM)),
            )
        })
        .collect();
    let tall = |lines: &[(Line, Look)]| lines.iter().map(|(_, look)| look.size * LEADING).sum::<f64>();
    let height =
        filled.iter().map(|(_, lines)| tall(lines)).fold(TRUCK.1 - 2.0 * ROOM, f64::max) + 2.0 * ROOM;
    let mut marks = Vec::new();
    for (index, (cell, words)) in filled.iter().enumerate() {
        let left = begins + (wide + ARROW) * index as f64;
        match cell.checked_sub(1) {
            None => marks.extend(truck(left + (wide - TRUCK.0) / 2.0, (height - TRUCK.1) / 2.0)),
            Some(at) => {
                let frame = Area { left, width: wide, height, top: 0.0 };
                marks.push(Mark::rectangle(frame, None, Some(pen(&boxes[at]))));
                let mut top = ROOM + (height - 2.0 * ROOM - tall(words)) / 2.0;
                for (line, look) in words {
                    let start = left + (wide - line.ems * look.size) / 2.0;
                    marks.extend(marks_of(line, (start, top), look.size, look.grey, None));
                    top += look.size * LEADING;
                }
            }
        }
        if *cell > 0 {
            marks.extend(arrow(left - ARROW + 2.0, height / 2.0, ARROW - 4.0));
        }
    }
    Piece { space: 7.0, height, marks, ..Piece::default() }
}

fn words_in(setter: &Setter, link: &ChainBox, room: f64) -> Vec<(Line, Look)> {
    // A word wider than its box is set smaller, not broken.
    let widest = [bold(&link.name), plain(&link.factor)].map(|runs| extent(setter.fonts, &runs).0);
    let fits = room / widest[0].max(widest[1]).max(1.0);
    let name = Look { size: (BODY - 0.4).min(fits).max(LEAST_SIZE), grey: 0 };
    let mut words: Vec<(Line, Look)> = Vec::new();
    let mut add =
        |all: Vec<Line>, look: Look| words.extend(all.into_iter().take(MOST_LINES).map(|line| (line, look)));
    add(lines(setter.fonts, &bold(&link.name), room / name.size), name);
    add(lines(setter.fonts, &plain(&link.factor), room / name.size), name);
    add(vec![cut(setter.fonts, &link.standing, Weight::Regular, room / ASIDE.size)], ASIDE);
    words
}

/// What is measured or known has a full frame, what can be set a heavy one, what is assumed a dashed one, what is unknown a
/// dotted one.
fn pen(link: &ChainBox) -> Pen {
    match link.known {
        _ if link.is_set => Pen::new(2.2, 0),
        None | Some(Standing::Known | Standing::Measured) => Pen::new(1.1, 0),
        Some(Standing::Assumed) => Pen { dashes: vec![5.0, 2.5], ..Pen::new(0.9, 0) },
        Some(Standing::Unknown) => Pen { dashes: vec![1.2, 2.4], ..Pen::new(0.9, 0) },
    }
}

fn arrow(left: f64, middle: f64, length: f64) -> Vec<Mark> {
    let area = Area { left, top: middle - 3.5, width: length, height: 7.0 };
    let head = vec![vec![(length - 5.0, 0.0), (length, 3.5), (length - 5.0, 7.0)]];
    let head = What::Outline { runs: head, closed: true, fill: Some(0), pen: None };
    vec![
        Mark::line((left, middle), (left + length - 5.0, middle), Pen::new(1.1, 0)),
        Mark { area, what: head, leaf: None },
    ]
}

/// A truck from the side, on the road.
fn truck(left: f64, top: f64) -> Vec<Mark> {
    let body = vec![
        (2.0, 11.0),
        (24.0, 11.0),
        (24.0, 2.0),
        (37.0, 2.0),
        (43.0, 11.0),
        (56.0, 13.0),
        (58.0, 22.0),
        (2.0, 22.0),
    ];
    let pane = vec![(28.0, 4.5), (35.5, 4.5), (39.5, 11.0), (28.0, 11.0)];
    let wheel = |x: f64, radius: f64| {
        let turn = |k: usize| (k as f64 * std::f64::consts::TAU / 24.0).sin_cos();
        (0..24).map(turn).map(|(s, c)| (x + radius * c, 23.0 + radius * s)).collect::<Vec<_>>()
    };
    let area = Area { left, top, width: TRUCK.0, height: TRUCK.1 };
    let shape =
        |runs, fill, pen| Mark { area, what: What::Outline { runs, closed: true, fill, pen }, leaf: None };
    vec![
        shape(vec![body], Some(225), Some(Pen::new(1.0, 0))),
        shape(vec![pane], Some(255), Some(Pen::new(0.8, 0))),
        shape(vec![wheel(13.0, 6.0), wheel(46.0, 6.0)], Some(60), Some(Pen::new(1.0, 0))),
        shape(vec![wheel(13.0, 2.2), wheel(46.0, 2.2)], Some(255), None),
        Mark::line((left - 4.0, top + 29.6), (left + TRUCK.0 + 4.0, top + 29.6), Pen::new(0.8, 0)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_is_told_by_what_is_known_and_not_by_its_words() {
        let dashes = |known: Option<Standing>, words: &str| {
            let (name, is_set) = (words.to_string(), known.is_none());
            let link = ChainBox { factor: name.clone(), standing: name.clone(), name, known, is_set };
            let pen = pen(&link);
            (pen.width, pen.dashes)
        };
        let all = [None, Some(Standing::Known), Some(Standing::Assumed), Some(Standing::Unknown)];
        for known in all {
            assert_eq!(dashes(known, "x"), dashes(known, "can be set, or 3 writes left"), "{known:?}");
        }
        let found = all.map(|known| dashes(known, "x"));
        assert!((1..found.len()).all(|place| !found[..place].contains(&found[place])), "{found:?}");
    }
}
