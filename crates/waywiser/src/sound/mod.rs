//! Sound as phones record it: compressed, and decoded on the way into the same listener as any other recording.
//!
//! MPEG-4 with AAC-LC or ALAC, MP3, Ogg with Vorbis, FLAC.

#[cfg(feature = "sound")]
mod decoding;
#[cfg(feature = "sound")]
mod edit;

#[cfg(feature = "sound")]
pub use decoding::feed;
use std::io::{Read, Seek, SeekFrom};
use truing::logs::recording::compressed;
#[cfg(not(feature = "sound"))]
use truing::logs::recording::{Piece, RecordingOptions};
#[cfg(not(feature = "sound"))]
use truing::problem::Problem;

/// Bytes that tell compressed sound.
const HEAD_BYTES: u64 = 12;

const HINT: &str = "record or export it as WAV (uncompressed), 44100 or 48000 samples per second";

/// Whether the file begins like compressed sound; it is then at its start again.
pub fn is_compressed(file: &mut (impl Read + Seek)) -> std::io::Result<bool> {
    let mut head = Vec::new();
    file.by_ref().take(HEAD_BYTES).read_to_end(&mut head)?;
    file.seek(SeekFrom::Start(0))?;
    Ok(compressed(&head).is_some())
}

/// In place of the decoder, in a program that is built without it.
#[cfg(not(feature = "sound"))]
pub fn feed(
    source: &str,
    _: impl Read + Seek,
    _: &RecordingOptions,
    _: &mut dyn FnMut(Piece),
) -> Vec<Problem> {
    let expected = "a recording that is not compressed";
    let found = "compressed sound, and a program that was built without its decoder";
    vec![Problem::error(source, expected, found).hint(HINT)]
}
