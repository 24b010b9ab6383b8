//! Work in a process of its own: one that takes too long or too much memory can be ended, which a thread cannot.

use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// How often it is looked at: often at first, as most work is short.
const PAUSES: [Duration; 2] = [Duration::from_millis(1), Duration::from_millis(20)];

/// How work apart ended.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// It came to an end, whatever it found.
    Whole,
    /// A fault ended it.
    Fault,
    /// It was ended, as it took too long.
    TooLong,
    /// It was ended, as it took too much memory.
    TooLarge,
    /// It could not be begun.
    NotBegun,
}

/// Runs a program to its end, unless it takes more memory or `is_too_long` says so. Its standard input ends with this
/// program, so that it can end too.
pub fn run(command: &mut Command, most_bytes: u64, is_too_long: &mut dyn FnMut() -> bool) -> End {
    let quiet = command.stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null());
    let Ok(mut child) = quiet.spawn() else { return End::NotBegun };
    let mut pause = PAUSES[0];
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return End::Whole,
            // What the command line refuses is no fault of the files; whoever asked is told when they are read.
            Ok(Some(status)) if status.code() == Some(2) => return End::NotBegun,
            Ok(Some(_)) => return End::Fault,
            Err(_) => return ended(child, End::NotBegun),
            Ok(None) if memory_bytes(child.id()) > most_bytes => return ended(child, End::TooLarge),
            Ok(None) if is_too_long() => return ended(child, End::TooLong),
            Ok(None) => {}
        }
        std::thread::sleep(pause);
        pause = PAUSES[1].min(pause * 2);
    }
}

fn ended(mut child: Child, end: End) -> End {
    let _ = child.kill();
    let _ = child.wait();
    end
}

/// The memory that a process has for itself (proc(5), `VmRSS`); 0 where the system does not tell it so.
fn memory_bytes(process: u32) -> u64 {
    let status = super::read_text(format!("/proc/{process}/status").as_ref()).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let kib = line.and_then(|rest| rest.trim().strip_suffix(" kB")?.trim().parse::<u64>().ok());
    kib.unwrap_or(0) * 1024
}

/// Ends this process when the one that began it ends.
pub fn end_with_parent() {
    std::thread::spawn(|| {
        let _ = std::io::copy(&mut std::io::stdin(), &mut std::io::sink());
        std::process::exit(1);
    });
}

#[cfg(test)]
mod tests {
    #[cfg(unix)]
    use super::*;

    /// On a busy machine what ends by itself takes a while, too.
    #[cfg(unix)]
    fn check(script: &str, most_bytes: u64, end: End) {
        let since = crate::world::now();
        let most = Duration::from_millis(if end == End::TooLong { 200 } else { 60_000 });
        let mut late = || crate::world::now().duration_since(since).unsigned_abs() > most;
        assert_eq!(run(Command::new("sh").args(["-c", script]), most_bytes, &mut late), end, "{script}");
    }

    #[cfg(unix)]
    #[test]
    fn each_end_is_told() {
        const MUCH: u64 = 1 << 40;
        check("exit 0", MUCH, End::Whole);
        check("exit 2", MUCH, End::NotBegun);
        check("exit 101", MUCH, End::Fault);
        check("kill -9 $$", MUCH, End::Fault);
        check("while :; do :; done", MUCH, End::TooLong);
        if cfg!(target_os = "linux") {
            check("x=1234567890123456; while :; do x=$x$x; done", 64 << 20, End::TooLarge);
        }
        let missing = &mut Command::new("/no/such/program");
        assert_eq!(run(missing, MUCH, &mut || false), End::NotBegun);
    }
}
