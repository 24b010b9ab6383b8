//! One program at a time. Who holds a lock stands beside it, so that whoever waits in vain is told.

use super::faults::{self, Operation};
use super::keep::unkept;
use super::{make_folders, now, read_text, remove};
use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::time::Duration;
use truing::problem::Problem;

/// Longer than this nobody changes a garage's files.
const PATIENCE: Duration = Duration::from_secs(10);
const BETWEEN_TRIES: Duration = Duration::from_millis(10);

/// Does something, which is told to whoever waits, while no other program does something under the same lock file.
pub fn locked<T>(lock: &Path, what: &str, act: impl FnOnce() -> T) -> Result<T, Box<Problem>> {
    within(PATIENCE, lock, what, act)
}

fn within<T>(
    patience: Duration,
    lock: &Path,
    what: &str,
    act: impl FnOnce() -> T,
) -> Result<T, Box<Problem>> {
    if let Some(folder) = lock.parent() {
        make_folders(folder).map_err(|error| unkept(folder, &error))?;
    }
    if !lock.exists() {
        faults::before(Operation::Create, lock).map_err(|error| unkept(lock, &error))?;
    }
    let file = OpenOptions::new().create(true).truncate(false).write(true).open(lock);
    let file = file.map_err(|error| unkept(lock, &error))?;
    waited_for(&file, lock, patience)?;
    let note = beside(lock);
    // A note that cannot be written leaves the holder without a name, and nothing else.
    let _ = super::private::write_over(
        &note,
        &format!("process {}, since {}, {what}", std::process::id(), now()),
    );
    let done = act();
    remove(&note);
    let _ = file.unlock();
    Ok(done)
}

fn waited_for(file: &File, lock: &Path, patience: Duration) -> Result<(), Box<Problem>> {
    let since = now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(TryLockError::Error(error)) => return Err(unkept(lock, &error)),
            Err(TryLockError::WouldBlock) if now().duration_since(since).unsigned_abs() < patience => {
                std::thread::sleep(BETWEEN_TRIES);
            }
            Err(TryLockError::WouldBlock) => return Err(held(lock, patience)),
        }
    }
}

fn held(lock: &Path, patience: Duration) -> Box<Problem> {
    let holder = read_text(&beside(lock)).unwrap_or_else(|_| "a process that did not say its name".into());
    let expected = format!("to be free within {} s", patience.as_secs_f64());
    let problem = Problem::error(lock.display().to_string(), expected, format!("held by {}", holder.trim()));
    Box::new(
        problem.hint("Nothing was changed. Wait until that is done, or end that process, and try again."),
    )
}

/// Where the holder writes who it is.
fn beside(lock: &Path) -> PathBuf {
    let mut name = lock.as_os_str().to_os_string();
    name.push("-holder");
    PathBuf::from(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_that_is_held_names_its_holder_and_gives_up() {
        let folder = super::super::folder_for_a_test("lock");
        let lock = folder.join(".lock");
        let told = within(PATIENCE, &lock, "adding a truck", || {
            let other = std::thread::spawn({
                let lock = lock.clone();
                move || within(Duration::from_millis(30), &lock, "adding another", || ())
            });
            other.join().unwrap().unwrap_err().to_string()
        });
        let told = told.unwrap();
        for piece in [
            &format!("process {}", std::process::id()),
            "since 2",
            "adding a truck",
            "0.03 s",
            "Nothing was changed",
        ] {
            assert!(told.contains(piece), "{piece} in {told}");
        }
        assert!(!beside(&lock).exists(), "a note of a holder that is gone");
        assert_eq!(within(PATIENCE, &lock, "later", || 7), Ok(7));
        super::super::clear_away(&folder);
    }
}
