//! Forms made by hand for what everybody fills in: what they ask first, in which order, beside which drawing.

use super::drawings;
use super::filled::Filled;
use maud::Markup;

/// A form made by hand.
pub struct Made {
    /// The section, or the kind where there are kinds.
    of: &'static str,
    /// What is asked first, in order; the rest stands behind one summary.
    pub lead: &'static [&'static str],
    /// What must be filled in here beside what the file needs in any case.
    pub needed: &'static [&'static str],
    /// Keys that the form has for what was written before, and shows in no field of their own.
    pub unseen: &'static [&'static str],
    /// The drawing beside it, where it has one of its own.
    pub drawing: Option<fn(&Filled) -> Markup>,
    /// Where a script asks what the fields come to, and which fields those are.
    pub preview: Option<(Preview, &'static [&'static str])>,
}

/// What is worked out while somebody types.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Preview {
    /// What a size of tire means.
    Tire,
    /// What a rollout comes to.
    Rollout,
}

/// All of them.
static MADE: [Made; 9] = [
    Made {
        of: "tire",
        lead: &["size", "tread_depth", "published_revs_per_mile", "published_revs_per_km"],
        needed: &[],
        unseen: &[],
        drawing: Some(|_| drawings::sidewall()),
        preview: Some((Preview::Tire, &["size"])),
    },
    Made {
        of: "chain",
        lead: &["sensor_at", "axle_ratio", "counts_per_turn", "ring_teeth"],
        needed: &[],
        unseen: &[],
        drawing: None,
        preview: None,
    },
    Made {
        of: "stepped-constant",
        lead: &[
            "present",
            "writes_left",
            "min",
            "max",
            "step",
            "buttons",
            "wraps",
            "counts_per_mile_per_unit",
            "counts_per_km_per_unit",
        ],
        needed: &[],
        unseen: &[],
        drawing: Some(|filled| drawings::module(&filled.text("present"))),
        preview: None,
    },
    Made {
        of: "plan",
        lead: &["tires", "miles", "km", "tread_at_end"],
        needed: &[],
        unseen: &[],
        drawing: None,
        preview: None,
    },
    Made {
        of: "rollout",
        lead: &["turns", "lengths", "date"],
        needed: &["lengths"],
        unseen: &["length"],
        drawing: None,
        preview: Some((Preview::Rollout, &["turns", "lengths"])),
    },
    Made {
        of: "timed-mile",
        lead: &["indicated", "seconds", "distance", "date", "setting"],
        needed: &[],
        unseen: &[],
        drawing: None,
        preview: None,
    },
    Made {
        of: "odometer-distance",
        lead: &["odometer_start", "odometer_end", "true", "date", "setting"],
        needed: &[],
        unseen: &[],
        drawing: None,
        preview: None,
    },
    Made {
        of: "hold",
        lead: &["indicated", "true", "read_from", "date", "setting"],
        needed: &[],
        unseen: &[],
        drawing: None,
        preview: None,
    },
    Made {
        of: "drive",
        lead: &[
            "track",
            "holds",
            "read_from",
            "vehicle_log",
            "odometer_start",
            "odometer_end",
            "date",
            "setting",
        ],
        needed: &[],
        unseen: &[],
        drawing: None,
        preview: None,
    },
];

/// The form made by hand for a section, or for a kind of it.
pub fn made(section: &str, kind: Option<&str>) -> Option<&'static Made> {
    MADE.iter().find(|made| made.of == kind.unwrap_or(section))
}

/// A few generic shapes that a form can start from: what each is called, and what it fills in.
pub fn shapes(kind: &str) -> &'static [(&'static str, &'static str)] {
    match kind {
        "stepped-constant" => &[
            (
                "Four digits, one at a time, a button each way",
                "min=1000&max=9999&step=1&buttons=up&buttons=down",
            ),
            (
                "Two digits behind the point, one button, round and round",
                "min=1.00&max=99.99&step=0.01&buttons=up&wraps=true",
            ),
            ("A few positions, 1 to 9, one button", "min=1&max=9&step=1&buttons=up&wraps=true"),
        ],
        _ => &[],
    }
}
