//! What can be set, of every kind, with its range checked.

pub mod grid;
pub(super) mod read;
pub mod setting;
pub mod written;

use crate::describe::adjuster::grid::Grid;
use crate::describe::adjuster::setting::{DeclaredSetting, Setting};
use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::decimal::to_f64;
use crate::describe::file::fraction::Fraction;
use crate::describe::file::words::words;
use metrology::quantity::{PerLength, Ratio};
use rust_decimal::Decimal;

words! {
    /// A direction in which buttons step.
    Button {
        /// To lesser values.
        Down = "down",
        /// To greater values.
        Up = "up",
    }
}

words! {
    /// What a free constant counts.
    ConstantUnit {
        /// Counts per mile.
        PulsesPerMile = "pulses-per-mile",
        /// Counts per kilometre.
        PulsesPerKm = "pulses-per-km",
    }
}

/// One thing that can be set.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjuster {
    /// What it is.
    pub kind: AdjusterKind,
    /// Which one, where there are several.
    pub name: Option<String>,
    /// How often it can still be set; unlimited when `None`.
    pub writes_left: Option<u32>,
    /// What a module with a constant puts out for each length that it reckons.
    pub puts_out: Option<PerLength>,
    /// Line in the file, counted from 1.
    pub line: usize,
}

/// The kinds of adjuster.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum AdjusterKind {
    /// A stored constant that buttons step through.
    SteppedConstant(SteppedConstant),
    /// A whole number typed into a module.
    FreeConstant(FreeConstant),
    /// Drive gear and driven gear.
    GearPair(GearPair),
    /// A conditioner that multiplies the counts by a fraction.
    PulseRatio(PulseRatio),
    /// A module that is told a tire and an axle.
    DeclaredTireAxle(DeclaredTireAxle),
    /// A small gearbox in the cable.
    CableAdapter(CableAdapter),
    /// Toothed rings that fit.
    ToneRing(ToneRing),
    /// Sizes of tires the owner would fit.
    Tires(Vec<String>),
}

impl AdjusterKind {
    /// Whether a signal comes out of it that is not the sensor's own.
    pub fn sits_behind_the_sensor(&self) -> bool {
        self.decides_a_mile() || matches!(self, Self::PulseRatio(_) | Self::CableAdapter(_))
    }

    /// Whether what it is set to decides what is taken for a mile.
    pub fn decides_a_mile(&self) -> bool {
        matches!(self, Self::SteppedConstant(_) | Self::FreeConstant(_) | Self::DeclaredTireAxle(_))
    }
}

/// Counts that one unit of a constant stands for, as they are written.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct PerUnit {
    /// The number.
    pub number: Decimal,
    /// Over which length it counts.
    pub unit: ConstantUnit,
}

impl PerUnit {
    /// The same as a quantity.
    pub fn per_length(self) -> PerLength {
        match self.unit {
            ConstantUnit::PulsesPerMile => PerLength::from_per_mi(to_f64(self.number)),
            ConstantUnit::PulsesPerKm => PerLength::from_per_km(to_f64(self.number)),
        }
    }
}

/// A stored constant that buttons step through.
#[derive(Clone, Debug, PartialEq)]
pub struct SteppedConstant {
    /// What one unit of the constant stands for; unknown when `None`.
    pub per_unit: Option<PerUnit>,
    /// The values it can take.
    pub grid: Grid,
    /// Which way its buttons step, each once, at least one.
    pub buttons: Vec<Button>,
    /// Whether it goes on at the other end.
    pub wraps: bool,
    /// The value stored now, on the grid.
    pub present: Option<Decimal>,
    /// How the module shows the present value.
    pub display: Option<String>,
}

/// A whole number typed into a module.
#[derive(Clone, Debug, PartialEq)]
pub struct FreeConstant {
    /// What it counts.
    pub unit: ConstantUnit,
    /// Least value.
    pub min: u32,
    /// Greatest value.
    pub max: u32,
    /// The value stored now, within the range.
    pub present: Option<u32>,
}

/// Drive gear and driven gear.
#[derive(Clone, Debug, PartialEq)]
pub struct GearPair {
    /// Teeth of the drive gears that can be had.
    pub drive_gears: Vec<u32>,
    /// Teeth of the driven gears that can be had.
    pub driven_gears: Vec<u32>,
    /// Pairs that mesh, drive over driven; all when empty.
    pub meshing: Vec<Fraction>,
    /// The pair fitted now, drive over driven.
    pub present: Option<Fraction>,
}

