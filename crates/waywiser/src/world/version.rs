//! Which build this is.

/// The version; in a package also the commit and its date, which `scripts/package.sh` gives to the compiler.
pub const BUILD: &str = match option_env!("WAYWISER_BUILD") {
    Some(build) => build,
    None => env!("CARGO_PKG_VERSION"),
};

/// What papers say made them.
pub fn software() -> String {
    format!("waywiser {BUILD}")
}

/// The build and what was built into it.
pub fn with_parts() -> String {
    let parts = [
        ("lan", cfg!(feature = "lan")),
        ("live", cfg!(feature = "live")),
        ("page", cfg!(feature = "page")),
        ("paper", cfg!(feature = "paper")),
        ("sound", cfg!(feature = "sound")),
    ];
    let parts: Vec<&str> = parts.into_iter().filter(|(_, is_in)| *is_in).map(|(part, _)| part).collect();
    match parts.is_empty() {
        true => format!("{BUILD}, the terminal alone"),
        false => format!("{BUILD}, with {}", parts.join(", ")),
    }
}
