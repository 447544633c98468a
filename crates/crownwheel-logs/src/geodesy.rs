//! Distances between fixes on the WGS84 ellipsoid.
//!
//! Fixes of a log lie close together. Between them Vincenty's formulae are used, made of plain
//! arithmetic and `libm` alone, so that the bytes of a trip are the same on every machine. Farther
//! apart than `NEAR_M` Karney's method takes over; its last bits come from the system's library.

use geographiclib_rs::{Geodesic, InverseGeodesic};

/// Equatorial radius of WGS84, m. Exact by definition.
const EQUATORIAL_RADIUS_M: f64 = 6_378_137.0;

/// Flattening of WGS84. Exact by definition.
const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// Distance up to which Vincenty's formulae are used, m: they are within a micrometre of Karney's
/// there (tested).
const NEAR_M: f64 = 100e3;

/// Change of longitude on the sphere at which the formulae are solved, rad: a nanometre.
const SOLVED_RAD: f64 = 1e-16;

/// Rounds after which the formulae are given up; near fixes take five at most.
const ROUNDS: usize = 12;

/// The ellipsoid, made once.
#[derive(Clone, Copy, Debug)]
pub struct Ellipsoid(Geodesic);

impl Ellipsoid {
    /// WGS84: half axis 6,378,137 m, flattening 1/298.257223563.
    #[must_use]
    pub fn wgs84() -> Self {
        Self(Geodesic::wgs84())
    }

    /// Length of the shortest way between two fixes, m.
    #[must_use]
    pub fn distance_m(&self, from_deg: (f64, f64), to_deg: (f64, f64)) -> f64 {
        near_way(from_deg, to_deg).map_or_else(
            || self.0.inverse(from_deg.0, from_deg.1, to_deg.0, to_deg.1),
            |way| way.length_m,
        )
    }

    /// Direction of the way at its start, degrees from north over east, 0..360.
    #[must_use]
    pub fn bearing_deg(&self, from_deg: (f64, f64), to_deg: (f64, f64)) -> f64 {
        let far = || -> f64 {
            let (azimuth, _, _): (f64, f64, f64) =
                self.0.inverse(from_deg.0, from_deg.1, to_deg.0, to_deg.1);
            azimuth
        };
        near_way(from_deg, to_deg).map_or_else(far, |way| way.azimuth_deg).rem_euclid(360.0)
    }
}

/// A way between two fixes.
struct GeodesicLine {
    length_m: f64,
    azimuth_deg: f64,
}

/// A place on the sphere that stands for the ellipsoid: sine and cosine of its reduced latitude,
/// `tan U = (1 - f) tan φ`.
struct SpherePoint {
    sin: f64,
    cos: f64,
}

impl SpherePoint {
    fn of(latitude_deg: f64) -> SpherePoint {
        let phi = latitude_deg.to_radians();
        let (sin, cos) = ((1.0 - FLATTENING) * libm::sin(phi), libm::cos(phi));
        let size = (sin * sin + cos * cos).sqrt();
        SpherePoint { sin: sin / size, cos: cos / size }
    }
}

/// The arc between two places whose longitudes differ by `lambda` on that sphere.
struct Arc {
    sin: f64,
    cos: f64,
    angle: f64,
    /// Northward and eastward part of its direction at the start.
    north: f64,
    east: f64,
    /// Square of the cosine of its azimuth at the equator.
    cos2_equator: f64,
    sin_equator: f64,
    /// Cosine of twice the angle from the equator to its middle.
    cos_middle: f64,
}

impl Arc {
    fn new(from: &SpherePoint, to: &SpherePoint, lambda: f64) -> Arc {
        let (sin_l, cos_l) = (libm::sin(lambda), libm::cos(lambda));
        let east = to.cos * sin_l;
        let north = from.cos * to.sin - from.sin * to.cos * cos_l;
        let sin = (east * east + north * north).sqrt();
        let cos = from.sin * to.sin + from.cos * to.cos * cos_l;
        let sin_equator = if sin > 0.0 { from.cos * east / sin } else { 0.0 };
        let cos2_equator = 1.0 - sin_equator * sin_equator;
        let cos_middle =
            if cos2_equator > 0.0 { cos - 2.0 * from.sin * to.sin / cos2_equator } else { 0.0 };
        Arc {
            sin,
            cos,
            angle: libm::atan2(sin, cos),
            north,
            east,
            cos2_equator,
            sin_equator,
            cos_middle,
        }
    }

