//! Whether a load is left on each axle: what leaves and enters, against what the scales show.

use crate::spec::{PackSpec, SpecError, SpecErrorKind, WeightsSpec};
use crate::weights::{LoadCase, loaded};

/// The cases of the converted car that every answer stands on, in words. That an axle lifts in others is warned of.
const CONVERTED: [(LoadCase, &str); 2] = [
    (LoadCase::ConvertedEmpty, "converted and empty"),
    (LoadCase::DriverOnly, "with those who drive along"),
];

/// More is taken out than the car weighs, or an axle has no load left.
pub(crate) fn problem(spec: &WeightsSpec, pack: &PackSpec) -> Option<SpecError> {
    nothing_left(spec).or_else(|| lifted(spec, pack))
}

fn nothing_left(spec: &WeightsSpec) -> Option<SpecError> {
    let on_scales_kg = spec.corners.total_kg();
    let taken_out_kg: f64 = spec.taken_out.iter().map(|part| part.mass_kg).sum();
    (taken_out_kg >= on_scales_kg).then(|| SpecError {
        kind: SpecErrorKind::Together,
        key: "taken_out.*.mass".into(),
        value: taken_out_kg,
        unit: "kg",
        allowed: format!("less than the {on_scales_kg:.1} kg of the car on the scales"),
    })
}

/// An axle without a load, of the car that the parts are out of or in a case of the converted one.
fn lifted(spec: &WeightsSpec, pack: &PackSpec) -> Option<SpecError> {
    let stripped = stripped(spec);
    let first = std::iter::once((stripped, None));
    let cases = CONVERTED.iter().map(|(case, words)| (axles(spec, pack, *case), Some(*words)));
    let bare = |(axles, _): &([f64; 2], _)| axles.iter().any(|load_kg| *load_kg <= 0.0);
    let (loads, case) = first.chain(cases).find(bare)?;
    let axle = usize::from(loads[0] > loads[1]);
    let on_scales_kg = axles(spec, pack, LoadCase::AsOnScales)[axle];
    let taken_out_kg = stripped[axle] - on_scales_kg;
    let mut sums =
        format!("{on_scales_kg:.1} kg on the scales, {taken_out_kg:+.1} kg by taken_out");
    if case.is_some() {
        let empty_kg = axles(spec, pack, LoadCase::ConvertedEmpty)[axle];
        let (put_in_kg, aboard_kg) = (empty_kg - stripped[axle], loads[axle] - empty_kg);
        sums.push_str(&format!(", {put_in_kg:+.1} kg by put_in and modules"));
        if aboard_kg.abs() > 0.0 {
            sums.push_str(&format!(", {aboard_kg:+.1} kg by those aboard and luggage"));
        }
    }
    Some(SpecError {
        kind: SpecErrorKind::Together,
        key: "taken_out".into(),
        value: loads[axle],
        unit: "kg",
        allowed: format!(
            "more than 0 kg on each axle; {} the {} axle has {sums}",
            case.unwrap_or("with nothing put in"),
            ["front", "rear"][axle]
        ),
    })
}

/// Front and rear axle in a case, kg.
fn axles(spec: &WeightsSpec, pack: &PackSpec, case: LoadCase) -> [f64; 2] {
    let corners = loaded(spec, pack, case).corners;
    [corners.front_axle_kg(), corners.rear_axle_kg()]
}

/// Front and rear axle once the parts are out and nothing is in, kg: the lever rule.
fn stripped(spec: &WeightsSpec) -> [f64; 2] {
    let on_scales = [spec.corners.front_axle_kg(), spec.corners.rear_axle_kg()];
    spec.taken_out.iter().fold(on_scales, |[front_kg, rear_kg], part| {
        let on_rear_kg = part.mass_kg * part.place.behind_front_axle_m / spec.wheelbase_m;
        [front_kg - (part.mass_kg - on_rear_kg), rear_kg - on_rear_kg]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::small_saloon;

    fn why(change: impl FnOnce(&mut WeightsSpec)) -> Option<(String, f64, String)> {
        let mut spec = small_saloon();
        change(&mut spec.weights);
        let problem = problem(&spec.weights, &spec.pack)?;
        Some((problem.key, problem.value, problem.allowed))
    }

    #[test]
    fn what_leaves_is_less_than_the_car() {
        assert_eq!(why(|_| {}), None);
        let (key, taken_kg, allowed) = why(|spec| spec.taken_out[0].mass_kg += 700.0).unwrap();
        assert_eq!(
            (key.as_str(), allowed.as_str()),
            ("taken_out.*.mass", "less than the 792.0 kg of the car on the scales")
        );
        assert!((taken_kg - 918.0).abs() < 1e-9, "{taken_kg}");
    }

    /// 400 kg of engine over the front axle, where the scales show 435.5 kg and 55 kg more leave.
    #[test]
    fn each_axle_keeps_a_load_in_every_case() {
        let (key, load_kg, allowed) = why(|spec| spec.taken_out[0].mass_kg += 300.0).unwrap();
        assert_eq!(key, "taken_out");
        assert!(load_kg < 0.0, "{load_kg}");
        assert!(
            allowed.contains("with nothing put in the front axle has 435.5 kg on"),
            "{allowed}"
        );
        // So far behind that the front axle lifts.
        let (_, load_kg, allowed) = why(|spec| {
            spec.put_in[0].mass_kg = 500.0;
            spec.put_in[0].place.behind_front_axle_m = 6.0;
        })
        .unwrap();
        assert!(load_kg < 0.0 && allowed.contains("converted and empty"), "{allowed}");
        let sum: f64 = allowed
            .split(" axle has ")
            .nth(1)
            .unwrap()
            .split_whitespace()
            .filter_map(|word| word.parse::<f64>().ok())
            .sum();
        assert!((sum - load_kg).abs() < 0.2, "{sum} {load_kg} {allowed}");
        let (_, load_kg, allowed) = why(|spec| {
            spec.luggage.mass_kg = 900.0;
            spec.luggage.place.behind_front_axle_m = 6.0;
        })
        .unwrap();
        assert!(load_kg < 0.0 && allowed.contains("kg by those aboard"), "{allowed}");
    }
}
