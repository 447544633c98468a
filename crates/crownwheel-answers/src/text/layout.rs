//! Aligned columns and wrapped sentences, by the width that characters take on a screen.

use std::cell::Cell;
use std::collections::BTreeSet;

use crownwheel_quantities::text::clean;
use unicode_width::UnicodeWidthStr;

use crate::table::{Grid, Shown};

/// Columns of sentences, unless a screen is narrower.
const LINE_WIDTH: usize = 100;

/// Narrowest screen that is provided for, columns.
const NARROWEST: usize = 40;

/// Narrowest cell that a table's words are wrapped to, columns.
const NARROWEST_CELL: usize = 24;

/// Blanks between columns of a table.
const GAP: usize = 2;

thread_local! {
    /// Columns of the screen that text is made for. `None`: it is for a file, or for another program.
    static SCREEN: Cell<Option<usize>> = const { Cell::new(None) };
}

/// A grid with its texts made harmless.
struct Lines {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
    right: Vec<bool>,
}

/// Makes text for a screen of so many columns: sentences are wrapped to it, and tables that are wider
/// are parted. Without a screen a text is the same everywhere.
pub fn within<T>(columns: Option<usize>, make: impl FnOnce() -> T) -> T {
    let before = SCREEN.replace(columns.map(|columns| columns.max(NARROWEST)));
    let made = make();
    SCREEN.set(before);
    made
}

fn line_width() -> usize {
    SCREEN.get().map_or(LINE_WIDTH, |columns| columns.min(LINE_WIDTH))
}

/// A grid with aligned columns, two blanks between them, a line under the heading. On a screen that is
/// too narrow headings take several lines, then the widest words do; where that is not enough the columns
/// are parted into several tables, each with those that tell the rows apart.
#[must_use]
pub fn grid_text(grid: &Grid) -> String {
    let cleaned = |row: &Vec<Shown>| row.iter().map(|cell| clean(&cell.text)).collect();
    lines_text(&Lines {
        head: grid.head.iter().map(|head| clean(head)).collect(),
        rows: grid.rows.iter().map(cleaned).collect(),
        right: grid.right.clone(),
    })
}

fn lines_text(grid: &Lines) -> String {
    let widths = widths(grid);
    let Some(screen) = SCREEN.get().filter(|screen| total(&widths) > *screen) else {
        return table_text(grid, &widths);
    };
    let widths = with_heads_wrapped(grid, widths, screen);
    if let Some(narrower) = fitted(&widths, &grid.right, screen) {
        return table_text(grid, &narrower);
    }
    let part = |columns: &Vec<usize>| {
        let pick = |cells: &Vec<String>| {
            columns.iter().map(|i| cells.get(*i).cloned().unwrap_or_default()).collect()
        };
        let part = Lines {
            head: pick(&grid.head),
            rows: grid.rows.iter().map(pick).collect(),
            right: columns.iter().map(|i| grid.right.get(*i).copied().unwrap_or(false)).collect(),
        };
        let own: Vec<usize> = columns.iter().map(|i| widths[*i]).collect();
        table_text(&part, fitted(&own, &part.right, screen).as_ref().unwrap_or(&own))
    };
    let parts = parted(&widths, keys_of(grid, &widths, screen), screen);
    parts.iter().map(part).collect::<Vec<_>>().join("\n")
}

/// Width of each column.
fn widths(grid: &Lines) -> Vec<usize> {
    let widest = |i: usize| {
        let cells = grid.rows.iter().filter_map(|row| row.get(i));
        cells.chain([&grid.head[i]]).map(|cell| cell.width()).max().unwrap_or(0)
    };
    (0..grid.head.len()).map(widest).collect()
}

fn total(widths: &[usize]) -> usize {
    widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1)
}

/// The widths made narrower, as far as they must be, down to the longest word of each heading.
fn with_heads_wrapped(grid: &Lines, mut widths: Vec<usize>, screen: usize) -> Vec<usize> {
    let least = |i: usize| {
        let words = grid.head[i].split(' ').map(UnicodeWidthStr::width);
        let cells = grid.rows.iter().filter_map(|row| row.get(i)).map(|cell| cell.width());
        words.chain(cells).max().unwrap_or(0)
    };
    let least: Vec<usize> = (0..widths.len()).map(least).collect();
    while total(&widths) > screen {
        let spare = |i: &usize| widths[*i].saturating_sub(least[*i]);
        match (0..widths.len()).max_by_key(spare).filter(|i| spare(i) > 0) {
            Some(i) => widths[i] -= 1,
            None => break,
        }
    }
    widths
}

