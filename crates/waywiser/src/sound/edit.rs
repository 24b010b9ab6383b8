//! The part of an MPEG-4 file's track that is to be heard, from its edit list.
//!
//! A coder puts silence before and behind the sound; the decoder leaves it in, and the echo of the first pulses in it would
//! be counted. Source: ISO/IEC 14496-12, 8.6.6 edit list, 8.4.2 media header (from memory).

use std::io::{Read, Seek, SeekFrom};

/// A head of a file with more in it than this holds more than sound.
const LARGEST_HEAD_BYTES: u64 = 1 << 26;

/// Where the sound begins in the decoded track, and how long it is.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Edit {
    pub start_s: f64,
    pub length_s: Option<f64>,
}

/// The first edit of the first track of sound, where the file has one; the file is then at its start again.
pub fn read(file: &mut (impl Read + Seek)) -> Option<Edit> {
    let head = head(file);
    let _ = file.seek(SeekFrom::Start(0));
    let head = head?;
    let ticks = timescale(find(&head, b"mvhd")?)?;
    boxes(&head).filter(|(name, _)| name == b"trak").find_map(|(_, track)| of_track(track, ticks))
}

/// What is inside of the file's `moov`, wherever that stands.
fn head(file: &mut (impl Read + Seek)) -> Option<Vec<u8>> {
    loop {
        let mut start = [0; 16];
        file.read_exact(&mut start[..8]).ok()?;
        let short = u64::from(number(&start, 0)?);
        let (size, front) = match short {
            1 => {
                file.read_exact(&mut start[8..]).ok()?;
                (
                    u64::from_be_bytes([
                        start[8], start[9], start[10], start[11], start[12], start[13], start[14], start[15],
                    ]),
                    16,
                )
            }
            _ => (short, 8),
        };
        let inside = size.checked_sub(front)?;
        if &start[4..8] == b"moov" {
            let mut head = Vec::new();
            file.take(inside.min(LARGEST_HEAD_BYTES)).read_to_end(&mut head).ok()?;
            return Some(head);
        }
        file.seek(SeekFrom::Current(i64::try_from(inside).ok()?)).ok()?;
    }
}

fn of_track(track: &[u8], movie_ticks: f64) -> Option<Edit> {
    let media = find(track, b"mdia")?;
    if find(media, b"hdlr")?.get(8..12)? != b"soun" {
        return None;
    }
    let ticks = timescale(find(media, b"mdhd")?)?;
    let list = find(find(track, b"edts")?, b"elst")?;
    let is_long = list.first()? == &1;
    let entries = list.get(8..)?.chunks_exact(if is_long { 20 } else { 12 });
    // An empty edit (-1) only moves the sound in a film.
    entries.filter_map(|entry| edit(entry, is_long)).find(|(_, start)| *start >= 0).map(|(length, start)| {
        Edit { start_s: start as f64 / ticks, length_s: (length > 0).then(|| length as f64 / movie_ticks) }
    })
}

/// Length in ticks of the film and start in ticks of the track.
fn edit(entry: &[u8], is_long: bool) -> Option<(u64, i64)> {
    if is_long {
        let eight = |at: usize| entry.get(at..at + 8)?.try_into().ok();
        return Some((u64::from_be_bytes(eight(0)?), i64::from_be_bytes(eight(8)?)));
    }
    let start = i32::from_be_bytes(entry.get(4..8)?.try_into().ok()?);
    Some((u64::from(number(entry, 0)?), i64::from(start)))
}

/// Ticks per second of a header of the film or of a track.
fn timescale(header: &[u8]) -> Option<f64> {
    let at = if header.first()? == &1 { 20 } else { 12 };
    number(header, at).filter(|ticks| *ticks > 0).map(f64::from)
}

fn number(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

fn find<'a>(bytes: &'a [u8], name: &[u8; 4]) -> Option<&'a [u8]> {
    boxes(bytes).find(|(found, _)| *found == name).map(|(_, inside)| inside)
}

/// The boxes side by side in some bytes: name and inside.
fn boxes(bytes: &[u8]) -> impl Iterator<Item = (&[u8], &[u8])> {
    let mut rest = bytes;
    std::iter::from_fn(move || {
        let size = usize::try_from(number(rest, 0)?).ok()?;
        let (name, inside) = (rest.get(4..8)?, rest.get(8..size)?);
        rest = &rest[size..];
        Some((name, inside))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn boxed(name: &[u8; 4], inside: &[u8]) -> Vec<u8> {
        [&(inside.len() as u32 + 8).to_be_bytes()[..], name, inside].concat()
    }

    /// A file with a film of 1000 ticks a second and a track of 24 000, and these edits: length, start.
    fn file(edits: &[(u32, i32)], handler: &[u8; 4]) -> Vec<u8> {
        let header = |ticks: u32| [&[0; 12][..], &ticks.to_be_bytes(), &[0; 8]].concat();
        let entries: Vec<u8> = edits
            .iter()
            .flat_map(|(length, start)| {
                [&length.to_be_bytes()[..], &start.to_be_bytes(), &[0, 1, 0, 0]].concat()
            })
            .collect();
        let list = [&[0; 4][..], &(edits.len() as u32).to_be_bytes(), &entries].concat();
        let handler = [&[0; 8][..], handler].concat();
        let media = [boxed(b"mdhd", &header(24_000)), boxed(b"hdlr", &handler)].concat();
        let track = [boxed(b"edts", &boxed(b"elst", &list)), boxed(b"mdia", &media)].concat();
        let film = [boxed(b"mvhd", &header(1000)), boxed(b"trak", &track)].concat();
        [boxed(b"ftyp", b"M4A "), boxed(b"mdat", &[7; 100]), boxed(b"moov", &film)].concat()
    }

    fn check(edits: &[(u32, i32)], handler: &[u8; 4], expected: Option<(f64, Option<f64>)>) {
        let found = read(&mut Cursor::new(file(edits, handler)));
        assert_eq!(found, expected.map(|(start_s, length_s)| Edit { start_s, length_s }));
    }

    #[test]
    fn the_part_that_is_to_be_heard() {
        check(&[(4000, 1200)], b"soun", Some((0.05, Some(4.0))));
        check(&[(500, -1), (0, 2400)], b"soun", Some((0.1, None)));
        check(&[], b"soun", None);
        check(&[(4000, 1200)], b"vide", None);
    }

    #[test]
    fn no_bytes_do_harm() {
        let whole = file(&[(4000, 1200)], b"soun");
        for length in 0..whole.len() {
            assert!(read(&mut Cursor::new(&whole[..length])).is_none(), "{length}");
        }
        for at in 0..whole.len() {
            for byte in [0, 1, 0xff] {
                let mut bytes = whole.clone();
                bytes[at] = byte;
                let _ = read(&mut Cursor::new(bytes));
            }
        }
    }
}
