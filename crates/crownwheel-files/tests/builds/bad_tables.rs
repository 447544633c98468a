//! Tables of the motor and the cell that can be read and cannot be.

use crate::bench::{Demo, check_messages, write};

const CURVE: &str = "motor-curve.csv";

#[test]
fn tables_that_are_wrong() {
    check_messages(
        "tables_that_are_wrong",
        Demo::Godwit,
        &[
            (
                "torque and power at once",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,peak_power_hp,continuous_power_hp\n0,122,0,0\n6000,54,62,34\n",
                ),
            ),
            (
                "neither torque nor power",
                write(CURVE, "speed_rpm,continuous_power_hp\n0,0\n6000,34\n"),
            ),
            (
                "power at standstill",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_hp\n0,122,12\n6000,54,34\n",
                ),
            ),
            (
                "power by a unit that nobody knows",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_horses\n0,122,0\n6000,54,34\n",
                ),
            ),
            (
                "torque in pounds",
                write(CURVE, "speed_rpm,peak_torque_lb,continuous_power_hp\n0,122,0\n6000,54,34\n"),
            ),
            (
                "more continuous power than peak torque",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_hp\n0,122,0\n3000,54,34\n6000,54,34\n",
                ),
            ),
            (
                "speeds from high to low",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_hp\n6000,54,34\n0,122,0\n",
                ),
            ),
            (
                "one speed with two torques",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_hp\n0,122,0\n3000,108,33\n3000,54,20\n6000,54,34\n",
                ),
            ),
            (
                "a curve that starts late",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_hp\n500,122,5\n6000,54,34\n",
                ),
            ),
            (
                "a column twice",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,peak_torque_nm,continuous_power_hp\n0,122,165,0\n6000,54,73,34\n",
                ),
            ),
            (
                "thousands with a comma",
                write(
                    CURVE,
                    "speed_rpm,peak_torque_lbfft,continuous_power_hp\n0,122,0\n6,000,54,34\n",
                ),
            ),
            (
                "capacity without a unit",
                write("cell-cold.csv", "temperature_degf,capacity\n32,84\n77,100\n"),
            ),
            (
                "temperature without a scale",
                write("cell-cold.csv", "temperature,capacity_pct\n32,84\n77,100\n"),
            ),
            (
                "capacity over the top",
                write("cell-cold.csv", "temperature_degf,capacity_pct\n32,84\n77,1000\n"),
            ),
            (
                "capacity below the bottom",
                write("cell-cold.csv", "temperature_degf,capacity_pct\n32,-84\n77,100\n"),
            ),
            (
                "temperatures that go back",
                write("cell-cold.csv", "temperature_degf,capacity_pct\n77,100\n32,84\n"),
            ),
            ("one temperature", write("cell-cold.csv", "temperature_degf,capacity_pct\n77,100\n")),
            (
                "a cell below absolute zero",
                write("cell-cold.csv", "temperature_degf,capacity_pct\n-500,10\n77,100\n"),
            ),
        ],
    );
}

const LOSSES: &str = "motor-losses.csv";

#[test]
fn efficiencies_that_are_wrong() {
    check_messages(
        "efficiencies_that_are_wrong",
        Demo::Dunlin,
        &[
            (
                "efficiency over one",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,efficiency_pct\n1000,10,50\n1000,50,80\n9000,10,90\n9000,50,192\n",
                ),
            ),
            (
                "efficiency below zero",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,efficiency_pct\n1000,10,50\n1000,50,80\n9000,10,90\n9000,50,-92\n",
                ),
            ),
            (
                "efficiency of nothing while it turns",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,efficiency_pct\n1000,10,0\n1000,50,80\n9000,10,90\n9000,50,92\n",
                ),
            ),
            (
                "efficiency as a share under a heading of percent",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,efficiency_pct\n1000,10,0.5\n1000,50,0.8\n9000,10,0.9\n9000,50,0.92\n",
                ),
            ),
            (
                "efficiency at standstill",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,efficiency_pct\n0,0,0\n0,50,0\n9000,0,0\n9000,50,92\n",
                ),
            ),
            (
                "neither efficiency nor loss",
                write(LOSSES, "speed_rpm,torque_nm\n1000,10\n1000,50\n9000,10\n9000,50\n"),
            ),
            (
                "efficiency without a unit",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,efficiency\n1000,10,50\n1000,50,80\n9000,10,90\n9000,50,92\n",
                ),
            ),
            (
                "a grid of one torque",
                write(LOSSES, "speed_rpm,torque_nm,efficiency_pct\n1000,50,80\n9000,50,92\n"),
            ),
            (
                "losses below zero",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,loss_w\n0,0,10\n0,50,20\n9000,0,-10\n9000,50,20\n",
                ),
            ),
            (
                "a letter O for a nought",
                write(
                    LOSSES,
                    "speed_rpm,torque_nm,loss_w\n0,0,10\n0,5O,20\n9000,0,10\n9000,50,20\n",
                ),
            ),
        ],
    );
}
