//! Recorded drives through the whole estimate. What the files are stands in `data/SOURCES.md`.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]
#![allow(clippy::print_stdout, reason = "the figures of the table in the docs")]

#[path = "recorded_drives/damaged.rs"]
mod damaged;
#[path = "recorded_drives/damages.rs"]
mod damages;
#[path = "recorded_drives/streams.rs"]
mod streams;

use metrology::measured::Measured;
use metrology::quantity::{Instant, Ratio};
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Track, VehicleLog};
use truing::measure::drive::{DriveEstimate, Indicated, MOVING_M_PER_S, estimate};

struct Recorded {
    track: Track,
    log: VehicleLog,
}

fn read(track: (&[u8], &str), log: (&[u8], &str)) -> Recorded {
    let mut tracks = TrackReader::new("track", CsvOptions::parse(track.1).unwrap());
    tracks.feed(track.0);
    let mut logs = VehicleLogReader::new("log", CsvOptions::parse(log.1).unwrap());
    logs.feed(log.0);
    Recorded { track: tracks.finish().0, log: logs.finish().0 }
}

fn two_cities(bytes: &[u8]) -> Recorded {
    read((bytes, "speed=ref_vf m/s"), (bytes, "speed=obd_speed m/s"))
}

fn city_1() -> Recorded {
    two_cities(include_bytes!("data/two-cities-1.csv"))
}

fn city_2() -> Recorded {
    two_cities(include_bytes!("data/two-cities-2.csv"))
}

fn clocks_1() -> Recorded {
    read(
        (include_bytes!("data/two-clocks-1-track.csv"), ""),
        (include_bytes!("data/two-clocks-1-vehicle.csv"), ""),
    )
}

fn clocks_2() -> Recorded {
    read(
        (include_bytes!("data/two-clocks-2-track.csv"), ""),
        (include_bytes!("data/two-clocks-2-vehicle.csv"), ""),
    )
}

impl Recorded {
    fn estimate(&self) -> DriveEstimate {
        let (estimate, problems) = estimate("recorded", &self.track, &Indicated::Log(self.log.clone()));
        estimate.unwrap_or_else(|| panic!("{problems:?}"))
    }

    /// Pieces of equal time; those with too little driving give no answer and are left out.
    fn pieces(&self, count: usize) -> Vec<DriveEstimate> {
        let times = || self.track.fixes.iter().filter_map(|fix| fix.time);
        let (first, last) = (times().next().unwrap(), times().next_back().unwrap());
        let piece_s = last.since(first).s() / count as f64;
        let place = |time: Instant| (time.since(first).s() / piece_s) as usize;
        (0..count)
            .filter_map(|piece| {
                let mut part = Recorded { track: self.track.clone(), log: self.log.clone() };
                part.track.fixes.retain_mut(|fix| fix.time.is_some_and(|time| place(time) == piece));
                part.log.samples.retain(|sample| sample.time >= first && place(sample.time) == piece);
                estimate("piece", &part.track, &Indicated::Log(part.log)).0
            })
            .collect()
    }
}

fn ratio(estimate: &DriveEstimate) -> Measured<Ratio> {
    estimate.reading_ratio.unwrap()
}

/// Half a 95 % interval of a normal distribution, in standard deviations.
const HALF_95: f64 = 1.96;

/// The deviation that a 95 % interval claims. What a piece of few blocks errs is Student's t times its standard uncertainty, and that has
/// the variance `dof / (dof - 2)` of a normal one (JCGM 101:2008, 6.4.9, from memory; 1.25 at 10 degrees): chi-square of plain standard
/// uncertainties is expected above its degrees of freedom, and its table does not hold. The interval has the factor in it, and
/// the two ways the offset may come about as well.
fn claimed(m: &Measured<Ratio>) -> f64 {
    (m.high_95.plain() - m.low_95.plain()) / (2.0 * HALF_95)
}

/// Weighted squared deviations of the pieces from their own mean, and degrees of freedom.
fn chi_square(ratios: &[Measured<Ratio>], deviation: fn(&Measured<Ratio>) -> f64) -> (f64, f64) {
    let weight = |m: &Measured<Ratio>| deviation(m).powi(-2);
    let total: f64 = ratios.iter().map(weight).sum();
    let mean = ratios.iter().map(|m| weight(m) * m.value.plain()).sum::<f64>() / total;
    let squares = ratios.iter().map(|m| weight(m) * (m.value.plain() - mean).powi(2)).sum();
    (squares, ratios.len() as f64 - 1.0)
}

