//! The kinds of mess: a name, how the file is made, and what it must come to.

use std::fmt::Write as _;

use super::drive::{Drive, Noise, Second};

/// What a kind must come to.
pub(super) enum Truth {
    /// The drive as it was.
    Drive,
    /// A refusal with these words in it.
    Refused(&'static str),
    /// A part of the drive, with the repairs that say so.
    Named,
}

/// A kind of mess.
pub(super) struct Kind {
    pub(super) name: &'static str,
    pub(super) mess: fn(&Drive) -> Vec<u8>,
    pub(super) truth: Truth,
    /// Repairs that must be said.
    pub(super) repairs: &'static [&'static str],
    pub(super) has_heights: bool,
    pub(super) has_energy: bool,
    /// Step between its rows, s.
    pub(super) step_s: f64,
}

const fn drive(name: &'static str, mess: fn(&Drive) -> Vec<u8>) -> Kind {
    let (has_heights, has_energy, step_s) = (true, true, 1.0);
    Kind { name, mess, truth: Truth::Drive, repairs: &[], has_heights, has_energy, step_s }
}

const fn refused(name: &'static str, words: &'static str, mess: fn(&Drive) -> Vec<u8>) -> Kind {
    Kind { truth: Truth::Refused(words), ..drive(name, mess) }
}

const fn named_part(
    name: &'static str,
    repairs: &'static [&'static str],
    mess: fn(&Drive) -> Vec<u8>,
) -> Kind {
    Kind { truth: Truth::Named, repairs, ..drive(name, mess) }
}

impl Kind {
    const fn says(self, repairs: &'static [&'static str]) -> Kind {
        Kind { repairs, ..self }
    }

    const fn without_heights(self) -> Kind {
        Kind { has_heights: false, ..self }
    }

    const fn without_energy(self) -> Kind {
        Kind { has_energy: false, ..self }
    }

    const fn every(self, step_s: f64) -> Kind {
        Kind { step_s, ..self }
    }
}

const HEADING: &str =
    "time_s,speed_kmh,latitude,longitude,elevation_m,pack_voltage_v,pack_current_a,soc_pct";

/// A row as the plain log has it.
fn plain_row(s: &Second) -> String {
    format!(
        "{:.0},{:.2},{:.7},{:.7},{:.1},{:.2},{:.2},{:.1}",
        s.time_s,
        s.kmh(),
        s.lat_deg,
        s.lon_deg,
        s.height_m,
        s.volts,
        s.amperes,
        s.charge_pct
    )
}

/// Everything but the time.
fn rest_of(s: &Second) -> String {
    plain_row(s).split_once(',').unwrap().1.to_owned()
}

/// A table with a row a second.
fn table(drive: &Drive, heading: &str, row: impl FnMut(&Second) -> String) -> Vec<String> {
    std::iter::once(heading.to_owned()).chain(drive.seconds.iter().map(row)).collect()
}

fn plain(drive: &Drive) -> Vec<String> {
    table(drive, HEADING, plain_row)
}

fn joined(lines: &[String]) -> Vec<u8> {
    text(lines).into_bytes()
}

fn text(lines: &[String]) -> String {
    lines.join("\n") + "\n"
}

/// The plain log with another way of writing the time.
fn timed(drive: &Drive, heading: &str, time: impl Fn(f64) -> String) -> Vec<u8> {
    let heading = HEADING.replace("time_s", heading);
    joined(&table(drive, &heading, |s| format!("{},{}", time(s.time_s), rest_of(s))))
}

/// The plain log with other words for its columns.
fn named(drive: &Drive, heading: &str) -> Vec<u8> {
    let mut lines = plain(drive);
    lines[0] = heading.to_owned();
    joined(&lines)
}

/// The plain log with each second's row made anew from changed readings.
fn changed(drive: &Drive, mut change: impl FnMut(usize, &mut Second)) -> Vec<u8> {
    let mut seconds = drive.seconds.clone();
    seconds.iter_mut().enumerate().for_each(|(i, second)| change(i, second));
    joined(&plain(&Drive { seconds }))
}

/// The speed in another unit.
fn speed_in(drive: &Drive, heading: &str, per_mps: f64) -> Vec<u8> {
    let heading = HEADING.replace("speed_kmh", heading);
    joined(&table(drive, &heading, |s| {
        let rest: Vec<String> = rest_of(s).split(',').skip(1).map(str::to_owned).collect();
        format!("{:.0},{:.3},{}", s.time_s, s.speed_mps * per_mps, rest.join(","))
    }))
}

