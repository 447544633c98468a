//! The page of a report in the browser.

use std::path::Path;

use serde_json::{Value, json};

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
    all.extend(acts(browser, &name)?);
    let fetched = browser.requests()?;
    if fetched.iter().any(|it| *it != address && !it.starts_with("data:")) {
        all.push(format!("{name}: the page asks for {fetched:?}"));
    }
    browser.prefer(Scheme::Light)?;
    browser.print(&pictures.join(format!("{name}.pdf")))?;
    Ok(all)
}

/// What the page does when it is used: tables sort, links to a reckoning open it.
fn acts(browser: &Browser, name: &str) -> Result<Vec<String>, String> {
    browser.resize(1400, 900)?;
    let acted: Value = browser.run(include_str!("report.js"), &[json!(name)])?;
    let acted = acted.as_array().ok_or("the page gives no list of complaints")?;
    let complaints = acted.iter().filter_map(Value::as_str);
    Ok(complaints.map(|complaint| format!("{name}: {complaint}")).collect())
}
