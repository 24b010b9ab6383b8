//! A vehicle file to start from: every key of a kind of adjuster with what it means, an example beside each.

use crate::describe::file::examples::{example, is_of};
use crate::describe::file::keys;
use crate::describe::{AnyKey, Need, Repeat, SECTIONS, Section, Variant};
use crate::problem::Problem;
use crate::units::Units;

/// What marks a line that the owner has to fill in.
pub const FILL_IN: &str = "FILL IN: ";
/// Column where remarks begin, where the line leaves room.
const REMARKS_AT: usize = 36;
/// Widest line of a remark.
const WIDTH: usize = 110;

/// Keys that are worth asking for though a file can be read without them.
const WORTH_ASKING: [(&str, &str); 5] = [
    ("tire", "size"),
    ("adjuster", "present"),
    ("adjuster", "numerator_max"),
    ("adjuster", "denominator_max"),
    ("adjuster", "axle_ratios"),
];

/// Evidence that the file shows, each with the keys that make one piece of it.
const SHOWN_EVIDENCE: [(&str, &[&str]); 3] = [
    ("rollout", &["date", "turns", "lengths"]),
    ("drive", &["date", "setting", "track", "vehicle_log"]),
    ("odometer-distance", &["date", "setting", "odometer_start", "odometer_end", "true"]),
];

/// The kinds of adjuster, by the words of the file.
pub fn kinds() -> impl Iterator<Item = (&'static str, &'static str)> {
    keys::ADJUSTER.variants.iter().map(|kind| (kind.word, kind.about))
}

/// A file for a kind of adjuster; without one, a file that leaves open what can be set.
pub fn starting_file(kind: Option<&str>, units: Units) -> Result<String, Problem> {
    let kind = match kind {
        None => None,
        Some(word) => Some(found(word)?),
    };
    let mut file = File { text: String::new(), units };
    file.head();
    for section in SECTIONS {
        match section.name {
            "adjuster" => file.adjuster(section, kind),
            "evidence" => SHOWN_EVIDENCE.iter().for_each(|(word, keys)| file.evidence(section, word, keys)),
            _ => file.section(section),
        }
    }
    Ok(file.text)
}

fn found(word: &str) -> Result<&'static Variant, Problem> {
    let all = keys::ADJUSTER.variants;
    all.iter().copied().find(|kind| kind.word == word).ok_or_else(|| {
        let words: Vec<&str> = all.iter().map(|kind| kind.word).collect();
        Problem::error("the kind", "a kind of adjuster", format!("\"{word}\""))
            .hint(crate::nearest::hint_for(word, words))
    })
}

struct File {
    text: String,
    units: Units,
}

impl File {
    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    fn head(&mut self) {
        for line in [
            "#:schema vehicle.schema.json",
            "# A vehicle file. Fill in the lines marked FILL IN. Take the first # off a line that you want to use.",
            "# Leave out what you do not know: the answer says what is missing.",
            "# The line on top is for text editors that check a file while you type: it names the schema, beside this file.",
            "# Check what you wrote: waywiser describe vehicle FILE",
            "",
            "name = \"My truck\"",
        ] {
            self.line(line);
        }
    }

    fn heading(&mut self, section: &Section, mark: &str) {
        let name = match section.repeat {
            Repeat::Several => format!("{mark}[[{}]]", section.name),
            _ => format!("{mark}[{}]", section.name),
        };
        self.text.push('\n');
        self.remarked(&name, section.about);
    }

    /// A section; as a remark where nothing in it has to be said.
    fn section(&mut self, section: &Section) {
        let asked = section.keys.iter().any(|key| is_asked(section, *key));
        let mark = if asked && section.repeat != Repeat::Several { "" } else { "# " };
        self.heading(section, mark);
        for key in section.keys {
            self.key(section, "", *key, section.keys, mark);
        }
    }

    fn adjuster(&mut self, section: &Section, kind: Option<&'static Variant>) {
        let Some(kind) = kind else {
            self.heading(section, "# ");
            for (word, about) in kinds() {
                self.remarked(&format!("# kind = \"{word}\""), about);
            }
            self.line("# The keys of a kind: waywiser describe file KIND");
            return;
        };
        self.heading(section, "");
        self.remarked(&format!("kind = \"{}\"", kind.word), kind.about);
        for keys in [kind.keys, section.keys] {
            keys.iter().for_each(|key| self.key(section, kind.word, *key, keys, ""));
        }
    }

