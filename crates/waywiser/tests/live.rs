//! Drives recorded as they happen: from a gpsd of our own, and from a receiver at the other end of a pair of terminals. Each gives a
//! file that `measure drive` reads.
#![cfg(all(unix, feature = "live"))]
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "what is tested are a program and its files"
)]

use serde_json::Value;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// Fixes of a receiver of ten a second, one after the other as it sends them.
const FIXES: usize = 80;
const BETWEEN: Duration = Duration::from_millis(100);
/// 45 mph, northwards (m/s; the mile per hour of the international mile, 0.44704 m/s as its definition has it).
const SPEED_M_PER_S: f64 = 45.0 * 0.44704;
/// Degrees of latitude a metre at 45 degrees north (a quarter of a meridian is 10 002 km, from memory: 1/111 km; exact enough
/// for a drive whose own speed is stated beside it).
const DEG_PER_M: f64 = 1.0 / 111_132.0;
/// When the drive begins (UTC, s after 10:00).
fn time_s(fix: usize) -> f64 {
    fix as f64 * BETWEEN.as_secs_f64()
}

fn latitude_deg(fix: usize) -> f64 {
    45.0 + time_s(fix) * SPEED_M_PER_S * DEG_PER_M
}

fn out(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("live");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(name);
    let _ = std::fs::remove_file(&path);
    path
}

fn start(words: &[&str], out: &Path) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    command.args(["measure", "live", "--json"]).args(words).arg("--out").arg(out);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

/// Waits until the program says this.
fn told(said: &mut impl BufRead, wanted: &str) {
    let mut line = String::new();
    while said.read_line(&mut line).unwrap() > 0 {
        if line.contains(wanted) {
            return;
        }
        line.clear();
    }
    panic!("it ended without saying {wanted}");
}

/// Ctrl+C, and what it answered.
fn stop(child: Child) -> Value {
    let told = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(told.success());
    let ended = child.wait_with_output().unwrap();
    assert!(ended.status.success(), "{:?}", ended.status);
    serde_json::from_slice(&ended.stdout).unwrap()
}

