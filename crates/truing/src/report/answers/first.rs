//! What each answer comes to before anything else: a few words as large as there is room for, and one figure beside them.

use crate::choose::Advice;
use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::answers::drive::DriveReport;
use crate::report::answers::proof::ProofReport;
use crate::report::answers::pulses::PulseReport;
use crate::report::answers::vehicle::VehicleReport;
use crate::report::findings::evidence::{Quantity, UnknowableDetails};
use crate::report::words::came::tires_in_words;
use crate::report::words::evidence::listed;
use crate::report::words::value::V;
use crate::report::words::{how_it_reads, in_short, probability, value_rounded};
use crate::rules::Verdict;
use metrology::quantity::Ratio;

/// What comes before everything else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct First {
    /// In as few words as it takes: "Store 1416", "5.0 % slow", "Conforms".
    pub says: String,
    /// The one figure that belongs to it.
    pub figure: Option<String>,
}

impl First {
    /// A few words with the sentence that belongs to them.
    pub fn with(says: &str, figure: &str) -> Self {
        Self::new(says, Some(figure.to_string()))
    }

    fn new(says: impl Into<String>, figure: Option<String>) -> Self {
        Self { says: says.into(), figure }
    }
}

fn short(ratio: &V) -> String {
    in_short(ratio.value, ratio.low_95, ratio.high_95)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

impl VehicleReport {
    /// How far off it reads now; none where that is not known.
    pub fn first(&self) -> Option<First> {
        let of = &self.over_all;
        let ratio = of.distance_ratio.as_ref().or(of.needle_ratio.as_ref())?;
        Some(First::new(capital(&short(ratio)), self.reads().map(str::to_string)))
    }
}

impl VehicleReport {
    /// What is missing for that, where something was measured that does not tell it by itself.
    pub fn still_missing(&self) -> Option<String> {
        let of_reading = |one: &UnknowableDetails| match one {
            UnknowableDetails::Missing { quantity: Quantity::DistanceRatio, missing, .. } => {
                Some(missing.clone())
            }
            UnknowableDetails::Missing { .. } => None,
        };
        let missing = self.unknowable_details.iter().find_map(of_reading)?;
        (self.evidence.iter().any(|piece| !piece.is_prior) && !missing.is_empty()).then(|| {
            format!(
                "What was measured does not tell it without {}. Say that, or measure on the road, where it is not needed.",
                listed(&missing)
            )
        })
    }
}

impl DriveReport {
    /// How far off the truck read on it, or that it does not tell; the first sentence of its document says the rest.
    pub fn first(&self) -> First {
        match self.reading_ratio.as_ref().filter(|_| self.can_be_told) {
            Some(ratio) => First::new(capital(&short(ratio)), None),
            None => First::new("Cannot be told", None),
        }
    }
}

impl PulseReport {
    /// Counts where it spans something known, else the teeth, else the pulses; the first sentence of its document says the
    /// rest.
    pub fn first(&self) -> First {
        let count =
            |v: &V, per: &str| format!("{} counts per {per}", value_rounded(v.value, v.standard_uncertainty));
        let said = self.counts_per_mile.as_ref().map(|v| count(v, "mile"));
        let said = said.or(self.counts_per_turn.as_ref().map(|v| count(v, "turn")));
        let said = said.or(self.ring_teeth.map(|teeth| format!("{teeth} teeth")));
        First::new(said.unwrap_or_else(|| format!("{} pulses", self.pulses)), None)
    }
}

impl ProofReport {
    /// The verdict.
    pub fn first(&self) -> First {
        let says = match self.verdict {
            Verdict::Conforms => "Conforms",
            Verdict::DoesNotConform => "Does not conform",
            Verdict::Undecided => "Undecided",
        };
        let sure = format!("{} sure by {}", capital(&probability(self.probability)), self.rule);
        let reads = Some(self.reads()).filter(|reads| !reads.is_empty());
        First::new(says, Some(reads.map_or(format!("{sure}."), |reads| format!("It {reads}. {sure}."))))
    }
}

impl ChoiceReport {
    /// The advice, with the tires it speaks of where several are planned for, and what it does to the reading.
    pub fn first(&self) -> First {
        let now = self.present.as_ref().map(|present| short(&present.expected_ratio));
        let best = self.best.as_ref();
        match (self.advice, best) {
            (Advice::Write, Some(best)) => First::new(
                format!("{}{}", self.order, self.for_tires()),
                Some(self.with_them_on().unwrap_or_else(|| before_and_after(now, best))),
            ),
            (Advice::Leave, _) => First::new("Leave it as it is", now.map(|now| self.left(&now))),
            (Advice::CheckFirst, _) => {
                First::new("Check first", self.checks.first().map(|check| check.text.clone()))
            }
            _ => First::new(
                "Measure first",
                self.measure
                    .as_ref()
                    .map(|one| format!("{}: {:.0} minutes.", capital(&one.what), one.minutes)),
            ),
        }
    }

    /// What it reads as it is, and what is stored once other tires are on.
    fn left(&self, now: &str) -> String {
        let later = self.outlook.as_ref().and_then(|outlook| {
            let present = self.present.as_ref()?;
            outlook.held.iter().find(|held| held.label != present.label)
        });
        let later = later.map_or(String::new(), |held| {
            format!(" {} once {} are on.", held.label, tires_in_words(&held.tires))
        });
        format!("Now {now}.{later}")
    }

    /// Whether what is advised is for tires that are not on yet: what it would read with those that are on says nothing then.
    pub fn is_for_other_tires(&self) -> bool {
        let held = self.outlook.as_ref().and_then(|outlook| outlook.held.first());
        held.zip(self.mounted.as_ref()).is_some_and(|(held, mounted)| *mounted != held.tires)
    }

    fn with_them_on(&self) -> Option<String> {
        let held = self.outlook.as_ref()?.held.first().filter(|_| self.is_for_other_tires())?;
        Some(format!(
            "With them on and {} set it {}.",
            held.label,
            how_it_reads(Ratio::from_plain(held.expected_ratio))
        ))
    }

    /// The set that the setting is for, where the road planned has more than one.
    fn for_tires(&self) -> String {
        let Some(held) = self.outlook.as_ref().map(|outlook| &outlook.held) else { return String::new() };
        let Some(first) = held.first() else { return String::new() };
        if self.is_for_other_tires() {
            return format!(" once {} are on", tires_in_words(&first.tires));
        }
        let is_one = held.iter().all(|other| other.tires == first.tires);
        if is_one { String::new() } else { format!(" for {}", tires_in_words(&first.tires)) }
    }
}

fn before_and_after(now: Option<String>, best: &OptionReport) -> String {
    let then = short(&best.expected_ratio);
    now.map_or(format!("With it: {then}."), |now| format!("Now {now}; with it {then}."))
}
