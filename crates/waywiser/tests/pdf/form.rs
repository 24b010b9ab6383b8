//! The form of the files: whole, embedded, tagged, the same every time, small, and blank at the edges.

use super::{folder, paper, tool, trucks, waywiser};
use std::path::Path;

const DOCUMENTS: [&str; 5] = ["job", "speed-card", "tires", "measuring", "proof"];

fn said(name: &str, arguments: &[&str], file: &Path) -> String {
    let arguments = [arguments, &[file.to_str().unwrap()]].concat();
    String::from_utf8_lossy(&tool(name, &arguments)).into_owned()
}

#[test]
fn every_file_is_whole_and_its_fonts_are_in_it() {
    let folder = folder("form");
    for (name, text) in trucks::all() {
        for document in DOCUMENTS {
            let file = paper(&folder, &text, name, &["--document", document]);
            assert!(said("qpdf", &["--check"], &file).contains("No syntax or stream encoding errors found"));
            let fonts = said("pdffonts", &[], &file);
            let fonts: Vec<&str> = fonts.lines().skip(2).collect();
            assert!(!fonts.is_empty(), "{name}: no fonts");
            // Embedded, cut down to what is used, and with the way back to letters.
            assert!(
                fonts.iter().all(|font| font.contains("OpenSans") && font.contains("yes yes yes")),
                "{fonts:?}"
            );
            let size = std::fs::metadata(&file).unwrap().len();
            assert!(size < 300_000, "{name} {document}: {size} bytes");
        }
    }
}

#[test]
fn it_says_what_it_is() {
    let file = paper(&folder("info"), &trucks::usual(), "info", &["--paper", "a4"]);
    let info = said("pdfinfo", &[], &file);
    let line = |name: &str| {
        let line =
            info.lines().find(|line| line.starts_with(name)).unwrap_or_else(|| panic!("no {name} in {info}"));
        line[name.len()..].trim().to_string()
    };
    assert_eq!(line("Title:"), "The green hauler: job sheet");
    assert_eq!(line("Subject:"), "Job sheet");
    assert_eq!(line("Creator:"), concat!("waywiser ", env!("CARGO_PKG_VERSION")));
    assert_eq!(line("Tagged:"), "yes");
    assert!(line("Page size:").contains("A4"), "{info}");
    assert_eq!(line("Pages:"), "2");
    // The day of the drive, which is the last in the file: no clock was asked.
    assert!(line("CreationDate:").contains("May  2") && line("CreationDate:").contains("2026"), "{info}");
    let metadata = said("pdfinfo", &["-meta"], &file);
    for claim in ["<pdfaid:part>2<", "<pdfaid:conformance>U<", "<pdfuaid:part>1<"] {
        assert!(metadata.contains(claim), "{claim} is not in {metadata}");
    }
}

#[test]
fn it_can_be_read_aloud() {
    let file = paper(&folder("tags"), &trucks::usual(), "tags", &[]);
    let tree = said("pdfinfo", &["-struct-text"], &file);
    for tag in ["H1", "H2", "P ", "Table", "TR", "TH", "TD", "Caption", "L ", "LI", "Lbl", "LBody", "Figure"]
    {
        assert!(tree.lines().any(|line| line.trim_start().starts_with(tag.trim())), "no {tag} in {tree}");
    }
    let bytes = tool("qpdf", &["--qdf", "--object-streams=disable", file.to_str().unwrap(), "-"]);
    let raw = String::from_utf8_lossy(&bytes);
    let figures = raw.matches("/S /Figure").count();
    // Chain and two charts, each with words for who does not see it.
    assert_eq!((figures, raw.matches("/Alt ").count()), (3, 3));
    assert!(raw.contains("/Lang (en)") && raw.contains("/DisplayDocTitle true"));
    let first = tree.find("H1").unwrap();
    let order: Vec<usize> = ["Store 1416.", "The truck and its chain", "Steps", "Write down when done"]
        .iter()
        .map(|part| tree[first..].find(part).unwrap())
        .collect();
    assert!(order.is_sorted(), "{order:?}");
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let folder = folder("same");
    for document in DOCUMENTS {
        let file = |name: &str| {
            std::fs::read(paper(&folder, &trucks::usual(), name, &["--document", document])).unwrap()
        };
        assert_eq!(file("one"), file("one"));
    }
}

/// A checker of PDF/UA-1 (Matterhorn Protocol) that a registry of Python packages has.
const CHECKER: &str = "outloud";

#[test]
fn a_checker_from_outside_finds_nothing_on_any_paper() {
    if std::process::Command::new(CHECKER).arg("--version").output().is_err() {
        println!(
            "Skipped: {CHECKER} is not installed. In a Python environment on the path: pip install {CHECKER}"
        );
        return;
    }
    let folder = folder("outside");
    waywiser(&["demo", "--out", folder.to_str().unwrap()]);
    let tires = ["--document", "tires", "--tire", "235/75R15"];
    paper(&folder, &trucks::usual(), "tires", &tires);
    for name in ["sheet", "speed-card", "history", "door-frame", "tires"] {
        let file = folder.join(name).with_extension("pdf");
        // Its other layer guesses what an author may have meant; it takes a table of one row for a broken one.
        let found = said(CHECKER, &["--layer", "conformance", "--fail-on", "warning"], &file);
        assert!(found.contains("0 error(s), 0 warning(s)"), "{found}");
    }
}

/// What every printer leaves blank: a quarter inch, in pixels at 40 to the inch.
const BLANK_PIXELS: usize = 10;

#[test]
fn every_page_can_be_rendered_and_is_blank_at_its_edges() {
    let folder = folder("pixels");
    for (name, text) in trucks::all() {
        let file = paper(&folder, &text, name, &[]);
        let stem = folder.join(name);
        tool("pdftoppm", &["-r", "40", "-gray", file.to_str().unwrap(), stem.to_str().unwrap()]);
        let mut pages = 0;
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let is_own = path.file_name().unwrap().to_str().unwrap().starts_with(&format!("{name}-"));
            if is_own && path.extension().is_some_and(|ending| ending == "pgm") {
                check_page(&std::fs::read(&path).unwrap(), &path);
                pages += 1;
            }
        }
        assert!((1..=3).contains(&pages), "{name}: {pages} pages");
    }
}

/// A binary PGM: three lines of head, then a byte for each pixel.
fn check_page(bytes: &[u8], path: &Path) {
    let head: Vec<&[u8]> = bytes.splitn(4, |byte| *byte == b'\n').collect();
    let size = std::str::from_utf8(head[1]).unwrap();
    let (width, height) = size
        .split_once(' ')
        .map(|(w, h)| (w.parse::<usize>().unwrap(), h.parse::<usize>().unwrap()))
        .unwrap();
    let pixels = head[3];
    assert_eq!(pixels.len(), width * height);
    let mut dark = 0;
    for (index, pixel) in pixels.iter().enumerate() {
        let (x, y) = (index % width, index / width);
        let edge =
            x < BLANK_PIXELS || y < BLANK_PIXELS || x >= width - BLANK_PIXELS || y >= height - BLANK_PIXELS;
        assert!(!edge || *pixel == 255, "{}: ink at {x}, {y}", path.display());
        dark += usize::from(*pixel < 128);
    }
    assert!(dark > 100, "{}: nearly empty", path.display());
}
