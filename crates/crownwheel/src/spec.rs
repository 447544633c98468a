//! The description of a car in SI numbers, as a program writes it: [`CarSpec`] and its parts.
//!
//! Nothing here is checked. [`crate::Car::new`] checks a whole description once and refuses it with
//! a [`SpecError`] that names the key; after that nothing can fail. The default of a description is
//! empty, to be filled in: as it is, it is refused.
//!
//! Signs and directions, once for all fields: lengths along the car are measured **behind the front
//! axle** (in front of it is negative), across the car **right of the centre line**, up from the
//! ground. Torque and power are positive when they drive the car forward; battery current is
//! positive when the pack discharges.

use crate::constants::METRE_PER_INCH;
use crate::name::Name;
use std::fmt;
use std::sync::Arc;

/// Why a car or a day is refused.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
pub struct SpecError {
    pub(crate) kind: SpecErrorKind,
    pub(crate) key: String,
    pub(crate) value: f64,
    pub(crate) unit: &'static str,
    pub(crate) allowed: String,
}

/// What is wrong with a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[non_exhaustive]
pub enum SpecErrorKind {
    /// It is outside of what its key allows, or of what another number leaves it.
    Range,
    /// A whole number is wanted.
    Whole,
    /// This car or day has no such number.
    Absent,
    /// Several numbers do not go together.
    Together,
}

impl SpecError {
    /// What is wrong.
    #[must_use]
    pub fn kind(&self) -> SpecErrorKind {
        self.kind
    }

    /// Path of the key in a build file, `pack.cell_voltage`.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.key
    }

    /// The value that was given, in [`SpecError::unit`].
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Unit of the value, `""` for a pure number.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        self.unit
    }

    /// What is allowed, in words.
    #[must_use]
    pub fn allowed(&self) -> &str {
        &self.allowed
    }
}

/// "`car.wheelbase` must be 0.5 to 10 m, not 30 m".
impl fmt::Display for SpecError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let space = if self.unit.is_empty() { "" } else { " " };
        let SpecError { key, value, unit, allowed, .. } = self;
        write!(f, "`{key}` must be {allowed}, not {value}{space}{unit}")
    }
}

impl std::error::Error for SpecError {}

/// A point on the car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct Place {
    /// Distance behind the front axle, m; negative in front of it.
    pub behind_front_axle_m: f64,
    /// Distance right of the centre line, m; negative to the left.
    pub right_of_centre_m: f64,
    /// Height above the ground, m. `None`: taken at the height of the car's centre of gravity.
    pub above_ground_m: Option<f64>,
}

/// A part with a mass and a place: taken out, put in, a person, or luggage.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct PartSpec {
    /// Name as written in the build.
    pub name: Arc<str>,
    /// Mass, kg, at least 0.
    pub mass_kg: f64,
    /// Where its centre of mass sits.
    pub place: Place,
}

/// A seat and the person in it.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct SeatSpec {
    /// The person as a part: name, mass, place.
    pub person: PartSpec,
    /// Counts while driving; others count only in the laden cases.
    pub aboard: bool,
}

/// Load under each wheel on four scales, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct CornersKg {
    /// Front left, kg.
    pub front_left_kg: f64,
    /// Front right, kg.
    pub front_right_kg: f64,
    /// Rear left, kg.
    pub rear_left_kg: f64,
    /// Rear right, kg.
    pub rear_right_kg: f64,
}

/// What the axles and the whole car may weigh, by the plate. `None`: not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct PlateSpec {
    /// Gross mass, kg.
    pub gross_kg: Option<f64>,
    /// Highest front axle load, kg.
    pub front_axle_kg: Option<f64>,
    /// Highest rear axle load, kg.
    pub rear_axle_kg: Option<f64>,
}

