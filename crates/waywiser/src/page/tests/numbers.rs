//! Every number opens, papers come, and what is not known yet is said with a way on.

use super::Visitor;
use crate::work::sample::FILES;

#[test]
fn the_value_to_store_opens() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.get_patiently(&format!("/trucks/{slug}/set")).is(200).has(&[
        "Where the numbers come from",
        "The value to store: <strong>1416</strong>",
        "new = stored x indicated / true",
        "exactly true would be",
        "1416 (these steps)",
        "1479 (now)",
    ]);
    let typed = visitor.get_patiently(&format!("/trucks/{slug}/set?to=1419"));
    typed.has(&["1419 (these steps)", "typed instead of the advised"]);
}

/// Nobody who typed nothing is told that something was typed, and no page sends its reader to the command line.
#[test]
fn nothing_to_do_is_said_as_that() {
    let truck = |shown: &str| {
        format!(
            "[adjuster]\nkind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [\"up\"]\n\
             present = \"8.76\"\nwrites_left = 3\n[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{shown}\"\n\
             true = \"100 mi +/- 0.05\"\nresolution = \"0.001 mi\"\nsetting = \"8.76\"\n"
        )
    };
    let check = |shown: &str, query: &str, says: &[&str]| {
        let (visitor, slug) = Visitor::with("still", &truck(shown), &[]);
        let page = visitor.get_patiently(&format!("/trucks/{slug}/set{query}"));
        page.is(200).has(says).has(&["Nothing to do", "Store another value than the advised one"]);
        page.lacks(&[
            "--to",
            "was typed",
            "8.76 \u{2192} 8.76",
            "Begin with step 1",
            "The value to store:",
            "All steps",
        ]);
    };
    check(
        "100.000 mi",
        "",
        &["Press nothing: 8.76 is stored, and the advice is to leave it so", "Prove it on the road"],
    );
    check("100.000 mi", "?to=8.760", &["8.76 is stored already: press nothing and spend no write"]);
    // Also where the address asks for a step that is not there.
    check("100.000 mi", "?screen=3", &["Press nothing: 8.76 is stored, and the advice is to leave it so"]);
    check("96.000 mi", "?to=8.76", &["8.76 is stored already"]);
    let (visitor, slug) = Visitor::with("unknown", &truck("104.000 mi").replace("+/- 0.05", "+/- 1.8"), &[]);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/set"));
    page.is(200).has(&["Nothing to do", "the advice is to measure first", "Add a measurement"]);
    page.lacks(&["--to", "was typed"]);
    // Another value has its steps all the same, and is not said to take the place of an advice that is none.
    let page = visitor.get_patiently(&format!("/trucks/{slug}/set?to=9.50"));
    page.is(200).has(&["Begin with step 1", "It was typed; no write is advised now"]);
}

#[test]
fn the_true_distance_opens() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.get_patiently(&format!("/trucks/{slug}/choose"));
    let address = format!("/trucks/{slug}/record");
    visitor.get(&address).has(&["No reading of the odometer so far", "The record is empty so far"]);
    let read =
        |text: &str| visitor.post(&address, &[("kind", "odometer"), ("odometer", text)]).is(303).status;
    read("128000.0 mi");
    visitor.get(&address).has(&["One reading of the odometer so far"]);
    visitor.post(&format!("/trucks/{slug}/choose"), &[("rule", "true")]).is(303);
    read("129000.0 mi");
    visitor.get(&address).is(200).has(&[
        "True distance: <strong>10",
        "D = sum (end - start) / R",
        "JCGM 100:2008, 5.2",
        "the first reading",
        "the estimate of entry 5",
    ]);
}

#[test]
fn a_truck_with_nothing_to_set_is_told_what_to_say_first() {
    let (visitor, slug) = Visitor::with("bare", "[tire]\nsize = \"LT265/75R16\"\n", &[]);
    for stage in ["choose", "set", "set?to=8.00"] {
        let page = visitor.get_patiently(&format!("/trucks/{slug}/{stage}"));
        page.is(200).has(&["Say what can be set", "What would help", "aria-current=\"page\""]);
        page.lacks(&["[adjuster]", "papers/"]);
    }
}

#[test]
fn the_miles_to_come_show_on_choose() {
    let [(_, text), files @ ..] = &FILES;
    let plan = "\n[[plan]]\ntires = \"LT275/75R17\"\nmiles = 9000\n\n[[plan]]\ntires = \"LT235/85R16\"\nmiles = 4000\n";
    let text = std::str::from_utf8(text).unwrap().to_string() + plan;
    let (visitor, slug) = Visitor::with("planned", &text, files);
    visitor.get_patiently(&format!("/trucks/{slug}/choose")).is(200).has(&[
        "The tires to come",
        "The miles to come",
        "9000 mi",
        "LT235/85R16",
        "What each change buys",
    ]);
}

