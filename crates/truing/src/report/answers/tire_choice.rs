//! Which of these tires: what each would make of the reading with the setting as it is.

use crate::choose::TireCompared;
use crate::describe::tire::TireSize;
use crate::describe::tire::circumference::RollingConditions;
use crate::report::answers::tire::TireReport;
use crate::report::document::{Chart, Document, Series, SeriesKind};
use crate::report::words::value::V;
use crate::report::words::{interval, reads, value_and_uncertainty};
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Length, PerLength, Ratio};
use serde::Serialize;

/// The speed at which an example is given, in mph and in km/h.
const EXAMPLE: (f64, f64) = (60.0, 100.0);

/// Tires beside each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TireChoice {
    /// The truck.
    pub vehicle: String,
    /// What is stored now.
    pub setting: Option<String>,
    /// The tires; those on it first, then the truest first.
    pub tires: Vec<TireRow>,
    #[serde(skip)]
    units: Units,
}

/// A tire and what it would do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TireRow {
    /// Its size.
    pub size: String,
    /// Whether it is on now.
    pub is_mounted: bool,
    /// Outside diameter as new, in mm; null where the size is not known.
    pub diameter_mm: Option<V>,
    /// Revolutions per mile.
    pub revs_per_mile: Option<V>,
    /// Indicated over true with it.
    pub ratio: Option<V>,
    #[serde(skip)]
    reads: String,
}

impl TireChoice {
    /// Of the tires compared.
    pub fn new(vehicle: &str, setting: Option<String>, compared: &[TireCompared], units: Units) -> Self {
        let mut tires: Vec<TireRow> = compared.iter().map(TireRow::new).collect();
        let off = |row: &TireRow| row.ratio.as_ref().map_or(f64::INFINITY, |v| v.value.ln().abs());
        tires.sort_by(|a, b| b.is_mounted.cmp(&a.is_mounted).then(off(a).total_cmp(&off(b))));
        Self { vehicle: vehicle.into(), setting, tires, units }
    }

    /// The same in words.
    pub fn document(&self) -> Document {
        let mut document = Document::new(self.vehicle.clone());
        document.sentence(self.headline());
        document.table("Tires", &self.head().iter().map(String::as_str).collect::<Vec<_>>(), self.rows());
        if let Some(chart) = self.chart() {
            document.push(crate::report::document::Block::Chart(chart));
        }
        document.sentence("What a size promises is less sure than what was measured: the turns of a tire that is not on the truck come from its size alone. Measure again after they are fitted.");
        document.sentence("Whether a tire fits the rim, the wheel house and the load is not judged here.");
        document
    }

    fn headline(&self) -> String {
        let with =
            self.setting.as_ref().map_or(String::new(), |setting| format!(" with {setting} left stored"));
        let known = self.tires.iter().filter(|tire| tire.ratio.is_some());
        let off = |tire: &&TireRow| tire.ratio.as_ref().map_or(f64::INFINITY, |v| v.value.ln().abs());
        match known.min_by(|a, b| off(a).total_cmp(&off(b))) {
            Some(truest) => format!("Truest{with}: {}, which {}.", truest.size, truest.reads),
            None => "How far the truck reads off is not known yet, so the tires can be compared by their turns only.".into(),
        }
    }

    fn head(&self) -> Vec<String> {
        let (at, word) = self.example();
        let revs = format!("revs {}", self.units.per_word());
        let mut head: Vec<String> =
            ["tire", "diameter", &revs, "would read", "95 % interval"].map(String::from).to_vec();
        head.push(format!("shown at a true {at:.0} {word}"));
        head
    }

    fn example(&self) -> (f64, &'static str) {
        (self.units.by_road(EXAMPLE.0, EXAMPLE.1), self.units.speed_word())
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let unknown = || "not known".to_string();
        let off = |ratio: f64| format!("{:+.1} %", 100.0 * (ratio - 1.0));
        let row = |tire: &TireRow| {
            let on = if tire.is_mounted { " (on it now)" } else { "" };
            let diameter = tire.diameter_mm.as_ref().map_or_else(unknown, |v| {
                let (value, word) = self.units.of_short(Length::from_mm(v.value));
                let (u, _) = self.units.of_short(Length::from_mm(v.standard_uncertainty));
                format!("{} {word}", value_and_uncertainty(value, u))
            });
            let revs = tire.revs_per_mile;
            let revs = revs.map(|v| v.to(|n| self.units.of_per_length(PerLength::from_per_mi(n))));
            let ratio = tire.ratio.as_ref();
            vec![
                format!("{}{on}", tire.size),
                diameter,
                revs.map_or_else(unknown, |v| value_and_uncertainty(v.value, v.standard_uncertainty)),
                ratio.map_or_else(unknown, |v| off(v.value)),
                ratio.map_or_else(unknown, |v| format!("{} to {}", off(v.low_95), off(v.high_95))),
                ratio.map_or_else(unknown, |v| format!("{:.1}", self.example().0 * v.value)),
            ]
        };
        self.tires.iter().map(row).collect()
    }

    /// Each tire as a bar; none where no reading is known.
    pub fn chart(&self) -> Option<Chart> {
        let percent = |ratio: f64| 100.0 * (ratio - 1.0);
        let bar = |tire: &TireRow| {
            let v = tire.ratio.as_ref()?;
            let label = format!("{}{}", tire.size, if tire.is_mounted { " (on it now)" } else { "" });
            let points = [v.low_95, v.value, v.high_95].map(|ratio| (percent(ratio), 0.0)).to_vec();
            let says = value_and_uncertainty(percent(v.value), 100.0 * v.standard_uncertainty);
            Some(Series::new(label, points, SeriesKind::Interval).saying(format!("{says} %")))
        };
        let bars: Vec<Series> = self.tires.iter().filter_map(bar).collect();
        if bars.is_empty() {
            return None;
        }
        let true_line = Series::new("true", vec![(0.0, 0.0)], SeriesKind::Upright);
        let say = |tire: &TireRow| {
            let v = tire.ratio.as_ref()?;
            let between = interval(percent(v.low_95), percent(v.high_95), 100.0 * v.standard_uncertainty);
            Some(format!("with {} it would read {between} per cent off", tire.size))
        };
        let words: Vec<String> = self.tires.iter().filter_map(say).collect();
        Some(Chart {
            title: "How far each would read off (bars: 95 %)".into(),
            description: format!("With 95 % probability: {}.", words.join("; ")),
            x_label: "per cent off (- slow, + fast)".into(),
            y_label: String::new(),
            series: bars.into_iter().chain([true_line]).collect(),
        })
    }
}

impl TireRow {
    fn new(compared: &TireCompared) -> Self {
        let size = TireSize::parse(&compared.size).ok();
        let rolled = size
            .and_then(|size| TireReport::new(&size, &RollingConditions::default(), Units::default()).ok());
        Self {
            size: compared.size.clone(),
            is_mounted: compared.is_mounted,
            diameter_mm: rolled.map(|report| report.diameter_mm),
            revs_per_mile: V::maybe(compared.revs.as_ref(), PerLength::per_mi),
            ratio: V::maybe(compared.ratio.as_ref(), Ratio::plain),
            reads: compared.ratio.as_ref().map_or(String::new(), |ratio: &Measured<Ratio>| reads(ratio)),
        }
    }
}