/// Springs, as rates at the wheel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct SpringsSpec {
    /// Rate of one front wheel, N/m.
    pub front_wheel_rate_n_per_m: f64,
    /// Rate of one rear wheel, N/m.
    pub rear_wheel_rate_n_per_m: f64,
    /// Mass of the front axle that does not ride on the springs (wheels, hubs, brakes), kg.
    pub front_unsprung_kg: f64,
    /// The same at the rear, kg.
    pub rear_unsprung_kg: f64,
}

/// The engine that was taken out, for comparison.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct OriginalSpec {
    /// Its greatest torque, N m.
    pub peak_torque_nm: f64,
    /// Ratio of its first gear.
    pub first_gear_ratio: f64,
}

/// Geometry, scale readings, and what is taken out and put in.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct WeightsSpec {
    /// Distance between the axles, m.
    pub wheelbase_m: f64,
    /// Distance between the front wheels, m.
    pub track_front_m: f64,
    /// Distance between the rear wheels, m.
    pub track_rear_m: f64,
    /// Height of the centre of gravity of the car on the scales, m.
    pub centre_of_gravity_height_m: f64,
    /// Scale readings before the conversion.
    pub corners: CornersKg,
    /// Share of the roll stiffness at the front axle, 0..1.
    /// `None`: the warp is kept as measured, which assumes equal stiffness front and rear.
    pub front_roll_share: Option<f64>,
    /// Springs. `None`: not known.
    pub springs: Option<SpringsSpec>,
    /// The car had power steering, which the engine drove.
    pub power_steering: bool,
    /// Parts that leave the car.
    pub taken_out: Vec<PartSpec>,
    /// Parts that enter the car (the battery modules come from [`PackSpec`]).
    pub put_in: Vec<PartSpec>,
    /// Seats and who sits in them.
    pub seats: Vec<SeatSpec>,
    /// Luggage: what is aboard while driving, and where it goes at gross mass.
    pub luggage: PartSpec,
    /// The plate.
    pub plate: PlateSpec,
}

/// Which axle the motor drives.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum DrivenAxle {
    /// Front-wheel drive.
    Front,
    /// Rear-wheel drive.
    #[default]
    Rear,
}

/// How the driven wheels share torque.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum Differential {
    /// Equal torque on both wheels: the lighter loaded one limits.
    #[default]
    Open,
    /// Both wheels turn alike: the sum of both loads limits.
    Locked,
}

/// A tyre mark, `155/80 R13 79T`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct TyreMark {
    /// Nominal section width, m.
    pub section_width_m: f64,
    /// Section height over section width, 0..1.
    pub aspect_frac: f64,
    /// Nominal rim diameter, m (the inch figure times 0.0254).
    pub rim_diameter_m: f64,
    /// Radial or cross-ply: decides the rolling factor.
    pub radial: bool,
    /// Load index, `79`. `None`: not on the mark.
    pub load_index: Option<u16>,
    /// Speed symbol, `T`. `None`: not on the mark.
    pub speed_symbol: Option<char>,
}

/// Where the rolling radius comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum RollingSpec {
    /// From the mark: circumference = rolling factor x overall diameter.
    #[default]
    FromMark,
    /// The car was pushed: metres for a number of turns of a driven wheel.
    Rolled {
        /// Turns of the wheel.
        turns: f64,
        /// Distance, m.
        distance_m: f64,
    },
    /// The tyre maker's figure, turns per kilometre.
    RevolutionsPerKm(f64),
}

/// Tyres, all four alike.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct TyresSpec {
    /// The mark on the side wall.
    pub mark: TyreMark,
    /// Source of the rolling radius.
    pub rolling: RollingSpec,
    /// Rolling resistance coefficient of warm tyres, N/N, at 20 °C and 80 km/h on a dry road (or on the drum, see
    /// `drum_to_road`).
    pub rolling_resistance: f64,
    /// Factor from the given coefficient to the road: 1 for a value that already holds on the road.
    pub drum_to_road: f64,
    /// Relative rise of rolling resistance with speed squared, per (m/s)²; 0 for none.
    pub rolling_rise_per_mps2: f64,
    /// What a tyre warms by above the air at 80 km/h, K.
    pub temperature_rise_k: f64,
    /// Moment of inertia of one wheel with tyre and brake, kg m²; four are counted.
    pub wheel_inertia_kgm2: f64,
    /// Grip on a dry road (greatest tractive force over wheel load).
    pub grip_dry: f64,
    /// Grip on a wet road.
    pub grip_wet: f64,
    /// Grip on ice.
    pub grip_ice: f64,
}

