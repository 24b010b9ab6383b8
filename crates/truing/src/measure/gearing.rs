//! Engine and shaft speeds at a road speed, from the revolutions per mile that were measured.
//!
//! `engine = speed x revolutions per length x axle x gear`. The handbook form with 336 and the outside diameter takes the
//! tire for a rigid hoop and is about 3 % low for radials; it is here in the tests only.
//!
//! ```
//! use metrology::{measured::Measured, quantity::{PerLength, Ratio, Speed}};
//! use truing::measure::gearing::Gearing;
//! // 680 x 3.73 = 2536.4 turns of the propeller shaft per mile; at 60 mph as many per minute.
//! let gearing = Gearing { shaft_turns: Measured::exact(PerLength::from_per_mi(680.0 * 3.73)) };
//! let engine = gearing.engine_speed(Speed::from_mi_per_h(60.0), Ratio::from_plain(1.0));
//! assert!((engine.value.per_min() - 2536.4).abs() < 1e-9);
//! ```

use metrology::measured::Measured;
use metrology::quantity::{Frequency, PerLength, Quantity, Ratio, Speed};

/// What turns the road into turns of the propeller shaft.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Gearing {
    /// Turns of the propeller shaft per length of road, the tires and the axle in them.
    pub shaft_turns: Measured<PerLength>,
}

/// The engine in one gear.
#[derive(Clone, Debug, PartialEq)]
pub struct InGear {
    /// Turns of the engine per turn of the propeller shaft.
    pub gear: Ratio,
    /// Engine speed at each road speed asked for.
    pub engine: Vec<(Speed, Measured<Frequency>)>,
}

impl Gearing {
    /// Engine speed at a true road speed in a gear with nothing slipping: a converter that is not locked adds a few per
    /// cent (from memory).
    pub fn engine_speed(&self, speed: Speed, gear: Ratio) -> Measured<Frequency> {
        scaled(&self.shaft_turns, gear.plain() * speed.m_per_s())
    }

    /// True road speed at an engine speed in a gear with nothing slipping.
    pub fn road_speed(&self, engine: Frequency, gear: Ratio) -> Measured<Speed> {
        let turns = self.shaft_turns.value.per_m() * gear.plain();
        let u = self.shaft_turns.relative_uncertainty().plain();
        Measured::from_log((engine.hz() / turns).ln(), u, self.shaft_turns.dof)
    }

    /// Engine speed in each gear at each speed.
    pub fn table(&self, gears: &[Ratio], speeds: &[Speed]) -> Vec<InGear> {
        let at = |gear: Ratio| speeds.iter().map(move |speed| (*speed, self.engine_speed(*speed, gear)));
        gears.iter().map(|gear| InGear { gear: *gear, engine: at(*gear).collect() }).collect()
    }
}

fn scaled<From: Quantity, To: Quantity>(of: &Measured<From>, factor: f64) -> Measured<To> {
    let turn = |value: From| To::from_si(value.si() * factor);
    Measured {
        value: turn(of.value),
        standard_uncertainty: turn(of.standard_uncertainty),
        dof: of.dof,
        low_95: turn(of.low_95),
        high_95: turn(of.high_95),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::Length;

    /// A hoop of this diameter, to compare with handbook figures: 20168.114 / D (in) turns per mile, computed from
    /// 63360 / pi.
    fn hoop(diameter_in: f64, axle: f64) -> Gearing {
        let turns = 1.0 / (core::f64::consts::PI * Length::from_in(diameter_in).m());
        Gearing { shaft_turns: Measured::from_log((turns * axle).ln(), 0.004, 12.0) }
    }

    #[test]
    fn agrees_with_the_handbook_form_on_a_rigid_hoop() {
        // rpm = mph x axle x gear x 336.1352 / D(in): 65 x 3.73 x 1.00 x 336.1352 / 31.0 = 2628.9;
        // 70 x 4.10 x 0.75 x 336.1352 / 33.0 = 2192.5. The digits end there.
        for (mph, axle, gear, diameter_in, rpm) in
            [(65.0, 3.73, 1.0, 31.0, 2628.9), (70.0, 4.10, 0.75, 33.0, 2192.5)]
        {
            let engine =
                hoop(diameter_in, axle).engine_speed(Speed::from_mi_per_h(mph), Ratio::from_plain(gear));
            assert!((engine.value.per_min() - rpm).abs() < 0.05, "{} {rpm}", engine.value.per_min());
            assert!((engine.relative_uncertainty().plain() - 0.004).abs() < 1e-12);
        }
    }

    #[test]
    fn finds_the_road_speed_of_an_engine_speed() {
        // 2500 x 28.5 / (3.55 x 336.1352) = 59.71 mph.
        let speed = hoop(28.5, 3.55).road_speed(Frequency::from_per_min(2500.0), Ratio::from_plain(1.0));
        assert!((speed.value.mi_per_h() - 59.71).abs() < 0.005, "{}", speed.value.mi_per_h());
        assert_eq!(speed.dof, 12.0);
    }

    #[test]
    fn makes_a_table_of_gears_and_speeds() {
        let speeds = [55.0, 65.0].map(Speed::from_mi_per_h);
        let table = hoop(31.0, 3.73).table(&[2.48, 1.0, 0.7].map(Ratio::from_plain), &speeds);
        let rpm = |gear: usize, at: usize| table[gear].engine[at].1.value.per_min();
        assert_eq!((table.len(), table[0].engine.len()), (3, 2));
        assert!((rpm(0, 0) / rpm(1, 0) - 2.48).abs() < 1e-12);
        assert!((rpm(2, 1) / rpm(2, 0) - 65.0 / 55.0).abs() < 1e-12);
    }

    #[test]
    fn a_hoop_is_three_per_cent_off_a_radial() {
        // A radial rolls 3.05 diameters per turn, a hoop pi: 3.05 / pi = 0.9708.
        let radial = Gearing { shaft_turns: Measured::exact(PerLength::from_per_m(3.73 / (3.05 * 0.7874))) };
        let (speed, gear) = (Speed::from_mi_per_h(65.0), Ratio::from_plain(1.0));
        let low = hoop(31.0, 3.73).engine_speed(speed, gear).value / radial.engine_speed(speed, gear).value;
        assert!((low - 0.9708).abs() < 5e-5, "{low}");
    }
}
