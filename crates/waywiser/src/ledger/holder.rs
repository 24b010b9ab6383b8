//! Which program holds the record, where the system tells.

use std::path::Path;

/// In words. Linux lists the locks of all programs with the number of the file; elsewhere nobody is named.
pub fn who(path: &Path) -> String {
    match holder(path) {
        Some((number, name)) => {
            format!("another program holds it: {name}, process {number}{}", about(number))
        }
        None => "another program holds it".to_string(),
    }
}

#[cfg(target_os = "linux")]
fn holder(path: &Path) -> Option<(u32, String)> {
    use std::os::unix::fs::MetadataExt;
    // In WAL mode the locks are taken on the shared index beside the file.
    let mut beside = path.as_os_str().to_owned();
    beside.push("-shm");
    let files = [std::path::PathBuf::from(beside), path.to_path_buf()];
    let inodes: Vec<u64> =
        files.iter().filter_map(|file| std::fs::metadata(file).ok()).map(|found| found.ino()).collect();
    let locks = crate::world::read_text(Path::new("/proc/locks")).ok()?;
    let own = std::process::id();
    let number = locks.lines().filter_map(|line| writer(line, &inodes)).find(|number| *number != own)?;
    let name = crate::world::read_text(Path::new(&format!("/proc/{number}/comm"))).ok()?;
    Some((number, name.trim().to_string()))
}

/// Since when it runs and what it was started for: the lock itself has no time, and is younger than the process.
#[cfg(target_os = "linux")]
fn about(number: u32) -> String {
    let read = |name: &str| crate::world::read_text(Path::new(&format!("/proc/{name}"))).ok();
    let started = || started(&read(&format!("{number}/stat"))?, &read("stat")?);
    let since = started().map_or(String::new(), |time| format!(", running since {time}"));
    let words = read(&format!("{number}/cmdline")).unwrap_or_default();
    let what: Vec<&str> =
        words.split('\0').skip(1).take_while(|word| !word.starts_with('-')).take(2).collect();
    if what.is_empty() { since } else { format!("{since}, for `{}`", what.join(" ")) }
}

#[cfg(not(target_os = "linux"))]
fn about(_number: u32) -> String {
    String::new()
}

/// When a process was started, from its line and that of the machine: field 22 counts hundredths of a second from the start of
/// the machine (proc(5); the name in field 2 may hold blanks, and ends with the last bracket).
fn started(process: &str, machine: &str) -> Option<jiff::Timestamp> {
    let hundredths: i64 = process.rsplit_once(')')?.1.split_whitespace().nth(19)?.parse().ok()?;
    let booted: i64 = machine.lines().find_map(|line| line.strip_prefix("btime "))?.trim().parse().ok()?;
    jiff::Timestamp::from_second(booted.checked_add(hundredths / 100)?).ok()
}

#[cfg(not(target_os = "linux"))]
fn holder(_path: &Path) -> Option<(u32, String)> {
    None
}

/// The process in a line such as `1: POSIX  ADVISORY  WRITE 4711 fe:00:1363208 120 120`, if it writes to one of these
/// files.
fn writer(line: &str, inodes: &[u64]) -> Option<u32> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let ["POSIX", _, "WRITE", number, file, ..] = words.get(1..)? else { return None };
    let inode: u64 = file.rsplit(':').next()?.parse().ok()?;
    inodes.contains(&inode).then(|| number.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn when_a_process_was_started() {
        let process = "4711 (a (b) c) S 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 36050 20 21";
        let time = started(process, "cpu 1 2\nbtime 1777716000\nprocesses 7\n").unwrap();
        assert_eq!(time.as_second(), 1_777_716_360);
        assert_eq!(started("4711", "btime 1"), None);
        assert_eq!(started(process, ""), None);
    }

    #[test]
    fn lines_of_the_list_of_locks() {
        let check = |line: &str, expected| assert_eq!(writer(line, &[42]), expected, "{line}");
        check("1: POSIX  ADVISORY  WRITE 4711 fe:00:42 120 120", Some(4711));
        check("1: POSIX  ADVISORY  READ 4711 fe:00:42 123 123", None);
        check("1: POSIX  ADVISORY  WRITE 4711 fe:00:43 120 120", None);
        check("2: FLOCK  ADVISORY  WRITE 4711 fe:00:42 0 EOF", None);
        check("", None);
    }
}