/// Drag area, m²: written directly or as coefficient times frontal area.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum DragSpec {
    /// Drag area C_d·A, m².
    Area(f64),
    /// Coefficient and frontal area apart.
    CoefficientAndArea {
        /// Drag coefficient.
        coefficient: f64,
        /// Frontal area, m².
        frontal_area_m2: f64,
    },
}

/// What turned with the wheels during a coast-down; its no-load drag is inside the coefficients.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct TurningParts {
    /// Final drive.
    pub axle: bool,
    /// Reduction or gearbox.
    pub gearbox: bool,
    /// Motor rotor.
    pub motor: bool,
}

/// How the road holds the car back.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum RoadLoadSpec {
    /// Air drag, rolling resistance (from the tyres) and brake drag apart.
    Terms {
        /// Drag area.
        drag: DragSpec,
        /// Constant force of dragging brakes and wheel bearings, N.
        brake_drag_n: f64,
        /// Relative rise of drag area at a yaw angle of 10°, at least 0.
        drag_rise_at_10_deg_yaw: f64,
    },
    /// Coast-down coefficients, `F = f0 + f1 v + f2 v²`, valid for one mass and one weather.
    Coefficients {
        /// Constant part, N.
        f0_n: f64,
        /// Part that grows with speed, N per m/s.
        f1_n_per_mps: f64,
        /// Part that grows with speed squared, N per (m/s)².
        f2_n_per_mps2: f64,
        /// Mass during the runs, kg.
        mass_kg: f64,
        /// Air temperature that the coefficients hold for, K.
        temperature_k: f64,
        /// Air pressure that the coefficients hold for, Pa.
        pressure_pa: f64,
        /// What was turning.
        turning: TurningParts,
        /// Factor on `f0` and `f1` from what they were measured on to the road: 1 for a road.
        road_factor: f64,
    },
}

/// Nothing holds the car back.
impl TyreMark {
    /// A radial tyre as it is marked: section width, mm, aspect, % of it, and rim, inches. 155/80 R 13 is `radial(155.0, 80.0, 13.0)`.
    #[must_use]
    pub const fn radial(width_mm: f64, aspect_pct: f64, rim_in: f64) -> TyreMark {
        TyreMark {
            section_width_m: width_mm / 1000.0,
            aspect_frac: aspect_pct / 100.0,
            rim_diameter_m: rim_in * METRE_PER_INCH,
            radial: true,
            load_index: None,
            speed_symbol: None,
        }
    }
}

impl Default for RoadLoadSpec {
    fn default() -> Self {
        let drag = DragSpec::Area(0.0);
        RoadLoadSpec::Terms { drag, brake_drag_n: 0.0, drag_rise_at_10_deg_yaw: 0.0 }
    }
}

/// One gear stage: the reduction, or the axle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct StageSpec {
    /// Input speed over output speed.
    pub ratio: f64,
    /// 1 minus the share of entering power lost by load, 0..1.
    pub efficiency_frac: f64,
    /// Drag torque at the input shaft without load, N m, at `drag_speed_radps` and 80 °C oil.
    pub drag_torque_nm: f64,
    /// Input shaft speed that `drag_torque_nm` holds at, rad/s.
    pub drag_speed_radps: f64,
    /// Highest torque at the input shaft by its maker, N m. `None`: not known.
    pub max_torque_nm: Option<f64>,
    /// Highest speed of the input shaft by its maker, rad/s. `None`: not known.
    pub max_speed_radps: Option<f64>,
}

