//! Disk and clock: the one door to the world.

use std::io::Read;
use std::path::Path;
use truing::problem::Problem;

/// Bytes handed to a reader at a time.
const CHUNK: usize = 1 << 16;

/// Reads a text file whole.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn read_text(path: &Path) -> Result<String, Box<Problem>> {
    let bytes = std::fs::read(path).map_err(|error| unreadable(path, &error))?;
    String::from_utf8(bytes).map_err(|_| {
        Box::new(
            Problem::error(path.display().to_string(), "text in UTF-8", "other bytes")
                .hint("is this the right file? save it as UTF-8 text"),
        )
    })
}

/// Feeds a file to a reader, piece by piece.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn feed(path: &Path, mut reader: impl FnMut(&[u8])) -> Result<(), Box<Problem>> {
    let mut file = std::fs::File::open(path).map_err(|error| unreadable(path, &error))?;
    let mut chunk = vec![0; CHUNK];
    loop {
        match file.read(&mut chunk).map_err(|error| unreadable(path, &error))? {
            0 => return Ok(()),
            length => reader(&chunk[..length]),
        }
    }
}

/// Writes a file whole, making its folder where it is missing.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Box<Problem>> {
    let unwritable = |error: std::io::Error| {
        Box::new(
            Problem::error(path.display().to_string(), "a place that can be written to", error.to_string())
                .hint("choose another place with --out"),
        )
    };
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(unwritable)?;
    }
    std::fs::write(path, bytes).map_err(unwritable)
}

/// The time now.
pub fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
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
