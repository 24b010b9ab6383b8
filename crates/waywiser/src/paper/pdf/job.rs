//! The job sheet: on the first page what to set and why, on the second what to do at the truck.

use super::documents::{ANSWER, blocks, title};
use super::piece::{Area, Part, Pen};
use super::setter::{ASIDE, Look, PLAIN, Setter};
use super::words::{bold, plain};
use super::{chain, figure, form, table};
use truing::report::papers::job::{
    CHAIN, CHECK, Doing, EVIDENCE, JobSheet, NOTHING_MEASURED, STEPS, TO_NOTE,
};

/// Room inside the frame of the answer, and between two columns.
const ROOM: f64 = 10.0;
const BETWEEN_COLUMNS: f64 = 22.0;
/// Side of the code: 50 mm.
const CODE: f64 = 50.0 * 72.0 / 25.4;
/// What the code holds, for whoever does not see it.
const HOLDS: &str = "A code that holds the address under it.";

/// A code as it will be printed: smaller than it is laid out where everything is.
#[derive(Copy, Clone)]
pub struct Printed<'a> {
    /// The address in it.
    pub holds: &'a str,
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
pub fn job(setter: &mut Setter, sheet: &JobSheet, link: Option<Printed>, text: Area) -> Part {
    let width = text.width;
    let mut whole = title(setter, &sheet.vehicle, "Job sheet", width);
    whole.then(answer(setter, sheet, width));
    for caution in &sheet.cautions {
        whole.then(setter.caution(caution, width));
    }
    whole.then(setter.section(CHAIN, width));
    whole.then(chain::chain(setter, &sheet.chain, width));
    let left = text.height - whole.height();
    whole.then(evidence(setter, sheet, (width, left)));
    let rest = match &sheet.doing {
        Some(doing) => self::doing(setter, doing, link, width),
        None => blocks(setter, &sheet.measuring, width),
    };
    // Where the first page is full, the rest follows at once and does not ask for a third.
    whole.then(if whole.height() <= text.height { rest.on_new_page() } else { rest });
    whole
}

/// What to do in large letters, why beside it.
fn answer(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    let inner = width - 2.0 * ROOM;
    let left_width = inner * 0.36;
    let right_width = inner - left_width - BETWEEN_COLUMNS;
    let mut left = setter.paragraph(&bold(&sheet.headline), Look { size: ANSWER, grey: 0 }, left_width);
    for change in &sheet.changes {
        left.then(setter.paragraph(&plain(change), PLAIN, left_width));
    }
    let mut right = Part::default();
    for sentence in &sheet.why {
        right.then(setter.paragraph(&plain(sentence), PLAIN, right_width));
    }
    let columns = Part::beside(vec![(0.0, left), (left_width + BETWEEN_COLUMNS, right)]);
    columns.framed(width, ROOM, None, Some(Pen::new(1.6, 0))).after(8.0)
}

/// Evidence and errors side by side, as pictures and as tables under them.
fn evidence(setter: &mut Setter, sheet: &JobSheet, (width, left_over): (f64, f64)) -> Part {
    let mut part = setter.section(EVIDENCE, width);
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
        return part;
    }
    let space = if sheet.evidence_table.is_some() { ROOM } else { 4.0 };
    part.then(columns([first, second].map(stacked), half).after(space));
    part
}

/// What stands over the pictures: that nothing was measured, or a line for each of many pieces.
fn evidence_words(setter: &mut Setter, sheet: &JobSheet, width: f64) -> Part {
    let Some(lines) = &sheet.evidence_table else {
        return match sheet.evidence {
            Some(_) => Part::default(),
            None => setter.paragraph(&plain(NOTHING_MEASURED), PLAIN, width),
        };
    };
    let mut part = table::table(setter, lines, width);
    if let Some(more) = sheet.left_out() {
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

/// The code with its address under it; none where the address is too long for squares that a phone reads.
fn code(setter: &mut Setter, link: Printed) -> Option<Part> {
    let mut picture = figure::code(setter, link.holds, HOLDS, (CODE, link.scale))?;
    picture.then(setter.paragraph(&plain(link.holds), ASIDE, link.side()).after(1.0));
    Some(picture)
}

/// The steps, to be taken to the truck, the check and the lines for the pen; the code beside those.
fn doing(setter: &mut Setter, doing: &Doing, link: Option<Printed>, width: f64) -> Part {
    let mut part = setter.section(STEPS, width);
    for caution in &doing.cautions {
        part.then(setter.caution(caution, width).with_next());
    }
    for sentence in &doing.before {
        part.then(setter.paragraph(&plain(sentence), PLAIN, width).with_next());
    }
    part.then(blocks(setter, &doing.steps, width));
    let picture = link.map(|link| (link, code(setter, link)));
    let side = |link: Printed| width - link.side() - BETWEEN_COLUMNS;
    let left_width = match &picture {
        Some((link, Some(_))) => side(*link),
        _ => width,
    };
    let mut left = check(setter, doing, left_width);
    left.then(setter.section(TO_NOTE, left_width));
    left.then(form::fields(setter, &doing.to_note, left_width));
    part.then(match picture {
        Some((link, Some(picture))) => {
            Part::beside(vec![(0.0, left), (width - link.side(), picture)]).after(ROOM)
        }
        Some((link, None)) => {
            left.then(setter.paragraph(&plain(link.holds), ASIDE, width));
            left
        }
        None => left,
    });
    part
}

/// What the dial is to show, and what to mind until that is proved.
fn check(setter: &mut Setter, doing: &Doing, width: f64) -> Part {
    let mut part = setter.section(CHECK, width);
    if let Some(check) = &doing.check {
        let words = setter.paragraph(&bold(check), PLAIN, width - 2.0 * ROOM);
        part.then(words.framed(width, 7.0, None, Some(Pen::new(1.0, 0))).after(5.0));
    }
    part.then(blocks(setter, &doing.afterwards, width));
    part
}
