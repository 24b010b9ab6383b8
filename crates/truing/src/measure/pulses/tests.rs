//! What is written is read back; recordings with troubles are told.

use super::bench::{BenchSignal, Leg, RingFault, Shape};
use super::*;
use metrology::cycle::FaultKind;

fn mph(speed: f64) -> Speed {
    Speed::from_mi_per_h(speed)
}

fn leg(from: f64, to: f64, seconds: f64) -> Leg {
    Leg { from: mph(from), to: mph(to), duration: Duration::from_s(seconds) }
}

fn read(bytes: &[u8]) -> (PulseEstimate, Vec<Problem>) {
    estimate("bench", RecordingOptions::default(), bytes.chunks(5000))
}

/// Counts per mile, legs in mph and seconds.
fn check_round(per_mile: f64, legs: &[Leg], shape: Shape, fault: Option<RingFault>) {
    let signal = BenchSignal::new(PerLength::from_per_mi(per_mile), legs.to_vec(), shape, fault).unwrap();
    let rate = Frequency::from_hz(48_000.0);
    for bytes in [signal.wav(rate, 0.8).unwrap(), signal.csv().into_bytes()] {
        let (found, problems) = read(&bytes);
        assert_eq!(found.pulses, signal.pulses(), "{per_mile} {legs:?} {shape:?} {fault:?}: {problems:?}");
        // A sample more or less
        assert!((found.duration.s() - signal.duration().s()).abs() < 3e-5);
    }
}

#[test]
fn what_is_written_is_read_back() {
    let profiles = [
        vec![leg(60.0, 60.0, 10.0)],
        vec![leg(20.0, 20.0, 3.0), leg(45.0, 45.0, 3.0), leg(70.0, 70.0, 3.0)],
        vec![leg(5.0, 75.0, 12.0)],
        vec![leg(75.0, 8.0, 7.3), leg(8.0, 40.0, 5.1)],
    ];
    let missing = RingFault { teeth: 24, tooth: 7, is_missing: true };
    let displaced = RingFault { teeth: 10, tooth: 10, is_missing: false };
    for legs in &profiles {
        for shape in [Shape::Square, Shape::Sine, Shape::Sensor] {
            for fault in [None, Some(missing), Some(displaced)] {
                check_round(8000.0, legs, shape, fault);
            }
        }
    }
}

#[test]
fn many_counts_per_mile_are_read_back() {
    for shape in [Shape::Square, Shape::Sine, Shape::Sensor] {
        check_round(128_000.0, &[leg(5.0, 75.0, 6.0)], shape, None);
    }
}

#[test]
fn counts_and_frequencies_in_closed_form() {
    // 8000 per mile at 60 mph: 133.333 Hz (facts of the definitions), 10 s: 1333 whole cycles
    let counts = PerLength::from_per_mi(8000.0);
    let signal = BenchSignal::new(counts, vec![leg(60.0, 60.0, 10.0)], Shape::Square, None).unwrap();
    assert_eq!(signal.pulses(), 1333);
    assert!((signal.frequency(mph(60.0)).hz() - 8000.0 / 60.0).abs() < 1e-9);
    let (found, problems) = read(signal.csv().as_bytes());
    let frequency = found.frequency.unwrap();
    for hz in [frequency.min, frequency.median, frequency.max] {
        assert!((hz.hz() - 8000.0 / 60.0).abs() < 1e-4, "{frequency:?}");
    }
    assert!(problems.is_empty(), "{problems:?}");
    // 1333 pulses over a quarter mile
    let distance = metrology::text::length("0.25 mi +/- 0.001").unwrap();
    let per_mile = found.per_length(&distance).unwrap();
    // 0.001 / 0.25, beside which the count is nothing
    assert!((per_mile.value.per_mi() - 1333.0 * 4.0).abs() < 1e-6);
    assert!((per_mile.relative_uncertainty().plain() - 0.004_012).abs() < 1e-6, "{per_mile:?}");
    let per_turn = found.per_turn(10.0).unwrap();
    assert!((per_turn.value.plain() - 133.3).abs() < 1e-9, "{per_turn:?}");
    assert_eq!(found.count(), PulseSource::Count(1333));
}

