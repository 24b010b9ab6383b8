//! Files as they are or packed: gzip and zip are told by their first bytes and unpacked on the way.

use flate2::read::MultiGzDecoder;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Component, Path};
use truing::problem::Problem;
use zip::ZipArchive;

/// Bytes handed to a reader at a time.
const CHUNK_BYTES: usize = 1 << 16;
/// A packed file may claim to be endless. A day's drive at 10 Hz as GPX has less than a fifth of this.
const LARGEST_UNPACKED_BYTES: u64 = 1 << 30;
/// All files of an archive together: years of drives. Each alone may be small, and there may be ten thousand.
const LARGEST_ARCHIVE_BYTES: u64 = 8 << 30;
/// A folder of drives has fewer files; an archive made to hurt may have millions.
const MOST_ENTRIES: usize = 10_000;
/// Names told in a message at most.
const NAMES_TOLD: usize = 8;
/// How the names of logs end.
const LOG_ENDINGS: [&str; 17] = [
    "gpx", "nmea", "csv", "tsv", "log", "candump", "asc", "trc", "kml", "tcx", "fit", "igc", "json",
    "geojson", "jsonl", "srt", "vtt",
];
/// Spreadsheets are archives too: a file that each has, and what it is.
const SPREADSHEETS: [(&str, &str); 2] =
    [("xl/workbook.xml", "a spreadsheet (XLSX)"), ("content.xml", "a spreadsheet or document (ODS)")];

/// What gzip data unpack to, up to so many bytes; nothing where they are none, or more.
#[cfg(feature = "page")]
pub fn gunzipped(bytes: &[u8], most_bytes: u64) -> Option<Vec<u8>> {
    let mut unpacked = Vec::new();
    MultiGzDecoder::new(bytes).take(most_bytes + 1).read_to_end(&mut unpacked).ok()?;
    (unpacked.len() as u64 <= most_bytes).then_some(unpacked)
}

/// Feeds a file to a reader, piece by piece; `entry` names a file inside of an archive. What was read before damage is
/// fed, and the damage told.
pub fn feed(
    source: &str,
    mut file: impl Read + Seek,
    entry: Option<&str>,
    mut reader: impl FnMut(&[u8]),
) -> Result<Option<Problem>, Box<Problem>> {
    let mut head = Vec::new();
    let start = (&mut file).take(4).read_to_end(&mut head).and_then(|_| file.seek(SeekFrom::Start(0)));
    start.map_err(|error| unreadable(source, &error))?;
    match head.as_slice() {
        [0x1F, 0x8B, ..] if entry.is_none() => {
            let unpacked = MultiGzDecoder::new(file).take(LARGEST_UNPACKED_BYTES + 1);
            Ok(pass_on(unpacked, &mut reader).err().map(|stop| stop.problem(source)))
        }
        b"PK\x03\x04" | b"PK\x05\x06" => {
            let mut archive = ZipArchive::new(file).map_err(|error| damaged(source, &error.to_string()))?;
            let index = choose(source, &mut archive, entry)?;
            let unpacked = archive.by_index(index).map_err(|error| damaged(source, &error.to_string()))?;
            let said = unpacked.size();
            let most = said.min(LARGEST_UNPACKED_BYTES);
            let stop = match pass_on(unpacked.take(most + 1), &mut reader) {
                Ok(bytes) if bytes > said => {
                    Some(Stop::Damaged(std::io::Error::other("more than the archive says")))
                }
                fed => fed.err(),
            };
            Ok(stop.map(|stop| stop.problem(source)))
        }
        _ if entry.is_some() => Err(Box::new(Problem::error(
            source,
            "a zip archive before the name of a file in it",
            "another file",
        ))),
        _ => match pass_on_all(file, &mut reader) {
            Ok(_) => Ok(None),
            Err(error) => Err(unreadable(source, &error)),
        },
    }
}

