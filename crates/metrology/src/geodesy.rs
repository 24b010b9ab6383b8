//! provisional
#![allow(missing_docs)]
use crate::quantity::*;
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Position { pub latitude: Angle, pub longitude: Angle }
#[derive(Copy, Clone, Debug)]
pub struct LocalFrame { lat: f64, lon: f64, m: f64, }
impl LocalFrame {
    pub fn new(p: Position) -> Self { Self { lat: p.latitude.rad(), lon: p.longitude.rad(), m: 0.0 } }
    pub fn to_east_north(&self, p: Position) -> (Length, Length) {
        use geographiclib_rs::{Geodesic, InverseGeodesic};
        let g = Geodesic::wgs84();
        let (s, a, _, _) = g.inverse(self.lat.to_degrees(), self.lon.to_degrees(), p.latitude.deg(), p.longitude.deg());
        let a: f64 = a; let s: f64 = s; let _ = self.m;
        (Length::from_m(s * a.to_radians().sin()), Length::from_m(s * a.to_radians().cos()))
    }
}
