//! Words that have no place in a file: of vehicles in the mathematics, of the machine it was made on, of work left over, and
//! words for which there is a plainer one.

use crate::tree::Tree;

const METROLOGY: &str = "crates/metrology/";
/// Singular; the plural is refused with it.
const OF_VEHICLES: [&str; 20] = [
    "vehicle",
    "truck",
    "car",
    "tire",
    "tyre",
    "axle",
    "odometer",
    "speedometer",
    "gear",
    "tooth",
    "teeth",
    "wheel",
    "transmission",
    "driveshaft",
    "brake",
    "engine",
    "rollout",
    "dial",
    "driver",
    "revs",
];

/// Words of vehicles in the crate that knows none, comments included.
pub fn of_vehicles(tree: &Tree) -> Vec<String> {
    let is_known = |word: &str| {
        let word = word.to_lowercase();
        OF_VEHICLES.contains(&word.as_str())
            || word.strip_suffix('s').is_some_and(|one| OF_VEHICLES.contains(&one))
    };
    // Data and their licences speak as their authors wrote them.
    let written =
        tree.files.iter().filter(|file| file.path.starts_with(METROLOGY) && !file.path.contains("/data/"));
    let mut complaints = Vec::new();
    for file in written {
        for (index, line) in file.text.lines().enumerate() {
            let words = line.split(|c: char| !c.is_alphanumeric());
            complaints.extend(words.filter(|word| is_known(word)).map(|word| {
                format!(
                    "{}:{}: `{word}`: metrology knows no vehicles; say it in general",
                    file.path,
                    index + 1
                )
            }));
        }
    }
    complaints
}

/// Retired words, each with the one to write. `mended` is none of them: it stands in the files of owners.
const RETIRED: [(&str, &str); 15] = [
    ("nil", "zero"),
    ("nought", "zero"),
    ("anew", "again"),
    ("mend", "repair, correct"),
    ("mends", "repairs, corrects"),
    ("mending", "repairing, correcting"),
    ("manieth", "its number"),
    ("belie", "contradict"),
    ("belied", "contradicted"),
    ("stray", "outlier"),
    ("strays", "outliers"),
    ("astray", "an outlier"),
    ("hump", "component"),
    ("humps", "components"),
    ("foretold", "predicted"),
];

/// Retired words in the code and in what is written for people.
pub fn retired(tree: &Tree) -> Vec<String> {
    let own = |path: &str| ["tidy/words.rs", "tidy/can_fail.rs"].iter().any(|ending| path.ends_with(ending));
    let is_ours = |path: &str| {
        !own(path) && [".md", ".rs", ".mjs", ".sh", ".py"].iter().any(|ending| path.ends_with(ending))
    };
    let mut complaints = Vec::new();
    for file in tree.files.iter().filter(|file| is_ours(&file.path)) {
        for (index, line) in file.text.lines().enumerate() {
            for word in line.split(|c: char| !c.is_alphanumeric()) {
                let known = RETIRED.iter().find(|(old, _)| word.eq_ignore_ascii_case(old));
                complaints.extend(
                    known.map(|(_, new)| format!("{}:{}: `{word}`: write {new}", file.path, index + 1)),
                );
            }
        }
    }
    complaints
}

/// Paths of the machine a file was written on, and marks of work left over.
pub fn left_over(tree: &Tree) -> Vec<String> {
    let marks = ["TODO", "FIXME", "XXX", "HACK"].map(|mark| (mark.to_string(), "do it or drop it"));
    let folders =
        ["work", "tmp", "home", "root", "Users"].map(|name| (format!("/{name}/"), "a path of one machine"));
    // These hold the marks to look for them; pictures and fonts hold no words of ours, but any letters by chance.
    let own = |path: &str| {
        ["tidy/words.rs", "tidy/can_fail.rs", ".png", ".ttf"].iter().any(|ending| path.ends_with(ending))
    };
    let mut complaints = Vec::new();
    for file in tree.files.iter().filter(|file| !own(&file.path)) {
        for (mark, why) in marks.iter().chain(&folders) {
            let found =
                file.text.match_indices(mark.as_str()).filter(|(at, _)| stands_alone(&file.text, *at, mark));
            complaints
                .extend(found.map(|(at, _)| format!("{}:{}: `{mark}`: {why}", file.path, file.line_of(at))));
        }
    }
    complaints
}

/// Not inside a longer word or an address: `example.org/work/` is no path of a machine.
fn stands_alone(text: &str, at: usize, mark: &str) -> bool {
    let before = text[..at].chars().next_back();
    let after = text[at + mark.len()..].chars().next();
    let joins =
        |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | '.' | '-' | '}'));
    !joins(before) && (mark.ends_with('/') || !joins(after.filter(|c| *c != '.')))
}
