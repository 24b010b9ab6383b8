//! Plans: tires that are known, and the depths of tread that wear is reckoned from.

use super::say;
use crate::describe::file::document::Document;
use crate::describe::file::keys::{NOTHING, PLAN, TIRE, plan, tire};
use crate::describe::tire::TireSize;
use crate::describe::tire::ahead::Ahead;
use crate::describe::tire::set::TireSet;
use crate::describe::vehicle::Vehicle;
use crate::nearest::hint_for;
use crate::problem::{Severity, Wording};

/// Every stretch names tires of which something is known, or it is not kept at all: what follows would only fail later.
pub(super) fn check(document: &Document, vehicle: &Vehicle) {
    for stretch in &vehicle.ahead {
        let set = set_of(vehicle, stretch);
        check_tires(document, vehicle, stretch, set);
        check_tread(document, stretch, set);
    }
}

/// The set that a stretch names, by its name or as the one that is on by its size.
fn set_of<'v>(vehicle: &'v Vehicle, stretch: &Ahead) -> Option<&'v TireSet> {
    let is_named = |set: &&TireSet| set.name.as_deref() == Some(stretch.tires.as_str());
    let on = || vehicle.mounted().filter(|on| on.size.as_deref() == Some(stretch.tires.as_str()));
    vehicle.tires.iter().find(is_named).or_else(on)
}

fn check_tires(document: &Document, vehicle: &Vehicle, stretch: &Ahead, set: Option<&TireSet>) {
    let is_on = set.zip(vehicle.mounted()).is_some_and(|(set, on)| std::ptr::eq(set, on));
    let tells = |set: &TireSet| set.size.is_some() || set.published_revs.is_some() || is_on;
    let place = (&PLAN, plan::TIRES.name, stretch.line);
    let found = format!("\"{}\"", stretch.tires);
    match set {
        Some(set) if tells(set) => {}
        Some(_) => {
            let expected = "a size or published revolutions per mile for these tires";
            let hint = Wording::from("Add ").field(TIRE.key(tire::SIZE.name)).text(" to the set of tires");
            say(document, Severity::Error, place, expected, found, hint);
        }
        None if TireSize::parse(&stretch.tires).is_ok() => {}
        None => {
            let names: Vec<&str> = vehicle.tires.iter().filter_map(|set| set.name.as_deref()).collect();
            let hint = hint_for(&stretch.tires, names);
            say(document, Severity::Error, place, "the name of a set of tires, or a size", found, hint);
        }
    }
}

fn check_tread(document: &Document, stretch: &Ahead, set: Option<&TireSet>) {
    if stretch.tread_at_end.is_none() {
        return;
    }
    let depth = set.and_then(|set| set.tread_depth.as_ref().or(set.tread_depth_new.as_ref()));
    let size = set.and_then(|set| set.size.as_ref());
    if depth.is_none() || size.is_none() {
        let expected = "the depth of the tread as it is or was new, and the size";
        let named = |key| TIRE.key(key);
        let hint = Wording::from("Add ").field(named(tire::TREAD_DEPTH.name)).text(" or ");
        let hint = hint.field(named(tire::TREAD_DEPTH_NEW.name)).text(", and ").field(named(tire::SIZE.name));
        let place = (&PLAN, plan::TREAD_AT_END.name, stretch.line);
        say(document, Severity::Error, place, expected, NOTHING, hint.text(", to the set of tires"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(tires: &str, plan: &str, expected: Option<&str>) {
        let text = format!("{tires}[[plan]]\nmiles = 1000\n{plan}");
        let (_, problems) = Vehicle::read("test", &text);
        let found = problems.iter().find(|problem| problem.severity == Severity::Error);
        let part = found.and_then(|problem| problem.part.as_ref()).map(|part| part.to_string());
        assert_eq!(part.as_deref(), expected, "{plan}: {problems:?}");
    }

    #[test]
    fn tires_are_known_or_not_kept() {
        let sets = "[[tire]]\nname = \"summer\"\nsize = \"235/75R15\"\n[[tire]]\nname = \"winter\"\n";
        check(sets, "tires = \"summer\"\n", None);
        check(sets, "tires = \"31x10.50R15LT\"\n", None);
        check(sets, "tires = \"sumer\"\n", Some("[[plan]] tires"));
        check(sets, "tires = \"winter\"\n", Some("[[plan]] tires"));
        // Of the set that is on, nothing but its name need be known.
        check("[[tire]]\nname = \"winter\"\n", "tires = \"winter\"\n", None);
        check(sets, "tires = \"summer\"\ntread_at_end = \"2 mm\"\n", Some("[[plan]] tread_at_end"));
        let worn = "[tire]\nname = \"summer\"\nsize = \"235/75R15\"\ntread_depth = \"9 mm\"\n";
        check(worn, "tires = \"summer\"\ntread_at_end = \"2 mm\"\n", None);
    }
}
