//! One recording of the sensor's signal: how many pulses, how fast, what ring they come from.
//!
//! A [`Listener`] takes the recording piece by piece as its reader hands it on; memory stays flat. Both directions of edges
//! are followed, and the one that crosses more steeply is believed: on a narrow pulse, or a coil wired the other way round,
//! that is where noise moves a crossing least.
//!
//! How the counts join the other evidence: [`PulseEstimate::count`] stands in for a typed count
//! (`PulseSource::File` becomes `PulseSource::Count`), with the equations that counts have. Beside a track the recording is
//! a vehicle log like any other: [`PulseEstimate::against`].

pub mod bench;
mod drawn;
mod train;
mod troubles;

use crate::describe::evidence::PulseSource;
use crate::logs::recording::{Piece, RecordingOptions, RecordingReader};
use crate::logs::{Clock, Sample, Track, VehicleLog};
use crate::measure::drive::{self, DriveEstimate, Indicated};
use crate::problem::Problem;
use drawn::Recent;
pub use drawn::Wave;
use metrology::cycle::{Grid, Ring, Untold, ring, ring_on};
use metrology::measured::Measured;
use metrology::order::quantile;
use metrology::pulse::{Detector, Edge, Findings, Gap, crossing_noise};
use metrology::quantity::{Duration, Frequency, Instant, Length, PerLength, Ratio, Speed};
use metrology::text::Typed;
use train::Train;
pub use troubles::Trouble;

/// The falling edges are taken when they cross so many times more steeply. Judgement: less is chance.
const STEEPER: f64 = 1.1;
/// Standard uncertainty of a count between two moments that know nothing of the teeth: two fractions of a pulse (GUM 4.3.7).
const COUNT_U: f64 = 0.408_248_290_463_863;
/// Standard uncertainty (turns) with which turns made by hand stop at their mark: a thumb's width on the tread of a tire
/// of 2.5 m around. Judgement.
const TURNS_U: f64 = 0.01;

/// Standard uncertainty (share of a pitch) that a coding with loss adds to the time of one crossing. Measured: sine, square
/// and narrow pulses of 20 to 2500 Hz, coded as AAC, MP3 and Vorbis at 64 and 128 kbit/s, 0.01 to 0.8 %; narrow pulses of
/// 400 Hz as AAC 0.9 and 1.5 % (docs/pulses.md).
const LOSSY_CROSSING_U: f64 = 0.008;

/// Root mean square of how far a crossing found between samples is off, by where between them it lies (samples). Judgement: a
/// square wave of our own, whose edges are as steep as samples allow, shows patterns of hundredths of a sample.
const BETWEEN_SAMPLES: f64 = 0.05;

/// Shortest recording (s) that is laid beside a track: four blocks of a drive, of which fewer do not show how they scatter.
const LEAST_BESIDE_A_TRACK_S: f64 = 60.0;
/// So many usual steps between frequencies are a standstill: middles of neighbours lie up to twice as far apart as usual.
const STEPS_STILL: f64 = 3.0;
/// Counts that a track leaves more uncertain than this are not told: counting pulses over any known distance does better
/// (judgement).
const MOST_BESIDE_A_TRACK_U: f64 = 0.2;

/// What a recording says.
#[derive(Clone, Debug)]
pub struct PulseEstimate {
    /// How many pulses: one per tooth that shows.
    pub pulses: u64,
    /// From the start to the end of the recording.
    pub duration: Duration,
    /// Lowest, median (over time) and highest frequency; none where there are fewer than two pulses.
    pub frequency: Option<FrequencyRange>,
    /// Frequency over time.
    pub over_time: Vec<(Duration, Frequency)>,
    /// Whether falling edges were taken.
    pub falling: bool,
    /// The ring, or why it cannot be told.
    pub ring: Result<Ring, Untold>,
    /// How many holes between regular pulses there are.
    pub holes: u64,
    /// How many pulses would have fitted into them; they are not counted.
    pub missing: u64,
    /// How many edges came again for a pulse that had been counted; they are not counted.
    pub doubled: u64,
    /// The first of them.
    pub first_holes: Vec<Gap>,
    /// What was noticed in a wave; none for edges.
    pub findings: Option<Findings>,
    /// A piece of the wave with its edges, for drawing.
    pub wave: Option<Wave>,
    /// Whether the sound was coded with loss.
    pub lossy: bool,
    /// Standard uncertainty of the time of one crossing, as a share of the pitch; none for recorded edges, which say nothing
    /// of their own.
    pub crossing_u: Option<Ratio>,
    /// What is wrong with the recording.
    pub troubles: Vec<Trouble>,
}

