//! Motor curves, loss maps, open-circuit tables and cold capacities: each text goes to all readers.

#![no_main]

use crownwheel_files::{cold_capacity_file, curve_file, loss_map_file, ocv_file};
use crownwheel_fuzz::{check_finite, check_report};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    match curve_file::parse("curve.csv", text) {
        Ok((curve, _)) => {
            check_finite("speed", &curve.speed_radps);
            check_finite("peak torque", &curve.peak_torque_nm);
            check_finite("continuous torque", &curve.continuous_torque_nm);
        }
        Err(report) => check_report(&report),
    }
    match loss_map_file::parse("losses.csv", text) {
        Ok((map, _)) => {
            check_finite("speed", &map.speed_radps);
            check_finite("torque", &map.torque_nm);
            check_finite("loss", &map.loss_w);
        }
        Err(report) => check_report(&report),
    }
    match ocv_file::parse("ocv.csv", text) {
        Ok((table, _)) => {
            check_finite("charge", &table.charge_frac);
            check_finite("voltage", &table.voltage_v);
        }
        Err(report) => check_report(&report),
    }
    match cold_capacity_file::parse("cold.csv", text) {
        Ok((table, _)) => {
            check_finite("temperature", &table.temperature_k);
            check_finite("capacity", &table.capacity_frac);
        }
        Err(report) => check_report(&report),
    }
});
