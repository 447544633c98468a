//! The macro that turns the list of knobs into code.

/// Declares the knobs: those with one place in the description, those inside an alternative, those
/// of a named list (some of which may be left open), those that one key writes in several places,
/// and whole numbers.
macro_rules! knobs {
    (
        plain { $($plain:ident $plain_path:literal: $($field:ident).+;)* }
        inside { $($inside:ident $inside_path:literal: $($outer:ident).+, $pattern:pat => $it:ident;)* }
        listed { $($listed:ident $group:literal $item_field:literal:
            $($list:ident).+, $($name:ident).+, $($item:ident).+;)* }
        open { $($open:ident $open_group:literal $open_field:literal:
            $($open_list:ident).+, $($open_name:ident).+, $($open_item:ident).+;)* }
        several { $($several:ident $several_path:literal: $read:path, $write:path;)* }
        whole { $($whole:ident $whole_path:literal: $($count:ident).+;)* }
    ) => {
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        enum Which {
            $($plain,)*
            $($inside,)*
            $($listed(usize),)*
            $($open(usize),)*
            $($several,)*
            $($whole,)*
        }

        impl Knob {
            /// The knob of a path, `driveline.axle.ratio` or `put_in.motor.mass`. `None` if the
            /// path is no knob of this car (it may be one of another).
            ///
            /// ```
            /// use crownwheel::{Car, example, knob::Knob};
            /// let mut spec = example::small_saloon();
            /// let knob = Knob::find("driveline.axle.ratio", &spec).expect("every car has it");
            /// assert_eq!(knob.get(&spec), Some(4.22));
            /// knob.set(&mut spec, 3.70)?;
            /// assert!((Car::new(&spec)?.overall_ratio() - 5.55).abs() < 1e-12);
            /// assert_eq!(Knob::find("car.drag_area", &spec), None, "it is written as coefficient and area");
            /// # Ok::<(), crownwheel::spec::SpecError>(())
            /// ```
            #[must_use]
            pub fn find(path: &str, spec: &CarSpec) -> Option<Knob> {
                $(if path == $plain_path { return Some(Knob(Which::$plain)); })*
                $(if path == $inside_path {
                    let knob = Knob(Which::$inside);
                    return knob.get(spec).map(|_| knob);
                })*
                $(if let Some(name) = middle(path, $group, $item_field) {
                    let place = spec.$($list).+.iter().position(|item| *item.$($name).+ == *name);
                    return place.map(|place| Knob(Which::$listed(place)));
                })*
                $(if let Some(name) = middle(path, $open_group, $open_field) {
                    let place =
                        spec.$($open_list).+.iter().position(|item| *item.$($open_name).+ == *name)?;
                    let knob = Knob(Which::$open(place));
                    return knob.get(spec).map(|_| knob);
                })*
                $(if path == $several_path {
                    let knob = Knob(Which::$several);
                    return knob.get(spec).map(|_| knob);
                })*
                $(if path == $whole_path { return Some(Knob(Which::$whole)); })*
                None
            }

            /// All knobs of a car, with their paths.
            ///
            /// ```
            /// use crownwheel::{example, knob::Knob};
            /// let spec = example::small_saloon();
            /// let all = Knob::all(&spec);
            /// assert!(all.iter().any(|(path, knob)| path == "put_in.motor.mass" && knob.get(&spec) == Some(71.0)));
            /// ```
            #[must_use]
            pub fn all(spec: &CarSpec) -> Vec<(String, Knob)> {
                let mut all = vec![$(($plain_path.to_owned(), Knob(Which::$plain)),)*];
                $(if Knob(Which::$inside).get(spec).is_some() {
                    all.push(($inside_path.to_owned(), Knob(Which::$inside)));
                })*
                $(for (place, item) in spec.$($list).+.iter().enumerate() {
                    let path = format!("{}.{}.{}", $group, item.$($name).+, $item_field);
                    all.push((path, Knob(Which::$listed(place))));
                })*
                $(for (place, item) in spec.$($open_list).+.iter().enumerate() {
                    if item.$($open_item).+.is_some() {
                        let path = format!("{}.{}.{}", $open_group, item.$($open_name).+, $open_field);
                        all.push((path, Knob(Which::$open(place))));
                    }
                })*
                $(if $read(spec).is_some() {
                    all.push(($several_path.to_owned(), Knob(Which::$several)));
                })*
                $(all.push(($whole_path.to_owned(), Knob(Which::$whole)));)*
                all
            }

            /// The number, in the unit of its field in [`crate::spec`]. `None` if this car has no
            /// such number.
            #[must_use]
            pub fn get(self, spec: &CarSpec) -> Option<f64> {
                match self.0 {
                    $(Which::$plain => Some(spec.$($field).+),)*
                    $(Which::$inside => match &spec.$($outer).+ {
                        $pattern => Some(*$it),
                        _ => None,
                    },)*
                    $(Which::$listed(place) => spec.$($list).+.get(place).map(|item| item.$($item).+),)*
                    $(Which::$open(place) => {
                        spec.$($open_list).+.get(place).and_then(|item| item.$($open_item).+)
                    })*
                    $(Which::$several => $read(spec),)*
                    $(Which::$whole => Some(f64::from(spec.$($count).+)),)*
                }
            }

            /// Sets the number; [`crate::Car::new`] checks it with all others.
            ///
            /// # Errors
            /// When this car has no such number, or a whole number is wanted and `value` is none.
            ///
            /// ```
            /// use crownwheel::{example, knob::Knob};
            /// let mut spec = example::small_saloon();
            /// let modules = Knob::find("pack.modules_in_series", &spec).expect("every car has it");
            /// assert!(modules.set(&mut spec, 8.5).is_err(), "half a module");
            /// modules.set(&mut spec, 8.0)?;
            /// assert_eq!(spec.pack.modules_in_series, 8);
            /// # Ok::<(), crownwheel::spec::SpecError>(())
            /// ```
            pub fn set(self, spec: &mut CarSpec, value: f64) -> Result<(), SpecError> {
                match self.0 {
                    $(Which::$plain => {
                        spec.$($field).+ = value;
                        Ok(())
                    })*
                    $(Which::$inside => match &mut spec.$($outer).+ {
                        $pattern => {
                            *$it = value;
                            Ok(())
                        }
                        _ => Err(absent($inside_path, value)),
                    },)*
                    $(Which::$listed(place) => match spec.$($list).+.get_mut(place) {
                        Some(item) => {
                            item.$($item).+ = value;
                            Ok(())
                        }
                        None => Err(absent($group, value)),
                    },)*
                    $(Which::$open(place) => {
                        let item = spec.$($open_list).+.get_mut(place);
                        match item.and_then(|item| item.$($open_item).+.as_mut()) {
                            Some(open) => {
                                *open = value;
                                Ok(())
                            }
                            None => Err(absent($open_group, value)),
                        }
                    })*
                    $(Which::$several => match $write(spec, value) {
                        true => Ok(()),
                        false => Err(absent($several_path, value)),
                    },)*
                    $(Which::$whole => {
                        spec.$($count).+ = whole($whole_path, value)?;
                        Ok(())
                    })*
                }
            }
        }
    };
}
