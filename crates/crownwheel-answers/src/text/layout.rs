//! Aligned columns and wrapped sentences, by the width that characters take on a screen.

use std::path::Path;

use unicode_width::UnicodeWidthStr;

use crate::Grid;

/// Columns of sentences.
const LINE_WIDTH: usize = 100;

/// Text with control characters made visible, so that a name cannot move the cursor, colour the screen,
/// turn the direction of writing or break XML.
#[must_use]
pub fn clean(text: &str) -> String {
    text.chars().map(|c| if is_hidden(c) { '\u{fffd}' } else { c }).collect()
}

/// Whether a character is not shown but does something.
pub(crate) fn is_hidden(c: char) -> bool {
    c.is_control() || is_bidi_control(c)
}

/// A path in a sentence. Names of files may hold anything too.
#[must_use]
pub fn shown_path(path: &Path) -> String {
    clean(&path.display().to_string())
}

/// The same for several lines that are laid out already: their ends stay.
#[must_use]
pub fn clean_lines(text: &str) -> String {
    text.split('\n').map(clean).collect::<Vec<_>>().join("\n")
}

/// Characters that turn the direction of writing can make a line read as something else.
fn is_bidi_control(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A grid with aligned columns, two blanks between them, a line under the heading.
#[must_use]
pub fn grid_text(grid: &Grid) -> String {
    let head: Vec<String> = grid.head.iter().map(|h| clean(h)).collect();
    let rows: Vec<Vec<String>> =
        grid.rows.iter().map(|row| row.iter().map(|cell| clean(cell)).collect()).collect();
    let widths: Vec<usize> = (0..head.len())
        .map(|i| {
            rows.iter()
                .filter_map(|row| row.get(i))
                .map(|cell| cell.width())
                .chain([head[i].width()])
                .max()
                .unwrap_or(0)
        })
        .collect();
    let mut out = line(&head, &widths, &grid.right);
    let rule: Vec<String> = widths.iter().map(|width| "─".repeat(*width)).collect();
    out.push_str(&line(&rule, &widths, &grid.right));
    for row in &rows {
        out.push_str(&line(row, &widths, &grid.right));
    }
    out
}

fn line(cells: &[String], widths: &[usize], right: &[bool]) -> String {
    let padded = cells.iter().zip(widths).zip(right).map(|((cell, width), right)| {
        let blanks = " ".repeat(width - cell.width());
        if *right { format!("{blanks}{cell}") } else { format!("{cell}{blanks}") }
    });
    let joined = padded.collect::<Vec<_>>().join("  ");
    format!("{}\n", joined.trim_end())
}

/// A sentence in lines of at most 100 columns; the first line starts with `first`, the others are
/// indented as far.
#[must_use]
pub fn wrapped(first: &str, text: &str) -> String {
    let indent = " ".repeat(first.width());
    let mut out = first.to_owned();
    let mut used = first.width();
    for (i, word) in clean(text).split_whitespace().enumerate() {
        if i > 0 && used + 1 + word.width() > LINE_WIDTH {
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
        let grid = Grid {
            head: vec!["day".to_owned(), "range, km".to_owned()],
            rows: vec![
                vec!["冬の日".to_owned(), "87".to_owned()],
                vec!["mild".to_owned(), "118".to_owned()],
            ],
            right: vec![false, true],
        };
        let text = grid_text(&grid);
        let widths: Vec<usize> = text.lines().map(UnicodeWidthStr::width).collect();
        assert_eq!(widths, [17, 17, 17, 17], "{text}");
    }

    #[test]
    fn escape_sequences_do_not_reach_the_screen() {
        let text = wrapped("- ", "red \u{1b}[31m name \u{202e}gnp.exe");
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'), "{text:?}");
        assert!(text.contains("\u{fffd}[31m"), "{text:?}");
    }

    #[test]
    fn long_sentences_wrap_under_their_own_start() {
        let text = wrapped("  * ", &"word ".repeat(60));
        assert!(text.lines().count() > 2);
        assert!(text.lines().all(|l| l.width() <= 100), "{text}");
        assert!(text.lines().skip(1).all(|l| l.starts_with("    word")), "{text}");
    }
}
