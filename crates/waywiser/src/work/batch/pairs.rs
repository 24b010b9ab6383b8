//! Which files under a folder make one drive.

mod names;
mod times;

pub use names::is_called_like_a_log;
use names::part_of;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
pub use times::Span;
use truing::problem::Problem;

/// What a file can be by what stands in it, whatever it is called.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Nature {
    /// A track only.
    Track,
    /// A log of what the vehicle showed only.
    Vehicle,
    /// A track, and in a column of its own what the vehicle showed.
    Whole,
    /// Speeds in one column, which may be either.
    Either,
    /// Nothing that can be read.
    #[default]
    Unknown,
}

/// Which side of a drive a file is.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// Where and how fast.
    Track,
    /// What the vehicle indicated.
    Vehicle,
    /// Neither name nor content tells.
    Either,
}

/// One drive of the table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drive {
    /// Where and how fast.
    pub track: Option<PathBuf>,
    /// What the vehicle indicated; the same file where one holds both.
    pub vehicle_log: Option<PathBuf>,
    /// Why it is not complete.
    pub problem: Option<Problem>,
}

/// A file that is called like a log.
struct Member<'a> {
    path: &'a Path,
    /// The name of the drive, as far as the file's name tells.
    stem: String,
    part: Part,
    nature: Nature,
}

/// When the files of a drive were recorded, for those that names do not bring together.
pub type SpanOf<'a> = &'a dyn Fn(&Path, Part) -> Option<Span>;

/// The drives in these files, in the order of their names. Files that are called otherwise are no logs.
pub fn pairs(files: &[(PathBuf, Nature)], span_of: SpanOf<'_>) -> Vec<Drive> {
    let mut folders: BTreeMap<&Path, Vec<Member<'_>>> = BTreeMap::new();
    for (path, nature) in files {
        if let Some((stem, named)) = part_of(path) {
            // What stands in a file goes before what it is called.
            let part = match nature {
                Nature::Track => Part::Track,
                Nature::Vehicle => Part::Vehicle,
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
        (Part::Track, Part::Vehicle | Part::Either) | (Part::Either, Part::Vehicle) => Some((track, log)),
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

fn of_both(track: &Member<'_>, log: &Member<'_>) -> Drive {
    Drive { track: Some(track.path.to_path_buf()), vehicle_log: Some(log.path.to_path_buf()), problem: None }
}

/// A file to which no other belongs.
fn by_itself(member: &Member<'_>) -> Drive {
    let file = Some(member.path.to_path_buf());
    match (member.nature, member.part) {
        (Nature::Whole, _) => of_both(member, member),
        // What is wrong with it is told when it is read.
        (Nature::Unknown, Part::Either) => Drive { track: file, ..Drive::default() },
        (_, Part::Track) => {
            Drive { track: file, vehicle_log: None, problem: Some(member.lacks("a vehicle log")) }
        }
        (_, Part::Vehicle | Part::Either) => {
            Drive { track: None, vehicle_log: file, problem: Some(member.lacks("a track")) }
        }
    }
}

impl Member<'_> {
    fn name(&self) -> String {
        self.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
    }

    fn lacks(&self, other: &str) -> Problem {
        let expected = format!("{other} of the same drive beside it");
        Problem::note(self.path.display().to_string(), expected, "none").hint(
            "call the two alike, for example drive.gpx and drive-log.csv, or give the drive a folder of its own",
        )
    }
}

#[cfg(test)]
mod tests;