/// A gearbox that was kept, with its gears.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct GearboxSpec {
    /// Gears from first to top.
    pub gears: Vec<StageSpec>,
    /// How it is driven.
    pub shifting: Shifting,
}

/// How a kept gearbox is driven.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum Shifting {
    /// In one gear always; counted from 0.
    Fixed(usize),
    /// In the gear that takes least from the pack, kept for a while so that it does not hunt.
    LeastLoss {
        /// Shortest time in a gear, s.
        dwell_s: f64,
        /// Time without drive while shifting at full throttle, s.
        shift_s: f64,
    },
}

/// Between motor and propeller shaft (or final drive).
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum FirstStage {
    /// Nothing: the motor drives the axle.
    #[default]
    Direct,
    /// A reduction with one ratio.
    Reduction(StageSpec),
    /// The car's own gearbox.
    Gearbox(GearboxSpec),
}

impl FirstStage {
    /// Gears; 1 without a gearbox.
    #[must_use]
    pub fn gear_count(&self) -> usize {
        match self {
            FirstStage::Direct | FirstStage::Reduction(_) => 1,
            FirstStage::Gearbox(gearbox) => gearbox.gears.len(),
        }
    }

    /// The stage of a gear, counted from 0. `None`: direct drive, or no such gear.
    ///
    /// ```
    /// let first = crownwheel::example::small_saloon().driveline.first;
    /// assert_eq!(first.stage(0).map(|stage| stage.ratio), Some(1.5));
    /// ```
    #[must_use]
    pub fn stage(&self, gear: usize) -> Option<&StageSpec> {
        match self {
            FirstStage::Direct => None,
            FirstStage::Reduction(stage) => Some(stage),
            FirstStage::Gearbox(gearbox) => gearbox.gears.get(gear),
        }
    }
}

/// From the motor shaft to the wheels.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct DrivelineSpec {
    /// Driven axle.
    pub driven_axle: DrivenAxle,
    /// Differential of the driven axle.
    pub differential: Differential,
    /// A live (beam) axle takes the propeller shaft's torque reaction: it unloads one wheel.
    pub live_axle: bool,
    /// Between motor and propeller shaft.
    pub first: FirstStage,
    /// Final drive.
    pub axle: StageSpec,
    /// Exponent of oil viscosity in the drag torque.
    pub oil_viscosity_exponent: f64,
    /// Time constant of a casing's warming at 50 km/h, s.
    pub oil_time_constant_s: f64,
    /// Heat that a casing (reduction or gearbox, axle) gives off at 50 km/h per kelvin above the air, W/K; see
    /// [`crate::driveline::conductance_by_speed`].
    pub oil_conductance_wpk: f64,
}

/// Peak and continuous torque against speed, as on the motor's sheet.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct MotorCurve {
    /// Shaft speed, rad/s, rising, from 0.
    pub speed_radps: Vec<f64>,
    /// Peak torque, N m.
    pub peak_torque_nm: Vec<f64>,
    /// Continuous torque, N m.
    pub continuous_torque_nm: Vec<f64>,
}

/// What shaped the falling part of the peak curve on the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum FallingPart {
    /// The supply voltage: the part moves along the speed axis.
    #[default]
    Voltage,
    /// The battery current: the part scales by power.
    BatteryCurrent,
}

/// Loss of the motor on a full grid of speed and torque (power lost, not efficiency).
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct LossMap {
    /// Shaft speeds, rad/s, rising.
    pub speed_radps: Vec<f64>,
    /// Torques, N m, rising, from 0 (mirrored for regeneration).
    pub torque_nm: Vec<f64>,
    /// Loss, W, row by row: `loss_w[i * torque_nm.len() + j]` at speed `i`, torque `j`.
    pub loss_w: Vec<f64>,
}

