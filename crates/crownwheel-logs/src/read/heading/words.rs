//! The words that headings are made of, in the languages that loggers speak.
//!
//! Words stand here in small letters without accents, as [`super::words_of`] gives them. A compound
//! of one language (`Batteriespannung`) is a word of its own.

use super::{Field, Kind};
use crate::log::Quantity;

/// Words that make a column something else than the car's own reading at that moment.
pub(super) const OTHERS: &[&str] = &[
    "accuracy", "error", "limit", "motor", "engine", "shaft", "rotor", "max", "maximum", "min",
    "minimum", "average", "avg", "mean", "target", "set", "wind", "phase", "lap", "moving",
    "stopped", "cell", "module", "aux", "auxiliary", "12v", "charger", "dcdc", "controller",
    "inverter", "coolant", "remaining", "vertical", "throttle", "power", "energy", "ah", "wh", "kw",
    "kwh", "delta", "difference", "rpm",
    // German, French, Spanish, Italian, Dutch, Swedish.
    "genauigkeit", "drehzahl", "zelle", "zellen", "zellspannung", "durchschnitt", "mittel", "ziel",
    "leistung", "energie", "rest", "moteur", "rotation", "vent", "moyenne", "precision", "cellule",
    "puissance", "restante", "viento", "media", "celda", "potencia", "energia", "motore", "vento",
    "cella", "potenza", "precisione", "nauwkeurigheid", "gemiddelde", "gemiddeld", "cel",
    "vermogen", "noggrannhet", "medel", "effekt",
];

/// Words that decorate a heading and change nothing.
pub(super) const DECORATION: &[&str] = &[
    "gps", "gnss", "vehicle", "car", "road", "ground", "over", "pack", "battery", "traction",
    "main", "bus", "dc", "total", "hv", "the", "of", "state", "outside", "ambient", "air",
    "external", "local", "utc", "since", "start", "elapsed", "number", "no", "id", "stamp", "in",
    "wgs84", "asl", "msl", "travel",
    // German, French, Spanish, Italian, Dutch, Swedish.
    "batterie", "akku", "fahrzeug", "geographische", "de", "la", "du", "vehicule", "etat",
    "exterieure", "del", "estado", "bateria", "exterior", "batteria", "stato", "di", "esterna",
    "accu", "batterij", "voertuig", "batteri", "fordon",
];

/// Words that say that the pack is meant, not some other battery or wire.
pub(super) const PACK: &[&str] = &[
    "pack", "battery", "traction", "hv", "batterie", "akku", "bateria", "batteria", "accu",
    "batterij", "batteri",
];

/// Words that say that a temperature is the outside air's.
pub(super) const OUTSIDE: &[&str] = &[
    "outside", "ambient", "air", "external", "aussentemperatur", "umgebungstemperatur",
    "exterieure", "exterior", "esterna", "buitentemperatuur", "utetemperatur",
];

/// Words that say that a temperature is some part's.
pub(super) const PARTS: &[&str] = &["oil", "brake", "water", "tyre", "ol", "huile", "aceite", "olio"];

