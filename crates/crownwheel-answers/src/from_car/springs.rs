//! How far each axle settles against the scales, and how fast it rides.

use crownwheel::spec::{CornersKg, WeightsSpec};
use crownwheel::springs::{ride_frequency_hz, sag_m};

/// An axle on its springs.
#[derive(Clone, Copy, Debug)]
pub(super) struct AxleOnSprings {
    /// Lower than on the scales by, mm.
    pub(super) sag_mm: f64,
    /// Ride frequency, Hz. `None`: nothing rides on the springs.
    pub(super) ride_hz: Option<f64>,
}

/// Both axles.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axles {
    pub(super) front: AxleOnSprings,
    pub(super) rear: AxleOnSprings,
}

/// `None`: no spring rates are given.
pub(super) fn axles(weights: &WeightsSpec, corners: &CornersKg) -> Option<Axles> {
    let springs = weights.springs?;
    let axle = |load_kg: f64, before_kg: f64, unsprung_kg: f64, rate: f64| {
        let sprung_kg = load_kg - unsprung_kg;
        AxleOnSprings {
            sag_mm: 1000.0 * sag_m(load_kg - before_kg, rate),
            ride_hz: (sprung_kg > 0.0).then(|| ride_frequency_hz(sprung_kg, rate)),
        }
    };
    let before = &weights.corners;
    Some(Axles {
        front: axle(
            corners.front_axle_kg(),
            before.front_axle_kg(),
            springs.front_unsprung_kg,
            springs.front_wheel_rate_n_per_m,
        ),
        rear: axle(
            corners.rear_axle_kg(),
            before.rear_axle_kg(),
            springs.rear_unsprung_kg,
            springs.rear_wheel_rate_n_per_m,
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::example::small_saloon;
    use crownwheel::spec::SpringsSpec;

    #[test]
    fn an_axle_settles_by_its_own_change() {
        let mut weights = small_saloon().weights;
        assert!(axles(&weights, &weights.corners).is_none());
        weights.springs = Some(SpringsSpec {
            front_wheel_rate_n_per_m: 20_000.0,
            rear_wheel_rate_n_per_m: 9_806.65,
            front_unsprung_kg: 60.0,
            rear_unsprung_kg: 1e4,
        });
        let mut loaded = weights.corners;
        loaded.rear_left_kg += 20.0;
        let found = axles(&weights, &loaded).unwrap();
        assert!(found.front.sag_mm.abs() < 1e-9);
        // 20 kg on two springs that each give 1 mm for 1 kg.
        assert!((found.rear.sag_mm - 10.0).abs() < 1e-9, "{found:?}");
        // √(2 · 20,000 / 375.5) / 2π.
        assert!((found.front.ride_hz.unwrap() - 1.642_65).abs() < 1e-4, "{found:?}");
        assert!(found.rear.ride_hz.is_none(), "nothing rides on the springs");
    }
}
