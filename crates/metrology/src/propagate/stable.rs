//! Batches of draws, and when there are enough (JCGM 101:2008, 7.9.4).

use crate::order::quantile;

/// What one batch says: mean, standard deviation, both ends of the 95 % interval.
type Summary = [f64; 4];

/// All draws so far, with what each batch said.
#[derive(Default)]
pub(super) struct Batches {
    values: Vec<f64>,
    summaries: Vec<Summary>,
    /// Mean and sum of squares about it of all draws, merged batch by batch.
    mean: f64,
    squares: f64,
}

impl Batches {
    pub fn add(&mut self, mut batch: Vec<f64>) {
        let count = batch.len() as f64;
        let mean = batch.iter().sum::<f64>() / count;
        let squares: f64 = batch.iter().map(|value| (value - mean).powi(2)).sum();
        // Chan, Golub and LeVeque's merging of two means and sums of squares (from memory).
        let (before, shift) = (self.values.len() as f64, mean - self.mean);
        self.mean += shift * count / (before + count);
        self.squares += squares + shift * shift * before * count / (before + count);
        self.values.extend_from_slice(&batch);
        let deviation = (squares / (count - 1.0)).sqrt();
        let low = quantile(&mut batch, super::TAILS.0);
        self.summaries.push([mean, deviation, low, quantile(&mut batch, super::TAILS.1)]);
    }

    pub fn count(&self) -> usize {
        self.summaries.len()
    }

    pub fn standard_deviation(&self) -> f64 {
        (self.squares / (self.values.len() as f64 - 1.0)).sqrt()
    }

    /// Half a unit in the last of `digits` significant digits of the standard deviation.
    pub fn tolerance(&self, digits: i32) -> f64 {
        let deviation = self.standard_deviation();
        if deviation > 0.0 { 0.5 * 10f64.powi(deviation.log10().floor() as i32 + 1 - digits) } else { 0.0 }
    }

    /// Whether twice the standard deviation of the average over the batches is within the limit, for all four
    /// figures.
    pub fn is_settled(&self, limit: f64) -> bool {
        self.count() >= super::LEAST_BATCHES && (0..4).all(|figure| 2.0 * self.uncertainty(figure) <= limit)
    }

    /// Standard deviation of the ends of the interval; the larger of both.
    pub fn end_uncertainty(&self) -> f64 {
        self.uncertainty(2).max(self.uncertainty(3))
    }

    /// Standard deviation of the average over the batches.
    fn uncertainty(&self, figure: usize) -> f64 {
        let count = self.count() as f64;
        let of = |summary: &Summary| summary[figure];
        let mean = self.summaries.iter().map(of).sum::<f64>() / count;
        let squares: f64 = self.summaries.iter().map(|summary| (of(summary) - mean).powi(2)).sum();
        (squares / (count * (count - 1.0))).sqrt()
    }

    pub fn finish(self) -> (f64, f64, Vec<f64>) {
        (self.mean, self.standard_deviation(), self.values)
    }
}
