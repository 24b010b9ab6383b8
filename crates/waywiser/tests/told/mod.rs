//! Commands that a text shows, run one after another in a copy of the sample truck's folder, and what they say beside what the
//! text shows.
//!
//! - A block ```` ```console ```` holds commands behind `$ `, each with the lines that it says. No line: only the code counts. `...`
//!   stands for any lines. `(output)` stands for what is to be filled in. `(exit code 3)` as the last line is the code it ends with.
//! - A block ```` ```toml NAME ```` or ```` ```text NAME ```` is written to that file before the next command.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const ELISION: &str = "...";
const TO_FILL_IN: &str = "(output)";

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A fresh copy of the example's files, so that no test sees what another wrote.
pub fn example(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for entry in std::fs::read_dir(root().join("examples/demo")).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, folder.join(path.file_name().unwrap())).unwrap();
    }
    folder
}

/// A text with its commands run.
pub struct Told {
    /// The text with what the commands say.
    pub made: String,
    /// Commands that say something else than is shown.
    pub wrong: Vec<String>,
    /// Those among them whose lines hold an elision: they are changed by hand.
    pub by_hand: Vec<String>,
    /// How many commands were run.
    pub commands: usize,
}

/// Runs what a text shows.
pub fn told(text: &str, folder: &Path) -> Told {
    let mut told = Told { made: String::new(), wrong: Vec::new(), by_hand: Vec::new(), commands: 0 };
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        told.made.push_str(line);
        told.made.push('\n');
        let Some(kind) = line.strip_prefix("```").filter(|kind| !kind.is_empty()) else { continue };
        let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        match kind.split_once(' ') {
            Some((_, file)) => std::fs::write(folder.join(file), block.join("\n") + "\n").unwrap(),
            None if kind == "console" => {
                told.block(&block, folder);
                continue;
            }
            None => {}
        }
        told.made.push_str(&(block.join("\n") + "\n```\n"));
    }
    told
}

impl Told {
    fn block(&mut self, block: &[&str], folder: &Path) {
        let mut at = 0;
        while at < block.len() {
            let command = block[at].strip_prefix("$ ").unwrap_or_else(|| panic!("no command: {}", block[at]));
            let end = block[at + 1..].iter().position(|line| line.starts_with("$ "));
            let end = end.map_or(block.len(), |found| at + 1 + found);
            self.command(command, &block[at + 1..end], folder);
            at = end;
        }
        self.made.push_str("```\n");
    }

    fn command(&mut self, command: &str, shown: &[&str], folder: &Path) {
        self.commands += 1;
        let (said, code) = run(folder, command);
        let mut found: Vec<String> = said.lines().map(str::to_string).collect();
        found.extend((code != 0).then(|| format!("(exit code {code})")));
        let output: Vec<&str> = found.iter().map(String::as_str).collect();
        let is_right = matches(shown, &output) || (shown.is_empty() && code == 0);
        if !is_right {
            self.wrong.push(format!("$ {command}\n{}", output.join("\n")));
            self.by_hand.extend(shown.contains(&ELISION).then(|| format!("$ {command}")));
        }
        let kept = is_right || shown.contains(&ELISION);
        self.made.push_str(&format!("$ {command}\n"));
        for line in if kept { shown } else { &output[..] } {
            self.made.push_str(line);
            self.made.push('\n');
        }
    }
}

/// What a command says on both outputs, and the code it ends with.
fn run(folder: &Path, command: &str) -> (String, i32) {
    let mut words = words(command);
    assert_eq!(words.remove(0), "waywiser", "{command}");
    let mut after = |mark: &str| {
        let at = words.iter().position(|word| word == mark)?;
        words.remove(at);
        Some(folder.join(words.remove(at)))
    };
    let (into, from) = (after(">"), after("<"));
    let mut program = Command::new(env!("CARGO_BIN_EXE_waywiser"));
    let from = from.map_or_else(Stdio::null, |from| Stdio::from(std::fs::File::open(from).unwrap()));
    // Nothing of this machine is read or written: records are kept in the folder.
    for name in ["HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"] {
        program.env(name, folder);
    }
    let program = program.env_remove("COLUMNS").args(&words).current_dir(folder).stdin(from);
    let output = program.output().unwrap();
    let mut said = String::from_utf8(output.stdout).unwrap();
    if let Some(into) = into {
        std::fs::write(into, said).unwrap();
        said = String::new();
    }
    said.push_str(&String::from_utf8(output.stderr).unwrap());
    (said, output.status.code().unwrap())
}

/// The words of a command; what stands in quotation marks is one.
pub fn words(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = None;
    for letter in command.chars() {
        match letter {
            '"' | '\'' if quoted == Some(letter) => quoted = None,
            '"' | '\'' if quoted.is_none() => quoted = Some(letter),
            ' ' if quoted.is_none() => words.push(String::new()),
            _ => words.last_mut().unwrap().push(letter),
        }
    }
    words
}

/// Whether `found` has the lines of `shown` in order, with anything where an elision stands.
fn matches(shown: &[&str], found: &[&str]) -> bool {
    match shown.split_first() {
        None => found.is_empty(),
        Some((first, _)) if *first == TO_FILL_IN => false,
        Some((first, rest)) if *first == ELISION => {
            (0..=found.len()).any(|skipped| matches(rest, &found[skipped..]))
        }
        Some((first, rest)) => found.first() == Some(first) && matches(rest, &found[1..]),
    }
}

#[test]
fn an_elision_stands_for_any_lines_but_no_others() {
    assert!(matches(&["a", "...", "c"], &["a", "b", "b", "c"]));
    assert!(matches(&["...", "c"], &["c"]));
    assert!(!matches(&["a", "...", "d"], &["a", "b", "c"]));
    assert!(!matches(&["a"], &["a", "b"]));
    assert!(!matches(&["(output)"], &["(output)"]));
}

#[test]
fn what_a_text_shows_is_compared() {
    let folder = example(concat!("told-", module_path!()));
    let check = |shown: &str, wrong: usize| {
        let text = format!("```text rules.txt\nnothing\n```\n```console\n{shown}```\n");
        let told = told(&text, &folder);
        assert_eq!((told.wrong.len(), told.commands), (wrong, 1), "{shown}: {:?}", told.wrong);
    };
    check("$ waywiser describe rules\n", 0);
    check("$ waywiser describe rules > there.txt\n", 0);
    check("$ waywiser describe rules\n...\n", 0);
    check("$ waywiser describe rules\nno rule at all\n", 1);
    check("$ waywiser describe rules\n...\n(exit code 3)\n", 1);
    check("$ waywiser describe vehicle rules.txt\n", 1);
    check("$ waywiser describe vehicle rules.txt\n...\n(exit code 1)\n", 0);
    check("$ waywiser describe vehicle \"no such file.toml\"\n", 1);
}