fn clock(seconds: f64) -> String {
    let all = seconds.rem_euclid(86_400.0);
    let (h, m) = ((all / 3600.0).floor(), (all / 60.0).floor());
    format!("{h:02.0}:{:02.0}:{:02.0}", m - 60.0 * h, all - 60.0 * m)
}

fn semicolons(drive: &Drive) -> String {
    text(&plain(drive)).replace(',', ";").replace('.', ",")
}

fn utf16(text: &str, low_first: bool) -> Vec<u8> {
    let bytes = |unit: u16| if low_first { unit.to_le_bytes() } else { unit.to_be_bytes() };
    text.encode_utf16().flat_map(bytes).collect()
}

/// Degrees and minutes as receivers send them.
fn packed(degrees: f64, digits: usize) -> String {
    let whole = degrees.abs().floor();
    let minutes = 60.0 * (degrees.abs() - whole);
    format!("{whole:0digits$.0}{minutes:08.5}")
}

fn with_position(drive: &Drive, heading: &str, position: fn(&Second) -> String) -> Vec<u8> {
    let heading = HEADING.replace("latitude,longitude", heading);
    joined(&table(drive, &heading, |s| {
        let cells: Vec<String> = plain_row(s).split(',').map(str::to_owned).collect();
        format!("{},{},{},{}", cells[0], cells[1], position(s), cells[4..].join(","))
    }))
}

/// A track; what stands within a point is made by the caller.
fn gpx(drive: &Drive, inside: impl Fn(&Second) -> String) -> Vec<u8> {
    let mut out = "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n".to_owned();
    for s in &drive.seconds {
        let _ = writeln!(
            out,
            "<trkpt lat=\"{:.7}\" lon=\"{:.7}\"><ele>{:.1}</ele>{}</trkpt>",
            s.lat_deg,
            s.lon_deg,
            s.height_m,
            inside(s)
        );
    }
    (out + "</trkseg></trk></gpx>\n").into_bytes()
}

fn gpx_time(s: &Second) -> String {
    format!("<time>2025-03-02T{}Z</time>", clock(30_000.0 + s.time_s))
}

/// Amperes (and volts) as they were some seconds before.
fn late(drive: &Drive, lag: usize, volts_too: bool) -> Vec<u8> {
    let old = drive.seconds.clone();
    changed(drive, |i, second| {
        let before = old[i.saturating_sub(lag)];
        second.amperes = before.amperes;
        if volts_too {
            second.volts = before.volts;
        }
    })
}

/// Rows of fixes and heights alone.
fn fixes(drive: &Drive, mut row: impl FnMut(usize, &Second) -> Option<String>) -> Vec<u8> {
    let rows = drive.seconds.iter().enumerate().filter_map(|(i, s)| row(i, s));
    let lines: Vec<String> = std::iter::once("time_s,lat,lon,ele".to_owned()).chain(rows).collect();
    joined(&lines)
}

fn fix(s: &Second) -> String {
    format!("{:.0},{:.7},{:.7},{:.1}", s.time_s, s.lat_deg, s.lon_deg, s.height_m)
}

/// Seconds of the long stop in the first half.
fn long_stop(drive: &Drive) -> std::ops::Range<usize> {
    let moves = |i: &usize| drive.seconds[*i].speed_mps > 0.0;
    let mut start = 400;
    while moves(&start) {
        start += 1;
    }
    let end = (start..drive.seconds.len()).find(moves).unwrap();
    start..end
}

