//! The main formulas once with quantities that carry their dimensions: what the compiler lets
//! through cannot add newtons to watts. Each is then compared with the library's number.

use crownwheel::balance::Energies;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::pack::Source;
use crownwheel::road_load::{AirStream, Slope, gradient_n, rolling_n};
use crownwheel::{Car, Day, driveline, heat, motor};
use crownwheel_testkit::assert_close;
use crownwheel_testkit::tolerance::ROUNDING_REL;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angular_velocity::radian_per_second;
use uom::si::area::square_meter;
use uom::si::electric_charge::coulomb;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::energy::{joule, watt_hour};
use uom::si::f64::{
    Acceleration, AngularVelocity, Area, ElectricCharge, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Energy, Force, Length, Mass, MassDensity, MomentOfInertia, Power, Ratio,
    Time, Torque, Velocity,
};
use uom::si::force::newton;
use uom::si::length::{kilometer, meter};
use uom::si::mass::kilogram;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::moment_of_inertia::kilogram_square_meter;
use uom::si::power::watt;
use uom::si::ratio::ratio;
use uom::si::time::second;
use uom::si::torque::newton_meter;
use uom::si::velocity::{kilometer_per_hour, meter_per_second};

use crate::run::{run, trace};

fn air_drag(density: MassDensity, area: Area, air_speed: Velocity) -> Force {
    0.5 * density * area * air_speed * air_speed
}

fn weight(mass: Mass) -> Force {
    mass * Acceleration::new::<meter_per_second_squared>(9.806_65)
}

/// Rolling resistance and grade force on a road of rise over run.
fn rolling_and_grade(mass: Mass, coefficient: Ratio, rise: Length, run: Length) -> (Force, Force) {
    let road: Length = (rise * rise + run * run).sqrt();
    let (sin, cos): (Ratio, Ratio) = (rise / road, run / road);
    (weight(mass) * coefficient * cos, weight(mass) * sin)
}

fn kinetic(mass: Mass, speed: Velocity) -> Energy {
    0.5 * mass * speed * speed
}

/// `m + (I + J G²) / r²`.
fn effective_mass(
    mass: Mass,
    wheels: MomentOfInertia,
    rotor: MomentOfInertia,
    gears: Ratio,
    radius: Length,
) -> Mass {
    mass + (wheels + rotor * gears * gears) / (radius * radius)
}

fn shaft_speed(speed: Velocity, gears: Ratio, radius: Length) -> AngularVelocity {
    (speed * gears / radius).into()
}

/// Force at the tyre of a torque through gears without loss.
fn tractive(torque: Torque, gears: Ratio, radius: Length) -> Force {
    // Torque is force times length in the plane of the wheel: angles are pure numbers here.
    let moment: Energy = torque.into();
    moment * gears / radius
}

fn shaft_power(torque: Torque, speed: AngularVelocity) -> Power {
    torque * speed
}

/// `2P / (E + √(E² - 4RP))`.
fn current(
    power: Power,
    at_rest: ElectricPotential,
    resistance: ElectricalResistance,
) -> ElectricCurrent {
    let root: ElectricPotential = (at_rest * at_rest - 4.0 * resistance * power).sqrt();
    2.0 * power / (at_rest + root)
}

/// `q + (u - q) e^(-t/τ)` with `q` loss over continuous loss.
fn used_heat(used: Ratio, loss: Power, continuous: Power, span: Time, constant: Time) -> Ratio {
    let (q, gone): (Ratio, Ratio) = (loss / continuous, span / constant);
    q + (used - q) * (-gone).exp()
}

fn metres_per_second(value: f64) -> Velocity {
    Velocity::new::<meter_per_second>(value)
}

fn same(library: f64, with_dimension: f64, what: &str) {
    assert_close!(library, with_dimension, abs = 0.0, rel = ROUNDING_REL, "{what}");
}

#[test]
fn forces_of_the_road() {
    let (density, area) =
        (MassDensity::new::<kilogram_per_cubic_meter>(1.2), Area::new::<square_meter>(0.72));
    let air = air_drag(density, area, Velocity::new::<kilometer_per_hour>(112.0));
    same(
        AirStream { density_kgpm3: 1.2, speed_mps: 112.0 / 3.6, headwind_mps: 0.0 }.drag_n(0.72),
        air.get::<newton>(),
        "air drag",
    );
    let (mass, grade) = (Mass::new::<kilogram>(908.6), 0.08);
    let level = Length::new::<meter>(100.0);
    let rise = Length::new::<meter>(100.0 * grade);
    let (rolling, climbing) = rolling_and_grade(mass, Ratio::new::<ratio>(0.0115), rise, level);
    let weight_n = weight(mass).get::<newton>();
    let slope = Slope::from_grade(grade);
    same(rolling_n(0.0115, weight_n, slope), rolling.get::<newton>(), "rolling");
    same(gradient_n(weight_n, slope), climbing.get::<newton>(), "grade");
}

