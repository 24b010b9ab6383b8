//! `waywiser measure live`.

use super::answer::{Answer, Outcome};
use super::owner::Owner;
use crate::live::{Receiver, record};
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use truing::report::document::Document;

/// A drive as it happens.
#[derive(Args)]
pub struct Live {
    /// A gpsd, by host and port
    #[arg(long, value_name = "HOST:PORT", required_unless_present = "serial", conflicts_with = "serial")]
    gpsd: Option<String>,
    /// A receiver on a serial port that sends NMEA 0183
    #[arg(long, value_name = "PORT")]
    serial: Option<PathBuf>,
    /// Bits a second of the serial port
    #[arg(long, value_name = "BITS", default_value_t = 9600, requires = "serial")]
    baud: u32,
    /// The file that is recorded, JSON Lines; one that is there is left
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

/// What was recorded, for scripts.
#[derive(Serialize)]
struct Report {
    file: String,
    fixes: usize,
}

/// What is told before the first fix.
const BEFORE: &str = "Only a passenger types here; the driver looks at the road. Local law decides what may be used in a moving truck.\n\
    Type the speed that the dial shows steadily, and an empty line when it does no longer; o and the odometer as it turns; n and words.\n\
    Ctrl+C ends the recording.";

impl Live {
    /// Records until it is stopped.
    pub fn run(&self) -> Outcome {
        let serial = self.serial.clone().map(|port| Receiver::Serial(port, self.baud));
        let from = serial.unwrap_or_else(|| Receiver::Gpsd(self.gpsd.clone().unwrap_or_default()));
        tell(BEFORE);
        let recorded = record(&from, &self.out, self.owner.units(), tell)?;
        let file = self.out.display().to_string();
        let mut document = Document::new("A drive, recorded");
        let fixes = recorded.fixes;
        document.sentence(format!("{file} holds {fixes} fixes. Next: waywiser measure drive --track {file}"));
        Answer::new(&Report { file, fixes: recorded.fixes }, document, Vec::new())
    }
}

/// Beside the answer, as progress is.
fn tell(says: &str) {
    let _ = writeln!(anstream::stderr(), "{says}");
}
