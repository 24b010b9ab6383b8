//! Where the true distance of a vehicle comes from.

use crate::record::{Mileage, Stretch};
use crate::report::answers::mileage::DistanceReport;
use crate::report::document::Table;
use crate::report::explanation::origin::Origin;
use crate::report::words;
use crate::units::Units;
use metrology::quantity::Length;

/// The origin of a true distance; none where there is nothing to tell it from.
pub fn of_distance(distance: &DistanceReport, mileage: &Mileage, units: Units) -> Option<Origin> {
    let known = distance.distance_m.as_ref()?.to(|m| units.of_road(Length::from_m(m)));
    let text = words::value_and_uncertainty(known.value, known.standard_uncertainty);
    let how = [
        "Tires, parts and settings stay between two changes. Over each such stretch the true distance is what the odometer \
         counted over what it reads for each true mile; the stretches are added up: D = sum (end - start) / R.",
        "R comes from the estimate made in the stretch. Where there is none, that of a neighbour is carried over a write, which \
         changes R by a known factor; over other tires or parts nothing is carried.",
        "Uncertainty by the law of propagation (JCGM 100:2008, 5.2). What stretches share, such as one estimate, adds up straight; \
         what each has for itself, such as the wear of its tires, adds in squares. A reading between two stretches counts once.",
    ];
    Some(Origin {
        number: "True distance".into(),
        value: format!("{text} {}", units.road_word()),
        how: how.iter().map(|sentence| (*sentence).to_string()).collect(),
        rests_on: Some(stretches(mileage, units)),
    })
}

/// The stretches between two changes, with what each is reckoned by.
pub(crate) fn stretches(mileage: &Mileage, units: Units) -> Table {
    let head = ["begins with", "odometer there", "indicated over true", "from"];
    let rows = mileage.stretches.iter().map(|stretch| row(stretch, units)).collect();
    Table::new(None, "The stretches", &head, rows)
}

fn row(stretch: &Stretch, units: Units) -> Vec<String> {
    let begins = stretch.from_entry.map_or("the first reading".into(), |entry| format!("entry {entry}"));
    let odometer = stretch.start.map_or(String::new(), |start| units.say_road(start.at, 1));
    let (ratio, from) = match &stretch.ratio {
        None => ("not known".to_string(), String::new()),
        Some(known) => {
            let ratio = &known.ratio;
            let text = words::value_and_uncertainty(ratio.value.plain(), ratio.standard_uncertainty.plain());
            (text, format!("the estimate of entry {}", known.estimate))
        }
    };
    vec![begins, odometer, ratio, from]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Chain, Draft, EventKind};

    #[test]
    fn each_stretch_names_its_estimate() {
        let time = |day: u32| format!("2026-05-0{day}T10:00:00Z").parse().unwrap();
        let mut chain = Chain::default();
        let mut add = |day, kind, fields: &[(&str, &str)]| {
            chain.append(Draft::new(time(day), "One", kind, fields)).unwrap();
        };
        add(1, EventKind::Odometer, &[("odometer", "1000 mi")]);
        add(2, EventKind::Estimate, &[("what", "reading ratio"), ("reading_ratio", "0.95 +/- 0.001")]);
        add(3, EventKind::Write, &[("from", "1480"), ("to", "1406"), ("odometer", "1950 mi")]);
        add(4, EventKind::Odometer, &[("odometer", "2950 mi")]);
        let mileage = Mileage::from_entries(chain.entries());
        let (from, to) = mileage.ends().unwrap();
        let found = mileage.distance(from, to).unwrap();
        let report = DistanceReport::new("One", Some(&found), &mileage, Units::default());
        let origin = of_distance(&report, &mileage, Units::default()).unwrap();
        // 950 indicated miles over 0.95 are 1000; 1000 over 0.95 x 1480 / 1406 = 1 are 1000.
        // The wear of one set of tires, 0.5 % of it not known, is the same in both.
        assert!(origin.value.starts_with("2000 "), "{}", origin.value);
        let rows = origin.rests_on.unwrap().rows;
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0][3], "the estimate of entry 2");
        assert_eq!((rows[1][0].as_str(), rows[1][1].as_str()), ("entry 3", "1950.0 mi"));
        assert!(rows[1][2].starts_with("1.000"), "carried over the write: {}", rows[1][2]);
        assert!(
            of_distance(
                &DistanceReport::new("One", None, &mileage, Units::default()),
                &mileage,
                Units::default()
            )
            .is_none()
        );
    }
}
