//! The job sheet: on the first page what to set and why, on the second what to do at the truck.

use super::documents::{blocks, title};
use super::piece::{Area, Mark, Part, Pen};
use super::setter::{ASIDE, BODY, Look, PLAIN, Setter};
use super::words::{bold, plain};
use super::{chain, figure, table};
use crate::paper::sheet::Code;
use truing::report::papers::job::JobSheet;

/// Size of the answer.
const ANSWER: f64 = 25.0;
/// Room inside the frame of the answer, and between two columns.
const ROOM: f64 = 10.0;
const BETWEEN_COLUMNS: f64 = 22.0;
/// Side of the code: 50 mm.
const CODE: f64 = 50.0 * 72.0 / 25.4;
/// Least room for a name and its line, and room between two of them.
const LEAST_FIELD: f64 = 150.0;
const FIELDS_APART: f64 = 12.0;
/// Room for the words under it.
const CODE_WORDS: f64 = 30.0;
/// Height of a line to write on.
const LINE: f64 = 24.0;

/// A code as it will be printed: smaller than it is laid out where everything is.
#[derive(Copy, Clone)]
pub struct Printed<'a> {
    /// What it holds.
    pub holds: &'a Code,
    /// How much smaller everything is printed than laid out.
    pub scale: f64,
}

impl Printed<'_> {
    /// Its side as laid out.
    fn side(self) -> f64 {
        CODE / self.scale
    }
}

/// All of it.
pub fn job(setter: &mut Setter, sheet: &JobSheet, code: Option<Printed>, text: Area) -> Part {
    let width = text.width;
    let mut whole = title(setter, &sheet.vehicle, "Job sheet", width);
    whole.then(answer(setter, sheet, width));
    for caution in &sheet.cautions {
        whole.then(setter.caution(caution, width));
    }
    whole.then(setter.section("The truck and its chain", width));
    whole.then(chain::chain(setter, &sheet.chain, &sheet.chain_words, width));
    let left = text.height - whole.height();
    let (evidence, has_code) = evidence(setter, sheet, code, (width, left));
    whole.then(evidence);
    let steps = steps(setter, sheet, width);
    // Where the first page is full, the steps follow at once and do not ask for a third.
    whole.then(if whole.height() <= text.height { steps.on_new_page() } else { steps });
    whole.then(afterwards(setter, sheet, code.filter(|_| !has_code), width));
    whole
}

/// What to do in large letters, why beside it.
fn answer(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    let inner = width - 2.0 * ROOM;
    let left_width = inner * 0.36;
    let right_width = inner - left_width - BETWEEN_COLUMNS;
    let mut left = setter.paragraph(&bold(&sheet.headline), Look { size: ANSWER, grey: 0 }, left_width);
    if let Some([from, to]) = &sheet.change {
        left.then(setter.paragraph(
            &plain(format!("Stored now: {from}. To be stored: {to}.")),
            PLAIN,
            left_width,
        ));
    }
    let mut right = Part::default();
    for sentence in &sheet.why {
        right.then(setter.paragraph(&plain(sentence), PLAIN, right_width));
    }
    let columns = Part::beside(vec![(0.0, left), (left_width + BETWEEN_COLUMNS, right)]);
    columns.framed(width, ROOM, None, Some(Pen::new(1.6, 0))).after(8.0)
}

/// Evidence and errors side by side, as pictures and as tables under them; where both columns stay within what is left
/// of the page, the code stands under the left one. Tells whether it does.
fn evidence(
    setter: &mut Setter,
    sheet: &JobSheet,
    code: Option<Printed>,
    (width, left_over): (f64, f64),
) -> (Part, bool) {
    let mut part = setter.section("What was measured, and what changes", width);
    part.then(evidence_words(setter, sheet, width));
    let half = (width - BETWEEN_COLUMNS) / 2.0;
    let mut charts: Vec<Part> =
        sheet.evidence.iter().chain(&sheet.errors).map(|one| figure::figure(setter, one, half)).collect();
    let mut tables: Vec<Part> =
        sheet.error_table.iter().chain(&sheet.settings).map(|one| table::table(setter, one, half)).collect();
    // A picture for each column, with a table under it; one picture has both tables beside it.
    let second = match charts.len() {
        2 => vec![charts.remove(1)].into_iter().chain(tables.drain(1.min(tables.len())..)).collect(),
        _ => std::mem::take(&mut tables),
    };
    let first: Vec<Part> = charts.into_iter().chain(tables).collect();
    let room = left_over - part.height() - ROOM;
    let tall = |column: &[Part]| column.iter().map(|part| part.height() + ROOM).sum::<f64>();
    if tall(&first).max(tall(&second)) > room {
        part.then(rows(first, second, half).after(ROOM));
        return (part, false);
    }
    let side = code.map_or(0.0, Printed::side);
    let picture = if tall(&first) + side + CODE_WORDS <= room { self::code(setter, code) } else { None };
    let has_code = picture.is_some();
    let stacks = [first.into_iter().chain(picture).collect(), second].map(stacked);
    part.then(columns(stacks, half).after(if sheet.evidence_table.is_some() { ROOM } else { 4.0 }));
    (part, has_code)
}

