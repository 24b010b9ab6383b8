//! Why, in sentences.

use super::decide::Case;
use super::measurements::Measurement;
use super::options::made_true;
use super::tires;
use super::worth::{Measuring, WORTH_A_WRITE};
use super::{CHANCE_OF_BREAKING, Choice, Outlook, ReaderChange, Scored, Study};
use crate::describe::adjuster::AdjusterKind;
use crate::describe::adjuster::setting::Setting;
use crate::describe::fault::Fault;
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::DiagnosisKind;
use crate::measure::fusion::VehicleEstimate;
use crate::units::Units;
use metrology::quantity::{PerLength, Ratio};

/// A drive that was diagnosed with an error which no setting puts right.
pub(super) fn not_by_setting(label: &str, kind: DiagnosisKind) -> String {
    let (what, look) = match kind {
        DiagnosisKind::Offset => {
            ("off by the same amount at every speed", "at where the needle or the module starts from")
        }
        DiagnosisKind::Curved => {
            ("off by another per cent at every speed", "at the head, the cable and the filter of the signal")
        }
        _ => ("dropping out or jumping", "at the sensor, its ring and its wiring"),
    };
    format!("Look first {look}: in \"{label}\" the reading is {what}, and no setting puts that right.")
}

pub(super) fn reads(study: &Study, estimate: &VehicleEstimate, best: &Scored) -> String {
    let what = match study.vehicle.usage.make_true {
        MakeTrue::Distance => "odometer",
        MakeTrue::Needle => "needle",
    };
    let exact = exact(study, estimate);
    let Some(mean) = study.mean_now() else {
        return format!("The measurements call for {exact}.");
    };
    let percent = 100.0 * (mean.exp() - 1.0);
    let half = 50.0 * (best.expected_ratio.high_95.plain() - best.expected_ratio.low_95.plain());
    let word = if percent < 0.0 { "slow" } else { "fast" };
    let decimals = if half < 1.0 { 2 } else { 1 };
    format!(
        "The {what} reads {:.decimals$} % {word}, give or take {half:.decimals$} % (95 %); exactly true would be {exact}.",
        percent.abs()
    )
}

/// What would make it exactly true, off any grid.
fn exact(study: &Study, estimate: &VehicleEstimate) -> String {
    let [part] = study.parts.all.as_slice() else {
        let now = study.mean_now().unwrap_or(0.0);
        return format!("{:.4} times the counts that come now", (-now).exp());
    };
    match &part.adjuster.kind {
        AdjusterKind::Tires(_) => {
            let now = tires::mounted(study.vehicle, estimate).map_or(f64::NAN, |now| now.ln_per_mi);
            let revs = PerLength::from_per_mi((now - study.base).exp());
            format!("tires of {:.1} revolutions per mile ({:.1} per km)", revs.per_mi(), revs.per_km())
        }
        AdjusterKind::DeclaredTireAxle(_) => match study.vehicle.chain.axle_ratio.single() {
            Some(axle) if study.sees_axle() => {
                let revs = study.base.exp() / axle.ratio().plain();
                format!("{revs:.2} revolutions per mile with the axle {axle}")
            }
            _ if study.sees_axle() => format!("revolutions per mile x axle = {:.2}", study.base.exp()),
            _ => format!("{:.2} revolutions per mile", study.base.exp()),
        },
        _ if part.adjuster.kind.decides_a_mile() => format!("{:.4}", study.base.exp()),
        AdjusterKind::ToneRing(_) => format!("{:.2} teeth", (-study.base).exp()),
        AdjusterKind::GearPair(_) => {
            let drive = study.parts.all[0].offer.present.as_ref().and_then(|pick| match &pick.setting {
                Setting::Pair(pair) => Some(f64::from(pair.numerator())),
                _ => None,
            });
            match drive {
                Some(drive) => {
                    format!("{:.2} driven teeth with a drive gear of {drive}", drive * study.base.exp())
                }
                None => format!("drive over driven = {:.4}", (-study.base).exp()),
            }
        }
        _ => format!("a ratio of {:.5}", (-study.base).exp()),
    }
}

