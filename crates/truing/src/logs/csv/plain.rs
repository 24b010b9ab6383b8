//! Rows of plain numbers, read in one pass from sign to sign: what nearly every row of a log is.
//!
//! Whatever else a row may hold (a quotation mark, a decimal comma, a cell too many, a value nobody believes) is left to
//! the general way, which is slower and says what it finds.

use super::super::bounds::plain_decimal_at;
use super::super::time::{DateOrder, calendar_time_in};
use super::clock::{Form, LATEST_S, of_number};
use super::columns::Role;
use super::rows::{Row, is_position, possible};
use super::select::Plan;

/// What is done with a cell.
#[derive(Copy, Clone, Debug, PartialEq)]
enum CellAction {
    Skip,
    Number { role: Role, factor: f64 },
    Seconds { factor: f64 },
    Moment { order: Option<DateOrder> },
}

/// The cells of a row in their order.
#[derive(Clone, Debug)]
pub(super) struct PlainRows {
    steps: Vec<CellAction>,
}

impl PlainRows {
    /// What a plan asks for, once it is known how times are written; `None` where no row can be plain.
    pub(super) fn new(plan: &Plan) -> Option<Self> {
        let mut steps = vec![CellAction::Skip; plan.width];
        if let Some(time) = &plan.time {
            *steps.get_mut(time.index)? = match time.form? {
                Form::Number { factor } => CellAction::Seconds { factor },
                Form::Calendar => CellAction::Moment { order: time.date_order },
                Form::DateBesideTime | Form::TimeOfDay | Form::MinutesSeconds => return None,
            };
        }
        if plan.numbers.iter().any(|column| is_position(column.role)) && !plan.positions.are_plain() {
            return None;
        }
        for column in &plan.numbers {
            match steps.get_mut(column.index)? {
                free @ CellAction::Skip => {
                    *free = CellAction::Number { role: column.role, factor: column.factor }
                }
                // One column for two things.
                _ => return None,
            }
        }
        plan.segment.is_none().then_some(Self { steps })
    }

    /// Reads the row at the start of `text`; its length with the line end. `None` where the general way has to look.
    pub(super) fn row(&self, text: &[u8], separator: u8, row: &mut Row) -> Option<usize> {
        let mut rest = text;
        let (last, others) = self.steps.split_last()?;
        for step in others {
            rest = step.cell(rest, separator, row)?;
            rest = rest.split_first().filter(|(sign, _)| **sign == separator)?.1;
        }
        rest = last.cell(rest, separator, row)?;
        let end = rest.strip_prefix(b"\r").unwrap_or(rest).strip_prefix(b"\n")?;
        Some(text.len() - end.len())
    }
}

impl CellAction {
    /// Reads the cell at the start of a text into a row; what follows the cell.
    #[inline(always)]
    fn cell<'a>(self, text: &'a [u8], separator: u8, row: &mut Row) -> Option<&'a [u8]> {
        if let Self::Skip = self {
            return Some(cell_end(text, separator)?.1);
        }
        let text = &text[text.iter().position(|sign| *sign != b' ')?..];
        // Nothing in the cell is nothing in the row.
        if text[0] == separator || matches!(text[0], b'\n' | b'\r') {
            return Some(text);
        }
        match self {
            Self::Skip => Some(text),
            Self::Number { role, factor } => {
                let (value, decimals, rest) = plain_decimal_at(text)?;
                let si = value * factor;
                if role == Role::Speed {
                    row.speed_decimals = i32::try_from(decimals).ok();
                }
                possible(role, si).then(|| row.set(role, si))?;
                Some(rest)
            }
            Self::Seconds { factor } => {
                let (value, _, rest) = plain_decimal_at(text)?;
                let seconds = of_number(value, factor);
                (seconds.abs() <= LATEST_S).then(|| row.set(Role::Time, seconds))?;
                Some(rest)
            }
            Self::Moment { order } => {
                let (cell, rest) = cell_end(text, separator)?;
                let time = calendar_time_in(core::str::from_utf8(cell).ok()?, order)?;
                let usual = time.zone_said && time.unix_s.abs() <= LATEST_S;
                usual.then(|| row.set(Role::Time, time.unix_s))?;
                Some(rest)
            }
        }
    }
}

/// A cell and what follows it; `None` where the text ends before.
fn cell_end(text: &[u8], separator: u8) -> Option<(&[u8], &[u8])> {
    let end = text.iter().position(|sign| *sign == separator || matches!(sign, b'\n' | b'\r'))?;
    Some(text.split_at(end))
}

#[cfg(test)]
mod tests {
    use super::super::*;
    use proptest::prelude::*;

    fn cell() -> impl Strategy<Value = String> {
        prop_oneof![
            8 => "[0-9]{1,3}(\\.[0-9]{0,4})?",
            1 => " {0,2}-?[0-9]{1,12}\\.?[0-9]{0,12}",
            1 => "[-+,.0-9 xe]{0,6}",
            1 => Just(String::new()),
        ]
    }

    fn row() -> impl Strategy<Value = String> {
        let time = prop_oneof![
            "1[0-9]{2}(\\.[0-9])?",
            "2019-05-24T11:[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,3})?Z?",
            cell()
        ];
        let rest = proptest::collection::vec(cell(), 3..=5);
        let end = prop_oneof![8 => Just("\n"), 2 => Just("\r\n"), 1 => Just("\r")];
        (time, rest, end).prop_map(|(time, rest, end)| format!("{time};{}{end}", rest.join(";")))
    }

    fn read<T: Output>(text: &str) -> (T, Vec<String>) {
        let mut reader = CsvReader::<T>::new("log".to_owned(), CsvOptions::default());
        reader.feed(text.as_bytes());
        let (output, problems) = reader.complete();
        (output, problems.iter().map(Problem::to_string).collect())
    }

    proptest! {
        /// A quotation mark keeps a text from the quick way, so the general way is the oracle.
        #[test]
        fn the_general_way_reads_the_same(rows in proptest::collection::vec(row(), 0..12)) {
            let rows = rows.concat();
            let quick = format!("t;lat;lon;speed kmh;note\n{rows}");
            let general = format!("t;lat;lon;speed kmh;\"note\"\n{rows}");
            prop_assert_eq!(read::<Track>(&quick), read::<Track>(&general), "{}", quick);
            prop_assert_eq!(read::<VehicleLog>(&quick), read::<VehicleLog>(&general), "{}", quick);
        }

        /// Rows of numbers are taken whole, the last of a text too when it is complete.
        #[test]
        fn rows_of_numbers_are_plain(numbers in proptest::collection::vec(0u32..90, 1..30)) {
            let rows: String = numbers.iter().map(|n| format!("{n}.5,{n},-{n}.25,{n},\n")).collect();
            let mut seen = Rows::<Track>::new("log".to_owned(), CsvOptions::default());
            let mut splitter = Splitter::default();
            seen.block(&mut splitter, "t s,lat,lon,speed kmh,note\n1,1,1,1,\n", false);
            let (mut rest, mut taken) = (rows.as_bytes(), 0);
            while let Some(bytes) = seen.plain_row(rest, b',', 2 + taken) {
                (rest, taken) = (&rest[bytes..], taken + 1);
            }
            prop_assert_eq!((taken, rest.len()), (numbers.len(), 0));
            prop_assert_eq!(seen.output.fixes.len(), 1 + numbers.len());
        }
    }
}