/// A range of frequencies.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct FrequencyRange {
    /// Lowest.
    pub min: Frequency,
    /// Exceeded half of the time.
    pub median: Frequency,
    /// Highest.
    pub max: Frequency,
    /// Standard uncertainties of the three, from the crossings at the ends of each stretch; none for recorded edges.
    pub standard_uncertainties: Option<[Frequency; 3]>,
}

/// Follows a recording.
#[derive(Debug, Default)]
pub struct Listener {
    detector: Option<Detector>,
    rate: Frequency,
    samples: u64,
    end: Duration,
    rising: Train,
    falling: Train,
    recent: Recent,
    lossy: bool,
}

impl Listener {
    /// Takes the next piece.
    pub fn take(&mut self, piece: Piece) {
        let Self { rising, falling, recent, .. } = self;
        match piece {
            Piece::Samples { rate, values } => {
                self.rate = rate;
                self.samples += values.len() as u64;
                recent.samples(rate, values);
                let detector = self.detector.get_or_insert_with(|| Detector::new(rate.hz()));
                detector.feed(values, &mut |edge| follow(edge, rising, falling, recent));
            }
            Piece::Edge { time, rising: up } => {
                let train = if up { rising } else { falling };
                train.next(time.s(), 0.0);
                self.end = time;
            }
            Piece::Lossy => self.lossy = true,
            Piece::End { time } => self.end = time,
        }
    }

    /// What the recording says.
    pub fn finish(mut self) -> PulseEstimate {
        let detector = self.detector.take();
        let Self { rising, falling, recent, .. } = &mut self;
        let findings =
            detector.map(|detector| detector.finish(&mut |edge| follow(edge, rising, falling, recent)));
        let (rising, falling) = (std::mem::take(rising).finish(), std::mem::take(falling).finish());
        let duration = match findings {
            Some(_) => Duration::from_s(self.samples as f64 / self.rate.hz()),
            None => self.end,
        };
        let take_falling = findings.is_some()
            && falling.0.edges() >= rising.0.edges().saturating_sub(1)
            && falling.0.steepness() > STEEPER * rising.0.steepness();
        let (train, doubled) = if take_falling { falling } else { rising };
        let over_time = train.over_time();
        let crossing_u =
            findings.as_ref().map(|findings| Ratio::from_plain(self.crossing_u(findings, &over_time)));
        let mut estimate = PulseEstimate {
            pulses: train.edges(),
            duration,
            frequency: range(&over_time, crossing_u),
            over_time: over_time.iter().map(|(time, frequency, _)| (*time, *frequency)).collect(),
            falling: take_falling,
            ring: match findings {
                Some(_) => ring_on(&train.times_s, Some(sampled(self.rate))),
                None => ring(&train.times_s),
            },
            holes: train.holes,
            missing: train.missing,
            doubled,
            first_holes: train.first_holes,
            findings,
            wave: self.recent.wave(take_falling),
            lossy: self.lossy,
            crossing_u,
            troubles: Vec::new(),
        };
        estimate.troubles = troubles::find(&estimate);
        estimate
    }
}

impl Listener {
    /// Noise on the crossing of a sine, which is the least steep wave, and what the coding added.
    fn crossing_u(&self, findings: &Findings, over_time: &[Stretch]) -> f64 {
        let noise = match (findings.signal_to_noise_db, median(over_time)) {
            (Some(decibels), Some(frequency)) => crossing_noise(decibels, frequency.hz() / self.rate.hz()),
            _ => 0.0,
        };
        if self.lossy { noise.hypot(LOSSY_CROSSING_U) } else { noise }
    }
}

/// The grid of a sampled wave.
fn sampled(rate: Frequency) -> Grid {
    Grid { step_s: 1.0 / rate.hz(), error_s: BETWEEN_SAMPLES / rate.hz() }
}

fn follow(edge: Edge, rising: &mut Train, falling: &mut Train, recent: &mut Recent) {
    let train = if edge.rising { rising } else { falling };
    train.next(edge.time_s, edge.slope_per_s);
    recent.edge(edge);
}

