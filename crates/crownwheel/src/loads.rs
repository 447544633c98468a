//! Standing loads and the converter that feeds the 12 V side.

use crate::spec::{CarSpec, DaySpec, LoadSide, LoadSpec};

/// Mean power of the standing loads.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct StandingLoad {
    /// Used on the 12 V side, W.
    pub twelve_volt_w: f64,
    /// Asked for on the 12 V side beyond what the DC-DC converter gives, W: not delivered.
    pub beyond_dcdc_w: f64,
    /// Used on the traction side, W.
    pub traction_w: f64,
    /// Lost in the DC-DC converter, W.
    pub dcdc_loss_w: f64,
}

impl StandingLoad {
    /// The loads of a car on a day, with the day's extra load (traction side).
    ///
    /// Power counts with its duty. The converter gives at most its highest power and loses `P (1/η - 1)`.
    ///
    /// `dcdc.efficiency_frac` is more than 0. By definition of efficiency.
    ///
    /// ```
    /// // 180 W on the 12 V side at 0.9 lose 20 W on the way; a heater of 1 kW sits on the traction side.
    /// use crownwheel::{example, loads::StandingLoad, spec::DaySpec};
    /// let day = DaySpec { extra_load_w: 1_000.0, ..example::mild_day() };
    /// let standing = StandingLoad::of(&example::small_saloon(), &day);
    /// assert!((standing.dcdc_loss_w - 20.0).abs() < 1e-9 && (standing.drawn_w() - 1_200.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn of(spec: &CarSpec, day: &DaySpec) -> StandingLoad {
        let on = |side: LoadSide| -> f64 {
            let loads = spec.loads.iter().filter(|load| load.side == side && load.is_on(day));
            loads.map(|load| load.power_w * load.duty_frac).sum()
        };
        let asked_w = on(LoadSide::TwelveVolt);
        let twelve_volt_w = spec.dcdc.max_w.map_or(asked_w, |max_w| asked_w.min(max_w));
        StandingLoad {
            twelve_volt_w,
            beyond_dcdc_w: asked_w - twelve_volt_w,
            traction_w: on(LoadSide::Traction) + day.extra_load_w,
            dcdc_loss_w: twelve_volt_w * (1.0 / spec.dcdc.efficiency_frac - 1.0),
        }
    }

    /// Power used, W, without the converter's loss.
    #[must_use]
    pub fn used_w(&self) -> f64 {
        self.twelve_volt_w + self.traction_w
    }

    /// Power drawn from the pack's terminals, W.
    ///
    /// Used power and the converter's loss.
    #[must_use]
    pub fn drawn_w(&self) -> f64 {
        self.used_w() + self.dcdc_loss_w
    }
}

impl LoadSpec {
    /// Whether it is on at all on a day.
    #[must_use]
    pub fn is_on(&self, day: &DaySpec) -> bool {
        self.days.as_ref().is_none_or(|days| days.contains(&day.name))
            && self.only_below_k.is_none_or(|below_k| day.temperature_k < below_k)
    }

    /// Whether it is of some days or temperatures only.
    #[must_use]
    pub fn is_seasonal(&self) -> bool {
        self.days.is_some() || self.only_below_k.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::small_saloon;

    #[test]
    fn the_converter_gives_no_more_than_it_can() {
        let mut spec = small_saloon();
        spec.dcdc.max_w = Some(1_200.0);
        spec.loads[0].power_w = 2_000.0;
        let standing = StandingLoad::of(&spec, &crate::example::mild_day());
        assert!((standing.twelve_volt_w - 1_200.0).abs() < 1e-9, "{standing:?}");
        assert!((standing.beyond_dcdc_w - 800.0).abs() < 1e-9, "{standing:?}");
        assert!((standing.drawn_w() - 1_200.0 / 0.9).abs() < 1e-9, "{standing:?}");
    }
}