/// Widths that fit: as they are, or with the widest column of words made as narrow as it must be.
/// `None`: it would be too narrow to read.
fn fitted(widths: &[usize], right: &[bool], screen: usize) -> Option<Vec<usize>> {
    let over = total(widths).saturating_sub(screen);
    if over == 0 {
        return Some(widths.to_vec());
    }
    let words = (0..widths.len()).filter(|i| !right.get(*i).copied().unwrap_or(false));
    let widest = words.max_by_key(|i| widths[*i])?;
    let narrower = widths[widest].checked_sub(over).filter(|width| *width >= NARROWEST_CELL)?;
    let mut all = widths.to_vec();
    all[widest] = narrower;
    Some(all)
}

/// How many of the first columns tell the rows apart; one, where they would take half of the screen.
fn keys_of(grid: &Lines, widths: &[usize], screen: usize) -> usize {
    let tells = |keys: &usize| {
        let names: BTreeSet<&[String]> =
            grid.rows.iter().map(|row| &row[..(*keys).min(row.len())]).collect();
        names.len() == grid.rows.len()
    };
    let keys = (1..widths.len()).find(tells).unwrap_or(1);
    if 2 * total(&widths[..keys.min(widths.len())]) > screen { 1 } else { keys }
}

/// Columns that fit beside the first ones, block by block.
fn parted(widths: &[usize], keys: usize, screen: usize) -> Vec<Vec<usize>> {
    let keys = keys.min(widths.len());
    let names: Vec<usize> = (0..keys).collect();
    let mut parts: Vec<Vec<usize>> = Vec::new();
    let mut used = usize::MAX;
    for (i, width) in widths.iter().enumerate().skip(keys) {
        if used.saturating_add(GAP + width) > screen {
            parts.push(names.clone());
            used = total(&widths[..keys]);
        }
        used += GAP + width;
        if let Some(part) = parts.last_mut() {
            part.push(i);
        }
    }
    if parts.is_empty() { vec![names] } else { parts }
}

fn table_text(grid: &Lines, widths: &[usize]) -> String {
    let mut out = row_text(&grid.head, widths, &grid.right, true);
    let rule: Vec<String> = widths.iter().map(|width| "─".repeat(*width)).collect();
    out.push_str(&line(&rule, widths, &grid.right));
    for row in &grid.rows {
        out.push_str(&row_text(row, widths, &grid.right, false));
    }
    out
}

/// A row in as many lines as its longest cell takes; a heading stands on the line below it.
fn row_text(cells: &[String], widths: &[usize], right: &[bool], is_head: bool) -> String {
    if cells.iter().zip(widths).all(|(cell, width)| cell.width() <= *width) {
        return line(cells, widths, right);
    }
    let wrapped = |(cell, width): (&String, &usize)| -> Vec<String> {
        if cell.width() <= *width {
            return vec![cell.clone()];
        }
        broken("", cell, *width).lines().map(str::to_owned).collect()
    };
    let cells: Vec<Vec<String>> = cells.iter().zip(widths).map(wrapped).collect();
    let lines = cells.iter().map(Vec::len).max().unwrap_or(0);
    let nth = |n: usize| -> Vec<String> {
        let of = |cell: &Vec<String>| {
            let above = if is_head { lines - cell.len() } else { 0 };
            n.checked_sub(above).and_then(|n| cell.get(n)).cloned().unwrap_or_default()
        };
        cells.iter().map(of).collect()
    };
    (0..lines).map(|n| line(&nth(n), widths, right)).collect()
}

fn line(cells: &[String], widths: &[usize], right: &[bool]) -> String {
    let padded = cells.iter().zip(widths).zip(right).map(|((cell, width), right)| {
        let blanks = " ".repeat(width.saturating_sub(cell.width()));
        if *right { format!("{blanks}{cell}") } else { format!("{cell}{blanks}") }
    });
    let joined = padded.collect::<Vec<_>>().join("  ");
    format!("{}\n", joined.trim_end())
}

/// A sentence of its own: one line, but on a screen as many as it takes.
#[must_use]
pub fn sentence(text: &str) -> String {
    sentence_after("", text)
}

/// The same behind the beginning of a line.
#[must_use]
pub fn sentence_after(first: &str, text: &str) -> String {
    match SCREEN.get() {
        Some(_) => wrapped(first, text),
        None => format!("{first}{}\n", clean(text)),
    }
}

/// A sentence in lines of at most 100 columns, or as many as the screen has; the first line starts with
/// `first`, the others are indented as far.
#[must_use]
pub fn wrapped(first: &str, text: &str) -> String {
    broken(first, text, line_width())
}

