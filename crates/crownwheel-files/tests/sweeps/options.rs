//! How options are made from what is written.

#![allow(clippy::unwrap_used, reason = "helpers of tests: a panic is a failed test")]

use crownwheel::knob::Knob;
use crownwheel::space::OptionCase;
use crownwheel::spec::{CarSpec, FirstStage};
use crownwheel_files::SweepBuild;
use crownwheel_files::quantity::SpreadKind;

use crate::bench::{Bench, loaded};

fn options(sweep: &SweepBuild) -> Vec<OptionCase> {
    (0..sweep.space.len()).map(|index| sweep.space.option(index).unwrap()).collect()
}

fn car(option: &OptionCase) -> &CarSpec {
    &option.model.as_ref().unwrap().car
}

fn labels<'s>(sweep: &'s SweepBuild, key: &str) -> Vec<&'s str> {
    let axis = sweep.space.axes.iter().find(|axis| &*axis.key == key).unwrap();
    axis.values.iter().map(|value| &*value.label).collect()
}

#[test]
fn nothing_varied_is_one_option_as_the_build_is() {
    let sweep = loaded("");
    assert_eq!(sweep.space.len(), 1);
    let only = &options(&sweep)[0];
    assert_eq!(*car(only), sweep.build.car);
    assert_eq!(only.model.as_ref().unwrap().unsure, sweep.build.model().unsure);
    assert_eq!(sweep.days.len(), sweep.build.days.len());
}

/// The heart of it: an option that is made by setting numbers is the car that the build's own keys
/// would make, whatever way it was made.
#[test]
fn every_option_is_the_car_that_overrides_make() {
    let lines = "[vary]\ndriveline.axle.ratio = [3.89, 4]\npack.module_mass = [\"11 kg\", \"25 lb\"]\n\
        car.wheelbase = [\"2.32 m\", \"2.4 m\"]\ntyres.size = [\"155/80 R13\", \"145/80 R13\"]";
    let bench = Bench::with(lines);
    let sweep = bench.loaded();
    let axes: Vec<&str> = sweep.space.axes.iter().map(|axis| &*axis.key).collect();
    assert_eq!(axes, ["driveline.axle.ratio", "pack.module_mass", "car.wheelbase"]);
    assert_eq!((sweep.space.bases.len(), sweep.space.len()), (2, 16));
    for option in options(&sweep) {
        let set = |choice: &crownwheel::space::Choice| crownwheel_files::Set {
            key: choice.of.to_string(),
            value: choice.is.to_string(),
        };
        let sets: Vec<_> = option.choices.iter().map(set).collect();
        let build = crownwheel_files::load(&bench.path("build.toml"), &sets).unwrap();
        assert_eq!(*car(&option), build.car, "{}", option.id);
        let mut unsure = option.model.unwrap().unsure;
        unsure.sort_by(|a, b| a.key.cmp(&b.key));
        assert_eq!(unsure, build.model().unsure, "{}", option.id);
    }
}

#[test]
fn a_number_that_others_are_worked_out_from_is_no_axis() {
    let bench = Bench::with("[vary]\ncar.wheelbase = [\"2.32 m\", \"2.4 m\"]");
    // Without a place of its own luggage lies over the rear axle.
    bench.replace("build.toml", "behind_front_axle = \"2.75 m\"\n", "");
    let sweep = bench.loaded();
    assert!(sweep.space.axes.is_empty());
    let places: Vec<f64> = options(&sweep)
        .iter()
        .map(|option| car(option).weights.luggage.place.behind_front_axle_m)
        .collect();
    assert_eq!(places.len(), 2);
    assert!((places[0] - 2.32).abs() < 1e-12 && (places[1] - 2.4).abs() < 1e-12);
}

