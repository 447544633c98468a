//! The page of a report in the browser.

use std::path::Path;

use serde_json::Value;

use super::looks;
use super::session::{Browser, Scheme};

/// Complaints about the page of a folder of results.
///
/// # Errors
/// The browser or the disk refuses.
pub fn look(browser: &Browser, folder: &Path, pictures: &Path) -> Result<Vec<String>, String> {
    let name = folder.file_name().map_or_else(String::new, |it| it.to_string_lossy().into_owned());
    let page = folder.join("report.html");
    let page = page.canonicalize().map_err(|error| format!("{}: {error}", page.display()))?;
    let address = format!("file://{}", page.display());
    browser.requests()?;
    browser.open(&address)?;
    let mut all = looks::look(browser, &name, pictures)?;
    // Printed as it is opened, before the tables are sorted.
    browser.prefer(Scheme::Light)?;
    browser.print(&pictures.join(format!("{name}.pdf")))?;
    all.extend(acts(browser, &name)?);
    let fetched = browser.requests()?;
    if fetched.iter().any(|it| *it != address && !it.starts_with("data:")) {
        all.push(format!("{name}: the page asks for {fetched:?}"));
    }
    Ok(all)
}

/// What the page does when it is used: tables sort, a click on a number opens its working.
fn acts(browser: &Browser, name: &str) -> Result<Vec<String>, String> {
    browser.resize(1400, 900)?;
    let acted = browser.run(include_str!("report.js"), &[])?;
    let acted = acted.as_array().ok_or("the page gives no list of complaints")?;
    let mut all: Vec<String> = acted.iter().filter_map(Value::as_str).map(str::to_owned).collect();
    let one = "const all = document.querySelectorAll('a.number'); return all.length";
    if browser.run(one, &[])? != 0 {
        browser.click("a.number")?;
        let opened = "return document.querySelectorAll('details.working[open]').length";
        if browser.run(opened, &[])? != 1 {
            all.push("a click on a number does not open its working".to_owned());
        }
    }
    Ok(all.into_iter().map(|complaint| format!("{name}: {complaint}")).collect())
}
