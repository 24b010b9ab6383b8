//! Times that show something wrong with a log as a whole.

use crate::problem::Problem;

/// Times that fall back more often than this (share of all) are told: two recordings in one file, or a clock that was set.
const BACKWARD_SHARE: f64 = 0.02;
/// No log here has more than a thousand rows a second: times so near to one another are in another unit, as days are.
const LEAST_INTERVAL_S: f64 = 1e-3;
/// Fewer rows tell nothing of their interval.
const ROWS_NEEDED: usize = 20;

/// How the times of a log follow one another.
pub struct Times<'a> {
    /// What has them: fixes or samples.
    pub of: &'a str,
    /// Rows as read.
    pub read: usize,
    /// Rows whose time stands still.
    pub still: usize,
    /// Rows whose time runs backward.
    pub backward: usize,
    /// The usual time between those that are left (s).
    pub interval_s: f64,
}

impl Times<'_> {
    /// What is to be told of them.
    pub fn problem(&self, source: &str) -> Option<Problem> {
        let Times { of, read, still, backward, interval_s } = self;
        let left = read - still - backward;
        if left >= ROWS_NEEDED && *interval_s < LEAST_INTERVAL_S {
            let found = format!("{of} every {interval_s:.1e} s");
            let hint = "if the times are days, as spreadsheets count them, name the column with that unit: time=NAME days";
            return Some(Problem::error(source, "times in seconds, or with their unit", found).hint(hint));
        }
        if left < 3 && *still > left {
            let found = format!("{still} of {read} {of} with the time of the one before");
            let hint = "times that a spreadsheet has shortened cannot be repaired; export the log again";
            return Some(Problem::warning(source, "times that rise", found).hint(hint));
        }
        if *backward as f64 > BACKWARD_SHARE * *read as f64 {
            let found = format!("{backward} of {read} {of} before an earlier one");
            let hint = "they were left out; if the file holds two recordings, give each a file of its own";
            return Some(Problem::warning(source, "times that rise", found).hint(hint));
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(still: usize, backward: usize, interval_s: f64, expected: &str) {
        let times = Times { of: "samples", read: 100, still, backward, interval_s };
        let told = times.problem("log").map_or(String::new(), |problem| problem.to_string());
        assert!(if expected.is_empty() { told.is_empty() } else { told.contains(expected) }, "{told}");
    }

    #[test]
    fn what_is_told() {
        check(0, 0, 1.0, "");
        check(90, 1, 1.0, "");
        check(0, 50, 1.0, "50 of 100 samples before an earlier one");
        check(99, 0, 1.0, "export the log again");
        // A second is 1/86400 of a day.
        check(0, 0, 1.0 / 86_400.0, "time=NAME days");
    }
}
