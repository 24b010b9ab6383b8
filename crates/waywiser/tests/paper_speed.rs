//! How long papers take on this machine, and how large they are, measured by hand and in release; nothing else is asserted
//! about time: `cargo test --release -p waywiser --test paper_speed -- --ignored --nocapture`.

#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "what is measured is the clock; a test that cannot go on fails"
)]

#[path = "demo/mod.rs"]
mod demo;

use std::path::Path;
use std::process::Command;
use std::time::Instant;
use truing::report::job::JobSheet;
use truing::report::units::Units;
use waywiser::paper::pdf::{About, Code, Paper, Press};

const SHEETS: u32 = 200;
const COLD: u32 = 20;

#[test]
#[ignore = "a measurement, not a check"]
fn figures_of_the_papers() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("paper-speed");
    std::fs::create_dir_all(&folder).unwrap();
    let out = folder.join("sheet.pdf");
    let begin = Instant::now();
    for _ in 0..COLD {
        let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
        command.arg("sheet").arg(demo::folder().join("truck.toml")).arg("--out").arg(&out);
        assert!(command.output().unwrap().status.success());
    }
    let size = std::fs::metadata(&out).unwrap().len();
    println!("a program of its own for each sheet: {:.1} ms each, {size} bytes", ms(begin) / f64::from(COLD));

    let (text, press) = (demo::text(), Press::new().unwrap());
    let code = Code::File(text.clone());
    let about =
        About { date: Some(jiff::civil::date(2026, 5, 2)), kind: "Job sheet".into(), ..About::default() };
    let print =
        |sheet: &JobSheet| press.pdf(press.job(sheet, Some(&code), Paper::Letter, &about)).unwrap().len();
    let sheet = demo::sheet(&text, Units::Us);
    let begin = Instant::now();
    (0..SHEETS).for_each(|_| assert!(print(&sheet) > 0));
    println!("{SHEETS} sheets laid out and written: {:.2} ms each", ms(begin) / f64::from(SHEETS));
    let begin = Instant::now();
    (0..SHEETS).for_each(|_| assert!(print(&demo::sheet(&text, Units::Us)) > 0));
    println!("{SHEETS} sheets, fused and chosen anew: {:.2} ms each", ms(begin) / f64::from(SHEETS));
}

fn ms(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}
