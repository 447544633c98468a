//! Corner weights before and after: statics of parts taken out and put in.
//!
//! Loads are given in kilograms, as scales read them. Left and right are seen from the driver's
//! seat.

use std::sync::Arc;

use crate::spec::{CornersKg, PackSpec, PartSpec, Place, WeightsSpec};

impl CornersKg {
    /// Whole car, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.front_axle_kg() + self.rear_axle_kg()
    }

    /// Front axle load, kg.
    #[must_use]
    pub fn front_axle_kg(&self) -> f64 {
        self.front_left_kg + self.front_right_kg
    }

    /// Rear axle load, kg.
    #[must_use]
    pub fn rear_axle_kg(&self) -> f64 {
        self.rear_left_kg + self.rear_right_kg
    }

    /// Cross weight, 0..1: `(FR + RL) / total`.
    ///
    /// By definition of the trade; the total is more than 0.
    ///
    /// ```
    /// use crownwheel::spec::CornersKg;
    /// let corners = CornersKg { front_left_kg: 220.0, front_right_kg: 214.0, rear_left_kg: 176.0,
    ///     rear_right_kg: 190.0 };
    /// // (214 + 176) / 800.
    /// assert!((corners.cross_weight_frac() - 0.4875).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn cross_weight_frac(&self) -> f64 {
        (self.front_right_kg + self.rear_left_kg) / self.total_kg()
    }

    /// Share of the load on the front axle, 0..1.
    #[must_use]
    pub fn front_frac(&self) -> f64 {
        self.front_axle_kg() / self.total_kg()
    }

    /// Share of the load on the left wheels, 0..1.
    #[must_use]
    pub fn left_frac(&self) -> f64 {
        (self.front_left_kg + self.rear_left_kg) / self.total_kg()
    }

    /// Warp `(FL + RR) - (FR + RL)`, kg: how much one diagonal carries more than the other.
    ///
    /// ```
    /// use crownwheel::spec::CornersKg;
    /// let corners = CornersKg { front_left_kg: 220.0, front_right_kg: 214.0, rear_left_kg: 176.0,
    ///     rear_right_kg: 190.0 };
    /// // 410 kg on one diagonal, 390 kg on the other.
    /// assert!((corners.warp_kg() - 20.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn warp_kg(&self) -> f64 {
        (self.front_left_kg + self.rear_right_kg) - (self.front_right_kg + self.rear_left_kg)
    }

    /// Distance of the centre of gravity behind the front axle, m: `L · rear / total`.
    ///
    /// Lever rule; `wheelbase_m` more than 0.
    ///
    /// ```
    /// use crownwheel::spec::CornersKg;
    /// let corners = CornersKg { front_left_kg: 220.0, front_right_kg: 214.0, rear_left_kg: 176.0,
    ///     rear_right_kg: 190.0 };
    /// // 2.4 m · 366 / 800.
    /// assert!((corners.centre_behind_front_axle_m(2.4) - 1.098).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn centre_behind_front_axle_m(&self, wheelbase_m: f64) -> f64 {
        wheelbase_m * self.rear_axle_kg() / self.total_kg()
    }

    /// Distance of the centre of gravity right of the centre line, m.
    ///
    /// `[(FR - FL) t_f + (RR - RL) t_r] / 2 m`, statics.
    ///
    /// ```
    /// use crownwheel::{spec::CornersKg, weights::Tracks};
    /// let corners = CornersKg { front_left_kg: 220.0, front_right_kg: 214.0, rear_left_kg: 176.0,
    ///     rear_right_kg: 190.0 };
    /// // (-6 · 1.2 + 14 · 1.3) / 2 / 800.
    /// let right_m = corners.centre_right_m(Tracks { front_m: 1.2, rear_m: 1.3 });
    /// assert!((right_m - 0.006_875).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn centre_right_m(&self, tracks: Tracks) -> f64 {
        self.lateral_moment_kgm(tracks) / self.total_kg()
    }

    /// `(FR - FL) t_f / 2 + (RR - RL) t_r / 2`, kg m.
    fn lateral_moment_kgm(&self, tracks: Tracks) -> f64 {
        (self.front_right_kg - self.front_left_kg) * tracks.front_m / 2.0
            + (self.rear_right_kg - self.rear_left_kg) * tracks.rear_m / 2.0
    }
}

