//! Where the energy went: rows that add up to what came from the pack.

use serde::Serialize;

/// Energy balance over a whole range, Wh per km driven.
///
/// `from_pack` is the sum of the other rows; `imbalance` is what rounding left of the difference.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Balance {
    /// What the road took, apart from hills and speed.
    #[serde(flatten)]
    pub road: RoadShares,
    /// Height gained, net.
    pub climbing: f64,
    /// Change of the energy of motion; 0 from rest to rest.
    pub kinetic: f64,
    /// Dragging brakes and wheel bearings.
    pub brake_drag: f64,
    /// Reduction and axle.
    pub driveline: f64,
    /// Motor.
    pub motor: f64,
    /// Inverter.
    pub inverter: f64,
    /// DC-DC converter.
    pub dcdc: f64,
    /// Resistance of pack and harness.
    pub pack: f64,
    /// Standing loads.
    pub ancillaries: f64,
    /// Friction brakes.
    pub friction_brakes: f64,
    /// Stored energy taken from the pack, net.
    pub from_pack: f64,
    /// `from_pack` less the sum of the rows.
    pub imbalance: f64,
}

/// Road load in the terms in which the build gives it, Wh/km.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum RoadShares {
    /// Air and tyres apart.
    Terms {
        /// Air drag.
        air: f64,
        /// Rolling resistance.
        rolling: f64,
    },
    /// Coast-down coefficients.
    Coefficients {
        /// Part of `f0`.
        road_load_constant: f64,
        /// Part of `f1`.
        road_load_linear: f64,
        /// Part of `f2`.
        road_load_square: f64,
    },
}

impl Default for RoadShares {
    fn default() -> RoadShares {
        RoadShares::Terms { air: 0.0, rolling: 0.0 }
    }
}

/// One row of a balance: JSON key, label, value in Wh/km.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BalanceRow {
    /// JSON key.
    pub key: &'static str,
    /// Label for people.
    pub label: &'static str,
    /// Wh/km.
    pub wh_per_km: f64,
}

impl Balance {
    /// The rows that add up to `from_pack`, in the order of the way of the energy.
    #[must_use]
    pub fn rows(&self) -> Vec<BalanceRow> {
        let row = |key, label, wh_per_km| BalanceRow { key, label, wh_per_km };
        let mut rows = match self.road {
            RoadShares::Terms { air, rolling } => {
                vec![row("air", "air", air), row("rolling", "tyres rolling", rolling)]
            }
            RoadShares::Coefficients { road_load_constant, road_load_linear, road_load_square } => {
                vec![
                    row("road_load_constant", "road load, constant", road_load_constant),
                    row("road_load_linear", "road load, with speed", road_load_linear),
                    row("road_load_square", "road load, with speed squared", road_load_square),
                ]
            }
        };
        rows.extend([
            row("climbing", "climbing", self.climbing),
            row("kinetic", "change of speed", self.kinetic),
            row("brake_drag", "brake drag", self.brake_drag),
            row("driveline", "driveline", self.driveline),
            row("motor", "motor", self.motor),
            row("inverter", "inverter", self.inverter),
            row("dcdc", "DC-DC", self.dcdc),
            row("pack", "pack and harness", self.pack),
            row("ancillaries", "ancillaries", self.ancillaries),
            row("friction_brakes", "friction brakes", self.friction_brakes),
        ]);
        rows
    }
}

/// Braking, beside the balance: what there was to take back, and what was taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct BrakingMemo {
    /// Braking energy on offer at the wheels, Wh/km.
    pub on_offer_wh_per_km: f64,
    /// Taken back at the pack's terminals, Wh/km.
    pub taken_back_wh_per_km: f64,
    /// Taken back over on offer, %. `None`: nothing was on offer.
    pub share_returned_pct: Option<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn balance(road: RoadShares) -> Balance {
        Balance {
            road,
            climbing: 1.0,
            kinetic: 2.0,
            brake_drag: 3.0,
            driveline: 4.0,
            motor: 5.0,
            inverter: 6.0,
            dcdc: 7.0,
            pack: 8.0,
            ancillaries: 9.0,
            friction_brakes: 10.0,
            from_pack: 90.0,
            imbalance: 0.0,
        }
    }

    #[test]
    fn rows_have_the_keys_and_values_of_the_json() {
        let roads = [
            RoadShares::Terms { air: 20.0, rolling: 15.0 },
            RoadShares::Coefficients {
                road_load_constant: 15.0,
                road_load_linear: 1.0,
                road_load_square: 19.0,
            },
        ];
        for road in roads {
            let balance = balance(road);
            let json = serde_json::to_value(&balance).unwrap();
            let rows = balance.rows();
            for row in &rows {
                assert_eq!(json[row.key].as_f64(), Some(row.wh_per_km), "{}", row.key);
            }
            // Beside the rows there are only the sum and the imbalance.
            assert_eq!(json.as_object().unwrap().len(), rows.len() + 2);
            let sum: f64 = rows.iter().map(|row| row.wh_per_km).sum();
            assert!((sum - balance.from_pack).abs() < 1e-9, "{sum}");
        }
    }
}