/// What an axle costs that is declared and not fitted.
pub(super) fn misled(best: &Scored) -> Option<String> {
    let over = best.misled_by?.plain();
    Some(format!(
        "{} declares an axle {:.1} % {} than the one fitted: whatever is told the axle - shift points, checks of four-wheel drive - is misled by as much. It is taken because no tire figure with the true axle comes as near.",
        best.label,
        100.0 * (over - 1.0).abs(),
        if over > 1.0 { "greater" } else { "less" }
    ))
}

/// A speed at which a shift may be scheduled, to show by how much it moves: in mph and in km/h.
const SHIFT_AT: (f64, f64) = (30.0, 50.0);

/// What a setting does to the other readers: those that change with it, and those that do not.
fn readers(vehicle: &Vehicle, best: &Scored, units: Units) -> Vec<String> {
    let own = made_true(vehicle).map(|reader| reader.name.as_str());
    let shift_at = units.speed(units.by_road(SHIFT_AT.0, SHIFT_AT.1));
    let others = best.readers.iter().filter(|reader| !best.is_present && Some(reader.name.as_str()) != own);
    let sentence = |reader: &ReaderChange| {
        let (name, times, label) = (format!("The {}", reader.name), reader.times.plain(), &best.label);
        if (times - 1.0).abs() < 1e-9 {
            return format!(
                "{name} reads the signal too and is left as it is by {label}: if it is wrong now, it stays wrong."
            );
        }
        let percent = 100.0 * (times - 1.0);
        let shift = match reader.shifts {
            true => format!(
                " A shift that comes at a true {} now will come at {}.",
                units.say_speed(shift_at, 0),
                units.say_speed(shift_at / times, 1)
            ),
            false => String::new(),
        };
        format!("{name} reads the signal too: with {label} it reads {percent:+.1} % against now.{shift}")
    };
    others.map(sentence).collect()
}

pub(super) fn fault(fault: &Fault) -> String {
    match fault.note.as_str() {
        "" => fault.touches.to_string(),
        note => format!("{} ({note})", fault.touches),
    }
}

pub(super) fn may_change(case: &Case, chance: f64) -> String {
    format!(
        "{} is stored and is the best of the settings as far as is known, but that may change: with {:.0} % probability a measurement would advise a write.",
        case.best.label,
        100.0 * chance
    )
}

pub(super) fn stored_already(case: &Case) -> String {
    format!("{} is stored already and no other setting is expected to be truer: leave it.", case.best.label)
}

pub(super) fn no_write_to_spend(case: &Case, left: u32) -> String {
    let writes = if left == 1 { "1 write" } else { &format!("{left} writes") };
    match case.reserve {
        0 => format!("The module has {writes} left: leave it."),
        reserve => format!("The module has {writes} left, and {reserve} are to be kept: leave it."),
    }
}

pub(super) fn unsure(case: &Case, pays: bool) -> String {
    if !pays {
        return "Whether a write pays cannot be told yet.".into();
    }
    format!(
        "Storing {} now would leave what is stored uncertain by {:.2} % (one standard uncertainty); with {:.0} % probability that costs a second write.",
        case.best.label,
        100.0 * case.belief.u,
        100.0 * case.belief.second_write()
    )
}

pub(super) fn worth_a_write(case: &Case, left: Option<u32>) -> String {
    let (label, belief) = (&case.best.label, &case.belief);
    let gain = if belief.mean.is_finite() {
        let (now, then) = (100.0 * belief.rms_now(), 100.0 * belief.rms_best());
        format!("Storing {label} lowers the expected error from {now:.2} % to {then:.2} %: worth a write.")
    } else {
        format!("What is stored now is not known; {label} is the setting the measurements call for.")
    };
    match left {
        Some(left) => format!("{gain} After it the module has {} left.", left - 1),
        None => gain,
    }
}

