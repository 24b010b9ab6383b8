//! The named worlds: what in each differs from an ordinary drive.

use super::chance::Chance;
use super::channel::{Fault, Filter, Steps};
use super::motion::Route;
use super::receiver::LowSpeed;
use super::rows::{Stamps, Written, ZeroPlace, Zeros};
use super::world::{Against, Health, Plan, ordinary};
use metrology::quantity::{Length, Speed};
use truing::describe::tire::size::Construction;

/// A name and what differs.
pub struct Named {
    pub name: &'static str,
    pub change: fn(&mut Plan, &mut Chance),
}

impl Named {
    /// The plan of one seed.
    pub fn plan(&self, chance: &mut Chance) -> Plan {
        let mut plan = ordinary(chance);
        (self.change)(&mut plan, chance);
        plan
    }
}

const fn named(name: &'static str, change: fn(&mut Plan, &mut Chance)) -> Named {
    Named { name, change }
}

fn places_only(plan: &mut Plan) {
    plan.rows.with_speeds = false;
}

/// Bias tires: 1 % from 30 to 70 mph.
fn bias_tires(plan: &mut Plan) {
    plan.truck.growth = 0.010;
}

fn zeros(plan: &mut Plan, share: f64, in_runs: bool, place: ZeroPlace) {
    plan.rows.zeros = Some(Zeros { share, in_runs, place });
}

/// What a phone in a cradle does on a usual day, all at once.
fn phone(plan: &mut Plan, chance: &mut Chance) {
    plan.receiver.smooth_speed_s = chance.of_these(&[0.0, 1.0, 3.0]);
    plan.receiver.speed_delay_s = chance.between(0.2, 0.9);
    plan.receiver.low = chance.of_these(&[LowSpeed::Floor(0.3), LowSpeed::Zero(0.6)]);
    plan.receiver.pinned = true;
    plan.receiver.speed_s = chance.between_log(1.0, 20.0);
    plan.receiver.reflections_s = Some(900.0);
    plan.rows.written = Written::Held(1.0);
    plan.receiver.interval_s = 1.003;
    plan.rows.stale_first = chance.happens(0.5);
    plan.rows.coarse = chance.happens(0.5).then_some((25.0, 3.0, 20.0));
    plan.rows.holes_s = if chance.happens(0.4) { vec![chance.between(10.0, 60.0)] } else { Vec::new() };
    plan.rows.arrival_s = chance.between_log(0.03, 0.3);
    plan.channel.jitter = 0.2;
    plan.channel.faults = vec![Fault::Missing(0.02), Fault::Zeros(0.005)];
}

