//! Every number opens, papers come, and what is not known yet is said with a way on.

use super::Visitor;
use crate::cli::demo::FILES;

#[test]
fn the_value_to_store_opens() {
    let (visitor, slug) = Visitor::with_sample();
    visitor.get_patiently(&format!("/trucks/{slug}/set")).is(200).has(&[
        "Where the numbers come from",
        "The value to store: <strong>8.32</strong>",
        "new = stored x indicated / true",
        "exactly true would be",
        "8.32 (these steps)",
        "8.76 (stored now)",
    ]);
    let typed = visitor.get_patiently(&format!("/trucks/{slug}/set?to=8.34"));
    typed.has(&["8.34 (these steps)", "typed instead of the advised"]);
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
    let plan = "\n[[plan]]\ntires = \"LT285/75R16\"\nmiles = 9000\n\n[[plan]]\ntires = \"LT235/85R16\"\nmiles = 4000\n";
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
    for paper in ["job-sheet", "speed-card", "tires", "history", "door-frame"] {
        let said = visitor.get(&format!("/trucks/{slug}/papers/{paper}.pdf"));
        assert!(said.is(200).body.starts_with("%PDF-"), "{paper}");
        assert_eq!(said.headers["content-type"], "application/pdf");
    }
    visitor.get(&format!("/trucks/{slug}/papers/poem.pdf")).is(404).has(&["There is no such paper"]);
}
