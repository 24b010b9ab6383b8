//! Procedures filled in for a vehicle, and the steps in words.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use truing::describe::adjuster::setting::Setting;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problems, Severity, any_error};
use truing::report::words::setting::step as said;
use truing::set::*;

fn procedure(text: &str) -> Procedure {
    let (procedure, problems) = Procedure::read("test", text);
    assert!(!any_error(&problems), "{problems:?}");
    procedure
}

/// 3.00 to 9.00 by 0.01, one button that counts down and wraps.
const COUNTER: Counter = Counter { positions: 601, buttons: Buttons { up: false, down: true }, wraps: true };

fn display(position: usize) -> String {
    (position + 300).to_string()
}

/// Fills a procedure for a move on the grid above, values in hundredths.
fn filled(
    procedure: &Procedure,
    present: usize,
    target: usize,
    writes_left: Option<u32>,
) -> Result<Steps, Problems> {
    let plan = COUNTER.plan(present - 300, target - 300).unwrap();
    let words = |value: usize| format!("{}.{:02}", value / 100, value % 100);
    let values = Values {
        vehicle: "the grey half-ton",
        present: &words(present),
        target: &words(target),
        present_display: &display(present - 300),
        target_display: &display(target - 300),
        writes_left,
        pressing: Some(Pressing { way: plan.best(), display: &display, held: None }),
        ..in_two_parts()
    };
    steps(procedure, &values)
}

/// 8/20 to 8/21, and two switches.
fn in_two_parts() -> Values<'static> {
    let switch = |weight, is_on| Switch { weight, is_on };
    Values {
        present_parts: Some(["8".into(), "20".into()]),
        target_parts: Some(["8".into(), "21".into()]),
        switches: vec![switch(1, true), switch(2, false)],
        ..Values::default()
    }
}

fn without_buttons(procedure: &Procedure) -> Result<Steps, Problems> {
    let values = Values {
        vehicle: "the grey half-ton",
        present: "8/20",
        target: "8/21",
        present_display: "8/20",
        target_display: "8/21",
        writes_left: None,
        ..in_two_parts()
    };
    steps(procedure, &values)
}

#[test]
fn every_kind_has_a_procedure_without_a_fault() {
    for kind in KINDS {
        let (procedure, problems) = Procedure::read(kind, generic_procedure(kind).unwrap());
        assert_eq!(problems, [], "{kind}");
        let steps = if kind == "stepped-constant" {
            filled(&procedure, 718, 714, Some(4)).unwrap()
        } else {
            without_buttons(&procedure).unwrap()
        };
        let all: String = steps.steps.iter().map(said).collect();
        assert!(!all.contains(['{', '}']), "{kind}");
        assert_eq!(steps.steps[0].kind, StepKind::Caution, "{kind}");
        assert!(said(&steps.steps[0]).contains("Local law"), "{kind}");
        assert!(all.contains("Write down") && all.contains("odometer"), "{kind}");
        let stored = ["stepped-constant", "free-constant", "declared-tire-axle"].contains(&kind);
        assert_eq!(procedure.is_irreversible(), stored, "{kind}");
    }
    assert_eq!(generic_procedure("something-else"), None);
}

#[test]
fn a_write_is_guarded_by_what_must_be_true_before_it() {
    for kind in ["stepped-constant", "free-constant", "declared-tire-axle"] {
        let text = generic_procedure(kind).unwrap();
        let steps = filled(&procedure(text), 718, 714, Some(4)).unwrap().steps;
        let write = steps.iter().position(Step::irreversible).unwrap();
        assert_eq!(steps.iter().filter(|step| step.irreversible()).count(), 1);
        assert_eq!(steps[write - 1].kind, StepKind::WayBack);
        assert!(steps[write - 2].check() && said(&steps[write - 2]).contains("shows 714"), "{kind}");
        assert!(said(&steps[write]).contains("left after it: 3"), "{kind}");
        let before: String = steps[..write].iter().map(said).collect();
        for word in ["Park", "supply is steady", "ngine", "Write down", "7.18"] {
            assert!(before.contains(word), "{kind}: {word}");
        }
        assert!(steps[write + 1].check() && said(&steps[write + 1]).contains("714"));
    }
}

