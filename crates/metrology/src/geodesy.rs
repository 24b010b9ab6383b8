//! Distances on the WGS 84 ellipsoid, short ones fast, and plane coordinates along a path.
//!
//! **Problem.** Positions come as latitude and longitude many times a second; wanted are the lengths between them to
//! far better than 0.01 %. A sphere is wrong by up to 0.56 % and is not used.
//!
//! **Symbols.** `M`, `N` radii of curvature in the meridian and in the prime vertical at the middle latitude
//! `phi`; `dphi`, `dlambda` differences of latitude and longitude. With the half-angle form of the haversine for the
//! chord `c` of a step,
//! `c^2 = (M dphi)^2 (1 - dphi^2/12) (1 - dlambda^2/4) + (N cos(phi) dlambda)^2 (1 - dlambda^2/12)`,
//! and the length is `c (1 + c^2 / 24 M N)`. What is left out is of the order of the flattening times `(c/M)^2`.
//! Steps over [`LONGEST_LOCAL_STEP_M`] or over [`WIDEST_LOCAL_STEP_RAD`] of longitude (near the poles) go to the
//! general solution of Karney instead.
//!
//! **Accuracy.** Largest relative error against that solution over latitudes 0 to 89 degrees and all directions
//! (`cargo test -p metrology --test geodesy -- --nocapture` prints it):
//!
//! | step | relative error |
//! |---|---|
//! | 1 m | 2.0e-9 (coordinates) |
//! | 10 m | 1.7e-10 (coordinates) |
//! | 30 m | 5.8e-11 |
//! | 100 m | 1.8e-11 |
//! | 1 km | 2.8e-11 |
//! | 3 km | 6.3e-10 |
//! | 5 km | 6.9e-10 |
//!
//! Below a metre the error is that of the coordinates, which a double holds to 1 to 3 nm. A [`Path`] adds one step
//! to the next, so its lengths are as good everywhere.
//!
//! **Sources.** WGS 84 constants: NIMA TR8350.2, third edition, table 3.1. General solution: C. F. F. Karney,
//! Algorithms for geodesics, J. Geodesy 87 (2013), 43-55, by `geographiclib-rs`.
//!
//! ```
//! use metrology::geodesy::{Position, distance};
//! let from = Position::from_deg(38.0, -97.0);
//! let to = Position::from_deg(38.0144957, -97.0);
//! // 1608.973615 m by GeographicLib
//! assert!((distance(from, to).m() - 1608.973615).abs() < 1e-6);
//! ```

use crate::quantity::{Angle, Length};
use core::f64::consts::{PI, TAU};
use geographiclib_rs::{Geodesic, InverseGeodesic};
use std::sync::OnceLock;

/// Equatorial radius of WGS 84.
const EQUATORIAL_RADIUS_M: f64 = 6_378_137.0;
/// Flattening of WGS 84.
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Square of the first eccentricity.
const ECCENTRICITY_SQUARED: f64 = FLATTENING * (2.0 - FLATTENING);
/// Longer steps use the general solution; to here the local formula keeps the error of the table.
pub const LONGEST_LOCAL_STEP_M: f64 = 5_000.0;
/// Wider steps in longitude use the general solution: the series in `dlambda` stops after its first term, and the
/// next one, `dlambda^4 / 360`, is 4e-10 here.
pub const WIDEST_LOCAL_STEP_RAD: f64 = 0.02;

/// A place on the ellipsoid.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Position {
    /// Geodetic latitude, north positive.
    pub latitude: Angle,
    /// Longitude, east positive; any number of whole turns may be added.
    pub longitude: Angle,
}

impl Position {
    /// A position from degrees.
    pub fn from_deg(latitude: f64, longitude: f64) -> Self {
        Self { latitude: Angle::from_deg(latitude), longitude: Angle::from_deg(longitude) }
    }
}

/// Length of the shortest way on the ellipsoid.
pub fn distance(from: Position, to: Position) -> Length {
    let step = local_step(from, to);
    if step.is_local() {
        return Length::from_m(step.length_m());
    }
    let length_m: f64 =
        general().inverse(from.latitude.deg(), from.longitude.deg(), to.latitude.deg(), to.longitude.deg());
    Length::from_m(length_m)
}

/// Length and direction of a step as the components of its middle.
#[derive(Copy, Clone)]
struct Displacement {
    north_m: f64,
    east_m: f64,
    dphi: f64,
    dlambda: f64,
    radii_product_m2: f64,
}