/// Distances between the wheels of an axle.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Tracks {
    /// Front, m.
    pub front_m: f64,
    /// Rear, m.
    pub rear_m: f64,
}

/// Lengths that statics needs.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Stance {
    /// Distance between the axles, m.
    pub wheelbase_m: f64,
    /// Tracks.
    pub tracks: Tracks,
    /// Share of the roll stiffness in front; `None` keeps the warp.
    pub front_roll_share: Option<f64>,
}

impl Stance {
    /// From a description.
    ///
    /// ```
    /// let stance = crownwheel::weights::Stance::of(&crownwheel::example::small_saloon().weights);
    /// assert!((stance.wheelbase_m - 2.32).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn of(spec: &WeightsSpec) -> Stance {
        Stance {
            wheelbase_m: spec.wheelbase_m,
            tracks: Tracks { front_m: spec.track_front_m, rear_m: spec.track_rear_m },
            front_roll_share: spec.front_roll_share,
        }
    }

    /// Corner loads after adding `mass_kg` (negative: removing) at a place.
    ///
    /// Along the car by the lever rule, `rear += m x / L`. Across it the moment `m y` is shared by
    /// the axles: with a known roll share `φ` it moves `2 φ m y / t_f` between the front wheels and
    /// `2 (1 - φ) m y / t_r` between the rear ones; without it the warp stays as measured, which
    /// holds for equal roll stiffness. Void once springs are touched.
    ///
    /// ```
    /// use crownwheel::spec::{CornersKg, Place};
    /// use crownwheel::weights::{Stance, Tracks};
    /// let corners = CornersKg { front_left_kg: 220.0, front_right_kg: 214.0, rear_left_kg: 176.0,
    ///     rear_right_kg: 190.0 };
    /// let tracks = Tracks { front_m: 1.2, rear_m: 1.2 };
    /// let stance = Stance { wheelbase_m: 2.4, tracks, front_roll_share: None };
    /// // 50 kg at 1.8 m of 2.4 m: three quarters of it go to the rear axle.
    /// let place = Place { behind_front_axle_m: 1.8, ..Place::default() };
    /// assert!((stance.with_mass(&corners, 50.0, place).rear_axle_kg() - 403.5).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn with_mass(&self, corners: &CornersKg, mass_kg: f64, place: Place) -> CornersKg {
        let rear_kg =
            corners.rear_axle_kg() + mass_kg * place.behind_front_axle_m / self.wheelbase_m;
        let total_kg = corners.total_kg() + mass_kg;
        let front_kg = total_kg - rear_kg;
        let moment_kgm = mass_kg * place.right_of_centre_m;
        let (front_left_over, rear_left_over) = self.differences(corners, moment_kgm);
        CornersKg {
            front_left_kg: (front_kg - front_left_over) / 2.0,
            front_right_kg: (front_kg + front_left_over) / 2.0,
            rear_left_kg: (rear_kg - rear_left_over) / 2.0,
            rear_right_kg: (rear_kg + rear_left_over) / 2.0,
        }
    }

    /// Right minus left, front and rear, after a lateral moment is added.
    fn differences(&self, corners: &CornersKg, added_kgm: f64) -> (f64, f64) {
        let Tracks { front_m, rear_m } = self.tracks;
        let front = corners.front_right_kg - corners.front_left_kg;
        let rear = corners.rear_right_kg - corners.rear_left_kg;
        if let Some(share) = self.front_roll_share {
            let more_front = 2.0 * share * added_kgm / front_m;
            return (front + more_front, rear + 2.0 * (1.0 - share) * added_kgm / rear_m);
        }
        // Moment M = front t_f/2 + rear t_r/2 and warp W = rear - front hold together.
        let moment_kgm = corners.lateral_moment_kgm(self.tracks) + added_kgm;
        let warp_kg = corners.warp_kg();
        let front = (2.0 * moment_kgm - warp_kg * rear_m) / (front_m + rear_m);
        (front, front + warp_kg)
    }
}

/// How the car is loaded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case")
)]
pub enum LoadCase {
    /// Before the conversion, as on the scales.
    AsOnScales,
    /// Converted, nobody aboard.
    ConvertedEmpty,
    /// Converted, those aboard while driving, luggage as written.
    DriverOnly,
    /// Converted, every seat filled, luggage as written.
    EverySeat,
    /// Converted, every seat filled, luggage up to gross mass.
    AtGross,
}

