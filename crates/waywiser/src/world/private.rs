//! Files for the owner alone. Everything that the program makes is made under a mask that lets nobody else in; what an older
//! version, a copy or an archive made wider is narrowed when its garage is opened.

use super::faults::{self, Operation};
use super::{files_in, folders_in};
use std::io::Write;
use std::path::{Path, PathBuf};
use truing::problem::Problem;

/// From now on the program makes files that only their owner reads and writes (0600) and folders that only their owner
/// enters (0700). Where there are no such rights nothing is done.
pub fn keep_private() {
    #[cfg(unix)]
    rustix::process::umask(rustix::fs::Mode::from_raw_mode(0o077));
}

/// Writes a file that was not there before, for the owner alone under any mask, and waits until it has reached the disk.
pub fn write_new_private(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    faults::before(Operation::Create, path)?;
    let mut file = options.open(path)?;
    let written = faults::write(&mut file, path, bytes).and_then(|()| {
        faults::before(Operation::Sync, path)?;
        file.sync_all()
    });
    // Half of a file must not stand in the way of the next try.
    if written.is_err() {
        super::remove(path);
    }
    written
}

/// Adds a line to a file for the owner alone; begins again once it has grown beyond `most_bytes`.
pub fn append_private(path: &Path, line: &str, most_bytes: u64) -> std::io::Result<()> {
    let has_grown = super::stamp(path).is_some_and(|stamp| stamp.bytes() > most_bytes);
    let mut options = std::fs::OpenOptions::new();
    options.create(true).write(true).append(!has_grown).truncate(has_grown);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    faults::before(Operation::Create, path)?;
    options.open(path)?.write_all(line.as_bytes())
}

/// Takes from others what rights they have to a garage, and says so. Only what is called as the program calls it is touched,
/// so that a folder that was named by mistake keeps its rights.
pub fn narrow(garage: &Path) -> Vec<Problem> {
    if !cfg!(unix) {
        return Vec::new();
    }
    let mut ours: Vec<PathBuf> =
        files_in(garage).iter().filter(|name| is_ours(name)).map(|n| garage.join(n)).collect();
    let folders = folders_in(garage);
    folders
        .iter()
        .filter(|name| is_folder_of_ours(name))
        .for_each(|name| below(&garage.join(name), &mut ours));
    let is_all_ours = files_in(garage).iter().all(|name| is_ours(name))
        && folders.iter().all(|name| is_folder_of_ours(name));
    let wide = ours.iter().filter(|path| is_wide(path)).collect::<Vec<_>>();
    let failed = wide.iter().filter(|path| !narrowed(path)).count();
    let place = garage.display().to_string();
    let mut told = Vec::new();
    if wide.len() > failed {
        let found = format!("{} of them open to others on this machine", wide.len());
        told.push(
            Problem::note(&place, "files for their owner alone", found).hint(
                "They are for their owner alone now (chmod go-rwx). Who read them before is not known.",
            ),
        );
    }
    let is_open = is_wide(garage) && !(is_all_ours && narrowed(garage));
    if failed > 0 || is_open {
        let expected = "a garage that only its owner can enter";
        told.push(
            Problem::warning(&place, expected, "one that others on this machine can look into")
                .hint("Run chmod go-rwx on it as its owner, or keep the garage in a folder of its own."),
        );
    }
    told
}

fn below(folder: &Path, found: &mut Vec<PathBuf>) {
    found.push(folder.to_path_buf());
    found.extend(files_in(folder).iter().map(|name| folder.join(name)));
    folders_in(folder).iter().for_each(|name| below(&folder.join(name), found));
}

fn is_ours(name: &str) -> bool {
    let fixed = ["settings.toml", "crashes.txt", ".lock", ".lock-holder"];
    let begins = ["record.sqlite", "record-", "network-", ".arriving-", ".looked-at-"];
    fixed.contains(&name) || begins.iter().any(|begin| name.starts_with(begin))
}

fn is_folder_of_ours(name: &str) -> bool {
    ["trucks", "backups", "runs"].contains(&name) || name.starts_with(".looked-at-")
}

#[cfg(unix)]
fn is_wide(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    std::fs::symlink_metadata(path)
        .is_ok_and(|about| !about.is_symlink() && about.permissions().mode() & 0o077 != 0)
}

#[cfg(unix)]
fn narrowed(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    let Ok(about) = std::fs::symlink_metadata(path) else { return false };
    let own = about.permissions().mode() & 0o700;
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(own)).is_ok()
}

#[cfg(not(unix))]
fn is_wide(_path: &Path) -> bool {
    false
}

#[cfg(not(unix))]
fn narrowed(_path: &Path) -> bool {
    false
}

/// Writes a short file for the owner alone over what was there; for notes that may be lost.
pub fn write_over(path: &Path, text: &str) -> std::io::Result<()> {
    faults::before(Operation::Create, path)?;
    let mut options = std::fs::OpenOptions::new();
    options.create(true).write(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)?.write_all(text.as_bytes())
}
