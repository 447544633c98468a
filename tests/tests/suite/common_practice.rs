//! Facts of the trade that have no single source: any workshop would nod.

use crownwheel::Car;
use crownwheel::Day;
use crownwheel::charger::Socket;
use crownwheel::driveline::Gearing;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::pack::constant_power_charge_h;
use crownwheel::spec::{CarSpec, PackSpec};
use crownwheel_testkit::assert_close;
use crownwheel_testkit::tolerance::ROUNDING_REL;

const JOULE_PER_KWH: f64 = 3.6e6;

/// Modules of 2.6 kWh and 12 kg: 3 cells in series by 4 in parallel.
fn pack_of(modules_in_series: u32) -> PackSpec {
    let mut pack = PackSpec {
        cells_in_series: 3,
        cells_in_parallel: 4,
        module_mass_kg: 12.0,
        modules_in_series,
        ..small_saloon().pack
    };
    // The capacity that makes a module 2.6 kWh.
    let one = PackSpec { modules_in_series: 1, ..pack.clone() };
    pack.cell_capacity_c *= 2.6 / one.energy_kwh();
    pack.boxes[1].room_for = 10;
    pack
}

/// The saloon with such a pack, a controller for 132 V and a charger of 6.6 kW.
fn car_of(modules_in_series: u32) -> CarSpec {
    let mut car = small_saloon();
    car.pack = pack_of(modules_in_series);
    car.inverter.max_voltage_v = 132.0;
    car.charger.power_w = 6600.0;
    car
}

#[test]
fn ten_modules_make_a_26_kwh_pack_of_thirty_cells() {
    let pack = pack_of(10);
    assert_close!(pack.energy_kwh(), 26.0, abs = 0.0, rel = ROUNDING_REL);
    assert_close!(pack.series_cells(), 30.0, abs = 0.0, rel = ROUNDING_REL);
    assert_close!(pack.full_voltage_v(), 126.0, abs = 0.0, rel = ROUNDING_REL);
    assert_close!(pack.modules_kg(), 120.0, abs = 0.0, rel = ROUNDING_REL);
}

#[test]
fn a_controller_of_132_volts_takes_ten_modules_and_not_eleven() {
    assert!(Car::new(&car_of(10)).is_ok());
    let refused = Car::new(&car_of(11)).unwrap_err();
    assert_eq!(refused.key(), "pack.modules_in_series");
    assert!(refused.allowed().contains("132 V"), "{refused}");
}

#[test]
fn it_takes_about_four_hours_from_empty() {
    let car = Car::new(&car_of(10)).unwrap();
    let charger = car.spec().charger;
    let into_pack_j = 26.0 * JOULE_PER_KWH;
    let plain_h = constant_power_charge_h(into_pack_j, charger.power_w, 1.0);
    assert_close!(plain_h, 4.0, abs = 0.1, rel = 0.0);
    // The same with the losses of pack and charger, at 6.6 kW into the pack.
    let day = Day::new(&mild_day()).unwrap();
    let empty_frac = car.spec().pack.open_circuit.charge_at(3.0);
    let wall_j = Socket::unlimited(&car, &day).wall_j(empty_frac, 1.0);
    let hours = wall_j * charger.efficiency_frac / charger.power_w / 3600.0;
    assert_close!(hours, 4.0, abs = 0.2, rel = 0.0);
}

/// From 4.1 to 3.6 the motor turns slower by the ratio of the two at any road speed.
#[test]
fn a_taller_axle_turns_the_motor_slower_by_the_ratio() {
    let speed_radps = |axle_ratio: f64, kmh: f64| {
        let mut spec = small_saloon();
        spec.driveline.axle.ratio = axle_ratio;
        let car = Car::new(&spec).unwrap();
        Gearing {
            overall_ratio: car.overall_ratio(),
            efficiency: 1.0,
            radius_m: car.rolling_radius_m(),
        }
        .motor_speed_radps(kmh / 3.6)
    };
    for kmh in [30.0, 80.0, 112.0] {
        let ratio = speed_radps(3.6, kmh) / speed_radps(4.1, kmh);
        assert_close!(ratio, 3.6 / 4.1, abs = 0.0, rel = ROUNDING_REL, "{kmh} km/h");
    }
}
