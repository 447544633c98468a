//! What each value that may be assumed is for, and how a workshop finds its own.
//!
//! How to measure is common practice of the trade; nothing of it is a figure.

use super::paths::matches;

/// What a key matters for, and how to find its value out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Advice {
    /// Which answers hang on it, in a few words.
    pub matters: &'static str,
    /// How to find it out.
    pub find_out: &'static str,
}

/// The advice on a key, or on the pattern of a key.
#[must_use]
pub fn advice(path: &str) -> Option<Advice> {
    let row = ROWS.iter().find(|row| matches(row.0, path));
    row.map(|(_, matters, find_out)| Advice { matters, find_out })
}

const ACROSS: &str = "left and right corner weights; axle loads do not change";
const TO_THE_MIDDLE: &str =
    "measure from the centre line of the car to the middle of it, left is negative";
const COAST_DOWN: &str =
    "coast down on a quiet, level road and give the log to `crownwheel coastdown`";
const WHICH_DAY: &str = "when the demand holds";
const BY_THE_DRIVER: &str = "say what is meant";
const CASING: &str = "the maker's sheet, the tag or the workshop manual says it";
const GEAR_DRAG: &str = "range at steady speed, more with cold oil";
const GEAR_DRAG_HOW: &str = "wheels in the air, oil warm: turn the input shaft steadily with a small \
torque wrench, and ask the maker what it is at speed";
const BELONGS: &str = "the drag torque, which holds at this speed";
const BELONGS_HOW: &str = "the shaft speed at which you measured the drag torque";
const UNDER_LOAD: &str = "use and range under load, pull on hills";
const UNDER_LOAD_HOW: &str = "ask the maker; a log of the finished car shows it, with the motor's \
losses, in `crownwheel audit`";

const SPRUNG: &str = "how far the car rises or sinks on its springs";
const SPRUNG_HOW: &str = "weigh wheels, hubs and brakes with half of the links when they are off; a live \
axle counts whole";

