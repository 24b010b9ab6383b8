//! What was confirmed stays: when the program is killed at any point, when the disk is full, with several programs at
//! once.

#![expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "what is tested are the files themselves"
)]

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

const BINARY: &str = env!("CARGO_BIN_EXE_waywiser");
const TRUCK: &str = "The grey half-ton";

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("durability").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn record(garage: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(BINARY);
    command.arg("record").args(arguments).arg("--garage").arg(garage);
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn add(garage: &Path, text: &str) -> Child {
    record(garage, &["add", "note", "--vehicle", TRUCK, "--text", text, "--json"]).spawn().unwrap()
}

/// Number and hash, if the whole answer came.
fn confirmed(out: &[u8]) -> Option<(u64, String)> {
    let answer: Value = serde_json::from_slice(out).ok()?;
    Some((answer["sequence"].as_u64()?, answer["hash"].as_str()?.to_string()))
}

/// The hash of every entry by number, after a check that found nothing.
fn entries(garage: &Path) -> BTreeMap<u64, String> {
    let check = record(garage, &["check"]).output().unwrap();
    assert!(check.status.success(), "{}", String::from_utf8_lossy(&check.stderr));
    let export = String::from_utf8(record(garage, &["export"]).output().unwrap().stdout).unwrap();
    export.lines().map(|line| confirmed(line.as_bytes()).unwrap()).collect()
}

/// Kills so many programs before they end, at random points of their life. Says how many were begun, some of which ended
/// before they were killed, and how many entries were confirmed.
fn kill_at_random_points(name: &str, kills: u64) -> (u64, usize) {
    let garage = folder(name);
    let first = add(&garage, "the first").wait_with_output().unwrap();
    let mut known = BTreeMap::from([confirmed(&first.stdout).unwrap()]);
    let mut chance = 88_172_645_463_325_252_u64;
    let (mut killed, mut begun) = (0, 0);
    // The longest time to wait before a kill; shortened whenever it was too long, so that most kills come in time.
    let mut reach_us = 30_000;
    while killed < kills && begun < 20 * kills {
        begun += 1;
        // Another program writes all the while.
        let other = add(&garage, "another");
        let mut child = add(&garage, &format!("turn {begun}"));
        // An xorshift generator: from at once to about the answer.
        chance ^= chance << 13;
        chance ^= chance >> 7;
        chance ^= chance << 17;
        std::thread::sleep(Duration::from_micros(chance % reach_us));
        child.kill().unwrap();
        let said = child.wait_with_output().unwrap();
        let in_time = !said.status.success();
        killed += u64::from(in_time);
        reach_us = if in_time { reach_us + reach_us / 16 + 1 } else { (reach_us - reach_us / 16).max(1) };
        known.extend(confirmed(&said.stdout));
        let said = other.wait_with_output().unwrap();
        known.insert(confirmed(&said.stdout).unwrap().0, confirmed(&said.stdout).unwrap().1);
    }
    let found = entries(&garage);
    for (sequence, hash) in &known {
        assert_eq!(found.get(sequence), Some(hash), "entry {sequence} was confirmed");
    }
    assert_eq!(killed, kills, "of {begun} that were begun");
    (begun, known.len())
}

#[test]
fn what_was_confirmed_survives_200_kills() {
    let (begun, known) = kill_at_random_points("kills", 200);
    println!("200 of {begun} were killed before they ended; {known} confirmed entries, all there");
    assert!(known as u64 > begun, "the first, and the other program's, are all there");
}

#[test]
fn an_import_that_is_killed_leaves_all_or_nothing() {
    let from = folder("import-from");
    for number in 0..30 {
        assert!(add(&from, &format!("note {number}")).wait().unwrap().success());
    }
    let file = from.join("record.jsonl");
    let export = record(&from, &["export"]).output().unwrap().stdout;
    std::fs::write(&file, export).unwrap();
    for delay in 0..12 {
        let garage = folder("import-to");
        let mut child = record(&garage, &["import", file.to_str().unwrap()]).spawn().unwrap();
        std::thread::sleep(Duration::from_millis(delay));
        child.kill().unwrap();
        child.wait().unwrap();
        // Also the folder may not be there yet.
        let begun = std::fs::metadata(garage.join("record.sqlite")).map_or(0, |file| file.len());
        if garage.join("record.sqlite").exists() && begun == 0 {
            // Killed before the first byte was written: no record yet, and the next import makes it.
            let again = record(&garage, &["import", file.to_str().unwrap()]).output().unwrap();
            assert!(again.status.success(), "{}", String::from_utf8_lossy(&again.stderr));
            assert_eq!(entries(&garage).len(), 30);
        } else if begun > 0 {
            let count = entries(&garage).len();
            assert!(count == 0 || count == 30, "{count} of 30 after {delay} ms");
        }
    }
}

#[test]
fn several_programs_at_once_wait_for_each_other() {
    let garage = folder("several");
    let writers: Vec<_> = (0..4)
        .map(|writer| {
            let garage = garage.clone();
            std::thread::spawn(move || {
                let said = (0..8).map(|turn| {
                    let said =
                        add(&garage, &format!("writer {writer}, turn {turn}")).wait_with_output().unwrap();
                    confirmed(&said.stdout)
                        .unwrap_or_else(|| panic!("{}", String::from_utf8_lossy(&said.stderr)))
                });
                said.collect::<Vec<_>>()
            })
        })
        .collect();
    let known: Vec<(u64, String)> = writers.into_iter().flat_map(|writer| writer.join().unwrap()).collect();
    assert_eq!(entries(&garage), known.iter().cloned().collect());
    assert_eq!(known.len(), 32);
}

#[cfg(target_os = "linux")]
#[test]
fn whoever_holds_the_record_is_named() {
    let garage = folder("holder");
    assert!(add(&garage, "the first").wait().unwrap().success());
    let holder = rusqlite::Connection::open(garage.join("record.sqlite")).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    let arguments = ["add", "note", "--vehicle", TRUCK, "--text", "in vain", "--wait", "0"];
    let said = record(&garage, &arguments).output().unwrap();
    let words = String::from_utf8(said.stderr).unwrap();
    assert_eq!(said.status.code(), Some(1));
    assert!(words.contains(&format!("process {}", std::process::id())), "{words}");
    assert!(words.contains("running since 2"), "{words}");
    drop(holder);
    assert_eq!(entries(&garage).len(), 1);
}

/// Adds entries until one is refused; then checks and exports. `$1` is the program, `$2` the garage, `$3` the folder
/// for what was said, where there is room.
const FILL: &str = r#"
long=$(printf '%02000d' 7)
turn=0
while [ $turn -lt 400 ]; do
    turn=$((turn + 1))
    "$1" record add note --vehicle x --new-vehicle --text "$turn $long" --json --garage "$2" > "$3/one" 2> "$3/refused" || break
    tr -d '\n' < "$3/one" >> "$3/confirmed"
    echo >> "$3/confirmed"
done
"$1" record check --garage "$2" > "$3/check" 2>&1; echo $? > "$3/code"
"$1" record export --garage "$2" > "$3/export" 2>> "$3/check"
"#;

/// Runs the filling under what makes the disk full; `None` where the system does not let us.
fn fill(name: &str, before: &str, program: &[&str]) -> Option<()> {
    let said = folder(name);
    let garage = said.join("garage");
    std::fs::create_dir_all(&garage).unwrap();
    let script = format!("{before} && {{ {FILL} }}");
    let status = Command::new(program[0])
        .args(&program[1..])
        .args(["sh", "-c", &script, "sh", BINARY])
        .args([&garage, &said])
        .stderr(Stdio::null())
        .status();
    if !status.is_ok_and(|status| status.success()) || !said.join("code").exists() {
        return None;
    }
    let text = |name: &str| std::fs::read_to_string(said.join(name)).unwrap_or_default();
    let confirmed: Vec<_> =
        text("confirmed").lines().map(|line| confirmed(line.as_bytes()).unwrap()).collect();
    let found: BTreeMap<u64, String> =
        text("export").lines().map(|line| self::confirmed(line.as_bytes()).unwrap()).collect();
    assert!(!confirmed.is_empty() && confirmed.len() < 400, "{} entries: it was never full", confirmed.len());
    assert!(text("refused").contains("error: "), "the refusal says why: {}", text("refused"));
    assert_eq!(text("code").trim(), "0", "{}", text("check"));
    assert_eq!(found, confirmed.into_iter().collect(), "neither more nor less than was confirmed");
    Some(())
}

#[cfg(unix)]
#[test]
fn a_full_disk_loses_nothing_and_leaves_nothing_half_written() {
    // In a name space of its own nothing is mounted for others.
    let mount = r#"mount -t tmpfs -o size=400k tmpfs "$2""#;
    let on_small_disk = fill("full", mount, &["unshare", "--user", "--map-root-user", "--mount"]);
    // A limit on the size of a file, 512 bytes a unit; the signal is turned into an error.
    let with_limit = fill("limit", "trap '' XFSZ && ulimit -f 300", &["env"]);
    if on_small_disk.is_none() && with_limit.is_none() {
        println!("skipped: neither a small file system nor a limit on files can be had here");
    }
}

/// Every write of the store fails once, wherever a file would grow past a limit: `$4` is its size, 512 bytes a unit.
const ADD_WITHIN: &str = r#"
trap '' XFSZ
ulimit -f "$4" && "$1" record add note --vehicle x --new-vehicle --text "$3" --request "$5" --json --garage "$2" > /dev/null 2>&1
"#;

#[cfg(unix)]
#[test]
fn a_write_that_fails_anywhere_in_a_commit_leaves_all_or_nothing() {
    let template = folder("fails-start");
    for number in 0..12 {
        assert!(add(&template, &format!("note {number}")).wait().unwrap().success());
    }
    let before = entries(&template);
    let text = "seven ".repeat(1500);
    let (mut failed, mut reached) = (0, false);
    for limit in 0..120 {
        let garage = folder("fails");
        for file in ["record.sqlite", "record-seen.toml"] {
            std::fs::copy(template.join(file), garage.join(file)).unwrap();
        }
        let add = |limit: u64| {
            let mut command = Command::new("sh");
            command.args(["-c", ADD_WITHIN, "sh", BINARY]).arg(&garage);
            command.args([&text, &limit.to_string(), "key"]).stderr(Stdio::null()).status().unwrap().success()
        };
        let said = add(limit);
        let found = entries(&garage);
        assert!(found.len() == before.len() + usize::from(said), "{} at {limit}, said {said}", found.len());
        failed += u32::from(!said);
        reached |= said;
        // Sent again where there is room, it is there once.
        assert!(add(1 << 20), "{limit}");
        assert_eq!(entries(&garage).len(), before.len() + 1, "{limit}");
    }
    println!("{failed} of 120 limits refused the write, 0 lost or doubled");
    assert!(failed > 5 && reached, "{failed}");
}

/// A copy on a disk that takes no writes: checked, shown and exported, and told apart from one that is damaged.
const READ_ONLY: &str = r#"
mount -t tmpfs tmpfs "$2" && cp "$3"/record.sqlite "$2" && mount -o remount,ro "$2" || exit 77
"$1" record check --garage "$2" > "$3/check" 2>&1; echo $? > "$3/code"
"$1" record show --garage "$2" > "$3/show" 2>&1; echo $? >> "$3/code"
"$1" record export --garage "$2" > "$3/export" 2>> "$3/check"; echo $? >> "$3/code"
"$1" record add note --vehicle x --new-vehicle --text y --garage "$2" > "$3/added" 2>&1; echo $? >> "$3/code"
"#;

#[cfg(target_os = "linux")]
#[test]
fn a_write_protected_copy_is_read() {
    let (from, garage) = (folder("protected-from"), folder("protected"));
    for number in 0..3 {
        assert!(add(&from, &format!("note {number}")).wait().unwrap().success());
    }
    let known = entries(&from);
    let status = Command::new("unshare")
        .args(["--user", "--map-root-user", "--mount", "sh", "-c", READ_ONLY, "sh", BINARY])
        .args([&garage, &from])
        .stderr(Stdio::null())
        .status();
    let text = |name: &str| std::fs::read_to_string(from.join(name)).unwrap_or_default();
    if !status.is_ok_and(|status| status.code() != Some(77)) || text("code").is_empty() {
        println!("skipped: no file system of its own can be had here");
        return;
    }
    assert_eq!(text("code"), "0\n0\n0\n1\n", "{} {} {}", text("check"), text("show"), text("added"));
    let found: BTreeMap<u64, String> =
        text("export").lines().map(|line| confirmed(line.as_bytes()).unwrap()).collect();
    assert_eq!(found, known);
    assert!(text("check").contains("whole"), "{}", text("check"));
}
