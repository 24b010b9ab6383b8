//! Where a number comes from: how it is reckoned, what it rests on, and what it hangs on.

use crate::report::answers::choice::ChoiceReport;
use crate::report::answers::proof::ProofReport;
use crate::report::answers::vehicle::VehicleReport;
use crate::report::document::Table;
use crate::report::findings::evidence::Quantity;
use crate::report::words;
use crate::rules::{ACCEPT_FROM, REJECT_UP_TO};
use metrology::quantity::Ratio;
use serde::Serialize;

/// The origin of one number.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Origin {
    /// Which number.
    pub number: String,
    /// Its value in words.
    pub value: String,
    /// How it is reckoned, a sentence each.
    pub how: Vec<String>,
    /// What it rests on.
    pub rests_on: Option<Table>,
}

fn table(caption: &str, head: [&str; 2], rows: Vec<Vec<String>>) -> Option<Table> {
    (!rows.is_empty()).then(|| Table::new(None, caption, &head, rows))
}

fn per_cent(share: f64, decimals: usize) -> String {
    format!("{:.decimals$} %", 100.0 * share)
}

/// What each piece of evidence contributes to the reading.
fn pieces(estimate: &VehicleReport) -> Option<Table> {
    let row = |piece: &crate::report::answers::vehicle::PieceReport| {
        let kind = if piece.is_prior { " (believed beforehand)" } else { "" };
        vec![format!("{}{kind}", piece.label), per_cent(piece.weight, 0)]
    };
    let rows = estimate.evidence.iter().map(row).collect();
    table("What it rests on", ["piece", "share of the variance"], rows)
}

fn hangs_on(estimate: &VehicleReport) -> Option<String> {
    let of = estimate.hangs_on.iter().find(|hangs| hangs.quantity == Quantity::DistanceRatio)?;
    (!of.beliefs.is_empty())
        .then(|| format!("It changes if one of these is not so: {}.", of.beliefs.join("; ")))
}

/// The origins of the numbers of a choice.
pub fn of_choice(choice: &ChoiceReport, estimate: &VehicleReport) -> Vec<Origin> {
    let mut origins = vec![reading(choice, estimate)];
    origins.extend(expected(choice));
    origins.extend(choice.probability_best_is_best.map(nearest));
    origins.push(write_worth(choice.thresholds.worth_a_write));
    origins
}

fn reading(choice: &ChoiceReport, estimate: &VehicleReport) -> Origin {
    let value = choice.present.as_ref().map_or("not known".into(), |present| {
        let ratio = &present.expected_ratio;
        format!("{:.4}, between {:.4} and {:.4}", ratio.value, ratio.low_95, ratio.high_95)
    });
    let mut how = vec![
        "Indicated over true: 1.03 reads 3 % fast.".to_string(),
        "All pieces of evidence are adjusted together by generalised least squares; what shares a cause shares a parameter. \
         The interval holds the true value with a probability of 95 % (JCGM 100:2008)."
            .to_string(),
    ];
    how.extend(hangs_on(estimate));
    Origin { number: "What it reads now".into(), value, how, rests_on: pieces(estimate) }
}

fn expected(choice: &ChoiceReport) -> Option<Origin> {
    let best = choice.best.as_ref()?;
    let within = |option: &crate::report::answers::choice::OptionReport| {
        format!("{} (95 %)", words::half(Ratio::from_plain(option.within_95)))
    };
    let row =
        |option: &crate::report::answers::choice::OptionReport| vec![option.label.clone(), within(option)];
    let rows = choice.options.iter().map(row).collect();
    Some(Origin {
        number: format!("How near to the truth {} comes", best.label),
        value: format!("within {}", within(best)),
        how: vec![
            "The farther end of the 95 % interval: what the setting is off on average, and how sure that is, together. \
             No setting can come nearer than the uncertainty of the reading itself."
                .into(),
        ],
        rests_on: table("The same for each setting in reach", ["setting", "within"], rows),
    })
}

fn nearest(probability: f64) -> Origin {
    Origin {
        number: "The probability that no other setting is truer".into(),
        value: per_cent(probability, 0),
        how: vec![
            "The part of the distribution of what is needed that lies nearer to this setting than to either neighbour. \
             A low number with neighbours that are nearly as good is no reason to wait."
                .into(),
        ],
        rests_on: None,
    }
}

fn write_worth(least: Ratio) -> Origin {
    Origin {
        number: "What a write must bring".into(),
        value: format!("{:.2} points", least.percent()),
        how: vec![
            "A write is advised where it brings the reading nearer to the truth by at least this much on average. It is a judgement of ours: \
             half a per cent is what a careful owner notices."
                .into(),
        ],
        rests_on: None,
    }
}

/// The origins of the numbers of a proof.
pub fn of_proof(proof: &ProofReport) -> Vec<Origin> {
    let row = |point: &crate::report::answers::proof::PointReport| {
        vec![point.at.clone(), words::probability(point.probability)]
    };
    let rows = proof.test_points.iter().map(row).collect();
    let mut how = vec![
        "The part of the distribution of what the drive showed that lies in the permitted band at every test speed \
         (JCGM 106:2012)."
            .to_string(),
        format!(
            "From {:.0} % on it conforms, up to {:.0} % it does not, between them it is undecided.",
            100.0 * ACCEPT_FROM,
            100.0 * REJECT_UP_TO
        ),
    ];
    how.extend(proof.notes.iter().cloned());
    vec![
        Origin {
            number: "The probability of conformity".into(),
            value: words::probability(proof.probability),
            how,
            rests_on: table("At each test speed", ["at", "probability"], rows),
        },
        Origin {
            number: format!("The permitted band of {}", proof.rule),
            value: proof.test_points.first().map_or(String::new(), |p| format!("{}: {}", p.at, p.permitted)),
            how: vec![format!("{}.", proof.rule_source), "Local law decides.".into()],
            rests_on: None,
        },
    ]
}
