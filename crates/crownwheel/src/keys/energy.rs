//! Keys of regeneration, the 12 V side and charging.

use super::bind::{Binding, at};
use super::unit::{CELSIUS, KJ_PER_K, KM_PER_H, KW, ONE, W_PER_K};
use super::{JUDGEMENT, Key, List, key};

pub(super) const ROWS: &[Key] = &[
    key("regen.share", "share of the braking force that the motor takes, within its limits")
        .from(0.0, 1.0, ONE)
        .like("0.6")
        .assumed("0.5 ± 0.2", JUDGEMENT)
        .advice(
            "range in town and over hills",
            "watch the battery current in a gentle stop, or give a log to `crownwheel audit`",
        )
        .bare(0.25)
        .of_car(|car| at(&mut car.regen.share)),
    key("regen.fade_out_below", "speed below which regeneration fades to nothing")
        .over(0.0, 60.0, KM_PER_H)
        .or_more()
        .like("\"8 km/h\"")
        .assumed("8 km/h ± 3 km/h", JUDGEMENT)
        .advice(
            "range in town, a little",
            "slow down gently: the speed at which no current comes back any more",
        )
        .of_car(|car| at(&mut car.regen.fade_out_below_mps)),
    key("dcdc.efficiency", "power out over power in of the DC-DC converter")
        .over(0.3, 1.0, ONE)
        .code_over(0.0, 1.0)
        .like("0.90")
        .assumed("0.90 ± 0.03", JUDGEMENT)
        .advice(
            "use in slow traffic",
            "its sheet; or power out over power in, with a clamp on each side",
        )
        .bare(0.3)
        .of_car(|car| at(&mut car.dcdc.efficiency_frac)),
    key("dcdc.max", "highest power out of the DC-DC converter")
        .over(0.0, 50.0, KW)
        .or_more()
        .like("\"1.2 kW\"")
        .of_car(|car| at(&mut car.dcdc.max_w)),
    key("load.*.power", "power of a standing load while on")
        .from(0.0, 100.0, KW)
        .or_more()
        .like("\"180 W\"")
        .required()
        .of_each(List::Loads, |car, i| at(&mut car.loads.get_mut(i)?.power_w)),
    key("load.*.duty", "share of the time that the load is on")
        .from(0.0, 1.0, ONE)
        .like("1.0")
        .assumed("1", "always on")
        .advice("use in slow traffic", "the share of a usual drive that it is on")
        .of_each(List::Loads, |car, i| at(&mut car.loads.get_mut(i)?.duty_frac)),
    key("load.*.only_below", "air temperature from which a standing load is off")
        .from(-40.0, 60.0, CELSIUS)
        .like("\"5 °C\"")
        .fixed()
        .of_each(List::Loads, |car, i| {
            let load = car.loads.get_mut(i)?;
            load.only_below_k.is_some().then_some(Binding::from(&mut load.only_below_k))
        }),
    key("cabin.set_temperature", "temperature that the cabin is held at")
        .from(0.0, 40.0, CELSIUS)
        .like("\"20 °C\"")
        .assumed("20 °C ± 3 K", JUDGEMENT)
        .advice("range in winter: the heater", "what the driver sets")
        .of_car(|car| at(&mut car.cabin.as_mut()?.set_k)),
    key("cabin.conductance", "heat that the cabin gives off for each kelvin above the air")
        .over(0.0, 2000.0, W_PER_K)
        .like("\"80 W/K ± 30 W/K\"")
        .assumed("80 W/K ± 30 W/K", "engineering judgement: an old saloon, fresh air in it")
        .advice(
            "range in winter: the heater",
            "power that a heater takes to hold the parked car warm, over the kelvins above the air",
        )
        .of_car(|car| at(&mut car.cabin.as_mut()?.conductance_wpk)),
    key("cabin.heat_capacity", "heat that warms the cabin by a kelvin")
        .over(0.0, 2000.0, KJ_PER_K)
        .like("\"120 kJ/K ± 40 %\"")
        .assumed(
            "120 kJ/K ± 40 %",
            "seats and trim too; so nine winter trips of one car take the heat that was measured (doi 10.21227/6jr9-5235)",
        )
        .advice(
            "range on short trips in winter",
            "power of a heater times the time that the cabin takes to warm, over the kelvins",
        )
        .of_car(|car| at(&mut car.cabin.as_mut()?.heat_capacity_jpk)),
    key("cabin.max", "highest power that the heater of the cabin takes")
        .over(0.0, 20.0, KW)
        .like("\"3 kW\"")
        .assumed("3 kW ± 30 %", JUDGEMENT)
        .advice("range on short trips in winter", "the heater's plate")
        .of_car(|car| at(&mut car.cabin.as_mut()?.max_w)),
    key("cabin.cop", "heat over power taken of a heat pump, 1 of a resistance")
        .from(1.0, 6.0, ONE)
        .like("\"2.2 ± 0.5\"")
        .derived("1 of a resistance; 2.2 ± 0.5 of a heat pump (engineering judgement)")
        .advice("range in winter: the heater", "the heat pump's sheet, at the temperature of the day")
        .of_car(|car| at(&mut car.cabin.as_mut()?.performance)),
    key("charger.power", "highest power of the on-board charger into the pack")
        .over(0.0, 1000.0, KW)
        .or_more()
        .like("\"5.0 kW\"")
        .assumed("3.3 kW", "a usual size; it does not change use or range")
        .advice("hours to charge", "the charger's plate")
        .of_car(|car| at(&mut car.charger.power_w)),
    key("charger.efficiency", "power into the pack over power from the wall, at full power")
        .over(0.3, 1.0, ONE)
        .code_over(0.0, 1.0)
        .like("0.92")
        .assumed("0.90 ± 0.04", JUDGEMENT)
        .advice(
            "energy from the wall, and what it costs",
            "a plug-in meter at the wall against what went into the pack",
        )
        .bare(0.4)
        .of_car(|car| at(&mut car.charger.efficiency_frac)),
    key("charger.fixed_share", "share of the charger's loss at its highest power that is always there")
        .from(0.0, 1.0, ONE)
        .like("\"25 %\"")
        .assumed("25 % ± 15 %", JUDGEMENT)
        .advice(
            "energy from the wall at a slow supply",
            "a plug-in meter at the wall with the charger on and next to nothing going in, over its loss at full power",
        )
        .of_car(|car| at(&mut car.charger.fixed_share)),
];