    fn evidence(&mut self, section: &Section, word: &str, shown: &[&str]) {
        let Some(kind) = section.variants.iter().find(|kind| kind.word == word) else { return };
        self.heading(section, "# ");
        self.remarked(&format!("# kind = \"{word}\""), kind.about);
        let all: Vec<&'static dyn AnyKey> = section.keys.iter().chain(kind.keys).copied().collect();
        for name in shown {
            for key in all.iter().filter(|key| key.name() == *name) {
                self.key(section, word, *key, &all, "# ");
            }
        }
    }

    /// One key: empty where it is to be filled in, as a remark where it may be left out.
    fn key(
        &mut self,
        section: &Section,
        kind: &str,
        key: &dyn AnyKey,
        among: &[&'static dyn AnyKey],
        mark: &str,
    ) {
        let name = key.name();
        if !is_of(self.units, name, among) {
            return;
        }
        let shown = example(section.name, kind, name, self.units).unwrap_or("\"\"");
        if mark.is_empty() && is_asked(section, key) {
            // Where only certain words will do, they are named.
            let has_words = key.schema().to_string().contains("\"enum\"");
            let words = if has_words { format!(" ({})", key.expected()) } else { String::new() };
            let remark = format!("{FILL_IN}{}{words}; such as {shown}", key.about());
            self.remarked(&format!("{name} = \"\""), &remark);
        } else {
            self.remarked(&format!("# {name} = {shown}"), key.about());
        }
    }

    /// A line with a remark behind it, or above it where both do not fit.
    fn remarked(&mut self, line: &str, remark: &str) {
        let remark = format!("# {remark}");
        let beside = format!("{line:REMARKS_AT$} {remark}");
        // What is to be filled in keeps its remark: a test, and the owner, find it there.
        if beside.chars().count() <= WIDTH || remark.contains(FILL_IN) {
            return self.line(&beside);
        }
        self.line(&remark);
        self.line(line);
    }
}

fn is_asked(section: &Section, key: &dyn AnyKey) -> bool {
    key.need() == Need::Required || WORTH_ASKING.contains(&(section.name, key.name()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::vehicle::Vehicle;

    /// The file with the examples in the places that are to be filled in.
    fn filled(text: &str) -> String {
        let one = |line: &str| match line.split_once(FILL_IN) {
            None => line.to_string(),
            Some((before, remark)) => {
                let (_, example) = remark.rsplit_once("such as ").unwrap();
                before.replacen("\"\"", example, 1).split('#').next().unwrap().to_string()
            }
        };
        text.lines().map(one).collect::<Vec<_>>().join("\n")
    }

    #[track_caller]
    fn check(kind: Option<&str>, units: Units) {
        let text = starting_file(kind, units).unwrap();
        let (_, problems) = Vehicle::read("new.toml", &text);
        let asked: Vec<usize> =
            (1..).zip(text.lines()).filter(|(_, line)| line.contains(FILL_IN)).map(|(at, _)| at).collect();
        let told: Vec<usize> = problems.iter().filter_map(|problem| problem.line).collect();
        assert_eq!(told, asked, "{kind:?}: {problems:#?}\n{text}");
        let (vehicle, problems) = Vehicle::read("new.toml", &filled(&text));
        assert!(problems.is_empty(), "{kind:?}: {problems:#?}\n{}", filled(&text));
        assert_eq!(vehicle.unwrap().adjusters.len(), usize::from(kind.is_some()));
        assert!(text.starts_with("#:schema "));
        if units == Units::Metric {
            // A module that is told a tire takes it per mile.
            let text = text.replace("revs_per_mile = ", "").replace("revolutions per mile", "");
            let words = ["mph", " mi\"", " mi ", " in\"", "_mile", "psi", "miles"];
            let found = words.iter().find(|word| text.contains(**word));
            assert_eq!(found, None, "{text}");
        }
    }

    #[test]
    fn every_file_asks_for_nothing_but_what_is_to_be_filled_in() {
        for units in Units::ALL {
            check(None, units);
            for (word, _) in kinds() {
                check(Some(word), units);
            }
        }
        let problem = starting_file(Some("steped-constant"), Units::Us).unwrap_err().to_string();
        assert!(problem.contains("stepped-constant"), "{problem}");
    }
}
