//! One drive as it is asked for, wherever that is.

use super::asked::{Inputs, ticked};
use super::logs::{self, signal_in};
use super::typed::typed;
use crate::world;
use clap::builder::PossibleValuesParser;
use clap::{Args, Command};
use metrology::quantity::{Length, Speed};
use metrology::text;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;
use std::sync::LazyLock;
use truing::describe::evidence::{OdometerRead, OdometerReadings, ReadFrom};
use truing::describe::file::words::{Words, or_list};
use truing::logs::can::{CanOptions, CanSignal};
use truing::logs::csv::CsvOptions;
use truing::measure::drive::{DriveConditions, DriveEstimate, Indicated, Marked, estimate_under};
use truing::problem::{Field, Problem, Problems};

/// The command that measures a drive.
pub const MEASURE_DRIVE: [&str; 2] = ["measure", "drive"];

/// One drive: files, called-out speeds, readings of the odometer, and how unusual logs are read.
#[derive(Args, Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct DriveInputs {
    /// The track: GPX, NMEA 0183, CSV or JSON with time and position or speed, KML, TCX, FIT, IGC, or subtitles of a camera; gzip,
    /// zip and KMZ are unpacked. Speeds held and odometer readings that are marked in it are taken where nothing else is given
    #[arg(long, value_name = "FILE")]
    pub track: PathBuf,
    /// The vehicle's own speed log: CSV or JSON with time and speed, or a CAN log as candump text, ASC, TRC or a table of frames
    #[arg(long, value_name = "FILE", conflicts_with_all = ["holds", "odometer_start"])]
    pub vehicle_log: Option<PathBuf>,
    /// Steady speeds called out by a passenger, in order: 30,45,60mph
    #[arg(long, value_name = "SPEEDS", conflicts_with = "odometer_start")]
    pub holds: Option<String>,
    /// Where whoever called them out sat: in the passenger's seat (unless said), from where a pointer is read less closely, or before
    /// the dial
    #[arg(long, value_name = "SEAT", requires = "holds", value_parser = PossibleValuesParser::new(ReadFrom::WORDS.iter().map(|(word, _)| *word)))]
    pub read_from: Option<String>,
    /// Odometer at the start of the track: "81204.3 mi"
    #[arg(long, value_name = "LENGTH", requires = "odometer_end")]
    pub odometer_start: Option<String>,
    /// Odometer at its end
    #[arg(long, value_name = "LENGTH", requires = "odometer_start")]
    pub odometer_end: Option<String>,
    /// How both were read: the digits as they stood (unless said), between two digits by eye with one digit more typed, or just
    /// as the last digit turned
    #[arg(long, value_name = "HOW", requires = "odometer_start", value_parser = PossibleValuesParser::new(OdometerRead::WORDS.iter().map(|(word, _)| *word)))]
    pub odometer_read: Option<String>,
    /// The road went through hills: without good heights its length is less sure
    #[arg(long)]
    #[serde(with = "ticked")]
    #[schemars(with = "Option<String>")]
    pub hilly: bool,
    /// How unusual logs are read
    #[command(flatten)]
    #[serde(flatten)]
    pub logs: LogInputs,
}

/// Which columns of CSV logs to take, and where the speed stands in a CAN log if no standard says it.
#[derive(Args, Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct LogInputs {
    /// Which columns of a CSV track to take, with units: "time=t s, speed=v m/s"
    #[arg(long, value_name = "COLUMNS")]
    pub track_columns: Option<String>,
    /// Which columns of a CSV vehicle log to take, with units
    #[arg(long, value_name = "COLUMNS")]
    pub vehicle_columns: Option<String>,
    /// A signal: "id=0x61D byte=4 length=14 order=little factor=0.025 offset=-12.5 unit=km/h"; start= counts bits as DBC files do
    #[arg(long, value_name = "SIGNAL", conflicts_with = "dbc")]
    pub can_signal: Option<String>,
    /// A DBC file with the signal; its only speed, or the one that --signal names
    #[arg(long, value_name = "FILE")]
    pub dbc: Option<PathBuf>,
    /// The name of the signal in the DBC file: SIGNAL, or MESSAGE.SIGNAL
    #[arg(long, value_name = "NAME", requires = "dbc")]
    pub signal: Option<String>,
}

