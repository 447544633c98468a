//! `explore_page PICTURES PROGRAM BUILD`: opens the page with sliders of a build in a real browser, moves
//! it, leaves pictures in the folder PICTURES and ends with 1 if it does not do what the command line does.

use std::path::PathBuf;
use std::process::ExitCode;

use crownwheel_tests::browser::explore;
use crownwheel_tests::browser::session::Browser;

fn main() -> ExitCode {
    match run() {
        Ok(complaints) if complaints.is_empty() => ExitCode::SUCCESS,
        Ok(complaints) => {
            complaints.iter().for_each(|complaint| eprintln!("browser: {complaint}"));
            ExitCode::FAILURE
        }
        Err(error) => {
            eprintln!("browser: {error}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<Vec<String>, String> {
    let arguments: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [pictures, program, build] = &arguments[..] else {
        return Err("write `explore_page PICTURES PROGRAM BUILD`".to_owned());
    };
    std::fs::create_dir_all(pictures).map_err(|error| error.to_string())?;
    explore::look(&Browser::start()?, program, build, pictures)
}
