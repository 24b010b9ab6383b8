//! Choose, set, prove and record: what the screens say, and what is kept.

use super::Visitor;
use crate::work::sample::FILES;
use truing::record::EventKind;

fn kinds(visitor: &Visitor) -> Vec<EventKind> {
    let mut kinds = Vec::new();
    visitor.app.garage.ledger().unwrap().each(|entry| kinds.push(entry.event.kind)).unwrap();
    kinds
}

fn count(visitor: &Visitor, kind: EventKind) -> usize {
    kinds(visitor).into_iter().filter(|one| *one == kind).count()
}

#[test]
fn the_advice_opens_to_where_its_numbers_come_from() {
    let (visitor, slug) = Visitor::with_sample();
    let page = visitor.get_patiently(&format!("/trucks/{slug}/choose"));
    page.is(200).has(&[
        "Store 1416",
        "The settings in reach, and what is needed",
        "1416, best",
        "Error by speed",
        "The price of a write",
        "writes left after it",
        "What could be measured",
        "Where the numbers come from",
        "rollout, 5 turns, 3 tries, 2026-05-01",
        "generalised least squares",
        "name=\"token\"",
    ]);
    page.lacks(&[" style=\"", "onclick", "<script>"]);
    let other = visitor.get_patiently(&format!("/trucks/{slug}/choose?rule=un-r39&reserve=3"));
    other.is(200).has(&["value=\"un-r39\" selected", "value=\"3\""]);
    visitor.get(&format!("/trucks/{slug}/choose?rule=nonsense")).is(422).has(&["un-r39"]);
    visitor.get(&format!("/trucks/{slug}/choose?reserve=many")).is(422).has(&["a whole number"]);
}

#[test]
fn kept_advice_brings_the_file_the_estimate_and_the_choice_once() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}/choose");
    visitor.get_patiently(&address);
    let said = visitor.post(&address, &[("rule", "true")]);
    visitor.get(said.is(303).location()).has(&["is in the record, safe on disk"]);
    use EventKind::{Choice, Estimate, Evidence, Vehicle};
    assert_eq!(kinds(&visitor), [Vehicle, Evidence, Evidence, Estimate, Choice]);
    visitor.post(&address, &[("rule", "true")]).is(303);
    assert_eq!(count(&visitor, Vehicle), 1, "the same file is not taken twice");
}

#[test]
fn the_steps_one_by_one() {
    let (visitor, slug) = Visitor::with_sample();
    let address = |query: &str| format!("/trucks/{slug}/set{query}");
    let all = visitor.get_patiently(&address(""));
    all.is(200).has(&["21 presses down.", "Cannot be undone", "screen=1", "press.js"]);
    // Cautions stand on the screen of the step after them.
    visitor.get_patiently(&address("?screen=1")).has(&["Step 1 of 12", "wheels chocked", "Done: next"]);
    let counter = visitor.get_patiently(&address("?screen=7&pressed=5"));
    counter.has(&[
        "data-pressed=\"5\"",
        "<dd data-now>1464</dd>",
        "<dd data-next>1461</dd>",
        "pressed=6",
        "pressed=4",
    ]);
    let end = visitor.get_patiently(&address("?screen=7&pressed=99"));
    end.has(&["<dd data-now>1416</dd>", "<dd data-next>stop</dd>", "It does: next"]);
    let again = visitor.get_patiently(&address("?screen=7&shows=1461"));
    again.has(&[
        "<dd data-now>1461</dd>",
        " of 15",
        "Planned again.",
        "15 presses are left, 15 down, to 1416.",
    ]);
    // The presses that were left are not asked for once more on the steps after them.
    visitor.get_patiently(&address("?screen=8&shows=1461")).is(200).lacks(&["Planned again."]);
    visitor
        .get_patiently(&address("?screen=10&shows=1461"))
        .has(&["Cannot be undone"])
        .lacks(&["Planned again."]);
    // Seen at the look before Confirm, another display leads back to the counter, not past it.
    visitor
        .get_patiently(&address("?screen=8"))
        .has(&["The display shows something else", "name=\"screen\" value=\"7\""]);
    counter.has(&[
        "Compare on the way: if the display shows anything else",
        "press nothing more, and say below what it shows",
    ]);
    let held = visitor.get_patiently(&address("?to=1215&repeat=5&screen=7&even_if_worse=yes"));
    held.has(&["let go at about", "After letting go the display shows", "name=\"repeat\" value=\"5\""]);
    visitor.get_patiently(&address("?screen=7&shows=1")).is(422).has(&["Back to the step", "screen=7"]);
    visitor.get_patiently(&address("?to=1425")).has(&["18 presses down."]);
    let last = visitor.get_patiently(&address("?screen=10"));
    last.has(&["Cannot be undone", "Not sure?", "That spends no write.", "It is stored: next"]);
}