impl Inputs for DriveInputs {
    fn flags() -> &'static Command {
        static FLAGS: LazyLock<Command> = LazyLock::new(|| DriveInputs::augment_args(Command::new("drive")));
        &FLAGS
    }

    fn files_mut(&mut self) -> Vec<(&'static str, &mut PathBuf)> {
        let log = self.vehicle_log.as_mut().map(|path| ("vehicle_log", path));
        [("track", &mut self.track)].into_iter().chain(log).chain(self.logs.files_mut()).collect()
    }
}

impl Inputs for LogInputs {
    fn flags() -> &'static Command {
        static FLAGS: LazyLock<Command> = LazyLock::new(|| LogInputs::augment_args(Command::new("logs")));
        &FLAGS
    }

    fn files_mut(&mut self) -> Vec<(&'static str, &mut PathBuf)> {
        self.dbc.as_mut().map(|path| ("dbc", path)).into_iter().collect()
    }
}

impl LogInputs {
    /// The columns of a track.
    pub fn of_track(&self) -> Result<CsvOptions, Problems> {
        columns(self.track_columns.as_deref())
    }

    /// The columns of a vehicle log.
    pub fn of_vehicle(&self) -> Result<CsvOptions, Problems> {
        columns(self.vehicle_columns.as_deref())
    }

    /// The options for a reader of CAN logs.
    pub fn of_bus(&self) -> Result<CanOptions, Problems> {
        let signal = match (&self.can_signal, &self.dbc) {
            (Some(_), Some(_)) => {
                let problem = Problem::error(Field::CanSignal, "a signal or a DBC file", "both");
                return Err(problem.hint("Keep one of them.").into());
            }
            (Some(text), None) => Some(CanSignal::parse(text)?),
            (None, Some(path)) => Some(signal_in(path, self.signal.as_deref())?),
            (None, None) => None,
        };
        Ok(CanOptions { signal })
    }
}

impl DriveInputs {
    /// Reads and estimates the drive, with the problems met on the way.
    pub fn drive(&self) -> Result<(DriveEstimate, Vec<Problem>), Problems> {
        let indicated_problems = self.indicated();
        let (track, mut problems) = logs::track(&self.track, self.logs.of_track()?)?;
        let (indicated, more) = indicated_problems?;
        problems.extend(more);
        let indicated = match indicated {
            Indicated::Nothing if track.marks.tell_something() => Indicated::Marks(Marked::All),
            said => said,
        };
        let read_from = word_of(Field::ReadFrom, self.read_from.as_deref())?.unwrap_or_default();
        let conditions = DriveConditions { hilly: self.hilly, read_from, ..DriveConditions::default() };
        let name = self.track.display().to_string();
        world::works_on(&self.files());
        let (drive, more) = estimate_under(&conditions, &name, &track, &indicated);
        problems.extend(more);
        match drive {
            Some(drive) => Ok((drive, problems)),
            None => Err(problems.into()),
        }
    }

    fn indicated(&self) -> Result<(Indicated, Vec<Problem>), Problems> {
        if let Some(path) = &self.vehicle_log {
            let (log, problems) = logs::vehicle_log(path, self.logs.of_vehicle()?, self.logs.of_bus()?)?;
            return Ok((Indicated::Log(log), problems));
        }
        if let Some(holds) = &self.holds {
            let speeds = text::read_list::<Speed>(holds).map_err(|error| typed(Field::Holds, &error))?;
            return Ok((Indicated::Holds(speeds.iter().map(|speed| speed.value).collect()), Vec::new()));
        }
        match (&self.odometer_start, &self.odometer_end) {
            (Some(start), Some(end)) => {
                let read = |field: Field, text: &str| {
                    text::read::<Length>(text).map_err(|error| typed(field, &error))
                };
                let (start, end) = (read(Field::OdometerStart, start)?, read(Field::OdometerEnd, end)?);
                let read = word_of(Field::OdometerRead, self.odometer_read.as_deref())?;
                let read = read.unwrap_or(OdometerRead::Digits);
                Ok((Indicated::Odometer(OdometerReadings { start, end, read }), Vec::new()))
            }
            _ => Ok((Indicated::Nothing, Vec::new())),
        }
    }
}

