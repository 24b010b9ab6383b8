//! What a vehicle file that is kept by hand is to say once the steps were taken. The page writes the same by itself.

use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::evidence::Evidence;
use crate::describe::vehicle::Vehicle;
use crate::set::Change;
use schemars::JsonSchema;
use serde::Serialize;

/// Lines for one place of the vehicle file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FileLines {
    /// Where they belong.
    pub place: String,
    /// The lines as the file writes them; what only the day of the write tells stands in capitals.
    pub lines: Vec<String>,
}

impl FileLines {
    fn new(place: impl Into<String>, lines: Vec<String>) -> Self {
        Self { place: place.into(), lines }
    }

    /// Everything that changes in the file.
    pub(super) fn after(vehicle: &Vehicle, changes: &[Change]) -> Vec<Self> {
        let found =
            |change: &Change| Some((vehicle.adjuster(Some(&change.adjuster))?.clone(), change.clone()));
        let changed: Vec<(Adjuster, Change)> = changes.iter().filter_map(found).collect();
        let mut all: Vec<Self> =
            changed.iter().map(|(adjuster, change)| of(vehicle, adjuster, change)).collect();
        all.extend(settings_then(vehicle));
        let written = changed.iter().flat_map(|(adjuster, change)| written(vehicle, adjuster, change));
        all.push(Self::new("At the end of the file", written.collect()));
        all
    }
}

/// A text as the file quotes it.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// What stands in the section of an adjuster from then on.
fn of(vehicle: &Vehicle, adjuster: &Adjuster, change: &Change) -> FileLines {
    let to = &change.to;
    let present = |value: String| format!("present = {value}");
    let mut lines = match &adjuster.kind {
        AdjusterKind::Tires(_) => return tires(change),
        AdjusterKind::ToneRing(_) | AdjusterKind::FreeConstant(_) => vec![present(to.clone())],
        _ => vec![present(quoted(to))],
    };
    lines.extend(change.writes_left.map(|left| format!("writes_left = {}", left.saturating_sub(1))));
    if let AdjusterKind::SteppedConstant(constant) = &adjuster.kind
        && let Some(shown) = &constant.display
    {
        let digits = if shown.contains('.') { to.clone() } else { to.replace('.', "") };
        lines.push(format!("display = {}", quoted(&digits)));
    }
    let place = match vehicle.adjusters.len() {
        1 => "Under [adjuster], in place of what stands there".to_string(),
        _ => format!("Under [[adjuster]] {}, in place of what stands there", quoted(adjuster.called())),
    };
    FileLines::new(place, lines)
}

/// Other tires are another set: what was measured before keeps the set it was measured with.
fn tires(change: &Change) -> FileLines {
    let size = format!("size = {}", quoted(&change.to));
    let lines = ["[[tire]]".into(), "name = \"NAME\"".into(), size, "mounted = true".into()];
    FileLines::new(
        "Beside the tires that were on, as a set of its own (each set then has a name, and each measurement says its `tires`)",
        lines.into(),
    )
}

/// With a write recorded, what was shown means nothing without the setting it was read with.
fn settings_then(vehicle: &Vehicle) -> Option<FileLines> {
    let unsaid = |one: &&Evidence| one.settings.is_empty() && one.kind.shows_indicated();
    let unsaid: Vec<&Evidence> = vehicle.evidence.iter().filter(unsaid).collect();
    let first = unsaid.first()?;
    let then =
        |adjuster: &Adjuster| Some((quoted(adjuster.called()), vehicle.setting_then(first, adjuster)?));
    let settings: Vec<(String, String)> = vehicle
        .adjusters
        .iter()
        .filter_map(then)
        .map(|(name, set)| (name, quoted(&set.to_string())))
        .collect();
    let setting = match &settings[..] {
        [] => return None,
        [(_, only)] if vehicle.adjusters.len() == 1 => only.clone(),
        several => {
            let each: Vec<String> = several.iter().map(|(name, set)| format!("{name} = {set}")).collect();
            format!("{{ {} }}", each.join(", "))
        }
    };
    let at: Vec<String> = unsaid.iter().map(|one| one.line.to_string()).collect();
    let lines = if at.len() == 1 { "line" } else { "lines" };
    let place = format!("Under each [[evidence]] that says no setting yet ({lines} {})", at.join(", "));
    Some(FileLines::new(place, vec![format!("setting = {setting}")]))
}