fn broken(first: &str, text: &str, columns: usize) -> String {
    let indent = " ".repeat(first.width());
    let mut out = first.to_owned();
    let mut used = first.width();
    for (i, word) in clean(text).split_whitespace().enumerate() {
        if i > 0 && used + 1 + word.width() > columns {
            out.push('\n');
            out.push_str(&indent);
            used = indent.len();
        } else if i > 0 {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += word.width();
    }
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_by_screen_width() {
        let grid = Lines {
            head: vec!["day".to_owned(), "range, km".to_owned()],
            rows: vec![
                vec!["冬の日".to_owned(), "87".to_owned()],
                vec!["mild".to_owned(), "118".to_owned()],
            ],
            right: vec![false, true],
        };
        let text = lines_text(&grid);
        let widths: Vec<usize> = text.lines().map(UnicodeWidthStr::width).collect();
        assert_eq!(widths, [17, 17, 17, 17], "{text}");
    }

    #[test]
    fn escape_sequences_do_not_reach_the_screen() {
        let text = wrapped("- ", "red \u{1b}[31m name \u{202e}gnp.exe");
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'), "{text:?}");
        assert!(text.contains("\u{fffd}[31m"), "{text:?}");
    }

    fn facts() -> Lines {
        let row = |key: &str, value: &str, source: &str| {
            vec![key.to_owned(), value.to_owned(), source.to_owned()]
        };
        Lines {
            head: row("key", "value", "source"),
            rows: vec![
                row("car.brake_drag", "15 N", &"engineering judgement ".repeat(4)),
                row("pack.reserve", "15 %", "a choice"),
            ],
            right: vec![false, true, false],
        }
    }

    fn widest(text: &str) -> usize {
        text.lines().map(UnicodeWidthStr::width).max().unwrap_or(0)
    }

    #[test]
    fn without_a_screen_a_table_is_as_wide_as_it_is() {
        assert!(widest(&lines_text(&facts())) > 100);
        assert_eq!(within(None, || lines_text(&facts())), lines_text(&facts()));
        assert_eq!(within(Some(200), || lines_text(&facts())), lines_text(&facts()));
    }

    #[test]
    fn on_a_narrow_screen_words_wrap_in_their_column() {
        for columns in [60, 80, 100] {
            let text = within(Some(columns), || lines_text(&facts()));
            assert!(widest(&text) <= columns, "{text}");
            assert_eq!(text.matches("judgement").count(), 4, "{text}");
            assert!(text.contains("pack.reserve     15 %  a choice\n"), "{text}");
        }
    }

    #[test]
    fn a_table_of_numbers_is_parted_and_every_part_names_its_rows() {
        let names: Vec<String> = (0..9).map(|i| format!("column number {i}")).collect();
        let row = |name: &str| {
            let numbers = (0..9).map(|i| format!("{i}00.5"));
            std::iter::once(name.to_owned()).chain(numbers).collect()
        };
        let grid = Lines {
            head: std::iter::once("day".to_owned()).chain(names).collect(),
            rows: vec![row("mild"), row("winter")],
            right: std::iter::once(false).chain([true; 9]).collect(),
        };
        let wide = within(Some(100), || lines_text(&grid));
        assert!(wide.trim_start().starts_with("column") && !wide.contains("\n\n"), "{wide}");
        let text = within(Some(60), || lines_text(&grid));
        assert!(widest(&text) <= 60 && widest(&wide) <= 100, "{text}");
        let parts: Vec<&str> = text.split("\n\n").collect();
        assert_eq!(parts.len(), 2, "{text}");
        assert!(parts.iter().all(|part| part.contains("mild") && part.contains("winter")));
        let numbers = (0..9).map(|i| text.matches(&format!(" {i}00.5")).count());
        assert!(numbers.into_iter().all(|count| count == 2), "{text}");
    }

    #[test]
    fn parts_of_a_table_repeat_what_tells_its_rows_apart() {
        let row = |cycle: &str, day: &str| {
            let numbers = (0..9).map(|i| format!("{i}000000.5"));
            [cycle, day].into_iter().map(str::to_owned).chain(numbers).collect()
        };
        let grid = Lines {
            head: ["cycle", "day"].into_iter().chain(["km"; 9]).map(str::to_owned).collect(),
            rows: vec![row("udds", "mild"), row("udds", "winter"), row("nedc", "mild")],
            right: [false, false].into_iter().chain([true; 9]).collect(),
        };
        let text = within(Some(60), || lines_text(&grid));
        assert!(text.matches("udds   winter").count() == 3, "{text}");
    }

    #[test]
    fn sentences_follow_the_screen_and_the_screen_is_left_behind() {
        let words = "word ".repeat(60);
        assert!(widest(&within(Some(50), || wrapped("  - ", &words))) <= 50);
        assert!(widest(&within(Some(7), || wrapped("  - ", &words))) <= NARROWEST);
        assert!(widest(&within(Some(300), || wrapped("  - ", &words))) <= LINE_WIDTH);
        assert!(widest(&wrapped("  - ", &words)) > 90);
    }

    #[test]
    fn long_sentences_wrap_under_their_own_start() {
        let text = wrapped("  * ", &"word ".repeat(60));
        assert!(text.lines().count() > 2);
        assert!(text.lines().all(|l| l.width() <= 100), "{text}");
        assert!(text.lines().skip(1).all(|l| l.starts_with("    word")), "{text}");
    }
}
