//! The answer of `measure drive`.

use crate::measure::drive::{DiagnosisKind, Doubt, DriveEstimate, Hold, Reads, Rejected};
use crate::problem::Problem;
use crate::report::document::{Block, Chart, Document, Series, SeriesKind};
use crate::report::findings::drive::DiagnosisDetails;
use crate::report::words::value::V;
use crate::report::words::{self, reads, reads_between, value_and_uncertainty};
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};
use schemars::JsonSchema;
use serde::Serialize;

/// Points drawn of each channel at most: more cannot be told apart on a page.
const DRAWN_MOST: usize = 600;

/// What a drive says. No coordinate is in it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DriveReport {
    /// Indicated over true.
    pub reading_ratio: Option<V>,
    /// What indicated: `channel`, `needle` or `distance`.
    #[schemars(with = "String")]
    pub reads: Reads,
    /// Whether it can be told, and closely enough to be of use.
    pub can_be_told: bool,
    /// Why not, where it cannot be.
    pub why: Vec<String>,
    /// The same with its kind and numbers.
    pub doubts: Vec<Doubt>,
    /// The speed at which the reading ratio holds.
    pub usual_speed_m_per_s: f64,
    /// Integral of indicated over integral of true, no offset.
    pub ratio_by_distance: Option<V>,
    /// The odometer's ratio, where a passenger marked it beside the dial.
    pub by_odometer: Option<V>,
    /// Offset of the indication.
    pub offset_m_per_s: Option<V>,
    /// The vehicle log's clock minus the track's.
    pub clock_lag_s: Option<V>,
    /// True length of the drive; absent where a gap leaves it unknown.
    pub distance_m: Option<V>,
    /// The first gap that leaves the length unknown.
    pub no_data: Option<NoData>,
    /// From first to last fix.
    pub duration_s: f64,
    /// What was read, used and left out.
    pub points: PointsReport,
    /// Steady stretches matched to called-out speeds.
    pub holds: Vec<HoldReport>,
    /// The kind of error: `proportional`, `offset`, `curved`, `erratic` or `undetermined`.
    #[schemars(with = "String")]
    pub diagnosis: DiagnosisKind,
    /// What it means.
    pub diagnosis_says: String,
    /// The same with its kind and numbers.
    pub diagnosis_details: DiagnosisDetails,
    /// What was wrong with the inputs.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    sentence: Option<String>,
    #[serde(skip)]
    chart: Chart,
    #[serde(skip)]
    units: Units,
}

/// A stretch without data that nothing bridges.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct NoData {
    /// Since the start of the track.
    pub from_s: f64,
    /// Since the start of the track.
    pub to_s: f64,
}

impl NoData {
    fn new(drive: &DriveEstimate) -> Option<NoData> {
        drive.missing.map(|(from, to)| NoData { from_s: from.s(), to_s: to.s() })
    }

    /// Why the length is not known.
    pub fn says(&self) -> String {
        format!(
            "not known: the track has no data from {} to {}, {:.0} s",
            clock(self.from_s),
            clock(self.to_s),
            self.to_s - self.from_s
        )
    }
}

/// Minutes and seconds since the start.
fn clock(time_s: f64) -> String {
    let whole_s = time_s.max(0.0) as u64;
    format!("{}:{:02} min", whole_s / 60, whole_s % 60)
}

/// Points of a drive.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PointsReport {
    /// Points read.
    pub read: usize,
    /// Points the result rests on.
    pub used: usize,
    /// Points left out.
    pub rejected: usize,
    /// The same by reason.
    pub rejected_by_reason: Vec<LeftOut>,
}

/// Points left out for a reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LeftOut {
    /// Why.
    pub reason: &'static str,
    /// How many.
    pub count: usize,
}

/// A hold.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HoldReport {
    /// What the dial showed.
    pub indicated_m_per_s: f64,
    /// What was true.
    pub true_m_per_s: V,
    /// Since the start of the track.
    pub start_s: f64,
    /// Since the start of the track.
    pub end_s: f64,
}

impl LeftOut {
    fn new(rejected: &Rejected) -> Self {
        Self { reason: rejected.cause.words(), count: rejected.count }
    }
}

impl HoldReport {
    fn new(hold: &Hold) -> HoldReport {
        HoldReport {
            indicated_m_per_s: hold.indicated.m_per_s(),
            true_m_per_s: V::new(&hold.truth, Speed::m_per_s),
            start_s: hold.start.s(),
            end_s: hold.end.s(),
        }
    }
}

