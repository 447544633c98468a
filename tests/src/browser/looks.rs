//! What every page must stand at every width, light and dark.

use std::path::Path;

use super::session::{Browser, Scheme};

/// A phone and a desk, CSS pixels.
pub const WIDTHS_PX: [(u32, u32); 2] = [(390, 844), (1400, 900)];

/// Complaints about a page that is open: sideways scroll, headings, names of figures and controls, contrast, console.
///
/// # Errors
/// The browser does not answer.
pub fn complaints(browser: &Browser) -> Result<Vec<String>, String> {
    let found = browser.run(include_str!("looks.js"), &[])?;
    let found = found.as_array().ok_or("the page gives no list of complaints")?;
    let mut complaints: Vec<String> =
        found.iter().filter_map(|it| it.as_str().map(str::to_owned)).collect();
    complaints.extend(browser.console()?.into_iter().map(|line| format!("console: {line}")));
    Ok(complaints)
}

/// Looks at a page that is open on a phone and on a desk, light and dark, and leaves a picture of each.
/// Complaints say where they were met.
///
/// # Errors
/// The browser or the disk refuses.
pub fn look(browser: &Browser, name: &str, pictures: &Path) -> Result<Vec<String>, String> {
    let mut all = Vec::new();
    for (width_px, height_px) in WIDTHS_PX {
        for scheme in [Scheme::Light, Scheme::Dark] {
            browser.resize(width_px, height_px)?;
            browser.prefer(scheme)?;
            let place = format!("{name}-{width_px}-{}", scheme.word());
            let found = complaints(browser)?;
            all.extend(found.into_iter().map(|complaint| format!("{place}: {complaint}")));
            browser.picture(&pictures.join(format!("{place}.png")))?;
        }
    }
    Ok(all)
}