pub(super) const KINDS: &[Kind] = &[
    // Text.
    drive("plain", |d| joined(&plain(d))),
    drive("byte order mark", |d| format!("\u{feff}{}", text(&plain(d))).into_bytes()),
    drive("carriage returns and line feeds", |d| text(&plain(d)).replace('\n', "\r\n").into_bytes()),
    drive("carriage returns alone", |d| text(&plain(d)).replace('\n', "\r").into_bytes()),
    drive("UTF-16 with a mark, low byte first", |d| {
        utf16(&format!("\u{feff}{}", text(&plain(d))), true)
    })
    .says(&["utf16"]),
    drive("UTF-16 with a mark, high byte first", |d| {
        utf16(&format!("\u{feff}{}", text(&plain(d))), false)
    }),
    drive("UTF-16 without a mark", |d| utf16(&text(&plain(d)), true)),
    drive("Latin-1 in the headings", |d| {
        let text = text(&plain(d)).replace("elevation_m", "H\u{f6}he (m)");
        text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect()
    })
    .says(&["not_utf8"]),
    drive("zero bytes", |d| text(&plain(d)).replace("\n5", "\n\x00\x005").into_bytes()),
    drive("cut off in the last row", |d| {
        let bytes = joined(&plain(d));
        bytes[..bytes.len() - 30].to_vec()
    }),
    // Tables.
    drive("semicolons and decimal commas", |d| semicolons(d).into_bytes()),
    drive("tabs", |d| text(&plain(d)).replace(',', "\t").into_bytes()),
    drive("tabs and decimal commas", |d| semicolons(d).replace(';', "\t").into_bytes()),
    drive("bars", |d| text(&plain(d)).replace(',', " | ").into_bytes()),
    drive("a line that names the separator", |d| format!("sep=;\n{}", semicolons(d)).into_bytes()),
    drive("titles before the heading", |d| {
        format!("Log of a drive\nCar, blue\n\nSpeed in km/h\n{}", text(&plain(d))).into_bytes()
    }),
    drive("a row of units", |d| {
        let heading = "Time,Speed,Latitude,Longitude,Altitude,Pack voltage,Pack current,SoC";
        let mut lines = plain(d);
        lines[0] = format!("{heading}\ns,km/h,°,°,m,V,A,%");
        joined(&lines)
    })
    .says(&["units_row"]),
    drive("letters whose row of units explains them", |d| {
        let mut lines = plain(d);
        lines[0] = "t,v,Lat,Lon,h,U,I,SoC\ns,km/h,°,°,m,V,A,%".to_owned();
        joined(&lines)
    }),
    drive("comment lines", |d| {
        let mut lines = plain(d);
        lines.insert(300, "# a stop for tea".to_owned());
        lines.insert(500, "// on again, 5,6".to_owned());
        joined(&lines)
    }),
    drive("all cells in quotes", |d| {
        let quoted = |line: &String| format!("\"{}\"", line.replace(',', "\",\""));
        joined(&plain(d).iter().map(quoted).collect::<Vec<_>>())
    }),
    drive("a quote that is never closed", |d| {
        let mut lines = plain(d);
        lines[700] = format!("\"{}", lines[700]);
        joined(&lines)
    }),
    drive("commas between thousands, in quotes", |d| {
        timed(d, "time_s", |t| {
            let (thousands, rest) = ((t / 1000.0).floor(), t % 1000.0);
            if t < 1000.0 { format!("{t:.0}") } else { format!("\"{thousands:.0},{rest:03.0}\"") }
        })
    }),
    drive("points between thousands", |d| {
        let text = semicolons(d);
        let time = |line: &str| {
            let (time, rest) = line.split_once(';').unwrap();
            match time.len() {
                4 => format!("{}.{};{rest}\n", &time[..1], &time[1..]),
                _ => format!("{line}\n"),
            }
        };
        text.lines().map(time).collect::<String>().into_bytes()
    })
    .says(&["thousands_marks"]),
    drive("blanks between thousands", |d| {
        timed(d, "time_ms", |t| {
            if t < 1.0 { "0".to_owned() } else { format!("{t:.0} 000") }
        })
    }),
    drive("separators at the ends", |d| text(&plain(d)).replace('\n', ",\n").into_bytes()),
    drive("separators at the ends of rows only", |d| {
        text(&plain(d)).replace('\n', ",\n").replacen("pct,\n", "pct\n", 1).into_bytes()
    })
    .says(&["trailing_separators"]),
    drive("one unnamed cell at the end of rows", |d| {
        text(&plain(d)).replace('\n', ",x7\n").replacen("pct,x7\n", "pct\n", 1).into_bytes()
    })
    .says(&["unnamed_column"]),
    drive("an unnamed count at the start of rows", |d| {
        let mut n = 0;
        joined(&table(d, HEADING, |s| {
            n += 1;
            format!("{n},{}", plain_row(s))
        }))
    })
    .says(&["unnamed_column"]),
    refused("decimal commas between commas", "more cells than the heading", |d| {
        joined(&table(d, "time_s,speed_kmh,volts", |s| {
            format!("{:.0},{:.1},{:.1}", s.time_s, s.kmh(), s.volts).replace('.', ",")
        }))
    }),
    refused("one decimal comma between commas", "more cells than the heading", |d| {
        joined(&table(d, "time_s,speed_kmh,volts", |s| {
            format!("{:.0},{:.1},{:.0}", s.time_s, s.kmh(), s.volts).replace('.', ",")
        }))
    }),
    drive("the heading again and again", |d| {
        let mut lines = plain(d);
        for at in [900, 600, 300] {
            lines.insert(at, HEADING.to_owned());
        }
        joined(&lines)
    })
    .says(&["repeated_headings"]),
    drive("another heading from the middle on", |d| {
        let mut lines = plain(d);
        for line in &mut lines[800..] {
            let cells: Vec<&str> = line.split(',').collect();
            *line = format!("{},7,{},{}", cells[0], cells[2..].join(","), cells[1]);
        }
        lines.insert(800, "time_s,satellites,latitude,longitude,elevation_m,pack_voltage_v,pack_current_a,soc_pct,speed_kmh".to_owned());
        joined(&lines)
    })
    .says(&["headings_change"]),
    drive("another heading with another unit", |d| {
        let mut lines = plain(d);
        for (line, s) in lines[1..].iter_mut().zip(&d.seconds).skip(700) {
            let cells: Vec<&str> = line.split(',').collect();
            *line = format!("{},{:.3},{}", cells[0], s.speed_mps, cells[2..].join(","));
        }
        lines.insert(701, HEADING.replace("kmh", "mps"));
        joined(&lines)
    }),
    refused("a column put in from the middle on", "from this line on", |d| {
        let mut lines = plain(d);
        for line in &mut lines[800..] {
            *line = line.replacen(',', ",9,", 1);
        }
        joined(&lines)
    }),
    refused("a column lost from the middle on", "from this line on", |d| {
        let mut lines = plain(d);
        for line in &mut lines[800..] {
            let cells: Vec<&str> = line.split(',').collect();
            *line = format!("{},{}", cells[0], cells[2..].join(","));
        }
        joined(&lines)
    }),
    drive("the last cell lost now and then", |d| {
        let mut lines = plain(d);
        for line in lines[1..].iter_mut().step_by(17) {
            line.truncate(line.rfind(',').unwrap());
        }
        joined(&lines)
    }),
    drive("cells without a value", |d| {
        let words = ["NaN", "OFF", "--", "", "n/a"];
        let mut n = 0;
        joined(&table(d, HEADING, |s| {
            n += 1;
            let mut cells: Vec<String> = plain_row(s).split(',').map(str::to_owned).collect();
            if n % 11 == 0 {
                let at = 1 + n / 11 % 6;
                cells[at] = words[n / 11 % words.len()].to_owned();
            }
            cells.join(",")
        }))
    }),
    drive("units in the cells", |d| {
        joined(&table(d, "time,speed,elevation,pack voltage,pack current", |s| {
            format!("{:.0} s,{:.1} km/h,{:.1} m,{:.2} V,{:.2} A", s.time_s, s.kmh(), s.height_m, s.volts, s.amperes)
        }))
    }),
    // Headings.
    drive("headings with brackets and odd capitals", |d| {
        named(d, "Time (s),Speed [km/h],LAT,LON,Elv,U(V),I(A),SoC [%]")
    }),
    drive("capitals without marks", |d| {
        named(d, "elapsedTime,gpsSpeedKmh,gpsLatitude,gpsLongitude,gpsAltitude,packVoltage,packCurrent,SoC")
    }),
    drive("German", |d| {
        named(d, "Zeit [s],Geschwindigkeit [km/h],Breitengrad,Längengrad,Höhe [m],Spannung [V],Strom [A],Ladezustand [%]")
    }),
    drive("French", |d| {
        named(d, "Temps (s),Vitesse (km/h),Latitude,Longitude,Altitude (m),Tension (V),Courant (A),État de charge (%)")
    }),
    drive("Spanish", |d| {
        named(d, "Tiempo (s),Velocidad (km/h),Latitud,Longitud,Altura (m),Voltaje (V),Corriente (A),Carga (%)")
    }),
    drive("Italian", |d| {
        named(d, "Tempo (s),Velocità (km/h),Latitudine,Longitudine,Quota (m),Tensione (V),Corrente (A),Carica (%)")
    }),
    drive("Dutch", |d| {
        named(d, "Tijd (s),Snelheid (km/u),Breedtegraad,Lengtegraad,Hoogte (m),Spanning (V),Stroom (A),Laadtoestand (%)")
    }),
    drive("Swedish", |d| {
        named(d, "Tid (s),Hastighet (km/h),Breddgrad,Längdgrad,Höjd (m),Spänning (V),Ström (A),Laddningsnivå (%)")
    }),
    // Units.
    drive("miles an hour", |d| speed_in(d, "speed (mph)", 1.0 / 0.447_04)),
    drive("knots", |d| speed_in(d, "speed_kn", 3600.0 / 1852.0)),
    drive("metres a second", |d| speed_in(d, "speed m/s", 1.0)),
    drive("no unit of speed, but fixes", |d| speed_in(d, "speed", 3600.0 / 1852.0))
        .says(&["speed_unit_found"]),
    drive("metres a second that are said to be km/h", |d| speed_in(d, "speed_kmh", 1.0))
        .says(&["speed_unit_corrected"]),
    drive("miles an hour that are said to be km/h", |d| speed_in(d, "speed_kmh", 1.0 / 0.447_04))
        .says(&["speed_unit_corrected"]),
    drive("no unit of speed, but a counter", |d| {
        joined(&table(d, "time_s,speed,odometer (km)", |s| {
            format!("{:.0},{:.1},{:.1}", s.time_s, s.kmh(), 12_000.0 + s.way_m / 1000.0)
        }))
    })
    .without_heights()
    .without_energy(),
    refused("no unit of speed and nothing beside it", "does not say the unit of the speed", |d| {
        joined(&table(d, "time_s,speed", |s| format!("{:.0},{:.1}", s.time_s, s.kmh())))
    }),
    refused("milliseconds that are said to be seconds", "wrong unit", |d| {
        timed(d, "time_s", |t| format!("{:.0}", 1000.0 * t))
    }),
    drive("feet", |d| {
        joined(&table(d, "time_s,speed_kmh,altitude (ft)", |s| {
            format!("{:.0},{:.2},{:.1}", s.time_s, s.kmh(), s.height_m / 0.3048)
        }))
    })
    .without_energy(),
    // Clocks.
    drive("milliseconds", |d| timed(d, "time_ms", |t| format!("{:.0}", 1000.0 * t))),
    drive("a time without a unit", |d| timed(d, "time", |t| format!("{:.0}", 1000.0 * t))),
    drive("milliseconds of the day", |d| {
        timed(d, "time", |t| format!("{:.0}", 1000.0 * (40_000.0 + t)))
    }),
    drive("milliseconds of the day over midnight", |d| {
        timed(d, "time_ms", |t| format!("{:.0}", 1000.0 * ((86_000.0 + t) % 86_400.0)))
    })
    .says(&["midnight_wraps"]),
    drive("time of day", |d| timed(d, "time", |t| clock(50_000.0 + t))),
    drive("time of day over midnight", |d| timed(d, "time", |t| clock(86_000.0 + t)))
        .says(&["midnight_wraps"]),
    drive("twelve hours over noon", |d| {
        timed(d, "time", |t| {
            let at = 42_700.0 + t;
            let half = if at >= 43_200.0 { "PM" } else { "AM" };
            let hour = if at >= 46_800.0 { at - 43_200.0 } else { at };
            format!("{} {half}", clock(hour))
        })
    }),
    drive("minutes and parts", |d| timed(d, "time (min)", |t| format!("{:.5}", t / 60.0))),
    drive("minutes and seconds", |d| {
        timed(d, "time", |t| format!("{:02.0}:{:02.0}", (t / 60.0).floor(), t % 60.0))
    }),
    drive("stamps with a zone", |d| {
        timed(d, "timestamp", |t| format!("2025-03-02T{}+01:00", clock(30_000.0 + t)))
    }),
    drive("stamps whose zone changes", |d| {
        timed(d, "timestamp", |t| {
            let zone = if t < 700.0 { 0.0 } else { 7200.0 };
            let sign = if zone > 0.0 { "+02:00" } else { "Z" };
            format!("2025-03-02T{}{sign}", clock(30_000.0 + t + zone))
        })
    }),
    drive("stamps of a continental office", |d| {
        timed(d, "Datum Uhrzeit", |t| format!("02.03.2025 {}", clock(30_000.0 + t)))
    }),
    drive("date and time in columns of their own", |d| {
        let heading = HEADING.replace("time_s", "date,time");
        joined(&table(d, &heading, |s| {
            format!("2025-03-02,{},{}", clock(30_000.0 + s.time_s), rest_of(s))
        }))
    }),
    drive("seconds since 1970", |d| {
        timed(d, "timestamp", |t| format!("{:.0}", 1_740_900_000.0 + t))
    }),
    drive("milliseconds since 1970", |d| {
        timed(d, "time", |t| format!("{:.0}", 1000.0 * (1_740_900_000.0 + t)))
    }),
    drive("a clock that is set back an hour", |d| {
        timed(d, "time", |t| clock(9_000.0 + t - if t < 650.0 { 0.0 } else { 3600.0 }))
    })
    .says(&["clock_set"]),
    drive("a clock that is set forward an hour", |d| {
        timed(d, "timestamp", |t| {
            format!("2025-03-30 {}", clock(6_600.0 + t + if t < 650.0 { 0.0 } else { 3600.0 }))
        })
    })
    .says(&["clock_set"]),
    refused("a time of day without seconds", "have no seconds", |d| {
        timed(d, "time", |t| clock(50_000.0 + t)[..5].to_owned())
    }),
    refused("stamps without seconds", "have no seconds", |d| {
        timed(d, "timestamp", |t| format!("2025-03-02 {}", &clock(50_000.0 + t)[..5]))
    }),
    drive("dates with slashes and twelve hours", |d| {
        timed(d, "Date/Time", |t| format!("3/2/2025 {} AM", clock(30_000.0 + t)))
    }),
    drive("stamps with decimal commas, in quotes", |d| {
        timed(d, "timestamp", |t| format!("\"2025-03-02T{},250Z\"", clock(30_000.0 + t)))
    }),
    drive("stamps without marks", |d| {
        timed(d, "timestamp", |t| format!("20250302T{}Z", clock(30_000.0 + t).replace(':', "")))
    }),
    drive("five rows a second", |d| {
        let mut lines = vec![HEADING.to_owned()];
        for two in d.seconds.windows(2) {
            for k in 0..5_u32 {
                let share = 0.2 * f64::from(k);
                let between = |a: f64, b: f64| a + share * (b - a);
                let mut s = two[0];
                s.speed_mps = between(s.speed_mps, two[1].speed_mps);
                s.lat_deg = between(s.lat_deg, two[1].lat_deg);
                s.lon_deg = between(s.lon_deg, two[1].lon_deg);
                s.height_m = between(s.height_m, two[1].height_m);
                lines.push(format!("{:.1},{}", s.time_s + share, rest_of(&s)));
            }
        }
        lines.push(plain_row(&d.seconds[d.seconds.len() - 1]));
        joined(&lines)
    }),
    drive("every second counted from a number of its own", |d| {
        timed(d, "time_s", |t| format!("{:.0}", 734_211.0 + t))
    }),
    named_part("two drives with a clock each", &["parts_left_out"], |d| {
        let mut lines = plain(d);
        lines.extend(table(d, HEADING, |s| plain_row(&Second { speed_mps: 0.5 * s.speed_mps, ..*s })));
        joined(&lines)
    }),
    named_part("a quarter of an hour without rows and fixes", &["long_gaps"], |d| {
        let lines = table(d, "time_s,speed_kmh", |s| {
            let time_s = s.time_s + if s.time_s < 600.0 { 0.0 } else { 900.0 };
            format!("{time_s:.0},{:.2}", s.kmh())
        });
        joined(&lines)
    }),
    // Order of rows.
    drive("rows written twice", |d| {
        let lines = plain(d);
        let twice = |line: &String| [line.clone(), line.clone()];
        joined(&lines[..1].iter().cloned().chain(lines[1..].iter().flat_map(twice)).collect::<Vec<_>>())
    }),
    drive("a block saved twice", |d| {
        let mut lines = plain(d);
        let again = lines[500..800].to_vec();
        lines.splice(800..800, again);
        joined(&lines)
    })
    .says(&["repeated_rows"]),
    drive("the whole file saved twice", |d| {
        let lines = plain(d);
        joined(&[&lines[..], &lines[..]].concat())
    }),
    drive("several rows with one time", |d| {
        let heading = HEADING;
        let mut lines = vec![heading.to_owned()];
        for two in d.seconds.windows(2) {
            let mut half = two[0];
            half.speed_mps = f64::midpoint(two[0].speed_mps, two[1].speed_mps);
            lines.extend([plain_row(&two[0]), plain_row(&half)]);
        }
        lines.push(plain_row(&d.seconds[d.seconds.len() - 1]));
        joined(&lines)
    })
    .says(&["several_in_one_second"]),
    drive("neighbours exchanged", |d| {
        let mut lines = plain(d);
        for at in (5..lines.len() - 1).step_by(9) {
            lines.swap(at, at + 1);
        }
        joined(&lines)
    })
    .says(&["late_rows"]),
    drive("a block that comes late", |d| {
        let mut lines = plain(d);
        lines[400..460].rotate_left(30);
        joined(&lines)
    })
    .says(&["late_rows"]),
    drive("stray rows of an old drive", |d| {
        let mut lines = plain(d);
        for at in [300, 700, 900] {
            lines.insert(at, "3,99.0,48.1,11.1,500.0,300,1,50".to_owned());
        }
        joined(&lines)
    }),
    drive("one row far ahead", |d| {
        let mut lines = plain(d);
        lines[600] = format!("99{}", lines[600]);
        joined(&lines)
    }),
    refused("the newest first", "the newest first", |d| {
        let mut lines = plain(d);
        lines[1..].reverse();
        joined(&lines)
    }),
    // Positions.
    drive("degrees and minutes with letters beside", |d| {
        with_position(d, "lat,N/S,lon,E/W", |s| {
            format!("{},N,{},E", packed(s.lat_deg, 2), packed(s.lon_deg, 3))
        })
    })
    .says(&["degrees_minutes"]),
    drive("degrees and minutes with marks", |d| {
        with_position(d, "Position lat,Position lon", |s| {
            let marks = |degrees: f64| {
                let whole = degrees.floor();
                format!("{whole:.0}°{:08.5}'", 60.0 * (degrees - whole))
            };
            format!("{}N,{}E", marks(s.lat_deg), marks(s.lon_deg))
        })
    }),
    drive("fixes in degrees and minutes alone", |d| {
        fixes(d, |_, s| {
            let (lat, lon) = (packed(s.lat_deg, 2), packed(s.lon_deg, 3));
            Some(format!("{:.0},{lat},{lon},{:.1}", s.time_s, s.height_m))
        })
    })
    .without_energy(),
    drive("south and west by letters in the cells", |d| {
        with_position(d, "lat,lon", |s| format!("{:.7} S,{:.7}W", s.lat_deg, s.lon_deg))
    }),
    drive("a mark and another heading where files were joined", |d| {
        let lines = plain(d);
        let heading = format!("\u{feff}{HEADING}");
        joined(&[&lines[..800], &[heading], &lines[800..]].concat())
    }),
    drive("zero fixes before the first lock", |d| {
        changed(d, |i, s| {
            if i < 8 {
                (s.lat_deg, s.lon_deg, s.height_m) = (0.0, 0.0, 0.0);
            }
        })
    }),
    drive("fixes without speed", |d| fixes(d, |_, s| Some(fix(s)))).without_energy(),
    drive("fixes that wander, without speed", |d| {
        let mut noise = Noise::seeded(3);
        fixes(d, |_, s| {
            let mut s = *s;
            s.lat_deg += noise.normal(0.9) / 111_198.0;
            s.lon_deg += noise.normal(0.9) / 74_340.0;
            Some(fix(&s))
        })
    })
    .without_energy(),
    drive("a tunnel, without speed", |d| {
        fixes(d, |i, s| (!(520..560).contains(&i)).then(|| fix(s)))
    })
    .says(&["gaps"])
    .without_energy(),
    drive("a tunnel in which the fix stands still, without speed", |d| {
        let held = d.seconds[560];
        fixes(d, |i, s| {
            let at = if (560..600).contains(&i) { &held } else { s };
            Some(format!("{:.0}{}", s.time_s, &fix(at)[fix(at).find(',').unwrap()..]))
        })
    })
    .says(&["frozen_rows"])
    .without_energy(),
    drive("a tunnel with 0 km/h and a fix that stands still", |d| {
        let held = d.seconds[560];
        changed(d, |i, s| {
            if (560..600).contains(&i) {
                (s.lat_deg, s.lon_deg, s.height_m) = (held.lat_deg, held.lon_deg, held.height_m);
                s.speed_mps = 0.0;
            }
        })
    })
    .says(&["frozen_rows"]),
    drive("a tunnel with 0 km/h and no fix", |d| {
        let mut n = 0;
        joined(&table(d, HEADING, |s| {
            n += 1;
            let cells: Vec<String> = plain_row(s).split(',').map(str::to_owned).collect();
            let lost = (560..600).contains(&n);
            if lost { format!("{},0,,,,{}", cells[0], cells[5..].join(",")) } else { cells.join(",") }
        }))
    })
    .says(&["frozen_rows"]),
    drive("fixes that jump away", |d| {
        changed(d, |i, s| s.lat_deg += if i % 97 == 50 { 0.01 } else { 0.0 })
    }),
    drive("speeds that jump away", |d| {
        changed(d, |i, s| s.speed_mps += if i % 97 == 50 { 40.0 } else { 0.0 })
    })
    .says(&["speed_spikes"]),
    drive("a speed that creeps while the car stands", |d| {
        let mut noise = Noise::seeded(4);
        changed(d, |_, s| {
            if s.speed_mps <= 0.0 {
                s.speed_mps = 0.4 * noise.even().abs();
            }
        })
    }),
    drive("a noisy speed", |d| {
        let mut noise = Noise::seeded(5);
        changed(d, |_, s| {
            if s.speed_mps > 0.0 {
                s.speed_mps = (s.speed_mps + noise.normal(0.35)).max(0.0);
            }
        })
    }),
    drive("whole kilometres an hour", |d| {
        changed(d, |_, s| s.speed_mps = s.kmh().round() / 3.6)
    }),
    drive("tracks with times", |d| gpx(d, gpx_time)).without_energy(),
    drive("tracks with speeds", |d| {
        gpx(d, |s| {
            let speed = s.speed_mps;
            format!("{}<extensions><x:speed xmlns:x=\"x\">{speed:.2}</x:speed></extensions>", gpx_time(s))
        })
    })
    .without_energy(),
    drive("tracks with speeds in km/h", |d| {
        gpx(d, |s| format!("{}<speed>{:.1}</speed>", gpx_time(s), s.kmh()))
    })
    .says(&["speed_unit_corrected"])
    .without_energy(),
    refused("tracks without times", "has a time", |d| gpx(d, |_| String::new())),
    // Heights.
    drive("a height of zero at first, every 30 s", |d| {
        let mut lines = vec![HEADING.to_owned()];
        for s in d.seconds.iter().step_by(30) {
            let mut s = *s;
            if s.time_s < 1.0 {
                s.height_m = 0.0;
            }
            lines.push(plain_row(&s));
        }
        joined(&lines)
    })
    .says(&["zero_heights"])
    .without_energy()
    .every(30.0),
    drive("heights of zero now and then", |d| {
        changed(d, |i, s| {
            if i < 40 || (700..703).contains(&i) {
                s.height_m = 0.0;
            }
        })
    })
    .says(&["zero_heights"]),
    drive("heights that are noisy by 20 m", |d| {
        let mut noise = Noise::seeded(6);
        changed(d, |_, s| s.height_m += 20.0 * noise.even())
    }),
    drive("heights that are noisy by 1.5 m", |d| {
        let mut noise = Noise::seeded(7);
        changed(d, |_, s| s.height_m += noise.normal(1.5))
    }),
    drive("heights that wander", |d| {
        let mut noise = Noise::seeded(8);
        let mut wander_m = 0.0;
        changed(d, |_, s| {
            wander_m = 0.98 * wander_m + noise.normal(0.3);
            s.height_m += wander_m;
        })
    }),
    drive("heights that are noisy by 20 m, fixes alone", |d| {
        let mut noise = Noise::seeded(9);
        fixes(d, |_, s| Some(fix(&Second { height_m: s.height_m + 20.0 * noise.even(), ..*s })))
    })
    .without_energy(),
    drive("heights that jump away", |d| {
        changed(d, |i, s| s.height_m += if i % 113 == 60 { 400.0 } else { 0.0 })
    })
    .says(&["elevation_spikes"]),
    drive("heights in a third of the rows", |d| {
        let mut lines = plain(d);
        for (_, line) in lines.iter_mut().enumerate().skip(1).filter(|(i, _)| i % 3 != 1) {
            let mut cells: Vec<&str> = line.split(',').collect();
            cells[4] = "";
            *line = cells.join(",");
        }
        joined(&lines)
    })
    .says(&["missing_elevation"]),
    drive("whole metres", |d| changed(d, |_, s| s.height_m = s.height_m.round())),
    drive("a height that drifts by 40 m while the car stands", |d| {
        let stop = long_stop(d);
        let steps = u32::try_from(stop.len()).unwrap();
        changed(d, |i, s| {
            let since = i.saturating_sub(stop.start).min(stop.len());
            s.height_m += 40.0 * f64::from(u32::try_from(since).unwrap()) / f64::from(steps);
        })
    })
    .says(&["height_drift"]),
    // Volts and amperes.
    drive("volts and amperes in each other's column", |d| {
        changed(d, |_, s| std::mem::swap(&mut s.volts, &mut s.amperes))
    })
    .says(&["volts_amperes_swapped"]),
    refused("amperes under the heading of volts too", "volts goes below zero", |d| {
        changed(d, |_, s| s.volts = s.amperes)
    }),
    drive("amperes 12 s late", |d| late(d, 12, false)).says(&["amperes_late"]),
    drive("volts and amperes 25 s late", |d| late(d, 25, true)).says(&["amperes_late"]),
    drive("discharge negative", |d| changed(d, |_, s| s.amperes = -s.amperes)),
    drive("milliamperes and millivolts", |d| {
        joined(&table(d, "time_s,speed_kmh,pack voltage (mV),pack current (mA)", |s| {
            format!("{:.0},{:.2},{:.0},{:.0}", s.time_s, s.kmh(), 1000.0 * s.volts, 1000.0 * s.amperes)
        }))
    })
    .without_heights(),
];
