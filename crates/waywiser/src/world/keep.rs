//! Keeping files so that nothing is lost: whole or not at all, and never two writers at once.

use super::faults::{self, Operation};
use super::{make_folders, unreadable};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use truing::problem::Problem;

/// What tells that a file is no longer the one that was read: a quick look for large files. Where a version must not be
/// mistaken, the text itself is compared.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stamp {
    bytes: u64,
    changed: Option<SystemTime>,
    place: Place,
}

/// Which file of the disk it is, and when anything about it was changed: a time of change that was set back shows.
#[cfg(unix)]
type Place = (u64, i64, i64);
#[cfg(not(unix))]
type Place = ();

#[cfg(unix)]
fn place_of(about: &std::fs::Metadata) -> Place {
    use std::os::unix::fs::MetadataExt;
    (about.ino(), about.ctime(), about.ctime_nsec())
}

#[cfg(not(unix))]
fn place_of(_: &std::fs::Metadata) -> Place {}

impl Stamp {
    /// The size of the file.
    pub fn bytes(&self) -> u64 {
        self.bytes
    }

    /// Size and time of change as a text, to be compared after the program was ended.
    pub fn version(&self) -> String {
        let since = |time: SystemTime| time.duration_since(SystemTime::UNIX_EPOCH).ok();
        let changed = self.changed.and_then(since).map_or(0, |since| since.as_nanos());
        format!("{} bytes, changed {changed} ns after 1970", self.bytes)
    }
}

/// Size and time of change of a file; nothing where there is none.
pub fn stamp(path: &Path) -> Option<Stamp> {
    let about = std::fs::metadata(path).ok()?;
    Some(Stamp { bytes: about.len(), changed: about.modified().ok(), place: place_of(&about) })
}

/// The names of the folders in a folder, in order; none where it is not there.
pub fn folders_in(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let folders = entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()));
    let mut names: Vec<String> = folders.filter_map(|entry| entry.file_name().into_string().ok()).collect();
    names.sort();
    names
}

/// The names of the files in a folder, in order; none where it is not there.
pub fn files_in(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let files = entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()));
    let mut names: Vec<String> = files.filter_map(|entry| entry.file_name().into_string().ok()).collect();
    names.sort();
    names
}

/// Makes a folder that was not there before; whether it was free.
pub fn make_folder(path: &Path) -> Result<bool, Box<Problem>> {
    let above = path.parent().map_or(Ok(()), make_folders);
    let may = above.and_then(|()| faults::before(Operation::MakeFolder, path));
    match may.and_then(|()| std::fs::create_dir(path)) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Ok(false),
        Err(error) => Err(unkept(path, &error)),
    }
}

/// Puts a file in the place of another: a reader sees the old one or the new one, after a power cut too.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), Box<Problem>> {
    arrived(path, bytes)?.become_file(path)
}

/// Bytes that lie whole on the disk beside the place they are meant for. What goes wrong is told of that place.
fn arrived(path: &Path, bytes: &[u8]) -> Result<Arrival, Box<Problem>> {
    let arrival = Arrival::beside(path).and_then(|mut arrival| {
        arrival.take(bytes)?;
        arrival.reach_disk()?;
        Ok(arrival)
    });
    arrival.map_err(|problem| Box::new(Problem { source: path.display().to_string().into(), ..*problem }))
}

/// The same, if the file still holds `before` at the moment at which it is replaced; whether it did. Programs that know nothing
/// of our locks, an editor for one, change files too.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn replace_if_still(path: &Path, before: &[u8], bytes: &[u8]) -> Result<bool, Box<Problem>> {
    let arrival = arrived(path, bytes)?;
    // What takes long is done by now: between this look and the new name are microseconds.
    if std::fs::read(path).map_err(|error| unkept(path, &error))? != before {
        return Ok(false);
    }
    arrival.become_file(path).map(|()| true)
}

/// Puts a new file where there is none; whether the name was free. Never over another.
pub fn put_new(path: &Path, bytes: &[u8]) -> Result<bool, Box<Problem>> {
    let arrival = arrived(path, bytes)?;
    give_name(&arrival.path, path)
}

