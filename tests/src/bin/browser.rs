//! `browser PICTURES REPORT...`: opens the pages of reports in a real browser, on a phone and on a desk,
//! light, dark and printed, leaves pictures in the folder PICTURES and ends with 1 if a page does not
//! stand what every page must.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crownwheel_tests::browser::session::Browser;
use crownwheel_tests::browser::{self, report};

fn main() -> ExitCode {
    browser::end(run())
}

#[allow(clippy::print_stdout, reason = "a program whose answer is its lines")]
fn run() -> Result<Vec<String>, String> {
    let mut arguments = std::env::args_os().skip(1).map(PathBuf::from);
    let pictures = arguments.next().ok_or("write `browser PICTURES REPORT...`")?;
    std::fs::create_dir_all(&pictures).map_err(|error| error.to_string())?;
    let browser = Browser::start()?;
    let mut all = Vec::new();
    for folder in arguments {
        let complaints = report::look(&browser, &folder, &pictures)?;
        println!("{}: {} complaints", name(&folder), complaints.len());
        all.extend(complaints);
    }
    Ok(all)
}

fn name(folder: &Path) -> String {
    folder.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}