fn local_step(from: Position, to: Position) -> Displacement {
    let (from_phi, to_phi) = (from.latitude.rad(), to.latitude.rad());
    let dphi = to_phi - from_phi;
    let dlambda = wrap(to.longitude.rad() - from.longitude.rad());
    let (sin_phi, cos_phi) = (0.5 * (from_phi + to_phi)).sin_cos();
    let w_squared = 1.0 - ECCENTRICITY_SQUARED * sin_phi * sin_phi;
    let prime_vertical_m = EQUATORIAL_RADIUS_M / w_squared.sqrt();
    let meridian_m = prime_vertical_m * (1.0 - ECCENTRICITY_SQUARED) / w_squared;
    Displacement {
        north_m: meridian_m * dphi,
        east_m: prime_vertical_m * cos_phi * dlambda,
        dphi,
        dlambda,
        radii_product_m2: meridian_m * prime_vertical_m,
    }
}

impl Displacement {
    fn is_local(&self) -> bool {
        let square_m2 = self.north_m * self.north_m + self.east_m * self.east_m;
        self.dlambda.abs() <= WIDEST_LOCAL_STEP_RAD
            && square_m2 <= LONGEST_LOCAL_STEP_M * LONGEST_LOCAL_STEP_M
    }

    fn length_m(&self) -> f64 {
        let (dphi2, dlambda2) = (self.dphi * self.dphi, self.dlambda * self.dlambda);
        let north2 = self.north_m * self.north_m * (1.0 - dphi2 / 12.0) * (1.0 - dlambda2 / 4.0);
        let east2 = self.east_m * self.east_m * (1.0 - dlambda2 / 12.0);
        let chord2 = north2 + east2;
        chord2.sqrt() * (1.0 + chord2 / (24.0 * self.radii_product_m2))
    }
}

/// A difference of longitudes within half a turn either way.
fn wrap(angle_rad: f64) -> f64 {
    if angle_rad.abs() <= PI { angle_rad } else { angle_rad - TAU * (angle_rad / TAU).round() }
}

fn general() -> &'static Geodesic {
    static GEODESIC: OnceLock<Geodesic> = OnceLock::new();
    GEODESIC.get_or_init(Geodesic::wgs84)
}

/// Distance, and azimuths clockwise from north at both ends in degrees, by the general solution.
fn general_inverse(from: Position, to: Position) -> (f64, f64, f64) {
    let (length_m, azimuth_1, azimuth_2, _): (f64, f64, f64, f64) =
        general().inverse(from.latitude.deg(), from.longitude.deg(), to.latitude.deg(), to.longitude.deg());
    (length_m, azimuth_1, azimuth_2)
}

/// Plane coordinates of successive positions, laid end to end: each step keeps its length and its direction against
/// north in its middle.
///
/// The coordinates of a place depend on the way that led there, so a closed way does not close in the plane; use it
/// where neighbours are compared with neighbours, as a smoother does.
#[derive(Copy, Clone, Debug)]
pub struct Path {
    last: Position,
    east_m: f64,
    north_m: f64,
}

impl Path {
    /// A path that starts at (0, 0).
    pub fn new(start: Position) -> Self {
        Self { last: start, east_m: 0.0, north_m: 0.0 }
    }

    /// Goes on to a position and gives its east and north coordinates.
    pub fn go_to(&mut self, position: Position) -> (Length, Length) {
        let (east_m, north_m) = step_components(self.last, position);
        self.last = position;
        self.east_m += east_m;
        self.north_m += north_m;
        (Length::from_m(self.east_m), Length::from_m(self.north_m))
    }
}

/// East and north parts of the way, in metres, with the exact length.
fn step_components(from: Position, to: Position) -> (f64, f64) {
    let step = local_step(from, to);
    if step.is_local() {
        let flat_m = step.north_m.hypot(step.east_m);
        // The corrections of the length are spread over both parts.
        let scale = if flat_m > 0.0 { step.length_m() / flat_m } else { 1.0 };
        return (step.east_m * scale, step.north_m * scale);
    }
    let (length_m, azimuth_1, azimuth_2) = general_inverse(from, to);
    let turn = wrap((azimuth_2 - azimuth_1).to_radians());
    let (sin, cos) = (azimuth_1.to_radians() + 0.5 * turn).sin_cos();
    (length_m * sin, length_m * cos)
}
