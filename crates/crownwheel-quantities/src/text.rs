//! Text of others as it may be shown: nothing in it moves the cursor or colours the screen.

use std::path::Path;

/// What stands behind the name of a file where one of the same name has other contents.
pub const OTHER_CONTENTS: &str = " (with other contents)";

/// Text with control characters made visible, so that a name cannot move the cursor, colour the screen,
/// turn the direction of writing or break XML.
#[must_use]
pub fn clean(text: &str) -> String {
    text.chars().map(|c| if is_hidden(c) { '\u{fffd}' } else { c }).collect()
}

/// Whether a character is not shown but does something.
pub fn is_hidden(c: char) -> bool {
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