/// What stands over the pictures: that nothing was measured, or a line for each of many pieces.
fn evidence_words(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    let Some(lines) = &sheet.evidence_table else {
        let nothing = "Nothing was measured yet.";
        return match sheet.evidence {
            Some(_) => Part::default(),
            None => setter.paragraph(&plain(nothing), PLAIN, width),
        };
    };
    let mut part = table::table(setter, lines, width);
    if sheet.evidence_left_out > 0 {
        let more = format!(
            "{} more weigh less than these; `waywiser measure vehicle` lists all of them.",
            sheet.evidence_left_out
        );
        part.then(setter.paragraph(&plain(more), ASIDE, width));
    }
    part.after(ROOM)
}

fn stacked(parts: Vec<Part>) -> Part {
    let mut stack = Part::default();
    parts.into_iter().for_each(|part| stack.then(part.after(ROOM)));
    stack
}

fn columns([first, second]: [Part; 2], width: f64) -> Part {
    Part::beside(vec![(0.0, first), (width + BETWEEN_COLUMNS, second)])
}

/// Two columns that may be parted between two pages, row by row.
fn rows(first: Vec<Part>, second: Vec<Part>, width: f64) -> Part {
    let count = first.len().max(second.len());
    let (mut first, mut second) = (first.into_iter(), second.into_iter());
    let mut whole = Part::default();
    for _ in 0..count {
        let pair = [first.next().unwrap_or_default(), second.next().unwrap_or_default()];
        whole.then(columns(pair, width).after(4.0));
    }
    whole
}

/// The code with a word under it; none where there is nothing to hold, or too much.
fn code(setter: &mut Setter, code: Option<Printed>) -> Option<Part> {
    let printed = code?;
    let (text, what, says) = match printed.holds {
        Code::File(text) => {
            (text.as_str(), "A code that holds the vehicle file.", "For a phone: the vehicle file.")
        }
        Code::Link(link) => (link.as_str(), "A code that holds the address under it.", link.as_str()),
    };
    let mut picture = figure::code(setter, text, what, (CODE, printed.scale))?;
    picture.then(setter.paragraph(&plain(says), ASIDE, printed.side()).after(1.0));
    Some(picture)
}

/// The steps, to be taken to the truck.
fn steps(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    if sheet.steps.is_empty() {
        return Part::default();
    }
    let mut part = setter.section("Steps", width);
    part.then(blocks(setter, &sheet.steps, width));
    part
}

/// The check and the lines for the pen, and the code beside them where it stands nowhere yet.
fn afterwards(setter: &mut Setter, sheet: &JobSheet, code: Option<Printed>, width: f64) -> Part {
    let picture = self::code(setter, code);
    let side = code.map_or(0.0, Printed::side);
    let left_width = if picture.is_some() { width - side - BETWEEN_COLUMNS } else { width };
    let mut left = check(setter, sheet, left_width);
    left.then(written_down(setter, sheet, left_width));
    if matches!((&picture, code), (None, Some(_))) {
        let sorry = "What the code is to hold is too long for a phone to read; this sheet can be printed with the address of a page in it instead.";
        left.then(setter.paragraph(&plain(sorry), ASIDE, left_width));
    }
    match picture {
        Some(picture) => Part::beside(vec![(0.0, left), (width - side, picture)]).after(ROOM),
        None => left,
    }
}

/// What the dial is to show, and what to mind until that is proved.
fn check(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    let mut notes = Part::default();
    for note in &sheet.notes {
        notes.then(setter.paragraph(&bold(note), PLAIN, width - 2.0 * ROOM));
    }
    let mut part = Part::default();
    if !notes.pieces.is_empty() {
        part.then(setter.section("The check", width));
        part.then(notes.framed(width, 7.0, None, Some(Pen::new(1.0, 0))).after(5.0));
    }
    part.then(blocks(setter, &sheet.afterwards, width));
    part
}

/// Lines for the pen.
fn written_down(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    let mut part = setter.section("Write down when done", width);
    part.then(fields(setter, &sheet.to_note, width));
    part
}

/// Names with a line each, as many in a row as have room to write.
fn fields(setter: &mut Setter, names: &[&str], width: f64) -> Part {
    let in_row = ((width / LEAST_FIELD) as usize).max(1);
    let wide = (width - FIELDS_APART * (in_row - 1) as f64) / in_row as f64;
    let mut rows = Part::default();
    for row in names.chunks(in_row) {
        let one =
            |(index, name): (usize, &&str)| ((wide + FIELDS_APART) * index as f64, field(setter, name, wide));
        let parts = row.iter().enumerate().map(one).collect();
        rows.then(Part::beside(parts));
    }
    rows.together()
}

fn field(setter: &mut Setter, name: &str, width: f64) -> Part {
    let mut field = setter.paragraph(&plain(name), ASIDE, width);
    let used = super::words::extent(setter.fonts, &plain(name)).1 * ASIDE.size + 5.0;
    let line = Mark::line((used, LINE - 3.0), (width, LINE - 3.0), Pen::new(0.6, 60));
    for piece in &mut field.pieces {
        let words = std::mem::take(&mut piece.marks).into_iter();
        piece.marks = words.map(|mark| mark.moved(0.0, LINE - 3.0 - BODY)).collect();
        piece.marks.push(line.clone());
        piece.height = LINE;
    }
    field
}
