//! The job sheet as a structure: what every reader of the file may count on.

mod any;
mod samples;
mod tree;

use proptest::prelude::*;
use tree::{Node, parse};
use truing::report::document::{Block, Chart, Document, Series, SeriesKind, Step};
use waywiser::{chart, paper};

fn sheet(document: &Document) -> (String, Node) {
    let text = paper::html(document, &samples::info());
    let root = parse(&text);
    (text, root)
}

fn check_structure(document: &Document) {
    let (text, root) = sheet(document);
    for table in root.all("table") {
        assert_eq!(table.children.first().map(|child| child.name.as_str()), Some("caption"));
        assert!(!table.all("th").is_empty(), "a table without heads");
        assert!(table.all("th").iter().all(|head| matches!(head.attribute("scope"), Some("col" | "row"))));
    }
    for picture in root.all("svg") {
        let names: Vec<&str> = picture.children.iter().take(2).map(|child| child.name.as_str()).collect();
        assert_eq!(names, ["title", "desc"]);
        assert_eq!(picture.attribute("role"), Some("img"));
        assert!(
            picture.children[..2].iter().all(|child| !child.text().trim().is_empty()),
            "a picture without words"
        );
    }
    check_steps(document, &root);
    check_nothing_from_outside(&text, &root);
}

fn check_steps(document: &Document, root: &Node) {
    let steps = document
        .blocks
        .iter()
        .filter_map(|block| if let Block::Steps(steps) = block { Some(steps) } else { None });
    let steps: Vec<&Step> = steps.flatten().collect();
    let lists = root.all("ol");
    let items: Vec<&Node> = lists.iter().flat_map(|list| &list.children).collect();
    assert_eq!(items.len(), steps.len());
    for (item, step) in items.iter().zip(&steps) {
        assert_eq!(item.text().contains("Cannot be undone"), step.irreversible, "{}", step.text);
        assert_eq!(item.attribute("class") == Some("final"), step.irreversible);
        assert_eq!(
            item.all("input").len(),
            1 + step.ticks.len(),
            "a box for the step and one for each count"
        );
        assert!(item.text().replace('\u{a0}', " ").contains(&step.text));
    }
}

/// Nothing that fetches, runs or refers: neither elements nor attributes nor style.
fn check_nothing_from_outside(text: &str, root: &Node) {
    for forbidden in ["script", "link", "img", "iframe", "object", "embed", "a", "form", "use", "image"] {
        assert!(root.all(forbidden).is_empty(), "<{forbidden}> in the sheet");
    }
    let attributes = root.every().into_iter().flat_map(|node| &node.attributes);
    for (name, value) in attributes {
        assert!(
            !name.starts_with("on") && !["src", "href", "style"].contains(&name.as_str()),
            "{name}={value}"
        );
    }
    let style = root.all("style")[0].text();
    assert!(!style.contains("url(") && !style.contains("@import") && !style.contains("//"));
    assert!(text.contains("default-src 'none'; style-src 'unsafe-inline'; img-src data:"));
}

#[test]
fn the_usual_sheet_is_whole() {
    check_structure(&samples::usual());
}

#[test]
fn a_sheet_that_strains_the_layout_is_whole() {
    check_structure(&samples::hard());
}

#[test]
fn a_sheet_about_nothing_is_whole() {
    check_structure(&Document::new(""));
}

#[test]
fn the_page_says_what_it_is_and_leaves_lines_to_write_on() {
    let mut document = samples::usual();
    let names = ["Odometer", "Date", "Done by", "Remarks"];
    document.push(Block::Lines(names.map(String::from).to_vec()));
    let (text, root) = sheet(&document);
    assert!(text.starts_with("<!DOCTYPE html><html lang=\"en\">"));
    assert_eq!(root.all("title")[0].text(), "The grey half-ton: store 7.86 \u{2013} job sheet");
    assert!(
        text.contains("width=device-width") && text.contains("9 May 2026") && text.contains("waywiser 0.1.0")
    );
    let lines: Vec<String> = root.all("dt").iter().map(|line| line.text()).collect();
    assert_eq!(lines, names);
}

#[test]
fn markup_in_names_is_only_words() {
    let (_, root) = sheet(&samples::hard());
    assert!(root.all("h1")[0].text().ends_with("<b>\"&\"</b>"));
    let bold = root.all("b").into_iter().map(|node| node.text());
    assert!(bold.into_iter().all(|text| text.chars().all(|c| c.is_ascii_digit())), "only counts are bold");
}

#[test]
fn blocks_stand_in_the_order_of_the_document() {
    let (_, root) = sheet(&samples::usual());
    let words = root.all("main")[0].text();
    let places: Vec<Option<usize>> =
        ["Set it", "Park the truck", "Press the up", "no way back", "Hold the button", "Prove it"]
            .iter()
            .map(|part| words.find(part))
            .collect();
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{places:?}");
}

#[test]
fn steps_are_numbered_on_over_a_caution_and_again_under_a_heading() {
    let mut document = Document::new("Steps");
    let two = || Block::Steps(vec![Step::new("one"), Step::new("two")]);
    document.push(two()).caution("mind").push(two()).heading("Then").push(two());
    let (_, root) = sheet(&document);
    let starts: Vec<_> =
        root.all("ol").into_iter().filter_map(|list| list.attribute("start").map(str::to_string)).collect();
    assert_eq!(starts, ["1", "3", "1"]);
}

