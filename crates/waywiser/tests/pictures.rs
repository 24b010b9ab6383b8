//! The pictures of the documentation are what the sample truck gives today.
//!
//! `WRITE_PICTURES=1 cargo test -p waywiser --test pictures` writes the charts again; `scripts/pictures.sh` does, and the
//! page of the job sheet too.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read and write files"
)]

#[path = "demo/mod.rs"]
mod demo;

use std::path::{Path, PathBuf};
use truing::report::document::Drawing;
use truing::units::Units;
use waywiser::chart;

/// Largest picture in the documentation, in bytes.
const LARGEST: u64 = 120_000;

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs")
}

fn pictures() -> PathBuf {
    docs().join("pictures")
}

fn made() -> Vec<(&'static str, String)> {
    let sheet = demo::sheet(&demo::text(), Units::Us);
    vec![
        ("pictures/evidence.svg", chart::file(&sheet.evidence.unwrap())),
        ("pictures/errors.svg", chart::file(&sheet.errors.unwrap())),
        // The drawings that page and paper show.
        ("manual/pictures/rollout.svg", chart::drawing_file(Drawing::Rollout)),
        ("manual/pictures/loaded-radius.svg", chart::drawing_file(Drawing::Radius)),
    ]
}

#[test]
fn the_charts_are_up_to_date() {
    for (name, svg) in made() {
        let path = docs().join(name);
        if std::env::var_os("WRITE_PICTURES").is_some() {
            std::fs::create_dir_all(pictures()).unwrap();
            std::fs::write(&path, &svg).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == svg,
            "{name} is out of date: WRITE_PICTURES=1 cargo test -p waywiser --test pictures"
        );
    }
}

#[test]
fn the_pictures_are_small_and_each_is_shown() {
    let root = pictures().join("../..");
    let manual = std::fs::read_dir(root.join("docs/manual")).unwrap().map(|entry| entry.unwrap().path());
    let chapters = manual.filter(|path| path.extension().is_some_and(|ending| ending == "md"));
    let shown: String = [root.join("README.md"), root.join("ARCHITECTURE.md")]
        .into_iter()
        .chain(chapters)
        .map(|path| std::fs::read_to_string(path).unwrap())
        .collect();
    let mut count = 0;
    for entry in std::fs::read_dir(pictures()).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_string();
        if name.ends_with(".svg") || name.ends_with(".png") {
            assert!(std::fs::metadata(&path).unwrap().len() < LARGEST, "{name} is too large");
            assert!(shown.contains(&format!("/pictures/{name})")), "{name} is shown nowhere");
            count += 1;
        }
    }
    assert!(count >= 3, "only {count} pictures");
}