/// The same for the beginning of a file: nothing more is unpacked once so many bytes were fed.
pub fn feed_some(
    source: &str,
    mut file: impl Read + Seek,
    entry: Option<&str>,
    bytes: usize,
    reader: &mut dyn FnMut(&[u8]),
) -> Result<Option<Problem>, Box<Problem>> {
    let mut head = Vec::new();
    let start = (&mut file).take(4).read_to_end(&mut head).and_then(|_| file.seek(SeekFrom::Start(0)));
    start.map_err(|error| unreadable(source, &error))?;
    let most = bytes as u64;
    let fed = match head.as_slice() {
        [0x1F, 0x8B, ..] => pass_on_all(MultiGzDecoder::new(file).take(most), &mut |piece| reader(piece)),
        b"PK\x03\x04" | b"PK\x05\x06" => {
            let mut archive = ZipArchive::new(file).map_err(|error| damaged(source, &error.to_string()))?;
            let index = choose(source, &mut archive, entry)?;
            let unpacked = archive.by_index(index).map_err(|error| damaged(source, &error.to_string()))?;
            pass_on_all(unpacked.take(most), &mut |piece| reader(piece))
        }
        _ => pass_on_all(file.take(most), &mut |piece| reader(piece)),
    };
    Ok(fed.err().map(|error| Stop::Damaged(error).problem(source)))
}

/// Why unpacking stopped early.
enum Stop {
    TooLarge,
    Damaged(std::io::Error),
}

impl Stop {
    fn problem(self, source: &str) -> Problem {
        match self {
            Stop::TooLarge => Problem::error(source, "at most 1 GiB unpacked", "more")
                .hint("unpack it, and give only the part with the drive"),
            Stop::Damaged(error) => Problem::warning(source, "packed data to the end", error.to_string())
                .hint("what came before was read; copy the file again"),
        }
    }
}

fn pass_on(unpacked: impl Read, reader: &mut impl FnMut(&[u8])) -> Result<u64, Stop> {
    let bytes = pass_on_all(unpacked, reader).map_err(Stop::Damaged)?;
    if bytes > LARGEST_UNPACKED_BYTES { Err(Stop::TooLarge) } else { Ok(bytes) }
}

