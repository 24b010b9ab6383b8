//! The estimate beside the script on recorded drives, cut into pieces of some minutes: how far pieces of one drive scatter,
//! that have one truth. What the files are stands in `data/SOURCES.md`.

#![allow(clippy::print_stdout, reason = "the table is what it is for")]

use super::score::{mean, root};
use super::script::robust;
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Track, VehicleLog};
use truing::measure::drive::{DriveEstimate, Indicated, estimate};

/// Lengths of the pieces (s).
const PIECES_S: [f64; 3] = [120.0, 240.0, 480.0];

/// A recorded drive.
pub struct Recorded {
    pub name: String,
    pub track: Track,
    pub log: VehicleLog,
}

/// Reads both files of a drive, with a choice of columns for each.
pub fn read(name: &str, track: (&[u8], &str), log: (&[u8], &str)) -> Recorded {
    let mut tracks = TrackReader::new("track", CsvOptions::parse(track.1).unwrap());
    tracks.feed(track.0);
    let mut logs = VehicleLogReader::new("log", CsvOptions::parse(log.1).unwrap());
    logs.feed(log.0);
    Recorded { name: name.into(), track: tracks.finish().0, log: logs.finish().0 }
}

/// The drives of the tests; the third also by its places and by its speeds alone.
pub fn drives() -> Vec<Recorded> {
    let city = |name, bytes| read(name, (bytes, "speed=ref_vf m/s"), (bytes, "speed=obd_speed m/s"));
    let clocks = |name| {
        let track = include_bytes!("../data/two-clocks-1-track.csv");
        read(name, (track, ""), (include_bytes!("../data/two-clocks-1-vehicle.csv"), ""))
    };
    let (mut places, mut speeds) = (clocks("two clocks, places"), clocks("two clocks, speeds"));
    places.track.fixes.change_each(|fix| fix.speed = None);
    speeds.track.fixes.change_each(|fix| (fix.latitude, fix.longitude) = (None, None));
    vec![
        city("two cities, 1", include_bytes!("../data/two-cities-1.csv").as_slice()),
        city("two cities, 2", include_bytes!("../data/two-cities-2.csv").as_slice()),
        clocks("two clocks"),
        places,
        speeds,
    ]
}

impl Recorded {
    /// Pieces of so many seconds; what is left at the end is no piece.
    fn pieces(&self, piece_s: f64) -> Vec<(Track, VehicleLog)> {
        let times: Vec<f64> = self.track.fixes.iter().filter_map(|fix| Some(fix.time?.s())).collect();
        let first_s = times.iter().copied().fold(f64::INFINITY, f64::min);
        let last_s = times.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let count = ((last_s - first_s) / piece_s + 0.2) as usize;
        let cut = |piece: usize| {
            let inside = |s: f64| ((s - first_s) / piece_s).floor() == piece as f64;
            let (mut track, mut log) = (self.track.clone(), self.log.clone());
            track.fixes.retain_mut(|fix| fix.time.is_some_and(|time| inside(time.s())));
            log.samples.retain(|sample| inside(sample.time.s()));
            (track, log)
        };
        (0..count).map(cut).collect()
    }

    /// What comes of each piece.
    fn answers(&self, piece_s: f64) -> Vec<Piece> {
        let answer = |(track, log): (Track, VehicleLog)| {
            let indicated = Indicated::Log(log);
            let script = robust(&track, &indicated).ratio;
            let found = estimate("piece", &track, &indicated).0;
            let told = found.filter(DriveEstimate::can_be_told).and_then(|found| found.reading_ratio);
            Piece { told: told.map(|ratio| ratio.value.plain()), script }
        };
        self.pieces(piece_s).into_iter().map(answer).collect()
    }
}

/// The ratio of one piece, as told and by the script.
#[derive(Copy, Clone)]
struct Piece {
    told: Option<f64>,
    script: Option<f64>,
}

