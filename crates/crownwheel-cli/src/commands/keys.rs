//! `keys`: the reference of the build's keys, from the same table that reads them.

use crownwheel_answers::text::wrapped;
use crownwheel_files::keys::{KeyRow, Need, search};

use crate::args::Keys;
use crate::outcome::{Failure, Outcome, print};

pub(crate) fn run(keys: &Keys) -> Result<Outcome, Failure> {
    let word = keys.word.as_deref().unwrap_or_default();
    let rows = search(word);
    if rows.is_empty() {
        return Err(Failure::Usage(format!(
            "no key has `{word}` in its path or description; `crownwheel keys` lists all"
        )));
    }
    let mut text = match word {
        "" => format!("A build has {} keys; `*` stands for a name of your own.\n", rows.len()),
        _ => format!("{} of the build's keys have `{word}` in them.\n", rows.len()),
    };
    rows.iter().for_each(|row| text.push_str(&entry(row)));
    print(&text)?;
    Ok(Outcome::Answered)
}

fn entry(row: &KeyRow) -> String {
    let mut text = format!("\n{} = {}\n", row.path, row.example);
    let mut line = |content: String| text.push_str(&wrapped("    ", &content));
    line(row.words.to_owned());
    line(format!("allowed: {}", row.allowed()));
    line(match row.need {
        Need::Required => "must be given".to_owned(),
        Need::Assumed { text, source } => format!("if not given: {text} ({source})"),
        Need::Derived { rule } => format!("if not given: {rule}"),
        _ => "may be left out".to_owned(),
    });
    text
}
