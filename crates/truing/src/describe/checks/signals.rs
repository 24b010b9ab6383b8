//! Who reads which signal, where the dial was read from, and under which pressure: what is asked, and what contradicts.

use super::say;
use crate::describe::chain::OthersRead;
use crate::describe::chain::reader::{Branch, Needle, Role};
use crate::describe::evidence::{EvidenceKind, MarkedReading};
use crate::describe::file::document::Document;
use crate::describe::file::keys::{
    ADJUSTER, CHAIN, EVIDENCE, NOTHING, READER, USE, adjuster, chain, hold, reader, usage,
};
use crate::describe::vehicle::Vehicle;
use crate::problem::{Severity, Wording};

pub(super) fn check(document: &Document, vehicle: &Vehicle) {
    check_others(document, vehicle);
    check_readers(document, vehicle);
    ask_where_read(document, vehicle);
    ask_usual(document, vehicle);
}

/// A module that puts counts out has somebody to read them, and what it passes on comes from somewhere.
fn check_others(document: &Document, vehicle: &Vehicle) {
    let chain = &vehicle.chain;
    let puts_out = vehicle.adjusters.iter().find(|adjuster| adjuster.puts_out.is_some());
    let modules = vehicle.adjusters.iter().any(|adjuster| adjuster.kind.sits_behind_the_sensor());
    let say = |severity, expected: &str, found: String, hint: Wording| {
        say(document, severity, (&CHAIN, chain::OTHERS_READ.name, chain.line), expected, found, hint);
    };
    let others_read = || CHAIN.key(chain::OTHERS_READ.name);
    let unsaid = || {
        Wording::from("Add ")
            .field(others_read())
            .text(": \"sensor\", \"module\" or \"not-known\"; taken as not known, so both outcomes are told")
    };
    if chain.also_feeds.is_empty() {
        if chain.others_read.is_some() {
            let hint = Wording::from("Add ").field(CHAIN.key(chain::ALSO_FEEDS.name)).text(", or leave ");
            let hint = hint.field(others_read()).text(" out");
            say(Severity::Warning, "who the others are", NOTHING.into(), hint);
        }
        return;
    }
    match (chain.others_read, puts_out) {
        (Some(OthersRead::Module), None) if !modules => say(
            Severity::Warning,
            "a module that passes a signal on",
            NOTHING.into(),
            "Nothing stands between the sensor and them: say that they read the sensor, or add what can be set".into(),
        ),
        (Some(OthersRead::Sensor), Some(module)) if vehicle.readers.is_empty() => say(
            Severity::Warning,
            "somebody who reads what the module puts out",
            format!("counts that the {} puts out, and all others at the sensor's wire", module.spoken()),
            Wording::from("Say who reads it: ")
                .field(others_read().such_as("module"))
                .text(", or a reader of its own; else leave ")
                .field(ADJUSTER.key(adjuster::PUTS_OUT_PER_MILE.name))
                .text(" out"),
        ),
        (None, Some(module)) => say(
            Severity::Warning,
            "which signal the others read, since the module puts one out",
            format!("counts that the {} puts out, and no word on who reads that", module.spoken()),
            unsaid(),
        ),
        (None, None) if modules => {
            say(Severity::Note, "which signal the others read", NOTHING.into(), unsaid());
        }
        _ => {}
    }
}

/// A transmission or transfer case that is a reader of its own says where it branches off; that and `others_read` agree.
fn check_readers(document: &Document, vehicle: &Vehicle) {
    let others = |role: &Role| matches!(role, Role::Transmission | Role::TransferCase);
    for reader in vehicle.readers.iter().filter(|reader| reader.roles.iter().any(others)) {
        let clash = match (vehicle.chain.others_read, reader.after) {
            (Some(OthersRead::Module), Some(Branch::Sensor)) => "what the module passes on, for all others",
            (Some(OthersRead::Sensor), Some(Branch::Adjuster)) => "the sensor's own wire, for all others",
            _ => continue,
        };
        let expected = format!("the signal that the {} branches off, as is said of it", reader.name);
        let hint = Wording::default().field(READER.key(reader::AFTER.name));
        let hint = hint.text(" is taken; correct the one that is wrong");
        say(document, Severity::Warning, (&READER, reader::AFTER.name, reader.line), expected, clash, hint);
    }
}

/// A pointer is read less closely from beside it than from before it.
fn ask_where_read(document: &Document, vehicle: &Vehicle) {
    let dial = vehicle.readers.iter().find(|reader| reader.roles.contains(&Role::Dial));
    if dial.and_then(|dial| dial.needle) == Some(Needle::Digital) {
        return;
    }
    let key = hold::READ_FROM.name;
    for evidence in vehicle.evidence.iter().filter(|evidence| evidence.read_from.is_none()) {
        let called = match &evidence.kind {
            EvidenceKind::Hold { .. } => true,
            EvidenceKind::Drive { shown, .. } => {
                !shown.holds.is_empty() || shown.marked == Some(MarkedReading::Holds)
            }
            _ => false,
        };
        if called {
            let hint = Wording::from("Add ").field(EVIDENCE.key(key).such_as("driver")).text(
                " or \"passenger\"; taken as the passenger's seat, from where a pointer reads about 1.4 mph off",
            );
            let place = (&EVIDENCE, key, evidence.line);
            say(document, Severity::Note, place, "where whoever read the dial sat", NOTHING, hint);
        }
    }
}

