//! The miles to come, as `choose` shows them.

use crate::choose::Outlook;
use crate::report::answers::description::percent_off;
use crate::report::document::{Document, TableId};
use crate::units::Units;
use metrology::quantity::{Length, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// What to hold over the miles planned.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OutlookReport {
    /// Each stretch with its setting.
    pub held: Vec<HeldReport>,
    /// Changes of the setting.
    pub writes: usize,
    /// RMS of the mean relative error over all miles.
    pub rms: f64,
    /// The same by the number of changes allowed, from none.
    pub rms_by_writes: Vec<f64>,
    /// The one setting for all of it.
    pub compromise: String,
    /// Its RMS.
    pub compromise_rms: f64,
    /// RMS when nothing is set until the tires or the axle change.
    pub waiting_rms: Option<f64>,
    /// Changes made in that case.
    pub waiting_writes: usize,
}

/// One stretch.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HeldReport {
    /// The tires.
    pub tires: String,
    /// How far.
    pub distance_m: f64,
    /// What is set.
    pub label: String,
    /// Indicated over true.
    pub expected_ratio: f64,
}

impl OutlookReport {
    /// The report of an outlook.
    pub fn new(outlook: &Outlook) -> OutlookReport {
        let held = outlook.held.iter().map(|held| HeldReport {
            tires: held.tires.clone(),
            distance_m: held.distance.m(),
            label: held.label.clone(),
            expected_ratio: held.expected_ratio.plain(),
        });
        OutlookReport {
            held: held.collect(),
            writes: outlook.writes,
            rms: outlook.rms.plain(),
            rms_by_writes: outlook.rms_by_writes.iter().map(|rms| rms.plain()).collect(),
            compromise: outlook.compromise.0.clone(),
            compromise_rms: outlook.compromise.1.plain(),
            waiting_rms: outlook.waiting.map(Ratio::plain),
            waiting_writes: outlook.waiting_writes,
        }
    }

    /// Its tables.
    pub(crate) fn push_to(&self, units: Units, document: &mut Document) {
        let row = |held: &HeldReport| {
            vec![
                held.tires.clone(),
                units.say_road(Length::from_m(held.distance_m), 0),
                held.label.clone(),
                format!("{:+.2} %", percent_off(Ratio::from_plain(held.expected_ratio))),
            ]
        };
        let rows = self.held.iter().map(row).collect();
        let title = format!("The {} to come", units.road_words());
        document.table_of(
            TableId::RoadToCome,
            &title,
            &["tires", units.road_words(), "setting", "would read"],
            rows,
        );
        let row = |(writes, rms): (usize, &f64)| vec![writes.to_string(), format!("{:.2} %", 100.0 * rms)];
        let rows = self.rms_by_writes.iter().enumerate().map(row).collect();
        document.table_of(TableId::Changes, "What each change buys", &["changes", "off on average"], rows);
    }
}