impl MotorCurve {
    /// The curve of a plate: torque to the base speed, then power, peak and continuous alike, rad/s.
    ///
    /// Torque is `min(torque, power / speed)`, at 33 speeds from 0 to `max_speed_radps`.
    ///
    /// ```
    /// use crownwheel::spec::MotorCurve;
    /// let curve = MotorCurve::of_plate((165.0, 50e3), (75.0, 27e3), 800.0);
    /// assert_eq!(curve.peak_torque_nm[0], 165.0);
    /// assert_eq!(curve.continuous_torque_nm.last(), Some(&(27e3 / 800.0)));
    /// ```
    #[must_use]
    pub fn of_plate(
        peak_nm_and_w: (f64, f64),
        continuous_nm_and_w: (f64, f64),
        max_speed_radps: f64,
    ) -> MotorCurve {
        let speed_radps: Vec<f64> =
            (0..=32).map(|i| max_speed_radps * f64::from(i) / 32.0).collect();
        let torque = |(most_nm, most_w): (f64, f64)| {
            let at = |speed: &f64| if *speed > 0.0 { most_nm.min(most_w / speed) } else { most_nm };
            speed_radps.iter().map(at).collect()
        };
        let (peak_torque_nm, continuous_torque_nm) =
            (torque(peak_nm_and_w), torque(continuous_nm_and_w));
        MotorCurve { speed_radps, peak_torque_nm, continuous_torque_nm }
    }
}

impl LossMap {
    /// A map from a function of shaft speed, rad/s, and torque, N m, to loss, W, on a grid of rising speeds and torques.
    ///
    /// What a motor may not have is refused by [`crate::Car::new`], by the key `motor.losses`.
    ///
    /// ```
    /// use crownwheel::spec::LossMap;
    /// // 20 W and 0.1 W per (N m)².
    /// let map = LossMap::from_fn(&[0.0, 400.0, 800.0], &[0.0, 100.0, 200.0], |_, nm| 20.0 + 0.1 * nm * nm);
    /// assert_eq!(map.loss_w[5], 20.0 + 0.1 * 200.0 * 200.0);
    /// ```
    #[must_use]
    pub fn from_fn(
        speed_radps: &[f64],
        torque_nm: &[f64],
        loss_w: impl Fn(f64, f64) -> f64,
    ) -> LossMap {
        let row = |speed: &f64| torque_nm.iter().map(|torque| loss_w(*speed, *torque)).collect();
        let rows: Vec<Vec<f64>> = speed_radps.iter().map(row).collect();
        LossMap {
            speed_radps: speed_radps.to_vec(),
            torque_nm: torque_nm.to_vec(),
            loss_w: rows.concat(),
        }
    }
}

/// Motor losses.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum MotorLossSpec {
    /// Measured or calculated map.
    Map(Arc<LossMap>),
    /// `copper T² + iron ω + windage ω³ + fixed`.
    Polynomial {
        /// W per (N m)².
        copper_w_per_nm2: f64,
        /// W per rad/s.
        iron_w_per_radps: f64,
        /// W per (rad/s)³.
        windage_w_per_radps3: f64,
        /// W.
        fixed_w: f64,
    },
    /// Only the best point on the sheet is known; a polynomial is fitted through it.
    BestPoint {
        /// Best efficiency, 0..1.
        efficiency_frac: f64,
        /// Speed of the best point, rad/s.
        speed_radps: f64,
        /// Torque of the best point, N m.
        torque_nm: f64,
        /// Share of the loss there that is left without torque, up to a half.
        light_load_share: f64,
    },
}

/// A map without rows.
impl Default for MotorLossSpec {
    fn default() -> Self {
        MotorLossSpec::Map(Arc::default())
    }
}

