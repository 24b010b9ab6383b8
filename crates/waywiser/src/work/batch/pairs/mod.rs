//! Which files under a folder make one drive.

mod member;
mod names;
mod times;

pub use member::{Drive, Nature, Side};
use member::{Member, of_both};
pub use names::is_called_like_a_log;
use names::part_of;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
pub use times::Span;
use times::SpanOf;
use truing::problem::Problem;

/// The drives in these files, in the order of their names. Files that are called otherwise are no logs.
pub fn pairs(files: &[(PathBuf, Nature)], span_of: SpanOf<'_>) -> Vec<Drive> {
    let mut folders: BTreeMap<&Path, Vec<Member<'_>>> = BTreeMap::new();
    for (path, nature) in files {
        if let Some((stem, named)) = part_of(path) {
            // What stands in a file goes before what it is called.
            let part = match nature {
                Nature::Track => Side::Track,
                Nature::Vehicle => Side::Vehicle,
                Nature::Whole | Nature::Either | Nature::Unknown => named,
            };
            let member = Member { path, stem, part, nature: *nature };
            folders.entry(path.parent().unwrap_or(Path::new(""))).or_default().push(member);
        }
    }
    folders.into_values().flat_map(|members| in_folder(&members, span_of)).collect()
}

/// The drives of one folder: the only track with the only log, else files called alike, else those of the same time.
fn in_folder(members: &[Member<'_>], span_of: SpanOf<'_>) -> Vec<Drive> {
    let mut named = Vec::new();
    let (only, others) = only_two(members);
    named.extend(only.map(|(track, log)| (track.stem.as_str(), of_both(track, log))));
    let mut groups: BTreeMap<&str, Vec<&Member<'_>>> = BTreeMap::new();
    for member in others {
        groups.entry(&member.stem).or_default().push(member);
    }
    let mut alone = Vec::new();
    for (stem, group) in groups {
        match group.as_slice() {
            [one] => alone.push(*one),
            several => named.push((stem, called_alike(several))),
        }
    }
    named.extend(times::of_the_same_time(&alone, span_of));
    named.sort_by_key(|(name, _)| *name);
    named.into_iter().map(|(_, drive)| drive).collect()
}

/// The only track and the only log that can be read, whatever they are called, and the other files. What holds both is a drive
/// by itself, unless another is called alike; so is what cannot be read not to be parted from a file that is called alike.
fn only_two<'a, 'b>(
    members: &'b [Member<'a>],
) -> (Option<(&'b Member<'a>, &'b Member<'a>)>, Vec<&'b Member<'a>>) {
    let (read, unread): (Vec<_>, Vec<_>) = members.iter().partition(|one| one.nature != Nature::Unknown);
    let only = match read.as_slice() {
        [one, other] if !read.iter().any(|one| one.nature == Nature::Whole) => {
            sides(one, other).or_else(|| sides(other, one))
        }
        _ => None,
    };
    let stays = |only: &(&Member<'_>, &Member<'_>)| {
        !unread.iter().any(|one| one.stem == only.0.stem || one.stem == only.1.stem)
    };
    match only.filter(stays) {
        Some(only) => (Some(only), unread),
        None => (None, members.iter().collect()),
    }
}

/// Two files as track and log, where they can be no other way round.
fn sides<'a, 'b>(track: &'b Member<'a>, log: &'b Member<'a>) -> Option<(&'b Member<'a>, &'b Member<'a>)> {
    match (track.part, log.part) {
        (Side::Track, Side::Vehicle | Side::Either) | (Side::Either, Side::Vehicle) => Some((track, log)),
        _ => None,
    }
}

/// A drive of several files of one name.
fn called_alike(group: &[&Member<'_>]) -> Drive {
    if let [one, other] = group
        && let Some((track, log)) = sides(one, other).or_else(|| sides(other, one))
    {
        return of_both(track, log);
    }
    let names: Vec<String> = group.iter().map(|member| member.name()).collect();
    let first = group.first().map(|member| member.path.to_path_buf());
    let source = first.as_ref().map(|file| file.display().to_string()).unwrap_or_default();
    let problem = Problem::error(source, "one track and one vehicle log of that name", names.join(", "));
    let hint = "call them NAME-track and NAME-vehicle, or move the others into another folder";
    Drive { track: None, vehicle_log: first, problem: Some(problem.hint(hint)) }
}

#[cfg(test)]
mod tests;
