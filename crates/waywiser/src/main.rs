//! The one binary.

fn main() -> std::process::ExitCode {
    waywiser::cli::run()
}