#[test]
fn a_faulty_tooth_is_found_in_what_was_written() {
    for (is_missing, kind) in [(true, FaultKind::Missing), (false, FaultKind::Displaced)] {
        let fault = RingFault { teeth: 36, tooth: 12, is_missing };
        let counts = PerLength::from_per_mi(36_000.0);
        let signal = BenchSignal::new(counts, vec![leg(25.0, 50.0, 8.0)], Shape::Sine, Some(fault)).unwrap();
        for bytes in [signal.wav(Frequency::from_hz(44_100.0), 0.5).unwrap(), signal.csv().into_bytes()] {
            let ring = read(&bytes).0.ring.unwrap();
            assert_eq!((ring.marks, ring.faults.len()), (36, 1), "{:?}", ring.faults);
            assert_eq!((ring.faults[0].mark, ring.faults[0].kind), (11, kind));
        }
    }
}

fn check_refused(legs: Vec<Leg>, piece: &str) {
    let counts = PerLength::from_per_mi(4000.0);
    let outcome = BenchSignal::new(counts, legs, Shape::Sine, None);
    let problem = outcome.and_then(|signal| signal.wav(Frequency::from_hz(8000.0), 0.5)).unwrap_err();
    assert!(problem.to_string().contains(piece), "{problem}");
}

#[test]
fn what_cannot_be_written_is_refused() {
    check_refused(vec![], "0 to 600 s");
    check_refused(vec![leg(10.0, 10.0, 601.0)], "0 to 600 s");
    check_refused(vec![leg(0.0, 10.0, 10.0)], "5 Hz");
    check_refused(vec![leg(10.0, 2000.0, 10.0)], "2000 Hz in a sound file");
    check_refused(vec![leg(-1.0, 10.0, 10.0)], "forward");
    let fault = RingFault { teeth: 8, tooth: 9, is_missing: true };
    let legs = vec![leg(10.0, 10.0, 1.0)];
    assert!(BenchSignal::new(PerLength::from_per_mi(4000.0), legs, Shape::Sine, Some(fault)).is_err());
}

/// A WAV by hand from samples between -1 and 1.
fn wav(samples: impl Iterator<Item = f64>) -> Vec<u8> {
    let data: Vec<u8> = samples.flat_map(|v| ((v * 32_767.0) as i16).to_le_bytes()).collect();
    let mut bytes =
        b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0\x01\0\x01\0\x80\x3e\0\0\0\x7d\0\0\x02\0\x10\0data".to_vec();
    bytes.extend((data.len() as u32).to_le_bytes());
    bytes.extend(data);
    bytes
}

fn check_found(sample: impl Fn(f64) -> f64, is_it: impl Fn(&Trouble) -> bool) -> PulseEstimate {
    let found = read(&wav((0..96_000).map(|i| sample(f64::from(i) / 16_000.0)))).0;
    assert!(found.troubles.iter().any(is_it), "{:?}", found.troubles);
    found
}

#[test]
fn troubles_are_found() {
    let sine = |hz: f64, t: f64| (std::f64::consts::TAU * hz * t).sin();
    assert_eq!(check_found(|_| 0.0, |it| *it == Trouble::Silent).pulses, 0);
    // A sine of twice the height is beyond the limit but for 30 degrees to either side of each crossing: two thirds of the time.
    let at_limit =
        |it: &Trouble| matches!(it, Trouble::AtLimit { share } if (share.plain() - 2.0 / 3.0).abs() < 0.02);
    check_found(|t| (2.0 * sine(170.0, t)).clamp(-1.0, 1.0), at_limit);
    let hum = |it: &Trouble| matches!(it, Trouble::Hum { share, frequency } if (share.plain() - 2.0 / 7.0).abs() < 0.05 && frequency.hz() == 50.0);
    check_found(|t| 0.7 * sine(410.0, t) + 0.2 * sine(50.0, t), hum);
    check_found(
        |t| 0.7 * sine(60.0, t),
        |it| matches!(it, Trouble::AtMains { duration } if duration.s() > 5.0),
    );
    let hole = |it: &Trouble| matches!(it, Trouble::Holes { count: 1, first_start, .. } if (first_start.s() - 2.0).abs() < 0.01);
    let found = check_found(|t| if (2.0..2.05).contains(&t) { 0.0 } else { sine(200.0, t) }, hole);
    assert_eq!(found.holes, 1);
    // 6 s at 200 Hz, less the ten in the hole; one at each side of it may be cut
    assert!((1187..=1191).contains(&found.pulses), "{}", found.pulses);
    // Even noise as strong as the sine: no more than some decibels between them.
    let chance = std::cell::Cell::new(7_u64);
    let noise = || {
        chance.set(
            chance.get().wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407),
        );
        (chance.get() >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    };
    check_found(
        |t| 0.4 * sine(300.0, t) + 0.4 * noise(),
        |it| matches!(it, Trouble::Noisy { signal_to_noise_db } if *signal_to_noise_db < 12.0),
    );
}

