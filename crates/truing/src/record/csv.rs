//! The record as a table (RFC 4180), for a spreadsheet. Only [`super::export`] can be taken in again.

use super::chain::Entry;
use std::borrow::Cow;

/// The columns. The odometer stands in a column of its own and among the fields.
const COLUMNS: [&str; 8] = ["sequence", "time", "vehicle", "kind", "odometer", "fields", "previous", "hash"];

/// The first line, with its end.
pub fn csv_head() -> String {
    COLUMNS.join(",") + "\r\n"
}

/// One entry as a line, with its end. The fields are one JSON object.
pub fn export_csv(entry: &Entry) -> String {
    let event = &entry.event;
    let fields = serde_json::to_string(&event.fields).unwrap_or_default();
    let cells = [
        entry.sequence.to_string(),
        event.time.to_string(),
        event.vehicle.clone(),
        event.kind.word().to_string(),
        event.fields.get("odometer").cloned().unwrap_or_default(),
        fields,
        entry.previous.to_string(),
        entry.hash.to_string(),
    ];
    cells.map(|cell| quoted(&spreadsheet_cell(&cell))).join(",") + "\r\n"
}

/// The same text as a cell that a spreadsheet takes for text: one that it would take for a formula (`=`, `+`, `-`, `@`, a
/// tab or a line end in front, as the widely followed advice has it) gets an apostrophe before it. Numbers stay numbers.
pub fn spreadsheet_cell(text: &str) -> Cow<'_, str> {
    let is_formula =
        text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) && !text.parse().is_ok_and(f64::is_finite);
    if is_formula { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Draft, EventKind, Hash, seal};
    use std::collections::BTreeMap;

    #[test]
    fn no_cell_is_a_formula_and_numbers_stay_numbers() {
        let check = |text: &str, expected: &str| assert_eq!(spreadsheet_cell(text), expected);
        for formula in ["=1+1", "+cmd|' /C x'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "-", "-inf"] {
            check(formula, &format!("'{formula}"));
        }
        for fine in ["-2.5", "+3", "1e-3", "-1E5", "128406.3 mi", "", "a=b", "{\"text\":\"=1\"}"] {
            check(fine, fine);
        }
    }

    #[test]
    fn a_vehicle_called_like_a_formula_stays_text() {
        let fields = BTreeMap::from([("odometer".to_string(), "=1+1".to_string())]);
        let time = "2026-05-02T10:00:00Z".parse().unwrap();
        let event =
            Draft { time, vehicle: "=HYPERLINK(\"http://a\",\"b\")".into(), kind: EventKind::Note, fields };
        let line = export_csv(&seal(1, Hash::NONE, event));
        assert!(line.contains("\"'=HYPERLINK(\"\"http://a\"\",\"\"b\"\")\""), "{line}");
        assert!(line.contains(",'=1+1,"), "{line}");
    }
}
