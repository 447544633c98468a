//! Standing loads and the converter that feeds the 12 V side.

use crate::spec::{CarSpec, LoadSide};

/// Mean power of the standing loads.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Standing {
    /// Used on the 12 V side, W.
    pub twelve_volt_w: f64,
    /// Used on the traction side, W.
    pub traction_w: f64,
    /// Lost in the DC-DC converter, W.
    pub dcdc_loss_w: f64,
}

impl Standing {
    /// All loads of a car with the extra load of a day (traction side).
    ///
    /// Power counts with its duty. The converter loses `P (1/η - 1)`.
    ///
    /// `dcdc.efficiency_frac` is more than 0. By definition of efficiency.
    ///
    /// ```
    /// // 180 W on the 12 V side at 0.9 lose 20 W on the way; a heater of 1 kW sits on the traction side.
    /// let standing = crownwheel::loads::Standing::of(&crownwheel::example::small_saloon(), 1_000.0);
    /// assert!((standing.dcdc_loss_w - 20.0).abs() < 1e-9 && (standing.drawn_w() - 1_200.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn of(spec: &CarSpec, extra_load_w: f64) -> Standing {
        let on = |side: LoadSide| -> f64 {
            let loads = spec.loads.iter().filter(|load| load.side == side);
            loads.map(|load| load.power_w * load.duty_frac).sum()
        };
        let twelve_volt_w = on(LoadSide::TwelveVolt);
        Standing {
            twelve_volt_w,
            traction_w: on(LoadSide::Traction) + extra_load_w,
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