impl LoadCase {
    /// The five cases in the order in which they are shown.
    pub const ALL: [LoadCase; 5] = [
        LoadCase::AsOnScales,
        LoadCase::ConvertedEmpty,
        LoadCase::DriverOnly,
        LoadCase::EverySeat,
        LoadCase::AtGross,
    ];

    /// The word in JSON and CSV.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            LoadCase::AsOnScales => "as_on_scales",
            LoadCase::ConvertedEmpty => "converted_empty",
            LoadCase::DriverOnly => "driver_only",
            LoadCase::EverySeat => "every_seat",
            LoadCase::AtGross => "at_gross",
        }
    }

    /// Heading for people.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            LoadCase::AsOnScales => "as on the scales",
            LoadCase::ConvertedEmpty => "converted, empty",
            LoadCase::DriverOnly => "driver only",
            LoadCase::EverySeat => "every seat filled",
            LoadCase::AtGross => "at gross",
        }
    }
}

/// A loaded car.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct LoadedCar {
    /// Corner loads.
    pub corners: CornersKg,
    /// Height of the centre of gravity, m.
    pub centre_of_gravity_height_m: f64,
    /// Luggage in the car, kg.
    pub luggage_kg: f64,
}

/// Modules in one box.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct FilledBox {
    /// Box name.
    pub name: Arc<str>,
    /// Modules in it.
    pub modules: u32,
    /// Where their centre of mass sits.
    pub place: Place,
}

/// Modules per box, filled in order. What has no room is left out; see [`modules_without_room`].
///
/// ```
/// // Nine modules, five in each box.
/// let boxes = crownwheel::weights::filled_boxes(&crownwheel::example::small_saloon().pack);
/// assert_eq!((boxes[0].modules, boxes[1].modules), (5, 4));
/// ```
#[must_use]
pub fn filled_boxes(pack: &PackSpec) -> Vec<FilledBox> {
    let mut left = pack.module_count();
    let fill = |b: &crate::spec::BoxSpec| {
        let modules = left.min(b.room_for);
        left -= modules;
        FilledBox { name: b.name.clone(), modules, place: b.place }
    };
    pack.boxes.iter().map(fill).collect()
}

/// Modules that no box has room for.
///
/// ```
/// let mut pack = crownwheel::example::small_saloon().pack;
/// pack.modules_in_series = 12;
/// assert_eq!(crownwheel::weights::modules_without_room(&pack), 2);
/// ```
#[must_use]
pub fn modules_without_room(pack: &PackSpec) -> u32 {
    let room: u32 = pack.boxes.iter().map(|b| b.room_for).sum();
    pack.module_count().saturating_sub(room)
}

/// The car in a loading case. `AtGross` without a plate mass is `EverySeat`.
///
/// Statics, part by part: [`Stance::with_mass`], and `h = Σ m h / Σ m`.
///
/// ```
/// use crownwheel::weights::{LoadCase, loaded};
/// let spec = crownwheel::example::small_saloon();
/// // 792 kg on the scales, 218 kg out, 154 kg and 9 · 11.4 kg in.
/// let empty = loaded(&spec.weights, &spec.pack, LoadCase::ConvertedEmpty);
/// assert!((empty.corners.total_kg() - 830.6).abs() < 1e-9);
/// ```
#[must_use]
pub fn loaded(spec: &WeightsSpec, pack: &PackSpec, case: LoadCase) -> LoadedCar {
    let mut load = Load::new(spec);
    if case == LoadCase::AsOnScales {
        return load.done();
    }
    for part in &spec.taken_out {
        load.add(-part.mass_kg, part.place);
    }
    for part in &spec.put_in {
        load.add(part.mass_kg, part.place);
    }
    for filled in filled_boxes(pack) {
        load.add(f64::from(filled.modules) * pack.module_mass_kg, filled.place);
    }
    if case == LoadCase::ConvertedEmpty {
        return load.done();
    }
    let seated = spec.seats.iter().filter(|seat| seat.aboard || case != LoadCase::DriverOnly);
    for seat in seated {
        load.add(seat.person.mass_kg, seat.person.place);
    }
    load.add_luggage(&spec.luggage, spec.luggage.mass_kg);
    if let (LoadCase::AtGross, Some(gross_kg)) = (case, spec.plate.gross_kg) {
        // A car that is over its gross mass with every seat filled takes no more luggage.
        let room_kg = (gross_kg - load.corners.total_kg()).max(-spec.luggage.mass_kg);
        load.add_luggage(&spec.luggage, room_kg);
    }
    load.done()
}