#[test]
fn a_number_that_is_moved_by_another_choice_is_no_axis() {
    let lines = "[vary]\nput_in.vacuum_pump.mass = [\"3 kg\", \"4 kg\"]\n\
        [[choose.charger]]\nname = \"aboard\"\n[[choose.charger]]\nname = \"at home\"\n\
        without = [\"put_in.charger\"]";
    let sweep = loaded(lines);
    // The pump's place in the list of parts differs between both cars.
    assert!(sweep.space.axes.is_empty());
    for option in options(&sweep) {
        let wanted =
            if option.id.contains("mass=3") || option.id.contains("'3 kg'") { 3.0 } else { 4.0 };
        let pump = Knob::find("put_in.vacuum_pump.mass", car(&option)).unwrap();
        assert_eq!(pump.get(car(&option)), Some(wanted), "{}", option.id);
        let charger = Knob::find("put_in.charger.mass", car(&option));
        assert_eq!(charger.is_err(), option.id.contains("at home"));
    }
}

#[test]
fn values_may_be_written_in_every_way() {
    let sweep =
        loaded("[vary]\n\"driveline.axle.ratio\" = [4, 4.22, { value = \"4.55\", price = 90 }]");
    assert_eq!(labels(&sweep, "driveline.axle.ratio"), ["4", "4.22", "4.55"]);
    let prices: Vec<Option<f64>> = options(&sweep).iter().map(|option| option.price).collect();
    assert_eq!(prices, [None, None, Some(90.0)]);
    let dotted = loaded("vary.driveline.axle.ratio = [4]");
    let table = loaded("[vary.driveline.axle]\nratio = [4]");
    assert_eq!(options(&dotted), options(&table));
}

#[test]
fn a_band_belongs_to_its_value() {
    let sweep = loaded(
        "[vary]\ntyres.rolling_resistance = [\"0.0105 ± 0.0015\", \"0.009 .. 0.012\", 0.0115]",
    );
    let spreads: Vec<SpreadKind> =
        sweep.space.axes[0].values.iter().map(|v| v.spread.kind).collect();
    assert_eq!(
        spreads,
        [
            SpreadKind::Normal { half_width_95: 0.0015 },
            SpreadKind::Uniform { low: 0.009, high: 0.012 },
            SpreadKind::Exact
        ]
    );
    let unsure = |option: &OptionCase| {
        let unsure = &option.model.as_ref().unwrap().unsure;
        unsure.iter().any(|unsure| &*unsure.key == "tyres.rolling_resistance")
    };
    let given: Vec<bool> = options(&sweep).iter().map(unsure).collect();
    assert_eq!(given, [true, true, false]);
}

#[test]
fn ranges_have_both_ends_in() {
    let sweep = loaded(
        "[vary]\npack.modules_in_series = { from = 7, to = 9 }\n\
         driveline.axle.ratio = { from = 3.7, to = 4.3, step = 0.2 }\n\
         pack.module_mass = { from = \"10 kg\", to = \"12 kg\", count = 5 }\n\
         inverter.max_battery_current = { from = \"300 A\", to = \"420 A\", step = \"60 A\" }",
    );
    assert_eq!(labels(&sweep, "pack.modules_in_series"), ["7", "8", "9"]);
    assert_eq!(labels(&sweep, "driveline.axle.ratio"), ["3.7", "3.9", "4.1", "4.3"]);
    assert_eq!(
        labels(&sweep, "pack.module_mass"),
        ["10 kg", "10.5 kg", "11 kg", "11.5 kg", "12 kg"]
    );
    assert_eq!(labels(&sweep, "inverter.max_battery_current"), ["300 A", "360 A", "420 A"]);
    assert_eq!(sweep.space.len(), 3 * 4 * 5 * 3);
}

