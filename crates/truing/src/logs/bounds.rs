//! Which numbers can be what they say they are. Cleaning is not done here: only what no log can mean is refused.

/// Largest latitude either way.
pub(crate) const LATITUDE_DEG: f64 = 90.0;
/// Largest longitude either way. GPX ends at 180; some loggers count to 360 eastwards.
pub(crate) const LONGITUDE_DEG: f64 = 360.0;
/// Above this no wheeled vehicle goes; receivers keep the same limit (515 m/s by export rules), from memory.
const FASTEST_M_PER_S: f64 = 500.0;
/// Deepest and highest height any receiver reports on or near the earth.
const HEIGHTS_M: core::ops::RangeInclusive<f64> = -12_000.0..=100_000.0;
/// Receivers report 99.99 for "no fix"; what is above this is no dilution of precision.
const LARGEST_HDOP: f64 = 1000.0;

/// A finite number.
pub(crate) fn number(text: &str) -> Option<f64> {
    fast_float2::parse::<f64, _>(text).ok().filter(|value| value.is_finite())
}

pub(crate) fn is_speed(m_per_s: f64) -> bool {
    (0.0..=FASTEST_M_PER_S).contains(&m_per_s)
}

pub(crate) fn is_elevation(m: f64) -> bool {
    HEIGHTS_M.contains(&m)
}

pub(crate) fn is_course(deg: f64) -> bool {
    (0.0..=360.0).contains(&deg)
}

pub(crate) fn is_hdop(value: f64) -> bool {
    (0.0..=LARGEST_HDOP).contains(&value)
}

pub(crate) fn speed_m_per_s(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_speed(value))
}

pub(crate) fn elevation_m(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_elevation(value))
}

pub(crate) fn course_deg(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_course(value))
}

pub(crate) fn hdop(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_hdop(value))
}
