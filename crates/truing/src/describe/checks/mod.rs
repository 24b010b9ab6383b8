//! Checks that look at more than one section.

mod plans;
mod signals;

use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::written::Write;
use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::chain::{Chain, MOST_HYPOTHESES};
use crate::describe::evidence::Evidence;
use crate::describe::file::candidates::Candidates;
use crate::describe::file::document::Document;
use crate::describe::file::key::{Key, Section};
use crate::describe::file::keys::evidence::{SETTING, TIRES};
use crate::describe::file::keys::written::{FROM, TO};
use crate::describe::file::keys::{self, ADJUSTER, CHAIN, EVIDENCE, NOTHING, READER, TIRE, WRITTEN};
use crate::describe::vehicle::Vehicle;
use crate::nearest::hint_for;
use crate::problem::{Problem, Severity, Wording};
use jiff::civil::Date;

/// The key under which every kind of adjuster says what is set.
const PRESENT: &str = "present";

/// Fits what the adjusters have at present into the chain, and says what contradicts.
pub(super) fn check(document: &Document, vehicle: &mut Vehicle) {
    check_writes(document, vehicle);
    follow_writes(vehicle);
    let adjusters = vehicle.adjusters.clone();
    for adjuster in &adjusters {
        fit(document, &mut vehicle.chain, adjuster);
    }
    check_names(document, vehicle);
    check_tires(document, vehicle);
    plans::check(document, vehicle);
    signals::check(document, vehicle);
    for evidence in &vehicle.evidence {
        check_setting(document, vehicle, evidence);
    }
    let count = vehicle.chain.count_hypotheses();
    if count > MOST_HYPOTHESES {
        let expected = format!("at most {MOST_HYPOTHESES} combinations of candidates");
        let hint = "Count or look up at least one of the parts";
        say(document, Severity::Error, (&CHAIN, "", vehicle.chain.line), expected, count.to_string(), hint);
    }
}

/// Says what is wrong at a key, empty for the table as a whole, of the table of a section that begins in a line.
fn say(
    document: &Document,
    severity: Severity,
    (section, key, line): (&Section, &str, usize),
    expected: impl Into<String>,
    found: impl Into<String>,
    hint: impl Into<Wording>,
) {
    let problem = Problem::new(severity, document.source(), expected, found);
    let part = format!("{} {key}", section.heading());
    let place = document.key_at(section.name, line, key);
    document.push(problem.at_line(line).in_part(part.trim_end()).hint(hint).about_key(place));
}

/// Puts the present value of an adjuster in place of the same link of the chain.
fn fit(document: &Document, chain: &mut Chain, adjuster: &Adjuster) {
    let mut place = Fit { document, adjuster, line: chain.line };
    match &adjuster.kind {
        AdjusterKind::GearPair(gears) => {
            let Some(pair) = gears.present else { return };
            place.put(&mut chain.drive_gear, pair.numerator(), &keys::chain::DRIVE_GEAR, |a, b| a == b);
            place.put(&mut chain.driven_gear, pair.denominator(), &keys::chain::DRIVEN_GEAR, |a, b| a == b);
        }
        AdjusterKind::PulseRatio(conditioner) => {
            let Some(ratio) = conditioner.present else { return };
            place.put(&mut chain.conditioner, ratio, &keys::chain::CONDITIONER, |a, b| a.same_value(*b));
        }
        AdjusterKind::ToneRing(ring) => {
            let Some(teeth) = ring.present else { return };
            place.put(&mut chain.ring_teeth, teeth, &keys::chain::RING_TEETH, |a, b| a == b);
        }
        AdjusterKind::CableAdapter(adapter) => {
            chain.cable_adapter = adapter.present.map_or_else(Candidates::absent, Candidates::known);
        }
        AdjusterKind::SteppedConstant(_)
        | AdjusterKind::FreeConstant(_)
        | AdjusterKind::DeclaredTireAxle(_)
        | AdjusterKind::Tires(_) => {}
    }
}

struct Fit<'d> {
    document: &'d Document,
    adjuster: &'d Adjuster,
    line: usize,
}

impl Fit<'_> {
    /// A value that is one of the chain's own candidates settles them; any other contradicts them.
    fn put<T: Clone + core::fmt::Display, K>(
        &mut self,
        link: &mut Candidates<T>,
        present: T,
        key: &Key<K>,
        same: impl Fn(&T, &T) -> bool,
    ) {
        if !link.is_absent() && !link.all().iter().any(|said| same(said, &present)) {
            let said: Vec<String> = link.all().iter().map(T::to_string).collect();
            let expected = format!("{present}, as the present value of the {} says", self.adjuster.spoken());
            let hint = "Leave it out, or correct the one that is wrong";
            say(
                self.document,
                Severity::Error,
                (&CHAIN, key.name, self.line),
                expected,
                said.join(", "),
                hint,
            );
        }
        *link = Candidates::known(present);
    }
}