/// Reads a recording whole, chunk by chunk; with what was wrong in reading it.
pub fn estimate<'a>(
    source: &str,
    options: RecordingOptions,
    chunks: impl IntoIterator<Item = &'a [u8]>,
) -> (PulseEstimate, Vec<Problem>) {
    let mut listener = Listener::default();
    let mut reader = RecordingReader::new(source, options);
    for chunk in chunks {
        reader.feed(chunk, &mut |piece| listener.take(piece));
    }
    let problems = reader.finish(&mut |piece| listener.take(piece));
    let mut estimate = listener.finish();
    // A recording that could not be read need not be told to be silent too.
    if crate::problem::any_error(&problems) {
        estimate.troubles.clear();
    }
    (estimate, problems)
}

/// Middle, frequency and length of a stretch.
type Stretch = (Duration, Frequency, Duration);

fn by_frequency(over_time: &[Stretch]) -> Vec<&Stretch> {
    let mut sorted: Vec<&Stretch> = over_time.iter().collect();
    sorted.sort_by(|a, b| a.1.hz().total_cmp(&b.1.hz()));
    sorted
}

/// The stretch whose frequency is exceeded half of the time.
fn middle<'a>(sorted: &[&'a Stretch]) -> Option<&'a Stretch> {
    let half = 0.5 * sorted.iter().map(|stretch| stretch.2.s()).sum::<f64>();
    let mut passed = 0.0;
    let is_past = |stretch: &&&Stretch| {
        passed += stretch.2.s();
        passed >= half
    };
    sorted.iter().find(is_past).copied()
}

fn median(over_time: &[Stretch]) -> Option<Frequency> {
    middle(&by_frequency(over_time)).map(|stretch| stretch.1)
}

fn range(over_time: &[Stretch], crossing_u: Option<Ratio>) -> Option<FrequencyRange> {
    let sorted = by_frequency(over_time);
    let three = [*sorted.first()?, middle(&sorted)?, *sorted.last()?];
    // Two crossings bound the span; a pitch is one over the frequency.
    let u = |crossing_u: Ratio| {
        three.map(|(_, _, span)| Frequency::from_hz(2f64.sqrt() * crossing_u.plain() / span.s()))
    };
    let [min, median, max] = three.map(|stretch| stretch.1);
    Some(FrequencyRange { min, median, max, standard_uncertainties: crossing_u.map(u) })
}

impl PulseEstimate {
    /// The count as evidence takes it.
    pub fn count(&self) -> PulseSource {
        PulseSource::Count(u32::try_from(self.pulses).unwrap_or(u32::MAX))
    }

    /// Counts per turn, when the recording spans so many turns.
    pub fn per_turn(&self, turns: f64) -> Option<Measured<Ratio>> {
        let count = self.pulses as f64;
        let u = f64::hypot(COUNT_U / count, TURNS_U / turns);
        (count > 0.0 && turns > 0.0).then(|| Measured::from_log((count / turns).ln(), u, f64::INFINITY))
    }

    /// Counts per length, when the recording spans that distance. Where no uncertainty was typed, half the last digit is
    /// taken, evenly likely (GUM 4.3.7).
    pub fn per_length(&self, distance: &Typed<Length>) -> Option<Measured<PerLength>> {
        let (count, length_m) = (self.pulses as f64, distance.value.m());
        let length_u_m =
            distance.standard_uncertainty.map_or(distance.resolution.m() / 12f64.sqrt(), Length::m);
        let u = f64::hypot(COUNT_U / count, length_u_m / length_m);
        (count > 0.0 && length_m > 0.0).then(|| Measured::from_log((count / length_m).ln(), u, f64::INFINITY))
    }

