//! How far the vehicle has truly gone.
//!
//! Between two changes of tires or settings the reading ratio R = indicated / true stays; over such a span
//! the true distance is the odometer's difference over R. Over several, `D = sum (o_end - o_start) / R`.
//!
//! Uncertainty by the law of propagation (JCGM 100:2008, 5.2): what the spans share, such as the scale of one
//! tape or one drive, or the wear of one set of tires, adds up straight; what is of different causes adds in squares. A reading at which one span ends and the next begins counts once, so that its error nearly
//! cancels. First order in all of them: with 2 % of R the mean of `1/R` is off by 2e-4 of itself.

use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::Length;
use std::collections::BTreeMap;

/// A stretch of the vehicle's life with one reading ratio.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Span {
    /// Odometer at its start.
    pub odometer_start: Length,
    /// Odometer at its end.
    pub odometer_end: Length,
    /// Standard uncertainty of the reading at its start: a resolution `r`, rounded down, gives `r / sqrt(12)`.
    pub u_start: Length,
    /// Standard uncertainty of the reading at its end.
    pub u_end: Length,
    /// Natural logarithm of the reading ratio; no unit.
    pub ln_ratio: f64,
    /// The part of its standard uncertainty that all spans with the same `source` share; no unit. Negative where
    /// it acts the other way than in other spans.
    pub u_ln_ratio_shared: f64,
    /// What the shared part comes from, such as the number of an estimate.
    pub source: u64,
    /// The part of its standard uncertainty from the wear of its tires, which all spans on the same tires share; no unit.
    pub u_ln_ratio_wear: f64,
    /// Which tires, such as the number of the entry with which they were fitted.
    pub tires: u64,
}

impl Span {
    fn true_m_per_indicated_m(&self) -> f64 {
        (-self.ln_ratio).exp()
    }

    fn true_distance_m(&self) -> f64 {
        (self.odometer_end - self.odometer_start).m() * self.true_m_per_indicated_m()
    }

    fn problem(&self, number: usize) -> Option<Problem> {
        let numbers = [self.ln_ratio, self.u_ln_ratio_shared, self.u_ln_ratio_wear];
        let lengths = [self.odometer_start.m(), self.odometer_end.m(), self.u_start.m(), self.u_end.m()];
        let problem = if !numbers.iter().chain(&lengths).all(|number| number.is_finite()) {
            Problem::error("true distance", "numbers", "something that is none").hint("Leave the span out.")
        } else if self.odometer_end < self.odometer_start {
            let found = format!("{} km after {} km", self.odometer_end.km(), self.odometer_start.km());
            Problem::error("true distance", "an odometer that does not run back", found)
                .hint("Where it rolled over or was replaced, end one span there and start another.")
        } else {
            return None;
        };
        Some(problem.in_part(format!("span {number}")))
    }
}

/// True distance over all spans, which follow each other in time.
pub fn true_distance(spans: &[Span]) -> Result<Measured<Length>, Problem> {
    if let Some(problem) = spans.iter().enumerate().find_map(|(index, span)| span.problem(index + 1)) {
        return Err(problem);
    }
    let distance_m: f64 = spans.iter().map(Span::true_distance_m).sum();
    let shared_m2 = variance_m2(spans, |span| (span.source, span.u_ln_ratio_shared));
    let wear_m2 = variance_m2(spans, |span| (span.tires, span.u_ln_ratio_wear));
    let u_m = (shared_m2 + wear_m2 + reading_variance_m2(spans)).sqrt();
    Ok(Measured::symmetric(Length::from_m(distance_m), Length::from_m(u_m), f64::INFINITY))
}

/// What a cause contributes, in m²: straight over the spans that share it, in squares over the others.
fn variance_m2(spans: &[Span], cause: impl Fn(&Span) -> (u64, f64)) -> f64 {
    let mut shared_m: BTreeMap<u64, f64> = BTreeMap::new();
    for span in spans {
        let (shared_by, u) = cause(span);
        *shared_m.entry(shared_by).or_default() += span.true_distance_m() * u;
    }
    shared_m.values().map(|shared_m| shared_m * shared_m).sum()
}

