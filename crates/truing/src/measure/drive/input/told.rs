//! What is to be said of streams that were not what they seemed.

use super::fixes::Clean;
use super::order::Shared;
use super::places::TwoSources;
use super::repeats::Refreshed;
use crate::measure::drive::rejection::RejectionCause;
use crate::problem::Problem;

/// False values are worth a word when they are this share of a log: a few are in every log.
const MANY: f64 = 0.02;

/// Says how often a stream is refreshed.
pub fn refreshed(source: &str, of: &str, refreshed: Refreshed) -> Problem {
    let Refreshed { every_s, row_s, on_lines, .. } = refreshed;
    let (every, row) = (seconds(every_s), seconds(row_s));
    let found = if on_lines {
        format!("{of} measured every {every} s, and rows every {row} s on straight lines between them")
    } else {
        format!("new {of} every {every} s in rows of {row} s, which repeat them")
    };
    Problem::note(source, "rows that were measured each", found)
        .hint("repetitions are not taken as measurements; log as often as the source measures, no more")
}

/// Seconds with two digits at least, for people.
fn seconds(s: f64) -> String {
    if s >= 9.95 {
        format!("{s:.0}")
    } else if s >= 0.995 {
        format!("{s:.1}")
    } else {
        format!("{s:.2}")
    }
}

/// Says that blocks of rows were put in order.
pub fn moved(source: &str, of: &str, moved: usize) -> Option<Problem> {
    let found = format!("{moved} {of} in blocks that stand in another order");
    let problem = Problem::note(source, "times that rise", found).hint("they were sorted by their times");
    (moved > 0).then_some(problem)
}

/// Says that rows shared their times.
pub fn shared(source: &str, of: &str, shared: &Shared) -> Option<Problem> {
    let each = shared.rows_each?;
    let found = format!("{each} {of} to each time");
    let hint = "they were spread evenly over the time to the next; log times with fractions of a second";
    Some(Problem::note(source, "a time for each row", found).hint(hint))
}

/// Says that false values were left out, where they are many.
pub fn false_values(source: &str, of: &str, why: &str, (dropped, read): (usize, usize)) -> Option<Problem> {
    let share = dropped as f64 / read.max(1) as f64;
    let found = format!("{:.0} % of the {of} {why}", 100.0 * share);
    let problem = Problem::warning(source, "values that a vehicle can have", found);
    (share > MANY).then(|| problem.hint("they were left out; check the logger's connection"))
}

fn two_sources(source: &str, two: TwoSources) -> Problem {
    let found = format!("two, of which one is some {:.0} m off the way of the other", two.off_m);
    Problem::note(source, "one source of positions", found)
        .hint("the better one alone is used; let the logger take positions from satellites only")
}

impl Clean {
    /// What is to be said of the track's rows.
    pub fn problems(&self, source: &str) -> Vec<Problem> {
        let streams = [
            ("positions", self.refresh.place),
            ("reported speeds", self.refresh.speed),
            ("heights", self.refresh.height),
        ];
        let count = |cause| self.rejected.iter().find(|r| r.cause == cause).map_or(0, |r| r.count);
        let zeros = count(RejectionCause::SpeedZero);
        let full = count(RejectionCause::SpeedAtFullScale);
        let said = streams.into_iter().filter_map(|(of, found)| Some(refreshed(source, of, found?)));
        said.chain(moved(source, "fixes", self.moved))
            .chain(shared(source, "fixes", &self.shared))
            .chain(self.two_sources.map(|two| two_sources(source, two)))
            .chain(false_values(
                source,
                "reported speeds",
                "are zero while the vehicle moves",
                (zeros, self.read),
            ))
            .chain(false_values(source, "reported speeds", "are at full scale", (full, self.read)))
            .collect()
    }
}
