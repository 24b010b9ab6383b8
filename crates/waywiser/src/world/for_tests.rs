//! What tests do to files that the program never does.

#![expect(clippy::disallowed_methods, reason = "what is tested are the files themselves")]

use super::{files_in, folders_in, read_text};
use std::path::{Path, PathBuf};

/// An empty folder that a test has for itself.
pub fn folder_for_a_test(name: &str) -> PathBuf {
    static NUMBER: std::sync::atomic::AtomicUsize = std::sync::atomic::AtomicUsize::new(0);
    let number = NUMBER.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    let folder = std::env::temp_dir().join(format!("waywiser-{}-{number}-{name}", std::process::id()));
    clear_away(&folder);
    folder
}

/// Copies a folder with all that is in it for a test.
pub fn copy_for_a_test(from: &Path, to: &Path) {
    let _ = std::fs::create_dir_all(to);
    for name in files_in(from) {
        let _ = std::fs::copy(from.join(&name), to.join(&name));
    }
    for name in folders_in(from) {
        copy_for_a_test(&from.join(&name), &to.join(&name));
    }
}

/// Takes a test's folder away with all that is in it.
pub fn clear_away(folder: &Path) {
    let _ = std::fs::remove_dir_all(folder);
}

/// Edits a text in its place, so that size and time of change tell nothing where both words are of one length.
pub fn edit_unseen(path: &Path, from: &str, to: &str) {
    let changed = std::fs::metadata(path).unwrap().modified().unwrap();
    std::fs::write(path, read_text(path).unwrap().replace(from, to)).unwrap();
    std::fs::OpenOptions::new().write(true).open(path).unwrap().set_modified(changed).unwrap();
}

/// Moves a file to another name, which only its owner may read, and leaves a link in its place.
#[cfg(unix)]
pub fn become_link(path: &Path, target: &Path) {
    use std::os::unix::fs::PermissionsExt;
    std::fs::create_dir_all(target.parent().unwrap()).unwrap();
    std::fs::copy(path, target).unwrap();
    std::fs::set_permissions(target, std::fs::Permissions::from_mode(0o600)).unwrap();
    std::fs::remove_file(path).unwrap();
    link(path, target);
}

/// Makes a link.
#[cfg(unix)]
pub fn link(path: &Path, target: &Path) {
    std::os::unix::fs::symlink(target, path).unwrap();
}

/// Whether a path is a link, and the rights of the file that it leads to.
#[cfg(unix)]
pub fn link_and_rights(path: &Path) -> (bool, u32) {
    use std::os::unix::fs::PermissionsExt;
    let rights = std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    (std::fs::symlink_metadata(path).unwrap().is_symlink(), rights)
}