/// Words for each field, the field that is asked first wins: `current speed` is a speed.
pub(super) const FIELDS: &[(Field, &[&str])] = &[
    (
        Field::Value(Quantity::Speed),
        &[
            "speed", "velocity", "geschwindigkeit", "fahrgeschwindigkeit", "geschw", "vitesse",
            "velocidad", "velocidade", "velocita", "snelheid", "hastighet", "hastighed", "nopeus",
            "predkosc", "rychlost",
        ],
    ),
    (
        Field::Value(Quantity::Latitude),
        &[
            "latitude", "lat", "breite", "breitengrad", "latitud", "latitudine", "breedtegraad",
            "breedte", "breddgrad", "breddegrad", "bredde", "szerokosc",
        ],
    ),
    (
        Field::Value(Quantity::Longitude),
        &[
            "longitude", "lon", "lng", "long", "lange", "laenge", "langengrad", "laengengrad",
            "longitud", "longitudine", "lengtegraad", "lengte", "langdgrad", "lengdegrad",
            "laengdegrad", "dlugosc",
        ],
    ),
    (
        Field::Value(Quantity::Elevation),
        &[
            "elevation", "altitude", "ele", "elev", "elv", "alt", "height", "hohe", "hoehe",
            "meereshohe", "altitud", "altura", "quota", "altitudine", "hoogte", "hojd", "hojde",
            "hoyde", "korkeus", "wysokosc", "vyska",
        ],
    ),
    (
        Field::Value(Quantity::Grade),
        &[
            "grade", "gradient", "slope", "steigung", "neigung", "pente", "pendiente", "pendenza",
            "helling", "lutning", "stigning",
        ],
    ),
    (
        Field::Value(Quantity::Voltage),
        &[
            "voltage", "volts", "volt", "spannung", "batteriespannung", "akkuspannung",
            "packspannung", "tension", "voltaje", "tensione", "voltaggio", "tensao", "spanning",
            "accuspanning", "batterispanning", "spenning", "spaending", "jannite", "napiecie",
            "napeti",
        ],
    ),
    (
        Field::Value(Quantity::Current),
        &[
            "current", "amps", "amperes", "strom", "batteriestrom", "akkustrom", "packstrom",
            "courant", "intensite", "corriente", "intensidad", "corrente", "stroom", "accustroom",
            "batteristrom", "virta", "prad", "proud",
        ],
    ),
    (
        Field::Value(Quantity::Temperature),
        &[
            "temperature", "temp", "temperatur", "temperatura", "temperatuur", "aussentemperatur",
            "umgebungstemperatur", "buitentemperatuur", "utetemperatur",
        ],
    ),
    (
        Field::Time,
        &[
            "time", "timestamp", "datetime", "clock", "utc", "elapsed", "seconds", "t", "zeit",
            "uhrzeit", "zeitstempel", "zeitpunkt", "temps", "heure", "horodatage", "tiempo", "hora",
            "tempo", "ora", "tijd", "tijdstip", "tid", "tidpunkt", "tidspunkt", "aika", "czas",
            "cas",
        ],
    ),
    (
        Field::Value(Quantity::Charge),
        &[
            "charge", "soc", "ladezustand", "ladestand", "akkustand", "carga", "carica",
            "laadtoestand", "laddning", "laddningsniva", "ladetilstand",
        ],
    ),
    (
        Field::Value(Quantity::Distance),
        &[
            "distance", "odometer", "odo", "strecke", "wegstrecke", "kilometerstand", "distancia",
            "distanza", "afstand", "kilometerstand", "stracka",
        ],
    ),
    (Field::Date, &["date", "day", "datum", "fecha", "dato", "dag"]),
    (Field::Run, &["run", "pass"]),
    (Field::Direction, &["direction", "dir"]),
];

/// Letters and words whose unit says what they are: `I (A)`, `v (km/h)`, `Tempo [km/h]`.
pub(super) const BY_UNIT: &[(&str, Kind, Field)] = &[
    ("v", Kind::Speed, Field::Value(Quantity::Speed)),
    ("tempo", Kind::Speed, Field::Value(Quantity::Speed)),
    ("v", Kind::Voltage, Field::Value(Quantity::Voltage)),
    ("u", Kind::Voltage, Field::Value(Quantity::Voltage)),
    ("i", Kind::Current, Field::Value(Quantity::Current)),
    ("h", Kind::Length, Field::Value(Quantity::Elevation)),
    ("z", Kind::Length, Field::Value(Quantity::Elevation)),
    ("t", Kind::Time, Field::Time),
];

/// Whether a word stands in any of the lists: it is not cut at its capitals.
pub(super) fn is_known(word: &str) -> bool {
    let lists = [OTHERS, DECORATION, PACK, OUTSIDE, PARTS];
    lists.iter().any(|list| list.contains(&word))
        || FIELDS.iter().any(|(_, names)| names.contains(&word))
}

/// A small letter without its accent, as people write it who have none on their keys.
pub(super) fn without_accent(c: char) -> Option<&'static str> {
    Some(match c {
        'ä' | 'à' | 'á' | 'â' | 'ã' | 'å' | 'ą' => "a",
        'æ' => "ae",
        'ç' | 'ć' | 'č' => "c",
        'é' | 'è' | 'ê' | 'ë' | 'ę' | 'ě' => "e",
        'í' | 'ì' | 'î' | 'ï' => "i",
        'ł' => "l",
        'ñ' | 'ń' => "n",
        'ö' | 'ò' | 'ó' | 'ô' | 'õ' | 'ø' => "o",
        'ř' => "r",
        'ś' | 'š' => "s",
        'ß' => "ss",
        'ü' | 'ù' | 'ú' | 'û' | 'ů' => "u",
        'ý' => "y",
        'ź' | 'ż' | 'ž' => "z",
        // Accents that stand behind their letter as signs of their own.
        '\u{300}'..='\u{36f}' => "",
        _ => return None,
    })
}