#[test]
fn papers_come_at_their_stages() {
    let (visitor, slug) = Visitor::with_sample();
    let page = |stage: &str| visitor.get_patiently(&format!("/trucks/{slug}/{stage}"));
    for stage in ["describe", "measure", "choose", "set", "prove"] {
        page(stage).has(&["papers/job-sheet.pdf"]);
    }
    page("prove").has(&["papers/speed-card.pdf"]);
    page("choose").has(&["papers/tires.pdf"]);
    page("record").lacks(&["papers/history.pdf"]);
    visitor.post(&format!("/trucks/{slug}/record"), &[("kind", "note"), ("text", "quiet")]).is(303);
    page("record").has(&["papers/history.pdf", "papers/door-frame.pdf"]);
    for paper in [
        "job-sheet",
        "measuring-sheet",
        "proof-sheet",
        "speed-card",
        "tires",
        "history",
        "door-frame",
        "sale-sheet",
    ] {
        let said = visitor.get(&format!("/trucks/{slug}/papers/{paper}.pdf"));
        assert!(said.is(200).body.starts_with("%PDF-"), "{paper}");
        assert_eq!(said.headers["content-type"], "application/pdf");
    }
    visitor.get(&format!("/trucks/{slug}/papers/poem.pdf")).is(404).has(&["There is no such paper"]);
    let chosen = |query: &str| visitor.get(&format!("/trucks/{slug}/papers?document={query}"));
    let card = chosen("speed-card.pdf").is(200).body.len();
    assert!(chosen("speed-card.pdf&paper=&date=&gears=2.50,+1.00&tires=&link=").is(200).body.len() > card);
    assert!(
        chosen("job-sheet.pdf&paper=a4&date=2026-05-04&link=http%3A%2F%2F127.0.0.1")
            .is(200)
            .body
            .starts_with("%PDF-")
    );
    chosen("tires.pdf&tires=235/75R15,+31x10.50R15LT").is(200);
    for (query, says) in [
        ("poem.pdf", "There is no such paper"),
        ("job-sheet.pdf&paper=foolscap", "letter or a4"),
        ("job-sheet.pdf&date=soon", "a day such as"),
        ("speed-card.pdf&gears=first", "ratios such as"),
        ("tires.pdf&tires=round", "round"),
    ] {
        let said = chosen(query);
        assert!(said.status.is_client_error(), "{query}");
        said.has(&[says]);
    }
    page("prove").has(&["Gear ratios, for engine speeds on the card"]);
}

#[test]
fn an_own_routine_takes_the_place_of_the_steps_that_ship() {
    let (visitor, slug) = Visitor::with_sample();
    let (set, keep) = (format!("/trucks/{slug}/set"), format!("/trucks/{slug}/set/routine"));
    let page = visitor.get_patiently(&set);
    page.has(&["Write your own module", "Make sure the supply is steady", "{target_display}"]);
    let version = page.hidden("version");
    let own = "* Wheels chocked.\nTurn the key to its second click.\n{pressing}\n? It shows {target_display}.\n\
               < Turn the key back.\n! Press both buttons.\n";
    let post = |version: &str, text: &str| visitor.post(&keep, &[("version", version), ("text", text)]);
    post(&version, "Press {nothing}.\n").is(422).has(&["line 1", "nothing"]);
    post(&version, own).is(303);
    let now = visitor.get_patiently(&set);
    now.has(&["Turn the key to its second click", "Press both buttons", "It shows 1416", "21 presses down"]);
    now.has(&["Your own module", "Kept empty"]);
    // A second window is told, and what was typed there is not lost.
    post(&version, "Something else.\n").is(409).has(&["changed meanwhile", "Something else."]);
    visitor.get_patiently(&set).has(&["Turn the key to its second click"]);
    // It is no file of a drive, and cannot be written over by one that is called so.
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).lacks(&["procedure.txt"]);
    visitor
        .upload(&format!("/trucks/{slug}/files"), &visitor.token(), &[("procedure.txt", b"Do nothing.")])
        .is(303);
    visitor.get_patiently(&set).has(&["Turn the key to its second click"]);
    post(&visitor.get_patiently(&set).hidden("version"), "").is(303);
    visitor.get_patiently(&set).has(&["Make sure the supply is steady", "Write your own module"]);
}

#[test]
fn a_held_button_is_held_for_so_long() {
    let (visitor, slug) = Visitor::with_sample();
    let set = |query: &str| visitor.get_patiently(&format!("/trucks/{slug}/set{query}"));
    set("").has(&["Does a held button go on by itself?"]);
    // 88 presses: the first at once, 77 more at 5 a second from one second on, 10 singly: 1 + 77 / 5 = 16.4 s.
    let held = set("?to=1215&repeat=5&even_if_worse=yes");
    held.is(200).has(&["Hold the button that counts down about 16 s", "repeat=5", "value=\"5\""]);
    set("?repeat=fast").is(422).has(&["a number above 0"]);
    set("?repeat=5&repeat_after=-1").is(422);
}

/// What was asked for on Set stands in the address of its paper, and the paper says the same.
#[test]
fn the_paper_of_a_page_is_what_the_page_shows() {
    let (visitor, slug) = Visitor::with_sample();
    let asked = "to=1419&amp;shows=1440&amp;rule=us-393.82&amp;reserve=1";
    let page = visitor.get_patiently(&format!("/trucks/{slug}/set?{}", asked.replace("&amp;", "&")));
    page.is(200).has(&[
        "7 presses down",
        &format!("papers/job-sheet?{asked}"),
        &format!("job-sheet.pdf?{asked}"),
    ]);
    let paper = visitor.get(&format!("/trucks/{slug}/papers/job-sheet?{}", asked.replace("&amp;", "&")));
    paper.is(200).has(&["1419", "7 presses down"]);
    let plain = visitor.get_patiently(&format!("/trucks/{slug}/set"));
    plain.has(&["papers/job-sheet\""]);
    // Another rule goes along from Choose.
    visitor
        .get_patiently(&format!("/trucks/{slug}/choose?rule=us-393.82&reserve=1"))
        .has(&["/set?rule=us-393.82&amp;reserve=1", "papers/job-sheet?rule=us-393.82&amp;reserve=1"]);
}
