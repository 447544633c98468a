//! A real browser, driven as the W3C recommendation WebDriver says (<https://www.w3.org/TR/webdriver2/>),
//! and what any page of ours must stand.

pub mod explore;
pub mod looks;
pub mod report;
pub mod session;
