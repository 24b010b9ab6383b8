//! Values made of two numbers: teeth over teeth, output over input, a declared tire and axle; and what was stored.

use super::numbers::{AnyDecimal, PositiveDecimal, written};
use crate::describe::adjuster::grid::{Grid, NotAGrid};
use crate::describe::adjuster::setting::{DeclaredSetting, Setting};
use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::decimal::decimal;
use crate::describe::file::document::{Entry, Node};
use crate::describe::file::fraction::Fraction;
use crate::describe::file::key::{Key, Kind};
use crate::describe::file::keys::grid;
use rust_decimal::Decimal;
use serde_json::{Value as Json, json};
use toml::de::DeValue;

/// Two whole numbers as `n/d`, or a decimal that is exactly such a fraction.
pub struct Pair;

impl Kind for Pair {
    type Out = Fraction;
    fn read(node: &Node<'_>) -> Option<Fraction> {
        let text = written(node);
        let read = text
            .and_then(|text| Fraction::parse(&text).or_else(|| Fraction::from_decimal(decimal(&text).ok()?)));
        read.or_else(|| node.not_a::<Self, _>("Write whole numbers above zero, as in \"16/15\""))
    }
    fn expected() -> String {
        "a fraction such as \"16/15\"".into()
    }
    fn schema() -> Json {
        json!({"type": ["string", "number"]})
    }
}

/// An axle ratio: a tooth pair or a decimal.
pub struct Axle;

/// Reads an axle ratio from its text; ratios at or below 1 or above 20 are no axle.
fn axle(text: &str) -> Option<AxleRatio> {
    let ratio = match Fraction::parse(text) {
        Some(teeth) => AxleRatio::Teeth(teeth),
        None => AxleRatio::Decimal(decimal(text).ok()?),
    };
    (ratio.ratio().plain() > 1.0 && ratio.ratio().plain() <= 20.0).then_some(ratio)
}

impl Kind for Axle {
    type Out = AxleRatio;
    fn read(node: &Node<'_>) -> Option<AxleRatio> {
        let read = written(node).and_then(|text| axle(&text));
        read.or_else(|| {
            node.not_a::<Self, _>("Ring gear teeth over pinion teeth, or the decimal with a point")
        })
    }
    fn expected() -> String {
        "an axle ratio between 1 and 20, such as \"46/11\" or 4.18".into()
    }
    fn schema() -> Json {
        json!({"type": ["string", "number"]})
    }
}

/// A tire's revs per mile and an axle ratio, as a module is told them: `700 x 3.55`.
pub struct Declared;

/// Reads a declared tire and axle.
pub fn declared(text: &str) -> Option<DeclaredSetting> {
    let (revs, ratio) = match text.split_once(['x', 'X', '×']) {
        Some((revs, ratio)) => (revs, Some(axle(ratio)?)),
        None => (text, None),
    };
    let revs_per_mile = decimal(revs).ok().filter(|revs| *revs > Decimal::ZERO)?;
    Some(DeclaredSetting { revs_per_mile, axle_ratio: ratio })
}

impl Kind for Declared {
    type Out = DeclaredSetting;
    fn read(node: &Node<'_>) -> Option<DeclaredSetting> {
        let read = written(node).and_then(|text| declared(&text));
        read.or_else(|| node.not_a::<Self, _>("Write revs per mile, then x, then the axle ratio"))
    }
    fn expected() -> String {
        "declared revs per mile and axle ratio, such as \"700 x 3.55\"".into()
    }
    fn schema() -> Json {
        json!({"type": ["string", "number"]})
    }
}

/// A table `{ min, max, step }`.
pub struct GridTable;

impl Kind for GridTable {
    type Out = Grid;
    fn read(node: &Node<'_>) -> Option<Grid> {
        let DeValue::Table(table) = node.value else {
            return node.not_a::<Self, _>("Write as in { min = 500, max = 900, step = 1 }");
        };
        let entry = Entry::inside(node, table, grid::KEYS);
        read_grid(&entry, &grid::MIN, &grid::MAX, &grid::STEP)
    }
    fn expected() -> String {
        "a table with min, max and step".into()
    }
    fn schema() -> Json {
        crate::describe::file::schema::table(grid::KEYS)
    }
}

/// Reads a grid from the three keys that describe it.
pub fn read_grid(
    entry: &Entry<'_>,
    min: &Key<PositiveDecimal>,
    max: &Key<PositiveDecimal>,
    step: &Key<AnyDecimal>,
) -> Option<Grid> {
    let (least, greatest, pace) = (entry.get(min), entry.get(max), entry.get(step));
    let (least, greatest, pace) = (least?, greatest?, pace?);
    let (step, max) = (entry.place(step), entry.place(max));
    match Grid::new(least, greatest, pace) {
        Ok(grid) => Some(grid),
        Err(NotAGrid::StepNotPositive) => step.wrong("a step above zero", step.found(), ""),
        Err(NotAGrid::EmptyRange) => {
            max.wrong(format!("more than the lowest value, {least}"), max.found(), "")
        }
        Err(NotAGrid::StepDoesNotDivide) => {
            let hint = "Both ends are values themselves: see whether one of the three is mistyped";
            step.wrong(format!("a step that leads from {least} exactly to {greatest}"), step.found(), hint)
        }
        Err(NotAGrid::TooMany) => step.wrong("at most a million values", step.found(), "Take a larger step"),
    }
}

/// What an adjuster is or was set to, for any kind of adjuster.
pub struct OneSetting;

impl Kind for OneSetting {
    type Out = Setting;
    fn read(node: &Node<'_>) -> Option<Setting> {
        let Some(text) = written(node).filter(|text| !text.trim().is_empty()) else {
            return node.not_a::<Self, _>("Write it as it stands at the adjuster's `present`");
        };
        Some(Setting::parse(&text))
    }
    fn expected() -> String {
        "a setting such as \"1416\", \"8/20\" or \"700 x 3.55\"".into()
    }
    fn schema() -> Json {
        json!({"type": ["string", "number"]})
    }
}

/// One setting, which is that of the first adjuster, or a table of settings by the names of the adjusters.
pub struct SettingOf;

impl Kind for SettingOf {
    type Out = Vec<(Option<String>, Setting)>;
    fn read(node: &Node<'_>) -> Option<Self::Out> {
        let DeValue::Table(table) = node.value else {
            return OneSetting::read(node).map(|setting| vec![(None, setting)]);
        };
        let entry = Entry::new(node.document, node.part.clone(), node.offset, table);
        let read: Vec<Option<_>> = entry
            .pairs()
            .map(|(name, value)| OneSetting::read(&value).map(|setting| (Some(name.to_string()), setting)))
            .collect();
        read.into_iter().collect()
    }
    fn expected() -> String {
        format!("{}, or a table of these by the names of the adjusters", OneSetting::expected())
    }
    fn schema() -> Json {
        json!({"anyOf": [OneSetting::schema(), {"type": "object", "additionalProperties": OneSetting::schema()}]})
    }
}
