//! Disk, clock, chance and the browser: the one door to the world.

mod apart;
pub mod crash;
pub mod faults;
#[cfg(test)]
mod for_tests;
mod grow;
mod keep;
#[cfg(feature = "live")]
mod line_by_line;
mod lock;
mod private;
mod reading;
mod standard_input;
#[cfg(any(feature = "live", feature = "page"))]
mod stop;
pub mod version;

#[cfg(test)]
pub use for_tests::*;
pub use grow::{grow, whole_lines};
pub use keep::{
    Arrival, Scratch, Stamp, clear_left_behind, files_in, folders_in, give_name, is_there, make_folder,
    put_new, remove, replace, replace_if_still, replace_unsynced, stamp, through_links,
};
#[cfg(test)]
pub use reading::BREAKS;

pub use apart::{End, end_with_parent, run as run_apart};
#[cfg(feature = "live")]
pub use line_by_line::LineByLine;
pub use lock::locked;
pub use private::{keep_private, narrow, write_new_private};
pub use reading::{caught, caught_and_noted, caught_or_noted, left_behind, noted, works_on};
#[cfg(any(feature = "live", feature = "page"))]
pub use stop::told_to_stop;

use crate::{sound, unpack};
use faults::Operation;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use truing::logs::recording::{Piece, RecordingOptions, RecordingReader};
use truing::problem::{Field, Problem, Wording};

/// A vehicle file of ten thousand pieces of evidence is a tenth of this.
const LARGEST_TEXT_BYTES: u64 = 16 << 20;

/// Reads a text file whole; `-` is standard input, here and wherever a file is fed.
pub fn read_text(path: &Path) -> Result<String, Box<Problem>> {
    let mut bytes = Vec::new();
    let file = standard_input::open(path);
    let read = file.and_then(|file| file.take(LARGEST_TEXT_BYTES + 1).read_to_end(&mut bytes));
    read.map_err(|error| unreadable(path, &error))?;
    if bytes.len() as u64 > LARGEST_TEXT_BYTES {
        let expected = format!("a text of at most {} MB", LARGEST_TEXT_BYTES >> 20);
        let problem = Problem::error(path.display().to_string(), expected, "more");
        return Err(Box::new(
            problem.hint("is this the right file? a vehicle file names its logs, it holds none"),
        ));
    }
    String::from_utf8(bytes).map_err(|_| {
        Box::new(
            Problem::error(path.display().to_string(), "text in UTF-8", "other bytes")
                .hint("is this the right file? save it as UTF-8 text"),
        )
    })
}

/// The bytes of a file as they are, also where they are packed.
#[cfg(test)]
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn bytes_for_a_test(path: &Path) -> Vec<u8> {
    std::fs::read(path).unwrap_or_default()
}

/// Feeds a file to a reader, piece by piece, unpacked where it is packed. `drive.zip/track.gpx` is the file in the archive.
/// What is told is damage at the end, after which nothing more could be read.
pub fn feed(path: &Path, reader: impl FnMut(&[u8])) -> Result<Option<Problem>, Box<Problem>> {
    works_on(&[path.to_path_buf()]);
    let (opened, entry) = in_archive(path);
    let file = standard_input::open(opened).map_err(|error| unreadable(path, &error))?;
    if opened.is_dir() {
        return Err(unreadable(path, &std::io::Error::from(std::io::ErrorKind::IsADirectory)));
    }
    unpack::feed(&opened.display().to_string(), file, entry, reader)
}

/// The file to open, and the name in it where it is an archive.
fn in_archive(path: &Path) -> (&Path, Option<&str>) {
    let archive = path.ancestors().skip(1).find(|above| above.is_file());
    let entry = archive.and_then(|archive| path.strip_prefix(archive).ok()).and_then(Path::to_str);
    (archive.unwrap_or(path), entry)
}

/// Feeds the beginning of a file to a reader, about so many bytes of it, unpacked where it is packed.
pub fn feed_some(
    path: &Path,
    bytes: usize,
    mut reader: impl FnMut(&[u8]),
) -> Result<Option<Problem>, Box<Problem>> {
    works_on(&[path.to_path_buf()]);
    let (opened, entry) = in_archive(path);
    let file = standard_input::open(opened).map_err(|error| unreadable(path, &error))?;
    unpack::feed_some(&opened.display().to_string(), file, entry, bytes, &mut reader)
}

/// The logs in an archive that holds several, by the names under which [`feed`] finds them; none in any other file.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn logs_in_archive(path: &Path) -> Vec<PathBuf> {
    let Ok(file) = std::fs::File::open(path) else { return Vec::new() };
    let names = unpack::logs(&path.display().to_string(), file);
    names.iter().map(|name| path.join(name)).collect()
}

