//! Edges against a generator and an oracle that share nothing with the detector.

use super::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::PI;

const RATE_HZ: f64 = 48_000.0;

/// A sine of amplitude 1 that starts at its trough, in white noise.
fn sine(frequency_hz: f64, seconds: f64, decibels: f64, seed: u64) -> Vec<f64> {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    let noise = (0.5 / 10f64.powf(decibels / 10.0)).sqrt();
    (0..(seconds * RATE_HZ) as usize)
        .map(|i| {
            let white: f64 = StandardNormal.sample(&mut chance);
            -(2.0 * PI * frequency_hz * i as f64 / RATE_HZ).cos() + noise * white
        })
        .collect()
}

fn edges(samples: &[f64], chunk: usize) -> (Vec<Edge>, Findings) {
    let mut found = Vec::new();
    let mut detector = Detector::new(RATE_HZ);
    samples.chunks(chunk).for_each(|piece| detector.feed(piece, &mut |edge| found.push(edge)));
    let findings = detector.finish(&mut |edge| found.push(edge));
    (found, findings)
}

fn rising(samples: &[f64]) -> Vec<f64> {
    edges(samples, 4096).0.iter().filter(|edge| edge.rising).map(|edge| edge.time_s).collect()
}

/// Lost, invented and root mean square error (s) against edges that are known; one within a third of a cycle is found.
/// The error is that of edges at least three cycles from the ends, where the means are whole.
fn compare(found: &[f64], truth: &[f64], cycle_s: f64) -> (usize, usize, f64) {
    let (mut next, mut matched, mut counted, mut squares) = (0, 0, 0, 0.0);
    let last_s = truth.last().copied().unwrap_or(0.0);
    for truth in truth {
        while next < found.len() && found[next] < truth - cycle_s / 3.0 {
            next += 1;
        }
        if next < found.len() && found[next] < truth + cycle_s / 3.0 {
            let inside = truth > &(3.0 * cycle_s) && *truth < last_s - 3.0 * cycle_s;
            squares += if inside { (found[next] - truth).powi(2) } else { 0.0 };
            counted += usize::from(inside);
            matched += 1;
            next += 1;
        }
    }
    (truth.len() - matched, found.len() - matched, (squares / counted.max(1) as f64).sqrt())
}

/// Rising crossings of [`sine`].
fn truth(frequency_hz: f64, seconds: f64) -> Vec<f64> {
    let cycles = (seconds * frequency_hz - 0.25).floor() as usize;
    (0..=cycles).map(|k| (k as f64 + 0.25) / frequency_hz).collect()
}

/// The bound of the module's head: noise seen through the bandwidth over the slope of the clean wave, and over the slope
/// that the filter leaves of it.
fn bounds_s(frequency_hz: f64, decibels: f64) -> (f64, f64) {
    let cycle = RATE_HZ / frequency_hz;
    let share = if decibels < 10.0 { 0.36 } else { 0.2 };
    let half = |width: f64| ((width - 1.0) / 2.0).round().max(0.0) as i64;
    // The kernel written out: a triangle for the smoothing less a triangle for the baseline.
    let weight = |half: i64, at: i64| {
        let width = (2 * half + 1) as f64;
        ((width - at.abs() as f64) / (width * width)).max(0.0)
    };
    let (smooth, base) = (half(share * cycle), half(2.0 * cycle));
    let kernel = |at: i64| weight(smooth, at) - weight(base, at);
    let squares: f64 = (-2 * base..=2 * base).map(|at| kernel(at).powi(2)).sum();
    let left: f64 = (-2 * base..=2 * base).map(|at| kernel(at) * (2.0 * PI * at as f64 / cycle).cos()).sum();
    let noise = (0.5 / 10f64.powf(decibels / 10.0)).sqrt();
    let bound_s = noise * squares.sqrt() / (2.0 * PI * frequency_hz);
    (bound_s, bound_s / left)
}

/// Frequencies of the promise, a few of them off any round number.
const FREQUENCIES_HZ: [f64; 10] = [5.0, 7.3, 20.0, 50.0, 60.0, 133.3, 400.0, 1000.0, 2500.0, 5000.0];

fn seconds(frequency_hz: f64) -> f64 {
    // At least forty cycles
    (40.0 / frequency_hz).max(3.0)
}

