//! Many drives in one table: what each says in short, and what is wrong with its files.

use crate::report::answers::drive::{DriveReport, NoData};
use crate::report::document::{Block, Document, Table};
use crate::report::explanation::origin::Origin;
use crate::report::words;
use crate::report::words::value::V;
use crate::units::Units;
use metrology::quantity::Length;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value as Json;

/// Many drives.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BatchReport {
    /// How many drives were found.
    pub drives: usize,
    /// How many of them say how far off the vehicle reads.
    pub measured: usize,
    /// How many came with problems.
    pub with_problems: usize,
    /// A row for each, in the order of their names.
    pub rows: Vec<BatchRow>,
    /// What else could not be read.
    pub problems: Vec<String>,
}

/// One drive in short: words and a few numbers, so that very many take up no more than their table. No coordinate is in it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct BatchRow {
    /// The file of the track.
    pub track: Option<String>,
    /// The file of the vehicle's own log; the same where one holds both.
    pub vehicle_log: Option<String>,
    /// What the drive says, where it could be read.
    pub drive: Option<DriveFigures>,
    /// What is wrong with its files, or worth knowing.
    pub problems: Vec<String>,
}

/// The figures of a drive, by the names that `measure drive` gives them.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DriveFigures {
    /// Indicated over true.
    pub reading_ratio: Option<V>,
    /// Integral of indicated over integral of true, no offset.
    pub ratio_by_distance: Option<V>,
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
    pub points: Points,
    /// The word for the kind of error.
    pub diagnosis: String,
    /// What it means.
    pub diagnosis_says: String,
}

/// Points of a drive.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Points {
    /// Points read.
    pub read: usize,
    /// Points the result rests on.
    pub used: usize,
    /// Points left out.
    pub rejected: usize,
}

impl DriveFigures {
    /// Of a whole drive.
    pub fn new(drive: &DriveReport) -> Self {
        let word = serde_json::to_value(drive.diagnosis).unwrap_or_default();
        Self {
            reading_ratio: drive.reading_ratio,
            ratio_by_distance: drive.ratio_by_distance,
            offset_m_per_s: drive.offset_m_per_s,
            clock_lag_s: drive.clock_lag_s,
            distance_m: drive.distance_m,
            no_data: drive.no_data,
            duration_s: drive.duration_s,
            points: Points {
                read: drive.points.read,
                used: drive.points.used,
                rejected: drive.points.rejected,
            },
            diagnosis: word.as_str().map(str::to_string).unwrap_or_default(),
            diagnosis_says: drive.diagnosis_says.clone(),
        }
    }
}

impl BatchReport {
    /// Of rows, and of what else could not be read.
    pub fn new(rows: Vec<BatchRow>, problems: Vec<String>) -> Self {
        let measured = rows.iter().filter(|row| row.ratio().is_some()).count();
        let with_problems = rows.iter().filter(|row| !row.problems.is_empty()).count();
        Self { drives: rows.len(), measured, with_problems, rows, problems }
    }

    /// What came of it, in a sentence.
    pub fn says(&self) -> String {
        format!(
            "{}; {} how far off the vehicle reads, {} came with problems.",
            counted(self.drives, "drive was found", "drives were found"),
            counted(self.measured, "of them says", "of them say"),
            self.with_problems,
        )
    }

    /// The drives as a table for a person.
    pub fn table(&self, units: Units) -> Table {
        let head = ["drive", "what it says", "indicated over true", units.road_words(), "what it looks like"];
        Table::new(None, "The drives", &head, self.rows.iter().map(|row| row.cells(units)).collect())
    }

    /// Where each drive's figure comes from.
    pub fn origins(&self, units: Units) -> Vec<Origin> {
        let of = |row: &BatchRow| Some(row.drive.as_ref()?.origin(row.name(), units));
        self.rows.iter().filter_map(of).collect()
    }

    /// The same for a person.
    pub fn document(&self, units: Units) -> Document {
        let mut document = Document::new("Many drives");
        document.sentence(self.says());
        document.push(Block::Table(self.table(units)));
        document
    }
}

impl DriveFigures {
    fn unknown_length(&self) -> String {
        self.no_data
            .map_or("of a length that is not known".into(), |gap| format!("of a length {}", gap.says()))
    }

    /// How the figure of a drive came about.
    fn origin(&self, name: &str, units: Units) -> Origin {
        let shown = |v: &V| words::value_and_uncertainty(v.value, v.standard_uncertainty);
        let road = |v: &V| {
            format!("{} {} long", shown(&v.to(|m| units.of_road(Length::from_m(m)))), units.road_word())
        };
        let length = self.distance_m.as_ref().map_or_else(|| self.unknown_length(), road);
        let mut how = Vec::new();
        match &self.reading_ratio {
            None => how.push("Nothing in its files tells what the vehicle indicated.".to_string()),
            Some(ratio) => {
                how.push(
                    "Indicated speed over the track's speed, both clocks brought together, with a steady offset of the \
                     indication as a parameter beside it. It holds for the settings and tires of that day."
                        .to_string(),
                );
                let ends = words::interval(ratio.low_95, ratio.high_95, ratio.standard_uncertainty);
                how.push(format!("It lies in {ends} with a probability of 95 % (JCGM 100:2008)."));
            }
        }
        let more = [
            ("Indicated distance over true distance, without an offset", &self.ratio_by_distance, ""),
            ("The log's clock minus the track's", &self.clock_lag_s, " s"),
        ];
        let said =
            more.iter().filter_map(|(what, v, unit)| Some(format!("{what}: {}{unit}.", shown(v.as_ref()?))));
        how.extend(said);
        how.push(format!(
            "The track is {length}. {} points were read, it rests on {}, and {} were left out.",
            self.points.read, self.points.used, self.points.rejected
        ));
        how.push(self.diagnosis_says.clone());
        let value = self.reading_ratio.as_ref().map_or("not known".to_string(), shown);
        Origin { number: format!("{name}, indicated over true"), value, how, rests_on: None }
    }
}

fn counted(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

impl BatchRow {
    fn ratio(&self) -> Option<&V> {
        self.drive.as_ref()?.reading_ratio.as_ref()
    }

    /// What the drive is called in the table.
    pub fn name(&self) -> &str {
        self.track.as_deref().or(self.vehicle_log.as_deref()).unwrap_or("no file")
    }

    fn cells(&self, units: Units) -> Vec<String> {
        let Some(drive) = &self.drive else {
            return vec![self.name().into(), "could not be used".into()];
        };
        let (reads, ratio) = match self.ratio() {
            None => ("not how far off it reads".to_string(), String::new()),
            Some(ratio) => (
                words::reads_between(ratio.value, ratio.low_95, ratio.high_95),
                words::value_and_uncertainty(ratio.value, ratio.standard_uncertainty),
            ),
        };
        let road = |v: &V| format!("{:.1}", units.of_road(Length::from_m(v.value)));
        let length = drive.distance_m.as_ref().map_or("not known".into(), road);
        vec![self.name().into(), reads, ratio, length, drive.diagnosis.clone()]
    }

    /// The row as JSON, for tables whose columns are places in it.
    pub fn json(&self) -> Json {
        serde_json::to_value(self).unwrap_or_default()
    }
}