#[test]
fn another_value_says_what_the_truck_would_read_and_asks_where_it_is_worse() {
    let (visitor, slug) = Visitor::with_sample();
    let address = |query: &str| format!("/trucks/{slug}/set{query}");
    let near = visitor.get_patiently(&address("?to=1425"));
    near.is(200).has(&[
        "1425 is not the advised value, which is 1416.",
        "With 1425 the truck would read",
        "Today it reads",
    ]);
    near.has(&["Begin with step 1"]).lacks(&["I want to store it all the same", "That is worse than now."]);
    let advised = visitor.get_patiently(&address("?to=1416"));
    advised.lacks(&["is not the advised value"]);
    let worse = visitor.get_patiently(&address("?to=1800"));
    worse
        .is(200)
        .has(&["That is worse than now.", "I want to store it all the same"])
        .lacks(&["Begin with step 1"]);
    // By no address past the question.
    visitor
        .get_patiently(&address("?to=1800&screen=7"))
        .has(&["I want to store it all the same"])
        .lacks(&["data-now"]);
    let said = visitor.get_patiently(&address("?to=1800&even_if_worse=yes"));
    said.has(&[
        "Begin with step 1",
        "That is worse than now.",
        "107 presses take about 2 minutes",
        "even_if_worse=yes",
    ]);
    said.form_with("repeat").has(&["name=\"even_if_worse\" value=\"yes\"", "name=\"to\" value=\"1800\""]);
}

