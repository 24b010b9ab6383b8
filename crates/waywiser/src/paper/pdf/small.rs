//! Small papers: the card for the sun visor and the label for the door frame, each on a sheet of its own size or to be
//! cut out of a larger one.

use super::flow::Frame;
use super::piece::{Area, Part};
use super::setter::{Look, Setter};
use super::table::{TableLook, size_that_fits, table_of};
use super::words::{bold, plain};
use crate::paper::sheet::{About, Paper};
use truing::report::document::Table;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::speed_card::{CardTable, SpeedCard};

/// The card: 4 by 6 in.
pub const CARD: (f64, f64) = (288.0, 432.0);
/// The label: 4 by 2 1/2 in.
pub const LABEL: (f64, f64) = (288.0, 180.0);
/// Room at the edges of either.
const EDGE: f64 = 13.0;
/// Sizes of the words in their tables, the best first.
const CARD_SIZES: [f64; 10] = [16.0, 15.0, 14.0, 13.0, 12.0, 11.0, 10.0, 9.0, 8.0, 7.0];
const LABEL_SIZES: [f64; 5] = [11.0, 10.0, 9.0, 8.0, 7.0];
const NOTE: Look = Look { size: 7.0, grey: 40 };

/// A page of that size, or one of `paper` with the outline to cut along.
pub fn frame(size: (f64, f64), paper: Option<Paper>) -> Frame {
    let (page, corner) = match paper {
        Some(paper) => (paper.size(), 40.0),
        None => (size, 0.0),
    };
    let text = Area {
        left: corner + EDGE,
        top: corner + EDGE,
        width: size.0 - 2.0 * EDGE,
        height: size.1 - 2.0 * EDGE,
    };
    let cut = paper.map(|_| Area { left: corner, top: corner, width: size.0, height: size.1 });
    Frame { page, text, cut }
}

/// The card; its words are as large as it has room for. Engine speeds stand on its back.
pub fn card(setter: &mut Setter, card: &SpeedCard, kind: &str, text: Area) -> Part {
    let table = |(caption, head, rows): CardTable| Table { id: None, caption, head, rows };
    let (speeds, engine) = (card.speeds().map(table), card.engine().map(table));
    let mut whole = largest(setter, text, speeds.as_ref(), |setter, size| {
        front(setter, card, kind, speeds.as_ref(), size, text.width)
    });
    if let Some(engine) = &engine {
        let headings = std::mem::take(&mut setter.headings);
        let back = largest(setter, text, Some(engine), |setter, size| {
            let mut part = setter.heading("Engine speeds", 2, 12.0, text.width);
            part.then(table_of(setter, engine, text.width, TableLook { size, spread: true }));
            for note in &card.notes {
                part.then(setter.paragraph(&plain(note), NOTE, text.width).after(1.0));
            }
            part
        });
        setter.headings.splice(0..0, headings);
        whole.then(back.on_new_page());
    }
    whole
}

/// The largest of the sizes at which a table fits, and all of it is not higher than there is room.
fn largest(
    setter: &mut Setter,
    text: Area,
    table: Option<&Table>,
    of_size: impl Fn(&mut Setter, f64) -> Part,
) -> Part {
    let widest = table.map_or(CARD_SIZES[0], |table| size_that_fits(setter, table, text.width, &CARD_SIZES));
    let mut set = Part::default();
    for size in CARD_SIZES.into_iter().filter(|size| *size <= widest) {
        // What was set in vain leaves no headings behind.
        setter.headings.clear();
        set = of_size(setter, size);
        if set.height() <= text.height {
            break;
        }
    }
    set
}

fn front(
    setter: &mut Setter,
    card: &SpeedCard,
    kind: &str,
    table: Option<&Table>,
    size: f64,
    width: f64,
) -> Part {
    let name = if card.vehicle.trim().is_empty() { kind } else { card.vehicle.as_str() };
    let mut part = setter.heading(name, 1, 12.0, width);
    if let Some(warning) = &card.warning {
        part.then(setter.caution(warning, width));
    }
    if let Some(table) = table {
        part.then(table_of(setter, table, width, TableLook { size, spread: true }));
    }
    let day = card.last_day.as_ref().map_or(String::new(), |day| format!(" As of {day}."));
    part.then(setter.paragraph(&bold(format!("{}{day}", card.holds_for())), NOTE, width));
    let notes = if card.engine().is_some() { &[][..] } else { &card.notes };
    for note in card.give_or_take.iter().chain(notes) {
        part.then(setter.paragraph(&plain(note), NOTE, width).after(1.0));
    }
    part
}

/// The label, and one for each notice.
pub fn label(setter: &mut Setter, note: &DoorFrameNote, about: &About, text: Area) -> Part {
    let width = text.width;
    let rows = note.lines.iter().map(|line| line.to_vec()).collect();
    let table = Table::new(None, "Speedometer and odometer", &[], rows);
    let mut set = Part::default();
    for size in LABEL_SIZES {
        setter.headings.clear();
        set = label_of_size(setter, note, &table, size, width);
        set.then(setter.paragraph(&plain(signed(note, about)), NOTE, width));
        if set.height() <= text.height {
            break;
        }
    }
    for notice in &note.notices {
        let mut page = setter.heading(&format!("Odometer: {}", note.vehicle), 2, 12.0, width).on_new_page();
        page.then(setter.paragraph(
            &bold(DoorFrameNote::notice(notice)),
            Look { size: 13.0, grey: 0 },
            width,
        ));
        page.then(setter.paragraph(&plain(DoorFrameNote::to_zero()), NOTE, width));
        set.then(page);
    }
    set
}

fn label_of_size(setter: &mut Setter, note: &DoorFrameNote, table: &Table, size: f64, width: f64) -> Part {
    let name = if note.vehicle.trim().is_empty() { "Door-frame note" } else { note.vehicle.as_str() };
    let mut part = setter.heading(name, 1, 12.0, width);
    part.then(table_of(setter, table, width, TableLook { size, spread: true }));
    part
}

fn signed(note: &DoorFrameNote, about: &About) -> String {
    let day = note.last_day.as_ref().map_or(String::new(), |day| format!(", from the record up to {day}"));
    let record = about.record.as_ref().map_or(String::new(), |record| format!("; {}", record.whole()));
    format!("{}{day}{record}", about.software)
}