/// A car being loaded.
struct Load {
    stance: Stance,
    corners: CornersKg,
    /// Mass times height, kg m.
    moment_kgm: f64,
    /// Height taken for parts without one, m.
    usual_height_m: f64,
    luggage_kg: f64,
}

impl Load {
    fn new(spec: &WeightsSpec) -> Load {
        let height_m = spec.centre_of_gravity_height_m;
        Load {
            stance: Stance::of(spec),
            corners: spec.corners,
            moment_kgm: spec.corners.total_kg() * height_m,
            usual_height_m: height_m,
            luggage_kg: 0.0,
        }
    }

    fn add(&mut self, mass_kg: f64, place: Place) {
        self.corners = self.stance.with_mass(&self.corners, mass_kg, place);
        self.moment_kgm += mass_kg * place.above_ground_m.unwrap_or(self.usual_height_m);
    }

    fn add_luggage(&mut self, luggage: &PartSpec, mass_kg: f64) {
        self.add(mass_kg, luggage.place);
        self.luggage_kg += mass_kg;
    }

    fn done(self) -> LoadedCar {
        LoadedCar {
            centre_of_gravity_height_m: self.moment_kgm / self.corners.total_kg(),
            corners: self.corners,
            luggage_kg: self.luggage_kg,
        }
    }
}

/// Height of the common centre of gravity of bodies `(mass, height)`, m.
///
/// `h = Σ m h / Σ m`.
///
/// Masses in kg, heights in m; the sum of the masses is not 0. Statics.
///
/// ```
/// let height_m = crownwheel::weights::combined_height_m(&[(800.0, 0.5), (200.0, 1.0)]);
/// assert!((height_m - 0.6).abs() < 1e-12);
/// ```
#[must_use]
pub fn combined_height_m(bodies: &[(f64, f64)]) -> f64 {
    let mass_kg: f64 = bodies.iter().map(|(m, _)| m).sum();
    bodies.iter().map(|(m, h)| m * h).sum::<f64>() / mass_kg
}

/// A car on level scales at one axle while the other axle is held up.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct AxleLift {
    /// Distance between the axles, m.
    pub wheelbase_m: f64,
    /// How much higher the hubs of the lifted axle are than those on the scales, m; more than 0
    /// and less than the wheelbase.
    pub lifted_m: f64,
    /// Static loaded radius of the tyres (hub above ground), m, alike on both axles.
    pub loaded_radius_m: f64,
    /// Whole car, kg.
    pub total_kg: f64,
    /// Load of the axle on the scales with the car level, kg.
    pub level_kg: f64,
}

