//! Evidence from turns that were counted: pulses, shafts, the engine.

use super::conditions::on_day;
use super::error_model::{SHAFT_READING_U, TURN_BY_EYE, TWO_READINGS};
use super::hand::{Said, relative};
use super::id::{BeliefId, Day};
use super::model::{Model, Refusal, Sum};
use crate::describe::chain::{Link, SensorAt};
use crate::describe::evidence::{Evidence, PulseSource, PulseSpan, Shaft, TappedAt, TurnsOf, WheelsTurned};
use crate::describe::file::decimal::to_f64;
use metrology::quantity::{Frequency, METRES_PER_MILE, Speed};
use metrology::text::Typed;
use rust_decimal::Decimal;

/// With the other wheel held, an open differential turns half as often as the one wheel.
const ONE_WHEEL: f64 = 0.5;

pub(super) fn pulses(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    source: &PulseSource,
    span: &PulseSpan,
    tapped_at: TappedAt,
) -> Result<Said, Refusal> {
    let PulseSource::Count(count) = source else {
        return Err((
            "a count of pulses".into(),
            "a recording, which cannot be read yet; give `count`".into(),
        ));
    };
    let seen = |link: Link| tapped_at != TappedAt::Sensor || link != Link::Conditioner;
    let put_out = match tapped_at {
        TappedAt::ModuleOutput => model.put_out(evidence)?,
        TappedAt::Sensor | TappedAt::AfterConditioner => Sum::default(),
    };
    let counts = f64::from(*count);
    // First and last count each fall anywhere within one.
    let counting = 1.0 / TWO_READINGS / counts;
    match span {
        PulseSpan::Distance(distance) => {
            let counted = model.counts_per_turn(Some(evidence), seen)?;
            let low = model.low_range_at_sensor(Some(evidence));
            let sum = model.revs(evidence.tires.as_deref()).plus(&counted).plus(&low).plus(&put_out);
            let sum = on_day(model, sum, evidence, day);
            Ok(Said::new(sum, (counts / distance.value.mi()).ln(), f64::hypot(counting, relative(distance))))
        }
        PulseSpan::Turns { turns, of, wheels } => {
            let sum = counts_per(model, evidence, *of, seen)?.plus(&put_out);
            let turned = to_f64(*turns) * share_of_turn(model, *of, *wheels);
            Ok(Said::new(sum, (counts / turned).ln(), f64::hypot(counting, by_eye(*turns))))
        }
        PulseSpan::Track(file) => Err((
            "a track beside which the recording tells counts per mile".into(),
            format!("`{file}`, which does not"),
        )),
        PulseSpan::Pattern => Err(("a distance, a track or a number of turns".into(), "none of them".into())),
    }
}

/// How much of a turn the axle makes for a turn of what was turned. A ring on the wheel itself turns with it.
fn share_of_turn(model: &Model, of: TurnsOf, wheels: Option<WheelsTurned>) -> f64 {
    let on_wheel = model.vehicle.chain.sensor_at == Some(SensorAt::WheelRing);
    if of == TurnsOf::Wheel && wheels == Some(WheelsTurned::One) && !on_wheel { ONE_WHEEL } else { 1.0 }
}

/// ln of the counts for a turn of a wheel pair, of the propeller shaft or of the ring.
fn counts_per(
    model: &mut Model,
    evidence: &Evidence,
    of: TurnsOf,
    seen: impl Fn(Link) -> bool,
) -> Result<Sum, Refusal> {
    let behind_axle = matches!(model.vehicle.chain.sensor_at, Some(SensorAt::AxleRing | SensorAt::WheelRing));
    let after = |link: Link| match of {
        TurnsOf::Wheel => seen(link),
        TurnsOf::Shaft => seen(link) && link != Link::Axle,
        TurnsOf::Ring => seen(link) && !matches!(link, Link::Axle | Link::Gears | Link::Adapter),
    };
    let counted = model.counts_per_turn(Some(evidence), after)?;
    let low = model.low_range_at_sensor(Some(evidence));
    Ok(match of {
        // A turn of the shaft turns a ring behind the axle by less than one.
        TurnsOf::Shaft if behind_axle => counted.minus(&model.link(Link::Axle)),
        TurnsOf::Ring => counted,
        TurnsOf::Wheel | TurnsOf::Shaft => counted.plus(&low),
    })
}

/// Relative uncertainty of a number of turns: coming round is seen by eye, and the last typed digit says the rest.
fn by_eye(turns: Decimal) -> f64 {
    let digit = if turns.scale() == 0 {
        0.0
    } else {
        10f64.powi(-i32::try_from(turns.scale()).unwrap_or(0)) / 12f64.sqrt()
    };
    f64::hypot(TURN_BY_EYE, digit) / to_f64(turns)
}

pub(super) fn shaft_turns(model: &mut Model, shaft: Decimal, wheel: Decimal, wheels: WheelsTurned) -> Said {
    let wheel_pair = to_f64(wheel) * if wheels == WheelsTurned::One { ONE_WHEEL } else { 1.0 };
    let u = f64::hypot(by_eye(shaft), by_eye(wheel));
    Said::new(model.link(Link::Axle), (to_f64(shaft) / wheel_pair).ln(), u)
}

/// Turns per mile at a speed, with the uncertainty of both readings.
fn turns_per_mile(speed: Frequency, true_speed: &Typed<Speed>) -> (f64, f64) {
    let turns = speed.hz() / true_speed.value.m_per_s() * METRES_PER_MILE;
    (turns, f64::hypot(SHAFT_READING_U, relative(true_speed)))
}

pub(super) fn shaft_speed(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    speed: Frequency,
    true_speed: &Typed<Speed>,
    shaft: Shaft,
) -> Said {
    let (turns, u) = turns_per_mile(speed, true_speed);
    let before_transfer_case = shaft == Shaft::TransmissionOutput && evidence.low_range;
    let low = if before_transfer_case { model.low_range() } else { Sum::default() };
    let sum = model.driven_revs(evidence.tires.as_deref()).plus(&model.link(Link::Axle)).plus(&low);
    Said::new(on_day(model, sum, evidence, day), turns.ln(), u)
}

pub(super) fn engine_speed(
    model: &mut Model,
    evidence: &Evidence,
    day: Day,
    speed: Frequency,
    true_speed: &Typed<Speed>,
    gear_ratio: Decimal,
) -> Said {
    let (turns, u) = turns_per_mile(speed, true_speed);
    let low = if evidence.low_range { model.low_range() } else { Sum::default() };
    let gear = model.belief(BeliefId::Gear(gear_ratio), to_f64(gear_ratio).ln(), None);
    let sum =
        model.driven_revs(evidence.tires.as_deref()).plus(&model.link(Link::Axle)).plus(&low).plus(&gear);
    Said::new(on_day(model, sum, evidence, day), turns.ln(), u)
}
