//! `licences`: whose work is linked into the program, and on which terms.

use clap::Args as ClapArgs;
use crownwheel_answers::text::grid_text;
use crownwheel_answers::{Table, Units};
use serde::Serialize;

use crate::outcome::{Failure, Outcome, print};
use crate::screen;

/// Package, version and terms, a line each, as built for 64-bit Linux; a test compares them with what
/// is linked.
const LINKED: &str = include_str!("../licences.tsv");

#[derive(Debug, ClapArgs)]
pub(crate) struct Licences {
    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// A package that is linked in.
#[derive(Debug, Serialize)]
struct LinkedPackage {
    package: &'static str,
    version: &'static str,
    licence: &'static str,
}

pub(crate) fn run(licences: &Licences) -> Result<Outcome, Failure> {
    let linked: Vec<LinkedPackage> = LINKED.lines().filter_map(read).collect();
    if licences.json {
        let json = serde_json::to_string_pretty(&linked)
            .map_err(|error| Failure::Failed(format!("cannot write the list as JSON: {error}")))?;
        print(&format!("{json}\n"))?;
    } else {
        print(&screen::shown(|| text(&linked)))?;
    }
    Ok(Outcome::Answered)
}

fn read(line: &'static str) -> Option<LinkedPackage> {
    let mut parts = line.split('\t');
    Some(LinkedPackage { package: parts.next()?, version: parts.next()?, licence: parts.next()? })
}

fn text(linked: &[LinkedPackage]) -> String {
    let table = Table::of("", "", Units::Metric, linked)
        .words("package", "package", |it| it.package)
        .words("version", "version", |it| it.version)
        .words("licence", "licence", |it| it.licence)
        .table();
    format!(
        "Crownwheel {} is free under the licence MIT; {} packages of others are linked in.\n\n{}",
        env!("CARGO_PKG_VERSION"),
        linked.len(),
        grid_text(&table.grid())
    )
}
