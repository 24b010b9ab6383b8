//! Whether a rule is kept.

use metrology::quantity::Ratio;

pub(super) fn kept(rule: &str, title: &str, setting: &str, chance: Ratio) -> String {
    format!(
        "The rule {rule} ({title}): chance of breaking it with {setting}: {:.1} %. Local law decides.",
        chance.percent()
    )
}

pub(super) fn not_kept(rule: &str, setting: &str, permitted_chance: Ratio) -> String {
    format!(
        "No setting in reach keeps the rule {rule} with a chance of breaking it below {:.0} %; {setting} is the truest.",
        permitted_chance.percent()
    )
}

pub(super) fn biased(expected_ratio: Ratio) -> String {
    format!(
        "For the rule the setting is biased: the odometer then counts about {:.0} for every 1000 driven.",
        1000.0 * expected_ratio.plain()
    )
}
