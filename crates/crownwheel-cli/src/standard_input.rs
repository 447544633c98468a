//! What is piped in, where a file may be named `-`.

use std::io::{self, IsTerminal, Read};
use std::sync::OnceLock;

use crownwheel_files::input::LARGEST_BUILD;

use crate::outcome::{Failure, say};

/// How messages name it.
pub(crate) const NAME: &str = "standard input";

/// A build that is piped in. It is read once, however often it is asked for.
pub(crate) fn build() -> Result<&'static [u8], Failure> {
    static BYTES: OnceLock<Vec<u8>> = OnceLock::new();
    if let Some(bytes) = BYTES.get() {
        return Ok(bytes);
    }
    say_if_typed("a build");
    let mut bytes = Vec::new();
    // One byte more than a build may have is enough to know.
    io::stdin().lock().take(LARGEST_BUILD + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    Ok(BYTES.get_or_init(|| bytes))
}

/// Somebody who sits at a keyboard is told what is waited for.
pub(crate) fn say_if_typed(what: &str) {
    if io::stdin().is_terminal() {
        say(&format!("reading {what} from the keyboard; Ctrl-D at the start of a line ends it"));
    }
}

#[allow(clippy::needless_pass_by_value, reason = "it is what map_err gives")]
fn unreadable(error: io::Error) -> Failure {
    Failure::Usage(format!("cannot read {NAME}: {error}"))
}
