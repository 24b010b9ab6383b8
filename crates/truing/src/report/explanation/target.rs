//! Where the value to store comes from.

use crate::choose::{Advice, Reason};
use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::answers::reason::ReasonReport;
use crate::report::document::Table;
use crate::report::explanation::origin::Origin;
use crate::report::words::half;
use metrology::quantity::Ratio;

/// What holds for every kind of adjuster.
const RULE_OF_THREE: &str = "A stored constant goes with what is indicated: new = stored x indicated / true. What multiplies the \
     signal goes against it: new = stored x true / indicated. Neither needs a tooth count or the size of a tire.";

/// The origin of the value that the steps lead to.
pub fn of_target(choice: &ChoiceReport, to: &str) -> Origin {
    let mut how = vec![RULE_OF_THREE.to_string()];
    // What would be exactly true, off any grid.
    let reading = |reason: &&ReasonReport| matches!(reason.reason, Reason::Reading { .. });
    how.extend(choice.reasons.iter().find(reading).map(|reason| reason.text.clone()));
    let is_best = choice.best.as_ref().is_some_and(|best| best.label == to);
    let how_chosen = match (is_best, choice.advice) {
        (true, Advice::Write) => {
            "Of the settings that can be stored, the one that is expected to come nearest to the truth is advised."
        }
        (true, _) => {
            "It was typed: it is expected to come nearest to the truth, but no write is advised now."
        }
        (false, Advice::Write) => "It was typed instead of the advised setting.",
        (false, _) => "It was typed; no write is advised now.",
    };
    how.push(how_chosen.into());
    Origin {
        number: "The value to store".into(),
        value: to.into(),
        how,
        rests_on: (!choice.options.is_empty()).then(|| settings(choice, to)),
    }
}

fn settings(choice: &ChoiceReport, to: &str) -> Table {
    let marked = |option: &OptionReport| match (option.label == to, option.is_present) {
        (true, _) => format!("{} (these steps)", option.label),
        (false, true) => format!("{} (now)", option.label),
        (false, false) => option.label.clone(),
    };
    let row = |option: &OptionReport| {
        let ratio = &option.expected_ratio;
        vec![
            marked(option),
            format!("{:.4}, between {:.4} and {:.4}", ratio.value, ratio.low_95, ratio.high_95),
            format!("{} (95 %)", half(Ratio::from_plain(option.within_95))),
        ]
    };
    let head = ["setting", "indicated over true with it", "within"];
    Table::new(None, "The settings in reach", &head, choice.options.iter().map(row).collect())
}
