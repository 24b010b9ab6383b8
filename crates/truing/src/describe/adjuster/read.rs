//! Reads `[adjuster]`: one function per kind, each checking its own range.

use crate::describe::adjuster::*;
use crate::describe::file::document::Entry;
use crate::describe::file::fraction::Fraction;
use crate::describe::file::key::{Key, Kind, Variant};
use crate::describe::file::keys::{self, adjuster as common};
use crate::describe::file::kinds::read_grid;

type Reader = fn(&Entry<'_>) -> Option<AdjusterKind>;

/// Which function reads which kind.
static READERS: [(&Variant, Reader); 8] = [
    (&keys::stepped_constant::VARIANT, stepped_constant),
    (&keys::free_constant::VARIANT, free_constant),
    (&keys::gear_pair::VARIANT, gear_pair),
    (&keys::pulse_ratio::VARIANT, pulse_ratio),
    (&keys::declared_tire_axle::VARIANT, declared_tire_axle),
    (&keys::cable_adapter::VARIANT, cable_adapter),
    (&keys::tone_ring::VARIANT, tone_ring),
    (&keys::tires::VARIANT, tires),
];

/// Reads one `[adjuster]`.
pub(crate) fn read(entry: &mut Entry<'_>) -> Option<Adjuster> {
    let variant = entry.variant(&keys::ADJUSTER)?;
    let entry = &*entry;
    let (_, reader) = READERS.iter().find(|(known, _)| known.word == variant.word)?;
    let kind = reader(entry);
    let (name, writes_left) = (entry.get(&common::NAME), entry.get(&common::WRITES_LEFT));
    let puts_out = entry.either(&common::PUTS_OUT_PER_MILE, &common::PUTS_OUT_PER_KM);
    Some(Adjuster { kind: kind?, name, writes_left, puts_out, line: entry.line() })
}

/// A present value that must be among those that can be set. A wrong one spoils the adjuster; a missing one does not.
fn present<K: Kind>(
    entry: &Entry<'_>,
    key: &Key<K>,
    possible: impl Fn(&K::Out) -> bool,
    expected: impl Fn() -> String,
) -> Option<Option<K::Out>> {
    if !entry.has(key) {
        return Some(None);
    }
    let value = entry.get(key)?;
    if possible(&value) {
        return Some(Some(value));
    }
    let place = entry.place(key);
    place.wrong(expected(), place.found(), "The present value must be one that can be set")
}

fn stepped_constant(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::stepped_constant as k;
    let (per_unit, wraps) = (per_unit(entry), entry.get(&k::WRAPS));
    let (buttons, display) = (entry.get(&k::BUTTONS), entry.get(&k::DISPLAY));
    let Some(grid) = read_grid(entry, &k::MIN, &k::MAX, &k::STEP) else {
        // Looked at all the same, so that what is wrong with it is said at once.
        entry.get(&k::PRESENT);
        return None;
    };
    let expected = || format!("a value from {} to {} in steps of {}", grid.min(), grid.max(), grid.step());
    let present = present(entry, &k::PRESENT, |value| grid.index_of(*value).is_some(), expected);
    let mut buttons = buttons?;
    buttons.sort_unstable();
    buttons.dedup();
    Some(AdjusterKind::SteppedConstant(SteppedConstant {
        per_unit,
        grid,
        buttons,
        wraps: wraps.unwrap_or(false),
        present: present?,
        display,
    }))
}

fn per_unit(entry: &Entry<'_>) -> Option<PerUnit> {
    use keys::stepped_constant::{COUNTS_PER_KM_PER_UNIT as PER_KM, COUNTS_PER_MILE_PER_UNIT as PER_MILE};
    let unit = if entry.has(&PER_KM) { ConstantUnit::PulsesPerKm } else { ConstantUnit::PulsesPerMile };
    entry.either(&PER_MILE, &PER_KM).map(|number| PerUnit { number, unit })
}

fn free_constant(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::free_constant as k;
    let (unit, min, max) = (entry.get(&k::UNIT), entry.get(&k::MIN), entry.get(&k::MAX));
    let (Some(min), Some(max)) = (min, max) else {
        entry.get(&k::PRESENT);
        return None;
    };
    let expected = || format!("a whole number from {min} to {max}");
    let present = present(entry, &k::PRESENT, |value| (min..=max).contains(value), expected);
    if min >= max {
        let place = entry.place(&k::MAX);
        return place.wrong(format!("more than the lowest value, {min}"), place.found(), "");
    }
    Some(AdjusterKind::FreeConstant(FreeConstant { unit: unit?, min, max, present: present? }))
}

fn gear_pair(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::gear_pair as k;
    let (drive, driven) = (entry.get(&k::DRIVE_GEARS), entry.get(&k::DRIVEN_GEARS));
    let meshing = entry.get(&k::MESHING);
    let (Some(drive_gears), Some(driven_gears)) = (drive, driven) else {
        entry.get(&k::PRESENT);
        return None;
    };
    let mut gears = GearPair { drive_gears, driven_gears, meshing: Vec::new(), present: None };
    let all = gears.pairs();
    gears.meshing = meshing.unwrap_or_default();
    if let Some(stranger) = gears.meshing.iter().find(|pair| !all.contains(pair)) {
        let hint = "Write drive/driven";
        return entry.place(&k::MESHING).wrong("pairs of the gears listed", stranger.to_string(), hint);
    }
    let pairs = gears.pairs();
    let expected = || "a pair of the gears listed that mesh, drive/driven".to_string();
    gears.present = present(entry, &k::PRESENT, |pair| pairs.contains(pair), expected)?;
    Some(AdjusterKind::GearPair(gears))
}

fn pulse_ratio(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::pulse_ratio as k;
    let range = pulse_range(entry);
    let Some(range) = range else {
        entry.get(&k::PRESENT);
        return None;
    };
    let present = present(
        entry,
        &k::PRESENT,
        |value| reaches(&range, *value),
        || match &range {
            PulseRange::Free { numerator_max, denominator_max } => {
                format!("a fraction up to {numerator_max} over up to {denominator_max}")
            }
            PulseRange::Switches { denominator, .. } => format!("a sum of the weights over {denominator}"),
        },
    )?;
    Some(AdjusterKind::PulseRatio(PulseRatio { range, present }))
}

fn pulse_range(entry: &Entry<'_>) -> Option<PulseRange> {
    use keys::pulse_ratio as k;
    let (numerator_max, denominator_max) = (entry.get(&k::NUMERATOR_MAX), entry.get(&k::DENOMINATOR_MAX));
    let (weights, denominator) = (entry.get(&k::SWITCH_WEIGHTS), entry.get(&k::SWITCH_DENOMINATOR));
    let free = entry.has(&k::NUMERATOR_MAX) || entry.has(&k::DENOMINATOR_MAX);
    entry.exactly_one(&[
        (k::NUMERATOR_MAX.name, free),
        (k::SWITCH_WEIGHTS.name, entry.has(&k::SWITCH_WEIGHTS)),
    ])?;
    if free {
        if !entry.has(&k::NUMERATOR_MAX) {
            return entry.absent(&k::NUMERATOR_MAX);
        }
        if !entry.has(&k::DENOMINATOR_MAX) {
            return entry.absent(&k::DENOMINATOR_MAX);
        }
        return Some(PulseRange::Free { numerator_max: numerator_max?, denominator_max: denominator_max? });
    }
    let weights = weights?;
    let place = entry.place(&k::SWITCH_WEIGHTS);
    if weights.len() > MOST_SWITCHES {
        return place.wrong(format!("at most {MOST_SWITCHES} switches"), place.found(), "");
    }
    let below = weights.iter().try_fold(1_u32, |sum, weight| sum.checked_add(*weight));
    let Some(below) = below else {
        return place.wrong("weights whose sum fits 32 bits", place.found(), "");
    };
    Some(PulseRange::Switches { weights, denominator: denominator.unwrap_or(below) })
}

/// More switches than any box has; all their positions are listed when a choice is made.
const MOST_SWITCHES: usize = 16;

/// Whether a conditioner can take a fraction as written; with switches, whether some of the weights add up to it.
fn reaches(range: &PulseRange, value: Fraction) -> bool {
    match range {
        PulseRange::Free { numerator_max, denominator_max } => {
            value.numerator() <= *numerator_max && value.denominator() <= *denominator_max
        }
        PulseRange::Switches { weights, denominator } => {
            let sums = (0_u32..1 << weights.len().min(MOST_SWITCHES)).map(|on| {
                let on_now = weights.iter().enumerate().filter(|(switch, _)| on >> switch & 1 == 1);
                on_now.map(|(_, weight)| *weight).sum::<u32>()
            });
            sums.filter_map(|sum| Fraction::new(sum, *denominator)).any(|reached| reached.same_value(value))
        }
    }
}

fn declared_tire_axle(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::declared_tire_axle as k;
    let grid = entry.get(&k::REVS_PER_MILE);
    let axle_ratios = entry.get(&k::AXLE_RATIOS).unwrap_or_default();
    let Some(grid) = grid else {
        entry.get(&k::PRESENT);
        return None;
    };
    let possible = |value: &crate::describe::adjuster::setting::DeclaredSetting| {
        let axle = match &value.axle_ratio {
            Some(axle) => axle_ratios.iter().any(|listed| listed.agrees_with(axle)),
            None => axle_ratios.is_empty(),
        };
        axle && grid.index_of(value.revs_per_mile).is_some()
    };
    let expected = || "revs per mile on the grid and, where axles are listed, one of them".to_string();
    let present = present(entry, &k::PRESENT, possible, expected)?;
    Some(AdjusterKind::DeclaredTireAxle(DeclaredTireAxle { revs_per_mile: grid, axle_ratios, present }))
}

fn cable_adapter(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::cable_adapter as k;
    let ratios = entry.get(&k::RATIOS);
    let Some(ratios) = ratios else {
        entry.get(&k::PRESENT);
        return None;
    };
    // Without any adapter the cable runs through, whether or not 1/1 is listed.
    let possible = |value: &Fraction| {
        value.same_value(Fraction::ONE) || ratios.iter().any(|listed| listed.same_value(*value))
    };
    let present = present(entry, &k::PRESENT, possible, || "1/1 or one of the ratios listed".into())?;
    Some(AdjusterKind::CableAdapter(CableAdapter { ratios, present }))
}

fn tone_ring(entry: &Entry<'_>) -> Option<AdjusterKind> {
    use keys::tone_ring as k;
    let teeth = entry.get(&k::TEETH);
    let present = entry.get(&k::PRESENT);
    // The ring fitted now need not be among those that can be had.
    Some(AdjusterKind::ToneRing(ToneRing { teeth: teeth?, present }))
}

fn tires(entry: &Entry<'_>) -> Option<AdjusterKind> {
    Some(AdjusterKind::Tires(entry.get(&keys::tires::SIZES)?))
}
