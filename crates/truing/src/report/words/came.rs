//! What is said of files that just came in.

/// With what a piece counts, as far as the vehicle file says; none where it says nothing of it.
///
/// ```
/// use truing::report::words::came::taken_with;
/// let set = ["1479".to_string()];
/// assert_eq!(
///     taken_with(&set, Some("winter")).unwrap(),
///     "It counts as taken with 1479 stored and the winter tires on."
/// );
/// assert_eq!(taken_with(&[], None), None);
/// ```
pub fn taken_with(set: &[String], mounted: Option<&str>) -> Option<String> {
    let stored = (!set.is_empty()).then(|| format!("{} stored", set.join(" and ")));
    let on = mounted.map(|tires| format!("{} on", tires_in_words(tires)));
    let said: Vec<String> = stored.into_iter().chain(on).collect();
    (!said.is_empty()).then(|| format!("It counts as taken with {}.", said.join(" and ")))
}

/// A set of tires by its name, or by its size, in which there is a digit.
///
/// ```
/// use truing::report::words::came::tires_in_words;
/// assert_eq!(tires_in_words("winter"), "the winter tires");
/// assert_eq!(tires_in_words("LT275/75R17"), "LT275/75R17");
/// ```
pub fn tires_in_words(tires: &str) -> String {
    if tires.contains(|c: char| c.is_ascii_digit()) {
        tires.to_string()
    } else {
        format!("the {tires} tires")
    }
}
