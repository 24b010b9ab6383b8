//! Where the figures of a record come from: what is due by true distance, and the fuel of each tank.

use crate::record::{Due, Entry, Mileage, Tank, TrueDistance, VehicleState, tanks};
use crate::report::explanation::distance::stretches;
use crate::report::explanation::origin::Origin;
use crate::report::papers::history::FuelReport;
use crate::report::words;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Length, Volume};

/// The origin of each figure of what is due, of the entries of one vehicle.
pub fn of_due(entries: &[Entry], units: Units) -> Vec<Origin> {
    let mileage = Mileage::from_entries(entries);
    VehicleState::from_entries(entries).due.iter().map(|due| due_of(due, &mileage, units)).collect()
}

/// The origin of each fuel figure.
pub fn of_fuel(entries: &[Entry], units: Units) -> Vec<Origin> {
    let mileage = Mileage::from_entries(entries);
    let (tanks, _) = tanks(entries);
    tanks
        .iter()
        .filter(|tank| tank.volume > Volume::default())
        .map(|tank| fuel_of(tank, &mileage, units))
        .collect()
}

fn rounded(length: &Measured<Length>, units: Units) -> String {
    let [value, uncertainty] =
        [length.value, length.standard_uncertainty].map(|length| units.of_road(length));
    format!("{} {}", words::value_and_uncertainty(value, uncertainty), units.road_word())
}

fn due_of(due: &Due, mileage: &Mileage, units: Units) -> Origin {
    let left = due.left();
    let gone = due.since.as_ref().and_then(|since| since.distance);
    let (number, value) = match (&left, &gone) {
        (Some(left), _) => (format!("{}, true distance left", due.what), rounded(left, units)),
        (None, Some(gone)) => (format!("{}, true distance since", due.what), rounded(gone, units)),
        (None, None) => (format!("{}, true distance since", due.what), "not known".to_string()),
    };
    let mut how = vec![format!("It was done last at entry {}.", due.entry)];
    how.extend(due.since.iter().flat_map(|since| gone_since(since, units)));
    if let (Some(every), Some(left), Some(gone)) = (due.every, &left, &gone) {
        how.push(format!(
            "It is due again after {}, so what is left is {} - {} = {}. The interval is taken as it was said; the uncertainty \
             is that of the distance.",
            units.say_road(every, 0),
            units.say_road(every, 0),
            rounded(gone, units),
            rounded(left, units),
        ));
    }
    Origin { number, value, how, rests_on: due.since.as_ref().map(|_| stretches(mileage, units)) }
}

/// How a true distance came of what the odometer counted.
fn gone_since(since: &TrueDistance, units: Units) -> Vec<String> {
    let counted = format!("The odometer counted {} meanwhile", units.say_road(since.indicated, 1));
    let mut how = vec![match &since.distance {
        Some(gone) => format!(
            "{counted}; over what it reads for each true {}, stretch by stretch, that is {} truly (JCGM 100:2008, 5.2).",
            units.by_road("mile", "kilometre"),
            rounded(gone, units)
        ),
        None => format!("{counted}; how far that is truly cannot be told."),
    }];
    how.extend(since.unknowable.iter().cloned());
    how
}

