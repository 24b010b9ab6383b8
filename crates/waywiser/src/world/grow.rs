//! A file that grows line by line while a drive comes in. What was said to be kept is on the disk, and what was cut off counts as
//! never written.

use super::faults::{self, Operation};
use super::keep::{sync_folder, unkept};
use super::{make_folders, unreadable};
use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Read, Seek, SeekFrom};
use std::path::Path;
use truing::problem::Problem;

/// The whole lines of such a file, each with its end, up to so many bytes; none where it is not there yet.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn whole_lines(path: &Path, most_bytes: u64) -> Result<String, Box<Problem>> {
    let mut bytes = Vec::new();
    match File::open(path).and_then(|file| file.take(most_bytes).read_to_end(&mut bytes)) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(String::new()),
        Err(error) => return Err(unreadable(path, &error)),
        Ok(_) => {}
    }
    let end = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |last| last + 1);
    bytes.truncate(end);
    String::from_utf8(bytes).map_err(|_| {
        let problem = Problem::error(path.display().to_string(), "text in UTF-8", "other bytes");
        Box::new(problem.hint("Another program changed it; move it out of the folder."))
    })
}

/// Adds bytes behind the first `kept_bytes` of a file, which is made where it is missing, and waits until all of it has reached
/// the disk. What does not reach it is taken off again.
pub fn grow(path: &Path, kept_bytes: u64, more: &[u8]) -> Result<(), Box<Problem>> {
    let grown = path.parent().map_or(Ok(()), make_folders).and_then(|()| {
        faults::before(Operation::Create, path)?;
        let mut file = OpenOptions::new().create(true).truncate(false).write(true).open(path)?;
        let written = written(&mut file, path, kept_bytes, more);
        if written.is_err() {
            // Best effort: what is left of it is a line without an end, or one that is sent again and found the same.
            let _ = faults::before(Operation::Write, path).and_then(|()| file.set_len(kept_bytes));
        }
        written
    });
    grown.map_err(|error| unkept(path, &error))
}

fn written(file: &mut File, path: &Path, kept_bytes: u64, more: &[u8]) -> std::io::Result<()> {
    if file.metadata()?.len() != kept_bytes {
        faults::before(Operation::Write, path)?;
        file.set_len(kept_bytes)?;
    }
    file.seek(SeekFrom::Start(kept_bytes))?;
    if !more.is_empty() {
        faults::write(file, path, more)?;
    }
    faults::before(Operation::Sync, path)?;
    file.sync_all()?;
    sync_folder(path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::{clear_away, folder_for_a_test, put_new};

    #[test]
    fn a_line_that_was_cut_off_is_written_again() {
        let folder = folder_for_a_test("grow");
        let path = folder.join("runs").join("one.jsonl");
        assert_eq!(whole_lines(&path, 100).unwrap(), "");
        grow(&path, 0, b"one\ntwo\n").unwrap();
        grow(&path, 8, b"thr").unwrap();
        assert_eq!(whole_lines(&path, 100).unwrap(), "one\ntwo\n");
        grow(&path, 8, b"three\n").unwrap();
        assert_eq!(whole_lines(&path, 100).unwrap(), "one\ntwo\nthree\n");
        assert_eq!(whole_lines(&path, 6).unwrap(), "one\n");
        put_new(&folder.join("other"), b"\xff\xfe\n").unwrap();
        assert!(whole_lines(&folder.join("other"), 100).unwrap_err().to_string().contains("UTF-8"));
        clear_away(&folder);
    }
}
