//! What is too large today and may only shrink: `ratchet.txt` holds the present size of each exception.

use std::collections::BTreeMap;

/// Something that is over its limit: what and where, its size, and what to do about it.
pub type Sizes = BTreeMap<String, (usize, &'static str)>;

/// Reads lines of `size what and where`; empty lines and those that begin with `#` say nothing.
fn read(list: &str) -> BTreeMap<String, usize> {
    let lines = list.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
    lines
        .map(|line| {
            let (size, key) = line.split_once(' ').unwrap_or_else(|| panic!("no size in `{line}`"));
            (
                key.trim().to_string(),
                size.parse().unwrap_or_else(|_| panic!("`{size}` in `{line}` is no size")),
            )
        })
        .collect()
}

/// Compares what was found with the list. Anything but equal is a complaint: what grew has to shrink, and what
/// shrank is written down, so that it cannot grow back.
pub fn check(found: &Sizes, list: &str) -> Vec<String> {
    let allowed = read(list);
    let new_or_changed = found.iter().filter_map(|(key, &(size, advice))| match allowed.get(key) {
        Some(&before) if before == size => None,
        Some(&before) if size > before => Some(format!("{key}: grew from {before} to {size}; {advice}")),
        Some(_) => Some(format!("{key}: shrank to {size}; write `{size} {key}` in ratchet.txt")),
        None => Some(format!("{key}: {size} is over the limit; {advice}")),
    });
    let gone = allowed.keys().filter(|key| !found.contains_key(*key));
    new_or_changed.chain(gone.map(|key| format!("{key}: no longer needed in ratchet.txt"))).collect()
}