/// Key, what it matters for, how to find it out.
const ROWS: &[(&str, &str, &str)] = &[
    (
        "tyres.size",
        "rolling radius: motor speed, pull, what the speedometer reads",
        "push the car some turns of a wheel, measure the way, and write it as [tyres] rolled",
    ),
    (
        "corner_weights.*",
        ACROSS,
        "weigh each wheel on a pad of its own, and write [corner_weights]",
    ),
    (
        "car.differential",
        "starting where one wheel slips first",
        "driven wheels in the air, turn one by hand: if the other turns backwards it is open",
    ),
    (
        "car.live_axle",
        "which driven wheel the motor's torque takes load off",
        "look below: a beam from wheel to wheel is a live axle",
    ),
    (
        "car.power_steering",
        "a warning: without the engine its pump stands still",
        "look for a pump on the engine's belt",
    ),
    (
        "car.centre_of_gravity_height",
        "load that goes to the rear when pulling and to the front when braking",
        "lift one axle with the other on the scales, and write it as [axle_lift]",
    ),
    ("car.drag_area", "range above 60 km/h, and top speed", COAST_DOWN),
    (
        "car.drag_area.driveline",
        "the drag area, where it is worked out from top speed and power",
        COAST_DOWN,
    ),
    (
        "car.drag_rise_with_yaw",
        "range in wind from the side",
        "only a wind tunnel tells; the band of the answers holds it",
    ),
    (
        "car.brake_drag",
        "range, most in town and of a light car",
        "each wheel in the air, out of gear: pull it round with a spring balance at the tread and add \
         the four forces; or coast down",
    ),
    (
        "car.road_load.temperature",
        "what the coefficients become on other days",
        "the air at the road during the runs",
    ),
    (
        "car.road_load.pressure",
        "what the coefficients become on other days",
        "a barometer at the road during the runs, not reduced to sea level",
    ),
    (
        "axle_lift.level_load",
        "height of the centre of gravity",
        "read the scale with the car level, just before it is lifted",
    ),
    (
        "axle_lift.hub_radius",
        "height of the centre of gravity, a little",
        "measure from the ground to the middle of a hub",
    ),
    ("springs.front_unsprung", SPRUNG, SPRUNG_HOW),
    ("springs.rear_unsprung", SPRUNG, SPRUNG_HOW),
    ("taken_out.*.right_of_centre", ACROSS, TO_THE_MIDDLE),
    ("put_in.*.right_of_centre", ACROSS, TO_THE_MIDDLE),
    ("pack.box.*.right_of_centre", ACROSS, TO_THE_MIDDLE),
    ("luggage.right_of_centre", ACROSS, TO_THE_MIDDLE),
    ("seat.*.right_of_centre", ACROSS, TO_THE_MIDDLE),
    ("seat.*.aboard", "mass in every drive", "say who rides on the trips that you mean"),
    (
        "luggage.mass",
        "mass in every drive",
        "weigh what is always aboard: tools, cables, the spare wheel",
    ),
    (
        "luggage.behind_front_axle",
        "axle loads at gross mass",
        "measure from the front axle to the middle of the boot's floor",
    ),
    (
        "tyres.label_rule",
        "which rolling resistance a class stands for",
        "a label with a QR code follows 2020/740",
    ),
    ("tyres.rolling_resistance", "range at every speed, most in town", COAST_DOWN),
    ("tyres.drum_to_road", "range at every speed, most in town", COAST_DOWN),
    (
        "tyres.speed_law",
        "rolling resistance at high speed, most of cross-ply tyres",
        "coast down from high speed; `crownwheel coastdown` finds the part that grows with speed",
    ),
    (
        "tyres.rolling_rise",
        "rolling resistance at high speed, most of cross-ply tyres",
        "coast down from high speed; `crownwheel coastdown` finds the part that grows with speed",
    ),
    (
        "tyres.wheel_inertia",
        "times at full throttle, a little",
        "weigh a wheel with its tyre: its mass times the square of four fifths of the rolling radius \
         is close",
    ),
    (
        "tyres.grip.*",
        "starts, steep hills and braking by the motor, where wheels slip",
        "hardly to be measured with safety: leave it, its band is in the answers",
    ),
    ("driveline.*.kind", "which efficiency and drag are assumed", CASING),
    ("driveline.*.efficiency", UNDER_LOAD, UNDER_LOAD_HOW),
    ("driveline.*.drag_torque", GEAR_DRAG, GEAR_DRAG_HOW),
    ("driveline.*.drag_at", BELONGS, BELONGS_HOW),
    (
        "driveline.gearbox.dwell",
        "how often gears change, so use in town",
        "the shortest time that you stay in a gear on a usual drive",
    ),
    (
        "driveline.gearbox.shift_time",
        "times at full throttle",
        "film a brisk shift: from power off to power on",
    ),
    (
        "driveline.oil_viscosity_exponent",
        "drag of cold oil: short trips in winter",
        "coast down once with cold and once with warm oil; leave it if winter does not matter",
    ),
    (
        "driveline.oil_time_constant",
        "how long cold oil costs range",
        "a thermometer on the casing during a steady drive: the time to two thirds of the whole rise",
    ),
    (
        "driveline.oil_conductance",
        "how warm the oil gets",
        "the casing's whole rise over the air on a steady drive: the heat of the losses over it",
    ),
    (
        "motor.curve_scale",
        "times at full throttle, hills, top speed",
        "time a run at full throttle, or a dynamometer, and hold it against `crownwheel pull`",
    ),
    (
        "motor.phase_current_ratio",
        "torque at low speed: starts and hills",
        "the controller's phase current and that of the sheet's test, as inverter.max_phase_current \
         and motor.phase_current",
    ),
    (
        "motor.falling_part",
        "pull at high speed on a sagging pack",
        "ask the motor's maker what ended the test: the voltage or the battery current",
    ),
    (
        "motor.max_winding_temperature",
        "minutes to cut-back, and lasting power on hot days",
        "the thermal class on the motor's plate: B 130 °C, F 155 °C, H 180 °C",
    ),
    (
        "motor.rotor_inertia",
        "times at full throttle, most in low gears",
        "the motor's sheet says it, as J or moment of inertia",
    ),
    (
        "motor.losses_scale",
        "use and range everywhere",
        "log volts and amperes of the pack on a trip, and give the log to `crownwheel audit`",
    ),
    (
        "inverter.fixed_loss",
        "use in slow traffic",
        "the controller's sheet: supply power with the motor at rest and ready",
    ),
    (
        "inverter.loss_share",
        "use and range everywhere, a little",
        "the controller's sheet: 1 less its efficiency near the usual load",
    ),
    (
        "pack.cell_resistance",
        "sag: pull at low charge, and loss in the pack",
        "the cell's sheet, direct current for 10 s at half charge and 25 °C",
    ),
    (
        "pack.resistance_kind",
        "sag: a figure at 1 kHz is far too low for driving",
        "the cell's sheet: DC or pulse is dc; AC, impedance or 1 kHz is not",
    ),
    (
        "pack.resistance_b",
        "sag and loss in the cold",
        "the resistance at two temperatures from the cell's sheet, or a cold sheet as \
         pack.cold_capacity",
    ),
    (
        "pack.cell_voltage.*",
        "energy of the pack, and its voltage full and empty",
        "the cell's sheet, or the ends that the battery management is set to",
    ),
    (
        "pack.module_spread",
        "range: the weakest module of a string ends the drive",
        "charge and discharge each module by itself, and count: standard deviation over mean",
    ),
    (
        "pack.specific_heat",
        "how warm the pack gets on long pulls, little else",
        "the cell's sheet, if it says it",
    ),
    (
        "pack.conductance",
        "how warm the pack stays over a day",
        "log a warm pack at rest in cool air: mass times specific heat over the time to two thirds of \
         the fall",
    ),
    (
        "pack.usable.*",
        "range, and how long the cells last",
        "the ends that the battery management is set to",
    ),
    (
        "pack.harness_resistance",
        "sag at full current",
        "what is lost from the pack's terminals to the controller's at a known current: for who may \
         measure on the traction side",
    ),
    (
        "pack.state_of_health",
        "range: energy that is left in old cells",
        "one full discharge, counted in Ah, over what is printed on the cells",
    ),
    ("pack.reserve", "range with the reserve kept back", "a choice of the driver"),
    (
        "regen.share",
        "range in town and over hills",
        "watch the battery current in a gentle stop, or give a log to `crownwheel audit`",
    ),
    (
        "regen.fade_out_below",
        "range in town, a little",
        "slow down gently: the speed at which no current comes back any more",
    ),
    (
        "dcdc.efficiency",
        "use in slow traffic",
        "its sheet; or power out over power in, with a clamp on each side",
    ),
    ("load.*.side", "whether the DC-DC converter's loss is added", "follow the wire"),
    ("load.*.duty", "use in slow traffic", "the share of a usual drive that it is on"),
    ("charger.power", "hours to charge", "the charger's plate"),
    (
        "charger.efficiency",
        "energy from the wall, and what it costs",
        "a plug-in meter at the wall against what went into the pack",
    ),
    ("speedometer.driven_from", "what the speedometer reads", "follow its cable"),
    ("day.*.temperature", "air density, cold pack and oil", "a weather report"),
    ("day.*.altitude", "air density, so drag", "a map, or a phone"),
    ("day.*.humidity", "air density, hardly", "a weather report"),
    ("day.*.wind", "range, most at high speed", "a weather report"),
    (
        "day.*.wind_height",
        "what the wind is at the height of the car",
        "the height that the report holds for; forecasts are for 10 m",
    ),
    ("day.*.road", "rolling resistance and grip", BY_THE_DRIVER),
    (
        "day.*.extra_load",
        "range in winter: the heater",
        "the heater's plate, times the share of the drive that it is on",
    ),
    ("demand.*.*.day", WHICH_DAY, BY_THE_DRIVER),
    ("demand.*.*.case", WHICH_DAY, BY_THE_DRIVER),
    ("demand.*.axle_load.at_most", "when the demand holds", "the plate, or your own limit"),
    ("demand.*.charge_time.*", "when the demand holds", BY_THE_DRIVER),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::{Need, all};

    #[test]
    fn every_value_that_may_be_assumed_has_advice() {
        let assumed =
            all().filter(|row| matches!(row.need, Need::Assumed { .. } | Need::Derived { .. }));
        let without: Vec<&str> =
            assumed.map(|row| row.path).filter(|path| advice(path).is_none()).collect();
        assert_eq!(without, [""; 0]);
    }

    /// Advice on a key that nobody knows helps nobody, and a second line on a key is never read.
    #[test]
    fn every_advice_is_on_a_key_and_stands_first() {
        for (pattern, words, how) in ROWS {
            let known: Vec<&str> =
                all().map(|row| row.path).filter(|path| matches(pattern, path)).collect();
            assert!(!known.is_empty(), "{pattern}");
            assert!(
                known.iter().any(|path| {
                    ROWS.iter().find(|row| matches(row.0, path)).map(|row| row.0) == Some(*pattern)
                }),
                "{pattern}"
            );
            assert!(words.len() > 10 && how.len() > 10, "{pattern}");
        }
    }
}
