//! The files beside a vehicle file: what they look like, and evidence made of them where that is plain.

use super::edit::Refused;
use super::folder::Garage;
use super::kept::held;
use super::kind::Kind;
use super::known::{Heard, Known, Road, Truck};
use super::names::{ROUTINE_FILE, Slug, TRUCK_FILE, kept_name};
use crate::work::batch::look::{LOOKED_AT_BYTES, beginning};
use crate::work::batch::pairs::{Nature, pairs};
use crate::work::load::files_of;
use crate::work::logs;
use crate::work::pulses::{self, Span};
use crate::{sound, world};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};
use truing::describe::evidence::{MarkedReading, PulseSpan};
use truing::describe::vehicle::Vehicle;
use truing::logs::can::{self, dbc};
use truing::logs::csv::CsvOptions;
use truing::logs::recording::{RecordingOptions, RecordingReader};
use truing::logs::{Clock, Track, run};
use truing::problem::{Problem, Problems, any_error};
use truing::report::charts::drive::shape;

/// A file that no piece of evidence names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LooseFile {
    /// Its name.
    pub name: String,
    /// What it looks like.
    pub kind: Kind,
}

/// What the beginning of a file holds.
struct Glance {
    nature: Nature,
    kind: Kind,
    day: Option<String>,
}

impl Garage {
    /// The files of a truck that no piece of evidence names.
    pub fn loose_files(&self, slug: &Slug, vehicle: &Vehicle) -> Vec<LooseFile> {
        let folder = self.truck_folder(slug);
        let names = self.loose_names(slug, vehicle);
        let kind = |name: &String| match self.is_aside(slug, name) {
            true => Kind::Unknown,
            false => self.kind_of(&folder.join(name)),
        };
        names.into_iter().map(|name| LooseFile { kind: kind(&name), name }).collect()
    }

    /// What a file looks like, looked at again only when it has changed.
    fn kind_of(&self, path: &Path) -> Kind {
        let stamp = world::stamp(path);
        if let Some((_, kind)) = held(&self.kinds).get(path).filter(|(then, _)| stamp.as_ref() == Some(then))
        {
            return *kind;
        }
        let kind = glance(path).kind;
        if let Some(stamp) = stamp {
            held(&self.kinds).insert(path.to_path_buf(), (stamp, kind));
        }
        kind
    }

    /// The files beside a vehicle file.
    pub fn file_names(&self, slug: &Slug) -> Vec<String> {
        let there = world::files_in(&self.truck_folder(slug)).into_iter();
        there
            .filter(|name| ![TRUCK_FILE, ROUTINE_FILE].contains(&name.as_str()) && !name.starts_with('.'))
            .collect()
    }

    fn loose_names(&self, slug: &Slug, vehicle: &Vehicle) -> Vec<String> {
        // Of a file in an archive, the archive is used.
        let used: BTreeSet<&str> = files_of(vehicle).filter_map(|name| name.split('/').next()).collect();
        self.file_names(slug).into_iter().filter(|name| !used.contains(name.as_str())).collect()
    }

    /// Deletes a file of a truck.
    pub fn delete_file(&self, slug: &Slug, name: &str) {
        world::remove(&self.truck_folder(slug).join(kept_name(name)));
    }

    /// Makes evidence of files that came in, where what they are is plain: a track with a log, a recording. Others stay
    /// loose and are asked about, as does what was loose before and has nothing to do with them.
    pub fn make_evidence(&self, slug: &Slug, arrived: &[String]) -> Result<(), Problems> {
        let truck = self.truck(slug)?;
        let Some(vehicle) = &truck.vehicle else { return Ok(()) };
        let folder = self.truck_folder(slug);
        let mut names = self.loose_names(slug, vehicle);
        names.retain(|name| !self.is_aside(slug, name));
        let tables = plain_evidence(&folder, &names, vehicle);
        let is_new = |table: &Table| {
            table
                .iter()
                .any(|(_, item)| item.as_str().is_some_and(|text| arrived.iter().any(|name| name == text)))
        };
        for table in tables.into_iter().filter(is_new) {
            let hash = self.truck(slug)?.hash;
            // What cannot stand in the file as it is stays a loose file, to be asked about.
            let _ = self.edit(slug, hash, |document| add(document, table));
        }
        Ok(())
    }