impl AxleLift {
    /// Angle of the lifted car, rad: `sin θ = lift / L`.
    ///
    /// ```
    /// use crownwheel::weights::AxleLift;
    /// let lift = AxleLift { wheelbase_m: 2.5, lifted_m: 1.5, loaded_radius_m: 0.27, total_kg: 800.0,
    ///     level_kg: 400.0 };
    /// assert!((lift.angle_rad().tan() - 0.75).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn angle_rad(&self) -> f64 {
        libm::asin(self.lifted_m / self.wheelbase_m)
    }

    /// Height of the centre of gravity above the ground, m, from the load of the lower axle, kg:
    /// `h = r + (W' - W_level) / W · L · cot θ`.
    ///
    /// Springs must be blocked and tanks full, or the body's own movement is read as height. Lift
    /// only with the car secured; this is a job for a workshop.
    ///
    /// # Source
    /// ISO 10392 (method); Jazar, Vehicle Dynamics: Theory and Application, eq. 2.32.
    ///
    /// ```
    /// use crownwheel::weights::AxleLift;
    /// let lift = AxleLift { wheelbase_m: 2.5, lifted_m: 1.5, loaded_radius_m: 0.27, total_kg: 800.0,
    ///     level_kg: 400.0 };
    /// // 0.27 + 60 / 800 · 2.5 / 0.75.
    /// assert!((lift.centre_of_gravity_height_m(460.0) - 0.52).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn centre_of_gravity_height_m(&self, lower_axle_kg: f64) -> f64 {
        let moved_frac = (lower_axle_kg - self.level_kg) / self.total_kg;
        self.loaded_radius_m + moved_frac * self.wheelbase_m / libm::tan(self.angle_rad())
    }

    /// Load that the lower axle will show for a height of the centre of gravity, kg: the inverse.
    ///
    /// ```
    /// use crownwheel::weights::AxleLift;
    /// let lift = AxleLift { wheelbase_m: 2.5, lifted_m: 1.5, loaded_radius_m: 0.27, total_kg: 800.0,
    ///     level_kg: 400.0 };
    /// assert!((lift.lower_axle_kg(0.52) - 460.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn lower_axle_kg(&self, centre_of_gravity_height_m: f64) -> f64 {
        let over_hub_m = centre_of_gravity_height_m - self.loaded_radius_m;
        self.level_kg + self.total_kg * over_hub_m * libm::tan(self.angle_rad()) / self.wheelbase_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stance(front_roll_share: Option<f64>) -> Stance {
        let tracks = Tracks { front_m: 1.2, rear_m: 1.3 };
        Stance { wheelbase_m: 2.4, tracks, front_roll_share }
    }

    const CORNERS: CornersKg = CornersKg {
        front_left_kg: 220.0,
        front_right_kg: 214.0,
        rear_left_kg: 176.0,
        rear_right_kg: 181.0,
    };

    #[test]
    fn the_centre_of_gravity_is_where_moments_balance() {
        // 357 kg of 791 kg stand on the rear axle.
        assert!((CORNERS.centre_behind_front_axle_m(2.4) - 2.4 * 357.0 / 791.0).abs() < 1e-12);
        // Sine 3/5, tangent 3/4: 3 % of the car times 2.5 m over 3/4 are 0.1 m above the hubs.
        let lift = AxleLift {
            wheelbase_m: 2.5,
            lifted_m: 1.5,
            loaded_radius_m: 0.3,
            total_kg: 1000.0,
            level_kg: 400.0,
        };
        assert!((lift.centre_of_gravity_height_m(430.0) - 0.4).abs() < 1e-12);
        assert!((lift.lower_axle_kg(0.4) - 430.0).abs() < 1e-9);
    }

    #[test]
    fn moments_balance_and_warp_stays() {
        let place =
            Place { behind_front_axle_m: 2.0, right_of_centre_m: -0.3, above_ground_m: None };
        let after = stance(None).with_mass(&CORNERS, 50.0, place);
        assert!((after.total_kg() - 841.0).abs() < 1e-9);
        assert!((after.warp_kg() - CORNERS.warp_kg()).abs() < 1e-9);
        let tracks = stance(None).tracks;
        let moment = after.lateral_moment_kgm(tracks) - CORNERS.lateral_moment_kgm(tracks);
        assert!((moment + 15.0).abs() < 1e-9);
    }

    #[test]
    fn a_roll_share_moves_the_moment_where_the_stiffness_is() {
        let place =
            Place { behind_front_axle_m: 0.0, right_of_centre_m: 0.6, above_ground_m: None };
        let after = stance(Some(1.0)).with_mass(&CORNERS, 10.0, place);
        // All of it in front: 2 · 1 · 6 kg m / 1.2 m = 10 kg more between right and left.
        let difference = after.front_right_kg - after.front_left_kg;
        assert!((difference - (-6.0 + 10.0)).abs() < 1e-9);
        let rear = after.rear_right_kg - after.rear_left_kg;
        assert!((rear - 5.0).abs() < 1e-9);
    }

    #[test]
    fn adding_and_removing_the_same_part_changes_nothing() {
        let place =
            Place { behind_front_axle_m: -0.4, right_of_centre_m: 0.2, above_ground_m: None };
        let there = stance(None).with_mass(&CORNERS, 33.0, place);
        let back = stance(None).with_mass(&there, -33.0, place);
        assert!((back.front_left_kg - CORNERS.front_left_kg).abs() < 1e-9);
        assert!((back.rear_right_kg - CORNERS.rear_right_kg).abs() < 1e-9);
    }
}
