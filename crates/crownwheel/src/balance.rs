//! The energy balance: where every joule from the pack went.

use crate::lane::Lane;

/// Declares the rows once, with what is done to all of them.
macro_rules! rows {
    ($($(#[$doc:meta])* $row:ident,)*) => {
        /// Energy by where it went, J: of one step, or of a run.
        #[derive(Clone, Copy, Debug, PartialEq)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
        #[non_exhaustive]
        pub struct Energies<L> {
            $($(#[$doc])* pub $row: L,)*
        }

        impl<L: Lane> Energies<L> {
            /// All rows zero.
            #[inline(always)]
            #[must_use]
            pub fn zero() -> Self {
                Energies { $($row: L::splat(0.0),)* }
            }

            /// The rows of one lane.
            #[must_use]
            pub fn lane(&self, index: usize) -> Energies<f64> {
                Energies { $($row: self.$row.lane(index),)* }
            }

            /// Rows side by side.
            #[inline(always)]
            pub(crate) fn each<'a>(lane: impl Fn(usize) -> &'a Energies<f64>) -> Self {
                Energies { $($row: L::each(|i| lane(i).$row),)* }
            }

            /// Adds another's rows.
            #[inline(always)]
            pub fn add_whole(&mut self, other: &Self) {
                $(self.$row = self.$row + other.$row;)*
            }

            /// Adds a share of another's rows.
            #[inline(always)]
            pub fn add(&mut self, other: &Self, share: L) {
                $(self.$row = self.$row + other.$row * share;)*
            }
        }
    };
}

rows! {
    /// Air drag (with coefficients: the square term).
    air_j,
    /// Rolling resistance (with coefficients: the constant term).
    rolling_j,
    /// Linear term of coast-down coefficients.
    linear_j,
    /// Height gained.
    climbing_j,
    /// Speed gained.
    kinetic_j,
    /// Dragging brakes.
    brake_drag_j,
    /// Gears, bearings, oil.
    driveline_j,
    /// Motor losses.
    motor_j,
    /// Inverter losses.
    inverter_j,
    /// DC-DC converter losses.
    dcdc_j,
    /// Resistance of pack and harness.
    pack_j,
    /// Standing loads.
    ancillaries_j,
    /// Friction brakes.
    friction_j,
    /// What the model leaves out: [`crate::spec::ModelSpec::use_scale`].
    not_modelled_j,
    /// Taken from store, `E I dt`.
    from_pack_j,
    /// Energy at the terminals, `U I dt`.
    terminals_j,
    /// Memo: braking energy on offer at the wheels.
    braking_offer_j,
    /// Memo: energy that came back to the terminals.
    taken_back_j,
}

/// Energies summed over a run.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Balance<L> {
    /// Sums of the rows of every step, J.
    pub sum: Energies<L>,
    /// Sum of what left the pack, discharging steps only, J.
    pub gross_out_j: L,
    /// Sum of what entered the pack, charging steps only, J.
    pub gross_in_j: L,
}

impl<L: Lane> Balance<L> {
    /// Nothing yet.
    #[inline(always)]
    #[must_use]
    pub fn zero() -> Self {
        let zero = L::splat(0.0);
        Balance { sum: Energies::zero(), gross_out_j: zero, gross_in_j: zero }
    }

    /// Adds a step.
    ///
    /// ```
    /// use crownwheel::balance::{Balance, Energies};
    /// let mut step = Energies::<f64>::zero();
    /// step.from_pack_j = -5.0;
    /// let mut balance = Balance::<f64>::zero();
    /// balance.add_whole(&step);
    /// assert!((balance.gross_in_j - 5.0).abs() < 1e-12 && balance.gross_out_j.abs() < 1e-12);
    /// ```
    #[inline(always)]
    pub fn add_whole(&mut self, step: &Energies<L>) {
        self.sum.add_whole(step);
        let zero = L::splat(0.0);
        self.gross_out_j = self.gross_out_j + step.from_pack_j.max(zero);
        self.gross_in_j = self.gross_in_j + (-step.from_pack_j).max(zero);
    }

    /// Adds a step, or the share of it that counted.
    #[inline(always)]
    pub fn add(&mut self, step: &Energies<L>, share: L) {
        self.sum.add(step, share);
        let zero = L::splat(0.0);
        self.gross_out_j = self.gross_out_j + step.from_pack_j.max(zero) * share;
        self.gross_in_j = self.gross_in_j + (-step.from_pack_j).max(zero) * share;
    }
}

impl<L: Lane> Balance<L> {
    /// The balance of one lane.
    #[must_use]
    pub fn lane(&self, index: usize) -> Balance<f64> {
        Balance {
            sum: self.sum.lane(index),
            gross_out_j: self.gross_out_j.lane(index),
            gross_in_j: self.gross_in_j.lane(index),
        }
    }
}

impl<L: Lane> Energies<L> {
    /// What left the pack less everything that is accounted for, J.
    ///
    /// `from pack - (air + rolling + linear + climbing + kinetic + brake drag + driveline + motor + inverter + dcdc +
    /// pack + ancillaries + friction brakes + not modelled)`.
    ///
    /// ```
    /// let mut energies = crownwheel::balance::Energies::<f64>::zero();
    /// (energies.from_pack_j, energies.air_j, energies.motor_j) = (100.0, 60.0, 39.0);
    /// assert!((energies.imbalance_j() - 1.0).abs() < 1e-12);
    /// ```
    #[inline(always)]
    #[must_use]
    pub fn imbalance_j(&self) -> L {
        let road = self.air_j
            + self.rolling_j
            + self.linear_j
            + self.climbing_j
            + self.kinetic_j
            + self.brake_drag_j;
        let machine = self.driveline_j + self.motor_j + self.inverter_j + self.dcdc_j + self.pack_j;
        self.from_pack_j
            - (road + machine + self.ancillaries_j + self.friction_j + self.not_modelled_j)
    }
}

impl Balance<f64> {
    /// The balance of a run of which this share counts, and whose way takes this many times what was driven.
    pub(crate) fn scaled(&self, counts: f64, times: f64) -> Balance<f64> {
        let mut sum = Energies::zero();
        sum.add(&self.sum, counts);
        let more_j = (times - 1.0) * sum.from_pack_j;
        sum.from_pack_j += more_j;
        sum.terminals_j += more_j;
        sum.not_modelled_j = more_j;
        let more = counts * times;
        Balance { sum, gross_out_j: more * self.gross_out_j, gross_in_j: more * self.gross_in_j }
    }

    /// What left the pack less everything that is accounted for, J.
    #[must_use]
    pub fn imbalance_j(&self) -> f64 {
        self.sum.imbalance_j()
    }

    /// The larger of gross energy out and in, J: the scale of the imbalance.
    #[must_use]
    pub fn scale_j(&self) -> f64 {
        self.gross_out_j.max(self.gross_in_j)
    }

    /// Share of the braking energy on offer at the wheels that came back to the terminals. `None`
    /// if none was on offer.
    ///
    /// ```
    /// let mut balance = crownwheel::balance::Balance::<f64>::zero();
    /// assert_eq!(balance.share_returned(), None);
    /// (balance.sum.braking_offer_j, balance.sum.taken_back_j) = (80.0, 20.0);
    /// assert_eq!(balance.share_returned(), Some(0.25));
    /// ```
    #[must_use]
    pub fn share_returned(&self) -> Option<f64> {
        let offered_j = self.sum.braking_offer_j;
        (offered_j > 0.0).then(|| self.sum.taken_back_j / offered_j)
    }
}