#[test]
fn presses_are_counted_and_said() {
    let procedure = procedure("{pressing} ({presses} x {button}, {wraps} wrap): {checkpoints}.");
    let long = filled(&procedure, 710, 714, None).unwrap();
    assert_eq!(long.presses, [Presses { button: Direction::Down, count: 597 }]);
    assert_eq!((long.total_presses, long.wraps), (597, 1));
    let text = said(&long.steps[0]);
    assert!(text.starts_with("Press the button that counts down 597 times, to 714. At press 411"), "{text}");
    assert!(
        text.contains(
            "shows 900. If it goes on by itself when held: hold it until about 724, then press singly to 714."
        ),
        "{text}"
    );
    assert!(text.contains(" (597 x down, 1 wrap): after 1 press 709, after 50 presses 660,"), "{text}");
    assert!(text.ends_with("after 597 presses 714."), "{text}");
    let short = filled(&procedure, 715, 714, None).unwrap();
    let expected = "Press the button that counts down once, to 714. (1 x down, 0 wrap): after 1 press 714.";
    assert_eq!(said(&short.steps[0]), expected);
}

#[test]
fn what_is_stored_already_costs_nothing() {
    let check = |to: &str, expected: Option<&str>| {
        let vehicle = stepped("\"down\"", 0);
        let outcome = job("truck.toml", &vehicle, &Order::new(&vehicle.adjusters[0], Setting::parse(to)));
        let nothing = expected.map(|stored| Outcome::NothingToDo {
            stored: Some(stored.into()),
            cause: Cause::StoredAlready,
            why: Vec::new(),
        });
        assert_eq!(outcome.ok(), nothing, "{to}");
    };
    // Before anything about writes is asked, and in any notation; another value needs a write, and none is left.
    check("8.20", Some("8.20"));
    check("8.2", Some("8.20"));
    check("7.86", None);
}

/// 4.00 to 12.00 by 0.02, 8.20 is stored.
fn stepped(buttons: &str, writes_left: u32) -> Vehicle {
    let text = format!(
        "[adjuster]\nkind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [{buttons}]\n\
         wraps = true\npresent = \"8.20\"\nwrites_left = {writes_left}\ndisplay = \"820\"\n"
    );
    Vehicle::read("truck.toml", &text).0.unwrap()
}

#[test]
fn without_a_write_left_there_are_no_steps() {
    let generic = procedure(generic_procedure("stepped-constant").unwrap());
    let problems = filled(&generic, 718, 714, Some(0)).unwrap_err();
    assert_eq!(problems[0].found, "none left");
    assert!(
        filled(&generic, 718, 714, Some(1))
            .unwrap()
            .steps
            .iter()
            .any(|step| said(step).contains("after it: 0"))
    );
    let uncounted = filled(&generic, 718, 714, None).unwrap().steps;
    assert!(!uncounted.iter().any(|step| said(step).contains("not known")
        || said(step).contains("left after")
        || said(step).contains("Writes left")));
    assert!(filled(&procedure("Turn {target}."), 718, 714, Some(0)).is_ok(), "nothing is spent here");
}

#[test]
fn mistakes_are_named_with_their_line() {
    let check = |text: &str, severity: Severity, line: Option<usize>, words: &str| {
        let (_, problems) = Procedure::read("mine.txt", text);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert_eq!((problems[0].severity, problems[0].line), (severity, line), "{text}");
        assert_eq!(problems[0].source, "mine.txt");
        assert!(problems[0].to_string().contains(words), "{}", problems[0]);
    };
    check("Fine.\n\nStore {tagret}.", Severity::Error, Some(3), "Did you mean {target}?");
    check("Store {weather}.", Severity::Error, Some(1), "one of vehicle, present");
    check("Store {target.", Severity::Error, Some(1), "single brace");
    check("Store target}.", Severity::Error, Some(1), "single brace");
    check("Fine.\n!", Severity::Error, Some(2), "a sentence after `!`");
    check("", Severity::Error, None, "at least one step");
    check("# only a remark", Severity::Error, None, "at least one step");
    check("? {target}\n! Store.", Severity::Warning, Some(2), "how to back out");
    check("? Look.\n< Leave.\n! Store.", Severity::Warning, Some(3), "names {target}");
    // What guards one write does not guard the next.
    check(
        "? {target}\n< Leave.\n! Store.\n? {target}\n! Again.",
        Severity::Warning,
        Some(5),
        "how to back out",
    );
}

