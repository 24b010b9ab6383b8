//! Every section and key of the vehicle file, once: the reader, the hints and the JSON Schema are all made from
//! this table.

use crate::describe::adjuster::{Button, ConstantUnit};
use crate::describe::chain::reader::{Branch, Needle};
use crate::describe::chain::{AlsoFeeds, OthersRead, SensorAt, Transport};
use crate::describe::evidence::{
    MarkedReading, OdometerRead, ReadFrom, Shaft, TappedAt, TurnsOf, WheelsTurned,
};
use crate::describe::fault::Touches;
use crate::describe::file::key::{AnyKey, Key, Need, Repeat, Section, Variant};
use crate::describe::file::kinds::*;
use crate::describe::usage::{Judges, MakeTrue, RuleKind};

/// How a problem says that a key is not there.
pub const NOTHING: &str = "nothing";

/// The key that decides which other keys may stand.
pub const KIND: &str = "kind";

/// The same as a key, for hints.
pub static KIND_KEY: Key<Text> = Key::new(KIND, Need::Required, "which kind it is");

/// A number of teeth on a gear or ring.
pub type Teeth = Count<1, 1000>;

/// A number of times.
pub type Times = Count<1, 1_000_000_000>;

/// A number of presses, writes or counts that may be none.
pub type AnyCount = Count<0, 1_000_000_000>;