/// Both ends of the central 99 % of chi-square (NIST/SEMATECH e-Handbook, table 1.3.6.7.4, at 0.995 and 0.005).
fn central_99(dof: f64) -> (f64, f64) {
    match dof as usize {
        3 => (0.072, 12.838),
        8 => (1.344, 21.955),
        9 => (1.735, 23.589),
        other => panic!("the table is not written out for {other}"),
    }
}

/// Pieces of one drive scatter as their uncertainties say; `expected` pieces give an answer.
fn check_pieces(drive: &Recorded, count: usize, expected: usize) {
    let pieces = drive.pieces(count);
    assert_eq!(pieces.len(), expected);
    let whole = drive.estimate();
    for get in [ratio, by_distance] {
        let ratios: Vec<_> = pieces.iter().map(get).collect();
        let (squares, dof) = chi_square(&ratios, claimed);
        let (plain, _) = chi_square(&ratios, |m| m.standard_uncertainty.plain());
        let (low, high) = central_99(dof);
        println!(
            "{count} pieces: chi-square {squares:.2} ({plain:.2} by plain u) at {dof}, central 99 % {low} to {high}"
        );
        let offsets: Vec<_> = pieces.iter().map(|p| p.offset.map(|a| a.value)).collect();
        assert!(
            low < squares && squares < high,
            "{count} pieces: {squares} at {dof}: {offsets:?} {ratios:?}"
        );
    }
    // Of two estimates of which one has all the other's data the difference varies by less than the poorer of them (Hausman 1978,
    // Econometrica 46:1251). That is the piece, but where the whole shows an offset that its pieces cannot see and says so. One in
    // twenty may be outside.
    let half = |m: &Measured<Ratio>| 0.5 * (m.high_95.plain() - m.low_95.plain());
    let agrees = |piece: &Measured<Ratio>| {
        let apart = piece.value.plain() - ratio(&whole).value.plain();
        apart.abs() < half(piece).max(half(&ratio(&whole)))
    };
    let agree = pieces.iter().filter(|piece| agrees(&ratio(piece))).count();
    println!("{count} pieces: {agree} of {expected} hold the whole's ratio");
    assert!(agree + 1 >= expected, "{agree} of {expected} pieces agree with the whole");
}

fn by_distance(estimate: &DriveEstimate) -> Measured<Ratio> {
    estimate.ratio_by_distance.unwrap()
}

fn covers(measured: &Measured<Ratio>, value: f64) -> bool {
    measured.low_95.plain() <= value && value <= measured.high_95.plain()
}

fn lag_s(drive: &Recorded) -> f64 {
    drive.estimate().clock_lag.unwrap().value.s()
}

/// Integral of indicated over integral of true above 5 m/s true. Two reckonings of others over the samples gave 0.9946 and
/// 0.9941 for the first drive, 0.9944 and 0.9941 for the second. Ours shifts the log by its lag of 0.1 s first and leaves
/// samples off the line out: a few of 6000 at the edge of the mask change sides.
const BY_DISTANCE: f64 = 0.9941;
const EDGE_OF_MASK: f64 = 5e-4;

/// The line at the mean speed under way, from ratio, offset and their correlation.
fn line_at_mean_speed(drive: &DriveEstimate) -> Measured<Ratio> {
    let speeds = drive.trace.truth.iter().map(|(_, speed)| *speed).filter(|v| v.m_per_s() > MOVING_M_PER_S);
    let (sum, count) = speeds.fold((0.0, 0.0), |(sum, count), v| (sum + v.m_per_s(), count + 1.0));
    let (ratio, offset) = (ratio(drive), drive.offset.unwrap());
    let (u, offset_u) =
        (ratio.standard_uncertainty.plain(), offset.standard_uncertainty.m_per_s() * count / sum);
    let variance = u * u + offset_u * offset_u + 2.0 * drive.ratio_offset_correlation * u * offset_u;
    let value = Ratio::from_plain(ratio.value.plain() + offset.value.m_per_s() * count / sum);
    Measured::symmetric(value, Ratio::from_plain(variance.max(0.0).sqrt()), ratio.dof)
}

