//! A real browser, driven as the W3C recommendation WebDriver says (<https://www.w3.org/TR/webdriver2/>),
//! and what any page of ours must stand.

pub mod explore;
pub mod looks;
pub mod report;
pub mod session;

use std::process::ExitCode;

/// How a program ends that looked at pages: 0 without a complaint, 1 with one, 2 if it could not look.
#[must_use]
pub fn end(looked: Result<Vec<String>, String>) -> ExitCode {
    match looked {
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
