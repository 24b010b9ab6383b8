//! The tables of a vehicle file that forms ask about: by their section, and which of several.

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TableLike};
use truing::describe::{Repeat, Section};

/// How many of a section there are.
pub fn count(document: &DocumentMut, section: &Section) -> usize {
    match document.get(section.name) {
        None => 0,
        Some(Item::ArrayOfTables(all)) => all.len(),
        Some(_) => 1,
    }
}

/// One of them, where it is there.
pub fn table<'d>(document: &'d DocumentMut, section: &Section, index: usize) -> Option<&'d dyn TableLike> {
    match document.get(section.name)? {
        Item::ArrayOfTables(all) => all.get(index).map(|table| table as &dyn TableLike),
        item if index == 0 => item.as_table_like(),
        _ => None,
    }
}

/// The same to be changed, made where it is the next one.
pub fn table_mut<'d>(
    document: &'d mut DocumentMut,
    section: &Section,
    index: usize,
) -> Option<&'d mut dyn TableLike> {
    let name = section.name;
    if document.get(name).is_none() {
        let new = match section.repeat {
            Repeat::Several => Item::ArrayOfTables(ArrayOfTables::new()),
            _ => Item::Table(Table::new()),
        };
        document.insert(name, new);
    }
    // A second one beside a single `[tire]` makes a list of both.
    let is_second = index == 1 && section.repeat == Repeat::OnceOrSeveral;
    if let Some(Item::Table(only)) = document.get(name).filter(|_| is_second) {
        let list: ArrayOfTables = std::iter::once(only.clone()).collect();
        document.insert(name, Item::ArrayOfTables(list));
    }
    match document.get_mut(name)? {
        Item::ArrayOfTables(all) => {
            if index == all.len() {
                let mut new = Table::new();
                new.decor_mut().set_prefix("\n");
                all.push(new);
            }
            all.get_mut(index).map(|table| table as &mut dyn TableLike)
        }
        item if index == 0 => item.as_table_like_mut(),
        _ => None,
    }
}

/// Takes one out, and the section with its last; none where it is not there.
pub fn take_out(document: &mut DocumentMut, section: &Section, index: usize) -> Option<()> {
    let last_of_all = match document.get_mut(section.name) {
        Some(Item::ArrayOfTables(all)) if index < all.len() => {
            all.remove(index);
            all.is_empty()
        }
        Some(Item::Table(_)) if index == 0 => true,
        _ => return None,
    };
    if last_of_all {
        document.remove(section.name);
    }
    Some(())
}