#[test]
fn after_the_confirming_press_what_is_shown_is_asked_for_and_kept() {
    let (visitor, slug) = Visitor::with_sample();
    let address = |query: &str| format!("/trucks/{slug}/set{query}");
    let question = visitor.get_patiently(&address("?screen=11"));
    question.is(200).has(&[
        "What does it show now?",
        "Writes left, as the module says",
        "Before this one it was 5.",
    ]);
    question.lacks(&["Nothing is stored yet", "screen=10", "screen=12", "keep the write in the record"]);
    let planned = visitor.get_patiently(&address("?screen=11&stored=1416&left=4"));
    planned.has(&["1416 is stored, one write spent, 4 left: it would read", "Keep this?", "value=\"1416\""]);
    planned.lacks(&["Nothing is stored yet", "not the 1416", "Look again:"]);
    let other = visitor.get_patiently(&address("?screen=11&stored=1419&left=4"));
    other.has(&[
        "1419 is stored, one write spent, 4 left",
        "That is not the 1416 that was planned",
        "cost another write",
    ]);
    other.lacks(&["Nothing is stored yet"]);
    visitor.get_patiently(&address("?screen=11&stored=1416&left=5")).has(&["it can be 4 at most"]);
    visitor.get_patiently(&address("?screen=11&stored=1416&left=3")).has(&["by the file it would be 4"]);
    let kept_its_own = visitor.get_patiently(&address("?screen=11&stored=1479&left=5"));
    kept_its_own
        .has(&["the confirming press was not taken", "All steps again"])
        .lacks(&["keep the write in the record"]);
    visitor
        .get_patiently(&address("?screen=11&stored=1479&left=4"))
        .has(&["a write was spent and changed nothing"]);
    visitor
        .get_patiently(&address("?screen=11&stored=1418"))
        .is(422)
        .has(&["what the display can show", "Look again"]);
    // What was read goes into the record and the file, with what the module counts.
    let fields = [
        ("version", other.hidden("version")),
        ("adjuster", other.hidden("adjuster")),
        ("from", "1479".to_string()),
        ("to", other.hidden("to")),
        ("writes_left", other.hidden("writes_left")),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let said = visitor.post(&address(""), &fields);
    visitor.get(said.is(303).location()).has(&["1419 is stored since ", "4 writes left"]);
    let text = visitor.app.garage.truck(&slug).unwrap().text.clone();
    assert!(text.contains("present = \"1419\"") && text.contains("writes_left = 4"), "{text}");
    // The plan goes on from what is stored, with its own count.
    visitor.get_patiently(&address("?to=1416")).has(&["1419 \u{2192} 1416", "1 press down."]);
}

#[test]
fn of_two_windows_the_second_is_told_and_one_write_is_kept() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}/set");
    let form = visitor.get_patiently(&format!("{address}?screen=99&stored=1416"));
    let (version, adjuster) = (form.hidden("version"), form.hidden("adjuster"));
    let write = |odometer: &str| {
        let fields = [
            ("version", version.as_str()),
            ("adjuster", adjuster.as_str()),
            ("from", "1479"),
            ("to", "1416"),
            ("odometer", odometer),
        ];
        visitor.post(&address, &fields)
    };
    write("nonsense").is(422);
    assert_eq!(count(&visitor, EventKind::Write), 0, "what the record refuses changes nothing");
    assert!(!visitor.app.garage.truck(&slug).unwrap().text.contains("[[written]]"));
    let said = write("128411.0 mi");
    visitor.get(said.is(303).location()).has(&["1416 is stored since ", "4 writes left"]);
    let text = visitor.app.garage.truck(&slug).unwrap().text.clone();
    assert!(text.contains("present = \"1416\"") && text.contains("writes_left = 4"), "{text}");
    write("128412.0 mi").is(409).has(&["changed meanwhile", "The steps as they are now"]);
    assert_eq!(count(&visitor, EventKind::Write), 1);
    assert_eq!(visitor.app.garage.truck(&slug).unwrap().text, text);
}

#[test]
fn a_drive_is_judged_and_kept() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}/prove");
    visitor.get_patiently(&address).is(200).has(&["A second person reads the instruments", "after.gpx"]);
    let drive = "?track=after.gpx&vehicle_log=after-log.csv&rule=us-393.82";
    visitor.get_patiently(&format!("{address}{drive}")).is(200).has(&[
        "Conforms",
        "Error of the reading against what is permitted",
        "measured, 95 %",
        "Keep this proof in the record",
        "JCGM 106:2012",
    ]);
    let odometer = "?track=after.gpx&vehicle_log=after-log.csv&rule=odometer-4";
    visitor.get_patiently(&format!("{address}{odometer}")).is(200).has(&["The distance counted against"]);
    let fields = [("track", "after.gpx"), ("vehicle_log", "after-log.csv"), ("rule", "us-393.82")];
    let said = visitor.post(&format!("{address}/keep"), &fields);
    visitor
        .get(said.is(303).location())
        .has(&["Proved: it conforms to us-393.82", "SHA-256 of the track begins"]);
    // Looked at by two rules and kept: two drives were asked for, the second of which does not lie there.
    visitor.get(&format!("{address}?track=../../record.sqlite")).is(422).lacks(&["waywiser-page-"]);
    assert_eq!(visitor.app.garage.known(&slug).unwrap().judged.kept(), 2, "each drive is read once");
    visitor.post(&format!("{address}/keep"), &[]).is(422).has(&["a track of the drive"]);
}

