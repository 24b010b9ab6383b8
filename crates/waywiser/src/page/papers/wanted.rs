//! A paper as it is wanted.

use crate::page::addresses::encoded;
use crate::paper::sheet::Paper;
use crate::work::set::{REPEAT_AFTER_S, held_down};
use crate::work::typed;
use jiff::civil::Date;
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Deserialize;
use truing::problem::{Problem, Problems};
use truing::set::Repeat;

/// A paper as it is wanted.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Wanted {
    /// Which: `job-sheet`, `measuring-sheet`, `proof-sheet`, `speed-card`, `tires`, `history`, `door-frame` or `sale-sheet`;
    /// `.pdf` behind it does no harm.
    pub document: String,
    /// Size of the sheets: `letter` or `a4`; that of the owner's units when left out.
    pub paper: Option<String>,
    /// The day on it; the last day of which the input speaks when left out.
    pub date: Option<String>,
    /// Gear ratios for the engine speeds on the speed card: `2.50, 1.50, 1.00`.
    pub gears: Option<String>,
    /// Sizes for the comparison of tires beside those in the file, a comma between them.
    pub tires: Option<String>,
    /// An address to print as a code on the job sheet, for a phone.
    pub link: Option<String>,
    /// The value to store instead of the advised one, for the job sheet.
    pub to: Option<String>,
    /// Which adjuster `to` is for, where there are several.
    pub adjuster: Option<String>,
    /// `yes`: the job sheet even where the truck would read worse with that value than now.
    pub even_if_worse: Option<String>,
    /// Why it is to be stored although the advice is to check first.
    pub despite: Option<String>,
    /// What the display shows by now, to plan again from there.
    pub shows: Option<String>,
    /// Steps a second that a held button makes by itself.
    pub repeat: Option<String>,
    /// Seconds until a held button goes on by itself.
    pub repeat_after: Option<String>,
    /// The rule to keep, or to be proved.
    pub rule: Option<String>,
    /// Writes to keep.
    pub reserve: Option<String>,
    /// Which measurement the measuring sheet is for.
    pub measurement: Option<String>,
    /// For the sale sheet: the model year.
    pub model_year: Option<String>,
    /// For the sale sheet: the day of the transfer.
    pub transfer: Option<String>,
    /// For the sale sheet: the gross vehicle weight rating in pounds.
    pub gvwr_lb: Option<String>,
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
    /// How a held button goes on.
    pub repeat: Option<Repeat>,
    /// Writes to keep.
    pub reserve: Option<u32>,
    /// The model year.
    pub model_year: Option<i16>,
    /// The day of the transfer.
    pub transfer: Option<Date>,
    /// The gross vehicle weight rating in pounds.
    pub gvwr_lb: Option<u32>,
}

/// What was said in a field.
pub fn said(text: &Option<String>) -> Option<&str> {
    text.as_deref().and_then(typed::given)
}

impl Wanted {
    /// Its fields that are texts, in the order of an address.
    pub fn fields(&self) -> [(&'static str, &Option<String>); 18] {
        [
            ("paper", &self.paper),
            ("date", &self.date),
            ("gears", &self.gears),
            ("tires", &self.tires),
            ("link", &self.link),
            ("to", &self.to),
            ("adjuster", &self.adjuster),
            ("even_if_worse", &self.even_if_worse),
            ("despite", &self.despite),
            ("shows", &self.shows),
            ("repeat", &self.repeat),
            ("repeat_after", &self.repeat_after),
            ("rule", &self.rule),
            ("reserve", &self.reserve),
            ("measurement", &self.measurement),
            ("model_year", &self.model_year),
            ("transfer", &self.transfer),
            ("gvwr_lb", &self.gvwr_lb),
        ]
    }

    /// What was said, as the query of an address.
    pub fn query(&self) -> String {
        let given = self.fields().into_iter().filter_map(|(name, text)| Some((name, said(text)?)));
        let pairs: Vec<String> = given.map(|(name, text)| format!("{name}={}", encoded(text))).collect();
        if pairs.is_empty() { String::new() } else { format!("?{}", pairs.join("&")) }
    }

    /// Reads what was typed.
    pub fn choice(&self) -> Result<Choice, Problems> {
        fn listed(text: &Option<String>) -> impl Iterator<Item = &str> {
            said(text).unwrap_or_default().split([',', ';']).map(str::trim).filter(|part| !part.is_empty())
        }
        fn number<T: std::str::FromStr>(field: &str, text: &Option<String>) -> Result<Option<T>, Problems> {
            let read = |text: &str| {
                text.parse()
                    .map_err(|_| Problems::from(Problem::error(field, "a number", format!("`{text}`"))))
            };
            said(text).map(read).transpose()
        }
        let wrong = |field: &str, expected: &str, found: &str| {
            vec![Problem::error(field, expected, format!("`{found}`"))]
        };
        let per_second: Option<f64> = number("repeat", &self.repeat)?;
        let after_s: Option<f64> = number("repeat_after", &self.repeat_after)?;
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
            repeat: per_second.map(|rate| held_down(rate, after_s.unwrap_or(REPEAT_AFTER_S))),
            reserve: number("reserve", &self.reserve)?,
            model_year: number("model_year", &self.model_year)?,
            transfer: said(&self.transfer).map(day).transpose()?,
            gvwr_lb: number("gvwr_lb", &self.gvwr_lb)?,
        })
    }
}
