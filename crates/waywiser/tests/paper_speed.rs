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
use truing::report::papers::job::JobSheet;
use truing::units::Units;
use waywiser::paper::pdf::Press;
use waywiser::paper::sheet::{About, Paper};

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
        command.arg("sheet").arg(demo::folder().join("truck.toml")).arg("--force").arg("--out").arg(&out);
        assert!(command.output().unwrap().status.success());
    }
    let size = std::fs::metadata(&out).unwrap().len();
    println!("a program of its own for each sheet: {:.1} ms each, {size} bytes", ms(begin) / f64::from(COLD));

    let (text, press) = (demo::text(), Press::new().unwrap());
    let about =
        About { date: Some(jiff::civil::date(2026, 5, 2)), kind: "Job sheet".into(), ..About::default() };
    let print = |sheet: &JobSheet| press.pdf(press.job(sheet, None, Paper::Letter, &about)).unwrap().len();
    let sheet = demo::sheet(&text, Units::Us);
    let (begin, busy) = (Instant::now(), busy_ms());
    (0..SHEETS).for_each(|_| assert!(print(&sheet) > 0));
    let each = |since: f64| since / f64::from(SHEETS);
    println!(
        "{SHEETS} sheets laid out and written: {:.2} ms, {:.2} busy",
        each(ms(begin)),
        each(busy_ms() - busy)
    );
    let (begin, busy) = (Instant::now(), busy_ms());
    (0..SHEETS).for_each(|_| assert!(print(&demo::sheet(&text, Units::Us)) > 0));
    println!("{SHEETS} sheets, chosen again: {:.2} ms, {:.2} busy", each(ms(begin)), each(busy_ms() - busy));
}

/// Processor time of this program so far, in ms: other programs on the machine do not count in it. Linux counts it in
/// hundredths of a second; elsewhere it is zero.
fn busy_ms() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    // Fields 14 and 15 of proc(5): user and system time.
    let ticks = after_name.split_whitespace().skip(11).take(2).filter_map(|field| field.parse::<f64>().ok());
    10.0 * ticks.sum::<f64>()
}

fn ms(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}
