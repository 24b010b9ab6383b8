//! `waywiser measure pulses`, and recordings among the evidence of a vehicle file.

use super::drive_inputs::typed;
use super::load;
use super::{Answer, Outcome, Owner};
use crate::world;
use clap::Args;
use metrology::quantity::Length;
use metrology::text;
use std::path::{Path, PathBuf};
use truing::describe::evidence::{EvidenceKind, PulseSource};
use truing::describe::vehicle::Vehicle;
use truing::logs::csv::CsvOptions;
use truing::logs::recording::RecordingOptions;
use truing::measure::pulses::{Listener, PulseEstimate};
use truing::problem::{Problem, any_error};
use truing::report::pulses::PulseReport;

/// One recording of the sensor's signal.
#[derive(Args)]
pub struct Pulses {
    /// The recording: WAV, sound as phones record it (m4a, MP3, Ogg Vorbis, FLAC), a logic analyser's CSV, or a value change
    /// dump (VCD)
    file: PathBuf,
    /// Turns made during the recording, of the wheel, shaft or ring that is meant
    #[arg(long, value_name = "N", conflicts_with = "distance", allow_negative_numbers = true)]
    turns: Option<f64>,
    /// Distance travelled during the recording: "1 mi", "9.70 mi +/- 0.02"
    #[arg(long, value_name = "LENGTH", conflicts_with = "track")]
    distance: Option<String>,
    /// A track of the drive that was recorded: GPX or CSV; the clocks need not agree
    #[arg(long, value_name = "FILE", conflicts_with = "turns")]
    track: Option<PathBuf>,
    /// Which channel, by name, or by number from 1
    #[arg(long, value_name = "CHANNEL")]
    channel: Option<String>,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Pulses {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let distance = self
            .distance
            .as_deref()
            .map(|text| text::read::<Length>(text).map_err(|error| typed("--distance", &error)))
            .transpose()?;
        if self.turns.is_some_and(|turns| !(turns > 0.0 && turns.is_finite())) {
            let problem = Problem::error("--turns", "a number above 0", "another");
            return Err(vec![problem.hint("count the turns made during the recording")]);
        }
        let (pulses, mut problems) = listen(&self.file, self.channel.clone())?;
        let per_turn = self.turns.and_then(|turns| pulses.per_turn(turns));
        let mut per_length = distance.and_then(|distance| pulses.per_length(&distance));
        if let Some(path) = &self.track {
            let (track, more) = load::track(path, CsvOptions::default())?;
            problems.extend(more);
            let (counts, more) = pulses.against(&path.display().to_string(), &track);
            per_length = counts;
            problems.extend(more);
        }
        let units = self.owner.units();
        let report = PulseReport::new(&pulses, per_turn, per_length, problems.clone(), units);
        Answer::new(&report, report.document(), problems)
    }
}

/// Listens to a recording; what cannot be read ends the command.
pub fn listen(path: &Path, channel: Option<String>) -> Result<(PulseEstimate, Vec<Problem>), Vec<Problem>> {
    let source = path.display().to_string();
    let mut listener = Listener::new(&source);
    let fed = world::feed_recording(path, RecordingOptions { channel }, &mut |piece| listener.take(piece));
    let mut problems = fed.map_err(|problem| vec![*problem])?;
    let (pulses, more) = listener.finish();
    if any_error(&problems) {
        return Err(problems);
    }
    problems.extend(more);
    Ok((pulses, problems))
}

/// Puts the counts of recordings in the place of their names, so that they join the evidence.
pub fn count_recordings(vehicle: &mut Vehicle, folder: &Path) -> Result<Vec<Problem>, Vec<Problem>> {
    let mut problems = Vec::new();
    for evidence in &mut vehicle.evidence {
        if let EvidenceKind::Pulses { source, .. } = &mut evidence.kind
            && let PulseSource::File(name) = source
        {
            let (pulses, more) = listen(&folder.join(name.as_str()), None)?;
            problems.extend(more);
            *source = pulses.count();
        }
    }
    Ok(problems)
}