/// Names are unique, and what refers to a name finds it.
fn check_names(document: &Document, vehicle: &Vehicle) {
    let name = keys::tire::NAME.name;
    unique(document, (&ADJUSTER, name), vehicle.adjusters.iter().map(|it| (it.called(), it.line)));
    unique(document, (&READER, name), vehicle.readers.iter().map(|it| (it.name.as_str(), it.line)));
    let tires = vehicle.tires.iter().filter_map(|it| Some((it.name.as_deref()?, it.line)));
    unique(document, (&TIRE, name), tires);
    let adjuster = keys::written::ADJUSTER.name;
    let writes =
        vehicle.written.iter().filter_map(|it| Some((it.adjuster.as_ref()?, (&WRITTEN, adjuster, it.line))));
    let settings = vehicle.evidence.iter().flat_map(|evidence| {
        let named = evidence.settings.iter().filter_map(|(name, _)| name.as_ref());
        named.map(|name| (name, (&EVIDENCE, SETTING.name, evidence.line)))
    });
    for (name, place) in writes.chain(settings) {
        if vehicle.adjuster(Some(name)).is_none() {
            let known: Vec<&str> = vehicle.adjusters.iter().map(Adjuster::called).collect();
            let hint = hint_for(name, known);
            say(document, Severity::Error, place, "the name of an adjuster", format!("\"{name}\""), hint);
        }
    }
}

fn unique<'n>(
    document: &Document,
    (section, key): (&Section, &str),
    named: impl Iterator<Item = (&'n str, usize)>,
) {
    let mut seen: Vec<&str> = Vec::new();
    for (name, line) in named {
        if seen.contains(&name) {
            let (found, hint) = (format!("\"{name}\" again"), "Give each a name of its own");
            say(document, Severity::Error, (section, key, line), "each name once", found, hint);
        }
        seen.push(name);
    }
}

/// Where there are several sets each has a name, one is on, and evidence says which it was taken with.
fn check_tires(document: &Document, vehicle: &Vehicle) {
    let several = vehicle.tires.len() > 1;
    for set in vehicle.tires.iter().filter(|set| several && set.name.is_none()) {
        let place = (&TIRE, keys::tire::NAME.name, set.line);
        let hint = Wording::from("Add ").field(TIRE.key(keys::tire::NAME.name).such_as("..."));
        say(document, Severity::Error, place, "a name for each set, where there are several", NOTHING, hint);
    }
    if let Some(second) = vehicle.tires.iter().filter(|set| set.mounted).nth(1) {
        let place = (&TIRE, keys::tire::MOUNTED.name, second.line);
        let hint = Wording::from("Keep one ").field(TIRE.key(keys::tire::MOUNTED.name));
        say(document, Severity::Error, place, "one set that is on now", "a second", hint);
    }
    let names: Vec<&str> = vehicle.tires.iter().filter_map(|set| set.name.as_deref()).collect();
    for evidence in &vehicle.evidence {
        let place = (&EVIDENCE, TIRES.name, evidence.line);
        match &evidence.tires {
            // With a single set that has no name, the name can only mean that set.
            Some(name) if !names.contains(&name.as_str()) && (several || !names.is_empty()) => {
                let hint = hint_for(name, names.clone());
                say(
                    document,
                    Severity::Error,
                    place,
                    "the name of a set of tires",
                    format!("\"{name}\""),
                    hint,
                );
            }
            None if several => {
                let hint = Wording::from("Add ").field(EVIDENCE.key(TIRES.name).such_as("..."));
                let hint = hint.text("; the set that is on now is assumed");
                say(
                    document,
                    Severity::Note,
                    place,
                    "which set was on, since there are several",
                    NOTHING,
                    hint,
                );
            }
            _ => {}
        }
    }
}

/// What may have been set on a day: one setting, or on the day of a write that before it and that after it.
pub(super) fn settings_on<'w>(writes: &[&'w Write], date: Date) -> Vec<&'w Setting> {
    let on_the_day: Vec<&&Write> = writes.iter().filter(|write| write.date == date).collect();
    if !on_the_day.is_empty() {
        return on_the_day.iter().flat_map(|write| [&write.from, &write.to]).collect();
    }
    let last_before = writes.iter().rev().find(|write| write.date < date).map(|write| &write.to);
    let setting = last_before.or(writes.iter().find(|write| write.date > date).map(|write| &write.from));
    setting.into_iter().collect()
}

