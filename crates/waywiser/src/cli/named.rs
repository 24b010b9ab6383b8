//! Fields that problems name, as flags of the command line.

use truing::problem::{Field, Named, Problem};

/// A problem as the command line tells it: what can be said in a field is said with its flag, or by its key where the
/// vehicle file asks for it.
pub fn told(problem: &Problem) -> String {
    problem.named_by(|named| if named.is_key { named.as_key() } else { with_example(named) })
}

/// The flag of a field.
fn flag(field: Field) -> String {
    match field {
        Field::Counts => "--counts-per-mile".to_string(),
        _ => format!("--{}", field.key().replace('_', "-")),
    }
}

/// A flag as it is typed into a shell.
fn with_example(named: &Named) -> String {
    let flag = flag(named.field);
    match &named.example {
        None => flag,
        Some(word) if word.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | ':')) => {
            format!("{flag} {word}")
        }
        Some(text) => format!("{flag} \"{text}\""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use truing::problem::Wording;

    #[test]
    fn every_field_is_a_flag_of_a_command() {
        fn gather(command: &clap::Command, found: &mut Vec<String>) {
            found.extend(command.get_arguments().filter_map(|one| Some(format!("--{}", one.get_long()?))));
            command.get_subcommands().for_each(|below| gather(below, found));
        }
        let mut flags = Vec::new();
        gather(&crate::cli::commands(), &mut flags);
        for field in Field::ALL {
            assert!(flags.contains(&flag(field)), "{}", flag(field));
        }
    }

    #[test]
    fn a_field_is_told_as_it_is_typed() {
        let told =
            |named: Named| told(&Problem::note("log", "a", "b").hint(Wording::from("say ").field(named)));
        let columns = Field::TrackColumns.such_as("lat=..., lon=...");
        assert_eq!(
            told(columns.clone()),
            "log: expected a; found b. say --track-columns \"lat=..., lon=...\""
        );
        assert!(told(Field::Signal.such_as("MESSAGE.SIGNAL")).ends_with("say --signal MESSAGE.SIGNAL"));
        assert!(told(Field::Channel.into()).ends_with("say --channel"));
        assert!(
            told(Named { is_key: true, ..columns }).ends_with("say track_columns = \"lat=..., lon=...\"")
        );
    }

    #[test]
    fn a_field_at_fault_is_told_as_its_flag() {
        let problem = Problem::error(Field::OdometerRead, "a word", "none").in_part(Field::Channel);
        assert_eq!(told(&problem), "--odometer-read, --channel: expected a word; found none");
    }
}
