//! What `--help` says. A text for each command lies beside this: first the question that it answers,
//! then examples that a test runs, then what it does not tell.

use clap::builder::StyledStr;
use clap::{Command, CommandFactory};
use crownwheel_answers::text::{within, wrapped};

use crate::commands::Args;
use crate::commands::{ROWS, Row};
use crate::screen::help_columns;

/// Widest help, columns.
const WIDEST: usize = 100;

/// What is worth typing first.
const FIRST: [(&str, &str); 3] = [
    ("crownwheel new my-car", "a build that runs; change its numbers to those of your car"),
    ("crownwheel check my-car", "what was understood, and what was assumed"),
    ("crownwheel report my-car", "everything about it as one page"),
];

/// Begins what stands below the options.
const EXAMPLES: &str = "Examples:";

/// What stands below the options of the program itself.
const PROGRAM: &str = include_str!("help/program.txt");

/// The program's commands with their help, as wide as the screen.
pub(crate) fn command() -> Command {
    let columns = help_columns().min(WIDEST);
    let mut command = Args::command()
        .term_width(columns)
        .override_usage("crownwheel COMMAND [FILE] [OPTIONS]")
        .after_long_help(PROGRAM.trim_end())
        .after_help("`--help` says more; so does `crownwheel COMMAND --help` on each command.");
    for Row { name, text, .. } in ROWS {
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
    for of_group in ROWS.chunk_by(|a, b| a.group == b.group) {
        let names = of_group.iter().map(|row| row.name);
        // The parser's own command comes last.
        let last = (of_group.last().map(|row| row.name) == ROWS.last().map(|row| row.name))
            .then_some("help");
        let line = |name: &str| Some((name.to_owned(), about(command, name)?));
        let lines: Vec<(String, String)> = names.chain(last).filter_map(line).collect();
        part(of_group[0].group, &lines);
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
    fn every_text_has_examples_and_every_group_stands_once() {
        assert!(ROWS.iter().all(|row| row.text.contains(EXAMPLES)));
        let mut groups: Vec<&str> = ROWS.iter().map(|row| row.group).collect();
        groups.dedup();
        let all = groups.len();
        groups.sort_unstable();
        groups.dedup();
        assert_eq!(groups.len(), all, "{groups:?}");
    }

    /// A line of an example is not wrapped: it must be one to be copied.
    #[test]
    fn examples_fit_the_usual_screen() {
        let texts = ROWS.iter().map(|row| (row.name, row.text)).chain([("the program", PROGRAM)]);
        for (name, text) in texts {
            for line in text.lines().filter(|line| line.starts_with("    ")) {
                assert!(line.chars().count() <= 80, "{name}: {line}");
            }
        }
    }
}