fn written(vehicle: &Vehicle, adjuster: &Adjuster, change: &Change) -> Vec<String> {
    let several = vehicle.adjusters.len() > 1;
    let lines = [
        Some("[[written]]".to_string()),
        Some("date = \"YYYY-MM-DD\"".into()),
        Some(format!("from = {}", quoted(&change.from))),
        Some(format!("to = {}", quoted(&change.to))),
        several.then(|| format!("adjuster = {}", quoted(adjuster.called()))),
        Some("odometer = \"READING\"".into()),
    ];
    lines.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::adjuster::setting::Setting;
    use crate::set::{Order, Outcome, job};

    /// The lines put where they say, with a day and a reading: the file then says what is stored, and nothing is wrong with it.
    fn check(before: &str, to: &str, expected: &[(&str, &str)], after: &str) {
        let (vehicle, problems) = Vehicle::read("truck.toml", before);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        assert_eq!(problems, [], "{before}");
        let order = Order::new(&vehicle.adjusters[0], Setting::parse(to));
        let Ok(Outcome::Steps(job)) = job("truck.toml", &vehicle, &order) else { panic!("{before}") };
        let all = FileLines::after(&vehicle, &job.changes);
        let told: Vec<(&str, String)> =
            all.iter().map(|part| (part.place.as_str(), part.lines.join("; "))).collect();
        let told: Vec<(&str, &str)> = told.iter().map(|(place, lines)| (*place, lines.as_str())).collect();
        assert_eq!(told, expected, "{before}");
        let (vehicle, problems) = Vehicle::read("truck.toml", after);
        assert_eq!(problems, [], "{after}");
        let present = vehicle.and_then(|vehicle| vehicle.adjusters[0].present()).map(|set| set.to_string());
        assert_eq!(present.as_deref(), Some(to), "{after}");
    }

    const END: &str = "At the end of the file";

    #[test]
    fn the_file_says_what_is_stored() {
        let constant = |present: &str, left: u32, display: &str| {
            format!(
                "[adjuster]\nkind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\"]\n\
                 present = \"{present}\"\nwrites_left = {left}\ndisplay = \"{display}\"\n"
            )
        };
        let written =
            "[[written]]\ndate = \"2026-05-09\"\nfrom = \"8.41\"\nto = \"8.15\"\nodometer = \"84210.3 mi\"\n";
        let drive = "[[evidence]]\nkind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58 mph\"\nread_from = \"driver\"\n";
        check(
            &(constant("8.41", 5, "841").replace("[\"up\"]", "[\"up\", \"down\"]")
                + drive
                + "setting = \"8.41\"\n"),
            "8.15",
            &[
                (
                    "Under [adjuster], in place of what stands there",
                    "present = \"8.15\"; writes_left = 4; display = \"815\"",
                ),
                (
                    END,
                    "[[written]]; date = \"YYYY-MM-DD\"; from = \"8.41\"; to = \"8.15\"; odometer = \"READING\"",
                ),
            ],
            &(constant("8.15", 4, "815") + drive + "setting = \"8.41\"\n" + written),
        );
    }

    #[test]
    fn evidence_without_a_setting_gets_the_one_of_today() {
        let ring = |present: &str| {
            format!("[adjuster]\nkind = \"tone-ring\"\nteeth = [92, 96, 100]\npresent = {present}\n")
        };
        let drive = "[[evidence]]\nkind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58 mph\"\nread_from = \"driver\"\n";
        let written = "[[written]]\ndate = \"2026-05-09\"\nfrom = 96\nto = 92\n";
        check(
            &(ring("96") + drive + drive),
            "92",
            &[
                ("Under [adjuster], in place of what stands there", "present = 92"),
                ("Under each [[evidence]] that says no setting yet (lines 5, 10)", "setting = \"96\""),
                (
                    END,
                    "[[written]]; date = \"YYYY-MM-DD\"; from = \"96\"; to = \"92\"; odometer = \"READING\"",
                ),
            ],
            &(ring("92") + drive + "setting = \"96\"\n" + drive + "setting = \"96\"\n" + written),
        );
    }

    #[test]
    fn what_is_left_as_it_stands_is_told() {
        let text = "[adjuster]\nkind = \"tone-ring\"\nteeth = [92, 96]\npresent = 92\n[[written]]\ndate = \"YYYY-MM-DD\"\n\
                    from = \"96\"\nto = \"92\"\nodometer = \"READING\"\n";
        let (_, problems) = Vehicle::read("truck.toml", text);
        assert_eq!(problems.iter().map(|problem| problem.line).collect::<Vec<_>>(), [Some(6), Some(9)]);
    }
}
