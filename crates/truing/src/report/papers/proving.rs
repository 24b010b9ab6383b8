//! A sheet to prove with: three or four speeds with lines for what is shown and what is true.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::report::document::{Block, Document, Drawing, Table};
use crate::report::papers::held::held;
use crate::report::papers::job::{last_day, set_now};
use crate::report::words::cautions;
use crate::report::words::measuring::WITH_IT;
use crate::rules::{Rule, What};
use crate::units::Units;
use metrology::quantity::Speed;
use serde::Serialize;

/// Speeds on the sheet.
const SPEEDS: usize = 4;
/// How, in five lines.
const METHOD: [&str; 5] = [
    "Set the tires cold to the pressure below. Load the truck as you use it. See that what is set is what is to be proved.",
    "Start a GPS track, a place every second, where it sees the sky. Write down the odometer.",
    "Choose a level, straight, empty road. The driver holds the needle on the mark for 20 seconds and says so.",
    "The second person reads the true speed from the GPS, and writes. Each speed both ways.",
    "Give the track and these speeds to the program at Prove: it tells whether the rule is kept, and how sure that is.",
];

/// A sheet for a proof.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProofSheet {
    /// The truck.
    pub vehicle: String,
    /// The last day of which its file speaks.
    pub last_day: Option<String>,
    /// What is set now.
    pub set_now: Option<String>,
    /// The rule, where it says anything of what the needle shows.
    pub rule: String,
    /// What to mind.
    pub cautions: Vec<String>,
    /// A row for each speed.
    pub form: Table,
    /// What is written down with it.
    pub lines: Vec<String>,
}

impl ProofSheet {
    /// For a truck that is to keep a rule.
    pub fn new(vehicle: &Vehicle, estimate: &VehicleEstimate, rule: &Rule, units: Units) -> Self {
        let word = units.speed_word();
        let judges = rule.what != What::Odometer;
        let may = |speed: Speed| {
            let permitted = rule.band.true_at(speed);
            let [low, high] = [permitted.low, permitted.high].map(|speed| units.of_speed(speed));
            format!("{low:.1} to {high:.1}")
        };
        let row = |speed: Speed| {
            let first = vec![units.say_speed(speed, 0)];
            let last = if judges { vec![may(speed)] } else { Vec::new() };
            [first, vec![String::new(); 3], last].concat()
        };
        let may_be = format!("may be, {word}");
        let mut head = vec!["needle held at", "shown, if not that", "true, there", "true, back"];
        head.extend(judges.then_some(may_be.as_str()));
        let rows = held(vehicle, estimate, SPEEDS, units).into_iter().map(row).collect();
        Self {
            vehicle: vehicle.name.clone(),
            last_day: last_day(vehicle).map(|day| day.to_string()),
            set_now: set_now(vehicle),
            rule: format!("The rule: {}. Local law decides.", rule.title),
            cautions: cautions::before("drive", &vehicle.faults),
            form: Table::new(None, &format!("Shown and true speed, {word}"), &head, rows),
            lines: WITH_IT.map(String::from).to_vec(),
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(self.vehicle.clone());
        document.heading("A drive to prove it");
        self.cautions.iter().for_each(|caution| {
            document.caution(caution.clone());
        });
        document.push(Block::Method(METHOD.map(String::from).to_vec()));
        document.push(Block::Drawing(Drawing::Needle));
        document.sentence([self.set_now.clone().unwrap_or_default(), self.rule.clone()].join(" ").trim());
        document.push(Block::Form(self.form.clone()));
        document.push(Block::Lines(self.lines.clone()));
        document
    }
}