#[test]
fn no_edge_is_lost_or_invented_at_20_db() {
    for (seed, frequency_hz) in FREQUENCIES_HZ.into_iter().enumerate() {
        let seconds = seconds(frequency_hz);
        let found = rising(&sine(frequency_hz, seconds, 20.0, seed as u64));
        let truth = truth(frequency_hz, seconds);
        let (lost, invented, error_s) = compare(&found, &truth, 1.0 / frequency_hz);
        assert_eq!((lost, invented), (0, 0), "{frequency_hz} Hz: {} of {}", found.len(), truth.len());
        // 1.3 is what is promised; a rms from n edges scatters by 1 / sqrt(2 n), of which four.
        let most = 1.3 * bounds_s(frequency_hz, 20.0).0 * (1.0 + 4.0 / (2.0 * truth.len() as f64).sqrt());
        assert!(error_s < most, "{frequency_hz} Hz: {error_s} against {most}");
    }
}

/// What is said of the noise of a crossing is what is found.
#[test]
fn the_noise_of_a_crossing_is_predicted() {
    for (seed, frequency_hz) in [50.0, 400.0, 1000.0].into_iter().enumerate() {
        let found = rising(&sine(frequency_hz, 6.0, 20.0, 40 + seed as u64));
        let truth = truth(frequency_hz, 6.0);
        let (_, _, error_s) = compare(&found, &truth, 1.0 / frequency_hz);
        let share = error_s * frequency_hz / crossing_noise(20.0, frequency_hz / RATE_HZ);
        // At 50 Hz the spectrum sees few cycles and smooths a seventh wider; a rms from 300 edges scatters by 4 %, of which three.
        assert!((0.9..1.15).contains(&share), "{frequency_hz} Hz: {share}");
    }
}

#[test]
#[ignore = "prints the table of docs/pulses.md"]
fn table_of_noise() {
    println!("| Hz | dB | edges | lost | invented | error / bound | error / bound of the filtered wave |");
    println!("|---|---|---|---|---|---|---|");
    for frequency_hz in [5.0, 50.0, 500.0, 2000.0, 5000.0] {
        for decibels in [20.0, 15.0, 12.0, 9.0, 6.0, 3.0] {
            let seconds = 8.0 * seconds(frequency_hz);
            let found = rising(&sine(frequency_hz, seconds, decibels, 77));
            let truth = truth(frequency_hz, seconds);
            let (lost, invented, error_s) = compare(&found, &truth, 1.0 / frequency_hz);
            let (clean_s, filtered_s) = bounds_s(frequency_hz, decibels);
            let (clean, filtered) = (error_s / clean_s, error_s / filtered_s);
            let edges = truth.len();
            println!(
                "| {frequency_hz} | {decibels} | {edges} | {lost} | {invented} | {clean:.2} | {filtered:.2} |"
            );
            assert!(filtered < 1.3, "{frequency_hz} Hz, {decibels} dB: {filtered}");
        }
    }
}

/// Laws: a gain changes nothing, and upside down, rising edges fall at the same times.
#[test]
fn gain_and_polarity() {
    let samples = sine(311.0, 2.0, 20.0, 8);
    let times = |samples: &[f64], rising: bool| -> Vec<f64> {
        edges(samples, 4096).0.iter().filter(|edge| edge.rising == rising).map(|edge| edge.time_s).collect()
    };
    let found = times(&samples, true);
    for gain in [-1.0, 1e-6, 1e-3, 1e3] {
        let scaled: Vec<f64> = samples.iter().map(|value| gain * value).collect();
        let other = times(&scaled, gain > 0.0);
        assert_eq!(other.len(), found.len(), "{gain}");
        // Rounding of the running sums
        assert!(other.iter().zip(&found).all(|(a, b)| (a - b).abs() < 1e-9), "{gain}");
    }
}

#[test]
fn pieces_do_not_matter() {
    let samples = sine(173.0, 2.0, 20.0, 3);
    let whole = edges(&samples, samples.len());
    for chunk in [1, 7, 1000, 30_000] {
        assert_eq!(edges(&samples, chunk), whole);
    }
}

/// Slow and obvious: a direct convolution with the known widths, one threshold for all, straight lines.
fn oracle(samples: &[f64], frequency_hz: f64) -> Vec<f64> {
    let half = (0.1 * RATE_HZ / frequency_hz) as usize;
    let smooth: Vec<f64> = (0..samples.len())
        .map(|i| {
            let around = &samples[i.saturating_sub(half)..(i + half + 1).min(samples.len())];
            around.iter().sum::<f64>() / around.len() as f64
        })
        .collect();
    let (mut found, mut armed, mut crossing) = (Vec::new(), false, 0.0);
    for i in 1..smooth.len() {
        let (before, value) = (smooth[i - 1], smooth[i]);
        if before < 0.0 && value >= 0.0 {
            crossing = (i as f64 - value / (value - before)) / RATE_HZ;
        }
        if value < -0.4 {
            armed = true;
        } else if value > 0.4 && armed {
            found.push(crossing);
            armed = false;
        }
    }
    found
}