    /// Counts per length from the track of the drive that was recorded, on a clock of its own: the recording is a vehicle
    /// log of a sensor with a round number of counts, and the reading ratio says how many there truly are.
    pub fn against(&self, source: &str, track: &Track) -> (Option<Measured<PerLength>>, Vec<Problem>) {
        let (recorded_s, needed) = (self.moving_s(), LEAST_BESIDE_A_TRACK_S);
        if recorded_s < needed {
            let expected = format!("{needed} s of pulses at least beside a track");
            let problem = Problem::warning(source, expected, format!("{recorded_s:.1} s"));
            let hint = "record the whole drive, speeding up and slowing down; for less, measure the distance by tape or posts";
            return (None, vec![problem.hint(hint)]);
        }
        let (alone, problems) = drive::estimate(source, track, &Indicated::Nothing);
        // The ratio makes up for what is wrong with it.
        let distance_m = alone.map_or(0.0, |drive| match drive.distance {
            Some(distance) => distance.value.m(),
            None => covered_m(&drive),
        });
        if distance_m <= 0.0 || self.pulses == 0 {
            return (None, problems);
        }
        // A recording of part of the drive has that part of its pulses.
        let times = || track.fixes.iter().filter_map(|fix| fix.time);
        let lasted_s =
            times().next().zip(times().next_back()).map_or(0.0, |(first, last)| last.since(first).s());
        let share = if lasted_s > 0.0 { (self.duration.s() / lasted_s).min(1.0) } else { 1.0 };
        let assumed = PerLength::from_per_m(self.pulses as f64 / (distance_m * share));
        let (drive, mut problems) = drive::estimate(source, track, &Indicated::Log(self.as_log(assumed)));
        let scaled = |ratio: Measured<Ratio>| {
            let u = ratio.relative_uncertainty().plain();
            Measured::from_log((ratio.value.plain() * assumed.per_m()).ln(), u, ratio.dof)
        };
        let counts = drive.and_then(|drive| drive.reading_ratio).map(scaled);
        let u = counts.map_or(0.0, |counts: Measured<PerLength>| counts.relative_uncertainty().plain());
        if u.is_finite() && u <= MOST_BESIDE_A_TRACK_U {
            return (counts, problems);
        }
        let expected = "a recording and a track of one drive, at speeds that change";
        let problem = Problem::warning(source, expected, format!("counts uncertain by {:.0} %", 100.0 * u));
        problems.push(problem.hint("nothing is told from them; see that both are of the same drive"));
        (None, problems)
    }

    /// How long pulses came (s).
    fn moving_s(&self) -> f64 {
        let still_s = self.still_s();
        let times = self.over_time.windows(2).map(|two| two[1].0.s() - two[0].0.s());
        times.filter(|step_s| *step_s <= still_s).sum()
    }

    /// Without a frequency for longer (s), the vehicle stood: in a long recording each stands for many seconds.
    fn still_s(&self) -> f64 {
        let mut steps: Vec<f64> = self.over_time.windows(2).map(|two| two[1].0.s() - two[0].0.s()).collect();
        // Without a step the median is not a number, and the standstill alone counts.
        train::STANDSTILL_S.max(STEPS_STILL * quantile(&mut steps, 0.5))
    }

    /// The distance over which the recording's pulses come to so many counts per length: what a track beside it says, as
    /// evidence takes a distance.
    pub fn distance(&self, counts: &Measured<PerLength>) -> Typed<Length> {
        let length_m = self.pulses as f64 / counts.value.per_m();
        let u_m = length_m * counts.relative_uncertainty().plain();
        Typed {
            value: Length::from_m(length_m),
            standard_uncertainty: Some(Length::from_m(u_m)),
            resolution: Length::from_m(0.0),
        }
    }

    /// The recording as a vehicle's speed log, for a sensor that makes so many counts per length. Standing still shows as
    /// zeros at both ends of the silence.
    pub fn as_log(&self, counts: PerLength) -> VehicleLog {
        let speed = |frequency: Frequency| Speed::from_m_per_s(frequency.hz() / counts.per_m());
        let mut log = VehicleLog { clock: Clock::Elapsed, ..VehicleLog::default() };
        let (mut before, still_s): (Option<Duration>, f64) = (None, self.still_s());
        for (time, frequency) in &self.over_time {
            let still = before.filter(|before| time.s() - before.s() > still_s);
            let zeros = still.map(|before| [before.s() + 1.0, time.s() - 1.0]);
            for at in zeros.into_iter().flatten() {
                push(&mut log, Duration::from_s(at), Speed::from_m_per_s(0.0));
            }
            push(&mut log, *time, speed(*frequency));
            before = Some(*time);
        }
        let mut steps: Vec<f64> =
            log.samples.windows(2).map(|two| two[1].time.since(two[0].time).s()).collect();
        log.interval = (!steps.is_empty()).then(|| Duration::from_s(quantile(&mut steps, 0.5)));
        log
    }
}

fn push(log: &mut VehicleLog, time: Duration, speed: Speed) {
    let line = log.samples.len() + 1;
    log.samples.push(Sample { line, time: Instant::from_s(time.s()), speed });
}

/// Length of what the track covers, where a gap leaves the whole unknown (m).
fn covered_m(drive: &DriveEstimate) -> f64 {
    let steps = drive.trace.truth.windows(2).map(|two| {
        let span_s = two[1].0.s() - two[0].0.s();
        0.5 * span_s * (two[0].1.m_per_s() + two[1].1.m_per_s())
    });
    steps.sum()
}

#[cfg(test)]
mod tests;
