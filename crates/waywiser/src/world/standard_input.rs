//! Standard input in place of a file: it is named `-`, is read once, and gives the same bytes to whoever asks.

use std::io::{Cursor, Read, Seek};
use std::path::Path;
use std::sync::OnceLock;

/// What stands for standard input in place of a file's name.
const NAME: &str = "-";
/// As much as the page takes in one upload.
const LARGEST_BYTES: u64 = 512 << 20;

/// What can be read from anywhere in it.
pub trait Source: Read + Seek {}
impl<T: Read + Seek> Source for T {}

/// Opens a file, or standard input.
#[expect(clippy::disallowed_methods, reason = "this is the door")]
pub fn open(path: &Path) -> std::io::Result<Box<dyn Source>> {
    if path.as_os_str() == NAME {
        return Ok(Box::new(Cursor::new(whole()?)));
    }
    Ok(Box::new(std::fs::File::open(path)?))
}

fn whole() -> std::io::Result<&'static [u8]> {
    static READ: OnceLock<Vec<u8>> = OnceLock::new();
    if let Some(bytes) = READ.get() {
        return Ok(bytes);
    }
    let mut bytes = Vec::new();
    std::io::stdin().lock().take(LARGEST_BYTES + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST_BYTES {
        return Err(std::io::Error::other("more than 512 MB on standard input; name a file instead"));
    }
    Ok(READ.get_or_init(|| bytes))
}
