//! Reading files in a process of its own: a thread cannot be ended, a process can.

use crate::world::{self, End};
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::Command;
use std::time::Duration;
use truing::problem::Problem;

/// What ended the reading, where it was the program itself.
pub const FAULT: &str = "a fault of waywiser itself";

/// How files are read for the first time in a process of its own.
pub struct Apart {
    /// The program, and its words before those that say what to read.
    pub program: (PathBuf, Vec<OsString>),
    /// How long one file may take, and how much longer for each megabyte of it.
    pub time: (Duration, Duration),
    /// How much memory all of it may take at once (bytes).
    pub memory_bytes: u64,
}

impl Apart {
    /// This program. A day's drive of some megabytes takes a second or two; on a machine a tenth as fast a minute is patient
    /// still (judgement).
    pub fn usual() -> Option<Self> {
        let program = (world::own_program()?, vec!["apart".into()]);
        Some(Self { program, time: (Duration::from_secs(60), Duration::from_secs(1)), memory_bytes: 1 << 30 })
    }

    /// Does what these words say; for how long each file may take, `working_on` tells which it is at.
    pub fn run(&self, words: &[OsString], working_on: &dyn Fn() -> Vec<PathBuf>) -> End {
        let mut command = Command::new(&self.program.0);
        command.args(&self.program.1).args(words);
        let (mut files, mut since) = (Vec::new(), world::now());
        world::run_apart(&mut command, self.memory_bytes, &mut || {
            let now = working_on();
            if now != files {
                (files, since) = (now, world::now());
            }
            world::now().duration_since(since).unsigned_abs() > self.time_for(&files)
        })
    }

    fn time_for(&self, files: &[PathBuf]) -> Duration {
        let bytes: u64 = files.iter().filter_map(|file| world::stamp(file)).map(|stamp| stamp.bytes()).sum();
        let megabytes = u32::try_from(bytes >> 20).unwrap_or(u32::MAX);
        self.time.0.saturating_add(self.time.1.saturating_mul(megabytes))
    }

    /// What is to be said of such an end; nothing of one that is well.
    pub fn says(&self, end: End, files: &[PathBuf]) -> Option<String> {
        match end {
            End::Whole | End::NotBegun => None,
            End::Fault => Some(FAULT.to_string()),
            End::TooLong => Some(format!("no end within {} s", self.time_for(files).as_secs())),
            End::TooLarge => Some(format!("more than {} MB of memory taken up", self.memory_bytes >> 20)),
        }
    }
}

/// A file that ended the program where nothing sets it aside.
pub fn fault_in(files: &[PathBuf]) -> Problem {
    let names: Vec<String> = files.iter().map(|file| file.display().to_string()).collect();
    let source = if names.is_empty() { "what was asked".to_string() } else { names.join(" and ") };
    Problem::error(source, "a file that can be read to its end", FAULT)
        .hint("Take it out. Nothing else is lost. If it can be done, report it with the file.")
}
