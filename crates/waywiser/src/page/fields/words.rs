//! How keys, kinds and words of the vehicle file are called on the page.

use super::labels::{KINDS, LABELS, OPTIONS};
use truing::describe::{Repeat, SECTIONS, Section, Variant};
use truing::problem::KeyPlace;

fn row(section: &Section, kind: Option<&Variant>, key: &str) -> Option<(&'static str, &'static str)> {
    // One instrument that is both has the keys of a reader.
    let of = if section.name == "head" { "reader" } else { section.name };
    let is = |name: &str| kind.is_some_and(|kind| kind.word == name) || of == name;
    LABELS.iter().find(|(name, known, ..)| is(name) && *known == key).map(|(.., label, hint)| (*label, *hint))
}

/// What stands over the field of a key; `revs_per_mile.min` is a line of a field with several.
pub fn label(section: &Section, kind: Option<&Variant>, key: &str) -> String {
    let (key, part) = key.split_once('.').map_or((key, None), |(key, part)| (key, Some(part)));
    let label = row(section, kind, key).map_or_else(|| words(key), |(label, _)| label.to_string());
    match part {
        Some(part) => format!("{label}: {}", words(&line(part)).to_lowercase()),
        None => label,
    }
}

/// The label of a key of a section, by their names.
pub fn label_of(section: &str, key: &str) -> String {
    let Some(section) = SECTIONS.iter().find(|known| known.name == section) else { return words(key) };
    let has = |kind: &&&Variant| kind.keys.iter().any(|one| one.name() == key);
    label(section, section.variants.iter().find(has).copied(), key)
}

/// A key of the file by the label of its field: `Evidence 2, Turns of the wheel`.
pub fn place(place: &KeyPlace) -> String {
    let section = SECTIONS.iter().find(|section| section.name == place.section);
    let label = (!place.key.is_empty()).then(|| label_of(place.section, &place.key));
    let number = match section.map(|section| section.repeat) {
        Some(Repeat::Several) => format!(" {}", place.index + 1),
        _ => String::new(),
    };
    [Some(format!("{}{number}", words(place.section))), label]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

/// What a line of a field with several is called.
pub fn line(part: &str) -> String {
    match part {
        "min" => "Lowest".into(),
        "max" => "Highest".into(),
        other => words(other),
    }
}

/// The hint under the field of a key, where there is one of our own.
pub fn hint(section: &Section, kind: Option<&Variant>, key: &str) -> Option<&'static str> {
    row(section, kind, key).map(|(_, hint)| hint).filter(|hint| !hint.is_empty())
}

/// A kind of a section as a person picks it.
pub fn kind(word: &str) -> String {
    let known = KINDS.iter().find(|(known, _)| *known == word);
    known.map_or_else(|| words(word), |(_, label)| (*label).to_string())
}

/// A word of a key as a person picks it.
pub fn option(key: &str, word: &str) -> String {
    let known = OPTIONS.iter().find(|(of, known, _)| *of == key && *known == word);
    known.map_or_else(|| words(word), |(.., label)| (*label).to_string())
}

/// A value of a key as a person reads it: the label of a word that is picked, else the value itself.
pub fn shown_value(key: &str, value: &str) -> String {
    let known = OPTIONS.iter().find(|(of, known, _)| *of == key && *known == value);
    known.map_or_else(|| value.to_string(), |(.., label)| (*label).to_string())
}

/// A key or word as a person reads it.
pub fn words(name: &str) -> String {
    let plain = name.replace(['_', '-'], " ");
    let plain = plain.replace("mph", "(mph)").replace("((mph))", "(mph)");
    capitalised(&plain)
}

/// The same with a capital at its start.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A key that is added to the file gets its words here, and one that goes takes them along.
    #[test]
    fn every_key_has_a_label_and_every_label_its_key() {
        let mut used = std::collections::BTreeSet::new();
        for section in SECTIONS.iter().filter(|section| section.name != "head") {
            for key in section.keys {
                used.insert((section.name, key.name()));
            }
            for kind in section.variants {
                assert!(KINDS.iter().any(|(word, _)| *word == kind.word), "{}", kind.word);
                used.extend(kind.keys.iter().map(|key| (kind.word, key.name())));
            }
        }
        let labelled: std::collections::BTreeSet<_> =
            LABELS.iter().map(|(of, key, ..)| (*of, *key)).collect();
        assert_eq!(used, labelled);
    }
}
