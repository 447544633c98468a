//! The key table and the core name the same adjustable numbers.
#![allow(clippy::unwrap_used, reason = "a test may stop where it fails")]

use std::path::Path;

use crownwheel::knob::Knob;
use crownwheel_files::keys;

#[test]
fn every_knob_of_the_demo_is_an_adjustable_key() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin");
    let build = crownwheel_files::load(&demo, &[]).unwrap();
    let knobs = Knob::all(&build.car);
    assert!(knobs.len() > 80);
    for (path, _) in &knobs {
        let row = keys::find(path).unwrap_or_else(|| panic!("`{path}` is no key"));
        assert!(row.knob, "`{path}` is not marked as adjustable");
    }
    // The other way round: every spread of the car can be applied.
    for path in build
        .spreads
        .keys()
        .filter(|path| !path.starts_with("day.") && !path.starts_with("measured."))
    {
        assert!(Knob::find(path, &build.car).is_some(), "`{path}` has a spread but no knob");
    }
}
