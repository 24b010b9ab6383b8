//! Rows in the order of their times: which are left out, which are put elsewhere, which have to share a time.

use metrology::order::{quantile, usual_interval_s};

/// The first and last rows, no more than so many, are left out where so long a time (s), and so many usual intervals, is between them and
/// the rest: a phone's last known place from before the drive. A hole of that length tells little either way.
const ALONE_ROWS: usize = 3;
const ALONE_S: f64 = 120.0;
const ALONE_INTERVALS: f64 = 20.0;
/// No drive has a hole of thirty days (s): before it or after it the clock was wrong.
const ANOTHER_CLOCK_S: f64 = 30.0 * 86_400.0;
/// Rows share their times by rule when groups of one time usually hold two and more, and this share of them is that large to within one
/// row or a quarter. Fewer groups tell nothing.
const REGULAR: f64 = 0.7;
const ALIKE: f64 = 0.25;
const GROUPS: usize = 5;
/// Where in more than this share of the groups all rows say the same, one of each is enough.
const ALL_ALIKE: f64 = 0.85;
/// Rows share one time by mistake where the time to the next leaves room for all of them but this share of an interval.
const ROOM: f64 = 0.3;

/// Rows by their times.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Order {
    /// The rows that are left, in rising time; some may share one.
    pub rows: Vec<usize>,
    /// Rows before an earlier one, left out.
    pub backward: usize,
    /// Rows that stood in blocks in another order, put where they belong.
    pub moved: usize,
    /// Rows far from all others in time, left out.
    pub alone: usize,
}

/// Puts rows in order: whole blocks are moved, where none lies within another; else the fewest rows are left out that make the rest rise.
pub fn order(times_s: &[f64]) -> Order {
    let all = || (0..times_s.len()).collect();
    let mut order = if times_s.is_sorted() {
        Order { rows: all(), ..Order::default() }
    } else if let Some(rows) = blocks(times_s) {
        let moved = rows.iter().enumerate().filter(|(place, row)| place != *row).count();
        Order { rows, moved, ..Order::default() }
    } else {
        let rows = longest_rise(times_s);
        Order { backward: times_s.len() - rows.len(), rows, ..Order::default() }
    };
    let before = order.rows.len();
    drop_another_clock(times_s, &mut order.rows);
    drop_alone(times_s, &mut order.rows);
    order.alone = before - order.rows.len();
    order
}

/// The rows with their blocks of rising times in order; nothing where two blocks lie within each other.
fn blocks(times_s: &[f64]) -> Option<Vec<usize>> {
    let starts = (0..times_s.len()).filter(|k| *k == 0 || times_s[*k] < times_s[k - 1]);
    let ends = starts.clone().skip(1).chain([times_s.len()]);
    let mut blocks: Vec<(usize, usize)> = starts.zip(ends).collect();
    blocks.sort_by(|one, other| times_s[one.0].total_cmp(&times_s[other.0]));
    let apart = blocks.windows(2).all(|pair| times_s[pair[0].1 - 1] <= times_s[pair[1].0]);
    apart.then(|| blocks.into_iter().flat_map(|(from, to)| from..to).collect())
}

/// The longest choice of rows whose times do not fall (patience sorting; Knuth, The Art of Computer Programming 3, 5.1.4, from memory), from
/// the last row back: of two rows that contradict each other the earlier stays.
fn longest_rise(times_s: &[f64]) -> Vec<usize> {
    let mut firsts: Vec<usize> = Vec::new();
    let mut after = vec![usize::MAX; times_s.len()];
    for row in (0..times_s.len()).rev() {
        let place = firsts.partition_point(|first| times_s[*first] >= times_s[row]);
        after[row] = place.checked_sub(1).map_or(usize::MAX, |place| firsts[place]);
        if place == firsts.len() { firsts.push(row) } else { firsts[place] = row }
    }
    let next = |row: &usize| Some(after[*row]).filter(|row| *row != usize::MAX);
    std::iter::successors(firsts.last().copied(), next).collect()
}

fn drop_another_clock(times_s: &[f64], rows: &mut Vec<usize>) {
    while let Some(after) =
        (1..rows.len()).find(|k| times_s[rows[*k]] - times_s[rows[k - 1]] > ANOTHER_CLOCK_S)
    {
        if after > rows.len() / 2 { rows.truncate(after) } else { drop(rows.drain(..after)) }
    }
}

fn drop_alone(times_s: &[f64], rows: &mut Vec<usize>) {
    if rows.len() <= 4 * ALONE_ROWS {
        return;
    }
    let usual_s = usual_interval_s(rows.iter().map(|row| times_s[*row]));
    let hole = |rows: &[usize], after: usize| {
        let apart_s = times_s[rows[after]] - times_s[rows[after - 1]];
        apart_s > ALONE_S && apart_s > ALONE_INTERVALS * usual_s
    };
    if let Some(first) = (1..=ALONE_ROWS).rev().find(|after| hole(rows, *after)) {
        rows.drain(..first);
    }
    let count = rows.len();
    if let Some(end) = (count - ALONE_ROWS..count).find(|after| hole(rows, *after)) {
        rows.truncate(end);
    }
}

/// Times that rows share: one stamp for all rows of a second, or by mistake.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shared {
    /// Rows that share one time by rule, where they do.
    pub rows_each: Option<usize>,
    /// Rows that were given a time of their own.
    pub spread: usize,
}

