//! Places on the horizontal axis with their names over the frame, in as many lanes as the names need side by side.

use super::axis::Axis;
use super::pen::{INK, drawable};
use super::picture::LINE_HEIGHT;
use super::wording::{self, base_line, px};
use maud::{Markup, html};
use std::borrow::Cow;
use truing::report::document::{Series, SeriesKind};

/// Free room between two names in a lane.
const BETWEEN: f64 = 8.0;
/// Free room under the lowest lane.
const UNDER: f64 = 4.0;

/// More lanes than this hide the picture; the stakes are numbered then, and their names listed under it.
const MOST_LANES: usize = 4;

/// A name with its place.
struct Stake<'a> {
    name: Cow<'a, str>,
    at: f64,
    middle: f64,
    lane: usize,
}

/// All stakes of a picture, laid into lanes.
pub struct Stakes<'a> {
    stakes: Vec<Stake<'a>>,
    lanes: usize,
    /// Names that found no room over the frame, by the numbers that stand there.
    pub listed: Vec<String>,
    /// Where the lanes end and the frame may begin.
    pub bottom: f64,
}

/// Lays the stakes of a chart from left to right, each in the lowest lane where its name has room and where no
/// stake of a lower lane runs through it. Names that would need too many lanes are replaced by numbers and listed.
pub fn laid<'a>(series: &'a [Series], x: &Axis, top: f64, width: f64) -> Stakes<'a> {
    let mut named: Vec<(f64, &str)> = series
        .iter()
        .filter(|series| series.kind == SeriesKind::Stake)
        .filter_map(|series| {
            Some((x.at(series.points.iter().find(|point| drawable(point))?.0), series.label.as_str()))
        })
        .collect();
    named.sort_by(|a, b| a.0.total_cmp(&b.0));
    let by_name = in_lanes(named.iter().map(|(at, name)| (*at, Cow::Borrowed(*name))), top, width);
    if by_name.lanes <= MOST_LANES && named.iter().all(|(_, name)| wording::width(name) <= width) {
        return by_name;
    }
    let numbered = named.iter().zip(1..).map(|((at, _), number)| (*at, Cow::Owned(format!("{number}"))));
    let listed = named.iter().zip(1..).map(|((_, name), number)| format!("{number}: {name}")).collect();
    Stakes { listed, ..in_lanes(numbered, top, width) }
}

fn in_lanes<'a>(named: impl Iterator<Item = (f64, Cow<'a, str>)>, top: f64, width: f64) -> Stakes<'a> {
    let of = |(at, name): (f64, Cow<'a, str>)| {
        let half = wording::width(&name) / 2.0;
        Stake { at, middle: at.min(width - half).max(half), lane: 0, name }
    };
    let mut stakes: Vec<Stake> = named.map(of).collect();
    for index in 0..stakes.len() {
        let (before, rest) = stakes.split_at(index);
        let lane = (0..=before.len()).find(|lane| is_free(before, &rest[0], *lane)).unwrap_or(before.len());
        stakes[index].lane = lane;
    }
    let lanes = stakes.iter().map(|stake| stake.lane + 1).max().unwrap_or(0);
    let bottom = if lanes == 0 { top } else { top + LINE_HEIGHT * lanes as f64 + UNDER };
    Stakes { stakes, lanes, listed: Vec::new(), bottom }
}

fn is_free(before: &[Stake], one: &Stake, lane: usize) -> bool {
    let half = wording::width(&one.name) / 2.0;
    before.iter().all(|other| {
        let names_meet =
            (one.middle - other.middle).abs() < half + wording::width(&other.name) / 2.0 + BETWEEN;
        let runs_through = |at: f64, middle: f64, half: f64| (at - middle).abs() < half + BETWEEN / 2.0;
        match other.lane.cmp(&lane) {
            std::cmp::Ordering::Equal => !names_meet,
            std::cmp::Ordering::Greater => !runs_through(other.at, one.middle, half),
            std::cmp::Ordering::Less => {
                !runs_through(one.at, other.middle, wording::width(&other.name) / 2.0)
            }
        }
    })
}

impl Stakes<'_> {
    /// The stakes, drawn from their names down to the axis.
    pub fn markup(&self, axis: f64) -> Markup {
        let under = |stake: &Stake| self.bottom - UNDER - LINE_HEIGHT * stake.lane as f64;
        html! {
            @if self.lanes > 0 {
                g class=(INK.tone()) {
                    @for stake in &self.stakes {
                        (INK.rule((stake.at, under(stake) + 1.0), (stake.at, axis)))
                        text x=(px(stake.middle)) y=(px(base_line(under(stake) - LINE_HEIGHT))) text-anchor="middle" { (stake.name) }
                    }
                }
            }
        }
    }
}
