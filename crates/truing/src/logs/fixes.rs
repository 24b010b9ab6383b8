//! The fixes of a track, each in no more memory than a row of its log.
//!
//! A long log is read as fast as memory can be had: half the size is a quarter of the time.

use super::Fix;
use super::bounds::{MOST_KEPT, keep_within};
use metrology::quantity::{Angle, Instant, Length, Quantity, Speed};

/// Fixes in file order. A value that is no number counts as one the log did not say.
#[derive(Clone, Debug, Default)]
pub struct Fixes {
    packed: Vec<Packed>,
    /// Those that were too many.
    left_out: usize,
}

/// A fix of 64 bytes, in SI units; what was not said is no number.
#[derive(Copy, Clone, Debug)]
struct Packed {
    time: f64,
    latitude: f64,
    longitude: f64,
    elevation: f64,
    speed: f64,
    course: f64,
    hdop: f64,
    line: u32,
    starts_segment: bool,
}

fn pack<Q: Quantity>(value: Option<Q>) -> f64 {
    value.map_or(f64::NAN, |value| value.si())
}

fn said(value: f64) -> Option<f64> {
    Some(value).filter(|value| !value.is_nan())
}

impl From<Fix> for Packed {
    fn from(fix: Fix) -> Self {
        Self {
            time: pack(fix.time),
            latitude: pack(fix.latitude),
            longitude: pack(fix.longitude),
            elevation: pack(fix.elevation),
            speed: pack(fix.speed),
            course: pack(fix.course),
            hdop: fix.hdop.unwrap_or(f64::NAN),
            // Lines beyond are unknown.
            line: u32::try_from(fix.line).unwrap_or(0),
            starts_segment: fix.starts_segment,
        }
    }
}

impl From<Packed> for Fix {
    fn from(packed: Packed) -> Self {
        Self {
            line: packed.line as usize,
            time: said(packed.time).map(Instant::from_si),
            latitude: said(packed.latitude).map(Angle::from_si),
            longitude: said(packed.longitude).map(Angle::from_si),
            elevation: said(packed.elevation).map(Length::from_si),
            speed: said(packed.speed).map(Speed::from_si),
            course: said(packed.course).map(Angle::from_si),
            hdop: said(packed.hdop),
            starts_segment: packed.starts_segment,
        }
    }
}

impl Fixes {
    /// Puts a fix behind the others; beyond a whole day at a hundred a second it is only counted.
    pub fn push(&mut self, fix: Fix) {
        self.push_within(MOST_KEPT, fix);
    }

    fn push_within(&mut self, most: usize, fix: Fix) {
        if !keep_within(most, &mut self.packed, fix.into()) {
            self.left_out += 1;
        }
    }

    /// How many were too many to be kept.
    pub fn left_out(&self) -> usize {
        self.left_out
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.packed.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.packed.is_empty()
    }

    /// One of them, counted from 0.
    pub fn get(&self, index: usize) -> Option<Fix> {
        self.packed.get(index).copied().map(Fix::from)
    }

    /// All of them in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = Fix> + DoubleEndedIterator + Clone + use<'_> {
        self.packed.iter().copied().map(Fix::from)
    }

    /// Makes all times later by so many seconds.
    pub(super) fn later_by(&mut self, seconds: f64) {
        // What has no time is no number, and stays none.
        self.packed.iter_mut().for_each(|packed| packed.time += seconds);
    }

    /// Changes each fix in order.
    pub fn change_each(&mut self, mut change: impl FnMut(&mut Fix)) {
        self.packed.iter_mut().for_each(|packed| {
            let mut fix = Fix::from(*packed);
            change(&mut fix);
            *packed = fix.into();
        });
    }

    /// Changes each fix in order, and keeps those for which the change says so.
    pub fn retain_mut(&mut self, mut change: impl FnMut(&mut Fix) -> bool) {
        self.packed.retain_mut(|packed| {
            let mut fix = Fix::from(*packed);
            let kept = change(&mut fix);
            *packed = fix.into();
            kept
        });
    }
}

impl PartialEq for Fixes {
    fn eq(&self, other: &Self) -> bool {
        self.iter().eq(other.iter())
    }
}

impl FromIterator<Fix> for Fixes {
    fn from_iter<T: IntoIterator<Item = Fix>>(fixes: T) -> Self {
        Self { packed: fixes.into_iter().map(Packed::from).collect(), left_out: 0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn value() -> impl Strategy<Value = Option<f64>> {
        proptest::option::of(any::<f64>().prop_filter("a number", |value| !value.is_nan()))
    }

    proptest! {
        #[test]
        fn what_is_put_in_comes_out(values in [value(), value(), value(), value(), value(), value(), value()], line in any::<u32>(), starts_segment: bool) {
            let [time, latitude, longitude, elevation, speed, course, hdop] = values;
            let fix = Fix {
                line: line as usize,
                time: time.map(Instant::from_si),
                latitude: latitude.map(Angle::from_si),
                longitude: longitude.map(Angle::from_si),
                elevation: elevation.map(Length::from_si),
                speed: speed.map(Speed::from_si),
                course: course.map(Angle::from_si),
                hdop,
                starts_segment,
            };
            let fixes: Fixes = [fix, Fix::default()].into_iter().collect();
            prop_assert_eq!(fixes.iter().collect::<Vec<_>>(), [fix, Fix::default()]);
        }
    }

    #[test]
    fn each_fix_is_changed_in_order_and_none_is_lost() {
        let mut fixes: Fixes = [Fix::default(); 3].into_iter().collect();
        let mut line = 0;
        fixes.change_each(|fix| {
            line += 1;
            fix.line = line;
        });
        assert_eq!(fixes.iter().map(|fix| fix.line).collect::<Vec<_>>(), [1, 2, 3]);
    }

    #[test]
    fn too_many_are_counted() {
        let mut fixes = Fixes::default();
        (0..5).for_each(|line| fixes.push_within(3, Fix { line, ..Fix::default() }));
        assert_eq!((fixes.len(), fixes.left_out()), (3, 2));
    }

    #[test]
    fn a_fix_is_small() {
        assert_eq!(size_of::<Packed>(), 64);
    }
}