pub(super) fn not_worth_it(case: &Case) -> String {
    let gain = 100.0 * (case.belief.rms_now() - case.belief.rms_best());
    format!(
        "Storing {} would lower the expected error by only {gain:.2} percentage points (less than {:.1}): not worth a write.",
        case.best.label,
        100.0 * WORTH_A_WRITE
    )
}

pub(super) fn measure(measurement: &Measurement, measuring: &Measuring) -> String {
    format!(
        "Measure first: {} ({:.0} minutes) would leave an uncertainty of {:.2} %, and changes whether to write with {:.0} % probability.",
        measurement.what,
        measurement.takes.min(),
        100.0 * measuring.u_after,
        100.0 * measuring.changes_decision
    )
}

pub(super) fn held(measurement: &Measurement, faults: &[&Fault]) -> String {
    let faults: Vec<String> = faults.iter().map(|one| fault(one)).collect();
    format!("Held back until the open fault is repaired - {}: {}.", faults.join(", "), measurement.what)
}

pub(super) fn rule(study: &Study, best: &Scored, keeps_rule: bool) -> Vec<String> {
    let Some(chance) = best.chance_of_breaking else { return Vec::new() };
    let (id, percent) = (&study.rule.id, 100.0 * CHANCE_OF_BREAKING);
    if !keeps_rule {
        return vec![format!(
            "No setting in reach keeps the rule {id} with a chance of breaking it below {percent:.0} %; {} is the truest.",
            best.label
        )];
    }
    let mut all = vec![format!(
        "The rule {id} ({}): chance of breaking it with {}: {:.1} %. Local law decides.",
        study.rule.title,
        best.label,
        100.0 * chance.plain()
    )];
    let extra = 1000.0 * (best.expected_ratio.value.plain() - 1.0);
    if extra.abs() >= 1.0 {
        all.push(format!(
            "For the rule the setting is biased: the odometer then counts about {:.0} for every 1000 driven.",
            1000.0 + extra
        ));
    }
    all
}

/// Every reason of a choice: those it was decided by, what the best setting does to whatever else reads the signal, and the
/// road to come.
pub fn reasons(vehicle: &Vehicle, choice: &Choice, units: Units) -> Vec<String> {
    let best = choice.best.iter().flat_map(|best| readers(vehicle, best, units));
    let to_come = choice.outlook.iter().flat_map(|outlook| ahead(outlook, units));
    choice.why.iter().cloned().chain(best).chain(to_come).collect()
}

/// The road to come, in sentences.
fn ahead(outlook: &Outlook, units: Units) -> Vec<String> {
    let percent = |ratio: Ratio| format!("{:.2} %", ratio.percent());
    let held: Vec<String> = outlook
        .held
        .iter()
        .map(|held| format!("{} over {} on {}", held.label, units.say_road(held.distance, 0), held.tires))
        .collect();
    let writes = if outlook.writes == 1 { "1 change".into() } else { format!("{} changes", outlook.writes) };
    let mut all = vec![format!(
        "Over the {} planned: {}; {writes}, an error of {} on average.",
        units.road_words(),
        held.join(", then "),
        percent(outlook.rms)
    )];
    let (label, rms) = &outlook.compromise;
    all.push(format!("One setting for all of them would be {label}, with {} on average.", percent(*rms)));
    if let Some(waiting) = outlook.waiting {
        let fewer = outlook.writes.saturating_sub(outlook.waiting_writes);
        let saved = match fewer {
            0 => "saves no write".to_string(),
            1 => "saves a write".to_string(),
            n => format!("saves {n} writes"),
        };
        all.push(format!(
            "Waiting for the next tires or axle {saved} and makes it {} on average.",
            percent(waiting)
        ));
    }
    all
}
