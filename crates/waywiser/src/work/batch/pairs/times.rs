//! Files that were recorded at the same time.

use super::member::{Drive, Member, Nature, Side, by_itself, of_both};
use metrology::quantity::{Duration, Instant};
use std::path::Path;

/// Two recordings of one drive differ by when each was started and stopped, and by what their clocks differ: they have at least
/// so much of the shorter one in common (judgement). Drives one after the other have nothing.
const LEAST_SHARE: f64 = 0.5;

/// From when to when something was recorded, on a clock that counts from 1970.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Span {
    /// The first time.
    pub from: Instant,
    /// The last one.
    pub to: Instant,
}

impl Span {
    fn length(self) -> Duration {
        Duration::from_s(self.to.s() - self.from.s())
    }

    /// The time that both have in common, where that is enough for one drive.
    fn common(self, other: Self) -> Option<Duration> {
        let common_s = self.to.s().min(other.to.s()) - self.from.s().max(other.from.s());
        let shorter_s = self.length().s().min(other.length().s());
        (common_s > 0.0 && common_s >= LEAST_SHARE * shorter_s).then_some(Duration::from_s(common_s))
    }
}

/// When the files of a drive were recorded, for those that names do not bring together.
pub type SpanOf<'a> = &'a dyn Fn(&Path, Side) -> Option<Span>;

/// Tracks with the logs of the same time, those with most in common first; and what is left by itself. Each with the name of
/// its drive.
pub(super) fn of_the_same_time<'b>(alone: &[&'b Member<'_>], span_of: SpanOf<'_>) -> Vec<(&'b str, Drive)> {
    let readable = |member: &Member<'_>| !matches!(member.nature, Nature::Whole | Nature::Unknown);
    let places = |track: bool| -> Vec<usize> {
        let is_one = |place: &usize| readable(alone[*place]) && (alone[*place].part == Side::Track) == track;
        (0..alone.len()).filter(is_one).collect()
    };
    let (tracks, logs) = (places(true), places(false));
    let mut partner: Vec<Option<usize>> = vec![None; alone.len()];
    for (track, log) in by_time_in_common(alone, &tracks, &logs, span_of) {
        if partner[track].is_none() && partner[log].is_none() {
            (partner[track], partner[log]) = (Some(log), Some(track));
        }
    }
    let drive = |place: usize| match partner[place] {
        None => Some(by_itself(alone[place])),
        Some(log) if tracks.contains(&place) => Some(of_both(alone[place], alone[log])),
        Some(_) => None,
    };
    (0..alone.len()).filter_map(|place| Some((alone[place].stem.as_str(), drive(place)?))).collect()
}

/// Places of tracks and logs that can belong together, those with most time in common first.
fn by_time_in_common(
    alone: &[&Member<'_>],
    tracks: &[usize],
    logs: &[usize],
    span_of: SpanOf<'_>,
) -> Vec<(usize, usize)> {
    if tracks.is_empty() || logs.is_empty() {
        return Vec::new();
    }
    let spans = |places: &[usize], part: Side| -> Vec<(usize, Span)> {
        places.iter().filter_map(|place| Some((*place, span_of(alone[*place].path, part)?))).collect()
    };
    let (tracks, logs) = (spans(tracks, Side::Track), spans(logs, Side::Vehicle));
    let mut found: Vec<(Duration, usize, usize)> = Vec::new();
    for (track, one) in &tracks {
        let common = |(log, other): &(usize, Span)| Some((one.common(*other)?, *track, *log));
        found.extend(logs.iter().filter_map(common));
    }
    // The sort keeps the order of names where two have as much in common.
    found.sort_by(|one, other| other.0.s().total_cmp(&one.0.s()));
    found.into_iter().map(|(_, track, log)| (track, log)).collect()
}
