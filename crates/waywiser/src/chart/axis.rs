//! An axis: a range that ends on round numbers, its ticks in words, and the way from a value to a place.

use super::wording::width;

/// Spans smaller than this part of the values cannot be told apart on a drawing and are widened.
const LEAST_RELATIVE_SPAN: f64 = 1e-9;
/// Below this a number is drawn as zero; its steps would leave the range of numbers.
const LEAST_DRAWN: f64 = 1e-100;
/// How far a single value is surrounded, as a part of itself.
const AROUND_A_SINGLE_VALUE: f64 = 0.05;
/// Least free room between two tick labels, picture units.
const BETWEEN_LABELS: f64 = 8.0;
/// From here on a plain decimal is too long to read.
const LARGEST_PLAIN: f64 = 1e7;
/// Powers of ten below which a plain decimal is too long to read.
const SMALLEST_PLAIN_POWER: i32 = -6;

/// A range on round numbers, laid over a length of the picture.
#[derive(Clone, Debug)]
pub struct Axis {
    first: f64,
    step: f64,
    power: i32,
    intervals: usize,
    from: f64,
    to: f64,
}

impl Axis {
    /// The axis that holds all values, with about so many intervals.
    pub fn over(values: impl Iterator<Item = f64>, wanted: usize) -> Self {
        let (low, high) = spread(values);
        let rough = (high - low) / wanted.max(1) as f64;
        let power = rough.log10().floor() as i32;
        let leading = rough / 10f64.powi(power);
        let factor = [1.0, 2.0, 5.0].into_iter().find(|factor| leading <= factor * 1.000_001).unwrap_or(10.0);
        let power = if factor == 10.0 { power + 1 } else { power };
        let step = if factor == 10.0 { 10f64.powi(power) } else { factor * 10f64.powi(power) };
        let first = (low / step + 1e-6).floor();
        let last = (high / step - 1e-6).ceil().max(first + 1.0);
        Self { first, step, power, intervals: (last - first) as usize, from: 0.0, to: 1.0 }
    }

    /// The same axis laid from one place to another.
    pub fn laid(mut self, from: f64, to: f64) -> Self {
        (self.from, self.to) = (from, to);
        self
    }

    /// An axis along a width, with as many ticks as have room for their words.
    pub fn along(values: &[f64], from: f64, to: f64) -> Self {
        let laid = |wanted| Self::over(values.iter().copied(), wanted).laid(from, to);
        (2..=6).rev().map(laid).find(Self::words_fit).unwrap_or_else(|| laid(1))
    }

    fn words_fit(&self) -> bool {
        let room = (self.to - self.from).abs() / self.intervals as f64;
        self.ticks().iter().all(|(_, words)| width(words) + BETWEEN_LABELS <= room)
    }

    /// Where a value lies.
    pub fn at(&self, value: f64) -> f64 {
        let part = (value / self.step - self.first) / self.intervals as f64;
        self.from + part * (self.to - self.from)
    }

    /// Places of the ticks and their words.
    pub fn ticks(&self) -> Vec<(f64, String)> {
        let values = (0..=self.intervals).map(|index| (self.first + index as f64) * self.step);
        values.map(|value| (self.at(value), self.words(value))).collect()
    }

    /// The widest of the words.
    pub fn widest(&self) -> f64 {
        self.ticks().iter().map(|(_, words)| width(words)).fold(0.0, f64::max)
    }

    /// The ends in picture units.
    pub fn ends(&self) -> (f64, f64) {
        (self.from, self.to)
    }

    fn words(&self, value: f64) -> String {
        let largest = self.step * self.first.abs().max((self.first + self.intervals as f64).abs());
        let plain = largest < LARGEST_PLAIN && self.power >= SMALLEST_PLAIN_POWER;
        let digits = (largest.log10().floor() as i32 - self.power).clamp(0, 9) as usize;
        let text = if value == 0.0 {
            "0".to_string()
        } else if plain {
            format!("{value:.*}", usize::try_from(-self.power).unwrap_or(0))
        } else {
            format!("{value:.digits$e}")
        };
        text.replace('-', "\u{2212}")
    }
}

fn spread(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) =
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    let size = low.abs().max(high.abs());
    if low > high {
        (0.0, 1.0)
    } else if size < LEAST_DRAWN {
        (-1.0, 1.0)
    } else if high - low <= LEAST_RELATIVE_SPAN * size {
        (low - AROUND_A_SINGLE_VALUE * size, high + AROUND_A_SINGLE_VALUE * size)
    } else {
        (low, high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(values: &[f64], words: &str) {
        let axis = Axis::over(values.iter().copied(), 5).laid(0.0, 100.0);
        let ticks: Vec<String> = axis.ticks().into_iter().map(|(_, words)| words).collect();
        assert_eq!(ticks.join(" "), words, "of {values:?}");
        for value in values {
            assert!((-1e-3..=100.001).contains(&axis.at(*value)), "{value} outside its axis");
        }
    }

    #[test]
    fn ticks_are_round_and_hold_all_values() {
        check(&[25.0, 70.0], "20 30 40 50 60 70");
        check(&[0.0, 1.0], "0.0 0.2 0.4 0.6 0.8 1.0".replace("0.0 ", "0 ").as_str());
        check(&[-3.1, 0.2], "\u{2212}4 \u{2212}3 \u{2212}2 \u{2212}1 0 1");
        check(&[655.0, 677.0], "655 660 665 670 675 680");
        check(&[], "0 0.2 0.4 0.6 0.8 1.0");
        check(&[0.0], "\u{2212}1.0 \u{2212}0.5 0 0.5 1.0");
        check(&[100.0], "94 96 98 100 102 104 106");
        check(&[2e9, 4e9], "2.0e9 2.5e9 3.0e9 3.5e9 4.0e9");
        check(
            &[1e-30, 2e-30],
            "1.0e\u{2212}30 1.2e\u{2212}30 1.4e\u{2212}30 1.6e\u{2212}30 1.8e\u{2212}30 2.0e\u{2212}30",
        );
    }
}