/// The worlds without a fault of the truck, and then those with one.
pub const WORLDS: &[Named] = &[
    named("ordinary", |_, _| ()),
    named("ordinary, places only", |plan, _| places_only(plan)),
    named("speeds only", |plan, _| plan.rows.with_places = false),
    named("city alone", |plan, _| plan.route = Route::City),
    named("highway alone", |plan, _| plan.route = Route::Highway),
    named("winding hills, heights of 8 m", |plan, chance| {
        plan.route = Route::Country;
        plan.grades = chance.between(0.03, 0.05);
        plan.receiver.height_m = Some(8.0);
    }),
    named("winding hills, places only, no heights", |plan, chance| {
        plan.route = Route::Country;
        plan.grades = chance.between(0.03, 0.05);
        plan.receiver.height_m = None;
        places_only(plan);
    }),
    named("one speed all the way", |plan, chance| plan.route = Route::Steady(chance.between(18.0, 30.0))),
    named("five minutes", |plan, _| plan.duration_s = 300.0),
    named("bias tires", |plan, _| bias_tires(plan)),
    named("bias tires, places only", |plan, _| {
        bias_tires(plan);
        places_only(plan);
    }),
    named("bias tires, said in the vehicle file", |plan, _| {
        bias_tires(plan);
        plan.construction = Some(Construction::Bias);
    }),
    named("slow dash: 2 s, whole mph", |plan, chance| {
        plan.channel.filter = chance.of_these(&[Filter::FirstOrder(2.0), Filter::Mean(3.0)]);
        plan.channel.steps = chance.of_these(&[Steps::MiPerHourRounded, Steps::MiPerHourCut]);
    }),
    named("dash adds up to 1 km/h", |plan, chance| {
        plan.channel.offset_m_per_s = chance.between(0.5, 1.0) / 3.6;
    }),
    named("fine channel, 0.01 km/h, ten a second", |plan, _| {
        plan.channel.steps = Steps::HundredthKmPerHour;
        plan.channel.interval_s = 0.1;
    }),
    named("channel every 5 s", |plan, _| plan.channel.interval_s = 5.0),
    named("channel every 10 s, places only", |plan, _| {
        plan.channel.interval_s = 10.0;
        places_only(plan);
    }),
    named("channel held 2 to 4 s in rows of 0.5 s", |plan, chance| {
        plan.channel.interval_s = 0.5;
        plan.channel.refresh_s = Some(chance.between(2.0, 4.0));
    }),
    named("channel on lines between values 2 s apart", |plan, _| {
        plan.channel.interval_s = 0.2;
        plan.channel.refresh_s = Some(2.0);
        plan.channel.interpolated = true;
    }),
    named("channel with zeros, 255 and missing samples", |plan, _| {
        plan.channel.faults = vec![Fault::Zeros(0.02), Fault::Highs(0.005), Fault::Missing(0.1)];
    }),
    named("channel with runs of zeros, and a hole", |plan, chance| {
        plan.channel.faults = vec![Fault::ZeroRuns(0.05), Fault::Hole(chance.between(30.0, 200.0))];
    }),
    named("channel half a second to 3 s late, unsteady", |plan, chance| {
        plan.channel.latency_s = chance.between(0.5, 3.0);
        plan.channel.jitter = 0.3;
    }),
    named("clocks drift by 3 s an hour", |plan, chance| {
        plan.duration_s = 2400.0;
        plan.channel.drift = chance.of_these(&[-1.0, 1.0]) * 3.0 / 3600.0;
    }),
    named("clocks 100 to 600 s apart", |plan, chance| {
        plan.duration_s = 2400.0;
        plan.channel.clock_s = chance.of_these(&[-1.0, 1.0]) * chance.between(100.0, 600.0);
    }),
    named("log counts from its own start", |plan, _| plan.channel.elapsed = true),
    named("reflections, places only", |plan, _| {
        plan.receiver.reflections_s = Some(240.0);
        places_only(plan);
    }),
    named("reflections", |plan, _| plan.receiver.reflections_s = Some(240.0)),
    named("slow error of 6 m over 10 to 400 s, places only", |plan, chance| {
        plan.receiver.slow_m = 6.0;
        plan.receiver.slow_s = chance.between_log(10.0, 400.0);
        plan.receiver.white_m = 2.0;
        places_only(plan);
    }),
    named("speed noise over 20 s, floor of 0.3 m/s", |plan, chance| {
        plan.receiver.speed_s = 20.0;
        plan.receiver.speed_m_per_s = chance.between(0.1, 0.2);
        plan.receiver.low = LowSpeed::Floor(0.3);
    }),
    named("receiver smooths speeds, places or both over 4 s", |plan, chance| {
        let which = chance.of_these(&[(4.0, 0.0), (0.0, 4.0), (4.0, 4.0)]);
        (plan.receiver.smooth_speed_s, plan.receiver.smooth_position_s) = which;
    }),
    named("speeds 1.5 s after places", |plan, _| plan.receiver.speed_delay_s = 1.5),
    named("places on the road, places only", |plan, _| {
        plan.receiver.on_road = true;
        places_only(plan);
    }),
    named("grid of 5 m", |plan, _| plan.receiver.grid_m = Some(5.0)),
    named("four decimals, places only", |plan, _| {
        plan.rows.decimals = Some(4);
        places_only(plan);
    }),
    named("ten rows a second of a fix a second", |plan, _| plan.rows.written = Written::Held(0.1)),
    named("ten rows a second of a fix a second, places only", |plan, _| {
        plan.rows.written = Written::Held(0.1);
        places_only(plan);
    }),
    named("a fix every 3 to 10 s in rows of a second", |plan, chance| {
        plan.receiver.interval_s = chance.of_these(&[3.0, 5.0, 10.0]);
        plan.rows.written = Written::Held(1.0);
    }),
    named("a fix every 3 to 10 s in rows of a second, places only", |plan, chance| {
        plan.receiver.interval_s = chance.of_these(&[3.0, 5.0, 10.0]);
        plan.rows.written = Written::Held(1.0);
        places_only(plan);
    }),
    named("a fix every 20 s, places only", |plan, _| {
        plan.receiver.interval_s = 20.0;
        places_only(plan);
    }),
    named("rows on lines between fixes 5 s apart", |plan, _| {
        plan.receiver.interval_s = 5.0;
        plan.rows.written = Written::Interpolated(1.0);
    }),
    named("rows on lines between fixes 5 s apart, places only", |plan, _| {
        plan.receiver.interval_s = 5.0;
        plan.rows.written = Written::Interpolated(1.0);
        places_only(plan);
    }),
    named("speeds refreshed every 5 s, places every second", |plan, _| plan.rows.speed_every_s = Some(5.0)),
    named("places refreshed every 5 s, speeds every second", |plan, _| plan.rows.place_every_s = Some(5.0)),
    named("a coarse source between the fixes", |plan, chance| {
        plan.rows.coarse = Some((chance.between(20.0, 60.0), chance.between(2.0, 8.0), 7.0));
    }),
    named("a coarse source between the fixes, places only", |plan, chance| {
        plan.rows.coarse = Some((chance.between(20.0, 60.0), chance.between(2.0, 8.0), 7.0));
        places_only(plan);
    }),
    named("zero speeds, 40 %, here and there", |plan, _| zeros(plan, 0.4, false, ZeroPlace::Right)),
    named("zero speeds, 20 %, in runs, place kept", |plan, _| zeros(plan, 0.2, true, ZeroPlace::Last)),
    named("zero rows, 10 %, at 0/0", |plan, _| zeros(plan, 0.1, false, ZeroPlace::Origin)),
    named("stale first fix", |plan, _| plan.rows.stale_first = true),
    named("clock reverses, stamps twice", |plan, chance| {
        plan.rows.stamps = chance.of_these(&[Stamps::Reversing, Stamps::Twice]);
    }),
    named("clock jumps by seconds", |plan, _| plan.rows.stamps = Stamps::Jumping),
    named("five rows a second in whole seconds", |plan, _| {
        plan.receiver.interval_s = 0.2;
        plan.rows.stamps = Stamps::Whole;
    }),
    named("holes of 10 to 120 s", |plan, chance| {
        plan.rows.holes_s = (0..3).map(|_| chance.between(10.0, 120.0)).collect();
    }),
    named("a hole of 600 s", |plan, _| {
        plan.duration_s = 1800.0;
        plan.rows.holes_s = vec![600.0];
    }),
    named("last fix repeated in tunnels of 20 to 90 s", |plan, chance| {
        plan.rows.frozen_s = (0..3).map(|_| chance.between(20.0, 90.0)).collect();
    }),
    named("stamped on arrival, 0.3 s on the way", |plan, _| plan.rows.arrival_s = 0.3),
    named("all that a phone does", phone),
    named("all that a phone does, places only", |plan, chance| {
        phone(plan, chance);
        places_only(plan);
    }),
    named("all that a phone does, bias tires, whole mph", |plan, chance| {
        phone(plan, chance);
        bias_tires(plan);
        plan.channel.steps = chance.of_these(&[Steps::MiPerHourRounded, Steps::MiPerHourCut]);
        plan.channel.filter = Filter::FirstOrder(1.5);
    }),
    named("odometer, tenths of a mile", |plan, _| plan.against = Against::Odometer(Length::from_mi(0.1).m())),
    named("odometer, whole km, all that a phone does", |plan, chance| {
        phone(plan, chance);
        plan.duration_s = 2400.0;
        plan.against = Against::Odometer(1000.0);
    }),
    named("30, 45, 60 mph called out", dial),
    named("length alone", |plan, _| plan.against = Against::Nothing),
    named("fault: 5 km/h too much", |plan, _| {
        plan.channel.offset_m_per_s = 5.0 / 3.6;
        plan.health = Health::Offset;
    }),
    named("fault: worn magnetic head", |plan, _| {
        plan.truck.bow = 0.05;
        plan.health = Health::Curved;
    }),
    named("fault: loose wire", |plan, _| {
        plan.channel.faults = vec![Fault::Loose(0.12)];
        plan.health = Health::Dropouts;
    }),
];

/// A passenger calls out three speeds that the driver holds by the dial, each read within a needle's width; the needle
/// itself stands up to 1 mph off.
fn dial(plan: &mut Plan, chance: &mut Chance) {
    let needle_m_per_s = Speed::from_mi_per_h(chance.between(-1.0, 1.0)).m_per_s();
    let called: Vec<f64> = [30.0, 45.0, 60.0].map(|mph| Speed::from_mi_per_h(mph).m_per_s()).to_vec();
    let held = called.iter().map(|shown| {
        let glance = Speed::from_mi_per_h(0.6).m_per_s() * chance.normal();
        (shown - needle_m_per_s + glance) / plan.truck.ratio
    });
    plan.route = Route::Holds(held.collect());
    plan.duration_s = 300.0;
    plan.against = Against::Dial(called);
}
