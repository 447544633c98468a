//! `explore_page PICTURES PROGRAM BUILD [OTHER]...`: opens the page with sliders of a build in a real
//! browser, moves it, and only looks at those of other builds. Leaves pictures in the folder PICTURES and
//! ends with 1 if a page does not do what the command line does.

use std::path::PathBuf;
use std::process::ExitCode;

use crownwheel_tests::browser::session::Browser;
use crownwheel_tests::browser::{self, explore};

fn main() -> ExitCode {
    browser::end(run())
}

fn run() -> Result<Vec<String>, String> {
    let arguments: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [pictures, program, build, others @ ..] = &arguments[..] else {
        return Err("write `explore_page PICTURES PROGRAM BUILD [OTHER]...`".to_owned());
    };
    std::fs::create_dir_all(pictures).map_err(|error| error.to_string())?;
    let browser = Browser::start()?;
    let mut all = explore::look(&browser, program, build, pictures)?;
    for other in others {
        all.extend(explore::glance(&browser, program, other, pictures)?);
    }
    Ok(all)
}