macro_rules! keys {
    ($module:ident, $about_all:literal, {
        $($name:ident: $kind:ty = $text:literal, $need:ident, $about:literal;)*
    } $(and $($shared:path),+)?) => {
        #[doc = $about_all]
        pub mod $module {
            use super::*;
            $(#[doc = $about] pub static $name: Key<$kind> = Key::new($text, Need::$need, $about);)*
            /// All of them.
            pub static KEYS: &[&dyn AnyKey] = &[$(&$name,)* $($(&$shared,)+)?];
        }
    };
    ($module:ident is $word:literal, $about_all:literal, {
        $($name:ident: $kind:ty = $text:literal, $need:ident, $about:literal;)*
    }) => {
        #[doc = $about_all]
        pub mod $module {
            #[allow(unused_imports, reason = "a kind without keys of its own uses none of them")]
            use super::*;
            $(#[doc = $about] pub static $name: Key<$kind> = Key::new($text, Need::$need, $about);)*
            /// What its `kind` key says, and its keys.
            pub static VARIANT: Variant = Variant { word: $word, about: $about_all, keys: &[$(&$name,)*] };
        }
    };
}

/// What may stand before the first section.
pub static ROOT: Section =
    Section { name: "", repeat: Repeat::Once, about: "A vehicle", keys: root::KEYS, variants: &[] };

macro_rules! sections {
    ($($name:ident = $word:literal, $repeat:ident, $about:literal, $keys:expr, [$($variant:ident),*];)+) => {
        $(#[doc = $about] pub static $name: Section = Section {
            name: $word, repeat: Repeat::$repeat, about: $about, keys: $keys, variants: &[$(&$variant::VARIANT),*],
        };)+
        /// Every section, in the order in which a file is best written.
        pub static SECTIONS: &[&Section] = &[$(&$name),+];
    };
}

sections! {
    TIRE = "tire", OnceOrSeveral, "a set of tires", tire::KEYS, [];
    CHAIN = "chain", Once, "from the road to the sensor's wire", chain::KEYS, [];
    HEAD = "head", Once, "one instrument that is both dial and odometer", head::KEYS, [];
    READER = "reader", Several, "a thing that reads the signal", reader::KEYS, [];
    ADJUSTER = "adjuster", OnceOrSeveral, "a thing that can be set", adjuster::KEYS, [
        stepped_constant, free_constant, gear_pair, pulse_ratio, declared_tire_axle, cable_adapter, tone_ring, tires
    ];
    USE = "use", Once, "what the setting is for", usage::KEYS, [];
    EVIDENCE = "evidence", Several, "a measurement", evidence::KEYS, [
        rollout, loaded_radius, published, timed_mile, odometer_distance, hold, drive, pulses, shaft_speed,
        engine_speed, shaft_turns, earlier
    ];
    WRITTEN = "written", Several, "a write already made", written::KEYS, [];
    PLAN = "plan", Several, "tires and the road to come", plan::KEYS, [];
    FAULT = "fault", Several, "a fault of the vehicle", fault::KEYS, [];
}

keys!(root, "Before the first section.", {
    NAME: Text = "name", Optional, "what the owner calls it";
});
keys!(tire, "Keys of `[tire]`.", {
    NAME: Text = "name", Optional, "which set, where there are several";
    SIZE: Text = "size", Optional, "as printed on the sidewall";
    PUBLISHED_REVS_PER_MILE: PerMile = "published_revs_per_mile", Optional, "revolutions per mile from the data sheet";
    PUBLISHED_REVS_PER_KM: PerKilometre = "published_revs_per_km", Optional,
        "revolutions per kilometre from the data sheet";
    DIAMETER: TypedLength = "diameter", Optional, "outside diameter, where the size does not tell it";
    TREAD_DEPTH_NEW: TypedLength = "tread_depth_new", Optional, "depth of the tread when it was new";
    TREAD_DEPTH: TypedLength = "tread_depth", Optional, "depth of the tread now";
    RATED_PRESSURE_PSI: TirePressure = "rated_pressure_psi", Optional,
        "pressure at which the sidewall rates its load, cold, in psi";
    RATED_PRESSURE_KPA: TirePressureKpa = "rated_pressure_kpa", Optional,
        "pressure at which the sidewall rates its load, cold, in kPa";
    MOUNTED: Flag = "mounted", Optional, "true for the set that is on now; the first unless said";
});
keys!(chain, "Keys of `[chain]`.", {
    SENSOR_AT: OneOf<SensorAt> = "sensor_at", Required, "where the sensor or cable takes its turns";
    TRANSPORT: OneOf<Transport> = "transport", Optional, "how the turns travel on; electric unless said";
    RING_TEETH: Several<Teeth> = "ring_teeth", Optional, "teeth of the tone ring";
    COUNTS_PER_TURN: Several<Teeth> = "counts_per_turn", Optional, "counts per turn of the sensor's own shaft";
    DRIVE_GEAR: Several<Teeth> = "drive_gear", Optional, "teeth of the gear on the output shaft";
    DRIVEN_GEAR: Several<Teeth> = "driven_gear", Optional, "teeth of the gear on the cable or sensor";
    TRANSFER_LOW_RATIO: Several<PositiveDecimal> = "transfer_low_ratio", Optional, "low range of the transfer case";
    AXLE_RATIO: Several<Axle> = "axle_ratio", Optional, "turns of the propeller shaft per turn of the wheels";
    GEAR_RATIOS: List<PositiveDecimal> = "gear_ratios", Optional,
        "turns of the engine per turn of the output shaft in each gear, for engine speeds only";
    CONDITIONER: Several<Pair> = "conditioner", Optional, "output counts per input count of a signal conditioner";
    ALSO_FEEDS: List<OneOf<AlsoFeeds>> = "also_feeds", Optional, "what else lives on the same signal";
    OTHERS_READ: OneOf<OthersRead> = "others_read", Optional,
        "which signal that is: the sensor's own wire, what the module passes on, or not known";
});
keys!(head, "Keys of `[head]`.", {} and reader::COUNTS_PER_MILE, reader::COUNTS_PER_KM, reader::TURNS_PER_MILE,
    reader::TURNS_PER_KM, reader::NEEDLE);
keys!(reader, "Keys of `[[reader]]`.", {
    NAME: Text = "name", Required, "dial, odometer, transmission, transfer-case or a name";
    AFTER: OneOf<Branch> = "after", Optional, "which link it branches off; the last one unless said";
    COUNTS_PER_MILE: PerMile = "counts_per_mile", Optional, "counts it takes for a mile";
    COUNTS_PER_KM: PerKilometre = "counts_per_km", Optional, "counts it takes for a kilometre";
    TURNS_PER_MILE: PerMile = "turns_per_mile", Optional, "turns of its cable that it takes for a mile";
    TURNS_PER_KM: PerKilometre = "turns_per_km", Optional, "turns of its cable that it takes for a kilometre";
    NEEDLE: OneOf<Needle> = "needle", Optional, "whether it has a pointer or digits";
});
keys!(adjuster, "Keys of every `[adjuster]`.", {
    NAME: Text = "name", Optional, "which one, where there are several";
    WRITES_LEFT: AnyCount = "writes_left", Optional, "how often it can still be set; unlimited unless said";
    PUTS_OUT_PER_MILE: PerMile = "puts_out_per_mile", Optional,
        "counts that a module with a constant puts out for each mile it reckons";
    PUTS_OUT_PER_KM: PerKilometre = "puts_out_per_km", Optional,
        "counts that a module with a constant puts out for each kilometre it reckons";
});
keys!(stepped_constant is "stepped-constant", "A stored constant that buttons step through.", {
    COUNTS_PER_MILE_PER_UNIT: PositiveDecimal = "counts_per_mile_per_unit", Optional,
        "the constant is counts per mile over this";
    COUNTS_PER_KM_PER_UNIT: PositiveDecimal = "counts_per_km_per_unit", Optional,
        "the constant is counts per kilometre over this";
    MIN: PositiveDecimal = "min", Required, "least value, included";
    MAX: PositiveDecimal = "max", Required, "greatest value, included";
    STEP: AnyDecimal = "step", Required, "from one value to the next";
    BUTTONS: List<OneOf<Button>> = "buttons", Required, "which way its buttons step";
    WRAPS: Flag = "wraps", Optional, "whether it goes on at the other end; false unless said";
    PRESENT: PositiveDecimal = "present", Optional, "the value stored now";
    DISPLAY: Text = "display", Optional, "how the module shows the present value";
});
keys!(free_constant is "free-constant", "A whole number typed into a module.", {
    UNIT: OneOf<ConstantUnit> = "unit", Required, "what the number counts";
    MIN: Times = "min", Required, "least value, included";
    MAX: Times = "max", Required, "greatest value, included";
    PRESENT: Times = "present", Optional, "the value stored now";
});
keys!(gear_pair is "gear-pair", "Drive gear and driven gear of a cable or sensor.", {
    DRIVE_GEARS: List<Teeth> = "drive_gears", Required, "teeth of the drive gears that can be had";
    DRIVEN_GEARS: List<Teeth> = "driven_gears", Required, "teeth of the driven gears that can be had";
    MESHING: List<Pair> = "meshing", Optional, "pairs that mesh, drive/driven; all unless said";
    PRESENT: Pair = "present", Optional, "the pair fitted now, drive/driven";
});
keys!(pulse_ratio is "pulse-ratio", "A conditioner that multiplies the counts by a fraction.", {
    NUMERATOR_MAX: Times = "numerator_max", Optional, "greatest number above the line";
    DENOMINATOR_MAX: Times = "denominator_max", Optional, "greatest number below the line";
    SWITCH_WEIGHTS: List<Times> = "switch_weights", Optional, "what each switch adds above the line";
    SWITCH_DENOMINATOR: Times = "switch_denominator", Optional,
        "the number below the line with switches; the sum of all weights plus 1 unless said";
    PRESENT: Pair = "present", Optional, "output counts per input count now";
});
keys!(declared_tire_axle is "declared-tire-axle", "A module that is told a tire and an axle.", {
    REVS_PER_MILE: GridTable = "revs_per_mile", Required, "the tires it can be told, as revolutions per mile";
    AXLE_RATIOS: List<Axle> = "axle_ratios", Optional, "the axles it can be told";
    PRESENT: Declared = "present", Optional, "what it is told now";
});
keys!(cable_adapter is "cable-adapter", "A small gearbox in the cable.", {
    RATIOS: List<Pair> = "ratios", Required, "output turns per input turn of those that can be had";
    PRESENT: Pair = "present", Optional, "the one fitted now; 1/1 for none";
});
keys!(tone_ring is "tone-ring", "Toothed rings that fit.", {
    TEETH: List<Teeth> = "teeth", Required, "teeth of the rings that fit";
    PRESENT: Teeth = "present", Optional, "teeth of the ring fitted now";
});
keys!(tires is "tires", "Nothing left to set but the tires themselves.", {
    SIZES: List<Text> = "sizes", Required, "sizes the owner would fit";
});
keys!(grid, "A range of values.", {
    MIN: PositiveDecimal = "min", Required, "least value, included";
    MAX: PositiveDecimal = "max", Required, "greatest value, included";
    STEP: AnyDecimal = "step", Required, "from one value to the next";
});
keys!(usage, "Keys of `[use]`.", {
    MAKE_TRUE: OneOf<MakeTrue> = "make_true", Optional, "what shall be true where one setting cannot serve both";
    SPEEDS_MPH: List<MilesPerHour> = "speeds_mph", Optional, "least and greatest usual speed, in mph";
    SPEEDS_KM_H: List<KilometresPerHour> = "speeds_km_h", Optional, "least and greatest usual speed, in km/h";
    TOP_SPEED_MPH: MilesPerHour = "top_speed_mph", Optional, "what the vehicle reaches, in mph";
    TOP_SPEED_KM_H: KilometresPerHour = "top_speed_km_h", Optional, "what the vehicle reaches, in km/h";
    RULE: RuleKind = "rule", Optional, "what it shall be judged by; true unless said";
    RESERVE: AnyCount = "reserve", Optional, "writes to keep; none unless said";
    VEHICLE_LOG: Flag = "vehicle_log", Optional,
        "whether the vehicle's own speed can be logged; asked for unless said, and never so on a cable";
    WORTH_A_WRITE_PERCENT: Percent = "worth_a_write_percent", Optional,
        "by how much a write must lower the expected error; 0.5 unless said";
    WORTH_MEASURING_PERCENT: Percent = "worth_measuring_percent", Optional,
        "by how much a measurement must lower the error of what would be stored; 0.25 unless said";
    WORTH_DECIDING_PERCENT: Percent = "worth_deciding_percent", Optional,
        "what a decision that a measurement changes must be worth on average; 0.05 unless said";
    CHANCE_WORTH_MEASURING_PERCENT: Percent = "chance_worth_measuring_percent", Optional,
        "from which probability of another decision or a second write it is measured first; 20 unless said";
    CHANCE_OF_BREAKING_PERCENT: Percent = "chance_of_breaking_percent", Optional,
        "up to which chance of breaking it a rule counts as kept; 5 unless said";
    SLOW_COUNTS_PERCENT: Percent = "slow_counts_percent", Optional,
        "how much an error on the slow side counts beside one on the fast side; 150 unless said";
    SLOW_HAZARD_PERCENT: Percent = "slow_hazard_percent", Optional,
        "from how far on a slow dial is called a hazard; 1 unless said";
    CHANCE_OF_WORSE_PERCENT: Percent = "chance_of_worse_percent", Optional,
        "from which probability of leaving the truck worse a write is measured first; 1 unless said";
    FAR_OFF_PERCENT: Percent = "far_off_percent", Optional,
        "from how far off on a reading is checked before anything is stored; 50 unless said";
    TIRE_PRESSURE_PSI: TirePressure = "tire_pressure_psi", Optional, "usual pressure of the tires, cold, in psi";
    TIRE_PRESSURE_KPA: TirePressureKpa = "tire_pressure_kpa", Optional, "usual pressure of the tires, cold, in kPa";
    TIRE_LOAD_PERCENT: TireLoad = "tire_load_percent", Optional,
        "usual load on a tire, in per cent of what its sidewall rates it for";
});
keys!(band, "A band of the owner's own: what is shown may differ from the truth by a share of the truth and an amount.", {
    OVER_PERCENT: Percent = "over_percent", Optional, "how far it may read fast, in per cent of the truth";
    OVER_OFFSET: TypedSpeed = "over_offset", Optional, "how far it may read fast beside that";
    UNDER_PERCENT: Percent = "under_percent", Optional, "how far it may read slow, in per cent of the truth";
    UNDER_OFFSET: TypedSpeed = "under_offset", Optional, "how far it may read slow beside that";
    JUDGES: OneOf<Judges> = "judges", Optional, "needle or distance; needle unless said";
    SPEEDS_MPH: List<MilesPerHour> = "speeds_mph", Optional, "true speeds at which it is judged, in mph";
    SPEEDS_KM_H: List<KilometresPerHour> = "speeds_km_h", Optional, "true speeds at which it is judged, in km/h";
});
keys!(evidence, "Keys of every `[[evidence]]`.", {
    LABEL: Text = "label", Optional, "what it is called in answers";
    DATE: Day = "date", Optional, "when it was taken";
    SETTING: SettingOf = "setting", Optional, "what was set then";
    TIRES: Text = "tires", Optional, "which set of tires was on";
    LOW_RANGE: Flag = "low_range", Optional, "whether the transfer case was in low";
    TIRE_PRESSURE_PSI: TirePressure = "tire_pressure_psi", Optional, "pressure of the tires then, cold, in psi";
    TIRE_PRESSURE_KPA: TirePressureKpa = "tire_pressure_kpa", Optional, "pressure of the tires then, cold, in kPa";
    TIRE_LOAD_PERCENT: TireLoad = "tire_load_percent", Optional,
        "load on a tire then, in per cent of what its sidewall rates it for";
});
keys!(rollout is "rollout", "Wheel turns along a tape.", {
    TURNS: Times = "turns", Required, "turns of the wheel";
    LENGTH: TypedLength = "length", Optional, "length rolled in one try";
    LENGTHS: List<TypedLength> = "lengths", Optional, "lengths rolled in several tries";
    MEASURED_TO_NEAREST: TypedLength = "measured_to_nearest", Optional,
        "to the nearest what the length was measured; to the last digit typed unless said";
});
keys!(loaded_radius is "loaded-radius", "Height of the wheel's centre above the ground.", {
    RADIUS: TypedLength = "radius", Required, "from the ground to the centre of the wheel";
    MEASURED_TO_NEAREST: TypedLength = "measured_to_nearest", Optional,
        "to the nearest what the length was measured; to the last digit typed unless said";
});
keys!(published is "published", "A figure from a data sheet.", {
    REVS_PER_MILE: PerMile = "revs_per_mile", Optional, "revolutions per mile";
    REVS_PER_KM: PerKilometre = "revs_per_km", Optional, "revolutions per kilometre";
});
keys!(timed_mile is "timed-mile", "A stopwatch over a known distance at a steady reading.", {
    INDICATED: TypedSpeed = "indicated", Required, "the speed shown";
    SECONDS: Several<Seconds> = "seconds", Required, "time of each run";
    DISTANCE: TypedLength = "distance", Optional, "how far; one mile unless said";
    MEASURED_TO_NEAREST: TypedLength = "measured_to_nearest", Optional,
        "to the nearest what the length was measured; to the last digit typed unless said";
});
keys!(odometer_distance is "odometer-distance", "The odometer against a known distance.", {
    INDICATED: TypedLength = "indicated", Optional, "distance shown; or give both readings";
    ODOMETER_START: TypedReading = "odometer_start", Optional, "odometer at the start";
    ODOMETER_END: TypedReading = "odometer_end", Optional, "odometer at the end";
    TRUE: TypedLength = "true", Required, "distance travelled";
    MEASURED_TO_NEAREST: TypedLength = "measured_to_nearest", Optional,
        "to the nearest what the length was measured; to the last digit typed unless said";
    RESOLUTION: TypedLength = "resolution", Optional, "least step of the odometer";
    ODOMETER_READ: OneOf<OdometerRead> = "odometer_read", Optional,
        "how both readings were taken: digits as they stood (unless said), between two digits by eye with one digit more typed, or just as the last digit turned";
});
keys!(hold is "hold", "A steady reading against a true speed.", {
    INDICATED: TypedSpeed = "indicated", Required, "the speed shown";
    TRUE: TypedSpeed = "true", Required, "the speed travelled";
    READ_FROM: OneOf<ReadFrom> = "read_from", Optional,
        "where whoever read the dial sat; the passenger's seat unless said, from where a pointer is read less closely";
});
keys!(drive is "drive", "A logged drive.", {
    TRACK: Text = "track", Required, "file of positions";
    VEHICLE_LOG: Text = "vehicle_log", Optional, "file of the vehicle's own speed";
    HOLDS: List<TypedSpeed> = "holds", Optional, "steady speeds called out, in order";
    READ_FROM: OneOf<ReadFrom> = "read_from", Optional,
        "where whoever called out the speeds sat; the passenger's seat unless said, from where a pointer is read less closely";
    ODOMETER_START: TypedReading = "odometer_start", Optional, "odometer at the start";
    ODOMETER_END: TypedReading = "odometer_end", Optional, "odometer at the end";
    ODOMETER_READ: OneOf<OdometerRead> = "odometer_read", Optional,
        "how both readings were taken: digits as they stood (unless said), between two digits by eye with one digit more typed, or just as the last digit turned";
    MARKED: OneOf<MarkedReading> = "marked", Optional,
        "what of the marks in the track is taken: the speeds held, or the odometer as it turned";
    TRACK_COLUMNS: Columns = "track_columns", Optional, "which columns of a CSV track to take, with units";
    VEHICLE_COLUMNS: Columns = "vehicle_columns", Optional,
        "which columns of a CSV vehicle log to take, with units";
    CAN_SIGNAL: CanSignalText = "can_signal", Optional, "where the speed stands in a CAN log, if no standard says it";
    DBC: Text = "dbc", Optional, "a DBC file that says where it stands";
    SIGNAL: Text = "signal", Optional,
        "the name of the signal in the DBC file, SIGNAL or MESSAGE.SIGNAL; its only speed unless said";
    HILLY: Flag = "hilly", Optional, "whether the road went through hills: without good heights its length is less sure";
});
keys!(pulses is "pulses", "A recording or a count of pulses.", {
    FILE: Text = "file", Optional, "the recording";
    CHANNEL: Text = "channel", Optional, "which channel of the recording, by name, or by number from 1";
    COUNT: Times = "count", Optional, "pulses counted";
    DISTANCE: TypedLength = "distance", Optional, "how far the vehicle went meanwhile";
    MEASURED_TO_NEAREST: TypedLength = "measured_to_nearest", Optional,
        "to the nearest what the length was measured; to the last digit typed unless said";
    TRACK: Text = "track", Optional, "file of a track of the drive that was recorded; the clocks need not agree";
    TURNS: PositiveDecimal = "turns", Optional, "turns made meanwhile";
    TURNS_OF: OneOf<TurnsOf> = "turns_of", Optional, "what made the turns";
    WHEELS: OneOf<WheelsTurned> = "wheels", Optional, "whether one wheel turned with the other held, or both";
    TAPPED_AT: OneOf<TappedAt> = "tapped_at", Optional, "where the wire was tapped; sensor unless said";
});
keys!(shaft_speed is "shaft-speed", "Speed of a shaft at a true speed.", {
    RPM: RevsPerMinute = "rpm", Required, "turns of the shaft per minute";
    TRUE: TypedSpeed = "true", Required, "the speed travelled";
    SHAFT: OneOf<Shaft> = "shaft", Required, "which shaft";
});
keys!(engine_speed is "engine-speed", "Speed of the engine in a locked gear at a true speed.", {
    RPM: RevsPerMinute = "rpm", Required, "turns of the engine per minute";
    TRUE: TypedSpeed = "true", Required, "the speed travelled";
    GEAR_RATIO: PositiveDecimal = "gear_ratio", Required, "turns of the engine per turn of the output shaft";
});
keys!(shaft_turns is "shaft-turns", "Turns of the propeller shaft against turns of a wheel, by hand.", {
    SHAFT: PositiveDecimal = "shaft", Required, "turns of the propeller shaft";
    WHEEL: PositiveDecimal = "wheel", Required, "turns of the wheel";
    WHEELS: OneOf<WheelsTurned> = "wheels", Required, "whether one wheel turned with the other held, or both";
});
keys!(earlier is "earlier", "An earlier calibration.", {
    REVS_PER_MILE: PerMile = "revs_per_mile", Optional, "revolutions per mile found then";
    REVS_PER_KM: PerKilometre = "revs_per_km", Optional, "revolutions per kilometre found then";
    STANDARD_UNCERTAINTY: PerMile = "standard_uncertainty", Required,
        "one standard deviation of it, in the same unit";
});
keys!(written, "Keys of `[[written]]`.", {
    DATE: Day = "date", Required, "when it was written";
    FROM: OneSetting = "from", Required, "what was set before";
    TO: OneSetting = "to", Required, "what was set";
    ADJUSTER: Text = "adjuster", Optional, "name of the adjuster, where there are several; the first unless said";
    ODOMETER: TypedReading = "odometer", Optional, "what the odometer showed";
});
keys!(plan, "Keys of `[[plan]]`.", {
    TIRES: Text = "tires", Required, "name of a set of tires, or a size";
    MILES: PositiveDecimal = "miles", Optional, "how far they will be driven, in miles";
    KM: PositiveDecimal = "km", Optional, "how far they will be driven, in kilometres";
    AXLE_RATIO: Axle = "axle_ratio", Optional, "the axle that will be fitted by then";
    TREAD_AT_END: TypedLength = "tread_at_end", Optional, "depth of their tread at the end of it";
});
keys!(fault, "Keys of `[[fault]]`.", {
    TOUCHES: OneOf<Touches> = "touches", Required, "what it has to do with";
    NOTE: Text = "note", Optional, "what it is";
    MENDED: Flag = "mended", Optional, "whether it is done with; false unless said";
});
