//! `check` for a terminal: what was understood, and every assumed value with the way to replace it.

use super::answers::{Tail, first_line, heading, tail};
use super::clean;
use super::layout::{grid_text, wrapped};
use crate::tables::assumed_table;
use crate::{Assumption, CheckAnswer, LineToAdd};

/// What to do with the lines below.
const OWN_NUMBER: &str = "A line that is offered holds the assumed value: put your own in its place, with how unsure it is.";

/// `check` for a terminal.
#[must_use]
pub fn check_text(answer: &CheckAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&answer.fact_grid()));
    for (title, grid) in answer.more_grids() {
        heading(&mut out, &title);
        out.push_str(&grid_text(&grid));
    }
    lines(&mut out, &answer.lines_to_add);
    assumed(&mut out, answer);
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &[],
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}

/// Lines of which it is known by how much they narrow; all of them where it is known of none.
fn lines(out: &mut String, all: &[LineToAdd]) {
    let knows = all.iter().any(|line| line.band_shrinks_pct.is_some());
    let shown: Vec<&LineToAdd> =
        all.iter().filter(|line| !knows || line.band_shrinks_pct.is_some()).collect();
    if shown.is_empty() {
        return;
    }
    heading(out, "Lines that would narrow the answers most");
    for add in shown {
        out.push_str(&format!("  {}\n", clean(&add.line)));
        out.push_str(&wrapped("      ", &add.why));
    }
}

/// What is assumed, the values that a line would narrow most first; keys that are alike stand together.
fn assumed(out: &mut String, answer: &CheckAnswer) {
    if answer.assumed.is_empty() {
        return;
    }
    heading(out, &assumed_table(&[]).title);
    out.push_str(&wrapped("  ", OWN_NUMBER));
    let place = |given: &Assumption| {
        let place = answer.lines_to_add.iter().position(|line| line.key == given.key);
        place.unwrap_or(answer.lines_to_add.len())
    };
    let mut ordered: Vec<&Assumption> = answer.assumed.iter().collect();
    ordered.sort_by_key(|given| place(given));
    let mut groups: Vec<Vec<&Assumption>> = Vec::new();
    for given in ordered {
        match groups.iter_mut().find(|group| alike(group[0], given)) {
            Some(group) => group.push(given),
            None => groups.push(vec![given]),
        }
    }
    groups.iter().for_each(|group| entry(out, group));
}

fn alike(a: &Assumption, b: &Assumption) -> bool {
    let said = |it: &Assumption| {
        (
            it.value.clone(),
            it.band.clone(),
            it.source.clone(),
            it.matters.clone(),
            it.find_out.clone(),
        )
    };
    said(a) == said(b)
}

fn entry(out: &mut String, group: &[&Assumption]) {
    let given = group[0];
    let keys: Vec<&str> = group.iter().map(|it| it.key.as_str()).collect();
    let band = given.band.as_ref().map_or_else(String::new, |band| format!(" {band}"));
    let head = format!("{} = {}{band}: {}", keys.join(", "), given.value, given.source);
    out.push_str(&wrapped("  ", &head));
    if let Some(matters) = &given.matters {
        out.push_str(&wrapped("      matters for: ", matters));
    }
    if let Some(how) = &given.find_out {
        out.push_str(&wrapped("      find it out: ", how));
    }
    for it in group {
        if let (Some(table), Some(line)) = (&it.table, &it.instead) {
            out.push_str(&format!("      then, in [{}]: {}\n", clean(table), clean(line)));
        }
    }
    if group.iter().all(|it| it.instead.is_none()) {
        out.push_str("      it follows from other keys of the build: write it in their place\n");
    }
}