#[test]
fn a_line_with_a_mistake_is_left_out_and_the_rest_kept() {
    let (procedure, problems) = Procedure::read("mine.txt", "One {target}.\nTwo {tagret}.\nThree.");
    assert_eq!(problems.len(), 1);
    assert_eq!(without_buttons(&procedure).unwrap().steps.len(), 2);
}

#[test]
fn braces_and_marks_can_be_written() {
    let steps =
        without_buttons(&procedure("{{{present}}} is not {{target}}.\n* Mind.\n<Back.")).unwrap().steps;
    assert_eq!(said(&steps[0]), "{8/20} is not {target}.");
    assert_eq!((steps[1].kind, said(&steps[1]).as_str()), (StepKind::Caution, "Mind."));
    assert_eq!((steps[2].kind, said(&steps[2]).as_str()), (StepKind::WayBack, "Back."));
}

#[test]
fn presses_asked_for_where_there_are_none_are_a_problem() {
    let problems = without_buttons(&procedure("Fine.\nPress {presses} times.")).unwrap_err();
    assert_eq!(problems[0].line, Some(2));
    assert!(problems[0].to_string().contains("{presses}"), "{}", problems[0]);
}

proptest::proptest! {
    #[test]
    fn any_text_is_read_without_panic(text in ".{0,80}(\\{|\\}|!|\n){0,5}.{0,20}") {
        let (procedure, problems) = Procedure::read("any", &text);
        let _ = without_buttons(&procedure);
        proptest::prop_assert!(problems.iter().all(|problem| problem.source == "any"));
    }
}

#[test]
fn every_press_of_a_run_is_listed() {
    let check = |buttons: &str, to: &str, button: Direction, presses: usize, ends: [&str; 3]| {
        let vehicle = stepped(buttons, 4);
        let order = Order::new(&vehicle.adjusters[0], Setting::parse(to));
        let job = job("truck.toml", &vehicle, &order).unwrap().job().unwrap();
        let [run] = job.runs.as_slice() else { panic!("one run, not {}", job.runs.len()) };
        assert_eq!((run.button, run.shows.len()), (button, presses + 1));
        let [first, second, last] = ends;
        assert_eq!((&*run.shows[0], &*run.shows[1], &*run.shows[presses]), (first, second, last));
    };
    // (8.20 - 7.86) / 0.02 = 17 down; up past the end (12.00 - 8.20) / 0.02 + 1 + (7.86 - 4.00) / 0.02 = 384
    check("\"down\"", "7.86", Direction::Down, 17, ["820", "818", "786"]);
    check("\"up\"", "7.86", Direction::Up, 384, ["820", "822", "786"]);
}

#[test]
fn digits_without_their_point_are_understood_where_they_mean_one_value() {
    let vehicle = stepped("\"up\", \"down\"", 4);
    let adjuster = &vehicle.adjusters[0];
    let target = |typed: &str| {
        let order = Order::new(adjuster, Setting::parse(typed));
        job("file", &vehicle, &order).map(|outcome| outcome.job().map(|job| job.to))
    };
    assert_eq!(target("832").unwrap().as_deref(), Some("8.32"));
    assert_eq!(target("8.32").unwrap().as_deref(), Some("8.32"));
    assert_eq!(target("820").unwrap(), None, "8.20 is stored");
    assert!(target("833").is_err(), "8.33 is off the grid");
    assert!(target("83200").is_err(), "83200 hundredths are out of range");
    // 8 is on the grid as 8.00, and is never taken for 0.08.
    assert_eq!(target("8").unwrap().as_deref(), Some("8.00"));
    let shown = |typed: &str| setting_shown("file", adjuster, typed).map(|setting| setting.to_string());
    assert_eq!(shown("832").unwrap(), "8.32");
    assert_eq!(shown("8.32").unwrap(), "8.32");
    assert!(shown("833").is_err());
}

