//! What `--help` says. A text for each command lies beside this: first the question that it answers,
//! then examples that a test runs, then what it does not tell.

use clap::builder::StyledStr;
use clap::{Command, CommandFactory};
use crownwheel_answers::text::{within, wrapped};

use crate::args::Args;
use crate::screen::help_columns;

/// Widest help, columns.
const WIDEST: usize = 100;

/// The commands in the order of a workshop.
const GROUPS: [(&str, &[&str]); 4] = [
    ("Before buying", &["new", "check", "weigh", "pull", "charge", "gauges", "range", "report"]),
    ("Choosing", &["sweep", "compare", "explain", "explore"]),
    ("After the build", &["coastdown", "trip", "audit"]),
    ("Reference", &["cycles", "keys", "completions", "man", "help"]),
];

/// What is worth typing first.
const FIRST: [(&str, &str); 3] = [
    ("crownwheel new my-car", "a build that runs; change its numbers to those of your car"),
    ("crownwheel check my-car", "what was understood, and what was assumed"),
    ("crownwheel report my-car", "everything about it as one page"),
];

/// Begins what stands below the options.
const EXAMPLES: &str = "Examples:";

/// The text of each command.
const TEXTS: &[(&str, &str)] = &[
    ("new", include_str!("new.txt")),
    ("check", include_str!("check.txt")),
    ("weigh", include_str!("weigh.txt")),
    ("pull", include_str!("pull.txt")),
    ("charge", include_str!("charge.txt")),
    ("gauges", include_str!("gauges.txt")),
    ("range", include_str!("range.txt")),
    ("report", include_str!("report.txt")),
    ("sweep", include_str!("sweep.txt")),
    ("compare", include_str!("compare.txt")),
    ("explain", include_str!("explain.txt")),
    ("explore", include_str!("explore.txt")),
    ("trip", include_str!("trip.txt")),
    ("audit", include_str!("audit.txt")),
    ("coastdown", include_str!("coastdown.txt")),
    ("cycles", include_str!("cycles.txt")),
    ("keys", include_str!("keys.txt")),
    ("completions", include_str!("completions.txt")),
    ("man", include_str!("man.txt")),
];

/// What stands below the options of the program itself.
const PROGRAM: &str = include_str!("program.txt");

/// The program's commands with their help, as wide as the screen.
pub(crate) fn command() -> Command {
    let columns = help_columns().min(WIDEST);
    let mut command = Args::command()
        .term_width(columns)
        .override_usage("crownwheel COMMAND [FILE] [OPTIONS]")
        .after_long_help(PROGRAM.trim_end())
        .after_help("`--help` says more; so does `crownwheel COMMAND --help` on each command.");
    for (name, text) in TEXTS {
        let (question, rest) = text.split_once(EXAMPLES).unwrap_or((text, ""));
        let rest = format!("{EXAMPLES}{}", rest.trim_end());
        command = command.mut_subcommand(name, |sub| {
            sub.long_about(question.trim().to_owned())
                .after_long_help(rest)
                .after_help("`--help` says more, with examples.")
        });
    }
    let template = template(&command, columns);
    command.help_template(template)
}

/// The whole help of the program: commands by what they are for.
fn template(command: &Command, columns: usize) -> StyledStr {
    let styles = command.get_styles();
    let (heading, literal) = (styles.get_header(), styles.get_literal());
    let mut text = String::from("{about-with-newline}\n{usage-heading} {usage}\n");
    let mut part = |title: &str, lines: &[(String, String)]| {
        let width = lines.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
        text.push_str(&format!("\n{heading}{title}:{heading:#}\n"));
        for (name, about) in lines {
            let first = format!("  {name:width$}  ");
            let said = within(Some(columns), || wrapped(&first, about));
            // The name alone is marked, once the lines are laid out.
            let marked = format!("  {literal}{name}{literal:#}");
            text.push_str(&said.replacen(&format!("  {name}"), &marked, 1));
        }
    };
    let owned = |(line, about): (&str, &str)| (line.to_owned(), about.to_owned());
    part("Type these first", &FIRST.map(owned));
    for (title, names) in GROUPS {
        let lines: Vec<(String, String)> = names
            .iter()
            .filter_map(|name| Some(((*name).to_owned(), about(command, name)?)))
            .collect();
        part(title, &lines);
    }
    text.push_str(&format!("\n{heading}Options:{heading:#}\n{{options}}{{after-help}}"));
    StyledStr::from(text)
}

/// What a command is for, in a line.
fn about(command: &Command, name: &str) -> Option<String> {
    if name == "help" {
        return Some("Print this, or the help of a command".to_owned());
    }
    Some(command.find_subcommand(name)?.get_about()?.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_has_a_text_and_a_place() {
        for sub in Args::command().get_subcommands() {
            let name = sub.get_name();
            let places = GROUPS.iter().flat_map(|(_, names)| *names).filter(|n| **n == name);
            assert_eq!(places.count(), 1, "{name}");
            let text = TEXTS.iter().find(|(known, _)| *known == name);
            assert!(text.is_some_and(|(_, text)| text.contains(EXAMPLES)), "{name}");
        }
    }

    /// A line of an example is not wrapped: it must be one to be copied.
    #[test]
    fn examples_fit_the_usual_screen() {
        for (name, text) in TEXTS.iter().chain(&[("the program", PROGRAM)]) {
            for line in text.lines().filter(|line| line.starts_with("    ")) {
                assert!(line.chars().count() <= 80, "{name}: {line}");
            }
        }
    }
}
