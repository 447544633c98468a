//! Ways between fixes: geodesics on WGS84, one by one and along a track.

use std::fmt::Write as _;

use crownwheel_logs::ReadOptions;
use crownwheel_logs::geodesy::Ellipsoid;
use crownwheel_logs::read::read_log_from;
use crownwheel_logs::trip::trip;
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::{Table, assert_close};

pub(crate) const CHECKED: &[&str] = &["GEO-01", "GEO-02", "GEO-03", "GEO-04", "GEO-06", "GEO-07"];

fn distance_m(from_deg: (f64, f64), to_deg: (f64, f64)) -> f64 {
    Ellipsoid::wgs84().distance_m(from_deg, to_deg)
}

/// Source: worked example in the documentation of GeographicLib.
#[test]
fn geo_01_over_the_atlantic() {
    let (from, to) = ((40.6, -73.8), (51.6, -0.5));
    expected("GEO-01", "s12").check(distance_m(from, to));
    expected("GEO-01", "azi1").check(Ellipsoid::wgs84().bearing_deg(from, to));
}

/// Source: Vincenty's test line in the technical manual of the Geocentric Datum of Australia.
#[test]
fn geo_02_a_survey_line() {
    let degrees = |d: f64, m: f64, s: f64| d + m / 60.0 + s / 3600.0;
    let from = (-degrees(37.0, 57.0, 3.720_30), degrees(144.0, 25.0, 29.524_40));
    let to = (-degrees(37.0, 39.0, 10.156_10), degrees(143.0, 55.0, 35.383_90));
    expected("GEO-02", "s12").check(distance_m(from, to));
    expected("GEO-02", "azi1").check(Ellipsoid::wgs84().bearing_deg(from, to));
    expected("GEO-02", "azi2_back").check(Ellipsoid::wgs84().bearing_deg(to, from));
}

/// Source: the length of an island, used by two public test suites.
#[test]
fn geo_03_the_length_of_an_island() {
    expected("GEO-03", "s12").check(distance_m((50.066_32, -5.714_75), (58.644_02, -3.070_09)));
}

/// Source: public test suites; Vincenty's iteration does not end on the second.
#[test]
fn geo_04_nearly_at_the_antipodes() {
    expected("GEO-04", "s1").check(distance_m((0.0, 0.0), (0.5, 179.5)));
    expected("GEO-04", "s2").check(distance_m((0.0, 0.0), (0.5, 179.7)));
}

/// Source: computed with geographiclib 2.1; on the equator it is the half axis times one degree.
#[test]
fn geo_06_one_degree() {
    expected("GEO-06", "lon_eq").check(distance_m((0.0, 0.0), (0.0, 1.0)));
    expected("GEO-06", "lat_eq").check(distance_m((0.0, 0.0), (1.0, 0.0)));
    expected("GEO-06", "lon_60").check(distance_m((60.0, 0.0), (60.0, 1.0)));
}

/// Source: a synthetic track, its geodesics computed with geographiclib 2.1. The trip made from it as
/// GPX is as long and climbs as much.
#[test]
fn geo_07_a_track() {
    let table = Table::read(include_str!("../../../data/gpx-track.csv"));
    let mut gpx = "<gpx version=\"1.1\"><trk><trkseg>\n".to_owned();
    for (minute, row) in (0_u32..).zip(table.rows()) {
        let _ = writeln!(
            gpx,
            "<trkpt lat=\"{}\" lon=\"{}\"><ele>{}</ele><time>2024-05-18T10:{minute:02}:00Z</time></trkpt>",
            row.text("lat"),
            row.text("lon"),
            row.text("ele_m")
        );
    }
    gpx.push_str("</trkseg></trk></gpx>");
    let log = read_log_from("track.gpx", gpx.as_bytes(), &ReadOptions::default()).unwrap();
    let trip = trip(&log).unwrap();
    expected("GEO-07", "L2D").check(trip.length_m());
    expected("GEO-07", "climb").check(trip.climb_raw_m.unwrap());
}

/// Source: geodesics between pairs of points, geographiclib 2.1 and pyproj 3.7.2, from a metre to the
/// antipodes; a geodesic may differ by a micrometre and 1e-12 of its length.
#[test]
fn every_pair_of_the_table() {
    let table = Table::read(include_str!("../../../data/geodesic.csv"));
    for row in table.rows() {
        let end = |lat: &str, lon: &str| (row.number(lat), row.number(lon));
        let actual = distance_m(end("lat1", "lon1"), end("lat2", "lon2"));
        assert_close!(actual, row.number("s12_m"), abs = 1e-6, rel = 1e-12);
    }
}
