//! How far a diameter can be trusted, by where it comes from.
//!
//! Uncertainties, all standard ones, in quadrature:
//! - between makers: UN R30 and R54 permit a section height from 97 % to 104 % of the design (bias: 108 %),
//!   from memory; taken as equally likely throughout, and the offset of the middle of that range counted too
//!   (JCGM 100:2008, 4.3.8). About 1 % of the diameter;
//! - flotation: highway and traction treads differ by 6 mm, from memory; the value stands half way;
//! - from memory: 1 %, the root mean square of recalled minus read over the 14 sizes known both ways
//!   (12 agree, two differ by 27 mm of about 1050 mm);
//! - interchange with a metric size: 2 %, the root mean square of 1.1, 1.2, 2.1 and 2.9 % by which it lies under the recalled
//!   light-truck rows of the same letters (G78-15, H78-15, L78-15, E78-14); no table of the passenger sizes was found; disputed figures: half of what separates them.

use super::size::{Construction, HowKnown};
use super::tables::Diameter;

/// Least and greatest section height over the design height, radial (UN R30, R54; from memory).
const HEIGHT_RANGE_RADIAL: (f64, f64) = (0.97, 1.04);
/// The same for bias tires.
const HEIGHT_RANGE_BIAS: (f64, f64) = (0.97, 1.08);
/// Relative error of a recalled figure.
const RECALL: f64 = 0.01;
/// Relative error of taking the metric size the trade fits instead: scatter about recalled rows of the same letters, see above.
const INTERCHANGE: f64 = 0.02;
/// Relative error of a diameter that somebody gives, by tape or from a maker's sheet: judgement.
const GIVEN: f64 = 0.005;

/// Standard uncertainty of the diameter from what the rules permit makers, mm.
pub(super) fn growth_mm(both_heights_mm: f64, construction: Construction) -> f64 {
    let (low, high) = match construction {
        Construction::Radial => HEIGHT_RANGE_RADIAL,
        Construction::Bias => HEIGHT_RANGE_BIAS,
    };
    let offset = (low + high) / 2.0 - 1.0;
    both_heights_mm * ((high - low) / 12f64.sqrt()).hypot(offset)
}

/// Diameter and what its origin adds to the uncertainty, mm.
pub(super) fn figure(diameter: Diameter) -> (f64, f64, HowKnown, Option<String>) {
    match diameter {
        Diameter::Read(mm) => (mm, 0.0, HowKnown::PublicTable, None),
        Diameter::Recalled(mm) => {
            let note = "The table row is from memory; a measured diameter would be better.";
            (mm, RECALL * mm, HowKnown::FromMemory, Some(note.into()))
        }
        Diameter::Disputed { read_mm, recalled_mm } => {
            let middle_mm = (read_mm + recalled_mm) / 2.0;
            let note = format!(
                "Doubtful: a public table gives {read_mm} mm and memory {recalled_mm} mm; the value stands half way. \
                 Measure the tire."
            );
            (middle_mm, (read_mm - recalled_mm).abs() / 2.0, HowKnown::Doubtful, Some(note))
        }
        Diameter::Interchange(mm) => {
            let note = "Taken from the metric size the trade fits in its place: common practice, no source.";
            (mm, INTERCHANGE * mm, HowKnown::FromMemory, Some(note.into()))
        }
    }
}

/// Standard uncertainty of a diameter that somebody gives, typed in steps of `step_mm`: a rounded figure lies
/// anywhere within its last digit (JCGM 100:2008, F.2.2.1).
pub(super) fn given_mm(diameter_mm: f64, step_mm: f64) -> f64 {
    (GIVEN * diameter_mm).hypot(step_mm / 12f64.sqrt())
}
