//! A run that is watched: how far it is, and what to do when it is stopped.

use std::fmt::Write;
use std::process;
use std::sync::{Arc, Mutex, PoisonError};

use indicatif::{ProgressBar, ProgressState, ProgressStyle};

use super::first_look::SharedFile;
use crate::outcome::{Failure, say};
use crate::screen;

/// Exit code of a program that was stopped from the keyboard.
const STOPPED: i32 = 130;

/// What the bar shows; it is not drawn where standard error is no terminal.
const LOOK: &str = "{msg} {wide_bar} {pos} of {len} · {rate} · {eta} left";

/// A bar for so many pieces of work.
pub(super) fn bar(what: &'static str, pieces: u128) -> ProgressBar {
    let pieces = u64::try_from(pieces).unwrap_or(u64::MAX);
    let bar = ProgressBar::with_draw_target(Some(pieces), screen::progress());
    if let Ok(style) = ProgressStyle::with_template(LOOK) {
        let rate = |state: &ProgressState, out: &mut dyn Write| {
            // Where it cannot be shown there is nobody to tell.
            let _ = write!(out, "{:.1}/s", state.per_sec());
        };
        bar.set_style(style.with_key("rate", rate));
    }
    bar.with_message(what)
}

/// What to say, and which file to let finish its line, when the run is stopped.
#[derive(Default)]
struct AtStop {
    file: Option<SharedFile>,
    hint: String,
}

/// Stops the run on Ctrl-C or when the machine asks, with whole lines on disk.
#[derive(Clone)]
pub(super) struct Stop(Arc<Mutex<AtStop>>);

impl Stop {
    /// From now on the run can be stopped.
    pub(super) fn new() -> Result<Stop, Failure> {
        let at_stop: Arc<Mutex<AtStop>> = Arc::default();
        let seen = Arc::clone(&at_stop);
        let set = ctrlc::set_handler(move || {
            let at_stop = seen.lock().unwrap_or_else(PoisonError::into_inner);
            // Held until the end: no line is begun after this.
            let _file = at_stop
                .file
                .as_ref()
                .map(|file| file.lock().unwrap_or_else(PoisonError::into_inner));
            say(&format!("\nstopped. {}", at_stop.hint));
            process::exit(STOPPED);
        });
        set.map_err(|error| Failure::Failed(format!("cannot watch for Ctrl-C: {error}")))?;
        Ok(Stop(at_stop))
    }

    /// What to say and which file to let finish its line.
    pub(super) fn say(&self, hint: String, file: Option<SharedFile>) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = AtStop { file, hint };
    }
}
