//! Which way each run went.

use super::segments::Stretch;
use crate::geodesy::Ellipsoid;

/// Way a run went, as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// As the first run.
    First,
    /// Against it.
    Other,
    /// Neither words nor fixes say.
    Unknown,
    /// The words name a third direction.
    Third,
}

impl Way {
    /// 1 or -1; what is not known counts as the first.
    #[must_use]
    pub fn sign(self) -> f64 {
        if self == Way::Other { -1.0 } else { 1.0 }
    }
}

/// Two ways are opposite beyond this angle, degrees.
const OPPOSITE_BEYOND_DEG: f64 = 120.0;
/// And the same within this.
const SAME_WITHIN_DEG: f64 = 60.0;

/// Which way each run went: by the words of its direction, by headings in degrees, or by fixes.
#[must_use]
pub fn ways(stretches: &[Stretch]) -> Vec<Way> {
    let words: Vec<Option<String>> = stretches
        .iter()
        .map(|s| s.direction.as_ref().map(|word| word.trim().to_lowercase()))
        .map(|word| word.filter(|word| !word.is_empty()))
        .collect();
    if words.iter().all(Option::is_none) {
        return by_angle(&stretches.iter().map(bearing_deg).collect::<Vec<_>>());
    }
    let mut distinct: Vec<&String> = Vec::new();
    for word in words.iter().flatten() {
        if !distinct.contains(&word) {
            distinct.push(word);
        }
    }
    let headings: Vec<Option<f64>> = words.iter().map(|w| heading_deg(w.as_ref())).collect();
    let all_headings = words.iter().zip(&headings).all(|(w, h)| w.is_none() || h.is_some());
    if all_headings && distinct.len() > 2 {
        return by_angle(&headings);
    }
    let by_words = words.iter().map(|word| {
        match word.as_ref().map(|w| distinct.iter().position(|d| *d == w)) {
            None => Way::Unknown,
            Some(Some(0)) => Way::First,
            Some(Some(1)) => Way::Other,
            Some(_) => Way::Third,
        }
    });
    let mut ways: Vec<Way> = by_words.collect();
    fixes_for_words(stretches, &mut ways);
    ways
}

/// Runs without a word, by their fixes against those of a run that has both.
fn fixes_for_words(stretches: &[Stretch], ways: &mut [Way]) {
    let bearings: Vec<Option<f64>> = stretches.iter().map(bearing_deg).collect();
    let both = bearings.iter().zip(ways.iter()).find_map(|(bearing, way)| match way {
        Way::First => *bearing,
        Way::Other => bearing.map(|bearing| (bearing + 180.0).rem_euclid(360.0)),
        _ => None,
    });
    let Some(first) = both else { return };
    for (way, bearing) in ways.iter_mut().zip(bearings) {
        if *way == Way::Unknown && bearing.is_some() {
            *way = by_angle(&[Some(first), bearing])[1];
        }
    }
}

fn heading_deg(word: Option<&String>) -> Option<f64> {
    let text = word?.trim_end_matches(['°', ' ']);
    text.parse::<f64>().ok().filter(|deg| (0.0..=360.0).contains(deg))
}

fn bearing_deg(stretch: &Stretch) -> Option<f64> {
    let [from, to] = stretch.fixes_deg?;
    let earth = Ellipsoid::wgs84();
    (earth.distance_m(from, to) > 50.0).then(|| earth.bearing_deg(from, to))
}

/// Angles against the first that is known.
fn by_angle(angles_deg: &[Option<f64>]) -> Vec<Way> {
    let Some(first) = angles_deg.iter().flatten().next().copied() else {
        return vec![Way::Unknown; angles_deg.len()];
    };
    let way = |angle: &Option<f64>| match angle {
        None => Way::Unknown,
        Some(angle) => {
            let apart = (angle - first).rem_euclid(360.0);
            let apart = apart.min(360.0 - apart);
            if apart <= SAME_WITHIN_DEG {
                Way::First
            } else if apart >= OPPOSITE_BEYOND_DEG {
                Way::Other
            } else {
                Way::Third
            }
        }
    };
    angles_deg.iter().map(way).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(direction: Option<&str>, fixes_deg: Option<[(f64, f64); 2]>) -> Stretch {
        Stretch {
            file: "a.csv".to_owned(),
            run: "1".to_owned(),
            is_named: true,
            line: 2,
            direction: direction.map(str::to_owned),
            fixes_deg,
            time_s: Vec::new(),
            speed_mps: Vec::new(),
            grade_frac: Vec::new(),
            elevation_m: Vec::new(),
        }
    }

    fn of_words(words: &[&str]) -> Vec<Way> {
        let runs: Vec<Stretch> =
            words.iter().map(|w| with((!w.is_empty()).then_some(*w), None)).collect();
        ways(&runs)
    }

    #[test]
    fn two_words_are_two_ways_whatever_they_are() {
        use Way::{First, Other, Third, Unknown};
        assert_eq!(of_words(&["out", "back", "Out "]), [First, Other, First]);
        assert_eq!(of_words(&["1", "-1", "1"]), [First, Other, First]);
        assert_eq!(of_words(&["N", "S", "E"]), [First, Other, Third]);
        assert_eq!(of_words(&["out", "", "back"]), [First, Unknown, Other]);
        assert_eq!(of_words(&["", ""]), [Unknown, Unknown]);
    }

    #[test]
    fn headings_are_told_apart_by_their_angle() {
        use Way::{First, Other, Third};
        assert_eq!(of_words(&["88", "271°", "91", "268"]), [First, Other, First, Other]);
        assert_eq!(of_words(&["355", "4", "178", "95"]), [First, First, Other, Third]);
    }

    #[test]
    fn a_file_with_words_tells_what_the_fixes_of_another_mean() {
        let (west, east) = ((52.0, -1.02), (52.0, -1.0));
        let runs = [
            with(Some("out"), None),
            with(Some("back"), Some([east, west])),
            with(None, Some([west, east])),
            with(None, Some([east, west])),
            with(None, None),
        ];
        use Way::{First, Other, Unknown};
        assert_eq!(ways(&runs), [First, Other, First, Other, Unknown]);
    }

    #[test]
    fn without_words_the_fixes_say() {
        let (west, east) = ((52.0, -1.02), (52.0, -1.0));
        let runs = [
            with(None, Some([west, east])),
            with(None, Some([east, west])),
            with(None, Some([west, west])),
        ];
        assert_eq!(ways(&runs), [Way::First, Way::Other, Way::Unknown]);
    }
}
