//! What the setting is for: what shall be true, at which speeds, judged by which rule.

use crate::describe::file::document::{Entry, Node};
use crate::describe::file::key::Kind;
use crate::describe::file::keys::{band, usage as keys};
use crate::describe::file::kinds::OneOf;
use crate::describe::file::words::words;
use crate::describe::thresholds::Thresholds;
use metrology::quantity::{Ratio, Speed};
use serde_json::{Value as Json, json};
use toml::de::DeValue;

words! {
    /// What shall be true where one setting cannot serve both.
    MakeTrue {
        /// The odometer.
        Distance = "distance",
        /// The needle.
        Needle = "needle",
    }
}

words! {
    /// What a band is laid on.
    Judges {
        /// The speed shown.
        Needle = "needle",
        /// The distance shown.
        Distance = "distance",
    }
}

words! {
    /// A rule by its id.
    RuleId {
        /// As true as can be, with no bias.
        True = "true",
        /// Regulation 39 of the United Nations.
        UnR39 = "un-r39",
        /// Title 49 of the Code of Federal Regulations, section 393.82.
        Us393_82 = "us-393.82",
        /// Japan, vehicles up to 2006.
        Jp2006 = "jp-2006",
        /// Japan, vehicles from 2007.
        Jp2007 = "jp-2007",
        /// Australia, vehicles to 2006 or 2007.
        Au18_02 = "au-18-02",
        /// The odometer within 4 %.
        Odometer4 = "odometer-4",
        /// The tachograph within 2 %.
        Tachograph2 = "tachograph-2",
    }
}

/// What the vehicle shall be judged by.
#[derive(Clone, Debug, PartialEq)]
pub enum Rule {
    /// One that is known by its id.
    Known(RuleId),
    /// A band of the owner's own.
    Own(OwnBand),
}

/// What is shown may lie above the truth by `over_share x truth + over_offset`, and below it likewise.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnBand {
    /// Share of the truth by which it may read fast.
    pub over_share: Ratio,
    /// Amount by which it may read fast beside that.
    pub over_offset: Speed,
    /// Share of the truth by which it may read slow.
    pub under_share: Ratio,
    /// Amount by which it may read slow beside that.
    pub under_offset: Speed,
    /// What the band is laid on.
    pub judges: Judges,
    /// True speeds at which it is judged; empty for all usual speeds.
    pub speeds: Vec<Speed>,
}

/// What the setting is for.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// What shall be true where one setting cannot serve both.
    pub make_true: MakeTrue,
    /// Least and greatest usual speed.
    pub speeds: Option<(Speed, Speed)>,
    /// What the vehicle reaches.
    pub top_speed: Option<Speed>,
    /// What it is judged by.
    pub rule: Rule,
    /// Writes to keep.
    pub reserve: u32,
    /// Whether the vehicle's own speed can be logged; not said where there is none.
    pub vehicle_log: Option<bool>,
    /// What a choice is decided by.
    pub thresholds: Thresholds,
    /// Usual pressure of the tires, over 1 psi.
    pub tire_pressure: Option<Ratio>,
    /// Usual load on a tire over its rated load.
    pub tire_load: Option<Ratio>,
}

impl Default for Use {
    fn default() -> Self {
        Self {
            make_true: MakeTrue::Distance,
            speeds: None,
            top_speed: None,
            rule: Rule::Known(RuleId::True),
            reserve: 0,
            vehicle_log: None,
            thresholds: Thresholds::default(),
            tire_pressure: None,
            tire_load: None,
        }
    }
}

/// Reads `[use]`.
pub(super) fn read(entry: &Entry<'_>) -> Use {
    let otherwise = Use::default();
    let speeds = entry.either(&keys::SPEEDS_MPH, &keys::SPEEDS_KM_H).and_then(|speeds| match speeds[..] {
        [least, greatest] if least < greatest => Some((least, greatest)),
        _ => not_a_range(entry, &speeds),
    });
    Use {
        make_true: entry.get(&keys::MAKE_TRUE).unwrap_or(otherwise.make_true),
        speeds,
        top_speed: entry.either(&keys::TOP_SPEED_MPH, &keys::TOP_SPEED_KM_H),
        rule: entry.get(&keys::RULE).unwrap_or(otherwise.rule),
        reserve: entry.get(&keys::RESERVE).unwrap_or(otherwise.reserve),
        vehicle_log: entry.get(&keys::VEHICLE_LOG),
        thresholds: Thresholds::read(entry),
        tire_pressure: entry.either(&keys::TIRE_PRESSURE_PSI, &keys::TIRE_PRESSURE_KPA),
        tire_load: entry.get(&keys::TIRE_LOAD_PERCENT),
    }
}

/// Says which two speeds are meant, in the unit that was written.
fn not_a_range<T>(entry: &Entry<'_>, speeds: &[Speed]) -> Option<T> {
    let in_km = entry.has(&keys::SPEEDS_KM_H);
    let number = |speed: &Speed| if in_km { speed.km_per_h() } else { speed.mi_per_h() };
    let found = format!("{:?}", speeds.iter().map(number).collect::<Vec<_>>());
    let (place, hint) = match in_km {
        true => (entry.place(&keys::SPEEDS_KM_H), "Write as in [40, 110]"),
        false => (entry.place(&keys::SPEEDS_MPH), "Write as in [25, 70]"),
    };
    place.wrong("two speeds, the lesser first", found, hint)
}

/// A rule by its id, or a table of the owner's own.
pub struct RuleKind;

impl Kind for RuleKind {
    type Out = Rule;
    fn read(node: &Node<'_>) -> Option<Rule> {
        match node.value {
            DeValue::Table(table) => own_band(&Entry::inside(node, table, band::KEYS)).map(Rule::Own),
            DeValue::String(_) => OneOf::<RuleId>::read(node).map(Rule::Known),
            _ => node.not_a::<Self, _>("Put the word in quotes"),
        }
    }
    fn expected() -> String {
        format!("{}, or a table of your own", OneOf::<RuleId>::expected())
    }
    fn schema() -> Json {
        json!({"anyOf": [OneOf::<RuleId>::schema(), crate::describe::file::schema::table(band::KEYS)]})
    }
}

fn own_band(entry: &Entry<'_>) -> Option<OwnBand> {
    let stands =
        [entry.has(&band::OVER_PERCENT), entry.has(&band::OVER_OFFSET), entry.has(&band::UNDER_PERCENT)];
    if !stands.contains(&true) && !entry.has(&band::UNDER_OFFSET) {
        let hint = "Give over_percent, over_offset, under_percent or under_offset";
        return entry.itself().wrong("a band", "no width", hint);
    }
    let none = || Speed::from_m_per_s(0.0);
    Some(OwnBand {
        over_share: entry.get(&band::OVER_PERCENT).unwrap_or_default(),
        over_offset: entry.get(&band::OVER_OFFSET).map_or_else(none, |speed| speed.value),
        under_share: entry.get(&band::UNDER_PERCENT).unwrap_or_default(),
        under_offset: entry.get(&band::UNDER_OFFSET).map_or_else(none, |speed| speed.value),
        judges: entry.get(&band::JUDGES).unwrap_or(Judges::Needle),
        speeds: entry.either(&band::SPEEDS_MPH, &band::SPEEDS_KM_H).unwrap_or_default(),
    })
}
