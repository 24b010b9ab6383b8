//! What is said and kept when the program breaks by a fault of its own: version, place, thread and time. Never what the fault
//! says of itself, which may quote a file, and never a path of the machine on which the program was built.

use super::private::append_private;
use std::panic::Location;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// The file in the garage's folder.
pub const FILE: &str = "crashes.txt";
/// It begins again beyond this, some six hundred lines.
const MOST_BYTES: u64 = 64 << 10;

static GARAGE: Mutex<Option<PathBuf>> = Mutex::new(None);

/// From now on a fault is told in one line on standard error, and kept in the garage's folder where that is known.
pub fn watch() {
    std::panic::set_hook(Box::new(|fault| {
        let place = fault.location().map_or_else(|| "an unknown place".into(), place);
        let thread = std::thread::current().name().unwrap_or("without a name").to_string();
        let line = format!(
            "{} waywiser {} broke at {place}, thread {thread}\n",
            super::now(),
            super::version::BUILD
        );
        // A fault while a fault is told ends the program at once: nothing here may fail loudly.
        let garage = GARAGE.try_lock().ok().and_then(|garage| garage.clone());
        let kept = garage
            .filter(|garage| garage.is_dir())
            .map(|garage| append_private(&garage.join(FILE), &line, MOST_BYTES));
        let mut errors = std::io::stderr();
        let _ =
            std::io::Write::write_all(&mut errors, format!("fault of waywiser itself: {line}").as_bytes());
        if matches!(kept, Some(Ok(()))) {
            let _ = std::io::Write::write_all(
                &mut errors,
                b"The line is kept in crashes.txt in the garage; it holds none of your data.\n",
            );
        }
    }));
}

/// Where faults are kept from now on.
pub fn keep_in(garage: &Path) {
    if let Ok(mut kept) = GARAGE.lock() {
        *kept = Some(garage.to_path_buf());
    }
}

/// The place in the source, as it stands in the tree of its own crate.
fn place(location: &Location) -> String {
    format!("{}:{}", of_its_crate(location.file()), location.line())
}

/// A path of a source file without what is before its crate: `name-1.2.3/src/file.rs` of a dependency, `library/..` of the
/// standard library, `crates/..` of ours.
fn of_its_crate(file: &str) -> String {
    let file = file.replace('\\', "/");
    if let Some((_, rest)) = file.rsplit_once("/registry/src/") {
        return rest.split_once('/').map_or(rest, |(_index, rest)| rest).to_string();
    }
    for begin in ["library/", "crates/"] {
        if let Some((_, rest)) = file.split_once(&format!("/{begin}")) {
            return format!("{begin}{rest}");
        }
    }
    match file.starts_with('/') || file.contains(':') {
        true => file.rsplit('/').next().unwrap_or_default().to_string(),
        false => file,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_hold_no_path_of_a_machine() {
        let check = |file: &str, expected: &str| assert_eq!(of_its_crate(file), expected);
        check("crates/waywiser/src/main.rs", "crates/waywiser/src/main.rs");
        check("/people/one/tree/crates/waywiser/src/main.rs", "crates/waywiser/src/main.rs");
        check(
            "/people/one/.cargo/registry/src/index.crates.io-1/jiff-1.0.2/src/span.rs",
            "jiff-1.0.2/src/span.rs",
        );
        check(
            "C:\\Users\\one\\.cargo\\registry\\src\\index\\jiff-1.0.2\\src\\span.rs",
            "jiff-1.0.2/src/span.rs",
        );
        check("/rustc/0123abcd/library/core/src/slice/mod.rs", "library/core/src/slice/mod.rs");
        check("/people/one/elsewhere/file.rs", "file.rs");
    }
}