#[test]
fn as_the_oracle_finds_them() {
    for frequency_hz in [30.0, 210.0, 1100.0] {
        let samples = sine(frequency_hz, 2.0, 40.0, 11);
        let (found, expected) = (rising(&samples), oracle(&samples, frequency_hz));
        assert_eq!(found.len(), expected.len(), "{frequency_hz}");
        for (found, expected) in found.iter().zip(&expected).skip(3).take(expected.len() - 6) {
            // Two filters of about the same width on noise of 1 %: a thousandth of a cycle
            assert!((found - expected).abs() < 2e-3 / frequency_hz, "{found} {expected}");
        }
    }
}

/// A coil before a ring: amplitude grows with speed, from a crawl to a highway and back; every edge is known.
#[test]
fn amplitude_from_crawl_to_highway() {
    let (least, most, span_s) = (8.0, 1600.0, 20.0);
    let rate = |t: f64| least + (most - least) * (PI * t / span_s).sin().powi(2);
    let mut chance = ChaCha8Rng::seed_from_u64(5);
    let mut phase = 0.0;
    let samples: Vec<f64> = (0..(span_s * RATE_HZ) as usize)
        .map(|i| {
            let hz = rate((i as f64 + 0.5) / RATE_HZ);
            let value = -(2.0 * PI * phase).cos() * hz / most;
            phase += hz / RATE_HZ;
            let white: f64 = StandardNormal.sample(&mut chance);
            // A tenth of the least amplitude, on an offset
            value + 0.1 * least / most * white + 0.05
        })
        .collect();
    let (found, findings) = edges(&samples, 4096);
    let rising = found.iter().filter(|edge| edge.rising).count();
    assert_eq!(rising, (phase - 0.25).floor() as usize + 1, "{phase}");
    assert!((findings.mean - 0.05).abs() < 1e-3 && findings.idle_s == 0.0, "{findings:?}");
}

#[test]
fn hum_is_told_and_not_counted() {
    for (mains_hz, frequency_hz) in [(50.0, 400.0), (60.0, 900.0), (60.0, 11.0)] {
        let hum = |i: usize| 0.3 * (2.0 * PI * mains_hz * i as f64 / RATE_HZ).sin();
        let clean = sine(frequency_hz, 4.0, 40.0, 9);
        let samples: Vec<f64> = clean.iter().enumerate().map(|(i, v)| v + hum(i)).collect();
        let (found, findings) = edges(&samples, 4096);
        let expected = truth(frequency_hz, 4.0).len();
        assert_eq!(found.iter().filter(|edge| edge.rising).count(), expected, "{frequency_hz} Hz");
        let told = findings.hum.unwrap();
        assert!(told.frequency_hz == mains_hz && (told.share - 0.3).abs() < 0.03, "{told:?}");
    }
}

#[test]
fn pulses_of_any_duty_either_way_up_clipped_or_coupled() {
    let pulses = |duty: f64| -> Vec<f64> {
        (0..3 * 48_000)
            .map(|i| f64::from(u8::from((f64::from(i) * 90.0 / RATE_HZ + 0.5).fract() < duty)))
            .collect()
    };
    for duty in [0.1, 0.3, 0.5, 0.8] {
        let wave = pulses(duty);
        // A coupling of 10 Hz, as one difference equation
        let mut held = 0.0;
        let coupled: Vec<f64> = wave
            .iter()
            .map(|value| {
                held += (value - held) * 2.0 * PI * 10.0 / RATE_HZ;
                value - held
            })
            .collect();
        let clipped = wave.iter().map(|value| (6.0 * value - 2.0).clamp(-1.0, 1.0)).collect();
        let upside_down = wave.iter().map(|value| 0.7 - value).collect();
        for samples in [wave, coupled, clipped, upside_down] {
            let (found, _) = edges(&samples, 5000);
            let up = found.iter().filter(|edge| edge.rising).count();
            // The first and the last may lie at the very ends.
            assert!((269..=271).contains(&up), "duty {duty}: {up}");
            assert!(
                found.windows(2).all(|two| two[0].rising != two[1].rising && two[0].time_s < two[1].time_s)
            );
        }
    }
}

#[test]
fn noise_alone_and_silence_have_no_edges() {
    let mut chance = ChaCha8Rng::seed_from_u64(21);
    let noise: Vec<f64> = (0..10 * 48_000).map(|_| 0.1 * (chance.random::<f64>() - 0.5)).collect();
    for samples in [noise, vec![0.0; 100_000], vec![0.25; 100_000], Vec::new(), vec![f64::NAN; 5000]] {
        let (found, findings) = edges(&samples, 4096);
        assert!(found.is_empty(), "{} edges", found.len());
        assert!((findings.idle_s - samples.len() as f64 / RATE_HZ).abs() < 1e-9);
    }
}