#[test]
fn a_recording_serves_as_a_log() {
    let counts = PerLength::from_per_mi(8000.0);
    let signal = BenchSignal::new(counts, vec![leg(10.0, 50.0, 20.0)], Shape::Square, None).unwrap();
    let log = read(signal.csv().as_bytes()).0.as_log(counts);
    assert!(log.samples.len() > 100 && log.clock == Clock::Elapsed);
    for sample in &log.samples {
        // 10 mph and 2 mph each second; a bin holds one pulse or a few
        let expected = 10.0 + 2.0 * sample.time.s();
        assert!((sample.speed.mi_per_h() - expected).abs() < 0.1, "{sample:?} {expected}");
    }
}

/// A simulated drive of known truth beside the pulses that its speeds make, recorded so long.
fn recorded(per_mile: f64, recorded_s: f64) -> (crate::simulate::Drive, PulseEstimate) {
    let drive = crate::simulate::drive(&crate::simulate::Plan {
        steps: crate::simulate::Steps::None,
        reported_speed_error: Some(Speed::from_m_per_s(0.1)),
        ..crate::simulate::Plan::mixed(5, 1.0, Duration::from_s(0.0))
    });
    let mut listener = Listener::default();
    let (mut metres, mut told) = (0.0, 0.0);
    let first = drive.vehicle.samples[0].time;
    for two in drive.vehicle.samples.windows(2) {
        let from = metres;
        metres += 0.5 * (two[0].speed.m_per_s() + two[1].speed.m_per_s());
        let counts = metres * PerLength::from_per_mi(per_mile).per_m();
        while told < counts {
            let share = (told / PerLength::from_per_mi(per_mile).per_m() - from) / (metres - from);
            // On the recorder's own clock
            let time = Duration::from_s(two[0].time.since(first).s() + share);
            if time.s() < recorded_s {
                listener.take(Piece::Edge { time, rising: true });
            }
            told += 1.0;
        }
    }
    let pulses = listener.finish();
    (drive, pulses)
}

#[test]
fn counts_against_a_track() {
    let per_mile = 8192.0;
    let (drive, pulses) = recorded(per_mile, f64::INFINITY);
    let (counts, problems) = pulses.against("track", &drive.track);
    let counts = counts.unwrap_or_else(|| panic!("{problems:?}"));
    assert!(counts.low_95.per_mi() < per_mile && per_mile < counts.high_95.per_mi(), "{counts:?}");
    assert!(counts.relative_uncertainty().percent() < 0.3, "{counts:?}");
    // As evidence it is a distance with the same counts on it, and as sure.
    let distance = pulses.distance(&counts);
    let again = pulses.per_length(&distance).unwrap();
    assert!((again.value.per_mi() / counts.value.per_mi() - 1.0).abs() < 1e-12, "{again:?}");
    let (said, found) = (again.relative_uncertainty().plain(), counts.relative_uncertainty().plain());
    assert!((said / found - 1.0).abs() < 0.01, "{said} {found}");
}

#[test]
fn the_piece_to_draw_holds_its_edges() {
    let signal =
        BenchSignal::new(PerLength::from_per_mi(8000.0), vec![leg(60.0, 60.0, 3.0)], Shape::Sine, None)
            .unwrap();
    let (found, _) = read(&signal.wav(Frequency::from_hz(48_000.0), 0.5).unwrap());
    let wave = found.wave.unwrap();
    assert!(wave.edges.len() == 8 && wave.samples.len() > 100);
    // Half of full scale, rising through zero
    assert!(wave.edges.iter().all(|(_, value)| value.abs() < 0.02), "{:?}", wave.edges);
}

