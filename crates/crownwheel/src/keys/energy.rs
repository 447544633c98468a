//! Keys of regeneration, the 12 V side and charging.

use super::bind::at;
use super::unit::{KM_PER_H, KW, ONE};
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
    key("charger.power", "highest power of the on-board charger into the pack")
        .over(0.0, 1000.0, KW)
        .or_more()
        .like("\"5.0 kW\"")
        .assumed("3.3 kW", "a usual size; it does not change use or range")
        .advice("hours to charge", "the charger's plate")
        .of_car(|car| at(&mut car.charger.power_w)),
    key("charger.efficiency", "power into the pack over power from the wall")
        .over(0.3, 1.0, ONE)
        .code_over(0.0, 1.0)
        .like("0.92")
        .assumed("0.90 ± 0.04", JUDGEMENT)
        .advice(
            "energy from the wall, and what it costs",
            "a plug-in meter at the wall against what went into the pack",
        )
        .of_car(|car| at(&mut car.charger.efficiency_frac)),
];