fn pass_on_all(mut bytes: impl Read, reader: &mut impl FnMut(&[u8])) -> std::io::Result<u64> {
    let (mut chunk, mut sum) = (vec![0; CHUNK_BYTES], 0);
    loop {
        match bytes.read(&mut chunk) {
            Ok(0) => return Ok(sum),
            Ok(length) => {
                reader(&chunk[..length]);
                sum += length as u64;
            }
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

/// The entry that is meant: the named one, the only one, or the only one that is called like a log.
fn choose<R: Read + Seek>(
    source: &str,
    archive: &mut ZipArchive<R>,
    entry: Option<&str>,
) -> Result<usize, Box<Problem>> {
    let files = files(source, archive)?;
    let logs: Vec<&(usize, String)> = files.iter().filter(|(_, name)| is_called_like_a_log(name)).collect();
    let meant = match (entry, files.as_slice(), logs.as_slice()) {
        (Some(entry), ..) => files.iter().find(|(_, name)| name == entry),
        (None, [only], _) => Some(only),
        (None, _, [only]) => Some(*only),
        _ => None,
    };
    let sheet = SPREADSHEETS.iter().find(|(inside, _)| files.iter().any(|(_, name)| name == inside));
    if let (None, None, Some((_, found))) = (meant, entry, sheet) {
        let problem = Problem::error(source, "a log", *found);
        return Err(Box::new(
            problem.hint("open it, and save the sheet with the log as CSV, with its header"),
        ));
    }
    meant.map(|(index, _)| *index).ok_or_else(|| {
        let mut names: Vec<&str> = files.iter().map(|(_, name)| name.as_str()).take(NAMES_TOLD).collect();
        if files.len() > NAMES_TOLD {
            names.push("more");
        }
        let found = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
        let problem = Problem::error(
            source,
            entry.map_or_else(
                || "one log in the archive".to_owned(),
                |name| format!("\"{name}\" in the archive"),
            ),
            found,
        );
        Box::new(problem.hint(format!("name the one that is meant: {source}/NAME")))
    })
}

/// The files of an archive, with their places in it; what is hidden is left out.
fn files<R: Read + Seek>(
    source: &str,
    archive: &mut ZipArchive<R>,
) -> Result<Vec<(usize, String)>, Box<Problem>> {
    if archive.len() > MOST_ENTRIES {
        let found = format!("{} files", archive.len());
        return Err(Box::new(Problem::error(
            source,
            format!("an archive of at most {MOST_ENTRIES} files"),
            found,
        )));
    }
    let (mut files, mut unpacked_bytes) = (Vec::new(), 0_u64);
    for index in 0..archive.len() {
        let file = archive.by_index_raw(index).map_err(|error| damaged(source, &error.to_string()))?;
        let name = file.name().map_err(|error| damaged(source, &error.to_string()))?.into_owned();
        let hidden = name.split('/').any(|part| part.starts_with('.') || part == "__MACOSX");
        unpacked_bytes = unpacked_bytes.saturating_add(file.size());
        if file.is_file() && !hidden {
            files.push((index, name));
        }
    }
    if unpacked_bytes > LARGEST_ARCHIVE_BYTES {
        let expected = format!("an archive of at most {} GB unpacked", LARGEST_ARCHIVE_BYTES >> 30);
        let found = format!("{:.1} GB", unpacked_bytes as f64 / f64::from(1 << 30));
        let problem = Problem::error(source, expected, found);
        return Err(Box::new(problem.hint("pack the drives in several archives, or unpack them yourself")));
    }
    Ok(files)
}

/// The names of the files called like logs in an archive that holds several of them; none where it is no archive, where
/// it is damaged, or where one file is meant anyhow.
pub fn logs(source: &str, file: impl Read + Seek) -> Vec<String> {
    let listed = ZipArchive::new(file).ok().and_then(|mut archive| files(source, &mut archive).ok());
    let names = listed.unwrap_or_default().into_iter().map(|(_, name)| name);
    let logs: Vec<String> = names.filter(|name| is_called_like_a_log(name) && stays_inside(name)).collect();
    if logs.len() > 1 { logs } else { Vec::new() }
}

/// A name that leads below the archive and nowhere else.
fn stays_inside(name: &str) -> bool {
    Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

fn is_called_like_a_log(name: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(_, ending)| LOG_ENDINGS.contains(&ending.to_lowercase().as_str()))
}

fn damaged(source: &str, error: &str) -> Box<Problem> {
    Box::new(Problem::error(source, "a whole zip archive", error).hint("copy the file again, or unpack it"))
}

fn unreadable(source: &str, error: &std::io::Error) -> Box<Problem> {
    Box::new(Problem::error(source, "a file that can be read", error.to_string()).hint("copy the file again"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Cursor, Write};

    fn zipped(files: &[(&str, &str)]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in files {
            writer.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            writer.write_all(text.as_bytes()).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    fn gzipped(text: &str) -> Vec<u8> {
        let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
        encoder.write_all(text.as_bytes()).unwrap();
        encoder.finish().unwrap()
    }

    /// What is fed, and what is told.
    fn read(bytes: &[u8], entry: Option<&str>) -> (String, String) {
        let mut seen = Vec::new();
        let told = match feed("drive", Cursor::new(bytes), entry, |chunk| seen.extend_from_slice(chunk)) {
            Ok(problem) => problem.map(|problem| problem.to_string()),
            Err(problem) => Some(problem.to_string()),
        };
        (String::from_utf8_lossy(&seen).into_owned(), told.unwrap_or_default())
    }

    fn check(bytes: &[u8], entry: Option<&str>, fed: &str, told: &str) {
        let found = read(bytes, entry);
        assert_eq!(found.0, fed, "{}", found.1);
        assert!(found.1.contains(told) && found.1.is_empty() == told.is_empty(), "{}", found.1);
    }

    #[test]
    fn packed_and_plain() {
        check(b"time,speed\n", None, "time,speed\n", "");
        check(b"", None, "", "");
        check(&gzipped("time,speed\n"), None, "time,speed\n", "");
        let twice = [gzipped("time,"), gzipped("speed\n")].concat();
        check(&twice, None, "time,speed\n", "");
        check(&zipped(&[("a.gpx", "<gpx/>")]), None, "<gpx/>", "");
        check(&zipped(&[("readme.txt", "x"), ("a.gpx", "<gpx/>"), (".hidden.gpx", "y")]), None, "<gpx/>", "");
        let two = zipped(&[("in/a.gpx", "<gpx/>"), ("b.csv", "t,v")]);
        check(
            &two,
            None,
            "",
            "one log in the archive; found in/a.gpx, b.csv. name the one that is meant: drive/NAME",
        );
        check(&two, Some("in/a.gpx"), "<gpx/>", "");
        check(&two, Some("c"), "", "\"c\" in the archive");
        check(b"t,v", Some("c"), "", "a zip archive before the name");
        check(&zipped(&[]), None, "", "one log in the archive; found none");
        // A KMZ archive has pictures beside its track.
        check(&zipped(&[("doc.kml", "<kml/>"), ("files/mark.png", "x")]), None, "<kml/>", "");
        let sheet =
            [("[Content_Types].xml", "x"), ("xl/workbook.xml", "x"), ("xl/worksheets/sheet1.xml", "x")];
        check(&zipped(&sheet), None, "", "found a spreadsheet (XLSX). open it, and save the sheet");
    }

    #[test]
    fn an_archive_of_several_logs_is_listed() {
        let listed = |files: &[(&str, &str)]| logs("drives", Cursor::new(zipped(files)));
        assert_eq!(listed(&[("in/a.gpx", ""), ("b.csv", ""), ("notes.md", "")]), ["in/a.gpx", "b.csv"]);
        assert!(listed(&[("a.gpx", ""), ("notes.md", "")]).is_empty(), "one log is meant anyhow");
        let outside = [("../a.gpx", ""), ("/b.gpx", ""), (".hidden/c.gpx", ""), ("d.gpx", "")];
        assert!(listed(&outside).is_empty(), "what leads elsewhere is left out");
        assert!(logs("drives", Cursor::new(b"time,speed\n")).is_empty());
    }

    #[test]
    fn damage_is_told() {
        let text: String = (0..20_000).map(|line| format!("{line},{}\n", line * line)).collect();
        let packed = gzipped(&text);
        let (fed, told) = read(&packed[..packed.len() / 2], None);
        assert!(
            !fed.is_empty() && text.starts_with(&fed) && told.contains("packed data to the end"),
            "{told}"
        );
        check(&zipped(&[("a.gpx", "<gpx/>")])[..20], None, "", "a whole zip archive");
        let many: Vec<String> = (0..=MOST_ENTRIES).map(|name| name.to_string()).collect();
        let many: Vec<(&str, &str)> = many.iter().map(|name| (name.as_str(), "")).collect();
        check(&zipped(&many), None, "", "an archive of at most 10000 files; found 10001 files");
    }

    /// Writes another size of the file in the directory of an archive of one file (APPNOTE 4.3.12: at byte 24 of the entry).
    fn resized(mut archive: Vec<u8>, bytes: u32) -> Vec<u8> {
        let entry = archive.windows(4).position(|mark| mark == b"PK\x01\x02").unwrap();
        archive[entry + 24..entry + 28].copy_from_slice(&bytes.to_le_bytes());
        archive
    }

    #[test]
    fn an_archive_that_is_too_large_altogether_is_refused_before_anything_is_unpacked() {
        let names: Vec<String> = (0..3).map(|number| format!("{number}.gpx")).collect();
        let files: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), "<gpx/>")).collect();
        let mut archive = zipped(&files);
        // Each is below the bound of one file as it says, and all together are above that of an archive.
        let mut from = 0;
        while let Some(entry) = archive[from..].windows(4).position(|mark| mark == b"PK\x01\x02") {
            from += entry + 4;
            archive[from + 20..from + 24].copy_from_slice(&(u32::MAX - 1).to_le_bytes());
        }
        check(&archive, Some("0.gpx"), "", "an archive of at most 8 GB unpacked; found 12.0 GB");
        assert!(logs("drives", Cursor::new(&archive)).is_empty());
    }

    #[test]
    fn an_archive_that_says_less_than_it_holds_is_damaged() {
        let text = "<gpx/>".repeat(50);
        let (fed, told) = read(&resized(zipped(&[("a.gpx", &text)]), 60), None);
        assert!(fed.len() <= 61 && told.contains("packed data to the end"), "{} {told}", fed.len());
    }

    #[test]
    fn what_unpacks_too_large_is_stopped() {
        let mut bytes = 0;
        let zeros = std::io::repeat(0).take(LARGEST_UNPACKED_BYTES + 1);
        let stop = pass_on(zeros, &mut |chunk| bytes += chunk.len());
        assert!(matches!(stop, Err(Stop::TooLarge)));
    }
}