/// The motor.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct MotorSpec {
    /// Torque curves at `test_voltage_v`.
    pub curve: Arc<MotorCurve>,
    /// Factor on both torque curves (1 as on the sheet).
    pub curve_scale: f64,
    /// Phase current that the inverter gives over that of the sheet's test, 1 as on the sheet.
    pub phase_current_ratio: f64,
    /// Armature resistance of a brushed motor, Ω; 0 for others.
    pub armature_ohm: f64,
    /// Induced voltage over speed of a permanent-magnet motor, V per rad/s, as direct voltage.
    /// `None`: not known, or no magnets.
    pub back_emf_v_per_radps: Option<f64>,
    /// Highest temperature of the winding, K; counts above 40 °C and 1,000 m.
    pub max_winding_k: f64,
    /// Voltage under load of the sheet's test, V.
    pub test_voltage_v: f64,
    /// What shaped the falling part.
    pub falling_part: FallingPart,
    /// Highest permitted speed, rad/s. Never scales.
    pub max_speed_radps: f64,
    /// Rotor inertia with everything on its shaft, kg m².
    pub rotor_inertia_kgm2: f64,
    /// Losses.
    pub losses: MotorLossSpec,
    /// Factor on all motor losses.
    pub losses_scale: f64,
    /// Seconds that peak torque may be held from cold. `None`: not known, so no heat is computed.
    pub peak_seconds: Option<f64>,
    /// A second rating from cold, of the motor's mass rather than the controller: 30 min, say.
    pub long_rating: Option<RatingSpec>,
}

/// A torque that may be held for a time from cold, at the corner of the peak curve.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct RatingSpec {
    /// Torque, N m.
    pub torque_nm: f64,
    /// Time, s.
    pub seconds: f64,
}

/// The inverter (controller).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct InverterSpec {
    /// Loss that is always there when on, W.
    pub fixed_loss_w: f64,
    /// Part of the passing power that is lost, 0..1.
    pub loss_share: f64,
    /// Highest current from the battery, A.
    pub max_battery_current_a: f64,
    /// Lowest supply voltage, V.
    pub min_voltage_v: f64,
    /// Highest supply voltage, V.
    pub max_voltage_v: f64,
}

/// Open-circuit voltage of one cell against state of charge.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct OpenCircuitTable {
    /// State of charge, 0..1, rising.
    pub charge_frac: Vec<f64>,
    /// Voltage at rest, V.
    pub voltage_v: Vec<f64>,
}

/// Usable share of capacity against temperature.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct ColdCapacityTable {
    /// Temperature, K, rising.
    pub temperature_k: Vec<f64>,
    /// Usable share of the capacity at 25 °C, 0..1.
    pub capacity_frac: Vec<f64>,
}

/// Room for modules somewhere in the car.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct BoxSpec {
    /// Name as written in the build.
    pub name: Arc<str>,
    /// How many modules fit.
    pub room_for: u32,
    /// Where their centre of mass sits.
    pub place: Place,
}

/// The traction battery.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct PackSpec {
    /// Open-circuit voltage of a cell.
    pub open_circuit: Arc<OpenCircuitTable>,
    /// Cells in series in one module.
    pub cells_in_series: u32,
    /// Cells in parallel in one module.
    pub cells_in_parallel: u32,
    /// Capacity of one cell at 25 °C, C (ampere-seconds).
    pub cell_capacity_c: f64,
    /// Direct-current resistance of one cell, Ω: 10 s, half charge, 25 °C.
    pub cell_resistance_ohm: f64,
    /// Temperature coefficient `B` of resistance, K: `R(T) = R25 exp(B (1/T - 1/298.15 K))`.
    pub resistance_b_k: f64,
    /// Usable capacity against pack temperature as on a sheet, which already holds the resistance:
    /// with it `resistance_b_k` must be 0. `None`: cold acts through resistance.
    pub cold_capacity: Option<Arc<ColdCapacityTable>>,
    /// Share of the capacity that is not given at 0 °C, in proportion to the kelvins below 25 °C; 0 with `cold_capacity`.
    pub cold_loss_frac: f64,
    /// What warms the pack while driving. `None`: only its own losses.
    pub heater: Option<PackHeaterSpec>,
    /// Standard deviation of capacity from module to module, relative; the weakest rules in series.
    pub module_spread: f64,
    /// Lowest cell voltage, V.
    pub cell_min_voltage_v: f64,
    /// Highest cell voltage, V.
    pub cell_max_voltage_v: f64,
    /// Highest discharge current over capacity, 1/h ("4 C").
    pub max_discharge_per_h: f64,
    /// Highest charging current over capacity, 1/h ("1 C").
    pub max_charge_per_h: f64,
    /// Mass of one module, kg.
    pub module_mass_kg: f64,
    /// Specific heat of a module, J/(kg K).
    pub specific_heat_jpkgk: f64,
    /// Heat that the pack gives off per kelvin above the air, W/K.
    pub conductance_wpk: f64,
    /// Modules in series.
    pub modules_in_series: u32,
    /// Strings of modules in parallel.
    pub modules_in_parallel: u32,
    /// Boxes, filled in order.
    pub boxes: Vec<BoxSpec>,
    /// Lowest state of charge in use, 0..1.
    pub usable_from_frac: f64,
    /// Highest state of charge in use, 0..1.
    pub usable_to_frac: f64,
    /// Cables, fuses and contactors between pack and inverter, Ω.
    pub harness_resistance_ohm: f64,
    /// Capacity left, 1 for new.
    pub state_of_health_frac: f64,
    /// Share of the usable part kept back as a reserve, 0..1.
    pub reserve_frac: f64,
}