/// Gives a whole file that lies on the same disk its name, where no other has it; whether it was free. The file keeps its
/// earlier name too, which is for the caller to take away.
pub fn give_name(from: &Path, path: &Path) -> Result<bool, Box<Problem>> {
    let path = &through_links(path);
    let named = faults::before(Operation::Rename, path).and_then(|()| std::fs::hard_link(from, path));
    match named {
        Ok(()) => sync_folder(path).map(|()| true).map_err(|error| unsure(path, &error)),
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Ok(false),
        // Disks without second names, as sticks often are: looking and naming are two steps there.
        Err(_) if is_there(path) => Ok(false),
        Err(_) => {
            let may = faults::before(Operation::Rename, path);
            may.and_then(|()| std::fs::rename(from, path)).map_err(|error| unkept(path, &error))?;
            sync_folder(path).map(|()| true).map_err(|error| unsure(path, &error))
        }
    }
}

/// Whether a name is taken, by a link that leads nowhere too.
pub fn is_there(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}

/// Most links on the way to a file, as systems follow them.
const MOST_LINKS: usize = 40;

/// The file that a path leads to: what is written through a link goes to its target, and the link stays.
pub fn through_links(path: &Path) -> PathBuf {
    let mut path = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        let Ok(target) = std::fs::read_link(&path) else { break };
        path = path.parent().map_or(target.clone(), |folder| folder.join(&target));
    }
    path
}

/// The same without waiting for the disk: after a power cut the old one may be there, or none.
pub fn replace_unsynced(path: &Path, bytes: &[u8]) -> Result<(), Box<Problem>> {
    let mut arrival = Arrival::beside(path)?;
    arrival.take(bytes)?;
    arrival.become_file_unsynced(path)
}

/// Removes a file; one that is not there is no matter.
pub fn remove(path: &Path) {
    let _ = faults::before(Operation::Remove, path).and_then(|()| std::fs::remove_file(path));
}

/// A file on its way in: under a name of its own until it is whole. What does not arrive whole leaves nothing behind.
pub struct Arrival {
    file: File,
    path: PathBuf,
    on_disk: bool,
    arrived: bool,
}

impl Arrival {
    /// A new file beside the place it is meant for.
    #[expect(clippy::disallowed_methods, reason = "this is the door")]
    pub fn beside(path: &Path) -> Result<Self, Box<Problem>> {
        let path = through_links(path).with_file_name(format!("{ARRIVING}{}", unlike_any()?));
        let made = faults::before(Operation::Create, &path).and_then(|()| File::create(&path));
        let file = made.map_err(|error| unkept(&path, &error))?;
        // Held while it comes in: what nobody holds was left behind, see `clear_left_behind`.
        file.lock().map_err(|error| unkept(&path, &error))?;
        Ok(Self { file, path, on_disk: false, arrived: false })
    }

    /// Takes the next bytes.
    pub fn take(&mut self, bytes: &[u8]) -> Result<(), Box<Problem>> {
        self.on_disk = false;
        faults::write(&mut self.file, &self.path, bytes).map_err(|error| unkept(&self.path, &error))
    }

    /// Where it is until it is whole.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Gives it its name without waiting for the disk: for what is looked at once, or is no matter when it is lost.
    pub fn become_file_unsynced(mut self, path: &Path) -> Result<(), Box<Problem>> {
        let path = &through_links(path);
        self.rights_of(path);
        let renamed =
            faults::before(Operation::Rename, path).and_then(|()| std::fs::rename(&self.path, path));
        self.arrived = renamed.is_ok();
        renamed.map_err(|error| unkept(path, &error))
    }

    /// Gives it its name, over what had that name, once it has reached the disk.
    pub fn become_file(mut self, path: &Path) -> Result<(), Box<Problem>> {
        let path = &through_links(path);
        self.rights_of(path);
        self.reach_disk()?;
        let may = faults::before(Operation::Rename, path);
        let kept = may.and_then(|()| std::fs::rename(&self.path, path));
        kept.map_err(|error| unkept(path, &error))?;
        self.arrived = true;
        sync_folder(path).map_err(|error| unsure(path, &error))
    }

    /// Waits until what was taken has reached the disk, once.
    fn reach_disk(&mut self) -> Result<(), Box<Problem>> {
        if !self.on_disk {
            let synced = faults::before(Operation::Sync, &self.path).and_then(|()| self.file.sync_all());
            synced.map_err(|error| unkept(&self.path, &error))?;
            self.on_disk = true;
        }
        Ok(())
    }

