//! Distances between fixes on the WGS84 ellipsoid.

use geographiclib_rs::{Geodesic, InverseGeodesic};

/// The ellipsoid, made once.
#[derive(Clone, Copy, Debug)]
pub struct Ellipsoid(Geodesic);

impl Ellipsoid {
    /// WGS84: half axis 6,378,137 m, flattening 1/298.257223563.
    #[must_use]
    pub fn wgs84() -> Self {
        Self(Geodesic::wgs84())
    }

    /// Length of the shortest way between two fixes, m (Karney's inverse geodesic).
    #[must_use]
    pub fn distance_m(&self, from_deg: (f64, f64), to_deg: (f64, f64)) -> f64 {
        self.0.inverse(from_deg.0, from_deg.1, to_deg.0, to_deg.1)
    }

    /// Direction of the way at its start, degrees from north over east, 0..360.
    #[must_use]
    pub fn bearing_deg(&self, from_deg: (f64, f64), to_deg: (f64, f64)) -> f64 {
        let (azimuth, _, _): (f64, f64, f64) =
            self.0.inverse(from_deg.0, from_deg.1, to_deg.0, to_deg.1);
        azimuth.rem_euclid(360.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_count_from_north_over_east() {
        let earth = Ellipsoid::wgs84();
        for (to, bearing) in
            [((1.0, 0.0), 0.0), ((0.0, 1.0), 90.0), ((-1.0, 0.0), 180.0), ((0.0, -1.0), 270.0)]
        {
            assert!((earth.bearing_deg((0.0, 0.0), to) - bearing).abs() < 1e-9);
        }
    }
}
