//! Every flag of the command line has its place on the page and in the programming interface, or a reason why it has none.
//!
//! Long because it is a table: one row for each flag. Who adds a flag adds its line here; who takes a field away from a page or from the interface is told as well.

use super::Visitor;
use crate::cli::commands;
use crate::garage::Slug;
use crate::page::addresses::API as PREFIX;
use crate::page::api::description;
use crate::page::named::label;
use crate::work::asked::Inputs;
use crate::work::drive::{DriveInputs, LogInputs};
use serde_json::Value;
use std::collections::BTreeSet;
use truing::problem::Field;

/// A place on the page or in the interface.
#[derive(Copy, Clone)]
enum Place {
    /// This address, and the field there; none where the address alone says it. `{t}` is a truck, `{odd}` one with something to check, `{two}` one with two
    /// things to set.
    At(&'static str, &'static str),
    /// None, for this reason.
    None(&'static str),
}
use Place::{At, None as Nowhere};

const SHELL: &str = "a matter of the shell and the server's own start";
const BY_TRUCK: &str = "the address names the truck";
const WHOLE: &str = "page and interface give the whole answer";
const DOWNLOAD: &str = "the browser or the program says where it keeps what comes back";
const RECEIVER: &str = "the page for the drive asks the browser for the receiver";
const SAMPLE: &str = "the sample truck is a button of the empty garage; a program sends its file";

/// Flags that several commands have.
const COMMON: [(&str, Place, Place); 4] = [
    ("json", Nowhere("for programs there is the interface"), Nowhere("every answer is JSON")),
    ("units", At("/settings", "units"), At("post /settings", "units")),
    ("garage", Nowhere(SHELL), Nowhere(SHELL)),
    ("wait", Nowhere(SHELL), Nowhere(SHELL)),
];

/// Command, flag, place on the page, place in the interface.
const TABLE: &[(&str, &str, Place, Place)] = &[
    ("serve", "address", Nowhere(SHELL), Nowhere(SHELL)),
    ("serve", "with_key", Nowhere(SHELL), Nowhere(SHELL)),
    ("serve", "lan", Nowhere(SHELL), Nowhere(SHELL)),
    ("serve", "port", Nowhere(SHELL), Nowhere(SHELL)),
    ("serve", "no_browser", Nowhere(SHELL), Nowhere(SHELL)),
    ("describe tire", "size", At("/tire", "size"), At("get /tire", "size")),
    ("describe vehicle", "file", At("/trucks/{t}/describe", "text"), At("put /trucks/{slug}", "")),
    ("describe vehicle", "schema", At("/manual/vehicle-file", ""), At("get /schema", "")),
    ("describe keys", "section", At("/manual/vehicle-file", ""), At("get /keys", "section")),
    ("describe file", "kind", At("/trucks/{t}/describe", "text"), At("get /starting-file", "kind")),
    ("describe file", "out", Nowhere(DOWNLOAD), Nowhere(DOWNLOAD)),
    ("describe file", "force", Nowhere(DOWNLOAD), Nowhere(DOWNLOAD)),
    ("describe decision", "file", At("/trucks/{t}/choose", ""), At("get /trucks/{slug}/choose", "")),
    ("describe rules", "", At("/rules", ""), At("get /rules", "")),
    ("measure pulses", "file", At("/recording", "file"), At("post /recording", "file")),
    ("measure pulses", "turns", At("/recording", "turns"), At("post /recording", "turns")),
    ("measure pulses", "distance", At("/recording", "distance"), At("post /recording", "distance")),
    (
        "measure pulses",
        "measured_to_nearest",
        At("/recording", "measured_to_nearest"),
        At("post /recording", "measured_to_nearest"),
    ),
    ("measure pulses", "track", At("/recording", "track"), At("post /recording", "track")),
    ("measure pulses", "channel", At("/recording", "channel"), At("post /recording", "channel")),
    ("measure live", "gpsd", Nowhere(RECEIVER), Nowhere(RECEIVER)),
    ("measure live", "serial", Nowhere(RECEIVER), Nowhere(RECEIVER)),
    ("measure live", "baud", Nowhere(RECEIVER), Nowhere(RECEIVER)),
    ("measure live", "out", Nowhere(RECEIVER), Nowhere(RECEIVER)),
    ("measure vehicle", "file", At("/trucks/{t}/measure", ""), At("get /trucks/{slug}/measure", "")),
    ("measure vehicle", "all", Nowhere(WHOLE), Nowhere(WHOLE)),
    ("choose", "all", Nowhere(WHOLE), Nowhere(WHOLE)),
    ("choose", "exit_code", Nowhere(SHELL), Nowhere(SHELL)),
    ("prove", "exit_code", Nowhere(SHELL), Nowhere(SHELL)),
    ("choose", "file", At("/trucks/{t}/choose", ""), At("get /trucks/{slug}/choose", "")),
    ("choose", "rule", At("/trucks/{t}/choose", "rule"), At("get /trucks/{slug}/choose", "rule")),
    ("choose", "reserve", At("/trucks/{t}/choose", "reserve"), At("get /trucks/{slug}/choose", "reserve")),
    ("set", "file", At("/trucks/{t}/set", ""), At("get /trucks/{slug}/set", "")),
    ("set", "to", At("/trucks/{t}/set", "to"), At("get /trucks/{slug}/set", "to")),
    ("set", "adjuster", At("/trucks/{two}/set", "adjuster"), At("get /trucks/{slug}/set", "adjuster")),
    (
        "set",
        "even_if_worse",
        At("/trucks/{t}/set?to=1800", "even_if_worse"),
        At("get /trucks/{slug}/set", "even_if_worse"),
    ),
    ("set", "despite", At("/trucks/{odd}/set", "despite"), At("get /trucks/{slug}/set", "despite")),
    ("set", "shows", At("/trucks/{t}/set?screen=7", "shows"), At("get /trucks/{slug}/set", "shows")),
    ("set", "repeat", At("/trucks/{t}/set", "repeat"), At("get /trucks/{slug}/set", "repeat")),
    (
        "set",
        "repeat_after",
        At("/trucks/{t}/set", "repeat_after"),
        At("get /trucks/{slug}/set", "repeat_after"),
    ),
    ("set", "rule", At("/trucks/{t}/choose", "rule"), At("get /trucks/{slug}/choose", "rule")),
    ("set", "reserve", At("/trucks/{t}/choose", "reserve"), At("get /trucks/{slug}/choose", "reserve")),
    ("set", "procedure", At("/trucks/{t}/set", "text"), At("post /trucks/{slug}/routine", "text")),
    ("prove", "file", At("/trucks/{t}/prove", ""), At("get /trucks/{slug}/prove", "")),
    ("prove", "rule", At("/trucks/{t}/prove", "rule"), At("get /trucks/{slug}/prove", "rule")),
    ("batch", "folder", At("/batch", "files"), At("post /batch", "files")),
    ("batch", "out", Nowhere(DOWNLOAD), Nowhere(DOWNLOAD)),
    ("batch", "force", Nowhere(DOWNLOAD), Nowhere(DOWNLOAD)),
    ("bench-signal", "counts_per_mile", At("/bench", "counts"), At("get /bench", "counts_per_mile")),
    ("bench-signal", "counts_per_km", At("/bench", "per"), At("get /bench", "counts_per_km")),
    ("bench-signal", "speed", At("/bench", "speeds"), At("get /bench", "speed")),
    ("bench-signal", "speeds", At("/bench", "speeds"), At("get /bench", "speeds")),
    ("bench-signal", "from", At("/bench", "from"), At("get /bench", "from")),
    ("bench-signal", "to", At("/bench", "to"), At("get /bench", "to")),
    ("bench-signal", "lasting", At("/bench", "lasting"), At("get /bench", "lasting")),
    ("bench-signal", "shape", At("/bench", "shape"), At("get /bench", "shape")),
    ("bench-signal", "level", At("/bench", "level"), At("get /bench", "level")),
    ("bench-signal", "rate", At("/bench", "rate"), At("get /bench", "rate")),
    ("bench-signal", "ring_teeth", At("/bench", "ring_teeth"), At("get /bench", "ring_teeth")),
    ("bench-signal", "missing_tooth", At("/bench", "missing_tooth"), At("get /bench", "missing_tooth")),
    ("bench-signal", "bent_tooth", At("/bench", "bent_tooth"), At("get /bench", "bent_tooth")),
    ("bench-signal", "out", Nowhere(DOWNLOAD), At("get /bench/signal.wav", "")),
    ("bench-signal", "force", Nowhere(DOWNLOAD), Nowhere(DOWNLOAD)),
    ("sheet", "file", At("/trucks/{t}/papers/job-sheet", ""), At("get /trucks/{slug}/paper", "")),
    ("sheet", "out", At("/trucks/{t}/papers/job-sheet.html", ""), At("get /trucks/{slug}/paper.html", "")),
    ("sheet", "force", Nowhere(DOWNLOAD), Nowhere(DOWNLOAD)),
    ("sheet", "document", At("/trucks/{t}/record", "document"), At("get /trucks/{slug}/paper", "document")),
    ("sheet", "paper", At("/trucks/{t}/record", "paper"), At("get /trucks/{slug}/paper", "paper")),
    ("sheet", "date", At("/trucks/{t}/record", "date"), At("get /trucks/{slug}/paper", "date")),
    ("sheet", "link", At("/trucks/{t}/choose", "link"), At("get /trucks/{slug}/paper", "link")),
    ("sheet", "to", At("/trucks/{t}/describe", "to"), At("get /trucks/{slug}/paper", "to")),
    ("sheet", "adjuster", At("/trucks/{t}/describe", "adjuster"), At("get /trucks/{slug}/paper", "adjuster")),
    ("sheet", "despite", At("/trucks/{t}/describe", "despite"), At("get /trucks/{slug}/paper", "despite")),
    (
        "sheet",
        "even_if_worse",
        At("/trucks/{t}/describe", "even_if_worse"),
        At("get /trucks/{slug}/paper", "even_if_worse"),
    ),
    ("sheet", "shows", At("/trucks/{t}/describe", "shows"), At("get /trucks/{slug}/paper", "shows")),
    ("sheet", "repeat", At("/trucks/{t}/describe", "repeat"), At("get /trucks/{slug}/paper", "repeat")),
    (
        "sheet",
        "repeat_after",
        At("/trucks/{t}/describe", "repeat_after"),
        At("get /trucks/{slug}/paper", "repeat_after"),
    ),
    ("sheet", "procedure", At("/trucks/{t}/set", "text"), At("post /trucks/{slug}/routine", "text")),
    ("sheet", "rule", At("/trucks/{t}/describe", "rule"), At("get /trucks/{slug}/paper", "rule")),
    ("sheet", "reserve", At("/trucks/{t}/describe", "reserve"), At("get /trucks/{slug}/paper", "reserve")),
    (
        "sheet",
        "measurement",
        At("/trucks/{t}/measure", "measurement"),
        At("get /trucks/{slug}/paper", "measurement"),
    ),
    (
        "sheet",
        "model_year",
        At("/trucks/{t}/record", "model_year"),
        At("get /trucks/{slug}/paper", "model_year"),
    ),
    ("sheet", "transfer", At("/trucks/{t}/record", "transfer"), At("get /trucks/{slug}/paper", "transfer")),
    ("sheet", "gvwr_lb", At("/trucks/{t}/record", "gvwr_lb"), At("get /trucks/{slug}/paper", "gvwr_lb")),
    ("sheet", "gears", At("/trucks/{t}/prove", "gears"), At("get /trucks/{slug}/paper", "gears")),
    ("sheet", "tire", At("/trucks/{t}/choose", "tires"), At("get /trucks/{slug}/paper", "tires")),
    ("demo", "out", Nowhere(SAMPLE), Nowhere(SAMPLE)),
    ("demo", "force", Nowhere(SAMPLE), Nowhere(SAMPLE)),
    ("record add", "kind", At("/trucks/{t}/record", "kind"), At("post /trucks/{slug}/record", "kind")),
    ("record add", "vehicle", Nowhere(BY_TRUCK), Nowhere(BY_TRUCK)),
    (
        "record add",
        "odometer",
        At("/trucks/{t}/record", "odometer"),
        At("post /trucks/{slug}/record", "odometer"),
    ),
    ("record add", "text", At("/trucks/{t}/record", "text"), At("post /trucks/{slug}/record", "text")),
    ("record add", "value", At("/trucks/{t}/record", "value"), At("post /trucks/{slug}/record", "value")),
    ("record add", "source", At("/trucks/{t}/record", "source"), At("post /trucks/{slug}/record", "source")),
    (
        "record add",
        "odometer_before",
        At("/trucks/{t}/record", "odometer_before"),
        At("post /trucks/{slug}/record", "odometer_before"),
    ),
    (
        "record add",
        "done_on",
        At("/trucks/{t}/record", "done_on"),
        At("post /trucks/{slug}/record", "done_on"),
    ),
    ("record add", "sure", At("/trucks/{t}/record", "sure"), At("post /trucks/{slug}/record", "sure")),
    ("record add", "new_vehicle", Nowhere(BY_TRUCK), Nowhere(BY_TRUCK)),
    ("record take", "new_vehicle", Nowhere(BY_TRUCK), Nowhere(BY_TRUCK)),
    ("record add", "more", At("/trucks/{t}/record", "fields"), At("post /trucks/{slug}/record", "fields")),
    (
        "record add",
        "adjuster",
        At("/trucks/{t}/record", "fields"),
        At("post /trucks/{slug}/record", "fields"),
    ),
    (
        "record add",
        "changes_signal",
        At("/trucks/{t}/record", "fields"),
        At("post /trucks/{slug}/record", "fields"),
    ),
    (
        "record add",
        "from_reason",
        At("/trucks/{t}/record", "from_reason"),
        At("post /trucks/{slug}/record", "from_reason"),
    ),
    (
        "record add",
        "entered_late",
        At("/trucks/{t}/record", "entered_late"),
        At("post /trucks/{slug}/record", "entered_late"),
    ),
    (
        "record add",
        "request",
        At("/trucks/{t}/record", "request"),
        At("post /trucks/{slug}/record", "Idempotency-Key"),
    ),
    ("record import", "any_times", At("/record", "any_times"), At("post /record/import", "any_times")),
    ("record repair", "vehicle", Nowhere(BY_TRUCK), Nowhere(BY_TRUCK)),
    ("record repair", "right", At("/trucks/{t}/record", ""), At("post /trucks/{slug}/repair", "right")),
    ("record show", "vehicle", At("/trucks/{t}/record", ""), At("get /trucks/{slug}/record", "")),
    ("record check", "expect_head", At("/trucks/{t}/record", "head"), At("get /record/check", "head")),
    (
        "record check",
        "expect_entries",
        At("/trucks/{t}/record", "entries"),
        At("get /record/check", "entries"),
    ),
    (
        "record check",
        "recompute",
        At("/trucks/{t}/record", "recompute"),
        At("get /record/check", "recompute"),
    ),
    ("record check", "as_it_is", At("/record", ""), At("post /record/as-it-is", "")),
    ("record export", "csv", At("/record.csv", ""), At("get /record/entries.csv", "")),
    ("record import", "file", At("/record", "exported"), At("post /record/import", "")),
    ("record distance", "vehicle", Nowhere(BY_TRUCK), Nowhere(BY_TRUCK)),
    ("record distance", "from", At("/trucks/{t}/record", "from"), At("get /trucks/{slug}/distance", "from")),
    ("record distance", "to", At("/trucks/{t}/record", "to"), At("get /trucks/{slug}/distance", "to")),
    ("record take", "file", At("/trucks/{t}/record", ""), At("post /trucks/{slug}/take", "")),
    ("record give", "vehicle", At("/record", "vehicle="), At("get /record/vehicle-file", "vehicle")),
    ("record papers", "vehicle", Nowhere(BY_TRUCK), Nowhere(BY_TRUCK)),
    (
        "record papers",
        "model_year",
        At("/trucks/{t}/record", "model_year"),
        At("get /trucks/{slug}/papers", "model_year"),
    ),
    (
        "record papers",
        "transfer",
        At("/trucks/{t}/record", "transfer"),
        At("get /trucks/{slug}/papers", "transfer"),
    ),
    (
        "record papers",
        "gvwr_lb",
        At("/trucks/{t}/record", "gvwr_lb"),
        At("get /trucks/{slug}/papers", "gvwr_lb"),
    ),
    (
        "record backup",
        "out",
        Nowhere("a page never writes outside its garage; a copy is a download too"),
        Nowhere("the same; the copy is an address of its own"),
    ),
    ("record key", "make", At("/record", ""), At("post /record/key", "")),
    ("record verify", "file", At("/record", "file"), At("post /record/verify", "")),
    ("record verify", "sheet_code", At("/record", "sheet_code"), At("post /record/verify", "sheet_code")),
    ("record rescue", "", At("/record", ""), At("post /record/rescue", "")),
    ("apart", "note", Nowhere(SHELL), Nowhere(SHELL)),
    ("apart", "words", Nowhere(SHELL), Nowhere(SHELL)),
    ("completions", "shell", Nowhere(SHELL), Nowhere(SHELL)),
    ("man-pages", "out", Nowhere(SHELL), Nowhere(SHELL)),
    ("man-pages", "force", Nowhere(SHELL), Nowhere(SHELL)),
    ("manual", "chapter", At("/manual/measure-well", ""), Nowhere("a program has no use for it")),
];

/// A truck with a constant and a ring that can be changed.
const TWO_TO_SET: &str = "name = \"Two\"\n[tire]\nsize = \"LT265/75R16\"\n[chain]\nsensor_at = \"axle-ring\"\n\
    [[adjuster]]\nname = \"constant\"\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 40000\nmax = 90000\npresent = 62880\n\
    [[adjuster]]\nname = \"ring\"\nkind = \"tone-ring\"\nteeth = [92, 96, 104]\npresent = 96\n";

/// The same for commands that ask for drives; the same fields at the address of each.
fn of_a_drive() -> impl Iterator<Item = (&'static str, &'static str, Place, Place)> {
    let of_one = DriveInputs::names().flat_map(|flag| {
        [
            ("measure drive", flag, At("/drive", flag), At("post /drive", flag)),
            ("prove", flag, At("/trucks/{t}/prove", flag), At("get /trucks/{slug}/prove", flag)),
        ]
    });
    of_one.chain(LogInputs::names().map(|flag| ("batch", flag, At("/batch", flag), At("post /batch", flag))))
}

/// Every flag as (command, flag); a command without any has an empty one.
fn flags() -> BTreeSet<(String, String)> {
    fn gather(command: &clap::Command, above: &str, found: &mut BTreeSet<(String, String)>) {
        for below in command.get_subcommands() {
            let name = [above, below.get_name()].join(" ").trim().to_string();
            if below.has_subcommands() {
                gather(below, &name, found);
                continue;
            }
            let ids = below.get_arguments().map(|one| one.get_id().as_str());
            let own: Vec<&str> = ids.filter(|id| !COMMON.iter().any(|(flag, ..)| flag == id)).collect();
            found.extend(own.iter().map(|id| (name.clone(), (*id).to_string())));
            if own.is_empty() {
                found.insert((name, String::new()));
            }
        }
    }
    let mut found = BTreeSet::new();
    gather(&commands(), "", &mut found);
    found
}

#[test]
fn every_flag_has_its_line_and_every_line_its_flag() {
    let lines = TABLE.iter().copied().chain(of_a_drive());
    let lines: BTreeSet<(String, String)> =
        lines.map(|(command, flag, ..)| (command.to_string(), flag.to_string())).collect();
    let flags = flags();
    assert!(flags.len() > 80, "{}", flags.len());
    let without: Vec<_> = flags.difference(&lines).collect();
    assert!(without.is_empty(), "flags without a place: {without:?}");
    for (command, flag, page, interface) in TABLE {
        for place in [page, interface] {
            assert!(!matches!(place, Nowhere(reason) if reason.is_empty()), "{command} {flag} has no reason");
        }
    }
    let gone: Vec<_> = lines.difference(&flags).collect();
    assert!(gone.is_empty(), "places of flags that are gone: {gone:?}");
}

#[test]
fn every_place_in_the_interface_is_there() {
    let whole = description();
    let places = TABLE.iter().copied().chain(of_a_drive()).map(|(.., place)| place);
    for place in places.chain(COMMON.iter().map(|(.., place)| *place)) {
        let At(address, field) = place else { continue };
        let (method, path) = address.split_once(' ').unwrap();
        let operation = &whole["paths"][format!("{PREFIX}{path}")][method];
        assert!(operation.is_object(), "{address}");
        assert!(field.is_empty() || asks(operation, field), "{address} does not ask for {field}");
    }
}

fn asks(operation: &Value, field: &str) -> bool {
    let named = operation["parameters"].as_array().unwrap().iter().any(|one| one["name"] == field);
    let bodies = operation["requestBody"]["content"].as_object().into_iter().flat_map(|all| all.values());
    named || bodies.into_iter().any(|body| body["schema"]["properties"][field].is_object())
}

/// The sample truck with two readings in its record, between which a distance can be asked for.
fn with_a_way() -> (Visitor, Slug) {
    let (visitor, slug) = Visitor::with_sample();
    let truck = visitor.app.garage.truck(&slug).unwrap();
    crate::page::keep::file(&visitor.app, &truck).unwrap();
    for reading in ["128371.0 mi", "128406.3 mi"] {
        let fields = [("kind", "odometer"), ("odometer", reading)];
        visitor.post(&format!("/trucks/{slug}/record"), &fields).is(303);
    }
    (visitor, slug)
}

/// An odometer's reading given as a distance.
const ODD: &str = "[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 20000\n\
                   [[evidence]]\nkind = \"odometer-distance\"\nindicated = \"128411.0 mi\"\ntrue = \"10.00 mi\"\n";

#[test]
fn every_place_on_the_page_is_there() {
    let (visitor, slug) = with_a_way();
    let two = visitor.app.garage.add("Two", TWO_TO_SET, &[]).unwrap();
    let odd = visitor.app.garage.add("Odd", ODD, &[]).unwrap();
    let places = TABLE.iter().copied().chain(of_a_drive()).map(|(_, _, place, _)| place);
    for place in places.chain(COMMON.iter().map(|(_, place, _)| *place)) {
        let At(address, field) = place else { continue };
        let said = visitor.get_patiently(
            &address
                .replace("{t}", slug.as_str())
                .replace("{two}", two.as_str())
                .replace("{odd}", odd.as_str()),
        );
        said.is(200);
        match field.strip_suffix('=') {
            _ if field.is_empty() => {}
            // Something that a link names.
            Some(_) => drop(said.has(&[field])),
            None => drop(said.has(&[&format!("name=\"{field}\"")])),
        }
    }
}

#[test]
fn every_field_that_a_problem_names_has_its_label_on_the_page() {
    let (visitor, slug) = with_a_way();
    for (address, fields) in [
        ("/drive".to_string(), &Field::ALL[..10]),
        ("/recording".to_string(), &Field::ALL[10..14]),
        ("/bench".to_string(), &Field::ALL[14..24]),
        (format!("/trucks/{slug}/record"), &Field::ALL[24..26]),
        (format!("/trucks/{slug}/record"), &Field::ALL[33..40]),
    ] {
        let page = visitor.get_patiently(&address);
        for field in fields {
            let label = format!(">{}</label>", label(*field));
            assert!(page.body.contains(&label), "{address} does not say {label}");
        }
    }
}