impl DriveReport {
    /// The report of a drive.
    pub fn new(drive: &DriveEstimate, problems: Vec<Problem>, units: Units) -> DriveReport {
        DriveReport {
            reading_ratio: V::maybe(drive.reading_ratio.as_ref(), Ratio::plain),
            can_be_told: drive.reading_ratio.is_some() && drive.can_be_told(),
            why: why(drive),
            doubts: drive.doubts.clone(),
            usual_speed_m_per_s: drive.usual_speed.m_per_s(),
            reads: drive.reads,
            ratio_by_distance: V::maybe(drive.ratio_by_distance.as_ref(), Ratio::plain),
            by_odometer: V::maybe(drive.by_odometer.as_ref(), Ratio::plain),
            offset_m_per_s: V::maybe(drive.offset.as_ref(), Speed::m_per_s),
            clock_lag_s: V::maybe(lag_between_like_clocks(drive).as_ref(), Duration::s),
            distance_m: V::maybe(drive.distance.as_ref(), Length::m),
            no_data: NoData::new(drive),
            duration_s: drive.duration.s(),
            points: PointsReport {
                read: drive.points.read,
                used: drive.points.used,
                rejected: drive.points.rejected.iter().map(|r| r.count).sum(),
                rejected_by_reason: drive.points.rejected.iter().map(LeftOut::new).collect(),
            },
            holds: drive.holds.iter().map(HoldReport::new).collect(),
            diagnosis: drive.diagnosis.kind(),
            diagnosis_says: words::drive::diagnosis(&drive.diagnosis, units),
            diagnosis_details: DiagnosisDetails::new(&drive.diagnosis),
            problems,
            sentence: drive.reading_ratio.as_ref().map(reads),
            chart: chart(drive, units),
            units,
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("A drive");
        let what = match self.reads {
            Reads::Channel => "he vehicle's logged speed",
            Reads::Needle => "he dial",
            Reads::Distance => "he odometer",
        };
        if !self.can_be_told {
            for why in &self.why {
                document.sentence(format!("How far off the truck reads cannot be told: {why}."));
            }
        }
        if let Some(sentence) = &self.sentence {
            let the = if self.can_be_told { "T" } else { "Taken as it stands, t" };
            document.sentence(format!("{the}{what} {sentence}."));
        }
        document.sentence(self.diagnosis_says.clone());
        if self.may_be_right() {
            document.sentence("It may also be right as it is: the interval holds no error at all.");
        }
        if self.is_low_by_steps() {
            document.sentence(
                "The log is low by about half its step at every speed, as one is that drops what is left of a step. The dial and the odometer are \
                 not: the first line below is theirs, the second has it in.",
            );
        }
        document.table(
            "What the drive says",
            &["quantity", "value ± standard uncertainty", "95 % interval"],
            self.rows(),
        );
        if !self.holds.is_empty() {
            document.table("Speeds held", &["called out", "true", "from", "to"], self.hold_rows());
        }
        if !self.points.rejected_by_reason.is_empty() {
            let row = |r: &LeftOut| vec![r.reason.to_string(), r.count.to_string()];
            let rows = self.points.rejected_by_reason.iter().map(row).collect();
            document.table("Points left out", &["reason", "points"], rows);
        }
        document.push(Block::Chart(self.chart.clone()));
        document
    }

    /// What a track gives by itself, and what is missing to tell how far off the truck reads.
    pub fn track_alone(&self) -> String {
        let length = self.distance_m.map(|v| v.to(|m| self.units.of_road(Length::from_m(m))));
        let went = length.map_or(String::new(), |v| {
            format!(
                "It gives a true length of {} {} over {:.0} minutes. ",
                value_and_uncertainty(v.value, v.standard_uncertainty),
                self.units.road_words(),
                self.duration_s / 60.0
            )
        });
        format!(
            "{went}Missing is what the truck showed meanwhile: its own log, speeds called out, or the odometer at both ends."
        )
    }

    /// What a drive with marks tells, of the dial and of the odometer; and where something cannot be told, why.
    pub fn marks_tell(&self) -> Vec<String> {
        let what = if self.reads == Reads::Distance { "The odometer" } else { "The dial" };
        let one = |what: &str, v: &V| format!("{what} {}.", reads_between(v.value, v.low_95, v.high_95));
        let first = self.reading_ratio.as_ref().map(|v| one(what, v));
        let beside = self.by_odometer.as_ref().map(|v| one("The odometer", v));
        let why = self.why.iter().map(|why| format!("How far off it reads cannot be told closely: {why}."));
        first.into_iter().chain(beside).chain(why).collect()
    }

    fn may_be_right(&self) -> bool {
        let holds_one = |ratio: &V| ratio.low_95 < 1.0 && 1.0 < ratio.high_95;
        self.can_be_told && self.reading_ratio.as_ref().is_some_and(holds_one)
    }

    /// A channel whose offset is surely below zero and yet no fault: its steps explain it.
    fn is_low_by_steps(&self) -> bool {
        let explained = self.reads == Reads::Channel && self.diagnosis == DiagnosisKind::Proportional;
        explained
            && self.can_be_told
            && self.offset_m_per_s.as_ref().is_some_and(|offset| offset.high_95 < 0.0)
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let mut rows = Vec::new();
        let untold = || "cannot be told".to_string();
        let mut row = |name: &str, v: Option<V>, unit: &str, untold: String| {
            let [value, interval] = match v {
                Some(v) => [
                    format!("{} {unit}", value_and_uncertainty(v.value, v.standard_uncertainty)),
                    crate::report::words::interval(v.low_95, v.high_95, v.standard_uncertainty),
                ],
                None => [untold, String::new()],
            };
            rows.push(vec![name.to_string(), value.trim_end().to_string(), interval]);
        };
        let units = self.units;
        let length = self.distance_m.map(|v| v.to(|m| units.of_road(Length::from_m(m))));
        row("indicated over true", self.reading_ratio, "", untold());
        row("the same by distance, no offset", self.ratio_by_distance, "", untold());
        if self.by_odometer.is_some() {
            row("the odometer over true, as marked", self.by_odometer, "", untold());
        }
        row("offset", self.offset_m_per_s.map(|v| self.speed(&v)), units.speed_word(), untold());
        row("vehicle log's clock minus track's", self.clock_lag_s, "s", untold());
        let no_length = self.no_data.map_or_else(untold, |gap| gap.says());
        row("true length", length, units.road_word(), no_length);
        rows
    }

    /// A speed in metres per second as one in the owner's units.
    fn speed(&self, m_per_s: &V) -> V {
        m_per_s.to(|m_per_s| self.units.of_speed(Speed::from_m_per_s(m_per_s)))
    }

    fn hold_rows(&self) -> Vec<Vec<String>> {
        let row = |hold: &HoldReport| {
            let truly = self.speed(&hold.true_m_per_s);
            vec![
                self.units.say_speed(Speed::from_m_per_s(hold.indicated_m_per_s), 0),
                format!(
                    "{} {}",
                    value_and_uncertainty(truly.value, truly.standard_uncertainty),
                    self.units.speed_word()
                ),
                format!("{:.0} s", hold.start_s),
                format!("{:.0} s", hold.end_s),
            ]
        };
        self.holds.iter().map(row).collect()
    }
}

/// Clocks farther apart than this (s) count from different beginnings, one from a date and one from its start: 30 days. Their
/// difference is no lag.
const CLOCKS_S: f64 = 30.0 * 86_400.0;

fn lag_between_like_clocks(drive: &DriveEstimate) -> Option<Measured<Duration>> {
    drive.clock_lag.filter(|lag| lag.value.s().abs() < CLOCKS_S)
}

/// Why the ratio cannot be told.
fn why(drive: &DriveEstimate) -> Vec<String> {
    if drive.reading_ratio.is_none() && drive.doubts.is_empty() {
        return vec![
            "a track alone does not say; add the vehicle's own log, called-out speeds or odometer readings"
                .into(),
        ];
    }
    drive.doubts.iter().map(words::drive::doubt).collect()
}

fn chart(drive: &DriveEstimate, units: Units) -> Chart {
    let thin = |points: &[(Duration, Speed)]| -> Vec<(f64, f64)> {
        let every = points.len().div_ceil(DRAWN_MOST).max(1);
        points.iter().step_by(every).map(|(t, v)| (t.min(), units.of_speed(*v))).collect()
    };
    let mut series = vec![Series::new("true", thin(&drive.trace.truth), SeriesKind::Line)];
    if !drive.trace.indicated.is_empty() {
        let points = thin(&drive.trace.indicated);
        series.push(Series::new("indicated", points, SeriesKind::Line));
    }
    if !drive.holds.is_empty() {
        let points = drive
            .holds
            .iter()
            .map(|h| (0.5 * (h.start.min() + h.end.min()), units.of_speed(h.indicated)))
            .collect();
        series.push(Series::new("called out", points, SeriesKind::Points));
    }
    Chart {
        title: "Speed over the drive".into(),
        description: format!("True speed and what was indicated over {:.0} minutes.", drive.duration.min()),
        x_label: "time, min".into(),
        y_label: format!("speed, {}", units.speed_word()),
        series,
    }
}