fn records(path: &Path) -> Vec<Value> {
    let text = std::fs::read_to_string(path).unwrap();
    assert!(text.ends_with('\n'), "the last line is whole");
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn kinds(records: &[Value], kind: &str) -> Vec<Value> {
    records.iter().filter(|record| record["run"] == kind).cloned().collect()
}

/// What `measure drive` makes of the file: the drive's own speed is what the needle was said to show.
fn measured(path: &Path) -> Value {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    let ended = command.args(["measure", "drive", "--json", "--track"]).arg(path).output().unwrap();
    assert!(ended.status.success(), "{}", String::from_utf8_lossy(&ended.stderr));
    serde_json::from_slice(&ended.stdout).unwrap()
}

#[track_caller]
fn reads_45_for_45(drive: &Value) {
    let held = &drive["holds"][0];
    let (shown, truth) =
        (held["indicated_m_per_s"].as_f64().unwrap(), held["true_m_per_s"]["value"].as_f64().unwrap());
    assert!((shown - SPEED_M_PER_S).abs() < 1e-9 && (truth / SPEED_M_PER_S - 1.0).abs() < 0.01, "{held}");
}

/// Types the speed a second after the first fix, and ends the hold a second before the last.
fn drive(child: &mut Child, mut send: impl FnMut(usize)) {
    let mut typed = child.stdin.take().unwrap();
    for fix in 0..FIXES {
        send(fix);
        match fix {
            10 => writeln!(typed, "45").unwrap(),
            30 => writeln!(typed, "n quiet road").unwrap(),
            70 => writeln!(typed).unwrap(),
            _ => {}
        }
        std::thread::sleep(BETWEEN);
    }
}

#[test]
fn gpsd_that_goes_away_and_comes_back() {
    let path = out("gpsd.jsonl");
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let mut child = start(&["--gpsd", &address], &path);
    let mut said = BufReader::new(child.stderr.take().unwrap());
    let (mut line, _) = listener.accept().unwrap();
    let mut asked = String::new();
    BufReader::new(line.try_clone().unwrap()).read_line(&mut asked).unwrap();
    assert!(asked.starts_with("?WATCH={") && asked.contains("\"json\":true"), "{asked}");
    writeln!(line, r#"{{"class":"VERSION","release":"3","rev":"3","proto_major":3,"proto_minor":14}}"#)
        .unwrap();
    writeln!(line, r#"{{"class":"TPV","mode":1}}"#).unwrap();
    drive(&mut child, |fix| {
        let tpv = serde_json::json!({
            "class": "TPV", "mode": 3, "time": format!("2026-05-01T10:00:{:06.3}Z", time_s(fix)),
            "lat": latitude_deg(fix), "lon": 9.5, "altMSL": 210.0, "speed": SPEED_M_PER_S, "track": 0.0, "eph": 4.0,
        });
        writeln!(line, "{tpv}").unwrap();
    });
    // It is stopped, and started again.
    drop(line);
    told(&mut said, "gpsd-closed");
    let (mut line, _) = listener.accept().unwrap();
    writeln!(line, r#"{{"class":"TPV","mode":2,"time":"2026-05-01T10:00:20Z","lat":45.01,"lon":9.5}}"#)
        .unwrap();
    told(&mut said, "Fixes come in");
    std::thread::spawn(move || std::io::copy(&mut said, &mut std::io::sink()));
    let answer = stop(child);
    let records = records(&path);
    assert_eq!((answer["fixes"].as_u64(), kinds(&records, "fix").len()), (Some(FIXES as u64 + 1), FIXES + 1));
    assert_eq!(records[0], serde_json::json!({"run": "start", "version": 1}));
    let reasons: Vec<Value> = kinds(&records, "gap").iter().map(|gap| gap["reason"].clone()).collect();
    assert_eq!(reasons, ["no-position", "gpsd-closed"]);
    assert_eq!(kinds(&records, "segment").len(), 2);
    assert_eq!(kinds(&records, "note")[0]["text"], "quiet road");
    assert_eq!(kinds(&records, "hold")[0]["shown"], "45 mph");
    let drive = measured(&path);
    assert_eq!(drive["points"]["read"].as_u64(), Some(FIXES as u64 + 1), "{drive}");
    reads_45_for_45(&drive);
    // A file that is there is left.
    let refused = start(&["--gpsd", &address], &path).wait_with_output().unwrap();
    assert_eq!(refused.status.code(), Some(1));
}

/// A sentence with its checksum: the exclusive or of what stands between `$` and `*` (NMEA 0183).
fn sentence(text: &str) -> String {
    let sum = text.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${text}*{sum:02X}\r\n")
}

#[test]
fn a_receiver_that_is_unplugged() {
    use rustix::io::{FdFlags, fcntl_setfd};
    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
    let receiver = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&receiver).unwrap();
    unlockpt(&receiver).unwrap();
    // The program under test must not hold this end as well.
    fcntl_setfd(&receiver, FdFlags::CLOEXEC).unwrap();
    let port = ptsname(&receiver, Vec::new()).unwrap().into_string().unwrap();
    let mut receiver = std::fs::File::from(receiver);
    let path = out("serial.jsonl");
    let mut child = start(&["--serial", &port, "--baud", "9600"], &path);
    let mut said = BufReader::new(child.stderr.take().unwrap());
    told(&mut said, "Ctrl+C");
    // The port has to be open before anything is sent: what is sent before is lost, as with a receiver.
    std::thread::sleep(Duration::from_millis(500));
    drive(&mut child, |fix| {
        let minutes = (latitude_deg(fix) - 45.0) * 60.0;
        let (time, knots) = (format!("1000{:06.3}", time_s(fix)), SPEED_M_PER_S * 3600.0 / 1852.0);
        let rmc =
            sentence(&format!("GNRMC,{time},A,45{minutes:08.5},N,00930.00000,E,{knots:.4},0.0,010526,,,A"));
        let gga =
            sentence(&format!("GNGGA,{time},45{minutes:08.5},N,00930.00000,E,1,12,0.7,210.0,M,47.0,M,,"));
        write!(receiver, "{rmc}{gga}").unwrap();
    });
    drop(receiver);
    told(&mut said, "receiver-gone");
    std::thread::spawn(move || std::io::copy(&mut said, &mut std::io::sink()));
    stop(child);
    let records = records(&path);
    assert_eq!(kinds(&records, "fix").len(), FIXES);
    assert_eq!(kinds(&records, "fix")[1]["height_m"], 210.0);
    let reasons: Vec<Value> = kinds(&records, "gap").iter().map(|gap| gap["reason"].clone()).collect();
    assert_eq!(reasons.len(), 2, "{reasons:?}");
    let drive = measured(&path);
    assert_eq!(drive["points"]["read"].as_u64(), Some(FIXES as u64), "{drive}");
    reads_45_for_45(&drive);
}