#[test]
fn six_hundred_presses_have_twelve_count_boxes() {
    let (_, root) = sheet(&samples::hard());
    let counts = root.all("ul")[0].all("b").into_iter().map(|node| node.text()).collect::<Vec<_>>();
    assert_eq!(counts.len(), 12);
    assert_eq!(counts.last().map(String::as_str), Some("600"));
}

/// Part of the font's size a letter takes at least on average; the drawing itself reckons wider.
const LETTER_WIDTH: f64 = 0.5;

/// Left, right, top and bottom of the words of a picture.
fn boxes(picture: &Node) -> Vec<(f64, f64, f64, f64, String)> {
    let size: f64 = picture.attribute("font-size").expect("a size").parse().expect("a number");
    let one = |node: &&Node| {
        let number = |name| node.attribute(name).expect("a place").parse::<f64>().expect("a number");
        let (x, y, words) = (number("x"), number("y"), node.text());
        let wide = words.chars().count() as f64 * LETTER_WIDTH * size;
        let left = match node.attribute("text-anchor") {
            Some("end") => x - wide,
            Some("middle") => x - wide / 2.0,
            _ => x,
        };
        (left, left + wide, y - 0.75 * size, y + 0.2 * size, words)
    };
    picture.all("text").iter().map(one).collect()
}

fn check_no_words_collide(chart: &Chart) {
    let root = parse(&chart::svg(chart).into_string());
    let view: Vec<f64> = root.all("svg")[0]
        .attribute("viewBox")
        .expect("a view")
        .split(' ')
        .map(|n| n.parse().expect("a number"))
        .collect();
    let boxes = boxes(root.all("svg")[0]);
    for (index, a) in boxes.iter().enumerate() {
        assert!(
            a.0 >= -1.0 && a.1 <= view[2] + 1.0 && a.2 >= -1.0 && a.3 <= view[3] + 1.0,
            "outside: {a:?} {view:?}"
        );
        for b in &boxes[index + 1..] {
            assert!(a.1 <= b.0 || b.1 <= a.0 || a.3 <= b.2 || b.3 <= a.2, "{a:?} runs into {b:?}");
        }
    }
}

#[test]
fn no_words_of_the_samples_collide() {
    for document in [samples::usual(), samples::hard()] {
        for block in &document.blocks {
            if let Block::Chart(chart) = block {
                check_no_words_collide(chart);
            }
        }
    }
}

#[test]
fn every_name_stands_in_its_picture() {
    for chart in [samples::errors(), samples::evidence(&[("tape", 655.0, 2.0), ("drive", 656.0, 1.0)])] {
        let words = parse(&chart::svg(&chart).into_string()).text();
        for series in &chart.series {
            assert!(words.contains(&series.label), "{} is nameless", series.label);
        }
    }
}

#[test]
fn no_two_series_of_a_kind_look_alike_in_grey() {
    let lines = (0..5).map(|n| (SeriesKind::Line, n)).chain((5..7).map(|n| (SeriesKind::Level, n)));
    let series =
        lines.map(|(kind, n)| Series::new(format!("name {n}"), vec![(0.0, f64::from(n)), (1.0, 0.0)], kind));
    let chart = Chart { series: series.collect(), ..samples::errors() };
    let root = parse(&chart::svg(&chart).into_string());
    let mut dashes: Vec<&str> =
        root.every().iter().filter_map(|node| node.attribute("stroke-dasharray")).collect();
    dashes.sort_unstable();
    dashes.dedup();
    assert_eq!(dashes.len(), 7);
}

#[test]
fn points_without_a_number_are_counted_not_hidden() {
    let check = |points: &[(f64, f64)], expected: &str| {
        let series = vec![Series::new("log", points.to_vec(), SeriesKind::Line)];
        let words = parse(&chart::svg(&Chart { series, ..samples::errors() }).into_string()).text();
        assert!(words.contains(expected), "{points:?}: {words}");
    };
    check(&[(1.0, 2.0), (f64::NAN, 1.0)], "1 point has no number and is not drawn.");
    check(&[(1.0, f64::INFINITY), (1.0, 2.0), (1e300, 1.0)], "2 points have no number and are not drawn.");
    check(&[], "Nothing to draw yet.");
}

#[test]
fn a_line_or_an_area_of_one_point_is_still_seen() {
    for kind in [SeriesKind::Line, SeriesKind::Band] {
        let series = vec![Series::new("", vec![(3.0, 4.0)], kind)];
        let root = parse(&chart::svg(&Chart { series, ..samples::errors() }).into_string());
        assert_eq!(root.all("circle").len(), 1, "{kind:?}");
    }
}

proptest! {
    #[test]
    fn any_words_make_a_well_formed_sheet(document in any::document()) {
        let (text, root) = sheet(&document);
        check_nothing_from_outside(&text, &root);
        prop_assert!(text.chars().all(|c| !c.is_control() || c == '\n' || c == '\t'));
    }

    #[test]
    fn no_words_of_any_picture_collide(chart in any::chart()) {
        check_no_words_collide(&chart);
    }
}
