//! Procedures: plain text, one step a line, that anybody can write for their own module.
//!
//! ```text
//! # a remark; empty lines are passed over too
//! * a caution
//! A step to take. Store {target} in place of {present}.
//! ? a check that must come true: the display shows {target_display}
//! < how to back out without spending a write
//! ! a step that cannot be taken back
//! ```
//!
//! Before each `!` since the one before it there must be a `?` that names the target and a `<`; where they
//! are missing a warning says so. `{{` and `}}` stand for the braces themselves.

use super::part::{Part, part};
use super::{Step, Values};
use crate::nearest::nearest;
use crate::problem::{Problem, Problems};
use serde::Serialize;

/// What a step is.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepKind {
    /// Something to do; no mark.
    Do,
    /// Something that must be seen before going on; `?`.
    Check,
    /// Cannot be taken back; `!`.
    Irreversible,
    /// How to back out without spending a write; `<`.
    WayBack,
    /// A caution; `*`.
    Caution,
}

impl StepKind {
    fn of_mark(mark: char) -> Self {
        match mark {
            '?' => Self::Check,
            '!' => Self::Irreversible,
            '<' => Self::WayBack,
            '*' => Self::Caution,
            _ => Self::Do,
        }
    }
}

/// The words that may stand in braces.
pub const PLACEHOLDERS: [&str; 20] = [
    "vehicle",
    "present",
    "target",
    "present_display",
    "target_display",
    "writes_left",
    "writes_left_after",
    "left_before",
    "left_after",
    "present_upper",
    "present_lower",
    "target_upper",
    "target_lower",
    "fitting",
    "switches",
    "pressing",
    "presses",
    "button",
    "wraps",
    "checkpoints",
];

#[derive(Clone, Debug, PartialEq, Eq)]
enum Segment {
    Text(String),
    Placeholder(&'static str),
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Template {
    line: usize,
    kind: StepKind,
    parts: Vec<Segment>,
}

impl Template {
    fn presses(&self) -> bool {
        self.parts.iter().any(|part| matches!(part, Segment::Placeholder("pressing" | "presses")))
    }

    fn names_target(&self) -> bool {
        let names = |part: &Segment| {
            matches!(
                part,
                Segment::Placeholder("target" | "target_display" | "target_upper" | "target_lower")
            )
        };
        self.parts.iter().any(names)
    }

    fn has_switches(&self) -> bool {
        self.parts.contains(&Segment::Placeholder("switches"))
    }
}

/// A procedure as read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Procedure {
    source: String,
    templates: Vec<Template>,
}

impl Procedure {
    /// Reads a procedure; `source` names it in problems. A line with a mistake is left out of what is
    /// returned, and the mistake is an error among the problems.
    pub fn read(source: &str, text: &str) -> (Self, Vec<Problem>) {
        let mut problems = Vec::new();
        let mut templates = Vec::new();
        for (index, line) in text.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            match template(index + 1, line) {
                Ok(template) => templates.push(template),
                Err(problem) => {
                    problems.push(Problem { source: source.into(), ..problem.at_line(index + 1) })
                }
            }
        }
        if templates.is_empty() && problems.is_empty() {
            problems.push(
                Problem::error(source, "at least one step", "none").hint("Write one step on each line"),
            );
        }
        let procedure = Self { source: source.to_string(), templates };
        problems.extend(procedure.unguarded());
        (procedure, problems)
    }

    /// Whether any step of it cannot be taken back.
    pub fn is_irreversible(&self) -> bool {
        self.templates.iter().any(|template| template.kind == StepKind::Irreversible)
    }

    /// A warning for each irreversible step without a check of the target or a way back before it.
    fn unguarded(&self) -> Vec<Problem> {
        let (mut checked, mut way_back, mut problems) = (false, false, Vec::new());
        for step in &self.templates {
            checked |= step.kind == StepKind::Check && step.names_target();
            way_back |= step.kind == StepKind::WayBack;
            if step.kind == StepKind::Irreversible {
                if !checked {
                    problems.push(self.warning(step, "a check `?` that names {target} or {target_display}"));
                }
                if !way_back {
                    problems
                        .push(self.warning(step, "a line `<` on how to back out without spending a write"));
                }
                (checked, way_back) = (false, false);
            }
        }
        problems
    }

