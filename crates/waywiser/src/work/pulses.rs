//! One recording as it is asked for, and recordings among the evidence of a vehicle file.

use super::logs;
use super::typed::{typed, with_value};
use crate::world;
use clap::Args;
use metrology::measured::Measured;
use metrology::quantity::{Length, PerLength};
use metrology::text::{self, Typed};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use truing::describe::evidence::{EvidenceKind, PulseSource, PulseSpan};
use truing::describe::vehicle::Vehicle;
use truing::logs::csv::CsvOptions;
use truing::logs::recording::RecordingOptions;
use truing::measure::pulses::{Listener, PulseEstimate};
use truing::problem::{Field, Problem, Problems, any_error};
use truing::report::answers::pulses::PulseReport;
use truing::report::words;
use truing::units::Units;

/// Which recording, and what it spans.
#[derive(Args, Clone, Debug, Default)]
pub struct Recording {
    /// The recording: WAV, sound as phones record it (m4a, MP3, Ogg Vorbis, FLAC), a logic analyser's CSV, or a value change
    /// dump (VCD)
    pub file: PathBuf,
    /// Turns made during the recording, of the wheel, shaft or ring that is meant
    #[arg(long, value_name = "N", conflicts_with = "distance", allow_negative_numbers = true)]
    pub turns: Option<f64>,
    /// Distance travelled during the recording: "1 mi", "9.70 mi +/- 0.02"
    #[arg(long, value_name = "LENGTH", conflicts_with = "track")]
    pub distance: Option<String>,
    /// To the nearest what that distance was measured, such as "10 ft"; to the last digit typed when left out
    #[arg(long, value_name = "LENGTH", requires = "distance")]
    pub measured_to_nearest: Option<String>,
    /// A track of the drive that was recorded: GPX, CSV or another of the usual kinds; the clocks need not agree
    #[arg(long, value_name = "FILE", conflicts_with = "turns")]
    pub track: Option<PathBuf>,
    /// Which channel, by name, or by number from 1
    #[arg(long, value_name = "CHANNEL")]
    pub channel: Option<String>,
}

impl Recording {
    /// What the recording says, over what it spans.
    pub fn report(&self, units: Units) -> Result<PulseReport, Problems> {
        report(&self.file, self.channel.clone(), &self.span()?, units)
    }

    /// The files that it names.
    pub fn files(&self) -> Vec<PathBuf> {
        [self.file.clone()].into_iter().chain(self.track.clone()).collect()
    }

    /// The words of a command that measures it.
    pub fn words(&self) -> Vec<OsString> {
        let all = [
            ("--turns", self.turns.map(|turns| turns.to_string().into())),
            ("--distance", self.distance.clone().map(OsString::from)),
            ("--measured-to-nearest", self.measured_to_nearest.clone().map(OsString::from)),
            ("--track", self.track.clone().map(OsString::from)),
            ("--channel", self.channel.clone().map(OsString::from)),
        ];
        let mut words: Vec<OsString> = vec!["measure".into(), "pulses".into()];
        words.extend(all.into_iter().filter_map(|(flag, value)| Some(with_value(flag, value?))));
        words.extend(["--".into(), self.file.clone().into()]);
        words
    }

    fn span(&self) -> Result<Span, Problems> {
        match (self.turns, &self.distance, &self.track) {
            (None, None, None) => Ok(Span::Unsaid),
            (Some(turns), None, None) if turns > 0.0 && turns.is_finite() => Ok(Span::Turns(turns)),
            (Some(_), None, None) => {
                let problem = Problem::error(Field::Turns, "a number above 0", "another");
                Err(problem.hint("count the turns made during the recording").into())
            }
            (None, Some(text), None) => {
                let length = |field: Field, text: &str| {
                    text::read::<Length>(text).map_err(|error| typed(field, &error))
                };
                let mut distance = length(Field::Distance, text)?;
                if let Some(nearest) = &self.measured_to_nearest {
                    distance.resolution = length(Field::MeasuredToNearest, nearest)?.value;
                }
                Ok(Span::Distance(distance))
            }
            (None, None, Some(track)) => Ok(Span::Track(track.clone())),
            // The command line refuses this by itself; whoever asks otherwise is told here.
            _ => {
                let problem =
                    Problem::error("the recording", "turns, or a distance, or a track", "several of them");
                Err(problem.hint("Keep the one that is known best.").into())
            }
        }
    }
}

/// What a recording spans.
pub enum Span {
    /// Nothing was said of it.
    Unsaid,
    /// So many turns.
    Turns(f64),
    /// A distance.
    Distance(Typed<Length>),
    /// The drive of a track.
    Track(PathBuf),
}

/// What a recording says, over what it spans.
pub fn report(
    file: &Path,
    channel: Option<String>,
    span: &Span,
    units: Units,
) -> Result<PulseReport, Problems> {
    let (pulses, mut problems) = listen(file, channel)?;
    let (mut per_turn, mut per_length) = (None, None);
    match span {
        Span::Unsaid => {}
        Span::Turns(turns) => per_turn = pulses.per_turn(*turns),
        Span::Distance(distance) => per_length = pulses.per_length(distance),
        Span::Track(track) => {
            let (counts, more) = beside(&pulses, track)?;
            per_length = counts;
            problems.extend(more);
        }
    }
    Ok(PulseReport::new(&pulses, per_turn, per_length, problems, units))
}

/// Listens to a recording; what cannot be read ends the command.
fn listen(path: &Path, channel: Option<String>) -> Result<(PulseEstimate, Vec<Problem>), Problems> {
    let source = path.display().to_string();
    let mut listener = Listener::default();
    let fed = world::feed_recording(path, RecordingOptions { channel }, &mut |piece| listener.take(piece));
    let mut problems = fed?;
    let pulses = listener.finish();
    if any_error(&problems) {
        return Err(problems.into());
    }
    problems.extend(words::pulses::problems(&source, &pulses));
    Ok((pulses, problems))
}

/// Counts per length, where they can be told, and what was met on the way.
type Counted = (Option<Measured<PerLength>>, Vec<Problem>);

/// Counts per length that a recording makes on the drive of a track, and what was met on the way.
fn beside(pulses: &PulseEstimate, track: &Path) -> Result<Counted, Problems> {
    let (fixes, mut problems) = logs::track(track, CsvOptions::default())?;
    let (counts, more) = pulses.against(&track.display().to_string(), &fixes);
    problems.extend(more);
    Ok((counts, problems))
}

/// Puts the counts of recordings in the place of their names, and the distance of a track beside one in the place of its
/// name, so that they join the evidence.
pub fn count_recordings(vehicle: &mut Vehicle, folder: &Path) -> Result<Vec<Problem>, Problems> {
    let mut problems = Vec::new();
    for evidence in &mut vehicle.evidence {
        if let EvidenceKind::Pulses { source, span, .. } = &mut evidence.kind
            && let PulseSource::File { name, channel } = source
        {
            let (pulses, more) = listen(&folder.join(name.as_str()), channel.clone())?;
            problems.extend(more);
            if let PulseSpan::Track(track) = span {
                let (counts, more) = beside(&pulses, &folder.join(track.as_str()))?;
                problems.extend(more);
                if let Some(counts) = counts {
                    *span = PulseSpan::Distance(pulses.distance(&counts));
                }
            }
            *source = pulses.count();
        }
    }
    Ok(problems)
}
