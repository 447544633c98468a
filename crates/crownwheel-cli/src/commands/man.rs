//! `man`: a page of the manual for the program and for each command.

use std::fs;
use std::path::Path;
use std::path::PathBuf;

use clap::Args as ClapArgs;
use clap::Command;
use clap_mangen::Man as Page;
use clap_mangen::roff::{Roff, roman};

use crate::help;
use crate::outcome::{Failure, Outcome, print, shown};
use crate::staging::{StagingFolder, refuse_unordinary};
use crate::values::a_folder;

#[derive(Debug, ClapArgs)]
pub(crate) struct Man {
    /// Folder to write into; made if it is not there
    #[arg(value_parser = a_folder())]
    pub(crate) dir: PathBuf,
    /// Replace files of the same name that are not ours
    #[arg(long)]
    pub(crate) force: bool,
}

/// First line of a page: what begins so is ours to replace.
const MARK: &str = ".\\\" Written by `crownwheel man`, which replaces it when it is run again.\n";

pub(crate) fn run(args: &Man) -> Result<Outcome, Failure> {
    let pages = pages()?;
    for (name, _) in &pages {
        refuse_unordinary(&args.dir.join(name))?;
    }
    let foreign: Vec<&str> = pages
        .iter()
        .map(|(name, _)| name.as_str())
        .filter(|name| !is_ours(&args.dir.join(name)))
        .collect();
    if !foreign.is_empty() && !args.force {
        return Err(Failure::Failed(format!(
            "nothing was written: `{}` holds pages that this program did not write: {}; name another folder, or replace them with --force",
            shown(&args.dir),
            foreign.join(", ")
        )));
    }
    let mut staging = StagingFolder::open(&args.dir)?;
    let staged = pages.iter().map(|(name, page)| staging.bytes(name, page));
    let staged = staged.collect::<Result<Vec<_>, Failure>>()?;
    for ((name, _), staged) in pages.iter().zip(&staged) {
        staging.put(staged, name)?;
    }
    drop(staging);
    print(&format!("{} pages are in {}\n", pages.len(), shown(&args.dir)))?;
    Ok(Outcome::Answered)
}

/// Whether a page is missing, or was written by us.
fn is_ours(path: &Path) -> bool {
    match path.symlink_metadata() {
        Err(_) => true,
        Ok(about) => {
            about.is_file() && fs::read(path).is_ok_and(|old| old.starts_with(MARK.as_bytes()))
        }
    }
}

/// Names of the pages, and what they hold.
fn pages() -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut command = help::command().disable_help_subcommand(true);
    command.build();
    let named = command
        .get_subcommands()
        .map(|sub| (format!("crownwheel-{}", sub.get_name()), sub.clone()));
    let all: Vec<(String, Command)> =
        std::iter::once(("crownwheel".to_owned(), command.clone())).chain(named).collect();
    all.into_iter().map(|(name, command)| Ok((format!("{name}.1"), page(name, command)?))).collect()
}

fn page(name: String, command: Command) -> Result<Vec<u8>, Failure> {
    let below = command.get_after_long_help().map(ToString::to_string).unwrap_or_default();
    let page = Page::new(command).title(name.to_uppercase()).manual("Crownwheel");
    let mut bytes = MARK.as_bytes().to_vec();
    let parts = [
        Page::render_title,
        Page::render_name_section,
        Page::render_synopsis_section,
        Page::render_description_section,
        Page::render_options_section,
    ];
    let has_commands = name == "crownwheel";
    parts
        .into_iter()
        .try_for_each(|part| part(&page, &mut bytes))
        .and_then(|()| match has_commands {
            true => page.render_subcommands_section(&mut bytes),
            false => Ok(()),
        })
        .and_then(|()| sections(&below).to_writer(&mut bytes))
        .map_err(|error| Failure::Failed(format!("cannot make the page {name}: {error}")))?;
    Ok(bytes)
}

/// What stands below the options: a line that ends in a colon heads a section, indented lines stay as they
/// are, others are sentences.
fn sections(text: &str) -> Roff {
    let mut roff = Roff::new();
    let mut is_block = false;
    for line in text.lines() {
        let in_block = line.starts_with("    ");
        if in_block != is_block {
            roff.control(if in_block { "nf" } else { "fi" }, []);
            is_block = in_block;
        }
        match line.strip_suffix(':') {
            _ if in_block => {
                roff.text([roman(line)]);
            }
            Some(title) => {
                roff.control("SH", [title.to_uppercase().as_str()]);
            }
            None if line.is_empty() => {
                roff.control("PP", []);
            }
            None => {
                roff.text([roman(line)]);
            }
        }
    }
    if is_block {
        roff.control("fi", []);
    }
    roff
}