    fn warning(&self, step: &Template, expected: &str) -> Problem {
        Problem::warning(
            &self.source,
            format!("{expected} before the step that cannot be taken back"),
            "none",
        )
        .at_line(step.line)
        .hint("Add it, so that a slip of the finger costs no write")
    }

    /// The steps with everything filled in.
    pub(super) fn fill(&self, values: &Values) -> Result<Vec<Step>, Problems> {
        let mut problems = Vec::new();
        let mut steps = Vec::new();
        for template in &self.templates {
            let mut parts = Vec::new();
            for segment in &template.parts {
                match segment {
                    Segment::Text(words) => parts.push(Part::Words(words.clone())),
                    Segment::Placeholder(name) => match part(name, values) {
                        Some(part) => parts.push(part),
                        None => problems.push(self.nothing_to_say(template, name)),
                    },
                }
            }
            let switches = if template.has_switches() { values.switches.clone() } else { Vec::new() };
            let (kind, presses) = (template.kind, template.presses());
            steps.push(Step { parts, kind, presses, switches });
        }
        if problems.is_empty() { Ok(steps) } else { Err(problems.into()) }
    }

    fn nothing_to_say(&self, template: &Template, name: &str) -> Problem {
        let (expected, hint) = match name {
            "present_upper" | "present_lower" | "target_upper" | "target_lower" | "fitting" => (
                "a setting of two parts, such as a pair of gears",
                "Write {present} or {target}, which every setting has",
            ),
            "switches" => ("a conditioner with switches", "Say in words of your own how the ratio is set"),
            _ => (
                "an adjuster with buttons",
                "Name the buttons of the adjuster, or say in words of your own how the value is entered",
            ),
        };
        Problem::error(&self.source, expected, "one without")
            .at_line(template.line)
            .in_part(format!("{{{name}}}"))
            .hint(hint)
    }
}

fn template(line_number: usize, line: &str) -> Result<Template, Problem> {
    let mark = line.chars().next().unwrap_or(' ');
    let kind = StepKind::of_mark(mark);
    let text = if kind == StepKind::Do { line } else { line[mark.len_utf8()..].trim_start() };
    if text.is_empty() {
        return Err(Problem::error("", format!("a sentence after `{mark}`"), "nothing")
            .hint("Write it, or drop the line"));
    }
    Ok(Template { line: line_number, kind, parts: parts(text)? })
}

/// Cuts a line at its braces.
fn parts(text: &str) -> Result<Vec<Segment>, Problem> {
    let (mut parts, mut words, mut rest) = (Vec::new(), String::new(), text);
    while let Some(at) = rest.find(['{', '}']) {
        words.push_str(&rest[..at]);
        let from_brace = &rest[at..];
        if from_brace.starts_with("{{") || from_brace.starts_with("}}") {
            words.push_str(&from_brace[..1]);
            rest = &from_brace[2..];
            continue;
        }
        let (name, after) = placeholder(from_brace)?;
        parts.push(Segment::Text(core::mem::take(&mut words)));
        parts.push(Segment::Placeholder(name));
        rest = after;
    }
    words.push_str(rest);
    parts.push(Segment::Text(words));
    Ok(parts)
}

/// The placeholder at the start, and what follows it.
fn placeholder(from_brace: &str) -> Result<(&'static str, &str), Problem> {
    let inside = from_brace.strip_prefix('{').and_then(|text| text.split_once('}'));
    let Some((name, after)) = inside else {
        return Err(Problem::error("", "a word between { and }", "a single brace")
            .hint("Close it, or write it twice to show the brace itself"));
    };
    match PLACEHOLDERS.iter().find(|known| **known == name.trim()) {
        Some(known) => Ok((known, after)),
        None => Err(unknown(name)),
    }
}

fn unknown(name: &str) -> Problem {
    let hint = match nearest(name.trim(), PLACEHOLDERS) {
        Some(meant) => format!("Did you mean {{{meant}}}?"),
        None => "Use one of these, or write the words out".to_string(),
    };
    Problem::error("", format!("one of {}", PLACEHOLDERS.join(", ")), name)
        .in_part(format!("{{{name}}}"))
        .hint(hint)
}