/// Regenerative braking.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct RegenSpec {
    /// Share of the braking force that the motor takes, 0..1, within its limits.
    pub share: f64,
    /// Speed below which the share fades linearly to nothing at standstill, m/s.
    pub fade_out_below_mps: f64,
}

/// The converter from traction to 12 V.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct DcDcSpec {
    /// Power out over power in, 0..1.
    pub efficiency_frac: f64,
    /// Highest power out, W. `None`: not known.
    pub max_w: Option<f64>,
}

/// Where a load is connected.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum LoadSide {
    /// Behind the DC-DC converter.
    #[default]
    TwelveVolt,
    /// On the traction side.
    Traction,
}

/// A standing load.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct LoadSpec {
    /// Name as written in the build.
    pub name: Arc<str>,
    /// Power while on, W.
    pub power_w: f64,
    /// Side.
    pub side: LoadSide,
    /// Share of the time that it is on, 0..1.
    pub duty_frac: f64,
    /// Names of the days that it is on. `None`: all.
    pub days: Option<Vec<Name>>,
    /// Air temperature from which it is off, K. `None`: it does not look.
    pub only_below_k: Option<f64>,
}

/// What warms the cabin.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct CabinSpec {
    /// Temperature that it holds, K.
    pub set_k: f64,
    /// Heat that the cabin gives off for each kelvin above the air, W/K.
    pub conductance_wpk: f64,
    /// Heat that warms the cabin by a kelvin, J/K.
    pub heat_capacity_jpk: f64,
    /// Highest power that the heater takes from the traction side, W.
    pub max_w: f64,
    /// Heat over power taken: 1 of a resistance, more of a heat pump.
    pub performance: f64,
}

/// What warms the pack while driving.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct PackHeaterSpec {
    /// Power that it takes from the traction side, W.
    pub power_w: f64,
    /// Temperature of the pack from which it is off, K.
    pub only_below_k: f64,
}

/// Ways between which a car stands and cools.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct ShortTrips {
    /// Way after which the car is parked at the next standstill, m.
    pub length_m: f64,
    /// How long it stands, s.
    pub pause_s: f64,
}

/// The on-board charger.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct ChargerSpec {
    /// Highest power into the pack, W.
    pub power_w: f64,
    /// Power into the pack over power from the wall at its highest power, 0..1.
    pub efficiency_frac: f64,
    /// Share of the loss at its highest power that is always there.
    pub fixed_share: f64,
}

/// What the model leaves out, as factors on what it says; 1 where it leaves nothing out.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct ModelSpec {
    /// On use less standing loads, the same for all that a car drives.
    pub use_scale: f64,
    /// On the torque of the motor, so on pull.
    pub pull_scale: f64,
    /// Standard deviation of the same factor on use from trip to trip, of a trip of 15 km.
    pub trip_sd: f64,
}

