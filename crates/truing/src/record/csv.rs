//! The record as a table (RFC 4180), for a spreadsheet. Only [`super::export`] can be taken in again.

use super::chain::Entry;

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
    cells.map(|cell| quoted(&cell)).join(",") + "\r\n"
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.into()
    }
}