/// What the word of a field stands for.
fn word_of<W: Words>(field: Field, word: Option<&str>) -> Result<Option<W>, Problems> {
    let Some(word) = word else { return Ok(None) };
    let known = W::WORDS.iter().find(|(known, _)| *known == word).map(|(_, meant)| *meant);
    known.map(Some).ok_or_else(|| {
        let words = or_list(W::WORDS.iter().map(|(word, _)| *word));
        Problems::from(Problem::error(field, words, format!("\"{word}\"")))
    })
}

/// The choice of columns that a flag holds.
fn columns(text: Option<&str>) -> Result<CsvOptions, Problems> {
    text.map_or(Ok(CsvOptions::default()), |text| CsvOptions::parse(text).map_err(Problems::from))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole() -> DriveInputs {
        let text = |name: &str| DriveInputs::names().find(|known| *known == name && name != "hilly");
        DriveInputs::from_fields(|name| text(name).or(Some("yes"))).unwrap()
    }

    #[test]
    fn every_field_is_read_and_given_back() {
        let drive = whole();
        let fields: Vec<&str> = drive.fields().into_iter().map(|(name, _)| name).collect();
        let names: Vec<&str> = DriveInputs::names().collect();
        assert_eq!(fields, names);
        assert!(drive.hilly && drive.logs.signal.as_deref() == Some("signal"));
        assert_eq!(
            DriveInputs::from_fields(|name| names.contains(&name).then_some(" ")).unwrap(),
            DriveInputs::default()
        );
        assert!(!DriveInputs::from_fields(|_| Some("no")).unwrap().hilly);
    }

    #[test]
    fn every_flag_that_is_a_file_is_moved_as_one() {
        let files: Vec<&str> = whole().files_mut().into_iter().map(|(name, _)| name).collect();
        assert_eq!(files, DriveInputs::file_names().collect::<Vec<_>>());
        let logs: Vec<&str> = whole().logs.files_mut().into_iter().map(|(name, _)| name).collect();
        assert_eq!(logs, LogInputs::file_names().collect::<Vec<_>>());
        let lying = whole().lying(|name| ["folder", name].iter().collect());
        assert_eq!(lying.files(), ["folder/track", "folder/vehicle_log", "folder/dbc"].map(PathBuf::from));
    }

    #[test]
    fn words_come_to_the_same_drive() {
        let command = DriveInputs::augment_args(Command::new("test"));
        let drives = [
            DriveInputs {
                track: "-a.gpx".into(),
                holds: Some("--30,45mph".into()),
                read_from: Some("driver".into()),
                hilly: true,
                ..DriveInputs::default()
            },
            DriveInputs { odometer_start: Some("1 mi".into()), odometer_end: Some("2 mi".into()), ..whole() },
        ];
        for mut drive in drives {
            if drive.holds.is_none() || drive.vehicle_log.is_some() {
                // What a command line refuses together.
                (drive.vehicle_log, drive.holds, drive.logs.can_signal) = (None, None, None);
                drive.read_from = None;
                drive.odometer_read = Some("digits".into());
            }
            let words = drive.words(&["test"]);
            let matches = command.clone().try_get_matches_from(words).unwrap();
            assert_eq!(<DriveInputs as clap::FromArgMatches>::from_arg_matches(&matches).unwrap(), drive);
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_path_that_is_no_text_stays_what_it_is() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let track = PathBuf::from(OsStr::from_bytes(b"a\xff.gpx"));
        let words = DriveInputs { track: track.clone(), ..DriveInputs::default() }.words(&[]);
        assert_eq!(words[0].as_bytes(), b"--track=a\xff.gpx");
    }
}
