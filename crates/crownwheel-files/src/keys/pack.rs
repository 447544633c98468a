//! Keys of the pack.

use super::{KeyKind, KeyRow, key, row};

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::Choice(&["nmc", "lfp", "lead"]),
        key("pack.chemistry", "cell chemistry, for a built-in open-circuit voltage")
            .like("\"nmc\""),
    ),
    row(
        KeyKind::TableFile,
        key(
            "pack.open_circuit",
            "table of charge and open-circuit voltage of a cell, instead of chemistry",
        )
        .like("\"cell-ocv.csv\""),
    ),
    row(
        KeyKind::Choice(&["dc", "1 kHz"]),
        key(
            "pack.resistance_kind",
            "how the resistance was measured: with direct current for 10 s, or at 1 kHz",
        )
        .like("\"dc\"")
        .assumed("dc", "the usual figure for driving")
        .advice(
            "sag: a figure at 1 kHz is far too low for driving",
            "the cell's sheet: DC or pulse is dc; AC, impedance or 1 kHz is not",
        ),
    )
    .after("pack.cell_resistance"),
    row(
        KeyKind::ColdCapacity,
        key(
            "pack.cold_capacity",
            "table of usable capacity against temperature, instead of resistance_b",
        )
        .like("\"cold-capacity.csv\""),
    )
    .after("pack.resistance_b"),
];