#[test]
fn new_parts_and_other_gears_can_be_chosen() {
    let sweep = loaded(
        "[[choose.axle]]\nname = \"as it is\"\n[[choose.axle]]\nname = \"limited slip 3.89\"\n\
         price = 420\nset.driveline.axle.ratio = 3.89\n\
         set.put_in.axle_swap = { mass = \"4 kg\", behind_front_axle = \"2.32 m\" }\n\
         [[choose.box]]\nname = \"reduction\"\n[[choose.box]]\nname = \"its own gearbox\"\n\
         without = [\"driveline.reduction\"]\n\
         set.driveline.gearbox = { gears = [3.64, 2.16, 1.48, 1.0], gear = \"best\" }",
    );
    let options = options(&sweep);
    assert_eq!(options.len(), 4);
    let swapped = |option: &OptionCase| {
        car(option).weights.put_in.iter().any(|part| &*part.name == "axle_swap")
    };
    assert_eq!(options.iter().filter(|option| swapped(option)).count(), 2);
    for option in &options {
        let gearbox = matches!(car(option).driveline.first, FirstStage::Gearbox(_));
        assert_eq!(gearbox, option.id.contains("gearbox"), "{}", option.id);
        assert_eq!(option.price, swapped(option).then_some(420.0));
    }
}

#[test]
fn a_combination_that_cannot_be_keeps_its_reason() {
    let sweep = loaded(
        "[vary]\ninverter.max_phase_current = [\"400 A\", \"3000 A\"]\n\
         motor.phase_current = [\"500 A\", \"700 A\"]",
    );
    let options = options(&sweep);
    let reasons: Vec<&String> =
        options.iter().filter_map(|option| option.model.as_ref().err()).collect();
    assert_eq!((reasons.len(), options.len()), (1, 4));
    assert!(reasons[0].contains("6.000 times") && reasons[0].contains("allowed is"), "{reasons:?}");
}

#[test]
fn a_million_million_options_are_counted_and_not_made() {
    let thousand = "{ from = 1, to = 2, count = 1000 }";
    let sweep = loaded(&format!(
        "[vary]\ndriveline.axle.ratio = {thousand}\ndriveline.reduction.ratio = {thousand}\n\
         motor.curve_scale = {thousand}\nmotor.losses_scale = {thousand}",
    ));
    assert_eq!(sweep.space.len(), 1_000_000_000_000);
    assert!(sweep.space.option(999_999_999_999).is_some());
}

#[test]
fn overrides_reach_the_sweep_and_its_build() {
    let bench = Bench::dunlin();
    let sets = [
        ("worlds", "100"),
        ("vary.driveline.axle.ratio", "[4.1]"),
        ("car.name", "another"),
        ("screening", "false"),
    ];
    let sweep = bench.load(&sets).unwrap();
    assert_eq!((sweep.worlds.get(), sweep.screening), (100, false));
    assert_eq!(labels(&sweep, "driveline.axle.ratio"), ["4.1"]);
    assert_eq!(&*sweep.build.car.name, "another");
}

#[test]
fn a_sweep_may_lie_in_another_folder_than_its_build() {
    let bench = Bench::dunlin();
    bench.write(
        "folder/sweep.toml",
        "format = 1\nbuild = \"..\"\ncycles = [\"../moor-round.csv\", \"short.csv\"]\n\
         [vary]\nmotor.curve = [\"weak.csv\", \"../motor-curve.csv\"]\n",
    );
    bench.write("folder/short.csv", "time_s,speed_kmh\n0,0\n10,36\n20,0\n");
    bench.write(
        "folder/weak.csv",
        "speed_rpm,peak_torque_nm,continuous_torque_nm\n0,90,50\n8000,40,20\n",
    );
    let sweep = crownwheel_files::load_sweep(&bench.path("folder"), &[])
        .unwrap_or_else(|report| panic!("{report}"));
    // The build's own round is the sweep's first cycle, though its path is written otherwise.
    assert_eq!(sweep.cycles.len(), 2);
    let curves: Vec<f64> =
        options(&sweep).iter().map(|option| car(option).motor.curve.peak_torque_nm[0]).collect();
    assert!((curves[0] - 90.0).abs() < 1e-9 && curves[1] > 150.0, "{curves:?}");
    let names: Vec<String> =
        sweep.inputs.iter().map(|i| i.path.file_name().unwrap().to_string_lossy().into()).collect();
    assert!(names.iter().any(|name| name == "weak.csv"), "{names:?}");
}