    /// What longitude differs by between the sphere and the ellipsoid, rad.
    fn longitude_shift(&self) -> f64 {
        let c = FLATTENING / 16.0
            * self.cos2_equator
            * (4.0 + FLATTENING * (4.0 - 3.0 * self.cos2_equator));
        let m = self.cos_middle;
        let inner = m + c * self.cos * (2.0 * m * m - 1.0);
        (1.0 - c) * FLATTENING * self.sin_equator * (self.angle + c * self.sin * inner)
    }

    /// Its length on the ellipsoid, m.
    fn length_m(&self) -> f64 {
        let polar_m = EQUATORIAL_RADIUS_M * (1.0 - FLATTENING);
        let squash = (EQUATORIAL_RADIUS_M / polar_m).powi(2) - 1.0;
        let u = self.cos2_equator * squash;
        let a = 1.0 + u / 16_384.0 * (4_096.0 + u * (-768.0 + u * (320.0 - 175.0 * u)));
        let b = u / 1_024.0 * (256.0 + u * (-128.0 + u * (74.0 - 47.0 * u)));
        let m = self.cos_middle;
        let second = self.cos * (2.0 * m * m - 1.0);
        let third = m * (4.0 * self.sin * self.sin - 3.0) * (4.0 * m * m - 3.0);
        let bend = b * self.sin * (m + b / 4.0 * (second - b / 6.0 * third));
        polar_m * a * (self.angle - bend)
    }
}

/// Vincenty's inverse formulae. `None`: the fixes are far apart.
///
/// # Source
/// T. Vincenty, Direct and inverse solutions of geodesics on the ellipsoid, Survey Review 23 (1975) 88.
fn near_way(from_deg: (f64, f64), to_deg: (f64, f64)) -> Option<GeodesicLine> {
    let east_deg = (to_deg.1 - from_deg.1 + 180.0).rem_euclid(360.0) - 180.0;
    let longitude = east_deg.to_radians();
    let (from, to) = (SpherePoint::of(from_deg.0), SpherePoint::of(to_deg.0));
    let mut lambda = longitude;
    for _ in 0..ROUNDS {
        let arc = Arc::new(&from, &to, lambda);
        if arc.angle * EQUATORIAL_RADIUS_M > NEAR_M {
            return None;
        }
        let next = longitude + arc.longitude_shift();
        if (next - lambda).abs() <= SOLVED_RAD {
            let azimuth_deg = libm::atan2(arc.east, arc.north).to_degrees();
            return Some(GeodesicLine { length_m: arc.length_m(), azimuth_deg });
        }
        lambda = next;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_pcg::Pcg64Mcg;
    use rand_pcg::rand_core::Rng as _;

    #[test]
    fn bearings_count_from_north_over_east() {
        let earth = Ellipsoid::wgs84();
        for (to, bearing) in
            [((1.0, 0.0), 0.0), ((0.0, 1.0), 90.0), ((-1.0, 0.0), 180.0), ((0.0, -1.0), 270.0)]
        {
            assert!((earth.bearing_deg((0.0, 0.0), to) - bearing).abs() < 1e-9);
        }
    }

    /// Vincenty's formulae against Karney's method, from a millimetre to beyond the far limit, at all latitudes and
    /// across the date line.
    #[test]
    fn near_ways_are_those_of_an_independent_method() {
        let earth = Geodesic::wgs84();
        let mut random = Pcg64Mcg::new(7);
        let mut unit = move || f64::from(random.next_u32()) / f64::from(u32::MAX);
        let (mut near, mut worst_m) = (0, 0.0_f64);
        for _ in 0..20_000 {
            let from = (178.0 * unit() - 89.0, 360.0 * unit() - 180.0);
            let size_deg = 2.2 * libm::pow(10_f64, -8.0 * unit());
            let turn = std::f64::consts::TAU * unit();
            let stretch = 1.0 / libm::cos(from.0.to_radians());
            let to = (
                from.0 + size_deg * libm::cos(turn),
                from.1 + size_deg * libm::sin(turn) * stretch,
            );
            if to.0.abs() > 90.0 {
                continue;
            }
            let Some(way) = near_way(from, to) else { continue };
            let expected_m: f64 = earth.inverse(from.0, from.1, to.0, to.1);
            near += 1;
            worst_m = worst_m.max((way.length_m - expected_m).abs());
        }
        assert!(near > 15_000 && worst_m < 1e-6, "{near} ways, {worst_m} m off");
    }
}