impl ModelSpec {
    /// Relative standard deviation of the use of a trip of this way, from that of a trip of 15 km.
    ///
    /// `s √(15 km / way)`, at most 1.5 s: the mean of as many independent stretches (engineering judgement; of one measured
    /// car 0.13 below 12 km and 0.05 to 0.06 at 12 to 25 km, doi 10.21227/6jr9-5235).
    ///
    /// ```
    /// use crownwheel::spec::ModelSpec;
    /// let model = ModelSpec { trip_sd: 0.06, ..ModelSpec::default() };
    /// assert!((model.trip_sd_over(60e3) - 0.03).abs() < 1e-12);
    /// assert!((model.trip_sd_over(1e3) - 0.09).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn trip_sd_over(&self, way_m: f64) -> f64 {
        const TRIP_M: f64 = 15e3;
        const MOST: f64 = 1.5;
        self.trip_sd * (TRIP_M / way_m.max(1.0)).sqrt().min(MOST)
    }
}

/// Nothing is left out.
impl Default for ModelSpec {
    fn default() -> Self {
        ModelSpec { use_scale: 1.0, pull_scale: 1.0, trip_sd: 0.0 }
    }
}

/// Everything about one converted car.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct CarSpec {
    /// Name.
    pub name: Name,
    /// Weights and geometry.
    pub weights: WeightsSpec,
    /// The engine that was taken out. `None`: not known.
    pub original: Option<OriginalSpec>,
    /// Tyres.
    pub tyres: TyresSpec,
    /// Road load.
    pub road_load: RoadLoadSpec,
    /// Driveline.
    pub driveline: DrivelineSpec,
    /// Motor.
    pub motor: MotorSpec,
    /// Inverter.
    pub inverter: InverterSpec,
    /// Pack.
    pub pack: PackSpec,
    /// Regeneration.
    pub regen: RegenSpec,
    /// DC-DC converter.
    pub dcdc: DcDcSpec,
    /// Standing loads.
    pub loads: Vec<LoadSpec>,
    /// What warms the cabin. `None`: nothing does.
    pub cabin: Option<CabinSpec>,
    /// On-board charger.
    pub charger: ChargerSpec,
    /// What the model leaves out.
    pub model: ModelSpec,
}

/// State of the road.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum RoadSurface {
    /// Dry asphalt.
    #[default]
    Dry,
    /// Wet asphalt.
    Wet,
    /// Ice or hard snow.
    Ice,
    /// Rough: chippings, cobbles, broken asphalt.
    Rough,
}

/// Wind.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum Wind {
    /// No wind.
    #[default]
    Calm,
    /// Along the road at `height_m` above ground: positive is a headwind.
    AlongRoad {
        /// Speed, m/s.
        speed_mps: f64,
        /// Height that the speed holds at, m.
        height_m: f64,
    },
    /// The mean over all headings, as on a round trip.
    AllRound {
        /// Speed, m/s, at least 0.
        speed_mps: f64,
        /// Height that the speed holds at, m.
        height_m: f64,
    },
}

/// Outdoor conditions of a named day.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct DaySpec {
    /// Name.
    pub name: Name,
    /// Air temperature, K.
    pub temperature_k: f64,
    /// Pack temperature at the start, K. `None`: the air's.
    pub pack_temperature_k: Option<f64>,
    /// Height above sea level (geopotential, map height), m.
    pub altitude_m: f64,
    /// Relative humidity, 0..1.
    pub humidity_frac: f64,
    /// Wind.
    pub wind: Wind,
    /// Road.
    pub road: RoadSurface,
    /// Load on the traction side on top of the standing loads, W (heater).
    pub extra_load_w: f64,
    /// Nobody heats the cabin.
    pub cabin_off: bool,
    /// Short trips. `None`: the car is driven on and on.
    pub short_trips: Option<ShortTrips>,
}
