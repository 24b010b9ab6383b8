//! Files that are recognised by their first bytes and not read here, each with the way to something that is.

/// What a file is, and what to do with it.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) struct Known {
    /// With its article.
    pub(super) name: &'static str,
    /// One sentence.
    pub(super) hint: &'static str,
}

/// Where a mark stands, the mark, the name, the hint.
type Mark = (usize, &'static [u8], &'static str, &'static str);

const UNPACK: &str = "unpack it, and give the file that is in it";
const TABLE: &str = "open it with what wrote it, and save the table as CSV with its header";
const BUS: &str = "export the frames as candump text, ASC or a CSV table, or the speed with its times as CSV";
const QUERY: &str = "export the table with the times and speeds as CSV";
const FRAME_CAPTURE: &str =
    "if it holds frames of a CAN bus, export them as candump text; else it says nothing of a drive";
const VIDEO: &str = "take its track out: export the positions as GPX, or the subtitles as SRT";
const SOUND: &str =
    "if it was recorded from the sensor's wire, give it as a recording; a drive needs a track";
const PICTURE: &str = "give the log itself; what a picture shows of it cannot be measured";
const RECEIVER: &str = "convert it to NMEA 0183 sentences or GPX, or set the receiver to write NMEA 0183";

/// Signatures as the formats' descriptions and the usual tables of them have them (from memory).
const MARKS: [Mark; 49] = [
    (0, b"\x1f\x8b", "gzip data", UNPACK),
    (0, b"PK\x03\x04", "a zip archive or spreadsheet", "unpack it, or save the sheet with the log as CSV"),
    (0, b"7z\xbc\xaf\x27\x1c", "a 7z archive", UNPACK),
    (0, b"Rar!\x1a\x07", "a RAR archive", UNPACK),
    (0, b"\xfd7zXZ\0", "xz data", UNPACK),
    (0, b"BZh", "bzip2 data", UNPACK),
    (0, b"\x28\xb5\x2f\xfd", "zstd data", UNPACK),
    (0, b"\x04\x22\x4d\x18", "lz4 data", UNPACK),
    (257, b"ustar", "a tar archive", UNPACK),
    (0, b"MDF     ", "a measurement file (MDF, MF4)", BUS),
    (
        0,
        b"UnFinMF ",
        "a measurement file that was not closed (MDF, MF4)",
        "close it with what wrote it, then export the speed with its times as CSV",
    ),
    (0, b"LOGG", "a binary log of buses (BLF)", BUS),
    (
        11,
        b"MAT-file",
        "a file of matrices (MAT)",
        "write the vectors of time, position and speed as CSV, one column each",
    ),
    (
        0,
        b"\x89HDF\r\n\x1a\n",
        "a file of arrays (HDF5)",
        "write the arrays of time, position and speed as CSV, one column each",
    ),
    (
        0,
        b"CDF\x01",
        "a file of arrays (NetCDF)",
        "write the arrays of time, position and speed as CSV, one column each",
    ),
    (0, b"\x93NUMPY", "an array (NPY)", "write it as CSV, with a header that names the columns"),
    (0, b"TDSm", "a measurement file (TDMS)", "export the channels of time and speed as CSV"),
    (0, b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "a spreadsheet or document of an older kind (XLS)", TABLE),
    (0, b"PAR1", "a table (Parquet)", TABLE),
    (0, b"ARROW1", "a table (Arrow, Feather)", TABLE),
    (0, b"Obj\x01", "a table (Avro)", TABLE),
    (0, b"SQLite format 3", "a database (SQLite)", QUERY),
    (0, b"\xd4\xc3\xb2\xa1", "a capture of a network (pcap)", FRAME_CAPTURE),
    (0, b"\xa1\xb2\xc3\xd4", "a capture of a network (pcap)", FRAME_CAPTURE),
    (0, b"\x4d\x3c\xb2\xa1", "a capture of a network (pcap)", FRAME_CAPTURE),
    (0, b"\xa1\xb2\x3c\x4d", "a capture of a network (pcap)", FRAME_CAPTURE),
    (0, b"\x0a\x0d\x0d\x0a", "a capture of a network (pcapng)", FRAME_CAPTURE),
    (0, b"%PDF", "a PDF document", PICTURE),
    (0, b"\x89PNG", "a picture", PICTURE),
    (0, b"\xff\xd8\xff", "a picture", PICTURE),
    (0, b"GIF8", "a picture", PICTURE),
    (8, b"WEBP", "a picture", PICTURE),
    (8, b"AVI ", "a video (AVI)", VIDEO),
    (8, b"WAVE", "a sound recording (WAV)", SOUND),
    (4, b"ftypM4A", "a sound recording (MPEG-4)", SOUND),
    (4, b"ftypheic", "a picture", PICTURE),
    (4, b"ftypavif", "a picture", PICTURE),
    (4, b"ftyp", "a video (MP4, MOV)", VIDEO),
    (4, b"moov", "a video (MOV)", VIDEO),
    (4, b"mdat", "a video (MP4, MOV)", VIDEO),
    (0, b"\x1a\x45\xdf\xa3", "a video (MKV, WebM)", VIDEO),
    (0, b"\0\0\x01\xba", "a video (MPEG)", VIDEO),
    (0, b"\0\0\x01\xb3", "a video (MPEG)", VIDEO),
    (0, b"FLV\x01", "a video (FLV)", VIDEO),
    (0, b"\x30\x26\xb2\x75\x8e\x66\xcf\x11", "a video or sound (ASF, WMV)", VIDEO),
    (0, b"OggS", "a sound recording (Ogg)", SOUND),
    (0, b"fLaC", "a sound recording (FLAC)", SOUND),
    (0, b"ID3", "a sound recording (MP3)", SOUND),
    (0, b"\xb5\x62", "binary messages of a receiver", RECEIVER),
];

/// What a file that begins so is, if it is one of those that are known and not read here.
pub(super) fn known(head: &[u8]) -> Option<Known> {
    // A few letters may begin a text as well, which has no such bytes.
    let has_binary = head.iter().take(64).any(|byte| *byte < b'\t' || *byte >= 0x80);
    let is_doubtful = |mark: &[u8]| mark.len() < 6 && mark.is_ascii() && !has_binary;
    let is_there = |(at, mark, ..): &&Mark| {
        head.get(*at..).is_some_and(|rest| rest.starts_with(mark)) && !is_doubtful(mark)
    };
    // Packets of 188 bytes, each with the same first byte.
    let is_stream = || (0..4).all(|packet| head.get(188 * packet) == Some(&0x47));
    match MARKS.iter().find(is_there) {
        Some((_, _, name, hint)) => Some(Known { name, hint }),
        None if is_stream() => Some(Known { name: "a video (MPEG transport stream)", hint: VIDEO }),
        None if !has_binary => None,
        None => super::super::recording::compressed(head).map(|name| Known { name, hint: SOUND }),
    }
}
