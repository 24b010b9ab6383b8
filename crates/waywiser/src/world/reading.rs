//! What is being read at this moment: told where reading ends in a fault, and noted on disk, so that a file that ends the
//! program is known to the next start.

use super::faults::{self, Operation};
use std::cell::RefCell;
use std::fs::{File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

/// The note in the folder whose files are being read.
const FILE: &str = ".reading";

thread_local! {
    static NOW: RefCell<Now> = RefCell::default();
}

/// What this thread reads, and its note on disk.
#[derive(Default)]
struct Now {
    files: Vec<PathBuf>,
    note: Option<Note>,
}

/// A note on disk, held as long as this program reads.
struct Note {
    file: File,
    folder: PathBuf,
}

impl Note {
    /// None where another program reads in that folder, or nothing can be written there: then nothing is noted.
    fn begun(folder: &Path) -> Option<Self> {
        let path = folder.join(FILE);
        faults::before(Operation::Create, &path).ok()?;
        let file = OpenOptions::new().create(true).truncate(false).write(true).open(&path).ok()?;
        file.try_lock().ok()?;
        file.set_len(0).ok()?;
        Some(Self { file, folder: folder.to_path_buf() })
    }

    /// A name a line. What cannot be noted is no matter: it would only tell more.
    fn write(&mut self, files: &[PathBuf]) {
        let _ = self.file.set_len(0).and_then(|()| self.file.seek(SeekFrom::Start(0)));
        let _ = self.file.write_all(lines(files, &self.folder).join("\n").as_bytes());
    }
}

impl Drop for Note {
    fn drop(&mut self) {
        // One that cannot be removed names nothing any more.
        let _ = self.file.set_len(0);
        super::remove(&self.folder.join(FILE));
    }
}

fn lines(files: &[PathBuf], folder: &Path) -> Vec<String> {
    files.iter().map(|file| file.strip_prefix(folder).unwrap_or(file).display().to_string()).collect()
}

/// Says that this thread works on these files from now on.
pub fn works_on(files: &[PathBuf]) {
    note_now(files);
    #[cfg(test)]
    breaks_where_a_test_wants_it(files);
}

#[cfg(test)]
fn breaks_where_a_test_wants_it(files: &[PathBuf]) {
    assert!(!files.iter().any(|file| file.to_string_lossy().contains(BREAKS)), "a fault for a test");
}

/// Stands for a fault of the program, none of which is known: work on a file of this name breaks in unit tests.
#[cfg(test)]
pub const BREAKS: &str = "breaks-for-a-test";

fn note_now(files: &[PathBuf]) {
    NOW.with_borrow_mut(|now| {
        now.files = files.to_vec();
        if let Some(note) = &mut now.note {
            note.write(files);
        }
    });
}

/// Does some work; where a fault of the program ends it, the files that were worked on. What the fault says of itself is left
/// out: it may quote a file, and so a position.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, Vec<PathBuf>> {
    works_on(&[]);
    // Nothing that was half changed is looked at again: the work owns what it changes.
    catch_unwind(AssertUnwindSafe(work)).map_err(|_| NOW.with_borrow(|now| now.files.clone()))
}

/// The same with a note in `folder` of what is worked on. It is gone afterwards, and stays where the program is ended.
pub fn caught_and_noted<T>(folder: &Path, work: impl FnOnce() -> T) -> Result<T, Vec<PathBuf>> {
    NOW.with_borrow_mut(|now| now.note = Note::begun(folder));
    let done = caught(work);
    drop(taken_note());
    done
}

/// The same for a process whose end tells of a fault: the note stays then.
pub fn caught_or_noted<T>(folder: &Path, work: impl FnOnce() -> T) -> Result<T, Vec<PathBuf>> {
    NOW.with_borrow_mut(|now| now.note = Note::begun(folder));
    let done = caught(work);
    match (taken_note(), &done) {
        (note, Err(_)) => std::mem::forget(note),
        (note, Ok(_)) => drop(note),
    }
    done
}

fn taken_note() -> Option<Note> {
    NOW.with_borrow_mut(|now| now.note.take())
}

/// The names that stand in the note of a folder, whoever works there; none where nobody does.
pub fn noted(folder: &Path) -> Option<Vec<String>> {
    let text = super::read_text(&folder.join(FILE)).ok()?;
    Some(text.lines().map(str::to_string).collect())
}

/// The names in a note that nobody holds any more: whoever worked on them was ended. The note is gone then; one without names
/// tells of nobody.
pub fn left_behind(folder: &Path) -> Option<Vec<String>> {
    let path = folder.join(FILE);
    if !path.is_file() || !super::keep::is_free(&path) {
        return None;
    }
    let names = noted(folder);
    super::remove(&path);
    names.filter(|names| !names.is_empty())
}

#[cfg(test)]
mod tests {
    use super::super::{clear_away, folder_for_a_test};
    use super::*;

    #[test]
    fn a_fault_names_the_files_and_a_note_stays_only_where_the_program_was_ended() {
        let folder = folder_for_a_test("reading");
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join("drive.gpx");
        let done = caught_and_noted(&folder, || {
            works_on(std::slice::from_ref(&file));
            assert_eq!(noted(&folder).unwrap(), ["drive.gpx"]);
            assert_eq!(left_behind(&folder), None, "somebody holds it");
            7
        });
        assert!(done == Ok(7) && noted(&folder).is_none());
        let faulty = caught_and_noted(&folder, || {
            works_on(std::slice::from_ref(&file));
            panic!("a fault for a test");
        });
        assert_eq!(faulty, Err::<(), _>(vec![file.clone()]));
        assert_eq!(
            caught(|| panic!("another")),
            Err::<(), _>(Vec::new()),
            "names of earlier work are forgotten"
        );
        assert!(noted(&folder).is_none());
        // As a program leaves it that was ended.
        super::super::write(&folder.join(FILE), b"drive.gpx\nlog.csv", true).unwrap();
        assert_eq!(left_behind(&folder).unwrap(), ["drive.gpx", "log.csv"]);
        assert_eq!(left_behind(&folder), None);
        clear_away(&folder);
    }
}
