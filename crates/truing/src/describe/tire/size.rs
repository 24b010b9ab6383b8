//! A tire size with the diameter it promises, and how far that promise can be trusted.

use super::form::{self, Form};
use super::marks::Marks;
use super::{failure, nearest, resolve, scan};
use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio};
use serde::Serialize;

/// Longest text taken for a size, in characters; the longest real one with all its marks has about 50.
const LONGEST_TEXT: usize = 120;

/// How the carcass is built; it decides how far the tire rolls per turn.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Construction {
    /// Radial plies, `R`.
    Radial,
    /// Bias (diagonal) plies, `-` or `D`; belted bias, `B`, too.
    Bias,
}

/// The designation system a size is written in.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum System {
    /// `205/55R16`.
    Metric,
    /// `P235/75R15`.
    PassengerMetric,
    /// `LT265/75R16`.
    LightTruckMetric,
    /// `ST225/75R15`.
    TrailerMetric,
    /// `T145/80D18`.
    TemporaryMetric,
    /// `130/90-16`.
    MotorcycleMetric,
    /// `185R14`.
    MetricWithoutAspect,
    /// `190/65R390`.
    MillimetricRim,
    /// `235-710R460`.
    RunFlatSpecial,
    /// `31x10.50R15LT`.
    Flotation,
    /// `7.50-16LT`.
    LightTruckNumeric,
    /// `10-16.5LT`.
    WideNumeric,
    /// `11R22.5`, `9.00R20`.
    CommercialCode,
    /// `G78-15`.
    Alphanumeric,
    /// `MT90-16`.
    MotorcycleAlphanumeric,
    /// `31.2 in`: not a size but a diameter.
    GivenDiameter,
}

/// What the diameter rests on.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum DiameterBasis {
    /// Rim plus twice the section height.
    Formula,
    /// A row of a table.
    Table,
    /// A diameter printed as part of the size.
    Nominal,
    /// The owner's word.
    Given,
}

/// How the figure came to be known.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HowKnown {
    /// Read in a public table.
    PublicTable,
    /// Computed from the size.
    Computed,
    /// Written down from memory.
    FromMemory,
    /// Two sources disagree.
    Doubtful,
    /// Given by the owner.
    Given,
}

/// A tire size, read.
#[derive(Clone, Debug, PartialEq)]
pub struct TireSize {
    /// The size in canonical writing, without its marks.
    pub designation: String,
    /// The system it is written in.
    pub system: System,
    /// Radial or bias.
    pub construction: Construction,
    /// False where nothing said how it is built and radial was assumed.
    pub construction_is_known: bool,
    /// Section width, where the system or its table tells it.
    pub section_width: Option<Length>,
    /// Section height over section width, where the system tells it.
    pub aspect: Option<Ratio>,
    /// Rim diameter; none for a plain diameter.
    pub rim_diameter: Option<Length>,
    /// The outer diameter as printed in the size, where there is one.
    pub printed_diameter: Option<Length>,
    /// Outer diameter of the tire as made new, inflated, unloaded.
    pub diameter: Measured<Length>,
    /// What the diameter rests on.
    pub diameter_basis: DiameterBasis,
    /// How it is known.
    pub how_known: HowKnown,
    /// Load index, ply rating and the like.
    pub marks: Marks,
    /// What the reader of the size should know, in sentences.
    pub notes: Vec<String>,
}

impl TireSize {
    /// Reads a size or a plain diameter with its unit, forgiving case, spaces and marks.
    ///
    /// # Errors
    /// A [`Problem`] that names the character where reading stopped, or that the size is in no table here.
    ///
    /// ```
    /// use truing::describe::tire::TireSize;
    /// let problem = TireSize::parse("3.00-18").expect_err("a motorcycle size that is in no table here");
    /// assert!(problem.to_string().contains("give the diameter"));
    /// ```
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let chars = scan::clean(text);
        if chars.len() > LONGEST_TEXT {
            return Err(failure::too_long(chars.len(), LONGEST_TEXT));
        }
        let reading = form::read(&chars)
            .map_err(|failure| failure::unreadable(text, &failure, nearest::hint(&chars)))?;
        resolve::resolve(&reading).ok_or_else(|| not_in_table(text, &reading.form))
    }

    /// A tire known by its outer diameter alone, with the caller's own uncertainty; radial unless told.
    ///
    /// # Errors
    /// A diameter that no road tire has, or an uncertainty that is none.
    pub fn of_diameter(
        diameter: Measured<Length>,
        construction: Option<Construction>,
    ) -> Result<Self, Problem> {
        let (value_mm, u_mm) = (diameter.value.mm(), diameter.standard_uncertainty.mm());
        let (low, high) = form::GIVEN_DIAMETER_MM;
        if !(low..=high).contains(&value_mm) || !(0.0..value_mm).contains(&u_mm) {
            return Err(failure::bad_diameter((low, high), value_mm, u_mm));
        }
        Ok(resolve::of_diameter(format!("{value_mm:.1} mm"), diameter, construction))
    }
}

fn not_in_table(text: &str, form: &Form) -> Problem {
    failure::not_in_table(text, &nearest::with_the_same_rim(form))
}

impl core::fmt::Display for TireSize {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let marks = self.marks.to_string();
        let space = if marks.is_empty() { "" } else { " " };
        write!(f, "{}{space}{marks}", self.designation)
    }
}

impl Construction {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Radial => "radial",
            Self::Bias => "bias",
        }
    }
}

impl System {
    /// The name of the system, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::PassengerMetric => "passenger metric",
            Self::LightTruckMetric => "light-truck metric",
            Self::TrailerMetric => "trailer metric",
            Self::TemporaryMetric => "temporary-use metric",
            Self::MotorcycleMetric => "motorcycle metric",
            Self::MetricWithoutAspect => "metric without aspect",
            Self::MillimetricRim => "metric on a millimetric rim",
            Self::RunFlatSpecial => "run-flat special",
            Self::Flotation => "flotation",
            Self::LightTruckNumeric => "light-truck numeric",
            Self::WideNumeric => "wide numeric",
            Self::CommercialCode => "commercial code",
            Self::Alphanumeric => "alphanumeric",
            Self::MotorcycleAlphanumeric => "motorcycle alphanumeric",
            Self::GivenDiameter => "given diameter",
        }
    }
}

impl DiameterBasis {
    /// What the diameter rests on, to stand after "its diameter is".
    pub fn words(self) -> &'static str {
        match self {
            Self::Formula => "worked out from the size",
            Self::Table => "taken from a table",
            Self::Nominal => "taken from the diameter printed in the size",
            Self::Given => "as given",
        }
    }
}

impl HowKnown {
    /// How it is known, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::PublicTable => "read in a public table",
            Self::Computed => "computed from the formula",
            Self::FromMemory => "from memory",
            Self::Doubtful => "doubtful: two sources disagree",
            Self::Given => "given by the owner",
        }
    }
}