/// A row of the table: pieces, told and answered by the script, refused where the script answers, middles and scatter of the
/// pieces that have both.
fn row(name: &str, piece_s: f64, pieces: &[Piece]) -> String {
    let count = |is: &dyn Fn(&Piece) -> bool| pieces.iter().filter(|piece| is(piece)).count();
    let (told, scripts) = (count(&|piece| piece.told.is_some()), count(&|piece| piece.script.is_some()));
    let refused = count(&|piece| piece.told.is_none() && piece.script.is_some());
    let both = || pieces.iter().filter_map(|piece| piece.told.zip(piece.script));
    let our = Scatter::of(both().map(|pair| pair.0));
    let script = Scatter::of(both().map(|pair| pair.1));
    format!(
        "| {name} | {piece_s:.0} s | {} | {told} | {scripts} | {refused} | {our} | {script} | {:.2} | {:.2} |",
        pieces.len(),
        our.robust / script.robust,
        our.plain / script.plain
    )
}

/// The pieces of one drive about one, so that those of several drives can be taken together.
fn centred(pieces: &[Piece]) -> Vec<Piece> {
    let both = || pieces.iter().filter_map(|piece| piece.told.zip(piece.script));
    let (our, script) =
        (median(both().map(|pair| pair.0).collect()), median(both().map(|pair| pair.1).collect()));
    let centre = |piece: &Piece| Piece {
        told: piece.told.map(|ratio| ratio / our),
        script: piece.script.map(|ratio| ratio / script),
    };
    pieces.iter().map(centre).collect()
}

/// Where values lie and how they scatter: by median and absolute deviations from it, and plainly.
struct Scatter {
    middle: f64,
    robust: f64,
    plain: f64,
}

/// The median absolute deviation of a normal distribution is its standard deviation over this.
const NORMAL_OVER_MEDIAN: f64 = 1.4826;

impl Scatter {
    fn of(values: impl Iterator<Item = f64>) -> Self {
        let values: Vec<f64> = values.collect();
        let centre = mean(values.iter().copied());
        let plain = root(values.iter().map(|value| value - centre))
            * (values.len() as f64 / (values.len() as f64 - 1.0)).sqrt();
        let middle = median(values.clone());
        let robust = NORMAL_OVER_MEDIAN * median(values.iter().map(|value| (value - middle).abs()).collect());
        Self { middle, robust, plain }
    }
}

impl std::fmt::Display for Scatter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.4} | {:.2} | {:.2}", self.middle, 100.0 * self.robust, 100.0 * self.plain)
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let (low, high) = (values.len().saturating_sub(1) / 2, values.len() / 2);
    values.get(low).zip(values.get(high)).map_or(f64::NAN, |(low, high)| 0.5 * (low + high))
}

/// Further drives: every `NAME-track.csv` with its `NAME-vehicle.csv` in the folder that `DRIVES` names.
#[allow(clippy::disallowed_methods, reason = "a folder named by whoever runs the table")]
fn further() -> Vec<Recorded> {
    let Ok(folder) = std::env::var("DRIVES") else { return Vec::new() };
    let names = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name());
    let mut names: Vec<String> =
        names.filter_map(|name| Some(name.to_str()?.strip_suffix("-track.csv")?.to_owned())).collect();
    names.sort();
    let bytes = |name: &str, kind: &str| std::fs::read(format!("{folder}/{name}-{kind}.csv")).unwrap();
    names.iter().map(|name| read(name, (&bytes(name, "track"), ""), (&bytes(name, "vehicle"), ""))).collect()
}

/// Prints it.
pub fn print() {
    println!(
        "| drive | piece | pieces | told | by the script | refused, script not | R, median | robust sd | sd | script: median | robust sd | sd | ours over the script's, robust | plain |\n|---|{}",
        "--:|".repeat(13)
    );
    let drives: Vec<Recorded> = drives().into_iter().chain(further()).collect();
    for piece_s in PIECES_S {
        let mut all = Vec::new();
        for drive in &drives {
            let pieces = drive.answers(piece_s);
            println!("{}", row(&drive.name, piece_s, &pieces));
            all.extend(centred(&pieces));
        }
        println!("{}", row("all, each about its own middle", piece_s, &all));
    }
}
