//! Reads `[[evidence]]`: one function per kind.

use crate::describe::evidence::{
    Evidence, EvidenceKind, LogReading, OdometerRead, OdometerReadings, PulseSource, PulseSpan, Shown,
    Signal, TappedAt, TurnsOf,
};
use crate::describe::file::document::Entry;
use crate::describe::file::key::{Key, Kind, Variant};
use crate::describe::file::keys::{self, evidence as common};
use metrology::quantity::{Length, PerLength};
use metrology::text::Typed;

type Reader = fn(&Entry<'_>) -> Option<EvidenceKind>;

/// Which function reads which kind.
static READERS: [(&Variant, Reader); 12] = [
    (&keys::rollout::VARIANT, rollout),
    (&keys::loaded_radius::VARIANT, loaded_radius),
    (&keys::published::VARIANT, published),
    (&keys::timed_mile::VARIANT, timed_mile),
    (&keys::odometer_distance::VARIANT, odometer_distance),
    (&keys::hold::VARIANT, hold),
    (&keys::drive::VARIANT, drive),
    (&keys::pulses::VARIANT, pulses),
    (&keys::shaft_speed::VARIANT, shaft_speed),
    (&keys::engine_speed::VARIANT, engine_speed),
    (&keys::shaft_turns::VARIANT, shaft_turns),
    (&keys::earlier::VARIANT, earlier),
];

/// Reads one `[[evidence]]`.
pub(crate) fn read(entry: &mut Entry<'_>) -> Option<Evidence> {
    let variant = entry.variant(&keys::EVIDENCE)?;
    let entry = &*entry;
    let (_, reader) = READERS.iter().find(|(known, _)| known.word == variant.word)?;
    let kind = reader(entry);
    let (label, date, setting) =
        (entry.get(&common::LABEL), entry.get(&common::DATE), entry.get(&common::SETTING));
    let (tires, low_range) = (entry.get(&common::TIRES), entry.get(&common::LOW_RANGE));
    let tire_pressure = entry.either(&common::TIRE_PRESSURE_PSI, &common::TIRE_PRESSURE_KPA);
    let tire_load = entry.get(&common::TIRE_LOAD_PERCENT);
    let read_from = entry.get(&keys::hold::READ_FROM);
    let measured_to_nearest = entry.get(&keys::rollout::MEASURED_TO_NEAREST);
    let mut kind = kind?;
    if let Some(nearest) = &measured_to_nearest {
        kind.take_as_nearest(nearest.value);
    }
    Some(Evidence {
        kind,
        label,
        date,
        settings: setting.unwrap_or_default(),
        tires,
        low_range: low_range.unwrap_or(false),
        tire_pressure,
        tire_load,
        read_from,
        measured_to_nearest,
        line: entry.line(),
    })
}

fn rollout(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::rollout::{LENGTH, LENGTHS, TURNS};
    let (turns, length, lengths) = (entry.get(&TURNS), entry.get(&LENGTH), entry.get(&LENGTHS));
    entry.exactly_one(&[(LENGTH.name, entry.has(&LENGTH)), (LENGTHS.name, entry.has(&LENGTHS))])?;
    let lengths = length.map(|length| vec![length]).or(lengths)?;
    Some(EvidenceKind::Rollout { turns: turns?, lengths })
}

fn loaded_radius(entry: &Entry<'_>) -> Option<EvidenceKind> {
    Some(EvidenceKind::LoadedRadius { radius: entry.get(&keys::loaded_radius::RADIUS)? })
}

fn published(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::published::{REVS_PER_KM, REVS_PER_MILE};
    let (per_mile, per_km) = (entry.get(&REVS_PER_MILE), entry.get(&REVS_PER_KM));
    one_of_two(entry, &REVS_PER_MILE, &REVS_PER_KM)?;
    Some(EvidenceKind::Published { revs: per_mile.or(per_km)? })
}

fn timed_mile(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::timed_mile::{DISTANCE, INDICATED, SECONDS};
    let (indicated, times, distance) = (entry.get(&INDICATED), entry.get(&SECONDS), entry.get(&DISTANCE));
    Some(EvidenceKind::TimedMile { indicated: indicated?, times: times?.all().to_vec(), distance })
}

fn odometer_distance(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::odometer_distance::{ODOMETER_READ, RESOLUTION, TRUE};
    let (indicated, true_distance) = (shown_distance(entry), entry.get(&TRUE));
    let (resolution, read) = (entry.get(&RESOLUTION), given(entry, &ODOMETER_READ));
    let (indicated, true_distance) = (indicated?, true_distance?);
    let read = read?.unwrap_or(OdometerRead::Digits);
    Some(EvidenceKind::OdometerDistance { indicated, true_distance, resolution, read })
}

/// The distance that an odometer showed: as it is given, or from both readings.
fn shown_distance(entry: &Entry<'_>) -> Option<Typed<Length>> {
    use keys::odometer_distance::{INDICATED, ODOMETER_END, ODOMETER_START};
    let (indicated, start, end) =
        (entry.get(&INDICATED), entry.get(&ODOMETER_START), entry.get(&ODOMETER_END));
    match (entry.has(&INDICATED), entry.has(&ODOMETER_START), entry.has(&ODOMETER_END)) {
        (true, false, false) => return indicated,
        (true, ..) => {
            let found = "readings as well";
            return entry.place(&INDICATED).wrong("the distance or both readings", found, "Keep one of them");
        }
        (false, false, _) => return entry.absent(&ODOMETER_START),
        (false, true, false) => return entry.absent(&ODOMETER_END),
        (false, true, true) => {}
    }
    let (start, end) = (start?, end?);
    if end.value <= start.value {
        let place = entry.place(&ODOMETER_END);
        return place.wrong("more than at the start", place.found(), "See whether the two are swapped");
    }
    Some(Typed {
        value: end.value - start.value,
        standard_uncertainty: None,
        resolution: if end.resolution > start.resolution { end.resolution } else { start.resolution },
    })
}

fn hold(entry: &Entry<'_>) -> Option<EvidenceKind> {
    let (indicated, true_speed) = (entry.get(&keys::hold::INDICATED), entry.get(&keys::hold::TRUE));
    Some(EvidenceKind::Hold { indicated: indicated?, true_speed: true_speed? })
}

fn drive(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::drive::{HOLDS, MARKED, ODOMETER_END, ODOMETER_START, TRACK, VEHICLE_LOG};
    let (track, reading) = (entry.get(&TRACK), log_reading(entry));
    let (vehicle_log, holds, odometer) = (entry.get(&VEHICLE_LOG), entry.get(&HOLDS), odometer(entry));
    let marked = given(entry, &MARKED);
    let is_shown = [
        entry.has(&VEHICLE_LOG),
        entry.has(&HOLDS),
        entry.has(&ODOMETER_START) || entry.has(&ODOMETER_END),
        entry.has(&MARKED),
    ];
    if !is_shown.contains(&true) {
        let hint = "Add `vehicle_log`, `holds`, `odometer_start` and `odometer_end`, or `marked`";
        return entry.none_of(&[HOLDS.name, VEHICLE_LOG.name, ODOMETER_START.name, MARKED.name]).wrong(
            "something that the vehicle showed on the drive",
            keys::NOTHING,
            hint,
        );
    }
    let shown = Shown { vehicle_log, holds: holds.unwrap_or_default(), odometer, marked: marked? };
    Some(EvidenceKind::Drive { track: track?, shown, reading: Box::new(reading?) })
}

/// How the files of a drive are to be read; what belongs to a file that is not named is refused.
fn log_reading(entry: &Entry<'_>) -> Option<LogReading> {
    use keys::drive::{CAN_SIGNAL, DBC, HILLY, SIGNAL, TRACK_COLUMNS, VEHICLE_COLUMNS, VEHICLE_LOG};
    let (track_columns, vehicle_columns) = (given(entry, &TRACK_COLUMNS), given(entry, &VEHICLE_COLUMNS));
    let (described, file, name) = (given(entry, &CAN_SIGNAL), given(entry, &DBC), given(entry, &SIGNAL));
    let hilly = given(entry, &HILLY);
    let (is_described, has_dbc) = (entry.has(&CAN_SIGNAL), entry.has(&DBC));
    if (entry.has(&VEHICLE_COLUMNS) || is_described || has_dbc) && !entry.has(&VEHICLE_LOG) {
        return entry.absent(&VEHICLE_LOG);
    }
    if entry.has(&SIGNAL) && !has_dbc {
        return entry.absent(&DBC);
    }
    if is_described && has_dbc {
        entry.exactly_one(&[(CAN_SIGNAL.name, true), (DBC.name, true)])?;
    }
    let (described, name) = (described?.map(Signal::Described), name?);
    Some(LogReading {
        track_columns: track_columns?.unwrap_or_default(),
        vehicle_columns: vehicle_columns?.unwrap_or_default(),
        signal: described.or(file?.map(|file| Signal::InDbc { file, name })),
        hilly: hilly?.unwrap_or(false),
    })
}

/// The value of a key that may be left out; nothing when it stands there and cannot be read.
fn given<K: Kind>(entry: &Entry<'_>, key: &Key<K>) -> Option<Option<K::Out>> {
    let value = entry.get(key);
    (value.is_some() || !entry.has(key)).then_some(value)
}

/// Both odometer readings of a drive: one without the other says nothing, and they never run backwards.
fn odometer(entry: &Entry<'_>) -> Option<OdometerReadings> {
    use keys::drive::{ODOMETER_END, ODOMETER_READ, ODOMETER_START};
    let (start, end) = (entry.get(&ODOMETER_START), entry.get(&ODOMETER_END));
    let read = given(entry, &ODOMETER_READ);
    match (entry.has(&ODOMETER_START), entry.has(&ODOMETER_END)) {
        (true, false) => return entry.absent(&ODOMETER_END),
        (false, true) => return entry.absent(&ODOMETER_START),
        (false, false) if entry.has(&ODOMETER_READ) => return entry.absent(&ODOMETER_START),
        _ => {}
    }
    let (start, end, read) = (start?, end?, read?.unwrap_or(OdometerRead::Digits));
    if end.value > start.value {
        return Some(OdometerReadings { start, end, read });
    }
    let place = entry.place(&ODOMETER_END);
    place.wrong("more than at the start", place.found(), "See whether the two are swapped")
}

fn pulses(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::pulses::{CHANNEL, COUNT, DISTANCE, FILE, TAPPED_AT, TRACK, TURNS};
    let (file, count, tapped_at) = (entry.get(&FILE), entry.get(&COUNT), entry.get(&TAPPED_AT));
    let (channel, span) = (given(entry, &CHANNEL), pulse_span(entry));
    entry.exactly_one(&[(FILE.name, entry.has(&FILE)), (COUNT.name, entry.has(&COUNT))])?;
    // A count has neither channels nor times that a track could be laid beside.
    if !entry.has(&FILE) && (entry.has(&CHANNEL) || entry.has(&TRACK)) {
        return entry.absent(&FILE);
    }
    let (channel, span) = (channel?, span?);
    if span == PulseSpan::Pattern && count.is_some() {
        let hint = "Add `distance`, or `turns` and `turns_of`";
        return entry.none_of(&[DISTANCE.name, TURNS.name]).wrong(
            "what the counted pulses belong to",
            keys::NOTHING,
            hint,
        );
    }
    let file = file.map(|name| PulseSource::File { name, channel });
    let source = file.or(count.map(PulseSource::Count))?;
    Some(EvidenceKind::Pulses { source, span, tapped_at: tapped_at.unwrap_or(TappedAt::Sensor) })
}

fn pulse_span(entry: &Entry<'_>) -> Option<PulseSpan> {
    use keys::pulses::{DISTANCE, TRACK, TURNS, TURNS_OF, WHEELS};
    let (distance, track, turns) = (entry.get(&DISTANCE), entry.get(&TRACK), entry.get(&TURNS));
    let (of, wheels) = (entry.get(&TURNS_OF), entry.get(&WHEELS));
    match (entry.has(&DISTANCE), entry.has(&TRACK), entry.has(&TURNS)) {
        (false, false, false) => return Some(PulseSpan::Pattern),
        (true, false, false) => return distance.map(PulseSpan::Distance),
        (false, true, false) => return track.map(PulseSpan::Track),
        (false, false, true) => {}
        (by_distance, by_track, by_turns) => {
            entry.exactly_one(&[
                (DISTANCE.name, by_distance),
                (TRACK.name, by_track),
                (TURNS.name, by_turns),
            ])?;
        }
    }
    if !entry.has(&TURNS_OF) {
        return entry.absent(&TURNS_OF);
    }
    if of == Some(TurnsOf::Wheel) && !entry.has(&WHEELS) {
        return entry.absent(&WHEELS);
    }
    Some(PulseSpan::Turns { turns: turns?, of: of?, wheels })
}

fn shaft_speed(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::shaft_speed::{RPM, SHAFT, TRUE};
    let (speed, true_speed, shaft) = (entry.get(&RPM), entry.get(&TRUE), entry.get(&SHAFT));
    Some(EvidenceKind::ShaftSpeed { speed: speed?, true_speed: true_speed?, shaft: shaft? })
}

fn engine_speed(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::engine_speed::{GEAR_RATIO, RPM, TRUE};
    let (speed, true_speed, gear_ratio) = (entry.get(&RPM), entry.get(&TRUE), entry.get(&GEAR_RATIO));
    Some(EvidenceKind::EngineSpeed { speed: speed?, true_speed: true_speed?, gear_ratio: gear_ratio? })
}

fn shaft_turns(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::shaft_turns::{SHAFT, WHEEL, WHEELS};
    let (shaft, wheel, wheels) = (entry.get(&SHAFT), entry.get(&WHEEL), entry.get(&WHEELS));
    Some(EvidenceKind::ShaftTurns { shaft: shaft?, wheel: wheel?, wheels: wheels? })
}

fn earlier(entry: &Entry<'_>) -> Option<EvidenceKind> {
    use keys::earlier::{REVS_PER_KM, REVS_PER_MILE, STANDARD_UNCERTAINTY};
    let (per_mile, per_km) = (entry.get(&REVS_PER_MILE), entry.get(&REVS_PER_KM));
    let uncertainty = entry.get(&STANDARD_UNCERTAINTY);
    one_of_two(entry, &REVS_PER_MILE, &REVS_PER_KM)?;
    // What was read as per mile was meant per kilometre beside a figure per kilometre.
    let in_km = |number: PerLength| PerLength::from_per_km(number.per_mi());
    let uncertainty = if per_km.is_some() { uncertainty.map(in_km) } else { uncertainty };
    Some(EvidenceKind::Earlier { revs: per_mile.or(per_km)?, standard_uncertainty: uncertainty? })
}

/// Wants one of two keys that say the same in two units.
fn one_of_two<A, B>(entry: &Entry<'_>, one: &Key<A>, other: &Key<B>) -> Option<()> {
    entry.exactly_one(&[(one.name, entry.has(one)), (other.name, entry.has(other))])
}
