//! Where words and pictures stand: nothing overflows, nothing collides.
//!
//! Measured twice: by our own layout before it is drawn, and by `pdftotext -bbox` in the finished file.

use super::trucks;
use super::{any, demo, folder, paper, samples, tool};
use proptest::prelude::*;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::path::Path;
use truing::report::document::Document;
use truing::units::Units;
use waywiser::paper::pdf::{Area, Laid, Press};
use waywiser::paper::sheet::{About, Paper};

/// No word may come nearer to the edge of a sheet than this; cheap printers leave as much blank (points).
const MARGIN: f64 = 12.0;
/// Two boxes may touch by rounding, in points.
const TOUCH: f64 = 0.05;
/// What boxes of `pdftotext` overlap though the ink does not: it gives every word the height of its font's boxes, rounded.
const TOUCH_OUTSIDE: f64 = 1.0;

fn check_areas(areas: &[Area], page: (f64, f64), margin: f64, touch: f64, what: &str) {
    for (index, a) in areas.iter().enumerate() {
        let inside = a.left >= margin - touch
            && a.top >= margin - touch
            && a.left + a.width <= page.0 - margin + touch
            && a.top + a.height <= page.1 - margin + touch;
        assert!(inside, "{what}: {a:?} leaves the page {page:?}");
        for b in &areas[index + 1..] {
            let apart = a.left + a.width <= b.left + touch
                || b.left + b.width <= a.left + touch
                || a.top + a.height <= b.top + touch
                || b.top + b.height <= a.top + touch;
            assert!(apart, "{what}: {a:?} runs into {b:?}");
        }
    }
}

fn check_laid(laid: &Laid, what: &str) {
    for page in 0..laid.pages() {
        let areas = laid.areas(page);
        assert!(!areas.is_empty(), "{what}: page {page} is empty");
        check_areas(&areas, laid.page_size(), MARGIN, TOUCH, &format!("{what}, page {page}"));
    }
}

#[test]
fn nothing_collides_on_any_job_sheet() {
    let press = Press::new().unwrap();
    for (name, text) in trucks::all() {
        let units = [Units::Us, Units::Metric].into_iter();
        for (units, paper) in units.flat_map(|units| [(units, Paper::Letter), (units, Paper::A4)]) {
            let sheet = demo::sheet(&text, units);
            for link in [None, Some("https://192.168.178.20:8137/trucks/the-green-hauler/set")] {
                let laid = press.job(&sheet, link, paper, &About::default());
                check_laid(&laid, name);
                assert!(laid.pages() <= 2, "{name} takes {} pages", laid.pages());
            }
        }
    }
}

#[test]
fn sheets_to_write_on_fit_on_one_page() {
    let press = Press::new().unwrap();
    for (name, text) in trucks::all() {
        for units in [Units::Us, Units::Metric] {
            for document in demo::to_write_on(&text, units) {
                for paper in [Paper::Letter, Paper::A4] {
                    let laid = press.one_page(&document, paper, &About::default());
                    check_laid(&laid, name);
                    assert_eq!(laid.pages(), 1, "{name}");
                }
            }
        }
    }
}

#[test]
fn nothing_collides_in_documents_that_strain_a_layout() {
    let press = Press::new().unwrap();
    for document in [samples::usual(), samples::hard(), Document::new("")] {
        for paper in [Paper::Letter, Paper::A4] {
            let about = About { kind: "A paper".into(), title: document.title.clone(), ..About::default() };
            let laid = press.document(&document, paper, &about);
            check_laid(&laid, &document.title);
            assert!(press.pdf(laid).unwrap().starts_with(b"%PDF-1.7"));
        }
    }
}

#[test]
fn a_table_goes_on_with_its_heads_on_the_next_page() {
    let rows: Vec<Vec<String>> = (0..120).map(|n| vec![format!("row {n}"), n.to_string()]).collect();
    let mut document = Document::new("A long table");
    document.table("Numbers", &["name", "number"], rows);
    let press = Press::new().unwrap();
    let about = About { kind: "A paper".into(), title: "A long table".into(), ..About::default() };
    let laid = press.document(&document, Paper::Letter, &about);
    assert!(laid.pages() >= 3);
    check_laid(&laid, "a long table");
    let file = folder("long-table").join("table.pdf");
    std::fs::write(&file, press.pdf(laid).unwrap()).unwrap();
    let found = String::from_utf8(tool("pdftotext", &["-layout", file.to_str().unwrap(), "-"])).unwrap();
    let pages: Vec<&str> = found.split('\u{c}').filter(|page| !page.trim().is_empty()).collect();
    assert!(pages.iter().all(|page| page.contains("name") && page.contains("number")), "{found}");
    assert!((0..120).all(|n| found.contains(&format!("row {n} "))));
}

/// The boxes of all words of a file, by page.
fn words(pdf: &Path) -> Vec<((f64, f64), Vec<Area>)> {
    let found = String::from_utf8(tool("pdftotext", &["-bbox", pdf.to_str().unwrap(), "-"])).unwrap();
    let mut reader = Reader::from_str(&found);
    let mut pages: Vec<((f64, f64), Vec<Area>)> = Vec::new();
    loop {
        let event = reader.read_event().unwrap();
        let (Event::Start(tag) | Event::Empty(tag)) = &event else {
            if matches!(event, Event::Eof) {
                return pages;
            }
            continue;
        };
        let number = |name: &str| -> f64 {
            let attribute = tag.try_get_attribute(name).unwrap().unwrap();
            AsRef::<str>::as_ref(&attribute.value).parse().unwrap()
        };
        match tag.name().as_ref() {
            "page" => pages.push(((number("width"), number("height")), Vec::new())),
            "word" => {
                let (left, top) = (number("xMin"), number("yMin"));
                let area = Area { left, top, width: number("xMax") - left, height: number("yMax") - top };
                pages.last_mut().unwrap().1.push(area);
            }
            _ => {}
        }
    }
}

#[test]
fn no_word_of_a_finished_file_collides() {
    let folder = folder("boxes");
    for (name, text) in trucks::all() {
        for options in [&["--paper", "letter"][..], &["--paper", "a4", "--units", "metric"]] {
            let file = paper(&folder, &text, name, options);
            for (size, areas) in words(&file) {
                assert!(!areas.is_empty(), "{name}: a page without words");
                check_areas(&areas, size, MARGIN, TOUCH_OUTSIDE, name);
            }
        }
    }
}

#[test]
fn no_word_of_a_small_paper_collides() {
    let folder = folder("small");
    for (name, text) in trucks::all() {
        let without_gears = trucks::without_gears(&text);
        for options in [
            &["--document", "speed-card", "--gears", "3.06,2.1,1.5,1.2,1.00,0.73"][..],
            &["--document", "speed-card", "--units", "metric", "--paper", "a4"],
            &["--document", "tires", "--tire", "235/75R15", "--tire", "31x10.50R15LT"],
            &["--document", "measuring", "--paper", "a4"],
            &["--document", "proof"],
        ] {
            let file = paper(&folder, &without_gears, name, options);
            for (size, areas) in words(&file) {
                check_areas(&areas, size, MARGIN, TOUCH_OUTSIDE, &format!("{name} {options:?}"));
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn any_words_are_laid_out_and_pass_the_writers_rules(document in any::document()) {
        let press = Press::new().unwrap();
        let about = About { kind: "A paper".into(), title: document.title.clone(), ..About::default() };
        let laid = press.document(&document, Paper::Letter, &about);
        check_laid(&laid, "any words");
        prop_assert_eq!(press.pdf(laid).err(), None);
    }
}
