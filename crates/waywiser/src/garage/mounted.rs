//! The vehicle file once other tires were put on: which set is on, and with which set everything before was measured.

use super::edit::nth;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};
use truing::describe::vehicle::Vehicle;

/// What a set is called that had neither a name nor a size.
const BEFORE: &str = "before";

/// Says that tires of this size are on: a set of the file that has it, else a new one. Every set then has a name, and
/// evidence that said nothing of its tires was taken with those that were on.
pub(super) fn mount(document: &mut DocumentMut, vehicle: &Vehicle, size: &str) {
    each_in_its_own_table(document);
    let found = vehicle.tires.iter().position(|set| set.size.as_deref() == Some(size));
    let is_alone = found.is_some() && vehicle.tires.len() == 1;
    if !is_alone {
        name_all(document, vehicle);
    }
    let on = found.unwrap_or(vehicle.tires.len());
    if found.is_none()
        && let Some(sets) = document.entry("tire").or_insert_with(several).as_array_of_tables_mut()
    {
        let mut set = Table::new();
        set.insert("name", value(size));
        set.insert("size", value(size));
        sets.push(set);
    }
    for place in 0..=vehicle.tires.len() {
        let Some(set) = nth(document, "tire", place) else { continue };
        if place == on {
            set.insert("mounted", value(true));
        } else {
            set.remove("mounted");
        }
    }
}

fn several() -> Item {
    Item::ArrayOfTables(ArrayOfTables::new())
}

/// `[tire]` becomes the first `[[tire]]`, in its place.
fn each_in_its_own_table(document: &mut DocumentMut) {
    let Some(Item::Table(only)) = document.get_mut("tire") else { return };
    let only = std::mem::take(only);
    let mut sets = ArrayOfTables::new();
    sets.push(only);
    document.insert("tire", Item::ArrayOfTables(sets));
}

/// Names the sets that have none, and says in each piece of evidence which set was on.
fn name_all(document: &mut DocumentMut, vehicle: &Vehicle) {
    let called =
        |place: usize| vehicle.tires.get(place).and_then(|set| set.called()).unwrap_or(BEFORE).to_string();
    for place in 0..vehicle.tires.len() {
        if let Some(set) = nth(document, "tire", place).filter(|set| !set.contains_key("name")) {
            set.insert("name", value(called(place)));
        }
    }
    let on = vehicle.mounted().and_then(|on| vehicle.tires.iter().position(|set| std::ptr::eq(set, on)));
    let Some(on) = on else { return };
    for (place, evidence) in vehicle.evidence.iter().enumerate() {
        if evidence.tires.is_none()
            && let Some(table) = nth(document, "evidence", place)
        {
            table.insert("tires", value(called(on)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(before: &str, size: &str, expected: &str) {
        let (vehicle, problems) = Vehicle::read("truck.toml", before);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        let mut document: DocumentMut = before.parse().unwrap();
        mount(&mut document, &vehicle, size);
        let text = document.to_string();
        assert_eq!(text, expected);
        let (after, problems) = Vehicle::read("truck.toml", &text);
        assert_eq!(problems, [], "{text}");
        let on = after.and_then(|after| after.mounted().and_then(|set| set.size.clone()));
        assert_eq!(on.as_deref(), Some(size));
    }

    const TAPE: &str = "[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"40 ft 3 1/2 in\"\n";

    #[test]
    fn the_file_says_what_is_on_the_truck() {
        check(
            &format!("[tire] # the old ones\nsize = \"235/75R15\"\n\n{TAPE}"),
            "31x10.50R15LT",
            &format!(
                "[[tire]] # the old ones\nsize = \"235/75R15\"\nname = \"235/75R15\"\n\n[[tire]]\nname = \"31x10.50R15LT\"\n\
                 size = \"31x10.50R15LT\"\nmounted = true\n\n{TAPE}tires = \"235/75R15\"\n"
            ),
        );
        let two = |summer: &str, winter: &str| {
            format!(
                "[[tire]]\nname = \"summer\"\nsize = \"235/75R15\"\n{summer}[[tire]]\nname = \"winter\"\nsize = \"225/75R15\"\n{winter}"
            )
        };
        let on = "mounted = true\n";
        check(&(two(on, "") + TAPE), "225/75R15", &(two("", on) + TAPE + "tires = \"summer\"\n"));
        // They are on already, and nothing else is known.
        check(
            "[tire]\nsize = \"235/75R15\"\n",
            "235/75R15",
            "[[tire]]\nsize = \"235/75R15\"\nmounted = true\n",
        );
    }
}
