//! The price of a write: what it brings, what it costs, and what it must bring at least.

use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::document::Table;
use crate::report::words::half;
use metrology::quantity::Ratio;

/// As a table of two columns; none where no setting but the stored one is in question.
pub fn price(choice: &ChoiceReport) -> Option<Table> {
    let best = choice.best.as_ref().filter(|best| !best.is_present)?;
    let points = |share: f64| format!("{:.2} points", 100.0 * share);
    let within = |option: &OptionReport| format!("{} (95 %)", half(Ratio::from_plain(option.within_95)));
    let mut rows = Vec::new();
    let mut row = |what: String, value: String| rows.push(vec![what, value]);
    if let Some(present) = &choice.present {
        row(format!("with {}, as it is, true within", present.label), within(present));
    }
    row(format!("with {}, true within", best.label), within(best));
    if let Some(present) = &choice.present {
        row("what the write brings on average".into(), points(present.rms - best.rms));
        row("what it must bring at least".into(), points(choice.thresholds.worth_a_write.plain()));
    }
    row("counted writes it costs".into(), best.writes.to_string());
    if let Some(left) = choice.writes_left_after {
        row("writes left after it".into(), left.to_string());
    }
    Some(Table::new(None, "The price of a write", &["what", "how much"], rows))
}