#[test]
fn two_cities_by_distance() {
    for (drive, others) in [(city_1(), 0.9946), (city_2(), 0.9944)] {
        let found = drive.estimate();
        let by_distance = by_distance(&found);
        assert!((by_distance.value.plain() - BY_DISTANCE).abs() < EDGE_OF_MASK, "{by_distance:?}");
        // A ratio by distance is the line at the mean speed, not its slope: the offset is between them. The line weighs steady
        // stretches, the distance all alike, so that both errors count in how far they may be apart.
        let line = line_at_mean_speed(&found);
        let told =
            |m: &Measured<Ratio>| format!("{:.5} ± {:.5}", m.value.plain(), m.standard_uncertainty.plain());
        println!(
            "by distance {}, line at mean speed {}, slope {}, offset {:?}",
            told(&by_distance),
            told(&line),
            told(&ratio(&found)),
            found.offset.map(|a| (a.value, a.standard_uncertainty))
        );
        for value in [BY_DISTANCE, others] {
            assert!(covers(&by_distance, value), "{value}: {by_distance:?}");
            let half = |m: &Measured<Ratio>| m.high_95.plain() - m.value.plain();
            let apart = (line.value.plain() - value).abs();
            assert!(apart < half(&line).hypot(half(&by_distance)), "{value}: {line:?}");
        }
    }
}

/// The source has both on one clock. Its samples hold their value for two or three of the log's 0.2 s: within that the
/// lag is not known, and its interval says so.
#[test]
fn two_cities_share_a_clock() {
    for drive in [city_1(), city_2()] {
        let lag = drive.estimate().clock_lag.unwrap();
        println!("{lag:?}");
        assert!(lag.value.s().abs() < 0.2, "{lag:?}");
        assert!(lag.low_95.s() < 0.0 && 0.0 < lag.high_95.s(), "{lag:?}");
        assert!(lag.standard_uncertainty.s() < 0.2, "{lag:?}");
    }
}

#[test]
fn pieces_of_two_cities_scatter_as_stated() {
    // A piece that stands almost all its time gives no answer.
    check_pieces(&city_1(), 4, 4);
    check_pieces(&city_1(), 10, 9);
    check_pieces(&city_2(), 4, 4);
    check_pieces(&city_2(), 10, 9);
}

#[test]
fn pieces_of_two_clocks_scatter_as_stated() {
    check_pieces(&clocks_1(), 4, 4);
    check_pieces(&clocks_1(), 10, 10);
}

/// Leaves the speeds alone.
fn without_positions(track: &mut Track) {
    track.fixes.change_each(|fix| (fix.latitude, fix.longitude) = (None, None));
}

/// 0.9920 is another's sum by receiver speed. By speeds alone our integral agrees with it within its own interval, and so
/// it does with the half step that this channel truncates: offset and ratio together say the same distance.
#[test]
fn two_clocks_cuts_off() {
    let mut drive = clocks_1();
    let half_step_m_per_s = -0.5 / 3.6;
    let offset = drive.estimate().offset.unwrap();
    assert!(
        offset.low_95.m_per_s() < half_step_m_per_s && half_step_m_per_s < offset.high_95.m_per_s(),
        "{offset:?}"
    );
    assert!(offset.high_95.m_per_s() < 0.0, "{offset:?}");
    without_positions(&mut drive.track);
    assert!(covers(&by_distance(&drive.estimate()), 0.9920), "{:?}", by_distance(&drive.estimate()));
}

/// The source has the vehicle lead by 0.8 s against the receiver's speeds; so have we (0.74 s). Against the receiver's
/// positions it leads by 0.28 s: the receiver's speeds come 0.45 s after its positions. With both, the lag lies between;
/// the difference is the data's, not the estimator's.
#[test]
fn two_clocks_speeds_come_after_positions() {
    let (mut speeds, mut positions) = (clocks_1(), clocks_1());
    without_positions(&mut speeds.track);
    positions.track.fixes.change_each(|fix| fix.speed = None);
    let (by_speeds, by_positions, by_both) = (lag_s(&speeds), lag_s(&positions), lag_s(&clocks_1()));
    // Two standard uncertainties (0.045 s) of the lag.
    assert!((by_speeds + 0.8).abs() < 0.1, "{by_speeds}");
    assert!(by_positions - by_speeds > 0.3, "{by_positions} {by_speeds}");
    assert!(by_speeds < by_both && by_both < by_positions, "{by_both}");
}

/// 78 s under way: the ratio is known to two or three per cent only, and the figure of others (0.966) is inside.
#[test]
fn a_short_drive_says_little() {
    let found = ratio(&clocks_2().estimate());
    assert!(found.high_95.plain() - found.low_95.plain() > 0.04, "{found:?}");
    assert!(covers(&found, 0.966), "{found:?}");
}