/// Reads a recording piece by piece, decoded where it is compressed sound, and says what is wrong with it.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn feed_recording(
    path: &Path,
    options: RecordingOptions,
    sink: &mut dyn FnMut(Piece),
) -> Result<Vec<Problem>, Box<Problem>> {
    works_on(&[path.to_path_buf()]);
    let source = path.display().to_string();
    if path.is_file() {
        let mut file = std::fs::File::open(path).map_err(|error| unreadable(path, &error))?;
        if sound::is_compressed(&mut file).map_err(|error| unreadable(path, &error))? {
            return Ok(sound::feed(&source, file, &options, sink));
        }
    }
    let mut reader = RecordingReader::new(&source, options);
    let damage = feed(path, |bytes| reader.feed(bytes, sink))?;
    let mut problems = reader.finish(sink);
    problems.extend(damage);
    Ok(problems)
}

/// All files under a folder, in the order of their names. What cannot be looked into is left out, and told.
pub fn files_under(folder: &Path) -> Result<(Vec<PathBuf>, Vec<Problem>), Box<Problem>> {
    let (mut files, mut problems, mut waiting) = (Vec::new(), Vec::new(), vec![folder.to_path_buf()]);
    while let Some(folder_now) = waiting.pop() {
        let entries = match std::fs::read_dir(&folder_now) {
            Ok(entries) => entries,
            Err(error) if folder_now == folder => return Err(unreadable(folder, &error)),
            Err(error) => {
                problems.push(*unreadable(&folder_now, &error));
                continue;
            }
        };
        for entry in entries.flatten() {
            // Links are not followed: they may lead in a circle.
            match entry.file_type() {
                Ok(kind) if kind.is_dir() => waiting.push(entry.path()),
                Ok(kind) if kind.is_file() => files.push(entry.path()),
                _ => {}
            }
        }
    }
    files.sort();
    Ok((files, problems))
}

/// Writes a file whole or not at all, making its folder where it is missing; over one that is there where `over` says so.
/// Whether it was written.
pub fn write(path: &Path, bytes: &[u8], over: bool) -> Result<bool, Box<Problem>> {
    let hint = || Wording::from("choose another place with ").field(Field::Out);
    let elsewhere = |problem: Box<Problem>| Box::new(problem.hint(hint()));
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        make_folders(folder).map_err(|error| elsewhere(unwritable(path, &error)))?;
    }
    match std::fs::metadata(path) {
        // A pipe or a device has no place that another file could take.
        Ok(about) if !about.is_file() && !about.is_dir() => poured(path, bytes).map(|()| true),
        Ok(_) if over => replace(path, bytes).map(|()| true).map_err(elsewhere),
        _ => put_new(path, bytes).map_err(elsewhere),
    }
}

fn poured(path: &Path, bytes: &[u8]) -> Result<(), Box<Problem>> {
    let opened = std::fs::OpenOptions::new().write(true).open(path);
    opened.and_then(|mut file| file.write_all(bytes)).map_err(|error| unwritable(path, &error))
}

fn unwritable(path: &Path, error: &std::io::Error) -> Box<Problem> {
    let expected = "a place that can be written to";
    Box::new(Problem::error(path.display().to_string(), expected, error.to_string()))
}

/// Makes a folder and those above it where they are missing.
pub fn make_folders(folder: &Path) -> std::io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    faults::before(Operation::MakeFolder, folder)?;
    std::fs::create_dir_all(folder)
}

/// The file of this program, where the system tells it.
pub fn own_program() -> Option<PathBuf> {
    std::env::current_exe().ok().filter(|path| path.is_file())
}

/// The time now.
pub fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// Seconds on a clock that is never set, since this program first asked.
#[cfg(feature = "live")]
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn steady_s() -> f64 {
    static BEGAN: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    BEGAN.get_or_init(std::time::Instant::now).elapsed().as_secs_f64()
}

/// 32 bytes that nobody can guess.
pub fn secret() -> Result<[u8; 32], Box<Problem>> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)
        .map_err(|error| Box::new(Problem::error("this machine", "a source of chance", error.to_string())))?;
    Ok(bytes)
}

/// Whether what was given is the secret. Compared to the end whatever differs, so that the time tells nothing.
pub fn is_same(given: &str, secret: &str) -> bool {
    let differs = given.bytes().zip(secret.bytes()).fold(0, |differs, (one, other)| differs | (one ^ other));
    given.len() == secret.len() && differs == 0
}

/// Opens a page in the owner's browser. Where there is none, the address was printed.
pub fn open_browser(address: &str) {
    let (program, before): (&str, &[&str]) = match std::env::consts::OS {
        "macos" => ("open", &[]),
        "windows" => ("cmd", &["/C", "start", ""]),
        _ => ("xdg-open", &[]),
    };
    let mut command = std::process::Command::new(program);
    let quiet = command.args(before).arg(address);
    let quiet = quiet.stdin(std::process::Stdio::null()).stdout(std::process::Stdio::null());
    let _ = quiet.stderr(std::process::Stdio::null()).spawn();
}

fn unreadable(path: &Path, error: &std::io::Error) -> Box<Problem> {
    let found = match error.kind() {
        std::io::ErrorKind::NotFound => "no such file".to_string(),
        _ if path.is_dir() => "a folder".to_string(),
        _ => error.to_string(),
    };
    Box::new(
        Problem::error(path.display().to_string(), "a file that can be read", found)
            .hint("check the name; paths in a vehicle file are relative to that file"),
    )
}
