//! Which program holds the record, where the system tells.

use std::path::Path;

/// In words. Linux lists the locks of all programs with the number of the file; elsewhere nobody is named.
pub fn who(path: &Path) -> String {
    match holder(path) {
        Some((number, name)) => format!("another program holds it: {name}, process {number}"),
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
    fn lines_of_the_list_of_locks() {
        let check = |line: &str, expected| assert_eq!(writer(line, &[42]), expected, "{line}");
        check("1: POSIX  ADVISORY  WRITE 4711 fe:00:42 120 120", Some(4711));
        check("1: POSIX  ADVISORY  READ 4711 fe:00:42 123 123", None);
        check("1: POSIX  ADVISORY  WRITE 4711 fe:00:43 120 120", None);
        check("2: FLOCK  ADVISORY  WRITE 4711 fe:00:42 0 EOF", None);
        check("", None);
    }
}