/// What the readings contribute, in m²; a reading shared by two spans acts through the difference of their
/// ratios.
fn reading_variance_m2(spans: &[Span]) -> f64 {
    let mut variance_m2 = 0.0;
    for (index, span) in spans.iter().enumerate() {
        let factor = span.true_m_per_indicated_m();
        let before = index.checked_sub(1).map(|index| &spans[index]);
        let joined = before.filter(|before| before.odometer_end == span.odometer_start);
        let at_start = factor - joined.map_or(0.0, Span::true_m_per_indicated_m);
        variance_m2 += (at_start * span.u_start.m()).powi(2);
        let goes_on = spans.get(index + 1).is_some_and(|next| next.odometer_start == span.odometer_end);
        if !goes_on {
            variance_m2 += (factor * span.u_end.m()).powi(2);
        }
    }
    variance_m2
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand_chacha::ChaCha8Rng;
    use rand_distr::{Distribution, StandardNormal};

    fn span(start_mi: f64, end_mi: f64, ratio: f64, u_shared: f64, u_own: f64) -> Span {
        Span {
            odometer_start: Length::from_mi(start_mi),
            odometer_end: Length::from_mi(end_mi),
            u_start: Length::from_mi(0.0),
            u_end: Length::from_mi(0.0),
            ln_ratio: ratio.ln(),
            u_ln_ratio_shared: u_shared,
            u_ln_ratio_wear: u_own,
            source: 1,
            // Each on tires of its own, unless said.
            tires: start_mi as u64,
        }
    }

    #[track_caller]
    fn check(spans: &[Span], value_mi: f64, u_mi: f64) {
        let found = true_distance(spans).unwrap();
        assert!((found.value.mi() - value_mi).abs() < 1e-9 * value_mi.max(1.0), "{}", found.value.mi());
        assert!((found.standard_uncertainty.mi() - u_mi).abs() < 1e-9, "{}", found.standard_uncertainty.mi());
    }

    #[test]
    fn sums_by_hand() {
        // 1000 mi read 4 % slow are 1041.67; then 2080 read 4 % fast are 2000.
        check(&[span(0.0, 960.0, 0.96, 0.0, 0.0), span(960.0, 3040.0, 1.04, 0.0, 0.0)], 3000.0, 0.0);
        // Shared parts add straight: 1 % of 3000. Own parts in squares: 1 % of hypot(1000, 2000).
        check(&[span(0.0, 960.0, 0.96, 0.01, 0.0), span(960.0, 3040.0, 1.04, 0.01, 0.0)], 3000.0, 30.0);
        let own = 0.01 * f64::hypot(1000.0, 2000.0);
        check(&[span(0.0, 960.0, 0.96, 0.0, 0.01), span(960.0, 3040.0, 1.04, 0.0, 0.01)], 3000.0, own);
        // On one set of tires the wear adds straight as well.
        let worn =
            [span(0.0, 960.0, 0.96, 0.0, 0.01), Span { tires: 0, ..span(960.0, 3040.0, 1.04, 0.0, 0.01) }];
        check(&worn, 3000.0, 30.0);
        // Shared the other way round: 1 % of the difference.
        check(&[span(0.0, 960.0, 0.96, 0.01, 0.0), span(960.0, 3040.0, 1.04, -0.01, 0.0)], 3000.0, 10.0);
        // Of two sources: as if each had its own.
        let other = Span { source: 2, ..span(960.0, 3040.0, 1.04, 0.01, 0.0) };
        check(&[span(0.0, 960.0, 0.96, 0.01, 0.0), other], 3000.0, own);
        check(&[], 0.0, 0.0);
    }

    #[test]
    fn a_reading_between_two_spans_counts_once() {
        let read = |span: Span| Span { u_start: Length::from_mi(0.3), u_end: Length::from_mi(0.3), ..span };
        let whole = [read(span(0.0, 2000.0, 1.0, 0.0, 0.0))];
        let cut = [read(span(0.0, 700.0, 1.0, 0.0, 0.0)), read(span(700.0, 2000.0, 1.0, 0.0, 0.0))];
        check(&whole, 2000.0, 0.3 * 2.0_f64.sqrt());
        check(&cut, 2000.0, 0.3 * 2.0_f64.sqrt());
        // A new odometer: four readings.
        let replaced = [read(span(0.0, 700.0, 1.0, 0.0, 0.0)), read(span(0.0, 1300.0, 1.0, 0.0, 0.0))];
        check(&replaced, 2000.0, 0.6);
    }

    #[test]
    fn agrees_with_simulation() {
        const DRAWS: usize = 100_000;
        let spans = [span(0.0, 5000.0, 0.96, 0.004, 0.006), span(5000.0, 9000.0, 1.03, 0.003, 0.01)];
        let spans =
            spans.map(|span| Span { u_start: Length::from_mi(20.0), u_end: Length::from_mi(20.0), ..span });
        let found = true_distance(&spans).unwrap();
        let mut chance = ChaCha8Rng::seed_from_u64(8);
        let mut draw = || -> f64 { StandardNormal.sample(&mut chance) };
        let drawn: Vec<f64> = (0..DRAWS).map(|_| drawn_distance_mi(&spans, &mut draw)).collect();
        let mean = drawn.iter().sum::<f64>() / DRAWS as f64;
        let sd = (drawn.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / DRAWS as f64).sqrt();
        // Five standard errors of a simulated standard deviation, sd / sqrt(2 n) each, and the second order
        // left out.
        assert!(
            (sd / found.standard_uncertainty.mi() - 1.0).abs() < 5.0 / (2.0 * DRAWS as f64).sqrt() + 2e-4
        );
        assert!((mean / found.value.mi() - 1.0).abs() < 2e-4, "{mean}");
    }

    /// One drawing: readings err once each, the shared part is one number for both spans.
    fn drawn_distance_mi(spans: &[Span; 2], draw: &mut impl FnMut() -> f64) -> f64 {
        let [first, second] = spans;
        let mut reading = |length: Length| length.mi() + first.u_end.mi() * draw();
        let readings = [first.odometer_start, first.odometer_end, second.odometer_end].map(&mut reading);
        let shared = draw();
        let mut ratio = |span: &Span| {
            (span.ln_ratio + span.u_ln_ratio_shared * shared + span.u_ln_ratio_wear * draw()).exp()
        };
        (readings[1] - readings[0]) / ratio(first) + (readings[2] - readings[1]) / ratio(second)
    }

    #[test]
    fn an_odometer_that_runs_back_is_a_problem() {
        let problem =
            true_distance(&[span(0.0, 9.0, 1.0, 0.0, 0.0), span(9.0, 3.0, 1.0, 0.0, 0.0)]).unwrap_err();
        assert!(problem.to_string().contains("span 2") && problem.hint.contains("rolled over"), "{problem}");
        assert!(true_distance(&[span(0.0, f64::NAN, 1.0, 0.0, 0.0)]).is_err());
    }
}