    /// Makes a drive with marks evidence of what its passenger marked.
    pub fn add_marked(&self, truck: &Truck, name: &str, marked: MarkedReading) -> Result<(), Refused> {
        let Some(vehicle) = &truck.vehicle else { return Ok(()) };
        let day = glance(&self.truck_folder(&truck.slug).join(name)).day;
        let mut table = drive(name, day.as_deref(), vehicle);
        table.insert("marked", value(marked.to_string()));
        self.edit(&truck.slug, truck.hash, |document| add(document, table))
    }

    /// The shape of the road of a drive.
    pub fn road(&self, known: &Known, index: usize) -> Result<Arc<Road>, Problems> {
        if let Some(road) = held(&known.roads).get(&index) {
            return Ok(road.clone());
        }
        let evidence = known.loaded.vehicle.evidence.get(index).map(|evidence| &evidence.kind);
        let Some(truing::describe::evidence::EvidenceKind::Drive { track, reading, .. }) = evidence else {
            return Ok(Arc::default());
        };
        let path = self.truck_folder(&known.truck.slug).join(track);
        let (track, _) =
            logs::track(&path, reading.track_columns.clone()).map_err(|problems| self.shown(problems))?;
        let road = Arc::new(shape(&track));
        held(&known.roads).insert(index, road.clone());
        Ok(road)
    }

    /// What a recording says, over what it spans.
    pub fn recording(
        &self,
        known: &Known,
        index: usize,
        (file, channel, span): (&str, Option<&str>, &PulseSpan),
    ) -> Result<Arc<Heard>, Problems> {
        let units = self.settings().units;
        let heard = held(&known.recordings).get(&index).cloned();
        if let Some(heard) = heard.filter(|heard| heard.units == units) {
            return Ok(heard);
        }
        let folder = self.truck_folder(&known.truck.slug);
        let span = match span {
            PulseSpan::Distance(distance) => Span::Distance(*distance),
            PulseSpan::Track(track) => Span::Track(folder.join(track)),
            PulseSpan::Turns { turns, .. } => turns.to_string().parse().map_or(Span::Unsaid, Span::Turns),
            PulseSpan::Pattern => Span::Unsaid,
        };
        let report = pulses::report(&folder.join(file), channel.map(str::to_string), &span, units);
        let mut report = report.map_err(|problems| self.shown(problems))?;
        report.problems = self.shown(report.problems).into();
        let heard = Arc::new(Heard { report, units });
        held(&known.recordings).insert(index, heard.clone());
        Ok(heard)
    }
}

/// Evidence that can be made of these files without a question.
fn plain_evidence(folder: &Path, names: &[String], vehicle: &Vehicle) -> Vec<Table> {
    let seen: Vec<(&String, Glance)> = names.iter().map(|name| (name, glance(&folder.join(name)))).collect();
    let of = |name: &str| seen.iter().find(|(known, _)| known.as_str() == name).map(|(_, glance)| glance);
    let mut tables = Vec::new();
    for (track, log) in drives(&seen) {
        let mut table = drive(&track, of(&track).and_then(|glance| glance.day.as_deref()), vehicle);
        table.insert("vehicle_log", value(log));
        tables.push(table);
    }
    for (name, _) in seen.iter().filter(|(_, glance)| glance.kind == Kind::Recording) {
        let mut table = Table::new();
        table.insert("kind", value("pulses"));
        table.insert("file", value(name.as_str()));
        tables.push(table);
    }
    tables
}

/// A drive of this track on this day, with what is set now: an indicated value means nothing without what was set, and it is what is
/// set now unless the owner says otherwise.
fn drive(track: &str, day: Option<&str>, vehicle: &Vehicle) -> Table {
    let mut table = Table::new();
    table.insert("kind", value("drive"));
    let day: Option<toml_edit::Datetime> = day.and_then(|day| day.parse().ok());
    day.map(|day| table.insert("date", value(day)));
    if let Some(present) = vehicle.adjusters.first().and_then(|adjuster| adjuster.present()) {
        table.insert("setting", value(present.to_string()));
    }
    table.insert("track", value(track));
    table
}

