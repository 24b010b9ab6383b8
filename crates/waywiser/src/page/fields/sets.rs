//! Sets of tires in a vehicle file: what each is called where there are several.

use super::values::text_of;
use toml_edit::{DocumentMut, Item, value};
use truing::describe::Section;

/// Of several sets of tires each needs a name: one that was given none is called by its size.
pub fn name_sets(document: &mut DocumentMut, changed: &Section) {
    let Some(Item::ArrayOfTables(sets)) = document.get_mut(changed.name) else { return };
    if changed.name != "tire" || sets.len() < 2 {
        return;
    }
    for set in sets.iter_mut().filter(|set| !set.contains_key("name")) {
        if let Some(size) = set.get("size").map(text_of) {
            set.insert("name", value(size));
        }
    }
}