/// Whatever is told of a short recording is no worse than it says; below a minute nothing is.
#[test]
fn a_short_recording_beside_a_track() {
    for recorded_s in [0.0, 0.3, 1.0, 2.0, 3.0, 5.0, 8.0, 13.0, 20.0, 45.0, 100.0, 200.0] {
        let (drive, pulses) = recorded(8192.0, recorded_s);
        let (counts, problems) = pulses.against("track", &drive.track);
        let Some(counts) = counts else {
            assert!(!problems.is_empty(), "{recorded_s} s");
            continue;
        };
        assert!(recorded_s > 60.0, "{recorded_s} s: {counts:?}");
        // Four standard uncertainties
        let off = (counts.value.per_mi() / 8192.0).ln().abs();
        assert!(off < 4.0 * counts.relative_uncertainty().plain(), "{recorded_s} s: {counts:?}");
    }
}

/// Edges as a CSV: rising at these times (s), each falling a third of the way to the next.
fn edges_csv(times_s: &[f64], decimals: usize) -> Vec<u8> {
    let mut text = String::from("time_s,level\n0,0\n");
    for two in times_s.windows(2) {
        let falls_s = two[0] + (two[1] - two[0]) / 3.0;
        text.push_str(&format!("{:.decimals$},1\n{falls_s:.decimals$},0\n", two[0]));
    }
    text.into_bytes()
}

/// A contact that bounces at every so many pulses, for so many milliseconds.
#[test]
fn edges_that_come_twice_are_told_and_not_counted() {
    for (every, bounce_ms, repeats) in [(1, 0.2, 1), (1, 0.1, 2), (7, 0.4, 1), (50, 0.2, 3)] {
        let mut times: Vec<f64> = Vec::new();
        let mut extra = 0;
        let pulses = 600_u64;
        for pulse in 0..=pulses {
            let time_s = 0.1 + pulse as f64 / 200.0;
            times.push(time_s);
            if pulse.is_multiple_of(every) && pulse < pulses {
                times.extend((1..=repeats).map(|k| time_s + f64::from(k) * bounce_ms * 1e-3));
                extra += repeats as u64;
            }
        }
        let found = read(&edges_csv(&times, 9)).0;
        assert_eq!((found.pulses, found.doubled), (pulses, extra), "{every} {bounce_ms} {repeats}");
        assert!(found.troubles.contains(&Trouble::Doubled { edges: extra }), "{:?}", found.troubles);
    }
}

/// Our own signal is that of an even ring: nothing is to be counted in it, whatever the grid of its times.
#[test]
fn the_grid_of_the_times_is_no_ring() {
    let round = |text: &str, step_s: f64| -> Vec<u8> {
        let row = |line: &str| match line.split_once(',') {
            Some((time, level)) if time.parse::<f64>().is_ok() => {
                format!("{:.9},{level}\n", (time.parse::<f64>().unwrap() / step_s).round() * step_s)
            }
            _ => format!("{line}\n"),
        };
        text.lines().map(row).collect::<String>().into_bytes()
    };
    let mut told = Vec::new();
    for per_mile in [8000.0, 36_000.0] {
        for speed in [12.0, 20.0, 25.0, 30.0, 35.7, 40.0, 51.9, 60.0, 61.3, 70.0] {
            let counts = PerLength::from_per_mi(per_mile);
            let signal = BenchSignal::new(counts, vec![leg(speed, speed, 6.0)], Shape::Square, None).unwrap();
            let csv = signal.csv();
            let mut files = vec![csv.clone().into_bytes()];
            files.extend([1e-6, 1e-5, 1.0 / 48_000.0, 1.0 / 44_100.0].map(|step_s| round(&csv, step_s)));
            files.extend([48_000.0, 44_100.0].map(|hz| signal.wav(Frequency::from_hz(hz), 0.5).unwrap()));
            for (which, bytes) in files.iter().enumerate() {
                let ring = read(bytes).0.ring;
                told.extend(ring.ok().map(|ring| (per_mile, speed, which, ring.marks, ring.confidence)));
            }
        }
    }
    assert!(told.is_empty(), "{told:?}");
}

/// Two hours without a stop: no zeros between its frequencies, each of which stands for many seconds.
#[test]
fn a_long_recording_does_not_stand_still() {
    let mut listener = Listener::default();
    (0..7200 * 20).for_each(|k| {
        listener.take(Piece::Edge { time: Duration::from_s(f64::from(k) / 20.0), rising: true });
    });
    let found = listener.finish();
    let log = found.as_log(PerLength::from_per_m(1.0));
    assert!(
        log.samples.iter().all(|sample| (sample.speed.m_per_s() - 20.0).abs() < 0.1),
        "{:?}",
        log.samples.len()
    );
    assert!(found.moving_s() > 7100.0);
}