#[test]
fn a_drive_that_comes_in_is_judged() {
    let (visitor, slug) = Visitor::with_sample();
    let file = |name: &str| FILES.iter().find(|(known, _)| *known == name).unwrap().1;
    let address = format!("/trucks/{slug}/prove");
    visitor.get_patiently(&address);
    let said = visitor.upload_as(&address, &visitor.token(), &[("track", "later.gpx", file("after.gpx"))]);
    assert!(said.is(303).location().ends_with("/prove?track=later.gpx"), "{}", said.location());
    let both = [("track", "both.gpx", file("after.gpx")), ("vehicle_log", "both.csv", file("after-log.csv"))];
    let said = visitor.upload_as(&address, &visitor.token(), &both);
    visitor.get(said.is(303).location()).is(200).has(&["Conforms"]);
    visitor.get(said.location()).is(200);
    assert_eq!(visitor.app.garage.known(&slug).unwrap().judged.kept(), 1, "sent and shown twice, read once");
    visitor.upload_as(&address, "wrong", &[("track", "x.gpx", b"x")]).is(403);
    assert!(
        !visitor.app.garage.truck_folder(&slug).join("x.gpx").exists(),
        "nothing is kept of a foreign form"
    );
}

#[test]
fn a_log_that_no_standard_describes_is_judged() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}/prove");
    let form = visitor.get_patiently(&address);
    form.has(&[
        "name=\"vehicle_columns\"",
        "name=\"can_signal\"",
        "name=\"dbc\"",
        "Say how the logs are read",
    ]);
    let asked = format!("{address}?track=after.gpx&vehicle_log=after-log.csv&rule=us-393.82");
    // Kilometres per hour that are said to be miles per hour prove nothing, and what is wrong is named.
    let told = visitor.get_patiently(&format!("{asked}&vehicle_columns=speed%3Dvehicle_speed_kmh+mph"));
    told.is(422).has(&["that of a wrong unit"]);
    visitor.get(&format!("{asked}&vehicle_columns=nothing")).is(422).has(&["column choice", "Another drive"]);
    visitor.get(&format!("{asked}&can_signal=id=1&dbc=bus.dbc")).is(422).has(&["a signal or a DBC file"]);
}

#[test]
fn the_record_shows_checks_and_gives_out() {
    let (visitor, slug) = Visitor::with_sample();
    let address = format!("/trucks/{slug}/record");
    visitor.get(&address).is(200).has(&["Nothing is recorded yet", "True distance"]);
    let markup = "<b>quiet</b> & \"more\"";
    visitor.post(&address, &[("kind", "note"), ("text", markup)]).is(303);
    visitor.post(&address, &[("kind", "fault-opened"), ("text", "pedal soft"), ("value", "brakes")]).is(303);
    visitor
        .get(&address)
        .has(&["&lt;b&gt;quiet&lt;/b&gt;", "Open fault, entry 2", "Mended"])
        .lacks(&["<b>quiet"]);
    visitor.post(&address, &[("kind", "fault-mended"), ("value", "2")]).is(303);
    visitor.get(&address).lacks(&["Open fault, entry 2"]);
    visitor.post(&address, &[("kind", "odometer"), ("odometer", "128406.3")]).is(422).has(&["with its unit"]);
    visitor.get(&format!("{address}?check=now")).has(&["Whole.", "3 entries were checked"]);
    visitor.get(&format!("{address}?entries=9")).has(&["Not in order.", "cut off"]);
    let lines = visitor.get("/record.jsonl");
    assert_eq!(lines.is(200).body.lines().count(), 3);
    visitor.get("/record.csv").is(200).has(&["fault-mended"]);
    visitor.get(&format!("{address}?model_year=1994")).has(&["ten years old or more"]);
    visitor.get(&format!("{address}?model_year=2019&transfer=2020-01-01&gvwr_lb=20000")).has(&["16 000 lb"]);
    visitor.get(&format!("{address}?transfer=soon")).is(422).has(&["a day such as"]);
}