fn fuel_of(tank: &Tank, mileage: &Mileage, units: Units) -> Origin {
    let [_, indicated, truly] = FuelReport::new(tank).row(units);
    let word = units.by_road("miles per US gallon", "litres per 100 km");
    let volume = units
        .by_road(format!("{:.2} US gallons", tank.volume.us_gal()), format!("{:.2} litres", tank.volume.l()));
    let mut how =
        vec![format!("{volume} went in at entry {} and since the fill to the brim before it.", tank.entry)];
    how.extend(gone_since(&tank.gone, units));
    how.push(format!(
        "{}: {indicated} {word} by the odometer, {truly} truly.",
        units.by_road("Distance over volume", "Volume over distance, times 100")
    ));
    how.push(
        "The volume is taken as it was typed: the pump's own error and how full the brim is are not in the uncertainty. Over \
         several tanks they even out."
            .to_string(),
    );
    Origin {
        number: format!("Fuel of entry {}, truly", tank.entry),
        value: format!("{truly} {word}"),
        how,
        rests_on: Some(stretches(mileage, units)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Chain, Draft, EventKind};

    fn lived() -> Chain {
        let mut chain = Chain::default();
        let mut add = |day: u32, kind, fields: &[(&str, &str)]| {
            let time = format!("2026-05-0{day}T10:00:00Z").parse().unwrap();
            chain.append(Draft::new(time, "One", kind, fields)).unwrap();
        };
        add(1, EventKind::Odometer, &[("odometer", "1000 mi")]);
        add(1, EventKind::Estimate, &[("what", "reading ratio"), ("reading_ratio", "0.95 +/- 0.001")]);
        add(2, EventKind::Service, &[("what", "engine oil"), ("every", "5000 mi"), ("odometer", "1000 mi")]);
        add(2, EventKind::Service, &[("what", "coolant"), ("odometer", "1000 mi")]);
        add(3, EventKind::Fuel, &[("volume", "20 gal"), ("odometer", "1000 mi")]);
        add(4, EventKind::Fuel, &[("volume", "20 gal"), ("odometer", "1285 mi")]);
        chain
    }

    /// 285 indicated miles over 0.95 are 300 true ones: 4700 are left of 5000, and 300 / 20 gal are 15 mi/gal.
    #[test]
    fn each_figure_says_how_it_came_about() {
        let chain = lived();
        let check = |origin: &Origin, number: &str, value: &str, pieces: &[&str]| {
            assert!(origin.number.starts_with(number), "{}", origin.number);
            assert!(origin.value.starts_with(value), "{}: {}", origin.number, origin.value);
            let how = origin.how.join(" ");
            for piece in pieces {
                assert!(how.contains(piece), "no {piece:?} in {how}");
            }
            assert!(
                origin.rests_on.as_ref().is_some_and(|table| !table.rows.is_empty()),
                "{}",
                origin.number
            );
        };
        let due = of_due(chain.entries(), Units::Us);
        let oil = due.iter().find(|origin| origin.number.starts_with("engine oil")).unwrap();
        check(
            oil,
            "engine oil, true distance left",
            "4700",
            &["entry 3", "285.0 mi", "300.", "5000 mi - 300."],
        );
        let coolant = due.iter().find(|origin| origin.number.starts_with("coolant")).unwrap();
        check(coolant, "coolant, true distance since", "300.", &["entry 4", "285.0 mi"]);
        let fuel = of_fuel(chain.entries(), Units::Us);
        assert_eq!(fuel.len(), 1, "the first fill only marks the start");
        check(
            &fuel[0],
            "Fuel of entry 6",
            "15.0",
            &["20.00 US gallons", "285.0 mi", "14.2 miles", "the pump's own error"],
        );
        // 20 US gal are 75.708 l (1 gal = 231 in^3), 300 mi are 482.80 km: 15.68 l/100 km.
        check(&of_fuel(chain.entries(), Units::Metric)[0], "Fuel", "15.6", &["75.71 litres", "times 100"]);
    }

    #[test]
    fn what_cannot_be_told_is_said() {
        let mut chain = Chain::default();
        let time = "2026-05-01T10:00:00Z".parse().unwrap();
        let fields = [("what", "engine oil"), ("every", "5000 mi"), ("odometer", "1000 mi")];
        chain.append(Draft::new(time, "One", EventKind::Service, &fields)).unwrap();
        let later = "2026-05-02T10:00:00Z".parse().unwrap();
        chain.append(Draft::new(later, "One", EventKind::Odometer, &[("odometer", "1100 mi")])).unwrap();
        let due = of_due(chain.entries(), Units::Us);
        assert_eq!(due[0].value, "not known");
        assert!(due[0].how.join(" ").contains("cannot be told"), "{:?}", due[0].how);
        assert!(of_fuel(chain.entries(), Units::Us).is_empty());
    }
}
