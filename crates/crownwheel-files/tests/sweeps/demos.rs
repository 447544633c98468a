//! The sweeps of the invented workshop.

use crownwheel_files::outside::DemandKind;

use crate::bench::Bench;

#[test]
fn the_saloon_has_a_hundred_options_or_more() {
    let sweep = Bench::dunlin().loaded();
    assert!((100..=300).contains(&sweep.space.len()), "{}", sweep.space.len());
    assert_eq!((sweep.worlds.get(), sweep.seed, sweep.screening), (2000, 1, true));
    let names: Vec<&str> = sweep.cycles.iter().map(|cycle| &*cycle.name).collect();
    assert_eq!(names, ["wltc3b", "udds", "moor-round.csv"]);
    let days: Vec<&str> = sweep.days.iter().map(|day| &*day.day.name).collect();
    assert_eq!(days, ["mild", "winter"]);
    assert_eq!(sweep.currency.as_deref(), Some("EUR"));
    assert_eq!(sweep.space.module_price, Some(310.0));
    // What is said only in the sweep stands beside what is said in the build.
    assert!(sweep.build.demands.len() > 2);
    let price = |kind: &DemandKind| matches!(kind, DemandKind::Price { .. });
    assert!(sweep.build.demands.iter().any(|demand| price(&demand.what)));
    assert_eq!(sweep.inputs.len(), 5);
}

#[test]
fn ten_modules_and_more_are_over_the_controller_and_say_so() {
    let sweep = Bench::dunlin().loaded();
    let options = (0..sweep.space.len()).map(|index| sweep.space.option(index).unwrap());
    let (sound, impossible): (Vec<_>, Vec<_>) = options.partition(|option| option.model.is_ok());
    assert_eq!(impossible.len(), sound.len());
    for option in impossible {
        let ten = option.id.contains("modules_in_series=10");
        assert!(ten || option.id.contains("modules_in_series=11"), "{}", option.id);
        let volts = if ten { "168.0 V" } else { "184.8 V" };
        assert!(option.model.unwrap_err().contains(volts), "{}", option.id);
    }
}

#[test]
fn the_van_has_a_small_sweep() {
    let sweep = Bench::of("godwit").loaded();
    assert!((20..=60).contains(&sweep.space.len()), "{}", sweep.space.len());
    for index in 0..sweep.space.len() {
        let option = sweep.space.option(index).unwrap();
        assert!(option.model.is_ok(), "{}: {:?}", option.id, option.model.err());
    }
}

#[test]
fn identities_do_not_repeat() {
    for demo in ["dunlin", "godwit"] {
        let sweep = Bench::of(demo).loaded();
        let mut ids: Vec<String> =
            (0..sweep.space.len()).map(|index| sweep.space.option(index).unwrap().id).collect();
        let count = ids.len();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), count, "{demo}");
    }
}