impl GearPair {
    /// The pairs that can be fitted, drive over driven.
    pub fn pairs(&self) -> Vec<Fraction> {
        let all = self
            .drive_gears
            .iter()
            .flat_map(|drive| self.driven_gears.iter().filter_map(|driven| Fraction::new(*drive, *driven)));
        all.filter(|pair| self.meshing.is_empty() || self.meshing.contains(pair)).collect()
    }
}

/// A conditioner that multiplies the counts by a fraction.
#[derive(Clone, Debug, PartialEq)]
pub struct PulseRatio {
    /// Which fractions it can take.
    pub range: PulseRange,
    /// Output counts per input count now.
    pub present: Option<Fraction>,
}

/// Which fractions a conditioner can take.
#[derive(Clone, Debug, PartialEq)]
pub enum PulseRange {
    /// Any n/d with both from 1 to these.
    Free {
        /// Greatest number above the line.
        numerator_max: u32,
        /// Greatest number below the line.
        denominator_max: u32,
    },
    /// Switches that each add a weight above the line.
    Switches {
        /// What each switch adds.
        weights: Vec<u32>,
        /// The number below the line.
        denominator: u32,
    },
}

/// A module that is told a tire and an axle.
#[derive(Clone, Debug, PartialEq)]
pub struct DeclaredTireAxle {
    /// The tires it can be told, as revolutions per mile.
    pub revs_per_mile: Grid,
    /// The axles it can be told; empty when it does not ask.
    pub axle_ratios: Vec<AxleRatio>,
    /// What it is told now.
    pub present: Option<DeclaredSetting>,
}

/// A small gearbox in the cable.
#[derive(Clone, Debug, PartialEq)]
pub struct CableAdapter {
    /// Output turns per input turn of those that can be had.
    pub ratios: Vec<Fraction>,
    /// The one fitted now; 1/1 for none.
    pub present: Option<Fraction>,
}

/// Toothed rings that fit.
#[derive(Clone, Debug, PartialEq)]
pub struct ToneRing {
    /// Teeth of the rings that fit.
    pub teeth: Vec<u32>,
    /// Teeth of the ring fitted now.
    pub present: Option<u32>,
}

impl Adjuster {
    /// What it is set to now, where that is said.
    pub fn present(&self) -> Option<Setting> {
        match &self.kind {
            AdjusterKind::SteppedConstant(it) => it.present.map(Setting::Number),
            AdjusterKind::FreeConstant(it) => it.present.map(|value| Setting::Number(value.into())),
            AdjusterKind::GearPair(it) => it.present.map(Setting::Pair),
            AdjusterKind::PulseRatio(it) => it.present.map(Setting::Pair),
            AdjusterKind::DeclaredTireAxle(it) => it.present.clone().map(Setting::Declared),
            AdjusterKind::CableAdapter(it) => it.present.map(Setting::Pair),
            AdjusterKind::ToneRing(it) => it.present.map(|teeth| Setting::Number(teeth.into())),
            AdjusterKind::Tires(_) => None,
        }
    }

    /// Whether it can be or have been set so: on its grid or in its range; for parts that are changed by hand any
    /// setting of the right form, since an old part need not be at hand any more.
    pub fn can_be(&self, setting: &Setting) -> bool {
        match (&self.kind, setting) {
            (AdjusterKind::SteppedConstant(it), Setting::Number(value)) => it.grid.index_of(*value).is_some(),
            (AdjusterKind::FreeConstant(it), Setting::Number(value)) => {
                *value >= it.min.into() && *value <= it.max.into() && value.fract().is_zero()
            }
            (AdjusterKind::ToneRing(_), Setting::Number(value)) => {
                *value > Decimal::ZERO && value.fract().is_zero()
            }
            (
                AdjusterKind::GearPair(_) | AdjusterKind::PulseRatio(_) | AdjusterKind::CableAdapter(_),
                setting,
            ) => {
                matches!(setting, Setting::Pair(_))
            }
            (AdjusterKind::DeclaredTireAxle(_), Setting::Declared(_) | Setting::Number(_)) => true,
            (AdjusterKind::Tires(_), _) => true,
            _ => false,
        }
    }