#[test]
fn a_long_way_names_what_it_costs_and_what_lies_nearer() {
    let vehicle = stepped("\"down\"", 4);
    let way = |to: &str| {
        let order = Order::new(&vehicle.adjusters[0], Setting::parse(to));
        job("file", &vehicle, &order).unwrap().job().unwrap().long_ways
    };
    // From 8.20 down past the end to 8.24: 401 values, two of them above: 399 presses; 8.20 differs by 0.04 / 8.24.
    let [long] = &way("8.24")[..] else { panic!("one long way") };
    assert_eq!((long.presses, long.duration.s()), (399, 399.0));
    // 1 - 0.998^399 = 0.550
    assert!((long.chance_of_a_slip.plain() - 0.550).abs() < 0.001);
    let near = long.near.as_ref().unwrap();
    assert_eq!((near.value.as_str(), near.presses), ("8.20", 0));
    assert!((near.difference.plain() - 0.04 / 8.24).abs() < 1e-12);
    // 6.00 is 110 presses down; the nearest after 20, 7.80, is 30 % away: it does not stand in.
    assert_eq!(way("6.00")[0].near, None);
    assert_eq!(way("8.00"), [], "10 presses are not long");
}

/// The steps of an adjuster, each with its kind.
fn steps_of(adjuster: &str, to: &str) -> Vec<Step> {
    let (vehicle, problems) = Vehicle::read("truck.toml", &format!("[adjuster]\n{adjuster}"));
    let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
    let [adjuster] = vehicle.adjusters.as_slice() else { panic!("{adjuster}: {problems:?}") };
    let order = Order::new(adjuster, Setting::parse(to));
    job("truck.toml", &vehicle, &order).unwrap().job().unwrap().steps.steps
}

#[test]
fn every_adjuster_is_set_in_its_own_words() {
    let check = |adjuster: &str, to: &str, says: &[&str], never: &[&str]| {
        let all = steps_of(adjuster, to).iter().map(said).collect::<Vec<_>>().join("\n");
        says.iter().for_each(|words| assert!(all.contains(words), "{words} is not in {all}"));
        never.iter().for_each(|words| assert!(!all.contains(words), "{words} in {all}"));
    };
    let gears =
        "kind = \"gear-pair\"\ndrive_gears = [7, 8]\ndriven_gears = [18, 19, 20]\npresent = \"8/20\"\n";
    check(
        gears,
        "8/19",
        &["driven gear with 19 teeth in place of 20", "drive gear with 8 teeth stays"],
        &["8/19", "Store"],
    );
    check(gears, "7/20", &["drive gear with 7 teeth in place of 8", "driven gear with 20 teeth stays"], &[]);
    check(gears, "7/19", &["drive gear with 7 teeth", "driven gear with 19 teeth"], &["stays"]);
    let adapter = "kind = \"cable-adapter\"\nratios = [\"1/1\", \"16/15\"]\n";
    check(
        &format!("{adapter}present = \"1/1\"\n"),
        "16/15",
        &["no adapter now", "15 turns of the input make 16"],
        &["Undo the cable at the adapter", "refit 1/1"],
    );
    check(&format!("{adapter}present = \"16/15\"\n"), "1/1", &["Take the adapter out"], &["Fit the adapter"]);
    let switches = "kind = \"pulse-ratio\"\nswitch_weights = [1, 2, 4, 8]\nswitch_denominator = 10\npresent = \"10/10\"\n";
    check(
        switches,
        "11/10",
        &["Set the switches, in this order: 1 (1) on, 2 (2) on, 3 (4) off, 4 (8) on."],
        &[],
    );
    let declared = "kind = \"declared-tire-axle\"\nrevs_per_mile = { min = 500, max = 900, step = 1 }\n";
    check(
        &format!("{declared}axle_ratios = [\"3.55\", \"4.10\"]\npresent = \"700 x 3.55\"\n"),
        "690 x 4.10",
        &["690 revolutions per mile, then the axle, 4.10"],
        &["It spends"],
    );
    check(&format!("{declared}present = \"700\"\n"), "690", &["Enter 690 revolutions per mile."], &["axle"]);
    check(
        "kind = \"tone-ring\"\nteeth = [92, 96]\npresent = 96\n",
        "92",
        &["The ring fitted has 92 teeth"],
        &[],
    );
    let constant =
        "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 20000\n";
    check(constant, "20500", &["Type 20500"], &["not known", "It spends"]);
    check(
        &format!("{constant}writes_left = 3\n"),
        "20500",
        &["Writes left before this one: 3.", "left after it: 2."],
        &[],
    );
}
