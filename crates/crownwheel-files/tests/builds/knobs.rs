//! The key table and the core name the same adjustable numbers.

use crownwheel::knob::Knob;
use crownwheel_files::keys;

use crate::bench::{Bench, Demo};

#[test]
fn every_knob_of_the_demos_is_an_adjustable_key() {
    for demo in Demo::ALL {
        let build = Bench::of(demo).loaded();
        let knobs = Knob::all(&build.car);
        assert!(knobs.len() > 80);
        for (path, _) in &knobs {
            let row = keys::find(path).unwrap_or_else(|| panic!("{demo:?}: `{path}` is no key"));
            assert!(row.is_adjustable(), "{demo:?}: `{path}` is not marked as adjustable");
        }
        // The other way round: every spread of the car can be applied.
        for path in build
            .spreads
            .keys()
            .filter(|path| !path.starts_with("day.") && !path.starts_with("measured."))
        {
            assert!(
                Knob::find(path, &build.car).is_ok(),
                "{demo:?}: `{path}` has a spread but no knob"
            );
        }
    }
}