    /// The settings that it can take next to one that it cannot; none where it has no row of values.
    pub fn nearest(&self, setting: &Setting) -> Vec<Setting> {
        let Setting::Number(value) = setting else { return Vec::new() };
        let wanted = to_f64(*value);
        let near = match &self.kind {
            AdjusterKind::SteppedConstant(it) => {
                let first = it.grid.nearest(Ratio::from_plain(wanted));
                let step = if first < *value { it.grid.step() } else { -it.grid.step() };
                let second = first.checked_add(step).filter(|other| it.grid.index_of(*other).is_some());
                let is_inside = *value > it.grid.min() && *value < it.grid.max();
                // A display without its point shows 8.32 as 832.
                let shifted = [10_u32, 100, 1000].map(|by| value.checked_div(by.into()));
                let shifted = shifted.into_iter().flatten().find(|one| it.grid.index_of(*one).is_some());
                [shifted, Some(first), second.filter(|_| is_inside)].into_iter().flatten().collect()
            }
            AdjusterKind::FreeConstant(it) => {
                let ends = (f64::from(it.min), f64::from(it.max));
                vec![Decimal::from(wanted.round().clamp(ends.0, ends.1) as u32)]
            }
            _ => Vec::new(),
        };
        near.into_iter().map(Setting::Number).collect()
    }

    /// Takes a setting as the present one; a setting of another kind changes nothing.
    pub(crate) fn set_present(&mut self, setting: &Setting) {
        match (&mut self.kind, setting) {
            (AdjusterKind::SteppedConstant(it), Setting::Number(value)) => it.present = Some(*value),
            (AdjusterKind::FreeConstant(it), Setting::Number(value)) => {
                it.present = u32::try_from(*value).ok().or(it.present);
            }
            (AdjusterKind::GearPair(it), Setting::Pair(pair)) => it.present = Some(*pair),
            (AdjusterKind::PulseRatio(it), Setting::Pair(pair)) => it.present = Some(*pair),
            (AdjusterKind::DeclaredTireAxle(it), Setting::Declared(declared)) => {
                it.present = Some(declared.clone())
            }
            (AdjusterKind::CableAdapter(it), Setting::Pair(pair)) => it.present = Some(*pair),
            (AdjusterKind::ToneRing(it), Setting::Number(teeth)) => {
                it.present = u32::try_from(*teeth).ok().or(it.present);
            }
            _ => {}
        }
    }

    /// Whether setting it costs neither a write that is counted nor a part that is bought.
    pub fn is_free(&self) -> bool {
        let is_set = !matches!(
            self.kind,
            AdjusterKind::GearPair(_)
                | AdjusterKind::CableAdapter(_)
                | AdjusterKind::ToneRing(_)
                | AdjusterKind::Tires(_)
        );
        is_set && self.writes_left.is_none()
    }

    /// Its name, or its kind where it has none.
    pub fn called(&self) -> &str {
        self.name.as_deref().unwrap_or_else(|| self.kind_word())
    }

    /// Its name, or what it is in the words of the trade where it has none: for people, where [`Self::called`] is for files.
    pub fn spoken(&self) -> &str {
        self.name.as_deref().unwrap_or(match self.kind {
            AdjusterKind::SteppedConstant(_) => "stored constant",
            AdjusterKind::FreeConstant(_) => "typed constant",
            AdjusterKind::GearPair(_) => "pair of gears",
            AdjusterKind::PulseRatio(_) => "conditioner",
            AdjusterKind::DeclaredTireAxle(_) => "declared tire and axle",
            AdjusterKind::CableAdapter(_) => "cable adapter",
            AdjusterKind::ToneRing(_) => "tone ring",
            AdjusterKind::Tires(_) => "tires",
        })
    }

    /// The word for its kind.
    pub fn kind_word(&self) -> &'static str {
        match self.kind {
            AdjusterKind::SteppedConstant(_) => crate::describe::file::keys::stepped_constant::VARIANT.word,
            AdjusterKind::FreeConstant(_) => crate::describe::file::keys::free_constant::VARIANT.word,
            AdjusterKind::GearPair(_) => crate::describe::file::keys::gear_pair::VARIANT.word,
            AdjusterKind::PulseRatio(_) => crate::describe::file::keys::pulse_ratio::VARIANT.word,
            AdjusterKind::DeclaredTireAxle(_) => {
                crate::describe::file::keys::declared_tire_axle::VARIANT.word
            }
            AdjusterKind::CableAdapter(_) => crate::describe::file::keys::cable_adapter::VARIANT.word,
            AdjusterKind::ToneRing(_) => crate::describe::file::keys::tone_ring::VARIANT.word,
            AdjusterKind::Tires(_) => crate::describe::file::keys::tires::VARIANT.word,
        }
    }
}