#[test]
fn gears_shaft_and_turning_mass() {
    let car = Car::new(&small_saloon()).unwrap();
    let radius = Length::new::<meter>(car.rolling_radius_m());
    let gears = Ratio::new::<ratio>(car.overall_ratio());
    let inertia = car.inertia_in(0);
    let turning = MomentOfInertia::new::<kilogram_square_meter>;
    let mass = effective_mass(
        Mass::new::<kilogram>(car.mass_kg()),
        turning(inertia.wheels_kgm2),
        turning(inertia.rotor_kgm2),
        gears,
        radius,
    );
    same(car.effective_mass_kg(), mass.get::<kilogram>(), "effective mass");
    let speed = shaft_speed(Velocity::new::<kilometer_per_hour>(112.0), gears, radius);
    let library = driveline::Gearing {
        overall_ratio: 6.33,
        efficiency: 1.0,
        radius_m: car.rolling_radius_m(),
    }
    .motor_speed_radps(112.0 / 3.6);
    same(library, speed.get::<radian_per_second>(), "motor speed");
    let torque = Torque::new::<newton_meter>(165.0);
    let library = driveline::Gearing {
        overall_ratio: 6.33,
        efficiency: 1.0,
        radius_m: car.rolling_radius_m(),
    }
    .tractive_effort_n(165.0);
    same(library, tractive(torque, gears, radius).get::<newton>(), "tractive effort");
    let power = shaft_power(torque, speed).get::<watt>();
    same(motor::power_w(165.0, speed.get::<radian_per_second>()), power, "shaft power");
    // The same power at the tyre: force times road speed.
    let at_tyre: Power =
        tractive(torque, gears, radius) * Velocity::new::<kilometer_per_hour>(112.0);
    same(at_tyre.get::<watt>(), power, "power at the tyre");
}

#[test]
fn current_from_power_and_charge_from_current() {
    let source = Source { open_circuit_v: 135.0, resistance_ohm: 0.018 };
    let (at_rest, resistance) = (
        ElectricPotential::new::<volt>(source.open_circuit_v),
        ElectricalResistance::new::<ohm>(source.resistance_ohm),
    );
    for power_w in [-8e3, 0.5e3, 40e3] {
        let current = current(Power::new::<watt>(power_w), at_rest, resistance);
        let library_a = source.current_a(power_w).unwrap();
        same(library_a, current.get::<ampere>(), "current");
        let terminal: ElectricPotential = at_rest - current * resistance;
        same(source.terminal_v(library_a), terminal.get::<volt>(), "terminal voltage");
        let back: Power = terminal * current;
        assert_close!(back.get::<watt>(), power_w, abs = 0.0, rel = 1e-11);
    }
    let most: Power = at_rest * at_rest / (4.0 * resistance);
    same(source.greatest_power_w(), most.get::<watt>(), "most power");
}

#[test]
fn heat_node() {
    let used = used_heat(
        Ratio::new::<ratio>(0.2),
        Power::new::<watt>(4200.0),
        Power::new::<watt>(1500.0),
        Time::new::<second>(25.0),
        Time::new::<second>(140.0),
    );
    same(
        heat::Heating { loss_ratio: 4200.0 / 1500.0, time_constant_s: 140.0 }.used_after(0.2, 25.0),
        used.get::<ratio>(),
        "used heat",
    );
}

/// One leg of the library: power, charge, kinetic energy and energy for a distance.
#[test]
fn a_leg_of_the_step() {
    let (spec, day) = (small_saloon(), Day::new(&mild_day()).unwrap());
    let car = Car::new(&spec).unwrap();
    let found = run(&spec, &mild_day(), &trace(&[(0.0, 12.0), (1.0, 12.8)], 0.03), Some(0.6));
    let Energies { air_j, kinetic_j, from_pack_j, terminals_j, climbing_j, .. } = found.balance.sum;
    let (from, to) = (metres_per_second(12.0), metres_per_second(12.8));
    let span = Time::new::<second>(1.0);
    let way: Length = 0.5 * (from + to) * span;
    same(found.distance_m, way.get::<meter>(), "way");
    let mass = Mass::new::<kilogram>(car.effective_mass_kg());
    let gained = kinetic(mass, to) - kinetic(mass, from);
    assert_close!(kinetic_j, gained.get::<joule>(), abs = 0.0, rel = 1e-11);
    let area = Area::new::<square_meter>(car.drag_area_m2());
    let density = MassDensity::new::<kilogram_per_cubic_meter>(day.air_density_kgpm3());
    // Mean of the square of speed over the way: half the sum of the ends' squares.
    let ends: Force = 0.5 * (air_drag(density, area, from) + air_drag(density, area, to));
    same(air_j, (ends * way).get::<joule>(), "air");
    let mass = Mass::new::<kilogram>(car.mass_kg());
    let height: Length = way * Ratio::new::<ratio>(0.03);
    same(climbing_j, (weight(mass) * height).get::<joule>(), "height");
    // Charge: what left the pack over its voltage at rest, and as a share of its capacity.
    let at_rest = ElectricPotential::new::<volt>(spec.pack.open_circuit_v(0.6));
    let charge: ElectricCharge = Energy::new::<joule>(from_pack_j) / at_rest;
    let capacity = ElectricCharge::new::<coulomb>(spec.pack.capacity_c());
    let taken: Ratio = charge / capacity;
    // The voltage curve is laid out on 1,024 pieces: a few parts in a hundred thousand.
    assert_close!(0.6 - found.end.charge_frac, taken.get::<ratio>(), abs = 0.0, rel = 1e-4);
    // Energy for a distance is a force.
    let use_per_way: Force = Energy::new::<joule>(terminals_j) / way;
    let wh_per_km = Energy::new::<joule>(terminals_j).get::<watt_hour>() / way.get::<kilometer>();
    same(wh_per_km * 3.6, use_per_way.get::<newton>(), "a watt-hour a kilometre is 3.6 N");
}
