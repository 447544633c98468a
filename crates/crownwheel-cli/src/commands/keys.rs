//! `keys`: the reference of the keys, from the same table that reads them.

mod listed;
mod schema;

use clap::Args as ClapArgs;
use crownwheel_answers::text::wrapped;
use crownwheel_files::keys::{self, KeyRow, Need};
use serde_json::Value;

use crate::outcome::{Failure, Outcome, print};
use crate::screen;

#[derive(Debug, ClapArgs)]
pub(crate) struct Keys {
    /// Only keys that have this word in their path or description
    pub(crate) word: Option<String>,
    /// The keys of a sweep's own file instead
    #[arg(long)]
    pub(crate) sweep: bool,
    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// Print a JSON Schema for editors that know TOML
    #[arg(long, conflicts_with_all = ["json", "word"])]
    pub(crate) schema: bool,
}

pub(crate) fn run(args: &Keys) -> Result<Outcome, Failure> {
    if args.schema {
        let schema = if args.sweep { schema::of_sweep() } else { schema::of_build() };
        print(&format!("{schema:#}\n"))?;
        return Ok(Outcome::Answered);
    }
    let word = args.word.as_deref().unwrap_or_default();
    let rows = if args.sweep { keys::search_sweep(word) } else { keys::search(word) };
    if args.json {
        let listed: Vec<Value> = rows.iter().map(|row| listed::entry(row)).collect();
        print(&format!("{:#}\n", Value::from(listed)))?;
        return Ok(Outcome::Answered);
    }
    let (owner, all) = match args.sweep {
        false => ("build", "crownwheel keys"),
        true => ("sweep", "crownwheel keys --sweep"),
    };
    let not_modelled = keys::search_not_modelled(word);
    if rows.is_empty() && !not_modelled.is_empty() {
        let all: Vec<String> =
            not_modelled.iter().map(|(path, what)| format!("`{path}` ({what})")).collect();
        return Err(Failure::Usage(format!("not modelled yet: {}", all.join(", "))));
    }
    if rows.is_empty() {
        return Err(Failure::Usage(format!(
            "no key of a {owner} has `{word}` in its path or description; `{all}` lists all"
        )));
    }
    let head = match word {
        "" => format!("A {owner} has {} keys; `*` stands for a name of your own.", rows.len()),
        _ => format!("{} of the {owner}'s keys have `{word}` in them.", rows.len()),
    };
    print(&screen::shown(|| {
        let entries: String = rows.iter().map(|row| entry(row)).collect();
        format!("{head}\n{entries}")
    }))?;
    Ok(Outcome::Answered)
}

fn entry(row: &KeyRow) -> String {
    let mut text = if row.example.starts_with('[') && row.example.contains(row.path) {
        format!("\n{}\n", row.example)
    } else {
        format!("\n{} = {}\n", row.path, row.example)
    };
    let mut line = |content: String| text.push_str(&wrapped("    ", &content));
    line(row.title.to_owned());
    line(format!("allowed: {}", row.allowed()));
    line(match row.need {
        Need::Required => "must be given".to_owned(),
        Need::Assumed { text, source } => format!("if not given: {text} ({source})"),
        Need::Derived { rule } => format!("if not given: {rule}"),
        _ => "may be left out".to_owned(),
    });
    text
}