/// Gives rows that share a time one of their own each, where there is room for them; `alike` tells whether rows `from..to` say the same
/// thing, so that one of them is enough.
pub fn spread(times_s: &mut [f64], alike: impl Fn(usize, usize) -> bool) -> Shared {
    let groups: Vec<(usize, usize)> = groups(times_s);
    if groups.len() == times_s.len() || groups.len() < 2 {
        return Shared::default();
    }
    let stamps: Vec<f64> = groups.iter().map(|group| times_s[group.0]).collect();
    let usual_s = usual_interval_s(stamps.iter().copied());
    let rows_each = rows_by_rule(&groups).filter(|_| {
        let same = groups.iter().filter(|(from, to)| alike(*from, *to)).count();
        same as f64 <= ALL_ALIKE * groups.len() as f64
    });
    let mut shared = Shared { rows_each, spread: 0 };
    for (index, (from, to)) in groups.iter().copied().enumerate() {
        let rows = to - from;
        let until_s = stamps.get(index + 1).map_or(usual_s, |next| next - stamps[index]);
        let room = until_s >= (rows as f64 - ROOM) * usual_s && !alike(from, to);
        let each = match rows_each {
            Some(each) => each.max(rows),
            None if room => rows,
            None => continue,
        };
        // The first group may have begun within its time.
        let skipped = if index == 0 { each - rows } else { 0 };
        let span_s = if rows_each.is_some() { until_s.min(usual_s) } else { until_s };
        let whole = if index == 0 || index + 1 == groups.len() { each } else { rows };
        for (place, time_s) in times_s[from..to].iter_mut().enumerate() {
            *time_s += span_s * (skipped + place) as f64 / whole as f64;
        }
        shared.spread += rows - 1;
    }
    shared
}

/// Neighbouring rows of one time.
fn groups(times_s: &[f64]) -> Vec<(usize, usize)> {
    let mut groups: Vec<(usize, usize)> = Vec::new();
    for row in 0..times_s.len() {
        match groups.last_mut() {
            Some(group) if times_s[group.0] == times_s[row] => group.1 = row + 1,
            _ => groups.push((row, row + 1)),
        }
    }
    groups
}

/// How many rows share each time, where that is a rule.
fn rows_by_rule(groups: &[(usize, usize)]) -> Option<usize> {
    let mut sizes: Vec<f64> = groups.iter().map(|(from, to)| (to - from) as f64).collect();
    let usual = quantile(&mut sizes, 0.5);
    let alike = sizes.iter().filter(|size| (*size - usual).abs() <= (ALIKE * usual).max(1.0)).count();
    let rule = usual >= 2.0 && groups.len() >= GROUPS && alike as f64 >= REGULAR * groups.len() as f64;
    rule.then_some(usual as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(times_s: &[f64], expected: &[usize], counts: [usize; 3]) {
        let found = order(times_s);
        assert_eq!(found.rows, expected, "{times_s:?}");
        assert_eq!([found.backward, found.moved, found.alone], counts, "{times_s:?}");
    }

    #[test]
    fn rows_in_order() {
        check(&[0.0, 1.0, 1.0, 2.0], &[0, 1, 2, 3], [0, 0, 0]);
        // One time wrong, either way.
        check(&[0.0, 1.0, 9e9, 3.0, 4.0], &[0, 1, 3, 4], [1, 0, 0]);
        check(&[0.0, 1.0, 2.0, -5.0, 4.0], &[0, 1, 2, 4], [1, 0, 0]);
        // Blocks and whole logs the other way round.
        check(&[10.0, 11.0, 12.0, 0.0, 1.0, 2.0], &[3, 4, 5, 0, 1, 2], [0, 6, 0]);
        check(&[3.0, 2.0, 1.0, 0.0], &[3, 2, 1, 0], [0, 4, 0]);
        // Two recordings at once: the longer stays.
        check(&[0.0, 1.0, 2.0, 3.0, 0.5, 1.5], &[0, 1, 2, 3], [2, 0, 0]);
        let mut times_s: Vec<f64> = (0..40).map(f64::from).collect();
        times_s[0] = -3000.0;
        check(&times_s, &(1..40).collect::<Vec<usize>>(), [0, 0, 1]);
        times_s[39] = 5000.0;
        check(&times_s, &(1..39).collect::<Vec<usize>>(), [0, 0, 2]);
        // A clock that was set from 1970 on the way.
        let set: Vec<f64> =
            (0..40).map(|k| if k < 15 { f64::from(k) } else { 1.7e9 + f64::from(k) }).collect();
        check(&set, &(15..40).collect::<Vec<usize>>(), [0, 0, 15]);
    }

    fn check_spread(stamps: &[f64], expected: &[f64], rows_each: Option<usize>) {
        let mut times_s = stamps.to_vec();
        let shared = spread(&mut times_s, |from, to| to - from < 2);
        assert_eq!(shared.rows_each, rows_each, "{stamps:?}");
        let near = times_s.iter().zip(expected).all(|(found, expected)| (found - expected).abs() < 1e-9);
        assert!(near && times_s.len() == expected.len(), "{times_s:?}");
    }

    #[test]
    fn shared_times() {
        let whole: Vec<f64> = (3..48).map(|k| f64::from(k / 5)).collect();
        let own: Vec<f64> = (3..48).map(|k| f64::from(k) / 5.0).collect();
        check_spread(&whole, &own, Some(5));
        check_spread(&[0.0, 1.0, 1.0, 3.0, 4.0], &[0.0, 1.0, 2.0, 3.0, 4.0], None);
        check_spread(&[0.0, 1.0, 1.0, 2.0, 3.0], &[0.0, 1.0, 1.0, 2.0, 3.0], None);
    }

    #[test]
    fn what_says_the_same_shares_its_time() {
        let mut times_s: Vec<f64> = (0..45).map(|k| f64::from(k / 5)).collect();
        let before = times_s.clone();
        assert_eq!(spread(&mut times_s, |_, _| true), Shared::default());
        assert_eq!(times_s, before);
    }
}