/// What a pressure or load of one day means for the road, the usual one says.
fn ask_usual(document: &Document, vehicle: &Vehicle) {
    let ask = |line, key: &'static str, word: &str| {
        let expected = format!("the usual {word}, since a measurement names its own");
        let hint = Wording::from("Add ").field(USE.key(key)).text(format!(
            " to what the setting is for; the answer holds for the {word} of the first measurement until then"
        ));
        say(document, Severity::Note, (&USE, key, line), expected, NOTHING, hint);
    };
    let first = |told: &dyn Fn(&crate::describe::evidence::Evidence) -> bool| {
        vehicle.evidence.iter().find(|evidence| told(evidence)).map(|evidence| evidence.line)
    };
    let (pressure, load) = (vehicle.usage.tire_pressure.is_none(), vehicle.usage.tire_load.is_none());
    if let Some(line) = first(&|evidence| evidence.tire_pressure.is_some()).filter(|_| pressure) {
        ask(line, usage::TIRE_PRESSURE_PSI.name, "pressure");
    }
    if let Some(line) = first(&|evidence| evidence.tire_load.is_some()).filter(|_| load) {
        ask(line, usage::TIRE_LOAD_PERCENT.name, "load");
    }
}

#[cfg(test)]
mod tests {
    use crate::describe::vehicle::Vehicle;

    const CHAIN: &str = "[tire]\nsize = \"LT265/75R16\"\n[chain]\nsensor_at = \"transmission-output\"\ncounts_per_turn = 8\naxle_ratio = \"41/11\"\n";
    const MODULE: &str = "[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 4000\nmax = 30000\npresent = 19000\n";

    /// The first problem about a part, in words; empty for none.
    fn found(text: &str, part: &str) -> String {
        let (_, problems) = Vehicle::read("test", text);
        let said: Vec<String> = problems.iter().map(ToString::to_string).collect();
        said.into_iter().find(|problem| problem.contains(&format!("{part}: "))).unwrap_or_default()
    }

    fn check(more: &str, module: &str, expected: &str) {
        let text = format!("{CHAIN}{more}{MODULE}{module}");
        let says = found(&text, "[chain] others_read");
        assert_eq!(expected.is_empty(), says.is_empty(), "{more} {module}: {says}");
        assert!(says.contains(expected), "{more} {module}: {says}");
    }

    #[test]
    fn who_reads_what_is_asked_and_contradicts_aloud() {
        let (fed, puts_out) = ("also_feeds = [\"transmission\"]\n", "puts_out_per_mile = 8000\n");
        check("", puts_out, "");
        check(fed, "", "taken as not known");
        check(fed, puts_out, "no word on who reads that");
        for said in ["sensor", "module", "not-known"] {
            let said_so = format!("{fed}others_read = \"{said}\"\n");
            check(&said_so, "", "");
            check(&said_so, puts_out, if said == "sensor" { "somebody who reads" } else { "" });
            let dial = format!("{puts_out}[head]\ncounts_per_mile = 8000\n");
            check(&said_so, &dial, "");
        }
        check("others_read = \"module\"\n", "", "who the others are");
        // A ring is no module: it passes nothing on.
        let ring = format!("{CHAIN}{fed}others_read = \"module\"\n");
        assert!(found(&ring, "[chain] others_read").contains("passes a signal on"));
    }

    #[test]
    fn a_reader_that_branches_off_elsewhere_contradicts() {
        let text = |said: &str, after: &str| {
            format!(
                "{CHAIN}also_feeds = [\"cruise\"]\nothers_read = \"{said}\"\n{MODULE}[[reader]]\nname = \"transmission\"\nafter = \"{after}\"\n"
            )
        };
        let part = "[[reader]] after";
        assert!(found(&text("module", "sensor"), part).contains("`after` is taken"));
        assert!(found(&text("sensor", "adjuster"), part).contains("`after` is taken"));
        assert_eq!(found(&text("sensor", "sensor"), part) + &found(&text("module", "adjuster"), part), "");
    }

    #[test]
    fn the_seat_is_asked_of_pointers_only() {
        let part = "[[evidence]] read_from";
        let hold = |more: &str, head: &str| {
            format!(
                "{CHAIN}{head}[[evidence]]\nkind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58.2 mph\"\n{more}"
            )
        };
        assert!(found(&hold("", ""), part).contains("where whoever read the dial sat"));
        assert_eq!(found(&hold("read_from = \"driver\"\n", ""), part), "");
        assert_eq!(found(&hold("", "[head]\nneedle = \"digital\"\n"), part), "");
    }

    #[test]
    fn a_pressure_wants_the_usual_one_beside_it() {
        let rollout = |used: &str, more: &str| {
            format!("{CHAIN}{used}[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"12.55 m\"\n{more}")
        };
        assert!(
            found(&rollout("", "tire_pressure_psi = 45\n"), "[use] tire_pressure_psi")
                .contains("tire_pressure_psi")
        );
        assert!(
            found(&rollout("", "tire_load_percent = 60\n"), "[use] tire_load_percent")
                .contains("tire_load_percent")
        );
        assert_eq!(
            found(
                &rollout("[use]\ntire_pressure_psi = 45\n", "tire_pressure_psi = 35\n"),
                "[use] tire_pressure_psi"
            ),
            ""
        );
        for wrong in ["4", "201", "-1", "\"x\""] {
            let text = rollout("", &format!("tire_pressure_psi = {wrong}\n"));
            assert!(found(&text, "[[evidence]] tire_pressure_psi").contains("5 to 200"), "{wrong}");
        }
    }
}
