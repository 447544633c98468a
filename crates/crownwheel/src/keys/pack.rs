//! Keys of the pack.

use super::bind::at;
use super::unit::{AH, C, CELSIUS, J_PER_KG_K, K, KG, KW, OHM, ONE, V, W_PER_K};
use super::weights::{above, across, along};
use super::{JUDGEMENT, Key, List, key};

const BY_CHEMISTRY: &str = "by the chemistry: 3.0 V to 4.2 V for nmc, 2.5 V to 3.65 V for lfp, \
1.75 V to 2.4 V for lead (usual sheets)";
const RESISTANCE_B: &str = "3000 K ± 1000 K (one pack measured 3,150 K), or 0 with a cold capacity \
sheet, which already holds it";

const COLD_LOSS: &str = "by the chemistry, in proportion to the kelvins below 25 °C: 4.5 % ± 2 % for nmc, 10 % ± 5 % for \
lfp, 20 % ± 8 % for lead (engineering judgement); 0 with a cold capacity sheet, which already holds it";

/// Most cells or modules of a description in code: far above any car, far below overflow.
const MOST_CELLS: f64 = 100_000.0;

pub(super) const ROWS: &[Key] = &[
    key("pack.cells_in_series", "cells in series in one module")
        .count(1.0, 400.0)
        .code(1.0, MOST_CELLS)
        .like("4")
        .required()
        .of_car(|car| at(&mut car.pack.cells_in_series)),
    key("pack.cells_in_parallel", "cells in parallel in one module")
        .count(1.0, 1000.0)
        .code(1.0, MOST_CELLS)
        .like("2")
        .required()
        .of_car(|car| at(&mut car.pack.cells_in_parallel)),
    key("pack.cell_capacity", "capacity of one cell at 25 °C")
        .over(0.0, 2000.0, AH)
        .or_more()
        .like("\"78 Ah\"")
        .required()
        .of_car(|car| at(&mut car.pack.cell_capacity_c)),
    key("pack.cell_resistance", "direct-current resistance of one cell: 10 s, half charge, 25 °C")
        .over(0.0, 1.0, OHM)
        .or_more()
        .like("\"0.8 mohm ± 20 %\"")
        .required()
        .advice(
            "sag: pull at low charge, and loss in the pack",
            "the cell's sheet, direct current for 10 s at half charge and 25 °C",
        )
        .of_car(|car| at(&mut car.pack.cell_resistance_ohm)),
    key("pack.resistance_b", "temperature coefficient B of the resistance")
        .from(0.0, 10_000.0, K)
        .like("\"3000 K ± 1000 K\"")
        .derived(RESISTANCE_B)
        .advice(
            "sag and loss in the cold",
            "the resistance at two temperatures from the cell's sheet, or a cold sheet as \
             pack.cold_capacity",
        )
        .of_car(|car| at(&mut car.pack.resistance_b_k)),
    key("pack.cold_loss", "share of the capacity that is not given at 0 °C")
        .from(0.0, 0.6, ONE)
        .like("\"5 %\"")
        .derived(COLD_LOSS)
        .advice(
            "range in the cold",
            "capacity at 0 °C and at a small current from the cell's sheet, or a cold sheet as pack.cold_capacity",
        )
        .of_car(|car| at(&mut car.pack.cold_loss_frac)),
    key("pack.heater.power", "power of what warms the pack while driving")
        .over(0.0, 20.0, KW)
        .like("\"600 W\"")
        .required()
        .of_car(|car| at(&mut car.pack.heater.as_mut()?.power_w)),
    key("pack.heater.only_below", "temperature of the pack from which its heater is off")
        .from(-40.0, 60.0, CELSIUS)
        .like("\"5 °C\"")
        .required()
        .fixed()
        .of_car(|car| at(&mut car.pack.heater.as_mut()?.only_below_k)),
    key("pack.cell_voltage.from", "lowest cell voltage")
        .over(0.0, 5.0, V)
        .or_more()
        .like("\"3.0 V\"")
        .derived(BY_CHEMISTRY)
        .advice(
            "energy of the pack, and its voltage full and empty",
            "the cell's sheet, or the ends that the battery management is set to",
        )
        .fixed()
        .of_car(|car| at(&mut car.pack.cell_min_voltage_v)),
    key("pack.cell_voltage.to", "highest cell voltage")
        .over(0.0, 5.0, V)
        .or_more()
        .like("\"4.2 V\"")
        .derived(BY_CHEMISTRY)
        .advice(
            "energy of the pack, and its voltage full and empty",
            "the cell's sheet, or the ends that the battery management is set to",
        )
        .fixed()
        .of_car(|car| at(&mut car.pack.cell_max_voltage_v)),
    key("pack.max_discharge", "highest discharge current over capacity")
        .over(0.0, 200.0, C)
        .or_more()
        .like("\"4 C\"")
        .required()
        .of_car(|car| at(&mut car.pack.max_discharge_per_h)),
    key("pack.max_charge", "highest charging current over capacity")
        .over(0.0, 200.0, C)
        .or_more()
        .like("\"1 C\"")
        .required()
        .of_car(|car| at(&mut car.pack.max_charge_per_h)),
    key(
        "pack.module_spread",
        "standard deviation of capacity from module to module; the weakest rules in \
         series",
    )
    .from(0.0, 0.2, ONE)
    .like("\"2 %\"")
    .assumed("2 % ± 1 %", "engineering judgement: new modules; used ones differ by 5 %")
    .advice(
        "range: the weakest module of a string ends the drive",
        "charge and discharge each module by itself, and count: standard deviation \
         over mean",
    )
    .of_car(|car| at(&mut car.pack.module_spread)),
    key("pack.module_mass", "mass of one module")
        .over(0.0, 1000.0, KG)
        .code(0.0, f64::INFINITY)
        .like("\"11.4 kg\"")
        .required()
        .of_car(|car| at(&mut car.pack.module_mass_kg)),
    key("pack.specific_heat", "specific heat of a module")
        .over(100.0, 5000.0, J_PER_KG_K)
        .code_over(0.0, f64::INFINITY)
        .like("\"1000 J/(kg K)\"")
        .assumed("1000 J/(kg K) ± 10 %", JUDGEMENT)
        .advice(
            "how warm the pack gets on long pulls, little else",
            "the cell's sheet, if it says it",
        )
        .of_car(|car| at(&mut car.pack.specific_heat_jpkgk)),
    key("pack.conductance", "heat that the pack gives off for each kelvin above the air")
        .from(0.0, 1000.0, W_PER_K)
        .or_more()
        .like("\"5 W/K\"")
        .assumed("5 W/K ± 50 %", JUDGEMENT)
        .advice(
            "how warm the pack stays over a day",
            "log a warm pack at rest in cool air: mass times specific heat over the time \
             to two thirds of the fall",
        )
        .of_car(|car| at(&mut car.pack.conductance_wpk)),
    key("pack.modules_in_series", "modules in series")
        .count(1.0, 400.0)
        .code(1.0, MOST_CELLS)
        .like("9")
        .required()
        .of_car(|car| at(&mut car.pack.modules_in_series)),
    key("pack.modules_in_parallel", "strings of modules in parallel")
        .count(1.0, 100.0)
        .code(1.0, MOST_CELLS)
        .like("1")
        .required()
        .of_car(|car| at(&mut car.pack.modules_in_parallel)),
    key("pack.usable.from", "lowest state of charge in use")
        .from(0.0, 1.0, ONE)
        .like("\"8 %\"")
        .assumed("5 % ± 2 %", JUDGEMENT)
        .advice(
            "range, and how long the cells last",
            "the ends that the battery management is set to",
        )
        .of_car(|car| at(&mut car.pack.usable_from_frac)),
    key("pack.usable.to", "highest state of charge in use")
        .from(0.0, 1.0, ONE)
        .like("\"96 %\"")
        .assumed("95 % ± 2 %", JUDGEMENT)
        .advice(
            "range, and how long the cells last",
            "the ends that the battery management is set to",
        )
        .of_car(|car| at(&mut car.pack.usable_to_frac)),
    key("pack.harness_resistance", "cables, fuses and contactors between pack and inverter")
        .from(0.0, 1.0, OHM)
        .or_more()
        .like("\"3 mohm\"")
        .assumed("3 mohm ± 50 %", JUDGEMENT)
        .advice(
            "sag at full current",
            "what is lost from the pack's terminals to the controller's at a known \
             current: for who may measure on the traction side",
        )
        .of_car(|car| at(&mut car.pack.harness_resistance_ohm)),
    key("pack.state_of_health", "capacity left, 1 for new")
        .over(0.1, 1.0, ONE)
        .code_over(0.0, 1.0)
        .like("1.0")
        .assumed("1", "new cells")
        .advice(
            "range: energy that is left in old cells",
            "one full discharge, counted in Ah, over what is printed on the cells",
        )
        .of_car(|car| at(&mut car.pack.state_of_health_frac)),
    key("pack.reserve", "share of the usable part that is kept back as a reserve")
        .from(0.0, 0.9, ONE)
        .code(0.0, 0.95)
        .like("\"15 %\"")
        .assumed("15 %", "a choice, not a property of the car")
        .advice("range with the reserve kept back", "a choice of the driver")
        .of_car(|car| at(&mut car.pack.reserve_frac)),
    key("pack.box.*.room_for", "modules that fit into this box")
        .count(0.0, 1000.0)
        .or_more()
        .like("5")
        .required()
        .fixed()
        .of_each(List::Boxes, |car, i| at(&mut car.pack.boxes.get_mut(i)?.room_for)),
    along(
        "pack.box.*.behind_front_axle",
        "where the modules of this box sit, behind the front axle",
    )
    .like("\"0.02 m\"")
    .of_each(List::Boxes, |car, i| at(&mut car.pack.boxes.get_mut(i)?.place.behind_front_axle_m)),
    across("pack.box.*.right_of_centre")
        .like("\"0 m\"")
        .of_each(List::Boxes, |car, i| at(&mut car.pack.boxes.get_mut(i)?.place.right_of_centre_m)),
    above("pack.box.*.above_ground", "height of the modules of this box above the ground")
        .like("\"0.50 m\"")
        .of_each(List::Boxes, |car, i| at(&mut car.pack.boxes.get_mut(i)?.place.above_ground_m)),
];
