//! The rule that binds a choice or a proof.

use crate::describe::usage::{Rule as RuleOfUse, RuleId, Use};
use crate::problem::Problem;
use crate::rules::{self, Band, Edge, Rule};
use metrology::quantity::{Ratio, Speed};

/// The rule of a use, or another one by its word.
pub fn rule_of(usage: &Use, word: Option<&str>) -> Result<Rule, Problem> {
    if let Some(word) = word {
        return rules::find(word);
    }
    match &usage.rule {
        RuleOfUse::Known(id) => rules::find(word_of(*id)),
        RuleOfUse::Own(band) => {
            let edge = |share: Ratio, offset: Speed, sign: f64| Edge {
                slope: Ratio::from_plain(1.0 + sign * share.plain()),
                offset: offset * sign,
            };
            let (low, high) = (
                edge(band.under_share, band.under_offset, -1.0),
                edge(band.over_share, band.over_offset, 1.0),
            );
            Rule::custom("a band of the owner's own".into(), Band::new(low, high)?, band.speeds.clone())
        }
    }
}

fn word_of(id: RuleId) -> &'static str {
    match id {
        RuleId::True => "true",
        RuleId::UnR39 => "un-r39",
        RuleId::Us393_82 => "us-393.82",
        RuleId::Jp2006 => "jp-2006",
        RuleId::Jp2007 => "jp-2007",
        RuleId::Odometer4 => "odometer-4",
        RuleId::Au18_02 => "au-18-02",
        RuleId::Tachograph2 => "tachograph-2",
    }
}
