//! Windows: the worst rolling value of a current, torque or heat over 1 s to 30 min.

/// Lengths of the windows, s.
pub const WINDOWS_S: [f64; 8] = [1.0, 10.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0];

/// A quantity through a run, constant within each piece of time.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(try_from = "Pieces"))]
pub struct Series {
    /// Time at the end of each piece, s, from 0.
    time_s: Vec<f64>,
    /// Integral of the value up to there.
    integral: Vec<f64>,
}

impl Series {
    /// No time yet.
    #[must_use]
    pub fn new() -> Series {
        Series { time_s: vec![0.0], integral: vec![0.0] }
    }

    /// Adds a piece of time with its value.
    pub fn push(&mut self, duration_s: f64, value: f64) {
        let (time_s, integral) = (self.duration_s(), self.last_integral());
        self.time_s.push(time_s + duration_s);
        self.integral.push(integral + value * duration_s);
    }

    /// All time, s.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.time_s.last().copied().unwrap_or(0.0)
    }

    fn last_integral(&self) -> f64 {
        self.integral.last().copied().unwrap_or(0.0)
    }

    /// Highest mean over any window of a length. `None` if the run is shorter.
    ///
    /// The mean of pieces is greatest for a window that begins or ends where a piece does.
    ///
    /// `window_s` is more than 0.
    ///
    /// ```
    /// let mut series = crownwheel::windows::Series::new();
    /// series.push(2.0, 3.0);
    /// series.push(1.0, 9.0);
    /// // A second of 9 and one of 3.
    /// assert_eq!(series.worst_mean(2.0), Some(6.0));
    /// ```
    #[must_use]
    pub fn worst_mean(&self, window_s: f64) -> Option<f64> {
        if self.duration_s() < window_s * (1.0 - 1e-9) {
            return None;
        }
        let begins = self.worst_from(window_s);
        let ends = self.worst_until(window_s);
        Some(begins.max(ends) / window_s)
    }

    /// Highest root mean square over any window of a series of squares.
    ///
    /// ```
    /// let mut series = crownwheel::windows::Series::new();
    /// series.push(1.0, 7.0 * 7.0);
    /// series.push(1.0, 1.0);
    /// assert_eq!(series.worst_rms(2.0), Some(5.0));
    /// ```
    #[must_use]
    pub fn worst_rms(&self, window_s: f64) -> Option<f64> {
        self.worst_mean(window_s).map(f64::sqrt)
    }

    fn worst_from(&self, window_s: f64) -> f64 {
        let mut piece = 0;
        let mut worst = f64::NEG_INFINITY;
        for (start, begun) in self.time_s.iter().zip(&self.integral) {
            let end = start + window_s;
            if end > self.duration_s() * (1.0 + 1e-12) {
                break;
            }
            worst = worst.max(self.integral_at(end, &mut piece) - begun);
        }
        worst
    }

    fn worst_until(&self, window_s: f64) -> f64 {
        let mut piece = 0;
        let mut worst = f64::NEG_INFINITY;
        for (end, ended) in self.time_s.iter().zip(&self.integral) {
            let start = end - window_s;
            if start >= 0.0 {
                worst = worst.max(ended - self.integral_at(start, &mut piece));
            }
        }
        worst
    }

    /// Integral at a time; `piece` moves forward from call to call.
    fn integral_at(&self, at_s: f64, piece: &mut usize) -> f64 {
        while *piece + 2 < self.time_s.len() && self.time_s[*piece + 1] < at_s {
            *piece += 1;
        }
        let i = *piece;
        let (t0, t1) = (self.time_s[i], self.time_s[i + 1]);
        let share = ((at_s - t0) / (t1 - t0)).clamp(0.0, 1.0);
        self.integral[i] + (self.integral[i + 1] - self.integral[i]) * share
    }
}

impl Default for Series {
    fn default() -> Series {
        Series::new()
    }
}

/// A series as it is written down, before it is looked at.
#[cfg(feature = "serde")]
#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Pieces {
    time_s: Vec<f64>,
    integral: Vec<f64>,
}

#[cfg(feature = "serde")]
impl TryFrom<Pieces> for Series {
    type Error = &'static str;

    fn try_from(pieces: Pieces) -> Result<Series, &'static str> {
        let Pieces { time_s, integral } = pieces;
        if time_s.len() != integral.len() {
            return Err("`time_s` and `integral` must be of one length");
        }
        let starts = |column: &[f64]| column.first().is_some_and(|first| *first == 0.0);
        if !(starts(&time_s) && starts(&integral)) {
            return Err("`time_s` and `integral` must start at 0");
        }
        let rises = time_s.windows(2).all(|pair| pair[1] > pair[0]);
        if !(rises && time_s.iter().chain(&integral).all(|value| value.is_finite())) {
            return Err("`time_s` must rise, and both columns must be finite numbers");
        }
        Ok(Series { time_s, integral })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_series_by_default_is_an_empty_one_that_may_grow() {
        let mut series = Series::default();
        assert_eq!(series, Series::new());
        series.push(1.0, 5.0);
        assert_eq!(series.worst_mean(1.0), Some(5.0));
    }

    #[test]
    fn the_worst_window_is_found_between_pieces() {
        let mut series = Series::new();
        for value in [1.0, 4.0, 9.0, 0.0, 0.0] {
            series.push(1.0, value);
        }
        assert_eq!(series.worst_mean(1.0), Some(9.0));
        assert_eq!(series.worst_mean(2.0), Some(6.5));
        // 1.5 s: half a second of 4 and one of 9.
        assert!((series.worst_mean(1.5).unwrap() - 11.0 / 1.5).abs() < 1e-12);
        assert_eq!(series.worst_mean(6.0), None);
        assert_eq!(series.worst_rms(1.0), Some(3.0));
    }

    #[test]
    fn no_window_reaches_beyond_the_end() {
        let mut series = Series::new();
        for value in [1.0, 9.0] {
            series.push(1.0, value);
        }
        // Half a second of 1 and one of 9; a second and a half of 9 there is not.
        assert!((series.worst_mean(1.5).unwrap() - 9.5 / 1.5).abs() < 1e-12);
        // Where all is taken back a shorter window would look better.
        let mut back = Series::new();
        for _ in 0..3 {
            back.push(1.0, -1.0);
        }
        assert!((back.worst_mean(1.5).unwrap() + 1.0).abs() < 1e-12);
    }
}