    /// Whoever may read and write the file in whose place this one comes may do so afterwards.
    fn rights_of(&self, path: &Path) {
        if let Ok(about) = std::fs::metadata(path) {
            let _ = self.file.set_permissions(about.permissions());
        }
    }
}

fn unsure(path: &Path, error: &std::io::Error) -> Box<Problem> {
    let hint = "The file holds what was sent, but the disk did not say that it keeps it. See whether the disk is sound.";
    Box::new(unkept(path, error).hint(hint))
}

/// How a file on its way in is called.
const ARRIVING: &str = ".arriving-";
/// How a folder is called that is looked at once.
const LOOKED_AT: &str = ".looked-at-";
/// The ending of the lock beside it, which is held as long as the folder is in use.
const IN_USE: &str = ".in-use";

/// A folder of its own inside of another, for what is looked at once; gone with all that is in it when nobody holds it.
pub struct Scratch {
    path: PathBuf,
    _held: File,
}

impl Scratch {
    /// A new folder in `folder`.
    #[expect(clippy::disallowed_methods, reason = "this is the door")]
    pub fn inside(folder: &Path) -> Result<Self, Box<Problem>> {
        let path = folder.join(format!("{LOOKED_AT}{}", unlike_any()?));
        make_folders(folder).map_err(|error| unkept(folder, &error))?;
        // The lock comes first: a folder without one is in nobody's use.
        let lock = lock_beside(&path);
        let may = faults::before(Operation::Create, &lock);
        let held = may.and_then(|()| File::create(&lock)).and_then(|held| held.lock().map(|()| held));
        let held = held.map_err(|error| unkept(&lock, &error))?;
        let made = faults::before(Operation::MakeFolder, &path).and_then(|()| std::fs::create_dir(&path));
        made.map_err(|error| unkept(&path, &error))?;
        Ok(Self { path, _held: held })
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        remove_folder(&self.path);
        remove(&lock_beside(&self.path));
    }
}

fn remove_folder(path: &Path) {
    let _ = faults::before(Operation::Remove, path).and_then(|()| std::fs::remove_dir_all(path));
}

fn lock_beside(folder: &Path) -> PathBuf {
    let mut name = folder.as_os_str().to_os_string();
    name.push(IN_USE);
    PathBuf::from(name)
}

/// Clears away what programs that were killed left behind in a folder: files that never arrived, folders that were looked at.
/// What another program holds stays.
pub fn clear_left_behind(folder: &Path) {
    for name in folders_in(folder).iter().filter(|name| name.starts_with(LOOKED_AT)) {
        let path = folder.join(name);
        if is_free(&lock_beside(&path)) {
            remove_folder(&path);
            remove(&lock_beside(&path));
        }
    }
    for name in files_in(folder) {
        let is_ours = name.starts_with(ARRIVING) || (name.starts_with(LOOKED_AT) && name.ends_with(IN_USE));
        if is_ours && is_free(&folder.join(&name)) {
            remove(&folder.join(&name));
        }
    }
}

/// Whether nobody holds a file, or it is not there.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub(super) fn is_free(path: &Path) -> bool {
    match File::open(path) {
        Ok(file) => file.try_lock().is_ok(),
        Err(error) => error.kind() == std::io::ErrorKind::NotFound,
    }
}

/// A part of a name that no other file has.
fn unlike_any() -> Result<String, Box<Problem>> {
    Ok(super::secret()?.iter().take(8).map(|byte| format!("{byte:02x}")).collect())
}

impl Drop for Arrival {
    fn drop(&mut self) {
        if !self.arrived {
            remove(&self.path);
        }
    }
}

/// A name reaches the disk with its folder; folders cannot be opened for that everywhere.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub(super) fn sync_folder(path: &Path) -> std::io::Result<()> {
    match path.parent() {
        Some(folder) if cfg!(unix) => {
            // A bare name lies in the folder that the program was started in.
            let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
            faults::before(Operation::Sync, folder)?;
            File::open(folder)?.sync_all()
        }
        _ => Ok(()),
    }
}

pub(super) fn unkept(path: &Path, error: &std::io::Error) -> Box<Problem> {
    match error.kind() {
        std::io::ErrorKind::NotFound => unreadable(path, error),
        _ => Box::new(
            Problem::error(path.display().to_string(), "a place that can be written to", error.to_string())
                .hint("See whether the disk is full or the folder belongs to somebody else."),
        ),
    }
}
