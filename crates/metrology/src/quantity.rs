//! A newtype per quantity, built and read by the name of a unit.
//!
//! Inside, every quantity is an `f64` in SI base units; the raw number is private. Miles, inches and mph exist
//! only in the names of constructors and readers.
//!
//! Factors: the international mile is 1609.344 m, the inch 25.4 mm, the knot 1.852 km/h, all exact
//! (NIST SP 811, appendix B.8). The US survey mile is never used.
//!
//! ```
//! use metrology::quantity::{Length, Speed};
//! assert_eq!(Length::from_mi(1.0).m(), 1609.344);
//! assert!((Speed::from_mi_per_h(60.0).km_per_h() - 96.56064).abs() < 1e-12);
//! ```

/// Metres in one international mile, exact.
pub const METRES_PER_MILE: f64 = 1609.344;

/// What every quantity has in common, so that a measured value can be made of any of them.
pub trait Quantity: Copy + PartialEq + PartialOrd + core::fmt::Debug {
    /// Builds the quantity from its value in SI units.
    fn from_si(value: f64) -> Self;
    /// The value in SI units.
    fn si(self) -> f64;
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident { $($(#[$unit_doc:meta])* $from:ident / $to:ident = $factor:expr;)+ }) => {
        $(#[$doc])*
        #[derive(Copy, Clone, PartialEq, PartialOrd, Debug, Default)]
        pub struct $name(f64);

        impl Quantity for $name {
            fn from_si(value: f64) -> Self {
                Self(value)
            }
            fn si(self) -> f64 {
                self.0
            }
        }

        impl $name {
            $(
                $(#[$unit_doc])*
                pub fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }
                $(#[$unit_doc])*
                pub fn $to(self) -> f64 {
                    self.0 / $factor
                }
            )+
        }

        impl core::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl core::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl core::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl core::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl core::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}

quantity! {
    /// A length or distance.
    Length {
        /// Metres.
        from_m / m = 1.0;
        /// Millimetres.
        from_mm / mm = 1e-3;
        /// Kilometres.
        from_km / km = 1e3;
        /// Inches of 25.4 mm.
        from_in / inches = 0.0254;
        /// Feet of 0.3048 m.
        from_ft / ft = 0.3048;
        /// International miles.
        from_mi / mi = METRES_PER_MILE;
    }
}

quantity! {
    /// A speed.
    Speed {
        /// Metres per second.
        from_m_per_s / m_per_s = 1.0;
        /// Kilometres per hour.
        from_km_per_h / km_per_h = 1.0 / 3.6;
        /// Miles per hour.
        from_mi_per_h / mi_per_h = METRES_PER_MILE / 3600.0;
        /// Knots of 1.852 km/h.
        from_knots / knots = 1852.0 / 3600.0;
    }
}

quantity! {
    /// A span of time.
    Duration {
        /// Seconds.
        from_s / s = 1.0;
        /// Minutes.
        from_min / min = 60.0;
        /// Hours.
        from_h / h = 3600.0;
    }
}

quantity! {
    /// A point on a clock: seconds since 1970-01-01T00:00:00Z, or since the start of a log that has no date.
    ///
    /// At 1.8e9 s an `f64` resolves 0.24 µs, far below any clock used here.
    Instant {
        /// Seconds since the epoch of the clock.
        from_s / s = 1.0;
    }
}

quantity! {
    /// A plane angle.
    Angle {
        /// Radians.
        from_rad / rad = 1.0;
        /// Degrees.
        from_deg / deg = core::f64::consts::PI / 180.0;
    }
}

quantity! {
    /// Events per second.
    Frequency {
        /// Hertz.
        from_hz / hz = 1.0;
        /// Events per minute.
        from_per_min / per_min = 1.0 / 60.0;
    }
}

quantity! {
    /// A pressure above the surrounding air.
    Pressure {
        /// Pascal.
        from_pa / pa = 1.0;
        /// Kilopascal.
        from_kpa / kpa = 1e3;
        /// Bar.
        from_bar / bar = 1e5;
        /// Pound-force per square inch (NIST SP 811: 6894.757 Pa).
        from_psi / psi = 6894.757293168;
    }
}

quantity! {
    /// A volume. One US gallon is 231 cubic inches (NIST Handbook 44, appendix C).
    Volume {
        /// Cubic metres.
        from_m3 / m3 = 1.0;
        /// Litres.
        from_l / l = 1e-3;
        /// US gallons.
        from_us_gal / us_gal = 231.0 * 0.0254 * 0.0254 * 0.0254;
    }
}

quantity! {
    /// Events per length: revolutions per mile, counts per mile.
    PerLength {
        /// Per metre.
        from_per_m / per_m = 1.0;
        /// Per kilometre.
        from_per_km / per_km = 1e-3;
        /// Per international mile.
        from_per_mi / per_mi = 1.0 / METRES_PER_MILE;
    }
}

quantity! {
    /// A number without a unit.
    Ratio {
        /// The plain number.
        from_plain / plain = 1.0;
        /// Per cent.
        from_percent / percent = 0.01;
    }
}

impl core::ops::Div<Duration> for Length {
    type Output = Speed;
    fn div(self, time: Duration) -> Speed {
        Speed(self.0 / time.0)
    }
}
impl core::ops::Mul<Duration> for Speed {
    type Output = Length;
    fn mul(self, time: Duration) -> Length {
        Length(self.0 * time.0)
    }
}
impl core::ops::Mul<PerLength> for Speed {
    type Output = Frequency;
    fn mul(self, events: PerLength) -> Frequency {
        Frequency(self.0 * events.0)
    }
}
impl core::ops::Mul<PerLength> for Length {
    type Output = f64;
    fn mul(self, events: PerLength) -> f64 {
        self.0 * events.0
    }
}
impl core::ops::Mul<PerLength> for f64 {
    type Output = PerLength;
    fn mul(self, events: PerLength) -> PerLength {
        PerLength(self * events.0)
    }
}
impl Instant {
    /// The span from `earlier` to here; negative when `earlier` is later.
    pub fn since(self, earlier: Instant) -> Duration {
        Duration(self.0 - earlier.0)
    }
    /// The instant a span later.
    pub fn after(self, span: Duration) -> Instant {
        Instant(self.0 + span.0)
    }
}
