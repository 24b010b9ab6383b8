//! Names that are safe on every disk: of trucks' folders, and of the files that come in.

use std::fmt;

/// The vehicle file in the folder of a truck.
pub const TRUCK_FILE: &str = "truck.toml";
/// The file of the routine in the folder of a truck.
pub const ROUTINE_FILE: &str = "procedure.txt";
/// Longest name of a folder or file that is kept.
const LONGEST: usize = 60;
/// Names that mean a device on some systems, whatever follows the dot.
const DEVICES: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
    "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// What a truck is called in addresses and on disk: small letters, digits and dashes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slug(String);

impl Slug {
    /// Made from the owner's name for the truck; later ones of the same name get a number.
    pub fn new(name: &str, number: usize) -> Self {
        let plain: String = name.chars().flat_map(char::to_lowercase).take(4 * LONGEST).collect();
        let words = plain.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
        let joined: String = words.collect::<Vec<_>>().join("-").chars().take(LONGEST).collect();
        let joined = joined.trim_matches('-');
        let base =
            if joined.is_empty() || is_device(joined) { format!("truck-{joined}") } else { joined.into() };
        let base = base.trim_end_matches('-');
        Self(if number > 1 { format!("{base}-{number}") } else { base.to_string() })
    }

    /// Reads one from an address; nothing else is ever looked for on disk.
    pub fn read(text: &str) -> Option<Self> {
        let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let sound = !text.is_empty() && text.len() <= LONGEST + 8 && text.chars().all(fits);
        (sound && !text.starts_with('-') && !is_device(text)).then(|| Self(text.to_string()))
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Slug {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().to_ascii_lowercase();
    DEVICES.contains(&stem.as_str())
}

/// The name under which a file that came in is kept: the last part of what it was called, with what a disk or an
/// archive could take for something else replaced.
pub fn kept_name(given: &str) -> String {
    let last = given.rsplit(['/', '\\']).next().unwrap_or_default();
    let fits = |c: char| c.is_alphanumeric() || matches!(c, '.' | '-' | '_');
    let plain: String = last.trim().chars().map(|c| if fits(c) { c } else { '-' }).collect();
    let plain = plain.trim_matches(['.', '-']);
    let (stem, ending) = plain.rsplit_once('.').map_or((plain, ""), |(stem, ending)| (stem, ending));
    let ending: String = ending.chars().take(12).collect();
    let stem: String = stem.trim_matches(['.', '-']).chars().take(LONGEST).collect();
    let stem =
        if stem.is_empty() || is_device(&stem) || is_own(plain) { format!("file-{stem}") } else { stem };
    if ending.is_empty() { stem } else { format!("{stem}.{ending}") }
}

/// The garage's own files are never written over by what comes in.
fn is_own(name: &str) -> bool {
    [TRUCK_FILE, ROUTINE_FILE].iter().any(|own| name.eq_ignore_ascii_case(own))
}

/// Whether a name in a vehicle file stays in that file's folder; a file in an archive beside it does.
pub fn stays_beside(name: &str) -> bool {
    let mut parts = std::path::Path::new(name).components();
    !name.contains('\\') && parts.all(|part| matches!(part, std::path::Component::Normal(_)))
}

/// The same name with a number before its ending.
pub fn numbered(name: &str, number: usize) -> String {
    match (number, name.rsplit_once('.')) {
        (1, _) => name.to_string(),
        (_, Some((stem, ending))) => format!("{stem}-{number}.{ending}"),
        (_, None) => format!("{name}-{number}"),
    }
}

/// The text with every path below a folder shortened to the file's own name.
pub fn without_folder(text: &str, folder: &str) -> String {
    let mut parts = text.split(folder);
    let mut out = parts.next().unwrap_or_default().to_string();
    for part in parts {
        let path = part.split([' ', '`', '"', '\'']).next().unwrap_or_default();
        let name = path.rsplit(['/', '\\']).next().unwrap_or_default();
        out.push_str(if name.is_empty() { "the garage" } else { name });
        out.push_str(&part[path.len()..]);
    }
    out
}
