//! A paper as it is wanted.

use crate::paper::sheet::Paper;
use crate::work::typed;
use jiff::civil::Date;
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Deserialize;
use truing::problem::{Problem, Problems};

/// A paper as it is wanted.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Wanted {
    /// Which: `job-sheet`, `speed-card`, `tires`, `history` or `door-frame`; `.pdf` behind it does no harm.
    pub document: String,
    /// Size of the sheets: `letter` or `a4`; that of the owner's units when left out.
    pub paper: Option<String>,
    /// The day on it; the last day of which the input speaks when left out.
    pub date: Option<String>,
    /// Gear ratios for the engine speeds on the speed card: `2.50, 1.50, 1.00`.
    pub gears: Option<String>,
    /// Sizes for the comparison of tires beside those in the file, a comma between them.
    pub tires: Option<String>,
    /// An address for the code on the job sheet, instead of the vehicle file itself.
    pub link: Option<String>,
}

/// The same, read.
#[derive(Default)]
pub struct Choice {
    /// Size of the sheets.
    pub paper: Option<Paper>,
    /// The day on it.
    pub date: Option<Date>,
    /// Gear ratios.
    pub gears: Vec<Decimal>,
    /// Sizes to compare.
    pub tires: Vec<String>,
    /// What the code holds.
    pub link: Option<String>,
}

impl Wanted {
    /// Reads what was typed.
    pub fn choice(&self) -> Result<Choice, Problems> {
        fn said(text: &Option<String>) -> Option<&str> {
            text.as_deref().and_then(typed::given)
        }
        fn listed(text: &Option<String>) -> impl Iterator<Item = &str> {
            said(text).unwrap_or_default().split([',', ';']).map(str::trim).filter(|part| !part.is_empty())
        }
        let wrong = |field: &str, expected: &str, found: &str| {
            vec![Problem::error(field, expected, format!("`{found}`"))]
        };
        let gear = |text: &str| text.parse().map_err(|_| wrong("gears", "ratios such as 2.50, 1.50", text));
        let day = |text: &str| text.parse().map_err(|_| wrong("date", "a day such as 2026-05-02", text));
        let paper = |text: &str| match text {
            "letter" => Ok(Paper::Letter),
            "a4" => Ok(Paper::A4),
            other => Err(wrong("paper", "letter or a4", other)),
        };
        Ok(Choice {
            paper: said(&self.paper).map(paper).transpose()?,
            date: said(&self.date).map(day).transpose()?,
            gears: listed(&self.gears).map(gear).collect::<Result<_, _>>()?,
            tires: listed(&self.tires).map(str::to_string).collect(),
            link: said(&self.link).map(str::to_string),
        })
    }
}
