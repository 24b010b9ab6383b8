//! Where to hold a needle that does not show the truth.

use metrology::quantity::Ratio;

/// What a product of floating point may lack of a whole number, so that 55 is not rounded down to 54.
const NEARLY: f64 = 1e-9;

/// Where to hold the needle so that a limit is kept: by the low end of the interval, and rounded down. What is shown is true
/// times the ratio of shown to true.
///
/// ```
/// use metrology::quantity::Ratio;
/// use truing::report::words::dial::hold_at;
/// // 55 x 0.9544 = 52.49, and 60 x 0.95 = 57 whatever the last bit of it is
/// assert_eq!([hold_at(55.0, Ratio::from_plain(0.9544)), hold_at(60.0, Ratio::from_plain(0.95))], [52.0, 57.0]);
/// ```
pub fn hold_at(limit: f64, low_95: Ratio) -> f64 {
    (limit * low_95.plain() + NEARLY).floor().max(0.0)
}
