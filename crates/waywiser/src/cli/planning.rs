//! What is asked of the steps to a setting, by the command that gives them and by the sheet that prints them.

use crate::work::load::Loaded;
use crate::work::set::{Hands, REPEAT_AFTER_S, held_down};
use crate::work::typed::given;
use clap::Args;
use std::path::{Path, PathBuf};
use truing::problem::Problems;
use truing::set::Procedure;

/// What is asked of the steps.
#[derive(Args)]
pub struct Planning {
    /// The value to store instead of the advised one
    #[arg(long, value_name = "VALUE")]
    pub to: Option<String>,
    /// Which adjuster `--to` is for, where there are several
    #[arg(long, value_name = "NAME", requires = "to")]
    pub adjuster: Option<String>,
    /// Why it is to be stored although the advice is to check first; it belongs into the record
    #[arg(long, value_name = "REASON", conflicts_with = "to")]
    pub despite: Option<String>,
    /// Give the steps even where the truck would read worse with that value than now
    #[arg(long, requires = "to")]
    pub even_if_worse: bool,
    /// What the display shows by now, to plan again from there
    #[arg(long, value_name = "DIGITS")]
    pub shows: Option<String>,
    /// Steps a second that a held button makes by itself
    #[arg(long, value_name = "PER_SECOND")]
    pub repeat: Option<f64>,
    /// Seconds until a held button goes on by itself
    #[arg(long, value_name = "SECONDS", default_value_t = REPEAT_AFTER_S, requires = "repeat")]
    pub repeat_after: f64,
    /// Your own module's routine, one step a line
    #[arg(long, value_name = "FILE")]
    pub procedure: Option<PathBuf>,
    /// The rule to keep: an id, or the one of the file when left out
    #[arg(long, value_name = "RULE")]
    pub rule: Option<String>,
    /// Writes to keep
    #[arg(long, value_name = "NUMBER")]
    pub reserve: Option<u32>,
}

impl Planning {
    /// The owner's own routine, where one was given; what is to be looked at in it joins the problems.
    pub fn routine(&self, loaded: &mut Loaded) -> Result<Option<Procedure>, Problems> {
        self.procedure.as_deref().map(|path| own_procedure(loaded, path)).transpose()
    }

    /// How the owner sets.
    pub fn hands<'a>(&'a self, procedure: Option<&'a Procedure>) -> Hands<'a> {
        Hands {
            procedure,
            shows: self.shows.as_deref(),
            repeat: self.repeat.map(|per_second| held_down(per_second, self.repeat_after)),
            despite: self.despite.as_deref().and_then(given),
        }
    }
}

fn own_procedure(loaded: &mut Loaded, path: &Path) -> Result<Procedure, Problems> {
    let text = crate::world::read_text(path)?;
    let (procedure, problems) = Procedure::read(&path.display().to_string(), &text);
    if truing::problem::any_error(&problems) {
        return Err(problems.into());
    }
    loaded.problems.extend(problems);
    Ok(procedure)
}