/// Tracks with their logs: those called alike, and else the only two there are. What lay there before is not read whole for
/// its times: it stays to be asked about.
fn drives(seen: &[(&String, Glance)]) -> Vec<(String, String)> {
    let known = |(name, glance): &(&String, Glance)| {
        let is_plain = matches!(glance.kind, Kind::Track | Kind::VehicleLog | Kind::Both);
        is_plain.then(|| (PathBuf::from(name.as_str()), glance.nature))
    };
    let paths: Vec<(PathBuf, Nature)> = seen.iter().filter_map(known).collect();
    let named = pairs(&paths, &|_, _| None).into_iter().filter_map(|drive| {
        let name = |path: PathBuf| path.to_str().map(str::to_string);
        Some((name(drive.track?)?, name(drive.vehicle_log?)?))
    });
    let mut found: Vec<(String, String)> = named.collect();
    let rest = |wanted: Kind| -> Vec<&String> {
        let free = seen.iter().filter(|(_, glance)| glance.kind == wanted).map(|(name, _)| *name);
        free.filter(|name| !found.iter().any(|(track, log)| track == *name || log == *name)).collect()
    };
    let pair = match (&rest(Kind::Track)[..], &rest(Kind::VehicleLog)[..]) {
        ([track], [log]) => Some(((*track).clone(), (*log).clone())),
        _ => None,
    };
    found.extend(pair);
    found
}

fn add(document: &mut DocumentMut, mut table: Table) -> Result<(), Problems> {
    let all = document.entry("evidence").or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    table.decor_mut().set_prefix("\n");
    match all {
        Item::ArrayOfTables(all) => all.push(table),
        _ => {
            return Err(
                Problem::error("the vehicle file", "evidence as [[evidence]]", "another shape").into()
            );
        }
    }
    Ok(())
}

/// Looks at the beginning of a file; one with which the program breaks is nothing that can be read.
fn glance(path: &Path) -> Glance {
    let nothing = |_| Glance { nature: Nature::default(), kind: Kind::Unknown, day: None };
    world::caught(|| beginning_of(path)).unwrap_or_else(nothing)
}

fn beginning_of(path: &Path) -> Glance {
    let mut head = Vec::new();
    // Damage further on is told when the file is read whole.
    let _ = world::feed_some(path, LOOKED_AT_BYTES, |bytes| head.extend_from_slice(bytes));
    let begins = beginning(&head, &CsvOptions::default(), &CsvOptions::default());
    let kind = match begins.nature {
        Nature::Track if run::begins(&head) => Kind::Marked,
        Nature::Track => Kind::Track,
        Nature::Whole => Kind::Both,
        Nature::Vehicle | Nature::Either if !begins.log.samples.is_empty() => Kind::VehicleLog,
        _ if can::begins_with_frames(&head) => Kind::Bus,
        _ if dbc::begins_like_one(&head) => Kind::Signals,
        _ if is_recording(&head) => Kind::Recording,
        _ => Kind::Unknown,
    };
    Glance { nature: begins.nature, kind, day: day_of(&begins.track) }
}

fn is_recording(head: &[u8]) -> bool {
    if sound::is_compressed(&mut std::io::Cursor::new(head)).unwrap_or(false) {
        return true;
    }
    let mut any = false;
    let mut reader = RecordingReader::new("", RecordingOptions::default());
    reader.feed(head, &mut |_| any = true);
    let problems = reader.finish(&mut |_| any = true);
    any && (!any_error(&problems) || head.len() >= LOOKED_AT_BYTES)
}

/// The day on which a track begins, where its clock tells.
fn day_of(track: &Track) -> Option<String> {
    let first = track.fixes.iter().find_map(|fix| fix.time).filter(|_| track.clock == Clock::Absolute)?;
    let time = jiff::Timestamp::from_second(first.s() as i64).ok()?;
    Some(time.to_string().chars().take(10).collect())
}