/// The writes of each adjuster follow on from each other and end at what is present.
fn check_writes(document: &Document, vehicle: &Vehicle) {
    if let (Some(write), true) = (vehicle.written.first(), vehicle.adjusters.is_empty()) {
        let hint = "Add what can be set, with its own section";
        say(
            document,
            Severity::Error,
            (&WRITTEN, "", write.line),
            "an [adjuster] that was written",
            NOTHING,
            hint,
        );
    }
    for adjuster in &vehicle.adjusters {
        let writes = writes_of(vehicle, adjuster);
        for write in &writes {
            check_possible(document, adjuster, &write.from, (&WRITTEN, FROM.name, write.line));
            check_possible(document, adjuster, &write.to, (&WRITTEN, TO.name, write.line));
        }
        for pair in writes.windows(2) {
            if !pair[1].from.same_as(&pair[0].to) {
                let expected = format!("{}, as the write before it left", pair[0].to);
                let (place, hint) = ((&WRITTEN, FROM.name, pair[1].line), "See whether a write is missing");
                say(document, Severity::Warning, place, expected, pair[1].from.to_string(), hint);
            }
        }
        if let (Some(last), Some(present)) = (writes.last(), adjuster.present())
            && !last.to.same_as(&present)
        {
            let expected = format!("{}, as the last write left", last.to);
            let hint = Wording::from("Taken as the write left it; change ").field(ADJUSTER.key(PRESENT));
            let hint = hint.text(", or record the write that is missing");
            let place = (&ADJUSTER, PRESENT, adjuster.line);
            say(document, Severity::Warning, place, expected, present.to_string(), hint);
        }
    }
}

/// What the last write left is what is present: a `present` that was not brought up to date must not advise the same
/// write again.
fn follow_writes(vehicle: &mut Vehicle) {
    for index in 0..vehicle.adjusters.len() {
        let last = writes_of(vehicle, &vehicle.adjusters[index]).last().map(|write| write.to.clone());
        if let Some(last) = last {
            vehicle.adjusters[index].set_present(&last);
        }
    }
}

fn check_possible(
    document: &Document,
    adjuster: &Adjuster,
    setting: &Setting,
    place: (&'static Section, &str, usize),
) {
    if !adjuster.can_be(setting) {
        let expected = format!("a setting that the {} can have", adjuster.spoken());
        let hint = "See whether it is mistyped";
        say(document, Severity::Warning, place, expected, setting.to_string(), hint);
    }
}

fn writes_of<'v>(vehicle: &'v Vehicle, adjuster: &Adjuster) -> Vec<&'v Write> {
    let theirs = |write: &&Write| vehicle.adjuster(write.adjuster.as_deref()) == Some(adjuster);
    vehicle.written.iter().filter(theirs).collect()
}

/// An indicated value needs the setting it was read with as soon as that may have been another; and what is said
/// must agree with the writes.
fn check_setting(document: &Document, vehicle: &Vehicle, evidence: &Evidence) {
    let place = (&EVIDENCE, SETTING.name, evidence.line);
    if let Some((expected, hint)) = unsaid(vehicle, evidence) {
        say(document, Severity::Error, place, expected, NOTHING, hint);
    }
    for (name, said) in &evidence.settings {
        let Some(adjuster) = vehicle.adjuster(name.as_deref()) else { continue };
        check_possible(document, adjuster, said, place);
        let Some(date) = evidence.date else { continue };
        let possible = settings_on(&writes_of(vehicle, adjuster), date);
        if !possible.is_empty() && !possible.iter().any(|setting| setting.same_as(said)) {
            let all: Vec<String> = possible.iter().map(|setting| setting.to_string()).collect();
            let expected = format!("{} on {date}, as the writes say", all.join(" or "));
            let hint = "See whether the date, the setting or a write is mistyped";
            say(document, Severity::Warning, place, expected, said.to_string(), hint);
        }
    }
}

/// What was set then, where it is not said and may have been another value than today's: writes are recorded, or they are
/// counted and `present` may have been changed since without one being recorded.
fn unsaid(vehicle: &Vehicle, evidence: &Evidence) -> Option<(&'static str, Wording)> {
    if !evidence.kind.shows_indicated() {
        return None;
    }
    if evidence.settings.is_empty() && !vehicle.written.is_empty() {
        let hint = Wording::from("Add ").field(EVIDENCE.key(SETTING.name).such_as("..."));
        let hint = hint.text(": an indicated value means nothing without the setting it was read with");
        return Some(("the setting in force then, since writes are recorded", hint));
    }
    let counted = |one: &&Adjuster| one.writes_left.is_some() && writes_of(vehicle, one).is_empty();
    let (adjuster, present) = vehicle.adjusters.iter().filter(counted).find_map(|one| {
        Some((one, one.present().filter(|_| vehicle.setting_said(evidence, one).is_none())?))
    })?;
    let setting = match vehicle.adjusters.len() {
        1 => present.to_string(),
        _ => format!("{{ \"{}\" = \"{present}\" }}", adjuster.called()),
    };
    let hint = Wording::from("Add ").field(EVIDENCE.key(SETTING.name).such_as(setting)).text(format!(
        " if {present} was stored then as it is now, else the value that was: with few writes a wrong one costs a write"
    ));
    Some(("the setting in force then, since writes are counted", hint))
}
