//! The price of a write: what it brings, what it costs, and what it must bring at least.

use crate::report::answers::choice::ChoiceReport;
use crate::report::document::Table;

/// As a table of two columns; none where no setting but the stored one is in question.
pub fn price(choice: &ChoiceReport) -> Option<Table> {
    let best = choice.best.as_ref().filter(|best| !best.is_present)?;
    let points = |share: f64| format!("{:.2} points", 100.0 * share);
    let per_cent = |share: f64| format!("{:.2} %", 100.0 * share);
    let mut rows = Vec::new();
    let mut row = |what: String, value: String| rows.push(vec![what, value]);
    if let Some(present) = &choice.present {
        row(format!("expected error with {}, as it is", present.label), per_cent(present.rms));
    }
    row(format!("expected error with {}", best.label), per_cent(best.rms));
    if let Some(present) = &choice.present {
        row("what the write brings".into(), points(present.rms - best.rms));
        row("what it must bring at least".into(), points(choice.thresholds.worth_a_write.plain()));
    }
    row("counted writes it costs".into(), best.writes.to_string());
    if let Some(left) = choice.writes_left_after {
        row("writes left after it".into(), left.to_string());
    }
    Some(Table::new(None, "The price of a write", &["what", "how much"], rows))
}
